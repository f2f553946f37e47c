//! Two figures between which a reading lies.

use crate::study::spread::Off;
use serde::Serialize;

/// Two figures between which a reading lies; the same twice where the model has one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Range {
    /// Lower.
    pub least: f64,
    /// Higher.
    pub most: f64,
}

impl Range {
    pub(super) fn over(values: impl IntoIterator<Item = f64>) -> Range {
        let start = Range { least: f64::INFINITY, most: f64::NEG_INFINITY };
        values.into_iter().fold(start, |r, v| Range { least: r.least.min(v), most: r.most.max(v) })
    }

    /// Both ends, widened by how far sound sets may be off, as a share.
    pub(super) fn widened(self, off: Off) -> (f64, f64) {
        (self.least * (1.0 + off.least()), self.most * (1.0 + off.most()))
    }
}
