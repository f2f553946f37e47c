//! Fits what is uncertain about a set to what a meter showed.
//!
//! Weighted least squares with priors: each number of the set may be off by its spread, each reading by the meter and
//! its last digit. The spreads are limits, taken as rectangular distributions, so that a standard uncertainty is a
//! limit over √3 (JCGM 100:2008, "Guide to the expression of uncertainty in measurement", 4.3.7). Numbers move as
//! factors; their logarithms are what is solved for. The search is Levenberg and Marquardt's, from a library.

mod judge;
mod outcome;
mod points;
mod search;
mod slip;
#[cfg(test)]
mod tests;
mod verdict;

pub use judge::NextReading;
pub use outcome::{
    Answer, Contradiction, Doubted, Explanation, ReadingsReport, Suspect, TakeAgain, Telling,
};
pub(super) use points::{
    Point, RANGES as METER_RANGES, Setting, change_by_meter, load as meter_spot,
    ohms as meter_ohms, taken,
};

use super::{
    Caution, Measure, OutletChoice, Result, Serialize, StudyError, What, Working,
    alarms::of_set,
    caution, outlet, read,
    working::{ohms, volts},
};
use crate::{
    profile::Profile,
    quantity::by,
    receiver::{Assumption, FittedTo, Model, Number, Refined, Uncertain, complete, refine},
};
use search::{Search, Solution, Start};
use verdict::{AT_LINE, Judged};

/// Moves up to which a stated number is not worth a line: less than any meter tells. A larger one would show as a
/// difference between the fit and the plans that follow from it.
const NOTHING: f64 = 5e-4;

/// What a fit came to.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Fit {
    /// Cautions, in the order of the work.
    #[serde(serialize_with = "caution::spoken")]
    #[cfg_attr(feature = "schema", schemars(with = "Vec<caution::Spoken<'_>>"))]
    pub cautions: Vec<Caution>,
    /// Name of the set.
    pub name: String,
    /// Readings, before and after.
    pub readings: Vec<FittedReading>,
    /// Numbers of the set, the most moved first.
    pub numbers: Vec<FittedNumber>,
    /// The part that most likely drifted, if the readings point to one.
    pub suspect: Option<Suspect>,
    /// Whether the readings agree, and what to take again where they do not.
    #[serde(rename = "readings_verdict")]
    pub verdict: ReadingsReport,
    /// The reading that would narrow heaters and B+ most.
    pub next: Option<NextReading>,
    /// Heater volts and B+ straight on the usual line (on the line of the first readings where that is not known).
    pub answer: Answer,
    /// Sum of squares of the readings' residuals in units of their uncertainty, before.
    pub misfit_before: f64,
    /// After.
    pub misfit_after: f64,
    /// The sums one would do on paper.
    #[serde(skip)]
    pub working: Vec<Working>,
}

/// A reading and what the model makes of it.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FittedReading {
    /// Line at which it was taken, V RMS.
    pub at_line_v: f64,
    /// Point.
    pub key: String,
    /// In words.
    pub label: String,
    /// Unit.
    pub unit: &'static str,
    /// What the meter showed.
    pub measured: f64,
    /// Standard uncertainty of that.
    pub uncertainty: f64,
    /// What the set would show as the profile has it, the meter's load included.
    pub before: f64,
    /// What it shows as fitted.
    pub after: f64,
    /// What the meter's load adds there, in the set as the profile has it; it takes off where the sign is the other.
    pub meter_load: f64,
    /// True if it contradicts the others.
    pub contradicts: bool,
}

/// A number of the set and where the readings put it.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FittedNumber {
    /// Name in words.
    pub what: String,
    /// Name in profiles.
    pub key: String,
    /// Unit.
    pub unit: &'static str,
    /// As the profile has it or a rule fills it in.
    pub before: f64,
    /// As fitted.
    pub after: f64,
    /// How far it might have been off, as a share.
    pub spread_before: f64,
    /// How far it may still be off.
    pub spread_after: f64,
    /// True if a rule filled it in.
    pub assumed: bool,
}

/// A set whose readings are worked in.
pub struct Settled {
    /// The model; as the profile has it where its readings contradict.
    pub model: Model,
    /// What is assumed or fitted of it.
    pub assumed: Vec<Assumption>,
    /// What the readings come to.
    pub readings: ReadingsReport,
    /// What they say of heaters and B+ on the line asked for, where there are any and they agree.
    pub answer: Option<Answer>,
}

/// A profile completed, with its readings worked in where it has any and no calibration from before; with what they say
/// on `line`, V RMS, where one is named.
///
/// # Errors
/// [`StudyError::Reading`] for a reading that the set cannot give, or a set that has no solution.
pub fn settle(profile: &Profile, line: Option<f64>) -> Result<Settled> {
    let (model, assumed) = complete(profile)?;
    if profile.readings.is_empty() || !profile.calibration.is_empty() {
        let drifted = judge::carried(profile, &model);
        let readings = ReadingsReport { drifted, ..ReadingsReport::default() };
        return Ok(Settled { model, assumed, readings, answer: None });
    }
    let search = Search::new(model.clone(), &assumed, profile)?;
    let judged = verdict::of(&search)?;
    if judged.report.contradiction.is_some() {
        return Ok(Settled { model, assumed, readings: judged.report, answer: None });
    }
    let outlook = line.map(|line| judge::outlook(&search, &judged.solution, line)).transpose()?;
    let mut factors = factors(&search, &judged.solution);
    // what is to be renewed is sound from then on
    let renewed = |key: String| {
        let mut drifted = judged.report.drifted.iter().filter(|s| s.is_to_be_renewed());
        drifted.any(|s| s.key == key)
    };
    factors.retain(|refined| !renewed(refined.parameter.key(&model)));
    let (model, assumed) = refine(&model, &assumed, &factors, FittedTo::Readings);
    let answer = outlook.map(|(answer, _)| answer);
    Ok(Settled { model, assumed, readings: judged.report, answer })
}

/// What the readings of a profile come to.
///
/// # Errors
/// [`StudyError::Reading`] for a reading that the set cannot give, or a set that has no solution.
pub fn readings(profile: &Profile) -> Result<ReadingsReport> {
    Ok(settle(profile, None)?.readings)
}

/// How far a number may still be off, as a share; what was measured no further than its meter.
fn left(solution: &Solution, i: usize, number: &Uncertain) -> f64 {
    let spread = 3f64.sqrt() * solution.deviation(i);
    if number.held { spread.min(number.spread) } else { spread }
}

/// Factors worth keeping.
fn factors(search: &Search, solution: &Solution) -> Vec<Refined> {
    let all = search.numbers.iter().enumerate();
    // what no reading moves and nobody assumed stays as it was
    all.filter_map(|(i, n)| {
        let factor = search.factor(&solution.x, i);
        let spread = left(solution, i, n);
        let worth = n.assumed || (factor - 1.0).abs() > NOTHING;
        worth.then_some(Refined { parameter: n.parameter, factor, spread })
    })
    .collect()
}

/// Fits a profile to its readings.
///
/// # Errors
/// [`StudyError::NoReadings`], or as [`readings`].
pub fn fit(profile: &Profile) -> Result<(Fit, Vec<Refined>)> {
    let (model, assumed) = complete(profile)?;
    if profile.readings.is_empty() {
        return Err(StudyError::NoReadings);
    }
    let search = Search::new(model, &assumed, profile)?;
    let Judged { start, solution, suspect, report } = verdict::of(&search)?;
    let outlet = outlet::settle(profile, &OutletChoice::default()).ok().map(|(volts, _)| volts);
    let line = outlet.map_or(search.settings[0].line, |volts| volts.usual_v);
    let (answer, next) = judge::outlook(&search, &solution, line)?;
    let readings = fitted_readings(&search, &start, &solution, &report);
    let misfit = |of: fn(&FittedReading) -> f64| {
        readings.iter().map(|r| ((of(r) - r.measured) / r.uncertainty).powi(2)).sum()
    };
    let fit = Fit {
        cautions: of_set(&search.receiver, outlet.as_ref()),
        name: search.receiver.model().name.clone(),
        numbers: fitted_numbers(&search, &solution),
        suspect,
        verdict: report,
        next,
        answer,
        misfit_before: misfit(|r| r.before),
        misfit_after: misfit(|r| r.after),
        working: by_hand(&search, &solution, &answer),
        readings,
    };
    Ok((fit, factors(&search, &solution)))
}

/// Numbers, the most moved first, in units of what they might have been off.
fn fitted_numbers(search: &Search, solution: &Solution) -> Vec<FittedNumber> {
    let model = search.receiver.model();
    let all = search.numbers.iter().enumerate().filter_map(|(i, n)| {
        let (before, unit) = n.parameter.value(model)?;
        Some(FittedNumber {
            what: n.parameter.words(model),
            key: n.parameter.key(model),
            unit,
            before,
            after: before * search.factor(&solution.x, i),
            spread_before: n.spread,
            spread_after: left(solution, i, n),
            assumed: n.assumed,
        })
    });
    let mut list: Vec<FittedNumber> = all.collect();
    list.sort_by(by(|n: &FittedNumber| -((n.after / n.before).ln() / n.spread_before).abs()));
    list
}

fn fitted_readings(
    search: &Search,
    start: &Start,
    solution: &Solution,
    report: &ReadingsReport,
) -> Vec<FittedReading> {
    let doubted = |p: &Point| {
        let named = |t: &TakeAgain| t.key == p.key || t.key == AT_LINE;
        report.take_again.iter().any(|t| t.at_line_v == p.line && named(t))
    };
    let read = |(row, p): (usize, &Point)| FittedReading {
        at_line_v: p.line,
        key: p.key.clone(),
        label: p.label.clone(),
        unit: p.measure.unit(),
        measured: p.measured,
        uncertainty: p.uncertainty,
        before: start.unmoved.last[row],
        after: solution.last[row],
        meter_load: start.loads[row],
        contradicts: doubted(p),
    };
    search.points.iter().enumerate().map(read).collect()
}

/// What one works out from readings with a pencil: the usual line by proportion, and the arms of a divider of which both
/// ends and a tap were read.
fn by_hand(search: &Search, solution: &Solution, answer: &Answer) -> Vec<Working> {
    let design = read(&search.receiver, search.receiver.at_design());
    let heater = What::Heater.of(design.tube_heater_place());
    let mut list = Vec::new();
    for (number, setting) in search.settings.iter().enumerate() {
        let read = |m: Measure| {
            let mut own = search.points.iter().filter(|p| p.setting == number);
            own.find(|p| p.measure == m).map(|p| p.measured)
        };
        for (what, measure, solved) in [
            ("heaters", heater, answer.heater_after_v),
            ("B+", What::BPlus.of(0), answer.b_plus_after_v),
        ] {
            let Some(v) = read(measure) else { continue };
            let sum = volts(v) * volts(answer.line_v) / volts(setting.line);
            list.push(Working::new(format!("{what} on the usual line"), sum, "V").beside(
                solved,
                "not everything follows the line in step, and a reading is balanced against the others",
            ));
        }
        let dividers = 0..search.receiver.model().dividers.len();
        let read_at = |key: &str| read(Measure::find(&design, key)?);
        list.extend(dividers.flat_map(|d| arms(search, solution, d, &read, &read_at)));
    }
    list
}

/// The first arm of divider `d` from each reading of its first tap.
fn arms(
    search: &Search,
    solution: &Solution,
    d: usize,
    read: &dyn Fn(Measure) -> Option<f64>,
    read_at: &dyn Fn(&str) -> Option<f64>,
) -> Vec<Working> {
    let divider = &search.receiver.model().dividers[d];
    let end = |name| match name {
        "chassis" => Some(0.0),
        // the far end of the coil stands below chassis by its drop
        "field_coil" | "B-" => read(What::CoilDrop.of(0)).map(|v| -v),
        other => read_at(other),
    };
    let (ends, first) = (end(&divider.from).zip(end(&divider.to)), divider.resistors.first());
    let Some(((from, to), first)) = ends.zip(first) else { return Vec::new() };
    let number = Number::DividerResistor.at(d, 0);
    let number = search.numbers.iter().position(|n| n.parameter == number);
    let fitted = number.map_or(*first, |i| first * search.factor(&solution.x, i));
    let below: f64 = divider.resistors.iter().skip(1).sum();
    let taps = divider.taps.iter().filter(|(_, place)| *place == 1).filter_map(|(tap, _)| {
        let v = read_at(&format!("{}.{tap}", divider.name))?;
        // against chassis, written without their sign
        let size = |v: f64| volts(v.abs()).counting(v);
        let lower = if to == 0.0 { size(v) } else { size(v) - size(to) };
        let sum = ohms(below) * (size(from) - size(v)) / lower;
        let what = format!("arm 1 of the divider {}, the others taken as stated", divider.name);
        Some(Working::new(what, sum, "Ω").beside(
            fitted,
            "the fit shares the blame among all parts that could have it, and takes the meter's load off",
        ))
    });
    taps.collect()
}
