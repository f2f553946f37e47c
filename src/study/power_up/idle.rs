//! The no-load readings that would tell how near its knee a transformer works, where the profile does not.

use super::range::Range;
use crate::{
    receiver::{Model, Number, Uncertain, iron::no_load_amps},
    study::Serialize,
};

/// A reading of the primary current with every load off.
#[derive(Debug, Clone, Copy, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct IdleReading {
    /// Voltage of the variac, V RMS.
    pub at_v: f64,
    /// Amperes by the least and the most of the knee and of the no-load current.
    pub primary_a: Range,
}

/// Spread of the knee, as a share, from which readings are asked for: two of them leave half as much.
const WIDE: f64 = 0.3;
/// The lowest, over the design line: far enough below to tell the linear part, and no lamp or meter at its end.
const LOWEST: f64 = 0.85;
/// The highest that an unloaded core is asked to bear for a minute, over the design line.
const HIGHEST: f64 = 1.10;

/// Three readings, the highest first, as the variac is stepped down: where the set is to run, on its design line, and
/// below, none above `most_v`. None where the knee is known or there is no iron.
pub fn readings(model: &Model, uncertain: &[Uncertain], most_v: f64) -> Vec<IdleReading> {
    let knee = uncertain.iter().find(|u| u.parameter.what == Number::KneeShare);
    let Some(knee) = knee.filter(|u| u.spread > WIDE && model.string.is_none()) else {
        return Vec::new();
    };
    // volts for the flux that the design line gives at its own frequency
    let design = model.design_line * model.frequency / model.design_frequency;
    let highest = if most_v > 1.03 * design { most_v.min(HIGHEST * design) } else { 1.05 * design };
    let off = super::stages::no_load_spread(uncertain);
    let reading = |volts: f64| {
        let at_v = volts.round();
        let by = |factor| no_load_amps(&model.scaled(knee.parameter, factor), at_v).ok();
        let (a, b) = (by(1.0 - knee.spread)?, by(1.0 + knee.spread)?);
        let (least, most) = ((1.0 - off) * a.min(b), (1.0 + off) * a.max(b));
        Some(IdleReading { at_v, primary_a: Range { least, most } })
    };
    [highest, design, LOWEST * design].into_iter().filter_map(reading).collect()
}
