//! What a meter should read at the points of a set, and how far from it a sound set may be.

use super::measures::{Measure, Meter};
use super::reading::{self, Reading};
use super::settle;
use super::share;
use crate::adaptation::Part;
use crate::receiver::{Operation, Receiver, Uncertain};
use serde::Serialize;

/// What a meter itself may be off, as a share: 0.7 % and 2 counts of a four-thousand-count meter come to about this
/// (the accuracy makers state for handheld meters on AC volts).
const METER: f64 = 0.01;

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
    /// Lowest value of a sound set there.
    pub least: f64,
    /// Highest value of a sound set there.
    pub most: f64,
    /// Value at the lowest outlet volts of the day.
    pub at_low: f64,
    /// Value at the highest.
    pub at_high: f64,
}

/// What checkpoints are worked out from.
pub(super) struct Points<'a> {
    pub receiver: &'a Receiver,
    pub part: &'a dyn Part,
    /// Operating point on the usual line behind the part.
    pub usual: &'a Operation,
    /// Numbers of the set that may be off.
    pub uncertain: &'a [Uncertain],
}

impl Points<'_> {
    /// The points a meter can reach, in the order one meets them from the mains to the tubes.
    pub fn all(&self, before: &Reading, low: &Reading, high: &Reading) -> Vec<Checkpoint> {
        let usual = reading::read(self.receiver, self.usual);
        let mut measures = Measure::all(&usual);
        measures.retain(|m| m.is_checkpoint(&usual, !self.part.is_nothing()));
        let spreads = self.spreads(&measures);
        let point = |(i, m): (usize, &Measure)| {
            let expected = m.value(&usual);
            let spread = spreads.get(i).copied().unwrap_or(0.0).hypot(METER * expected);
            Checkpoint {
                measure: *m,
                key: m.key(&usual),
                label: m.name(&usual),
                unit: m.unit(),
                meter: m.meter(),
                before: m.value(before),
                expected,
                least: expected - spread,
                most: expected + spread,
                at_low: m.value(low),
                at_high: m.value(high),
            }
        };
        measures.iter().enumerate().map(point).collect()
    }

    /// ± of `measures` on the usual line: independent spreads add as the root of the sum of squares.
    fn spreads(&self, measures: &[Measure]) -> Vec<f64> {
        let one = |number: &Uncertain| self.worst(measures, |sign| self.changed(number, sign));
        let mut moved: Vec<Vec<f64>> = share::each(self.uncertain, one);
        for (index, tolerance) in self.part.tolerances().iter().enumerate() {
            moved.push(self.worst(measures, |sign| {
                let varied = self.part.varied(index, 1.0 + sign * tolerance.spread);
                let line = self.usual.line;
                let settled = settle::run(self.receiver, &*varied, line, Some(self.usual)).ok()?;
                Some(reading::read(self.receiver, &settled.operation))
            }));
        }
        (0..measures.len())
            .map(|i| {
                let squares = moved.iter().filter_map(|m| m.get(i)).map(|v| v * v);
                squares.sum::<f64>().sqrt()
            })
            .collect()
    }

    /// The larger change of each of `measures`, the case taken both ways; nothing where it has no solution.
    fn worst(&self, measures: &[Measure], case: impl Fn(f64) -> Option<Reading>) -> Vec<f64> {
        let (Some(up), Some(down)) = (case(1.0), case(-1.0)) else {
            return Vec::new();
        };
        // half of the way between both ends, so that the case's own accuracy drops out
        let change = |m: &Measure| Some(0.5 * (m.get(&up)? - m.get(&down)?).abs());
        measures.iter().map(|m| change(m).unwrap_or(0.0)).collect()
    }

    /// The set with one number of it off.
    fn changed(&self, number: &Uncertain, sign: f64) -> Option<Reading> {
        let line = self.usual.line;
        let model = self.receiver.model().scaled(number.parameter, 1.0 + sign * number.spread);
        if number.has_turns_fitted() {
            let other = Receiver::new(model, Some(self.receiver)).ok()?;
            let operation = other.run(line, self.part, Some(self.usual)).ok()?;
            return Some(reading::read(&other, &operation));
        }
        let operation =
            self.receiver.run_changed(line, self.part, self.usual, |m| *m = model).ok()?;
        Some(reading::read(self.receiver, &operation))
    }
}
