//! Heater windings, and the filaments that hang on them.

use super::{
    Filament, HeaterWinding, Number, Result, TurnsFrom, error::flaw, iron_and_copper::turns_from,
    ledger::Ledger,
};
use crate::{
    catalogue::{Heating, TubeType},
    profile::Profile,
    quantity::Quantity,
};

/// A heater belongs on a winding whose volts are within this share of its own.
const FIT: f64 = 0.12;
/// The same of a lamp: one of 6 to 8 V sits on the 6.3 V winding.
const LAMP_FIT: f64 = 0.25;

/// How far the volts of a winding are off those of what may hang on it, as a share.
fn off(winding_volts: f64, volts: f64) -> f64 {
    (winding_volts / volts - 1.0).abs()
}

/// Volts and amperes of a tube's heater on a winding of `winding_volts`, if it belongs there.
fn heater_on(tube: &TubeType, winding_volts: f64) -> Option<(f64, f64)> {
    let mut ways = tube.heater_ways().map(|(v, i)| (v.si(), i.si()));
    ways.find(|(v, _)| off(winding_volts, *v) <= FIT)
}

/// The windings that a profile states, else those that its tubes and rectifiers need.
pub fn windings(ledger: &mut Ledger) -> Vec<HeaterWinding> {
    let profile = ledger.profile;
    let stated = profile.transformer.heater_windings.iter().enumerate().map(|(index, winding)| {
        let what = format!("{} winding's voltage", winding.name);
        let turns = turns_from(&winding.volts, &what, Number::WindingVolts.of(index), ledger);
        // what the winding gives on the design line tells what belongs on it
        let rated = turns.volts * ledger.line / turns.at_line;
        HeaterWinding::new(winding.name.clone(), rated, turns)
    });
    let stated: Vec<HeaterWinding> = stated.collect();
    if !stated.is_empty() {
        return stated;
    }
    let needed = needed(profile).into_iter().enumerate().map(|(index, (name, volts))| {
        let what = format_args!("{name} winding, loaded");
        let rule = "the rated voltage of what it heats, at the design line";
        let volts = ledger.take(Number::WindingVolts.of(index), what, volts, 0.05, rule);
        let turns = TurnsFrom { volts, open: false, at_line: ledger.line };
        HeaterWinding::new(name, volts, turns)
    });
    needed.collect()
}

/// Windings to take where a profile names none: one for the tubes, one for a directly heated rectifier.
fn needed(profile: &Profile) -> Vec<(String, f64)> {
    let mut list: Vec<(String, f64)> = vec![];
    for tube in &profile.tubes {
        if !list.iter().any(|(_, v)| heater_on(&tube.kind, *v).is_some()) {
            let name = match list.len() {
                0 => "main".to_owned(),
                others => format!("heaters {}", others + 1),
            };
            list.push((name, tube.kind.heater_volts.si()));
        }
    }
    // the winding of a tube that gave way to a dry rectifier is still there
    let main = profile.rectifier.replaces.as_ref().unwrap_or(&profile.rectifier.kind);
    let own = profile.second_supply.as_ref().filter(|s| !s.shared).map(|s| &s.rectifier.kind);
    for (kind, name) in [(main, "rectifier")].into_iter().chain(own.zip(Some("rectifier 2"))) {
        let volts = kind.filament_volts.si();
        // filaments that are cathodes of two supplies cannot be joined
        let shared =
            kind.heating == Heating::Indirect && list.iter().any(|(_, v)| off(*v, volts) <= FIT);
        if !kind.kind.is_dry() && !shared {
            list.push((name.to_owned(), volts));
        }
    }
    list
}

/// Whether a winding is kept for the rectifier.
fn is_rectifiers(winding: &HeaterWinding) -> bool {
    winding.name == "rectifier"
}

/// Place of the winding of that name.
fn called(windings: &[HeaterWinding], name: Option<&str>) -> Option<usize> {
    windings.iter().position(|w| Some(w.name.as_str()) == name)
}

/// The winding for a heater of `volts`: the one named, else the one whose volts fit.
pub fn winding_for(
    windings: &[HeaterWinding],
    named: Option<&str>,
    volts: f64,
    what: &str,
    key: &str,
    for_rectifier: bool,
) -> Result<usize> {
    // the nearest that fits; a winding called "rectifier" is kept for one
    let rank = |w: &HeaterWinding| (is_rectifiers(w) != for_rectifier, off(w.rated, volts));
    let fitting = windings.iter().enumerate().filter(|(_, w)| off(w.rated, volts) <= FIT);
    let nearest = fitting.min_by(|(_, a), (_, b)| {
        let ((kept, off), (other_kept, other_off)) = (rank(a), rank(b));
        kept.cmp(&other_kept).then(off.total_cmp(&other_off))
    });
    called(windings, named).or(nearest.map(|(place, _)| place)).ok_or_else(|| {
        let name = if for_rectifier { "rectifier" } else { "second" };
        flaw(
            format!("the winding that heats the {what} ({volts} V) is not known"),
            key,
            format!(
                "check the type, or add the winding under `transformer: heater_windings:`, such as `{name}: {{ volts: {volts} V }}`"
            ),
        )
    })
}

/// Hangs the tubes' heaters and the lamps on their windings.
pub fn hang_filaments(profile: &Profile, windings: &mut [HeaterWinding]) -> Result<()> {
    for (index, tube) in profile.tubes.iter().enumerate() {
        let (kind, key) = (&tube.kind, format!("tubes[{index}].type"));
        let rated = kind.heater_volts.si();
        let fitting = windings.iter().find(|w| heater_on(kind, w.rated).is_some());
        let fitting = fitting.map_or(rated, |w| w.rated);
        let place =
            winding_for(windings, tube.heater.as_deref(), fitting, &tube.label, &key, false)?;
        let winding = &mut windings[place];
        let (volts, amps) =
            heater_on(kind, winding.rated).unwrap_or((rated, kind.heater_amps.si()));
        winding.feeds_tubes = true;
        let takes = (volts, amps * f64::from(tube.count));
        winding.filaments.push(Filament::heater(takes, Some(index), kind.warm_up()));
    }
    for (index, lamp) in profile.lamps.iter().enumerate() {
        let volts = lamp.kind.volts.si();
        let fits = |w: &HeaterWinding| !is_rectifiers(w) && off(w.rated, volts) <= LAMP_FIT;
        let place = called(windings, lamp.fed_by.as_deref())
            .or_else(|| windings.iter().position(fits))
            .ok_or_else(|| {
                flaw(
                    format!("the winding that feeds the dial lamp {} is not known", lamp.kind.name),
                    format!("lamps[{index}].type"),
                    "name it with `fed_by:`",
                )
            })?;
        windings[place].filaments.push(Filament::lamp(lamp));
    }
    Ok(())
}

/// What is rated is what hangs on a winding, not the winding: the tubes' heaters, else the rectifier's, else lamps'.
pub fn rate(windings: &mut [HeaterWinding]) {
    for winding in windings {
        let tubes = winding.filaments.iter().find(|f| f.socket.is_some());
        if let Some(filament) = tubes.or(winding.filaments.first()) {
            winding.rated = filament.volts;
        }
    }
}

/// The windings' copper.
pub fn copper(windings: &mut [HeaterWinding], ledger: &mut Ledger) {
    let stated = &ledger.profile.transformer.heater_windings;
    for (index, winding) in windings.iter_mut().enumerate() {
        let own = stated.get(index).and_then(|w| w.resistance);
        let amps: f64 = winding.filaments.iter().map(|f| f.amps).sum();
        let what = format_args!("copper of the {} winding", winding.name);
        winding.resistance = match own {
            None if amps <= 0.0 => 0.1,
            own => ledger.or(
                own,
                Number::WindingResistance.of(index),
                what,
                0.04 * winding.rated / amps,
                0.5,
                "4 % of the winding's load resistance (0.1 Ω at 6.3 V 2.5 A; common practice, no source)",
            ),
        };
    }
}
