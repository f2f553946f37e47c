//! The readings of a profile as the model meets them: which quantity, how sure, and what the meter does to it.

use super::super::StudyError;
use super::super::quantities::{Meter, Quantity, quantities};
use super::super::reading;
use crate::profile::{MeterUse, Profile, ReadingSet};
use crate::quantity::Quantity as _;
use crate::receiver::{Load, Operation, Receiver, ReceiverError, Straight};

/// How far a handheld meter may be off, as a share: DC volts, AC volts, AC current, watts (customary data-sheet limits,
/// from memory; common practice, no source).
const DC: f64 = 0.008;
const AC: f64 = 0.015;
const AC_CURRENT: f64 = 0.02;
const WATTS: f64 = 0.03;
/// The usual load of a digital meter, Ω.
const USUAL_METER: f64 = 10e6;
/// Usual full-scale ranges of a volt-ohm-milliammeter, V (common practice, no source).
const RANGES: [f64; 6] = [2.5, 10.0, 50.0, 250.0, 500.0, 1000.0];

/// A reading at a point of the model.
#[derive(Debug, Clone)]
pub(super) struct Point {
    pub quantity: Quantity,
    /// Place among the quantities of a reading.
    pub place: usize,
    pub measured: f64,
    /// Standard uncertainty.
    pub uncertainty: f64,
    /// What the meter hangs on, and its load in Ω; nothing where that is of no account.
    pub load: Option<(String, f64)>,
}

/// Readings at one setting.
#[derive(Debug, Clone)]
pub(super) struct Setting {
    pub line: f64,
    /// How far the line volts themselves may be off, as a share.
    pub line_spread: f64,
    pub points: Vec<Point>,
}

/// All readings.
#[derive(Debug, Clone)]
pub(super) struct Readings {
    pub settings: Vec<Setting>,
}

impl Readings {
    /// The readings of `profile`, matched to the points of `receiver`.
    ///
    /// # Errors
    /// [`StudyError::NoQuantity`] for a point the set does not have.
    pub fn of(profile: &Profile, receiver: &Receiver) -> Result<Readings, StudyError> {
        let known = quantities(&reading::read(receiver, receiver.at_design()));
        let settings = profile.readings.iter().map(|set| setting(set, receiver, &known));
        Ok(Readings { settings: settings.collect::<Result<_, _>>()? })
    }

    /// How many there are.
    pub fn count(&self) -> usize {
        self.settings.iter().map(|s| s.points.len()).sum()
    }
}

fn setting(
    set: &ReadingSet,
    receiver: &Receiver,
    known: &[(Quantity, f64)],
) -> Result<Setting, StudyError> {
    let mut points = Vec::new();
    for p in &set.points {
        let key = alias(&p.key, known);
        let found = known.iter().position(|(q, _)| q.key == key && measurable(q));
        let Some(place) = found else {
            return Err(StudyError::NoQuantity {
                asked: p.key.clone(),
                known: known
                    .iter()
                    .filter(|(q, _)| measurable(q))
                    .map(|(q, _)| q.key.clone())
                    .collect(),
            });
        };
        let quantity = known[place].0.clone();
        let limit = set.accuracy.unwrap_or(usual_limit(&quantity));
        let load = load(&quantity.key, receiver).map(|point| (point, ohms(set.meter, p.value)));
        points.push(Point {
            quantity,
            place,
            measured: p.value,
            // a limit and a last digit, both rectangular (GUM 4.3.7); half the digit either way
            uncertainty: (limit * p.value.abs() / 3f64.sqrt()).hypot(p.last_digit / 12f64.sqrt()),
            load,
        });
    }
    Ok(Setting { line: set.at_line.si(), line_spread: set.accuracy.unwrap_or(AC), points })
}

/// How far a usual meter may be off there, as a share.
pub(super) fn usual_limit(quantity: &Quantity) -> f64 {
    match (quantity.meter, quantity.unit) {
        (_, "W") => WATTS,
        (_, "A") => AC_CURRENT,
        (Meter::Ac, _) => AC,
        _ => DC,
    }
}

/// "field_coil" and "choke" are the drop across it, where there is one.
fn alias(key: &str, known: &[(Quantity, f64)]) -> String {
    let coil = ["field_coil", "choke"].contains(&key);
    if coil && known.iter().any(|(q, _)| q.key == "coil1.drop") {
        return "coil1.drop".to_owned();
    }
    key.to_owned()
}

/// Whether a meter can be put there as it stands: not the line itself, not a current inside.
pub(super) fn measurable(q: &Quantity) -> bool {
    let inside =
        q.key.ends_with("plate_current") || q.key == "dc_current" || q.key.ends_with(".bias");
    q.meter != Meter::None
        && !inside
        && q.key != "set"
        && q.key != "line_current"
        && q.key != "ripple"
}

/// The node a meter loads, for points of some resistance.
pub(super) fn load(key: &str, receiver: &Receiver) -> Option<String> {
    let model = receiver.model();
    if model.dividers.iter().any(|d| {
        key.strip_prefix(&d.name)
            .and_then(|k| k.strip_prefix('.'))
            .is_some_and(|tap| d.taps.iter().any(|(t, _)| t == tap))
    }) {
        return Some(key.to_owned());
    }
    let (tube, electrode) = key.strip_prefix('V')?.split_once('.')?;
    let index = tube.parse::<usize>().ok()?.checked_sub(1)?;
    let tube = model.tubes.get(index)?;
    let fed = match electrode {
        "plate" => tube.plate.ohms > 0.0,
        "screen" => tube.screen.as_ref().is_some_and(|s| s.ohms > 0.0),
        "cathode" => tube.cathode_ohms > 0.0,
        _ => false,
    };
    // the names `receiver::build` gives the nodes
    fed.then(|| format!("{electrode} of {} {}", index + 1, tube.type_name))
}

/// What the meter loads a point of `volts` with, Ω.
pub(super) fn ohms(meter: Option<MeterUse>, volts: f64) -> f64 {
    match meter {
        None => USUAL_METER,
        Some(MeterUse::Load(ohms)) => ohms.si(),
        Some(MeterUse::PerVolt(ohms)) => {
            let range = RANGES.into_iter().find(|r| *r >= volts.abs());
            ohms.si() * range.unwrap_or(RANGES[RANGES.len() - 1])
        }
    }
}

/// Every quantity on `line` volts, straight, without a meter.
///
/// # Errors
/// The set has no solution.
pub(super) fn plain(
    receiver: &Receiver,
    line: f64,
    near: Option<&Operation>,
) -> Result<(Vec<f64>, Operation), ReceiverError> {
    let operation = receiver.run(line, &Straight, near)?;
    let reading = reading::read(receiver, &operation);
    Ok((quantities(&reading).into_iter().map(|(_, v)| v).collect(), operation))
}

/// What the meter's load changes at one point.
///
/// # Errors
/// The set has no solution with it.
pub(super) fn change_by_meter(
    receiver: &Receiver,
    at: &Operation,
    point: &Point,
) -> Result<f64, ReceiverError> {
    let Some((node, ohms)) = &point.load else {
        return Ok(0.0);
    };
    let value = |load: Option<Load>| -> Result<f64, ReceiverError> {
        let changed =
            receiver.run_changed(at.line, &Straight, at, |model| model.loads.extend(load))?;
        let reading = reading::read(receiver, &changed);
        Ok(quantities(&reading).get(point.place).map_or(f64::NAN, |(_, v)| *v))
    };
    let meter = Load { name: "meter".to_owned(), from: node.clone(), ohms: Some(*ohms), amps: 0.0 };
    // both at the same number of steps, so that what they share drops out
    Ok(value(Some(meter))? - value(None)?)
}
