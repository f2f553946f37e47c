//! Options of `new`.

use super::outlet::OutletArgs;
use super::values::{high_voltage, mains, name, positive};
use crate::profile::Lead;
use crate::quantity::{Power, Voltage};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Arguments of `new`.
#[derive(Debug, Args)]
pub struct NewArgs {
    /// File to write
    #[arg(short, long, value_name = "FILE", value_hint = clap::ValueHint::FilePath)]
    pub output: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long, requires = "output")]
    pub force: bool,
    /// Name of the set, which heads the plan and the note
    #[arg(long, value_name = "TEXT", value_parser = name)]
    pub name: Option<String>,
    /// Year it was made
    #[arg(long, value_name = "YEAR", value_parser = clap::value_parser!(i32).range(1900..=2100))]
    pub year: Option<i32>,
    /// Mains volts it was made for: the nameplate, or the tap in use
    #[arg(long, value_name = "VOLTS", value_parser = mains)]
    pub design_line: Voltage,
    /// Watts of the nameplate
    #[arg(long, value_name = "WATTS", value_parser = positive::<Power>)]
    pub nameplate: Option<Power>,
    /// Tubes, the rectifier excepted, such as 6A8,6K7,6F6
    #[arg(long, required = true, value_delimiter = ',', value_name = "TYPES")]
    pub tubes: Vec<String>,
    /// Rectifier tube
    #[arg(long, value_name = "TYPE")]
    pub rectifier: String,
    /// Dial lamps, such as 47,47
    #[arg(long, value_delimiter = ',', value_name = "TYPES")]
    pub lamps: Vec<String>,
    /// The loudspeaker's field coil stands between the filter capacitors, in this lead
    #[arg(long, value_name = "LEAD", group = "between")]
    pub field_coil: Option<LeadArg>,
    /// A choke stands there
    #[arg(long, value_name = "LEAD", group = "between")]
    pub choke: Option<LeadArg>,
    /// A resistor stands there
    #[arg(long, value_name = "LEAD", group = "between")]
    pub resistor: Option<LeadArg>,
    /// Where the grids get their bias
    #[arg(long, value_enum, default_value_t = BiasArg::Cathodes, value_name = "WHERE")]
    pub bias: BiasArg,
    /// B+ of the service sheet, DC volts on the design line
    #[arg(long, value_name = "VOLTS", value_parser = high_voltage, conflicts_with = "per_half")]
    pub b_plus: Option<Voltage>,
    /// AC volts of each half of the high-voltage winding, instead of B+
    #[arg(long, value_name = "VOLTS", value_parser = high_voltage)]
    pub per_half: Option<Voltage>,
    /// Outlet
    #[command(flatten)]
    pub outlet: OutletArgs,
}

/// A lead of the high-voltage supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LeadArg {
    /// From the rectifier to B+
    Positive,
    /// From chassis to the transformer's centre tap
    Negative,
}

impl From<LeadArg> for Lead {
    fn from(lead: LeadArg) -> Lead {
        match lead {
            LeadArg::Positive => Lead::Positive,
            LeadArg::Negative => Lead::Negative,
        }
    }
}

/// Where bias comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum BiasArg {
    /// Resistors at the cathodes
    Cathodes,
    /// Taps across the field coil in the negative lead
    FieldCoil,
}
