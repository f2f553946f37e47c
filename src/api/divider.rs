//! Dividers by themselves: resistors from a source down, with loads and meters at their taps.
//!
//! ```
//! use mainsfit::divider::{Known, Request, Voltmeter, divider};
//!
//! let known = Known::Resistors(vec![390e3, 82e3, 18e3]);
//! let request = Request { from_v: 75.0, known, loads: vec![], meters: Voltmeter::USUAL.to_vec() };
//! let found = divider(&request)?;
//! assert!((found.taps[1].volts_v - 75.0 * 18.0 / 490.0).abs() < 1e-9);
//! # Ok::<(), mainsfit::Error>(())
//! ```

use super::Error;
use crate::study;

pub use crate::study::{
    DividerKnown as Known, DividerRequest as Request, DividerSize as Size, DividerStudy as Divider,
    MOST_ARMS, TapLoad, Voltmeter,
};

/// Works out a divider by itself.
///
/// # Errors
/// It cannot be had: what is wrong, and what to write instead.
pub fn divider(request: &Request) -> Result<Divider, Error> {
    Ok(study::divider(request)?)
}
