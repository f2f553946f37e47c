//! How much each assumed value matters.

use super::reading::{self, Limit, Reading};
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

/// Two standard uncertainties of each limit's value on the usual line, from what is assumed of the set.
pub(super) type Spreads = Vec<(Limit, f64)>;

/// What every assumed value does, and what they leave open together of each limit's value on the usual line.
pub(super) struct Weighed {
    pub list: Vec<AssumptionReport>,
    pub spreads: Spreads,
}

/// Two standard uncertainties over the limit of a rectangular distribution: 2/√3 (JCGM 100:2008, 4.3.7).
pub(super) const TWO_U: f64 = 2.0 / 1.732_050_807_568_877_2;

/// Solves the set again with every assumed value off by its spread, both ways.
pub(super) fn weigh(
    model: &Model,
    receiver: &Receiver,
    list: &[Assumption],
    part: &dyn Part,
    line: f64,
) -> Weighed {
    let base = receiver.run(line, part, None).ok().map(|o| reading::read(receiver, &o));
    let one = |assumption: &Assumption| {
        let parameter = assumption.parameter.filter(|_| assumption.spread > 0.0);
        let moved = parameter.zip(base.as_ref()).and_then(|(parameter, base)| {
            changes(base, assumption.spread, |factor| {
                let other = Receiver::new(model.scaled(parameter, factor), Some(receiver)).ok()?;
                Some(reading::read(&other, &other.run(line, part, None).ok()?))
            })
        });
        let of = |i: usize| moved.as_ref().map(|m| m[i]);
        let report = AssumptionReport {
            what: assumption.what.clone(),
            value: assumption.value.clone(),
            rule: assumption.rule.clone(),
            spread: assumption.spread,
            heater_change_v: of(0),
            b_plus_change_v: of(1),
        };
        (report, moved.unwrap_or_default())
    };
    let (list, moved): (Vec<_>, Vec<_>) = share::each(list, one).into_iter().unzip();
    let limits = base.iter().flat_map(|b| b.limits.iter().enumerate());
    let open = |i: usize| {
        let squares = moved.iter().filter_map(|m| m.get(i + 2)).map(|v| v * v);
        TWO_U * squares.sum::<f64>().sqrt()
    };
    Weighed { list, spreads: limits.map(|(i, l)| (l.clone(), open(i))).collect() }
}

/// The larger changes of heater volts and B+ from `base`, something off by `spread` either way; `None` where neither
/// way has a solution.
pub(super) fn worst(
    base: &Reading,
    spread: f64,
    case: impl Fn(f64) -> Option<Reading>,
) -> Option<(f64, f64)> {
    changes(base, spread, case).map(|m| (m[0], m[1]))
}

/// The same, and after them of the value of each limit.
fn changes(base: &Reading, spread: f64, case: impl Fn(f64) -> Option<Reading>) -> Option<Vec<f64>> {
    let values = |r: &Reading| -> Vec<f64> {
        let (heater, b_plus) = r.heater_and_b_plus();
        let of = |l: &Limit| r.limits.iter().find(|other| other.is(l)).unwrap_or(l).value;
        [heater, b_plus].into_iter().chain(base.limits.iter().map(of)).collect()
    };
    let here = values(base);
    let ways = [1.0 + spread, 1.0 - spread].into_iter().filter_map(|factor| {
        let there = values(&case(factor)?);
        Some(there.iter().zip(&here).map(|(a, b)| (a - b).abs()).collect::<Vec<f64>>())
    });
    ways.reduce(|a, b| a.iter().zip(&b).map(|(a, b)| a.max(*b)).collect())
}
