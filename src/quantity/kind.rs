//! What is read and written of one kind of quantity, as data.

use super::{letter_code::Letter, spelling::Spelling};

/// A physical quantity that can be read from text and written back.
///
/// Implemented for all the types that the room re-exports.
pub trait Quantity: Copy + 'static {
    /// Its tables.
    const KIND: Kind;
    /// The name used in messages, lower case and without article: "voltage".
    const NAME: &'static str = Self::KIND.name;

    /// Makes the quantity from its value in the coherent SI unit (V, A, Ω, F,
    /// H, W, Hz, K, K/W, s, S, or a plain ratio). Any `f64` is taken as it is.
    fn from_si(value: f64) -> Self;

    /// The value in the coherent SI unit; kelvin for a temperature.
    fn si(self) -> f64;
}

/// The tables of one quantity, gathered so that code need not be generic.
#[derive(Debug, Clone, Copy)]
pub struct Kind {
    /// The name used in messages, lower case and without article: "voltage".
    pub name: &'static str,
    /// One well-written value, shown to a person who wrote a bad one: "122 V".
    /// [`parse`](super::parse()) always accepts it.
    pub example: &'static str,
    /// Unit written beside a value of exactly zero.
    pub zero_unit: &'static str,
    /// Spellings read, each with the prefixes it may carry; the first is of the SI unit.
    pub spellings: &'static [Spelling],
    /// Units written, in rising order of the size from which each is used.
    pub shown: &'static [Shown],
    /// Letters of the IEC 60062 code; empty where the code does not apply.
    pub letters: &'static [Letter],
    /// Units often written by mistake, each with the one meant.
    pub misread: &'static [(&'static str, &'static str)],
    /// How [`show`](super::show()) rounds.
    pub rounding: Rounding,
    /// Size in SI units of the zero of the written scale; 273.15 for
    /// temperature, which is written in °C, and 0 for everything else.
    pub zero_point: f64,
}

impl Kind {
    /// What a quantity has that says nothing else.
    pub(super) const USUAL: Kind = Kind {
        name: "",
        example: "",
        zero_unit: "",
        spellings: &[],
        shown: &[],
        letters: &[],
        misread: &[],
        rounding: Rounding::Significant,
        zero_point: 0.0,
    };

    /// Whether it is that of `Q`.
    pub(super) fn is<Q: Quantity>(&self) -> bool {
        self.name == Q::NAME
    }
}

/// How [`show`](super::show()) rounds a quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounding {
    /// To [`SHOWN_DIGITS`](super::SHOWN_DIGITS) significant digits.
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

/// The unit of ten to the `power`, used from one of itself on.
pub const fn shown(power: i32, unit: &'static str) -> Shown {
    let (mut tens, mut left) = (1.0, power.abs());
    while left > 0 {
        tens *= 10.0;
        left -= 1;
    }
    // whole powers are exact, so either way this is the nearest `f64`
    Shown { from: if power < 0 { 1.0 / tens } else { tens }, power: Some(power), unit }
}

/// A unit that is no power of ten, used from one of itself on.
pub const fn shown_times(from: f64, unit: &'static str) -> Shown {
    Shown { from, power: None, unit }
}
