//! Ranges of outlet volts by name: what standards and suppliers promise in a place, now or once.
//!
//! `usual_v` is what a meter most likely shows there. It is the nominal voltage, unless it is known that outlets
//! stand elsewhere; `usual_from` says which, in every row.

use super::citation::Confidence;
use super::lamp::Trade;
use serde::Deserialize;
use std::sync::OnceLock;
use thiserror::Error;

const RANGES_CSV: &str = include_str!("data/outlet_ranges.csv");

/// A range of outlet volts, RMS.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct OutletRange {
    /// Name in profiles and on the command line, such as `north-america`.
    pub name: String,
    /// Place and time in words.
    pub title: String,
    /// Nominal voltage of the standard, V.
    pub nominal_v: f64,
    /// What is usually found, V.
    pub usual_v: f64,
    /// Lowest, V.
    pub low_v: f64,
    /// Highest, V.
    pub high_v: f64,
    /// Frequency, Hz, where there is one.
    pub frequency_hz: Option<f64>,
    /// How the usual volts were chosen.
    pub usual_from: String,
    /// The standard or rule, with what it says.
    pub standard: String,
    /// Where the figures come from.
    pub source: String,
    /// How far the row is trusted.
    pub confidence: Confidence,
}

/// Below are the mains of North America and Japan, V.
const LOW_MAINS_V: f64 = 150.0;

impl OutletRange {
    /// Whose trade sold what goes with such mains.
    pub fn trade(&self) -> Trade {
        match self.name.as_str() {
            _ if self.nominal_v < LOW_MAINS_V => Trade::America,
            "uk" | "uk-240" | "australia" | "australia-240" | "new-zealand" => Trade::Britain,
            _ => Trade::Europe,
        }
    }
}

/// A name that is no range.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("there is no range of outlet volts {asked:?}")]
pub struct NoSuchRange {
    /// What was asked for, shortened.
    pub asked: String,
    /// The name that comes nearest, if one comes near.
    pub nearest: Option<&'static str>,
}

impl NoSuchRange {
    /// What to write instead: the nearest name and all there are.
    pub fn advice(&self) -> String {
        let names: Vec<&str> = outlet_ranges().iter().map(|r| r.name.as_str()).collect();
        let all = names.join(", ");
        match self.nearest {
            Some(near) => format!("the nearest is {near}; known: {all}"),
            None => format!("write one of: {all}"),
        }
    }
}

/// Longest part of a name that is compared and shown, in characters.
const LONGEST: usize = 40;
/// Likeness from which a name comes near.
const NEAR: f64 = 0.75;

/// All ranges, in the order of the table.
pub fn outlet_ranges() -> &'static [OutletRange] {
    static LIST: OnceLock<Vec<OutletRange>> = OnceLock::new();
    LIST.get_or_init(|| {
        csv::Reader::from_reader(RANGES_CSV.as_bytes())
            .deserialize()
            .filter_map(Result::ok)
            .collect()
    })
}

/// The range of a name.
///
/// # Errors
/// [`NoSuchRange`] with the nearest name.
pub fn outlet_range(name: &str) -> Result<&'static OutletRange, NoSuchRange> {
    let ranges = outlet_ranges();
    if let Some(range) = ranges.iter().find(|r| r.name == name) {
        return Ok(range);
    }
    let asked: String = name.chars().take(LONGEST).collect();
    let plain = asked.to_lowercase().replace(['_', ' '], "-");
    let nearest = ranges
        .iter()
        .map(|r| (strsim::jaro_winkler(&plain, &r.name), r.name.as_str()))
        .filter(|(like, _)| *like > NEAR)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| name);
    Err(NoSuchRange { asked, nearest })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_read_and_in_order() {
        assert_eq!(outlet_ranges().len(), RANGES_CSV.lines().count() - 1);
        for range in outlet_ranges() {
            let name = &range.name;
            assert!(range.low_v < range.usual_v && range.usual_v < range.high_v, "{name}");
            assert!(range.low_v < range.nominal_v && range.nominal_v < range.high_v, "{name}");
            for text in [&range.title, &range.usual_from, &range.standard, &range.source] {
                assert!(!text.trim().is_empty(), "{name}");
            }
            let same = outlet_ranges().iter().filter(|r| r.name == *name).count();
            assert_eq!(same, 1, "{name}");
            if range.source.contains('†') {
                assert_ne!(range.confidence, Confidence::High, "{name}");
            }
        }
    }

    #[test]
    fn names_that_are_nearly_right() {
        for (asked, near) in [
            ("North America", Some("north-america")),
            ("UK", Some("uk")),
            ("new_zeeland", Some("new-zealand")),
            ("eurpe", Some("europe")),
            ("xyzzy", None),
        ] {
            assert_eq!(outlet_range(asked).unwrap_err().nearest, near, "{asked}");
        }
    }
}
