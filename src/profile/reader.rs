//! Collects the problems met while a profile is read from a [`Document`].

use super::{
    cursor::Cursor,
    document::{Document, Node},
    known::StatedKnown,
    problem::{MAX_SHOWN, Problem, Problems, Severity, quoted},
};
use std::{
    any::{Any, TypeId},
    cell::RefCell,
    collections::{HashMap, HashSet},
    rc::Rc,
};

/// Most problems of one severity kept while reading; later ones are only counted. It is above
/// what is shown, so that those shown are the first in file order and not in reading order.
const MAX_KEPT: usize = 1_000;

/// The key YAML 1.1 gives a special meaning: it copies another mapping's entries.
pub(crate) const MERGE_KEY: &str = "<<";

/// A problem not located yet.
struct Pending {
    steps: Vec<usize>,
    at_key: bool,
    problem: Problem,
}

#[derive(Default)]
struct Sink {
    kept: Vec<Pending>,
    /// Errors and warnings met.
    counts: [usize; 2],
}

/// Reads one document and collects every problem found on the way.
///
/// Values are reached through [`Reader::root`]. Cursors may be kept for checks made after all is
/// read, up to [`Reader::into_result`].
pub struct Reader<'d> {
    document: &'d Document,
    sink: RefCell<Sink>,
    known: RefCell<Vec<StatedKnown>>,
    told: RefCell<HashMap<TypeId, Rc<dyn Any>>>,
}

impl<'d> Reader<'d> {
    /// A reader at the start of a document. Repeated keys and merge keys (`<<`), anywhere in the
    /// document, are reported here, so that the reading code need not think of them.
    pub fn new(document: &'d Document) -> Self {
        let reader = Reader {
            document,
            sink: RefCell::default(),
            known: RefCell::default(),
            told: RefCell::default(),
        };
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

    /// The value of this type that one place of the document told for others.
    pub(crate) fn told<T: Default + 'static>(&self) -> Rc<T> {
        let told = self.told.borrow().get(&TypeId::of::<T>()).cloned();
        told.and_then(|value| value.downcast().ok()).unwrap_or_default()
    }

    /// Tells a value for other places of the document, instead of what was told of its type before.
    pub(crate) fn tell<T: 'static>(&self, value: T) {
        self.told.borrow_mut().insert(TypeId::of::<T>(), Rc::new(value));
    }

    /// The outermost value.
    pub fn root(&self) -> Cursor<'_> {
        Cursor::root(self, self.document.root())
    }

    /// Number of errors so far: a check that needs sound values may be left out if it is not 0.
    pub fn errors(&self) -> usize {
        self.sink.borrow().counts[Severity::Error as usize]
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

    /// Whether a further problem of this severity would only be counted.
    pub(crate) fn is_full(&self, severity: Severity) -> bool {
        self.sink.borrow().counts[severity as usize] >= MAX_KEPT
    }

    /// Takes a problem at a value, or at its key.
    pub(crate) fn record(
        &self,
        severity: Severity,
        at: &Cursor<'_>,
        at_key: bool,
        found: &str,
        advice: &str,
    ) {
        let mut sink = self.sink.borrow_mut();
        let count = &mut sink.counts[severity as usize];
        *count += 1;
        if *count <= MAX_KEPT {
            let problem = Problem {
                severity,
                path: at.path().to_owned(),
                place: None,
                found: found.to_owned(),
                advice: (!advice.is_empty()).then(|| advice.to_owned()),
            };
            sink.kept.push(Pending { steps: at.steps().to_vec(), at_key, problem });
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
                            "unknown key \"<<\"; mappings are not merged",
                            "write the entries out",
                        );
                    } else if !seen.insert(key) {
                        entry.fail_key(
                            format!("the key {} stands in this mapping already", quoted(key)),
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
        let Sink { mut kept, mut counts } = self.sink.into_inner();
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
