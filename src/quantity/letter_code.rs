//! The letter code of IEC 60062: a letter that names the multiplier stands in
//! place of the decimal point ("4k7" = 4.7 kΩ, "p33" = 0.33 pF).
//!
//! Written by heart of the standard †. The letter L for a thousandth of an
//! ohm is trade usage for current-sensing resistors. Where the standard has
//! capital letters only, the small letter is read too if nothing else could be
//! meant ("4r7", "4k7").

use super::number::{Written, take_digits};

/// One letter of the code, and the power of ten it stands for.
pub type Letter = (char, i32);

/// Letters for resistance, in powers of ten of an ohm.
pub const RESISTANCE: &[Letter] =
    &[('R', 0), ('r', 0), ('K', 3), ('k', 3), ('M', 6), ('G', 9), ('L', -3)];

/// Letters for capacitance, in powers of ten of a farad.
pub const CAPACITANCE: &[Letter] =
    &[('p', -12), ('n', -9), ('µ', -6), ('u', -6), ('m', -3), ('F', 0)];

/// A letter, the digits after it, and whatever follows those.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Split<'a> {
    pub mark: char,
    pub digits: &'a str,
    pub tail: &'a str,
}

impl<'a> Split<'a> {
    /// The coded number, given the part written before the letter.
    pub fn number(&self, negative: bool, whole: &'a str) -> Written<'a> {
        Written { negative, whole, fraction: self.digits, exponent: None }
    }
}

/// Splits a letter directly followed by at least one digit off `text`.
pub fn split(text: &str) -> Option<Split<'_>> {
    let mark = text.chars().next().filter(|first| first.is_alphabetic())?;
    let (digits, tail) = take_digits(text.get(mark.len_utf8()..)?);
    (!digits.is_empty()).then_some(Split { mark, digits, tail })
}

/// The power of ten of `mark` among `letters`.
pub fn power(letters: &[Letter], mark: char) -> Option<i32> {
    letters.iter().find(|letter| letter.0 == mark).map(|letter| letter.1)
}

/// `text` as a lone code letter, as in "330k".
pub fn lone(letters: &[Letter], text: &str) -> Option<i32> {
    let mut chars = text.chars();
    let mark = chars.next()?;
    chars.next().is_none().then(|| power(letters, mark))?
}
