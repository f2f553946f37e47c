//! What a set does when every number is somewhere within its tolerance and the outlet somewhere in its day.
//!
//! A Latin hypercube over all of them together, the whole set solved at each point; percentiles and what matters most.

mod draw;
mod lean;
mod summary;
mod weigh;

pub use weigh::{Regression, moments, percentile, regress};

use super::{
    Caution, Measure, OutletVolts, Rating, ReadingsReport, Request, SetSummary, Spreading,
    StudyError, caution, latin_hypercube, note, read, settle, share,
    solve::{Offered, Solved, solve},
};
use crate::{
    adaptation::{Bought, Method, Part, With},
    profile::Profile,
    receiver::{Receiver, Straight, Uncertain},
};
use draw::{Candidate, Drawing, Drawn};
use lean::{Lean, Meaning};
use serde::Serialize;
use std::{num::NonZeroUsize, ops::RangeInclusive};
use summary::summary;

/// Name and version of the JSON form.
pub const TOLERANCE_SCHEMA: &str = "mainsfit.tolerance/1";
/// Draws that may be asked for: fewer say nothing, more take minutes.
pub const DRAWS: RangeInclusive<usize> = 10..=100_000;
/// Draws where none are asked for.
pub const USUAL_DRAWS: usize = 1000;
/// Seed where none is given.
pub const USUAL_SEED: u64 = 1;

/// What is asked for beside the profile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToleranceRequest {
    /// Outlet and target, as for a plan.
    pub plan: Request,
    /// The choice drawn for beside the set as it is; the advised one where none is named.
    pub with: Option<With>,
    /// Draws, within [`DRAWS`].
    pub draws: usize,
    /// Seed of the draws.
    pub seed: u64,
    /// Threads; as many as the machine has where none is named. The figures do not depend on it.
    pub threads: Option<NonZeroUsize>,
}

/// Tolerances taken together.
#[derive(Debug, Clone, Serialize)]
pub struct Tolerances {
    /// Cautions, in the order of the work.
    #[serde(serialize_with = "caution::spoken")]
    pub cautions: Vec<Caution>,
    /// [`TOLERANCE_SCHEMA`].
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// The set.
    pub set: SetSummary,
    /// Outlet.
    pub outlet: OutletVolts,
    /// How many readings of the profile the set is fitted to.
    pub readings_used: usize,
    /// What the readings come to.
    pub readings: ReadingsReport,
    /// Draws.
    pub draws: usize,
    /// Seed.
    pub seed: u64,
    /// What was drawn.
    pub inputs: Vec<ToleranceInput>,
    /// The set as it is, then the choice.
    pub choices: Vec<ToleranceChoice>,
    /// Why there is no second choice, where the plan stands behind none.
    pub no_choice: Vec<String>,
    /// Warnings of the profile reader.
    pub warnings: Vec<String>,
}

/// Where the limits of an input come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum InputFrom {
    /// The outlet's day.
    Outlet,
    /// The profile's `tolerances`, or the meter of a number that it calls measured.
    Stated,
    /// The spread of a value that was filled in or fitted.
    Assumed,
    /// What the parts of a sound set may be off by.
    Customary,
    /// The part in the lead.
    Part,
}

/// A number that is drawn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ToleranceInput {
    /// Key: `outlet`, a number of the set as in `calibration`, or `part`.
    pub key: String,
    /// In words.
    pub what: String,
    /// Limits: volts of the outlet, factors on everything else.
    pub spreading: Spreading,
    /// Where they come from.
    pub from: InputFrom,
    #[serde(skip)]
    meaning: Meaning,
}

/// What the draws say of one choice.
#[derive(Debug, Clone, Serialize)]
pub struct ToleranceChoice {
    /// Short name.
    #[serde(rename = "id")]
    pub method: Method,
    /// Title.
    pub title: &'static str,
    /// The part.
    pub part: Option<Bought>,
    /// Draws that have a solution; all shares are of these.
    pub solved: usize,
    /// Draws without one, by reason, the most frequent first.
    pub unsolved: Vec<Unsolved>,
    /// The watched quantities.
    pub outputs: Vec<ToleranceOutput>,
    /// Heaters within their limits, for each winding that feeds tubes.
    pub heaters: Vec<HeaterShare>,
    /// Limits that some draws pass, the most frequent first.
    pub limits: Vec<LimitShare>,
    /// Share of the draws that pass a limit which holds on any line.
    pub beyond_ceiling: f64,
    /// Share that stands above a design-centre rating on the line of that moment.
    pub beyond_design_centre: f64,
}

/// Draws without a solution.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Unsolved {
    /// Why.
    pub reason: String,
    /// How many.
    pub draws: usize,
}

/// A quantity through the draws, SI.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ToleranceOutput {
    /// Which quantity.
    #[serde(skip)]
    pub measure: Measure,
    /// Key, as in a sweep.
    pub key: String,
    /// In words.
    pub label: String,
    /// Unit.
    pub unit: &'static str,
    /// Everything as the profile has it, on the usual line.
    pub nominal: f64,
    /// Average.
    pub mean: f64,
    /// Standard deviation.
    pub deviation: f64,
    /// Lowest draw.
    pub least: f64,
    /// One draw in forty lies below: from here to `p97_5` lie 95 of 100.
    pub p2_5: f64,
    /// A twentieth of the draws lies below.
    pub p5: f64,
    /// A quarter.
    pub p25: f64,
    /// A half.
    pub p50: f64,
    /// Three quarters.
    pub p75: f64,
    /// All but a twentieth.
    pub p95: f64,
    /// All but one in forty.
    pub p97_5: f64,
    /// Highest draw.
    pub most: f64,
    /// Share of its variance that a linear model of the inputs explains; none where there is no such model.
    pub r_squared: Option<f64>,
    /// What moves it, the most first.
    pub levers: Vec<Lever>,
}

/// What an input does to a quantity.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lever {
    /// Key of the input.
    pub key: String,
    /// In words.
    pub what: String,
    /// Standardized regression coefficient.
    pub coefficient: f64,
    /// Its square: share of the variance.
    pub share: f64,
}

/// Heaters within their limits, as shares of the draws.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeaterShare {
    /// Volts of the winding.
    #[serde(skip)]
    pub measure: Measure,
    /// Winding.
    pub winding: String,
    /// Rated volts.
    pub rated_v: f64,
    /// Within the comfortable ±5 %.
    pub within_5: f64,
    /// Within ±10 %.
    pub within_10: f64,
}

/// A limit that some draws pass.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LimitShare {
    /// What is limited.
    pub what: String,
    /// What kind of limit it is.
    pub rating: Rating,
    /// Share of the draws that pass it.
    pub share: f64,
    /// True where the set passes it on its own design line with everything as the profile has it.
    pub by_design: bool,
}

/// Draws and solves. `progress` hears how many draws are done, from several threads.
///
/// # Errors
/// As [`super::note()`] for a choice that is named; [`StudyError::BadDraws`] for a number of draws out of range. Where the
/// plan advises nothing, the set as it is stands alone.
pub fn tolerances(
    profile: &Profile,
    request: &ToleranceRequest,
    warnings: Vec<String>,
    progress: &(dyn Fn(usize) + Sync),
) -> Result<Tolerances, StudyError> {
    if !DRAWS.contains(&request.draws) {
        let (least, most) = (*DRAWS.start(), *DRAWS.end());
        return Err(StudyError::BadDraws { draws: request.draws, least, most });
    }
    let mut solved = solve(profile, &request.plan, warnings)?;
    let picked = match request.with {
        // the set as it is stands first in any case, whatever speaks against leaving it so
        Some(With::One(Method::AsIs)) => Ok(0),
        with => note::pick(&solved.plan, with, "no tolerances are worked out"),
    };
    let (choice, no_choice) = match picked {
        Ok(choice) => (choice, Vec::new()),
        // nothing is advised: the set as it is has its tolerances all the same
        Err(StudyError::NotStoodBehind { reasons, .. }) if request.with.is_none() => (0, reasons),
        Err(StudyError::Contradicted(reason)) if request.with.is_none() => (0, vec![reason]),
        Err(error) => return Err(error),
    };
    let method = solved.plan.choices[choice].method;
    solved.settle_on(Some(method), Offered::One);
    let Solved { plan, receiver, parts, moved, .. } = solved;
    let mut places = vec![0];
    places.extend((choice > 0).then_some(choice));
    let candidates = places
        .iter()
        .map(|place| {
            let part: &dyn Part = parts[*place].as_deref().unwrap_or(&Straight);
            let usual = settle::run(&receiver, part, plan.outlet.usual_v, None)?.operation;
            let nominal = read(&receiver, &usual);
            let name = |m| Measure::watched(m, &nominal, !part.is_nothing());
            let all = Measure::all(&nominal).into_iter();
            let watched = all.filter_map(|m| Some((m, name(m)?))).collect();
            Ok(Candidate { part, usual, nominal, watched })
        })
        .collect::<Result<Vec<_>, StudyError>>()?;
    let part = candidates.last().map_or(&Straight as &dyn Part, |c| c.part);
    let inputs = inputs(profile, &receiver, moved.numbers(), &plan.outlet, part);
    let points: Vec<Vec<f64>> = latin_hypercube(request.draws, inputs.len(), request.seed)
        .into_iter()
        .map(|row| {
            let spread = row.iter().zip(&inputs);
            spread.map(|(u, i)| i.spreading.at(*u)).collect()
        })
        .collect();
    let drawing = Drawing {
        base: &receiver,
        lean: Lean::of(&moved, &plan.outlet),
        inputs: &inputs,
        candidates: &candidates,
        usual_v: plan.outlet.usual_v,
    };
    let cores = request.threads.map_or_else(share::cores, NonZeroUsize::get);
    let drawn = share::out(points.len(), cores, &|i| drawing.solve(&points[i]), progress);
    let choices = places
        .iter()
        .zip(&candidates)
        .enumerate()
        .map(|(column, (place, candidate))| {
            let of: Vec<&Result<Drawn, String>> =
                drawn.iter().filter_map(|row| row.get(column)).collect();
            summary(&plan.choices[*place], candidate, &receiver, &inputs, &points, &of)
        })
        .collect();
    Ok(Tolerances {
        schema: TOLERANCE_SCHEMA,
        version: plan.version,
        set: plan.set,
        outlet: plan.outlet,
        readings_used: plan.readings_used,
        readings: plan.readings,
        draws: request.draws,
        seed: request.seed,
        inputs,
        choices,
        no_choice,
        warnings: plan.warnings,
        cautions: plan.cautions,
    })
}

/// What is drawn: the outlet, the numbers of the set, the part.
fn inputs(
    profile: &Profile,
    receiver: &Receiver,
    uncertain: &[Uncertain],
    outlet: &OutletVolts,
    part: &dyn Part,
) -> Vec<ToleranceInput> {
    let model = receiver.model();
    let from = |u: &Uncertain, key: &str| match () {
        () if u.held || profile.tolerances.iter().any(|t| t.of == key) => InputFrom::Stated,
        () if u.assumed => InputFrom::Assumed,
        () => InputFrom::Customary,
    };
    let rectangular = |(low, high): (f64, f64)| Spreading::Rectangular { low, high };
    let mut list = vec![ToleranceInput {
        key: "outlet".to_owned(),
        what: "outlet volts".to_owned(),
        spreading: Spreading::Triangular {
            low: outlet.low_v,
            peak: outlet.usual_v,
            high: outlet.high_v,
        },
        from: InputFrom::Outlet,
        meaning: Meaning::Outlet,
    }];
    list.extend(uncertain.iter().map(|u| {
        let key = u.parameter.key(model);
        ToleranceInput {
            what: u.parameter.words(model),
            spreading: rectangular(u.limits()),
            from: from(u, &key),
            meaning: Meaning::of(u),
            key,
        }
    }));
    list.extend(part.tolerances().iter().enumerate().map(|(i, t)| ToleranceInput {
        key: if i == 0 { "part".to_owned() } else { format!("part{}", i + 1) },
        what: format!("{} in the lead", t.what),
        spreading: rectangular((1.0 - t.spread, 1.0 + t.spread)),
        from: InputFrom::Part,
        meaning: Meaning::Part(i),
    }));
    list.retain(|i| i.spreading.is_open());
    list
}
