//! Voltmeters and how they load what they read.

use super::stand::{Clip, Stand};
use crate::receiver::ReceiverError;
use serde::Serialize;

/// Ranges of a volts-per-ohm meter, V: the usual ones of service instruments (common practice, no source).
pub const RANGES_V: [f64; 5] = [2.5, 10.0, 50.0, 250.0, 1000.0];

/// A voltmeter.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Voltmeter {
    /// Ω, or Ω per volt of its range.
    pub ohms: f64,
    /// True for Ω per volt.
    pub per_volt: bool,
    /// The range it is kept on, V; `None` for one of [`RANGES_V`] by the reading.
    pub range_v: Option<f64>,
}

impl Voltmeter {
    /// A digital meter of 10 MΩ (from memory), and pointer meters of 20 000 and 1000 ohms per volt, as the service
    /// sheets of the 1930s and 1940s name them.
    pub const USUAL: [Voltmeter; 3] = [
        Voltmeter::of(10e6, false),
        Voltmeter::of(20e3, true),
        Voltmeter::of(1e3, true),
    ];

    const fn of(ohms: f64, per_volt: bool) -> Voltmeter {
        Voltmeter {
            ohms,
            per_volt,
            range_v: None,
        }
    }

    /// Resistance on a range, Ω.
    pub fn resistance(self, range_v: f64) -> f64 {
        if self.per_volt {
            self.ohms * range_v
        } else {
            self.ohms
        }
    }
}

/// What a meter shows at one place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MeterReading {
    /// V; `None` where the pointer goes beyond its scale.
    pub shown_v: Option<f64>,
    /// Range of a volts-per-ohm meter, V.
    pub range_v: Option<f64>,
    /// What the meter loads the place with, Ω.
    pub load_ohms: f64,
}

/// Reads the volts between two points with a meter; `without_v` is what stands there without one.
pub(super) fn read(
    stand: &dyn Stand,
    arms: &[f64],
    (upper, lower): (usize, Option<usize>),
    meter: Voltmeter,
    without_v: f64,
) -> Result<MeterReading, ReceiverError> {
    let solve = |ohms: f64| {
        let clip = Clip { upper, lower, ohms };
        let points = stand.volts(arms, Some(clip))?;
        let at = |place: usize| points.get(place).copied().unwrap_or_default();
        Ok::<f64, ReceiverError>(at(upper) - lower.map_or(0.0, at))
    };
    if !meter.per_volt {
        return Ok(MeterReading {
            shown_v: Some(solve(meter.ohms)?),
            range_v: None,
            load_ohms: meter.ohms,
        });
    }
    // as at the bench: from a range that surely holds it, down as long as the pointer would stay on the next scale
    let ranges = match &meter.range_v {
        Some(range) => std::slice::from_ref(range),
        None => &RANGES_V[..],
    };
    let below = ranges.iter().filter(|r| **r < without_v.abs()).count();
    let mut place = below.min(ranges.len().saturating_sub(1));
    loop {
        let range = ranges.get(place).copied().unwrap_or_default();
        let load_ohms = meter.resistance(range);
        let shown = solve(load_ohms)?;
        match place.checked_sub(1).and_then(|lower| ranges.get(lower)) {
            Some(next) if shown.abs() <= *next => place -= 1,
            _ => {
                return Ok(MeterReading {
                    shown_v: (shown.abs() <= range).then_some(shown),
                    range_v: Some(range),
                    load_ohms,
                });
            }
        }
    }
}
