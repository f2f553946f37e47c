//! Dial lamps, household lamps and the laws of tungsten lamps.

use std::fmt;

use super::alias::Alias;
use super::cells::{self, CatalogueError, Row, Sign};
use super::citation::Citation;
use super::lookup::{Named, Table};
use super::units::*;

const FILE: &str = "lamps.csv";

const COLUMNS: &[&str] = &[
    "kind",
    "designation",
    "volts",
    "amps",
    "watts",
    "bead",
    "base",
    "rated_life_h",
    "hot_ohm",
    "filament_k",
    "hot_to_cold_ratio",
    "cold_ohm",
    "quantity",
    "exponent",
    "source",
    "confidence",
    "note",
];

/// What a lamp is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LampKind {
    /// Dial (panel, scale) lamp.
    Dial,
    /// Household lamp, as put in series with a set on first power-up.
    ALamp,
}

/// A lamp type.
#[derive(Debug, Clone, PartialEq)]
pub struct LampType {
    /// Dial or household lamp.
    pub kind: LampKind,
    /// Designation as in the table, for example `#47` or `60 W 120 V`.
    pub name: String,
    /// Other names; none in the built-in table.
    pub aliases: Vec<Alias>,
    /// Rated volts.
    pub volts: Voltage,
    /// Amperes at rated volts.
    pub amps: Current,
    /// Watts at rated volts.
    pub watts: Power,
    /// Colour of the glass bead.
    pub bead: Option<String>,
    /// Base.
    pub base: Option<String>,
    /// Rated life at rated volts.
    pub rated_life: Option<Time>,
    /// Resistance at rated volts.
    pub hot: Option<Resistance>,
    /// Filament temperature at rated volts.
    pub filament_temperature: Option<Temperature>,
    /// Hot resistance over cold resistance.
    pub hot_to_cold_ratio: Option<f64>,
    /// Resistance at room temperature.
    pub cold: Option<Resistance>,
    /// Source of the row.
    pub citation: Citation,
    /// Remark; empty when there is none.
    pub note: String,
}

/// What changes with lamp volts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LampQuantity {
    /// Lamp current.
    Current,
    /// Lamp watts.
    Power,
    /// Light output.
    Light,
    /// Life.
    Life,
    /// Colour temperature.
    ColourTemperature,
}

/// What fills the bulb.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LampFilling {
    /// Gas-filled bulb (household lamps of 40 W and more).
    GasFilled,
    /// Vacuum bulb (dial lamps, small household lamps).
    Vacuum,
}

/// Exponent of a lamp law: quantity proportional to (volts / rated volts)^exponent.
#[derive(Debug, Clone, PartialEq)]
pub struct LampExponent {
    /// Lamps the law is for, as in the table.
    pub lamp: String,
    /// What changes.
    pub quantity: LampQuantity,
    /// Bulb the figure is for; `None` for the general figure.
    pub filling: Option<LampFilling>,
    /// The exponent.
    pub exponent: f64,
    /// Source of the row.
    pub citation: Citation,
    /// Remark; empty when there is none.
    pub note: String,
}

/// Resistance of tungsten over its resistance at room temperature (300 K).
#[derive(Debug, Clone, PartialEq)]
pub struct TungstenPoint {
    /// Designation as in the table.
    pub name: String,
    /// Temperature; `None` for a rule of thumb about lamps in general.
    pub temperature: Option<Temperature>,
    /// Hot resistance over cold resistance.
    pub hot_to_cold_ratio: f64,
    /// Source of the row.
    pub citation: Citation,
    /// Remark; empty when there is none.
    pub note: String,
}

/// What the lamp file holds.
#[derive(Debug)]
pub(super) struct LampTables {
    pub(super) lamps: Table<LampType>,
    pub(super) exponents: Vec<LampExponent>,
    pub(super) tungsten: Vec<TungstenPoint>,
}

impl fmt::Display for LampKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            LampKind::Dial => "dial",
            LampKind::ALamp => "a-lamp",
        })
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
    fn name(&self) -> &str {
        &self.name
    }
    fn aliases(&mut self) -> &mut Vec<Alias> {
        &mut self.aliases
    }
}

#[derive(Debug, Clone, Copy)]
enum RowKind {
    Lamp(LampKind),
    Exponent,
    Tungsten,
}

pub(super) fn read(text: &str) -> Result<LampTables, CatalogueError> {
    const KINDS: [(RowKind, &str); 4] = [
        (RowKind::Lamp(LampKind::Dial), "dial"),
        (RowKind::Lamp(LampKind::ALamp), "a-lamp"),
        (RowKind::Exponent, "exponent"),
        (RowKind::Tungsten, "tungsten"),
    ];
    let mut lamps = Vec::new();
    let mut lines = Vec::new();
    let mut exponents = Vec::new();
    let mut tungsten = Vec::new();
    cells::for_each_row(FILE, text, COLUMNS, |row| {
        match row.one_of("kind", &KINDS)? {
            RowKind::Lamp(kind) => {
                lamps.push(lamp(row, kind)?);
                lines.push(row.line);
            }
            RowKind::Exponent => exponents.push(exponent(row)?),
            RowKind::Tungsten => tungsten.push(tungsten_point(row)?),
        }
        Ok(())
    })?;
    Ok(LampTables {
        lamps: Table::build((FILE, "designation"), lamps, &lines, Vec::new())?,
        exponents,
        tungsten,
    })
}

fn lamp(row: &Row<'_>, kind: LampKind) -> Result<LampType, CatalogueError> {
    let plain = |column| row.number(column, Sign::Positive);
    row.must_be_blank(&["quantity", "exponent"])?;
    Ok(LampType {
        kind,
        name: row.required_text("designation")?,
        aliases: Vec::new(),
        volts: Voltage::new::<volt>(row.required_number("volts")?),
        amps: Current::new::<ampere>(row.required_number("amps")?),
        watts: Power::new::<watt>(row.required_number("watts")?),
        bead: row.optional_text("bead")?,
        base: row.optional_text("base")?,
        rated_life: plain("rated_life_h")?.map(Time::new::<hour>),
        hot: plain("hot_ohm")?.map(Resistance::new::<ohm>),
        filament_temperature: plain("filament_k")?.map(Temperature::new::<kelvin>),
        hot_to_cold_ratio: plain("hot_to_cold_ratio")?,
        cold: plain("cold_ohm")?.map(Resistance::new::<ohm>),
        citation: row.citation()?,
        note: row.text("note")?.to_owned(),
    })
}

fn exponent(row: &Row<'_>) -> Result<LampExponent, CatalogueError> {
    use LampFilling::{GasFilled, Vacuum};
    use LampQuantity::{ColourTemperature, Current, Life, Light, Power};
    const QUANTITIES: [((LampQuantity, Option<LampFilling>), &str); 13] = [
        ((Current, None), "current"),
        ((Power, None), "power"),
        ((Light, None), "light"),
        ((Life, None), "life"),
        ((ColourTemperature, None), "colour temperature"),
        ((Current, Some(GasFilled)), "current, gas-filled"),
        ((Power, Some(GasFilled)), "power, gas-filled"),
        ((Light, Some(GasFilled)), "light, gas-filled"),
        ((Life, Some(GasFilled)), "life, gas-filled"),
        ((Current, Some(Vacuum)), "current, vacuum"),
        ((Power, Some(Vacuum)), "power, vacuum"),
        ((Light, Some(Vacuum)), "light, vacuum"),
        ((Life, Some(Vacuum)), "life, vacuum"),
    ];
    row.must_be_blank(&[
        "volts",
        "amps",
        "watts",
        "bead",
        "base",
        "rated_life_h",
        "hot_ohm",
        "filament_k",
        "hot_to_cold_ratio",
        "cold_ohm",
    ])?;
    let (quantity, filling) = row.one_of("quantity", &QUANTITIES)?;
    Ok(LampExponent {
        lamp: row.required_text("designation")?,
        quantity,
        filling,
        exponent: row
            .number("exponent", Sign::Any)?
            .filter(|e| *e != 0.0)
            .ok_or_else(|| row.bad("exponent", "a number other than zero"))?,
        citation: row.citation()?,
        note: row.text("note")?.to_owned(),
    })
}

fn tungsten_point(row: &Row<'_>) -> Result<TungstenPoint, CatalogueError> {
    row.must_be_blank(&[
        "volts",
        "amps",
        "watts",
        "bead",
        "base",
        "rated_life_h",
        "hot_ohm",
        "cold_ohm",
        "quantity",
        "exponent",
    ])?;
    Ok(TungstenPoint {
        name: row.required_text("designation")?,
        temperature: row.number("filament_k", Sign::Positive)?.map(Temperature::new::<kelvin>),
        hot_to_cold_ratio: row.required_number("hot_to_cold_ratio")?,
        citation: row.citation()?,
        note: row.text("note")?.to_owned(),
    })
}
