//! Options of the commands that follow a set through many points.

use super::{
    offered,
    outlet::{OutletArgs, RequestArgs},
    plan::{FormArgs, SetArgs},
};
use crate::api::{
    With,
    typed::{Over, USUAL_DRAWS, USUAL_SEED},
};
use clap::{Args, ValueEnum, ValueHint::FilePath};
use std::path::PathBuf;

/// Arguments of `sweep`.
#[derive(Debug, Args)]
pub struct SweepArgs {
    /// The set
    #[command(flatten)]
    pub set: SetArgs,
    /// What to vary
    #[arg(long, value_enum, default_value_t = Over::Line, value_name = "WHAT")]
    pub over: Over,
    /// First value: volts, or ohms over a resistor
    #[arg(long, value_name = "VALUE")]
    pub from: Option<String>,
    /// Last value
    #[arg(long, value_name = "VALUE")]
    pub to: Option<String>,
    /// Number of points, 2 to 1000
    #[arg(long, default_value_t = 11, value_name = "N")]
    pub points: usize,
    /// Quantities to show, such as B+,heater.main,V5.plate_power (a wrong one lists them all)
    #[arg(long, value_delimiter = ',', value_name = "KEYS", add = offered::quantities())]
    pub show: Vec<String>,
    /// Outlet, where a resistor is varied
    #[command(flatten)]
    pub outlet: OutletArgs,
    /// Form of the output
    #[arg(long, value_enum, default_value_t = SweepFormat::Table, value_name = "FORM")]
    pub format: SweepFormat,
    /// Draws the quantities as curves into a new SVG file as well; `-` prints the SVG instead of the table
    #[arg(long, value_name = "PATH", value_hint = FilePath)]
    pub svg: Option<PathBuf>,
    /// Lets --svg replace a file that is there
    #[arg(long, requires = "svg")]
    pub force: bool,
}

/// Forms of a sweep.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SweepFormat {
    /// For reading
    Table,
    /// Comma-separated, SI units
    Csv,
    /// For machines
    Json,
}

/// Arguments of `switch-on`.
#[derive(Debug, Args)]
pub struct SwitchOnArgs {
    /// The set
    #[command(flatten)]
    pub set: SetArgs,
    /// The choice to follow beside the set as it is, where it is not what the plan advises
    #[arg(long, value_name = "CHOICE")]
    pub with: Option<With>,
    /// Outlet and target
    #[command(flatten)]
    pub request: RequestArgs,
    /// Form
    #[command(flatten)]
    pub form: FormArgs,
    /// Draws the curves into a new SVG file as well; `-` prints the SVG instead of the table
    #[arg(long, value_name = "PATH", value_hint = FilePath)]
    pub svg: Option<PathBuf>,
    /// Lets --svg replace a file that is there
    #[arg(long, requires = "svg")]
    pub force: bool,
}

/// Arguments of `tolerance`.
#[derive(Debug, Args)]
pub struct ToleranceArgs {
    /// The set
    #[command(flatten)]
    pub set: SetArgs,
    /// The choice to draw for beside the set as it is, where it is not what the plan advises
    #[arg(long, value_name = "CHOICE")]
    pub with: Option<With>,
    /// How many sets to draw, 10 to 100000
    #[arg(long, value_name = "N", default_value_t = USUAL_DRAWS)]
    pub draws: usize,
    /// Where the draws start: the same number gives the same figures
    #[arg(long, value_name = "N", default_value_t = USUAL_SEED)]
    pub seed: u64,
    /// Outlet
    #[command(flatten)]
    pub outlet: OutletArgs,
    /// Form
    #[command(flatten)]
    pub form: FormArgs,
}
