//! Collects the problems met while a profile is read from a [`Document`].

use std::cell::RefCell;
use std::collections::HashSet;

use crate::profile::cursor::{Cursor, Trail};
use crate::profile::document::{Document, Node};
use crate::profile::model::StatedKnown;
use crate::profile::problem::{MAX_SHOWN, Problem, Problems, Severity, quoted};

/// Most problems of one severity kept while reading; later ones are only counted. It is above
/// what is shown, so that those shown are the first in file order and not in reading order.
const MAX_KEPT: usize = 1_000;

/// The key YAML 1.1 gives a special meaning: it copies another mapping's entries.
pub(crate) const MERGE_KEY: &str = "<<";

/// A problem not located yet.
struct Pending {
    severity: Severity,
    steps: Vec<usize>,
    at_key: bool,
    path: String,
    found: String,
    advice: Option<String>,
}

#[derive(Default)]
struct Sink {
    kept: Vec<Pending>,
    errors: usize,
    warnings: usize,
}

impl Sink {
    fn count(&mut self, severity: Severity) -> &mut usize {
        match severity {
            Severity::Error => &mut self.errors,
            Severity::Warning => &mut self.warnings,
        }
    }
}

/// Reads one document and collects every problem found on the way.
///
/// Values are reached through [`Reader::root`]. Cursors may be kept for checks made after all is
/// read, up to [`Reader::into_result`].
pub struct Reader<'d> {
    document: &'d Document,
    sink: RefCell<Sink>,
    known: RefCell<Vec<StatedKnown>>,
}

impl<'d> Reader<'d> {
    /// A reader at the start of a document. Repeated keys and merge keys (`<<`), anywhere in the
    /// document, are reported here, so that the reading code need not think of them.
    pub fn new(document: &'d Document) -> Self {
        let reader = Reader { document, sink: RefCell::default(), known: RefCell::default() };
        reader.check_keys(&reader.root());
        reader
    }

    /// Keeps how a value is known.
    pub(crate) fn keep(&self, known: StatedKnown) {
        self.known.borrow_mut().push(known);
    }

    /// What was kept.
    pub(crate) fn kept(&self) -> Vec<StatedKnown> {
        self.known.take()
    }

    /// The outermost value.
    pub fn root(&self) -> Cursor<'_> {
        Cursor::root(self, self.document.root())
    }

    /// Number of errors so far: a check that needs sound values may be left out if it is not 0.
    pub fn errors(&self) -> usize {
        self.sink.borrow().errors
    }

    /// The value with the warnings, or all problems if there was an error.
    ///
    /// # Errors
    ///
    /// All errors and warnings collected, located and in file order. A `None` without any error
    /// (a fault in the reading code) is an error as well, never a value.
    pub fn into_result<T>(self, value: Option<T>) -> Result<(T, Problems), Problems> {
        if value.is_none() && self.errors() == 0 {
            self.root().fail(
                "the file was not understood, though nothing was found wrong in it",
                Some("report this with the file: it is a fault in the program"),
            );
        }
        let failed = self.errors() > 0;
        let problems = self.into_problems();
        match value {
            Some(value) if !failed => Ok((value, problems)),
            _ => Err(problems),
        }
    }

    /// Whether a further problem of this severity would only be counted.
    pub(crate) fn is_full(&self, severity: Severity) -> bool {
        *self.sink.borrow_mut().count(severity) >= MAX_KEPT
    }

    /// Takes a problem at a trail's value, or at its key. The texts are only made if kept.
    pub(crate) fn record(
        &self,
        severity: Severity,
        trail: &Trail<'_>,
        at_key: bool,
        texts: impl FnOnce() -> (String, Option<String>),
    ) {
        let full = self.is_full(severity);
        // the texts come from a caller's code: it must not meet the sink borrowed
        let pending = (!full).then(|| {
            let (found, advice) = texts();
            Pending { severity, steps: trail.steps(), at_key, path: trail.path(), found, advice }
        });
        let mut sink = self.sink.borrow_mut();
        *sink.count(severity) += 1;
        sink.kept.extend(pending);
    }

    fn check_keys(&self, cursor: &Cursor<'_>) {
        match cursor.node() {
            Node::Null | Node::Scalar(_) => {}
            Node::List(items) => {
                for (index, item) in items.iter().enumerate() {
                    self.check_keys(&cursor.item(index, item));
                }
            }
            Node::Map(entries) => {
                let mut seen = HashSet::new();
                for (index, (key, value)) in entries.iter().enumerate() {
                    let entry = cursor.entry(index, key, value);
                    if key == MERGE_KEY {
                        entry.fail_key(
                            "unknown key \"<<\"; mappings are not merged",
                            Some("write the entries out"),
                        );
                    } else if !seen.insert(key) {
                        entry.fail_key(
                            &format!("the key {} stands in this mapping already", quoted(key)),
                            Some("keep one of the two lines"),
                        );
                    }
                    self.check_keys(&entry);
                }
            }
        }
    }

    /// Chooses what is shown, errors before warnings, and finds the places of it.
    fn into_problems(self) -> Problems {
        let Sink { mut kept, errors, warnings } = self.sink.into_inner();
        kept.sort_by(|a, b| {
            (a.severity, &a.steps, !a.at_key).cmp(&(b.severity, &b.steps, !b.at_key))
        });
        // the same sentence at the same value twice is one problem
        let before = counts(&kept);
        kept.dedup_by(|a, b| {
            (a.severity, a.at_key, &a.steps, &a.found) == (b.severity, b.at_key, &b.steps, &b.found)
        });
        let after = counts(&kept);
        kept.truncate(MAX_SHOWN);
        let shown = counts(&kept);
        let items = kept
            .into_iter()
            .map(|pending| Problem {
                place: self.document.locate(&pending.steps, pending.at_key),
                severity: pending.severity,
                path: pending.path,
                found: pending.found,
                advice: pending.advice,
            })
            .collect();
        let hidden_errors = errors - (before.0 - after.0) - shown.0;
        let hidden_warnings = warnings - (before.1 - after.1) - shown.1;
        Problems::new(
            self.document.name(),
            self.document.text(),
            items,
            hidden_errors,
            hidden_warnings,
        )
    }
}

/// Numbers of errors and of warnings.
fn counts(pending: &[Pending]) -> (usize, usize) {
    let errors = pending.iter().filter(|p| p.severity == Severity::Error).count();
    (errors, pending.len() - errors)
}

#[cfg(test)]
mod tests;
