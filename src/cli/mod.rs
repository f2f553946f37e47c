//! The command line: arguments, one study, one report. The only floor that reads and writes files and
//! prints.

mod args;
mod divider;
mod failure;
mod fit;
mod manual;
mod new;
mod note;
mod outlet;
mod paper;
mod plan;
mod plans;
mod power_up;
mod run;
mod save;
mod schema;
mod tolerance;

pub use args::Cli;
pub use run::{Outcome, Screen, run, run_on};
pub use save::{SaveError, save};
