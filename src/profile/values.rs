//! Single values: quantities with their unit, names, counts and shares.

use super::{
    cursor::{Advised, Cursor},
    declare::{Defs, Describe, Key, Read, Word, about, defined, form, one_word},
    fields::Fields,
    known::{Known, StatedKnown},
    reach::{self, Place, out_of_reach},
};
use crate::{
    quantity::{
        Capacitance, Current, Power, Quantity, QuantityError, Resistance, Sign, Voltage, a, parse,
        pattern,
    },
    text::upsets,
};
use serde_json::{Value, json};
use std::marker::PhantomData;

impl Advised for QuantityError {}

/// Longest name or label taken from a profile, in characters.
const LONGEST_NAME: usize = 120;

/// A number without sign as the standard library reads it, for patterns; without its power of ten, and that.
const NUMBER: &str = r"\+?(?:[0-9]+\.?[0-9]*|\.[0-9]+)";
const POWER: &str = "[eE][-+]?[0-9]+";

/// A pattern of percents up to `most`, with a pattern of the whole ones below it. One with a power of ten is taken at any
/// size, for a pattern does not reckon.
pub fn percents(below: &str, most: u32) -> String {
    let plain = format!(r"\+?0*(?:(?:{below})(?:\.[0-9]*)?|\.[0-9]+|{most}(?:\.0*)?)");
    format!(r"(?:{plain}|{NUMBER}{POWER})\s*%")
}

/// Largest tolerance, as a share: beyond it a number is not known at all.
const LARGEST_TOLERANCE: f64 = 0.5;

/// What a quantity may be.
pub trait Within {
    /// Its sign.
    const SIGN: Sign = Sign::Positive;
    /// The place whose volts it is.
    const PLACE: Option<Place> = None;
}

/// Above zero.
pub struct Positive;
impl Within for Positive {}

/// Zero or above.
pub struct NonNegative;
impl Within for NonNegative {
    const SIGN: Sign = Sign::NonNegative;
}

/// Of either sign.
pub struct Signed;
impl Within for Signed {
    const SIGN: Sign = Sign::Any;
}

/// Voltage of the mains.
pub struct Mains;
impl Within for Mains {
    const PLACE: Option<Place> = Some(Place::MAINS);
}

/// Voltage of the high voltage.
pub struct High;
impl Within for High {
    const PLACE: Option<Place> = Some(Place::HIGH_VOLTAGE);
}

/// Volts of a heater winding.
pub struct Heater;
impl Within for Heater {
    const PLACE: Option<Place> = Some(Place::HEATER);
}

/// Quantities above zero, by the names of their units.
pub type Volts = Of<Voltage>;
/// See [`Volts`].
pub type Amps = Of<Current>;
/// See [`Volts`].
pub type Ohms = Of<Resistance>;
/// See [`Volts`].
pub type Farads = Of<Capacitance>;
/// See [`Volts`].
pub type Watts = Of<Power>;
/// Voltage of the mains.
pub type MainsVolts = Of<Voltage, Mains>;
/// Ohms of a part of the set, which may stand in a mapping that says how they are known.
pub type StatedOhms = Stated<Resistance>;

/// A quantity with its unit: always a text, for a plain number is refused.
pub struct Of<Q, W = Positive>(PhantomData<(Q, W)>);

impl<Q: Quantity, W: Within> Read for Of<Q, W> {
    type Value = Q;

    /// Whether it stands by itself, or in a mapping that says how it is known.
    fn read(at: &Cursor<'_>) -> Option<Q> {
        let known_at = at.find("known");
        let value_at =
            known_at.as_ref().and_then(|_| at.find("value")).unwrap_or_else(|| at.clone());
        let known = known_at.and_then(|_| known(at));
        let value = value_at.parse_with(|text| parse::<Q>(text, W::SIGN))?;
        let text = value_at.text()?;
        let volts = || W::PLACE?.refuse(text, Voltage::from_si(value.si()));
        if let Some(found) = out_of_reach(text, value).or_else(volts) {
            return value_at.refuse(found, reach::CHECK);
        }
        if let Some((known, within)) = known {
            let meter = || ohmmeter::<Q>() + last_digit(text, value.si()) / value.si().abs();
            let within =
                within.unwrap_or_else(|| if known == Known::Measured { meter() } else { 0.0 });
            let stated = StatedKnown { path: at.path().replace('"', ""), known, within };
            at.sink().keep(stated);
        }
        Some(value)
    }

    fn name() -> String {
        match W::SIGN {
            Sign::Positive => Q::NAME.to_owned(),
            Sign::NonNegative => format!("{}-or-zero", Q::NAME),
            Sign::Any => format!("signed-{}", Q::NAME),
        }
    }

    fn shape(_: &mut Defs) -> Value {
        let sign = match W::SIGN {
            Sign::Positive => "above zero",
            Sign::NonNegative => "zero or above",
            Sign::Any => "of either sign",
        };
        let what = format!("{} with its unit, such as {}; {sign}", a(Q::NAME), Q::KIND.example);
        json!({
            "type": "string",
            "description": what.replacen('a', "A", 1),
            "pattern": pattern::<Q>(W::SIGN),
            // known to editors, left out of account by validators
            "patternErrorMessage": format!("Write {what}"),
        })
    }
}

/// The words for how a value is known.
const KNOWN: [Word<Known>; 3] = [
    ("measured", &[], Known::Measured),
    ("nominal", &[], Known::Nominal),
    ("guess", &[], Known::Guess),
];

/// How a value is known, and within what share if that is stated.
fn known(at: &Cursor<'_>) -> Option<(Known, Option<f64>)> {
    let advice = "write `measured`, `nominal` (as printed) or `guess`";
    let fields = at.map()?;
    fields.required("value");
    let known = fields
        .required("known")
        .and_then(|at| one_word(&at, &KNOWN, "does not say how a value is known", Some(advice)));
    let within = <Option<TolerableShare> as Key>::take(&fields, "within")?;
    fields.finish();
    Some((known?, within))
}

/// How far the meter for a quantity may be off, as a share, its last digit aside (customary limits of handheld meters; of
/// bridges for inductance; common practice, no source).
fn ohmmeter<Q: Quantity>() -> f64 {
    match Q::NAME {
        Resistance::NAME => 0.01,
        Voltage::NAME => 0.015,
        Current::NAME => 0.02,
        Power::NAME => 0.03,
        _ => 0.05,
    }
}

/// Size of the last digit of a reading as it was written, in SI.
pub fn last_digit(text: &str, si: f64) -> f64 {
    let in_number = |c: &char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+');
    let number: String = text.trim().chars().take_while(in_number).collect();
    let decimals = number.split_once('.').map_or(0, |(_, d)| d.len());
    let plain: f64 = number.parse().unwrap_or(0.0);
    let scale = if plain == 0.0 { 1.0 } else { (si / plain).abs() };
    // a letter code or an exponent says nothing of digits
    if !scale.is_finite() || decimals > 12 {
        return 0.0;
    }
    scale * 10f64.powi(-(decimals as i32))
}

/// A quantity of the set's own, which may stand in a mapping that says how it is known.
pub struct Stated<Q, W = Positive>(PhantomData<(Q, W)>);

impl<Q: Quantity, W: Within> Read for Stated<Q, W> {
    type Value = Q;

    fn read(at: &Cursor<'_>) -> Option<Q> {
        Of::<Q, W>::read(at)
    }

    fn name() -> String {
        format!("stated-{}", Of::<Q, W>::name())
    }

    fn shape(defs: &mut Defs) -> Value {
        let (value, share) = (Of::<Q, W>::described(defs), TolerableShare::described(defs));
        let off = [
            "How far it may be off, either way; absent: measured, the meter's limit (Ω 1 %, V 1.5 %, A 2 %, W 3 %, H 5 %; common",
            "practice, no source) and its last digit; 25 % for a guess",
        ];
        let known = "`measured`: read off a meter on this set; `nominal`: printed, with the customary tolerance; `guess`: neither";
        let known = json!({ "enum": KNOWN.map(|(word, ..)| word), "description": known });
        let keys = json!({
            "type": "object",
            "description": "A value and how it is known",
            "properties": {
                "value": about(&["The value, as without the block"], value.clone()),
                "known": known,
                "within": about(&off, share),
            },
            "required": ["value", "known"],
            "additionalProperties": false,
        });
        let name = format!("known-{}", Of::<Q, W>::name());
        json!({ "anyOf": [value, defined(defs, name, |_| keys)] })
    }
}

form! {
    /// One line of text, at most 120 characters
    // YAML takes some for numbers or for yes and no; the reader does not
    Text -> String = { "type": ["string", "number", "boolean"] },
    |at| clean_name(at.text()?).map_err(|(found, advice)| at.fail(found, advice)).ok()
}

/// A name as a profile takes it: trimmed, with blanks for what would upset a terminal or a page.
///
/// # Errors
/// What is wrong with an empty or a very long one, and what to do.
pub fn clean_name(text: &str) -> Result<String, (&'static str, String)> {
    let plain = text.replace(upsets, " ");
    let plain = plain.trim();
    if plain.is_empty() {
        return Err(("the text is empty", "write a name".to_owned()));
    }
    if plain.chars().count() > LONGEST_NAME {
        let advice = format!("keep it within {LONGEST_NAME} characters");
        return Err(("the text is too long", advice));
    }
    Ok(plain.to_owned())
}

form! {
    /// A type: what is printed on the glass or base
    // a bare `80` is a number to YAML, and so is `6E5`
    TypeName -> String = { "type": ["string", "number"], "examples": ["6F6", "80"] },
    raw
}

/// The text as it is written.
fn raw(at: &Cursor<'_>) -> Option<String> {
    at.text().map(str::to_owned)
}

form! {
    /// A whole number
    Whole -> String = { "type": ["integer", "string"], "minimum": 1, "pattern": r"^\+?[0-9]+$" },
    raw
}

/// A number of things, from 1 to `MOST`; 1 if absent.
pub struct Count<const MOST: u32>;

impl<const MOST: u32> Key for Count<MOST> {
    type Value = u32;
    type Form = Whole;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<u32> {
        let Some(at) = fields.optional(key) else { return Some(1) };
        let count = |text: &str| text.parse().ok().filter(|n| (1..=MOST).contains(n));
        at.parsed(count, "is not a count", format!("write a whole number from 1 to {MOST}"))
    }
}

form! {
    /// A number without a unit
    Plain -> String = { "type": ["number", "string"], "pattern": format!("^{NUMBER}(?:{POWER})?$"), "minimum": 0 },
    raw
}

form! {
    /// A share, such as 1 %
    Share -> f64 = { "type": "string", "pattern": format!(r"^\s*{}\s*$", percents("1?[0-9]", 20)) },
    |at| at.parsed(
        |text| percent(text).filter(|n| (0.01..=20.0).contains(n)).map(|n| n / 100.0),
        "is not an accuracy from 0.01 % to 20 %, such as 1.5 %",
        "",
    )
}

/// The number of "1.5 %".
pub fn percent(text: &str) -> Option<f64> {
    text.trim().strip_suffix('%')?.trim().parse().ok()
}

form! {
    /// A share, such as 5 % or 0.05
    TolerableShare -> f64 = {
        "type": ["string", "number"],
        "pattern": format!(r"^\s*±*\s*(?:{}|{NUMBER}(?:{POWER})?)\s*$", percents("[1-4]?[0-9]", 50)),
        "minimum": 0, "maximum": LARGEST_TOLERANCE
    },
    |at| at.parsed(tolerance, "is not a tolerance from 0 to 50 %, such as 5 % or 0.05", "")
}

/// "5 %", "±5 %" or 0.05 as a share.
fn tolerance(text: &str) -> Option<f64> {
    let plain = text.trim().trim_start_matches('±').trim_start();
    let (number, scale) = match plain.strip_suffix('%') {
        Some(number) => (number.trim_end(), 0.01),
        None => (plain, 1.0),
    };
    let share = number.parse::<f64>().ok().map(|n| n * scale);
    share.filter(|s| (0.0..=LARGEST_TOLERANCE).contains(s))
}
