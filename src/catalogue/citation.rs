//! Where a row comes from and how far it is trusted.

use serde::{Deserialize, Serialize};
use std::fmt;

/// How far a row is trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Confidence {
    /// Firmly remembered from the printed page and, where possible, supported by a check.
    High,
    /// Remembered, or printed editions differ.
    Medium,
    /// Shaky: good for a first idea only.
    Low,
    /// Not from the catalogue: stated by the owner of the set in the profile.
    Own,
}

impl fmt::Display for Confidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Confidence::High => "high",
            Confidence::Medium => "medium",
            Confidence::Low => "low",
            Confidence::Own => "own",
        })
    }
}

/// Where a row of figures comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Citation {
    /// The publication, word for word as in the table.
    pub source: String,
    /// How far the row is trusted.
    pub confidence: Confidence,
}
