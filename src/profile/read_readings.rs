//! Reads what a meter showed, a calibration written from it, and how far numbers may be off.

use super::cursor::Cursor;
use super::document::Kind;
use super::model::{
    Calibration, Known, MeterLoad, MeterUse, PointReading, ReadingSet, StatedTolerance,
};
use super::problem::quoted;
use super::reach::Place;
use super::read::{name, quantity, volts};
use crate::quantity::{Current, Power, Quantity, Resistance, Sign, Voltage, parse};

/// Most settings, and most readings at one.
const MOST: usize = 40;
/// A factor of a calibration beyond these is no drift.
const FACTORS: (f64, f64) = (0.05, 20.0);

/// The list of readings.
pub(super) fn readings(cursor: &Cursor<'_>) -> Vec<ReadingSet> {
    let list = cursor.list().unwrap_or_default();
    list.iter().take(MOST).filter_map(set).collect()
}

fn set(cursor: &Cursor<'_>) -> Option<ReadingSet> {
    let mut set = ReadingSet {
        at_line: Voltage::from_si(0.0),
        meter: MeterUse::default(),
        accuracy: None,
        points: Vec::new(),
    };
    let mut line = None;
    for (key, value) in cursor.entries()?.into_iter().take(MOST) {
        match key.as_str() {
            "at_line" => line = volts(&value, Place::MAINS),
            "meter" => set.meter = meter(&value).unwrap_or_default(),
            "accuracy" => set.accuracy = value.parse_with(share),
            _ => set.points.extend(point(key, &value)),
        }
    }
    if line.is_none() && cursor.entries().is_some_and(|e| e.iter().all(|(k, _)| k != "at_line")) {
        cursor.fail(
            "readings without the line they were taken at",
            Some("add `at_line: 112 V`, the volts at the set's plug at the time"),
        );
    }
    if set.points.is_empty() {
        cursor.fail(
            "no reading stands here",
            Some("write what the meter showed, such as `B+: 246 V` or `heater.main: 6.2 V`"),
        );
        return None;
    }
    set.at_line = line?;
    Some(set)
}

/// One reading; its unit follows from its key.
fn point(key: String, value: &Cursor<'_>) -> Option<PointReading> {
    let text = value.text()?;
    let si = if key.ends_with("current") {
        quantity::<Current>(value, Sign::Any)?.si()
    } else if key.ends_with("power") {
        quantity::<Power>(value, Sign::Positive)?.si()
    } else {
        quantity::<Voltage>(value, Sign::Any)?.si()
    };
    if si == 0.0 {
        value.fail(
            "a reading of zero tells nothing",
            Some("leave it out, or find out why it is zero"),
        );
        return None;
    }
    Some(PointReading { key, value: si, last_digit: last_digit(text, si) })
}

/// Size of the last digit of a reading as it was written, in SI.
pub(super) fn last_digit(text: &str, si: f64) -> f64 {
    let number: String = text
        .trim()
        .chars()
        .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))
        .collect();
    let decimals = number.split_once('.').map_or(0, |(_, d)| d.len());
    let plain: f64 = number.parse().unwrap_or(0.0);
    let scale = if plain == 0.0 { 1.0 } else { (si / plain).abs() };
    // a letter code or an exponent says nothing of digits
    if !scale.is_finite() || decimals > 12 {
        return 0.0;
    }
    scale * 10f64.powi(-(decimals as i32))
}

/// A load, `average` or `true RMS`, or both in a mapping.
fn meter(cursor: &Cursor<'_>) -> Option<MeterUse> {
    if cursor.kind() == Kind::Map {
        let fields = cursor.map()?;
        let load = fields.optional("load").and_then(|c| c.parse_with(load));
        let ac = fields.optional("ac").and_then(|c| {
            let average = responds(c.text()?);
            if average.is_none() {
                c.fail(
                    "a meter shows AC in one of two ways",
                    Some("write `average` or `true RMS`"),
                );
            }
            average
        });
        fields.finish();
        return Some(MeterUse { load, average: ac.unwrap_or(false) });
    }
    if let Some(average) = responds(cursor.text()?) {
        return Some(MeterUse { load: None, average });
    }
    Some(MeterUse { load: Some(cursor.parse_with(load)?), average: false })
}

/// Whether a meter responds to the average in AC.
fn responds(text: &str) -> Option<bool> {
    match text.trim().to_lowercase().replace(['-', '_'], " ").as_str() {
        "average" => Some(true),
        "true rms" => Some(false),
        _ => None,
    }
}

fn load(text: &str) -> Result<MeterLoad, String> {
    let advice = "a meter's load is written `10 MΩ`, or `20 kΩ/V` for one whose load goes with its range; one that responds to the average in AC is `average`, or `{ load: 20 kΩ/V, ac: average }`";
    let (ohms, per_volt) = match text.trim().strip_suffix("/V") {
        Some(ohms) => (ohms, true),
        None => (text, false),
    };
    let ohms = parse::<Resistance>(ohms, Sign::Positive).map_err(|e| format!("{e}; {advice}"))?;
    Ok(if per_volt { MeterLoad::PerVolt(ohms) } else { MeterLoad::Ohms(ohms) })
}

/// How a value is known, and within what share if that is stated.
pub(super) fn known(cursor: &Cursor<'_>) -> Option<(Known, Option<f64>)> {
    let fields = cursor.map()?;
    fields.required("value");
    let known = fields.required("known").and_then(|c| match c.text()? {
        "measured" => Some(Known::Measured),
        "nominal" => Some(Known::Nominal),
        "guess" => Some(Known::Guess),
        other => {
            c.fail(
                &format!("{} does not say how a value is known", quoted(other)),
                Some("write `measured`, `nominal` (as printed) or `guess`"),
            );
            None
        }
    });
    let within = fields.optional("within").and_then(|c| c.parse_with(tolerance));
    fields.finish();
    Some((known?, within))
}

/// How far the meter for a quantity may be off, as a share, its last digit aside (customary limits of handheld meters; of
/// bridges for inductance; common practice, no source).
pub(super) fn ohmmeter<Q: Quantity>() -> f64 {
    match Q::NAME {
        Resistance::NAME => 0.01,
        Voltage::NAME => 0.015,
        Current::NAME => 0.02,
        Power::NAME => 0.03,
        _ => 0.05,
    }
}

/// "1.5 %" as a share.
fn share(text: &str) -> Result<f64, String> {
    let number = text.trim().strip_suffix('%').map(str::trim);
    number
        .and_then(|n| n.parse::<f64>().ok())
        .filter(|n| (0.01..=20.0).contains(n))
        .map(|n| n / 100.0)
        .ok_or_else(|| {
            format!("{} is not an accuracy from 0.01 % to 20 %, such as 1.5 %", quoted(text))
        })
}

/// The factors a fit wrote.
pub(super) fn calibration(cursor: &Cursor<'_>) -> Vec<Calibration> {
    let list = cursor.list().unwrap_or_default();
    list.iter().filter_map(factor).collect()
}

fn factor(cursor: &Cursor<'_>) -> Option<Calibration> {
    let fields = cursor.map_with(&["of", "factor", "spread"])?;
    let of = fields.required("of").and_then(|c| name(&c));
    let number = |key: &'static str, low: f64, high: f64| {
        fields.required(key).and_then(|c| {
            let value = c.text()?.parse::<f64>().ok().filter(|v| (low..=high).contains(v));
            if value.is_none() {
                c.fail(
                    &format!("{} is not a number from {low} to {high}", quoted(c.text()?)),
                    Some("let `mainsfit fit --write` write this list"),
                );
            }
            value
        })
    };
    let factor = number("factor", FACTORS.0, FACTORS.1);
    let spread = number("spread", 0.0, 1.0);
    fields.finish();
    Some(Calibration { of: of?, factor: factor?, spread: spread? })
}

/// Largest tolerance, as a share: beyond it a number is not known at all.
const LARGEST_TOLERANCE: f64 = 0.5;
/// Most tolerances stated.
const MOST_TOLERANCES: usize = 200;

/// How far numbers of the set may be off, by their keys.
pub(super) fn tolerances(cursor: &Cursor<'_>) -> Vec<StatedTolerance> {
    let entries = cursor.entries().unwrap_or_default();
    if entries.len() > MOST_TOLERANCES {
        cursor.fail(
            &format!("more than {MOST_TOLERANCES} tolerances"),
            Some("leave out those that are the customary ones"),
        );
    }
    let stated = entries.into_iter().take(MOST_TOLERANCES);
    stated
        .filter_map(|(of, value)| {
            let spread = value.parse_with(tolerance)?;
            Some(StatedTolerance { of, spread })
        })
        .collect()
}

/// "5 %", "±5 %" or 0.05 as a share.
pub(super) fn tolerance(text: &str) -> Result<f64, String> {
    let plain = text.trim().trim_start_matches('±').trim_start();
    let (number, scale) = match plain.strip_suffix('%') {
        Some(number) => (number.trim_end(), 0.01),
        None => (plain, 1.0),
    };
    let share = number.parse::<f64>().ok().map(|n| n * scale);
    share.filter(|s| (0.0..=LARGEST_TOLERANCE).contains(s)).ok_or_else(|| {
        format!("{} is not a tolerance from 0 to 50 %, such as 5 % or 0.05", quoted(text))
    })
}
