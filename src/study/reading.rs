//! One operating point as a meter would read it, with its limits. Plain numbers in SI units, unit in the name.

use super::filter_resistor::{FilterResistorReading, filter_resistors};
pub use super::heater_reading::HeaterReading;
use super::heater_reading::{FORM_FACTOR, heaters};
use super::limits::{self, Limited};
use super::rectifier_reading::{self, RectifierReading, SecondReading, rectifier};
use super::transformer::{self, TransformerReading};
use crate::circuit::{Probe, REFERENCE};
use crate::receiver::{LeadPart, Model, Operation, PartKind, Receiver};
use schemars::JsonSchema;
use serde::Serialize;

/// Everything a meter could read in the set on one line voltage.
#[derive(Debug, Clone, Serialize, JsonSchema)]
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

/// How a value stands against its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Standing {
    /// Within.
    Within,
    /// Within, but by less than a twentieth.
    Near,
    /// Beyond.
    Beyond,
}

/// A limit of the set and what it gets.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Limit {
    #[serde(skip)]
    pub(crate) what: Limited,
    /// Of which winding, capacitor, coil or tube, from 0; 0 for what there is once.
    #[serde(skip)]
    pub(crate) of: usize,
    /// What is limited.
    #[serde(rename = "what")]
    pub name: String,
    /// Value.
    pub value: f64,
    /// Limit, same unit.
    pub limit: f64,
    /// Unit of both.
    pub unit: &'static str,
    /// What kind of limit it is.
    pub rating: Rating,
    /// Standing.
    pub standing: Standing,
}

/// What a limit means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Rating {
    /// Not to be passed at any line voltage: capacitor volts, peak inverse, insulation, heater tolerance.
    Ceiling,
    /// A tube maker's design-centre rating: it holds on the usual line, and the line may swing 10 % about that
    /// (RCA receiving tube manuals' rating system †).
    DesignCentre,
}

impl Limit {
    /// True for a limit that is kept from above: a least value.
    pub fn is_least(&self) -> bool {
        self.what.is_least()
    }

    /// Margin left, as a share of the limit; negative beyond it.
    pub fn margin(&self) -> f64 {
        let sign = if self.is_least() { -1.0 } else { 1.0 };
        sign * (1.0 - self.value / self.limit)
    }

    /// Whether `other` is the same limit of the same owner.
    pub(crate) fn is(&self, other: &Limit) -> bool {
        // what drops volts in one case need not stand in the other, and so not in the same place
        let dropper = matches!(self.what, Limited::DropperHeat | Limited::DropperVolts);
        let same = if dropper { self.name == other.name } else { self.of == other.of };
        self.what == other.what && same
    }
}

/// Whose a figure is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Owner {
    Set,
    /// The part in the lead: told only where there is one.
    Part,
    Rectifier,
    Heater,
    Capacitor,
    Coil,
    FilterResistor,
    Tap,
    /// What drops volts inside the set.
    Dropper,
    /// Tubes that draw B+ current.
    Tube,
}

impl Owner {
    /// Names of all there are, as the profile or a rule gives them.
    pub fn names(self, r: &Reading) -> Vec<&str> {
        match self {
            Owner::Set | Owner::Part => vec![""],
            Owner::Rectifier => r.rectifiers().map(|r| r.name.as_str()).collect(),
            Owner::Heater => r.heaters.iter().map(|h| h.winding.as_str()).collect(),
            Owner::Capacitor => r.capacitors.iter().map(|c| c.name.as_str()).collect(),
            Owner::Coil => r.coils.iter().map(|c| c.name.as_str()).collect(),
            Owner::FilterResistor => r.filter_resistors.iter().map(|c| c.name.as_str()).collect(),
            Owner::Tap => r.taps.iter().map(|t| t.name.as_str()).collect(),
            Owner::Dropper => r.droppers.iter().map(|d| d.name.as_str()).collect(),
            Owner::Tube => r.tubes.iter().map(|t| t.name.as_str()).collect(),
        }
    }

    /// `pattern` with its `{n}` (from 1), its `{name}`, `{which}`: the name, numbered where several share it, `{lead}`: what the
    /// mains comes to first in the set, and `{heater}`: what has heater volts.
    pub fn fill(self, pattern: &str, r: &Reading, of: usize) -> String {
        let (n, names) = ((of + 1).to_string(), self.names(r));
        let name = names.get(of).copied().unwrap_or_default();
        let alike = names.iter().filter(|other| **other == name).count();
        let which = if alike > 1 { format!("{name} {n}") } else { name.to_owned() };
        let first = r.transformer.is_some() && r.mains_resistor().is_none();
        let lead = if first { "primary" } else { "mains lead" };
        let heater = r.heaters.get(of).map_or("", HeaterReading::kind);
        let words = [("{n}", n.as_str()), ("{lead}", lead), ("{heater}", heater)];
        let places = words.into_iter().chain([("{which}", which.as_str()), ("{name}", name)]);
        places.fold(pattern.to_owned(), |text, (place, word)| text.replace(place, word))
    }

    /// Whether the tolerances watch it: windings that feed tubes, output tubes.
    pub fn is_watched(self, r: &Reading, of: usize) -> bool {
        match self {
            Owner::Heater => r.heaters.get(of).is_some_and(|h| h.feeds_tubes),
            Owner::Tube => r.tubes.get(of).is_some_and(|t| t.output),
            Owner::Set
            | Owner::Part
            | Owner::Rectifier
            | Owner::Capacitor
            | Owner::Coil
            | Owner::FilterResistor
            | Owner::Tap
            | Owner::Dropper => true,
        }
    }
}

/// Heater tolerance that no published figure exceeds: ±10 % ("Valve heater voltages", Radio
/// Constructor, April 1962: average at the rated value, swings up to ±10 %).
pub const HEATER_LIMIT: f64 = 0.10;
/// Heater tolerance that is comfortable: ±5 % (common practice, no source; the British recommendation is 7 %).
pub const HEATER_GOOD: f64 = 0.05;
/// Heaters at a high line that was read: reasoned, 7 % on the average and the line's own 5 %.
pub const HEATER_AT_HIGH: f64 = 0.12;
/// Winding average, by resistance, that class A insulation bears in use, °C (IEC 61558-1 †; its hot spot
/// is 105 °C by IEC 60085).
pub const CLASS_A_C: f64 = 100.0;

/// Reads an operating point of `receiver`.
pub fn read(receiver: &Receiver, operation: &Operation) -> Reading {
    let (model, state, at) = (receiver.model(), &operation.state, &operation.at);
    let heaters = heaters(model, operation);
    let coils = model
        .coils
        .iter()
        .zip(&at.coils)
        .enumerate()
        .map(|(i, (coil, (from, to, copper)))| {
            let amps = state.rms(Probe::Amps(*copper));
            CoilReading {
                name: coil.name.clone(),
                drop_v: operation.dc(*from, *to).abs(),
                current_a: state.mean(Probe::Amps(*copper)),
                power_w: amps * amps * operation.slow.coil_ohms[i],
                temperature_c: receiver.coil_celsius(operation, i),
            }
        })
        .collect();
    let capacitors = at
        .capacitors
        .iter()
        .enumerate()
        .map(|(i, c)| {
            let volts = Probe::Volts(c.positive, c.negative);
            CapacitorReading {
                name: at.capacitor_name(i),
                volts_v: state.mean(volts),
                peak_v: state.peak(volts),
                ripple_v: state.ripple_rms(volts),
                rated_v: c.marked.rated,
            }
        })
        .collect();
    let primary = Probe::Amps(at.primary);
    let primary_a = state.rms(primary);
    let (line, outlet) = (Probe::Amps(at.line), Probe::Volts(at.outlet, at.neutral));
    let (line_a, line_w) = (state.rms(line), -state.mean_product(outlet, line));
    let heat = |parts: &[LeadPart]| -> Vec<LeadPartReading> {
        let read = |part: &LeadPart| {
            let amps = state.rms(part.amps);
            LeadPartReading {
                name: part.name.clone(),
                kind: part.kind,
                volts_v: state.rms(part.volts),
                current_a: amps,
                power_w: match part.copper_ohms {
                    Some(ohms) => amps * amps * ohms,
                    None => state.mean_product(part.volts, part.amps),
                },
            }
        };
        parts.iter().map(read).collect()
    };
    let (lead_parts, droppers) = (heat(&at.inserted.parts), heat(&at.inserted.inner));
    let set = Probe::Volts(at.inserted.set, at.neutral);
    // what the outlet gives and the set does not get: copper and core of whatever stands between
    let between_w = (line_w - state.mean_product(set, primary)).max(0.0);
    let plain = |part: &&LeadPart| part.copper_ohms.is_none();
    let fitted_w = match (at.inserted.fitted_inside, at.inserted.parts.iter().find(plain)) {
        // a resistor behind a transformer has its own heat
        (0, Some(resistor)) => vec![state.mean_product(resistor.volts, resistor.amps)],
        (0, None) => vec![between_w],
        (inside, _) => droppers.iter().take(inside).map(|d| d.power_w).collect(),
    };
    let mut reading = Reading {
        outlet_v: operation.line,
        set_v: operation.set_volts(),
        primary_turns: at.primary_turns,
        heaters,
        b_plus_v: operation.b_plus(),
        reservoir_v: operation.dc(at.reservoir, REFERENCE),
        b_plus_ripple_v: state.ripple_rms(Probe::Volts(at.b_plus, REFERENCE)),
        coils,
        filter_resistors: filter_resistors(model, operation),
        taps: at
            .taps
            .iter()
            .map(|(name, node)| TapReading {
                name: name.clone(),
                volts_v: operation.dc(*node, REFERENCE),
            })
            .collect(),
        tubes: tubes(model, operation),
        rectifier: rectifier(model, operation),
        second: rectifier_reading::second(model, operation),
        capacitors,
        transformer: transformer::read(receiver, operation),
        primary_a,
        primary_averaged_a: FORM_FACTOR * state.mean_absolute(primary),
        crest_factor: ratio(state.peak(primary), primary_a),
        line_a,
        line_w,
        power_factor: ratio(line_w, operation.line * line_a),
        lead_parts,
        lead_w: match at.inserted.fitted_inside {
            0 => between_w,
            _ => fitted_w.iter().sum(),
        },
        fitted_w,
        droppers,
        limits: Vec::new(),
    };
    reading.limits = limits::limits(model, &reading);
    reading
}

fn ratio(a: f64, b: f64) -> f64 {
    if b > 0.0 { a / b } else { 0.0 }
}

fn tubes(model: &Model, operation: &Operation) -> Vec<TubeReading> {
    let state = &operation.state;
    model
        .tubes
        .iter()
        .zip(&operation.at.tubes)
        .zip(&operation.slow.tube_volts)
        .map(|((tube, nodes), &[g, s, p, _])| {
            let given_w = tube.output_watts(model.signal, [g, s, p]);
            let amps = |id| state.mean(Probe::Amps(id)) / tube.count;
            let plate_a = amps(nodes.plate_current);
            let volts = |node| operation.dc(node, REFERENCE);
            let (cathode_v, plate_v) = (volts(nodes.cathode), volts(nodes.plate));
            let screen_v = nodes.screen.map(volts);
            let screen_a = nodes.screen.map(|_| amps(nodes.screen_current));
            let grid_v = nodes.grid.map_or(nodes.fixed_grid, volts);
            TubeReading {
                name: tube.label.clone(),
                count: tube.count,
                plate_v,
                screen_v,
                bias_v: grid_v - cathode_v,
                cathode_v,
                plate_a,
                screen_a,
                plate_w: plate_a * (plate_v - cathode_v) - given_w,
                plate_limit_w: tube.max_plate_watts,
                screen_w: screen_v.zip(screen_a).map(|(v, i)| (v - cathode_v) * i),
                output: tube.output,
            }
        })
        .collect()
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

    /// Limits that are passed.
    pub fn beyond(&self) -> impl Iterator<Item = &Limit> {
        self.limits.iter().filter(|l| l.standing == Standing::Beyond)
    }
}
