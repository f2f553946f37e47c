//! The outlet voltages at which the verdict changes, found by solving.

use super::super::day::Day;
use super::super::flags;
use super::super::outlet::OutletVolts;
use super::super::reading;
use super::advice::{Turn, Verdict};
use super::case::Decided;
use super::finding::Scale;
use super::level::{LIMIT, LOW_LINE, Level, Yardstick};
use crate::adaptation::Method;
use crate::receiver::{Operation, Receiver, Straight};
use std::ops::RangeInclusive;

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

/// What a level comes to, where nothing stands in the way: by another tap, where one would serve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Ground {
    side: Side,
    tapped: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Raised,
    Leave,
    Measure,
    Lowered,
}

impl Ground {
    fn of(level: Level, tapped: bool) -> Ground {
        let side = match level {
            Level::Low => Side::Raised,
            Level::Right => Side::Leave,
            Level::LowOpen | Level::HighOpen => Side::Measure,
            Level::Optional | Level::Needed => Side::Lowered,
        };
        Ground { side, tapped: tapped && matches!(side, Side::Raised | Side::Lowered) }
    }
}

impl Line<'_> {
    /// The ground where the usual line is `share` times what it is, the day moving with it; `None` where there is no
    /// solution.
    fn ground(&self, share: f64) -> Option<Ground> {
        let outlet = self.outlet.scaled(share);
        // half a volt is asked for: few steps will do
        let run =
            |line: f64, near: &Operation| self.receiver.run_coarse(line, &Straight, near).ok();
        let solved = run(outlet.usual_v, self.near)?;
        let usual = reading::read(self.receiver, &solved);
        // the low line decides nothing, nor does a high one that was not read
        let high = match outlet.high_read {
            true => {
                let high = run(outlet.high_v, &solved)?;
                reading::read(self.receiver, &high)
            }
            false => usual.clone(),
        };
        let day = Day { low: usual.clone(), usual, high };
        let model = self.receiver.model();
        let findings = self.scale.findings(&day);
        let direct = flags::direct(model, &outlet);
        let level = self.yard.level(&day, (model, outlet.high_read), direct, &findings);
        Some(Ground::of(level, self.yard.is_tapped(&day.usual)))
    }

    /// Where the ground that holds at 1 ends, up or down, with the one beyond; `guess` is looked at first.
    fn edge(&self, here: Ground, up: bool, guess: f64) -> Option<(f64, Ground)> {
        let sign = if up { 1.0 } else { -1.0 };
        let beyond = |share: f64| self.ground(share).filter(|ground| *ground != here);
        let mut inside = 1.0;
        let mut outside = None;
        if sign * (guess - 1.0) > 0.0 {
            if let Some(ground) = beyond(guess + sign * NEAR) {
                outside = Some((guess + sign * NEAR, ground));
                let before = guess - sign * NEAR;
                if sign * (before - 1.0) > 0.0 {
                    match beyond(before) {
                        Some(ground) => outside = Some((before, ground)),
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
                Some(ground) => outside = Some((next, ground)),
                None => inside = next,
            }
        }
        let (mut outside, mut ground) = outside?;
        while (outside - inside).abs() > FOUND {
            let middle = 0.5 * (inside + outside);
            match beyond(middle) {
                Some(found) => (outside, ground) = (middle, found),
                None => inside = middle,
            }
        }
        Some((0.5 * (inside + outside), ground))
    }
}

/// Every edge of a verdict that goes with the level the outlet puts the set at.
pub(super) fn all(line: &Line<'_>, decided: &Decided<'_>) -> Vec<Turn> {
    let usual = reading::read(line.receiver, line.near);
    let here = Ground::of(decided.level, line.yard.is_tapped(&usual));
    if !holds(decided, here) {
        return Vec::new();
    }
    let heaters = 1.0 + usual.heater_excess();
    let yard = line.yard;
    let at = |severity: f64| yard.heaters_at(severity) / heaters;
    let low_line = LOW_LINE * line.receiver.model().line_as_found() / line.outlet.usual_v;
    let low = decided.level == Level::LowOpen;
    let guesses = |up: bool| match (here.side, up) {
        (Side::Leave, true) => Some(at(yard.turns_up())),
        (Side::Leave, false) => Some(at(-LIMIT).min(low_line)),
        (Side::Measure, true) if low => Some(at(-LIMIT).min(low_line)),
        (Side::Measure, false) if low => Some(at(-yard.known_below())),
        (Side::Measure, true) => Some(at(yard.known_above())),
        (Side::Measure, false) => Some(at(yard.turns_up())),
        (Side::Lowered, false) => Some(at(yard.known_above())),
        (Side::Raised, true) => Some(at(-yard.known_below()).min(low_line)),
        // no end of it is told but where the tap no longer serves
        (Side::Lowered, true) | (Side::Raised, false) => None,
    };
    // below, it hangs on whether the set is right without a resistor that came later
    let came_later = line.receiver.model().mains_resistor.is_some_and(|r| !r.by_maker);
    let mut list = Vec::new();
    for up in [false, true].into_iter().skip(usize::from(came_later)) {
        let edge = guesses(up).and_then(|guess| line.edge(here, up, guess));
        let Some((share, there)) = edge else {
            continue;
        };
        let verdict = match there.side {
            // a capacitor that is perhaps too weak has become one that is
            Side::Leave if up && here.side == Side::Measure && !low => Verdict::RepairFirst,
            Side::Leave => Verdict::Leave,
            Side::Measure => Verdict::LeaveAndMeasure,
            Side::Lowered | Side::Raised if there.tapped => Verdict::ChangeTap,
            Side::Lowered => Verdict::Fit,
            Side::Raised if line.outlet.high_v / line.outlet.usual_v > MOST_SWING => continue,
            Side::Raised => Verdict::Boost,
        };
        let voltage = share * line.outlet.usual_v;
        if TOLD.contains(&(voltage / line.receiver.model().design_line)) {
            list.push(Turn { voltage, above: up, verdict });
        }
    }
    list
}

/// Outlets over the design line that are told of: beyond, it is a transformer for another mains that is asked for.
const TOLD: RangeInclusive<f64> = 0.85..=1.30;

/// High over usual line from which a set that is raised to within 7 % of right would get more than 5 % too much.
const MOST_SWING: f64 = 1.05 / 0.93;

/// Whether the verdict is the one that the ground asks for.
fn holds(decided: &Decided<'_>, here: Ground) -> bool {
    match decided.verdict {
        Verdict::Leave => here.side == Side::Leave,
        Verdict::LeaveAndMeasure => here.side == Side::Measure,
        Verdict::Fit => here.side == Side::Lowered && !here.tapped,
        Verdict::Boost => {
            let step = decided.choice.is_some_and(|c| c.method == Method::StepUp);
            here.side == Side::Raised && !here.tapped && !step
        }
        Verdict::ChangeTap => here.tapped,
        Verdict::TakeOut => false,
        Verdict::StepDown | Verdict::RepairFirst | Verdict::CannotSay => false,
    }
}
