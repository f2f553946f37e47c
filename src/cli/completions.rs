//! What a shell offers while one types. The program itself is asked, so that it offers what it takes: types of the catalogue,
//! ranges, examples, and the quantities of the set that is named.

use super::{Failure, Outcome, PROGRAM, Result, args::Cli, environment::MAINSFIT_COMPLETE};
use clap::CommandFactory;
use clap_complete::{CompleteEnv, Shell, env::Shells};

/// The file by which a shell asks.
pub fn completions(shell: Shell) -> Result {
    let shells = Shells::builtins();
    let Some(asks) = shells.completer(&shell.to_string()) else {
        return Err(Failure::line(format!("{shell} completes nothing")));
    };
    let mut script = Vec::new();
    asks.write_registration(MAINSFIT_COMPLETE.name, PROGRAM, PROGRAM, PROGRAM, &mut script)
        .map_err(|error| Failure::line(format!("the file cannot be made: {error}")))?;
    Ok(Outcome::done(String::from_utf8_lossy(&script).into_owned()))
}

/// Answers a shell that asks what may be typed; false where none asks.
pub fn completed() -> bool {
    let here = std::env::current_dir().ok();
    let asked = CompleteEnv::with_factory(Cli::command).var(MAINSFIT_COMPLETE.name);
    // a question that is none gets no answer: an error would stand in the middle of what is being typed
    asked.try_complete(std::env::args_os(), here.as_deref()).unwrap_or(true)
}
