//! What a meter should read at the points of a set, and how far from it a sound set may be.

use super::{
    Measure, Meter, Reading, Serialize,
    spread::{Spread, TWO_U},
};

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
    /// The part's name in drawings, such as C1, where it is read at one that has such a name.
    #[serde(skip)]
    pub part: Option<String>,
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

/// The points a meter can reach, in the order one meets them from the mains to the tubes, and by what their ranges
/// must be widened to hold all of them nine times in ten: of a set with a part `fitted` that reads `usual`, of which may be
/// off what `spread` says, with what it reads before, on low and on high line.
pub fn points(
    spread: &Spread,
    fitted: bool,
    usual: &Reading,
    [before, low, high]: [&Reading; 3],
) -> (Vec<Checkpoint>, f64) {
    let mut measures = Measure::all(usual);
    measures.retain(|m| m.is_checkpoint(usual, fitted));
    // two standard uncertainties of the meter, where one is put to it
    let meter = |m: &Measure| match m.meter() {
        Meter::None => 0.0,
        _ => TWO_U * METER * m.value(usual).abs(),
    };
    let read: Vec<(Measure, f64)> = measures.iter().map(|m| (*m, meter(m))).collect();
    let point = |m: &Measure| {
        let expected = m.value(usual);
        let off = spread.of(*m).beside(meter(m));
        Checkpoint {
            measure: *m,
            key: m.key(usual),
            label: m.name(usual),
            part: m.part(usual),
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
    (measures.iter().map(point).collect(), spread.together(&read))
}
