//! Words and sentences as they are made everywhere.

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

/// What is read or limited, with the name that its part has in the drawings: "across the field coil (L1)", "filter resistor
/// (R1), heat".
pub fn at_part(label: &str, part: Option<&str>) -> String {
    let Some(part) = part else { return label.to_owned() };
    match label.split_once(", ") {
        Some((of, what)) => format!("{of} ({part}), {what}"),
        None => format!("{label} ({part})"),
    }
}

/// A cell that a spreadsheet does not take for a formula.
pub fn harmless(cell: String) -> String {
    if cell.starts_with(['=', '+', '-', '@']) { format!("'{cell}") } else { cell }
}

/// A key of a profile as it is spoken: "rectifier output".
pub fn spoken(key: &str) -> String {
    key.replace('_', " ")
}

#[cfg(test)]
mod tests {
    use super::{at_part, counted, from_to, harmless, sentence, shortened};

    #[test]
    fn words_are_made() {
        assert_eq!(sentence("ünits first"), "Ünits first.");
        assert_eq!(at_part("across the choke", Some("L1")), "across the choke (L1)");
        assert_eq!(at_part("capacitor 1, at work", Some("C1")), "capacitor 1 (C1), at work");
        assert_eq!(at_part("B+", None), "B+");
        assert_eq!(sentence("Repair first:"), "Repair first:");
        assert_eq!([counted(1, "file"), counted(0, "file")], ["1 file", "0 files"]);
        assert_eq!(from_to("6.3 V", "6.3 V"), "6.3 V");
        assert_eq!(from_to("6.3 V", "6.5 V"), "6.3 to 6.5 V");
        assert_eq!(from_to("900 mA", "1.1 A"), "900 mA to 1.1 A");
        assert_eq!(harmless("=1+1 [V]".to_owned()), "'=1+1 [V]");
        assert_eq!(harmless("B+ [V]".to_owned()), "B+ [V]");
        assert_eq!(shortened("a console set", 9.0), "a consol…");
        assert_eq!(shortened("a console set", 10.0), "a console…");
    }
}
