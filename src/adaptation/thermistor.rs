//! An inrush thermistor in the line cord: hot resistance `R = k·I^n` with n about −1.3, so that it takes nearly the
//! same few volts whatever the set draws.

use super::{
    Bought, Dropper,
    part::{Adaptation, AnyPart, Copied, Duty, Part, Tolerance, any},
};
use crate::{
    catalogue::stock::{Thermistor, thermistors},
    circuit::{CircuitError, Network, Node},
    receiver::{Inserted, MainsLead},
};

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
    fn with_ohms(&self, ohms: f64) -> Option<AnyPart> {
        Some(Box::new(HotThermistor { ohms, ..self.clone() }))
    }
    fn cold(&self) -> Option<AnyPart> {
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
    fn varied(&self, _: usize, factor: f64) -> AnyPart {
        Box::new(HotThermistor {
            part: Thermistor { k: self.part.k * factor, ..self.part.clone() },
            ohms: self.ohms * factor,
        })
    }
}

impl Adaptation for InrushThermistor {
    fn value_unit(&self) -> Option<&'static str> {
        Some("Ω")
    }
    fn caveat(&self) -> Option<&'static str> {
        Some(
            "it takes 2 to 4 V† whatever the set draws, its body runs at 150 to 250 °C†, and switched off and on again within a minute it protects nothing",
        )
    }
    fn exact(&self, _: f64, duty: &Duty) -> AnyPart {
        let part =
            thermistors().iter().find(|t| t.is_valid_at(duty.amps)).or(thermistors().first());
        part.map_or_else(|| Dropper::bare(0.0).copied(), |part| hot(part, duty).copied())
    }
    fn stock(&self, _: f64, duty: &Duty) -> Vec<AnyPart> {
        let valid = thermistors().iter().filter(|t| t.is_valid_at(duty.amps));
        any(valid.map(|part| hot(part, duty)))
    }
}

/// A thermistor as hot as the duty makes it.
fn hot(part: &Thermistor, duty: &Duty) -> HotThermistor {
    HotThermistor { part: part.clone(), ohms: part.hot_ohms(duty.amps) }
}
