//! Another tap of the set's own primary.

use super::{
    Bought,
    part::{Adaptation, AnyPart, Duty, Part},
};
use crate::{
    quantity::{Quantity, Voltage, show_plain},
    receiver::{Inside, MainsLead},
};

/// The taps of the set's primary as an adaptation.
#[derive(Debug, Clone, Default)]
pub struct Taps {
    /// Tap volts.
    pub taps: Vec<f64>,
    /// The tap now connected: the design line of the profile.
    pub now: f64,
}

/// The set moved to a tap of `volts`: so many more or less turns of its primary are in circuit, and the outlet across them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tap {
    /// Volts marked on the tap.
    pub volts: f64,
    /// The tap the profile describes.
    pub now: f64,
}

impl MainsLead for Tap {
    fn inside(&self) -> Inside {
        Inside { primary_turns: Some(self.volts / self.now), ..Inside::default() }
    }
}

impl Part for Tap {
    fn bought(&self) -> Bought {
        let volts = show_plain(Voltage::from_si(self.volts));
        Bought::ware(format!("move the primary to its {volts} tap"))
    }
    fn value(&self) -> f64 {
        self.volts
    }
}

impl Adaptation for Taps {
    fn value_unit(&self) -> Option<&'static str> {
        Some("V")
    }
    fn exact(&self, value: f64, _: &Duty) -> AnyPart {
        Box::new(Tap { volts: if value > 0.0 { value } else { self.now }, now: self.now })
    }
    fn stock(&self, _: f64, duty: &Duty) -> Vec<AnyPart> {
        self.taps
            .iter()
            .filter(|v| (**v / self.now - 1.0).abs() > 1e-6)
            .map(|v| self.exact(*v, duty))
            .collect()
    }
}
