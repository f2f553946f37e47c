//! The `note` command: a plan's choice as a sheet of paper.

use super::args::NoteArgs;
use super::load::load;
use super::outcome::{Outcome, Result};
use super::paper::{Sheet, origin};
use crate::report::{markdown, note_page};
use crate::study;

/// Writes the note, or prints it as Markdown where no file is named.
pub(super) fn note(args: &NoteArgs) -> Result {
    let output = args.output.as_deref();
    let sheet = output.map(|path| Sheet::new(path, args.force)).transpose()?;
    let loaded = load(&args.set.file)?;
    let note = study::note(&loaded.profile, &args.request.into(), args.with, loaded.warnings());
    let note = loaded.answer(note)?;
    let fitted = note.fitted();
    let options = format!(" --with {}{}", fitted.method, args.request);
    let page = note_page(&note, &origin(&loaded, "note", options, output));
    match sheet {
        None => Ok(Outcome::done(markdown::paint(&page))),
        Some(sheet) => sheet.write(&page, &format!("the note for \"{}\"", fitted.title)),
    }
}
