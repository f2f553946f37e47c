//! What a command reads, and what it writes.

use super::{Command, SetArgs, outlet::OutletArgs};
use std::{
    path::{Path, PathBuf},
    slice::from_ref,
};

/// What is written into a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// A sheet to print.
    Sheet,
    /// A page for a browser.
    Page,
    /// Curves; they may go to standard output too.
    Curves,
    /// A profile.
    Profile,
}

impl FileKind {
    /// Endings of such a file, in small letters.
    pub fn endings(self) -> &'static [&'static str] {
        match self {
            FileKind::Sheet => &["html", "htm", "md", "markdown"],
            FileKind::Page => &["html", "htm"],
            FileKind::Curves => &["svg"],
            FileKind::Profile => &["yaml", "yml"],
        }
    }

    /// What to write instead.
    pub fn advice(self) -> &'static str {
        match self {
            FileKind::Sheet => "end the name in .html for a page to print, or in .md for Markdown",
            FileKind::Page => "end the name in .html: a browser shows it",
            FileKind::Curves => "end the name in .svg",
            FileKind::Profile => "end the name in .yaml",
        }
    }
}

/// A file to write.
#[derive(Debug, Clone, Copy)]
pub struct Output<'a> {
    /// Its name.
    pub path: &'a Path,
    /// What is written into it.
    pub kind: FileKind,
}

impl Command {
    /// The files that are read.
    pub fn inputs(&self) -> Vec<&Path> {
        let (files, log): (&[PathBuf], Option<&PathBuf>) = match self {
            Command::Plan(args) => (&args.files, args.request.outlet.line.outlet_log.as_ref()),
            Command::Check(args) => (&args.files, None),
            Command::Fit(args) => (from_ref(&args.file), None),
            Command::New(args) => (&[], args.said.outlet.line.outlet_log.as_ref()),
            Command::Note(args) => of_set(&args.set, &args.request.outlet),
            Command::Parts(args) => of_set(&args.set, &args.request.outlet),
            Command::SwitchOn(args) => of_set(&args.set, &args.request.outlet),
            Command::Page(args) => of_set(&args.set, &args.request.outlet),
            Command::PowerUp(args) => of_set(&args.set, &args.outlet),
            Command::Sweep(args) => of_set(&args.set, &args.outlet),
            Command::Tolerance(args) => of_set(&args.set, &args.outlet),
            Command::Replace(args) => of_set(&args.set, &args.outlet),
            Command::Divider(args) => (args.file.as_slice(), args.outlet.outlet_log.as_ref()),
            Command::Tubes { .. }
            | Command::Explain { .. }
            | Command::Example(_)
            | Command::Schema { .. }
            | Command::Completions { .. }
            | Command::Man { .. } => (&[], None),
        };
        files.iter().chain(log).map(PathBuf::as_path).collect()
    }

    /// The file that is written, where one is named.
    pub fn output(&self) -> Option<Output<'_>> {
        let (path, kind) = match self {
            Command::Note(args) => (&args.output, FileKind::Sheet),
            Command::Parts(args) => (&args.output, FileKind::Sheet),
            Command::PowerUp(args) => (&args.output, FileKind::Sheet),
            Command::Page(args) => (&args.output, FileKind::Page),
            Command::Sweep(args) => (&args.svg, FileKind::Curves),
            Command::SwitchOn(args) => (&args.svg, FileKind::Curves),
            Command::New(args) => (&args.output, FileKind::Profile),
            Command::Replace(args) => (&args.output, FileKind::Profile),
            Command::Example(args) => (&args.output, FileKind::Profile),
            _ => return None,
        };
        path.as_deref().map(|path| Output { path, kind })
    }
}

/// What is read of a set and of its outlet.
fn of_set<'a>(set: &'a SetArgs, outlet: &'a OutletArgs) -> (&'a [PathBuf], Option<&'a PathBuf>) {
    (from_ref(&set.file), outlet.line.outlet_log.as_ref())
}
