//! The `note` command: a plan's choice as a sheet of paper.

use super::args::NoteArgs;
use super::load::load;
use super::outcome::{Outcome, Result};
use super::paper::{Sheet, origin};
use crate::report::{markdown, note_page};
use crate::study;
use clap::ValueEnum;

/// Writes the note, or prints it as Markdown where no file is named.
pub(super) fn note(args: &NoteArgs) -> Result {
    let output = args.output.as_deref();
    let sheet = output.map(|path| Sheet::new(path, args.force)).transpose()?;
    let loaded = load(&args.set.file)?;
    let with = args.with.and_then(|w| w.to_possible_value());
    let with = with.as_ref().map(|v| v.get_name());
    let note = study::note(&loaded.profile, &args.request.into(), with, loaded.warnings());
    let note = loaded.answer(note)?;
    let fitted = note.fitted();
    let options = format!(" --with {}{}", fitted.id, args.request);
    let page = note_page(&note, &origin(&loaded, "note", options, output));
    match sheet {
        None => Ok(Outcome::done(markdown::paint(&page))),
        Some(sheet) => sheet.write(&page, &format!("the note for \"{}\"", fitted.title)),
    }
}
