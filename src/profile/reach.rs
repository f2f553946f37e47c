//! Values that no receiver has: a slip in the number or in its prefix, refused where it is written.

use crate::quantity::{
    Capacitance, Current, Frequency, Inductance, Power, Quantity, Resistance, Temperature,
    TemperatureRise, Transconductance, Voltage, show_plain,
};

/// Smallest and largest magnitude of each kind, SI units, wide of anything in or before a receiver (own
/// judgement; a wrong prefix is a factor of 1000). Temperatures are of the air around a set, rises of windings.
const REACH: [(&str, f64, f64); 10] = [
    (Voltage::NAME, 1e-3, 20e3),
    (Current::NAME, 1e-9, 100.0),
    (Resistance::NAME, 1e-3, 10e9),
    (Capacitance::NAME, 0.1e-12, 0.1),
    (Inductance::NAME, 1e-6, 10e3),
    (Power::NAME, 1e-3, 100e3),
    (Frequency::NAME, 10.0, 1e3),
    (Transconductance::NAME, 1e-9, 10.0),
    (Temperature::NAME, 223.15, 373.15),
    (TemperatureRise::NAME, 5.0, 150.0),
];

/// What to do about a value that these rules refuse.
pub const CHECK: &str = "check the number and its unit";

/// What is wrong with a value that nothing in or before a receiver can have; `None` if it is within reach.
/// Zero is another rule's business.
pub fn out_of_reach<Q: Quantity>(text: &str, value: Q) -> Option<String> {
    let (_, low, high) = REACH.iter().find(|(name, _, _)| *name == Q::NAME)?;
    let size = value.si().abs();
    let within = size == 0.0 || (*low..=*high).contains(&size);
    (!within).then(|| beyond::<Q>(text, "far from anything a receiver has", (*low, *high)))
}

/// That a value is not within limits, SI.
fn beyond<Q: Quantity>(text: &str, is: &str, (low, high): (f64, f64)) -> String {
    let [low, high] = [low, high].map(|si| show_plain(Q::from_si(si)));
    format!("{:?} is {is}, which is from {low} to {high}", text.trim())
}

/// Volts of one place in or before a set, wide of any that was made (own judgement).
#[derive(Debug, Clone, Copy)]
pub struct Place {
    what: &'static str,
    low: f64,
    high: f64,
}

impl Place {
    /// The outlet and the line a set is designed for, V RMS.
    pub const MAINS: Place = Place { what: "a mains voltage", low: 20.0, high: 500.0 };
    /// Half of the high-voltage winding, V RMS, and B+, V DC.
    pub const HIGH_VOLTAGE: Place =
        Place { what: "the high voltage of a receiver", low: 20.0, high: 2000.0 };
    /// A heater winding, V RMS.
    pub const HEATER: Place =
        Place { what: "the voltage of a heater winding", low: 0.5, high: 150.0 };

    /// What is wrong with volts that this place never has; `None` if it may.
    pub fn refuse(self, text: &str, value: Voltage) -> Option<String> {
        let within = (self.low..=self.high).contains(&value.si());
        let what = format!("not {}", self.what);
        (!within).then(|| beyond::<Voltage>(text, &what, (self.low, self.high)))
    }
}
