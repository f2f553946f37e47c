//! Words and sentences as they are made everywhere.

mod objection;

use super::page::KEEP;
use crate::text::cut;

/// With a capital.
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// With a capital and a full stop.
pub fn sentence(words: &str) -> String {
    let stop = if words.ends_with(['.', ':', '!', '?']) { "" } else { "." };
    capital(words) + stop
}

/// So many of a noun: "1 limit", "2 limits".
pub fn counted(n: usize, noun: &str) -> String {
    format!("{n} {noun}{}", if n == 1 { "" } else { "s" })
}

/// A text that no line is broken in.
pub fn kept(text: &str) -> String {
    text.replace(' ', KEEP)
}

/// A name with a comma in it as it stands ahead of a figure.
pub fn without_comma(name: &str) -> String {
    name.replace(", ", " ")
}
/// Two figures, or one where they are the same; a unit that both have is said once.
pub fn from_to(a: &str, b: &str) -> String {
    let unit = |text: &str| text.split_once(' ').map(|(_, unit)| unit.to_owned());
    match a.split_once(' ') {
        _ if a == b => b.to_owned(),
        Some((figure, own)) if unit(b).as_deref() == Some(own) => format!("{figure} to {b}"),
        _ => format!("{a} to {b}"),
    }
}

/// A name of no more than `most` characters, an ellipsis behind it where it is cut.
pub fn shortened(name: &str, most: f64) -> String {
    cut(name, most, &|text| text.chars().count() as f64).replace(" …", "…")
}

/// A key of a profile as it is spoken: "rectifier output".
pub fn spoken(key: &str) -> String {
    key.replace('_', " ")
}
