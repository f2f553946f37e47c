//! Receiving tubes.

use super::alias::{self, Alias};
use super::cells::{self, CatalogueError, Row, Sign, TableKind};
use super::citation::Citation;
use super::class::{CathodeKind, TubeClass};
use super::lookup::{Found, Named, Table};
use super::units::*;

const FILE: &str = "tubes.csv";

const COLUMNS: &[&str] = &[
    "type",
    "heater_v",
    "heater_a",
    "cathode",
    "heater_tap",
    "class",
    "sections",
    "op_plate_v",
    "op_screen_v",
    "op_grid_v",
    "op_plate_ma",
    "op_screen_ma",
    "op_extra_ma",
    "op_gm_umho",
    "op_mu",
    "op_rp_ohm",
    "max_plate_v",
    "max_screen_v",
    "max_plate_w",
    "max_screen_w",
    "max_heater_cathode_v",
    "triode_mu_g1g2",
    "derived_mu12",
    "derived_offset_v",
    "source",
    "confidence",
    "note",
];

/// A receiving tube type with its ratings and published operating points.
#[derive(Debug, Clone, PartialEq)]
pub struct TubeType {
    /// Type number as in the table, for example `6V6GT` or `35/51`.
    pub name: String,
    /// Other names of the same type: the parts of a combined name, and those of `aliases.csv`.
    pub aliases: Vec<Alias>,
    /// Heater or filament volts.
    pub heater_volts: Voltage,
    /// Heater or filament amperes at rated volts.
    pub heater_amps: Current,
    /// Heater or filament cathode.
    pub cathode: CathodeKind,
    /// True for a heater with a tap in the middle, whose halves may be joined in parallel.
    pub heater_tapped: bool,
    /// What stands in the envelope.
    pub class: TubeClass,
    /// Sections in the envelope that each take the currents of a point; 1 where the points are of all of them together.
    pub sections: u8,
    /// Published class A points, one per row of the table; the first is the
    /// reference point. Never empty when read from a table, but every figure of
    /// a point may be unknown.
    pub points: Vec<OperatingPoint>,
    /// Highest plate volts.
    pub max_plate_volts: Option<Voltage>,
    /// Highest screen volts.
    pub max_screen_volts: Option<Voltage>,
    /// Highest plate dissipation (of each half of a twin type).
    pub max_plate_watts: Option<Power>,
    /// Highest screen dissipation.
    pub max_screen_watts: Option<Power>,
    /// Highest volts between heater and cathode.
    pub max_heater_cathode_volts: Option<Voltage>,
    /// Published triode-connected or grid-1-to-grid-2 factor of the reference point.
    pub triode_mu: Option<f64>,
    /// Remark of the first row; empty when there is none.
    pub note: String,
    /// Source of the first row, which the ratings come with.
    pub citation: Citation,
}

/// One published class A point.
#[derive(Debug, Clone, PartialEq)]
pub struct OperatingPoint {
    /// Plate volts against the cathode.
    pub plate: Option<Voltage>,
    /// Screen volts against the cathode.
    pub screen: Option<Voltage>,
    /// Control grid volts against the cathode; zero or negative.
    pub grid: Option<Voltage>,
    /// Plate current.
    pub plate_current: Option<Current>,
    /// Screen current.
    pub screen_current: Option<Current>,
    /// Current from B+ into an electrode that is neither plate nor screen
    /// (oscillator anode, triode part of a converter, indicator target).
    pub extra_current: Option<Current>,
    /// Transconductance from grid to plate; not given for converters.
    pub transconductance: Option<Conductance>,
    /// Amplification factor from grid to plate.
    pub mu: Option<f64>,
    /// Plate resistance.
    pub plate_resistance: Option<Resistance>,
    /// Published triode-connected or grid-1-to-grid-2 factor given with this point.
    pub triode_mu: Option<f64>,
    /// Computed factor Vg2 / (1.5 Ik/gm_k - Vg1), with gm_k = gm Ik/Ip.
    pub derived_mu12: Option<f64>,
    /// Computed offset of a triode, 1.5 Ip/gm - (Vg1 + Vp/mu).
    pub derived_offset: Option<Voltage>,
    /// Source of this point.
    pub citation: Citation,
    /// Remark; empty when there is none.
    pub note: String,
}

impl TubeType {
    /// A type of which only the heater and the class are known.
    pub fn bare(
        name: &str,
        (heater_volts, heater_amps): (Voltage, Current),
        class: TubeClass,
        citation: Citation,
    ) -> TubeType {
        TubeType {
            name: name.to_owned(),
            aliases: Vec::new(),
            heater_volts,
            heater_amps,
            cathode: CathodeKind::Heater,
            heater_tapped: false,
            class,
            sections: class.sections(),
            points: vec![OperatingPoint::blank(citation.clone())],
            max_plate_volts: None,
            max_screen_volts: None,
            max_plate_watts: None,
            max_screen_watts: None,
            max_heater_cathode_volts: None,
            triode_mu: None,
            note: String::new(),
            citation,
        }
    }

    /// Its name, and its others.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.name.as_str()).chain(self.aliases.iter().map(|a| a.name.as_str()))
    }

    /// The same type under another of its names, its name in the table among the others.
    pub fn called(&self, name: &str) -> TubeType {
        let mut kind = self.clone();
        alias::rename(&mut kind.name, &mut kind.aliases, name);
        kind
    }

    /// The reference point, which is the first.
    pub fn reference(&self) -> Option<&OperatingPoint> {
        self.points.first()
    }

    /// Volts and amperes of the heater, each way it may be joined: as rated first.
    pub fn heater_ways(&self) -> impl Iterator<Item = (Voltage, Current)> {
        let (volts, amps) = (self.heater_volts, self.heater_amps);
        let halves = self.heater_tapped.then(|| (volts / 2.0, 2.0 * amps));
        std::iter::once((volts, amps)).chain(halves)
    }
}

impl OperatingPoint {
    /// A point of which nothing is known.
    pub fn blank(citation: Citation) -> OperatingPoint {
        OperatingPoint {
            plate: None,
            screen: None,
            grid: None,
            plate_current: None,
            screen_current: None,
            extra_current: None,
            transconductance: None,
            mu: None,
            plate_resistance: None,
            triode_mu: None,
            derived_mu12: None,
            derived_offset: None,
            citation,
            note: String::new(),
        }
    }
}

impl Found<&TubeType> {
    /// The type under the name it was asked by.
    pub fn named(&self) -> TubeType {
        self.item.called(&self.name)
    }
}

impl Named for TubeType {
    fn name(&self) -> &str {
        &self.name
    }
    fn aliases(&mut self) -> &mut Vec<Alias> {
        &mut self.aliases
    }
}

pub(super) fn read(text: &str, aliases: &str) -> Result<Table<TubeType>, CatalogueError> {
    let mut types: Vec<TubeType> = Vec::new();
    let mut lines: Vec<u64> = Vec::new();
    cells::for_each_row(FILE, text, COLUMNS, |row| {
        let read = tube(row)?;
        // Rows of one type usually stand together, so the search starts at the end.
        match types.iter_mut().rev().find(|t| t.name == read.name) {
            Some(known) => {
                same_ratings(row, known, &read)?;
                known.points.extend(read.points);
            }
            None => {
                types.push(read);
                lines.push(row.line);
            }
        }
        Ok(())
    })?;
    Table::build((FILE, "type"), types, &lines, alias::read(aliases, TableKind::Tube)?)
}

fn tube(row: &Row<'_>) -> Result<TubeType, CatalogueError> {
    const CATHODES: [(CathodeKind, &str); 2] =
        [(CathodeKind::Heater, "heater"), (CathodeKind::Filament, "filament")];
    let volts = |column| Ok(row.number(column, Sign::Positive)?.map(Voltage::new::<volt>));
    let watts = |column| Ok(row.number(column, Sign::Positive)?.map(Power::new::<watt>));
    let class = row.one_of("class", &TubeClass::ALL)?;
    let point = operating_point(row)?;
    Ok(TubeType {
        name: row.required_text("type")?,
        aliases: Vec::new(),
        heater_volts: Voltage::new::<volt>(row.required_number("heater_v")?),
        heater_amps: Current::new::<ampere>(row.required_number("heater_a")?),
        cathode: row.one_of("cathode", &CATHODES)?,
        heater_tapped: row.one_of("heater_tap", &[(false, ""), (true, "centre")])?,
        class,
        sections: sections(row, class)?,
        max_plate_volts: volts("max_plate_v")?,
        max_screen_volts: volts("max_screen_v")?,
        max_plate_watts: watts("max_plate_w")?,
        max_screen_watts: watts("max_screen_w")?,
        max_heater_cathode_volts: volts("max_heater_cathode_v")?,
        triode_mu: point.triode_mu,
        note: point.note.clone(),
        citation: point.citation.clone(),
        points: vec![point],
    })
}

/// A twin's row says whether its currents are those of each half (2) or of both together (1); a blank is no twin.
fn sections(row: &Row<'_>, class: TubeClass) -> Result<u8, CatalogueError> {
    if class == TubeClass::TwinTriode {
        return row.one_of("sections", &[(1, "1"), (2, "2")]);
    }
    row.one_of("sections", &[(1, ""), (2, "2")])
}

fn operating_point(row: &Row<'_>) -> Result<OperatingPoint, CatalogueError> {
    let plain = |column| row.number(column, Sign::Positive);
    let volts = |column, sign| Ok(row.number(column, sign)?.map(Voltage::new::<volt>));
    let milliamps = |column| Ok(plain(column)?.map(Current::new::<milliampere>));
    let grid = row.number("op_grid_v", Sign::Any)?;
    if grid.is_some_and(|v| v > 0.0) {
        return Err(row.bad("op_grid_v", "zero or a negative number, or a blank"));
    }
    Ok(OperatingPoint {
        plate: volts("op_plate_v", Sign::Positive)?,
        screen: volts("op_screen_v", Sign::Positive)?,
        grid: grid.map(Voltage::new::<volt>),
        plate_current: milliamps("op_plate_ma")?,
        screen_current: milliamps("op_screen_ma")?,
        extra_current: milliamps("op_extra_ma")?,
        // The old unit mho is the siemens.
        transconductance: plain("op_gm_umho")?.map(Conductance::new::<microsiemens>),
        mu: plain("op_mu")?,
        plate_resistance: plain("op_rp_ohm")?.map(Resistance::new::<ohm>),
        triode_mu: plain("triode_mu_g1g2")?,
        derived_mu12: plain("derived_mu12")?,
        derived_offset: volts("derived_offset_v", Sign::Any)?,
        citation: row.citation()?,
        note: row.text("note")?.to_owned(),
    })
}

/// A later row of a type repeats heater, class and ratings; a difference is a slip.
/// `triode_mu` may differ: makers print it with the point.
fn same_ratings(row: &Row<'_>, known: &TubeType, new: &TubeType) -> Result<(), CatalogueError> {
    let same = [
        ("heater_v", known.heater_volts == new.heater_volts),
        ("heater_a", known.heater_amps == new.heater_amps),
        ("cathode", known.cathode == new.cathode),
        ("heater_tap", known.heater_tapped == new.heater_tapped),
        ("class", known.class == new.class),
        ("sections", known.sections == new.sections),
        ("max_plate_v", known.max_plate_volts == new.max_plate_volts),
        ("max_screen_v", known.max_screen_volts == new.max_screen_volts),
        ("max_plate_w", known.max_plate_watts == new.max_plate_watts),
        ("max_screen_w", known.max_screen_watts == new.max_screen_watts),
        ("max_heater_cathode_v", known.max_heater_cathode_volts == new.max_heater_cathode_volts),
    ];
    match same.iter().find(|(_, equal)| !equal) {
        Some((column, _)) => Err(row.bad(column, "the same as in the first row of this type")),
        None => Ok(()),
    }
}
