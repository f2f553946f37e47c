//! The commands that write a sheet, `note`, `parts` and `power-up`: its form by the file's ending, and the file.

use super::{
    Outcome, Result,
    args::{NoteArgs, PartsArgs, PartsFormat, PlanFormat, PowerUpArgs},
    desk::Desk,
    save::save_all,
};
use crate::api::{Note, Options, Page, PowerUp, typed::shown};
use std::path::Path;

/// Writes the note, or prints it as Markdown where no file is named.
pub fn note(args: &NoteArgs, desk: &Desk) -> Result {
    let output = args.output.as_deref();
    let sheet = output.map(|path| Sheet::new(path, args.force));
    let bench = desk.load(&args.set.file)?.bench(args.request.outlet.outlet()?)?;
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
pub fn power_up(args: &PowerUpArgs, desk: &Desk) -> Result {
    let output = args.output.as_deref();
    let sheet = output.map(|path| Sheet::new(path, args.force));
    let found = desk.load(&args.set.file)?.bench(args.outlet.outlet()?)?.power_up()?;
    if args.format == PlanFormat::Json {
        return Outcome::json(&found);
    }
    let page: fn(&PowerUp) -> Page =
        if args.working { PowerUp::with_sums } else { |found| Page::from(found) };
    match sheet {
        None => Ok(Outcome::page(&page(&found), desk.style)),
        Some(sheet) => sheet.write(&page(&found.written_to(sheet.path)), "the power-up schedule"),
    }
}

/// Prints what to buy, or writes it where a file is named.
pub fn parts(args: &PartsArgs, desk: &Desk) -> Result {
    let output = args.output.as_deref();
    let sheet = output.map(|path| Sheet::new(path, args.force));
    let bench = desk.load(&args.set.file)?.bench(args.request.outlet.outlet()?)?;
    let list = bench.parts(&Options { with: args.with, ..args.request.options() })?;
    match (sheet, args.format) {
        (Some(sheet), _) => {
            let list = list.written_to(sheet.path);
            sheet.write(&Page::from(&list), "the list of parts")
        }
        (None, PartsFormat::Text) => Ok(Outcome::page(&Page::from(&list), desk.style)),
        (None, PartsFormat::Csv) => Ok(Outcome::done(list.csv())),
        (None, PartsFormat::Json) => Outcome::json(&list),
    }
}

/// A file for a sheet.
struct Sheet<'a> {
    path: &'a Path,
    force: bool,
    form: Form,
}

/// The form that a file's name asks for.
enum Form {
    Html,
    Markdown,
}

impl Sheet<'_> {
    /// The sheet at `path`, whose ending is one of a sheet, over one that is there where `force` says so.
    pub fn new(path: &Path, force: bool) -> Sheet<'_> {
        let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default();
        let form = match ending.to_lowercase().as_str() {
            "html" | "htm" => Form::Html,
            _ => Form::Markdown,
        };
        Sheet { path, force, form }
    }

    /// Writes it, Markdown with its drawings beside it, and says so.
    pub fn write(&self, page: &Page, what: &str) -> Result {
        let stem = self.path.file_stem().unwrap_or_default().to_string_lossy();
        let (text, drawings) = match self.form {
            Form::Html => (page.html(), Vec::new()),
            Form::Markdown => page.markdown_beside(&stem),
        };
        let beside = match drawings.len() {
            0 => String::new(),
            1 => ", its drawing beside it".to_owned(),
            many => format!(", its {many} drawings beside it"),
        };
        let drawings =
            drawings.into_iter().map(|(name, svg)| (self.path.with_file_name(name), svg));
        let files: Vec<_> = drawings.chain([(self.path.to_owned(), text)]).collect();
        save_all(&files, self.force)?;
        Ok(Outcome::done(format!("{}: {what} is written{beside}\n", shown(self.path))))
    }
}
