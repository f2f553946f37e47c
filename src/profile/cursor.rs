//! A value of a document together with the way to it.

use std::fmt::{self, Display};
use std::rc::Rc;

use crate::profile::document::{Kind, Node};
use crate::profile::fields::Fields;
use crate::profile::problem::{Severity, quoted};
use crate::profile::reader::{MERGE_KEY, Reader};

/// An error that can say what to write instead.
///
/// `Display` gives what was found, lower case and without a full stop.
pub trait Advised: Display {
    /// What to write instead, if there is something to say.
    fn advice(&self) -> Option<String> {
        None
    }
}

impl Advised for String {}
impl Advised for &str {}

/// The way from the root to a value.
#[derive(Debug)]
pub(crate) enum Trail<'r> {
    Root,
    Item { parent: Rc<Trail<'r>>, index: usize },
    Entry { parent: Rc<Trail<'r>>, index: usize, key: &'r str },
}

impl Trail<'_> {
    /// The numbers of the items and entries on the way, from the root.
    pub(crate) fn steps(&self) -> Vec<usize> {
        match self {
            Trail::Root => Vec::new(),
            Trail::Item { parent, index } | Trail::Entry { parent, index, .. } => {
                let mut steps = parent.steps();
                steps.push(*index);
                steps
            }
        }
    }

    /// The way as text, such as `tubes[2].plate`; keys that are not plain words are quoted.
    pub(crate) fn path(&self) -> String {
        match self {
            Trail::Root => String::new(),
            Trail::Item { parent, index } => format!("{}[{index}]", parent.path()),
            Trail::Entry { parent, key, .. } => {
                let plain = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-');
                let word = if !key.is_empty() && key.len() <= 40 && key.chars().all(plain) {
                    (*key).to_owned()
                } else {
                    quoted(key)
                };
                match parent.path() {
                    parent if parent.is_empty() => word,
                    parent => format!("{parent}.{word}"),
                }
            }
        }
    }
}

/// One value of the document, with the way to it and the reader that takes its problems.
///
/// Cheap to clone, and may be kept for checks made after everything is read.
#[derive(Clone)]
pub struct Cursor<'r> {
    reader: &'r Reader<'r>,
    node: &'r Node,
    trail: Rc<Trail<'r>>,
}

impl fmt::Debug for Cursor<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kind = self.kind();
        write!(f, "Cursor({} is {kind})", self.path())
    }
}

impl<'r> Cursor<'r> {
    pub(crate) fn root(reader: &'r Reader<'r>, node: &'r Node) -> Self {
        Cursor { reader, node, trail: Rc::new(Trail::Root) }
    }

    pub(crate) fn item(&self, index: usize, node: &'r Node) -> Self {
        let parent = Rc::clone(&self.trail);
        Cursor { reader: self.reader, node, trail: Rc::new(Trail::Item { parent, index }) }
    }

    pub(crate) fn entry(&self, index: usize, key: &'r str, node: &'r Node) -> Self {
        let parent = Rc::clone(&self.trail);
        Cursor { reader: self.reader, node, trail: Rc::new(Trail::Entry { parent, index, key }) }
    }

    pub(crate) fn reader(&self) -> &'r Reader<'r> {
        self.reader
    }

    /// The value itself.
    pub fn node(&self) -> &'r Node {
        self.node
    }

    /// What kind of value this is, for a caller that accepts more than one.
    pub fn kind(&self) -> Kind {
        self.node.kind()
    }

    /// The key this value stands under, or `None` for a list item or the root.
    pub fn key(&self) -> Option<&'r str> {
        match *self.trail {
            Trail::Entry { key, .. } => Some(key),
            Trail::Item { .. } | Trail::Root => None,
        }
    }

    /// The way to this value, such as `tubes[2].plate`; empty for the root.
    pub fn path(&self) -> String {
        self.trail.path()
    }

    /// The entries of a mapping with fixed keys. Anything else is reported and gives `None`.
    pub fn map(&self) -> Option<Fields<'r>> {
        self.map_with(&[])
    }

    /// Like [`Cursor::map`]; if this is no mapping, the advice names the `keys` wanted.
    pub fn map_with(&self, keys: &[&str]) -> Option<Fields<'r>> {
        match self.node {
            Node::Map(entries) => Some(Fields::new(self.clone(), entries)),
            _ => {
                let advice = match keys {
                    [] => "write \"key: value\" lines, indented below the key".to_owned(),
                    keys => format!("write \"key: value\" lines with keys of: {}", keys.join(", ")),
                };
                self.wrong_kind("a mapping", &advice);
                None
            }
        }
    }

    /// The entries of a mapping whose keys are free names, in file order. Anything else is
    /// reported and gives `None`. Repeated keys are left out; the reader has reported them.
    pub fn entries(&self) -> Option<Vec<(String, Cursor<'r>)>> {
        let Node::Map(entries) = self.node else {
            self.wrong_kind("a mapping", "write \"name: value\" lines below the key");
            return None;
        };
        let mut seen = std::collections::HashSet::new();
        let fresh = entries
            .iter()
            .enumerate()
            .filter(|(_, (key, _))| key != MERGE_KEY && seen.insert(key))
            .map(|(index, (key, value))| (key.clone(), self.entry(index, key, value)))
            .collect();
        Some(fresh)
    }

    /// The items of a list. Anything else is reported and gives `None`.
    pub fn list(&self) -> Option<Vec<Cursor<'r>>> {
        let Node::List(items) = self.node else {
            self.wrong_kind("a list", "write each item on its own line after \"- \"");
            return None;
        };
        let numbered = items.iter().enumerate();
        Some(numbered.map(|(i, node)| self.item(i, node)).collect())
    }

    /// The text of a single value as it is written. Anything else is reported and gives `None`.
    pub fn text(&self) -> Option<&'r str> {
        let Node::Scalar(text) = self.node else {
            self.wrong_kind("a single value", "write one value here");
            return None;
        };
        Some(text)
    }

    /// The text read by `parse`, whose error is reported at this value with its own advice.
    pub fn parse_with<T, E: Advised>(&self, parse: impl FnOnce(&str) -> Result<T, E>) -> Option<T> {
        match parse(self.text()?) {
            Ok(value) => Some(value),
            Err(error) => {
                let texts = || (error.to_string(), error.advice());
                self.record(Severity::Error, false, texts);
                None
            }
        }
    }

    /// Like [`Cursor::parse_with`], for an error without advice of its own.
    pub fn parse_or<T, E: Display>(
        &self,
        parse: impl FnOnce(&str) -> Result<T, E>,
        advice: &str,
    ) -> Option<T> {
        match parse(self.text()?) {
            Ok(value) => Some(value),
            Err(error) => {
                self.fail(&error.to_string(), Some(advice));
                None
            }
        }
    }

    /// Reports an error at this value: what was found, and what to write instead.
    pub fn fail(&self, found: &str, advice: Option<&str>) {
        self.report(Severity::Error, false, found, advice);
    }

    /// Reports a warning at this value.
    pub fn warn(&self, found: &str, advice: Option<&str>) {
        self.report(Severity::Warning, false, found, advice);
    }

    /// Reports an error at this value's key; without a key, at the value.
    pub fn fail_key(&self, found: &str, advice: Option<&str>) {
        self.report(Severity::Error, true, found, advice);
    }

    /// Reports a warning at this value's key; without a key, at the value.
    pub fn warn_key(&self, found: &str, advice: Option<&str>) {
        self.report(Severity::Warning, true, found, advice);
    }

    fn report(&self, severity: Severity, at_key: bool, found: &str, advice: Option<&str>) {
        let texts = || (found.to_owned(), advice.map(str::to_owned));
        self.record(severity, at_key, texts);
    }

    fn record(
        &self,
        severity: Severity,
        at_key: bool,
        texts: impl FnOnce() -> (String, Option<String>),
    ) {
        // nothing is written where an empty value stands, so its key is shown
        let at_key = self.key().is_some() && (at_key || self.kind() == Kind::Null);
        self.reader.record(severity, &self.trail, at_key, texts);
    }

    /// Reports a value that is empty although one is needed.
    pub(crate) fn fail_empty(&self, advice: &str) {
        let found = match self.key() {
            Some(key) => format!("{} is empty", quoted(key)),
            None if matches!(*self.trail, Trail::Root) => "the file is empty".to_owned(),
            None => "this list item is empty".to_owned(),
        };
        self.fail(&found, Some(advice));
    }

    fn wrong_kind(&self, wanted: &str, advice: &str) {
        match self.node {
            Node::Null => self.fail_empty(advice),
            Node::Scalar(text) => {
                self.fail(&format!("{wanted} is wanted here; found {}", quoted(text)), Some(advice))
            }
            Node::List(_) | Node::Map(_) => {
                self.fail(&format!("{wanted} is wanted here; found {}", self.kind()), Some(advice))
            }
        }
    }
}
