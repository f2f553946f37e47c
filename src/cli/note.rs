//! The `note` command: a plan's choice as a sheet of paper.

use super::args::NoteArgs;
use super::paper::{self, Painter, bare};
use super::run::{Outcome, load, no_answer, warnings};
use crate::profile::Target;
use crate::report::{self, markdown};
use crate::study::{self, Request};
use clap::ValueEnum;

/// Writes the note, or prints it as Markdown where no file is named.
pub(super) fn note(args: &NoteArgs) -> Outcome {
    let output = args.output.as_deref();
    let painter = match output.map_or(Ok(markdown::paint as Painter), paper::painter) {
        Ok(painter) => painter,
        Err(outcome) => return outcome,
    };
    let loaded = match load(&args.file) {
        Ok(loaded) => loaded,
        Err(outcome) => return outcome,
    };
    let request = Request { outlet: args.outlet.into(), target: args.target };
    let with = args.with.and_then(|w| w.to_possible_value());
    let with = with.as_ref().map(|v| v.get_name());
    let note = match study::note(&loaded.profile, &request, with, warnings(&loaded)) {
        Ok(note) => note,
        Err(error) => return no_answer(&loaded.document, &error),
    };
    let fitted = note.fitted();
    let options = format!(" --with {}{}", fitted.id, target(args.target));
    let command = ("note", options.as_str());
    let origin = paper::origin(&loaded, &args.file, command, args.outlet, output);
    let text = painter(&report::note_page(&note, &origin));
    match output {
        None => Outcome::done(text),
        Some(path) => {
            let what = format!("the note for \"{}\"", fitted.title);
            paper::write(path, &text, args.force, &what)
        }
    }
}

/// The target as one types it.
fn target(target: Option<Target>) -> String {
    match target {
        Some(Target::Heaters) => " --target heaters".to_owned(),
        Some(Target::BPlus(volts)) => format!(" --target B+={}", bare(volts)),
        Some(Target::AsOnLine(volts)) => format!(" --target line={}", bare(volts)),
        None => String::new(),
    }
}
