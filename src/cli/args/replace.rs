//! Options of `replace`.

use super::divider::DividerFormat;
use super::outlet::OutletArgs;
use crate::study::{ReplaceBy, Replaced};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Arguments of `replace`.
#[derive(Debug, Args)]
pub struct ReplaceArgs {
    /// The set's profile; `-` reads standard input
    #[arg(value_hint = clap::ValueHint::FilePath)]
    pub file: PathBuf,
    /// What is replaced
    #[arg(value_enum, value_name = "PART")]
    pub part: PartArg,
    /// What takes its place, where it is not what is advised
    #[arg(long, value_enum, value_name = "WHAT")]
    pub with: Option<ByArg>,
    /// File for the changed profile; never over the original
    #[arg(short, long, value_name = "FILE", value_hint = clap::ValueHint::FilePath)]
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

/// What can be replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PartArg {
    /// The speaker's field coil, by a choke and a resistor; across the supply by a bleeder
    FieldCoil,
    /// A rectifier tube, by silicon and a resistor
    Rectifier,
    /// What stands in series with the heaters: a resistor, a line cord, a ballast
    Dropper,
    /// A ballast tube or a barretter
    Ballast,
}

/// What may take its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ByArg {
    /// For a field coil: a choke, with a resistor for the rest of its ohms
    Choke,
    /// A resistor; for a field coil with a larger second capacitor
    Resistor,
    /// For a dropper: a capacitor
    Capacitor,
}

impl From<PartArg> for Replaced {
    fn from(part: PartArg) -> Replaced {
        match part {
            PartArg::FieldCoil => Replaced::FieldCoil,
            PartArg::Rectifier => Replaced::Rectifier,
            PartArg::Dropper => Replaced::Dropper,
            PartArg::Ballast => Replaced::Ballast,
        }
    }
}

impl From<ByArg> for ReplaceBy {
    fn from(by: ByArg) -> ReplaceBy {
        match by {
            ByArg::Choke => ReplaceBy::Choke,
            ByArg::Resistor => ReplaceBy::Resistor,
            ByArg::Capacitor => ReplaceBy::Capacitor,
        }
    }
}
