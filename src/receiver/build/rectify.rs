//! The rectifier between what feeds it and the rails.

use super::super::error::ReceiverError;
use super::super::lead::{Inside, PartKind, resistor_part};
use super::super::model::{
    BiasSection, BiasSupply, Model, Rectifier, RectifierCircuit, RectifierKind,
};
use super::filter::placed_capacitor;
use super::mains::Source;
use super::{Diode, Points};
use crate::circuit::{Law, Network, Node, REFERENCE};

/// On-resistance of a constant-drop rectifier, Ω: far below any winding's copper.
const DROP_OHMS: f64 = 1.0;
/// n·kT/q of a silicon rectifier, V: with the bulk below it meets 0.70 V at 10 mA and 0.94 V at 1 A (1N4007 data
/// sheets †).
const JUNCTION_V: f64 = 0.0466;
/// Bulk resistance of a silicon rectifier, Ω.
const JUNCTION_OHMS: f64 = 0.05;
/// Part of a selenium rectifier's drop, at its printed current, that is threshold (0.5 of 1 V a plate †).
const SELENIUM_THRESHOLD: f64 = 0.5;

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

/// The law of a silicon diode of the trade: 0.9 V at 1 A (1N4007 data sheets †).
pub(super) fn silicon() -> Law {
    law(RectifierKind::Silicon, 0.94, Some(1.0))
}

/// The law of one diode of `kind` that drops `volts` at `amps`.
fn law(kind: RectifierKind, volts: f64, amps: Option<f64>) -> Law {
    match (kind, amps) {
        (RectifierKind::Silicon, Some(amps)) => {
            // the exponent whose ln(1 + eˣ) is the bulk's drop over the spread
            let bulk = amps * JUNCTION_OHMS / JUNCTION_V;
            Law::Junction {
                threshold: volts - JUNCTION_V * bulk.exp_m1().ln(),
                spread: JUNCTION_V,
                resistance: JUNCTION_OHMS,
            }
        }
        (RectifierKind::Selenium, Some(amps)) => Law::Drop {
            volts: SELENIUM_THRESHOLD * volts,
            resistance: (1.0 - SELENIUM_THRESHOLD) * volts / amps,
        },
        (RectifierKind::Vacuum, Some(amps)) => {
            Law::ThreeHalves { perveance: amps / volts.powf(1.5), offset: 0.0 }
        }
        (_, _) => Law::Drop { volts, resistance: DROP_OHMS },
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
        let id = net.rectifier(&format!("{name} {number}"), plate, cathode, law)?;
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
                    &format!("leakage of filter capacitor of the bias supply {place}"),
                    at,
                    REFERENCE,
                    super::filter::LEAKAGE_OHMS,
                )?);
            }
            BiasSection::Resistor(ohms) => {
                let next = net.node(&format!("bias supply {place}"));
                net.resistor(&format!("bias resistor {place}"), at, next, *ohms)?;
                at = next;
            }
        }
    }
    points.c_minus = Some(at);
    Ok(())
}
