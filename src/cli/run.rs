//! Runs a command and says what to print and how to exit.

use super::args::{
    CheckArgs, Cli, Colour, Command, OverArg, SweepArgs, SweepFormat, TubesArgs, sweep_end,
};
use super::divider::divider;
use super::failure::Failure;
use super::fit::fit;
use super::manual::{completions, man};
use super::new::new;
use super::note::note;
use super::plan::plan;
use super::power_up::power_up;
use super::save::save;
use super::schema::schema;
use super::tolerance::tolerance;
use crate::catalogue::Catalogue;
use crate::profile::{self, Document, MAX_BYTES, Problems, Profile};
use crate::receiver::{Receiver, complete};
use crate::report::drawing::paint_chart;
use crate::report::page::Page;
use crate::report::{self, terminal};
use crate::study::{self, OutletChoice, Over, StudyError, SweepRequest};
use sha2::{Digest, Sha256};
use std::io::{IsTerminal, Read};
use std::path::Path;

/// Exit code of a bad profile or command line.
pub(super) const BAD_INPUT: u8 = 2;
/// Exit code of a sound question without an answer.
pub(super) const NO_ANSWER: u8 = 1;
/// Points that make a curve look smooth.
const SMOOTH_POINTS: usize = 41;
/// Columns of panels in a sweep's SVG.
const SVG_COLUMNS: usize = 2;

/// What a command comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outcome {
    /// For standard output.
    pub out: String,
    /// For standard error.
    pub err: String,
    /// Exit code: 0 done, 1 no answer, 2 bad input.
    pub code: u8,
}

impl Outcome {
    pub(super) fn done(out: String) -> Outcome {
        Outcome { out, err: String::new(), code: 0 }
    }

    pub(super) fn bad(err: String, code: u8) -> Outcome {
        Outcome { out: String::new(), err, code }
    }
}

/// What the output is written to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Screen {
    /// Columns; a report uses 80 to 100 of them.
    pub columns: usize,
    /// Whether text is coloured where the command line leaves that open.
    pub colour: bool,
    /// Whether a bar may be drawn on standard error while one waits.
    pub bar: bool,
}

impl Screen {
    /// A file, a pipe or a printed page.
    pub const PAGE: Screen = Screen { columns: 96, colour: false, bar: false };

    /// Standard output as it is found.
    pub fn found() -> Screen {
        let quiet = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty())
            || std::env::var_os("TERM").is_some_and(|v| v == "dumb");
        Screen {
            columns: terminal_size::terminal_size()
                .map_or(Screen::PAGE.columns, |(w, _)| usize::from(w.0)),
            colour: std::io::stdout().is_terminal() && !quiet,
            bar: std::io::stderr().is_terminal(),
        }
    }
}

/// Runs what was typed, for standard output as it is found.
pub fn run(cli: Cli) -> Outcome {
    run_on(cli, Screen::found())
}

/// Runs what was typed, for `screen`.
pub fn run_on(cli: Cli, screen: Screen) -> Outcome {
    let coloured = match cli.colour {
        Colour::Always => true,
        Colour::Never => false,
        Colour::Auto => screen.colour,
    };
    let style = terminal::Style::new(screen.columns, coloured);
    match cli.command {
        Command::Plan(args) => plan(&args, style),
        Command::Fit(args) => fit(&args, style),
        Command::Note(args) => note(&args),
        Command::New(args) => new(&args),
        Command::PowerUp(args) => power_up(&args, style),
        Command::Check(args) => check(&args),
        Command::Sweep(args) => sweep(&args, style),
        Command::Tolerance(args) => tolerance(&args, style, screen.bar),
        Command::Divider(args) => divider(&args, style),
        Command::Tubes(args) => tubes(&args, style),
        Command::Schema(args) => schema(&args),
        Command::Completions(args) => completions(args.shell),
        Command::Man(args) => man(args.command.as_deref()),
    }
}

pub(super) fn painted(page: &Page, style: terminal::Style) -> Outcome {
    Outcome::done(terminal::paint(page, style))
}

/// A profile with the document it came from.
pub(super) struct Loaded {
    pub document: Document,
    pub profile: Profile,
    pub warnings: Problems,
    /// The file as text; what is no UTF-8 is marked.
    pub text: String,
    /// SHA-256 of the file's bytes, hexadecimal.
    pub digest: String,
}

pub(super) fn load(path: &Path) -> Result<Loaded, Outcome> {
    read_profile(path).map_err(Outcome::from)
}

/// Reads and validates a profile.
pub(super) fn read_profile(path: &Path) -> Result<Loaded, Failure> {
    let name = path.display().to_string();
    let bytes = read_bytes(path).map_err(|error| {
        let found = format!("cannot be read: {error}");
        Failure::plain(format!("{name}: {found}\n"), found, None)
    })?;
    let told = |problems: Problems| Failure::located(&problems);
    let document = Document::parse(&name, &bytes).map_err(told)?;
    let (profile, warnings) = profile::read(&document).map_err(told)?;
    Ok(Loaded {
        document,
        profile,
        warnings,
        text: String::from_utf8_lossy(&bytes).into_owned(),
        digest: format!("{:x}", Sha256::digest(&bytes)),
    })
}

/// Reads a file, or standard input for `-`, up to just above what a profile may have.
fn read_bytes(path: &Path) -> std::io::Result<Vec<u8>> {
    let limit = MAX_BYTES as u64 + 1;
    let mut bytes = Vec::new();
    if path == Path::new("-") {
        std::io::stdin().take(limit).read_to_end(&mut bytes)?;
        return Ok(bytes);
    }
    let file = std::fs::File::open(path)?;
    if !file.metadata()?.is_file() {
        return Err(std::io::Error::other("it is not a regular file"));
    }
    file.take(limit).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// A study's error, placed in the profile where it belongs to a value.
pub(super) fn no_answer(document: &Document, error: &StudyError) -> Outcome {
    Outcome::from(failure(document, error))
}

/// The same as data.
pub(super) fn failure(document: &Document, error: &StudyError) -> Failure {
    if let StudyError::Receiver(inner) = error
        && let Some(key) = inner.key()
    {
        let problems = profile::problem_at(document, key, &inner.to_string(), inner.advice());
        return Failure::located(&problems);
    }
    let mut found = error.to_string();
    let mut cause = std::error::Error::source(error);
    while let Some(inner) = cause {
        found.push_str(&format!(": {inner}"));
        cause = inner.source();
    }
    let code = match error {
        StudyError::Receiver(_) | StudyError::NotStoodBehind { .. } | StudyError::NotFitted(_) => {
            NO_ANSWER
        }
        _ => BAD_INPUT,
    };
    let text = told(&format!("{}: {found}", document.name()), &error.advice());
    Failure { code, ..Failure::plain(text, found, Some(error.advice())) }
}

/// An error that has no place in a file: what was found, then what to do, in lines of a page.
pub(super) fn told(found: &str, advice: &str) -> String {
    let mut text = String::new();
    profile::fold(&mut text, "", found);
    profile::fold(&mut text, "    ", &format!("fix: {advice}"));
    text
}

/// What the reader found odd, a line each.
pub(super) fn warnings(loaded: &Loaded) -> Vec<String> {
    let line = |place: Option<(usize, usize)>| {
        place.map_or(String::new(), |(line, _)| format!("line {line}: "))
    };
    let items = loaded.warnings.items().iter();
    items.map(|p| format!("{}{}", line(p.place), p.found)).collect()
}

pub(super) fn json<T: serde::Serialize>(value: &T) -> Outcome {
    match serde_json::to_string_pretty(value) {
        Ok(text) => Outcome::done(text + "\n"),
        Err(error) => {
            Outcome::bad(format!("the result cannot be written as JSON: {error}\n"), NO_ANSWER)
        }
    }
}

fn check(args: &CheckArgs) -> Outcome {
    let loaded = match load(&args.file) {
        Ok(loaded) => loaded,
        Err(outcome) => return outcome,
    };
    // a set is sound once its windings and coils can be fitted, which takes a solution on its design line
    let fitted = complete(&loaded.profile)
        .and_then(|(model, list)| Receiver::new(model, None).map(|_| list.len()));
    let assumed = match fitted {
        Ok(assumed) => assumed + study::outlet_assumed(&loaded.profile),
        Err(error) => return no_answer(&loaded.document, &StudyError::Receiver(error)),
    };
    let mut out = String::new();
    if !loaded.warnings.is_empty() {
        out.push_str(&loaded.warnings.render());
        out.push('\n');
    }
    let assumes = match assumed {
        0 => "states every value a plan needs".to_owned(),
        1 => "a plan will assume 1 value that it does not state".to_owned(),
        n => format!("a plan will assume {n} values that it does not state"),
    };
    out.push_str(&format!("{}: no errors; {assumes}\n", loaded.document.name()));
    Outcome::done(out)
}

fn sweep(args: &SweepArgs, style: terminal::Style) -> Outcome {
    let loaded = match load(&args.file) {
        Ok(loaded) => loaded,
        Err(outcome) => return outcome,
    };
    let end = |text: &Option<String>, option: &str| match text {
        None => Ok(None),
        Some(text) => sweep_end(text, args.over)
            .map(Some)
            .map_err(|e| Outcome::bad(format!("{option}: {e}\n"), BAD_INPUT)),
    };
    let (from, to) = match (end(&args.from, "--from"), end(&args.to, "--to")) {
        (Ok(from), Ok(to)) => (from, to),
        (Err(outcome), _) | (_, Err(outcome)) => return outcome,
    };
    let mut request = SweepRequest {
        over: match args.over {
            OverArg::Line => Over::Line,
            OverArg::Resistor => Over::Resistor,
        },
        from,
        to,
        points: args.points,
        show: args.show.clone(),
        outlet: OutletChoice::from(args.outlet),
    };
    let sweep = match study::sweep(&loaded.profile, &request) {
        Ok(sweep) => sweep,
        Err(error) => return no_answer(&loaded.document, &error),
    };
    if let Some(path) = &args.svg {
        request.points = request.points.max(SMOOTH_POINTS);
        let fine = match study::sweep(&loaded.profile, &request) {
            Ok(fine) => fine,
            Err(error) => return no_answer(&loaded.document, &error),
        };
        let svg = match paint_chart(&report::sweep_chart(&fine), SVG_COLUMNS, "sweep") {
            Ok(drawing) => drawing.svg + "\n",
            Err(error) => return Outcome::bad(format!("{error}\n"), NO_ANSWER),
        };
        if path == Path::new("-") {
            return Outcome::done(svg);
        }
        if let Err(error) = save(path, &svg, args.force) {
            return Outcome::bad(told(&error.to_string(), error.advice()), BAD_INPUT);
        }
    }
    match args.format {
        SweepFormat::Table => painted(&report::sweep_page(&sweep), style),
        SweepFormat::Csv => Outcome::done(report::sweep_csv(&sweep)),
        SweepFormat::Json => json(&sweep),
    }
}

fn tubes(args: &TubesArgs, style: terminal::Style) -> Outcome {
    let catalogue = Catalogue::built_in();
    let Some(name) = &args.name else {
        let mut page = report::tube_list(catalogue.tubes());
        page.extend(report::rectifier_list(catalogue.rectifiers()));
        page.extend(report::lamp_list(catalogue.lamps()));
        return painted(&page, style);
    };
    let (tube, rectifier, lamp) =
        (catalogue.tube(name), catalogue.rectifier(name), catalogue.lamp(name));
    match (&tube, &rectifier, &lamp) {
        (Err(error), Err(_), Err(_)) => {
            Outcome::bad(told(&error.found(), &error.advice()), BAD_INPUT)
        }
        _ => painted(
            &report::type_page(
                tube.ok().map(|f| f.item),
                rectifier.ok().map(|f| f.item),
                lamp.ok().map(|f| f.item),
            ),
            style,
        ),
    }
}
