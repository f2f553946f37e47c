//! Every limit of a set against what it gets, a row each.

use super::reading::Owner::{
    self, Capacitor, Coil, Dropper, FilterResistor, Heater, Rectifier, Set, Tube,
};
use super::reading::{CLASS_A_C, HEATER_LIMIT, Limit, Rating, Reading, Standing};
use crate::receiver::{Model, PartKind, SectionKind, StringSection};
use Rating::{Ceiling, DesignCentre};

/// Flux over that of the design line and frequency which a core still bears: old radio iron was run near the knee, and
/// mains swing 10 % (common practice, no source).
pub(super) const FLUX_LIMIT: f64 = 1.10;

/// Every kind of limit, in the order of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Limited {
    HeatersLow,
    Heaters,
    BarretterLow,
    Barretter,
    DropperHeat,
    DropperVolts,
    Flux,
    PlateHeat,
    Plate,
    ScreenHeat,
    Screen,
    DcOutput,
    PeakPlate,
    PeakInverse,
    Capacitor,
    Coil,
    FilterHeat,
}

impl Limited {
    /// True for a limit that is kept from above: a least value.
    pub(crate) fn is_least(self) -> bool {
        matches!(self, Limited::HeatersLow | Limited::BarretterLow)
    }

    /// True for either limit of a winding's volts, and for the iron's flux.
    pub(crate) fn is_of_heaters_or_iron(self) -> bool {
        self.is_of_heaters() || self == Limited::Flux
    }

    /// True for either limit of a winding's volts.
    pub(crate) fn is_of_heaters(self) -> bool {
        matches!(self, Limited::HeatersLow | Limited::Heaters)
    }
}

/// Value and limit of the owner that has that place; `None` where there is no such limit.
type Get = fn(&Model, &Reading, usize) -> Option<(f64, f64)>;

/// What is limited, whose it is, what the limit means, its unit, its name, and how both are found.
pub(super) struct Row(pub Limited, Owner, Rating, &'static str, &'static str, Get);

/// In the order of tables; neighbours of one owner are told owner by owner.
pub(super) static ROWS: [Row; 17] = [
    Row(Limited::HeatersLow, Heater, Ceiling, "V", "{name} heaters, at least", |_, r, i| {
        heater(r, i, 1.0 - HEATER_LIMIT)
    }),
    Row(Limited::Heaters, Heater, Ceiling, "V", "{name} heaters", |_, r, i| {
        heater(r, i, 1.0 + HEATER_LIMIT)
    }),
    // below, iron wire is cool and lets more through for its volts; above, it burns out
    Row(Limited::BarretterLow, Heater, Ceiling, "V", "{name}, lowest it holds at", |m, r, i| {
        Some((r.heaters.get(i)?.volts_v, holds(m, i)?.0))
    }),
    Row(Limited::Barretter, Heater, Ceiling, "V", "{name}, highest it bears", |m, r, i| {
        Some((r.heaters.get(i)?.volts_v, holds(m, i)?.1))
    }),
    Row(Limited::DropperHeat, Dropper, Ceiling, "W", "{name}, heat", |m, r, i| {
        let dropper = r.droppers.get(i)?;
        let rated = match dropper.kind {
            PartKind::MainsResistor => m.mains_resistor?.rated?,
            _ => section(m, &dropper.name)?.watts?,
        };
        Some((dropper.power_w, rated))
    }),
    Row(Limited::DropperVolts, Dropper, Ceiling, "V", "{name}, AC volts", |m, r, i| {
        let dropper = r.droppers.get(i)?;
        match section(m, &dropper.name)?.kind {
            SectionKind::Capacitor { rated, .. } => Some((dropper.volts_v, rated?)),
            _ => None,
        }
    }),
    Row(Limited::Flux, Set, Ceiling, "V/Hz", "core flux, volts per hertz", |m, r, _| {
        let (flux, designed) = (r.transformer.as_ref()?.flux, m.flux(1.0)?.designed);
        Some((flux * designed, FLUX_LIMIT * designed))
    }),
    Row(Limited::PlateHeat, Tube, DesignCentre, "W", "{name}, plate dissipation", |m, r, i| {
        Some((r.tubes.get(i)?.plate_w, m.tubes.get(i)?.max_plate_watts?))
    }),
    Row(Limited::Plate, Tube, DesignCentre, "V", "{name}, plate", |m, r, i| {
        let t = r.tubes.get(i)?;
        Some((t.plate_v - t.cathode_v, m.tubes.get(i)?.max_plate_volts?))
    }),
    Row(Limited::ScreenHeat, Tube, DesignCentre, "W", "{name}, screen dissipation", |m, r, i| {
        Some((r.tubes.get(i)?.screen_w?, m.tubes.get(i)?.max_screen_watts?))
    }),
    Row(Limited::Screen, Tube, DesignCentre, "V", "{name}, screen", |m, r, i| {
        let t = r.tubes.get(i)?;
        Some((t.screen_v? - t.cathode_v, m.tubes.get(i)?.max_screen_volts?))
    }),
    Row(Limited::DcOutput, Rectifier, DesignCentre, "A", "{name} DC output", |m, r, i| {
        Some((r.rectifiers().nth(i)?.dc_a, rectifier(m, i)?.max_dc?))
    }),
    Row(Limited::PeakPlate, Rectifier, Ceiling, "A", "{name} peak plate current", |m, r, i| {
        Some((r.rectifiers().nth(i)?.peak_plate_a, rectifier(m, i)?.max_peak_plate?))
    }),
    Row(Limited::PeakInverse, Rectifier, Ceiling, "V", "{name} peak inverse", |m, r, i| {
        Some((r.rectifiers().nth(i)?.peak_inverse_v, rectifier(m, i)?.max_peak_inverse?))
    }),
    Row(Limited::Capacitor, Capacitor, Ceiling, "V", "{name}, at work", |_, r, i| {
        r.capacitors.get(i).and_then(|c| Some((c.peak_v, c.rated_v?)))
    }),
    Row(Limited::Coil, Coil, Ceiling, "°C", "{name} temperature", |_, r, i| {
        Some((r.coils.get(i)?.temperature_c, CLASS_A_C))
    }),
    Row(Limited::FilterHeat, FilterResistor, Ceiling, "W", "{which}, heat", |_, r, i| {
        let resistor = r.filter_resistors.get(i)?;
        Some((resistor.power_w, resistor.rated_w?))
    }),
];

/// The main rectifier, or that of a second supply.
fn rectifier(m: &Model, of: usize) -> Option<&crate::receiver::Rectifier> {
    match of {
        0 => Some(&m.rectifier),
        _ => Some(&m.second.as_ref()?.rectifier),
    }
}

/// Range of the barretter in place `of`.
fn holds(m: &Model, of: usize) -> Option<(f64, f64)> {
    m.windings.get(of)?.filaments.first()?.holds
}

/// The string's dropper of that name.
fn section<'m>(m: &'m Model, name: &str) -> Option<&'m StringSection> {
    m.string.as_ref()?.all_sections().find(|s| s.name == name)
}

fn heater(r: &Reading, of: usize, share: f64) -> Option<(f64, f64)> {
    let heater = r.heaters.get(of).filter(|h| h.rated_v > 0.0)?;
    Some((heater.volts_v, share * heater.rated_v))
}

/// The limits of `model` at `reading`; a least value only where it is passed, for its upper neighbour speaks for it.
pub(super) fn limits(model: &Model, reading: &Reading) -> Vec<Limit> {
    let mut list = Vec::new();
    for rows in ROWS.chunk_by(|a, b| a.1 == b.1) {
        for of in 0..rows[0].1.names(reading).len() {
            let limit = |row: &Row| row.limit(model, reading, of);
            list.extend(rows.iter().filter_map(limit));
        }
    }
    list
}

impl Row {
    fn limit(&self, model: &Model, reading: &Reading, of: usize) -> Option<Limit> {
        let Row(what, owner, rating, unit, name, get) = *self;
        let (value, limit) = get(model, reading, of)?;
        let standing = match what.is_least() {
            true if value >= limit => return None,
            true => Standing::Beyond,
            false if value > limit => Standing::Beyond,
            false if value > 0.95 * limit => Standing::Near,
            false => Standing::Within,
        };
        let name = owner.fill(name, reading, of);
        Some(Limit { what, of, name, value, limit, unit, rating, standing })
    }
}
