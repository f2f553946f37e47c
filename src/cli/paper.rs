//! What the commands that write a sheet share: the form by the file's ending, the file, and where it came from.

use super::load::Loaded;
use super::outcome::{Failure, Outcome, Result};
use super::save::save;
use crate::report::page::Page;
use crate::report::{Origin, cautions_begin, html, markdown};
use std::fmt::Display;
use std::path::Path;

/// A file for a sheet.
pub(super) struct Sheet<'a> {
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

/// Puts `section` before the cautions of a page.
pub(super) fn ahead_of_cautions(page: &mut Page, section: Page) {
    let at = page.iter().position(cautions_begin).unwrap_or(page.len());
    page.splice(at..at, section);
}

/// Where a sheet came from, made again by `mainsfit {command} FILE{options}`.
pub(super) fn origin(
    loaded: &Loaded,
    command: &str,
    options: impl Display,
    output: Option<&Path>,
) -> Origin {
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
    let plain = |c: char| c.is_alphanumeric() || "-_.+".contains(c);
    if name.chars().all(plain) {
        name.to_owned()
    } else {
        format!("'{}'", name.replace('\'', "'\\''"))
    }
}
