//! Catalogue of receiving tubes, rectifiers and lamps with their published figures.
//!
//! The data are tables built into the program (`data/*.csv`). Every row
//! keeps its source and how far it is trusted. A blank cell is `None`: not
//! known, never zero.

mod alias;
mod ballast;
mod cells;
mod citation;
mod class;
mod error;
mod kin;
mod lamp;
mod lookup;
mod outlet_range;
mod rectifier;
pub mod stock;
mod tube;
mod warm_up;
mod words;

pub use alias::{Alias, Named, TableKind};
pub use ballast::{
    BALLAST_AMPS, BallastKind, BallastLamp, BallastType, ballast_by_code, ballast_lamps, ballasts,
    barretter,
};
pub use citation::{Citation, Confidence};
pub use class::{CathodeKind, TubeClass};
pub use error::CatalogueError;
pub use lamp::{LampKind, LampType, Trade};
pub use lookup::{Found, Matched, NoSuchType};
pub use outlet_range::{NoSuchRange, OutletRange, outlet_range, outlet_ranges};
pub use rectifier::{DropBasis, Heating, RectifierDrop, RectifierKind, RectifierType, Wave};
pub use tube::{OperatingPoint, TubeType};
pub use warm_up::{WarmUp, warm_ups};

use lookup::Table;
use std::sync::LazyLock;

const TUBES_CSV: &str = include_str!("data/tubes.csv");
const RECTIFIERS_CSV: &str = include_str!("data/rectifiers.csv");
const LAMPS_CSV: &str = include_str!("data/lamps.csv");
const ALIASES_CSV: &str = include_str!("data/aliases.csv");

/// The tables.
#[derive(Debug)]
pub struct Catalogue {
    tubes: Table<TubeType>,
    rectifiers: Table<RectifierType>,
    lamps: Table<LampType>,
}

impl Catalogue {
    /// The catalogue that is part of the program, read the first time it is asked for.
    pub fn built_in() -> &'static Catalogue {
        static BUILT_IN: LazyLock<Catalogue> = LazyLock::new(|| {
            Catalogue::read(TUBES_CSV, RECTIFIERS_CSV, LAMPS_CSV, ALIASES_CSV)
                .expect("a test proves that the built-in tables load")
        });
        &BUILT_IN
    }

    /// Reads a catalogue from the text of four CSV files with the same columns
    /// as the built-in ones (any order of columns).
    ///
    /// # Errors
    /// [`CatalogueError`] names the file, the line and the column of the first
    /// cell that cannot be right: an unknown or missing column, a number that is
    /// none, a negative or zero figure where none is possible, an unknown class,
    /// a row that contradicts an earlier row of the same type, a name used twice,
    /// a row without a source.
    pub fn read(
        tubes_csv: &str,
        rectifiers_csv: &str,
        lamps_csv: &str,
        aliases_csv: &str,
    ) -> Result<Catalogue, CatalogueError> {
        Ok(Catalogue {
            tubes: tube::read(tubes_csv, aliases_csv)?,
            rectifiers: rectifier::read(rectifiers_csv, aliases_csv)?,
            lamps: lamp::read(lamps_csv)?,
        })
    }

    /// All tube types, in the order of the table.
    pub fn tubes(&self) -> &[TubeType] {
        self.tubes.items()
    }

    /// All rectifier types, in the order of the table.
    pub fn rectifiers(&self) -> &[RectifierType] {
        self.rectifiers.items()
    }

    /// All dial lamps and household lamps, in the order of the table.
    pub fn lamps(&self) -> &[LampType] {
        self.lamps.items()
    }

    /// Finds a tube type. Case, blanks, hyphens and a leading `#` or `no.` do not matter.
    ///
    /// # Errors
    /// [`NoSuchType`] with up to three nearest names, and a hint when another
    /// table holds the name.
    pub fn tube(&self, asked: &str) -> Result<Found<&TubeType>, NoSuchType> {
        self.find_in(&self.tubes, TableKind::Tube, asked)
    }

    /// Finds a rectifier type; rules as for [`Catalogue::tube`].
    ///
    /// # Errors
    /// [`NoSuchType`], as for [`Catalogue::tube`].
    pub fn rectifier(&self, asked: &str) -> Result<Found<&RectifierType>, NoSuchType> {
        self.find_in(&self.rectifiers, TableKind::Rectifier, asked)
    }

    /// Finds a dial lamp or a household lamp; rules as for [`Catalogue::tube`].
    ///
    /// # Errors
    /// [`NoSuchType`], as for [`Catalogue::tube`].
    pub fn lamp(&self, asked: &str) -> Result<Found<&LampType>, NoSuchType> {
        self.find_in(&self.lamps, TableKind::Lamp, asked)
    }

    fn find_in<'a, T: Named>(
        &'a self,
        table: &'a Table<T>,
        kind: TableKind,
        asked: &str,
    ) -> Result<Found<&'a T>, NoSuchType> {
        // "#46" is the lamp, never the triode 46: the mark belongs to lamp numbers
        let of_a_lamp = asked.trim_start().starts_with('#') && kind != TableKind::Lamp;
        let found = if of_a_lamp { None } else { table.find(asked) };
        found.ok_or_else(|| {
            let held = [
                (TableKind::Tube, self.tubes.spelled(asked)),
                (TableKind::Rectifier, self.rectifiers.spelled(asked)),
                (TableKind::Lamp, self.lamps.spelled(asked)),
            ];
            let others = held.into_iter().filter(|(other, _)| *other != kind);
            NoSuchType {
                table: kind,
                asked: asked.to_owned(),
                nearest: table.nearest(asked),
                elsewhere: others.filter_map(|(other, name)| Some((other, name?))).collect(),
            }
        })
    }
}
