//! Options of `example`.

use crate::api::typed::SHIPPED;
use clap::{
    Arg, Args, Command, Error,
    ValueHint::FilePath,
    builder::{PossibleValue, StringValueParser, TypedValueParser},
};
use std::{ffi::OsStr, path::PathBuf};

/// Arguments of `example`.
#[derive(Debug, Args)]
pub struct ExampleArgs {
    /// Name of a profile
    #[arg(value_parser = Named, hide_possible_values = true)]
    pub name: Option<String>,
    /// File to write instead
    #[arg(short, long, value_name = "FILE", value_hint = FilePath, requires = "name")]
    pub output: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long, requires = "output")]
    pub force: bool,
}

/// Any name, so that a wrong one is told the nearest; shells complete those that are there.
#[derive(Debug, Clone)]
struct Named;

impl TypedValueParser for Named {
    type Value = String;

    fn parse_ref(&self, cmd: &Command, arg: Option<&Arg>, value: &OsStr) -> Result<String, Error> {
        StringValueParser::new().parse_ref(cmd, arg, value)
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        Some(Box::new(SHIPPED.iter().map(|(name, _)| PossibleValue::new(*name))))
    }
}
