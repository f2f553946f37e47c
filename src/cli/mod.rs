//! The command line: arguments, one study, one report. The only floor that reads and writes files and
//! prints.

mod args;
mod check;
mod divider;
mod fit;
mod interview;
mod load;
mod manual;
mod new;
mod note;
mod outcome;
mod paper;
mod plan;
mod plans;
mod power_up;
mod replace;
mod run;
mod save;
mod schema;
mod screen;
mod sweep;
mod switch_on;
mod tolerance;
mod tubes;

pub use args::Cli;
pub use outcome::Outcome;
pub use run::{run, run_on};
pub use save::{SaveError, save};
pub use screen::Screen;
