//! Draws of one choice made into percentiles, shares and a ranking.

use super::{
    draw::{Candidate, Drawn},
    lean::{Meaning, ToleranceInput},
    weigh::{moments, percentile, regress},
};
use crate::{
    adaptation::{Bought, Method},
    quantity::by,
    receiver::Receiver,
    study::{HEATER_GOOD, HEATER_LIMIT, Limit, Measure, Rating, Serialize, What, read},
};
use std::{cmp::Reverse, collections::BTreeMap};

/// What the draws say of one choice.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ToleranceChoice {
    /// Short name.
    #[serde(rename = "id")]
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub method: Method,
    /// Title.
    pub title: &'static str,
    /// The part.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub part: Option<Bought>,
    /// Draws that have a solution; all shares are of these.
    pub solved: usize,
    /// Draws without one, by reason, the most frequent first.
    pub unsolved: Vec<Unsolved>,
    /// The watched quantities.
    pub outputs: Vec<ToleranceOutput>,
    /// Heaters within their limits, for each winding that feeds tubes.
    pub heaters: Vec<HeaterShare>,
    /// Limits that some draws exceed, the most frequent first.
    pub limits: Vec<LimitShare>,
    /// Share of the draws that exceed a limit which holds on any line.
    pub beyond_ceiling: f64,
    /// Share that stands above a design-center rating on the line of that moment.
    pub beyond_design_centre: f64,
}

/// Draws without a solution.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Unsolved {
    /// Why.
    pub reason: String,
    /// How many.
    pub draws: usize,
}

/// A quantity through the draws, SI.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct HeaterShare {
    /// Voltage of the winding.
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
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LimitShare {
    /// What is limited.
    pub what: String,
    /// What kind of limit it is.
    pub rating: Rating,
    /// Share of the draws that exceed it.
    pub share: f64,
    /// True where the set exceeds it on its own design line with everything as the profile has it.
    pub by_design: bool,
}

/// Sums the draws of one choice up.
pub fn summary(
    candidate: &Candidate<'_>,
    receiver: &Receiver,
    inputs: &[ToleranceInput],
    points: &[Vec<f64>],
    drawn: &[&Result<Drawn, String>],
) -> ToleranceChoice {
    let model = receiver.model();
    let mut rows = Vec::new();
    let mut good: Vec<&Drawn> = Vec::new();
    let mut reasons = BTreeMap::new();
    // what belongs to a part that is not there moves nothing: it stands still
    let still =
        |i: &ToleranceInput| candidate.part.is_nothing() && matches!(i.meaning, Meaning::Part(_));
    for (point, result) in points.iter().zip(drawn) {
        match result {
            Ok(one) => {
                let row = point.iter().zip(inputs);
                rows.push(row.map(|(v, i)| if still(i) { 1.0 } else { *v }).collect());
                good.push(one);
            }
            Err(reason) => *reasons.entry(reason).or_default() += 1,
        }
    }
    let columns: Vec<Vec<f64>> =
        (0..candidate.watched.len()).map(|i| good.iter().map(|d| d.values[i]).collect()).collect();
    let share = |count| count as f64 / good.len().max(1) as f64;
    let count = |test: &dyn Fn(&Drawn) -> bool| share(good.iter().filter(|d| test(d)).count());
    let heaters = candidate.watched.iter().enumerate().filter(|(_, (m, _))| m.what == What::Heater);
    let heaters = heaters.filter_map(|(place, (measure, _))| {
        let winding = model.windings.get(measure.of).filter(|w| w.rated > 0.0)?;
        let within =
            |share: f64| count(&|d: &Drawn| (d.values[place] / winding.rated - 1.0).abs() <= share);
        Some(HeaterShare {
            measure: *measure,
            winding: winding.name.clone(),
            rated_v: winding.rated,
            within_5: within(HEATER_GOOD),
            within_10: within(HEATER_LIMIT),
        })
    });
    let design = read(receiver, receiver.at_design());
    let mut passed: Vec<&Limit> = Vec::new();
    for limit in good.iter().flat_map(|d| &d.passed) {
        if passed.iter().all(|known| !known.is(limit)) {
            passed.push(limit);
        }
    }
    let share_of = |limit: &&Limit| LimitShare {
        what: limit.name.clone(),
        rating: limit.rating,
        share: count(&|d: &Drawn| d.passed.iter().any(|l| l.is(limit))),
        by_design: design.beyond().any(|l| l.is(limit)),
    };
    let mut limits: Vec<LimitShare> = passed.iter().map(share_of).collect();
    limits.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.what.cmp(&b.what)));
    let beyond = |kind: Rating| count(&|d: &Drawn| d.passed.iter().any(|l| l.rating == kind));
    let unsolved =
        reasons.into_iter().map(|(reason, draws)| Unsolved { reason: reason.to_owned(), draws });
    let mut unsolved: Vec<Unsolved> = unsolved.collect();
    unsolved.sort_by_key(|u| Reverse(u.draws));
    ToleranceChoice {
        method: candidate.choice.method,
        title: candidate.choice.title,
        part: candidate.choice.part.clone(),
        solved: good.len(),
        unsolved,
        heaters: heaters.collect(),
        limits,
        beyond_ceiling: beyond(Rating::Ceiling),
        beyond_design_centre: beyond(Rating::DesignCentre),
        outputs: outputs(candidate, inputs, &rows, columns),
    }
}

fn outputs(
    candidate: &Candidate<'_>,
    inputs: &[ToleranceInput],
    rows: &[Vec<f64>],
    columns: Vec<Vec<f64>>,
) -> Vec<ToleranceOutput> {
    if rows.is_empty() {
        return Vec::new();
    }
    let regressions = regress(rows, &columns);
    let all = candidate.watched.iter().zip(columns).zip(regressions);
    all.map(|(((measure, label), mut values), regression)| {
        let (mean, deviation) = moments(&values);
        values.sort_by(f64::total_cmp);
        let at = |p| percentile(&values, p);
        let coefficients = regression.iter().flat_map(|r| r.coefficients.iter().copied());
        let lever = |(input, coefficient): (&ToleranceInput, f64)| Lever {
            key: input.key.clone(),
            what: input.what.clone(),
            coefficient,
            share: coefficient * coefficient,
        };
        let moving = inputs.iter().zip(coefficients).filter(|(_, c)| *c != 0.0);
        let mut levers: Vec<Lever> = moving.map(lever).collect();
        levers.sort_by(by(|lever: &Lever| -lever.share));
        ToleranceOutput {
            measure: *measure,
            key: measure.key(&candidate.nominal),
            label: label.clone(),
            unit: measure.unit(),
            nominal: measure.value(&candidate.nominal),
            mean,
            deviation,
            least: at(0.0),
            p2_5: at(0.025),
            p5: at(0.05),
            p25: at(0.25),
            p50: at(0.5),
            p75: at(0.75),
            p95: at(0.95),
            p97_5: at(0.975),
            most: at(1.0),
            r_squared: regression.map(|r| r.r_squared),
            levers,
        }
    })
    .collect()
}
