//! Finds the value of an adaptation that meets the target.

use super::StudyError;
use super::reading::{self, Reading};
use crate::adaptation::{Adaptation, Duty, Unknown};
use crate::profile::Target;
use crate::quantity::Quantity;
use crate::receiver::{Operation, Receiver, Straight};

/// Searches allowed.
const ROUNDS: usize = 40;
/// The target counts as met within this share.
const MET: f64 = 2e-5;

/// What is to be met, as numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Goal {
    /// Volts of the tubes' heater winding.
    HeaterVolts(f64),
    /// B+ volts.
    BPlus(f64),
}

impl Goal {
    /// The goal of a profile's target.
    ///
    /// # Errors
    /// The set could not be solved on the line named by the target.
    pub fn of(target: Target, receiver: &Receiver) -> Result<Goal, StudyError> {
        let heater = |operation: &Operation| {
            let reading = reading::read(receiver, operation);
            reading.tube_heater().map_or(0.0, |h| h.volts_v)
        };
        Ok(match target {
            Target::BPlus(volts) => Goal::BPlus(volts.si()),
            Target::AsOnLine(volts) => {
                Goal::HeaterVolts(heater(&receiver.run(volts.si(), &Straight, None)?))
            }
            Target::Heaters => {
                let reading = reading::read(receiver, receiver.at_design());
                Goal::HeaterVolts(reading.tube_heater().map_or(6.3, |h| h.rated_v))
            }
        })
    }

    /// How far a reading is above the goal, as a share.
    pub fn miss(&self, reading: &Reading) -> f64 {
        match self {
            Goal::HeaterVolts(volts) => {
                reading.tube_heater().map_or(0.0, |h| h.volts_v) / volts - 1.0
            }
            Goal::BPlus(volts) => reading.b_plus_v / volts - 1.0,
        }
    }
}

/// What a search came to.
#[derive(Debug)]
pub enum Found {
    /// The exact value and its operating point.
    Value(f64, Box<Operation>),
    /// The target lies outside what the adaptation can do.
    OutOfReach,
}

/// Solves `adaptation` for `goal` on `duty.outlet` volts.
///
/// # Errors
/// A point that could not be solved.
pub fn find(
    receiver: &Receiver,
    adaptation: &dyn Adaptation,
    unknown: Unknown,
    goal: Goal,
    duty: &Duty,
    today: &Operation,
) -> Result<Found, StudyError> {
    let mut near: Option<Operation> = None;
    let mut at = |value: f64| -> Result<(f64, Operation), StudyError> {
        let part = adaptation.exact(value, duty);
        let operation = receiver.run(duty.outlet, &*part, Some(near.as_ref().unwrap_or(today)))?;
        let miss = goal.miss(&reading::read(receiver, &operation));
        near = Some(operation.clone());
        Ok((miss, operation))
    };
    // hand arithmetic gives the first guess
    let excess = goal.miss(&reading::read(receiver, today));
    let volts = duty.outlet * excess / (1.0 + excess);
    let rising = unknown.unit == "V" && unknown.name == "setting";
    let guess = match unknown.name {
        "setting" => duty.outlet - volts,
        _ if adaptation.guess(volts).is_some() => adaptation.guess(volts).unwrap_or(0.0),
        "resistance" => volts / duty.amps.max(1e-3),
        _ => volts,
    };
    if !rising && excess <= 0.0 && !adaptation.goes_both_ways() {
        return Ok(Found::OutOfReach);
    }
    // a variac gives about a sixth more than its line
    let high = if rising { 1.17 * duty.outlet } else { unknown.high };
    let low = unknown.low.min(0.5 * high);
    let clamp = |x: f64| x.clamp(low, high);
    let (mut a, mut b) = (clamp(guess), clamp(guess * 1.05 + 0.01));
    let (mut miss_a, first) = at(a)?;
    if miss_a.abs() <= MET {
        return Ok(Found::Value(a, Box::new(first)));
    }
    for _ in 0..ROUNDS {
        let (miss_b, operation) = at(b)?;
        if miss_b.abs() <= MET {
            return Ok(Found::Value(b, Box::new(operation)));
        }
        let slope = (miss_b - miss_a) / (b - a);
        let wanted = if rising { slope > 0.0 } else { slope < 0.0 };
        if !wanted {
            return Ok(Found::OutOfReach);
        }
        let next = clamp(b - miss_b / slope);
        if (next - b).abs() <= 1e-9 * b.abs() {
            // stuck at an end of the range
            return Ok(Found::OutOfReach);
        }
        a = b;
        miss_a = miss_b;
        b = next;
    }
    Ok(Found::OutOfReach)
}
