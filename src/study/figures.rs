//! What a meter could read in a set: plain numbers in SI units, unit in the name.

use super::{
    FilterResistorReading, HeaterReading, JsonSchema, RectifierReading, SecondReading, Serialize,
    TransformerReading,
    limit::{Limit, Standing},
};
use crate::receiver::PartKind;

/// Everything a meter could read in the set on one line voltage.
#[derive(Debug, Clone, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Reading {
    /// Outlet, V RMS.
    pub outlet_v: f64,
    /// At the set's primary leads, V RMS.
    pub set_v: f64,
    /// Turns of its primary in circuit over those of the tap that the profile describes.
    #[serde(skip)]
    pub primary_turns: f64,
    /// Heater windings.
    pub heaters: Vec<HeaterReading>,
    /// B+ against chassis, V DC.
    pub b_plus_v: f64,
    /// Positive side of the first filter capacitor against chassis, V DC.
    pub reservoir_v: f64,
    /// Ripple on B+, V RMS.
    pub b_plus_ripple_v: f64,
    /// Coils of the filter.
    pub coils: Vec<CoilReading>,
    /// Resistors of the filter.
    pub filter_resistors: Vec<FilterResistorReading>,
    /// Divider taps against chassis, V DC.
    pub taps: Vec<TapReading>,
    /// Tubes that draw B+ current.
    pub tubes: Vec<TubeReading>,
    /// Rectifier.
    pub rectifier: RectifierReading,
    /// Second supply; none in most sets.
    pub second: Option<SecondReading>,
    /// Filter capacitors.
    pub capacitors: Vec<CapacitorReading>,
    /// Power transformer; none in a set without one.
    pub transformer: Option<TransformerReading>,
    /// Current in the set's primary, A true RMS.
    pub primary_a: f64,
    /// What an average-responding meter shows of that current.
    #[serde(skip)]
    pub(super) primary_averaged_a: f64,
    /// Peak over RMS of that current.
    pub crest_factor: f64,
    /// Current taken from the outlet, A true RMS.
    pub line_a: f64,
    /// Watts taken from the outlet.
    pub line_w: f64,
    /// Watts over volt-amperes at the outlet.
    pub power_factor: f64,
    /// Parts in the mains lead.
    pub lead_parts: Vec<LeadPartReading>,
    /// What drops the line inside the set: the droppers of a heater string, the resistors in the rectifier's plate leads.
    pub droppers: Vec<LeadPartReading>,
    /// Watts lost in the parts in the mains lead.
    pub lead_w: f64,
    /// The same part by part: each resistor fitted inside the set, else all that stands in the lead.
    #[serde(skip)]
    pub fitted_w: Vec<f64>,
    /// Every limit of the set against what it gets here.
    pub limits: Vec<Limit>,
}

/// A field coil or choke.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct CoilReading {
    /// Name.
    pub name: String,
    /// Drop, V DC.
    pub drop_v: f64,
    /// Current, A DC.
    pub current_a: f64,
    /// Heat, W.
    pub power_w: f64,
    /// Winding temperature, °C.
    pub temperature_c: f64,
}

/// A divider tap.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct TapReading {
    /// `divider.tap`.
    pub name: String,
    /// Volts against chassis, DC.
    pub volts_v: f64,
}

/// A tube, or several alike that share their connections; currents and watts are those of one.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct TubeReading {
    /// Type and duty.
    pub name: String,
    /// How many, sections of twin types counted.
    pub count: f64,
    /// Against chassis, V DC.
    pub plate_v: f64,
    /// Against chassis, V DC.
    pub screen_v: Option<f64>,
    /// Grid against cathode, V DC.
    pub bias_v: f64,
    /// Cathode against chassis, V DC.
    pub cathode_v: f64,
    /// Plate current, A.
    pub plate_a: f64,
    /// Screen current, A.
    pub screen_a: Option<f64>,
    /// Plate dissipation, W.
    pub plate_w: f64,
    /// Its limit, W, where known.
    pub plate_limit_w: Option<f64>,
    /// Screen dissipation, W.
    pub screen_w: Option<f64>,
    /// True for an output tube.
    #[serde(skip)]
    pub(super) output: bool,
}

/// A filter capacitor.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct CapacitorReading {
    /// First, second, ...
    pub name: String,
    /// Average across it, V DC.
    pub volts_v: f64,
    /// Highest instantaneous volts at work.
    pub peak_v: f64,
    /// Ripple, V RMS.
    pub ripple_v: f64,
    /// Working volts, where known.
    pub rated_v: Option<f64>,
}

/// A part in the mains lead.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct LeadPartReading {
    /// Name.
    pub name: String,
    /// What it is.
    #[serde(skip)]
    pub(crate) kind: PartKind,
    /// Volts RMS across it.
    pub volts_v: f64,
    /// Amperes RMS through it.
    pub current_a: f64,
    /// Heat, W.
    pub power_w: f64,
}

impl Reading {
    /// The resistor that the set has in its mains lead.
    pub fn mains_resistor(&self) -> Option<&LeadPartReading> {
        self.droppers.iter().find(|d| d.kind == PartKind::MainsResistor)
    }

    /// The main rectifier, and that of a second supply.
    pub(super) fn rectifiers(&self) -> impl Iterator<Item = &RectifierReading> {
        [&self.rectifier].into_iter().chain(self.second.as_ref().map(|second| &second.rectifier))
    }

    /// Place of the heater winding that tells whether the tubes are well: the first that feeds tubes, or of heaters side by side
    /// in a string the one that gets most.
    pub(crate) fn tube_heater_place(&self) -> usize {
        let first = self.heaters.iter().position(|h| h.feeds_tubes).unwrap_or(0);
        let share = |place: usize| self.heaters.get(place).map_or(0.0, |h| h.volts_v / h.rated_v);
        let tubes =
            self.heaters.iter().enumerate().filter(|(_, h)| h.feeds_tubes && h.rated_v > 0.0);
        let side_by_side = tubes.filter(|(_, h)| h.side_by_side.is_some());
        // the first of those that get the same
        side_by_side.fold(first, |most, (place, _)| {
            if share(place) > share(most) * (1.0 + 1e-3) { place } else { most }
        })
    }

    /// That winding.
    pub fn tube_heater(&self) -> Option<&HeaterReading> {
        self.heaters.get(self.tube_heater_place())
    }

    /// Its volts; 0 where there is none.
    pub(super) fn tube_heater_v(&self) -> f64 {
        self.tube_heater().map_or(0.0, |h| h.volts_v)
    }

    /// The tubes' heater volts, and B+.
    pub(super) fn heater_and_b_plus(&self) -> (f64, f64) {
        (self.tube_heater_v(), self.b_plus_v)
    }

    /// Heater volts over rated volts, minus one.
    pub fn heater_excess(&self) -> f64 {
        self.tube_heater().map_or(0.0, |h| h.volts_v / h.rated_v - 1.0)
    }

    /// Its limit that is the same as `other`.
    pub(crate) fn limit(&self, other: &Limit) -> Option<&Limit> {
        self.limits.iter().find(|l| l.is(other))
    }

    /// Limits that are passed.
    pub fn beyond(&self) -> impl Iterator<Item = &Limit> {
        self.limits.iter().filter(|l| l.standing == Standing::Beyond)
    }
}
