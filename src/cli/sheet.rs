//! The commands that write a sheet, `note` and `power-up`: its form by the file's ending, the file, and where it came from.

use super::{
    Failure, Loaded, Outcome, Result, Style,
    args::{NoteArgs, PlanFormat, PowerUpArgs},
    load, save,
};
use crate::{
    report::{
        Origin, cautions_begin, html, markdown, note_page, page::Page, power_up_page,
        working_section,
    },
    study::{self, Request},
};
use std::path::Path;

/// Writes the note, or prints it as Markdown where no file is named.
pub fn note(args: &NoteArgs) -> Result {
    let output = args.output.as_deref();
    let sheet = output.map(|path| Sheet::new(path, args.force)).transpose()?;
    let loaded = load(&args.set.file)?;
    let note = study::note(&loaded.profile, &args.request.into(), args.with, loaded.warnings());
    let note = loaded.answer(note)?;
    let fitted = note.fitted();
    let options = format!(" --with {}{}", fitted.method, args.request.typed());
    let page = note_page(&note, &origin(&loaded, "note", &options, output));
    match sheet {
        None => Ok(Outcome::done(markdown::paint(&page))),
        Some(sheet) => sheet.write(&page, &format!("the note for \"{}\"", fitted.title)),
    }
}

/// Prints the schedule, or writes it where a file is named.
pub fn power_up(args: &PowerUpArgs, style: Style) -> Result {
    let output = args.output.as_deref();
    let sheet = output.map(|path| Sheet::new(path, args.force)).transpose()?;
    let loaded = load(&args.set.file)?;
    let request = Request { outlet: args.outlet.into(), target: None };
    let found = study::power_up(&loaded.profile, &request, loaded.warnings());
    let found = loaded.answer(found)?;
    if args.format == PlanFormat::Json {
        return Outcome::json(&found);
    }
    let mut page =
        power_up_page(&found, &origin(&loaded, "power-up", &args.outlet.typed(), output));
    if args.working {
        ahead_of_cautions(&mut page, working_section(&found.working));
    }
    match sheet {
        None => Ok(Outcome::page(&page, style)),
        Some(sheet) => sheet.write(&page, "the power-up schedule"),
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
            "html" | "htm" => html::paint,
            "md" | "markdown" => markdown::paint,
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

/// Where a sheet came from, made again by `mainsfit {command} FILE{options}`.
fn origin(loaded: &Loaded, command: &str, options: &str, output: Option<&Path>) -> Origin {
    let file = name(Path::new(loaded.document.name()));
    let mut command = format!("mainsfit {command} {}{options}", quoted(&file));
    if let Some(path) = output {
        command += &format!(" -o {}", quoted(&name(path)));
    }
    Origin { file, digest: loaded.digest.clone(), command }
}

fn name(path: &Path) -> String {
    path.file_name().map_or("-".into(), |name| name.to_string_lossy()).into_owned()
}

fn quoted(name: &str) -> String {
    if name.chars().all(|c: char| c.is_alphanumeric() || "-_.+".contains(c)) {
        name.to_owned()
    } else {
        format!("'{}'", name.replace('\'', "'\\''"))
    }
}

/// Puts `section` before the cautions of a page.
pub fn ahead_of_cautions(page: &mut Page, section: Page) {
    let at = page.iter().position(cautions_begin).unwrap_or(page.len());
    page.splice(at..at, section);
}
