//! Many plans at a glance: what each comes to, and the cautions that all of them share.

use super::caution::Caution;
use super::plan::Plan;
use super::reading::{Limit, Rating};
use super::verdict::Objection;
use crate::adaptation::Method;

/// Plans side by side.
#[derive(Debug, Clone)]
pub struct PlanList {
    /// A row for each file, in the order asked for.
    pub rows: Vec<PlanRow>,
    /// What holds for every set.
    pub cautions: Vec<Caution>,
}

/// A file and what came of it.
#[derive(Debug, Clone)]
pub struct PlanRow {
    /// File.
    pub file: String,
    /// A shorter name of it that no other row has.
    pub short: String,
    /// What came of it.
    pub body: RowBody,
}

/// What came of a file.
#[derive(Debug, Clone)]
pub enum RowBody {
    /// A plan.
    Planned(Box<PlannedRow>),
    /// No plan.
    Failed {
        /// How many errors.
        errors: usize,
        /// The first.
        first: String,
    },
}

/// A plan in a row.
#[derive(Debug, Clone)]
pub struct PlannedRow {
    /// What heads its plan.
    pub alarms: Vec<Caution>,
    /// Name of the set.
    pub set: String,
    /// Design line, V RMS.
    pub design_line_v: f64,
    /// Usual outlet volts.
    pub usual_v: f64,
    /// Heaters of the tubes on it, the set as it is, V RMS.
    pub heater_v: Option<f64>,
    /// That over rated, minus one.
    pub heater_excess: f64,
    /// B+ on it, V DC.
    pub b_plus_v: f64,
    /// The advised choice, if there is one.
    pub advice: Option<Method>,
    /// The part to fit; none where the set is left as it is.
    pub part: Option<String>,
    /// Why.
    pub reasons: Vec<String>,
    /// The first reason against leaving the set as it is.
    pub objection: Option<Objection>,
    /// The limit that the set as it is passes by most: design-centre ratings on the usual line, others on the high one.
    pub worst_limit: Option<Limit>,
}

impl RowBody {
    /// A plan's row.
    pub fn of(plan: &Plan) -> RowBody {
        let as_is = plan.choices.first();
        let day = as_is.and_then(|c| c.day.as_ref());
        let passed = day.into_iter().flat_map(|day| {
            let own = |rating: Rating| move |l: &&Limit| l.rating == rating;
            let usual = day.usual.beyond().filter(own(Rating::DesignCentre));
            usual.chain(day.high.beyond().filter(own(Rating::Ceiling)))
        });
        // a least value is passed downwards
        let over = |l: &Limit| match l.is_least() {
            true => l.limit / l.value,
            false => l.value / l.limit,
        };
        let advised = plan.advised();
        RowBody::Planned(Box::new(PlannedRow {
            alarms: plan.cautions.iter().filter(|c| c.is_alarm()).cloned().collect(),
            set: plan.set.name.clone(),
            design_line_v: plan.set.design_line_v,
            usual_v: plan.outlet.usual_v,
            heater_v: day.and_then(|d| d.usual.tube_heater()).map(|h| h.volts_v),
            heater_excess: day.map_or(0.0, |d| d.usual.heater_excess()),
            b_plus_v: day.map_or(0.0, |d| d.usual.b_plus_v),
            advice: plan.advice.choice,
            part: advised.and_then(|c| Some(c.part.as_ref()?.to_string())),
            reasons: plan.advice.reasons.clone(),
            objection: as_is.and_then(|c| c.objections.first().cloned()),
            worst_limit: passed.max_by(|a, b| over(a).total_cmp(&over(b))).cloned(),
        }))
    }
}

/// Cautions that every one of `plans` has, word for word, and of the lethal voltages the highest with the longest wait.
/// What belongs to one set (its fuse, its part's heat) stays with its own plan.
pub fn shared_cautions(plans: &[&Plan]) -> Vec<Caution> {
    let Some((first, others)) = plans.split_first() else {
        return Vec::new();
    };
    let (mut highest, mut wait) = (0.0_f64, Some(0.0_f64));
    for caution in plans.iter().flat_map(|p| &p.cautions) {
        if let Caution::Lethal { highest_v, hold_s } = caution {
            highest = highest.max(*highest_v);
            // none: nothing discharges them, which is longer than any time
            wait = wait.zip(*hold_s).map(|(a, b)| a.max(b));
        }
    }
    let mut list = vec![Caution::Lethal { highest_v: highest, hold_s: wait }];
    let everywhere = |c: &&Caution| others.iter().all(|p| p.cautions.contains(c));
    let shared = first.cautions.iter().filter(|c| !c.has_figures());
    list.extend(shared.filter(everywhere).cloned());
    list.sort_by_key(Caution::order);
    list
}
