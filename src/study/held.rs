//! Readings of a set with a part in, held against what is predicted for the line they were taken on.

use super::{
    Reading, Result, Serialize, What,
    fit::{Point, Setting, change_by_meter, taken},
    read, settle,
    spread::{Moved, Spread, TWO_U},
};
use crate::{
    adaptation::Part,
    profile::ReadingSet,
    receiver::{Operation, Receiver},
};

/// Where a reading lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Lies {
    /// Within the normal range.
    Within,
    /// Above it.
    Above,
    /// Below it.
    Below,
}

/// What readings of a set with `part` in are held against.
pub struct Bench<'a> {
    pub receiver: &'a Receiver,
    pub moved: &'a Moved,
    pub part: &'a dyn Part,
    /// Whether there is one.
    pub fitted: bool,
}

/// A reading with what was predicted for it.
pub struct Held {
    pub point: Point,
    pub expected: f64,
    pub least: f64,
    pub most: f64,
    /// What meter and line voltage may be off there: two standard uncertainties.
    pub read_two_u: f64,
    /// The set as it was predicted there.
    pub reading: Reading,
}

impl Held {
    pub fn lies(&self) -> Lies {
        let value = self.point.measured;
        match (value < self.least, value > self.most) {
            (true, _) => Lies::Below,
            (_, true) => Lies::Above,
            _ => Lies::Within,
        }
    }

    /// Whether it is read at a heater of a string.
    pub fn is_in_string(&self) -> bool {
        let heater = self.reading.heaters.get(self.point.measure.of);
        self.point.measure.what == What::Heater && heater.is_some_and(|h| h.in_string)
    }

    /// What meter and line voltage may be off, as a share.
    pub fn meters(&self) -> f64 {
        (self.read_two_u / self.point.measured).abs()
    }

    /// How far the size of the reading is from what was predicted, as a share.
    pub fn share(&self) -> f64 {
        self.point.measured / self.expected - 1.0
    }
}

/// A line is moved by this share to see what a volt of it does.
const NUDGE: f64 = 0.01;

impl Bench<'_> {
    fn run(&self, line: f64, near: Option<&Operation>) -> Result<Operation> {
        Ok(settle::run(self.receiver, self.part, line, near)?.operation)
    }

    /// The readings under `key` with what was predicted for each.
    ///
    /// # Errors
    /// A point that the set does not have, or a line on which it has no solution.
    pub fn hold(&self, sets: &[ReadingSet], key: &str) -> Result<Vec<Held>> {
        let (settings, points) = taken(sets, key, self.receiver, self.fitted)?;
        let mut held = Vec::new();
        for (number, setting) in settings.iter().enumerate() {
            let own = points.iter().filter(|point| point.setting == number);
            held.extend(self.at(setting, own.cloned().collect())?);
        }
        Ok(held)
    }

    /// What each number that may be off does to the set on `line`.
    ///
    /// # Errors
    /// It has no solution there.
    pub fn effects(&self, line: f64) -> Result<Spread> {
        self.moved.spread(self.part, line, &self.run(line, None)?)
    }

    fn at(&self, setting: &Setting, points: Vec<Point>) -> Result<Vec<Held>> {
        let nowhere = |_| setting.nowhere(self.receiver.model());
        let here = self.run(setting.line, None).map_err(nowhere)?;
        let nudged = self.run(setting.line * (1.0 + NUDGE), Some(&here)).map_err(nowhere)?;
        let spread = self.moved.spread(self.part, setting.line, &here)?;
        let [here_reads, above] = [&here, &nudged].map(|at| read(self.receiver, at));
        let line_two_u = TWO_U * setting.line_spread;
        let each = points.into_iter().map(|point| {
            let load = change_by_meter(self.receiver, self.part, &here, &point)?;
            let expected = point.value(&here_reads) + load;
            let by_line = (point.value(&above) - point.value(&here_reads)) / NUDGE * line_two_u;
            let read_two_u = (2.0 * point.uncertainty).hypot(by_line);
            let off = spread.of(point.measure).beside(read_two_u);
            let ends = [expected + off.least(), expected + off.most()];
            let reading = here_reads.clone();
            Ok(Held { point, expected, least: ends[0], most: ends[1], read_two_u, reading })
        });
        each.collect()
    }
}
