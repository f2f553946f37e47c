//! What the commands that write a sheet share: the form by the file's ending, the file, and where it came from.

use super::outlet::{LineArgs, OutletArgs};
use super::run::{BAD_INPUT, Loaded, Outcome, told};
use super::save;
use crate::quantity::{Voltage, show_plain};
use crate::report::page::Page;
use crate::report::{Origin, html, markdown};
use std::path::Path;

/// A form of a sheet.
pub(super) type Painter = fn(&Page) -> String;

/// The form a file's name asks for.
pub(super) fn painter(path: &Path) -> Result<Painter, Outcome> {
    let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default();
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

/// Writes a sheet and says so.
pub(super) fn write(path: &Path, text: &str, force: bool, what: &str) -> Outcome {
    match save::save(path, text, force) {
        Err(error) => Outcome::bad(told(&error.to_string(), error.advice()), BAD_INPUT),
        Ok(()) => Outcome::done(format!("{}: {what} is written\n", path.display())),
    }
}

/// Where a sheet came from, made again by `mainsfit {command} FILE {options}`.
pub(super) fn origin(
    loaded: &Loaded,
    file: &Path,
    (command, options): (&str, &str),
    outlet: OutletArgs,
    output: Option<&Path>,
) -> Origin {
    let mut line = format!("mainsfit {command} {}{options}", quoted(name(file)));
    let OutletArgs { line: LineArgs { line: usual, range }, low, high } = outlet;
    if let Some(range) = range {
        line += &format!(" --range {}", range.name);
    }
    for (option, volts) in [("--line", usual), ("--low", low), ("--high", high)] {
        if let Some(volts) = volts {
            line += &format!(" {option} {}", bare(volts));
        }
    }
    if let Some(path) = output {
        line += &format!(" -o {}", quoted(name(path)));
    }
    Origin { file: name(file), digest: loaded.digest.clone(), command: line }
}

/// Volts without the blank before the unit, as one types them.
pub(super) fn bare(volts: Voltage) -> String {
    show_plain(volts).replace(' ', "")
}

fn name(path: &Path) -> String {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned());
    name.unwrap_or_else(|| "-".to_owned())
}

fn quoted(name: String) -> String {
    let plain = |c: char| c.is_alphanumeric() || "-_.+".contains(c);
    if name.chars().all(plain) { name } else { format!("'{}'", name.replace('\'', "'\\''")) }
}
