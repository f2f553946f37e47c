//! Finds the value of an adaptation that meets the target.

use super::{Reading, Result, read};
use crate::{
    adaptation::{Adaptation, Duty, Sought, Unknown},
    profile::Target,
    quantity::Quantity,
    receiver::{AsBuilt, Operation, Receiver},
};

/// Searches allowed.
const ROUNDS: usize = 40;
/// The target counts as met within this share.
const MET: f64 = 2e-5;

/// What is to be met, as numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Goal {
    /// Voltage of the tubes' heater winding.
    HeaterVolts(f64),
    /// B+ volts.
    BPlus(f64),
}

impl Goal {
    /// The goal of a profile's target.
    ///
    /// # Errors
    /// The set could not be solved on the line named by the target.
    pub fn of(target: Target, receiver: &Receiver) -> Result<Goal> {
        Ok(match target {
            Target::BPlus(volts) => Goal::BPlus(volts.si()),
            Target::AsOnLine(volts) => {
                let operation = receiver.run(volts.si(), &AsBuilt, None)?;
                Goal::HeaterVolts(read(receiver, &operation).tube_heater_v())
            }
            Target::Heaters => {
                let reading = read(receiver, receiver.at_design());
                Goal::HeaterVolts(reading.tube_heater().map_or(6.3, |h| h.rated_v))
            }
        })
    }

    /// The goal where the iron bears no more than `volts` at the set, and whether that is less than it was.
    ///
    /// # Errors
    /// The set could not be solved on them.
    pub fn lowered(self, receiver: &Receiver, volts: f64) -> Result<(Goal, bool)> {
        let there = read(receiver, &receiver.run(volts, &AsBuilt, None)?);
        let miss = self.miss(&there);
        Ok(match self {
            Goal::HeaterVolts(volts) if miss < 0.0 => {
                (Goal::HeaterVolts(volts * (1.0 + miss)), true)
            }
            other => (other, false),
        })
    }

    /// In words.
    pub(super) fn words(&self) -> String {
        match self {
            Goal::HeaterVolts(volts) => format!("heaters at {volts:.2} V on the usual line"),
            Goal::BPlus(volts) => format!("B+ at {volts:.0} V on the usual line"),
        }
    }

    /// How far a reading is above the goal, as a share.
    pub fn miss(&self, reading: &Reading) -> f64 {
        match self {
            Goal::HeaterVolts(volts) => reading.tube_heater_v() / volts - 1.0,
            Goal::BPlus(volts) => reading.b_plus_v / volts - 1.0,
        }
    }
}

/// Solves `adaptation` for `goal` on `duty.outlet` volts: the exact value and its operating point; `None` where the target
/// lies outside what the adaptation can do.
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
) -> Result<Option<(f64, Operation)>> {
    // what is fitted may take the place of a resistor in the line cord
    let stays = adaptation.exact(unknown.low, duty).inside().keeps_resistor;
    let replaced = receiver.model().mains_resistor.is_some_and(|r| !r.by_maker && !stays);
    let bare = replaced.then(|| receiver.run(duty.outlet, &AsBuilt, Some(today))).transpose()?;
    let today = bare.as_ref().unwrap_or(today);
    let mut near = today.clone();
    let mut tried = 0;
    let mut at = |value: f64| -> Result<f64> {
        let part = adaptation.exact(value, duty);
        // the first two say where to look, and need be no better
        near = if tried < 2 {
            receiver.run_coarse(duty.outlet, &*part, &near)?
        } else {
            receiver.run(duty.outlet, &*part, Some(&near))?
        };
        tried += 1;
        Ok(goal.miss(&read(receiver, &near)))
    };
    // hand arithmetic gives the first guess
    let excess = goal.miss(&read(receiver, today));
    let volts = duty.outlet * excess / (1.0 + excess);
    let setting = unknown.what == Sought::Setting;
    let rising = setting || unknown.what == Sought::Aiding;
    let guess = adaptation.guess(volts).unwrap_or(match unknown.what {
        Sought::Setting => duty.outlet - volts,
        Sought::Resistance | Sought::Dropper => volts / duty.amps.max(1e-3),
        Sought::Secondary => volts,
        Sought::Aiding => -volts,
    });
    let beyond = if rising { excess >= 0.0 } else { excess <= 0.0 };
    if !setting && beyond && !adaptation.goes_both_ways() {
        return Ok(None);
    }
    // a variac gives about a sixth more than its line
    let high = if setting { 1.17 * duty.outlet } else { unknown.high };
    let low = unknown.low.min(0.5 * high);
    let clamp = |x: f64| x.clamp(low, high);
    let (a, b) = (clamp(guess), clamp(guess * 1.05 + 0.01));
    let miss = at(a)?;
    let found =
        if miss.abs() <= MET { Some(a) } else { secant(at, (a, miss), b, MET, rising, clamp)? };
    let Some(value) = found else {
        return Ok(None);
    };
    if tried <= 2 {
        near = receiver.run(duty.outlet, &*adaptation.exact(value, duty), Some(&near))?;
    }
    Ok(Some((value, near)))
}

/// Where `miss` is no more than `met`: secant steps from a first value with its miss by way of `b`, each brought within a
/// range by `clamp`. `None` where the miss does not rise or fall as it should, or an end of the range is reached.
///
/// # Errors
/// A point that could not be solved.
pub fn secant(
    mut miss: impl FnMut(f64) -> Result<f64>,
    (mut a, mut miss_a): (f64, f64),
    mut b: f64,
    met: f64,
    rising: bool,
    clamp: impl Fn(f64) -> f64,
) -> Result<Option<f64>> {
    for _ in 0..ROUNDS {
        let miss_b = miss(b)?;
        if miss_b.abs() <= met {
            return Ok(Some(b));
        }
        let slope = (miss_b - miss_a) / (b - a);
        let wanted = if rising { slope > 0.0 } else { slope < 0.0 };
        let next = clamp(b - miss_b / slope);
        if !wanted || (next - b).abs() <= 1e-9 * b.abs() {
            return Ok(None);
        }
        (a, miss_a, b) = (b, miss_b, next);
    }
    Ok(None)
}
