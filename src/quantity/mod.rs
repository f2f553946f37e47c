//! Units at the boundary: text in, typed quantities inside, text out.
//!
//! Every figure a person writes carries its unit, and every figure inside the
//! program is a `uom` quantity, so a voltage can never be handed on as a
//! current. [`parse`] reads one quantity; [`show`], [`show_plain`] and
//! [`show_digits`] write one in the form the trade uses.

mod error;
mod kind;
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

pub(crate) use error::a;
pub use error::{QuantityError, Refusal};
pub use kind::{Kind, Quantity, Rounding, Shown};
pub use letter_code::Letter;
pub use parse::{LONGEST_TEXT, parse};
pub use pattern::{pattern, pattern_before};
pub use show::{SHOWN_DIGITS, show, show_digits, show_plain};
pub use spelling::{Prefix, Scale, Spelling};

pub use uom::si::f64::{
    Capacitance, ElectricCurrent as Current, ElectricPotential as Voltage,
    ElectricalConductance as Transconductance, ElectricalResistance as Resistance, Frequency,
    Inductance, Power, Ratio, TemperatureInterval as TemperatureRise, ThermalResistance,
    ThermodynamicTemperature as Temperature, Time,
};

/// The order of things by a figure of each, the least first: for `sort_by`, `min_by` and `max_by`.
pub fn by<T>(figure: impl Fn(&T) -> f64) -> impl Fn(&T, &T) -> std::cmp::Ordering {
    move |one, other| figure(one).total_cmp(&figure(other))
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
