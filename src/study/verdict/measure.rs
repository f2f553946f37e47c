//! The one reading that settles a verdict.

use super::super::day::Day;
use super::super::fit::TakeAgain;
use super::super::limits::Limited;
use super::super::measures::{Measure, Meter, What};
use super::super::reading::{HEATER_GOOD, Reading};
use super::super::target::Goal;
use super::advice::{ToMeasure, Verdict};
use super::case::{Case, Decided};
use super::finding::Finding;
use super::level::{LIMIT, Level};

/// Ranges of a hand-held meter, V (common practice, no source).
const RANGES_V: [f64; 4] = [2.0, 20.0, 200.0, 600.0];

/// What `meter` is set to for `volts`.
pub(super) fn range(meter: Meter, volts: f64) -> String {
    let kind = if meter == Meter::Ac { "AC" } else { "DC" };
    match RANGES_V.into_iter().find(|range| *range > 1.05 * volts) {
        Some(range) => format!("{kind}, {range:.0} V"),
        None => format!("{kind}, 1000 V"),
    }
}

/// The reading that a verdict to measure asks for.
pub(super) fn of(case: &Case<'_>, decided: &Decided<'_>, today: &Day) -> Option<ToMeasure> {
    if decided.verdict != Verdict::LeaveAndMeasure {
        return None;
    }
    let usual = &today.usual;
    let s = case.yard.severity(usual);
    let open = decided.findings.iter().find(|f| f.asks());
    if let Some(finding) = open.filter(|_| s <= case.yard.turns_up()) {
        return Some(of_limit(finding, usual));
    }
    let (severity, below, above) = match decided.level {
        Level::LowOpen => (-LIMIT, Verdict::Boost, Verdict::Leave),
        _ => (1.0, Verdict::Leave, Verdict::Fit),
    };
    let off = 1.0 + HEATER_GOOD * severity;
    let heaters = What::Heater.of(usual.tube_heater_place());
    let (measure, tips) = match case.yard.goal {
        Some(Goal::BPlus(volts)) => (What::BPlus.of(0), volts * off),
        Some(Goal::HeaterVolts(volts)) => (heaters, volts * off),
        None => (heaters, usual.tube_heater()?.rated_v * case.yard.heaters_at(severity)),
    };
    Some(asked(measure, usual, tips, (below, above)))
}

/// The reading that tells whether a limit counts.
fn of_limit(finding: &Finding, usual: &Reading) -> ToMeasure {
    let of = finding.limit.of;
    let (measure, above) = match finding.limit.what {
        Limited::Capacitor => (What::Capacitor.of(of), Verdict::RepairFirst),
        // what no meter reads goes with B+
        _ => (What::BPlus.of(0), Verdict::Fit),
    };
    // in proportion: the meter shows a mean where the limit is a crest, and against chassis
    let tips = measure.value(usual) * finding.bound / finding.limit.value;
    asked(measure, usual, tips, (Verdict::Leave, above))
}

/// Where the probes go.
fn place(measure: Measure, usual: &Reading) -> String {
    let string = usual.heaters.iter().any(|h| h.in_string);
    let words = match measure.what {
        What::Heater if string => "across the heater pins of that tube",
        What::Heater => "across the two heater pins of a tube on that winding",
        What::BPlus | What::Reservoir => "black probe on the chassis",
        What::Capacitor => "across it, red probe on its positive end",
        _ => return measure.name(usual),
    };
    words.to_owned()
}

fn asked(
    measure: Measure,
    usual: &Reading,
    tips: f64,
    (below, above): (Verdict, Verdict),
) -> ToMeasure {
    ToMeasure {
        point: measure.key(usual),
        place: place(measure, usual),
        range: range(measure.meter(), tips.max(measure.value(usual))),
        at_line_v: usual.outlet_v,
        tips_at: Some(tips),
        unit: measure.unit(),
        below: Some(below),
        above: Some(above),
    }
}

/// A reading to be taken again.
pub(super) fn again(take: &TakeAgain, usual: &Reading) -> ToMeasure {
    let known = Measure::all(usual).into_iter().find(|m| m.key(usual) == take.key);
    let (meter, unit) = known.map_or((Meter::Ac, "V"), |m| (m.meter(), m.unit()));
    let volts = known.map_or(take.at_line_v, |m| m.value(usual));
    ToMeasure {
        point: take.key.clone(),
        place: known.map_or("outlet voltage at the plug".to_owned(), |m| place(m, usual)),
        range: range(meter, volts),
        at_line_v: take.at_line_v,
        tips_at: None,
        unit,
        below: None,
        above: None,
    }
}
