//! A set with every number present, in SI units, ready to be turned into circuits.
//!
//! Made by [`super::complete`]; the only mutable thing about it is [`Model::scaled`], which answers
//! "what if this assumed value were off".

use super::tube::TubeLaw;

/// A blocked rectifier: a drop no winding reaches, V.
pub const BLOCKED_V: f64 = 1e6;

/// Which of the model's numbers an assumption stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Knob {
    /// Primary copper.
    PrimaryResistance,
    /// No-load current.
    NoLoadCurrent,
    /// No-load watts.
    NoLoadPower,
    /// High-voltage winding volts.
    HighVoltage,
    /// High-voltage winding copper.
    HighVoltageResistance,
    /// Volts of a heater winding.
    WindingVolts(usize),
    /// Copper of a heater winding.
    WindingResistance(usize),
    /// Cold and hot resistance of a coil.
    CoilResistance(usize),
    /// Hot resistance of a coil over its cold one.
    CoilRise(usize),
    /// Inductance of a coil.
    CoilInductance(usize),
    /// Plate feed resistance of a tube.
    PlateFeed(usize),
    /// Screen feed resistance of a tube.
    ScreenFeed(usize),
    /// Cathode resistor of a tube.
    CathodeResistor(usize),
    /// Current of a tube.
    TubeCurrent(usize),
    /// Line frequency.
    Frequency,
    /// A resistor of a divider: divider, place in its chain.
    DividerResistor(usize, usize),
    /// What another load takes.
    Load(usize),
    /// A resistor of the filter, by its place there.
    FilterResistor(usize),
}

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
}

/// High-voltage winding with centre tap.
#[derive(Debug, Clone, Copy)]
pub struct HighVoltage {
    /// Volts per half, if known; otherwise they follow from the B+ below.
    pub turns_from: Option<TurnsFrom>,
    /// B+ and the line it was read at, where the winding is not known.
    pub from_b_plus: Option<(f64, f64)>,
    /// Copper per half, ohms.
    pub resistance_per_half: f64,
}

/// A heater or lamp: `I = amps · (V/volts)^exponent`.
#[derive(Debug, Clone, Copy)]
pub struct Filament {
    /// Rated volts.
    pub volts: f64,
    /// Rated amperes, all of this kind together.
    pub amps: f64,
    /// Current exponent.
    pub exponent: f64,
    /// Place of its tube in the profile; `None` for the rectifier and for lamps.
    pub socket: Option<usize>,
}

/// A heater winding and what hangs on it.
#[derive(Debug, Clone)]
pub struct HeaterWinding {
    /// Name in the profile.
    pub name: String,
    /// Rated volts of the heaters on it.
    pub rated: f64,
    /// What fixes its turns.
    pub turns_from: TurnsFrom,
    /// Copper, ohms.
    pub resistance: f64,
    /// Heaters and lamps.
    pub filaments: Vec<Filament>,
    /// True if tubes (and not only lamps) hang on it.
    pub feeds_tubes: bool,
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
    /// Highest first capacitor, F.
    pub max_input_capacitor: Option<f64>,
    /// Winding that heats it.
    pub winding: usize,
    /// True if its filament is the cathode: B+ is there before the tubes draw.
    pub heated_directly: bool,
    /// What one plate's cathode emits at most, A; `None` where that is taken as ample.
    pub emission: Option<f64>,
}

/// Positive or negative lead.
pub use crate::profile::Lead;

/// A part of the filter.
#[derive(Debug, Clone)]
pub enum Section {
    /// Capacitor across the supply: farads, rated volts.
    Capacitor(f64, Option<f64>),
    /// Index into [`Model::coils`].
    Coil(usize),
    /// Lead and ohms.
    Resistor(Lead, f64),
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

/// Another load.
#[derive(Debug, Clone)]
pub struct Load {
    /// Name.
    pub name: String,
    /// Supply point.
    pub from: String,
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
    /// Filament cathode or heater.
    pub heated_directly: bool,
    /// Multiplier on all currents, for "what if".
    pub current_factor: f64,
}

/// The complete set.
#[derive(Debug, Clone)]
pub struct Model {
    /// Name of the set.
    pub name: String,
    /// Hz.
    pub frequency: f64,
    /// Design line, V RMS.
    pub design_line: f64,
    /// Air temperature, °C.
    pub room_c: f64,
    /// Nameplate watts, if stated.
    pub nameplate_watts: Option<f64>,
    /// Primary.
    pub primary: Primary,
    /// High voltage.
    pub high_voltage: HighVoltage,
    /// Heater windings.
    pub windings: Vec<HeaterWinding>,
    /// Rectifier.
    pub rectifier: Rectifier,
    /// Filter, from the rectifier on.
    pub filter: Vec<Section>,
    /// Coils of the filter.
    pub coils: Vec<Coil>,
    /// Dividers.
    pub dividers: Vec<Divider>,
    /// Loads.
    pub loads: Vec<Load>,
    /// Tubes.
    pub tubes: Vec<Tube>,
}

impl Model {
    /// The rectifier's filament or heater: it is hung on its winding before the tubes and the lamps.
    pub fn rectifier_filament(&self) -> Option<&Filament> {
        let winding = self.windings.get(self.rectifier.winding)?;
        winding.filaments.iter().find(|f| f.socket.is_none())
    }

    /// Takes the rectifier out of its socket.
    pub fn pull_rectifier(&mut self) {
        self.rectifier.drop_amps = None;
        self.rectifier.drop_volts = BLOCKED_V;
        if let Some(winding) = self.windings.get_mut(self.rectifier.winding)
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

    /// A copy with one number multiplied by `factor`.
    pub fn scaled(&self, knob: Knob, factor: f64) -> Model {
        let mut model = self.clone();
        match knob {
            Knob::PrimaryResistance => model.primary.resistance *= factor,
            Knob::NoLoadCurrent => model.primary.no_load_amps *= factor,
            Knob::NoLoadPower => model.primary.no_load_watts *= factor,
            Knob::HighVoltage => {
                let high_voltage = &mut model.high_voltage;
                match (&mut high_voltage.turns_from, &mut high_voltage.from_b_plus) {
                    (Some(turns), _) => turns.volts *= factor,
                    // the winding follows from the sheet's B+, which then stands for it
                    (None, Some((volts, _))) => *volts *= factor,
                    (None, None) => {}
                }
            }
            Knob::HighVoltageResistance => model.high_voltage.resistance_per_half *= factor,
            Knob::WindingVolts(i) => model.windings[i].turns_from.volts *= factor,
            Knob::WindingResistance(i) => model.windings[i].resistance *= factor,
            Knob::CoilResistance(i) => {
                model.coils[i].cold *= factor;
                model.coils[i].hot *= factor;
            }
            Knob::CoilRise(i) => model.coils[i].hot *= factor,
            Knob::CoilInductance(i) => model.coils[i].inductance *= factor,
            Knob::PlateFeed(i) => model.tubes[i].plate.ohms *= factor,
            Knob::ScreenFeed(i) => {
                if let Some(feed) = &mut model.tubes[i].screen {
                    feed.ohms *= factor;
                }
            }
            Knob::CathodeResistor(i) => model.tubes[i].cathode_ohms *= factor,
            Knob::TubeCurrent(i) => model.tubes[i].current_factor *= factor,
            Knob::Frequency => model.frequency *= factor,
            Knob::DividerResistor(d, i) => model.dividers[d].resistors[i] *= factor,
            Knob::Load(i) => {
                let load = &mut model.loads[i];
                load.amps *= factor;
                load.ohms = load.ohms.map(|ohms| ohms / factor);
            }
            Knob::FilterResistor(i) => {
                if let Section::Resistor(_, ohms) = &mut model.filter[i] {
                    *ohms *= factor;
                }
            }
        }
        model
    }
}

/// A value that was filled in.
#[derive(Debug, Clone)]
pub struct Assumption {
    /// What it is, in words.
    pub what: String,
    /// The value taken, as text with its unit.
    pub value: String,
    /// Where the value comes from.
    pub rule: String,
    /// How far it may be off, as a share of the value (0.3 is ±30 %).
    pub spread: f64,
    /// The number it stands for; `None` where no number of the model depends on it.
    pub knob: Option<Knob>,
}
