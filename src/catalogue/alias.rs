//! Other names of types.

use super::cells::{self, CatalogueError, TableKind};
use super::citation::Citation;

/// The file of the built-in table.
pub(super) const FILE: &str = "aliases.csv";

const COLUMNS: &[&str] = &["alias", "type", "table", "same_base", "source", "confidence", "note"];

/// Another name of a type.
#[derive(Debug, Clone, PartialEq)]
pub struct Alias {
    /// The name.
    pub name: String,
    /// False where a tube of that name has other base pins: the same figures, another socket.
    pub same_base: bool,
    /// Where the pair comes from; `None` for a part of a combined name, which is its own source.
    pub citation: Option<Citation>,
    /// In what it differs; empty when in nothing.
    pub note: String,
}

impl Alias {
    /// A name that stands in the type's own.
    pub(super) fn part(name: String) -> Alias {
        Alias { name, same_base: true, citation: None, note: String::new() }
    }

    /// In what a tube of this name differs, in words; `None` where in nothing.
    pub fn differs(&self) -> Option<String> {
        let base = (!self.same_base).then_some("other base");
        let note = Some(self.note.as_str()).filter(|note| !note.is_empty());
        let both: Vec<&str> = base.into_iter().chain(note).collect();
        (!both.is_empty()).then(|| both.join(", "))
    }
}

/// A row: which type it is another name of, and its line in the file.
pub(super) struct AliasRow {
    pub alias: Alias,
    pub of: String,
    pub line: u64,
}

/// The rows of `text` for one table.
pub(super) fn read(text: &str, table: TableKind) -> Result<Vec<AliasRow>, CatalogueError> {
    const TABLES: [(TableKind, &str); 2] =
        [(TableKind::Tube, "tube"), (TableKind::Rectifier, "rectifier")];
    let mut rows = Vec::new();
    cells::for_each_row(FILE, text, COLUMNS, |row| {
        let alias = Alias {
            name: row.required_text("alias")?,
            same_base: row.one_of("same_base", &[(true, "yes"), (false, "no")])?,
            citation: Some(row.citation()?),
            note: row.text("note")?.to_owned(),
        };
        if row.one_of("table", &TABLES)? == table {
            rows.push(AliasRow { alias, of: row.required_text("type")?, line: row.line });
        }
        Ok(())
    })?;
    Ok(rows)
}

/// Gives a type the name `to`, one of its others if it is not the one it has.
pub(super) fn rename(name: &mut String, aliases: &mut Vec<Alias>, to: &str) {
    if name != to {
        aliases.retain(|alias| alias.name != to);
        aliases.push(Alias::part(std::mem::replace(name, to.to_owned())));
    }
}
