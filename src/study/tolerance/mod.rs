//! What a set does when every number is somewhere within its tolerance and the outlet somewhere in its day.
//!
//! A Latin hypercube over all of them together, the whole set solved at each point; percentiles and what matters most.

mod draw;
mod lean;
mod summary;
mod weigh;

pub use lean::{InputFrom, ToleranceInput};
pub use summary::{HeaterShare, Lever, LimitShare, ToleranceChoice, ToleranceOutput, Unsolved};
pub use weigh::{Regression, moments, percentile, regress};

use super::{
    Caution, OutletVolts, ReadingsReport, Result, Serialize, SetSummary, Spreading, StudyError,
    caution, latin_hypercube, note, share,
    solve::{Offered, Solved},
};
use crate::{
    adaptation::{Method, Part, With},
    profile::Profile,
    receiver::{Receiver, Straight, Uncertain},
};
use draw::{Candidate, Drawing};
use lean::{Lean, Meaning};
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
#[derive(Debug, Clone, Copy)]
pub struct ToleranceRequest {
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
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Tolerances {
    /// Cautions, in the order of the work.
    #[serde(serialize_with = "caution::spoken")]
    #[cfg_attr(feature = "schema", schemars(with = "Vec<caution::Spoken<'_>>"))]
    pub cautions: Vec<Caution>,
    /// Name and version of this form.
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
    /// Why there is no second choice, where the plan advises none.
    pub no_choice: Vec<String>,
    /// Warnings of the profile reader.
    pub warnings: Vec<String>,
}

/// Draws and solves. `progress` hears how many draws are done, from several threads.
///
/// # Errors
/// As [`super::note()`] for a choice that is named; [`StudyError::BadDraws`] for a number of draws out of range. Where the
/// plan advises nothing, the set as it is stands alone.
pub fn tolerances(
    mut solved: Solved,
    profile: &Profile,
    request: &ToleranceRequest,
    progress: &(dyn Fn(usize) + Sync),
) -> Result<Tolerances> {
    if !DRAWS.contains(&request.draws) {
        let (least, most) = (*DRAWS.start(), *DRAWS.end());
        return Err(StudyError::BadDraws { draws: request.draws, least, most });
    }
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
    solved.settle_on(Some(solved.plan.choices[choice].method), Offered::One);
    let Solved { plan, receiver, parts, moved, .. } = solved;
    let places = [0].into_iter().chain((choice > 0).then_some(choice));
    let usual_v = plan.outlet.usual_v;
    let candidates = places.map(|place| {
        let part = parts[place].as_deref().unwrap_or(&Straight);
        Candidate::of(&receiver, &plan.choices[place], part, usual_v)
    });
    let candidates = candidates.collect::<Result<Vec<_>>>()?;
    let part = candidates.last().map_or(&Straight as &dyn Part, |c| c.part);
    let inputs = inputs(profile, &receiver, moved.numbers(), &plan.outlet, part);
    let mut points = latin_hypercube(request.draws, inputs.len(), request.seed);
    for row in &mut points {
        row.iter_mut().zip(&inputs).for_each(|(u, input)| *u = input.spreading.at(*u));
    }
    let drawing = Drawing {
        base: &receiver,
        lean: Lean::of(&moved, &plan.outlet),
        inputs: &inputs,
        candidates: &candidates,
        usual_v,
    };
    let cores = request.threads.map_or_else(share::cores, NonZeroUsize::get);
    let drawn = share::out(points.len(), cores, &|i| drawing.solve(&points[i]), progress);
    let summed = |(column, candidate): (usize, &Candidate<'_>)| {
        let drawn: Vec<_> = drawn.iter().map(|row| &row[column]).collect();
        summary(candidate, &receiver, &inputs, &points, &drawn)
    };
    let choices = candidates.iter().enumerate().map(summed).collect();
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
    let from = |u: &Uncertain, key: &str| match u.assumed {
        _ if u.held || profile.tolerances.iter().any(|t| t.of == key) => InputFrom::Stated,
        true => InputFrom::Assumed,
        false => InputFrom::Customary,
    };
    let rectangular = |(low, high): (f64, f64)| Spreading::Rectangular { low, high };
    let mut list = vec![ToleranceInput {
        key: "outlet".to_owned(),
        what: "outlet voltage".to_owned(),
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
