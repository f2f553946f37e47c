//! Options of `divider`.

use super::{
    outlet::LineArgs,
    plan::FormArgs,
    values::{meter, positive, signed_volts, tap_load},
};
use crate::api::{
    divider::{TapLoad, Voltmeter},
    units::{Current, Resistance, Voltage},
};
use clap::{Args, ValueHint::FilePath};
use std::path::PathBuf;

/// Arguments of `divider`.
#[derive(Debug, Args)]
pub struct DividerArgs {
    /// Profile of a set, for one of its own dividers; `-` reads standard input
    #[arg(value_hint = FilePath)]
    pub file: Option<PathBuf>,
    /// Name of the set's divider, where it has more than one
    #[arg(long, value_name = "NAME")]
    pub of: Option<String>,
    /// Outlet
    #[command(flatten)]
    pub outlet: LineArgs,
    /// Source of a bare divider, DC against chassis: 250V, or -60V for a back bias
    #[arg(long, value_name = "VOLTS", value_parser = signed_volts, allow_hyphen_values = true)]
    pub from: Option<Voltage>,
    /// Its resistors from the source down: taps follow
    #[arg(long, value_name = "OHMS", value_delimiter = ',', value_parser = positive::<Resistance>)]
    pub resistors: Vec<Resistance>,
    /// Volts wanted at its taps, from the source down: resistors follow
    #[arg(long, value_name = "VOLTS", value_delimiter = ',', value_parser = signed_volts, allow_hyphen_values = true)]
    pub taps: Vec<Voltage>,
    /// All resistors together, where taps are wanted
    #[arg(long, value_name = "OHMS", value_parser = positive::<Resistance>)]
    pub total: Option<Resistance>,
    /// Current in the last resistor, where taps are wanted
    #[arg(long, value_name = "CURRENT", value_parser = positive::<Current>)]
    pub bleed: Option<Current>,
    /// What each tap feeds, from the source down: 5mA, 47kohm to chassis, or 0
    #[arg(long, value_delimiter = ',', value_parser = tap_load)]
    pub loads: Vec<TapLoad>,
    /// Meters to read it with instead of the usual three: 10Mohm, 20kohm/V, 1kohm/V@250V
    #[arg(long, value_name = "METERS", value_delimiter = ',', value_parser = meter)]
    pub meter: Vec<Voltmeter>,
    /// Adds the sums as one writes them on paper
    #[arg(long)]
    pub working: bool,
    /// Form
    #[command(flatten)]
    pub form: FormArgs,
}
