//! What can be typed.

mod divider;
mod example;
mod new;
mod offered;
mod outlet;
mod output;
mod plan;
mod replace;
mod sweep;
mod values;
mod words;

pub use divider::DividerArgs;
pub use example::ExampleArgs;
pub use new::NewArgs;
pub use outlet::RequestArgs;
pub use output::{FileKind, Output};
pub use plan::{
    CheckArgs, FitArgs, NoteArgs, PageArgs, PartsArgs, PartsFormat, PlanArgs, PlanFormat,
    PowerUpArgs, SetArgs,
};
pub use replace::ReplaceArgs;
pub use sweep::{SweepArgs, SweepFormat, SwitchOnArgs, ToleranceArgs};
pub use values::sweep_end;
pub(super) use values::{high_voltage, mains, name, positive};

use crate::api::typed::shown;
use clap::{Parser, Subcommand, ValueEnum, ValueHint};
use clap_complete::Shell;
use std::path::PathBuf;

/// Plans how an old mains-powered tube receiver is adapted to today's outlet voltage.
///
/// A set is described in a profile: YAML, one file per set. `mainsfit explain` lists its keys. `mainsfit example
/// console-1936 -o console-1936.yaml` writes one to begin with. Figures come from a solved circuit. Lethal voltages: every plan carries cautions, and no option removes them.
#[derive(Debug, Parser)]
#[command(name = "mainsfit", version, max_term_width = 96, arg_required_else_help = true)]
pub struct Cli {
    /// What to do
    #[command(subcommand)]
    pub command: Command,
    /// When to color text
    #[arg(
        long = "color",
        alias = "colour",
        global = true,
        value_enum,
        default_value_t = Colour::Auto,
        value_name = "WHEN",
        display_order = 900
    )]
    pub colour: Colour,
    /// Print long text at once, without a pager
    #[arg(long, global = true, display_order = 901)]
    pub no_pager: bool,
    /// Defaults of the shop (outlet, stock, meter, paper) for what a profile does not say, instead of those in the usual place
    #[arg(long, global = true, value_name = "FILE", value_hint = ValueHint::FilePath, display_order = 902)]
    pub shop: Option<PathBuf>,
    /// Leave the defaults of the shop aside
    #[arg(long, global = true, conflicts_with = "shop", display_order = 903)]
    pub no_shop: bool,
}

/// When to color.
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
            "\n\nLethal voltages inside, also after the plug is out. Follow local electrical codes; they may reserve work on line wiring for a licensed practitioner."
        )
    };
}

impl Command {
    /// The one file that is asked about, and whether the answer is to be JSON.
    pub fn asks(&self) -> (Option<String>, bool) {
        let (file, json) = match self {
            Command::Plan(args) => match args.files.as_slice() {
                [file] => (Some(file), args.form.json()),
                _ => (None, args.form.json()),
            },
            Command::Fit(args) => (Some(&args.file), args.form.json()),
            Command::Parts(args) => (Some(&args.set.file), args.format == PartsFormat::Json),
            Command::PowerUp(args) => (Some(&args.set.file), args.format == PlanFormat::Json),
            Command::Sweep(args) => (Some(&args.set.file), args.format == SweepFormat::Json),
            Command::SwitchOn(args) => (Some(&args.set.file), args.form.json()),
            Command::Tolerance(args) => (Some(&args.set.file), args.form.json()),
            Command::Divider(args) => (args.file.as_ref(), args.form.json()),
            Command::Replace(args) => (Some(&args.set.file), args.form.json()),
            _ => (None, false),
        };
        (file.map(|file| shown(file)), json)
    }
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Compares what could stand in the line cord of a set and says which is advised
    #[command(after_help = opens_a_set!("Example:\n  mainsfit plan profiles/console-1936.yaml --line 124V"))]
    Plan(PlanArgs),
    /// Writes a profile to fill in: what you say, guesses marked as such, and how to measure the rest
    #[command(
        after_help = opens_a_set!("Without options, on a terminal, it asks: a few questions, each of which may be left open.\n\nExample:\n  mainsfit new\n  mainsfit new -o myset.yaml --name \"Six-tube table set\" --design-line 115V --tubes 6A8,6K7,6Q7,6F6 --rectifier 5Y3-GT --field-coil negative\n  mainsfit new --design-line 117V --tubes 12SA7,12SK7,12SQ7,50L6GT,35Z5GT --lamps 47\n\nTubes made for heaters in series on the line are recognized: LIVE CHASSIS. Without -o the profile goes\nto standard output.")
    )]
    New(NewArgs),
    /// Reads a profile and lists everything wrong or odd in it
    #[command(
        after_help = "Example:\n  mainsfit check profiles/console-1936.yaml\n  mainsfit check profiles"
    )]
    Check(CheckArgs),
    /// Writes the modification note: a sheet to print and leave in the cabinet
    #[command(
        after_help = opens_a_set!("Example:\n  mainsfit note profiles/console-1936.yaml -o console-note.html\n\nWithout -o the note goes to standard output, as Markdown.")
    )]
    Note(NoteArgs),
    /// Lists what to buy: the part with fuse and box, what is to be repaired, the capacitors to renew
    #[command(
        after_help = opens_a_set!("Example:\n  mainsfit parts profiles/console-1936.yaml -o console-parts.html\n  mainsfit parts profiles/console-1936.yaml --format csv")
    )]
    Parts(PartsArgs),
    /// Fits a set to the readings in its profile and says what moved
    #[command(after_help = opens_a_set!("Example:\n  mainsfit fit myset.yaml --write"))]
    Fit(FitArgs),
    /// Works out the staged power-up of a set that has not run for years: a checklist for the bench
    #[command(
        after_help = opens_a_set!("Example:\n  mainsfit power-up profiles/console-1936.yaml -o console-power-up.html")
    )]
    PowerUp(PowerUpArgs),
    /// Tabulates chosen quantities against line voltage or a series resistor
    #[command(
        after_help = "Example:\n  mainsfit sweep profiles/console-1936.yaml --over resistor --from 0 --to 40ohm --points 9"
    )]
    Sweep(SweepArgs),
    /// Follows a set through its first minute from cold, and through a hot restart
    #[command(
        after_help = opens_a_set!("Example:\n  mainsfit switch-on profiles/console-1936.yaml --with series-resistor --svg switch-on.svg")
    )]
    SwitchOn(SwitchOnArgs),
    /// Writes the set as a page for a browser: move the line, watch each voltage, ask why
    #[command(
        after_help = opens_a_set!("Example:\n  mainsfit page profiles/console-1936.yaml -o console-page.html\n\nOne file that needs no network. Without -o it goes to standard output.")
    )]
    Page(PageArgs),
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
    Tubes {
        /// One type, such as 6F6, 80 or "#46"; all without it
        #[arg(value_name = "TYPE", add = offered::types())]
        name: Option<String>,
    },
    /// Explains a key of a profile, a term or a choice; lists them all without a word
    #[command(
        after_help = "Example:\n  mainsfit explain filter.capacitor.rated\n  mainsfit explain RMS"
    )]
    Explain {
        /// A key such as filter.capacitor.rated or its last part, a term, or a choice of a plan
        #[arg(value_name = "KEY|TERM", add = offered::words())]
        word: Option<String>,
    },
    /// Prints a profile that comes with the program, or writes it; lists them all without a name
    #[command(
        after_help = "Example:\n  mainsfit example console-1936 -o console-1936.yaml\n  mainsfit plan console-1936.yaml"
    )]
    Example(ExampleArgs),
    /// Prints the JSON Schema of a profile, for an editor, or of what a command gives as JSON
    #[command(after_help = "Example:\n  mainsfit schema profile")]
    Schema {
        /// Of what
        of: SchemaOf,
    },
    /// Prints the file by which a shell completes what you type
    #[command(after_help = "Example:\n  mainsfit completions bash")]
    Completions {
        /// Which shell
        shell: Shell,
    },
    /// Prints the manual page, for man
    #[command(after_help = "Example:\n  mainsfit man --command plan")]
    Man {
        /// One command alone; all of them without it
        #[arg(long)]
        command: Option<String>,
    },
}

/// What has a schema.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SchemaOf {
    /// The profile of a set: an editor completes and checks it with this
    Profile,
    /// The defaults of a shop
    Shop,
    /// The JSON of a plan
    Plan,
    /// The JSON of `parts`
    Parts,
    /// The JSON of `power-up`
    PowerUp,
    /// The JSON of `fit`
    Fit,
    /// The JSON of `sweep`
    Sweep,
    /// The JSON of `switch-on`
    SwitchOn,
    /// The JSON of `tolerance`
    Tolerance,
    /// The JSON of `replace`
    Replace,
    /// The JSON of `divider`
    Divider,
    /// The JSON of what has no answer
    Error,
}
