//! The outlet voltages at which the verdict changes, found by solving.

use super::{
    advice::{Turn, Verdict},
    level::{LIMIT, LOW_LINE, Level},
    setting::{Decided, Setting},
};
use crate::{
    adaptation::Method,
    receiver::{Operation, Straight},
    study::{Day, flags, read},
};
use std::ops::RangeInclusive;

/// An edge is found to so many volts per volt of outlet.
const FOUND: f64 = 8e-4;
/// How far from a guessed edge it is first looked for, as a share.
const NEAR: f64 = 2e-3;
/// The farthest that is looked for it, as a share of the usual line, and the steps to there.
const FARTHEST: f64 = 0.4;
const STEP: f64 = 0.02;

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

    /// The verdict that it asks for.
    fn verdict(self) -> Verdict {
        match self.side {
            _ if self.tapped => Verdict::ChangeTap,
            Side::Leave => Verdict::Leave,
            Side::Measure => Verdict::LeaveAndMeasure,
            Side::Lowered => Verdict::Fit,
            Side::Raised => Verdict::Boost,
        }
    }
}

/// The ground where the usual line of `set`, which stands as `near` there, is `share` times what it is, the day moving with
/// it; `None` where there is no solution.
fn ground(set: &Setting, near: &Operation, share: f64) -> Option<Ground> {
    let (receiver, outlet) = (set.receiver, set.outlet.scaled(share));
    // half a volt is asked for: few steps will do
    let run = |line: f64, near: &Operation| receiver.run_coarse(line, &Straight, near).ok();
    let solved = run(outlet.usual_v, near)?;
    let usual = read(receiver, &solved);
    // the low line decides nothing, nor does a high one that was not read
    let high = if outlet.high_read {
        read(receiver, &run(outlet.high_v, &solved)?)
    } else {
        usual.clone()
    };
    let day = Day { low: usual.clone(), usual, high };
    let direct = flags::direct(receiver.model(), &outlet);
    let (level, _) = Setting { outlet, direct, ..*set }.level(&day);
    Some(Ground::of(level, set.yard.is_tapped(&day.usual)))
}

/// Where the ground that holds at 1 ends, up or down, with the one beyond; `guess` is looked at first.
fn edge(
    at: impl Fn(f64) -> Option<Ground>,
    here: Ground,
    up: bool,
    guess: f64,
) -> Option<(f64, Ground)> {
    let sign = if up { 1.0 } else { -1.0 };
    let ahead = |share: f64| sign * (share - 1.0) > 0.0;
    let beyond = |share: f64| Some((share, at(share).filter(|ground| *ground != here)?));
    let mut inside = 1.0;
    let mut outside = None;
    if ahead(guess) {
        let before = guess - sign * NEAR;
        outside = beyond(guess + sign * NEAR);
        if outside.is_none() {
            inside = guess;
        } else if ahead(before) {
            match beyond(before) {
                None => inside = before,
                nearer => outside = nearer,
            }
        }
    }
    let mut next = inside;
    while outside.is_none() {
        next += sign * STEP;
        if (next - 1.0).abs() > FARTHEST {
            return None;
        }
        outside = beyond(next);
        if outside.is_none() {
            inside = next;
        }
    }
    let (mut outside, mut ground) = outside?;
    while (outside - inside).abs() > FOUND {
        let middle = 0.5 * (inside + outside);
        match beyond(middle) {
            Some(found) => (outside, ground) = found,
            None => inside = middle,
        }
    }
    Some((0.5 * (inside + outside), ground))
}

/// Every edge of a verdict that goes with the level the outlet puts the set at, which stands as `near` on the usual line.
pub fn all(set: &Setting, near: &Operation, decided: &Decided) -> Vec<Turn> {
    let (yard, outlet, model) = (set.yard, &set.outlet, set.receiver.model());
    let usual = read(set.receiver, near);
    let here = Ground::of(decided.level, yard.is_tapped(&usual));
    if decided.verdict != here.verdict()
        || decided.choice.is_some_and(|c| c.method == Method::StepUp)
    {
        return Vec::new();
    }
    let at = |severity: f64| yard.heaters_at(severity) / (1.0 + usual.heater_excess());
    let low_line = LOW_LINE * model.line_as_found() / outlet.usual_v;
    let low = decided.level == Level::LowOpen;
    let guess = |up: bool| match (here.side, up) {
        (Side::Leave, false) => Some(at(-LIMIT).min(low_line)),
        (Side::Measure, true) if low => Some(at(-LIMIT).min(low_line)),
        (Side::Measure, false) if low => Some(at(-yard.known_below())),
        (Side::Leave, true) | (Side::Measure, false) => Some(at(yard.turns_up())),
        (Side::Measure, true) | (Side::Lowered, false) => Some(at(yard.known_above())),
        (Side::Raised, true) => Some(at(-yard.known_below()).min(low_line)),
        // no end of it is told but where the tap no longer serves
        (Side::Lowered, true) | (Side::Raised, false) => None,
    };
    let turn = |up: bool| {
        let (share, there) = edge(|share| ground(set, near, share), here, up, guess(up)?)?;
        let verdict = match there.verdict() {
            // a capacitor that is perhaps too weak has become one that is
            Verdict::Leave if up && here.side == Side::Measure && !low => Verdict::RepairFirst,
            Verdict::Boost if outlet.high_v / outlet.usual_v > MOST_SWING => return None,
            verdict => verdict,
        };
        let voltage = share * outlet.usual_v;
        (TOLD.contains(&(voltage / model.design_line))).then_some(Turn {
            voltage,
            above: up,
            verdict,
        })
    };
    // below, it hangs on whether the set is right without a resistor that came later
    let came_later = model.mains_resistor.is_some_and(|r| !r.by_maker);
    [false, true].into_iter().skip(usize::from(came_later)).filter_map(turn).collect()
}

/// Outlets over the design line that are told of: beyond, it is a transformer for another mains that is asked for.
const TOLD: RangeInclusive<f64> = 0.85..=1.30;

/// High over usual line from which a set that is raised to within 7 % of right would get more than 5 % too much.
const MOST_SWING: f64 = 1.05 / 0.93;
