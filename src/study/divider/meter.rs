//! Voltmeters and how they load what they read.

use super::stand::{Clip, Stand};
use crate::{receiver::ReceiverError, study::Serialize};

/// Ranges of a volts-per-ohm meter, V: the usual ones of service instruments (common practice, no source).
pub const RANGES_V: [f64; 5] = [2.5, 10.0, 50.0, 250.0, 1000.0];

/// A full scale is reached in spite of binary rounding.
const SLACK: f64 = 1.0 + 1e-6;

/// A voltmeter.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Voltmeter {
    /// Ω, or Ω per volt of its range.
    pub ohms: f64,
    /// True for Ω per volt.
    pub per_volt: bool,
    /// The range it is kept on, V; `None` for the one of [`RANGES_V`] just above the volts read.
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
    let solve = |ohms: f64| {
        let clip = Clip { upper, lower, ohms };
        let points = stand.volts(arms, Some(clip))?;
        Ok::<f64, ReceiverError>(points[upper] - lower.map_or(0.0, |place| points[place]))
    };
    if !meter.per_volt {
        let (shown_v, load_ohms) = (Some(solve(meter.ohms)?), meter.ohms);
        return Ok(MeterReading { shown_v, range_v: None, load_ohms });
    }
    // the lowest range that holds what stands there: a lower one loads more
    let range = meter.range_v.unwrap_or_else(|| {
        let holds = |range: &&f64| **range * SLACK >= without_v.abs();
        RANGES_V.iter().find(holds).copied().unwrap_or(RANGES_V[4])
    });
    let load_ohms = meter.resistance(range);
    let shown = solve(load_ohms)?;
    Ok(MeterReading {
        shown_v: (shown.abs() <= range * SLACK).then_some(shown),
        range_v: Some(range),
        load_ohms,
    })
}
