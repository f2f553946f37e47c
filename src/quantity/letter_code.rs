//! The letter code of IEC 60062: a letter that names the multiplier stands in
//! place of the decimal point ("4k7" = 4.7 kΩ, "p33" = 0.33 pF).
//!
//! Written by heart of the standard †. The letter L for a thousandth of an
//! ohm is trade usage for current-sensing resistors. Where the standard has
//! capital letters only, the small letter is read too if nothing else could be
//! meant ("4r7", "4k7").

use super::number::{Written, take_digits};

/// One letter of the code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Letter {
    /// The letter.
    pub mark: char,
    /// Power of ten it stands for.
    pub power: i32,
}

const fn letter(mark: char, power: i32) -> Letter {
    Letter { mark, power }
}

/// Letters for resistance, in powers of ten of an ohm.
pub(super) const RESISTANCE: &[Letter] = &[
    letter('R', 0),
    letter('r', 0),
    letter('K', 3),
    letter('k', 3),
    letter('M', 6),
    letter('G', 9),
    letter('L', -3),
];

/// Letters for capacitance, in powers of ten of a farad.
pub(super) const CAPACITANCE: &[Letter] = &[
    letter('p', -12),
    letter('n', -9),
    letter('µ', -6),
    letter('u', -6),
    letter('m', -3),
    letter('F', 0),
];

/// A letter, the digits after it, and whatever follows those.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Split<'a> {
    pub(super) mark: char,
    pub(super) digits: &'a str,
    pub(super) tail: &'a str,
}

impl<'a> Split<'a> {
    /// The coded number, given the part written before the letter.
    pub(super) fn number(&self, negative: bool, whole: &'a str) -> Written<'a> {
        Written { negative, whole, fraction: self.digits, exponent: None }
    }
}

/// Splits a letter directly followed by at least one digit off `text`.
pub(super) fn split(text: &str) -> Option<Split<'_>> {
    let mark = text.chars().next().filter(|first| first.is_alphabetic())?;
    let (digits, tail) = take_digits(text.get(mark.len_utf8()..)?);
    if digits.is_empty() {
        return None;
    }
    Some(Split { mark, digits, tail })
}

/// The power of ten of `mark` among `letters`.
pub(super) fn power(letters: &[Letter], mark: char) -> Option<i32> {
    letters.iter().find(|letter| letter.mark == mark).map(|letter| letter.power)
}

/// `text` as a lone code letter, as in "330k".
pub(super) fn lone(letters: &[Letter], text: &str) -> Option<i32> {
    let mut chars = text.chars();
    let mark = chars.next()?;
    if chars.next().is_some() {
        return None;
    }
    power(letters, mark)
}
