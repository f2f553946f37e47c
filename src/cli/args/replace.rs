//! Options of `replace`.

use super::{
    outlet::OutletArgs,
    plan::{FormArgs, SetArgs},
};
use crate::api::typed::{ReplaceBy, Replaced};
use clap::{Args, ValueHint::FilePath};
use std::path::PathBuf;

/// Arguments of `replace`.
#[derive(Debug, Args)]
pub struct ReplaceArgs {
    /// The set
    #[command(flatten)]
    pub set: SetArgs,
    /// What is replaced
    pub part: Replaced,
    /// What takes its place, where it is not what is advised
    #[arg(long, value_name = "WHAT")]
    pub with: Option<ReplaceBy>,
    /// File for the changed profile; never over the original
    #[arg(short, long, value_name = "FILE", value_hint = FilePath)]
    pub output: Option<PathBuf>,
    /// Write over another file that is there
    #[arg(long, requires = "output")]
    pub force: bool,
    /// Outlet
    #[command(flatten)]
    pub outlet: OutletArgs,
    /// Form
    #[command(flatten)]
    pub form: FormArgs,
}
