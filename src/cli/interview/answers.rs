//! What answers mean, and what the set is by those that were given.

use super::names;
use super::questions::UNKNOWN;
use crate::catalogue::{Catalogue, Wave};
use crate::cli::args::positive;
use crate::profile::RectifierCircuit;
use crate::quantity::{Current, Quantity, Resistance, show_plain};
use crate::study::{Feed, Heaters, NewSet, heaters};

/// A number without unit gets the one that is asked for.
pub(super) fn with(text: &str, unit: &str) -> String {
    if text.parse::<f64>().is_ok() { format!("{text} {unit}") } else { text.to_owned() }
}

/// What a bare number is taken for.
pub(super) fn offers(text: &str, unit: &str) -> Vec<String> {
    text.trim().parse::<f64>().ok().map(|_| with(text.trim(), unit)).into_iter().collect()
}

pub(super) fn nothing(_: &str) -> Vec<String> {
    Vec::new()
}

pub(super) fn in_volts(text: &str) -> Vec<String> {
    offers(text, "V")
}

pub(super) fn in_ohms(text: &str) -> Vec<String> {
    offers(text, "Ω")
}

pub(super) fn in_watts(text: &str) -> Vec<String> {
    offers(text, "W")
}

pub(super) fn ohms(text: &str) -> Result<Resistance, String> {
    positive(&with(text, "ohm"))
}

/// The heaters of the set, once its types are known.
pub(super) fn told(set: &NewSet) -> Option<Heaters> {
    heaters(set).ok()
}

/// What feeds the set, as said or told.
pub(super) fn feed(set: &NewSet) -> Feed {
    let line = told(set).is_some_and(|h| h.on_the_line);
    set.feed.unwrap_or(if line { Feed::Line } else { Feed::Transformer })
}

pub(super) fn on_line(set: &NewSet) -> bool {
    feed(set) == Feed::Line
}

/// Types of the rectifier that were said, among the tubes or by themselves.
pub(super) fn rectifiers(set: &NewSet) -> usize {
    let catalogue = Catalogue::built_in();
    let is = |name: &&String| catalogue.rectifier(name).is_ok();
    set.rectifiers.len() + set.tubes.iter().filter(is).count()
}

/// Whether what the heaters leave over is more than a rounding.
pub(super) fn leaves_over(set: &NewSet) -> bool {
    let line = set.design_line.si();
    told(set).is_some_and(|h| h.volts_v < 0.93 * line)
}

/// What the tubes tell of a transformer, which holds until more is known.
pub(super) fn by_the_tubes(set: &NewSet) -> String {
    let told = match told(set).filter(|h| h.on_the_line) {
        Some(Heaters { amps_a: Some(amps), volts_v, .. }) => format!(
            "heaters in series, {volts_v:.0} V, {}: LIVE CHASSIS",
            show_plain(Current::from_si(amps))
        ),
        Some(_) => "heaters made for a string: LIVE CHASSIS".to_owned(),
        None => "there is one".to_owned(),
    };
    format!("{UNKNOWN}; tubes tell: {told}")
}

/// How the rectifier can be joined in this set.
pub(super) fn circuits(set: &NewSet) -> Vec<RectifierCircuit> {
    let catalogue = Catalogue::built_in();
    let mut names = set.rectifiers.iter().chain(&set.tubes);
    let Some(kind) = names.find_map(|name| catalogue.rectifier(name).ok()) else {
        return Vec::new();
    };
    let kind = kind.item;
    let tubes = rectifiers(set) as u32;
    let diodes = if kind.wave == Wave::Half { tubes } else { 2 * tubes };
    let all = RectifierCircuit::ALL.into_iter();
    let fits = all.filter(|c| match c {
        RectifierCircuit::FullWave if on_line(set) => false,
        _ if kind.kind.is_dry() => true,
        c => {
            c.facts().diodes <= diodes && !(c.facts().separate_cathodes && kind.wave == Wave::Full)
        }
    });
    fits.collect()
}

/// The names of the tubes as the catalogue has them, or what is wrong with one.
pub(super) fn tubes(set: &mut NewSet, text: &str) -> Result<(), String> {
    let catalogue = Catalogue::built_in();
    let list = names::list(text);
    for name in &list {
        if let (Err(error), Err(_)) = (catalogue.tube(name), catalogue.rectifier(name)) {
            return Err(error.to_string());
        }
    }
    set.tubes = list;
    Ok(())
}

pub(super) fn as_listed(text: &str) -> String {
    names::list(text).join(", ")
}
