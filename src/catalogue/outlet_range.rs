//! Ranges of outlet volts by name: what standards and suppliers promise in a place, now or once.
//!
//! `usual_v` is what a meter most likely shows there. It is the nominal voltage, unless it is known that outlets
//! stand elsewhere; `usual_from` says which, in every row.

use super::{
    CatalogueError, Confidence, Trade,
    cells::{Row, Tabled, list, row},
};
use thiserror::Error;

row! {
    /// A range of outlet volts, RMS.
    pub struct OutletRange {
        /// Name in profiles and on the command line, such as `north-america`.
        name: String = "name",
        /// Place and time in words.
        title: String = "title",
        /// Nominal voltage of the standard, V.
        nominal_v: f64 = "nominal_v",
        /// What is usually found, V.
        usual_v: f64 = "usual_v",
        /// Lowest, V.
        low_v: f64 = "low_v",
        /// Highest, V.
        high_v: f64 = "high_v",
        /// Frequency, Hz, where there is one.
        frequency_hz: Option<f64> = "frequency_hz",
        /// How the usual volts were chosen.
        usual_from: String = "usual_from",
        /// The standard or rule, with what it says.
        standard: String = "standard",
        /// Where the figures come from.
        source: String = "source",
        /// How far the row is trusted.
        confidence: Confidence = "confidence",
    }
}

/// Below are the mains of North America and Japan, V.
const LOW_MAINS_V: f64 = 150.0;

impl OutletRange {
    /// Place and figures in words.
    pub fn told(&self) -> String {
        format!("{}: {} V, {} to {} V", self.title, self.usual_v, self.low_v, self.high_v)
    }

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
#[error("there is no range of outlet voltage {asked:?}")]
pub struct NoSuchRange {
    /// What was asked for, shortened.
    pub asked: String,
    /// The name that comes nearest, if one comes near.
    pub nearest: Option<&'static str>,
}

impl NoSuchRange {
    /// What to write instead: the nearest name, and where all of them stand.
    pub fn advice(&self) -> String {
        const ALL: &str = "`mainsfit explain outlet.range` lists them";
        match self.nearest {
            Some(near) => format!("the nearest is {near}; {ALL}"),
            None => ALL.to_owned(),
        }
    }
}

/// Longest part of a name that is compared and shown, in characters.
const LONGEST: usize = 40;
/// Likeness from which a name comes near.
const NEAR: f64 = 0.75;

list! {
    /// All ranges, in the order of the table.
    outlet_ranges: OutletRange = "outlet_ranges.csv"
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
        assert_eq!(
            outlet_ranges().len(),
            include_str!("data/outlet_ranges.csv").lines().count() - 1
        );
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
