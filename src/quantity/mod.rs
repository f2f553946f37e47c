//! Units at the boundary: text in, typed quantities inside, text out.
//!
//! Every figure a person writes carries its unit, and every figure inside the
//! program is a `uom` quantity, so a voltage can never be handed on as a
//! current. [`parse`] reads one quantity; [`show`], [`show_plain`] and
//! [`show_digits`] write one in the form the trade uses.

mod error;
mod kinds;
mod letter_code;
mod number;
mod parse;
mod pattern;
mod refuse;
mod show;
mod spelling;

#[cfg(test)]
mod parse_tests;
#[cfg(test)]
mod property_tests;
#[cfg(test)]
mod refusal_tests;
#[cfg(test)]
mod show_tests;
#[cfg(test)]
mod spelling_tests;

pub use error::QuantityError;
pub use letter_code::Letter;
pub use parse::{LONGEST_TEXT, parse};
pub use pattern::pattern;
pub use show::{PLAIN_DIGITS, Rounding, SHOWN_DIGITS, Shown, show, show_digits, show_plain};
pub use spelling::{Prefix, Scale, Spelling};

pub use uom::si::f64::{
    Capacitance, ElectricCurrent as Current, ElectricPotential as Voltage,
    ElectricalConductance as Transconductance, ElectricalResistance as Resistance, Frequency,
    Inductance, Power, Ratio, TemperatureInterval as TemperatureRise, ThermalResistance,
    ThermodynamicTemperature as Temperature, Time,
};

/// A physical quantity that can be read from text and written back.
///
/// Implemented for all the types this module re-exports.
pub trait Quantity: Copy + 'static {
    /// The name used in messages, lower case and without article: "voltage".
    const NAME: &'static str;
    /// One well-written value, shown to a person who wrote a bad one: "122 V".
    /// [`parse`] always accepts it.
    const EXAMPLE: &'static str;
    /// Unit written beside a value of exactly zero.
    const ZERO_UNIT: &'static str;
    /// Spellings read, each with the prefixes it may carry.
    const SPELLINGS: &'static [Spelling];
    /// Units written, in rising order of the size from which each is used.
    const SHOWN: &'static [Shown];
    /// Letters of the IEC 60062 code; empty where the code does not apply.
    const LETTERS: &'static [Letter] = &[];
    /// Units often written by mistake, each with the one meant.
    const MISREAD: &'static [(&'static str, &'static str)] = &[];
    /// How [`show`] rounds.
    const ROUNDING: Rounding = Rounding::Significant;
    /// Size in SI units of the zero of the written scale; 273.15 for
    /// temperature, which is written in °C, and 0 for everything else.
    const ZERO_POINT: f64 = 0.0;

    /// Makes the quantity from its value in the coherent SI unit (V, A, Ω, F,
    /// H, W, Hz, K, K/W, s, S, or a plain ratio). Any `f64` is taken as it is.
    fn from_si(value: f64) -> Self;

    /// The value in the coherent SI unit; kelvin for a temperature.
    fn si(self) -> f64;
}

/// Which signs a value may have.
///
/// A temperature is judged by its Celsius figure, as written; below absolute
/// zero it is refused whatever the choice here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// Negative, zero or positive.
    Any,
    /// Zero or positive.
    NonNegative,
    /// Greater than zero.
    Positive,
}
