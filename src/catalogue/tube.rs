//! Receiving tubes.

use super::{
    alias::{self, Alias, Named, TableKind},
    cells::{Row, Tabled, row, rows},
    citation::Citation,
    class::{CathodeKind, TubeClass},
    error::CatalogueError,
    lookup::Table,
};
use crate::quantity::{
    Current, Power, Quantity, Resistance, Transconductance as Conductance, Voltage,
};

const FILE: &str = "tubes.csv";

row! {
    /// A receiving tube type with its ratings and published operating points.
    pub struct TubeType {
        /// Type number as in the table, for example `6V6GT` or `35/51`.
        name: String = "type",
        /// Other names of the same type: the parts of a combined name, and those of `aliases.csv`.
        aliases: Vec<Alias>,
        /// Heater or filament volts.
        heater_volts: Voltage = "heater_v",
        /// Heater or filament amperes at rated volts.
        heater_amps: Current = "heater_a",
        /// Heater or filament cathode.
        cathode: CathodeKind = "cathode",
        /// True for a heater with a tap in the middle, whose halves may be joined in parallel.
        heater_tapped: bool = "heater_tap" one of [(false, ""), (true, "centre")],
        /// What stands in the envelope.
        class: TubeClass = "class",
        /// Sections in the envelope that each take the currents of a point; 1 where the points are of all of them together.
        sections: u8 = "sections" one of [(0, ""), (1, "1"), (2, "2")],
        /// Published class A points, one per row of the table; the first is the
        /// reference point. Never empty when read from a table, but every figure of
        /// a point may be unknown.
        points: Vec<OperatingPoint>,
        /// Highest plate volts.
        max_plate_volts: Option<Voltage> = "max_plate_v",
        /// Highest screen volts.
        max_screen_volts: Option<Voltage> = "max_screen_v",
        /// Highest plate dissipation (of each half of a twin type).
        max_plate_watts: Option<Power> = "max_plate_w",
        /// Highest screen dissipation.
        max_screen_watts: Option<Power> = "max_screen_w",
        /// Highest volts between heater and cathode.
        max_heater_cathode_volts: Option<Voltage> = "max_heater_cathode_v",
        /// Published triode-connected or grid-1-to-grid-2 factor of the reference point.
        triode_mu: Option<f64>,
        /// Remark of the first row; empty when there is none.
        note: String,
        /// Source of the first row, which the ratings come with.
        citation: Citation,
    }
}

row! {
    /// One published class A point.
    pub struct OperatingPoint {
        /// Plate volts against the cathode.
        plate: Option<Voltage> = "op_plate_v",
        /// Screen volts against the cathode.
        screen: Option<Voltage> = "op_screen_v",
        /// Control grid volts against the cathode; zero or negative.
        grid: Option<Voltage> = "op_grid_v" in SIGNED,
        /// Plate current.
        plate_current: Option<Current> = "op_plate_ma" in MILLI,
        /// Screen current.
        screen_current: Option<Current> = "op_screen_ma" in MILLI,
        /// Current from B+ into an electrode that is neither plate nor screen
        /// (oscillator anode, triode part of a converter, indicator target).
        extra_current: Option<Current> = "op_extra_ma" in MILLI,
        /// Transconductance from grid to plate; not given for converters.
        // The old unit mho is the siemens.
        transconductance: Option<Conductance> = "op_gm_umho" in MICRO,
        /// Amplification factor from grid to plate.
        mu: Option<f64> = "op_mu",
        /// Plate resistance.
        plate_resistance: Option<Resistance> = "op_rp_ohm",
        /// Published triode-connected or grid-1-to-grid-2 factor given with this point.
        triode_mu: Option<f64> = "triode_mu_g1g2",
        /// Computed factor Vg2 / (1.5 Ik/gm_k - Vg1), with gm_k = gm Ik/Ip.
        derived_mu12: Option<f64> = "derived_mu12",
        /// Computed offset of a triode, 1.5 Ip/gm - (Vg1 + Vp/mu).
        derived_offset: Option<Voltage> = "derived_offset_v" in SIGNED,
        /// Source of this point.
        citation: Citation = row,
        /// Remark; empty when there is none.
        note: String = "note" in OR_BLANK,
    }
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
            heater_volts,
            heater_amps,
            class,
            sections: class.sections(),
            points: vec![OperatingPoint::blank(citation.clone())],
            citation,
            ..TubeType::default()
        }
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
        OperatingPoint { citation, ..OperatingPoint::default() }
    }
}

impl Named for TubeType {
    fn labels(&self) -> (&str, &[Alias]) {
        (&self.name, &self.aliases)
    }
    fn labels_mut(&mut self) -> (&mut String, &mut Vec<Alias>) {
        (&mut self.name, &mut self.aliases)
    }
}

pub(super) fn read(text: &str, aliases: &str) -> Result<Table<TubeType>, CatalogueError> {
    let mut types: Vec<(u64, TubeType)> = Vec::new();
    let columns = [TubeType::columns(), OperatingPoint::columns()].concat();
    rows(FILE, text, &columns, |row| {
        let read = tube(row)?;
        // Rows of one type usually stand together, so the search starts at the end.
        match types.iter_mut().rev().find(|(_, t)| t.name == read.name) {
            // A later row repeats heater, class and ratings; a difference is a slip.
            Some((_, known)) => match known.differs(&read) {
                Some(column) => {
                    return Err(row.bad(column, "the same as in the first row of this type"));
                }
                None => known.points.extend(read.points),
            },
            None => types.push((row.line, read)),
        }
        Ok(())
    })?;
    Table::build((FILE, "type"), types, alias::read(aliases, TableKind::Tube)?)
}

fn tube(row: &Row<'_>) -> Result<TubeType, CatalogueError> {
    let (mut tube, point) = (TubeType::read(row)?, OperatingPoint::read(row)?);
    // A twin's row says whether its currents are those of each half (2) or of both together (1); a blank is no twin.
    let twin = tube.class == TubeClass::TwinTriode;
    tube.sections = match tube.sections {
        0 if twin => return Err(row.bad("sections", "one of 1, 2")),
        1 if !twin => return Err(row.bad("sections", "one of , 2")),
        told => told.max(1),
    };
    if point.grid.is_some_and(|grid| grid.si() > 0.0) {
        return Err(row.bad("op_grid_v", "zero or a negative number, or a blank"));
    }
    // makers print the factor with the point
    Ok(TubeType {
        triode_mu: point.triode_mu,
        note: point.note.clone(),
        citation: point.citation.clone(),
        points: vec![point],
        ..tube
    })
}
