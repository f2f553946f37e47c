//! What a meter showed, a calibration written from it, and how far numbers may be off.

use super::{
    cursor::Cursor,
    declare::{Describe, Key, Lax, MOST, Read, form, keys, mapping, reads},
    fields::Fields,
    node::Kind,
    values::{
        MainsVolts, Of, Plain, Share, Signed, Text, TolerableShare, Volts, Watts, last_digit,
    },
};
use crate::quantity::{Current, Quantity, Resistance, Sign, Voltage, parse, pattern_before};
use std::collections::BTreeMap;

/// A factor of a calibration beyond these is no drift.
const FACTORS: (f64, f64) = (0.05, 20.0);
/// Most tolerances stated.
const MOST_TOLERANCES: usize = 200;

/// Readings taken at one setting of the line.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingSet {
    /// Volts at the set's plug.
    pub at_line: Voltage,
    /// The meter, if stated.
    pub meter: Option<MeterUse>,
    /// How far the meter may be off, as a share, if stated.
    pub accuracy: Option<f64>,
    /// What it showed.
    pub points: Vec<PointReading>,
}

/// One reading.
#[derive(Debug, Clone, PartialEq)]
pub struct PointReading {
    /// Point, by the key it has in a sweep.
    pub key: String,
    /// SI value.
    pub value: f64,
    /// Size of its last digit as written, SI; 0 where that cannot be told.
    pub last_digit: f64,
}

reads!(ReadingSet => ReadingSet, "Readings", |at| {
    let (mut line, mut meter, mut accuracy) = (None, None, None);
    let mut points = Vec::new();
    for (key, value) in at.entries()?.into_iter().take(MOST) {
        match key.as_str() {
            "at_line" => line = MainsVolts::read(&value),
            "meter" => meter = MeterForm::read(&value),
            "accuracy" => accuracy = Share::read(&value),
            _ => points.extend(point(&value)),
        }
    }
    if at.find("at_line").is_none() {
        at.fail(
            "readings without the line they were taken at",
            "add `at_line: 112 V`, the voltage at the set's plug at the time",
        );
    }
    if points.is_empty() {
        return at.refuse(
            "no reading stands here",
            "write what the meter showed, such as `B+: 246 V` or `heater.main: 6.2 V`",
        );
    }
    Some(ReadingSet { at_line: line?, meter, accuracy, points })
}, |defs| {
    let about = [
        "What a meter showed at one setting of the line. Any other key is a point, by the keys of `mainsfit sweep --show`:",
        "B+, heater.NAME, coil1.drop, a tap, primary_current, line_power, V4.plate; with sign and unit: amperes where it",
        "ends in current, watts where it ends in power, else volts against chassis",
    ];
    let meter = [
        "The meter: its resistance, or that for each volt of its range such as `20 kΩ/V`; `average` or `true RMS`; both as",
        "`{ load: 10 MΩ, ac: average }`. Absent: 10 MΩ, true RMS",
    ];
    let accuracy = [
        "How far the meter may be off, for all readings of this setting and for the line; absent: DC volts 0.8 %, AC volts",
        "1.5 %, AC current 2 %, watts 3 %",
    ];
    let keys: [(&[&str], _, _); 3] = [
        (&["Volts at the set's plug"], true, Volts::described(defs)),
        (&meter, false, MeterForm::described(defs)),
        (&accuracy, false, Share::described(defs)),
    ];
    let points = serde_json::json!({
        "patternProperties": {
            "current$": Of::<Current, Signed>::described(defs), "power$": Watts::described(defs)
        },
        "additionalProperties": Of::<Voltage, Signed>::described(defs)
    });
    mapping(&about, (&["at_line", "meter", "accuracy"], &keys), None, &[points])
});

/// One reading; its unit follows from its key.
fn point(at: &Cursor<'_>) -> Option<PointReading> {
    let (key, text) = (at.key()?, at.text()?);
    let value = if key.ends_with("current") {
        Of::<Current, Signed>::read(at)?.si()
    } else if key.ends_with("power") {
        Watts::read(at)?.si()
    } else {
        Of::<Voltage, Signed>::read(at)?.si()
    };
    if value == 0.0 {
        return at
            .refuse("a reading of zero tells nothing", "leave it out, or find out why it is zero");
    }
    Some(PointReading { key: key.to_owned(), value, last_digit: last_digit(text, value) })
}

/// What a meter loads a point with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MeterLoad {
    /// The same on every range.
    Ohms(Resistance),
    /// This for each volt of its range.
    PerVolt(Resistance),
}

form! {
    /// A load, how it responds in AC, or both
    MeterForm -> MeterUse: LoadForm | MeterUse,
    |at| match at.kind() {
        Kind::Map => MeterUse::read(at),
        _ => Some(match responds(at.text()?) {
            Some(average) => MeterUse { load: None, average },
            None => MeterUse { load: Some(LoadForm::read(at)?), average: false },
        }),
    }
}

keys! {
    /// A meter
    pub struct MeterUse as "Meter" [Copy, Default, PartialEq] {
        /// What it loads a point with; 10 MΩ if absent
        load: Option<LoadForm>,
        /// How it responds in AC; true RMS if absent
        average "ac": Lax<Responds>,
    }
}

form! {
    /// How the meter responds in AC; true RMS if absent
    Responds -> bool = { "enum": ["average", "true RMS"] },
    |at| responds(at.text()?).or_else(|| at.refuse(
        "a meter shows AC in one of two ways",
        "write `average` or `true RMS`",
    ))
}

/// Whether a meter responds to the average in AC.
fn responds(text: &str) -> Option<bool> {
    match text.trim().to_lowercase().replace(['-', '_'], " ").as_str() {
        "average" => Some(true),
        "true rms" => Some(false),
        _ => None,
    }
}

form! {
    /// A load: a resistance, a resistance for each volt of the range, or how the meter responds in AC
    LoadForm as "MeterLoad" -> MeterLoad = {
        "type": "string",
        "pattern": format!(
            r"(?:{})|^\s*(?:[Aa]verage|[Tt]rue[ -]RMS)\s*$",
            pattern_before::<Resistance>(Sign::Positive, r"(?:/V\s*)?")
        ),
        "examples": ["10 MΩ", "20 kΩ/V", "average"]
    },
    |at| at.parse_with(load)
}

fn load(text: &str) -> Result<MeterLoad, String> {
    let advice = "a meter's load is written `10 MΩ`, or `20 kΩ/V` for one whose load goes with its range; one that responds to the average in AC is `average`, or `{ load: 20 kΩ/V, ac: average }`";
    let per_volt = text.trim().strip_suffix("/V");
    let ohms = parse::<Resistance>(per_volt.unwrap_or(text), Sign::Positive)
        .map_err(|e| format!("{e}; {advice}"))?;
    Ok(if per_volt.is_some() { MeterLoad::PerVolt(ohms) } else { MeterLoad::Ohms(ohms) })
}

keys! {
    /// A factor on a number of the set
    pub struct Calibration [PartialEq] {
        /// The number, such as `bias.resistors[0]`
        of: Text,
        /// Factor on what is stated or filled in
        factor: Factor,
        /// How far it may still be off, as a share
        spread: Spread,
    }
}

form! {
    /// A factor of a calibration
    Factor -> f64 as Plain,
    |at| number(at, FACTORS)
}

form! {
    /// How far a factor may be off
    Spread -> f64 as Plain,
    |at| number(at, (0.0, 1.0))
}

fn number(at: &Cursor<'_>, (low, high): (f64, f64)) -> Option<f64> {
    at.parsed(
        |text| text.parse().ok().filter(|v| (low..=high).contains(v)),
        &format!("is not a number from {low} to {high}"),
        "let `mainsfit fit --write` write this list",
    )
}

/// How far a number of the set may be off.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedTolerance {
    /// The number, such as `bias.resistors[0]`.
    pub of: String,
    /// How far it may be off either way, as a share; 0 for a number that is known.
    pub spread: f64,
}

/// How far numbers of the set may be off, by their keys.
pub struct Tolerances;

impl Key for Tolerances {
    type Value = Vec<StatedTolerance>;
    type Form = BTreeMap<String, TolerableShare>;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<Vec<StatedTolerance>> {
        let Some(at) = fields.optional(key) else { return Some(Vec::new()) };
        let entries = at.entries().unwrap_or_default();
        if entries.len() > MOST_TOLERANCES {
            at.fail(
                format!("more than {MOST_TOLERANCES} tolerances"),
                "leave out those that are the customary ones",
            );
        }
        let stated = |(of, at): (String, Cursor<'_>)| {
            Some(StatedTolerance { of, spread: TolerableShare::read(&at)? })
        };
        Some(entries.into_iter().take(MOST_TOLERANCES).filter_map(stated).collect())
    }
}
