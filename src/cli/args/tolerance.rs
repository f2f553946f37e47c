//! Options of `tolerance`.

use super::{OutletArgs, PlanFormat, WithArg};
use crate::study::{USUAL_DRAWS, USUAL_SEED};
use clap::Args;
use std::path::PathBuf;

/// Arguments of `tolerance`.
#[derive(Debug, Args)]
pub struct ToleranceArgs {
    /// The set's profile; `-` reads standard input
    #[arg(value_name = "FILE", value_hint = clap::ValueHint::FilePath)]
    pub file: PathBuf,
    /// The choice to draw for beside the set as it is, where it is not what the plan advises
    #[arg(long, value_enum, value_name = "CHOICE")]
    pub with: Option<WithArg>,
    /// How many sets to draw, 10 to 100000
    #[arg(long, value_name = "N", default_value_t = USUAL_DRAWS)]
    pub draws: usize,
    /// Where the draws start: the same number gives the same figures
    #[arg(long, value_name = "N", default_value_t = USUAL_SEED)]
    pub seed: u64,
    /// Outlet
    #[command(flatten)]
    pub outlet: OutletArgs,
    /// Form of the output
    #[arg(long, value_enum, default_value_t = PlanFormat::Text, value_name = "FORM")]
    pub format: PlanFormat,
}
