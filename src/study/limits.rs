//! Every limit of a set against what it gets, a row each.

use super::{
    HeaterReading, LeadPartReading, Reading,
    limit::{CLASS_A_C, HEATER_LIMIT, Limit, Limited, Rating, Standing},
    owner::Owner::{self, Capacitor, Coil, Dropper, FilterResistor, Heater, Rectifier, Set, Tube},
};
use crate::receiver::{self, Model, Operation, PartKind, Receiver, SectionKind, StringSection};
use Rating::{Ceiling, DesignCentre};

/// Flux over that of the design line and frequency which a core still bears: old radio iron was run near the knee, and
/// mains swing 10 % (common practice, no source).
pub const FLUX_LIMIT: f64 = 1.10;

/// Value and limit of the owner that has that place; `None` where there is no such limit.
type Get = fn(&Model, &Reading, usize) -> Option<(f64, f64)>;

/// What is limited, whose it is, what the limit means, its unit, its name, and how both are found.
pub struct Row(pub Limited, Owner, Rating, &'static str, &'static str, Get);

/// Makes the table, in the order of reports; neighbours of one owner are told owner by owner.
macro_rules! limits {
    ($m:ident, $r:ident, $i:ident: $($what:ident => $owner:ident, $rating:ident, $unit:literal,
        $name:literal, $value:expr, $most:expr;)*) => {
        #[allow(unused_variables)] // not every limit asks for model and place
        pub static ROWS: &[Row] = &[$(Row(Limited::$what, $owner, $rating, $unit, $name,
            |$m, $r, $i| Some(($value, $most))),)*];
    };
}

limits! { m, r, i:
    HeatersLow => Heater, Ceiling, "V", "{name} heaters, at least",
        heater(r, i)?.volts_v, (1.0 - HEATER_LIMIT) * heater(r, i)?.rated_v;
    Heaters => Heater, Ceiling, "V", "{name} heaters",
        heater(r, i)?.volts_v, (1.0 + HEATER_LIMIT) * heater(r, i)?.rated_v;
    // below, iron wire is cool and lets more through for its volts; above, it burns out
    BarretterLow => Heater, Ceiling, "V", "{name}, lowest it holds at",
        r.heaters.get(i)?.volts_v, holds(m, i)?.0;
    Barretter => Heater, Ceiling, "V", "{name}, highest it bears",
        r.heaters.get(i)?.volts_v, holds(m, i)?.1;
    DropperHeat => Dropper, Ceiling, "W", "{name}, heat",
        r.droppers.get(i)?.power_w, bears_watts(m, r.droppers.get(i)?)?;
    DropperVolts => Dropper, Ceiling, "V", "{name}, AC volts",
        r.droppers.get(i)?.volts_v, bears_volts(m, r.droppers.get(i)?)?;
    Flux => Set, Ceiling, "V/Hz", "core flux, volts per hertz",
        r.transformer.as_ref()?.flux * m.flux(1.0)?.designed, FLUX_LIMIT * m.flux(1.0)?.designed;
    PlateHeat => Tube, DesignCentre, "W", "{name}, plate dissipation",
        r.tubes.get(i)?.plate_w, m.tubes.get(i)?.max_plate_watts?;
    Plate => Tube, DesignCentre, "V", "{name}, plate",
        r.tubes.get(i).map(|t| t.plate_v - t.cathode_v)?, m.tubes.get(i)?.max_plate_volts?;
    ScreenHeat => Tube, DesignCentre, "W", "{name}, screen dissipation",
        r.tubes.get(i)?.screen_w?, m.tubes.get(i)?.max_screen_watts?;
    Screen => Tube, DesignCentre, "V", "{name}, screen",
        r.tubes.get(i)?.screen_v? - r.tubes.get(i)?.cathode_v, m.tubes.get(i)?.max_screen_volts?;
    DcOutput => Rectifier, DesignCentre, "A", "{name} DC output",
        r.rectifiers().nth(i)?.dc_a, rectifier(m, i)?.max_dc?;
    PeakPlate => Rectifier, Ceiling, "A", "{name} peak plate current",
        r.rectifiers().nth(i)?.peak_plate_a, rectifier(m, i)?.max_peak_plate?;
    PeakInverse => Rectifier, Ceiling, "V", "{name} peak inverse",
        r.rectifiers().nth(i)?.peak_inverse_v, rectifier(m, i)?.max_peak_inverse?;
    Capacitor => Capacitor, Ceiling, "V", "{name}, at work",
        r.capacitors.get(i)?.peak_v, r.capacitors.get(i)?.rated_v?;
    Coil => Coil, Ceiling, "°C", "{name} temperature", r.coils.get(i)?.temperature_c, CLASS_A_C;
    FilterHeat => FilterResistor, Ceiling, "W", "{which}, heat",
        r.filter_resistors.get(i)?.power_w, r.filter_resistors.get(i)?.rated_w?;
}

/// The main rectifier, or that of a second supply.
fn rectifier(m: &Model, of: usize) -> Option<&receiver::Rectifier> {
    match of {
        0 => Some(&m.rectifier),
        _ => Some(&m.second.as_ref()?.rectifier),
    }
}

/// Range of the barretter in place `of`.
fn holds(m: &Model, of: usize) -> Option<(f64, f64)> {
    m.windings.get(of)?.filaments.first()?.holds
}

/// The string's dropper that reads so.
fn section<'m>(m: &'m Model, dropper: &LeadPartReading) -> Option<&'m StringSection> {
    m.string.as_ref()?.all_sections().find(|s| s.name == dropper.name)
}

fn bears_watts(m: &Model, dropper: &LeadPartReading) -> Option<f64> {
    match dropper.kind {
        PartKind::MainsResistor => m.mains_resistor?.rated,
        _ => section(m, dropper)?.watts,
    }
}

fn bears_volts(m: &Model, dropper: &LeadPartReading) -> Option<f64> {
    match section(m, dropper)?.kind {
        SectionKind::Capacitor { rated, .. } => rated,
        _ => None,
    }
}

/// A heater that is one: the winding of a rectifier that gave way has no rated volts.
fn heater(r: &Reading, of: usize) -> Option<&HeaterReading> {
    r.heaters.get(of).filter(|h| h.rated_v > 0.0)
}

/// Reads an operating point of `receiver` as a meter would, with all limits.
pub fn read(receiver: &Receiver, operation: &Operation) -> Reading {
    let reading = Reading::of(receiver, operation);
    Reading { limits: limits(receiver.model(), &reading), ..reading }
}

/// The limits of `model` at `reading`; a least value only where it is passed, for its upper neighbour speaks for it.
fn limits(model: &Model, reading: &Reading) -> Vec<Limit> {
    let mut list = all(model, reading);
    list.retain(|limit| !limit.is_least() || limit.standing == Standing::Beyond);
    list
}

/// The limits of `model` at `reading`, least values that are kept among them.
pub fn all(model: &Model, reading: &Reading) -> Vec<Limit> {
    let mut list = Vec::new();
    for rows in ROWS.chunk_by(|a, b| a.1 == b.1) {
        for of in 0..rows[0].1.names(reading).len() {
            list.extend(rows.iter().filter_map(|row: &Row| row.limit(model, reading, of)));
        }
    }
    list
}

/// Share of a limit within which a value is near it.
pub const NEAR: f64 = 0.05;

impl Row {
    fn limit(&self, model: &Model, reading: &Reading, of: usize) -> Option<Limit> {
        let Row(what, owner, rating, unit, name, get) = *self;
        let (value, limit) = get(model, reading, of)?;
        let standing = match what.is_least() {
            true if value >= limit => Standing::Within,
            true => Standing::Beyond,
            false if value > limit => Standing::Beyond,
            false if value > (1.0 - NEAR) * limit => Standing::Near,
            false => Standing::Within,
        };
        let (name, part) = (owner.fill(name, reading, of), owner.part(reading, of));
        Some(Limit { what, of, name, part, value, limit, unit, rating, standing })
    }
}
