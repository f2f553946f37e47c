//! Reads a mapping with fixed keys and reports the keys nobody asked for.

use super::{
    cursor::Cursor,
    node::{Kind, MERGE_KEY, Node},
    problem::{Severity, quoted},
};
use crate::text::near;
use std::cell::RefCell;

/// The entries of a mapping with fixed keys.
///
/// Ask for every key the mapping may have, then call [`Fields::finish`].
#[must_use = "call finish() once every key is asked for, or unknown keys pass unnoticed"]
pub struct Fields<'r> {
    cursor: Cursor<'r>,
    entries: &'r [(String, Node)],
    asked: RefCell<Vec<&'static str>>,
}

impl<'r> Cursor<'r> {
    /// The entries of a mapping with fixed keys. Anything else is reported and gives `None`.
    pub fn map(&self) -> Option<Fields<'r>> {
        self.map_with(&[])
    }

    /// Like [`Cursor::map`]; if this is no mapping, the advice names the `keys` wanted.
    pub fn map_with(&self, keys: &[&str]) -> Option<Fields<'r>> {
        let advice = match keys {
            [] => "write \"key: value\" lines, indented below the key".to_owned(),
            keys => format!("write \"key: value\" lines with keys of: {}", keys.join(", ")),
        };
        match self.node() {
            Node::Map(entries) => {
                Some(Fields { cursor: self.clone(), entries, asked: RefCell::default() })
            }
            _ => self.wrong_kind("a block of keys", &advice),
        }
    }
}

impl<'r> Fields<'r> {
    /// The value of a key. A missing key is reported at the mapping, an empty value at the key;
    /// both give `None`.
    pub fn required(&self, key: &'static str) -> Option<Cursor<'r>> {
        match self.find(key) {
            Some(value) if value.kind() == Kind::Null => value.refuse_empty("write its value"),
            None => self.cursor.refuse(
                format!("the key {} is missing here", quoted(key)),
                format!("add \"{key}:\" with its value"),
            ),
            found => found,
        }
    }

    /// The value of a key that may be missing. An empty value is reported and gives `None`.
    pub fn optional(&self, key: &'static str) -> Option<Cursor<'r>> {
        match self.find(key)? {
            value if value.kind() == Kind::Null => {
                value.refuse_empty("give a value or remove the line")
            }
            value => Some(value),
        }
    }

    /// Whether the key stands in the mapping, empty or not. This counts as asking for it.
    pub fn has(&self, key: &'static str) -> bool {
        self.find(key).is_some()
    }

    /// Reports every key that was never asked for, with the nearest of those asked for.
    pub fn finish(self) {
        let asked = self.asked.borrow();
        // a key already in the mapping is not what a misspelt one meant
        let is_absent = |known: &&str| self.cursor.find(known).is_none();
        let absent: Vec<&'static str> = asked.iter().copied().filter(is_absent).collect();
        for (index, (key, value)) in self.entries.iter().enumerate() {
            if key == MERGE_KEY || asked.contains(&key.as_str()) {
                continue;
            }
            let entry = self.cursor.entry(index, key, value);
            if self.cursor.sink().is_full(Severity::Error) {
                // only counted, so the search for a near key is not worth its time
                entry.fail_key("unknown key", "");
                continue;
            }
            let advice = match near(key, absent.iter().copied()).first() {
                Some(near) => format!("the nearest known key is {}", quoted(near)),
                None if asked.is_empty() => "remove it; no key is known here".to_owned(),
                None => format!("use one of the known keys: {}", asked.join(", ")),
            };
            entry.fail_key(format!("unknown key {}", quoted(key)), advice);
        }
    }

    fn find(&self, key: &'static str) -> Option<Cursor<'r>> {
        let mut asked = self.asked.borrow_mut();
        if !asked.contains(&key) {
            asked.push(key);
        }
        self.cursor.find(key)
    }
}
