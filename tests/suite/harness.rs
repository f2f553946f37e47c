//! Runs the program in this process, always for the same page: 96 columns, no colour unless asked for.
//! Paths are relative to the crate, where cargo runs the tests.

use clap::{CommandFactory, FromArgMatches};
use mainsfit::cli::{Cli, Outcome, Screen, run_on};
use std::process::Command;

/// Exit code of clap for a wrong command line; it leaves 0 for help and version.
const USAGE: u8 = 2;

/// Runs `mainsfit` with `args`.
pub fn mainsfit(args: &[&str]) -> Outcome {
    run_full(args.iter().map(|a| (*a).to_owned()))
}

/// As [`mainsfit`], with arguments that were put together.
pub fn run_full(args: impl IntoIterator<Item = String>) -> Outcome {
    run_on_screen(args, Screen::PAGE)
}

/// As [`run_full`], on a terminal.
pub fn run_on_screen(args: impl IntoIterator<Item = String>, screen: Screen) -> Outcome {
    let line = std::iter::once("mainsfit".to_owned()).chain(args);
    // the width of a help page must not depend on the terminal the tests run in
    let parser = Cli::command().term_width(Screen::PAGE.columns);
    let parsed =
        parser.try_get_matches_from(line).and_then(|matches| Cli::from_arg_matches(&matches));
    match parsed {
        Ok(cli) => run_on(cli, screen),
        Err(error) => {
            let text = error.render().to_string();
            let (out, err, code) = if error.use_stderr() {
                (String::new(), text, USAGE)
            } else {
                (text, String::new(), 0)
            };
            Outcome { out, err, code }
        }
    }
}

/// The program by itself, with no shop's defaults whatever this machine has.
pub fn program() -> Command {
    without_shop(Command::new(env!("CARGO_BIN_EXE_mainsfit")))
}

/// A command under which the program runs, the same.
pub fn without_shop(mut command: Command) -> Command {
    command.env("MAINSFIT_SHOP", "");
    command
}

/// What a run printed, its exit code asserted to be 0 and its standard error empty.
pub fn printed(args: &[&str]) -> String {
    let outcome = mainsfit(args);
    assert_eq!((outcome.code, outcome.err.as_str()), (0, ""), "mainsfit {}", args.join(" "));
    outcome.out
}

/// The profiles that come with the program, in order of name.
pub fn shipped() -> Vec<String> {
    yaml_files("profiles")
}

/// The YAML files of a folder, in order of name.
pub fn yaml_files(folder: &str) -> Vec<String> {
    let mut list: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "yaml"))
        .map(|path| path.to_str().unwrap().to_owned())
        .collect();
    list.sort();
    assert!(!list.is_empty(), "no profile in {folder}/");
    list
}

/// The name of a file without folder and ending.
pub fn stem(path: &str) -> String {
    let path = std::path::Path::new(path);
    path.file_stem().unwrap().to_str().unwrap().to_owned()
}

/// Words of a text with every run of blanks and line ends made one blank.
pub fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
