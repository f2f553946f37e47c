//! The rectifier between what feeds it and the rails.

use super::super::error::ReceiverError;
use super::super::lead::{Inserted, Inside, resistor_part};
use super::super::model::{
    BiasSection, BiasSupply, Model, Rectifier, RectifierCircuit, RectifierKind,
};
use super::filter::placed_capacitor;
use super::mains::Source;
use super::{Diode, Placed};
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

/// The rectifier as built.
pub(super) struct Rectified {
    /// Positive end of the supply.
    pub cathode: Node,
    /// Diodes that feed the positive end.
    pub plates: Vec<Diode>,
    /// The others.
    pub returns: Vec<Diode>,
    /// Terminals of what feeds it.
    pub terminals: (Node, Node),
    /// Capacitors of a doubler.
    pub capacitors: Vec<Placed>,
}

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
        (law, _) => law,
    }
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

/// The rectifier between `source` and the rails; `centre` is the negative one.
pub(super) fn rectifier(
    model: &Model,
    inside: Inside,
    net: &mut Network,
    source: &Source,
    centre: Node,
    inserted: &mut Inserted,
) -> Result<Rectified, ReceiverError> {
    let law = rectifier_law(&model.rectifier);
    let diode = |net: &mut Network, name: &str, number: usize, plate: Node, cathode: Node| {
        let id = net.rectifier(&format!("{name} {number}"), plate, cathode, law)?;
        Ok::<Diode, ReceiverError>(Diode { plate, cathode, id })
    };
    let cathode = net.node("rectifier cathode");
    let surge = model.rectifier.surge_ohms;
    let mut behind = |net: &mut Network, node: Node, ohms: f64, number: usize| {
        if ohms <= 0.0 {
            return Ok::<Node, ReceiverError>(node);
        }
        let plate = net.node(&format!("plate behind surge resistor {number}"));
        let name = format!("surge resistor {number}");
        let id = net.resistor(&name, node, plate, ohms)?;
        inserted.inner.push(resistor_part(&name, node, plate, id));
        Ok(plate)
    };
    let (out, other) = match source {
        Source::Halves([a, b], _) => {
            let (one, two) = (behind(net, a.1, surge, 1)?, behind(net, b.1, surge, 2)?);
            return Ok(Rectified {
                cathode,
                plates: vec![
                    diode(net, PLATE, 1, one, cathode)?,
                    diode(net, PLATE, 2, two, cathode)?,
                ],
                returns: Vec::new(),
                terminals: (a.1, centre),
                capacitors: Vec::new(),
            });
        }
        Source::Single(end, other) => (end.1, *other),
    };
    let ohms = inside.surge_ohms.unwrap_or(surge);
    let plate = behind(net, out, ohms, 1)?;
    let (mut plates, mut returns, mut capacitors) = (Vec::new(), Vec::new(), Vec::new());
    let mut capacitor = |net: &mut Network, number: usize, ends: (Node, Node)| {
        let (farads, rated) = model.rectifier.doubler[number - 1];
        placed_capacitor(net, number, ends, farads)?;
        capacitors.push(Placed { positive: ends.0, negative: ends.1, farads, rated });
        Ok::<(), ReceiverError>(())
    };
    match model.rectifier.circuit {
        // the halves are dealt with above
        RectifierCircuit::FullWave | RectifierCircuit::HalfWave => {
            plates.push(diode(net, PLATE, 1, plate, cathode)?);
        }
        RectifierCircuit::Bridge => {
            for (number, plate) in [(1, plate), (2, other)] {
                plates.push(diode(net, PLATE, number, plate, cathode)?);
                returns.push(diode(net, RETURN, number, centre, plate)?);
            }
        }
        RectifierCircuit::FullWaveDoubler => {
            capacitor(net, 1, (cathode, other))?;
            capacitor(net, 2, (other, centre))?;
            plates.push(diode(net, PLATE, 1, plate, cathode)?);
            returns.push(diode(net, RETURN, 1, centre, plate)?);
        }
        RectifierCircuit::HalfWaveDoubler => {
            let lifted = net.node("lifted plate");
            capacitor(net, 1, (lifted, plate))?;
            capacitor(net, 2, (cathode, centre))?;
            plates.push(diode(net, PLATE, 1, lifted, cathode)?);
            returns.push(diode(net, RETURN, 1, centre, lifted)?);
        }
    }
    Ok(Rectified { cathode, plates, returns, terminals: (out, other), capacitors })
}

/// The bias supply on its winding's terminal; its output.
pub(super) fn bias_supply(
    bias: &BiasSupply,
    net: &mut Network,
    terminal: Option<Node>,
) -> Result<Node, ReceiverError> {
    let terminal = terminal.unwrap_or(REFERENCE);
    let law = law(bias.kind, bias.drop_volts, bias.drop_amps);
    let mut at = net.node("bias rectifier");
    net.rectifier("bias rectifier", at, terminal, law)?;
    for (place, section) in bias.filter.iter().enumerate() {
        match section {
            BiasSection::Capacitor(farads) => {
                let name = format!("bias capacitor {place}");
                net.capacitor(&name, at, REFERENCE, *farads)?;
                net.resistor(
                    &format!("leakage of filter capacitor of the bias supply {place}"),
                    at,
                    REFERENCE,
                    super::filter::LEAKAGE_OHMS,
                )?;
            }
            BiasSection::Resistor(ohms) => {
                let next = net.node(&format!("bias supply {place}"));
                net.resistor(&format!("bias resistor {place}"), at, next, *ohms)?;
                at = next;
            }
        }
    }
    Ok(at)
}
