//! The forms of JSON by their names.

use schemars::JsonSchema;
use serde::Serialize;

/// Name and version of the JSON form of a sweep.
pub const SWEEP: &str = "mainsfit.sweep/1";
/// Of what a fit found.
pub const FIT: &str = "mainsfit.fit/1";
/// Of a divider.
pub const DIVIDER: &str = "mainsfit.divider/1";
/// Of what takes a part's place.
pub const REPLACE: &str = "mainsfit.replace/1";
/// Of what went wrong.
pub const ERROR: &str = "mainsfit.error/1";

/// An answer with the name of its form.
#[derive(Serialize, JsonSchema)]
pub struct Form<'a, T> {
    // what it begins with, cautions, comes first
    #[serde(flatten)]
    pub found: &'a T,
    /// Name and version of this form.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
}
