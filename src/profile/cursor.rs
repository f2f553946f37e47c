//! A value of a document together with the way to it.

use super::{
    node::{Kind, MERGE_KEY, Node},
    problem::{Severity, quoted},
    sink::Sink,
};
use std::{
    collections::HashSet,
    fmt::{self, Display},
    rc::Rc,
};

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

/// One value of the document, with the way to it and what takes its problems.
///
/// Cheap to clone, and may be kept for checks made after everything is read.
#[derive(Clone)]
pub struct Cursor<'r> {
    sink: &'r Sink,
    node: &'r Node,
    key: Option<&'r str>,
    /// The numbers of the items and entries on the way, from the root.
    steps: Rc<[usize]>,
    path: Rc<str>,
}

impl fmt::Debug for Cursor<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kind = self.kind();
        write!(f, "Cursor({} is {kind})", self.path())
    }
}

impl<'r> Cursor<'r> {
    pub(crate) fn root(sink: &'r Sink, node: &'r Node) -> Self {
        Cursor { sink, node, key: None, steps: Rc::default(), path: Rc::default() }
    }

    fn inside(&self, index: usize, key: Option<&'r str>, node: &'r Node, path: String) -> Self {
        let steps = self.steps.iter().copied().chain([index]).collect();
        Cursor { sink: self.sink, node, key, steps, path: path.into() }
    }

    pub(crate) fn item(&self, index: usize, node: &'r Node) -> Self {
        self.inside(index, None, node, format!("{}[{index}]", self.path))
    }

    pub(crate) fn entry(&self, index: usize, key: &'r str, node: &'r Node) -> Self {
        let plain = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-');
        let is_plain = !key.is_empty() && key.len() <= 40 && key.chars().all(plain);
        let word = if is_plain { key.to_owned() } else { quoted(key) };
        let path = if self.path.is_empty() { word } else { format!("{}.{word}", self.path) };
        self.inside(index, Some(key), node, path)
    }

    pub(crate) fn sink(&self) -> &'r Sink {
        self.sink
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
        self.key
    }

    /// The way to this value, such as `tubes[2].plate`, where keys that are no plain words are quoted; empty for the root.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The entries of a mapping whose keys are free names, in file order. Anything else is
    /// reported and gives `None`. Repeated keys are left out; the reader has reported them.
    pub fn entries(&self) -> Option<Vec<(String, Cursor<'r>)>> {
        let Node::Map(entries) = self.node else {
            return self.wrong_kind("a block of keys", "write \"name: value\" lines below the key");
        };
        let mut seen = HashSet::new();
        let fresh = entries.iter().enumerate();
        let fresh = fresh.filter(|(_, (key, _))| key != MERGE_KEY && seen.insert(key));
        Some(fresh.map(|(i, (key, value))| (key.clone(), self.entry(i, key, value))).collect())
    }

    /// The value at a key, empty or not, if this is a mapping that has it.
    pub fn find(&self, key: &str) -> Option<Cursor<'r>> {
        let Node::Map(entries) = self.node else { return None };
        let (index, (key, value)) =
            entries.iter().enumerate().find(|(_, (name, _))| name == key)?;
        Some(self.entry(index, key, value))
    }

    /// The value at a key, if this is a mapping that has it and it is not empty.
    pub fn get(&self, key: &str) -> Option<Cursor<'r>> {
        self.find(key).filter(|at| at.kind() != Kind::Null)
    }

    /// The value at keys such as `primary.taps`: as near to it as a problem can be placed.
    pub fn below(&self, keys: &str) -> Cursor<'r> {
        keys.split('.').fold(self.clone(), |at, key| at.find(key).unwrap_or(at))
    }

    /// The items of a list. Anything else is reported and gives `None`.
    pub fn list(&self) -> Option<Vec<Cursor<'r>>> {
        let Node::List(items) = self.node else {
            return self.wrong_kind("a list", "write each item on its own line after \"- \"");
        };
        Some(items.iter().enumerate().map(|(i, node)| self.item(i, node)).collect())
    }

    /// The text of a single value as it is written. Anything else is reported and gives `None`.
    pub fn text(&self) -> Option<&'r str> {
        match self.node {
            Node::Scalar(text) => Some(text),
            _ => self.wrong_kind("a single value", "write one value here"),
        }
    }

    /// The text read by `parse`, whose error is reported at this value with its own advice.
    pub fn parse_with<T, E: Advised>(&self, parse: impl FnOnce(&str) -> Result<T, E>) -> Option<T> {
        parse(self.text()?)
            .map_err(|error| self.fail(error.to_string(), error.advice().unwrap_or_default()))
            .ok()
    }

    /// The text read by `parse`; where that gives nothing, `is_not` says what the text is not.
    pub fn parsed<T>(
        &self,
        parse: impl FnOnce(&str) -> Option<T>,
        is_not: &str,
        advice: impl AsRef<str>,
    ) -> Option<T> {
        let text = self.text()?;
        parse(text).or_else(|| self.refuse(format!("{} {is_not}", quoted(text)), advice))
    }

    /// Reports an error at this value: what was found, and what to write instead, which may be empty.
    pub fn fail(&self, found: impl AsRef<str>, advice: impl AsRef<str>) {
        self.report(Severity::Error, false, found, advice);
    }

    /// Reports an error at this value, of which nothing can be made then.
    pub fn refuse<T>(&self, found: impl AsRef<str>, advice: impl AsRef<str>) -> Option<T> {
        self.fail(found, advice);
        None
    }

    /// Reports a warning at this value.
    pub fn warn(&self, found: impl AsRef<str>, advice: impl AsRef<str>) {
        self.report(Severity::Warning, false, found, advice);
    }

    /// Reports an error at this value's key; without a key, at the value.
    pub fn fail_key(&self, found: impl AsRef<str>, advice: impl AsRef<str>) {
        self.report(Severity::Error, true, found, advice);
    }

    /// Reports a warning at this value's key; without a key, at the value.
    pub fn warn_key(&self, found: impl AsRef<str>, advice: impl AsRef<str>) {
        self.report(Severity::Warning, true, found, advice);
    }

    fn report(
        &self,
        severity: Severity,
        at_key: bool,
        found: impl AsRef<str>,
        advice: impl AsRef<str>,
    ) {
        // nothing is written where an empty value stands, so its key is shown
        let at_key = self.key().is_some() && (at_key || self.kind() == Kind::Null);
        self.sink.record(
            severity,
            (&self.path, &self.steps),
            at_key,
            found.as_ref(),
            advice.as_ref(),
        );
    }

    /// Reports a value that is empty although one is needed.
    pub(crate) fn refuse_empty<T>(&self, advice: &str) -> Option<T> {
        let found = match self.key() {
            Some(key) => format!("{} is empty", quoted(key)),
            None if self.steps.is_empty() => "the file is empty".to_owned(),
            None => "this list item is empty".to_owned(),
        };
        self.refuse(found, advice)
    }

    /// Reports a value of another kind than is wanted.
    pub(super) fn wrong_kind<T>(&self, wanted: &str, advice: &str) -> Option<T> {
        let found = match self.node {
            Node::Null => return self.refuse_empty(advice),
            Node::Scalar(text) => quoted(text),
            Node::List(_) | Node::Map(_) => self.kind().to_string(),
        };
        self.refuse(format!("{wanted} is wanted here; found {found}"), advice)
    }
}
