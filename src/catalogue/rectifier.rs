//! Rectifiers: tubes, and the dry ones that replaced them.

use super::{
    alias::{self, Alias, Named, TableKind},
    cells::{Row, Tabled, row, rows},
    citation::Citation,
    error::CatalogueError,
    lookup::Table,
    words::words,
};
use crate::quantity::{Capacitance, Current, Inductance, Quantity, Resistance, Voltage};

const FILE: &str = "rectifiers.csv";

words! {
    /// How a rectifier cathode is heated.
    pub enum Heating {
        /// The filament itself emits: B+ comes up within seconds.
        Direct = "direct",
        /// A heater warms a separate cathode: B+ comes up with the other tubes.
        Indirect = "indirect",
        /// Not heated: a dry rectifier, ready at once.
        None = "none",
    }
}

words! {
    /// How many diodes are in the envelope, and how they are joined.
    pub enum Wave {
        /// Two plates, one cathode.
        Full = "full",
        /// One plate, one cathode.
        Half = "half",
        /// Two separate diodes, each with its own cathode.
        TwoHalf = "two half",
    }
}

words! {
    /// What conducts.
    pub enum RectifierKind {
        /// High vacuum: the drop grows with the current to the power 2/3.
        Vacuum = "vacuum",
        /// Mercury vapor: the drop is nearly constant.
        Mercury = "mercury",
        /// Silicon junction: about a volt at any current.
        Silicon = "silicon",
        /// Selenium plates: a threshold and a resistance.
        Selenium = "selenium",
    }
}

impl RectifierKind {
    /// True for a dry rectifier: no heater, and as many separate diodes as the circuit asks for.
    pub fn is_dry(self) -> bool {
        matches!(self, RectifierKind::Silicon | RectifierKind::Selenium)
    }
}

row! {
    /// Volts lost in the tube.
    #[derive(Copy)]
    pub struct RectifierDrop {
        /// Drop from plate to cathode.
        volts: Voltage = "drop_v",
        /// Current through one plate at which it is given; `None` for a mercury
        /// type, whose drop does not depend on the current.
        at_current_per_plate: Option<Current> = "drop_at_ma_per_plate" in MILLI,
        /// Least and most that it may be at that current, where the figure is not sure; `None` where it is.
        bounds: Option<(Voltage, Voltage)>,
        /// Where the figure comes from.
        basis: DropBasis = "drop_basis",
    }
}

words! {
    /// Where a drop comes from.
    pub enum DropBasis {
        /// Printed by the maker.
        Printed = "printed",
        /// Solved from output volts that the maker prints.
        Outputs = "from printed outputs",
        /// Read from the maker's curve.
        Curve = "read from the maker's curve",
        /// What such parts do in practice.
        Practice = "common practice",
        /// Nothing is printed: by types of like cathode and heater watts.
        Kinship = "kinship";
        /// Nothing is known: by heater watts and kind of cathode.
        Watts = "heater watts",
        /// Stated in a profile.
        Stated = "stated in the profile",
    }
}

row! {
    /// A rectifier type with its ratings.
    pub struct RectifierType {
        /// Type number as in the table.
        name: String = "type",
        /// Other names of the same type: the parts of a combined name, and those of `aliases.csv`.
        aliases: Vec<Alias>,
        /// Filament or heater volts; 0 for a dry rectifier.
        filament_volts: Voltage = "filament_v" in OR_BLANK,
        /// Filament or heater amperes at rated volts; 0 for a dry rectifier.
        filament_amps: Current = "filament_a" in OR_BLANK,
        /// Directly, indirectly or not heated.
        heating: Heating = "heating",
        /// Voltage across the tapped part of the heater that a dial lamp is hung on, without the lamp; `None` without a tap.
        lamp_tap: Option<Voltage> = "lamp_tap_v",
        /// Full wave, half wave or two separate diodes.
        wave: Wave = "wave",
        /// Its drop; `None` only of a type that a profile defines without one.
        drop: Option<RectifierDrop>,
        /// Vacuum, mercury vapor, silicon or selenium.
        kind: RectifierKind = "kind",
        /// Highest peak inverse volts.
        max_peak_inverse: Option<Voltage> = "max_peak_inverse_v",
        /// Highest peak current of one plate.
        max_peak_plate_current: Option<Current> = "max_peak_plate_ma" in MILLI,
        /// Highest DC output current at any voltage (pairs with volts are in `note`).
        max_dc_current: Option<Current> = "max_dc_ma" in MILLI,
        /// Highest AC volts rms per plate at any current, capacitor input.
        max_ac_volts_capacitor_input: Option<Voltage> = "max_ac_v_cap_input",
        /// Highest AC volts rms per plate at any current, choke input.
        max_ac_volts_choke_input: Option<Voltage> = "max_ac_v_choke_input",
        /// Least effective supply resistance per plate, at the highest voltage.
        min_supply_resistance: Option<Resistance> = "min_supply_ohm_per_plate",
        /// Least inductance of an input choke.
        min_choke: Option<Inductance> = "min_choke_h",
        /// Largest input capacitor.
        max_input_capacitor: Option<Capacitance> = "max_input_capacitor_uf" in MICRO,
        /// Highest volts between heater and cathode.
        max_heater_cathode_volts: Option<Voltage> = "max_heater_cathode_v",
        /// Source of the row.
        citation: Citation = row,
        /// Remark; empty when there is none.
        note: String = "note" in OR_BLANK,
    }
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
        let name = name.to_owned();
        RectifierType {
            name,
            filament_volts,
            filament_amps,
            heating,
            wave,
            citation,
            ..RectifierType::default()
        }
    }
}

impl Named for RectifierType {
    fn labels(&self) -> (&str, &[Alias]) {
        (&self.name, &self.aliases)
    }
    fn labels_mut(&mut self) -> (&mut String, &mut Vec<Alias>) {
        (&mut self.name, &mut self.aliases)
    }
}

pub(super) fn read(text: &str, aliases: &str) -> Result<Table<RectifierType>, CatalogueError> {
    let lists =
        [RectifierType::columns(), RectifierDrop::columns(), vec!["drop_low_v", "drop_high_v"]];
    let types = rows(FILE, text, &lists.concat(), |row| Ok((row.line, rectifier(row)?)))?;
    Table::build((FILE, "type"), types, alias::read(aliases, TableKind::Rectifier)?)
}

fn rectifier(row: &Row<'_>) -> Result<RectifierType, CatalogueError> {
    let kind = RectifierType::read(row)?;
    let dry = kind.kind.is_dry();
    if dry != (kind.heating == Heating::None) {
        return Err(row.bad("heating", "\"none\" for a dry rectifier and only there"));
    }
    for (column, figure) in
        [("filament_v", kind.filament_volts.si()), ("filament_a", kind.filament_amps.si())]
    {
        if dry != (figure == 0.0) {
            let heated = "a number above zero; this figure is needed";
            return Err(row.bad(column, if dry { BLANK } else { heated }));
        }
    }
    Ok(RectifierType { drop: Some(tube_drop(row, kind.kind)?), ..kind })
}

/// What stands in a cell that means nothing in its row.
const BLANK: &str = "a blank in this kind of row";

fn tube_drop(row: &Row<'_>, kind: RectifierKind) -> Result<RectifierDrop, CatalogueError> {
    let mut drop = RectifierDrop::read(row)?;
    // Only the drop of mercury vapor means something without the current it belongs to.
    if drop.at_current_per_plate.is_none() && kind != RectifierKind::Mercury {
        return Err(row.bad("drop_at_ma_per_plate", "the current of the drop"));
    }
    drop.bounds = match (row.get("drop_low_v")?, row.get("drop_high_v")?) {
        (Some(low), Some(high)) => Some((low, high)),
        (None, None) => None,
        (low, _) => {
            let alone = if low.is_some() { "drop_low_v" } else { "drop_high_v" };
            return Err(row.bad(alone, BLANK));
        }
    };
    let unsure = drop.basis == DropBasis::Kinship;
    if drop.bounds.map_or(unsure, |(low, high)| low > drop.volts || drop.volts > high) {
        return Err(row.bad(
            "drop_low_v",
            "the least that the drop may be, with the most beside it, where it is not sure",
        ));
    }
    Ok(drop)
}
