//! Chosen quantities against line volts or series resistance.

use super::{
    Caution, Measure, Meter, OutletChoice, OutletVolts, Reading, ReadingsReport, Result, Serialize,
    StudyError, alarms::of_set, caution, fit, outlet, read,
};
use crate::{
    adaptation::Dropper,
    profile::Profile,
    receiver::{AheadOf, Operation, Receiver},
};

/// Most points a sweep may have.
const MOST_POINTS: usize = 1000;

/// Stands with every sweep.
const CAUTION: &str = "Model figures, no signal. Lethal voltages inside; work on an isolation transformer; local electrical codes decide.";

/// What is varied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Over {
    /// Line volts, the set straight on it.
    Line,
    /// A series resistor, on the usual outlet volts.
    Resistor,
}

/// What a sweep is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct SweepRequest {
    /// What is varied.
    pub over: Over,
    /// First value: volts or ohms; `None` for a sensible one.
    pub from: Option<f64>,
    /// Last value.
    pub to: Option<f64>,
    /// Number of points, 2 to 1000.
    pub points: usize,
    /// Quantities to show, by key; empty for the usual ones.
    pub show: Vec<String>,
    /// Outlet volts that override the profile's.
    pub outlet: OutletChoice,
}

/// A column of a sweep.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Column {
    /// Key, such as `heater.main`.
    pub key: String,
    /// Unit.
    pub unit: &'static str,
    /// How it is measured.
    #[serde(skip)]
    pub meter: Meter,
    /// What it is, in words.
    #[serde(skip)]
    pub name: String,
    /// Name of the part that it is read at, such as C1.
    #[serde(skip)]
    pub part: Option<String>,
    /// What heaters are rated for.
    #[serde(skip)]
    pub rated_v: Option<f64>,
}

impl Column {
    fn of(measure: &Measure, reading: &Reading) -> Column {
        Column {
            key: measure.key(reading),
            unit: measure.unit(),
            meter: measure.meter(),
            name: measure.name(reading),
            part: measure.part(reading),
            rated_v: measure.rated_v(reading),
        }
    }
}

/// A sweep's table.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Sweep {
    /// Cautions, in the order of the work.
    #[serde(serialize_with = "caution::spoken")]
    #[cfg_attr(feature = "schema", schemars(with = "Vec<caution::Spoken<'_>>"))]
    pub cautions: Vec<Caution>,
    /// Name of the set.
    pub name: String,
    /// What is varied.
    pub over: Over,
    /// Outlet volts where a resistor is varied.
    pub outlet_v: Option<f64>,
    /// The outlet's day, where it is known.
    #[serde(skip)]
    pub outlet: Option<OutletVolts>,
    /// What the set was designed for, V RMS.
    #[serde(skip)]
    pub design_line_v: f64,
    /// How many readings of the profile the set is fitted to.
    pub readings_used: usize,
    /// What the readings come to.
    pub readings: ReadingsReport,
    /// Columns after the varied one.
    pub columns: Vec<Column>,
    /// Rows: the varied value, then the columns.
    pub rows: Vec<Vec<f64>>,
    /// Caution, in words.
    pub caution: &'static str,
}

/// Runs a sweep.
///
/// # Errors
/// A range that cannot be walked, a quantity the set does not have, a set that has no solution.
pub fn sweep(profile: &Profile, request: &SweepRequest) -> Result<Sweep> {
    let settled = fit::settle(profile, None)?;
    let mut model = settled.model;
    let outlet = match outlet::settle(profile, &request.outlet) {
        Ok((volts, _)) => Some(volts),
        Err(StudyError::NoOutlet) if request.over == Over::Line => None,
        Err(error) => return Err(error),
    };
    if let Some(volts) = outlet {
        volts.feed(&mut model);
    }
    let receiver = Receiver::new(model, None)?;
    let design = receiver.model().design_line;
    let usual = outlet.map_or(design, |o| o.usual_v);
    let tens = |v: f64| (v / 10.0).round() * 10.0;
    let (from, to) = match request.over {
        Over::Line => (tens(0.8 * design), tens(1.15 * design.max(usual))),
        Over::Resistor => (0.0, 50.0),
    };
    let (from, to) = (request.from.unwrap_or(from), request.to.unwrap_or(to));
    if !(2..=MOST_POINTS).contains(&request.points) {
        return Err(StudyError::BadRange("a sweep has 2 to 1000 points"));
    }
    let sound = from.is_finite() && to.is_finite() && from < to;
    if !sound || from < 0.0 || (request.over == Over::Line && from < 20.0) {
        return Err(StudyError::BadRange(
            "the sweep's range cannot be walked: it must rise, from 20 V or 0 Ω at the least",
        ));
    }
    let mut chosen: Vec<Measure> = Vec::new();
    let (mut columns, mut rows) = (Vec::new(), Vec::with_capacity(request.points));
    let mut near: Option<Operation> = None;
    for point in 0..request.points {
        let x = from + (to - from) * point as f64 / (request.points - 1) as f64;
        let (line, ohms) = match request.over {
            Over::Line => (x, 0.0),
            Over::Resistor => (usual, x),
        };
        let operation = receiver.run(line, &AheadOf(Dropper::bare(ohms)), near.as_ref())?;
        let reading = read(&receiver, &operation);
        if near.is_none() {
            chosen = choose(&reading, request)?;
            columns = chosen.iter().map(|m| Column::of(m, &reading)).collect();
        }
        rows.push([x].into_iter().chain(chosen.iter().filter_map(|m| m.get(&reading))).collect());
        near = Some(operation);
    }
    Ok(Sweep {
        cautions: of_set(&receiver, outlet.as_ref()),
        name: receiver.model().name.clone(),
        over: request.over,
        outlet_v: (request.over == Over::Resistor).then_some(usual),
        outlet,
        design_line_v: design,
        readings_used: settled.readings.used,
        readings: settled.readings,
        columns,
        rows,
        caution: CAUTION,
    })
}

fn choose(reading: &Reading, request: &SweepRequest) -> Result<Vec<Measure>> {
    if request.show.is_empty() {
        let mut usual = Measure::all(reading);
        usual.retain(|m| m.is_usual(request.over == Over::Resistor));
        return Ok(usual);
    }
    let find = |asked: &String| {
        Measure::find(reading, asked).ok_or_else(|| StudyError::NoQuantity {
            asked: asked.clone(),
            known: Measure::all(reading).iter().map(|m| m.key(reading)).collect(),
        })
    };
    request.show.iter().map(find).collect()
}
