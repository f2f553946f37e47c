//! The readings of a profile as the model meets them: which quantity, how sure, and what the meter does to it.

use crate::{
    profile::{MeterLoad, Profile, ReadingSet},
    quantity::Quantity as _,
    receiver::{Load, MainsLead, Model, Operation, Receiver, Spot, Straight, iron::LAW_TO},
    study::{Measure, Meter, Reading, Result, StudyError, What, read},
};

/// How far a handheld meter may be off, as a share: DC volts, AC volts, AC current, watts (customary data-sheet limits;
/// common practice, no source).
const DC: f64 = 0.008;
const AC: f64 = 0.015;
const AC_CURRENT: f64 = 0.02;
const WATTS: f64 = 0.03;
/// The usual load of a digital meter, Ω.
const USUAL_METER: f64 = 10e6;
/// Usual full-scale ranges of a volt-ohm-milliammeter, V (common practice, no source).
pub const RANGES: [f64; 6] = [2.5, 10.0, 50.0, 250.0, 500.0, 1000.0];

/// A reading at a point of the model.
#[derive(Clone)]
pub struct Point {
    pub measure: Measure,
    pub key: String,
    pub label: String,
    pub measured: f64,
    /// Size of its last digit.
    pub last_digit: f64,
    /// Standard uncertainty.
    pub uncertainty: f64,
    /// Whether the meter responds to the average in AC.
    pub average: bool,
    /// Place in the profile.
    pub place: String,
    /// What the meter hangs on, and its load in Ω; nothing where that is of no account.
    pub load: Option<(Spot, f64)>,
    /// At which setting it was taken.
    pub setting: usize,
    /// The line of that.
    pub line: f64,
}

impl Point {
    /// What this point's meter shows of `r`, its load left out.
    pub fn value(&self, r: &Reading) -> f64 {
        if self.average { self.measure.averaged(r) } else { self.measure.value(r) }
    }
}

/// A line on which readings were taken.
pub struct Setting {
    pub line: f64,
    /// Place of that in the profile.
    pub place: String,
    /// How far the line volts themselves may be off, as a share.
    pub line_spread: f64,
}

impl Setting {
    /// That the set gives no such readings on this line.
    pub fn nowhere(&self, model: &Model) -> StudyError {
        StudyError::Reading {
            what: format!("no state of this set gives these readings on {:.1} V", self.line),
            key: self.place.clone(),
            advice: format!(
                "measure the voltage at the plug again; this set was made for {:.0} V",
                model.design_line
            ),
        }
    }
}

/// The settings of `profile` and its readings, matched to the points of `receiver`.
///
/// # Errors
/// [`StudyError::Reading`] for a point the set does not have.
pub fn readings(profile: &Profile, receiver: &Receiver) -> Result<(Vec<Setting>, Vec<Point>)> {
    taken(&profile.readings, "readings", receiver, false)
}

/// Those of `sets`, which stand under `key` of a profile; behind a part that is `fitted` the voltage at the set is one of them.
///
/// # Errors
/// As [`readings`].
pub fn taken(
    sets: &[ReadingSet],
    key: &str,
    receiver: &Receiver,
    fitted: bool,
) -> Result<(Vec<Setting>, Vec<Point>)> {
    let (known, model) = (read(receiver, receiver.at_design()), receiver.model());
    let (mut settings, mut points) = (Vec::new(), Vec::new());
    let readable = |m: &Measure| m.is_readable() || fitted && m.what == What::Set;
    for (number, set) in sets.iter().enumerate() {
        let place = |point: &str| format!("{key}[{number}].{point}");
        let (line, meter) = (set.at_line.si(), set.meter.unwrap_or_default());
        for p in &set.points {
            let measure = asked(&p.key, &known, readable).ok_or_else(|| {
                let readable = Measure::all(&known).into_iter().filter(readable);
                let known: Vec<String> = readable.map(|m| m.key(&known)).collect();
                StudyError::Reading {
                    what: format!("this set has no point \"{}\" to read", p.key),
                    key: place(&p.key),
                    advice: format!("known: {}", known.join(", ")),
                }
            })?;
            let limit = set.accuracy.unwrap_or(usual_limit(measure)) * p.value.abs();
            let ohms = ohms(meter.load, p.value);
            points.push(Point {
                measure,
                key: measure.key(&known),
                label: measure.name(&known),
                measured: p.value,
                last_digit: p.last_digit,
                average: meter.average,
                place: place(&p.key),
                // a limit and a last digit, both rectangular (GUM 4.3.7); half the digit either way
                uncertainty: (limit / 3f64.sqrt()).hypot(p.last_digit / 12f64.sqrt()),
                load: load(measure, &known, model).map(|point| (point, ohms)),
                setting: number,
                line,
            });
        }
        let line_spread = set.accuracy.unwrap_or(AC);
        let setting = Setting { line, place: place("at_line"), line_spread };
        // where the law of its iron gives no more than a guess, no set was read
        if !fitted && model.flux(line).is_some_and(|flux| flux.relative() > LAW_TO) {
            return Err(setting.nowhere(model));
        }
        settings.push(setting);
    }
    Ok((settings, points))
}

/// How far a usual meter may be off there, as a share.
pub fn usual_limit(measure: Measure) -> f64 {
    match (measure.meter(), measure.unit()) {
        (_, "W") => WATTS,
        (_, "A") => AC_CURRENT,
        (Meter::Ac, _) => AC,
        _ => DC,
    }
}

/// The quantity under a key of `readings`; "field_coil" and "choke" are the drop across it, where there is one.
fn asked(key: &str, known: &Reading, readable: impl Fn(&Measure) -> bool) -> Option<Measure> {
    let drop = What::CoilDrop.of(0);
    if ["field_coil", "choke"].contains(&key) && drop.get(known).is_some() {
        return Some(drop);
    }
    Measure::find(known, key).filter(readable)
}

/// The node a meter loads, for points of some resistance.
pub fn load(measure: Measure, known: &Reading, model: &Model) -> Option<Spot> {
    let of = measure.of;
    let tube = model.tubes.get(of);
    let (spot, ohms) = match measure.what {
        What::Tap => return Some(Spot::Supply(known.taps.get(of)?.name.clone())),
        What::Plate => (Spot::Plate(of), tube?.plate.ohms),
        What::Screen => (Spot::Screen(of), tube?.screen.as_ref()?.ohms),
        What::Cathode => (Spot::Cathode(of), tube?.cathode_ohms),
        _ => return None,
    };
    (ohms > 0.0).then_some(spot)
}

/// What the meter loads a point of `volts` with, Ω.
pub fn ohms(meter: Option<MeterLoad>, volts: f64) -> f64 {
    match meter {
        None => USUAL_METER,
        Some(MeterLoad::Ohms(ohms)) => ohms.si(),
        Some(MeterLoad::PerVolt(ohms)) => {
            let range = RANGES.into_iter().find(|r| *r >= volts.abs());
            ohms.si() * range.unwrap_or(RANGES[RANGES.len() - 1])
        }
    }
}

/// The set on `line` volts, straight, without a meter.
///
/// # Errors
/// The set has no solution.
pub fn plain(
    receiver: &Receiver,
    line: f64,
    near: Option<&Operation>,
) -> Result<(Reading, Operation)> {
    let operation = receiver.run(line, &Straight, near)?;
    Ok((read(receiver, &operation), operation))
}

/// What the meter's load changes at one point of the set behind `lead`.
///
/// # Errors
/// The set has no solution with it.
pub fn change_by_meter(
    receiver: &Receiver,
    lead: &dyn MainsLead,
    at: &Operation,
    point: &Point,
) -> Result<f64> {
    let Some((spot, ohms)) = &point.load else { return Ok(0.0) };
    let value = |load: Option<Load>| -> Result<f64> {
        let change = |model: &mut Model| model.loads.extend(load);
        let changed = receiver.run_changed(at.line, lead, at, change)?;
        Ok(point.value(&read(receiver, &changed)))
    };
    let meter = Load { name: "meter".to_owned(), from: spot.clone(), ohms: Some(*ohms), amps: 0.0 };
    // both at the same number of steps, so that what they share drops out
    Ok(value(Some(meter))? - value(None)?)
}
