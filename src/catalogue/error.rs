//! What can be wrong with a table, with file, line and column.

use thiserror::Error;

/// Longest part of a bad cell that is repeated in a message, in characters.
const SHOWN: usize = 40;

/// What is wrong with a catalogue file. `row` is the line in the file; the
/// header is line 1.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum CatalogueError {
    /// A header cell is not a column of this table.
    #[error("{file}: unknown column {column:?}; the columns are {known}")]
    UnknownColumn {
        /// File name.
        file: &'static str,
        /// The header cell as found.
        column: String,
        /// The columns this table has.
        known: String,
    },
    /// A column is not in the header.
    #[error("{file}: column {column:?} is missing; add it and leave its cells blank if not known")]
    MissingColumn {
        /// File name.
        file: &'static str,
        /// The missing column.
        column: String,
    },
    /// A column is in the header twice.
    #[error("{file}: column {column:?} appears twice; keep one")]
    RepeatedColumn {
        /// File name.
        file: &'static str,
        /// The repeated column.
        column: String,
    },
    /// A cell cannot be right.
    #[error("{file}, row {row}, column {column}: found {found:?}, wanted {wanted}")]
    BadCell {
        /// File name.
        file: &'static str,
        /// Line in the file.
        row: u64,
        /// Column name.
        column: String,
        /// The cell as found, shortened.
        found: String,
        /// What to write instead.
        wanted: String,
    },
    /// A row has too few or too many cells.
    #[error("{file}, row {row}: found {found} cells, wanted {wanted} as in the header")]
    CellCount {
        /// File name.
        file: &'static str,
        /// Line in the file.
        row: u64,
        /// Cells in the row.
        found: usize,
        /// Columns in the header.
        wanted: usize,
    },
    /// The text is not CSV.
    #[error("{file}, row {row}: not readable as comma-separated values ({problem})")]
    NotCsv {
        /// File name.
        file: &'static str,
        /// Line in the file.
        row: u64,
        /// What the reader said.
        problem: String,
    },
}

impl CatalogueError {
    /// That of a cell: file and line, column, what was found and what is wanted.
    pub(super) fn bad_cell(
        (file, row): (&'static str, u64),
        column: &str,
        found: &str,
        wanted: &str,
    ) -> CatalogueError {
        let (column, wanted) = (column.to_owned(), wanted.to_owned());
        CatalogueError::BadCell { file, row, column, found: shortened(found), wanted }
    }
}

/// A text cut to what fits in a message.
pub fn shortened(text: &str) -> String {
    let mut short: String = text.chars().take(SHOWN).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}
