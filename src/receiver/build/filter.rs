//! The filter, and the dividers that hang on it.

use super::super::error::ReceiverError;
use super::super::model::{Divider, Lead, Model, Section};
use super::rectify::Rectified;
use super::{Placed, Slow, point};
use crate::circuit::{ElementId, Network, Node, REFERENCE};

/// Leakage of a filter capacitor, Ω: some 30 µA at 300 V, a good one (limits in use are 0.15 to 0.5 µA per µF and
/// volt, thirty times as much; common practice, no source).
pub(super) const LEAKAGE_OHMS: f64 = 1e7;
/// A capacitor of the supply with its leakage.
pub(super) fn placed_capacitor(
    net: &mut Network,
    number: usize,
    (positive, negative): (Node, Node),
    farads: f64,
) -> Result<(), ReceiverError> {
    let name = format!("filter capacitor {number}");
    net.capacitor(&name, positive, negative, farads)?;
    // with every tube out nothing else may empty it, and its volts would be whatever they once were
    net.resistor(&format!("leakage of {name}"), positive, negative, LEAKAGE_OHMS)?;
    Ok(())
}

/// The lead a part of the filter stands in; none for a capacitor.
pub(super) fn lead_of(model: &Model, section: &Section) -> Option<Lead> {
    match section {
        Section::Capacitor(..) => None,
        Section::Coil(i) => Some(model.coils[*i].lead),
        Section::Resistor(lead, _) => Some(*lead),
    }
}

/// The filter as built.
pub(super) struct Chain {
    pub capacitors: Vec<Placed>,
    pub coils: Vec<(Node, Node, ElementId)>,
    pub b_plus: Node,
    pub reservoir: Node,
    pub far_end: Node,
    pub c_minus: Option<Node>,
}

/// The filter: a positive rail from the rectifier's cathode to B+ and a negative one from the centre tap
/// to chassis, with capacitors across wherever the profile puts them.
pub(super) fn filter(
    model: &Model,
    slow: &Slow,
    net: &mut Network,
    rectified: &Rectified,
    centre: Node,
) -> Result<Chain, ReceiverError> {
    let mut left =
        model.filter.iter().filter(|s| lead_of(model, s) == Some(Lead::Negative)).count();
    let cathode = rectified.cathode;
    let mut positive = cathode;
    let mut negative = centre;
    let mut chain = Chain {
        // a doubler's own are already in place
        capacitors: rectified.capacitors.clone(),
        coils: Vec::new(),
        b_plus: cathode,
        reservoir: cathode,
        far_end: centre,
        c_minus: None,
    };
    // behind a doubler the reservoir is its output
    let mut reservoir = (!chain.capacitors.is_empty()).then_some(cathode);
    for (place, section) in model.filter.iter().enumerate() {
        if let Section::Capacitor(farads, rated) = section {
            let number = chain.capacitors.len() + 1;
            placed_capacitor(net, number, (positive, negative), *farads)?;
            reservoir.get_or_insert(positive);
            chain.capacitors.push(Placed { positive, negative, farads: *farads, rated: *rated });
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
        match section {
            Section::Coil(index) => {
                let coil = &model.coils[*index];
                let inner = net.node(&format!("inside {} {index}", coil.name));
                net.inductor(&coil.name, from, inner, coil.inductance)?;
                let copper = net.resistor(
                    &format!("{} copper", coil.name),
                    inner,
                    to,
                    slow.coil_ohms[*index],
                )?;
                chain.coils.push((from, to, copper));
            }
            Section::Resistor(_, ohms) => {
                net.resistor(&format!("filter resistor {place}"), from, to, *ohms)?;
            }
            Section::Capacitor(..) => {}
        }
    }
    chain.b_plus = positive;
    chain.reservoir = reservoir.unwrap_or(positive);
    Ok(chain)
}

/// A divider with its taps.
pub(super) fn divider(
    divider: &Divider,
    net: &mut Network,
    chain: &Chain,
    taps: &mut Vec<(String, Node)>,
) -> Result<(), ReceiverError> {
    let upper = point(net, chain, taps, &divider.from);
    let lower = point(net, chain, taps, &divider.to);
    let mut at = upper;
    let last = divider.resistors.len();
    for (index, ohms) in divider.resistors.iter().enumerate() {
        let next = if index + 1 == last {
            lower
        } else {
            net.node(&format!("{} {}", divider.name, index + 1))
        };
        let name = format!("{} arm {}", divider.name, index + 1);
        net.resistor(&name, at, next, *ohms)?;
        for (tap, place) in &divider.taps {
            if *place == index + 1 {
                taps.push((format!("{}.{tap}", divider.name), next));
            }
        }
        at = next;
    }
    for (tap, farads) in &divider.bypass {
        let node = point(net, chain, taps, &format!("{}.{tap}", divider.name));
        net.capacitor(&format!("bypass of {tap}"), node, REFERENCE, *farads)?;
    }
    Ok(())
}
