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
    /// Items, each a line as YAML.
    Lines(Vec<String>),
}

impl Entry {
    fn new(key: &str, body: Body) -> Entry {
        Entry { key: key.to_owned(), body, called: String::new() }
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

fn valued(key: &str, value: impl ToString, from: From) -> Entry {
    Entry::new(key, Body::Value(value.to_string(), from))
}

/// What was said.
pub fn said(key: &str, value: impl ToString) -> Entry {
    valued(key, value, From::Said)
}

/// What follows from the types.
pub fn told(key: &str, value: impl ToString) -> Entry {
    valued(key, value, From::Told)
}

/// A guess that may be off by so many percent.
pub fn guess(key: &str, value: impl ToString, percent: u32) -> Entry {
    valued(key, guessed(value, percent), From::Guess)
}

/// What is left out.
pub fn left(key: &str, value: impl ToString) -> Entry {
    valued(key, value, From::Left)
}

/// Keys of its own.
pub fn map(key: &str, entries: Vec<Entry>) -> Entry {
    Entry::new(key, Body::Map(entries))
}

/// Items.
pub fn list(key: &str, items: Vec<Vec<Entry>>) -> Entry {
    Entry::new(key, Body::List(items))
}

/// Items of a line each.
pub fn itemized(key: &str, lines: Vec<String>) -> Entry {
    Entry::new(key, Body::Lines(lines))
}

/// A value that says of itself that it is a guess.
pub fn guessed(value: impl ToString, percent: u32) -> String {
    format!("{{ value: {}, known: guess, within: {percent} % }}", value.to_string())
}

/// The profile as the reader takes it: what is left out is not in it.
pub fn plain(entries: &[Entry]) -> String {
    lines(entries, "", "")
}

/// Entries below one another, the first behind `first`.
fn lines(entries: &[Entry], first: &str, indent: &str) -> String {
    let deeper = format!("{indent}  ");
    let written = entries.iter().filter(|e| e.from() != Some(From::Left)).enumerate();
    let line = |(i, entry): (usize, &Entry)| {
        let body = match &entry.body {
            Body::Value(value, _) => format!(" {value}\n"),
            Body::Map(entries) => format!("\n{}", lines(entries, &deeper, &deeper)),
            Body::List(items) => {
                let (dash, under) = (format!("{deeper}- "), format!("{deeper}  "));
                let items = items.iter().map(|item| lines(item, &dash, &under));
                format!("\n{}", items.collect::<String>())
            }
            Body::Lines(items) => {
                let items = items.iter().map(|item| format!("{deeper}- {item}\n"));
                format!("\n{}", items.collect::<String>())
            }
        };
        format!("{}{}:{body}", if i == 0 { first } else { indent }, entry.key)
    };
    written.map(line).collect()
}

/// A text as YAML: bare where that leaves no doubt, else in single quotes, in which only a quote is special.
pub fn scalar(text: &str) -> String {
    let word = text.starts_with(|c: char| c.is_ascii_alphabetic())
        && !["null", "true", "false", "yes", "no", "on", "off", "y", "n"]
            .contains(&text.to_lowercase().as_str());
    // a number followed by letters, such as 6K7; but 6E5 is a number to YAML, and so is 0x10
    let is_type = text.starts_with(|c: char| ('1'..='9').contains(&c))
        && text.contains(|c: char| c.is_ascii_alphabetic())
        && text.parse::<f64>().is_err();
    if (word || is_type) && text.chars().all(|c| c.is_ascii_alphanumeric() || " -".contains(c)) {
        text.to_owned()
    } else {
        format!("'{}'", text.replace('\'', "''"))
    }
}

/// A value of a part as it is printed or spoken of.
pub fn value<Q: Quantity>(si: f64) -> String {
    show_plain(Q::from_si(si))
}
