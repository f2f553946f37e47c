//! A new profile from a few words about a set: what was said, what its tubes tell, what is guessed and marked so.
//!
//! ```
//! use mainsfit::draft::{NewSet, draft};
//! use mainsfit::units::{Voltage, volt};
//!
//! let said = NewSet {
//!     design_line: Voltage::new::<volt>(117.0),
//!     tubes: ["12SA7", "12SK7", "12SQ7", "50L6GT", "35Z5GT"].map(String::from).to_vec(),
//!     ..NewSet::default()
//! };
//! assert!(draft(&said)?.text().contains("heater_string:"));
//! # Ok::<(), mainsfit::Error>(())
//! ```

use super::Error;
use crate::study;

pub use crate::{
    profile::{Lead, RectifierCircuit},
    study::{
        Between, BiasFrom, Blank as Draft, BlankError as DraftError, Bulb, Feed, Heaters,
        NewDropper, NewSet, OutletChoice, Winding, heaters,
    },
};

/// Works out the profile.
///
/// # Errors
/// What was said does not go together, or a type is not known.
pub fn draft(said: &NewSet) -> Result<Draft, Error> {
    Ok(tried(said)?)
}

/// The same with the error as data.
///
/// # Errors
/// As [`draft`].
pub fn tried(said: &NewSet) -> Result<Draft, DraftError> {
    study::blank(said)
}
