//! What a supply feeds: filter, dividers, loads, tubes; every number present, SI.

use super::{Currents, Lead, Marked, Signal, Swing, TubeLaw};

/// A part of the filter.
#[derive(Debug, Clone)]
pub enum Section {
    /// Capacitor across the supply: farads, marked volts.
    Capacitor(f64, Marked),
    /// Index into [`Model::coils`](super::Model::coils).
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
