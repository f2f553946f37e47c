//! A dropper of the heater string as elements of the network.

use super::{law::silicon, wiring::Wiring};
use crate::{
    circuit::Node,
    receiver::{PartKind, Result, SectionKind, StringSection, resistor_part},
};

/// Ω of a diode dropper without a resistor: its lead.
const LEAD_OHMS: f64 = 0.1;

impl Wiring<'_> {
    /// `section` from `at` on; the node behind it.
    pub fn section(&mut self, section: &StringSection, at: Node) -> Result<Node> {
        let StringSection { name, ohms, .. } = section;
        let kind = match section.kind {
            SectionKind::Resistor => PartKind::Resistor,
            SectionKind::Cord(metres) => PartKind::Cord(metres),
            SectionKind::Ballast => PartKind::Ballast,
            SectionKind::Capacitor { farads, bleeder, .. } => {
                return self.dropper_capacitor(section, (farads, bleeder), at);
            }
            SectionKind::Diode => {
                let next = self.dropper(name, PartKind::Diode, at, ohms.max(LEAD_OHMS))?;
                let behind = self.node("behind the diode");
                // against the rectifier of B+, so that the direct currents of both cancel in part
                self.net.rectifier("diode of the string", behind, next, silicon())?;
                return Ok(behind);
            }
        };
        if *ohms <= 0.0 { Ok(at) } else { self.dropper(name, kind, at, *ohms) }
    }

    /// A capacitor with its bleeder, behind its resistor.
    fn dropper_capacitor(
        &mut self,
        StringSection { name, ohms, .. }: &StringSection,
        (farads, bleeder): (f64, Option<f64>),
        mut at: Node,
    ) -> Result<Node> {
        if *ohms > 0.0 {
            at = self.dropper(&format!("resistor of the {name}"), PartKind::Ahead, at, *ohms)?;
        }
        let next = self.node("behind the capacitor dropper");
        let id = self.net.capacitor(name, at, next, farads)?;
        if let Some(ohms) = bleeder {
            self.net.resistor("bleeder of the capacitor dropper", at, next, ohms)?;
        }
        self.at.inserted.inner.push(resistor_part(name, PartKind::Capacitor, at, next, id));
        Ok(next)
    }
}
