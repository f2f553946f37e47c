//! Reading checked cells from a table, with file, line and column in every error, and the declarations of what stands there.

use super::error::{CatalogueError, shortened};
use crate::quantity::Quantity;

/// No figure in the tables comes near this; a larger one is a slip of the keyboard.
const LARGEST: f64 = 1.0e9;

/// How a cell is taken.
#[derive(Debug, Clone, Copy)]
pub struct How {
    /// Size of the column's unit in SI units.
    scale: f64,
    /// Whether zero and negative numbers may stand there.
    signed: bool,
    /// Whether a cell that must be filled may be blank: an empty text, the number 0.
    blank: bool,
}

/// A text that is no blank, or a number above zero, in SI units.
pub const PLAIN: How = How { scale: 1.0, signed: false, blank: false };
/// The same of a thousandth.
pub const MILLI: How = How { scale: 1e-3, ..PLAIN };
/// The same of a millionth.
pub const MICRO: How = How { scale: 1e-6, ..PLAIN };
/// The same in hours.
pub const HOURS: How = How { scale: 3600.0, ..PLAIN };
/// A number of any sign, zero included.
pub const SIGNED: How = How { signed: true, ..PLAIN };
/// What may be left blank.
pub const OR_BLANK: How = How { blank: true, ..PLAIN };

/// What can stand in a cell.
pub trait Cell: Sized {
    /// Reads it from the text of a cell; else what is wanted there.
    fn of(text: &str, how: How) -> Result<Self, String>;
}

impl Cell for Option<String> {
    fn of(text: &str, _: How) -> Result<Self, String> {
        Ok((!text.trim().is_empty()).then(|| text.to_owned()))
    }
}

impl Cell for String {
    fn of(text: &str, how: How) -> Result<Self, String> {
        match text.trim().is_empty() && !how.blank {
            true => Err("some text, not a blank".to_owned()),
            false => Ok(text.to_owned()),
        }
    }
}

impl Cell for Option<f64> {
    fn of(text: &str, how: How) -> Result<Self, String> {
        let text = text.trim();
        if text.is_empty() {
            return Ok(None);
        }
        let wanted = match text.parse::<f64>() {
            Err(_) => "a number with a decimal point, or a blank",
            Ok(value) if !value.is_finite() || value.abs() > LARGEST => {
                "a finite number of everyday size, or a blank"
            }
            Ok(value) if value <= 0.0 && !how.signed => {
                "a number above zero, or a blank if not known"
            }
            Ok(value) => return Ok(Some(value * how.scale)),
        };
        Err(wanted.to_owned())
    }
}

impl Cell for f64 {
    fn of(text: &str, how: How) -> Result<Self, String> {
        let value = Option::of(text, how)?.or(how.blank.then_some(0.0));
        value.ok_or_else(|| "a number above zero; this figure is needed".to_owned())
    }
}

impl<Q: Quantity> Cell for Option<Q> {
    fn of(text: &str, how: How) -> Result<Self, String> {
        Ok(Option::of(text, how)?.map(Q::from_si))
    }
}

impl<Q: Quantity> Cell for Q {
    fn of(text: &str, how: How) -> Result<Self, String> {
        f64::of(text, how).map(Q::from_si)
    }
}

/// One of the words for these.
pub fn one_of<T: Copy>(text: &str, words: &[(T, &str)]) -> Result<T, String> {
    let found = words.iter().find(|(_, word)| *word == text);
    found.map(|(value, _)| *value).ok_or_else(|| {
        let list: Vec<&str> = words.iter().map(|(_, word)| *word).collect();
        format!("one of {}", list.join(", "))
    })
}

/// One row of a table; cells are asked for by column name.
#[derive(Debug)]
pub struct Row<'a> {
    file: &'static str,
    pub line: u64,
    header: &'a csv::StringRecord,
    record: &'a csv::StringRecord,
}

impl Row<'_> {
    /// Text of a cell, unchanged; a blank cell is an empty text.
    pub fn text(&self, column: &str) -> Result<&str, CatalogueError> {
        let place = self.header.iter().position(|c| c == column);
        place.and_then(|place| self.record.get(place)).ok_or_else(|| {
            CatalogueError::MissingColumn { file: self.file, column: column.to_owned() }
        })
    }

    /// What stands in a cell, as `of` reads it.
    pub fn read<T>(
        &self,
        column: &str,
        of: impl FnOnce(&str) -> Result<T, String>,
    ) -> Result<T, CatalogueError> {
        of(self.text(column)?).map_err(|wanted| self.bad(column, &wanted))
    }

    /// What stands in a cell.
    pub fn get<T: Cell>(&self, column: &str) -> Result<T, CatalogueError> {
        self.read(column, |text| T::of(text, PLAIN))
    }

    /// The error for a cell of this row.
    pub fn bad(&self, column: &str, wanted: &str) -> CatalogueError {
        let found = self.text(column).unwrap_or_default();
        CatalogueError::bad_cell((self.file, self.line), column, found, wanted)
    }
}

/// What the rows of a table are read into.
pub trait Tabled: Sized {
    /// Its columns.
    fn columns() -> Vec<&'static str>;

    /// Reads a row.
    fn read(row: &Row<'_>) -> Result<Self, CatalogueError>;

    /// The first column in which another row has something else.
    fn differs(&self, other: &Self) -> Option<&'static str>;
}

/// Declares what a row is read into: each field with its column, and how that is taken where not plainly, or the words that
/// may stand there; or the word `row` for a field that is read from several columns of its own. A field of neither begins
/// as its type does, for others to fill in.
macro_rules! row {
    ($(#[$meta:meta])* pub struct $name:ident {
        $($(#[$doc:meta])* $field:ident: $type:ty
            $(= $column:literal $(in $how:ident)? $(one of $words:tt)?)? $(= $whole:ident)?,)*
    }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, PartialEq, Default)]
        pub struct $name { $($(#[$doc])* pub $field: $type,)* }

        impl $crate::catalogue::cells::Tabled for $name {
            fn columns() -> Vec<&'static str> {
                [vec![$($($column,)?)*], $($(row!(@columns $whole $type),)?)*].concat()
            }

            fn read(row: &Row<'_>) -> Result<$name, CatalogueError> {
                Ok($name {
                    $($field: row!(@ row $($column $($how)? $($words)?)? $(=> $whole)?),)*
                })
            }

            fn differs(&self, other: &$name) -> Option<&'static str> {
                let fields = [$($(($column, self.$field != other.$field),)?)*];
                fields.into_iter().find_map(|(column, differs)| differs.then_some(column))
            }
        }
    };
    (@columns $whole:ident $type:ty) => { <$type>::columns() };
    (@ $row:ident) => { Default::default() };
    (@ $row:ident => $whole:ident) => { Tabled::read($row)? };
    (@ $row:ident $column:literal) => { $row.get($column)? };
    (@ $row:ident $column:literal $how:ident) => {
        $row.read($column, |text| {
            $crate::catalogue::cells::Cell::of(text, $crate::catalogue::cells::$how)
        })?
    };
    (@ $row:ident $column:literal $words:tt) => {
        $row.read($column, |text| $crate::catalogue::cells::one_of(text, &$words))?
    };
}
pub(super) use row;

/// What `each` makes of every row of `text`, after the header is checked against `columns`.
pub fn rows<T>(
    file: &'static str,
    text: &str,
    columns: &[&str],
    mut each: impl FnMut(&Row<'_>) -> Result<T, CatalogueError>,
) -> Result<Vec<T>, CatalogueError> {
    // Spreadsheets put a byte order mark in front; it is not part of the first column's name.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut builder = csv::ReaderBuilder::new();
    let mut reader = builder.has_headers(false).flexible(true).from_reader(text.as_bytes());
    let (mut header, mut record) = (csv::StringRecord::new(), csv::StringRecord::new());
    let not_csv = |e: csv::Error| CatalogueError::NotCsv {
        file,
        row: e.position().map_or(0, csv::Position::line),
        problem: e.to_string(),
    };
    reader.read_record(&mut header).map_err(not_csv)?;
    check(file, &header, columns)?;
    let mut list = Vec::new();
    while reader.read_record(&mut record).map_err(not_csv)? {
        let line = record.position().map_or(0, |p| first_line(text, p));
        if record.len() != columns.len() {
            let (found, wanted) = (record.len(), columns.len());
            return Err(CatalogueError::CellCount { file, row: line, found, wanted });
        }
        list.push(each(&Row { file, line, header: &header, record: &record })?);
    }
    Ok(list)
}

/// Declares a list: the rows of a table that is part of the program, read the first time it is asked for.
macro_rules! list {
    ($(#[$doc:meta])* $name:ident: $type:ident = $file:literal) => {
        $(#[$doc])*
        pub fn $name() -> &'static [$type] {
            static LIST: std::sync::LazyLock<Vec<$type>> = std::sync::LazyLock::new(|| {
                let text = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/src/catalogue/data/", $file));
                $crate::catalogue::cells::rows($file, text, &$type::columns(), $type::read)
                    .expect("a test proves that the built-in tables load")
            });
            &LIST
        }
    };
}
pub(super) use list;

/// Line on which a record starts. The reader counts blank lines before a record
/// as part of it, an editor does not.
fn first_line(text: &str, start: &csv::Position) -> u64 {
    let rest = text.as_bytes().get(start.byte() as usize..).unwrap_or_default();
    let blank = rest.iter().take_while(|b| matches!(b, b'\n' | b'\r')).filter(|b| **b == b'\n');
    start.line() + blank.count() as u64
}

fn check(
    file: &'static str,
    header: &csv::StringRecord,
    columns: &[&str],
) -> Result<(), CatalogueError> {
    for (i, cell) in header.iter().enumerate() {
        if !columns.contains(&cell) {
            let (column, known) = (shortened(cell), columns.join(", "));
            return Err(CatalogueError::UnknownColumn { file, column, known });
        }
        if header.iter().take(i).any(|earlier| earlier == cell) {
            return Err(CatalogueError::RepeatedColumn { file, column: cell.to_owned() });
        }
    }
    match columns.iter().find(|column| !header.iter().any(|cell| cell == **column)) {
        Some(gone) => Err(CatalogueError::MissingColumn { file, column: (*gone).to_owned() }),
        None => Ok(()),
    }
}
