//! The band in which heater volts and B+ will fall: what is assumed or toleranced, and the outlet's day.

use super::assumption::AssumptionReport;
use super::plan::Day;
use super::reading::{self, Reading};
use super::settle;
use crate::adaptation::Part;
use crate::receiver::{Operation, Receiver};
use schemars::JsonSchema;
use serde::Serialize;

/// Heater volts and B+ from the lowest to the highest.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Band {
    /// Heater volts at low line, less the uncertainty.
    pub heater_low_v: f64,
    /// Heater volts at high line, plus the uncertainty.
    pub heater_high_v: f64,
    /// Rated heater volts.
    pub heater_rated_v: f64,
    /// B+ at low line, less the uncertainty.
    pub b_plus_low_v: f64,
    /// B+ at high line, plus the uncertainty.
    pub b_plus_high_v: f64,
    /// Uncertainty of the heater volts on any one line, ±V.
    pub heater_uncertain_v: f64,
    /// Uncertainty of B+ on any one line, ±V.
    pub b_plus_uncertain_v: f64,
    /// The part's own share in the first, ±V.
    pub part_heater_v: f64,
    /// The part's own share in the second, ±V.
    pub part_b_plus_v: f64,
}

impl Band {
    /// Largest excess of the heater volts over rated, as a share.
    pub fn highest_excess(&self) -> f64 {
        self.heater_high_v / self.heater_rated_v - 1.0
    }

    /// Lowest, likewise.
    pub fn lowest_excess(&self) -> f64 {
        self.heater_low_v / self.heater_rated_v - 1.0
    }
}

/// The band of a choice: independent uncertainties add as the root of the sum of squares, the outlet's day is
/// taken whole.
pub(super) fn band(
    receiver: &Receiver,
    part: &dyn Part,
    day: &Day,
    usual: &Operation,
    assumptions: &[AssumptionReport],
) -> Band {
    let volts = |r: &Reading| (r.tube_heater().map_or(0.0, |h| h.volts_v), r.b_plus_v);
    let base = volts(&day.usual);
    let mut heater: f64 = assumptions
        .iter()
        .filter_map(|a| a.heater_change_v)
        .map(|v| v * v)
        .fold(0.0, |sum, v| sum + v);
    let mut b_plus: f64 = assumptions
        .iter()
        .filter_map(|a| a.b_plus_change_v)
        .map(|v| v * v)
        .fold(0.0, |sum, v| sum + v);
    let mut own = (0.0_f64, 0.0_f64);
    for (index, tolerance) in part.tolerances().iter().enumerate() {
        let mut worst = (0.0_f64, 0.0_f64);
        for factor in [1.0 + tolerance.spread, 1.0 - tolerance.spread] {
            let varied = part.varied(index, factor);
            if let Ok(settled) = settle::run(receiver, &*varied, day.usual.outlet_v, Some(usual)) {
                let other = volts(&reading::read(receiver, &settled.operation));
                worst.0 = worst.0.max((other.0 - base.0).abs());
                worst.1 = worst.1.max((other.1 - base.1).abs());
            }
        }
        own.0 += worst.0 * worst.0;
        own.1 += worst.1 * worst.1;
    }
    heater += own.0;
    b_plus += own.1;
    let (heater, b_plus) = (heater.sqrt(), b_plus.sqrt());
    let (low, high) = (volts(&day.low), volts(&day.high));
    Band {
        heater_low_v: low.0 - heater,
        heater_high_v: high.0 + heater,
        heater_rated_v: day.usual.tube_heater().map_or(0.0, |h| h.rated_v),
        b_plus_low_v: low.1 - b_plus,
        b_plus_high_v: high.1 + b_plus,
        heater_uncertain_v: heater,
        b_plus_uncertain_v: b_plus,
        part_heater_v: own.0.sqrt(),
        part_b_plus_v: own.1.sqrt(),
    }
}
