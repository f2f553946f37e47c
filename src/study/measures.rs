//! Every quantity of a reading, a row each: its key, its names, and where it is shown, watched and measured.

use super::{
    Reading,
    owner::Owner::{self, Capacitor, Coil, FilterResistor, Heater, Part, Set, Tap, Tube},
};
use Meter::{Ac, Dc, None as No};
use serde::Serialize;

/// What a meter must be set to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Meter {
    /// Alternating, RMS.
    Ac,
    /// Direct, average.
    Dc,
    /// Not for a meter.
    None,
}

impl What {
    /// The quantity of the owner at that place; 0 for what there is once.
    pub(crate) const fn of(self, of: usize) -> Measure {
        Measure { what: self, of }
    }
}

/// What a quantity is, and who asks for it.
struct Row {
    what: What,
    owner: Owner,
    key: &'static str,
    name: &'static str,
    unit: &'static str,
    meter: Meter,
    get: fn(&Reading, usize) -> Option<f64>,
    /// What an average-responding meter shows, where that is another figure.
    averaged: Option<fn(&Reading, usize) -> Option<f64>>,
    /// Of so many owners a sweep shows it unasked.
    shown: usize,
    /// Name among the tolerances; `None` where it is not watched.
    watched: Option<&'static str>,
    /// Name of the part that it is read at, where that is not the owner.
    part: Option<fn(&Reading) -> Option<String>>,
    /// Where it is worth a line among the checkpoints; `None` for what no meter is put to inside a set.
    point: Option<fn(&Reading, usize) -> bool>,
}

impl Row {
    const fn shown(self, shown: usize) -> Row {
        Row { shown, ..self }
    }

    const fn watched(self, name: &'static str) -> Row {
        Row { watched: Some(name), ..self }
    }

    const fn averaged(self, get: fn(&Reading, usize) -> Option<f64>) -> Row {
        Row { averaged: Some(get), ..self }
    }

    const fn part(self, part: fn(&Reading) -> Option<String>) -> Row {
        Row { part: Some(part), ..self }
    }

    const fn point(self, worth: fn(&Reading, usize) -> bool) -> Row {
        Row { point: Some(worth), ..self }
    }
}

const ALL: usize = usize::MAX;

/// Heat that is none, W: a variac is taken as free of loss.
const LEAST_HEAT: f64 = 0.01;

/// Makes the enumeration and the table of what is known of each, in the order of reports; neighbours of one owner are told
/// owner by owner.
macro_rules! measures {
    ($r:ident, $i:ident: $($what:ident => $owner:ident, $key:literal, $name:literal, $unit:literal,
        $meter:expr, $value:expr $(, $more:ident($with:expr))*;)*) => {
        /// Every quantity, in the order of the table.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum What {
            $($what,)*
        }

        #[allow(unused_variables)] // of what there is once no place is asked
        static ROWS: &[Row] =
            &[$(Row { what: What::$what, owner: $owner, key: $key, name: $name, unit: $unit,
                meter: $meter, get: |$r, $i| Some($value), averaged: None, shown: 0, watched: None, part: None, point: None }
                $(.$more($with))*,)*];
    };
}

measures! { r, i:
    Set => Set, "set", "at the set's {lead}", "V", Ac, r.set_v, shown(ALL), point(always);
    MainsResistor => Set, "mains_resistor", "across the mains resistor", "V", Ac,
        r.mains_resistor()?.volts_v, part(|r| r.mains_resistor()?.part.clone()), point(always);
    Heater => Heater, "heater.{name}", "{heater} {name}", "V", Ac, r.heaters.get(i)?.volts_v,
        averaged(|r, i| Some(r.heaters.get(i)?.averaged_v)),
        shown(ALL), watched("heaters, {name}"), point(always);
    BPlus => Set, "B+", "B+", "V", Dc, r.b_plus_v, shown(ALL), watched("B+"), point(always);
    Reservoir => Set, "reservoir", "{reservoir}", "V", Dc, r.reservoir_v,
        part(|r| Capacitor.part(r, 0).filter(|_| !r.rectifier.doubles)), point(|r, _| stands_apart(r));
    SecondBPlus => Set, "B2+", "B2+", "V", Dc, r.second.as_ref()?.b_plus_v,
        shown(ALL), watched("B2+"), point(|r, _| r.second.is_some());
    SecondReservoir => Set, "reservoir2", "first capacitor of the second supply, + side", "V", Dc,
        r.second.as_ref()?.reservoir_v, part(|r| Some(r.second.as_ref()?.reservoir_part.clone())),
        point(|r, _| r.second.as_ref().is_some_and(|s| (s.reservoir_v - s.b_plus_v).abs() > 0.5));
    // with the coil in the negative lead the first capacitor's + side is B+, and the last one stands across B+
    Capacitor => Capacitor, "capacitor{n}", "across {name}", "V", Dc, r.capacitors.get(i)?.volts_v,
        point(|r, i| i == 0 && !stands_apart(r));
    Ripple => Set, "ripple", "ripple on B+", "V", Ac, r.b_plus_ripple_v;
    SecondRipple => Set, "ripple2", "ripple on B2+", "V", Ac, r.second.as_ref()?.ripple_v;
    CoilDrop => Coil, "coil{n}.drop", "across the {which}", "V", Dc, r.coils.get(i)?.drop_v,
        shown(1), point(always);
    CoilTemperature => Coil, "coil{n}.temperature", "{which}, temperature", "°C", No,
        r.coils.get(i)?.temperature_c;
    ResistorDrop => FilterResistor, "resistor{n}.drop", "across the {which}", "V", Dc,
        r.filter_resistors.get(i)?.drop_v, shown(1), point(always);
    ResistorHeat => FilterResistor, "resistor{n}.heat", "{which}, heat", "W", No,
        r.filter_resistors.get(i)?.power_w;
    Tap => Tap, "{name}", "tap {name}", "V", Dc, r.taps.get(i)?.volts_v, point(always);
    TransformerLoss => Set, "transformer_loss", "lost in the power transformer", "W", No,
        r.transformer.as_ref()?.loss_w;
    TransformerTemperature => Set, "transformer_temperature", "power transformer, temperature †", "°C",
        No, r.transformer.as_ref()?.temperature_c;
    PrimaryCurrent => Set, "primary_current", "primary current, true RMS", "A", Ac, r.primary_a,
        averaged(|r, _| Some(r.primary_averaged_a)),
        shown(ALL), watched("primary current"), point(always);
    // what the iron takes of that, which no meter can tell from the rest
    Magnetizing => Set, "magnetizing_current", "magnetizing current, true RMS", "A", No,
        r.transformer.as_ref()?.magnetizing_a;
    // a small transformer in the line cord takes or gives a part of the set's
    LineCurrent => Set, "line_current", "current from the outlet, true RMS", "A", Ac, r.line_a,
        point(|r, _| (r.line_a - r.primary_a).abs() > 0.01 * r.primary_a);
    LinePower => Set, "line_power", "watts from the outlet", "W", Ac, r.line_w,
        shown(ALL), point(always);
    // no reading, but what one wants to know beside them
    LeadPower => Part, "lead_power", "lost in the part", "W", No, r.lead_w,
        shown(ALL), watched("heat of the part"), point(|r, _| r.lead_w > LEAST_HEAT);
    CrestFactor => Set, "crest_factor", "crest factor of the primary current", "", No,
        r.crest_factor;
    DcCurrent => Set, "dc_current", "rectifier output", "A", Dc, r.rectifier.dc_a;
    SecondDcCurrent => Set, "dc_current2", "second supply's output", "A", Dc,
        r.second.as_ref()?.rectifier.dc_a;
    // bias is better read at its source, and currents need a broken lead
    Bias => Tube, "V{n}.bias", "V{n} {name}, bias", "V", Dc, r.tubes.get(i)?.bias_v,
        watched("{name}, bias");
    Plate => Tube, "V{n}.plate", "V{n} {name}, plate", "V", Dc, r.tubes.get(i)?.plate_v,
        point(|r, i| tells(r, What::Plate.of(i)));
    Screen => Tube, "V{n}.screen", "V{n} {name}, screen", "V", Dc, r.tubes.get(i)?.screen_v?,
        point(|r, i| tells(r, What::Screen.of(i)));
    Cathode => Tube, "V{n}.cathode", "V{n} {name}, cathode", "V", Dc, r.tubes.get(i)?.cathode_v,
        point(|r, i| r.tubes.get(i).is_some_and(|t| t.cathode_v.abs() > 0.1));
    PlateCurrent => Tube, "V{n}.plate_current", "V{n} {name}, plate current", "A", Dc,
        r.tubes.get(i)?.plate_a;
    PlatePower => Tube, "V{n}.plate_power", "V{n} {name}, plate dissipation", "W", No,
        r.tubes.get(i)?.plate_w, watched("{name}, plate");
}

fn always(_: &Reading, _: usize) -> bool {
    true
}

/// Whether the first capacitor's + side is another point than B+.
fn stands_apart(r: &Reading) -> bool {
    (r.reservoir_v - r.b_plus_v).abs() > 0.5
}

/// Whether an electrode hangs neither straight on B+ nor on a tap, and so tells something of its own.
fn tells(r: &Reading, electrode: Measure) -> bool {
    electrode.get(r).is_some_and(|v| {
        (v - r.b_plus_v).abs() >= 0.5 && r.taps.iter().all(|t| (t.volts_v - v).abs() >= 0.01)
    })
}

/// A quantity of a set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Measure {
    pub(crate) what: What,
    /// Of which winding, capacitor, coil, tap or tube, from 0; 0 for what there is once.
    pub(crate) of: usize,
}

impl Measure {
    /// Every quantity that `r` has, in the order of tables. Tubes are numbered V1, V2, … as the profile lists those that
    /// draw B+ current.
    pub fn all(r: &Reading) -> Vec<Measure> {
        let mut list = Vec::new();
        for rows in ROWS.chunk_by(|a, b| a.owner == b.owner) {
            for of in 0..rows[0].owner.names(r).len() {
                list.extend(rows.iter().map(|row| row.what.of(of)));
            }
        }
        list.retain(|m| m.get(r).is_some());
        list
    }

    /// The quantity of `r` with that key.
    pub fn find(r: &Reading, key: &str) -> Option<Measure> {
        Measure::all(r).into_iter().find(|m| m.key(r) == key)
    }

    fn row(self) -> &'static Row {
        &ROWS[self.what as usize]
    }

    fn fill(self, pattern: &str, r: &Reading) -> String {
        self.row().owner.fill(pattern, r, self.of)
    }

    /// Key, such as `heater.main`.
    pub fn key(self, r: &Reading) -> String {
        self.fill(self.row().key, r)
    }

    /// Name in words.
    pub fn name(self, r: &Reading) -> String {
        let tap = r.heaters.get(self.of).filter(|h| self.what == What::Heater && h.is_tap);
        tap.map_or_else(|| self.fill(self.row().name, r), |h| format!("heater {}", h.said))
    }

    /// The name in drawings and tables of the part that it is read at, such as C1.
    pub(super) fn part(self, r: &Reading) -> Option<String> {
        let Row { owner, part, .. } = self.row();
        part.map_or_else(|| owner.part(r, self.of), |part| part(r))
    }

    /// Value, SI; `None` where `r` has no such quantity.
    pub fn get(self, r: &Reading) -> Option<f64> {
        (self.row().get)(r, self.of)
    }

    /// Value, SI; not a number where `r` has no such quantity.
    pub(super) fn value(self, r: &Reading) -> f64 {
        self.get(r).unwrap_or(f64::NAN)
    }

    /// As [`Measure::value`], read in AC by an average-responding meter.
    pub(super) fn averaged(self, r: &Reading) -> f64 {
        let Row { get, averaged, .. } = self.row();
        averaged.unwrap_or(*get)(r, self.of).unwrap_or(f64::NAN)
    }

    /// What the heaters are rated for that it is read at, V RMS.
    pub(super) fn rated_v(self, r: &Reading) -> Option<f64> {
        let heater = r.heaters.get(self.of).filter(|_| self.what == What::Heater)?;
        Some(heater.rated_v).filter(|v| *v > 0.0)
    }

    /// Unit.
    pub fn unit(self) -> &'static str {
        self.row().unit
    }

    /// How it is measured.
    pub fn meter(self) -> Meter {
        self.row().meter
    }

    /// Whether it is told where a part stands in the lead, or none.
    fn is_told(self, fitted: bool) -> bool {
        fitted || self.row().owner != Part
    }

    /// Whether a sweep shows it unasked.
    pub(super) fn is_usual(self, fitted: bool) -> bool {
        self.is_told(fitted) && self.of < self.row().shown
    }

    /// Its name among the tolerances; `None` where it is not watched.
    pub(super) fn watched(self, r: &Reading, fitted: bool) -> Option<String> {
        let Row { owner, watched, .. } = self.row();
        let name = watched.filter(|_| self.is_told(fitted) && owner.is_watched(r, self.of))?;
        Some(self.fill(name, r))
    }

    /// Whether it is worth a line among the checkpoints of `r`.
    pub(super) fn is_checkpoint(self, r: &Reading, fitted: bool) -> bool {
        self.is_told(fitted) && self.row().point.is_some_and(|worth| worth(r, self.of))
    }

    /// Whether a profile may state a reading of it: a meter reaches it, and it is not the line itself.
    pub(super) fn is_readable(self) -> bool {
        let row = self.row();
        row.point.is_some() && row.meter != No && row.what != What::Set
    }
}

#[cfg(test)]
mod tests;
