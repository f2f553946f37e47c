//! A dropper of the heater string as elements of the network.

use super::super::error::ReceiverError;
use super::super::lead::{Inserted, LeadPart, PartKind, resistor_part};
use super::super::model::{SectionKind, StringSection};
use super::law::silicon;
use crate::circuit::{CircuitError, Network, Node, Probe};

/// Ω of a diode dropper without a resistor: its lead.
const LEAD_OHMS: f64 = 0.1;

/// A resistor from `at` on; the node behind it.
pub(super) fn resistor(
    net: &mut Network,
    name: &str,
    kind: PartKind,
    (at, ohms): (Node, f64),
    inserted: &mut Inserted,
) -> Result<Node, CircuitError> {
    let next = net.node(&format!("behind the {name}"));
    let id = net.resistor(name, at, next, ohms)?;
    inserted.inner.push(resistor_part(name, kind, at, next, id));
    Ok(next)
}

/// `section` from `at` on; the node behind it.
pub(super) fn insert(
    net: &mut Network,
    section: &StringSection,
    at: Node,
    inserted: &mut Inserted,
) -> Result<Node, ReceiverError> {
    let kind = match section.kind {
        SectionKind::Resistor => PartKind::Resistor,
        SectionKind::Cord(metres) => PartKind::Cord(metres),
        SectionKind::Ballast => PartKind::Ballast,
        SectionKind::Capacitor { farads, bleeder, .. } => {
            return Ok(capacitor(net, section, (farads, bleeder), at, inserted)?);
        }
        SectionKind::Diode => {
            let ohms = section.ohms.max(LEAD_OHMS);
            let next = resistor(net, &section.name, PartKind::Diode, (at, ohms), inserted)?;
            let behind = net.node("behind the diode");
            // against the rectifier of B+, so that the direct currents of both cancel in part
            net.rectifier("diode of the string", behind, next, silicon())?;
            return Ok(behind);
        }
    };
    if section.ohms <= 0.0 {
        return Ok(at);
    }
    Ok(resistor(net, &section.name, kind, (at, section.ohms), inserted)?)
}

/// A capacitor with its bleeder, behind its resistor.
fn capacitor(
    net: &mut Network,
    section: &StringSection,
    (farads, bleeder): (f64, Option<f64>),
    mut at: Node,
    inserted: &mut Inserted,
) -> Result<Node, CircuitError> {
    if section.ohms > 0.0 {
        let name = format!("resistor of the {}", section.name);
        at = resistor(net, &name, PartKind::Ahead, (at, section.ohms), inserted)?;
    }
    let next = net.node("behind the capacitor dropper");
    let id = net.capacitor(&section.name, at, next, farads)?;
    if let Some(ohms) = bleeder {
        net.resistor("bleeder of the capacitor dropper", at, next, ohms)?;
    }
    inserted.inner.push(LeadPart {
        name: section.name.clone(),
        kind: PartKind::Capacitor,
        volts: Probe::Volts(at, next),
        amps: Probe::Amps(id),
        copper_ohms: None,
    });
    Ok(next)
}
