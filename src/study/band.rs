//! The band in which heater volts and B+ will fall: what is assumed or toleranced, and the outlet's day.

use super::{
    Answer, Day, Measure, Serialize, What, read, settle,
    spread::{Off, TWO_U},
};
use crate::{
    adaptation::Part,
    receiver::{Operation, Receiver},
};

/// Heater volts and B+ from the lowest to the highest: 95 of 100 sound sets at either end of the day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
    /// Uncertainty of the heater volts on any one line, ±V: what holds 95 of 100 sound sets.
    pub heater_uncertain_v: f64,
    /// Uncertainty of B+ on any one line, ±V.
    pub b_plus_uncertain_v: f64,
    /// The part's own share in the first, ±V.
    pub part_heater_v: f64,
    /// The part's own share in the second, ±V.
    pub part_b_plus_v: f64,
}

/// What every choice of a set leaves open on the usual line, V.
#[derive(Debug, Clone, Copy, Default)]
pub struct Common {
    pub heater: Off,
    pub b_plus: Off,
}

/// What the set's own facts leave open: what the readings leave, correlations counted, as a fit shows it; without readings
/// what `of` says of heaters and B+.
pub fn common(heaters: Measure, answer: Option<&Answer>, of: impl Fn(Measure) -> Off) -> Common {
    match answer.map(Answer::uncertain) {
        Some((heater, b_plus)) => {
            let off = |two_u| Off { shift: 0.0, two_u };
            Common { heater: off(heater), b_plus: off(b_plus) }
        }
        None => Common { heater: of(heaters), b_plus: of(What::BPlus.of(0)) },
    }
}

/// The band of a choice: independent uncertainties add as the root of the sum of squares, the outlet's day is
/// taken whole.
pub fn band(
    receiver: &Receiver,
    part: &dyn Part,
    day: &Day,
    usual: &Operation,
    common: Common,
) -> Band {
    let read =
        |operation: &Operation| <[f64; 2]>::from(read(receiver, operation).heater_and_b_plus());
    let here = <[f64; 2]>::from(day.usual.heater_and_b_plus());
    let mut own = [0.0_f64; 2];
    for (index, tolerance) in part.tolerances().iter().enumerate() {
        // something off by its spread either way, as far as there is a solution
        let ways = [1.0 + tolerance.spread, 1.0 - tolerance.spread].map(|factor| {
            let varied = part.varied(index, factor);
            let settled = settle::run(receiver, &*varied, day.usual.outlet_v, Some(usual)).ok()?;
            Some(read(&settled.operation))
        });
        for (i, square) in own.iter_mut().enumerate() {
            let changes = ways.iter().flatten().map(|there| (there[i] - here[i]).abs());
            *square += changes.fold(0.0, f64::max).powi(2);
        }
    }
    let [part_heater_v, part_b_plus_v] = own.map(|square| TWO_U * square.sqrt());
    let heater = common.heater.beside(part_heater_v);
    let b_plus = common.b_plus.beside(part_b_plus_v);
    let (low, high) = (day.low.heater_and_b_plus(), day.high.heater_and_b_plus());
    Band {
        heater_low_v: low.0 + heater.least(),
        heater_high_v: high.0 + heater.most(),
        heater_rated_v: day.usual.tube_heater().map_or(0.0, |h| h.rated_v),
        b_plus_low_v: low.1 + b_plus.least(),
        b_plus_high_v: high.1 + b_plus.most(),
        heater_uncertain_v: heater.both(),
        b_plus_uncertain_v: b_plus.both(),
        part_heater_v,
        part_b_plus_v,
    }
}
