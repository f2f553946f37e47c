//! The command line: arguments, one study, one report. The only floor that reads and writes files and
//! prints.

mod args;
mod check;
mod curves;
mod divider;
mod fit;
mod interview;
mod load;
mod manual;
mod new;
mod outcome;
mod plan;
mod replace;
mod run;
mod save;
mod screen;
mod sheet;
mod tolerance;
mod tubes;

use crate::report::terminal::Style;

pub use args::Cli;
pub(crate) use load::{Loaded, load};
pub use outcome::Outcome;
pub(crate) use outcome::{Failure, Result};
pub use run::{run, run_on};
pub use save::{SaveError, save};
pub use screen::Screen;
