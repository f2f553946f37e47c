//! The `schema` command: the JSON Schemas of what is read and written.

use super::run::{Outcome, json};
use crate::{profile, study};
use clap::{Args, ValueEnum};

/// Arguments of `schema`.
#[derive(Debug, Args)]
pub struct SchemaArgs {
    /// Of what
    #[arg(value_enum, value_name = "OF")]
    pub of: SchemaOf,
}

/// What has a schema.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SchemaOf {
    /// The profile of a set: an editor completes and checks it with this
    Profile,
    /// The JSON of a plan
    Plan,
}

/// Prints a schema.
pub(super) fn schema(args: &SchemaArgs) -> Outcome {
    match args.of {
        SchemaOf::Profile => json(&profile::profile_schema()),
        SchemaOf::Plan => json(&study::plan_schema()),
    }
}
