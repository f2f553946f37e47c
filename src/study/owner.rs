//! Whose a figure is, and what the owners are called.

use super::{HeaterReading, Reading};

/// Whose a figure is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Owner {
    Set,
    /// The part in the lead: told only where there is one.
    Part,
    Rectifier,
    Heater,
    Capacitor,
    Coil,
    FilterResistor,
    Tap,
    /// What drops volts inside the set.
    Dropper,
    /// Tubes that draw B+ current.
    Tube,
}

impl Owner {
    /// Names of all there are, as the profile or a rule gives them.
    pub fn names(self, r: &Reading) -> Vec<&str> {
        fn all<T>(list: &[T], name: fn(&T) -> &str) -> Vec<&str> {
            list.iter().map(name).collect()
        }
        match self {
            Owner::Set | Owner::Part => vec![""],
            Owner::Rectifier => r.rectifiers().map(|r| r.name.as_str()).collect(),
            Owner::Heater => all(&r.heaters, |h| &h.winding),
            Owner::Capacitor => all(&r.capacitors, |c| &c.name),
            Owner::Coil => all(&r.coils, |c| &c.name),
            Owner::FilterResistor => all(&r.filter_resistors, |f| &f.name),
            Owner::Tap => all(&r.taps, |t| &t.name),
            Owner::Dropper => all(&r.droppers, |d| &d.name),
            Owner::Tube => all(&r.tubes, |t| &t.name),
        }
    }

    /// The name in drawings and tables of the one in place `of`, such as C1, where such ones have one.
    pub fn part(self, r: &Reading, of: usize) -> Option<String> {
        match self {
            Owner::Capacitor => Some(r.capacitors.get(of)?.part.clone()),
            Owner::Coil => Some(r.coils.get(of)?.part.clone()),
            Owner::FilterResistor => Some(r.filter_resistors.get(of)?.part.clone()),
            Owner::Dropper => r.droppers.get(of)?.part.clone(),
            Owner::Set
            | Owner::Part
            | Owner::Rectifier
            | Owner::Heater
            | Owner::Tap
            | Owner::Tube => None,
        }
    }

    /// `pattern` with its `{n}` (from 1), its `{name}`, `{which}`: the name, numbered where several share it, `{lead}`: what the
    /// mains comes to first in the set, `{reservoir}`: where the filter begins, and `{heater}`: what has heater volts.
    pub fn fill(self, pattern: &str, r: &Reading, of: usize) -> String {
        let (n, names) = ((of + 1).to_string(), self.names(r));
        let name = names.get(of).copied().unwrap_or_default();
        let which = if names.iter().filter(|other| **other == name).count() > 1 {
            format!("{name} {n}")
        } else {
            name.to_owned()
        };
        let first = r.transformer.is_some() && r.mains_resistor().is_none();
        let lead = if first { "primary" } else { "line cord" };
        let reservoir = match r.rectifier.doubles {
            true => "voltage doubler, output",
            false => "filter capacitor 1, + side",
        };
        let heater = r.heaters.get(of).map_or("", HeaterReading::kind);
        let words = [
            ("{n}", &*n),
            ("{lead}", lead),
            ("{reservoir}", reservoir),
            ("{heater}", heater),
            ("{which}", &which),
            ("{name}", name),
        ];
        words.into_iter().fold(pattern.to_owned(), |text, (place, word)| text.replace(place, word))
    }

    /// Whether the tolerances watch it: windings that feed tubes, output tubes.
    pub fn is_watched(self, r: &Reading, of: usize) -> bool {
        match self {
            Owner::Heater => r.heaters.get(of).is_some_and(|h| h.feeds_tubes),
            Owner::Tube => r.tubes.get(of).is_some_and(|t| t.output),
            Owner::Set
            | Owner::Part
            | Owner::Rectifier
            | Owner::Capacitor
            | Owner::Coil
            | Owner::FilterResistor
            | Owner::Tap
            | Owner::Dropper => true,
        }
    }
}
