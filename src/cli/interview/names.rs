//! Type names while they are typed: completed, and corrected where no type has such a name.

use crate::catalogue::{Catalogue, NoSuchType};

/// Most suggestions.
const MOST: usize = 8;

/// The last of some names with blanks or commas between, and what stands before it.
fn split(text: &str) -> (&str, &str) {
    text.split_at(text.rfind([',', ' ']).map_or(0, |at| at + 1))
}

/// A name without what does not matter in it.
fn bare(name: &str) -> String {
    name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_uppercase).collect()
}

/// The names of a list as it was typed.
pub fn list(text: &str) -> Vec<String> {
    let names = text.split([',', ' ', ';']).map(str::trim).filter(|n| !n.is_empty());
    names.map(str::to_owned).collect()
}

/// Tubes and rectifiers: the last name completed; a wrong one before it put right.
pub fn tubes(text: &str) -> Vec<String> {
    let catalogue = Catalogue::built_in();
    let wrong = |name: &str| {
        if catalogue.tube(name).is_ok() || catalogue.rectifier(name).is_ok() {
            None
        } else {
            Some(nearest(catalogue, name))
        }
    };
    let (before, last) = split(text);
    for name in list(before) {
        if let Some(near) = wrong(&name) {
            return near.iter().map(|near| text.replacen(&name, near, 1)).collect();
        }
    }
    if last.is_empty() || wrong(last).is_none() {
        return Vec::new();
    }
    let begins = |name: &&str| bare(name).starts_with(&bare(last));
    let tubes = catalogue.tubes().iter().map(|t| t.name.as_str());
    let rectifiers = catalogue.rectifiers().iter().map(|r| r.name.as_str());
    let mut names: Vec<String> =
        tubes.chain(rectifiers).filter(begins).take(MOST).map(str::to_owned).collect();
    if names.is_empty() {
        names = nearest(catalogue, last);
    }
    names.iter().map(|name| format!("{before}{name}")).collect()
}

/// The nearest names of both tables, the tubes' first.
fn nearest(catalogue: &Catalogue, name: &str) -> Vec<String> {
    let of = |error: Option<NoSuchType>| error.map_or(Vec::new(), |e| e.nearest);
    let mut names = of(catalogue.tube(name).err());
    names.extend(of(catalogue.rectifier(name).err()));
    names
}

/// Lamps: completed by their numbers.
pub fn lamps(text: &str) -> Vec<String> {
    let catalogue = Catalogue::built_in();
    let last = text.rsplit(',').next().unwrap_or(text);
    let before = text.len() - last.len();
    if last.trim().is_empty() || catalogue.lamp(last).is_ok() {
        return Vec::new();
    }
    let begins = |name: &&str| bare(name).contains(&bare(last));
    let names = catalogue.lamps().iter().map(|l| l.name.as_str()).filter(begins).take(MOST);
    names.map(|name| format!("{}{name}", &text[..before])).collect()
}
