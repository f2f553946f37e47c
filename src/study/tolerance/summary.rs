//! Draws of one choice made into percentiles, shares and a ranking.

use super::{
    HeaterShare, Lever, LimitShare, ToleranceChoice, ToleranceInput, ToleranceOutput, Unsolved,
    draw::{Candidate, Drawn},
    lean::Meaning,
    weigh::{moments, percentile, regress},
};
use crate::{
    receiver::Receiver,
    study::{Choice, HEATER_GOOD, HEATER_LIMIT, Limit, Rating, What, read},
};
use std::collections::BTreeMap;

/// What the draws say of one choice.
pub fn summary(
    choice: &Choice,
    candidate: &Candidate<'_>,
    receiver: &Receiver,
    inputs: &[ToleranceInput],
    points: &[Vec<f64>],
    drawn: &[&Result<Drawn, String>],
) -> ToleranceChoice {
    let model = receiver.model();
    let mut rows = Vec::new();
    let mut good: Vec<&Drawn> = Vec::new();
    let mut reasons: BTreeMap<&str, usize> = BTreeMap::new();
    for (point, result) in points.iter().zip(drawn) {
        match result {
            Ok(one) => {
                // what belongs to a part that is not there moves nothing: it stands still
                let moves = |i: &ToleranceInput| {
                    !matches!(i.meaning, Meaning::Part(_)) || !candidate.part.is_nothing()
                };
                let row = point.iter().zip(inputs);
                rows.push(row.map(|(v, i)| if moves(i) { *v } else { 1.0 }).collect());
                good.push(one);
            }
            Err(reason) => *reasons.entry(reason).or_default() += 1,
        }
    }
    let columns: Vec<Vec<f64>> =
        (0..candidate.watched.len()).map(|i| good.iter().map(|d| d.values[i]).collect()).collect();
    let share = |count: usize| count as f64 / good.len().max(1) as f64;
    let count = |test: &dyn Fn(&Drawn) -> bool| share(good.iter().filter(|d| test(d)).count());
    let watched = candidate.watched.iter().enumerate();
    let heaters = watched.filter(|(_, (m, _))| m.what == What::Heater);
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
    let mut unsolved: Vec<Unsolved> = reasons
        .into_iter()
        .map(|(reason, draws)| Unsolved { reason: reason.to_owned(), draws })
        .collect();
    unsolved.sort_by_key(|u| std::cmp::Reverse(u.draws));
    ToleranceChoice {
        method: choice.method,
        title: choice.title,
        part: choice.part.clone(),
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
        let at = |p: f64| percentile(&values, p);
        let coefficients = regression.iter().flat_map(|r| r.coefficients.iter());
        let mut levers: Vec<Lever> = inputs
            .iter()
            .zip(coefficients)
            .filter(|(_, c)| **c != 0.0)
            .map(|(input, c)| Lever {
                key: input.key.clone(),
                what: input.what.clone(),
                coefficient: *c,
                share: c * c,
            })
            .collect();
        levers.sort_by(|a, b| b.share.total_cmp(&a.share));
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
