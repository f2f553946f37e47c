//! Quantities with their units, and the way they are written: `124 V`, `1.5 kΩ`, `8 µF`.
//!
//! The types are those of the crate `uom`, in `f64` and SI.
//!
//! ```
//! use mainsfit::units::{Sign, Voltage, parse, show, volt};
//!
//! let line: Voltage = parse("124 V", Sign::Positive)?;
//! assert_eq!(line, Voltage::new::<volt>(124.0));
//! assert_eq!(show(line), "124 V");
//! assert!(parse::<Voltage>("124", Sign::Positive).unwrap_err().to_string().contains("unit"));
//! # Ok::<(), mainsfit::units::QuantityError>(())
//! ```

pub use crate::quantity::{
    Capacitance, Current, Frequency, Inductance, Power, Quantity, QuantityError, Resistance, Sign,
    Voltage, parse, show,
};
pub use uom::si::{
    capacitance::microfarad,
    electric_current::{ampere, milliampere},
    electric_potential::volt,
    electrical_resistance::{kiloohm, ohm},
    frequency::hertz,
    inductance::henry,
    power::watt,
};
