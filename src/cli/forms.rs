//! The forms of JSON by their names, and the schema of each.

use super::{Outcome, Result, args::SchemaOf, outcome::Errors};
use crate::api::{
    Fit, Plan, Replacement, Set, Sweep, SwitchOn, Tolerances,
    divider::Divider,
    typed::{POWER_UP_SCHEMA, PowerUpFound, SWITCH_ON_SCHEMA, TOLERANCE_SCHEMA, closed_schema},
};
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

/// Prints a schema.
pub fn schema(of: SchemaOf) -> Result {
    Outcome::json(&match of {
        SchemaOf::Profile => Set::schema(),
        SchemaOf::Plan => Plan::schema(),
        SchemaOf::PowerUp => closed_schema::<PowerUpFound>(POWER_UP_SCHEMA),
        SchemaOf::Fit => closed_schema::<Form<'_, Fit>>(FIT),
        SchemaOf::Sweep => closed_schema::<Form<'_, Sweep>>(SWEEP),
        SchemaOf::SwitchOn => closed_schema::<SwitchOn>(SWITCH_ON_SCHEMA),
        SchemaOf::Tolerance => closed_schema::<Tolerances>(TOLERANCE_SCHEMA),
        SchemaOf::Replace => closed_schema::<Form<'_, Replacement>>(REPLACE),
        SchemaOf::Divider => closed_schema::<Form<'_, Divider>>(DIVIDER),
        SchemaOf::Error => closed_schema::<Errors<'_>>(ERROR),
    })
}
