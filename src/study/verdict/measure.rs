//! The one reading that decides a verdict.

use super::{
    advice::{ToMeasure, Verdict},
    finding::Finding,
    level::{LIMIT, Level},
    setting::{Decided, Setting},
};
use crate::study::{
    Day, Goal, HEATER_GOOD, Measure, Meter, Reading, TakeAgain, What, limit::Limited,
};

/// Ranges of a hand-held meter, V (common practice, no source).
const RANGES_V: [f64; 4] = [2.0, 20.0, 200.0, 600.0];

/// What `meter` is set to for `volts`.
pub fn range(meter: Meter, volts: f64) -> String {
    let kind = if meter == Meter::Ac { "AC" } else { "DC" };
    match RANGES_V.into_iter().find(|range| *range > 1.05 * volts) {
        Some(range) => format!("{kind}, {range:.0} V"),
        None => format!("{kind}, 1000 V"),
    }
}

/// The reading that a verdict to measure asks for.
pub fn of(set: &Setting, decided: &Decided, today: &Day) -> Option<ToMeasure> {
    if decided.verdict != Verdict::LeaveAndMeasure {
        return None;
    }
    let (yard, usual) = (set.yard, &today.usual);
    let open = decided.findings.iter().find(|f| f.asks());
    if let Some(finding) = open.filter(|_| yard.severity(usual) <= yard.turns_up()) {
        return Some(of_limit(finding, usual));
    }
    let (severity, below, above) = if decided.level == Level::LowOpen {
        (-LIMIT, Verdict::Boost, Verdict::Leave)
    } else {
        (1.0, Verdict::Leave, Verdict::Fit)
    };
    let off = 1.0 + HEATER_GOOD * severity;
    let heaters = What::Heater.of(usual.tube_heater_place());
    let (measure, tips) = match yard.goal {
        Some(Goal::BPlus(volts)) => (What::BPlus.of(0), volts * off),
        Some(Goal::HeaterVolts(volts)) => (heaters, volts * off),
        None => (heaters, usual.tube_heater()?.rated_v * yard.heaters_at(severity)),
    };
    Some(asked(measure, usual, tips, (below, above)))
}

/// The reading that tells whether a limit counts.
fn of_limit(finding: &Finding, usual: &Reading) -> ToMeasure {
    let of = finding.limit.of;
    let (measure, above) = if finding.limit.what == Limited::Capacitor {
        (What::Capacitor.of(of), Verdict::RepairFirst)
    } else {
        // what no meter reads goes with B+
        (What::BPlus.of(0), Verdict::Fit)
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
        tips_at: Some(tips),
        below: Some(below),
        above: Some(above),
        ..read(measure, usual, tips.max(measure.value(usual)))
    }
}

/// A reading of `measure` on the usual line, of some `volts`.
fn read(measure: Measure, usual: &Reading, volts: f64) -> ToMeasure {
    ToMeasure {
        point: measure.key(usual),
        place: place(measure, usual),
        range: range(measure.meter(), volts),
        at_line_v: usual.outlet_v,
        unit: measure.unit(),
        ..ToMeasure::default()
    }
}

/// A reading to be taken again.
pub fn again(take: &TakeAgain, usual: &Reading) -> ToMeasure {
    let (point, at_line_v) = (take.key.clone(), take.at_line_v);
    let again = match Measure::find(usual, &take.key) {
        Some(measure) => read(measure, usual, measure.value(usual)),
        None => ToMeasure {
            place: "outlet voltage at the plug".to_owned(),
            range: range(Meter::Ac, at_line_v),
            unit: "V",
            ..ToMeasure::default()
        },
    };
    ToMeasure { point, at_line_v, ..again }
}
