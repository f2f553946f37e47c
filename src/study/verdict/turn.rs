//! The outlet voltages at which the verdict changes, found by solving.

use super::super::day::Day;
use super::super::flags;
use super::super::outlet::OutletVolts;
use super::super::reading;
use super::advice::{Turn, Verdict};
use super::case::Decided;
use super::finding::Scale;
use super::level::{Level, Yardstick};
use crate::adaptation::Method;
use crate::receiver::{Operation, Receiver, Straight};

/// An edge is found to so many volts per volt of outlet.
const FOUND: f64 = 8e-4;
/// How far from a guessed edge it is first looked for, as a share.
const NEAR: f64 = 2e-3;
/// The farthest that is looked for it, as a share of the usual line, and the steps to there.
const FARTHEST: f64 = 0.4;
const STEP: f64 = 0.02;

/// The set straight on an outlet that moves.
pub(super) struct Line<'a> {
    pub receiver: &'a Receiver,
    pub outlet: &'a OutletVolts,
    pub yard: &'a Yardstick,
    pub scale: &'a Scale<'a>,
    pub near: &'a Operation,
}

/// What a level comes to, where nothing stands in the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Raised,
    Leave,
    Measure,
    Lowered,
}

fn side(level: Level) -> Side {
    match level {
        Level::Low => Side::Raised,
        Level::Right => Side::Leave,
        Level::LowOpen | Level::HighOpen => Side::Measure,
        Level::Optional | Level::Needed => Side::Lowered,
    }
}

impl Line<'_> {
    /// The level where the usual line is `share` times what it is, the day moving with it; `None` where there is no
    /// solution.
    fn level(&self, share: f64) -> Option<Level> {
        let outlet = self.outlet.scaled(share);
        let solved = self.receiver.run(outlet.usual_v, &Straight, Some(self.near)).ok()?;
        let usual = reading::read(self.receiver, &solved);
        // the low line decides nothing, nor does a high one that was not read
        let high = match outlet.high_read {
            true => {
                let high = self.receiver.run(outlet.high_v, &Straight, Some(&solved)).ok()?;
                reading::read(self.receiver, &high)
            }
            false => usual.clone(),
        };
        let day = Day { low: usual.clone(), usual, high };
        let model = self.receiver.model();
        let findings = self.scale.findings(&day);
        let direct = flags::direct(model, &outlet);
        Some(self.yard.level(&day, (model, outlet.high_read), direct, &findings))
    }

    /// Where the side that holds at 1 ends, up or down, with the level beyond; `guess` is looked at first.
    fn edge(&self, here: Side, up: bool, guess: f64) -> Option<(f64, Level)> {
        let sign = if up { 1.0 } else { -1.0 };
        let beyond = |share: f64| self.level(share).filter(|level| side(*level) != here);
        let mut inside = 1.0;
        let mut outside = None;
        if sign * (guess - 1.0) > 0.0 {
            if let Some(level) = beyond(guess + sign * NEAR) {
                outside = Some((guess + sign * NEAR, level));
                let before = guess - sign * NEAR;
                if sign * (before - 1.0) > 0.0 {
                    match beyond(before) {
                        Some(level) => outside = Some((before, level)),
                        None => inside = before,
                    }
                }
            } else {
                inside = guess;
            }
        }
        let mut next = inside;
        while outside.is_none() {
            next += sign * STEP;
            if (next - 1.0).abs() > FARTHEST {
                return None;
            }
            match beyond(next) {
                Some(level) => outside = Some((next, level)),
                None => inside = next,
            }
        }
        let (mut outside, mut level) = outside?;
        while (outside - inside).abs() > FOUND {
            let middle = 0.5 * (inside + outside);
            match beyond(middle) {
                Some(found) => (outside, level) = (middle, found),
                None => inside = middle,
            }
        }
        Some((0.5 * (inside + outside), level))
    }
}

/// Every edge of a verdict that goes with the level the outlet puts the set at.
pub(super) fn all(line: &Line<'_>, decided: &Decided<'_>) -> Vec<Turn> {
    let Some(here) = holds(decided) else {
        return Vec::new();
    };
    let usual = reading::read(line.receiver, line.near);
    let heaters = 1.0 + usual.heater_excess();
    let at = |severity: f64| line.yard.heaters_at(severity) / heaters;
    let yard = line.yard;
    let guesses = |up: bool| match (here, up) {
        (Side::Leave, true) => Some(at(yard.turns_up())),
        (Side::Leave, false) => {
            Some(at(-1.0).min(0.9 * line.receiver.model().design_line / line.outlet.usual_v))
        }
        (Side::Measure, true) => Some(at(yard.known_above())),
        (Side::Measure, false) => Some(at(yard.turns_up())),
        (Side::Lowered, false) => Some(at(yard.known_above())),
        (Side::Raised, true) => Some(at(-yard.known_above())),
        _ => None,
    };
    let model = line.receiver.model();
    let mut list = Vec::new();
    for up in [false, true] {
        let Some(guess) = guesses(up) else {
            continue;
        };
        let Some((share, level)) = line.edge(here, up, guess) else {
            continue;
        };
        let voltage = share * line.outlet.usual_v;
        let excess = voltage / model.design_line - 1.0;
        let tapped = line.yard.is_tapped(excess);
        let verdict = match side(level) {
            // what was open has become plain
            Side::Leave if up && here == Side::Measure => Verdict::RepairFirst,
            Side::Leave => Verdict::Leave,
            Side::Measure => Verdict::LeaveAndMeasure,
            Side::Lowered | Side::Raised if tapped => Verdict::ChangeTap,
            Side::Lowered => Verdict::Fit,
            Side::Raised if line.outlet.high_v / line.outlet.usual_v > MOST_SWING => continue,
            Side::Raised => Verdict::Boost,
        };
        list.push(Turn { voltage, above: up, verdict });
    }
    list
}

/// High over usual line from which a set that is raised to within 7 % of right would get more than 5 % too much.
const MOST_SWING: f64 = 1.05 / 0.93;

/// The side that the verdict stands on, where it is the one the level asks for.
fn holds(decided: &Decided<'_>) -> Option<Side> {
    let here = side(decided.level);
    let fits = match decided.verdict {
        Verdict::Leave => here == Side::Leave,
        Verdict::LeaveAndMeasure => here == Side::Measure,
        Verdict::Fit => here == Side::Lowered,
        Verdict::Boost => {
            here == Side::Raised && decided.choice.is_some_and(|c| c.method != Method::StepUp)
        }
        Verdict::ChangeTap => here != Side::Leave,
        Verdict::StepDown | Verdict::RepairFirst | Verdict::CannotSay => false,
    };
    fits.then_some(here)
}
