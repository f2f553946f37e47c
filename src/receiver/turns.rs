//! The turns of a set's windings, from the volts that are stated of them.

use super::{
    AsBuilt, Model, Operation, ReceiverError, Result, STEPS, Turns, TurnsFrom,
    operate::{SETTLED, Solver},
};
use crate::circuit::Probe;

/// Rounds of turn fitting allowed.
const ROUNDS: usize = 40;
/// Loaded volts count as met within this share.
const MET: f64 = 1e-5;
/// [`MET`] for one draw among thousands, solved in fewer steps.
const MET_COARSELY: f64 = 1e-4;
/// How well the slow quantities settle before the turns are fitted, and with them: as a share of what the volts are off.
const FIRST_SETTLED: f64 = 1e-3;
const SETTLED_BY: f64 = 0.05;

impl Turns {
    /// Turns of loaded windings as their stated volts went from `before` to `now`: nearer the answer than those of the
    /// neighbour, and no more than a guess.
    pub(super) fn follow(&mut self, before: &Model, now: &Model) {
        for ((winding, old), (_, new)) in stated(before).into_iter().zip(stated(now)) {
            if !new.open {
                *self.of(winding) *= new.volts / old.volts;
            }
        }
    }

    pub(super) fn of(&mut self, winding: Winding) -> &mut f64 {
        match winding {
            Winding::HighVoltage => &mut self.high_voltage,
            Winding::Bias => &mut self.bias,
            Winding::Second => &mut self.second,
            Winding::Heaters(i) => &mut self.windings[i],
        }
    }
}

/// A winding whose turns are fitted.
#[derive(Clone, Copy)]
pub enum Winding {
    HighVoltage,
    Bias,
    Second,
    Heaters(usize),
}

/// Every winding, and the volts that its turns must meet.
pub fn stated(model: &Model) -> Vec<(Winding, TurnsFrom)> {
    let mut list = vec![(Winding::HighVoltage, model.high_voltage.turns_from)];
    list.extend(model.bias.iter().map(|bias| (Winding::Bias, bias.turns_from)));
    let second = model.second.as_ref().and_then(|second| second.winding);
    list.extend(second.map(|winding| (Winding::Second, winding.turns_from)));
    let heaters = model.windings.iter().enumerate();
    list.extend(heaters.map(|(i, w)| (Winding::Heaters(i), w.turns_from)));
    list
}

impl Winding {
    /// What it is called in a message.
    fn name(self, model: &Model) -> String {
        match self {
            Winding::HighVoltage if model.high_voltage.by_b_plus => "B+".to_owned(),
            Winding::HighVoltage => "the high-voltage winding".to_owned(),
            Winding::Bias => "the bias winding".to_owned(),
            Winding::Second => "the winding of the second supply".to_owned(),
            Winding::Heaters(i) => format!("the {} winding", model.windings[i].name),
        }
    }

    /// Its volts; where these are found from B+, that.
    fn volts(self, model: &Model, operation: &Operation) -> f64 {
        let (a, b) = match self {
            Winding::HighVoltage if model.high_voltage.by_b_plus => return operation.b_plus(),
            Winding::HighVoltage => operation.at.high_voltage,
            Winding::Bias => operation.at.bias_winding.unwrap_or_default(),
            Winding::Second => {
                operation.at.second.as_ref().map_or_else(Default::default, |s| s.high_voltage)
            }
            Winding::Heaters(i) => operation.at.windings[i],
        };
        operation.state.rms(Probe::Volts(a, b))
    }
}

/// Adjusts the turns until every loaded voltage comes out; returns the set on its design line.
pub fn fit(bench: &mut Solver<'_>, near: Option<&Operation>) -> Result<Operation> {
    let model = bench.model;
    let mut goals = stated(model);
    goals.retain(|(_, stated)| !stated.open);
    let missed = |(winding, got, wanted): (Winding, f64, f64)| {
        Err(ReceiverError::NotCalibrated { quantity: winding.name(model), got, wanted })
    };
    // while the turns are off, nothing need settle better than they stand
    bench.settled = FIRST_SETTLED;
    // what is fitted coarsely is solved no better
    let met = if bench.steps < STEPS { MET_COARSELY } else { MET };
    let enough = if bench.steps < STEPS { SETTLED.max(SETTLED_BY * met) } else { SETTLED };
    let mut at_design = bench.run(model.design_line, &AsBuilt, near)?;
    let mut last = None;
    for _ in 0..ROUNDS {
        let mut worst: f64 = 0.0;
        let mut other: Option<Operation> = None;
        for &(winding, TurnsFrom { volts: wanted, at_line, .. }) in &goals {
            let same = (at_line - at_design.line).abs() < 1e-9;
            if !same && other.as_ref().is_none_or(|o| (o.line - at_line).abs() > 1e-9) {
                // there the copper is as warm as its losses make it
                bench.fitted.designed_w = at_design.losses().total_w();
                other = Some(bench.run(at_line, &AsBuilt, Some(&at_design))?);
                bench.fitted.designed_w = 0.0;
            }
            let got = winding.volts(model, other.as_ref().filter(|_| !same).unwrap_or(&at_design));
            if got.is_nan() || got <= 0.0 {
                return missed((winding, got, wanted));
            }
            let ratio = wanted / got;
            if (ratio - 1.0).abs() >= worst {
                worst = (ratio - 1.0).abs();
                last = Some((winding, got, wanted));
            }
            *bench.fitted.turns.of(winding) *= ratio;
        }
        if worst <= met && bench.settled <= enough {
            return Ok(at_design);
        }
        bench.settled = (SETTLED_BY * worst).clamp(enough, FIRST_SETTLED);
        at_design = bench.run(model.design_line, &AsBuilt, Some(&at_design))?;
    }
    last.map_or(Ok(at_design), missed)
}
