//! The filter, and the dividers that hang on it.

use super::super::error::ReceiverError;
use super::super::fault::{Fault, OPEN_OHMS};
use super::super::model::{Divider, Lead, Marked, Model, Section};
use super::{Placed, Points, Slow};
use crate::circuit::{Network, Node, REFERENCE};

/// Leakage of a filter capacitor, Ω: some 30 µA at 300 V, a good one (limits in use are 0.15 to 0.5 µA per µF and
/// volt, thirty times as much; common practice, no source).
pub(super) const LEAKAGE_OHMS: f64 = 1e7;
/// A capacitor of the supply with its leakage.
pub(super) fn placed_capacitor(
    net: &mut Network,
    points: &mut Points,
    (positive, negative): (Node, Node),
    (farads, marked): (f64, Marked),
) -> Result<(), ReceiverError> {
    let name = format!("filter capacitor {}", points.capacitors.len() + 1);
    net.capacitor(&name, positive, negative, farads)?;
    // with every tube out nothing else may empty it, and its volts would be whatever they once were
    let leak = net.resistor(format_args!("leakage of {name}"), positive, negative, LEAKAGE_OHMS)?;
    points.leakage.push(leak);
    points.capacitors.push(Placed { positive, negative, farads, marked });
    Ok(())
}

/// The lead a part of the filter stands in; none for a capacitor.
pub(super) fn lead_of(model: &Model, section: &Section) -> Option<Lead> {
    match section {
        Section::Capacitor(..) => None,
        Section::Coil(i) => Some(model.coils[*i].lead),
        Section::Resistor(lead, ..) => Some(*lead),
    }
}

/// What the rails of every supply of a set are built from.
pub(super) struct Rails<'a> {
    pub model: &'a Model,
    pub slow: &'a Slow,
    pub fault: Option<Fault>,
}

impl Rails<'_> {
    /// A filter: a positive rail from a rectifier's cathode to its output and a negative one from the centre tap to chassis,
    /// with capacitors across wherever the profile puts them; the output, and the positive side of the first capacitor.
    pub fn filter(
        &self,
        sections: &[Section],
        (mut positive, mut negative): (Node, Node),
        net: &mut Network,
        points: &mut Points,
    ) -> Result<(Node, Node), ReceiverError> {
        let (model, first) = (self.model, points.filter.len());
        let mut left =
            sections.iter().filter(|s| lead_of(model, s) == Some(Lead::Negative)).count();
        // behind a doubler the reservoir is its output
        let doubled = first == 0 && !points.capacitors.is_empty();
        let mut reservoir = doubled.then_some(positive);
        for (place, section) in sections.iter().enumerate() {
            let place = first + place;
            if let Section::Capacitor(farads, marked) = section {
                let ends = (positive, negative);
                placed_capacitor(net, points, ends, (*farads, *marked))?;
                points.filter.push(ends);
                reservoir.get_or_insert(positive);
                continue;
            }
            let lead = lead_of(model, section);
            let (from, to) = if lead == Some(Lead::Across) {
                (positive, negative)
            } else if lead == Some(Lead::Negative) {
                left -= 1;
                let next =
                    if left == 0 { REFERENCE } else { net.node(&format!("negative rail {place}")) };
                let from = std::mem::replace(&mut negative, next);
                (next, from)
            } else {
                let next = net.node(&format!("positive rail {place}"));
                let from = std::mem::replace(&mut positive, next);
                (from, next)
            };
            points.filter.push((from, to));
            match section {
                Section::Coil(index) => {
                    let coil = &model.coils[*index];
                    let inner = net.node(&format!("inside {} {index}", coil.name));
                    net.inductor(&coil.name, from, inner, coil.inductance)?;
                    let open = self.fault.is_some_and(|f| f.opens(coil));
                    let ohms = if open { OPEN_OHMS } else { self.slow.coil_ohms[*index] };
                    let name = format!("{} copper", coil.name);
                    let copper = net.resistor(name, inner, to, ohms)?;
                    points.coils.push((from, to, copper));
                }
                Section::Resistor(_, ohms, _) => {
                    net.resistor(format_args!("filter resistor {place}"), from, to, *ohms)?;
                }
                Section::Capacitor(..) => {}
            }
        }
        Ok((positive, reservoir.unwrap_or(positive)))
    }
}

/// A divider with its taps.
pub(super) fn divider(
    divider: &Divider,
    net: &mut Network,
    points: &mut Points,
) -> Result<(), ReceiverError> {
    let mut at = points.named(&divider.from);
    let lower = points.named(&divider.to);
    let mut nodes = vec![at];
    let last = divider.resistors.len();
    for (index, ohms) in divider.resistors.iter().enumerate() {
        let next = if index + 1 == last {
            lower
        } else {
            net.node(&format!("{} {}", divider.name, index + 1))
        };
        let name = format!("{} arm {}", divider.name, index + 1);
        net.resistor(&name, at, next, *ohms)?;
        nodes.push(next);
        for (tap, place) in &divider.taps {
            if *place == index + 1 {
                points.taps.push((format!("{}.{tap}", divider.name), next));
            }
        }
        at = next;
    }
    points.dividers.push(nodes);
    for (tap, farads) in &divider.bypass {
        let node = points.named(&format!("{}.{tap}", divider.name));
        net.capacitor(format_args!("bypass of {tap}"), node, REFERENCE, *farads)?;
    }
    Ok(())
}
