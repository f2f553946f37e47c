//! Where a row comes from and how far it is trusted.

use super::{
    CatalogueError,
    cells::{Row, row},
    words::words,
};
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

row! {
    /// Where a row of figures comes from.
    #[derive(Eq, Serialize)]
    pub struct Citation {
        /// The publication, word for word as in the table.
        source: String = "source",
        /// How far the row is trusted.
        confidence: Confidence = "confidence",
    }
}
