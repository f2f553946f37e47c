//! Options of `example`.

use super::offered;
use clap::{Args, ValueHint::FilePath};
use std::path::PathBuf;

/// Arguments of `example`.
#[derive(Debug, Args)]
pub struct ExampleArgs {
    /// Name of a profile
    #[arg(add = offered::examples())]
    pub name: Option<String>,
    /// File to write instead
    #[arg(short, long, value_name = "FILE", value_hint = FilePath, requires = "name")]
    pub output: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long, requires = "output")]
    pub force: bool,
}
