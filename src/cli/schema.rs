//! The `schema` command: the JSON Schemas of what is read and written.

use super::args::{SchemaArgs, SchemaOf};
use super::outcome::{Outcome, Result};
use crate::{profile, study};

/// Prints a schema.
pub(super) fn schema(args: &SchemaArgs) -> Result {
    Outcome::json(&match args.of {
        SchemaOf::Profile => profile::profile_schema(),
        SchemaOf::Plan => study::plan_schema(),
    })
}
