//! The rectifier between what feeds it and the rails.

use super::super::error::ReceiverError;
use super::super::lead::{Inside, PartKind, resistor_part};
use super::super::model::{
    BiasSection, BiasSupply, Model, Rectifier, RectifierCircuit, RectifierKind, SecondSupply,
};
use super::filter::{Rails, placed_capacitor};
use super::law::law;
use super::mains::Source;
use super::{Diode, Points, SecondPoints};
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

/// A rectifier being built.
struct Joined<'a> {
    rectifier: &'a Rectifier,
    /// Resistance in each plate lead, Ω.
    surge: f64,
    /// What names in the network end with.
    of: &'static str,
    /// Negative rail and cathode.
    rails: (Node, Node),
}

impl Joined<'_> {
    fn diode(
        &self,
        net: &mut Network,
        (name, number): (&str, usize),
        plate: Node,
        cathode: Node,
    ) -> Result<Diode, ReceiverError> {
        let name = format_args!("{name} {number}{}", self.of);
        let id = net.rectifier(name, plate, cathode, rectifier_law(self.rectifier))?;
        Ok(Diode { plate, cathode, id })
    }

    /// The plate behind the resistor in its lead.
    fn behind(
        &self,
        net: &mut Network,
        points: &mut Points,
        (node, number): (Node, usize),
    ) -> Result<Node, ReceiverError> {
        if self.surge <= 0.0 {
            return Ok(node);
        }
        let plate = net.node(&format!("plate behind surge resistor {number}{}", self.of));
        let name = format!("surge resistor {number}{}", self.of);
        let id = net.resistor(&name, node, plate, self.surge)?;
        let kind = if self.of.is_empty() { PartKind::Surge } else { PartKind::SecondSurge };
        points.inserted.inner.push(resistor_part(&name, kind, node, plate, id));
        points.surge.push(id);
        Ok(plate)
    }

    /// Its diodes: those that feed the positive rail, and the others of a bridge or a doubler.
    fn build(
        &self,
        net: &mut Network,
        source: &Source,
        points: &mut Points,
    ) -> Result<(Vec<Diode>, Vec<Diode>), ReceiverError> {
        let (centre, cathode) = self.rails;
        let ((_, out), other) = (source.end, source.other);
        let plate = self.behind(net, points, (out, 1))?;
        let mut plates = Vec::new();
        let mut returns = Vec::new();
        match self.rectifier.circuit {
            RectifierCircuit::FullWave | RectifierCircuit::HalfWave => {
                plates.push(self.diode(net, (PLATE, 1), plate, cathode)?);
                if let Some((_, out)) =
                    source.second.filter(|_| self.rectifier.circuit == RectifierCircuit::FullWave)
                {
                    let plate = self.behind(net, points, (out, 2))?;
                    plates.push(self.diode(net, (PLATE, 2), plate, cathode)?);
                }
            }
            RectifierCircuit::Bridge => {
                for (number, plate) in [(1, plate), (2, other)] {
                    plates.push(self.diode(net, (PLATE, number), plate, cathode)?);
                    returns.push(self.diode(net, (RETURN, number), centre, plate)?);
                }
            }
            RectifierCircuit::FullWaveDoubler | RectifierCircuit::HalfWaveDoubler => {
                let full = self.rectifier.circuit == RectifierCircuit::FullWaveDoubler;
                let lifted = if full { plate } else { net.node("lifted plate") };
                let ends = match full {
                    true => [(cathode, other), (other, centre)],
                    false => [(lifted, plate), (cathode, centre)],
                };
                for (ends, capacitor) in ends.into_iter().zip(&self.rectifier.doubler) {
                    placed_capacitor(net, points, ends, *capacitor)?;
                }
                plates.push(self.diode(net, (PLATE, 1), lifted, cathode)?);
                returns.push(self.diode(net, (RETURN, 1), centre, lifted)?);
            }
        }
        Ok((plates, returns))
    }
}

/// The main rectifier between `source` and the rails.
pub(super) fn rectifier(
    model: &Model,
    inside: Inside,
    net: &mut Network,
    source: &Source,
    points: &mut Points,
) -> Result<(), ReceiverError> {
    let rectifier = &model.rectifier;
    // what a choice fits stands in the one lead there is
    let fitted = inside.surge_ohms.filter(|_| source.second.is_none());
    let surge = fitted.unwrap_or(rectifier.surge_ohms);
    let rails = (points.centre, points.rectifier_cathode);
    let joined = Joined { rectifier, surge, of: "", rails };
    (points.plates, points.returns) = joined.build(net, source, points)?;
    Ok(())
}

/// A second supply from `source` to its output, its negative end at chassis.
pub(super) fn second(
    supply: &SecondSupply,
    net: &mut Network,
    source: &Source,
    points: &mut Points,
    rails: &Rails<'_>,
) -> Result<(), ReceiverError> {
    let main = &rails.model.rectifier;
    let lent = supply.shared.then(|| Rectifier {
        drop_volts: main.drop_volts,
        drop_amps: main.drop_amps,
        ..supply.rectifier.clone()
    });
    let rectifier = lent.as_ref().unwrap_or(&supply.rectifier);
    let cathode = net.node("second rectifier cathode");
    let before = points.surge.len();
    let ends = (REFERENCE, cathode);
    let of = " of the second supply";
    let joined = Joined { rectifier, surge: rectifier.surge_ohms, of, rails: ends };
    let (plates, returns) = joined.build(net, source, points)?;
    let surge = points.surge.drain(before..).next();
    let capacitors_from = points.capacitors.len();
    let parts = rails.model.filters().1;
    let (b_plus, reservoir) = rails.filter(parts, (cathode, REFERENCE), net, points)?;
    points.second = Some(SecondPoints {
        plates,
        returns,
        high_voltage: (source.end.1, source.other),
        outer_ends: source.second.map(|second| (source.end.1, second.1)),
        surge,
        cathode,
        capacitors_from,
        reservoir,
        b_plus,
    });
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
