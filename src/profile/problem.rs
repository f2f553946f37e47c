//! What is wrong with a profile file, and where.

use super::lines;
use crate::text::printable;
use std::{
    collections::{BTreeMap, BTreeSet},
    fmt,
};

/// Most problems written out for one file; the rest are only counted.
pub const MAX_SHOWN: usize = 50;

/// Longest sentence kept for one problem, in characters: values quoted in it may be long.
const MAX_SENTENCE: usize = 600;

/// How bad a problem is: an error stops the work, a warning does not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Severity {
    /// The file cannot be used as it stands.
    Error,
    /// The file can be used, but something in it deserves a second look.
    Warning,
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
        })
    }
}

/// One thing wrong in a profile file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Whether the file can still be used.
    pub severity: Severity,
    /// The value concerned, such as `tubes[2].plate` (counted from 0); empty for the whole file.
    pub path: String,
    /// Line and column of the value or key, both from 1, the column in characters.
    ///
    /// A value used through an alias (`*name`) is placed where it is written out (`&name`).
    pub place: Option<(usize, usize)>,
    /// What was found, one sentence without a full stop.
    pub found: String,
    /// What to write instead, one sentence without a full stop.
    pub advice: Option<String>,
}

impl Problem {
    /// An error about the whole file or a place in it, not about a value of the tree.
    pub(crate) fn in_file(
        place: Option<(usize, usize)>,
        found: impl Into<String>,
        advice: impl Into<String>,
    ) -> Self {
        Problem {
            severity: Severity::Error,
            path: String::new(),
            place,
            found: found.into(),
            advice: Some(advice.into()),
        }
    }
}

/// All problems of one file, in file order, with the source lines they point at.
///
/// `Display` gives the same text as [`Problems::render`].
#[derive(Debug, Clone, Default, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.render())]
pub struct Problems {
    name: String,
    excerpts: BTreeMap<usize, String>,
    items: Vec<Problem>,
    /// Errors and warnings found but not kept.
    hidden: [usize; 2],
}

impl Problems {
    /// Puts problems into file order, drops repeats of the same sentence at the same place (one
    /// mistake seen through several aliases) and keeps the source lines they point at.
    ///
    /// `hidden` counts errors and warnings found but not among `items`.
    pub(crate) fn new(name: &str, text: &str, mut items: Vec<Problem>, hidden: [usize; 2]) -> Self {
        let mut seen = BTreeSet::new();
        items.retain(|item| {
            item.place.is_none() || seen.insert((item.place, item.severity, item.found.clone()))
        });
        for item in &mut items {
            shorten(&mut item.found, MAX_SENTENCE);
            if let Some(advice) = &mut item.advice {
                shorten(advice, MAX_SENTENCE);
            }
        }
        items.sort_by_key(|item| item.place);

        let wanted: BTreeSet<usize> = items.iter().filter_map(|i| Some(i.place?.0)).collect();
        let shown = (1..).zip(lines::lines(text)).filter(|(number, _)| wanted.contains(number));
        let excerpts = shown.map(|(number, line)| (number, line.to_owned())).collect();
        Problems { name: name.to_owned(), excerpts, items, hidden }
    }

    /// A single problem with its source line.
    pub(crate) fn one(name: &str, text: &str, problem: Problem) -> Self {
        Self::new(name, text, vec![problem], [0, 0])
    }

    /// The file's name as it appears in the messages.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The problems kept, at most [`MAX_SHOWN`], in file order.
    pub fn items(&self) -> &[Problem] {
        &self.items
    }

    /// Whether nothing at all was found.
    pub fn is_empty(&self) -> bool {
        self.items.is_empty() && self.hidden() == 0
    }

    /// Number of errors, with those not kept.
    pub fn errors(&self) -> usize {
        self.count(Severity::Error)
    }

    /// Number of warnings, with those not kept.
    pub fn warnings(&self) -> usize {
        self.count(Severity::Warning)
    }

    /// Number of problems counted but not kept in [`Problems::items`].
    pub fn hidden(&self) -> usize {
        self.hidden.iter().sum()
    }

    /// The source line of that number (from 1), if a problem points at it.
    pub(crate) fn excerpt(&self, line: usize) -> Option<&str> {
        self.excerpts.get(&line).map(String::as_str)
    }

    fn count(&self, severity: Severity) -> usize {
        let same = |item: &&Problem| item.severity == severity;
        self.items.iter().filter(same).count() + self.hidden[severity as usize]
    }
}

/// A value from a file in double quotes, cut to 40 characters, control characters escaped.
pub fn quoted(text: &str) -> String {
    const LONGEST: usize = 40;
    let cut = if text.chars().nth(LONGEST).is_some() { "…" } else { "" };
    let start: String = text.chars().take(LONGEST).collect();
    format!("\"{}{cut}\"", printable(&start))
}

fn shorten(sentence: &mut String, longest: usize) {
    if let Some((end, _)) = sentence.char_indices().nth(longest) {
        sentence.truncate(end);
        sentence.push('…');
    }
}

#[cfg(test)]
mod tests;
