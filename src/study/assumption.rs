//! How much each assumed value matters.

use super::reading::{self, Reading};
use super::share;
use crate::adaptation::Part;
use crate::receiver::{Assumption, Model, Receiver};
use schemars::JsonSchema;
use serde::Serialize;

/// An assumed value, its rule, and what the answer does if it is off.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct AssumptionReport {
    /// What.
    pub what: String,
    /// Value with unit.
    pub value: String,
    /// Rule it comes from.
    pub rule: String,
    /// How far it may be off, as a share; 0 where that is not said.
    pub spread: f64,
    /// Change of the heater volts on the usual line if it is that far off, the set as it is, V: the
    /// larger of both directions. `None` where nothing depends on it or the case has no solution.
    pub heater_change_v: Option<f64>,
    /// Change of B+ likewise, V.
    pub b_plus_change_v: Option<f64>,
}

/// Solves the set again with every assumed value off by its spread, both ways.
pub(super) fn weigh(
    model: &Model,
    receiver: &Receiver,
    list: &[Assumption],
    part: &dyn Part,
    line: f64,
) -> Vec<AssumptionReport> {
    let base = receiver.run(line, part, None).ok().map(|o| reading::read(receiver, &o));
    let one = |assumption: &Assumption| {
        let parameter = assumption.parameter.filter(|_| assumption.spread > 0.0);
        let moved = parameter.zip(base.as_ref()).and_then(|(parameter, base)| {
            worst(base, assumption.spread, |factor| {
                let other = Receiver::new(model.scaled(parameter, factor), Some(receiver)).ok()?;
                Some(reading::read(&other, &other.run(line, part, None).ok()?))
            })
        });
        AssumptionReport {
            what: assumption.what.clone(),
            value: assumption.value.clone(),
            rule: assumption.rule.clone(),
            spread: assumption.spread,
            heater_change_v: moved.map(|m| m.0),
            b_plus_change_v: moved.map(|m| m.1),
        }
    };
    share::each(list, one)
}

/// The larger changes of heater volts and B+ from `base`, something off by `spread` either way; `None` where neither
/// way has a solution.
pub(super) fn worst(
    base: &Reading,
    spread: f64,
    case: impl Fn(f64) -> Option<Reading>,
) -> Option<(f64, f64)> {
    let (heater, b_plus) = base.heater_and_b_plus();
    let changes = [1.0 + spread, 1.0 - spread].into_iter().filter_map(|factor| {
        let (h, b) = case(factor)?.heater_and_b_plus();
        Some(((h - heater).abs(), (b - b_plus).abs()))
    });
    changes.reduce(|a, b| (a.0.max(b.0), a.1.max(b.1)))
}
