//! Picks: leave, another tap, a part outside the set, a part inside it; what is to be put right first.

use super::super::choice::Choice;
use super::super::day::Day;
use super::super::fit::ReadingsReport;
use super::super::flags::Direct;
use super::super::reading::Reading;
use super::advice::{Advice, Strength, Verdict};
use super::case::{Case, Decided};
use super::level::Level;
use super::measure;
use super::reason;
use super::repair::Repairs;
use super::turn::{self, Line};
use crate::adaptation::Method;

/// Readings contradict each other or the set: nothing is advised on them.
pub(in super::super) fn contradicted(
    reason: String,
    readings: &ReadingsReport,
    direct: Direct,
    usual: &Reading,
) -> Advice {
    let again = readings.take_again.first().map(|again| measure::again(again, usual));
    Advice { measure: again, ..Advice::none(reason, direct) }
}

/// The advice.
pub(in super::super) fn advise(case: Case<'_>) -> Advice {
    let Some(today) = case.choices.first().and_then(|c| c.day.as_ref()) else {
        return Advice::none(String::new(), case.direct);
    };
    let decided = decide(&case, today);
    let mut repairs = case.repairs.clone();
    if let Some(choice) = decided.choice {
        // a volt over what is half known: one reading decides before a new one is bought
        let asks = matches!(decided.level, Level::Right | Level::LowOpen | Level::HighOpen);
        repairs.add_of(choice, (case.outlet, case.scale), asks);
    }
    let reasons = reason::sentences(&case, &decided, today, &repairs);
    let (changes_at, measure) = if repairs.is_empty() {
        let line = Line {
            receiver: case.receiver,
            outlet: case.outlet,
            yard: case.yard,
            scale: case.scale,
            near: case.near,
        };
        let measure = measure::of(&case, &decided, today);
        (turn::all(&line, &decided), measure)
    } else {
        (Vec::new(), None)
    };
    let unplanned = decided.choice.is_none();
    Advice {
        verdict: if repairs.is_empty() { decided.verdict } else { Verdict::RepairFirst },
        strength: decided.strength.filter(|_| repairs.is_empty()),
        do_not_plug_in: case.direct == Direct::DoNotPlugIn,
        not_without_part: case.direct == Direct::NotWithoutPart,
        reasons,
        would_change: if unplanned {
            reason::would_help(case.assumptions, case.outlet)
        } else {
            changes_at.iter().map(reason::turn).chain(reason::unread(case.outlet)).collect()
        },
        changes_at,
        measure,
        repairs: repairs.words(),
        choice: decided.choice.map(|c| c.method),
        runner_up: decided.runner_up.map(|c| c.method),
    }
}

fn decide<'a>(case: &Case<'a>, today: &Day) -> Decided<'a> {
    let as_is = case.choices.first();
    let findings = case.scale.findings(today);
    let known = (case.receiver.model(), case.outlet.high_read);
    let level = case.yard.level(today, known, case.direct, &findings);
    // low is borne, but not for a resistor that takes too much and comes out for nothing
    let out = case.choices.iter().find(|c| {
        let low = case.yard.severity(&today.usual) < -1.0;
        low && c.method == Method::TakeOut && c.day.is_some() && c.objections.is_empty()
    });
    let (choice, runner_up) = match level {
        Level::Right | Level::LowOpen if out.is_some() => (out, None),
        Level::Right | Level::LowOpen | Level::HighOpen => (as_is, None),
        Level::Low | Level::Optional | Level::Needed => {
            let mut list = serving(case, false);
            if list.is_empty() {
                list = serving(case, true);
            }
            let left = as_is.filter(|_| level != Level::Needed);
            (list.first().copied().or(left), second(&list))
        }
    };
    let verdict = match (level, choice) {
        (_, None) => Verdict::CannotSay,
        (_, Some(choice)) if choice.method == Method::TakeOut => Verdict::TakeOut,
        (Level::LowOpen | Level::HighOpen, _) => Verdict::LeaveAndMeasure,
        // a smaller dropper in the string raises as well
        (Level::Low, Some(choice)) if !matches!(choice.method, Method::AsIs | Method::Tap) => {
            Verdict::Boost
        }
        (_, Some(choice)) => Verdict::of(choice.method),
    };
    // what is to be renewed in the set as it is, and not with the part, makes the part more than a choice
    let renewed = |c: &Choice| {
        let mut repairs = Repairs::default();
        repairs.add_of(c, (case.outlet, case.scale), true);
        !repairs.is_empty()
    };
    let mends = || as_is.is_some_and(renewed) && !choice.is_some_and(renewed);
    let strength = verdict.has_strength().then(|| match level {
        Level::Optional | Level::Right | Level::LowOpen if !mends() => Strength::Optional,
        _ => Strength::Needed,
    });
    Decided { verdict, strength, level, choice, runner_up, findings }
}

/// Choices that bring the set right with nothing against them, the least intervention first, then the smaller heat, then
/// the smaller miss; where `nearly`, those that come nearest with nothing worse against them than that.
fn serving<'a>(case: &Case<'a>, nearly: bool) -> Vec<&'a Choice> {
    let serves = |c: &&Choice| {
        let against = c.objections.iter().filter(|o| !(nearly && o.is_bearable()));
        c.method != Method::AsIs && c.day.is_some() && against.count() == 0
    };
    let rank = |c: &Choice| c.method.facts().rank;
    let heat = |c: &Choice| c.day.as_ref().map_or(0.0, |d| d.usual.lead_w.round());
    let miss = |c: &Choice| c.target_miss.map_or(f64::MAX, f64::abs);
    let mut list: Vec<&Choice> = case.choices.iter().filter(serves).collect();
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
    let family = |c: &Choice| {
        Verdict::of(c.method) == Verdict::of(best.method)
            && c.method.facts().rank == best.method.facts().rank
    };
    others.iter().find(|c| !family(c)).or(others.first()).copied()
}
