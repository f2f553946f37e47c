//! Options of the commands that answer for a set with what may be done for it.

use super::outlet::{OutletArgs, RequestArgs};
use crate::api::{With, typed::PlanPart};
use clap::{
    Args, ValueEnum,
    ValueHint::{self, FilePath},
    builder::{PossibleValuesParser, TypedValueParser},
};
use std::path::PathBuf;

/// The profile of a set.
#[derive(Debug, Args)]
pub struct SetArgs {
    /// The set's profile; `-` reads standard input
    #[arg(value_hint = FilePath)]
    pub file: PathBuf,
}

/// Arguments of `check`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// The profile, `-` for standard input; several, or a folder of .yaml and .yml files, are checked one after the other
    #[arg(value_name = "FILE", required = true, value_hint = ValueHint::AnyPath)]
    pub files: Vec<PathBuf>,
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
    #[arg(value_name = "FILE", required = true, value_hint = ValueHint::AnyPath)]
    pub files: Vec<PathBuf>,
    /// Outlet and target
    #[command(flatten)]
    pub request: RequestArgs,
    /// Show all there is to tell
    #[arg(long, conflicts_with = "show")]
    pub full: bool,
    /// Show these parts below the head instead, with commas between
    #[arg(
        long,
        value_name = "PARTS",
        value_delimiter = ',',
        value_parser = plan_part(),
    )]
    pub show: Vec<PlanPart>,
    /// The same as `--show working`: the sums as one does them on paper
    #[arg(long, conflicts_with = "full")]
    pub working: bool,
    /// Form
    #[command(flatten)]
    pub form: FormArgs,
}

impl PlanArgs {
    /// How a plan is shown; none for the short form.
    pub fn parts(&self) -> Vec<PlanPart> {
        let asked = |part: &PlanPart| {
            self.show.iter().any(|shown| shown.key == part.key)
                || self.working && part.key == "working"
        };
        PlanPart::ALL.into_iter().filter(asked).collect()
    }
}

/// Parts of a plan by their keys.
fn plan_part() -> impl TypedValueParser<Value = PlanPart> {
    let known = |key: String| PlanPart::ALL.into_iter().find(|part| part.key == key);
    PossibleValuesParser::new(PlanPart::ALL.map(|part| part.key))
        .try_map(move |key| known(key).ok_or("no part"))
}

/// Arguments of `note`.
#[derive(Debug, Args)]
pub struct NoteArgs {
    /// The set
    #[command(flatten)]
    pub set: SetArgs,
    /// What was fitted, where it is not what the plan advises
    #[arg(long, value_name = "CHOICE")]
    pub with: Option<With>,
    /// Write the card for the back of the set instead: A6, to cut out
    #[arg(long)]
    pub label: bool,
    /// File to write: a name that ends in .html, or in .md for Markdown, its drawings beside it
    #[arg(short, long, value_name = "FILE", value_hint = FilePath)]
    pub output: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long, requires = "output")]
    pub force: bool,
    /// Outlet and target
    #[command(flatten)]
    pub request: RequestArgs,
}

/// Arguments of `page`.
#[derive(Debug, Args)]
pub struct PageArgs {
    /// The set
    #[command(flatten)]
    pub set: SetArgs,
    /// File to write: a name that ends in .html
    #[arg(short, long, value_name = "FILE", value_hint = FilePath)]
    pub output: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long, requires = "output")]
    pub force: bool,
    /// Outlet and target
    #[command(flatten)]
    pub request: RequestArgs,
}

/// Arguments of `parts`.
#[derive(Debug, Args)]
pub struct PartsArgs {
    /// The set
    #[command(flatten)]
    pub set: SetArgs,
    /// The choice to list for, where it is not what the plan advises
    #[arg(long, value_name = "CHOICE")]
    pub with: Option<With>,
    /// File to write instead: a name that ends in .html for a page to print, or in .md for Markdown
    #[arg(short, long, value_name = "FILE", value_hint = FilePath)]
    pub output: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long, requires = "output")]
    pub force: bool,
    /// Outlet and target
    #[command(flatten)]
    pub request: RequestArgs,
    /// Form of the output where no file is named
    #[arg(long, value_enum, default_value_t = PartsFormat::Text, value_name = "FORM", conflicts_with = "output")]
    pub format: PartsFormat,
}

/// Forms of a list of parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PartsFormat {
    /// For reading
    Text,
    /// Comma-separated, SI units
    Csv,
    /// For machines, in SI units
    Json,
}

/// Arguments of `fit`.
#[derive(Debug, Args)]
pub struct FitArgs {
    /// The set's profile, with `readings`; `-` reads standard input
    #[arg(value_hint = FilePath)]
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
    /// File to write instead: a name that ends in .html for a page to print, or in .md for Markdown, its drawings beside it
    #[arg(short, long, value_name = "FILE", value_hint = FilePath)]
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

/// Forms of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PlanFormat {
    /// For reading
    Text,
    /// For machines, in SI units; `mainsfit schema plan` describes that of a plan
    Json,
}
