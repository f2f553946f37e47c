//! Where a row comes from and how far it is trusted.

use super::cells::{Cell, How, Row};
use super::error::CatalogueError;
use super::words::words;
use serde::Serialize;

words! {
    /// How far a row is trusted.
    pub enum Confidence {
        /// Firmly remembered from the printed page and, where possible, supported by a check.
        High = "high",
        /// Remembered, or printed editions differ.
        Medium = "medium",
        /// Shaky: good for a first idea only.
        Low = "low";
        /// Not from the catalogue: stated by the owner of the set in the profile.
        Own = "own",
    }
}

/// Where a row of figures comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Default)]
pub struct Citation {
    /// The publication, word for word as in the table.
    pub source: String,
    /// How far the row is trusted.
    pub confidence: Confidence,
}

/// From the cells `source` and `confidence`.
impl Cell for Citation {
    fn read(row: &Row<'_>, _: &[&str], _: How) -> Result<Citation, CatalogueError> {
        Ok(Citation { source: row.get("source")?, confidence: row.get("confidence")? })
    }
}
