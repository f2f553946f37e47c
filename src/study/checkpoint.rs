//! What a meter should read at the points of a set, and how far from it a sound set may be.

use super::quantities::{Meter, Quantity, quantities};
use super::reading::{self, Reading};
use super::settle;
use super::share;
use crate::adaptation::Part;
use crate::receiver::{Knob, Operation, Receiver, Spread, customary};
use serde::Serialize;

/// What a meter itself may be off, as a share: 0.7 % and 2 counts of a four-thousand-count meter come to about this
/// (the accuracy makers state for handheld meters on AC volts).
const METER: f64 = 0.01;

/// A point to measure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Checkpoint {
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
    /// Assumed values with their spread.
    pub assumed: &'a [Spread],
}

impl Points<'_> {
    /// The points a meter can reach, in the order one meets them from the mains to the tubes.
    pub fn all(&self, before: &Reading, low: &Reading, high: &Reading) -> Vec<Checkpoint> {
        let usual = reading::read(self.receiver, self.usual);
        let spreads = self.spreads();
        let value =
            |list: &[(Quantity, f64)], i: usize| list.get(i).map_or(f64::NAN, |(_, value)| *value);
        let (was, at_low, at_high) = (quantities(before), quantities(low), quantities(high));
        quantities(&usual)
            .into_iter()
            .enumerate()
            .filter(|(_, (q, _))| reachable(q, &usual, !self.part.is_nothing()))
            .map(|(i, (q, expected))| {
                let spread = spreads.get(i).copied().unwrap_or(0.0).hypot(METER * expected);
                Checkpoint {
                    key: q.key,
                    label: q.label,
                    unit: q.unit,
                    meter: q.meter,
                    before: value(&was, i),
                    expected,
                    least: expected - spread,
                    most: expected + spread,
                    at_low: value(&at_low, i),
                    at_high: value(&at_high, i),
                }
            })
            .collect()
    }

    /// ± of every quantity on the usual line: independent spreads add as the root of the sum of squares.
    fn spreads(&self) -> Vec<f64> {
        let knobs: Vec<Knob> = self.assumed.iter().map(|(knob, _)| *knob).collect();
        let sound = customary(self.receiver.model(), &knobs);
        let assumed = self.assumed.iter().map(|s| (*s, true));
        let cases: Vec<(Spread, bool)> =
            assumed.chain(sound.into_iter().map(|s| (s, false))).collect();
        let one = |case: &(Spread, bool)| self.worst(|factor| self.changed(case.0, case.1, factor));
        let mut moved: Vec<Vec<f64>> = share::each(&cases, one);
        for (index, tolerance) in self.part.tolerances().iter().enumerate() {
            moved.push(self.worst(|sign| {
                let varied = self.part.varied(index, 1.0 + sign * tolerance.spread);
                let line = self.usual.line;
                let settled = settle::run(self.receiver, &*varied, line, Some(self.usual)).ok()?;
                Some(self.values(self.receiver, &settled.operation))
            }));
        }
        let count = moved.iter().map(Vec::len).max().unwrap_or(0);
        (0..count)
            .map(|i| {
                let squares = moved.iter().filter_map(|m| m.get(i)).map(|v| v * v);
                squares.sum::<f64>().sqrt()
            })
            .collect()
    }

    fn values(&self, receiver: &Receiver, operation: &Operation) -> Vec<f64> {
        let reading = reading::read(receiver, operation);
        quantities(&reading).into_iter().map(|(_, v)| v).collect()
    }

    /// The larger change of every quantity, the case taken both ways; nothing where it has no solution.
    fn worst(&self, case: impl Fn(f64) -> Option<Vec<f64>>) -> Vec<f64> {
        let (Some(up), Some(down)) = (case(1.0), case(-1.0)) else {
            return Vec::new();
        };
        // half of the way between both ends, so that the case's own accuracy drops out
        up.iter().zip(&down).map(|(u, d)| 0.5 * (u - d).abs()).collect()
    }

    /// Every quantity with one number of the set off. Turns are fitted again for an assumed value and for what
    /// belongs to the transformer; for the rest the transformer is what it is.
    fn changed(&self, (knob, share): Spread, assumed: bool, sign: f64) -> Option<Vec<f64>> {
        let factor = 1.0 + sign * share;
        let line = self.usual.line;
        let fitted = matches!(
            knob,
            Knob::PrimaryResistance
                | Knob::NoLoadCurrent
                | Knob::NoLoadPower
                | Knob::HighVoltage
                | Knob::HighVoltageResistance
                | Knob::WindingVolts(_)
                | Knob::WindingResistance(_)
        );
        if assumed || fitted {
            let model = self.receiver.model().scaled(knob, factor);
            let other = Receiver::new(model, Some(self.receiver)).ok()?;
            let operation = other.run(line, self.part, Some(self.usual)).ok()?;
            return Some(self.values(&other, &operation));
        }
        let change = |model: &mut crate::receiver::Model| *model = model.scaled(knob, factor);
        let operation = self.receiver.run_changed(line, self.part, self.usual, change).ok()?;
        Some(self.values(self.receiver, &operation))
    }
}

/// Heat that is none, W: a variac is taken as free of loss.
const LEAST_HEAT: f64 = 0.01;

/// Whether a point is worth a line: currents of tubes need a broken lead, bias is better read at its source, and
/// what hangs straight on B+ or on a tap reads as that.
pub(super) fn reachable(quantity: &Quantity, r: &Reading, fitted: bool) -> bool {
    let key = quantity.key.as_str();
    // what the part loses is no reading, but what one wants to know beside them
    if key == "lead_power" {
        return fitted && r.lead_w > LEAST_HEAT;
    }
    if quantity.meter == Meter::None {
        return false;
    }
    if matches!(key, "ripple" | "line_current" | "dc_current")
        || key.ends_with("_current") && key != "primary_current"
    {
        return false;
    }
    // with the coil in the negative lead the first capacitor's + side is B+, and the last one stands across B+
    match key {
        "reservoir" => return (r.reservoir_v - r.b_plus_v).abs() > 0.5,
        "capacitor1" => return (r.reservoir_v - r.b_plus_v).abs() <= 0.5,
        _ if key.starts_with("capacitor") => return false,
        _ => {}
    }
    let Some((tube, electrode)) = key.strip_prefix('V').and_then(|k| k.split_once('.')) else {
        return true;
    };
    let tube = tube.parse::<usize>().ok().and_then(|n| r.tubes.get(n.checked_sub(1)?));
    let Some(tube) = tube else {
        return true;
    };
    let known = |v: f64| {
        (v - r.b_plus_v).abs() < 0.5 || r.taps.iter().any(|t| (t.volts_v - v).abs() < 0.01)
    };
    match electrode {
        "plate" => !known(tube.plate_v),
        "screen" => tube.screen_v.is_some_and(|v| !known(v)),
        "cathode" => tube.cathode_v.abs() > 0.1,
        _ => false,
    }
}
