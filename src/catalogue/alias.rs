//! Other names of types.

use super::{
    cells::{Row, Tabled, row, rows},
    citation::Citation,
    error::CatalogueError,
    words::words,
};

/// The file of the built-in table.
pub const FILE: &str = "aliases.csv";

words! {
    /// The table a type stands in.
    pub enum TableKind {
        /// Receiving tubes.
        Tube = "tube",
        /// Rectifiers.
        Rectifier = "rectifier";
        /// Lamps.
        Lamp = "lamp",
    }
}

row! {
    /// Another name of a type.
    pub struct Alias {
        /// The name.
        name: String = "alias",
        /// False where a tube of that name has other base pins: the same figures, another socket.
        same_base: bool = "same_base" one of [(true, "yes"), (false, "no")],
        /// Where the pair comes from; `None` for a part of a combined name, which is its own source.
        citation: Option<Citation>,
        /// In what it differs; empty when in nothing.
        note: String = "note" in OR_BLANK,
    }
}

impl Alias {
    /// A name that stands in the type's own.
    pub(super) fn part(name: String) -> Alias {
        Alias { name, same_base: true, ..Alias::default() }
    }

    /// In what a tube of this name differs, in words; `None` where in nothing.
    pub fn differs(&self) -> Option<String> {
        let base = (!self.same_base).then_some("other base");
        let note = Some(self.note.as_str()).filter(|note| !note.is_empty());
        let both: Vec<&str> = base.into_iter().chain(note).collect();
        (!both.is_empty()).then(|| both.join(", "))
    }
}

/// Something with a type number.
pub trait Named: Clone {
    /// Its name in the table, and its others.
    fn labels(&self) -> (&str, &[Alias]);

    /// The same, to be changed.
    fn labels_mut(&mut self) -> (&mut String, &mut Vec<Alias>);

    /// Its name, and its others.
    fn names(&self) -> impl Iterator<Item = &str> {
        let (name, others) = self.labels();
        std::iter::once(name).chain(others.iter().map(|alias| alias.name.as_str()))
    }

    /// Whether a name of it is one of another's: a tube and a rectifier in one envelope.
    fn shares_a_name(&self, other: &impl Named) -> bool {
        self.names().any(|name| other.names().any(|one| one == name))
    }

    /// The same type under another of its names, its name in the table among the others.
    fn called(&self, to: &str) -> Self {
        let mut kind = self.clone();
        let (name, others) = kind.labels_mut();
        if name != to {
            others.retain(|alias| alias.name != to);
            others.push(Alias::part(std::mem::replace(name, to.to_owned())));
        }
        kind
    }
}

/// A row: which type it is another name of, and its line in the file.
pub struct AliasRow {
    pub alias: Alias,
    pub of: String,
    pub line: u64,
}

/// The rows of `text` for one table.
pub fn read(text: &str, table: TableKind) -> Result<Vec<AliasRow>, CatalogueError> {
    let columns = [Alias::columns(), Citation::columns(), vec!["type", "table"]].concat();
    let all = rows(FILE, text, &columns, |row| {
        let alias = Alias { citation: Some(Citation::read(row)?), ..Alias::read(row)? };
        let of_table: TableKind = row.get("table")?;
        Ok((of_table, AliasRow { alias, of: row.get("type")?, line: row.line }))
    })?;
    Ok(all.into_iter().filter(|(of, _)| *of == table).map(|(_, row)| row).collect())
}
