//! What a meter should read at the points of a set, and how far from it a sound set may be.

use super::{
    Measure, Meter, Reading, reading,
    spread::{Spread, TWO_U},
};
use crate::receiver::{Operation, Receiver};
use serde::Serialize;

/// What a meter itself may be off, as a share: 0.7 % and 2 counts of a four-thousand-count meter come to about this
/// (the accuracy makers state for handheld meters on AC volts).
pub const METER: f64 = 0.01;

/// A point to measure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Checkpoint {
    /// Which quantity.
    #[serde(skip)]
    pub measure: Measure,
    /// Key, as in a sweep.
    pub key: String,
    /// Name in words.
    pub label: String,
    /// Unit.
    pub unit: &'static str,
    /// How it is measured.
    pub meter: Meter,
    /// Value straight on the usual line.
    pub before: f64,
    /// Value to expect on the usual line.
    pub expected: f64,
    /// Lowest value of a sound set there: 95 of 100 lie above it and below the next, the meter counted.
    pub least: f64,
    /// Highest value of a sound set there.
    pub most: f64,
    /// Value at the lowest outlet volts of the day.
    pub at_low: f64,
    /// Value at the highest.
    pub at_high: f64,
}

/// What checkpoints are worked out from.
pub struct Points<'a> {
    pub receiver: &'a Receiver,
    /// True where a part stands in the lead.
    pub fitted: bool,
    /// Operating point on the usual line behind it.
    pub usual: &'a Operation,
    /// What may be off there.
    pub spread: &'a Spread,
}

impl Points<'_> {
    /// The points a meter can reach, in the order one meets them from the mains to the tubes, and by what their ranges
    /// must be widened to hold all of them nine times in ten.
    pub fn all(&self, before: &Reading, low: &Reading, high: &Reading) -> (Vec<Checkpoint>, f64) {
        let usual = reading::read(self.receiver, self.usual);
        let mut measures = Measure::all(&usual);
        measures.retain(|m| m.is_checkpoint(&usual, self.fitted));
        // two standard uncertainties of the meter, where one is put to it
        let meter = |m: Measure| match m.meter() {
            Meter::None => 0.0,
            _ => TWO_U * METER * m.value(&usual).abs(),
        };
        let read: Vec<(Measure, f64)> = measures.iter().map(|m| (*m, meter(*m))).collect();
        let together = self.spread.together(&read);
        let point = |m: &Measure| {
            let expected = m.value(&usual);
            let off = self.spread.of(*m).beside(meter(*m));
            Checkpoint {
                measure: *m,
                key: m.key(&usual),
                label: m.name(&usual),
                unit: m.unit(),
                meter: m.meter(),
                before: m.value(before),
                expected,
                least: expected + off.least(),
                most: expected + off.most(),
                at_low: m.value(low),
                at_high: m.value(high),
            }
        };
        (measures.iter().map(point).collect(), together)
    }
}
