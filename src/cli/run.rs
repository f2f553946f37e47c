//! Hands what was typed to its command.

use super::args::{Cli, Command};
use super::check::check;
use super::divider::divider;
use super::fit::fit;
use super::interview::interview;
use super::manual::{completions, man};
use super::new::new;
use super::note::note;
use super::outcome::Outcome;
use super::plan::plan;
use super::power_up::power_up;
use super::replace::replace;
use super::schema::schema;
use super::screen::Screen;
use super::sweep::sweep;
use super::switch_on::switch_on;
use super::tolerance::tolerance;
use super::tubes::tubes;

/// Runs what was typed, for standard output as it is found.
pub fn run(cli: Cli) -> Outcome {
    run_on(cli, Screen::found())
}

/// Runs what was typed, for `screen`.
pub fn run_on(cli: Cli, screen: Screen) -> Outcome {
    let style = screen.style(cli.colour);
    let answer = match cli.command {
        Command::Plan(args) => plan(&args, style),
        Command::Fit(args) => fit(&args, style),
        Command::Note(args) => note(&args),
        Command::New(args) if args.said.asked() => interview(&args, screen, style),
        Command::New(args) => new(&args, style),
        Command::PowerUp(args) => power_up(&args, style),
        Command::Check(args) => check(&args, style),
        Command::Sweep(args) => sweep(&args, style),
        Command::SwitchOn(args) => switch_on(&args, style),
        Command::Tolerance(args) => tolerance(&args, style, screen.bar),
        Command::Divider(args) => divider(&args, style),
        Command::Replace(args) => replace(&args, style),
        Command::Tubes(args) => tubes(&args, style),
        Command::Schema(args) => schema(&args),
        Command::Completions(args) => Ok(completions(args.shell)),
        Command::Man(args) => man(args.command.as_deref()),
    };
    answer.unwrap_or_else(Outcome::from)
}
