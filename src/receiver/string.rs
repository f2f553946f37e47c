//! The heater string of a set without a transformer: its links, its branches, its dropper, its lamps.

use super::branches::{Currents, heater_in, same};
use super::droppers;
use super::error::ReceiverError;
use super::model::{Filament, HeaterLine, HeaterWinding, Model, Rung, TurnsFrom};
use super::thermal::{HEATER_EXPONENT, LAMP_EXPONENT};
use crate::catalogue::{Named, WarmUp};
use crate::profile::{HeaterString, LampPlace, LampUse, Profile, RectifierUse};
use crate::quantity::{Current, Quantity, show};

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
    /// Rated voltage of each heater and lamp of the string, V, a tapped heater as one and branches side by side as one, with
    /// what drops in the first of them; none without a string. A barretter is none of them.
    pub fn heaters_in_series(&self) -> Vec<f64> {
        let Some(string) = &self.string else {
            return Vec::new();
        };
        let of = |place: usize| {
            let first = self.windings.get(place)?.filaments.first();
            first.filter(|_| string.barretter != Some(place)).map(|f| f.volts)
        };
        let rung = |rung: Rung| match rung {
            Rung::Link(place) => of(place),
            Rung::Group(side_by_side) => {
                let branch = &string.branches[*side_by_side.first()?];
                let own: f64 = branch.sections.iter().map(|s| s.ohms * branch.amps).sum();
                Some(own + branch.links.iter().filter_map(|i| of(*i)).sum::<f64>())
            }
        };
        let mut rated: Vec<f64> =
            string.rungs(self.windings.len()).into_iter().filter_map(rung).collect();
        // the rest of a tapped heater comes first
        if let (Some(first), Some(tapped)) = (rated.first_mut(), string.tap.and_then(of)) {
            *first += tapped;
        }
        rated
    }
}

/// The filament of a lamp.
fn lit(lamp: &LampUse) -> Filament {
    Filament {
        volts: lamp.kind.volts.si(),
        amps: lamp.kind.amps.si() * f64::from(lamp.count),
        exponent: LAMP_EXPONENT,
        holds: None,
        socket: None,
        warm_up: WarmUp::lamp(),
    }
}

/// The string of `profile`.
///
/// # Errors
/// A heater of another current than the rest, branches that do not add up to the string's current, a lamp on a tap that the
/// rectifier does not have.
pub(super) fn complete(
    profile: &Profile,
    string: &HeaterString,
) -> Result<Completed, ReceiverError> {
    let kind = &profile.rectifier.kind;
    // a tube with the rectifier in its own bulb has one heater for both
    let in_a_tube = profile.tubes.iter().position(|t| t.kind.shares_a_name(kind));
    let own_heater = !kind.kind.is_dry() && in_a_tube.is_none();
    let currents = Currents::of(profile, string, own_heater)?;
    let amps = currents.string;
    let mut branches = droppers::branches(string, &currents.branches);
    let mut links: Vec<HeaterWinding> = Vec::new();
    let mut rectifier = None;
    let on_tap: Vec<_> = profile
        .lamps
        .iter()
        .enumerate()
        .filter(|(_, l)| l.across == Some(LampPlace::Tap))
        .collect();
    let no_tap = |index: usize, what: String| ReceiverError::Contradiction {
        what,
        key: format!("lamps[{index}].across"),
        advice: "write `across: string` for a lamp in series with the heaters".to_owned(),
    };
    let mut tap = None;
    if own_heater {
        let volts = kind.filament_volts.si() * f64::from(profile.rectifier.count);
        let branch = currents.place(profile.rectifier.fed_by.as_deref());
        let filament = |volts: f64| Filament {
            volts,
            amps: kind.filament_amps.si(),
            exponent: HEATER_EXPONENT,
            holds: None,
            socket: None,
            warm_up: kind.warm_up(),
        };
        if let Some((index, _)) = on_tap.first() {
            let Some(tap_v) = kind.lamp_tap.map(Quantity::si) else {
                let what = "has no tap for a lamp";
                return Err(no_tap(
                    *index,
                    format!("the heater of the rectifier {} {what}", kind.name),
                ));
            };
            if let Some(branch) = branch {
                let name = &branches[branch].name;
                return Err(no_tap(
                    *index,
                    format!(
                        "the rectifier's heater lies in the branch {name}, and a lamp on its tap is not modelled there"
                    ),
                ));
            }
            tap = Some(0);
            let mut part = link(format!("{}-tap", kind.name), filament(tap_v), false);
            // what it gets depends on the lamp beside it, so nothing is rated
            part.rated = 0.0;
            for (_, lamp) in &on_tap {
                part.filaments.push(lit(lamp));
                part.shunt_ohms = part.shunt_ohms.or(lamp.shunt.map(Quantity::si));
            }
            links.push(part);
            links.push(link(kind.name.clone(), filament(volts - tap_v), false));
        } else {
            links.push(link(unique(&links, &kind.name), filament(volts), false));
        }
        rectifier = Some(links.len() - 1);
        if let Some(branch) = branch {
            branches[branch].links.push(links.len() - 1);
        }
    } else if let Some((index, _)) = on_tap.first() {
        let what = "this set's rectifier has no heater of its own, and so no tap for a lamp";
        return Err(no_tap(*index, what.to_owned()));
    }
    let own = profile.second_supply.as_ref().filter(|s| !s.shared).map(|s| &s.rectifier);
    let second = match own.filter(|used| !used.kind.kind.is_dry()) {
        Some(used) => {
            let branch = currents.place(used.fed_by.as_deref());
            let second = second_link(used, currents.of_branch(branch), &mut links)?;
            if let Some(branch) = branch {
                branches[branch].links.push(second);
            }
            Some(second)
        }
        None => None,
    };
    for (index, tube) in profile.tubes.iter().enumerate() {
        let branch = currents.place(tube.heater.as_deref());
        let shunt = tube.heater_shunt.map(Quantity::si);
        let Some((volts, amps)) = heater_in(&tube.kind, currents.of_branch(branch), shunt) else {
            return Err(currents.odd(index, tube));
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
            if let Some(branch) = branch {
                branches[branch].links.push(links.len());
            }
            let name = unique(&links, &tube.kind.name);
            links.push(HeaterWinding { shunt_ohms: shunt, ..link(name, filament, true) });
        }
    }
    let mut droppers = droppers::Droppers::of(string, amps);
    let mut beside = Vec::new();
    for (index, lamp) in profile.lamps.iter().enumerate() {
        if lamp.across == Some(LampPlace::Tap) {
            continue;
        }
        let mut part = link(unique(&links, &lamp.kind.name), lit(lamp), false);
        part.shunt_ohms = droppers.beside(index, lamp)?;
        if lamp.across != Some(LampPlace::String) {
            beside.push(links.len());
        }
        if let Some(branch) = currents.place(lamp.fed_by.as_deref()) {
            branches[branch].links.push(links.len());
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
        amps,
        sections: droppers.sections(),
        tap,
        beside,
        barretter: barretter.map(|_| links.len() - 1),
        branches,
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
    if !same(kind.filament_amps.si(), amps) {
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
