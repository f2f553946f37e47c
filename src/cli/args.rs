//! What can be typed.

mod divider;
mod new;
mod outlet;
mod replace;
mod values;

pub use divider::{DividerArgs, DividerFormat};
pub use new::NewArgs;
pub use replace::ReplaceArgs;
pub use values::sweep_end;
pub(super) use values::{high_voltage, mains, name, positive};

use crate::adaptation::With;
use crate::study::{Over, USUAL_DRAWS, USUAL_SEED};
use clap::builder::PossibleValue;
use clap::{Args, Parser, Subcommand, ValueEnum};
use outlet::{OutletArgs, RequestArgs};
use std::path::PathBuf;

/// Plans how an old mains-powered tube receiver is adapted to today's outlet voltage.
///
/// A set is described in a profile (YAML, one file per set; see docs/profile.md). Figures come from a solved
/// circuit. Lethal voltages: every plan carries cautions, and no option removes them.
#[derive(Debug, Parser)]
#[command(name = "mainsfit", version, max_term_width = 96, arg_required_else_help = true)]
pub struct Cli {
    /// What to do
    #[command(subcommand)]
    pub command: Command,
    /// When to colour text
    #[arg(
        long,
        global = true,
        value_enum,
        default_value_t = Colour::Auto,
        value_name = "WHEN",
        display_order = 900
    )]
    pub colour: Colour,
}

/// When to colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Colour {
    /// On a terminal, unless NO_COLOR is set
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

/// The help of a command by which someone opens a set: examples, and what comes first.
macro_rules! opens_a_set {
    ($examples:literal) => {
        concat!(
            $examples,
            "\n\nLethal voltages inside, also after the plug is out. Follow local electrical codes; they may reserve\nwork on line wiring for a licensed practitioner."
        )
    };
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Compares what could stand in the mains lead of a set and says which is advised
    #[command(after_help = opens_a_set!("Example:\n  mainsfit plan profiles/console-1936.yaml --line 124V"))]
    Plan(PlanArgs),
    /// Writes a profile to fill in: what you say, guesses marked as such, and how to measure the rest
    #[command(
        after_help = opens_a_set!("Without options, on a terminal, it asks: a few questions, each of which may be left open.\n\nExample:\n  mainsfit new\n  mainsfit new -o myset.yaml --name \"Six-tube table set\" --design-line 115V --tubes 6A8,6K7,6Q7,6F6 --rectifier 5Y3-GT --field-coil negative\n  mainsfit new --design-line 117V --tubes 12SA7,12SK7,12SQ7,50L6GT,35Z5GT --lamps 47\n\nTubes made for heaters in series on the line are recognized: LIVE CHASSIS. Without -o the profile goes\nto standard output.")
    )]
    New(NewArgs),
    /// Reads a profile and lists everything wrong or odd in it
    #[command(after_help = "Example:\n  mainsfit check profiles/console-1936.yaml")]
    Check(CheckArgs),
    /// Writes the modification note: a sheet to print and leave in the cabinet
    #[command(
        after_help = opens_a_set!("Example:\n  mainsfit note profiles/console-1936.yaml -o console-note.html\n\nWithout -o the note goes to standard output, as Markdown.")
    )]
    Note(NoteArgs),
    /// Fits a set to the readings in its profile and says what moved
    #[command(after_help = opens_a_set!("Example:\n  mainsfit fit myset.yaml --write"))]
    Fit(FitArgs),
    /// Works out the staged power-up of a set that has not run for years: a checklist for the bench
    #[command(
        after_help = opens_a_set!("Example:\n  mainsfit power-up profiles/console-1936.yaml -o console-power-up.html")
    )]
    PowerUp(PowerUpArgs),
    /// Tabulates chosen quantities against line volts or a series resistor
    #[command(
        after_help = "Example:\n  mainsfit sweep profiles/console-1936.yaml --over resistor --from 0 --to 40ohm --points 9"
    )]
    Sweep(SweepArgs),
    /// Follows a set through its first minute from cold, and through a hot restart
    #[command(
        after_help = opens_a_set!("Example:\n  mainsfit switch-on profiles/console-1936.yaml --with series-resistor --svg switch-on.svg")
    )]
    SwitchOn(SwitchOnArgs),
    /// Draws sets within their tolerances and says where heaters, B+ and heat fall and what matters most
    #[command(
        after_help = "Example:\n  mainsfit tolerance profiles/console-1936.yaml --draws 5000 --with series-resistor"
    )]
    Tolerance(ToleranceArgs),
    /// Works out a divider, bare or a set's own: resistors, taps, ratings, meters, drift
    #[command(
        after_help = opens_a_set!("Example:\n  mainsfit divider --from 75V --resistors 390k,82k,18k\n  mainsfit divider --from 250V --taps 100V,80V --bleed 10mA --loads 5mA,0\n  mainsfit divider profiles/console-1936.yaml --of bias")
    )]
    Divider(DividerArgs),
    /// Sizes what takes a part's place so that the set stays as designed, and writes the changed profile
    #[command(
        after_help = opens_a_set!("Example:\n  mainsfit replace profiles/console-1936.yaml field-coil -o console-new-speaker.yaml\n  mainsfit replace profiles/table-1948.yaml rectifier\n  mainsfit replace profiles/string-ballast-1937.yaml ballast")
    )]
    Replace(ReplaceArgs),
    /// Shows the catalogue of tubes, rectifiers and lamps, or one type with its source
    #[command(after_help = "Example:\n  mainsfit tubes 6F6")]
    Tubes(TubesArgs),
    /// Prints the JSON Schema of a profile, for an editor, or of a plan
    #[command(after_help = "Example:\n  mainsfit schema profile")]
    Schema(SchemaArgs),
    /// Prints the file by which a shell completes commands and options
    #[command(after_help = "Example:\n  mainsfit completions bash")]
    Completions(CompletionsArgs),
    /// Prints the manual page, for man
    #[command(after_help = "Example:\n  mainsfit man --command plan")]
    Man(ManArgs),
}

/// The profile of a set.
#[derive(Debug, Args)]
pub struct SetArgs {
    /// The set's profile; `-` reads standard input
    #[arg(value_hint = clap::ValueHint::FilePath)]
    pub file: PathBuf,
}

/// Form of what is printed.
#[derive(Debug, Args)]
pub struct FormArgs {
    /// Form of the output
    #[arg(long, value_enum, default_value_t = PlanFormat::Text, value_name = "FORM")]
    pub format: PlanFormat,
}

impl FormArgs {
    /// Whether JSON is asked for.
    pub fn json(&self) -> bool {
        self.format == PlanFormat::Json
    }
}

/// Arguments of `plan`.
#[derive(Debug, Args)]
pub struct PlanArgs {
    /// The set's profile, `-` for standard input; several, or a folder of .yaml and .yml files, give a list
    #[arg(value_name = "FILE", required = true, value_hint = clap::ValueHint::AnyPath)]
    pub files: Vec<PathBuf>,
    /// Outlet and target
    #[command(flatten)]
    pub request: RequestArgs,
    /// Show the sums as one does them on paper, at the end
    #[arg(long)]
    pub working: bool,
    /// Form
    #[command(flatten)]
    pub form: FormArgs,
}

/// Arguments of `note`.
#[derive(Debug, Args)]
pub struct NoteArgs {
    /// The set
    #[command(flatten)]
    pub set: SetArgs,
    /// What was fitted, where it is not what the plan advises
    #[arg(long, value_enum, value_name = "CHOICE")]
    pub with: Option<With>,
    /// File to write: a name that ends in .html, or in .md for Markdown
    #[arg(short, long, value_name = "FILE", value_hint = clap::ValueHint::FilePath)]
    pub output: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long, requires = "output")]
    pub force: bool,
    /// Outlet and target
    #[command(flatten)]
    pub request: RequestArgs,
}

/// Arguments of `fit`.
#[derive(Debug, Args)]
pub struct FitArgs {
    /// The set's profile, with `readings`; `-` reads standard input
    #[arg(value_hint = clap::ValueHint::FilePath)]
    pub file: PathBuf,
    /// Show the sums as one does them on paper, at the end
    #[arg(long)]
    pub working: bool,
    /// Write the calibrated profile beside it, as NAME-fitted.yaml
    #[arg(long)]
    pub write: bool,
    /// Write over a calibrated profile that is there
    #[arg(long, requires = "write")]
    pub force: bool,
    /// Form
    #[command(flatten)]
    pub form: FormArgs,
}

/// Arguments of `power-up`.
#[derive(Debug, Args)]
pub struct PowerUpArgs {
    /// The set
    #[command(flatten)]
    pub set: SetArgs,
    /// Show the sums as one does them on paper, ahead of the cautions
    #[arg(long)]
    pub working: bool,
    /// File to write instead: a name that ends in .html for a page to print, or in .md for Markdown
    #[arg(short, long, value_name = "FILE", value_hint = clap::ValueHint::FilePath)]
    pub output: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long, requires = "output")]
    pub force: bool,
    /// Outlet
    #[command(flatten)]
    pub outlet: OutletArgs,
    /// Form of the output where no file is named
    #[arg(long, value_enum, default_value_t = PlanFormat::Text, value_name = "FORM", conflicts_with = "output")]
    pub format: PlanFormat,
}

/// What can be named as fitted is what the table of methods has.
impl ValueEnum for With {
    fn value_variants<'a>() -> &'a [With] {
        With::all()
    }
    fn to_possible_value(&self) -> Option<PossibleValue> {
        let (id, words) = self.names();
        Some(PossibleValue::new(id).help(words))
    }
}

/// Forms of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PlanFormat {
    /// For reading
    Text,
    /// For machines: SI units, documented in docs/plan-json.md
    Json,
}

/// Arguments of `completions`.
#[derive(Debug, Args)]
pub struct CompletionsArgs {
    /// Which shell
    #[arg(value_name = "SHELL")]
    pub shell: clap_complete::Shell,
}

/// Arguments of `man`.
#[derive(Debug, Args)]
pub struct ManArgs {
    /// One command alone; all of them without it
    #[arg(long, value_name = "COMMAND")]
    pub command: Option<String>,
}

/// Arguments of `check`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// The set
    #[command(flatten)]
    pub set: SetArgs,
}

/// Arguments of `sweep`.
#[derive(Debug, Args)]
pub struct SweepArgs {
    /// The set
    #[command(flatten)]
    pub set: SetArgs,
    /// What to vary
    #[arg(long, value_enum, default_value_t = OverArg::Line, value_name = "WHAT")]
    pub over: OverArg,
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
    #[arg(long, value_delimiter = ',', value_name = "KEYS")]
    pub show: Vec<String>,
    /// Outlet, where a resistor is varied
    #[command(flatten)]
    pub outlet: OutletArgs,
    /// Form of the output
    #[arg(long, value_enum, default_value_t = SweepFormat::Table, value_name = "FORM")]
    pub format: SweepFormat,
    /// Draws the quantities as curves into a new SVG file as well; `-` prints the SVG instead of the table
    #[arg(long, value_name = "PATH", value_hint = clap::ValueHint::FilePath)]
    pub svg: Option<PathBuf>,
    /// Lets --svg replace a file that is there
    #[arg(long, requires = "svg")]
    pub force: bool,
}

/// Arguments of `switch-on`.
#[derive(Debug, Args)]
pub struct SwitchOnArgs {
    /// The set
    #[command(flatten)]
    pub set: SetArgs,
    /// The choice to follow beside the set as it is, where it is not what the plan advises
    #[arg(long, value_enum, value_name = "CHOICE")]
    pub with: Option<With>,
    /// Outlet and target
    #[command(flatten)]
    pub request: RequestArgs,
    /// Form
    #[command(flatten)]
    pub form: FormArgs,
    /// Draws the curves into a new SVG file as well; `-` prints the SVG instead of the table
    #[arg(long, value_name = "PATH", value_hint = clap::ValueHint::FilePath)]
    pub svg: Option<PathBuf>,
    /// Lets --svg replace a file that is there
    #[arg(long, requires = "svg")]
    pub force: bool,
}

/// What a sweep varies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum OverArg {
    /// Line volts, the set straight on the line
    Line,
    /// A series resistor, on the usual outlet volts
    Resistor,
}

impl From<OverArg> for Over {
    fn from(over: OverArg) -> Over {
        match over {
            OverArg::Line => Over::Line,
            OverArg::Resistor => Over::Resistor,
        }
    }
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

/// Arguments of `tubes`.
#[derive(Debug, Args)]
pub struct TubesArgs {
    /// One type, such as 6F6, 80 or "#46"; all without it
    #[arg(value_name = "TYPE")]
    pub name: Option<String>,
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

/// Arguments of `schema`.
#[derive(Debug, Args)]
pub struct SchemaArgs {
    /// Of what
    #[arg(value_name = "OF")]
    pub of: SchemaOf,
}

/// What has a schema.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SchemaOf {
    /// The profile of a set: an editor completes and checks it with this
    Profile,
    /// The JSON of a plan
    Plan,
}
