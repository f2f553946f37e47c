//! What speaks against a choice.

use super::super::assumption::AssumptionReport;
use super::super::faults::FaultCase;
use super::super::flags::Direct;
use super::super::outlet::OutletVolts;
use super::super::plan::Choice;
use super::super::reading::{HEATER_GOOD, HEATER_LIMIT, Limit};
use super::Advice;
use crate::adaptation::Method;
use schemars::JsonSchema;
use serde::Serialize;
use std::fmt;

/// A reason against a choice, with its numbers.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Objection {
    /// The outlet is too far above what the set was made for to leave it on bare.
    Straight {
        /// Share above.
        excess: f64,
    },
    /// Heaters off by more than is comfortable on the usual line.
    HeatersAtUsual {
        /// Share above (or below) rated.
        excess: f64,
    },
    /// Heaters outside the tolerance at low or high line.
    HeatersThroughTheDay {
        /// Outlet volts.
        outlet_v: f64,
        /// Share above (or below) rated.
        excess: f64,
    },
    /// A limit of the set is passed.
    LimitPassed {
        /// What.
        what: String,
        /// Value.
        value: f64,
        /// Limit.
        limit: f64,
        /// Unit.
        unit: &'static str,
        /// Outlet volts.
        outlet_v: f64,
    },
    /// No stock resistor is large enough for the running heat.
    NoSize {
        /// Watts at high line.
        watts_w: f64,
    },
    /// Heater volts outside the tolerance once everything uncertain is counted.
    Band {
        /// Share above (or below) rated at the edge of the band.
        excess: f64,
        /// Part of that which is uncertainty, as a share.
        uncertain: f64,
    },
    /// No place bears it: twice its heat is more than what is left of its rating.
    NoPlace {
        /// Heat at high line and worst tolerance, W.
        watts_w: f64,
        /// Printed rating, W.
        rated_w: f64,
    },
    /// The set's current lies outside what the part's law covers.
    OutsideLaw {
        /// The set's current, A.
        amps: f64,
        /// Lowest, A.
        low: f64,
        /// Highest, A.
        high: f64,
    },
    /// The fuse may hold more than the part bears.
    HeldAbovePart {
        /// Held for an hour, A.
        held_a: f64,
        /// The part's highest current, A.
        part_a: f64,
    },
    /// A fault burns the part before the fuse must open.
    FaultBurns {
        /// The fault.
        #[schemars(with = "String")]
        fault: FaultCase,
        /// Fuse rating, A.
        fuse_a: f64,
        /// Line current, A.
        line_a: f64,
        /// Watts in the part.
        watts_w: f64,
        /// What it may lose for that long, W.
        allowed_w: f64,
    },
    /// A fault that has no solution: it counts as one the part does not survive.
    FaultUnsolved {
        /// The fault.
        #[schemars(with = "String")]
        fault: FaultCase,
    },
    /// No fuse rating suits the current.
    NoFuse {
        /// Running current, A.
        running_a: f64,
    },
    /// The small transformer's primary gets too much.
    PrimaryVolts {
        /// Rated primary volts.
        primary_v: f64,
        /// Outlet volts, V RMS.
        outlet_v: f64,
    },
    /// The step transformer is small for the set.
    TooSmall {
        /// Its size, VA.
        va: f64,
        /// What the set takes at high line, W.
        watts_w: f64,
    },
    /// The target is missed by more than is comfortable.
    MissesTarget {
        /// Share above (or below) the target.
        share: f64,
    },
    /// The part's figures are too rough to advise it.
    RoughFigures,
    /// A bench tool, not something to leave in a set.
    BenchOnly,
    /// The dropper of the heater string lies in the line cord, and would stay there.
    LineCord,
}

impl Objection {
    pub(crate) fn limit(limit: &Limit, outlet_v: f64) -> Objection {
        Objection::LimitPassed {
            what: limit.name.clone(),
            value: limit.value,
            limit: limit.limit,
            unit: limit.unit,
            outlet_v,
        }
    }
}

/// "7.1 % high", "2.0 % low" or "as rated".
pub(crate) fn high_or_low(share: f64) -> String {
    let tenths = (1000.0 * share).round() / 10.0;
    if tenths == 0.0 {
        return "as rated".to_owned();
    }
    let word = if tenths < 0.0 { "low" } else { "high" };
    format!("{:.1} % {word}", tenths.abs())
}

/// A value with its unit, three digits, small currents in mA.
pub(crate) fn figure(value: f64, unit: &str) -> String {
    if unit == "A" && value.abs() < 1.0 {
        return figure(1e3 * value, "mA");
    }
    let digits = match value.abs() {
        v if v >= 100.0 => 0,
        v if v >= 10.0 => 1,
        _ => 2,
    };
    format!("{value:.digits$} {unit}")
}

impl fmt::Display for Objection {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Objection::Straight { excess } => write!(
                f,
                "the outlet is {:.1} % above what the set was made for, too much to plug it in bare",
                100.0 * excess
            ),
            Objection::HeatersAtUsual { excess } => write!(
                f,
                "heaters {} on the usual line, more than {:.0} %",
                high_or_low(*excess),
                100.0 * HEATER_GOOD
            ),
            Objection::HeatersThroughTheDay { outlet_v, excess } => write!(
                f,
                "heaters {} at {outlet_v:.0} V, outside ±{:.0} %",
                high_or_low(*excess),
                100.0 * HEATER_LIMIT
            ),
            Objection::LimitPassed { what, value, limit, unit, outlet_v } => write!(
                f,
                "{what} {} at {outlet_v:.0} V, limit {}",
                figure(*value, unit),
                figure(*limit, unit)
            ),
            Objection::NoSize { watts_w } => write!(
                f,
                "it loses {watts_w:.0} W, and no stock resistor bears that with a margin together with what the fuse may let pass for an hour"
            ),
            Objection::Band { excess, uncertain } => write!(
                f,
                "heaters may be {}, ±{:.1} % of it uncertain: outside ±{:.0} %",
                high_or_low(*excess),
                100.0 * uncertain,
                100.0 * HEATER_LIMIT
            ),
            Objection::NoPlace { watts_w, rated_w } => write!(
                f,
                "{watts_w:.1} W at worst in a {rated_w:.0} W part: less than twice that is left of its rating in any place"
            ),
            Objection::OutsideLaw { amps, low, high } => write!(
                f,
                "the set's {amps:.2} A lies outside the {low:.2} to {high:.2} A the part is known for"
            ),
            Objection::HeldAbovePart { held_a, part_a } => write!(
                f,
                "the fuse may hold {held_a:.2} A for an hour, the part bears {part_a:.1} A"
            ),
            Objection::FaultBurns { fault, fuse_a, line_a, watts_w, allowed_w } => write!(
                f,
                "{fault}: {line_a:.2} A through a {fuse_a} A fuse puts {watts_w:.0} W into a part that bears {allowed_w:.0} W; take a larger rating, a smaller fuse or a bucking transformer"
            ),
            Objection::FaultUnsolved { fault } => write!(
                f,
                "{fault}: the calculation did not converge, and counts as a fault the part does not survive"
            ),
            Objection::NoFuse { running_a } => {
                write!(f, "no standard small fuse suits {running_a:.2} A")
            }
            Objection::PrimaryVolts { primary_v, outlet_v } => write!(
                f,
                "its own {primary_v:.0} V primary gets more than 10 % too much on {outlet_v:.0} V"
            ),
            Objection::TooSmall { va, watts_w } => write!(
                f,
                "the transformer is of {va:.0} VA, and the set takes {watts_w:.0} W: take twice that at the least"
            ),
            Objection::MissesTarget { share } => {
                write!(f, "it misses the target: {} of it", high_or_low(*share))
            }
            Objection::RoughFigures => write!(
                f,
                "its law is rough: look at its maker's sheet, and measure, before one is fitted"
            ),
            Objection::LineCord => {
                write!(f, "it leaves the old resistance wire of the line cord in use")
            }
            Objection::BenchOnly => write!(f, "a tool for the bench, not to be left in"),
        }
    }
}

/// Picks among the judged choices: leave alone where every limit holds, else bucking, else a resistor.
pub(in super::super) fn advise(
    choices: &[Choice],
    assumptions: &[AssumptionReport],
    outlet: &OutletVolts,
    direct: Direct,
) -> Advice {
    let sound = |c: &&Choice| c.day.is_some() && c.objections.is_empty();
    let miss = |c: &Choice| c.target_miss.map_or(f64::MAX, f64::abs);
    let rank = |c: &Choice| c.method.facts().rank;
    let mut good: Vec<&Choice> = choices.iter().filter(sound).collect();
    good.sort_by(|a, b| rank(a).cmp(&rank(b)).then(miss(a).total_cmp(&miss(b))));
    let Some(best) = good.first() else {
        return Advice {
            reasons: nothing_serves(choices),
            would_change: would_help(assumptions, outlet),
            ..Advice::none(String::new(), direct)
        };
    };
    let mut reasons = Vec::new();
    let mut would_change = Vec::new();
    if let Some(day) = &best.day {
        let (low, usual, high) = (&day.low, &day.usual, &day.high);
        reasons.push(format!(
            "heaters {} on {:.0} V, {} at {:.0} V, {} at {:.0} V",
            high_or_low(usual.heater_excess()),
            usual.outlet_v,
            high_or_low(low.heater_excess()),
            low.outlet_v,
            high_or_low(high.heater_excess()),
            high.outlet_v
        ));
        if best.method == Method::AsIs {
            reasons.push(
                "without a part it passes no limit that it does not pass as designed".to_owned(),
            );
            would_change.push(format!(
                "the outlet usually stands above {:.0} V",
                usual.outlet_v * (1.0 + HEATER_GOOD) / (1.0 + usual.heater_excess())
            ));
        } else if best.method == Method::Tap {
            reasons.push("it costs nothing and heats nothing".to_owned());
        } else if best.method.facts().bucks {
            reasons.push(format!(
                "it loses {:.1} W as heat, leaves the crest of the line as it is and lets a fuse blow",
                usual.lead_w
            ));
        } else {
            reasons.push(format!("it loses {:.1} W as heat", usual.lead_w));
        }
    }
    let as_is = choices.iter().find(|c| c.method == Method::AsIs);
    if let Some(reason) = as_is.and_then(|c| c.objections.first()) {
        reasons.push(format!("as it is: {reason}"));
    }
    let resistor = choices.iter().find(|c| c.method == Method::SeriesResistor);
    // where a dropper in the string is advised, a resistor in the lead is no question
    if !best.method.facts().makes_heat
        && let Some(objection) = resistor.and_then(|c| c.objections.first())
    {
        let band = matches!(objection, Objection::Band { .. });
        let none = if band { "no single stock resistor does: " } else { "" };
        reasons.push(format!("a resistor is refused: {none}{objection}"));
    }
    if best.method == Method::SeriesResistor {
        // say why the cooler answer was passed over
        let mut bucking = choices.iter().filter(|c| c.method.facts().bucks);
        let why = bucking.find_map(Choice::first_reason);
        if let Some(why) = why {
            reasons.push(format!("bucking is refused: {why}"));
        }
    }
    // the two connections of one transformer are one answer: the second best is another kind
    let both_buck = |c: &Choice| best.method.facts().bucks && c.method.facts().bucks;
    let others = good.get(1..).unwrap_or_default();
    let runner_up = others.iter().find(|c| !both_buck(c)).or(others.first()).map(|c| c.method);
    if let (true, Some(usual)) = (best.method != Method::AsIs, as_is.and_then(|c| c.day.as_ref())) {
        let usual = &usual.usual;
        let good = usual.outlet_v * (1.0 + HEATER_GOOD) / (1.0 + usual.heater_excess());
        would_change.push(if usual.heater_excess() > HEATER_GOOD {
            format!("the outlet usually stands below {good:.0} V, or the heaters measure otherwise")
        } else {
            "the limits that are passed today prove wrong by measurement".to_owned()
        });
    }
    Advice {
        verdict: super::Verdict::of(best.method),
        choice: Some(best.method),
        runner_up,
        reasons,
        would_change,
        ..Advice::none(String::new(), direct)
    }
}

/// A range wider than this share of its usual volts is no day: no part keeps heaters within ±10 % over it.
const WIDE: f64 = 0.15;

/// What to measure first: the assumed value that moves the heaters most.
fn would_help(assumptions: &[AssumptionReport], outlet: &OutletVolts) -> Vec<String> {
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

fn nothing_serves(choices: &[Choice]) -> Vec<String> {
    // choices with one reason against them share a line
    let mut list: Vec<(Vec<&str>, String)> = Vec::new();
    // the others are not advised whatever their figures
    let looked_at = |c: &&Choice| !(c.method.facts().on_bench || c.method.facts().rough);
    for choice in choices.iter().filter(looked_at) {
        let Some(why) = choice.first_reason() else {
            continue;
        };
        match list.iter_mut().find(|(_, other)| *other == why) {
            Some((titles, _)) => titles.push(choice.title),
            None => list.push((vec![choice.title], why)),
        }
    }
    list.into_iter().map(|(titles, why)| format!("{}: {why}", titles.join(", "))).collect()
}
