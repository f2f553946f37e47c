//! The filter, and the dividers that hang on it.

use super::wiring::Wiring;
use crate::{
    circuit::{Node, REFERENCE},
    receiver::{Divider, Lead, Model, OPEN_OHMS, Result, Section, part_names::filter_resistor},
};

impl Model {
    /// The lead a part of a filter stands in; none for a capacitor.
    pub(super) fn lead_of(&self, section: &Section) -> Option<Lead> {
        match section {
            Section::Capacitor(..) => None,
            Section::Coil(i) => Some(self.coils[*i].lead),
            Section::Resistor(lead, ..) => Some(*lead),
        }
    }
}

impl Wiring<'_> {
    /// A filter: a positive rail from a rectifier's cathode to its output and a negative one from the center tap to chassis,
    /// with capacitors across wherever the profile puts them; the output, and the positive side of the first capacitor.
    pub fn filter(
        &mut self,
        sections: &[Section],
        (mut positive, mut negative): (Node, Node),
    ) -> Result<(Node, Node)> {
        let (model, first) = (self.model, self.at.filter.len());
        let in_negative = |s: &&Section| model.lead_of(s) == Some(Lead::Negative);
        let mut left = sections.iter().filter(in_negative).count();
        // behind a doubler the reservoir is its output
        let doubled = first == 0 && !self.at.capacitors.is_empty();
        let mut reservoir = doubled.then_some(positive);
        for (place, section) in sections.iter().enumerate() {
            let place = first + place;
            let rail = |sign: &str| format!("{sign} rail {place}");
            let (from, to) = match model.lead_of(section) {
                None | Some(Lead::Across) => (positive, negative),
                Some(Lead::Negative) => {
                    left -= 1;
                    let next = if left == 0 { REFERENCE } else { self.node(rail("negative")) };
                    (next, std::mem::replace(&mut negative, next))
                }
                Some(Lead::Positive) => {
                    let next = self.node(rail("positive"));
                    (std::mem::replace(&mut positive, next), next)
                }
            };
            match section {
                Section::Capacitor(farads, marked) => {
                    self.supply_capacitor((from, to), (*farads, *marked))?;
                    reservoir.get_or_insert(from);
                }
                Section::Coil(index) => self.coil(*index, from, to)?,
                Section::Resistor(_, ohms, _) => {
                    self.net.resistor(filter_resistor(place), from, to, *ohms)?;
                }
            }
            self.at.filter.push((from, to));
        }
        Ok((positive, reservoir.unwrap_or(positive)))
    }

    fn coil(&mut self, index: usize, from: Node, to: Node) -> Result<()> {
        let coil = &self.model.coils[index];
        let inner = self.node(format_args!("inside {} {index}", coil.name));
        self.net.inductor(&coil.name, from, inner, coil.inductance)?;
        let open = self.fault.is_some_and(|f| f.opens(coil));
        let ohms = if open { OPEN_OHMS } else { self.slow.coil_ohms[index] };
        let copper = self.net.resistor(format_args!("{} copper", coil.name), inner, to, ohms)?;
        self.at.coils.push((from, to, copper));
        Ok(())
    }

    /// A divider with its taps.
    pub fn divider(&mut self, divider: &Divider) -> Result<()> {
        let name = &divider.name;
        let mut at = self.at.named(&divider.from);
        let lower = self.at.named(&divider.to);
        let mut nodes = vec![at];
        let last = divider.resistors.len();
        for (arm, ohms) in (1..).zip(&divider.resistors) {
            let next = if arm == last { lower } else { self.node(format_args!("{name} {arm}")) };
            self.net.resistor(format_args!("{name} arm {arm}"), at, next, *ohms)?;
            nodes.push(next);
            let here = divider.taps.iter().filter(|(_, place)| *place == arm);
            self.at.taps.extend(here.map(|(tap, _)| (format!("{name}.{tap}"), next)));
            at = next;
        }
        self.at.dividers.push(nodes);
        for (tap, farads) in &divider.bypass {
            let node = self.at.named(&format!("{name}.{tap}"));
            self.net.capacitor(format_args!("bypass of {tap}"), node, REFERENCE, *farads)?;
        }
        Ok(())
    }
}
