//! Writing one quantity as the trade would.
//!
//! Rounding is done on the decimal text and before the unit is chosen, so
//! 999.9 mA to three digits is "1.00 A" and never "1000 mA".

use super::kind::{Quantity, Rounding, Shown};

/// Significant digits of [`show`]: what a bench meter gives.
pub const SHOWN_DIGITS: usize = 3;

/// Significant digits kept by [`show_plain`] before trimming; enough that no
/// nameplate figure is altered.
const PLAIN_DIGITS: usize = 6;

/// More digits than this are noise in an `f64`.
const MOST_DIGITS: usize = 15;

/// A Celsius figure nearer to zero than this is rounding left over from the
/// step to kelvin and back.
const CELSIUS_NOISE: f64 = 1e-9;

/// Writes a measured or reckoned value: three significant digits, trailing
/// zeros kept ("6.30 V"); temperatures in whole degrees ("47 °C"), ratios with
/// one place ("3.0 %"), both finer where that would leave under two digits
/// (except for temperatures). A value that is no finite number is said to be
/// "not a number" or "infinite".
pub fn show<Q: Quantity>(quantity: Q) -> String {
    let digits = |value, places, least| digits_for(value, Q::KIND.shown, places, least);
    written(quantity, false, |value| match Q::KIND.rounding {
        Rounding::Significant => (value, SHOWN_DIGITS),
        // Beyond the digits an f64 holds, whole degrees mean nothing.
        Rounding::Whole => (value.round(), digits(value.round(), 0, 1)),
        Rounding::Places(places) => (value, digits(value, places, 2)),
    })
}

/// Writes a nameplate or preferred value: up to six significant digits, with
/// no trailing zeros ("1.2 kΩ", "8 µF", "117.5 V").
pub fn show_plain<Q: Quantity>(quantity: Q) -> String {
    written(quantity, true, |value| (value, PLAIN_DIGITS))
}

/// Writes a value to `digits` significant digits, trailing zeros kept.
/// `digits` below 1 counts as 1, above 15 as 15.
pub fn show_digits<Q: Quantity>(quantity: Q, digits: usize) -> String {
    written(quantity, false, |value| (value, digits))
}

/// Writes a quantity, as `rounded` says of its value on the scale it is written on: what of it, to how many digits.
fn written<Q: Quantity>(
    quantity: Q,
    trim: bool,
    rounded: impl FnOnce(f64) -> (f64, usize),
) -> String {
    let value = quantity.si() - Q::KIND.zero_point;
    if value.is_nan() {
        "not a number".to_owned()
    } else if value.is_infinite() {
        if value > 0.0 { "infinite" } else { "minus infinite" }.to_owned()
    } else if Q::KIND.zero_point != 0.0 && value.abs() < CELSIUS_NOISE {
        write::<Q>(0.0, 1, trim)
    } else {
        let (value, digits) = rounded(value);
        write::<Q>(value, digits, trim)
    }
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
        return format!("0 {}", Q::KIND.zero_unit);
    }
    let size = decimal.size();
    let unit = Q::KIND.shown.iter().rev().find(|unit| unit.from <= size).or(Q::KIND.shown.first());
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
