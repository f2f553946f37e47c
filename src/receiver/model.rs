//! A set with every number present, in SI units, ready to be turned into circuits.
//!
//! Made by [`super::complete`]; the only mutable thing about it is [`Model::scaled`], which answers
//! "what if this assumed value were off".

use super::number::Parameter;
use super::signal::{Signal, Swing};
use super::thermal::copper_factor;
use super::tube::{Currents, TubeLaw};
pub use crate::catalogue::RectifierKind;
use crate::catalogue::WarmUp;

/// A blocked rectifier: a drop no winding reaches, V.
pub const BLOCKED_V: f64 = 1e6;

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

/// High-voltage winding with centre tap.
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
    /// True if its plate is fed from the tap of its own heater.
    pub plate_on_tap: bool,
    /// What one plate's cathode emits at most, A; `None` where that is taken as ample.
    pub emission: Option<f64>,
}

/// What a set without a transformer has in its place.
pub use super::heater_line::{Branch, HeaterLine, Rung, SectionKind, StringSection};

/// Positive or negative lead, and how the rectifier's diodes are joined.
pub use crate::profile::{Lead, Marked, RectifierCircuit};

/// What the peak flux of the mains iron goes with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flux {
    /// RMS volts at the primary over the mains frequency.
    pub volts_per_hertz: f64,
    /// The same on the design line, at the frequency the iron was made for.
    pub designed: f64,
}

impl Flux {
    /// Over that on the design line.
    pub fn relative(self) -> f64 {
        self.volts_per_hertz / self.designed
    }
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
    /// Parts from the rectifier on: ohms in the lead, or farads to chassis.
    pub filter: Vec<BiasSection>,
}

/// A part of a bias supply's filter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BiasSection {
    /// Farads to chassis.
    Capacitor(f64),
    /// Ohms in the lead.
    Resistor(f64),
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
    /// Place in [`Model::filter`] from which on the parts are its own.
    pub from: usize,
}

/// A part of the filter.
#[derive(Debug, Clone)]
pub enum Section {
    /// Capacitor across the supply: farads, marked volts.
    Capacitor(f64, Marked),
    /// Index into [`Model::coils`].
    Coil(usize),
    /// Lead, ohms, and the watts it is rated for.
    Resistor(Lead, f64, Option<f64>),
}

/// A field coil or choke.
#[derive(Debug, Clone)]
pub struct Coil {
    /// "field coil" or "choke".
    pub name: String,
    /// True for a speaker field.
    pub is_field: bool,
    /// Lead.
    pub lead: Lead,
    /// Ohms at room temperature.
    pub cold: f64,
    /// Ohms at work on the design line.
    pub hot: f64,
    /// Henries.
    pub inductance: f64,
}

/// A divider chain.
#[derive(Debug, Clone)]
pub struct Divider {
    /// Name.
    pub name: String,
    /// Upper end.
    pub from: String,
    /// Lower end.
    pub to: String,
    /// Ohms in order.
    pub resistors: Vec<f64>,
    /// Tap name and place.
    pub taps: Vec<(String, usize)>,
    /// Bypass farads by tap name.
    pub bypass: Vec<(String, f64)>,
}

/// What a load or a meter hangs on.
#[derive(Debug, Clone, PartialEq)]
pub enum Spot {
    /// A supply point or a tap, by its name in profiles.
    Supply(String),
    /// A divider by its place, below so many of its resistors.
    Divider(usize, usize),
    /// A tube's plate.
    Plate(usize),
    /// A tube's screen.
    Screen(usize),
    /// A tube's cathode.
    Cathode(usize),
}

/// Another load.
#[derive(Debug, Clone)]
pub struct Load {
    /// Name.
    pub name: String,
    /// Where it hangs.
    pub from: Spot,
    /// Ohms, or a constant current.
    pub ohms: Option<f64>,
    /// Amperes where `ohms` is `None`.
    pub amps: f64,
}

/// An electrode's feed.
#[derive(Debug, Clone)]
pub struct Feed {
    /// Supply point.
    pub from: String,
    /// Series ohms; 0 for a direct feed.
    pub ohms: f64,
    /// Bypass farads at the electrode; 0 for none.
    pub bypass: f64,
}

/// Control grid.
#[derive(Debug, Clone)]
pub enum Grid {
    /// Average of a tap.
    Tap(String),
    /// Fixed volts against chassis.
    Fixed(f64),
    /// The volts that its own current leaves across the resistor to chassis, the cathode at chassis.
    Leak(f64),
}

/// A tube that draws B+ current.
#[derive(Debug, Clone)]
pub struct Tube {
    /// Place in the profile.
    pub socket: usize,
    /// Name on reports.
    pub label: String,
    /// Type number.
    pub type_name: String,
    /// Its law; for twin types of one section.
    pub law: TubeLaw,
    /// Cathode current at the published point, one section, A.
    pub published_amps: f64,
    /// Tubes (and sections) in parallel.
    pub count: f64,
    /// Plate feed.
    pub plate: Feed,
    /// Screen feed; `None` in triodes.
    pub screen: Option<Feed>,
    /// Grid.
    pub grid: Grid,
    /// Cathode resistor in ohms (0 for none) and bypass in farads (0 for none), shared by all `count`.
    pub cathode_ohms: f64,
    /// Cathode bypass.
    pub cathode_bypass: f64,
    /// Ratings of one tube, where known: plate W, screen W, plate V, screen V.
    pub max_plate_watts: Option<f64>,
    /// Screen dissipation.
    pub max_screen_watts: Option<f64>,
    /// Plate volts.
    pub max_plate_volts: Option<f64>,
    /// Screen volts.
    pub max_screen_volts: Option<f64>,
    /// True for an output tube.
    pub output: bool,
    /// Most that the plate current at further published points of its type is off from its law, as a share of the smaller; 0
    /// without any.
    pub plate_miss: f64,
    /// The same of the screen current.
    pub screen_miss: f64,
    /// Multiplier on all currents, for "what if".
    pub current_factor: f64,
    /// What a signal can do to it.
    pub swing: Swing,
    /// What the cathode of one tube emits at most while it warms, A; `None` where that is ample.
    pub emission: Option<f64>,
}

impl Tube {
    /// Average currents of one tube under `signal`, at average grid, screen and plate volts against its cathode.
    pub fn currents(&self, signal: Signal, volts: [f64; 3]) -> Currents {
        let free = self.swing.currents(&self.law, self.current_factor, signal, volts).0;
        self.emission.map_or(free, |limit| free.limited(limit))
    }

    /// Watts that one tube gives to its load there, and does not burn in its plate.
    pub fn output_watts(&self, signal: Signal, volts: [f64; 3]) -> f64 {
        self.swing.currents(&self.law, self.current_factor, signal, volts).1
    }
}

/// A resistor that the set has in its mains lead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MainsResistor {
    /// Ω.
    pub ohms: f64,
    /// Watts it is rated for, where known.
    pub rated: Option<f64>,
    /// True if the set was designed with it.
    pub by_maker: bool,
    /// Of one that came later, the share of the design line that it takes there; 0 until that is solved.
    pub takes: f64,
}

/// The complete set.
#[derive(Debug, Clone)]
pub struct Model {
    /// Name of the set.
    pub name: String,
    /// Hz of the mains it runs on.
    pub frequency: f64,
    /// Hz it was made for: what the no-load figures hold for.
    pub design_frequency: f64,
    /// Design line, V RMS.
    pub design_line: f64,
    /// Air temperature, °C.
    pub room_c: f64,
    /// Copper of the power transformer; of no meaning in a set without one.
    pub copper: Copper,
    /// Primary.
    pub primary: Primary,
    /// High voltage.
    pub high_voltage: HighVoltage,
    /// Heater windings.
    pub windings: Vec<HeaterWinding>,
    /// The heater string of a set without a transformer; its links are the windings above. Primary and high voltage
    /// mean nothing then.
    pub string: Option<HeaterLine>,
    /// Resistor in its mains lead.
    pub mains_resistor: Option<MainsResistor>,
    /// True for an autotransformer.
    pub auto: bool,
    /// Rectifier.
    pub rectifier: Rectifier,
    /// Bias supply of its own.
    pub bias: Option<BiasSupply>,
    /// Second supply beside B+.
    pub second: Option<SecondSupply>,
    /// The tube that the rectifier was put in the place of: the set was made with it.
    pub replaced: Option<Rectifier>,
    /// Filter, from the rectifier on; behind it that of a second supply.
    pub filter: Vec<Section>,
    /// Coils of the filters, in the order of their parts.
    pub coils: Vec<Coil>,
    /// Dividers.
    pub dividers: Vec<Divider>,
    /// Loads.
    pub loads: Vec<Load>,
    /// Tubes.
    pub tubes: Vec<Tube>,
    /// What the set receives.
    pub signal: Signal,
    /// Share of its crest by which the top of the line's wave is clipped; 0 or less for a sine.
    pub flat_top: f64,
    /// True while it is marched through its start: averages at grids then follow within a tenth of a second.
    pub starting: bool,
    /// Numbers that were measured, and within what share.
    pub known: Vec<(Parameter, f64)>,
}

impl Model {
    /// The rectifier's filament or heater: it is hung on its winding before the tubes and the lamps.
    pub fn rectifier_filament(&self) -> Option<&Filament> {
        let winding = self.windings.get(self.rectifier.winding?)?;
        winding.filaments.iter().find(|f| f.socket.is_none())
    }

    /// Flux of the iron with `volts` at the primary (V = 4.44·f·N·A·B, textbook), where there is iron in the mains.
    pub fn flux(&self, volts: f64) -> Option<Flux> {
        self.string.is_none().then(|| Flux {
            volts_per_hertz: volts / self.frequency,
            designed: self.design_line / self.design_frequency,
        })
    }

    /// That of a set that runs on another frequency than it was made for.
    pub fn flux_elsewhere(&self, volts: f64) -> Option<Flux> {
        self.flux(volts).filter(|_| self.frequency != self.design_frequency)
    }

    /// The line on which it gets what it was designed for, V RMS: above the design line where a resistor came into its lead
    /// later.
    pub fn line_as_found(&self) -> f64 {
        self.design_line / (1.0 - self.mains_resistor.map_or(0.0, |r| r.takes))
    }

    /// True if the chassis is joined to the mains.
    pub fn is_live(&self) -> bool {
        self.auto || self.string.is_some()
    }

    /// Keeps the rectifiers from conducting.
    pub fn block_rectifier(&mut self) {
        for rectifier in self.rectifiers_mut() {
            rectifier.kind = RectifierKind::Mercury;
            rectifier.drop_amps = None;
            rectifier.drop_volts = BLOCKED_V;
        }
    }

    /// Takes the rectifiers out of their sockets.
    pub fn pull_rectifier(&mut self) {
        self.block_rectifier();
        // that of a second supply first: on one winding it hangs behind the main one
        if let Some((winding, place)) = self.second_filament()
            && let Some(winding) = self.windings.get_mut(winding)
            && place < winding.filaments.len()
        {
            winding.filaments.remove(place);
        }
        if let Some(winding) = self.rectifier.winding
            && let Some(winding) = self.windings.get_mut(winding)
            && let Some(place) = winding.filaments.iter().position(|f| f.socket.is_none())
        {
            winding.filaments.remove(place);
        }
    }

    /// Takes every tube but the rectifier out of its socket; dial lamps stay.
    pub fn pull_tubes(&mut self) {
        self.still_tubes();
        for winding in &mut self.windings {
            winding.filaments.retain(|f| f.socket.is_none());
        }
    }

    /// Leaves the tubes in, but lets none of them draw: cold cathodes.
    pub fn still_tubes(&mut self) {
        for tube in &mut self.tubes {
            tube.current_factor = 0.0;
        }
    }
}
