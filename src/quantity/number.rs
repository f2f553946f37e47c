//! The decimal number in front of a unit.

/// A number as written, kept as decimal text until its power of ten is known,
/// so that "8 µF" becomes the `f64` nearest to 0.000 008 with one rounding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Written<'a> {
    pub negative: bool,
    /// Digits before the point; may be empty.
    pub whole: &'a str,
    /// Digits after the point; may be empty.
    pub fraction: &'a str,
    /// Power of ten written after an "e".
    pub exponent: Option<i32>,
}

/// Far outside what `f64` holds, yet safe to add a prefix to.
const EXPONENT_LIMIT: i32 = 100_000;

impl Written<'_> {
    /// Whether it is a run of digits and nothing else.
    pub fn is_whole(&self) -> bool {
        self.fraction.is_empty() && self.exponent.is_none()
    }

    /// Its value times ten to the `power`; `None` if too large or too small
    /// for `f64`. Zero is never negative.
    pub fn value(&self, power: i32) -> Option<f64> {
        let all_zero = [self.whole, self.fraction]
            .iter()
            .all(|digits| digits.bytes().all(|digit| digit == b'0'));
        if all_zero {
            return Some(0.0);
        }
        let minus = if self.negative { "-" } else { "" };
        let exponent = self.exponent.unwrap_or(0) + power;
        let text = format!("{minus}0{}.{}0e{exponent}", self.whole, self.fraction);
        text.parse::<f64>().ok().filter(|value| value.is_normal())
    }
}

/// Splits off a leading sign.
pub fn take_sign(text: &str) -> (bool, &str) {
    if let Some(rest) = text.strip_prefix('-') {
        (true, rest)
    } else {
        (false, text.strip_prefix('+').unwrap_or(text))
    }
}

/// Splits off the leading ASCII digits.
pub fn take_digits(text: &str) -> (&str, &str) {
    let end = text.bytes().position(|byte| !byte.is_ascii_digit()).unwrap_or(text.len());
    text.split_at(end)
}

/// Reads an unsigned number from the start of `text` and returns it with what
/// follows; `None` if there is none.
pub fn take_number(negative: bool, text: &str) -> Option<(Written<'_>, &str)> {
    let (whole, rest) = take_digits(text);
    let after_point = rest.strip_prefix('.').map(take_digits);
    let (fraction, rest) =
        after_point.filter(|(digits, _)| !digits.is_empty()).unwrap_or(("", rest));
    if whole.is_empty() && fraction.is_empty() {
        return None;
    }
    let (exponent, rest) = match take_exponent(rest) {
        Some((power, after)) => (Some(power), after),
        None => (None, rest),
    };
    Some((Written { negative, whole, fraction, exponent }, rest))
}

fn take_exponent(text: &str) -> Option<(i32, &str)> {
    let (negative, unsigned) = take_sign(text.strip_prefix(['e', 'E'])?);
    let (digits, rest) = take_digits(unsigned);
    if digits.is_empty() {
        return None;
    }
    // More digits than an i32 holds: past the limit either way.
    let size = digits.parse::<i32>().map_or(EXPONENT_LIMIT, |power| power.min(EXPONENT_LIMIT));
    Some((if negative { -size } else { size }, rest))
}
