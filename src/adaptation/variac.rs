//! A variac: an ideal, continuously set ratio. It isolates nothing.

use super::{
    Bought,
    part::{Adaptation, AnyPart, Duty, Part, Sought, Unknown},
};
use crate::{
    circuit::{CircuitError, Network, Node, Winding},
    quantity::{Quantity, Voltage, show},
    receiver::{Inserted, Inside, MainsLead},
};

/// The variac as an adaptation.
#[derive(Debug, Clone, Copy, Default)]
pub struct Variac;

/// A variac set to give `volts` when the outlet is at `outlet`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VariacSetting {
    /// Output volts at the usual outlet.
    pub volts: f64,
    /// The outlet at which it was set.
    pub outlet: f64,
}

impl MainsLead for VariacSetting {
    fn insert(
        &self,
        net: &mut Network,
        outlet: Node,
        neutral: Node,
    ) -> Result<Inserted, CircuitError> {
        let set = net.node("variac output");
        let winding = |start: Node, turns: f64| Winding { start, end: neutral, turns };
        net.transformer("variac", vec![winding(outlet, self.outlet), winding(set, self.volts)])?;
        Ok(Inserted::new(set, Vec::new()))
    }
    fn inside(&self) -> Inside {
        Inside::AS_FOUND
    }
}

impl Part for VariacSetting {
    fn bought(&self) -> Bought {
        let [volts, outlet] = [self.volts, self.outlet].map(|v| show(Voltage::from_si(v)));
        Bought::ware(format!("variac set to {volts} on an outlet of {outlet}"))
    }
    fn value(&self) -> f64 {
        self.volts
    }
}

impl Adaptation for Variac {
    fn unknown(&self) -> Option<Unknown> {
        Some(Unknown { what: Sought::Setting, unit: "V", low: 20.0, high: 280.0 })
    }
    fn caveat(&self) -> Option<&'static str> {
        Some("it follows the line, can be bumped and can raise the voltage")
    }
    fn exact(&self, value: f64, duty: &Duty) -> AnyPart {
        Box::new(VariacSetting { volts: value, outlet: duty.outlet })
    }
    fn stock(&self, value: f64, duty: &Duty) -> Vec<AnyPart> {
        // a variac's dial can be read to about half a volt
        vec![self.exact((2.0 * value).round() / 2.0, duty)]
    }
}
