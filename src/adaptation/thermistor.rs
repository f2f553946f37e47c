//! An inrush thermistor in the mains lead: hot resistance `R = k·I^n` with n about −1.3, so that it takes nearly the
//! same few volts whatever the set draws.

use super::resistor::Dropper;
use super::{Adaptation, Bought, Duty, Part, Tolerance, Unknown};
use crate::catalogue::stock::{Thermistor, thermistors};
use crate::circuit::{CircuitError, Network, Node};
use crate::receiver::{Inserted, MainsLead};

/// The inrush thermistor as an adaptation.
#[derive(Debug, Clone, Copy, Default)]
pub struct InrushThermistor;

/// A thermistor settled at a hot resistance.
#[derive(Debug, Clone, PartialEq)]
pub struct HotThermistor {
    /// The part.
    pub part: Thermistor,
    /// Hot resistance, Ω.
    pub ohms: f64,
}

impl MainsLead for HotThermistor {
    fn insert(
        &self,
        net: &mut Network,
        outlet: Node,
        neutral: Node,
    ) -> Result<Inserted, CircuitError> {
        // within a cycle it is a plain resistor: it takes tens of seconds to warm
        Dropper::bare(self.ohms).insert(net, outlet, neutral)
    }
}

impl Part for HotThermistor {
    fn bought(&self) -> Bought {
        let Thermistor { cold_ohm, max_a, .. } = self.part;
        Bought::ware(format!("inrush thermistor {cold_ohm} Ω cold, {max_a} A"))
    }
    fn value(&self) -> f64 {
        self.ohms
    }
    fn hot_ohms(&self, amps: f64, _: f64) -> Option<f64> {
        Some(self.part.hot_ohms(amps))
    }
    fn with_ohms(&self, ohms: f64) -> Option<Box<dyn Part>> {
        Some(Box::new(HotThermistor { ohms, ..self.clone() }))
    }
    fn cold(&self) -> Option<Box<dyn Part>> {
        self.with_ohms(self.part.cold_ohm)
    }
    fn current_range(&self) -> Option<(f64, f64)> {
        Some((self.part.lowest_a(), self.part.max_a))
    }
    fn tolerances(&self) -> Vec<Tolerance> {
        vec![Tolerance {
            what: "thermistor",
            value: self.bought().ware,
            rule: "hot resistance by a rough law†",
            spread: 0.3,
        }]
    }
    fn varied(&self, _: usize, factor: f64) -> Box<dyn Part> {
        Box::new(HotThermistor {
            part: Thermistor { k: self.part.k * factor, ..self.part.clone() },
            ohms: self.ohms * factor,
        })
    }
}

impl Adaptation for InrushThermistor {
    fn unknown(&self) -> Option<Unknown> {
        None
    }
    fn value_unit(&self) -> Option<&'static str> {
        Some("Ω")
    }
    fn caveat(&self) -> Option<&'static str> {
        Some(
            "it takes 2 to 4 V† whatever the set draws, its body runs at 150 to 250 °C†, and switched off and on again within a minute it protects nothing",
        )
    }
    fn exact(&self, _: f64, duty: &Duty) -> Box<dyn Part> {
        let part =
            thermistors().iter().find(|t| t.is_valid_at(duty.amps)).or(thermistors().first());
        match part {
            Some(part) => {
                Box::new(HotThermistor { part: part.clone(), ohms: part.hot_ohms(duty.amps) })
            }
            None => Box::new(Dropper::bare(0.0)),
        }
    }
    fn stock(&self, _: f64, duty: &Duty) -> Vec<Box<dyn Part>> {
        thermistors()
            .iter()
            .filter(|t| t.is_valid_at(duty.amps))
            .map(|t| -> Box<dyn Part> {
                Box::new(HotThermistor { part: t.clone(), ohms: t.hot_ohms(duty.amps) })
            })
            .collect()
    }
}
