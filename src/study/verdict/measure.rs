//! The one reading that settles a verdict.

use super::super::fit::TakeAgain;
use super::super::measures::{Measure, Meter, What};
use super::super::plan::Day;
use super::super::reading::{HEATER_GOOD, Reading};
use super::super::target::Goal;
use super::decide::{Case, Decided};
use super::level::Level;
use super::{ToMeasure, Verdict};

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
    let capacitor = decided.findings.iter().find(|f| f.open && f.is_of_capacitor());
    let s = case.yard.severity(usual);
    if let Some(finding) = capacitor.filter(|_| s <= case.yard.turns_up()) {
        let measure = What::Capacitor.of(finding.limit.of);
        let share = usual.outlet_v / finding.outlet_v;
        let crest = finding.limit.limit * share;
        let value = measure.value(usual);
        // what the meter shows is the mean: the crest stands above it as today
        let peak = usual.capacitors.get(finding.limit.of).map_or(value, |c| c.peak_v);
        let tips = crest * value / peak;
        return Some(asked(measure, usual, tips, (Verdict::Leave, Verdict::RepairFirst)));
    }
    let (severity, below, above) = match decided.level {
        Level::LowOpen => (-1.0, Verdict::Boost, Verdict::Leave),
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

fn asked(
    measure: Measure,
    usual: &Reading,
    tips: f64,
    (below, above): (Verdict, Verdict),
) -> ToMeasure {
    ToMeasure {
        point: measure.key(usual),
        place: measure.name(usual),
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
        place: known.map_or("outlet voltage at the plug".to_owned(), |m| m.name(usual)),
        range: range(meter, volts),
        at_line_v: take.at_line_v,
        tips_at: None,
        unit,
        below: None,
        above: None,
    }
}
