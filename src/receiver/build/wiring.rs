//! A set while it is put together as a network.

use super::points::{Placed, Points};
use crate::{
    circuit::{Network, Node, REFERENCE},
    receiver::{Fault, Inside, Marked, Model, PartKind, Result, Slow, resistor_part},
};
use std::fmt::Display;

/// Leakage of a filter capacitor, Ω: some 30 µA at 300 V, a good one (limits in use are 0.15 to 0.5 µA per µF and
/// volt, thirty times as much; common practice, no source).
const LEAKAGE_OHMS: f64 = 1e7;
/// Insulation to chassis of what nothing else joins to it, Ω: it fixes the volts of the floating side and draws some
/// tens of microamperes.
const INSULATION_OHMS: f64 = 1e7;

/// A set while it is put together: what it is made from, its network so far, and the points that are known there.
pub struct Wiring<'a> {
    pub model: &'a Model,
    pub slow: &'a Slow,
    pub fault: Option<Fault>,
    /// What an adaptation changes inside the set.
    pub inside: Inside,
    pub net: Network,
    pub at: Points,
}

impl Wiring<'_> {
    /// The node of that name, made on first use.
    pub fn node(&mut self, name: impl Display) -> Node {
        self.net.node(&name.to_string())
    }

    /// A resistor whose heat is of interest, from a node on; the node behind it.
    pub fn dropper(&mut self, name: &str, kind: PartKind, from: Node, ohms: f64) -> Result<Node> {
        let next = self.node(format_args!("behind the {name}"));
        let id = self.net.resistor(name, from, next, ohms)?;
        self.at.inserted.inner.push(resistor_part(name, kind, from, next, id));
        Ok(next)
    }

    /// A capacitor of a supply with its leakage.
    pub fn supply_capacitor(
        &mut self,
        (positive, negative): (Node, Node),
        (farads, marked): (f64, Marked),
    ) -> Result<()> {
        let name = format!("filter capacitor {}", self.at.capacitors.len() + 1);
        self.net.capacitor(&name, positive, negative, farads)?;
        // with every tube out nothing else may empty it, and its volts would be whatever they once were
        self.leakage(&name, positive, negative)?;
        self.at.capacitors.push(Placed { positive, negative, farads, marked });
        Ok(())
    }

    /// The leakage of the capacitor of that name.
    pub fn leakage(&mut self, of: &str, a: Node, b: Node) -> Result<()> {
        let leak = self.net.resistor(format_args!("leakage of {of}"), a, b, LEAKAGE_OHMS)?;
        self.at.leakage.push(leak);
        Ok(())
    }
}

/// A node that only diodes join to the rest.
pub fn floating(net: &mut Network, name: &str) -> Result<Node> {
    let node = net.node(name);
    net.resistor(format_args!("insulation of {name}"), node, REFERENCE, INSULATION_OHMS)?;
    Ok(node)
}
