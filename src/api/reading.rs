//! Readings by name, with their units.

use crate::quantity::{Current, Power, Quantity, Voltage};
use crate::study::{Measure, Reading};

impl Reading {
    /// B+ against chassis, average.
    pub fn b_plus(&self) -> Voltage {
        Voltage::from_si(self.b_plus_v)
    }

    /// Current from the outlet, RMS.
    pub fn line_current(&self) -> Current {
        Current::from_si(self.line_a)
    }

    /// Power from the outlet.
    pub fn line_power(&self) -> Power {
        Power::from_si(self.line_w)
    }

    /// Volts of a heater winding by its name in the profile, RMS; `None` where the set has no such winding.
    pub fn heater(&self, winding: &str) -> Option<Voltage> {
        let of = self.heaters.iter().find(|h| h.winding == winding)?;
        Some(Voltage::from_si(of.volts_v))
    }

    /// Any quantity by its key, such as `B+`, `heater.main` or `V6.plate`, SI; `None` where the set has none of that key.
    /// [`Measure::all`] lists them with names and units.
    pub fn get(&self, key: &str) -> Option<f64> {
        Measure::find(self, key)?.get(self)
    }
}
