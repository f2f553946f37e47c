//! The commands that write a sheet, `note` and `power-up`: its form by the file's ending, and the file.

use super::{
    Failure, Outcome, Result, Style,
    args::{NoteArgs, PlanFormat, PowerUpArgs},
    save,
};
use crate::api::{Note, Options, Page, PowerUp, Set};
use std::path::Path;

/// Writes the note, or prints it as Markdown where no file is named.
pub fn note(args: &NoteArgs) -> Result {
    let output = args.output.as_deref();
    let sheet = output.map(|path| Sheet::new(path, args.force)).transpose()?;
    let bench = Set::load(&args.set.file)?.bench(args.request.outlet.outlet()?)?;
    let note = bench.note(&Options { with: args.with, ..args.request.options() })?;
    let (what, page): (&str, fn(&Note) -> Page) = match args.label {
        true => ("card", Note::card),
        false => ("note", |note| Page::from(note)),
    };
    match sheet {
        None => Ok(Outcome::done(page(&note).markdown())),
        Some(sheet) => {
            let note = note.written_to(sheet.path);
            sheet.write(&page(&note), &format!("the {what} for \"{}\"", note.fitted().title))
        }
    }
}

/// Prints the schedule, or writes it where a file is named.
pub fn power_up(args: &PowerUpArgs, style: Style) -> Result {
    let output = args.output.as_deref();
    let sheet = output.map(|path| Sheet::new(path, args.force)).transpose()?;
    let found = Set::load(&args.set.file)?.bench(args.outlet.outlet()?)?.power_up()?;
    if args.format == PlanFormat::Json {
        return Outcome::json(&found);
    }
    let page: fn(&PowerUp) -> Page =
        if args.working { PowerUp::with_sums } else { |found| Page::from(found) };
    match sheet {
        None => Ok(Outcome::page(&page(&found), style)),
        Some(sheet) => sheet.write(&page(&found.written_to(sheet.path)), "the power-up schedule"),
    }
}

/// A file for a sheet.
struct Sheet<'a> {
    path: &'a Path,
    force: bool,
    /// The form that the file's name asks for.
    paint: fn(&Page) -> String,
}

impl Sheet<'_> {
    /// The sheet at `path`, over one that is there where `force` says so.
    pub fn new(path: &Path, force: bool) -> Result<Sheet<'_>> {
        let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default();
        let paint = match ending.to_lowercase().as_str() {
            "html" | "htm" => Page::html,
            "md" | "markdown" => Page::markdown,
            _ => {
                return Err(Failure::new(
                    format!("{}: the ending does not say what to write", path.display()),
                    "end the name in .html for a page to print, or in .md for Markdown",
                ));
            }
        };
        Ok(Sheet { path, force, paint })
    }

    /// Writes it and says so.
    pub fn write(&self, page: &Page, what: &str) -> Result {
        save(self.path, &(self.paint)(page), self.force)?;
        Ok(Outcome::done(format!("{}: {what} is written\n", self.path.display())))
    }
}
