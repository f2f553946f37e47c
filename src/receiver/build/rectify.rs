//! The rectifier between what feeds it and the rails.

use super::{
    law::law,
    mains::Source,
    points::{Diode, SecondPoints},
    wiring::Wiring,
};
use crate::{
    circuit::{Law, Node, REFERENCE},
    quantity::Quantity,
    receiver::{
        BiasPart, BiasSupply, PartKind, Rectifier, RectifierCircuit, RectifierKind, Result,
        SecondSupply,
        part_names::{OF_SECOND, surge_resistor},
        resistor_part,
    },
};

/// Name of a diode that feeds the positive end, ahead of its number.
const PLATE: &str = "rectifier plate";
/// Name of one that does not.
const RETURN: &str = "return diode";

/// The law of one plate of the circuit.
fn rectifier_law(rectifier: &Rectifier) -> Law {
    let parallel = rectifier.parallel;
    let law = law(rectifier.kind, rectifier.drop_volts, rectifier.drop_amps);
    match (law, rectifier.emission) {
        (Law::ThreeHalves { perveance, .. }, Some(limit)) => {
            Law::Limited { perveance: parallel * perveance, limit: parallel * limit }
        }
        (Law::ThreeHalves { perveance, offset }, None) => {
            Law::ThreeHalves { perveance: parallel * perveance, offset }
        }
        // vapor lights where the cathode emits: until then next to nothing passes, by a resistance that goes as it warms
        (Law::Drop { volts, resistance }, Some(limit))
            if rectifier.kind == RectifierKind::Mercury =>
        {
            Law::Drop { volts, resistance: resistance + volts / (parallel * limit) }
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
        wiring: &mut Wiring,
        (name, number): (&str, usize),
        plate: Node,
        cathode: Node,
    ) -> Result<Diode> {
        let name = format_args!("{name} {number}{}", self.of);
        let id = wiring.net.rectifier(name, plate, cathode, rectifier_law(self.rectifier))?;
        Ok(Diode { plate, cathode, id })
    }

    /// The plate behind the resistor in its lead.
    fn behind(&self, wiring: &mut Wiring, (node, number): (Node, usize)) -> Result<Node> {
        if self.surge <= 0.0 {
            return Ok(node);
        }
        let name = surge_resistor(number, self.of);
        let plate = wiring.node(format_args!("plate behind {name}"));
        let id = wiring.net.resistor(&name, node, plate, self.surge)?;
        let kind = if self.of.is_empty() { PartKind::Surge } else { PartKind::SecondSurge };
        wiring.at.inserted.inner.push(resistor_part(&name, kind, node, plate, id));
        wiring.at.surge.push(id);
        Ok(plate)
    }

    /// Its diodes: those that feed the positive rail, and the others of a bridge or a doubler.
    fn build(&self, wiring: &mut Wiring, source: &Source) -> Result<(Vec<Diode>, Vec<Diode>)> {
        let (centre, cathode) = self.rails;
        let other = source.other;
        let plate = self.behind(wiring, (source.end.1, 1))?;
        let mut plates = vec![];
        let mut returns = vec![];
        match self.rectifier.circuit {
            circuit @ (RectifierCircuit::FullWave | RectifierCircuit::HalfWave) => {
                plates.push(self.diode(wiring, (PLATE, 1), plate, cathode)?);
                let second = source.second.filter(|_| circuit == RectifierCircuit::FullWave);
                if let Some(out) = second {
                    let plate = self.behind(wiring, (out, 2))?;
                    plates.push(self.diode(wiring, (PLATE, 2), plate, cathode)?);
                }
            }
            RectifierCircuit::Bridge => {
                for (number, plate) in [(1, plate), (2, other)] {
                    plates.push(self.diode(wiring, (PLATE, number), plate, cathode)?);
                    returns.push(self.diode(wiring, (RETURN, number), centre, plate)?);
                }
            }
            circuit @ (RectifierCircuit::FullWaveDoubler | RectifierCircuit::HalfWaveDoubler) => {
                let full = circuit == RectifierCircuit::FullWaveDoubler;
                let lifted = if full { plate } else { wiring.node("lifted plate") };
                let ends = match full {
                    true => [(cathode, other), (other, centre)],
                    false => [(lifted, plate), (cathode, centre)],
                };
                for (ends, capacitor) in ends.into_iter().zip(&self.rectifier.doubler) {
                    wiring.supply_capacitor(ends, *capacitor)?;
                }
                plates.push(self.diode(wiring, (PLATE, 1), lifted, cathode)?);
                returns.push(self.diode(wiring, (RETURN, 1), centre, lifted)?);
            }
        }
        Ok((plates, returns))
    }
}

impl Wiring<'_> {
    /// The main rectifier between `source` and the rails.
    pub fn main_rectifier(&mut self, source: &Source) -> Result<()> {
        let rectifier = &self.model.rectifier;
        // what a choice fits stands in the one lead there is
        let fitted = self.inside.surge_ohms.filter(|_| source.second.is_none());
        let surge = fitted.unwrap_or(rectifier.surge_ohms);
        let rails = (self.at.centre, self.at.rectifier_cathode);
        let joined = Joined { rectifier, surge, of: "", rails };
        (self.at.plates, self.at.returns) = joined.build(self, source)?;
        Ok(())
    }

    /// A second supply from `source` to its output, its negative end at chassis.
    pub fn second(&mut self, supply: &SecondSupply, source: &Source) -> Result<()> {
        let model = self.model;
        let mut rectifier = supply.rectifier.clone();
        if supply.shared {
            rectifier.drop_volts = model.rectifier.drop_volts;
            rectifier.drop_amps = model.rectifier.drop_amps;
        }
        let cathode = self.node("second rectifier cathode");
        let (surge, rails) = (rectifier.surge_ohms, (REFERENCE, cathode));
        let before = self.at.surge.len();
        let joined = Joined { rectifier: &rectifier, surge, of: OF_SECOND, rails };
        let (plates, returns) = joined.build(self, source)?;
        let surge = self.at.surge.drain(before..).next();
        let capacitors_from = self.at.capacitors.len();
        let (b_plus, reservoir) = self.filter(model.filters().1, (cathode, REFERENCE))?;
        self.at.second = Some(SecondPoints {
            plates,
            returns,
            high_voltage: source.terminals(),
            outer_ends: source.outer_ends(),
            surge,
            cathode,
            capacitors_from,
            reservoir,
            b_plus,
        });
        Ok(())
    }

    /// The bias supply on its winding's `terminal`.
    pub fn bias_supply(&mut self, bias: &BiasSupply, terminal: Node) -> Result<()> {
        let law = law(bias.kind, bias.drop_volts, bias.drop_amps);
        let mut at = self.node("bias rectifier");
        self.net.rectifier("bias rectifier", at, terminal, law)?;
        for (place, section) in bias.filter.iter().enumerate() {
            match section {
                BiasPart::Capacitor(farads) => {
                    let name = format_args!("bias capacitor {place}");
                    self.net.capacitor(name, at, REFERENCE, farads.si())?;
                    let of = format!("filter capacitor of the bias supply {place}");
                    self.leakage(&of, at, REFERENCE)?;
                }
                BiasPart::Resistor(ohms) => {
                    let next = self.node(format_args!("bias supply {place}"));
                    let name = format_args!("bias resistor {place}");
                    self.net.resistor(name, at, next, ohms.si())?;
                    at = next;
                }
            }
        }
        self.at.c_minus = Some(at);
        Ok(())
    }
}
