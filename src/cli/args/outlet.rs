//! The outlet on the command line.

use super::{
    offered,
    values::{mains, range, target},
};
use crate::api::{
    Error, Options, Outlet, OutletLog, Target, draft::OutletChoice, typed::OutletRange,
    units::Voltage,
};
use clap::{Args, ValueHint::FilePath};
use std::{path::PathBuf, sync::Arc};

/// Outlet voltage on the command line.
#[derive(Debug, Clone, Args)]
pub struct OutletArgs {
    /// Usual volts and range
    #[command(flatten)]
    pub line: LineArgs,
    /// Lowest outlet voltage of the day
    #[arg(long, value_name = "VOLTS", value_parser = mains, conflicts_with = "outlet_log")]
    pub low: Option<Voltage>,
    /// Highest outlet voltage of the day
    #[arg(long, value_name = "VOLTS", value_parser = mains, conflicts_with = "outlet_log")]
    pub high: Option<Voltage>,
}

/// The usual volts alone.
#[derive(Debug, Clone, Args)]
pub struct LineArgs {
    /// Range of the outlet by name, such as north-america, instead of the profile's outlet; `mainsfit explain
    /// outlet.range` lists them
    #[arg(long, value_name = "PLACE", value_parser = range, add = offered::ranges())]
    pub range: Option<&'static OutletRange>,
    /// Usual outlet voltage instead of the profile's, such as 124V
    #[arg(long, value_name = "VOLTS", value_parser = mains)]
    pub line: Option<Voltage>,
    /// Readings of the outlet through a few days instead of the profile's outlet: comma-separated time and volts, a line
    /// each, such as 2026-11-03 07:40,121.8; `-` reads standard input
    #[arg(long, value_name = "FILE", value_hint = FilePath, conflicts_with = "line")]
    pub outlet_log: Option<PathBuf>,
}

/// Outlet and target of a plan.
#[derive(Debug, Clone, Args)]
pub struct RequestArgs {
    /// Outlet
    #[command(flatten)]
    pub outlet: OutletArgs,
    /// What the part is to reach: heaters, B+=250V, or line=112V (the set as it ran on that line)
    #[arg(long, value_parser = target)]
    pub target: Option<Target>,
}

impl LineArgs {
    /// As it was typed, its log read.
    ///
    /// # Errors
    /// A log that cannot be read, or what is wrong in it.
    pub fn choice(&self) -> Result<OutletChoice, Error> {
        let log = self.outlet_log.as_ref().map(OutletLog::load).transpose()?;
        let (usual, range) = (self.line, self.range);
        Ok(OutletChoice { usual, range, log: log.map(Arc::new), ..OutletChoice::default() })
    }

    /// The outlet.
    ///
    /// # Errors
    /// As [`LineArgs::choice`].
    pub fn outlet(&self) -> Result<Outlet, Error> {
        self.choice().map(Outlet::from)
    }
}

impl OutletArgs {
    /// As it was typed, its log read.
    ///
    /// # Errors
    /// As [`LineArgs::choice`].
    pub fn choice(&self) -> Result<OutletChoice, Error> {
        Ok(OutletChoice { low: self.low, high: self.high, ..self.line.choice()? })
    }

    /// The outlet.
    ///
    /// # Errors
    /// As [`LineArgs::choice`].
    pub fn outlet(&self) -> Result<Outlet, Error> {
        self.choice().map(Outlet::from)
    }
}

impl RequestArgs {
    /// What is asked for beside the outlet.
    pub fn options(&self) -> Options {
        Options { target: self.target, ..Options::default() }
    }
}
