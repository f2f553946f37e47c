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
    owed: RefCell<Vec<Owed>>,
}

/// Keys of which one or more are missing, what is said of that, and what to write.
struct Owed {
    keys: Vec<&'static str>,
    found: String,
    advice: String,
}

impl<'r> Cursor<'r> {
    /// The entries of a mapping with fixed keys. Anything else is reported and gives `None`.
    pub fn map(&self) -> Option<Fields<'r>> {
        self.map_with(&[])
    }

    /// Like [`Cursor::map`]; if this is no mapping, the advice names the `keys` wanted.
    pub fn map_with(&self, keys: &[&str]) -> Option<Fields<'r>> {
        self.map_or(|| match keys {
            [] => "write \"key: value\" lines, indented below the key".to_owned(),
            keys => format!("write \"key: value\" lines with keys of: {}", keys.join(", ")),
        })
    }

    /// Like [`Cursor::map`]; if this is no mapping, the advice is to write the `example`.
    pub fn map_like(&self, example: &str) -> Option<Fields<'r>> {
        self.map_or(|| match self.key() {
            Some(key) => format!("write `{key}: {example}`, with its own figures"),
            None => format!("write `{example}`, with its own figures"),
        })
    }

    fn map_or(&self, advice: impl FnOnce() -> String) -> Option<Fields<'r>> {
        match self.node() {
            Node::Map(entries) => Some(Fields {
                cursor: self.clone(),
                entries,
                asked: RefCell::default(),
                owed: RefCell::default(),
            }),
            _ => self.wrong_kind("a block of keys", &advice()),
        }
    }
}

impl<'r> Fields<'r> {
    /// The value of a key. A missing key is reported by [`Fields::finish`], an empty value at the key;
    /// both give `None`.
    pub fn required(&self, key: &'static str) -> Option<Cursor<'r>> {
        self.required_such(key, String::new)
    }

    /// The same; the advice about a missing key ends in an example of what may stand there.
    pub fn required_such(
        &self,
        key: &'static str,
        example: impl FnOnce() -> String,
    ) -> Option<Cursor<'r>> {
        match self.find(key) {
            Some(value) if value.kind() == Kind::Null => value.refuse_empty("write its value"),
            None => {
                let found = format!("the key {} is missing here", quoted(key));
                self.owes(&[key], found, format!("add \"{key}:\" with its value{}", example()));
                None
            }
            found => found,
        }
    }

    /// Says at the end that one or more of `keys` are missing, unless a misspelt one is what was meant.
    pub fn owes(&self, keys: &[&'static str], found: String, advice: String) {
        self.owed.borrow_mut().push(Owed { keys: keys.to_vec(), found, advice });
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

    /// Reports every key that was never asked for, with the nearest of those asked for, and what is missing: where the one
    /// is the other misspelt, both as one.
    pub fn finish(self) {
        let asked = self.asked.borrow();
        let mut owed = self.owed.take();
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
            let nearest = near(key, absent.iter().copied()).first().copied();
            let meant = |o: &Owed| nearest.is_some_and(|near| o.keys.contains(&near));
            if let Some((near, place)) = nearest.zip(owed.iter().position(meant)) {
                owed.remove(place);
                let (this, near) = (quoted(key), quoted(near));
                entry.fail_key(
                    format!("{this} is not a key here, and {near} is missing"),
                    format!("did you mean {near}? write that"),
                );
                continue;
            }
            let advice = match nearest {
                Some(near) => format!("the nearest known key is {}", quoted(near)),
                None if asked.is_empty() => "remove it; no key is known here".to_owned(),
                None => format!("use one of the known keys: {}", asked.join(", ")),
            };
            entry.fail_key(format!("unknown key {}", quoted(key)), advice);
        }
        owed.iter().for_each(|o| self.cursor.fail(&o.found, &o.advice));
    }

    fn find(&self, key: &'static str) -> Option<Cursor<'r>> {
        let mut asked = self.asked.borrow_mut();
        if !asked.contains(&key) {
            asked.push(key);
        }
        self.cursor.find(key)
    }
}
