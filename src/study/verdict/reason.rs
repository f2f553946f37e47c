//! Why, as a restorer would say it: cause, figure, effect, what is done about it. At most four sentences.

use super::{
    advice::{Strength, Turn, Verdict},
    level::{LIMIT, LIMIT_AT_HIGH, Level},
    setting::{Decided, Setting},
};
use crate::{
    adaptation::{Method, Stands},
    receiver::PartKind,
    study::{
        AssumptionReport, Choice, Day, Goal, LeadPartReading, OutletVolts, Rating, Reading,
        objection::{figures, high_or_low},
    },
};

/// The sentences of a verdict; what is done about it only where the set is `sound`.
pub fn sentences(set: &Setting, decided: &Decided, today: &Day, sound: bool) -> Vec<String> {
    let usual = &today.usual;
    let mut list = vec![cause(set, usual), state(set, decided, usual), effect(set, decided, today)];
    list.extend(behind(set, decided, usual).filter(|_| sound));
    list.retain(|sentence| !sentence.is_empty());
    list
}

/// What the outlet is beside what the set was made for, and what a resistor in the line cord takes of it.
fn cause(set: &Setting, today: &Reading) -> String {
    let model = set.receiver.model();
    let (made_for, usual) = (model.design_line, today.outlet_v);
    let excess = usual / made_for - 1.0;
    let outlet = if set.yard.string {
        let sum: f64 = model.heaters_in_series().iter().sum();
        let ahead = |d: &LeadPartReading| {
            !matches!(d.kind, PartKind::Surge | PartKind::SecondSurge | PartKind::InBranch(_))
        };
        let dropper = today.droppers.iter().any(ahead);
        let dropper = if dropper { ", with a dropper ahead of them" } else { "" };
        format!(
            "The heaters in series add up to {sum:.1} V{dropper}, and the outlet gives {usual:.0} V."
        )
    } else if (1000.0 * excess).round() == 0.0 {
        format!("The outlet gives the {usual:.0} V the set was made for.")
    } else {
        let word = if excess > 0.0 { "too much" } else { "too little" };
        format!(
            "The outlet gives {usual:.0} V, {:.1} % {word} for a set made for {made_for:.0} V.",
            100.0 * excess.abs()
        )
    };
    let takes = today.mains_resistor().map_or(String::new(), |resistor| {
        let (ohms, volts) = (resistor.volts_v / resistor.current_a, resistor.volts_v);
        format!(" The {ohms:.0} Ω in the line cord take {volts:.0} V of that.")
    });
    outlet + &takes
}

/// What that makes of the heaters, or of what the plan is for.
fn state(set: &Setting, decided: &Decided, usual: &Reading) -> String {
    let open = match decided.level {
        Level::HighOpen | Level::LowOpen => {
            format!(", ±{:.1} % of it not known", 100.0 * set.yard.open_share())
        }
        Level::Low | Level::Right | Level::Optional | Level::Needed => String::new(),
    };
    let (volts, rated) = usual.tube_heater().map_or((0.0, 0.0), |h| (h.volts_v, h.rated_v));
    let off = high_or_low(set.yard.share(usual));
    match set.yard.goal {
        Some(Goal::BPlus(wanted)) => {
            format!("B+ is {:.0} V, {off} of the {wanted:.0} V asked for{open}.", usual.b_plus_v)
        }
        Some(Goal::HeaterVolts(wanted)) => {
            format!("The heaters get {volts:.2} V, {off} of the {wanted:.2} V asked for{open}.")
        }
        None if set.yard.string => format!("Their current is {off}{open}."),
        None => format!("The heaters get {volts:.2} V of {rated} V: {off}{open}."),
    }
}

/// What follows.
fn effect(set: &Setting, decided: &Decided, today: &Day) -> String {
    let share = |severity: f64| format!("{:.0} %", 100.0 * severity * set.yard.good());
    let (good, most) = (share(1.0), share(LIMIT));
    let s = set.yard.severity(&today.usual);
    match (decided.verdict, decided.strength) {
        (Verdict::CannotSay, _) => nothing_serves(decided.choices),
        (Verdict::LeaveAndMeasure, _) => {
            "That may be right as it is or ask for a part, and one reading decides.".to_owned()
        }
        (Verdict::Leave, _) if s > 1.0 => {
            format!("Up to {most} one may leave it, and no part to be had does better.")
        }
        (Verdict::Leave, _) if s >= -1.0 => {
            format!("Within ±{good} do nothing: a part adds heat and joints of its own.")
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
        (verdict, Some(Strength::Optional)) => {
            let worth = if verdict == Verdict::ChangeTap {
                "a free tap is worth moving to"
            } else {
                "a part is worth fitting"
            };
            format!("From {good} to {most} {worth}, but you may leave it.")
        }
        (_, Some(Strength::Needed) | None) => needed(set, decided, today, &most),
    }
}

/// Why it must not stay so.
fn needed(set: &Setting, decided: &Decided, today: &Day, most: &str) -> String {
    let (yard, high) = (set.yard, &today.high);
    let must = decided.findings.iter().find(|f| f.must && f.counts());
    let s = yard.severity(&today.usual);
    if s < -1.0 {
        return "It must not be run so low: cathodes that are too cool wear out.".to_owned();
    }
    match must {
        _ if s > LIMIT => format!("More than {most} too much is not to be left."),
        Some(f) => {
            let [value, limit] = figures(&f.limit);
            let (name, line) = (&f.limit.name, f.outlet_v);
            format!("{name}: {value} at {line:.0} V, and {limit} is the limit.")
        }
        None if yard.is_high_at_high(yard.severity(high)) => format!(
            "At your high line of {:.0} V that is {}; above {:.0} % a part is needed.",
            high.outlet_v,
            high_or_low(yard.share(high)),
            100.0 * LIMIT_AT_HIGH * yard.good()
        ),
        None => format!("More than {most} too much is not to be left."),
    }
}

/// What is done about it, and with which figures; what stands at its limit and decides nothing.
fn behind(set: &Setting, decided: &Decided, today: &Reading) -> Option<String> {
    let choice = decided.choice?;
    let usual = &choice.day.as_ref()?.usual;
    if choice.method == Method::AsIs {
        let asking = decided.findings.iter().find(|f| f.asks()).map(|f| &f.limit);
        let near = asking.or(today.beyond().find(|l| l.rating == Rating::DesignCentre))?;
        let why = match set.design.limit(near) {
            _ if asking.is_some() => "by no more than what is not known of the set",
            Some(d) if d.value > d.limit => "as it was when the set was new",
            _ => "at its limit, which allows for the line's swing",
        };
        let [value, limit] = figures(near);
        return Some(format!("{}: {value} of {limit}, {why}.", near.name));
    }
    let (what, share) = if set.yard.string {
        ("their current is", set.yard.current_share(usual))
    } else {
        ("the heaters are", usual.heater_excess())
    };
    let heat = match choice.method.facts().stands {
        Stands::Nowhere | Stands::AtPrimary => ", and it costs nothing".to_owned(),
        Stands::Inside | Stands::InLead => format!(", and the part loses {:.1} W", usual.lead_w),
    };
    let saved = today.line_w - usual.line_w;
    let less = match decided.strength {
        Some(Strength::Optional) if saved > 0.5 => {
            format!("; the set takes {saved:.0} W less from the outlet")
        }
        _ => String::new(),
    };
    Some(format!("With it {what} {}{heat}{less}.", high_or_low(share)))
}

/// Where the verdict turns, in words.
pub fn turn(turn: &Turn) -> String {
    let side = if turn.above { "above" } else { "below" };
    let what = match turn.verdict {
        Verdict::Leave => "the set is left as it is",
        Verdict::LeaveAndMeasure => "one reading decides",
        Verdict::ChangeTap => "another tap is taken",
        Verdict::TakeOut => "the resistor is taken out",
        Verdict::ChangeFitted => "what is fitted is changed",
        Verdict::RemoveFitted => "what is fitted comes out",
        Verdict::LeaveFitted => "what is fitted stays",
        Verdict::Boost => "the voltage is raised",
        Verdict::Fit | Verdict::StepDown | Verdict::RepairFirst | Verdict::CannotSay => {
            "a part is fitted"
        }
    };
    format!("{side} {:.0} V at the outlet {what}", turn.voltage)
}

/// What else would change it: a day that was named and not read.
pub fn unread(outlet: &OutletVolts) -> Option<String> {
    let name = outlet.range.filter(|_| !outlet.high_read)?;
    Some(format!(
        "{:.0} to {:.0} V is what the range {name} permits and decides nothing: read the outlet through a day and write its `low` and `high`",
        outlet.low_v, outlet.high_v
    ))
}

/// A range wider than this share of its usual volts is no day: no part keeps heaters within ±10 % over it.
const WIDE: f64 = 0.15;

/// What to measure first: the assumed value that moves the heaters most.
pub fn would_help(assumptions: &[AssumptionReport], outlet: &OutletVolts) -> Vec<String> {
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
    format!("No part that can be bought is acceptable: {}.", all.join("; "))
}
