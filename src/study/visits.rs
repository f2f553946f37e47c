//! Later visits to a set: what its readings have become since it was left, the line and the part counted out.

use super::{
    Measure, Meter, Result, Serialize,
    held::{Bench, Held},
    shift::{Meaning, Shift, alike, collapsed, of_point, stop, together},
};
use crate::{
    profile::{ReadingSet, Visit},
    receiver::Number,
};

/// A reading of a later visit beside the first of the same point.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(not(feature = "inside"), non_exhaustive)]
pub struct VisitPoint {
    /// Point, by its key.
    pub key: String,
    /// In words.
    pub label: String,
    /// Unit.
    pub unit: &'static str,
    /// How it is measured.
    #[serde(skip)]
    #[cfg_attr(feature = "schema", schemars(skip))]
    pub meter: Meter,
    /// Line then, V RMS.
    pub first_line_v: f64,
    /// What the meter showed then.
    pub first: f64,
    /// Line now, V RMS.
    pub line_v: f64,
    /// What the reading of then comes to on the line of now.
    pub unchanged: f64,
    /// What the meter showed now.
    pub read: f64,
    /// Change of the set, as a share of that.
    pub change: f64,
    /// How far both meters, line voltages counted, may be off together, as a share: two standard uncertainties.
    pub meters: f64,
    /// What the change means; null where it is within that.
    pub means: Option<Meaning>,
}

/// A part or a tube that would change the readings as they changed.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(not(feature = "inside"), non_exhaustive)]
pub struct Aged {
    /// Which number of the set, in words.
    pub what: String,
    /// The same as profiles name it.
    pub key: String,
    /// How many times what it was, roughly.
    pub factor: f64,
    /// Sum of squares left, in standard uncertainties of the readings.
    pub left: f64,
}

/// A later visit.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(not(feature = "inside"), non_exhaustive)]
pub struct VisitReport {
    /// Its day.
    pub date: String,
    /// Points that were read then and now, in the order of the profile.
    pub points: Vec<VisitPoint>,
    /// What those that changed mean together; null where that is no more than each by itself.
    pub together: Option<Meaning>,
    /// What in the set would change them so by itself, the best first; empty where nothing has changed, or no single part would.
    pub explained_by: Vec<Aged>,
    /// Points that were not read the first time, by their keys.
    pub new: Vec<String>,
}

/// The first readings and all later ones.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(not(feature = "inside"), non_exhaustive)]
pub struct Visits {
    /// Day of the first readings; null where that is not told.
    pub first: Option<String>,
    /// Later ones, in order.
    pub later: Vec<VisitReport>,
}

impl Visits {
    /// What the last visit found that must be put right before the set is used.
    pub fn stop(&self) -> Option<Meaning> {
        let last = self.later.last()?;
        stop(last.together, last.points.iter().filter_map(|p| p.means))
    }
}

/// What the readings of each of `visits` have become since the first, which is `as_left`, else the first of the visits.
///
/// # Errors
/// A point that the set does not have, or a line on which it has no solution.
pub fn visits(
    bench: &Bench,
    (left, date): (&[ReadingSet], Option<String>),
    visits: &[Visit],
) -> Result<Option<Visits>> {
    let hold = |(number, visit): (usize, &Visit)| -> Result<(String, Vec<Held>)> {
        let key = format!("visits[{number}].readings");
        Ok((visit.date.to_string(), bench.hold(&visit.readings, &key)?))
    };
    let mut later = visits.iter().enumerate().map(hold).collect::<Result<Vec<_>>>()?;
    let (first_date, first) = match left.is_empty() {
        false => (date, bench.hold(left, "as_left")?),
        true if later.len() < 2 => return Ok(None),
        true => {
            let (date, held) = later.remove(0);
            (Some(date), held)
        }
    };
    if later.is_empty() {
        return Ok(None);
    }
    let later = later.into_iter().map(|(date, held)| report(bench, date, &first, &held));
    Ok(Some(Visits { first: first_date, later: later.collect::<Result<_>>()? }))
}

fn report(bench: &Bench, date: String, first: &[Held], now: &[Held]) -> Result<VisitReport> {
    let (mut points, mut shifts, mut new) = (Vec::new(), Vec::new(), Vec::new());
    let (mut changes, mut all) = (Vec::new(), Vec::new());
    for held in now {
        // of several lines the nearest
        let far = |f: &&Held| (f.point.line - held.point.line).abs();
        let same = first.iter().filter(|f| f.point.measure == held.point.measure);
        let Some(before) = same.min_by(|a, b| far(a).total_cmp(&far(b))) else {
            new.push(held.point.key.clone());
            continue;
        };
        // the model says what line and meter do; what is left of it is the set's own
        let unchanged = before.point.measured * held.expected / before.expected;
        let change = held.point.measured / unchanged - 1.0;
        let meters = before.meters().hypot(held.meters());
        let shift: Shift = (held.point.measure, change);
        let changed = change.abs() > meters;
        let expected = held.expected.abs();
        changes.push((held.point.measure, change * held.expected, 0.5 * meters * expected));
        shifts.extend(changed.then_some(shift));
        all.push(shift);
        points.push(VisitPoint {
            key: held.point.key.clone(),
            label: held.point.label.clone(),
            unit: held.point.measure.unit(),
            meter: held.point.measure.meter(),
            first_line_v: before.point.line,
            first: before.point.measured,
            line_v: held.point.line,
            unchanged,
            read: held.point.measured,
            change,
            meters,
            means: changed.then(|| of_point(shift, held.is_in_string())).flatten(),
        });
    }
    let misread = alike(&all);
    // no small change of a part makes a reading next to nothing
    let tells = !shifts.is_empty() && !misread && !collapsed(&shifts);
    let line = now.first().filter(|_| tells).map(|held| held.point.line);
    let together = if misread { Some(Meaning::LineMisread) } else { together(&shifts) };
    let explained_by = match line {
        Some(line) => aged(bench, line, &changes)?,
        None => Vec::new(),
    };
    Ok(VisitReport { date, points, together, explained_by, new })
}

/// Numbers named at the most.
const MOST_NAMED: usize = 3;
/// Squares left by which one explains as well as the best: a chance in five of it (χ² of 1, 1.6).
const AS_WELL: f64 = 1.6;
/// Share of the squares that the best must take away to be named, and factors that no ageing passes.
const TAKES: f64 = 0.75;
const FACTORS: (f64, f64) = (0.2, 5.0);

/// What would change the set so by itself.
fn aged(bench: &Bench, line: f64, changes: &[(Measure, f64, f64)]) -> Result<Vec<Aged>> {
    let model = bench.receiver.model();
    let all: f64 = changes.iter().map(|(_, change, u)| (change / u).powi(2)).sum();
    let mut list = bench.effects(line)?.explained(changes);
    list.retain(|(number, factor, left)| {
        ages(number.parameter.what, *factor)
            && (FACTORS.0..=FACTORS.1).contains(factor)
            && *left < (1.0 - TAKES) * all
    });
    list.sort_by(|a, b| a.2.total_cmp(&b.2));
    let best = list.first().map_or(0.0, |best| best.2);
    let as_well = list.into_iter().take_while(|(_, _, left)| left - best <= AS_WELL);
    let named = as_well.take(MOST_NAMED).map(|(number, factor, left)| Aged {
        what: number.parameter.words(model),
        key: number.parameter.key(model),
        factor,
        left,
    });
    Ok(named.collect())
}

/// Whether a number of a set changes with use: emission, resistors, capacitors, a coil's turns, joints; copper, iron and the
/// volts of windings do not. Emission and capacitors only fall, and a rectifier's drop grows.
fn ages(number: Number, factor: f64) -> bool {
    match number {
        Number::RectifierDrop | Number::SecondDrop => factor > 1.0,
        Number::TubeCurrent
        | Number::Capacitance
        | Number::DoublerCapacitance
        | Number::StringCapacitance => factor < 1.0,
        Number::ScreenShare
        | Number::GridBias
        | Number::MainsResistor
        | Number::Surge
        | Number::SecondSurge
        | Number::StringDropper
        | Number::HeaterShunt
        | Number::BranchDropper
        | Number::WindingResistance
        | Number::CoilResistance
        | Number::DividerResistor
        | Number::Load
        | Number::FilterResistor
        | Number::PlateFeed
        | Number::ScreenFeed
        | Number::CathodeResistor => true,
        Number::PrimaryResistance
        | Number::CopperRise
        | Number::NoLoadCurrent
        | Number::NoLoadPower
        | Number::KneeShare
        | Number::HighVoltage
        | Number::HighVoltageResistance
        | Number::Frequency
        | Number::BiasVolts
        | Number::BiasResistance
        | Number::WindingVolts
        | Number::Heater
        | Number::CoilRise
        | Number::CoilInductance
        | Number::FlatTop
        | Number::SecondVolts
        | Number::SecondResistance => false,
    }
}
