//! The command line: arguments to the crate's public names and back to text and exit code. The only floor that writes files.

mod args;
mod bar;
mod check;
mod completions;
mod curves;
mod desk;
mod divider;
mod environment;
mod exit;
mod explain;
mod files;
mod fit;
mod forms;
mod interview;
mod manual;
mod new;
mod outcome;
mod output;
mod page;
mod pager;
mod plan;
mod replace;
mod run;
mod save;
mod schemas;
mod screen;
mod sheet;
mod stop;
mod tolerance;
mod tubes;

pub use args::Cli;
pub use completions::completed;
pub use exit::Exit;
pub use outcome::Outcome;
pub(crate) use outcome::{Failure, Result};
pub use pager::through_pager;
pub use run::{run, run_on};
pub use save::{SaveError, save};
pub use screen::Screen;
use screen::Style;

/// Name of the program, as it is typed.
const PROGRAM: &str = "mainsfit";
