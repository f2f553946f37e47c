//! Rectifiers: tubes, and the dry ones that replaced them.

use super::alias::{self, Alias};
use super::cells::{self, CatalogueError, Row, Sign, TableKind};
use super::citation::Citation;
use super::lookup::{Found, Named, Table};
use super::units::*;

const FILE: &str = "rectifiers.csv";

const COLUMNS: &[&str] = &[
    "type",
    "filament_v",
    "filament_a",
    "heating",
    "lamp_tap_v",
    "wave",
    "drop_v",
    "drop_at_ma_per_plate",
    "drop_low_v",
    "drop_high_v",
    "drop_basis",
    "kind",
    "max_peak_inverse_v",
    "max_peak_plate_ma",
    "max_dc_ma",
    "max_ac_v_cap_input",
    "max_ac_v_choke_input",
    "min_supply_ohm_per_plate",
    "min_choke_h",
    "max_input_capacitor_uf",
    "max_heater_cathode_v",
    "source",
    "confidence",
    "note",
];

/// How a rectifier cathode is heated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Heating {
    /// The filament itself emits: B+ comes up within seconds.
    Direct,
    /// A heater warms a separate cathode: B+ comes up with the other tubes.
    Indirect,
    /// Not heated: a dry rectifier, ready at once.
    None,
}

/// How many diodes are in the envelope, and how they are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Wave {
    /// Two plates, one cathode.
    Full,
    /// One plate, one cathode.
    Half,
    /// Two separate diodes, each with its own cathode.
    TwoHalf,
}

/// What conducts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RectifierKind {
    /// High vacuum: the drop grows with the current to the power 2/3.
    Vacuum,
    /// Mercury vapour: the drop is nearly constant.
    Mercury,
    /// Silicon junction: about a volt at any current.
    Silicon,
    /// Selenium plates: a threshold and a resistance.
    Selenium,
}

impl RectifierKind {
    /// True for a dry rectifier: no heater, and as many separate diodes as the circuit asks for.
    pub fn is_dry(self) -> bool {
        matches!(self, RectifierKind::Silicon | RectifierKind::Selenium)
    }
}

/// Volts lost in the tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RectifierDrop {
    /// Drop from plate to cathode.
    pub volts: Voltage,
    /// Current through one plate at which it is given; `None` for a mercury
    /// type, whose drop does not depend on the current.
    pub at_current_per_plate: Option<Current>,
    /// Least and most that it may be at that current, where the figure is not sure; `None` where it is.
    pub bounds: Option<(Voltage, Voltage)>,
    /// Where the figure comes from.
    pub basis: DropBasis,
}

/// Where a drop comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DropBasis {
    /// Printed by the maker.
    Printed,
    /// Solved from output volts that the maker prints.
    Outputs,
    /// Read from the maker's curve.
    Curve,
    /// What such parts do in practice.
    Practice,
    /// Nothing is printed: by types of like cathode and heater watts.
    Kinship,
    /// Nothing is known: by heater watts and kind of cathode.
    Watts,
    /// Stated in a profile.
    Stated,
}

impl DropBasis {
    /// Those that the table knows, with the words for them.
    const ALL: [(DropBasis, &'static str); 5] = [
        (DropBasis::Printed, "printed"),
        (DropBasis::Outputs, "from printed outputs"),
        (DropBasis::Curve, "read from the maker's curve"),
        (DropBasis::Practice, "common practice"),
        (DropBasis::Kinship, "kinship"),
    ];
}

impl std::fmt::Display for DropBasis {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let in_a_row = || Self::ALL.iter().find(|(basis, _)| basis == self);
        f.write_str(match self {
            DropBasis::Watts => "heater watts",
            DropBasis::Stated => "stated in the profile",
            _ => in_a_row().map_or("", |(_, word)| word),
        })
    }
}

/// A rectifier type with its ratings.
#[derive(Debug, Clone, PartialEq)]
pub struct RectifierType {
    /// Type number as in the table.
    pub name: String,
    /// Other names of the same type: the parts of a combined name, and those of `aliases.csv`.
    pub aliases: Vec<Alias>,
    /// Filament or heater volts; 0 for a dry rectifier.
    pub filament_volts: Voltage,
    /// Filament or heater amperes at rated volts; 0 for a dry rectifier.
    pub filament_amps: Current,
    /// Directly, indirectly or not heated.
    pub heating: Heating,
    /// Volts of the tapped part of the heater that a dial lamp is hung on, without the lamp; `None` without a tap.
    pub lamp_tap: Option<Voltage>,
    /// Full wave, half wave or two separate diodes.
    pub wave: Wave,
    /// Its drop; `None` only of a type that a profile defines without one.
    pub drop: Option<RectifierDrop>,
    /// Vacuum, mercury vapour, silicon or selenium.
    pub kind: RectifierKind,
    /// Highest peak inverse volts.
    pub max_peak_inverse: Option<Voltage>,
    /// Highest peak current of one plate.
    pub max_peak_plate_current: Option<Current>,
    /// Highest DC output current at any voltage (pairs with volts are in `note`).
    pub max_dc_current: Option<Current>,
    /// Highest AC volts rms per plate at any current, capacitor input.
    pub max_ac_volts_capacitor_input: Option<Voltage>,
    /// Highest AC volts rms per plate at any current, choke input.
    pub max_ac_volts_choke_input: Option<Voltage>,
    /// Least effective supply resistance per plate, at the highest voltage.
    pub min_supply_resistance: Option<Resistance>,
    /// Least inductance of an input choke.
    pub min_choke: Option<Inductance>,
    /// Largest input capacitor.
    pub max_input_capacitor: Option<Capacitance>,
    /// Highest volts between heater and cathode.
    pub max_heater_cathode_volts: Option<Voltage>,
    /// Source of the row.
    pub citation: Citation,
    /// Remark; empty when there is none.
    pub note: String,
}

impl RectifierType {
    /// A high-vacuum type of which only the heater and the make are known.
    pub fn bare(
        name: &str,
        (filament_volts, filament_amps): (Voltage, Current),
        heating: Heating,
        wave: Wave,
        citation: Citation,
    ) -> RectifierType {
        RectifierType {
            name: name.to_owned(),
            aliases: Vec::new(),
            filament_volts,
            filament_amps,
            heating,
            lamp_tap: None,
            wave,
            drop: None,
            kind: RectifierKind::Vacuum,
            max_peak_inverse: None,
            max_peak_plate_current: None,
            max_dc_current: None,
            max_ac_volts_capacitor_input: None,
            max_ac_volts_choke_input: None,
            min_supply_resistance: None,
            min_choke: None,
            max_input_capacitor: None,
            max_heater_cathode_volts: None,
            citation,
            note: String::new(),
        }
    }

    /// Its name, and its others.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.name.as_str()).chain(self.aliases.iter().map(|a| a.name.as_str()))
    }

    /// The same type under another of its names, its name in the table among the others.
    pub fn called(&self, name: &str) -> RectifierType {
        let mut kind = self.clone();
        alias::rename(&mut kind.name, &mut kind.aliases, name);
        kind
    }
}

impl Found<&RectifierType> {
    /// The type under the name it was asked by.
    pub fn named(&self) -> RectifierType {
        self.item.called(&self.name)
    }
}

impl Named for RectifierType {
    fn name(&self) -> &str {
        &self.name
    }
    fn aliases(&mut self) -> &mut Vec<Alias> {
        &mut self.aliases
    }
}

pub(super) fn read(text: &str, aliases: &str) -> Result<Table<RectifierType>, CatalogueError> {
    let mut types = Vec::new();
    let mut lines = Vec::new();
    cells::for_each_row(FILE, text, COLUMNS, |row| {
        types.push(rectifier(row)?);
        lines.push(row.line);
        Ok(())
    })?;
    Table::build((FILE, "type"), types, &lines, alias::read(aliases, TableKind::Rectifier)?)
}

fn rectifier(row: &Row<'_>) -> Result<RectifierType, CatalogueError> {
    const HEATINGS: [(Heating, &str); 3] =
        [(Heating::Direct, "direct"), (Heating::Indirect, "indirect"), (Heating::None, "none")];
    const WAVES: [(Wave, &str); 3] =
        [(Wave::Full, "full"), (Wave::Half, "half"), (Wave::TwoHalf, "two half")];
    const KINDS: [(RectifierKind, &str); 4] = [
        (RectifierKind::Vacuum, "vacuum"),
        (RectifierKind::Mercury, "mercury"),
        (RectifierKind::Silicon, "silicon"),
        (RectifierKind::Selenium, "selenium"),
    ];
    let plain = |column| row.number(column, Sign::Positive);
    let volts = |column| Ok(plain(column)?.map(Voltage::new::<volt>));
    let milliamps = |column| Ok(plain(column)?.map(Current::new::<milliampere>));
    let kind = row.one_of("kind", &KINDS)?;
    let drop = tube_drop(row, kind)?;
    let heating = row.one_of("heating", &HEATINGS)?;
    if kind.is_dry() != (heating == Heating::None) {
        return Err(row.bad("heating", "\"none\" for a dry rectifier and only there"));
    }
    let heater = |column| -> Result<f64, CatalogueError> {
        if kind.is_dry() {
            row.must_be_blank(&[column])?;
            return Ok(0.0);
        }
        row.required_number(column)
    };
    Ok(RectifierType {
        name: row.required_text("type")?,
        aliases: Vec::new(),
        filament_volts: Voltage::new::<volt>(heater("filament_v")?),
        filament_amps: Current::new::<ampere>(heater("filament_a")?),
        heating,
        lamp_tap: volts("lamp_tap_v")?,
        wave: row.one_of("wave", &WAVES)?,
        drop: Some(drop),
        kind,
        max_peak_inverse: volts("max_peak_inverse_v")?,
        max_peak_plate_current: milliamps("max_peak_plate_ma")?,
        max_dc_current: milliamps("max_dc_ma")?,
        max_ac_volts_capacitor_input: volts("max_ac_v_cap_input")?,
        max_ac_volts_choke_input: volts("max_ac_v_choke_input")?,
        min_supply_resistance: plain("min_supply_ohm_per_plate")?.map(Resistance::new::<ohm>),
        min_choke: plain("min_choke_h")?.map(Inductance::new::<henry>),
        max_input_capacitor: plain("max_input_capacitor_uf")?.map(Capacitance::new::<microfarad>),
        max_heater_cathode_volts: volts("max_heater_cathode_v")?,
        citation: row.citation()?,
        note: row.text("note")?.to_owned(),
    })
}

fn tube_drop(row: &Row<'_>, kind: RectifierKind) -> Result<RectifierDrop, CatalogueError> {
    let volts = |column| Ok(row.number(column, Sign::Positive)?.map(Voltage::new::<volt>));
    let at = row.number("drop_at_ma_per_plate", Sign::Positive)?.map(Current::new::<milliampere>);
    // Only the drop of mercury vapour means something without the current it belongs to.
    if at.is_none() && kind != RectifierKind::Mercury {
        return Err(row.bad("drop_at_ma_per_plate", "the current of the drop"));
    }
    let drop = Voltage::new::<volt>(row.required_number("drop_v")?);
    let bounds = volts("drop_low_v")?.zip(volts("drop_high_v")?);
    let basis = row.one_of("drop_basis", &DropBasis::ALL)?;
    if bounds.is_none() {
        row.must_be_blank(&["drop_low_v", "drop_high_v"])?;
    }
    let unsure = basis == DropBasis::Kinship;
    if bounds.map_or(unsure, |(low, high)| low > drop || drop > high) {
        return Err(row.bad(
            "drop_low_v",
            "the least that the drop may be, with the most beside it, where it is not sure",
        ));
    }
    Ok(RectifierDrop { volts: drop, at_current_per_plate: at, bounds, basis })
}

impl std::fmt::Display for Heating {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Heating::Direct => "direct",
            Heating::Indirect => "indirect",
            Heating::None => "none",
        })
    }
}

impl std::fmt::Display for RectifierKind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            RectifierKind::Vacuum => "vacuum",
            RectifierKind::Mercury => "mercury",
            RectifierKind::Silicon => "silicon",
            RectifierKind::Selenium => "selenium",
        })
    }
}
