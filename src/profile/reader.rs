//! Collects the problems met while a profile is read from a [`Document`].

use super::{
    cursor::Cursor,
    document::Document,
    node::{MERGE_KEY, Node},
    problem::{MAX_SHOWN, Problems, Severity, quoted},
    sink::{Met, Pending, Sink},
};
use std::collections::HashSet;

/// Reads one document and collects every problem found on the way.
///
/// Values are reached through [`Reader::root`]. Cursors may be kept for checks made after all is
/// read, up to [`Reader::into_result`].
pub struct Reader<'d> {
    document: &'d Document,
    sink: Sink,
}

impl<'d> Reader<'d> {
    /// A reader at the start of a document. Repeated keys and merge keys (`<<`), anywhere in the
    /// document, are reported here, so that the reading code need not think of them.
    pub fn new(document: &'d Document) -> Self {
        let reader = Reader { document, sink: Sink::default() };
        reader.check_keys(&reader.root());
        reader
    }

    /// The outermost value.
    pub fn root(&self) -> Cursor<'_> {
        Cursor::root(&self.sink, self.document.root())
    }

    /// Number of errors so far: a check that needs sound values may be left out if it is not 0.
    pub fn errors(&self) -> usize {
        self.sink.met.borrow().counts[Severity::Error as usize]
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
                "report this with the file: it is a fault in the program",
            );
        }
        let failed = self.errors() > 0;
        let problems = self.into_problems();
        match value {
            Some(value) if !failed => Ok((value, problems)),
            _ => Err(problems),
        }
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
                            "unknown key \"<<\"; blocks of keys are not merged",
                            "write the entries out",
                        );
                    } else if !seen.insert(key) {
                        entry.fail_key(
                            format!("the key {} is in this block already", quoted(key)),
                            "keep one of the two lines",
                        );
                    }
                    self.check_keys(&entry);
                }
            }
        }
    }

    /// Chooses what is shown, errors before warnings, and finds the places of it.
    fn into_problems(self) -> Problems {
        let Met { mut kept, mut counts } = self.sink.met.into_inner();
        kept.sort_by(|a, b| {
            (a.problem.severity, &a.steps, !a.at_key).cmp(&(
                b.problem.severity,
                &b.steps,
                !b.at_key,
            ))
        });
        // the same sentence at the same value twice is one problem
        kept.dedup_by(|a, b| {
            let same = (a.problem.severity, a.at_key, &a.steps, &a.problem.found)
                == (b.problem.severity, b.at_key, &b.steps, &b.problem.found);
            counts[a.problem.severity as usize] -= usize::from(same);
            same
        });
        kept.truncate(MAX_SHOWN);
        let located = |Pending { steps, at_key, mut problem }| {
            counts[problem.severity as usize] -= 1;
            problem.place = self.document.locate(&steps, at_key);
            problem
        };
        let items = kept.into_iter().map(located).collect();
        Problems::new(self.document.name(), self.document.text(), items, counts)
    }
}

#[cfg(test)]
mod tests;
