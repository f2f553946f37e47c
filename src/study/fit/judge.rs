//! What a fit says beyond its numbers: which part drifted, which readings contradict, what to read next.

use super::{
    outcome::{Answer, Suspect},
    points,
    search::{Search, Solution, Start, Without, stepped},
};
use crate::{
    profile::Profile,
    quantity::by,
    receiver::{Model, Receiver, uncertain},
    study::{Measure, Reading, Result, Serialize},
};
use nalgebra::DVector;

/// In so many sound sets one may have a part named by chance: half of one in twenty, since the bound is that of a linear set
/// (own judgement, held by the drawn sets of `tests/slow/fit_drawn.rs`).
const SOUND_SETS: f64 = 40.0;
/// A part that setting free takes this much off has drifted.
const DRIFTED: f64 = 9.0;
/// Readings say something of a part where they alone would know it at least within this many times what it may customarily
/// be off by. Beyond, a part is placed by its prior and by the last digits of the search, and those would name it.
const INFORMED: f64 = 100.0;

/// A reading not taken yet.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct NextReading {
    /// Point.
    pub key: String,
    /// In words.
    pub label: String,
    /// Standard uncertainty of the heaters after it, V.
    pub heater_uncertain_v: f64,
    /// Of B+, V.
    pub b_plus_uncertain_v: f64,
}

/// A part is named when setting it free takes this much off the sum of squares. For a part that is off by no more than its
/// customary spread the figure has the chi-squared distribution of one degree, and the largest of all parts is that of as
/// many independent ones as there are readings at most (Bonferroni): what one sound set in forty passes.
fn named(readings: usize) -> f64 {
    // the normal deviate of half the chance: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.2.23 †
    let t = (-2.0 * (0.5 / (SOUND_SETS * readings.max(1) as f64)).ln()).sqrt();
    let over = 2.515_517 + t * (0.802_853 + t * 0.010_328);
    let under = 1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308));
    (t - over / under).powi(2)
}

/// What setting number `j` free would take off the sum of squares: the penalty its prior costs where the readings alone
/// would put it. For a Gaussian the readings' own information on it is 1/C − 1/s².
pub fn gain(solution: &Solution, priors: &DVector<f64>, j: usize) -> f64 {
    let (c, s) = (solution.covariance[(j, j)], priors[j]);
    let own = 1.0 / c - 1.0 / (s * s);
    if own * (s * INFORMED).powi(2) < 1.0 {
        return 0.0;
    }
    let alone = solution.x[j] / (c * own);
    alone * alone * own / (1.0 + own * s * s)
}

/// The part that most likely drifted, and the fit: with that part set free if it surely did.
pub fn suspect(search: &Search, start: &Start, solution: Solution) -> (Solution, Option<Suspect>) {
    match drifted(search, start, &solution) {
        // what drifted beyond doubt is taken as it reads, on every sheet; what only may have is held by what was known
        Some((free, suspect)) if suspect.gain > surely(search) && suspect.or.is_empty() => {
            (free, Some(suspect))
        }
        found => (solution, found.map(|(_, suspect)| suspect)),
    }
}

/// What a part takes off the sum of squares that surely drifted.
pub fn surely(search: &Search) -> f64 {
    DRIFTED.max(named(search.points.len()))
}

/// The part to be named, if there is one, and the fit with it set free.
fn drifted(search: &Search, start: &Start, solution: &Solution) -> Option<(Solution, Suspect)> {
    let priors = search.priors(Without::Nothing);
    let movable = (0..search.numbers.len()).filter(|j| !search.numbers[*j].held);
    let mut list: Vec<_> = movable.map(|j| (j, gain(solution, &priors, j))).collect();
    list.sort_by(|a, b| b.1.total_cmp(&a.1));
    let &(j, most) = list.first().filter(|(_, g)| *g > named(search.points.len()))?;
    // a part that cannot be set free, for no such set has a solution, is not named
    let free = search.solve(start, Without::Prior(j)).ok()?;
    let suspect = moved(search, &free, j)?;
    let others = list.iter().skip(1).filter(|(_, g)| *g > 0.8 * most);
    let or = others.map(|(j, _)| search.numbers[*j].parameter.words(search.receiver.model()));
    Some((free, Suspect { gain: most, or: or.collect(), ..suspect }))
}

/// Number `j` as `solution` has it.
pub fn moved(search: &Search, solution: &Solution, j: usize) -> Option<Suspect> {
    let (model, number) = (search.receiver.model(), &search.numbers[j]);
    let (stated, unit) = number.parameter.value(model)?;
    let behaves_as = stated * search.factor(&solution.x, j);
    Some(Suspect {
        what: number.parameter.words(model),
        key: number.parameter.key(model),
        unit,
        stated,
        behaves_as,
        uncertainty: behaves_as * solution.deviation(j),
        spreads: solution.x[j].abs() / number.spread,
        gain: 0.0,
        or: Vec::new(),
    })
}

/// The answer before and after, and the reading that would narrow it most.
///
/// # Errors
/// The set has no solution on `line`.
pub fn outlook(
    search: &Search,
    solution: &Solution,
    line: f64,
) -> Result<(Answer, Option<NextReading>)> {
    let plain = |receiver: &Receiver| points::plain(receiver, line, None).map(|(r, _)| r);
    let first = plain(&search.receiver)?;
    let fitted = Receiver::new(search.model(&solution.x), Some(&search.receiver))?;
    let last = plain(&fitted)?;
    // derivatives of heaters, B+ and every point on that line
    let priors = search.priors(Without::Nothing);
    let columns = stepped(&solution.x, &priors, search.numbers.len(), |moved| {
        plain(&Receiver::new(search.model(moved), Some(&fitted))?)
    })?;
    let slope = |of: &dyn Fn(&Reading) -> f64| {
        DVector::from_fn(solution.x.len(), |j, _| {
            columns.get(j).map_or(0.0, |(r, step)| (of(r) - of(&last)) / step)
        })
    };
    let (heater, b_plus) = (slope(&Reading::tube_heater_v), slope(&|r| r.b_plus_v));
    let before = |g: &DVector<f64>| g.component_mul(&priors).norm();
    let after =
        |g: &DVector<f64>| (g.transpose() * &solution.covariance * g)[(0, 0)].max(0.0).sqrt();
    let answer = Answer {
        line_v: line,
        heater_before_v: first.tube_heater_v(),
        heater_after_v: last.tube_heater_v(),
        heater_uncertain_before_v: before(&heater),
        heater_uncertain_after_v: after(&heater),
        b_plus_before_v: first.b_plus_v,
        b_plus_after_v: last.b_plus_v,
        b_plus_uncertain_before_v: before(&b_plus),
        b_plus_uncertain_after_v: after(&b_plus),
    };
    // a further reading at a point takes (g·C·a)² / (a·C·a + u²) off the variance of what has the slope g
    let mut candidates = telling(&last);
    candidates.retain(|m| search.points.iter().all(|point| *m != point.measure));
    let left = candidates.iter().map(|m| {
        let value = |r: &Reading| m.get(r).unwrap_or(0.0);
        let a = slope(&value);
        let u = points::usual_limit(*m) * value(&last).abs() / 3f64.sqrt();
        let ca = &solution.covariance * &a;
        let own = a.dot(&ca) + u * u;
        let rest =
            |g: &DVector<f64>, now: f64| (now * now - g.dot(&ca).powi(2) / own).max(0.0).sqrt();
        NextReading {
            key: m.key(&last),
            label: m.name(&last),
            heater_uncertain_v: rest(&heater, answer.heater_uncertain_after_v),
            b_plus_uncertain_v: rest(&b_plus, answer.b_plus_uncertain_after_v),
        }
    });
    let share = |now, then| if now > 0.0 { then / now } else { 1.0 };
    let score = |n: &NextReading| {
        share(answer.heater_uncertain_after_v, n.heater_uncertain_v)
            + share(answer.b_plus_uncertain_after_v, n.b_plus_uncertain_v)
    };
    Ok((answer, left.min_by(by(score))))
}

/// What a meter may be put to that tells something of its own.
pub fn telling(reading: &Reading) -> Vec<Measure> {
    let mut all = Measure::all(reading);
    all.retain(|m| m.is_readable() && m.is_checkpoint(reading, false));
    all
}

/// Parts that a calibration from before puts outside what a sound part may be off by, wherever within its own spread.
pub fn carried(profile: &Profile, model: &Model) -> Vec<Suspect> {
    let sound = uncertain(model, &[]);
    let drifted = profile.calibration.iter().filter_map(|c| {
        let number = sound.iter().find(|n| n.parameter.key(model) == c.of)?;
        let off = c.factor.ln().abs();
        if off - c.spread.ln_1p() <= number.spread.ln_1p() {
            return None;
        }
        let (behaves_as, unit) = number.parameter.value(model)?;
        Some(Suspect {
            what: number.parameter.words(model),
            key: c.of.clone(),
            unit,
            stated: behaves_as / c.factor,
            behaves_as,
            // a limit, rectangular
            uncertainty: behaves_as * c.spread / 3f64.sqrt(),
            spreads: off / number.spread,
            gain: 0.0,
            or: Vec::new(),
        })
    });
    drifted.collect()
}
