//! Reading checked cells from a table, with file, line and column in every error.

use serde::Serialize;
use std::fmt;
use thiserror::Error;

use super::citation::{Citation, Confidence};

/// No figure in the tables comes near this; a larger one is a slip of the keyboard.
const LARGEST: f64 = 1.0e9;

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

/// The table a type stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum TableKind {
    /// Receiving tubes.
    Tube,
    /// Rectifiers.
    Rectifier,
    /// Lamps.
    Lamp,
}

impl fmt::Display for TableKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            TableKind::Tube => "tube",
            TableKind::Rectifier => "rectifier",
            TableKind::Lamp => "lamp",
        })
    }
}

/// Which numbers a cell may hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sign {
    /// Above zero.
    Positive,
    /// Any sign, zero included.
    Any,
}

/// One row of a table; cells are asked for by column name.
#[derive(Debug)]
pub(super) struct Row<'a> {
    pub(super) file: &'static str,
    pub(super) line: u64,
    columns: &'static [&'static str],
    /// Place in the record of each entry of `columns`.
    places: &'a [usize],
    record: &'a csv::StringRecord,
}

impl Row<'_> {
    /// Text of a cell, unchanged; a blank cell is an empty text.
    pub(super) fn text(&self, column: &str) -> Result<&str, CatalogueError> {
        self.columns
            .iter()
            .position(|c| *c == column)
            .and_then(|i| self.places.get(i))
            .and_then(|place| self.record.get(*place))
            .ok_or_else(|| CatalogueError::MissingColumn {
                file: self.file,
                column: column.to_owned(),
            })
    }

    /// Text of a cell that must not be blank.
    pub(super) fn required_text(&self, column: &str) -> Result<String, CatalogueError> {
        let text = self.text(column)?;
        if text.trim().is_empty() {
            return Err(self.bad(column, "some text, not a blank"));
        }
        Ok(text.to_owned())
    }

    /// Text of a cell, `None` when blank.
    pub(super) fn optional_text(&self, column: &str) -> Result<Option<String>, CatalogueError> {
        let text = self.text(column)?;
        Ok((!text.trim().is_empty()).then(|| text.to_owned()))
    }

    /// A number, `None` when blank.
    pub(super) fn number(&self, column: &str, sign: Sign) -> Result<Option<f64>, CatalogueError> {
        let text = self.text(column)?.trim();
        if text.is_empty() {
            return Ok(None);
        }
        let value: f64 = text
            .parse()
            .map_err(|_| self.bad(column, "a number with a decimal point, or a blank"))?;
        if !value.is_finite() || value.abs() > LARGEST {
            return Err(self.bad(column, "a finite number of everyday size, or a blank"));
        }
        if sign == Sign::Positive && value <= 0.0 {
            return Err(self.bad(column, "a number above zero, or a blank if not known"));
        }
        Ok(Some(value))
    }

    /// A number above zero that must be there.
    pub(super) fn required_number(&self, column: &str) -> Result<f64, CatalogueError> {
        self.number(column, Sign::Positive)?
            .ok_or_else(|| self.bad(column, "a number above zero; this figure is needed"))
    }

    /// One of a fixed list of words.
    pub(super) fn one_of<T: Copy>(
        &self,
        column: &str,
        words: &[(T, &str)],
    ) -> Result<T, CatalogueError> {
        let text = self.text(column)?;
        words.iter().find(|(_, word)| *word == text).map(|(value, _)| *value).ok_or_else(|| {
            let list: Vec<&str> = words.iter().map(|(_, word)| *word).collect();
            self.bad(column, &format!("one of {}", list.join(", ")))
        })
    }

    /// The `source` and `confidence` cells, neither of which may be blank.
    pub(super) fn citation(&self) -> Result<Citation, CatalogueError> {
        const WORDS: [(Confidence, &str); 3] =
            [(Confidence::High, "high"), (Confidence::Medium, "medium"), (Confidence::Low, "low")];
        Ok(Citation {
            source: self.required_text("source")?,
            confidence: self.one_of("confidence", &WORDS)?,
        })
    }

    /// Refuses a cell that has no meaning in this kind of row.
    pub(super) fn must_be_blank(&self, columns: &[&str]) -> Result<(), CatalogueError> {
        for column in columns {
            if !self.text(column)?.trim().is_empty() {
                return Err(self.bad(column, "a blank in this kind of row"));
            }
        }
        Ok(())
    }

    /// The error for a cell of this row.
    pub(super) fn bad(&self, column: &str, wanted: &str) -> CatalogueError {
        CatalogueError::BadCell {
            file: self.file,
            row: self.line,
            column: column.to_owned(),
            found: shortened(self.text(column).unwrap_or_default()),
            wanted: wanted.to_owned(),
        }
    }
}

/// A text cut to what fits in a message.
pub(super) fn shortened(text: &str) -> String {
    let mut short: String = text.chars().take(SHOWN).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}

/// Hands every row of `text` to `each`, after checking the header against `columns`.
pub(super) fn for_each_row(
    file: &'static str,
    text: &str,
    columns: &'static [&'static str],
    mut each: impl FnMut(&Row<'_>) -> Result<(), CatalogueError>,
) -> Result<(), CatalogueError> {
    // Spreadsheets put a byte order mark in front; it is not part of the first column's name.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut record = csv::StringRecord::new();
    let mut places: Option<Vec<usize>> = None;
    loop {
        let more = reader.read_record(&mut record).map_err(|e| CatalogueError::NotCsv {
            file,
            row: e.position().map_or(0, csv::Position::line),
            problem: e.to_string(),
        })?;
        let Some(places) = &places else {
            places = Some(header_places(file, &record, columns)?);
            if !more {
                return Ok(());
            }
            continue;
        };
        if !more {
            return Ok(());
        }
        let start = record.position();
        let line = start.map_or(0, |p| first_line(text, p));
        if record.len() != columns.len() {
            return Err(CatalogueError::CellCount {
                file,
                row: line,
                found: record.len(),
                wanted: columns.len(),
            });
        }
        each(&Row { file, line, columns, places, record: &record })?;
    }
}

/// Line on which a record starts. The reader counts blank lines before a record
/// as part of it, an editor does not.
fn first_line(text: &str, start: &csv::Position) -> u64 {
    let rest = usize::try_from(start.byte())
        .ok()
        .and_then(|at| text.as_bytes().get(at..))
        .unwrap_or_default();
    let blank =
        rest.iter().take_while(|b| matches!(b, b'\n' | b'\r')).filter(|b| **b == b'\n').count();
    start.line().saturating_add(blank as u64)
}

fn header_places(
    file: &'static str,
    header: &csv::StringRecord,
    columns: &'static [&'static str],
) -> Result<Vec<usize>, CatalogueError> {
    for (i, cell) in header.iter().enumerate() {
        if !columns.contains(&cell) {
            return Err(CatalogueError::UnknownColumn {
                file,
                column: shortened(cell),
                known: columns.join(", "),
            });
        }
        if header.iter().take(i).any(|earlier| earlier == cell) {
            return Err(CatalogueError::RepeatedColumn { file, column: cell.to_owned() });
        }
    }
    columns
        .iter()
        .map(|column| {
            header
                .iter()
                .position(|cell| cell == *column)
                .ok_or_else(|| CatalogueError::MissingColumn { file, column: (*column).to_owned() })
        })
        .collect()
}
