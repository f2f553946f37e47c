//! A profile as a tree of values, each with how it came there: what is written, read back and painted.

use crate::quantity::{Quantity, show_plain};

/// How a value of a new profile came there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum From {
    /// It was said.
    Said,
    /// It follows from the types that were said.
    Told,
    /// It must be there and was not said: marked as a guess in the profile itself.
    Guess,
    /// It is left out, so that a plan fills it in by its own rule: what the plan would take.
    Left,
}

/// A key and what stands behind it.
#[derive(Debug, Clone)]
pub struct Entry {
    /// The key.
    pub key: String,
    /// What stands behind it.
    pub body: Body,
    /// What the catalogue calls it; empty where there is nothing to say.
    pub called: String,
}

/// What stands behind a key.
#[derive(Debug, Clone)]
pub enum Body {
    /// A value in one line, as YAML.
    Value(String, From),
    /// Keys of its own.
    Map(Vec<Entry>),
    /// Items, each a mapping.
    List(Vec<Vec<Entry>>),
}

impl Entry {
    fn new(key: &str, body: Body) -> Entry {
        Entry { key: key.to_owned(), body, called: String::new() }
    }

    /// What was said.
    pub fn said(key: &str, value: impl ToString) -> Entry {
        Entry::new(key, Body::Value(value.to_string(), From::Said))
    }

    /// What follows from the types.
    pub fn told(key: &str, value: impl ToString) -> Entry {
        Entry::new(key, Body::Value(value.to_string(), From::Told))
    }

    /// A guess that may be off by so many percent.
    pub fn guess(key: &str, value: impl ToString, percent: u32) -> Entry {
        Entry::new(key, Body::Value(guess(value, percent), From::Guess))
    }

    /// What is left out.
    pub fn left(key: &str, value: impl ToString) -> Entry {
        Entry::new(key, Body::Value(value.to_string(), From::Left))
    }

    /// Keys of its own.
    pub fn map(key: &str, entries: Vec<Entry>) -> Entry {
        Entry::new(key, Body::Map(entries))
    }

    /// Items.
    pub fn list(key: &str, items: Vec<Vec<Entry>>) -> Entry {
        Entry::new(key, Body::List(items))
    }

    /// The same with what the catalogue calls it.
    pub fn called(self, called: &str) -> Entry {
        Entry { called: called.to_owned(), ..self }
    }

    /// How a value came there; none of what has keys or items of its own.
    pub fn from(&self) -> Option<From> {
        match &self.body {
            Body::Value(_, from) => Some(*from),
            _ => None,
        }
    }
}

/// A value that says of itself that it is a guess.
pub fn guess(value: impl ToString, percent: u32) -> String {
    format!("{{ value: {}, known: guess, within: {percent} % }}", value.to_string())
}

/// The profile as the reader takes it: what is left out is not in it.
pub fn plain(entries: &[Entry]) -> String {
    let mut text = String::new();
    lines(entries, "", "", &mut text);
    text
}

fn lines(entries: &[Entry], first: &str, indent: &str, text: &mut String) {
    let mut lead = first;
    for entry in entries.iter().filter(|e| e.from() != Some(From::Left)) {
        text.push_str(lead);
        text.push_str(&entry.key);
        text.push(':');
        let deeper = format!("{indent}  ");
        match &entry.body {
            Body::Value(value, _) => text.push_str(&format!(" {value}\n")),
            Body::Map(entries) => {
                text.push('\n');
                lines(entries, &deeper, &deeper, text);
            }
            Body::List(items) => {
                text.push('\n');
                let (dash, under) = (format!("{deeper}- "), format!("{deeper}  "));
                items.iter().for_each(|item| lines(item, &dash, &under, text));
            }
        }
        lead = indent;
    }
}

/// A text as YAML: bare where that leaves no doubt, else in single quotes, in which only a quote is special.
pub(super) fn scalar(text: &str) -> String {
    let word = text.starts_with(|c: char| c.is_ascii_alphabetic())
        && !["null", "true", "false", "yes", "no", "on", "off", "y", "n"]
            .contains(&text.to_lowercase().as_str());
    // a number followed by letters, such as 6K7; but 6E5 is a number to YAML, and so is 0x10
    let is_type = text.starts_with(|c: char| ('1'..='9').contains(&c))
        && text.contains(|c: char| c.is_ascii_alphabetic())
        && text.parse::<f64>().is_err();
    let safe = |c: char| c.is_ascii_alphanumeric() || " -".contains(c);
    if (word || is_type) && text.chars().all(safe) {
        text.to_owned()
    } else {
        format!("'{}'", text.replace('\'', "''"))
    }
}

/// A value of a part as it is printed or spoken of.
pub(super) fn value<Q: Quantity>(si: f64) -> String {
    show_plain(Q::from_si(si))
}
