//! How much each assumed value matters.

use super::reading;
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
    let volts = |r: &reading::Reading| {
        let heater = r.tube_heater().map_or(0.0, |h| h.volts_v);
        (heater, r.b_plus_v)
    };
    let one = |assumption: &Assumption| {
        let moved =
            assumption.parameter.filter(|_| assumption.spread > 0.0).zip(base.as_ref()).and_then(
                |(parameter, base)| {
                    let (heater, b_plus) = volts(base);
                    let mut worst: Option<(f64, f64)> = None;
                    for factor in [1.0 + assumption.spread, 1.0 - assumption.spread] {
                        let changed = model.scaled(parameter, factor);
                        let Ok(other) = Receiver::new(changed, Some(receiver)) else {
                            continue;
                        };
                        let Ok(operation) = other.run(line, part, None) else {
                            continue;
                        };
                        let (h, b) = volts(&reading::read(&other, &operation));
                        let (dh, db) = ((h - heater).abs(), (b - b_plus).abs());
                        let (oh, ob) = worst.unwrap_or((0.0, 0.0));
                        worst = Some((dh.max(oh), db.max(ob)));
                    }
                    worst
                },
            );
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
