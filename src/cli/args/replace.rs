//! Options of `replace`.

use super::{divider::DividerFormat, outlet::OutletArgs, plan::SetArgs};
use crate::study::{ReplaceBy, Replaced};
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
    /// Form of the output
    #[arg(long, value_enum, default_value_t = DividerFormat::Text, value_name = "FORM")]
    pub format: DividerFormat,
}
