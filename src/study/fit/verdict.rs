//! What the readings say of themselves and of the set: whether they agree, what to read again, what drifted.
//!
//! Numbers and readings being off by their standard uncertainties, the least sum of squares of readings and priors
//! together has the chi-squared distribution of as many degrees as there are readings (least squares with a prior is
//! generalized least squares, any textbook). A sum that chance exceeds once in a hundred contradicts.

use super::{
    judge,
    outcome::{Contradiction, Doubted, Explanation, ReadingsReport, Suspect, TakeAgain, Telling},
    points::{self, Point},
    search::{Search, Solution, Start, Without},
    slip::slip,
};
use crate::{
    quantity::by,
    receiver::{Receiver, shown},
    study::{Measure, Reading, Result, StudyError},
};
use nalgebra::{DMatrix, DVector};

/// Normal deviate that chance exceeds once in a hundred.
const ONCE_IN_A_HUNDRED: f64 = 2.3263;
/// Standard uncertainties beyond which one reading contradicts.
const MOST_OFF: f64 = 5.0;
/// Of its own spreads, beyond which a number contradicts.
const MOST_SPREADS: f64 = 3.0;
/// Explanations whose sums of squares differ by less are not told apart: one is then at most seven times as likely (e²).
const ALIKE: f64 = 4.0;
/// Explanations tried: readings and parts, the most promising by the derivatives.
const TRIED: usize = 4;
/// Logarithm of a factor beyond which a part is not what explains a reading.
const MOST_FACTOR: f64 = 1.61;
/// What a profile calls the line of its readings.
pub const AT_LINE: &str = "at_line";
/// A reading that is off by a smaller factor may be a fault of the set.
const GROSS: f64 = std::f64::consts::LN_2;
/// What an average-responding meter shows of a rectifier's current over its RMS (solved for the shipped sets).
const AVERAGING: std::ops::Range<f64> = 0.82..0.94;

/// What chi-squared of `degrees` exceeds once in a hundred (Wilson and Hilferty, "The distribution of chi-square",
/// Proceedings of the National Academy of Sciences 17, 1931 †); within 1 % of the tables.
pub fn chance(degrees: usize) -> f64 {
    if degrees == 0 {
        return f64::INFINITY;
    }
    let n = degrees as f64;
    let part = 2.0 / (9.0 * n);
    n * (1.0 - part + ONCE_IN_A_HUNDRED * part.sqrt()).powi(3)
}

/// Readings worked in.
pub struct Judged {
    pub start: Start,
    /// The fit; where the readings contradict, that without the likeliest wrong thing.
    pub solution: Solution,
    pub suspect: Option<Suspect>,
    pub report: ReadingsReport,
}

/// Refuses readings that no state of the set gives.
///
/// # Errors
/// [`StudyError::Reading`], at the reading; at the line where most of its readings are such.
fn possible(search: &Search, start: &Start) -> Result<()> {
    let priors = search.priors(Without::Nothing);
    let is_gross = |(i, p): &(usize, &Point)| {
        let value = start.unmoved.last[*i];
        let row = start.unmoved.slopes.row(*i);
        let moved = row.iter().zip(priors.iter());
        // every number three of its limits off, all in the worst way
        let limits: f64 = moved.map(|(slope, s)| (slope * s).abs() * 3f64.sqrt()).sum();
        let reach = MOST_SPREADS * limits * p.uncertainty / value.abs();
        let off = (p.measured / value).ln().abs();
        (off.is_nan() || off > GROSS.max(reach))
            && (p.measured - value).abs() > MOST_OFF * p.uncertainty
    };
    let gross: Vec<_> = search.points.iter().enumerate().filter(is_gross).collect();
    for (number, setting) in search.settings.iter().enumerate() {
        let of_it = gross.iter().filter(|(_, p)| p.setting == number).count();
        let count = search.points.iter().filter(|p| p.setting == number).count();
        if of_it * 2 > count && count > 1 {
            return Err(setting.nowhere(search.receiver.model()));
        }
    }
    let Some(&(i, p)) = gross.first() else { return Ok(()) };
    let value = start.unmoved.last[i];
    let own = start.unmoved.slopes.row(i).transpose().component_mul(&priors).norm_squared();
    let band = 2.0 * p.uncertainty * own.sqrt();
    let show = |v| shown(v, p.measure.unit());
    let hint = slip(p.measured, p.last_digit, value, 1.5 * band);
    let hint = hint.map(|v| format!("; {} would fit", show(v))).unwrap_or_default();
    Err(StudyError::Reading {
        what: format!(
            "no state of this set gives {} there on {:.1} V: it could give {} to {}",
            show(p.measured),
            p.line,
            show(value - band),
            show(value + band)
        ),
        key: p.place.clone(),
        advice: format!(
            "read it again; look at the point, the decimal point, the sign and the unit{hint}"
        ),
    })
}

/// The fit and what the readings say.
///
/// # Errors
/// [`StudyError::Reading`] for readings that no state of the set gives.
pub fn of(search: &Search) -> Result<Judged> {
    let start = search.start()?;
    possible(search, &start)?;
    let used = search.points.len();
    let chance = chance(used);
    let plain = search.solve(&start, Without::Nothing).ok();
    let misfit = plain.as_ref().map_or_else(|| linear(search, &start).0, |plain| plain.misfit);
    if let Some(plain) = plain.filter(|plain| agrees(search, plain, Without::Nothing, chance)) {
        let (solution, suspect) = judge::suspect(search, &start, plain);
        let sure = judge::surely(search);
        let drifted = suspect.iter().filter(|s| s.gain > sure).cloned().collect();
        let report = ReadingsReport { used, misfit, chance, drifted, ..Default::default() };
        return Ok(Judged { start, solution, suspect, report });
    }
    let (solution, report) = contradicted(search, &start, misfit, chance);
    let solution = solution.unwrap_or_else(|| start.unmoved.clone());
    Ok(Judged { start, solution, suspect: report.drifted.first().cloned(), report })
}

/// Whether readings and set lie within what chance allows.
fn agrees(search: &Search, solution: &Solution, without: Without, chance: f64) -> bool {
    let priors = search.priors(without);
    let off = |j: usize| solution.x[j].abs() > MOST_SPREADS * 3f64.sqrt() * priors[j];
    solution.misfit <= chance
        && search.residuals(&solution.last, without).iter().all(|r| r.abs() <= MOST_OFF)
        && !(0..priors.len()).any(|j| {
            let held = search.numbers.get(j).is_some_and(|n| n.held);
            Without::Prior(j) != without && !held && off(j)
        })
}

/// The least sum of squares by the derivatives at the start, and what leaving out each thing takes off it.
fn linear(search: &Search, start: &Start) -> (f64, Vec<(Without, f64)>) {
    let Solution { slopes, last, .. } = &start.unmoved;
    let priors = search.priors(Without::Nothing);
    let residuals = DVector::from_vec(search.residuals(last, Without::Nothing));
    let spread = DMatrix::from_diagonal(&priors.component_mul(&priors));
    let rows = slopes.nrows();
    let variance = slopes * spread * slopes.transpose() + DMatrix::identity(rows, rows);
    let Some(inverse) = variance.cholesky().map(|c| c.inverse()) else {
        return (f64::INFINITY, Vec::new());
    };
    let weighed = &inverse * &residuals;
    let readings = (0..rows).map(|i| (Without::Reading(i), weighed[i].powi(2) / inverse[(i, i)]));
    let unknowns = (0..priors.len()).map(|j| {
        let column = slopes.column(j);
        let own = (column.transpose() * &inverse * column)[(0, 0)];
        let gain = column.dot(&weighed).powi(2) / own;
        (Without::Prior(j), if own > 1e-6 { gain } else { 0.0 })
    });
    (residuals.dot(&weighed), readings.chain(unknowns).collect())
}

/// What the readings come to, and the fit without the likeliest wrong thing.
fn contradicted(
    search: &Search,
    start: &Start,
    misfit: f64,
    chance: f64,
) -> (Option<Solution>, ReadingsReport) {
    let numbers = search.numbers.len();
    let (_, mut gains) = linear(search, start);
    gains.sort_by(|a, b| b.1.total_cmp(&a.1));
    let kind = |without: &Without| match without {
        Without::Reading(_) => 0,
        Without::Prior(j) if *j >= numbers => 1,
        _ => 2,
    };
    let things = || gains.iter().map(|(without, _)| *without);
    // readings, then lines, then parts
    let tried = (0..3).flat_map(|k| things().filter(move |w| kind(w) == k).take(TRIED));
    let explained = |without| {
        let solution = search.solve(start, without).ok()?;
        let agrees = agrees(search, &solution, without, self::chance(search.points.len() - 1));
        let explanation = agrees.then(|| explanation(search, &solution, without))??;
        Some((explanation, solution))
    };
    let mut found: Vec<_> = tried.filter_map(explained).collect();
    // a slip of the pen, or a meter that cannot do better, goes before a part that would have to be far off
    found.sort_by(|(a, _), (b, _)| {
        b.is_plain().cmp(&a.is_plain()).then(a.misfit.total_cmp(&b.misfit))
    });
    let best = found.iter().map(|(e, _)| e.misfit).fold(f64::INFINITY, f64::min);
    let by_meter = found.iter().any(|(e, _)| e.average_meter);
    found.retain(|(e, _)| {
        // what fits far worse than the best is no explanation beside it, be it a slip that happens to fit; nor is a part
        // beside a known fault of meters
        let most = if e.is_plain() { self::chance(1) } else { ALIKE };
        e.misfit <= best + most && !(by_meter && e.wrong == Doubted::Part)
    });
    let tells = match found.as_slice() {
        [first, second, ..] => telling(search, first, second),
        _ => None,
    };
    let (explanations, solutions): (Vec<Explanation>, Vec<Solution>) = found.into_iter().unzip();
    let report = ReadingsReport {
        used: 0,
        misfit,
        chance,
        take_again: again(search, &explanations, &gains),
        drifted: drifted(&explanations, misfit).into_iter().collect(),
        contradiction: Some(Contradiction {
            told_apart: explanations.len() == 1,
            explanations,
            tells,
        }),
    };
    (solutions.into_iter().next(), report)
}

/// The part that has drifted where nothing but parts explains the readings.
fn drifted(explanations: &[Explanation], misfit: f64) -> Option<Suspect> {
    let (first, rest) = explanations.split_first()?;
    Some(Suspect {
        what: first.label.clone(),
        key: first.key.clone(),
        unit: first.unit,
        stated: first.stated,
        behaves_as: first.would_be,
        uncertainty: first.uncertainty,
        spreads: first.spreads.filter(|_| rest.iter().all(|e| e.spreads.is_some()))?,
        gain: misfit - first.misfit,
        or: rest.iter().map(|e| e.label.clone()).collect(),
    })
}

/// What to take again: the readings that explain it; if none alone does, those that stand out most, with their line.
fn again(
    search: &Search,
    explanations: &[Explanation],
    gains: &[(Without, f64)],
) -> Vec<TakeAgain> {
    let named = |e: &Explanation| Some(TakeAgain { key: e.key.clone(), at_line_v: e.at_line_v? });
    let named: Vec<TakeAgain> = explanations.iter().filter_map(named).collect();
    if !named.is_empty() {
        return named;
    }
    let part = !explanations.is_empty();
    let most = gains.iter().filter_map(|(without, _)| {
        let (key, at_line_v) = match without {
            Without::Reading(i) => (&*search.points[*i].key, search.points[*i].line),
            Without::Prior(j) if !part => {
                let setting = j.checked_sub(search.numbers.len())?;
                (AT_LINE, search.settings.get(setting)?.line)
            }
            _ => return None,
        };
        Some(TakeAgain { key: key.to_owned(), at_line_v })
    });
    most.take(if part { 1 } else { 3 }).collect()
}

/// The set at a solution, on the line of a setting as it is there.
fn there(search: &Search, solution: &Solution, setting: usize) -> Result<Reading> {
    let receiver = Receiver::new(search.model(&solution.x), Some(&search.receiver))?;
    let line = search.settings[setting].line * solution.x[search.numbers.len() + setting].exp();
    Ok(points::plain(&receiver, line, None)?.0)
}

fn explanation(search: &Search, solution: &Solution, without: Without) -> Option<Explanation> {
    let numbers = search.numbers.len();
    let plain = Explanation { misfit: solution.misfit, ..Explanation::default() };
    match without {
        Without::Nothing => None,
        Without::Reading(i) => wrong_reading(search, solution, i, plain),
        Without::Prior(j) if j >= numbers => {
            let line = search.settings.get(j - numbers)?.line;
            let would_be = line * solution.x[j].exp();
            let uncertainty = would_be * solution.deviation(j);
            let digit = if line.fract() == 0.0 { 1.0 } else { 0.1 };
            Some(Explanation {
                wrong: Doubted::Line,
                key: AT_LINE.to_owned(),
                label: "the line voltage".to_owned(),
                unit: "V",
                at_line_v: Some(line),
                stated: line,
                would_be,
                uncertainty,
                slip: slip(line, digit, would_be, 3.0 * uncertainty),
                ..plain
            })
        }
        Without::Prior(j) if search.numbers[j].held || solution.x[j].abs() >= MOST_FACTOR => None,
        Without::Prior(j) => judge::moved(search, solution, j).map(|part| Explanation {
            key: part.key,
            label: part.what,
            unit: part.unit,
            stated: part.stated,
            would_be: part.behaves_as,
            uncertainty: part.uncertainty,
            spreads: Some(part.spreads),
            ..plain
        }),
    }
}

/// Reading `i` as the wrong one.
fn wrong_reading(
    search: &Search,
    solution: &Solution,
    i: usize,
    plain: Explanation,
) -> Option<Explanation> {
    let point = search.points.get(i)?;
    let row = solution.slopes.row(i);
    let own = (row * &solution.covariance * row.transpose())[(0, 0)].max(0.0).sqrt();
    let (would_be, uncertainty) = (solution.last[i], own * point.uncertainty);
    let both = uncertainty.hypot(point.uncertainty);
    let averaged = point.measure.averaged(&there(search, solution, point.setting).ok()?);
    let average_meter = !point.average
        && point.measure.unit() == "A"
        && AVERAGING.contains(&(point.measured / would_be))
        && (averaged - point.measured).abs() <= 3.0 * both;
    let slip = slip(point.measured, point.last_digit, would_be, 3.0 * both);
    Some(Explanation {
        wrong: Doubted::Reading,
        key: point.key.clone(),
        label: point.label.clone(),
        unit: point.measure.unit(),
        at_line_v: Some(point.line),
        stated: point.measured,
        would_be,
        uncertainty,
        slip: slip.filter(|_| !average_meter),
        average_meter,
        ..plain
    })
}

/// The reading in which two explanations differ most.
fn telling(
    search: &Search,
    (a, first): &(Explanation, Solution),
    (b, second): &(Explanation, Solution),
) -> Option<Telling> {
    let line = a.at_line_v.or(b.at_line_v);
    let setting = search.settings.iter().position(|s| Some(s.line) == line).unwrap_or(0);
    let (one, two) = (there(search, first, setting).ok()?, there(search, second, setting).ok()?);
    let apart = |m: &Measure| {
        let (v, w) = (m.value(&one), m.value(&two));
        (v - w).abs() / (points::usual_limit(*m) * v.abs()).max(1e-9)
    };
    let most = judge::telling(&one).into_iter().max_by(by(apart))?;
    // less than the meter may be off by tells nothing
    (apart(&most) > 2.0).then(|| Telling {
        key: most.key(&one),
        label: most.name(&one),
        unit: most.unit(),
        at_line_v: search.settings[setting].line,
        if_first: most.value(&one),
        if_second: most.value(&two),
    })
}

#[cfg(test)]
mod tests {
    use super::chance;

    /// 0.99 points of chi-squared with 1, 2, 5, 10, 20 and 30 degrees, as in any table of it.
    #[test]
    fn chance_is_that_of_the_tables() {
        let table = [(1, 6.635), (2, 9.210), (5, 15.086), (10, 23.209), (20, 37.566), (30, 50.892)];
        for (degrees, point) in table {
            assert!((chance(degrees) / point - 1.0).abs() < 0.01, "{degrees}");
        }
    }
}
