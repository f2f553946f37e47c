//! Finding a type by the name printed on it.

use super::{
    alias::{self, Alias, AliasRow, Named, TableKind},
    error::{CatalogueError, shortened},
};
use serde::Serialize;
use std::collections::HashMap;
use thiserror::Error;

/// How many names an error suggests.
const SUGGESTIONS: usize = 3;

/// Longer names are not compared with the tables: no type has one.
const LONGEST_NAME: usize = 48;

/// Bulb and shell suffixes with the same electrical data: none and M metal, G
/// and GT glass. GB, GTA, GTB, GC and the like are re-rated types, so they are
/// left out on purpose.
const SHELLS: [&str; 4] = ["", "M", "G", "GT"];

/// How the asked name met the name in the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Matched {
    /// The name itself, apart from case, blanks and hyphens.
    Exact,
    /// Another name of the same type.
    Alias,
    /// A type with another bulb or shell suffix; the same electrical data are assumed.
    SuffixAssumed,
}

/// A type that was found, and how.
#[derive(Debug, Clone, PartialEq)]
pub struct Found<T> {
    /// The type.
    pub item: T,
    /// How the name matched.
    pub matched: Matched,
    /// The name it was asked by, as it is spelled.
    pub name: String,
}

impl<T: Named> Found<&T> {
    /// The type under the name it was asked by.
    pub fn named(&self) -> T {
        self.item.called(&self.name)
    }
}

/// A name that is not in the table asked.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}; {}", self.found(), self.advice())]
pub struct NoSuchType {
    /// The table that was asked.
    pub table: TableKind,
    /// The name as asked.
    pub asked: String,
    /// Up to three names of this table that come near, the nearest first.
    pub nearest: Vec<String>,
    /// Other tables that hold the name, and how they spell it.
    pub elsewhere: Vec<(TableKind, String)>,
}

impl NoSuchType {
    /// What was found, without advice.
    pub fn found(&self) -> String {
        format!("no {} {:?} in the catalogue", self.table, shortened(&self.asked))
    }

    /// What to do.
    pub fn advice(&self) -> String {
        let mut parts: Vec<String> = self
            .elsewhere
            .iter()
            .map(|(kind, name)| {
                format!(
                    "{name} is a {kind}: list it with the {kind}s, not with the {}s",
                    self.table
                )
            })
            .collect();
        if parts.is_empty() {
            if !self.nearest.is_empty() {
                parts.push(format!("nearest: {}", self.nearest.join(", ")));
            }
            parts.push(
                match self.table {
                    TableKind::Tube => {
                        "write the number printed on the glass or base, or give the figures of its data sheet under `types:` in the profile"
                    }
                    TableKind::Rectifier => {
                        "write the number printed on the glass or base, or the name of an equivalent type"
                    }
                    TableKind::Lamp => {
                        "write the number of the lamp, or give its `volts:` and `current:` beside any name"
                    }
                }
                .to_owned(),
            );
        }
        parts.join("; ")
    }
}

/// Types with an index of their names.
#[derive(Debug)]
pub struct Table<T> {
    items: Vec<T>,
    by_name: HashMap<String, Entry>,
}

/// What a name in the index stands for.
#[derive(Debug)]
struct Entry {
    place: usize,
    matched: Matched,
    /// The name as it is spelled.
    spelled: String,
}

impl<T: Named> Table<T> {
    /// Makes the index of items and their lines in the file; `aliases` are further names. Two
    /// types with the same name (or other name, or part of a combined one) are an error.
    pub fn build(
        (file, column): (&'static str, &str),
        items: Vec<(u64, T)>,
        aliases: Vec<AliasRow>,
    ) -> Result<Table<T>, CatalogueError> {
        let (lines, mut items): (Vec<u64>, Vec<T>) = items.into_iter().unzip();
        let mut by_name = HashMap::with_capacity(2 * items.len() + aliases.len());
        let mut enter = |spelled: &str, place, matched| {
            let key = normalised(spelled);
            if key.is_empty() {
                return Err("a name with letters or digits");
            }
            let entry = Entry { place, matched, spelled: spelled.to_owned() };
            by_name.insert(key, entry).map_or(Ok(()), |_| Err("a name that no earlier row has"))
        };
        for (i, (item, line)) in items.iter_mut().zip(lines).enumerate() {
            let (name, others) = item.labels_mut();
            let bad = |wanted: &str| CatalogueError::bad_cell((file, line), column, name, wanted);
            enter(name, i, Matched::Exact).map_err(bad)?;
            for part in parts(name) {
                enter(&part, i, Matched::Alias).map_err(bad)?;
                others.push(Alias::part(part));
            }
        }
        for AliasRow { alias, of, line } in aliases {
            let bad = |column: &str, found: &str, wanted: &str| {
                CatalogueError::bad_cell((alias::FILE, line), column, found, wanted)
            };
            let place = items.iter().position(|item| item.labels().0 == of);
            let place = place.ok_or_else(|| bad("type", &of, "a type of its table"))?;
            enter(&alias.name, place, Matched::Alias)
                .map_err(|wanted| bad("alias", &alias.name, wanted))?;
            items[place].labels_mut().1.push(alias);
        }
        Ok(Table { items, by_name })
    }

    pub fn items(&self) -> &[T] {
        &self.items
    }

    /// The type meant by `asked`, if the table leaves no doubt.
    pub fn find(&self, asked: &str) -> Option<Found<&T>> {
        let key = normalised(asked);
        let (place, matched, name) = match self.by_name.get(&key) {
            Some(entry) => (entry.place, entry.matched, &entry.spelled),
            None => {
                let by_parts = self.by_parts(&key).map(|place| (place, Matched::Alias));
                let by_suffix = || Some((self.by_suffix(&key)?, Matched::SuffixAssumed));
                let (place, matched) = by_parts.or_else(by_suffix)?;
                (place, matched, &key)
            }
        };
        Some(Found { item: self.items.get(place)?, matched, name: name.clone() })
    }

    fn place(&self, key: &str) -> Option<usize> {
        self.by_name.get(key).map(|entry| entry.place)
    }

    /// A combined name in another order: every part must name the same type.
    fn by_parts(&self, key: &str) -> Option<usize> {
        only(parts(key).iter().map(|part| self.place(part)))
    }

    /// The same base number with another shell suffix, if only one type has it.
    fn by_suffix(&self, key: &str) -> Option<usize> {
        let base = shell_base(key)?;
        let known = SHELLS.iter().filter_map(|suffix| self.place(&format!("{base}{suffix}")));
        only(known.map(Some))
    }

    /// The name that what is meant by `asked` has in the table.
    pub fn spelled(&self, asked: &str) -> Option<String> {
        Some(self.find(asked)?.item.labels().0.to_owned())
    }

    /// Up to three names near the asked one: first names that begin alike (a
    /// suffix too few or too many), then names a slip or two away; a type's own before other names of types.
    pub fn nearest(&self, asked: &str) -> Vec<String> {
        let key = normalised(asked);
        let length = key.chars().count();
        if length == 0 || length > LONGEST_NAME {
            return Vec::new();
        }
        let slips = ((length + 1) / 3).max(1);
        let mut ranked: Vec<(bool, usize, bool, usize, &str)> = Vec::new();
        for (name, entry) in &self.by_name {
            let begins = (length >= 2 && name.starts_with(&key))
                || (name.len() >= 3 && key.starts_with(name.as_str()));
            let distance = strsim::osa_distance(&key, name);
            if begins || distance <= slips {
                let other = entry.matched != Matched::Exact;
                ranked.push((!begins, distance, other, entry.place, &entry.spelled));
            }
        }
        ranked.sort_unstable();
        ranked.into_iter().take(SUGGESTIONS).map(|(.., name)| name.to_owned()).collect()
    }
}

/// The place that all of these are.
fn only(mut places: impl Iterator<Item = Option<usize>>) -> Option<usize> {
    let first = places.next()??;
    places.all(|place| place == Some(first)).then_some(first)
}

/// Upper case, without blanks, hyphens, `#`, and `no.` in front; a decimal
/// comma becomes a point.
fn normalised(name: &str) -> String {
    let plain: String = name
        .chars()
        .filter(|c| {
            !c.is_whitespace()
                && !matches!(c, '-' | '\u{2010}'..='\u{2015}' | '\u{2212}' | '_' | '#')
        })
        .map(|c| if c == ',' { '.' } else { c })
        .flat_map(char::to_uppercase)
        .collect();
    let number = plain.strip_prefix("NO").map(|rest| rest.strip_prefix('.').unwrap_or(rest));
    match number.filter(|number| number.starts_with(|c: char| c.is_ascii_digit())) {
        Some(number) => number.to_owned(),
        None => plain,
    }
}

/// Parts of a combined name such as `84/6Z4`; none when it is not combined.
/// In `6V6GT/G`, the mark of a GT bulb that also replaces the G bulb, the tail
/// is a suffix and not a type.
fn parts(name: &str) -> Vec<String> {
    if !name.contains('/') {
        return Vec::new();
    }
    let types = if name.ends_with("GT/G") { name.trim_end_matches("/G") } else { name };
    types.split('/').map(|p| p.trim().to_owned()).collect()
}

/// `6K7` for `6K7`, `6K7M`, `6K7G`, `6K7GT` and `6K7GT/G`; `None` for names of
/// another build (`80`, `EL84`) and for other suffixes.
fn shell_base(key: &str) -> Option<&str> {
    let suffixed = key.strip_suffix("GT/G");
    let base = suffixed
        .or_else(|| key.strip_suffix("GT"))
        .or_else(|| key.strip_suffix('G'))
        .or_else(|| key.strip_suffix('M'))
        .unwrap_or(key);
    let letters = base.trim_start_matches(|c: char| c.is_ascii_digit());
    let tail = letters.trim_start_matches(|c: char| c.is_ascii_uppercase());
    let built_so = letters.len() < base.len()
        && tail.len() < letters.len()
        && !tail.is_empty()
        && tail.chars().all(|c| c.is_ascii_digit());
    built_so.then_some(base)
}
