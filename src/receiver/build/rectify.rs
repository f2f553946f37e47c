//! The rectifier between what feeds it and the rails.

use super::super::error::ReceiverError;
use super::super::lead::{Inside, PartKind, resistor_part};
use super::super::model::{
    BiasSection, BiasSupply, Model, Rectifier, RectifierCircuit, RectifierKind,
};
use super::filter::placed_capacitor;
use super::law::law;
use super::mains::Source;
use super::{Diode, Points};
use crate::circuit::{Law, Network, Node, REFERENCE};

/// Name of a diode that feeds the positive end, ahead of its number.
const PLATE: &str = "rectifier plate";
/// Name of one that does not.
const RETURN: &str = "return diode";

/// The law of one plate of the circuit.
pub(in super::super) fn rectifier_law(rectifier: &Rectifier) -> Law {
    let law = law(rectifier.kind, rectifier.drop_volts, rectifier.drop_amps);
    match (law, rectifier.emission) {
        (Law::ThreeHalves { perveance, .. }, Some(limit)) => Law::Limited {
            perveance: rectifier.parallel * perveance,
            limit: rectifier.parallel * limit,
        },
        (Law::ThreeHalves { perveance, offset }, None) => {
            Law::ThreeHalves { perveance: rectifier.parallel * perveance, offset }
        }
        // vapour lights where the cathode emits: until then next to nothing passes, by a resistance that goes as it warms
        (Law::Drop { volts, resistance }, Some(limit))
            if rectifier.kind == RectifierKind::Mercury =>
        {
            Law::Drop { volts, resistance: resistance + volts / (rectifier.parallel * limit) }
        }
        (law, _) => law,
    }
}

/// The rectifier between `source` and the rails.
pub(super) fn rectifier(
    model: &Model,
    inside: Inside,
    net: &mut Network,
    source: &Source,
    points: &mut Points,
) -> Result<(), ReceiverError> {
    let law = rectifier_law(&model.rectifier);
    let diode = |net: &mut Network, name: &str, number: usize, plate: Node, cathode: Node| {
        let id = net.rectifier(format_args!("{name} {number}"), plate, cathode, law)?;
        Ok::<Diode, ReceiverError>(Diode { plate, cathode, id })
    };
    let (centre, cathode) = (points.centre, points.rectifier_cathode);
    let surge = model.rectifier.surge_ohms;
    let behind = |net: &mut Network, points: &mut Points, node, ohms, number: usize| {
        if ohms <= 0.0 {
            return Ok::<Node, ReceiverError>(node);
        }
        let plate = net.node(&format!("plate behind surge resistor {number}"));
        let name = format!("surge resistor {number}");
        let id = net.resistor(&name, node, plate, ohms)?;
        points.inserted.inner.push(resistor_part(&name, PartKind::Surge, node, plate, id));
        points.surge.push(id);
        Ok(plate)
    };
    let ((_, out), other) = (source.end, source.other);
    if let Some((_, out_b)) = source.second {
        for (number, out) in [(1, out), (2, out_b)] {
            let plate = behind(net, points, out, surge, number)?;
            points.plates.push(diode(net, PLATE, number, plate, cathode)?);
        }
        return Ok(());
    }
    let plate = behind(net, points, out, inside.surge_ohms.unwrap_or(surge), 1)?;
    match model.rectifier.circuit {
        // the halves are dealt with above
        RectifierCircuit::FullWave | RectifierCircuit::HalfWave => {
            points.plates.push(diode(net, PLATE, 1, plate, cathode)?);
        }
        RectifierCircuit::Bridge => {
            for (number, plate) in [(1, plate), (2, other)] {
                points.plates.push(diode(net, PLATE, number, plate, cathode)?);
                points.returns.push(diode(net, RETURN, number, centre, plate)?);
            }
        }
        RectifierCircuit::FullWaveDoubler | RectifierCircuit::HalfWaveDoubler => {
            let full = model.rectifier.circuit == RectifierCircuit::FullWaveDoubler;
            let lifted = if full { plate } else { net.node("lifted plate") };
            let ends = match full {
                true => [(cathode, other), (other, centre)],
                false => [(lifted, plate), (cathode, centre)],
            };
            for (ends, capacitor) in ends.into_iter().zip(&model.rectifier.doubler) {
                placed_capacitor(net, points, ends, *capacitor)?;
            }
            points.plates.push(diode(net, PLATE, 1, lifted, cathode)?);
            points.returns.push(diode(net, RETURN, 1, centre, lifted)?);
        }
    }
    Ok(())
}

/// The bias supply on its winding's `terminal`.
pub(super) fn bias_supply(
    bias: &BiasSupply,
    net: &mut Network,
    terminal: Node,
    points: &mut Points,
) -> Result<(), ReceiverError> {
    let law = law(bias.kind, bias.drop_volts, bias.drop_amps);
    let mut at = net.node("bias rectifier");
    net.rectifier("bias rectifier", at, terminal, law)?;
    for (place, section) in bias.filter.iter().enumerate() {
        match section {
            BiasSection::Capacitor(farads) => {
                let name = format!("bias capacitor {place}");
                net.capacitor(&name, at, REFERENCE, *farads)?;
                points.leakage.push(net.resistor(
                    format_args!("leakage of filter capacitor of the bias supply {place}"),
                    at,
                    REFERENCE,
                    super::filter::LEAKAGE_OHMS,
                )?);
            }
            BiasSection::Resistor(ohms) => {
                let next = net.node(&format!("bias supply {place}"));
                net.resistor(format_args!("bias resistor {place}"), at, next, *ohms)?;
                at = next;
            }
        }
    }
    points.c_minus = Some(at);
    Ok(())
}
