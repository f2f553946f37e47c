//! Dial lamps and household lamps.

use super::{
    alias::{Alias, Named},
    cells::{Row, Tabled, row, rows},
    citation::Citation,
    error::CatalogueError,
    lookup::Table,
    words::words,
};
use crate::quantity::{Current, Power, Resistance, Temperature, Time, Voltage};

const FILE: &str = "lamps.csv";

words! {
    /// What a lamp is for.
    pub enum LampKind {
        /// Dial (panel, scale) lamp.
        Dial = "dial",
        /// Household lamp, as put in series with a set on first power-up.
        ALamp = "a-lamp",
    }
}

row! {
    /// A lamp type.
    pub struct LampType {
        /// Dial or household lamp.
        kind: LampKind = "kind",
        /// Designation as in the table, for example `#47` or `60 W 120 V`.
        name: String = "designation",
        /// Other names; none in the built-in table.
        aliases: Vec<Alias>,
        /// Rated volts.
        volts: Voltage = "volts",
        /// Amperes at rated volts.
        amps: Current = "amps",
        /// Watts at rated volts.
        watts: Power = "watts",
        /// Colour of the glass bead.
        bead: Option<String> = "bead",
        /// Base.
        base: Option<String> = "base",
        /// Rated life at rated volts.
        rated_life: Option<Time> = "rated_life_h" in HOURS,
        /// Resistance at rated volts.
        hot: Option<Resistance> = "hot_ohm",
        /// Filament temperature at rated volts.
        filament_temperature: Option<Temperature> = "filament_k",
        /// Hot resistance over cold resistance.
        hot_to_cold_ratio: Option<f64> = "hot_to_cold_ratio",
        /// Resistance at room temperature.
        cold: Option<Resistance> = "cold_ohm",
        /// Source of the row.
        citation: Citation = row,
        /// Remark; empty when there is none.
        note: String = "note" in OR_BLANK,
    }
}

/// Whose trade sold it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trade {
    /// North America's, and that of countries which took over its numbers.
    America,
    /// Britain's.
    Britain,
    /// The European mainland's.
    Europe,
}

impl LampType {
    /// Whose trade sold it, by how it is called there.
    pub fn trade(&self) -> Trade {
        match &self.name {
            name if name.starts_with('#') => Trade::America,
            name if name.starts_with("UK") => Trade::Britain,
            _ => Trade::Europe,
        }
    }
}

impl Named for LampType {
    fn labels(&self) -> (&str, &[Alias]) {
        (&self.name, &self.aliases)
    }
    fn labels_mut(&mut self) -> (&mut String, &mut Vec<Alias>) {
        (&mut self.name, &mut self.aliases)
    }
}

pub fn read(text: &str) -> Result<Table<LampType>, CatalogueError> {
    let lamps = rows(FILE, text, &LampType::columns(), |row| Ok((row.line, LampType::read(row)?)))?;
    Table::build((FILE, "designation"), lamps, Vec::new())
}
