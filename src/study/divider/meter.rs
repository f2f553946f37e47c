//! Voltmeters and how they load what they read.

use super::stand::{Clip, Stand};
use crate::{receiver::ReceiverError, study::Serialize};

/// Ranges of a volts-per-ohm meter, V: the usual ones of service instruments (common practice, no source).
pub const RANGES_V: [f64; 5] = [2.5, 10.0, 50.0, 250.0, 1000.0];

/// A full scale is reached in spite of binary rounding.
const SLACK: f64 = 1.0 + 1e-6;

/// A voltmeter.
#[derive(Debug, Clone, Copy, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Voltmeter {
    /// Ω, or Ω per volt of its range.
    pub ohms: f64,
    /// True for Ω per volt.
    pub per_volt: bool,
    /// The range it is kept on, V; `None` for the one of [`RANGES_V`] just above the reading.
    pub range_v: Option<f64>,
}

impl Voltmeter {
    /// A digital meter of 10 MΩ †, and pointer meters of 20 000 and 1000 ohms per volt, as the service
    /// sheets of the 1930s and 1940s name them.
    pub const USUAL: [Voltmeter; 3] =
        [Voltmeter::of(10e6, false), Voltmeter::of(20e3, true), Voltmeter::of(1e3, true)];

    const fn of(ohms: f64, per_volt: bool) -> Voltmeter {
        Voltmeter { ohms, per_volt, range_v: None }
    }

    /// Resistance on a range, Ω.
    pub fn resistance(self, range_v: f64) -> f64 {
        if self.per_volt { self.ohms * range_v } else { self.ohms }
    }
}

/// What a meter shows at one place.
#[derive(Debug, Clone, Copy, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct MeterReading {
    /// V; `None` where the pointer goes beyond its scale.
    pub shown_v: Option<f64>,
    /// Range of a volts-per-ohm meter, V.
    pub range_v: Option<f64>,
    /// What the meter loads the place with, Ω.
    pub load_ohms: f64,
}

/// Reads the volts between two points with a meter; `without_v` is what stands there without one.
pub fn read(
    stand: &dyn Stand,
    arms: &[f64],
    (upper, lower): (usize, Option<usize>),
    meter: Voltmeter,
    without_v: f64,
) -> Result<MeterReading, ReceiverError> {
    // the lowest range that holds what stands there: a lower one loads more
    let lowest = || RANGES_V.into_iter().find(|range| range * SLACK >= without_v.abs());
    let range = || meter.range_v.or_else(lowest).unwrap_or(RANGES_V[4]);
    let range_v = meter.per_volt.then(range);
    let load_ohms = meter.resistance(range_v.unwrap_or_default());
    let points = stand.volts(arms, Some(Clip { upper, lower, ohms: load_ohms }))?;
    let shown = points[upper] - lower.map_or(0.0, |place| points[place]);
    let in_range = range_v.is_none_or(|range| shown.abs() <= range * SLACK);
    Ok(MeterReading { shown_v: in_range.then_some(shown), range_v, load_ohms })
}
