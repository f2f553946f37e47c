//! Options of `new`.

use super::{
    offered,
    outlet::OutletArgs,
    values::{dropper, high_voltage, mains, name, positive},
};
use crate::api::{
    Error,
    draft::{Between, BiasFrom, Feed, Lead, NewDropper, NewSet, RectifierCircuit, Winding},
    units::{Capacitance, Frequency, Power, Resistance, Voltage},
};
use clap::{Args, ValueHint::FilePath};
use std::path::PathBuf;

/// Arguments of `new`.
#[derive(Debug, Args)]
pub struct NewArgs {
    /// File to write
    #[arg(short, long, value_name = "FILE", value_hint = FilePath)]
    pub output: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long)]
    pub force: bool,
    /// What is said of the set
    #[command(flatten)]
    pub said: SaidArgs,
}

/// What is said of a new set.
#[derive(Debug, Clone, Args)]
pub struct SaidArgs {
    /// Name of the set, which heads the plan and the note
    #[arg(long, value_name = "TEXT", value_parser = name)]
    pub name: Option<String>,
    /// Year it was made
    #[arg(long, value_parser = clap::value_parser!(i32).range(1900..=2100))]
    pub year: Option<i32>,
    /// Mains volts it was made for: the nameplate, or the tap in use
    #[arg(long, value_name = "VOLTS", value_parser = mains)]
    pub design_line: Option<Voltage>,
    /// Mains frequency it was made for
    #[arg(long, value_name = "HERTZ", value_parser = positive::<Frequency>)]
    pub frequency: Option<Frequency>,
    /// Watts of the nameplate
    #[arg(long, value_name = "WATTS", value_parser = positive::<Power>)]
    pub nameplate: Option<Power>,
    /// Tubes, such as 6A8,6K7,6F6; the rectifier may be among them
    #[arg(long, value_delimiter = ',', value_name = "TYPES", add = offered::tubes())]
    pub tubes: Vec<String>,
    /// Rectifier, its type once for each tube; `selenium` and `silicon` are types too
    #[arg(long, value_delimiter = ',', value_name = "TYPE", add = offered::rectifiers())]
    pub rectifier: Vec<String>,
    /// How its diodes are joined, where it is not as customary
    #[arg(long)]
    pub circuit: Option<RectifierCircuit>,
    /// What feeds the set; told from its tubes where it is left out
    #[arg(long, value_name = "WHAT")]
    pub supply: Option<Feed>,
    /// What stands in series with heaters on the line: none, resistor, line-cord, ballast, barretter; with a value as in
    /// line-cord=160ohm, ballast=48V or barretter=TYPE. Worked out where it is left out
    #[arg(long, value_name = "KIND", value_parser = dropper)]
    pub dropper: Option<NewDropper>,
    /// Dial lamps, such as 47,47
    #[arg(long, value_delimiter = ',', value_name = "TYPES", add = offered::lamps())]
    pub lamps: Vec<String>,
    /// The rectifier works into a choke, not into a capacitor
    #[arg(long)]
    pub choke_input: bool,
    /// The loudspeaker's field coil stands between the filter capacitors, in this lead
    #[arg(long, value_name = "LEAD", group = "between")]
    pub field_coil: Option<Lead>,
    /// A choke stands there
    #[arg(long, value_name = "LEAD", group = "between")]
    pub choke: Option<Lead>,
    /// A resistor stands there
    #[arg(long, value_name = "LEAD", group = "between")]
    pub resistor: Option<Lead>,
    /// The loudspeaker's field coil lies across the supply
    #[arg(long, conflicts_with = "field_coil")]
    pub field_across: bool,
    /// Cold ohms of what stands between, else of the field across, by ohmmeter
    #[arg(long, value_name = "OHMS", value_parser = positive::<Resistance>)]
    pub coil: Option<Resistance>,
    /// The filter capacitors as printed, in their order, such as 8uF,16uF
    #[arg(long, value_delimiter = ',', value_name = "VALUES", value_parser = positive::<Capacitance>)]
    pub capacitors: Vec<Capacitance>,
    /// Where the grids get their bias
    #[arg(long, value_enum, default_value_t = BiasFrom::Cathodes, value_name = "WHERE")]
    pub bias: BiasFrom,
    /// B+ of the service sheet, DC volts on the design line
    #[arg(long, value_name = "VOLTS", value_parser = high_voltage, conflicts_with_all = ["per_half", "winding"])]
    pub b_plus: Option<Voltage>,
    /// AC volts of each half of the high-voltage winding, instead of B+
    #[arg(long, value_name = "VOLTS", value_parser = high_voltage, conflicts_with = "winding")]
    pub per_half: Option<Voltage>,
    /// AC volts of a whole high-voltage winding without a center tap, instead of B+
    #[arg(long, value_name = "VOLTS", value_parser = high_voltage)]
    pub winding: Option<Voltage>,
    /// Ohms of the primary, by ohmmeter
    #[arg(long, value_name = "OHMS", value_parser = positive::<Resistance>)]
    pub primary: Option<Resistance>,
    /// Outlet
    #[command(flatten)]
    pub outlet: OutletArgs,
}

impl SaidArgs {
    /// Whether an interview is wanted: neither volts nor tubes are said.
    pub fn asked(&self) -> bool {
        self.design_line.is_none() && self.tubes.is_empty()
    }

    /// What a set cannot do without, where it is missing.
    pub fn missing(&self) -> Option<&'static str> {
        match (self.design_line, self.tubes.is_empty()) {
            (None, _) => Some("--design-line VOLTS"),
            (Some(_), true) => Some("--tubes TYPES"),
            (Some(_), false) => None,
        }
    }

    /// The set as it was said.
    ///
    /// # Errors
    /// A log of the outlet that cannot be read, or what is wrong in it.
    pub fn set(&self) -> Result<NewSet, Error> {
        let SaidArgs {
            name,
            year,
            design_line,
            frequency,
            nameplate,
            outlet,
            supply: feed,
            tubes,
            rectifier: rectifiers,
            circuit,
            dropper,
            lamps,
            choke_input,
            field_coil,
            choke,
            resistor,
            field_across,
            coil,
            capacitors,
            bias,
            b_plus,
            per_half,
            winding,
            primary,
        } = self.clone();
        let between = [
            (Between::FieldCoil, field_coil),
            (Between::Choke, choke),
            (Between::Resistor, resistor),
        ];
        Ok(NewSet {
            name,
            year,
            design_line: design_line.unwrap_or_default(),
            frequency,
            nameplate,
            outlet: outlet.choice()?,
            feed,
            tubes,
            rectifiers,
            circuit,
            dropper,
            lamps,
            choke_input,
            between: between.into_iter().find_map(|(what, lead)| Some((what, lead?))),
            field_across,
            coil,
            capacitors,
            bias,
            b_plus,
            winding: per_half.map(Winding::PerHalf).or(winding.map(Winding::Whole)),
            primary,
        })
    }
}
