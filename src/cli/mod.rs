//! The command line: arguments, one study, one report. The only floor that reads files and prints.

mod args;
mod run;

pub use args::Cli;
pub use run::{Outcome, Screen, run, run_on};
