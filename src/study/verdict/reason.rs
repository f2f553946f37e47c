//! Why, as a restorer would say it: cause, figure, effect, what is done about it. At most four sentences.

use super::super::assumption::AssumptionReport;
use super::super::choice::Choice;
use super::super::day::Day;
use super::super::objection::{figure, high_or_low};
use super::super::outlet::OutletVolts;
use super::super::reading::{Rating, Reading};
use super::super::target::Goal;
use super::advice::{Strength, Turn, Verdict};
use super::case::{Case, Decided};
use super::level::{LIMIT, LIMIT_AT_HIGH, Level};
use super::repair::Repairs;
use crate::adaptation::Method;

/// The sentences of a verdict.
pub(super) fn sentences(
    case: &Case<'_>,
    decided: &Decided<'_>,
    today: &Day,
    repairs: &Repairs,
) -> Vec<String> {
    let mut list = vec![cause(case, today), state(case, decided, &today.usual)];
    list.push(effect(case, decided, today));
    list.extend(behind(case, decided, today).filter(|_| repairs.is_empty()));
    list.retain(|sentence| !sentence.is_empty());
    list
}

/// What the outlet is beside what the set was made for, and what a resistor in the mains lead takes of it.
fn cause(case: &Case<'_>, today: &Day) -> String {
    let mut words = outlet(case, today);
    if let Some(resistor) = today.usual.mains_resistor() {
        let (ohms, volts) = (resistor.volts_v / resistor.current_a, resistor.volts_v);
        words += &format!(" The {ohms:.0} Ω in the mains lead take {volts:.0} V of that.");
    }
    words
}

/// What the outlet is beside what the set was made for.
fn outlet(case: &Case<'_>, today: &Day) -> String {
    let (made_for, usual) = (case.receiver.model().design_line, today.usual.outlet_v);
    let excess = usual / made_for - 1.0;
    if case.yard.string {
        let sum: f64 = case.receiver.model().heaters_in_series().iter().sum();
        return format!(
            "The heaters in series add up to {sum:.1} V, and the outlet gives {usual:.0} V."
        );
    }
    if (1000.0 * excess).round() == 0.0 {
        return format!("The outlet gives the {usual:.0} V the set was made for.");
    }
    format!("The outlet gives {usual:.0} V, {} for a set made for {made_for:.0} V.", off(excess))
}

/// "4.3 % too much", "2.0 % too little".
fn off(excess: f64) -> String {
    let word = if excess > 0.0 { "too much" } else { "too little" };
    format!("{:.1} % {word}", 100.0 * excess.abs())
}

/// What that makes of the heaters, or of what the plan is for.
fn state(case: &Case<'_>, decided: &Decided<'_>, usual: &Reading) -> String {
    let open = match decided.level {
        Level::HighOpen | Level::LowOpen => {
            format!(", ±{:.1} % of it not known", 100.0 * case.yard.open_share())
        }
        _ => String::new(),
    };
    let heaters = usual.tube_heater().map_or((0.0, 0.0), |h| (h.volts_v, h.rated_v));
    match case.yard.goal {
        Some(Goal::BPlus(volts)) => format!(
            "B+ is {:.0} V, {} of the {volts:.0} V asked for{open}.",
            usual.b_plus_v,
            high_or_low(usual.b_plus_v / volts - 1.0)
        ),
        Some(Goal::HeaterVolts(volts)) => format!(
            "The heaters get {:.2} V, {} of the {volts:.2} V asked for{open}.",
            heaters.0,
            high_or_low(heaters.0 / volts - 1.0)
        ),
        None if case.yard.string => {
            let share = case.yard.current_share(usual);
            format!("Their current is {}{open}.", high_or_low(share))
        }
        None => format!(
            "The heaters get {:.2} V of {} V: {}{open}.",
            heaters.0,
            heaters.1,
            high_or_low(usual.heater_excess())
        ),
    }
}

/// What follows.
fn effect(case: &Case<'_>, decided: &Decided<'_>, today: &Day) -> String {
    let share = |severity: f64| format!("{:.0} %", 100.0 * severity * case.yard.good());
    let (good, most) = (share(1.0), share(LIMIT));
    let s = case.yard.severity(&today.usual);
    match (decided.verdict, decided.strength) {
        (Verdict::CannotSay, _) => nothing_serves(case.choices),
        (Verdict::LeaveAndMeasure, _) => {
            "That may be right as it is or ask for a part, and one reading decides.".to_owned()
        }
        (Verdict::Leave, _) if s > 1.0 => {
            format!("Up to {most} one may leave it, and no part to be had does better.")
        }
        (Verdict::Leave, _) if s >= -1.0 => {
            format!("Within ±{good} nothing is to be done: a part adds heat and joints of its own.")
        }
        (Verdict::Leave, _) if decided.level == Level::Low => {
            "That is low, but nothing to be had raises it by enough, and no further when the outlet recovers.".to_owned()
        }
        (Verdict::Leave, _) => {
            "Too little does less harm than too much: what raises it now would stay when the outlet recovers.".to_owned()
        }
        (Verdict::TakeOut, _) => {
            "The set was designed without that resistor, which now takes too much.".to_owned()
        }
        (Verdict::ChangeTap, Some(Strength::Optional)) => {
            format!("From {good} to {most} a free tap is worth moving to, but you may leave it.")
        }
        (_, Some(Strength::Optional)) => {
            format!("From {good} to {most} a part is worth fitting, but you may leave it.")
        }
        _ => needed(case, decided, today, &most),
    }
}

/// Why it must not stay so.
fn needed(case: &Case<'_>, decided: &Decided<'_>, today: &Day, most: &str) -> String {
    let must = decided.findings.iter().find(|f| f.must && f.counts());
    let s = case.yard.severity(&today.usual);
    if s < -1.0 {
        return "It must not be run so low: cathodes that are too cool wear out.".to_owned();
    }
    if let Some(f) = must.filter(|_| s <= LIMIT) {
        let l = &f.limit;
        let (value, limit) = (figure(l.value, l.unit), figure(l.limit, l.unit));
        return format!("{}: {value} at {:.0} V, and {limit} is the limit.", l.name, f.outlet_v);
    }
    if s <= LIMIT && case.yard.is_high_at_high(case.yard.severity(&today.high)) {
        let excess = match case.yard.goal {
            Some(goal) => goal.miss(&today.high),
            None if case.yard.string => case.yard.current_share(&today.high),
            None => today.high.heater_excess(),
        };
        let (line, high) = (today.high.outlet_v, high_or_low(excess));
        let most = 100.0 * LIMIT_AT_HIGH * case.yard.good();
        return format!("At the {line:.0} V that were read that is {high}, more than {most:.0} %.");
    }
    format!("More than {most} too much must not stay.")
}

/// What is done about it, and with which figures; what stands at its limit and decides nothing.
fn behind(case: &Case<'_>, decided: &Decided<'_>, today: &Day) -> Option<String> {
    let choice = decided.choice?;
    let day = choice.day.as_ref()?;
    if choice.method == Method::AsIs {
        if let Some(f) = decided.findings.iter().find(|f| f.asks()) {
            let l = &f.limit;
            let (value, limit) = (figure(l.value, l.unit), figure(l.limit, l.unit));
            return Some(format!(
                "{}: {value} of {limit}, by no more than what is not known of the set.",
                l.name
            ));
        }
        let near = today.usual.beyond().find(|l| l.rating == Rating::DesignCentre)?;
        let (value, limit) = (figure(near.value, near.unit), figure(near.limit, near.unit));
        let designed = case.scale.design.limits.iter().find(|d| d.is(near));
        let maker = designed.is_some_and(|d| d.value > d.limit);
        let why = match maker {
            true => "as it was when the set was new",
            false => "at its limit, which allows for the line's swing",
        };
        return Some(format!("{}: {value} of {limit}, {why}.", near.name));
    }
    let after = match case.yard.string {
        true => {
            format!("their current is {}", high_or_low(case.yard.current_share(&day.usual)))
        }
        false => format!("the heaters are {}", high_or_low(day.usual.heater_excess())),
    };
    let heat = match choice.method {
        Method::Tap | Method::TakeOut => ", and it costs nothing".to_owned(),
        _ => format!(", and the part loses {:.1} W", day.usual.lead_w),
    };
    let saved = today.usual.line_w - day.usual.line_w;
    let less = match decided.strength {
        Some(Strength::Optional) if saved > 0.5 => {
            format!("; the set takes {saved:.0} W less from the outlet")
        }
        _ => String::new(),
    };
    Some(format!("With it {after}{heat}{less}."))
}

/// Where the verdict turns, in words.
pub(super) fn turn(turn: &Turn) -> String {
    let side = if turn.above { "above" } else { "below" };
    let what = match turn.verdict {
        Verdict::Leave => "the set is left as it is",
        Verdict::LeaveAndMeasure => "one reading decides",
        Verdict::ChangeTap => "another tap is taken",
        Verdict::TakeOut => "the resistor is taken out",
        Verdict::Boost => "the voltage is raised",
        _ => "a part is fitted",
    };
    format!("{side} {:.0} V at the outlet {what}", turn.voltage)
}

/// What else would change it: a day that was named and not read.
pub(super) fn unread(outlet: &OutletVolts) -> Option<String> {
    let name = outlet.range.filter(|_| !outlet.high_read)?;
    Some(format!(
        "{:.0} to {:.0} V is what the range {name} permits and decides nothing: read the outlet through a day and write its `low` and `high`",
        outlet.low_v, outlet.high_v
    ))
}

/// A range wider than this share of its usual volts is no day: no part keeps heaters within ±10 % over it.
const WIDE: f64 = 0.15;

/// What to measure first: the assumed value that moves the heaters most.
pub(super) fn would_help(assumptions: &[AssumptionReport], outlet: &OutletVolts) -> Vec<String> {
    let changes = assumptions.iter().filter_map(|a| Some((a.heater_change_v?, a)));
    let most = changes.filter(|(v, _)| *v > 0.05).max_by(|(a, _), (b, _)| a.total_cmp(b));
    let mut list = Vec::new();
    if outlet.range.is_some() && outlet.high_v - outlet.low_v > WIDE * outlet.usual_v {
        list.push(format!(
            "measure the outlet through a day and write its `low` and `high`: {:.0} to {:.0} V is what the standard permits, not what a day brings",
            outlet.low_v, outlet.high_v
        ));
    }
    if let Some((_, most)) = most {
        list.push(format!(
            "measure what is assumed and write it into the profile, first of all: {} (taken as {})",
            most.what, most.value
        ));
    }
    list.push("another primary tap, or other parts".to_owned());
    list
}

/// What speaks against each choice, those with one reason together.
fn nothing_serves(choices: &[Choice]) -> String {
    let mut list: Vec<(Vec<&str>, String)> = Vec::new();
    // the others are not advised whatever their figures
    let looked_at = |c: &&Choice| !(c.method.facts().on_bench || c.method.facts().rough);
    for choice in choices.iter().filter(looked_at).filter(|c| c.method != Method::AsIs) {
        let Some(why) = choice.first_reason() else {
            continue;
        };
        match list.iter_mut().find(|(_, other)| *other == why) {
            Some((titles, _)) => titles.push(choice.title),
            None => list.push((vec![choice.title], why)),
        }
    }
    let all: Vec<String> =
        list.into_iter().map(|(titles, why)| format!("{}: {why}", titles.join(", "))).collect();
    format!("Nothing that can be bought serves: {}.", all.join("; "))
}
