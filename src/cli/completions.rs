//! What a shell offers while one types. The program itself is asked, so that it offers what it takes: types of the catalogue,
//! ranges, examples, and the quantities of the set that is named.

use super::{Failure, Outcome, PROGRAM, Result, args::Cli, environment::MAINSFIT_COMPLETE};
use clap::CommandFactory;
use clap_complete::{CompleteEnv, Shell, env::Shells};

/// What zsh needs at the end of a file that it loads at the first Tab: its function is called then, too, not only defined.
const AT_THE_FIRST_TAB: &str =
    "[[ $funcstack[1] == _mainsfit ]] && _clap_dynamic_completer_mainsfit \"$@\"\n";

/// The file by which a shell asks.
pub fn completions(shell: Shell) -> Result {
    let shells = Shells::builtins();
    let Some(asks) = shells.completer(&shell.to_string()) else {
        return Err(Failure::line(format!("{shell} completes nothing")));
    };
    let mut script = Vec::new();
    asks.write_registration(MAINSFIT_COMPLETE.name, PROGRAM, PROGRAM, PROGRAM, &mut script)
        .map_err(|error| Failure::line(format!("the file cannot be made: {error}")))?;
    if shell == Shell::Zsh {
        script.extend_from_slice(AT_THE_FIRST_TAB.as_bytes());
    }
    Ok(Outcome::done(String::from_utf8_lossy(&script).into_owned()))
}

/// Answers a shell that asks what may be typed; false where none asks.
pub fn completed() -> bool {
    let here = std::env::current_dir().ok();
    let asked = CompleteEnv::with_factory(Cli::command).var(MAINSFIT_COMPLETE.name);
    // a question that is none gets no answer: an error would stand in the middle of what is being typed
    asked.try_complete(std::env::args_os(), here.as_deref()).unwrap_or(true)
}
