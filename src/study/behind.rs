//! What a step transformer or another tap gives by itself, and what remains to be fitted behind it.

use super::Serialize;
use crate::adaptation::{Bought, Method};

/// What a step transformer gives with the set on it, and what is fitted behind it; of another tap, the outlet and the part in
/// the lead.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Behind {
    /// Its output at the lowest outlet volts, the set straight on it, V RMS.
    pub gives_low_v: f64,
    /// The same on the usual line.
    pub gives_usual_v: f64,
    /// The same at the highest.
    pub gives_high_v: f64,
    /// True if the set may stand straight on it: nothing remains to be fitted.
    pub enough: bool,
    /// What is fitted between it and the set; none where nothing remains, or nothing is acceptable.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub method: Option<Method>,
    /// That part.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub part: Option<Bought>,
    /// Its value: Ω, volts of a tap or of a secondary.
    pub part_value: Option<f64>,
    /// What was tried there before, and what speaks against it.
    pub refused: Vec<SecondRefused>,
}

/// A second part that does not serve.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SecondRefused {
    /// What.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub method: Method,
    /// The first reason against it.
    pub why: String,
}
