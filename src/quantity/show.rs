//! Writing one quantity as the trade would.
//!
//! Rounding is done on the decimal text and before the unit is chosen, so
//! 999.9 mA to three digits is "1.00 A" and never "1000 mA".

use super::Quantity;

/// Significant digits of [`show`]: what a bench meter gives.
pub const SHOWN_DIGITS: usize = 3;

/// Significant digits kept by [`show_plain`] before trimming; enough that no
/// nameplate figure is altered.
pub const PLAIN_DIGITS: usize = 6;

/// More digits than this are noise in an `f64`.
const MOST_DIGITS: usize = 15;

/// A Celsius figure nearer to zero than this is rounding left over from the
/// step to kelvin and back.
const CELSIUS_NOISE: f64 = 1e-9;

/// How [`show`] rounds a quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounding {
    /// To [`SHOWN_DIGITS`] significant digits.
    Significant,
    /// To this many decimal places, or to two significant digits where that
    /// gives more places.
    Places(usize),
    /// To whole units, always.
    Whole,
}

/// One unit a quantity is written in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// Used from this size on, in SI units.
    pub from: f64,
    /// Size as a power of ten, or `None` if it is `from` itself (minute, hour).
    pub power: Option<i32>,
    /// The unit as written.
    pub unit: &'static str,
}

pub(super) const fn shown(from: f64, power: i32, unit: &'static str) -> Shown {
    Shown { from, power: Some(power), unit }
}

/// A unit that is no power of ten, used from one of itself on.
pub(super) const fn shown_times(size: f64, unit: &'static str) -> Shown {
    Shown { from: size, power: None, unit }
}

/// Writes a measured or reckoned value: three significant digits, trailing
/// zeros kept ("6.30 V"); temperatures in whole degrees ("47 °C"), ratios with
/// one place ("3.0 %"), both finer where that would leave under two digits
/// (except for temperatures). A value that is no finite number is said to be
/// "not a number" or "infinite".
pub fn show<Q: Quantity>(quantity: Q) -> String {
    let Some(value) = written_value(quantity) else {
        return not_finite(quantity.si());
    };
    match Q::ROUNDING {
        Rounding::Significant => write::<Q>(value, SHOWN_DIGITS, false),
        Rounding::Whole => {
            let whole = value.round();
            // Beyond the digits an f64 holds, whole degrees mean nothing.
            write::<Q>(whole, digits_for(whole, Q::SHOWN, 0, 1), false)
        }
        Rounding::Places(places) => {
            write::<Q>(value, digits_for(value, Q::SHOWN, places, 2), false)
        }
    }
}

/// Writes a nameplate or preferred value: up to six significant digits, with
/// no trailing zeros ("1.2 kΩ", "8 µF", "117.5 V").
pub fn show_plain<Q: Quantity>(quantity: Q) -> String {
    match written_value(quantity) {
        Some(value) => write::<Q>(value, PLAIN_DIGITS, true),
        None => not_finite(quantity.si()),
    }
}

/// Writes a value to `digits` significant digits, trailing zeros kept.
/// `digits` below 1 counts as 1, above 15 as 15.
pub fn show_digits<Q: Quantity>(quantity: Q, digits: usize) -> String {
    match written_value(quantity) {
        Some(value) => write::<Q>(value, digits, false),
        None => not_finite(quantity.si()),
    }
}

/// The value on the scale it is written on, or `None` if not finite.
fn written_value<Q: Quantity>(quantity: Q) -> Option<f64> {
    let value = quantity.si() - Q::ZERO_POINT;
    if !value.is_finite() {
        return None;
    }
    if Q::ZERO_POINT != 0.0 && value.abs() < CELSIUS_NOISE {
        return Some(0.0);
    }
    Some(value)
}

fn not_finite(value: f64) -> String {
    let text = if value.is_nan() {
        "not a number"
    } else if value > 0.0 {
        "infinite"
    } else {
        "minus infinite"
    };
    text.to_owned()
}

/// Significant digits that leave `places` decimals in the one unit of
/// `units`, but no fewer than `least`.
fn digits_for(value: f64, units: &[Shown], places: usize, least: usize) -> usize {
    let power = units.first().and_then(|unit| unit.power).unwrap_or(0);
    let digits_at = |digits: usize| {
        let leading = Decimal::rounded(value, digits).exponent - power;
        usize::try_from(leading + 1).unwrap_or(0) + places
    };
    // Rounding may carry into a new leading digit, so look again.
    let first = digits_at(MOST_DIGITS).max(least);
    digits_at(first.min(MOST_DIGITS)).max(least)
}

/// A decimal number: the digits with a point understood after the first.
struct Decimal {
    negative: bool,
    digits: String,
    exponent: i32,
}

impl Decimal {
    /// `value`, which is finite, to `digits` significant digits.
    fn rounded(value: f64, digits: usize) -> Self {
        let digits = digits.clamp(1, MOST_DIGITS);
        let text = format!("{:.*e}", digits - 1, value.abs());
        let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
        Self {
            negative: value < 0.0,
            digits: mantissa.chars().filter(char::is_ascii_digit).collect(),
            exponent: exponent.parse().unwrap_or(0),
        }
    }

    fn is_zero(&self) -> bool {
        self.digits.bytes().all(|digit| digit == b'0')
    }

    /// Size, sign left off.
    fn size(&self) -> f64 {
        let (first, others) = self.digits.split_at(1);
        format!("{first}.{others}0e{}", self.exponent).parse().unwrap_or(f64::INFINITY)
    }

    /// The text, with trailing zeros after the point cut off if `trim`.
    fn text(&self, trim: bool) -> String {
        // Outside this span plain figures are all noughts.
        const PLAIN: std::ops::Range<i32> = -4..9;
        let minus = if self.negative { "-" } else { "" };
        if !PLAIN.contains(&self.exponent) {
            let (first, others) = self.digits.split_at(1);
            let mantissa = with_point(first, others, trim);
            return format!("{minus}{mantissa}e{}", self.exponent);
        }
        let places = usize::try_from(self.exponent);
        let body = match places {
            Ok(places) if places + 1 >= self.digits.len() => {
                format!("{:0<width$}", self.digits, width = places + 1)
            }
            Ok(places) => {
                let (whole, fraction) = self.digits.split_at(places + 1);
                with_point(whole, fraction, trim)
            }
            Err(_) => {
                let noughts = usize::try_from(-1 - self.exponent).unwrap_or(0);
                let fraction = format!("{}{}", "0".repeat(noughts), self.digits);
                with_point("0", &fraction, trim)
            }
        };
        format!("{minus}{body}")
    }
}

fn with_point(whole: &str, fraction: &str, trim: bool) -> String {
    let fraction = if trim { fraction.trim_end_matches('0') } else { fraction };
    if fraction.is_empty() { whole.to_owned() } else { format!("{whole}.{fraction}") }
}

fn write<Q: Quantity>(value: f64, digits: usize, trim: bool) -> String {
    let mut decimal = Decimal::rounded(value, digits);
    if decimal.is_zero() {
        return format!("0 {}", Q::ZERO_UNIT);
    }
    let size = decimal.size();
    let unit = Q::SHOWN.iter().rev().find(|unit| unit.from <= size).or(Q::SHOWN.first());
    let Some(unit) = unit else {
        return decimal.text(trim);
    };
    match unit.power {
        Some(power) => decimal.exponent -= power,
        None => {
            // Rounded up into this unit: it is one of it, not 0.9997.
            let value = value.signum() * value.abs().max(unit.from);
            decimal = Decimal::rounded(value / unit.from, digits);
        }
    }
    format!("{} {}", decimal.text(trim), unit.unit)
}
