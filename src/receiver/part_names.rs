//! Names of a set's parts, as drawings, tables and texts share them: T1, and C1, C2 … L1 … R1 …, each in order from the rectifier.
//! A divider's resistors are named within their chain, and so are not among them.

use super::{Model, Section, SectionKind};

/// The power transformer.
pub const TRANSFORMER: &str = "T1";

/// The capacitor in place `of` of all that the supplies have.
pub fn capacitor_part(of: usize) -> String {
    format!("C{}", of + 1)
}

/// The coil in place `of` of the model's.
pub fn coil_part(of: usize) -> String {
    format!("L{}", of + 1)
}

/// What the resistor in a plate lead is called in the network: by its plate from 1 on, and by what stands behind for that of a
/// second supply.
pub fn surge_resistor(plate: usize, of: &str) -> String {
    format!("surge resistor {plate}{of}")
}

/// What a name of the second supply ends with.
pub const OF_SECOND: &str = " of the second supply";

/// What the resistor in place `place` of the filters is called in the network.
pub fn filter_resistor(place: usize) -> String {
    format!("filter resistor {place}")
}

/// What the resistor in the line cord is called there.
pub const MAINS_RESISTOR: &str = "mains resistor";

impl Model {
    /// The name of the resistor that the network calls so; none for what came into the set as an adaptation.
    pub fn resistor_part(&self, called: &str) -> Option<String> {
        let place = self.resistors().position(|resistor| resistor == called)?;
        Some(format!("R{}", place + 1))
    }

    /// Every resistor of its own, as the network calls them: in the plate leads, in the filters, in the heater string, in the
    /// line cord.
    fn resistors(&self) -> impl Iterator<Item = String> {
        let second = self.second.as_ref().map(|second| (&second.rectifier, OF_SECOND));
        let rectifiers = [(&self.rectifier, "")].into_iter().chain(second);
        let surge = rectifiers.filter(|(rectifier, _)| rectifier.surge_ohms > 0.0);
        let surge = surge.flat_map(|(rectifier, of)| {
            let plates = if rectifier.circuit.is_tapped() { 2 } else { 1 };
            (1..=plates).map(move |plate| surge_resistor(plate, of))
        });
        let filter = self.filter.iter().enumerate();
        let filter = filter.filter(|(_, section)| matches!(section, Section::Resistor(..)));
        let filter = filter.map(|(place, _)| filter_resistor(place));
        let string = self.string.iter().flat_map(|string| string.all_sections());
        let string = string.filter(|s| matches!(s.kind, SectionKind::Resistor) && s.ohms > 0.0);
        let in_cord = self.mains_resistor.map(|_| MAINS_RESISTOR.to_owned());
        surge.chain(filter).chain(string.map(|s| s.name.clone())).chain(in_cord)
    }

    /// True for a part of the filters that a rule put in: the profile names none there.
    pub fn is_by_rule(&self, place: usize) -> bool {
        self.stated_parts.get(place).is_some_and(String::is_empty)
    }
}
