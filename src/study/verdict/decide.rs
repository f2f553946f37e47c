//! Picks: leave, another tap, a part outside the set, a part inside it; what is to be put right first.

use super::{
    advice::{Advice, Strength, Verdict},
    level::Level,
    measure, reason,
    repair::Repairs,
    setting::{Decided, Setting},
    turn,
};
use crate::{
    adaptation::Method,
    receiver::Operation,
    study::{AssumptionReport, Choice, Day, Reading, ReadingsReport, flags::Direct},
};

/// Readings contradict each other or the set: nothing is advised on them.
pub fn contradicted(
    reason: String,
    readings: &ReadingsReport,
    direct: Direct,
    usual: &Reading,
) -> Advice {
    let again = readings.take_again.first().map(|again| measure::again(again, usual));
    Advice { measure: again, ..Advice::none(reason, direct) }
}

/// The advice: of `choices`, the set as it is first, which stands as `near` on the usual line; `repairs` are those that the set
/// alone tells.
pub fn advise(
    set: &Setting,
    choices: &[Choice],
    near: &Operation,
    assumptions: &[AssumptionReport],
    mut repairs: Repairs,
) -> Advice {
    let Some(today) = choices.first().and_then(|c| c.day.as_ref()) else {
        return Advice::none(String::new(), set.direct);
    };
    let decided = decide(set, choices, today);
    if let Some(choice) = decided.choice {
        // a volt over what is half known: one reading decides before a new one is bought
        let asks = matches!(decided.level, Level::Right | Level::LowOpen | Level::HighOpen);
        repairs.add_of(choice, set, asks);
    }
    let sound = repairs.is_empty();
    let changes_at = if sound { turn::all(set, near, &decided) } else { Vec::new() };
    let would_change = match decided.choice {
        None => reason::would_help(assumptions, &set.outlet),
        Some(_) => changes_at.iter().map(reason::turn).chain(reason::unread(&set.outlet)).collect(),
    };
    Advice {
        verdict: if sound { decided.verdict } else { Verdict::RepairFirst },
        strength: decided.strength.filter(|_| sound),
        reasons: reason::sentences(set, &decided, today, sound),
        changes_at,
        measure: sound.then(|| measure::of(set, &decided, today)).flatten(),
        repairs: repairs.0,
        choice: decided.choice.map(|c| c.method),
        runner_up: decided.runner_up.map(|c| c.method),
        would_change,
        ..Advice::none(String::new(), set.direct)
    }
}

fn decide<'a>(set: &Setting, choices: &'a [Choice], today: &Day) -> Decided<'a> {
    let as_is = choices.first();
    let (level, findings) = set.level(today);
    // low is borne, but not for a resistor that takes too much and comes out for nothing
    let low = set.yard.severity(&today.usual) < -1.0;
    let out = choices.iter().find(|c| low && c.method == Method::TakeOut && c.serves());
    let (choice, runner_up) = match level {
        Level::Right | Level::LowOpen if out.is_some() => (out, None),
        Level::Right | Level::LowOpen | Level::HighOpen => (as_is, None),
        Level::Low | Level::Optional | Level::Needed => {
            let mut list = serving(choices, false);
            if list.is_empty() {
                list = serving(choices, true);
            }
            let left = as_is.filter(|_| level != Level::Needed);
            (list.first().copied().or(left), second(&list))
        }
    };
    let verdict = match (level, choice.map(|c| c.method)) {
        (_, None) => Verdict::CannotSay,
        (_, Some(Method::TakeOut)) => Verdict::TakeOut,
        (Level::LowOpen | Level::HighOpen, _) => Verdict::LeaveAndMeasure,
        (_, Some(method @ (Method::AsIs | Method::Tap))) => Verdict::of(method),
        // a smaller dropper in the string raises as well
        (Level::Low, _) => Verdict::Boost,
        (_, Some(method)) => Verdict::of(method),
    };
    // what is to be renewed in the set as it is, and not with the part, makes the part more than a choice
    let renewed = |c: &Choice| {
        let mut repairs = Repairs::default();
        repairs.add_of(c, set, true);
        !repairs.is_empty()
    };
    let mends = || as_is.is_some_and(renewed) && !choice.is_some_and(renewed);
    let may = matches!(level, Level::Optional | Level::Right | Level::LowOpen);
    let strength = verdict
        .has_strength()
        .then(|| if may && !mends() { Strength::Optional } else { Strength::Needed });
    Decided { verdict, strength, level, choice, runner_up, findings, choices }
}

/// Choices that bring the set right with nothing against them, the least intervention first, then the smaller heat, then
/// the smaller miss; where `nearly`, those that come nearest with nothing worse against them than that.
fn serving(choices: &[Choice], nearly: bool) -> Vec<&Choice> {
    let serves = |c: &&Choice| {
        let against = c.objections.iter().filter(|o| !(nearly && o.is_bearable()));
        c.method != Method::AsIs && c.day.is_some() && against.count() == 0
    };
    let rank = |c: &Choice| c.method.facts().rank;
    let heat = |c: &Choice| c.day.as_ref().map_or(0.0, |d| d.usual.lead_w.round());
    let miss = |c: &Choice| c.target_miss.map_or(f64::MAX, f64::abs);
    let mut list: Vec<&Choice> = choices.iter().filter(serves).collect();
    list.sort_by(|a, b| {
        let by_heat = heat(a).total_cmp(&heat(b)).then(miss(a).total_cmp(&miss(b)));
        let order = rank(a).cmp(&rank(b)).then(by_heat);
        if nearly { miss(a).total_cmp(&miss(b)).then(order) } else { order }
    });
    list
}

/// The second best: of another kind, for the two connections of one transformer are one answer.
fn second<'a>(list: &[&'a Choice]) -> Option<&'a Choice> {
    let (best, others) = list.split_first()?;
    let kind = |c: &Choice| (Verdict::of(c.method), c.method.facts().rank);
    others.iter().find(|c| kind(c) != kind(best)).or(others.first()).copied()
}
