//! The `note` command: a plan's choice as a sheet of paper.

use super::args::{NoteArgs, OutletArgs};
use super::run::{BAD_INPUT, Loaded, Outcome, load, no_answer, outlet, told, warnings};
use super::save;
use crate::profile::Target;
use crate::quantity::{Voltage, show_plain};
use crate::report::{self, Origin, html, markdown};
use crate::study::{self, Request};
use clap::ValueEnum;
use std::path::Path;

/// A form of the note.
type Painter = fn(&report::page::Page) -> String;

/// Writes the note, or prints it as Markdown where no file is named.
pub(super) fn note(args: &NoteArgs) -> Outcome {
    let painter = match painter(args.output.as_deref()) {
        Ok(painter) => painter,
        Err(outcome) => return outcome,
    };
    let loaded = match load(&args.file) {
        Ok(loaded) => loaded,
        Err(outcome) => return outcome,
    };
    let request = Request {
        outlet: outlet(args.outlet),
        target: args.target,
    };
    let with = args.with.and_then(|w| w.to_possible_value());
    let with = with.as_ref().map(|v| v.get_name());
    let note = match study::note(&loaded.profile, &request, with, warnings(&loaded)) {
        Ok(note) => note,
        Err(error) => return no_answer(&loaded.document, &error),
    };
    let id = note.fitted().id.clone();
    let text = painter(&report::note_page(&note, &origin(args, &loaded, &id)));
    let Some(path) = &args.output else {
        return Outcome::done(text);
    };
    match save::save(path, &text, args.force) {
        Err(error) => Outcome::bad(told(&error.to_string(), error.advice()), BAD_INPUT),
        Ok(()) => Outcome::done(format!(
            "{}: the note for \"{}\" is written\n",
            path.display(),
            note.fitted().title
        )),
    }
}

/// The form a file's name asks for.
fn painter(path: Option<&Path>) -> Result<Painter, Outcome> {
    let Some(path) = path else {
        return Ok(markdown::paint);
    };
    let ending = path
        .extension()
        .and_then(|e| e.to_str())
        .unwrap_or_default();
    match ending.to_lowercase().as_str() {
        "html" | "htm" => Ok(html::paint),
        "md" | "markdown" => Ok(markdown::paint),
        _ => {
            let found = format!("{}: the ending does not say what to write", path.display());
            let advice = "end the name in .html for a page to print, or in .md for Markdown";
            Err(Outcome::bad(told(&found, advice), BAD_INPUT))
        }
    }
}

fn origin(args: &NoteArgs, loaded: &Loaded, id: &str) -> Origin {
    let name = |path: &Path| {
        let name = path.file_name().map(|n| n.to_string_lossy().into_owned());
        name.unwrap_or_else(|| "-".to_owned())
    };
    let quoted = |name: String| {
        let plain = |c: char| c.is_alphanumeric() || "-_.+".contains(c);
        if name.chars().all(plain) {
            name
        } else {
            format!("'{}'", name.replace('\'', "'\\''"))
        }
    };
    let mut command = format!("mainsfit note {} --with {id}", quoted(name(&args.file)));
    let OutletArgs { line, low, high } = args.outlet;
    for (option, volts) in [("--line", line), ("--low", low), ("--high", high)] {
        if let Some(volts) = volts {
            command += &format!(" {option} {}", bare(volts));
        }
    }
    match args.target {
        Some(Target::Heaters) => command += " --target heaters",
        Some(Target::BPlus(volts)) => command += &format!(" --target B+={}", bare(volts)),
        Some(Target::AsOnLine(volts)) => command += &format!(" --target line={}", bare(volts)),
        None => {}
    }
    if let Some(path) = &args.output {
        command += &format!(" -o {}", quoted(name(path)));
    }
    Origin {
        file: name(&args.file),
        digest: loaded.digest.clone(),
        command,
    }
}

/// Volts without the blank before the unit, as one types them.
fn bare(volts: Voltage) -> String {
    show_plain(volts).replace(' ', "")
}
