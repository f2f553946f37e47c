//! The `mainsfit` program: parse, run, print, exit code.

use clap::Parser;
use mainsfit::cli::{Cli, run};
use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    let outcome = run(Cli::parse());
    // a reader that closes the pipe early has seen what it wanted
    let _ = std::io::stdout().write_all(outcome.out.as_bytes());
    let _ = std::io::stderr().write_all(outcome.err.as_bytes());
    ExitCode::from(outcome.code)
}
