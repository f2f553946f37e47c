//! The heater string of a set without a transformer: its links, its dropper, its lamps.

use super::droppers;
use super::error::ReceiverError;
use super::model::{Filament, HeaterLine, HeaterWinding, Model, TurnsFrom};
use super::thermal::{HEATER_EXPONENT, LAMP_EXPONENT};
use crate::catalogue::TubeType;
use crate::catalogue::WarmUp;
use crate::profile::{HeaterString, LampPlace, Profile, RectifierUse};
use crate::quantity::{Current, Quantity, show};

/// Heaters count as of one current within this share (heaters of a series string are of one current: tube manuals †).
const SAME_CURRENT: f64 = 0.06;

/// The string as completed.
pub(super) struct Completed {
    pub links: Vec<HeaterWinding>,
    pub line: HeaterLine,
    /// Link of the rectifier's heater (of its larger part where it has a tap).
    pub rectifier: Option<usize>,
    /// Link of the heater of a second supply's own rectifier.
    pub second: Option<usize>,
    /// True if the rectifier's plate hangs on the tap.
    pub plate_on_tap: bool,
}

/// Volts and amperes of a heater in a string of `amps`, if it belongs there.
fn heater_in(tube: &TubeType, amps: f64) -> Option<(f64, f64)> {
    let mut ways = tube.heater_ways().map(|(v, i)| (v.si(), i.si()));
    ways.find(|(_, i)| (i / amps - 1.0).abs() <= SAME_CURRENT)
}

fn link(name: String, filament: Filament, feeds_tubes: bool) -> HeaterWinding {
    HeaterWinding {
        name,
        rated: filament.volts,
        // no winding: never read
        turns_from: TurnsFrom { volts: filament.volts, open: true, at_line: 1.0 },
        resistance: 0.0,
        shunt_ohms: None,
        filaments: vec![filament],
        feeds_tubes,
    }
}

/// A name no other link has: a type that occurs twice gets a number.
fn unique(links: &[HeaterWinding], name: &str) -> String {
    let taken = |n: &str| links.iter().any(|l| l.name == n);
    let plain = name.replace(' ', "-");
    if !taken(&plain) {
        return plain;
    }
    (2..).map(|n| format!("{plain}-{n}")).find(|n| !taken(n)).unwrap_or(plain)
}

impl Model {
    /// Rated voltage of each heater and lamp of the string, V, a tapped heater as one; none without a string. A barretter
    /// is none of them.
    pub fn heaters_in_series(&self) -> Vec<f64> {
        let mut rated: Vec<f64> = Vec::new();
        let Some(string) = &self.string else {
            return rated;
        };
        for (place, link) in self.windings.iter().enumerate() {
            let first = link.filaments.first().filter(|_| string.barretter != Some(place));
            match (first, rated.last_mut()) {
                (None, _) => {}
                (Some(rest), Some(tapped)) if string.tap.is_some_and(|tap| tap + 1 == place) => {
                    *tapped += rest.volts;
                }
                (Some(heater), _) => rated.push(heater.volts),
            }
        }
        rated
    }
}

/// The string of `profile`.
///
/// # Errors
/// A heater of another current than the rest, a lamp on a tap that the rectifier does not have.
pub(super) fn complete(
    profile: &Profile,
    string: &HeaterString,
) -> Result<Completed, ReceiverError> {
    let kind = &profile.rectifier.kind;
    // a tube with the rectifier in its own bulb has one heater for both
    let in_a_tube =
        profile.tubes.iter().position(|t| t.kind.names().any(|n| kind.names().any(|k| k == n)));
    let own_heater = !kind.kind.is_dry() && in_a_tube.is_none();
    let amps = if own_heater {
        kind.filament_amps.si()
    } else {
        profile.tubes.iter().map(|t| t.kind.heater_amps.si()).fold(0.0, f64::max)
    };
    let mut links: Vec<HeaterWinding> = Vec::new();
    let mut rectifier = None;
    let on_tap: Vec<_> = profile
        .lamps
        .iter()
        .enumerate()
        .filter(|(_, l)| l.across == Some(LampPlace::Tap))
        .collect();
    let mut tap = None;
    if own_heater {
        let volts = kind.filament_volts.si() * f64::from(profile.rectifier.count);
        let filament = |volts: f64| Filament {
            volts,
            amps,
            exponent: HEATER_EXPONENT,
            holds: None,
            socket: None,
            warm_up: kind.warm_up(),
        };
        if let Some((index, _)) = on_tap.first() {
            let Some(tap_v) = kind.lamp_tap.map(Quantity::si) else {
                return Err(ReceiverError::Contradiction {
                    what: format!(
                        "the heater of the rectifier {} has no tap for a lamp",
                        kind.name
                    ),
                    key: format!("lamps[{index}].across"),
                    advice: "write `across: string` for a lamp in series with the heaters"
                        .to_owned(),
                });
            };
            tap = Some(0);
            let mut part = link(format!("{}-tap", kind.name), filament(tap_v), false);
            // what it gets depends on the lamp beside it, so nothing is rated
            part.rated = 0.0;
            for (_, lamp) in &on_tap {
                part.filaments.push(Filament {
                    volts: lamp.kind.volts.si(),
                    amps: lamp.kind.amps.si() * f64::from(lamp.count),
                    exponent: LAMP_EXPONENT,
                    holds: None,
                    socket: None,
                    warm_up: WarmUp::lamp(),
                });
                part.shunt_ohms = part.shunt_ohms.or(lamp.shunt.map(Quantity::si));
            }
            links.push(part);
            links.push(link(kind.name.clone(), filament(volts - tap_v), false));
        } else {
            links.push(link(unique(&links, &kind.name), filament(volts), false));
        }
        rectifier = Some(links.len() - 1);
    } else if let Some((index, _)) = on_tap.first() {
        return Err(ReceiverError::Contradiction {
            what: "this set's rectifier has no heater of its own, and so no tap for a lamp"
                .to_owned(),
            key: format!("lamps[{index}].across"),
            advice: "write `across: string` for a lamp in series with the heaters".to_owned(),
        });
    }
    let own = profile.second_supply.as_ref().filter(|s| !s.shared).map(|s| &s.rectifier);
    let second = match own.filter(|used| !used.kind.kind.is_dry()) {
        Some(used) => Some(second_link(used, amps, &mut links)?),
        None => None,
    };
    for (index, tube) in profile.tubes.iter().enumerate() {
        let Some((volts, amps)) = heater_in(&tube.kind, amps) else {
            return Err(ReceiverError::Contradiction {
                what: other_current(&tube.kind.name, tube.kind.heater_amps, amps),
                key: format!("tubes[{index}].type"),
                advice: "check the type; a heater with a resistor beside it is written under `types:` with the current of both".to_owned(),
            });
        };
        let filament = Filament {
            volts,
            amps,
            exponent: HEATER_EXPONENT,
            holds: None,
            socket: Some(index),
            warm_up: tube.kind.warm_up(),
        };
        for _ in 0..tube.count {
            if in_a_tube == Some(index) {
                rectifier = Some(links.len());
            }
            links.push(link(unique(&links, &tube.kind.name), filament, true));
        }
    }
    let mut droppers = droppers::Droppers::of(string, amps);
    let mut beside = Vec::new();
    for (index, lamp) in profile.lamps.iter().enumerate() {
        if lamp.across == Some(LampPlace::Tap) {
            continue;
        }
        let filament = Filament {
            volts: lamp.kind.volts.si(),
            amps: lamp.kind.amps.si() * f64::from(lamp.count),
            exponent: LAMP_EXPONENT,
            holds: None,
            socket: None,
            warm_up: WarmUp::lamp(),
        };
        let mut part = link(unique(&links, &lamp.kind.name), filament, false);
        part.shunt_ohms = droppers.beside(index, lamp)?;
        if lamp.across != Some(LampPlace::String) {
            beside.push(links.len());
        }
        links.push(part);
    }
    let barretter = droppers.barretter();
    if let Some((name, filament)) = barretter.clone() {
        let mut part = link(unique(&links, &name), filament, false);
        // it has a range, not one figure
        part.rated = 0.0;
        links.push(part);
    }
    let line = HeaterLine {
        sections: droppers.sections(),
        tap,
        beside,
        barretter: barretter.map(|_| links.len() - 1),
    };
    Ok(Completed { links, line, rectifier, second, plate_on_tap: tap.is_some() })
}

fn other_current(name: &str, takes: Current, amps: f64) -> String {
    format!(
        "the {name} takes {}, and the heater string carries {}: heaters in series must be of one current",
        show(takes),
        show(Current::from_si(amps)),
    )
}

/// Links the heaters of a second supply's own rectifier; where.
fn second_link(
    used: &RectifierUse,
    amps: f64,
    links: &mut Vec<HeaterWinding>,
) -> Result<usize, ReceiverError> {
    let kind = &used.kind;
    if (kind.filament_amps.si() / amps - 1.0).abs() > SAME_CURRENT {
        return Err(ReceiverError::Contradiction {
            what: other_current(&kind.name, kind.filament_amps, amps),
            key: "second_supply.rectifier.type".to_owned(),
            advice: "check the type".to_owned(),
        });
    }
    let filament = Filament {
        volts: kind.filament_volts.si() * f64::from(used.count),
        amps,
        exponent: HEATER_EXPONENT,
        holds: None,
        socket: None,
        warm_up: kind.warm_up(),
    };
    links.push(link(unique(links, &kind.name), filament, false));
    Ok(links.len() - 1)
}
