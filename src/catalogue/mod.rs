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
mod kin;
mod lamp;
mod lookup;
mod outlet_range;
mod rectifier;
pub mod stock;
mod tube;
mod units;
mod warm_up;

use std::sync::OnceLock;

pub use alias::Alias;
pub use ballast::{
    BALLAST_AMPS, BallastKind, BallastLamp, BallastType, ballast_by_code, ballast_lamps, ballasts,
    barretter,
};
pub use cells::{CatalogueError, TableKind};
pub use citation::{Citation, Confidence};
pub use class::{CathodeKind, TubeClass};
pub use lamp::{LampExponent, LampFilling, LampKind, LampQuantity, LampType, Trade, TungstenPoint};
pub use lookup::{Found, Matched, NoSuchType};
pub use outlet_range::{NoSuchRange, OutletRange, outlet_range, outlet_ranges};
pub use rectifier::{DropBasis, Heating, RectifierDrop, RectifierKind, RectifierType, Wave};
pub use tube::{OperatingPoint, TubeType};
pub use warm_up::{WarmUp, warm_ups};

use lamp::LampTables;
use lookup::{Named, Table};

const TUBES_CSV: &str = include_str!("data/tubes.csv");
const RECTIFIERS_CSV: &str = include_str!("data/rectifiers.csv");
const LAMPS_CSV: &str = include_str!("data/lamps.csv");
const ALIASES_CSV: &str = include_str!("data/aliases.csv");

/// The tables. Each built-in table is read the first time it is asked for.
#[derive(Debug, Default)]
pub struct Catalogue {
    tubes: OnceLock<Table<TubeType>>,
    rectifiers: OnceLock<Table<RectifierType>>,
    lamps: OnceLock<LampTables>,
}

static BUILT_IN: Catalogue =
    Catalogue { tubes: OnceLock::new(), rectifiers: OnceLock::new(), lamps: OnceLock::new() };

impl Catalogue {
    /// The catalogue that is part of the program.
    pub fn built_in() -> &'static Catalogue {
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
            tubes: OnceLock::from(tube::read(tubes_csv, aliases_csv)?),
            rectifiers: OnceLock::from(rectifier::read(rectifiers_csv, aliases_csv)?),
            lamps: OnceLock::from(lamp::read(lamps_csv)?),
        })
    }

    fn tube_table(&self) -> &Table<TubeType> {
        self.tubes.get_or_init(|| {
            tube::read(TUBES_CSV, ALIASES_CSV)
                .expect("a test proves that the built-in tube table loads")
        })
    }

    fn rectifier_table(&self) -> &Table<RectifierType> {
        self.rectifiers.get_or_init(|| {
            rectifier::read(RECTIFIERS_CSV, ALIASES_CSV)
                .expect("a test proves that the built-in rectifier table loads")
        })
    }

    fn lamp_tables(&self) -> &LampTables {
        self.lamps.get_or_init(|| {
            lamp::read(LAMPS_CSV).expect("a test proves that the built-in lamp table loads")
        })
    }

    /// All tube types, in the order of the table.
    pub fn tubes(&self) -> &[TubeType] {
        self.tube_table().items()
    }

    /// All rectifier types, in the order of the table.
    pub fn rectifiers(&self) -> &[RectifierType] {
        self.rectifier_table().items()
    }

    /// All dial lamps and household lamps, in the order of the table.
    pub fn lamps(&self) -> &[LampType] {
        self.lamp_tables().lamps.items()
    }

    /// Exponents of the lamp laws (quantity proportional to volts to the power `exponent`).
    pub fn lamp_exponents(&self) -> &[LampExponent] {
        &self.lamp_tables().exponents
    }

    /// Resistance of a tungsten filament against temperature.
    pub fn tungsten(&self) -> &[TungstenPoint] {
        &self.lamp_tables().tungsten
    }

    /// The exponent for one quantity; `filling` `None` asks for the general figure.
    pub fn lamp_exponent(
        &self,
        quantity: LampQuantity,
        filling: Option<LampFilling>,
    ) -> Option<&LampExponent> {
        self.lamp_exponents().iter().find(|e| e.quantity == quantity && e.filling == filling)
    }

    /// Finds a tube type. Case, blanks, hyphens and a leading `#` or `no.` do not matter.
    ///
    /// # Errors
    /// [`NoSuchType`] with up to three nearest names, and a hint when another
    /// table holds the name.
    pub fn tube(&self, asked: &str) -> Result<Found<&TubeType>, NoSuchType> {
        self.find_in(self.tube_table(), TableKind::Tube, asked)
    }

    /// Finds a rectifier type; rules as for [`Catalogue::tube`].
    ///
    /// # Errors
    /// [`NoSuchType`], as for [`Catalogue::tube`].
    pub fn rectifier(&self, asked: &str) -> Result<Found<&RectifierType>, NoSuchType> {
        self.find_in(self.rectifier_table(), TableKind::Rectifier, asked)
    }

    /// Finds a dial lamp or a household lamp; rules as for [`Catalogue::tube`].
    ///
    /// # Errors
    /// [`NoSuchType`], as for [`Catalogue::tube`].
    pub fn lamp(&self, asked: &str) -> Result<Found<&LampType>, NoSuchType> {
        self.find_in(&self.lamp_tables().lamps, TableKind::Lamp, asked)
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
        found.ok_or_else(|| NoSuchType {
            table: kind,
            asked: asked.to_owned(),
            nearest: table.nearest(asked),
            elsewhere: self.elsewhere(kind, asked),
        })
    }

    /// Names under which the other tables hold what was asked for.
    fn elsewhere(&self, kind: TableKind, asked: &str) -> Vec<(TableKind, String)> {
        let mut held = Vec::new();
        if kind != TableKind::Tube
            && let Some(found) = self.tube_table().find(asked)
        {
            held.push((TableKind::Tube, found.item.name.clone()));
        }
        if kind != TableKind::Rectifier
            && let Some(found) = self.rectifier_table().find(asked)
        {
            held.push((TableKind::Rectifier, found.item.name.clone()));
        }
        if kind != TableKind::Lamp
            && let Some(found) = self.lamp_tables().lamps.find(asked)
        {
            held.push((TableKind::Lamp, found.item.name.clone()));
        }
        held
    }
}
