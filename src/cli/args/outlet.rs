//! The outlet on the command line.

use super::{
    offered,
    values::{mains, range, target},
};
use crate::api::{
    Options, Outlet, Target, draft::OutletChoice, typed::OutletRange, units::Voltage,
};
use clap::Args;

/// Outlet voltage on the command line.
#[derive(Debug, Clone, Copy, Args)]
pub struct OutletArgs {
    /// Usual volts and range
    #[command(flatten)]
    pub line: LineArgs,
    /// Lowest outlet voltage of the day
    #[arg(long, value_name = "VOLTS", value_parser = mains)]
    pub low: Option<Voltage>,
    /// Highest outlet voltage of the day
    #[arg(long, value_name = "VOLTS", value_parser = mains)]
    pub high: Option<Voltage>,
}

/// The usual volts alone.
#[derive(Debug, Clone, Copy, Args)]
pub struct LineArgs {
    /// Range of the outlet by name, such as north-america, instead of the profile's outlet; `mainsfit explain
    /// outlet.range` lists them
    #[arg(long, value_name = "PLACE", value_parser = range, add = offered::ranges())]
    pub range: Option<&'static OutletRange>,
    /// Usual outlet voltage instead of the profile's, such as 124V
    #[arg(long, value_name = "VOLTS", value_parser = mains)]
    pub line: Option<Voltage>,
}

/// Outlet and target of a plan.
#[derive(Debug, Clone, Copy, Args)]
pub struct RequestArgs {
    /// Outlet
    #[command(flatten)]
    pub outlet: OutletArgs,
    /// What the part is to reach: heaters, B+=250V, or line=112V (the set as it ran on that line)
    #[arg(long, value_parser = target)]
    pub target: Option<Target>,
}

impl From<LineArgs> for OutletChoice {
    fn from(args: LineArgs) -> OutletChoice {
        OutletChoice { usual: args.line, range: args.range, ..OutletChoice::default() }
    }
}

impl From<OutletArgs> for OutletChoice {
    fn from(args: OutletArgs) -> OutletChoice {
        OutletChoice { low: args.low, high: args.high, ..args.line.into() }
    }
}

impl From<LineArgs> for Outlet {
    fn from(args: LineArgs) -> Outlet {
        OutletChoice::from(args).into()
    }
}

impl From<OutletArgs> for Outlet {
    fn from(args: OutletArgs) -> Outlet {
        OutletChoice::from(args).into()
    }
}

impl RequestArgs {
    /// What is asked for beside the outlet.
    pub fn options(&self) -> Options {
        Options { target: self.target, ..Options::default() }
    }
}
