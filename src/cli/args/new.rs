//! Options of `new`.

use super::outlet::OutletArgs;
use super::values::{dropper, high_voltage, mains, name, positive};
use crate::profile::{Lead, RectifierCircuit};
use crate::quantity::{Capacitance, Frequency, Power, Resistance, Voltage};
use crate::study::{Between, BiasFrom, Feed, NewDropper, NewSet, Winding};
use clap::builder::PossibleValue;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Arguments of `new`.
#[derive(Debug, Args)]
pub struct NewArgs {
    /// File to write
    #[arg(short, long, value_name = "FILE", value_hint = clap::ValueHint::FilePath)]
    pub output: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long)]
    pub force: bool,
    /// What is said of the set
    #[command(flatten)]
    pub said: SaidArgs,
}

/// What is said of a new set.
#[derive(Debug, Args)]
pub struct SaidArgs {
    /// Name of the set, which heads the plan and the note
    #[arg(long, value_name = "TEXT", value_parser = name)]
    pub name: Option<String>,
    /// Year it was made
    #[arg(long, value_name = "YEAR", value_parser = clap::value_parser!(i32).range(1900..=2100))]
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
    #[arg(long, value_delimiter = ',', value_name = "TYPES")]
    pub tubes: Vec<String>,
    /// Rectifier, its type once for each tube; `selenium` and `silicon` are types too
    #[arg(long, value_delimiter = ',', value_name = "TYPE")]
    pub rectifier: Vec<String>,
    /// How its diodes are joined, where it is not as customary
    #[arg(long, value_enum, value_name = "CIRCUIT")]
    pub circuit: Option<RectifierCircuit>,
    /// What feeds the set; told from its tubes where it is left out
    #[arg(long, value_enum, value_name = "WHAT")]
    pub supply: Option<SupplyArg>,
    /// What stands in series with heaters on the line: none, resistor, line-cord, ballast, barretter; with a value as in
    /// line-cord=160ohm, ballast=48V or barretter=TYPE. Worked out where it is left out
    #[arg(long, value_name = "KIND", value_parser = dropper)]
    pub dropper: Option<NewDropper>,
    /// Dial lamps, such as 47,47
    #[arg(long, value_delimiter = ',', value_name = "TYPES")]
    pub lamps: Vec<String>,
    /// The rectifier works into a choke, not into a capacitor
    #[arg(long)]
    pub choke_input: bool,
    /// The loudspeaker's field coil stands between the filter capacitors, in this lead
    #[arg(long, value_name = "LEAD", group = "between")]
    pub field_coil: Option<LeadArg>,
    /// A choke stands there
    #[arg(long, value_name = "LEAD", group = "between")]
    pub choke: Option<LeadArg>,
    /// A resistor stands there
    #[arg(long, value_name = "LEAD", group = "between")]
    pub resistor: Option<LeadArg>,
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
    #[arg(long, value_enum, default_value_t = BiasArg::Cathodes, value_name = "WHERE")]
    pub bias: BiasArg,
    /// B+ of the service sheet, DC volts on the design line
    #[arg(long, value_name = "VOLTS", value_parser = high_voltage, conflicts_with_all = ["per_half", "winding"])]
    pub b_plus: Option<Voltage>,
    /// AC volts of each half of the high-voltage winding, instead of B+
    #[arg(long, value_name = "VOLTS", value_parser = high_voltage, conflicts_with = "winding")]
    pub per_half: Option<Voltage>,
    /// AC volts of a whole high-voltage winding without a centre tap, instead of B+
    #[arg(long, value_name = "VOLTS", value_parser = high_voltage)]
    pub winding: Option<Voltage>,
    /// Ohms of the primary, by ohmmeter
    #[arg(long, value_name = "OHMS", value_parser = positive::<Resistance>)]
    pub primary: Option<Resistance>,
    /// Outlet
    #[command(flatten)]
    pub outlet: OutletArgs,
}

/// A lead of the high-voltage supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LeadArg {
    /// From the rectifier to B+
    Positive,
    /// From chassis to the supply's negative end: the transformer's centre tap
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

/// What feeds a set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SupplyArg {
    /// A power transformer
    Transformer,
    /// One winding with taps: the chassis is live
    Autotransformer,
    /// The line itself, heaters in series: the chassis is live
    Line,
}

/// Where bias comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum BiasArg {
    /// Resistors at the cathodes
    Cathodes,
    /// Taps across the field coil in the negative lead
    FieldCoil,
    /// A resistor in the negative lead
    Resistor,
    /// A supply with a winding of its own
    Supply,
}

impl ValueEnum for RectifierCircuit {
    fn value_variants<'a>() -> &'a [RectifierCircuit] {
        &RectifierCircuit::ALL
    }
    fn to_possible_value(&self) -> Option<PossibleValue> {
        Some(PossibleValue::new(self.word()))
    }
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
    pub fn set(&self) -> NewSet {
        let between = [
            (Between::FieldCoil, self.field_coil),
            (Between::Choke, self.choke),
            (Between::Resistor, self.resistor),
        ];
        let winding = self.per_half.map(Winding::PerHalf).or(self.winding.map(Winding::Whole));
        NewSet {
            name: self.name.clone(),
            year: self.year,
            design_line: self.design_line.unwrap_or_default(),
            frequency: self.frequency,
            nameplate: self.nameplate,
            outlet: self.outlet.into(),
            feed: self.supply.map(|supply| match supply {
                SupplyArg::Transformer => Feed::Transformer,
                SupplyArg::Autotransformer => Feed::Autotransformer,
                SupplyArg::Line => Feed::Line,
            }),
            tubes: self.tubes.clone(),
            rectifiers: self.rectifier.clone(),
            circuit: self.circuit,
            dropper: self.dropper.clone(),
            lamps: self.lamps.clone(),
            choke_input: self.choke_input,
            between: between.into_iter().find_map(|(what, lead)| Some((what, Lead::from(lead?)))),
            field_across: self.field_across,
            coil: self.coil,
            capacitors: self.capacitors.clone(),
            bias: match self.bias {
                BiasArg::Cathodes => BiasFrom::Cathodes,
                BiasArg::FieldCoil => BiasFrom::FieldCoil,
                BiasArg::Resistor => BiasFrom::Resistor,
                BiasArg::Supply => BiasFrom::Supply,
            },
            b_plus: self.b_plus,
            winding,
            primary: self.primary,
        }
    }
}
