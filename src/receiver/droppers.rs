//! What stands in series with a heater string: its sections, less what lamps lie across.

use super::{
    Branch, Filament, Result, SectionKind, StringSection, error::flaw, shown, stated::Stated,
};
use crate::{
    profile::{DropperKind, HeaterBranch, HeaterString, LampPlace, LampUse, StringDropper},
    quantity::Quantity,
};

/// The droppers of a string of `amps` while its lamps are hung on them.
pub struct Droppers<'p> {
    written: &'p [StringDropper],
    amps: f64,
    /// Of each dropper, Ω that lie beside a lamp, and the volts there.
    beside: Vec<(f64, f64)>,
}

impl<'p> Droppers<'p> {
    pub fn of(string: &'p HeaterString, amps: f64) -> Droppers<'p> {
        let written = string.droppers.as_slice();
        Droppers { written, amps, beside: vec![(0.0, 0.0); written.len()] }
    }

    /// What stands beside `lamp`: its own shunt, or the section of the dropper that it lies across, Ω.
    ///
    /// # Errors
    /// A lamp across a dropper that the string does not have, that takes the whole current, or that leaves nothing of it.
    pub fn beside(&mut self, index: usize, lamp: &LampUse) -> Result<Option<f64>> {
        let stated = lamp.shunt.si();
        let (is, word): (fn(&DropperKind) -> bool, _) = match lamp.across {
            Some(LampPlace::Ballast) => (|k| matches!(k, DropperKind::Ballast { .. }), "ballast"),
            Some(LampPlace::Cord) => (|k| matches!(k, DropperKind::LineCord { .. }), "line-cord"),
            Some(LampPlace::Dropper) => (|k| matches!(k, DropperKind::Resistor(_)), "resistor"),
            _ => return Ok(stated),
        };
        let wrong =
            |what: String, advice: &str| flaw(what, format!("lamps[{index}].across"), advice);
        let Some(place) = self.written.iter().position(|d| is(&d.kind)) else {
            return Err(wrong(
                format!("the heater string has no dropper of `kind: {word}` for the lamp"),
                "write `across: string` for a lamp in series with the heaters, or describe the dropper",
            ));
        };
        let Filament { volts, amps: takes, .. } = Filament::lamp(lamp);
        let own = match self.written[place].kind {
            DropperKind::Ballast { lamp, .. } if self.beside[place].0 == 0.0 => lamp,
            _ => None,
        };
        let by_rule = || (takes < self.amps).then(|| volts / (self.amps - takes));
        let Some(ohms) = stated.or(own.map(|own| own.section_ohms())).or_else(by_rule) else {
            return Err(wrong(
                format!(
                    "the lamp takes {}, and the string carries {}",
                    shown(takes, "A"),
                    shown(self.amps, "A")
                ),
                "write `across: string` for a lamp that takes the whole current, or the resistance beside it as `shunt:`",
            ));
        };
        // a lamp within a few volts of its rating is as good as a resistor
        let across = self.amps / (1.0 / ohms + takes / volts);
        let (sum, at) = &mut self.beside[place];
        (*sum, *at) = (*sum + ohms, *at + across);
        if self.rest(place) < 0.0 {
            return Err(wrong(
                format!(
                    "the section beside the lamp, {}, is more than the dropper has",
                    shown(ohms, "Ω")
                ),
                "check the dropper's figures and the lamp's `shunt:`, which is the resistance of that section",
            ));
        }
        Ok(Some(ohms))
    }

    /// What is left of a dropper in series, Ω.
    fn rest(&self, place: usize) -> f64 {
        let (beside, volts) = self.beside[place];
        match &self.written[place].kind {
            DropperKind::Resistor(ohms) | DropperKind::LineCord { ohms, .. } => ohms.si() - beside,
            // the volts of a ballast are those with its lamp lit; with no lamp its section is wire in series
            DropperKind::Ballast { volts: all, current, lamp, .. } => match lamp {
                Some(lamp) if beside == 0.0 => {
                    (all.si() - lamp.volts) / current.si() + lamp.section_ohms()
                }
                _ => (all.si() - volts) / current.si(),
            },
            DropperKind::Capacitor { surge: own, .. } | DropperKind::Diode { resistance: own } => {
                own.si_or(0.0)
            }
            DropperKind::Barretter { .. } => 0.0,
        }
    }

    /// The barretter, with its name.
    pub fn barretter(&self) -> Option<(String, Filament)> {
        self.written.iter().find_map(|d| match &d.kind {
            DropperKind::Barretter { name, current, holds: (from, to), within } => {
                let holds = (from.si(), to.si());
                let law = Filament::barretter(current.si(), holds, *within);
                Some((called("barretter", name.as_deref()), law))
            }
            _ => None,
        })
    }

    /// Everything else, in order.
    pub fn sections(&self) -> Vec<StringSection> {
        let is_plain = |d: &&StringDropper| {
            matches!(d.kind, DropperKind::Resistor(_) | DropperKind::LineCord { .. })
        };
        let plain = self.written.iter().filter(is_plain);
        let several = plain.count() > 1;
        let mut number = 0;
        let all = self.written.iter().enumerate();
        all.filter_map(|(place, dropper)| {
            let (kind, name) = match &dropper.kind {
                DropperKind::Resistor(_) => {
                    number += 1;
                    let number = several.then(|| number.to_string());
                    (SectionKind::Resistor, called("heater dropper", number.as_deref()))
                }
                DropperKind::LineCord { metres, .. } => {
                    let name = if several { "resistance cord" } else { "heater dropper" };
                    (SectionKind::Cord(*metres), name.to_owned())
                }
                DropperKind::Ballast { name, .. } => {
                    (SectionKind::Ballast, called("ballast", name.as_deref()))
                }
                DropperKind::Capacitor { value, bleeder, rated, .. } => {
                    let kind = SectionKind::Capacitor {
                        farads: value.si(),
                        bleeder: bleeder.si(),
                        rated: rated.si(),
                    };
                    (kind, "capacitor dropper".to_owned())
                }
                DropperKind::Diode { .. } => (SectionKind::Diode, "diode dropper".to_owned()),
                DropperKind::Barretter { .. } => return None,
            };
            let watts = dropper.rated.si();
            Some(StringSection { name, kind, ohms: self.rest(place), watts })
        })
        .collect()
    }
}

/// A branch of so many amperes with its own resistors, and nothing in it yet.
pub fn branch(HeaterBranch { name, group, droppers }: &HeaterBranch, amps: f64) -> Branch {
    let section = |(number, dropper): (usize, &StringDropper)| {
        let number = (droppers.len() > 1).then(|| number.to_string());
        StringSection {
            name: format!("{} of branch {name}", called("dropper", number.as_deref())),
            kind: SectionKind::Resistor,
            ohms: match dropper.kind {
                DropperKind::Resistor(ohms) => ohms.si(),
                _ => 0.0,
            },
            watts: dropper.rated.si(),
        }
    };
    let sections = (1..).zip(droppers).map(section).collect();
    Branch { name: name.clone(), group: *group, amps, sections, links: vec![] }
}

fn called(what: &str, name: Option<&str>) -> String {
    name.map_or_else(|| what.to_owned(), |name| format!("{what} {name}"))
}
