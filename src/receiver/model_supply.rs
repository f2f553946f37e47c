//! Windings with their iron and copper, rectifiers, bias and second supplies: every number present, SI.

use super::thermal::copper_factor;
pub use crate::catalogue::RectifierKind;
use crate::catalogue::WarmUp;
/// Positive or negative lead, and how the rectifier's diodes are joined.
pub use crate::profile::{BiasPart, Lead, Marked, OtherEnd, RectifierCircuit};

/// How a winding's volts fix its turns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurnsFrom {
    /// RMS volts.
    pub volts: f64,
    /// True if measured with nothing connected.
    pub open: bool,
    /// Line volts at the time.
    pub at_line: f64,
}

/// Transformer primary.
#[derive(Debug, Clone, Copy)]
pub struct Primary {
    /// Copper, ohms.
    pub resistance: f64,
    /// No-load current at the design line, A.
    pub no_load_amps: f64,
    /// No-load power at the design line, W.
    pub no_load_watts: f64,
    /// Share of the crest magnetizing current there that the steep part of the iron's law carries; 0 is iron that does not
    /// saturate.
    pub knee: f64,
    /// Exponent of that part, odd.
    pub exponent: i32,
}

/// Copper of the power transformer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Copper {
    /// True if its resistances are those at work, and stay so; else those at room temperature.
    pub warm: bool,
    /// Average rise over the room on the design line, K.
    pub rise: f64,
    /// How far that may be off, as a share.
    pub spread: f64,
}

impl Copper {
    /// Resistance with a rise of `rise` K over a room of `room_c` °C, over the stated one.
    pub fn factor(&self, room_c: f64, rise: f64) -> f64 {
        if self.warm { 1.0 } else { copper_factor(room_c, room_c + rise) }
    }

    /// Resistance at room temperature over the stated one.
    pub fn at_rest(&self, room_c: f64) -> f64 {
        if self.warm { 1.0 / copper_factor(room_c, room_c + self.rise) } else { 1.0 }
    }
}

/// High-voltage winding with center tap.
#[derive(Debug, Clone, Copy)]
pub struct HighVoltage {
    /// Volts per half; where these are not known, B+ under load.
    pub turns_from: TurnsFrom,
    /// True if that is B+.
    pub by_b_plus: bool,
    /// Copper per half, ohms.
    pub resistance_per_half: f64,
}

/// A heater or lamp: `I = amps · (V/volts)^exponent`; a barretter within its range.
#[derive(Debug, Clone, Copy)]
pub struct Filament {
    /// Rated volts.
    pub volts: f64,
    /// Rated amperes, all of this kind together.
    pub amps: f64,
    /// Current exponent.
    pub exponent: f64,
    /// Of a barretter the volts between which it holds its current.
    pub holds: Option<(f64, f64)>,
    /// Place of its tube in the profile; `None` for the rectifier and for lamps.
    pub socket: Option<usize>,
    /// How it warms.
    pub warm_up: &'static WarmUp,
}

/// A heater winding and what hangs on it; in a set without a transformer a link of the heater string.
#[derive(Debug, Clone)]
pub struct HeaterWinding {
    /// Name in the profile.
    pub name: String,
    /// Rated volts of the heaters on it.
    pub rated: f64,
    /// What fixes its turns; of no meaning in a string.
    pub turns_from: TurnsFrom,
    /// Copper, ohms; of no meaning in a string.
    pub resistance: f64,
    /// A plain resistor beside them, ohms.
    pub shunt_ohms: Option<f64>,
    /// Heaters and lamps, in parallel.
    pub filaments: Vec<Filament>,
    /// True if tubes (and not only lamps) hang on it.
    pub feeds_tubes: bool,
}

impl HeaterWinding {
    /// One of which neither its copper nor what hangs on it is known yet.
    pub(super) fn new(name: String, rated: f64, turns_from: TurnsFrom) -> HeaterWinding {
        let filaments = vec![];
        let (resistance, shunt_ohms, feeds_tubes) = (0.0, None, false);
        HeaterWinding { name, rated, turns_from, resistance, shunt_ohms, filaments, feeds_tubes }
    }

    /// Volts about which it works: rated, or where nothing is rated those of the first filament.
    pub fn nominal_volts(&self) -> f64 {
        let first = self.filaments.first().map_or(self.rated, |f| f.volts);
        if self.rated > 0.0 { self.rated } else { first }
    }
}

/// The rectifier's law and limits.
#[derive(Debug, Clone)]
pub struct Rectifier {
    /// Type name.
    pub name: String,
    /// Drop in volts at the current below; mercury types hold it at any current.
    pub drop_volts: f64,
    /// Plate current at that drop, A; `None` for a constant drop.
    pub drop_amps: Option<f64>,
    /// Ratings, where known: peak inverse V, peak plate A, DC A, RMS V per plate with capacitor input.
    pub max_peak_inverse: Option<f64>,
    /// Highest peak plate current, A.
    pub max_peak_plate: Option<f64>,
    /// Highest DC output, A.
    pub max_dc: Option<f64>,
    /// Winding that heats it; `None` for a dry rectifier.
    pub winding: Option<usize>,
    /// True if its filament is the cathode: B+ is there before the tubes draw.
    pub heated_directly: bool,
    /// What it is made of; it fixes the shape of the law.
    pub kind: RectifierKind,
    /// How its diodes are joined.
    pub circuit: RectifierCircuit,
    /// Diodes in parallel in each plate of the circuit.
    pub parallel: f64,
    /// Tubes of the type.
    pub count: f64,
    /// Resistance in the lead of each plate, ohms.
    pub surge_ohms: f64,
    /// The two capacitors of a doubler: farads, marked volts.
    pub doubler: Vec<(f64, Marked)>,
    /// What one plate's cathode emits at most, A; `None` where that is taken as ample.
    pub emission: Option<f64>,
}

/// A half-wave supply of negative volts with a winding of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct BiasSupply {
    /// Volts of its winding.
    pub turns_from: TurnsFrom,
    /// Its copper, ohms.
    pub resistance: f64,
    /// Its rectifier's drop, V, and the current it is given at, A.
    pub drop_volts: f64,
    /// Current at that drop; `None` for a constant one.
    pub drop_amps: Option<f64>,
    /// What the rectifier is made of.
    pub kind: RectifierKind,
    /// Parts from the rectifier on.
    pub filter: Vec<BiasPart>,
}

/// A second rectified supply beside B+, its negative end at chassis.
#[derive(Debug, Clone)]
pub struct SecondSupply {
    /// True where one diode of the main rectifier feeds it, on the main AC.
    pub shared: bool,
    /// Winding of its own; without one, and not shared, it stands straight on the line.
    pub winding: Option<HighVoltage>,
    /// Its rectifier; where it is shared, one diode of the main one, whose drop it has.
    pub rectifier: Rectifier,
    /// Place in [`Model::filter`](super::Model::filter) from which on the parts are its own.
    pub from: usize,
}
