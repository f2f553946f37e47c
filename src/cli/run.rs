//! Hands what was typed to its command.

use super::{
    Outcome, Screen,
    args::{Cli, Command},
    bar::Waiting,
    check::check,
    completions::completions,
    curves::{sweep, switch_on},
    desk::Desk,
    divider::divider,
    explain::{example, explain},
    files::alone,
    fit::fit,
    interview::interview,
    manual::man,
    new::new,
    output::checked,
    page::page,
    plan::plan,
    replace::replace,
    schemas::schema,
    sheet::{note, parts, power_up},
    tolerance::tolerance,
    tubes::tubes,
};
use std::path::Path;

/// Runs what was typed, for standard output as it is found.
pub fn run(cli: Cli) -> Outcome {
    run_on(cli, Screen::found())
}

/// Runs what was typed, for `screen`.
pub fn run_on(cli: Cli, screen: Screen) -> Outcome {
    let desk = Desk::of(&cli, screen);
    let style = desk.style;
    let (file, json) = cli.command.asks();
    let refused = cli.command.output().and_then(|o| checked(o, &cli.command.inputs()).err());
    if let Some(failure) = refused {
        return failure.outcome(file.as_deref(), json, style);
    }
    let waiting = waiting(&cli.command, screen);
    let told = tells_of_shop(&cli.command);
    let answer = match cli.command {
        Command::Plan(args) => plan(&args, &desk),
        Command::Fit(args) => fit(&args, &desk),
        Command::Note(args) => note(&args, &desk),
        Command::New(args) if args.said.asked() => interview(&args, &desk),
        Command::New(args) => new(&args, style),
        Command::Parts(args) => parts(&args, &desk),
        Command::PowerUp(args) => power_up(&args, &desk),
        Command::Check(args) => check(&args, &desk),
        Command::Sweep(args) => sweep(&args, &desk),
        Command::SwitchOn(args) => switch_on(&args, &desk),
        Command::Page(args) => page(&args, &desk),
        Command::Tolerance(args) => tolerance(&args, &desk),
        Command::Divider(args) => divider(&args, &desk),
        Command::Replace(args) => replace(&args, &desk),
        Command::Tubes { name } => tubes(name.as_deref(), style),
        Command::Explain { word } => explain(word.as_deref(), style),
        Command::Example(args) => example(&args, style),
        Command::Schema { of } => schema(of),
        Command::Completions { shell } => completions(shell),
        Command::Man { command } => man(command.as_deref()),
    };
    drop(waiting);
    let mut outcome =
        answer.unwrap_or_else(|failure| failure.outcome(file.as_deref(), json, style));
    outcome.err.extend(desk.told().filter(|_| !told));
    outcome
}

/// Whether the command's own page says what was taken from the shop.
fn tells_of_shop(command: &Command) -> bool {
    match command {
        Command::Plan(args) => alone(&args.files).is_some(),
        Command::Note(_) | Command::Parts(_) | Command::PowerUp(_) => true,
        _ => false,
    }
}

/// A word to whoever waits, unless the command has a bar or questions of its own, or text is typed into it.
fn waiting(command: &Command, screen: Screen) -> Waiting {
    let own = match command {
        Command::Plan(args) => alone(&args.files).is_none(),
        Command::Check(args) => alone(&args.files).is_none(),
        Command::Tolerance(_) | Command::Page(_) | Command::New(_) => true,
        _ => false,
    };
    let typed = command.inputs().contains(&Path::new("-"));
    Waiting::begin(screen.bar && !own && !typed)
}
