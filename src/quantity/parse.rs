//! Reading one quantity from text.

use super::{
    Capacitance, Sign,
    error::{QuantityError, Refusal},
    kind::{Kind, Quantity},
    kinds::CELSIUS_ZERO,
    letter_code::{self, Split},
    number::{Written, take_number, take_sign},
    spelling::{Scale, look_up},
};

/// Most characters, after trimming, that a written quantity may have.
pub const LONGEST_TEXT: usize = 64;

/// How much of a text that is too long is shown back.
const ECHOED: usize = 24;

/// Reads one quantity: a number and a unit, or, for resistance and
/// capacitance, the IEC 60062 letter code.
///
/// Prefix and unit symbols follow SI case; the spellings of old service sheets
/// ("8 mfd", "50 mmf", "60 c/s", "1 Meg") are read as well, and so are the
/// typographic minus, micro, ohm and space characters.
///
/// # Errors
///
/// A [`QuantityError`] that says what was found and what to write: for empty
/// or overlong text, a missing, unknown or wrong unit, a decimal comma or
/// thousands separator, more than one number, a value `f64` cannot hold, a
/// sign that `sign` does not allow, or a temperature below absolute zero.
pub fn parse<Q: Quantity>(text: &str, sign: Sign) -> Result<Q, QuantityError> {
    let kind = &Q::KIND;
    let found = tidy(text);
    let length = text.trim().chars().count();
    if length > LONGEST_TEXT {
        let start: String = found.chars().take(ECHOED).collect();
        let why = Refusal::TooLong { length, limit: LONGEST_TEXT };
        return Err(Reading { found: &start, kind }.refused(why));
    }
    let reading = Reading { found: &found, kind };
    if found.is_empty() {
        return Err(reading.refused(Refusal::Empty));
    }
    let value = reading.value()?;
    let written = value - kind.zero_point;
    Err(reading.refused(if value < 0.0 && kind.zero_point != 0.0 {
        Refusal::BelowAbsoluteZero
    } else if written < 0.0 && sign != Sign::Any {
        Refusal::Negative
    } else if written == 0.0 && sign == Sign::Positive {
        Refusal::Zero
    } else {
        return Ok(Q::from_si(value));
    }))
}

/// One form for each of the characters that look alike, and single spaces.
fn tidy(text: &str) -> String {
    let mut tidied = String::with_capacity(text.len());
    for found in text.chars() {
        match found {
            // Zero-width characters that come along when copying from a page.
            '\u{200B}' | '\u{2060}' | '\u{FEFF}' => {}
            '\u{2126}' => tidied.push('Ω'),
            '\u{03BC}' => tidied.push('µ'),
            '\u{2212}' => tidied.push('-'),
            '\u{00BA}' => tidied.push('°'),
            '\u{2103}' => tidied.push_str("°C"),
            '\u{2109}' => tidied.push_str("°F"),
            // The raised decimal point of older British print.
            '\u{00B7}' => tidied.push('.'),
            space if space.is_whitespace() => {
                if !tidied.ends_with(' ') {
                    tidied.push(' ');
                }
            }
            other => tidied.push(other),
        }
    }
    tidied.trim().to_owned()
}

/// A tidied text and the kind of quantity it should be.
pub struct Reading<'a> {
    pub found: &'a str,
    pub kind: &'a Kind,
}

impl Reading<'_> {
    /// The value in SI units, whatever its sign.
    pub fn value(&self) -> Result<f64, QuantityError> {
        let (negative, unsigned) = take_sign(self.found);
        if names_no_number(unsigned) {
            return Err(self.refused(Refusal::NotFinite));
        }
        let Some((number, rest)) = take_number(negative, unsigned) else {
            return match letter_code::split(unsigned) {
                Some(code) => self.coded(&code.number(negative, ""), code),
                None => Err(self.refused(Refusal::NoNumber)),
            };
        };
        self.refuse_separators(&number, rest)?;
        if let Some(code) = letter_code::split(rest).filter(|code| self.is_code(code)) {
            if !number.is_whole() {
                return Err(self.refused(Refusal::TwoPoints));
            }
            return self.coded(&code.number(negative, number.whole), code);
        }
        let unit = rest.trim();
        if unit.is_empty() {
            return Err(self.refused(Refusal::NoUnit));
        }
        if let Some(scale) = look_up(self.kind.spellings, unit) {
            return self.scaled(&number, scale);
        }
        // A lone "m" after a capacitance is far likelier to be a clipped "mfd"
        // than a millifarad, so it goes the way of "mF".
        let clipped_mfd = self.kind.is::<Capacitance>() && unit == "m";
        match letter_code::lone(self.kind.letters, unit) {
            Some(power) if !clipped_mfd => self.scaled(&number, Scale::Ten(power)),
            _ => Err(self.refuse_unit(rest, unit)),
        }
    }

    /// Whether to judge `code` as a letter code and not as two numbers run together.
    fn is_code(&self, code: &Split<'_>) -> bool {
        letter_code::power(self.kind.letters, code.mark).is_some() || code.tail.is_empty()
    }

    fn coded(&self, number: &Written<'_>, code: Split<'_>) -> Result<f64, QuantityError> {
        let Some(power) = letter_code::power(self.kind.letters, code.mark) else {
            return Err(self.refuse_letter(number, code.mark));
        };
        let tail = code.tail.trim();
        // "4k7 Ω" says ohm twice over, which does no harm.
        if tail.is_empty() || look_up(self.kind.spellings, tail) == Some(Scale::Ten(0)) {
            return self.scaled(number, Scale::Ten(power));
        }
        if tail.starts_with('.') {
            return Err(self.refused(Refusal::TwoPoints));
        }
        Err(self
            .refused(Refusal::Trailing { extra: tail.to_owned(), instead: self.before(code.tail) }))
    }

    fn scaled(&self, number: &Written<'_>, scale: Scale) -> Result<f64, QuantityError> {
        let value = match scale {
            Scale::Ten(power) => number.value(power),
            Scale::Times(factor) => number.value(0).map(|value| value * factor),
            Scale::Celsius => number.value(0).map(celsius),
            Scale::Fahrenheit => {
                number.value(0).map(|degrees| celsius((degrees - 32.0) * 5.0 / 9.0))
            }
        };
        value.filter(|value| value.is_finite()).ok_or_else(|| self.refused(Refusal::OutOfRange))
    }
}

fn celsius(degrees: f64) -> f64 {
    degrees + CELSIUS_ZERO
}

fn names_no_number(text: &str) -> bool {
    let lower = text.to_lowercase();
    ["nan", "inf", "∞"].iter().any(|word| lower.starts_with(word))
}
