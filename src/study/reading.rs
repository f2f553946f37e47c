//! What a meter could read in a set at a solved point: plain numbers in SI units, unit in the name.

use super::{
    FilterResistorReading, RectifierReading, SecondReading, Serialize, TransformerReading,
    filter_resistor::filter_resistors,
    heater_reading::{FORM_FACTOR, heaters},
    part_readings::{capacitors, coils, dropping, taps, tubes},
    rectifier_reading::{rectifier, second},
    transformer,
};
pub use super::{
    heater_reading::HeaterReading,
    limit::{CLASS_A_C, HEATER_GOOD, HEATER_LIMIT, Limit, Rating, Standing},
    part_readings::{CapacitorReading, CoilReading, LeadPartReading, TapReading, TubeReading},
};
use crate::{
    circuit::{Probe, REFERENCE},
    receiver::{Operation, PartKind, Receiver},
};

/// Everything a meter could read in the set on one line voltage.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
    /// Parts in the line cord.
    pub lead_parts: Vec<LeadPartReading>,
    /// What drops the line inside the set: the droppers of a heater string, the resistors in the rectifier's plate leads.
    pub droppers: Vec<LeadPartReading>,
    /// Watts lost in the parts in the line cord.
    pub lead_w: f64,
    /// The same part by part: each resistor fitted inside the set, else all that stands in the lead.
    #[serde(skip)]
    pub fitted_w: Vec<f64>,
    /// Every limit of the set against what it gets here.
    pub limits: Vec<Limit>,
}

impl Reading {
    /// Reads an operating point of `receiver`, without its limits.
    pub(super) fn of(receiver: &Receiver, operation: &Operation) -> Self {
        let (model, state, at) = (receiver.model(), &operation.state, &operation.at);
        let (primary, line) = (Probe::Amps(at.primary), Probe::Amps(at.line));
        let (primary_a, line_a) = (state.rms(primary), state.rms(line));
        let line_w = -state.mean_product(Probe::Volts(at.outlet, at.neutral), line);
        let [lead_parts, droppers] =
            [&at.inserted.parts, &at.inserted.inner].map(|parts| dropping(model, parts, operation));
        let (lead_w, fitted_w) = lost(operation, line_w, &droppers);
        Reading {
            outlet_v: operation.line,
            set_v: operation.set_volts(),
            primary_turns: at.primary_turns,
            heaters: heaters(model, operation),
            b_plus_v: operation.b_plus(),
            reservoir_v: operation.dc(at.reservoir, REFERENCE),
            b_plus_ripple_v: state.ripple_rms(Probe::Volts(at.b_plus, REFERENCE)),
            coils: coils(receiver, operation),
            filter_resistors: filter_resistors(model, operation),
            taps: taps(operation),
            tubes: tubes(model, operation),
            rectifier: rectifier(model, operation),
            second: second(model, operation),
            capacitors: capacitors(operation),
            transformer: transformer::read(receiver, operation),
            primary_a,
            primary_averaged_a: FORM_FACTOR * state.mean_absolute(primary),
            crest_factor: ratio(state.peak(primary), primary_a),
            line_a,
            line_w,
            power_factor: ratio(line_w, operation.line * line_a),
            lead_parts,
            lead_w,
            fitted_w,
            droppers,
            limits: Vec::new(),
        }
    }

    /// The resistor that the set has in its line cord.
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

fn ratio(a: f64, b: f64) -> f64 {
    if b > 0.0 { a / b } else { 0.0 }
}

/// Watts lost in what is fitted, of `line_w` from the outlet, and the same part by part.
fn lost(operation: &Operation, line_w: f64, droppers: &[LeadPartReading]) -> (f64, Vec<f64>) {
    let (state, at) = (&operation.state, &operation.at);
    let inserted = &at.inserted;
    if inserted.fitted_inside > 0 {
        let inside = droppers.iter().take(inserted.fitted_inside).map(|d| d.power_w);
        return (inside.clone().sum(), inside.collect());
    }
    // what the outlet gives and the set does not get: copper and core of whatever stands between
    let set = Probe::Volts(inserted.set, at.neutral);
    let between_w = (line_w - state.mean_product(set, Probe::Amps(at.primary))).max(0.0);
    // a resistor behind a transformer has its own heat
    let resistor = inserted.parts.iter().find(|part| part.copper_ohms.is_none());
    (between_w, vec![resistor.map_or(between_w, |r| state.mean_product(r.volts, r.amps))])
}
