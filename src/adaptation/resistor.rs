//! A power resistor in the mains lead.

use super::{Adaptation, Duty, Part, Unknown};
use crate::catalogue::stock;
use crate::circuit::{CircuitError, Network, Node};
use crate::quantity::{Quantity, Resistance, show_plain};
use crate::receiver::{Inserted, MainsLead, resistor_part};

/// Printed rating over the watts at high line, at the least: the trade fits 1.25 to 10 times, a military
/// specification for wirewound parts asks for more than twice.
pub const RATING_MARGIN: f64 = 2.5;

/// The series resistor as an adaptation.
#[derive(Debug, Clone, Copy, Default)]
pub struct SeriesResistor;

/// A resistor of given value and rating.
#[derive(Debug, Clone, PartialEq)]
pub struct Dropper {
    /// Ω.
    pub ohms: f64,
    /// Construction and printed rating in watts, if it is a stock part.
    pub size: Option<(String, f64)>,
}

impl MainsLead for Dropper {
    fn insert(&self, net: &mut Network, outlet: Node, _: Node) -> Result<Inserted, CircuitError> {
        if self.ohms <= 0.0 {
            return Ok(Inserted {
                set: outlet,
                parts: Vec::new(),
            });
        }
        let set = net.node("after the resistor");
        let id = net.resistor("series resistor", outlet, set, self.ohms)?;
        Ok(Inserted {
            set,
            parts: vec![resistor_part("series resistor", outlet, set, id)],
        })
    }
}

impl Part for Dropper {
    fn describe(&self) -> String {
        let value = show_plain(Resistance::from_si((self.ohms * 1e3).round() / 1e3));
        match &self.size {
            Some((kind, watts)) => format!("{value}, {watts:.0} W, {kind}"),
            None => value,
        }
    }
    fn value(&self) -> f64 {
        self.ohms
    }
    fn rated_watts(&self) -> Option<f64> {
        self.size.as_ref().map(|(_, watts)| *watts)
    }
}

impl Adaptation for SeriesResistor {
    fn id(&self) -> &'static str {
        "series-resistor"
    }
    fn title(&self) -> &'static str {
        "Series resistor"
    }
    fn unknown(&self) -> Option<Unknown> {
        Some(Unknown {
            name: "resistance",
            unit: "Ω",
            low: 0.0,
            high: 1000.0,
        })
    }
    fn exact(&self, value: f64, _: &Duty) -> Box<dyn Part> {
        Box::new(Dropper {
            ohms: value,
            size: None,
        })
    }
    fn stock(&self, value: f64, duty: &Duty) -> Vec<Box<dyn Part>> {
        // running heat with its margin, and what the fuse may let pass for an hour without one
        let needed = |ohms: f64| {
            let running = RATING_MARGIN * duty.amps * duty.amps * ohms;
            duty.held_amps
                .map_or(running, |i| running.max(i * i * ohms))
        };
        stock::resistors_near(value.max(0.5))
            .into_iter()
            .map(|ohms| -> Box<dyn Part> {
                let size = stock::resistor_sizes()
                    .iter()
                    .find(|s| s.rating_w >= needed(ohms))
                    .map(|s| (s.kind.clone(), s.rating_w));
                Box::new(Dropper { ohms, size })
            })
            .collect()
    }
}
