//! The `mainsfit` program: parse, run, print, exit code.

use anstream::AutoStream;
use clap::Parser;
use mainsfit::cli::{Cli, Exit, completed, run, through_pager};
use std::io::{ErrorKind, Write};
use std::process::ExitCode;

fn main() -> ExitCode {
    if completed() {
        return ExitCode::SUCCESS;
    }
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        // help and version, and what was typed wrong
        Err(said) => {
            let code = u8::try_from(said.exit_code()).unwrap_or(Exit::BadInput.code());
            return ended(said.print().and_then(|()| std::io::stdout().flush()), code);
        }
    };
    let paged = !cli.no_pager;
    let outcome = run(cli);
    // an old console of Windows gets its colours by its own calls
    let mut out = AutoStream::always(std::io::stdout());
    let written = match paged && through_pager(&outcome.out) {
        true => Ok(()),
        false => out.write_all(outcome.out.as_bytes()).and_then(|()| out.flush()),
    };
    let _ = std::io::stderr().write_all(outcome.err.as_bytes());
    ended(written, outcome.code)
}

/// Exit code of a run whose output was `written`.
fn ended(written: std::io::Result<()>, code: u8) -> ExitCode {
    match written {
        // a reader that closes the pipe early has seen what it wanted
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            let text = format!("the output cannot be written, and is not whole: {error}\n");
            let _ = std::io::stderr().write_all(text.as_bytes());
            ExitCode::from(Exit::BadInput.code())
        }
        _ => ExitCode::from(code),
    }
}
