//! What answers mean, and what the set is by those that were given.

use super::names;
use crate::{
    api::{
        Catalogue,
        draft::{Feed, Heaters, NewSet, RectifierCircuit, heaters},
        typed::{Wave, show_plain},
        units::{Current, Quantity, Resistance},
    },
    cli::args::positive,
};

/// The first of every choice.
pub const UNKNOWN: &str = "I don't know";

pub fn choices(list: &[&str]) -> Vec<String> {
    std::iter::once(UNKNOWN).chain(list.iter().copied()).map(str::to_owned).collect()
}

/// A number without unit gets the one that is asked for.
pub fn with(text: &str, unit: &str) -> String {
    if text.parse::<f64>().is_ok() { format!("{text} {unit}") } else { text.to_owned() }
}

/// What a bare number is taken for.
pub fn offers(text: &str, unit: &str) -> Vec<String> {
    text.trim().parse::<f64>().ok().map(|_| with(text.trim(), unit)).into_iter().collect()
}

pub fn in_volts(text: &str) -> Vec<String> {
    offers(text, "V")
}

pub fn in_ohms(text: &str) -> Vec<String> {
    offers(text, "Ω")
}

pub fn in_watts(text: &str) -> Vec<String> {
    offers(text, "W")
}

pub fn ohms(text: &str) -> Result<Resistance, String> {
    positive(&with(text, "ohm"))
}

/// The heaters of the set, once its types are known.
pub fn told(set: &NewSet) -> Option<Heaters> {
    heaters(set).ok()
}

/// What feeds the set, as said or told.
pub fn feed(set: &NewSet) -> Feed {
    let line = told(set).is_some_and(|h| h.on_the_line);
    set.feed.unwrap_or(if line { Feed::Line } else { Feed::Transformer })
}

pub fn on_line(set: &NewSet) -> bool {
    feed(set) == Feed::Line
}

/// Types of the rectifier that were said, among the tubes or by themselves.
pub fn rectifiers(set: &NewSet) -> usize {
    let is = |name: &&String| Catalogue::built_in().rectifier(name).is_ok();
    set.rectifiers.len() + set.tubes.iter().filter(is).count()
}

/// Volts that the heaters leave over.
pub fn rest(set: &NewSet) -> f64 {
    (set.design_line.si() - told(set).map_or(0.0, |h| h.volts_v)).max(0.0)
}

/// Whether that is more than a rounding.
pub fn leaves_over(set: &NewSet) -> bool {
    told(set).is_some_and(|h| h.volts_v < 0.93 * set.design_line.si())
}

/// What the tubes tell of a transformer, which holds until more is known.
pub fn by_the_tubes(set: &NewSet) -> String {
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
pub fn circuits(set: &NewSet) -> Vec<RectifierCircuit> {
    let catalogue = Catalogue::built_in();
    let mut names = set.rectifiers.iter().chain(&set.tubes);
    let Some(kind) = names.find_map(|name| catalogue.rectifier(name).ok()) else {
        return Vec::new();
    };
    let kind = kind.item;
    let tubes = rectifiers(set) as u32;
    let diodes = if kind.wave == Wave::Half { tubes } else { 2 * tubes };
    let fits = RectifierCircuit::ALL.into_iter().filter(|c| {
        let facts = c.facts();
        let enough =
            facts.diodes <= diodes && !(facts.separate_cathodes && kind.wave == Wave::Full);
        let no_winding = *c == RectifierCircuit::FullWave && on_line(set);
        !no_winding && (kind.kind.is_dry() || enough)
    });
    fits.collect()
}

/// The names of the tubes as the catalogue has them, or what is wrong with one.
pub fn tubes(set: &mut NewSet, text: &str) -> Result<(), String> {
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

pub fn as_listed(text: &str) -> String {
    names::list(text).join(", ")
}
