//! Supplies: the mains transformer, rectifiers, filters, heater strings, bias supplies, second supplies.

use crate::catalogue::stock::surge_by_rule;
use crate::catalogue::{BallastLamp, Matched, RectifierType};
use crate::quantity::{
    Capacitance, Current, Frequency, Inductance, Power, Resistance, TemperatureRise, Voltage,
};
use serde::Serialize;

/// How the rectifier's diodes are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RectifierCircuit {
    /// Two plates on a winding with a centre tap.
    FullWave,
    /// One plate.
    HalfWave,
    /// Four diodes on a winding without a centre tap.
    Bridge,
    /// Two half-wave supplies of opposite sense, stacked: both half cycles charge.
    FullWaveDoubler,
    /// A capacitor in the AC lead adds its volts to the other half cycle: one side of the line stays common.
    HalfWaveDoubler,
}

impl RectifierCircuit {
    /// All, in the order of the documents.
    pub const ALL: [RectifierCircuit; 5] = [
        RectifierCircuit::FullWave,
        RectifierCircuit::HalfWave,
        RectifierCircuit::Bridge,
        RectifierCircuit::FullWaveDoubler,
        RectifierCircuit::HalfWaveDoubler,
    ];

    /// The word that stands for it in a profile.
    pub fn word(self) -> &'static str {
        match self {
            RectifierCircuit::FullWave => "full-wave",
            RectifierCircuit::HalfWave => "half-wave",
            RectifierCircuit::Bridge => "bridge",
            RectifierCircuit::FullWaveDoubler => "full-wave-doubler",
            RectifierCircuit::HalfWaveDoubler => "half-wave-doubler",
        }
    }
}

/// The rectifier.
#[derive(Debug, Clone)]
pub struct RectifierUse {
    /// How its diodes are joined.
    pub circuit: RectifierCircuit,
    /// How many tubes of the type.
    pub count: u32,
    /// Resistance in the lead of each plate: a surge resistor.
    pub surge: Option<Resistance>,
    /// The two capacitors of a doubler with their working volts.
    pub doubler: Vec<(Capacitance, Marked<Voltage>)>,
    /// The tube this rectifier was put in the place of.
    pub replaces: Option<RectifierType>,
    /// The resistor in each plate lead that came with it, beside the surge resistor that the tube had.
    pub replaces_resistor: Option<Resistance>,
    /// The type's data.
    pub kind: RectifierType,
    /// How the type name was found.
    pub matched: Option<Matched>,
    /// Heater winding that feeds it, if stated.
    pub fed_by: Option<String>,
}

/// Which lead of the supply a filter element stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lead {
    /// Between rectifier and B+.
    Positive,
    /// Between chassis and the centre tap.
    Negative,
    /// From one rail to the other: a bleeder.
    Across,
}

impl Lead {
    /// The word that stands for it in a profile.
    pub fn word(self) -> &'static str {
        match self {
            Lead::Positive => "positive",
            Lead::Negative => "negative",
            Lead::Across => "across",
        }
    }
}

/// What is marked on a filter capacitor beside its value.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Marked<V> {
    /// Working volts.
    pub rated: Option<V>,
    /// Surge volts: what it bears for the seconds of a switch-on.
    pub surge: Option<V>,
}

impl<V> Marked<V> {
    /// Both as another type.
    pub fn map<W>(self, f: impl Fn(V) -> W) -> Marked<W> {
        Marked { rated: self.rated.map(&f), surge: self.surge.map(&f) }
    }
}

impl Marked<f64> {
    /// Surge volts: as marked, or by rule from the rated ones, and whether by rule.
    pub fn bears(self) -> Option<(f64, bool)> {
        let by_rule = self.rated.map(|v| (surge_by_rule(v), true));
        self.surge.map(|v| (v, false)).or(by_rule)
    }
}

/// A part of the filter, in order from the rectifier.
#[derive(Debug, Clone)]
pub enum FilterPart {
    /// A filter capacitor across the supply at this place.
    Capacitor {
        /// Its value.
        value: Capacitance,
        /// What is marked on it.
        marked: Marked<Voltage>,
    },
    /// A speaker's field coil.
    FieldCoil(Coil),
    /// A filter choke.
    Choke(Coil),
    /// A resistor.
    Resistor {
        /// Which lead.
        lead: Lead,
        /// Its value.
        value: Resistance,
        /// Watts it is rated for, where known.
        rated: Option<Power>,
    },
}

impl FilterPart {
    /// True for a part in the negative lead.
    pub fn is_in_negative_lead(&self) -> bool {
        match self {
            FilterPart::FieldCoil(c) | FilterPart::Choke(c) => c.lead == Lead::Negative,
            FilterPart::Resistor { lead, .. } => *lead == Lead::Negative,
            FilterPart::Capacitor { .. } => false,
        }
    }
}

/// A field coil or choke.
#[derive(Debug, Clone, Copy)]
pub struct Coil {
    /// Which lead.
    pub lead: Lead,
    /// Resistance at room temperature.
    pub cold: Option<Resistance>,
    /// Resistance after an hour at work.
    pub hot: Option<Resistance>,
    /// Inductance at working current.
    pub inductance: Option<Inductance>,
}

/// Series heaters straight on the line.
#[derive(Debug, Clone, Default)]
pub struct HeaterString {
    /// What stands in series with the heaters, in order from the line on.
    pub droppers: Vec<StringDropper>,
    /// Heaters side by side.
    pub branches: Vec<HeaterBranch>,
}

/// Most branches of a string.
pub const MOST_BRANCHES: usize = 8;

/// Heaters in series with each other, and side by side with those of the other branches of their group.
#[derive(Debug, Clone, PartialEq)]
pub struct HeaterBranch {
    /// Name by which tubes, lamps and the rectifier tell that they belong to it.
    pub name: String,
    /// Branches of one group lie across each other; groups are in series.
    pub group: u32,
    /// Resistors in series with its heaters.
    pub droppers: Vec<StringDropper>,
}

/// What drops the volts that the heaters do not need.
#[derive(Debug, Clone, PartialEq)]
pub struct StringDropper {
    /// Make.
    pub kind: DropperKind,
    /// Watts it is rated for, where known.
    pub rated: Option<Power>,
}

/// Make of a heater string's dropper.
#[derive(Debug, Clone, PartialEq)]
pub enum DropperKind {
    /// A wirewound resistor in the set, or a section of one.
    Resistor(Resistance),
    /// Resistance wire in the line cord.
    LineCord {
        /// The wire.
        ohms: Resistance,
        /// Length of the cord, m.
        metres: Option<f64>,
    },
    /// A ballast tube: resistance wire in a can or bulb.
    Ballast {
        /// Code printed on it.
        name: Option<String>,
        /// Volts across it at its current, a lamp beside part of it included.
        volts: Voltage,
        /// That current.
        current: Current,
        /// The lamp that a section of it is made for.
        lamp: Option<BallastLamp>,
    },
    /// Iron wire in hydrogen: it holds its current within a range of volts.
    Barretter {
        /// Type printed on it.
        name: Option<String>,
        /// The current.
        current: Current,
        /// The range.
        holds: (Voltage, Voltage),
        /// How far the current is off at the ends of the range, as a share, where known.
        within: Option<f64>,
    },
    /// A capacitor that takes the place of a resistor.
    Capacitor {
        /// Its value.
        value: Capacitance,
        /// AC volts it is rated for.
        rated: Option<Voltage>,
        /// Resistor across it.
        bleeder: Option<Resistance>,
        /// Resistor in series with it.
        surge: Option<Resistance>,
    },
    /// A silicon diode, alone or with a resistor.
    Diode {
        /// The resistor.
        resistance: Option<Resistance>,
    },
}

/// A bias supply of its own: half-wave, its output negative.
#[derive(Debug, Clone)]
pub struct BiasSupply {
    /// Its rectifier.
    pub kind: RectifierType,
    /// Resistors and capacitors from the rectifier on; capacitors to chassis.
    pub filter: Vec<BiasPart>,
}

/// A part of a bias supply's filter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BiasPart {
    /// A capacitor to chassis.
    Capacitor(Capacitance),
    /// A resistor in the lead.
    Resistor(Resistance),
}

/// A second rectified supply beside B+, its output positive: of a speaker's field, of a tuner.
#[derive(Debug, Clone)]
pub struct SecondSupply {
    /// True where one diode of the main rectifier feeds it, on the main AC.
    pub shared: bool,
    /// Winding of its own: its volts with its copper, of a half where it has a centre tap. Without one, and not shared, it
    /// stands straight on the line.
    pub winding: Option<(WindingVolts, Option<Resistance>)>,
    /// Its rectifier; where it is shared, one diode of the main one.
    pub rectifier: RectifierUse,
    /// Filter from the rectifier to its output.
    pub filter: Vec<FilterPart>,
}

/// Where a lamp of a transformerless set hangs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LampPlace {
    /// Across the tapped part of the rectifier's heater.
    Tap,
    /// In the heater string.
    String,
    /// Across a section of the ballast.
    Ballast,
    /// Across a part of the resistance cord.
    Cord,
    /// Across a section of the dropper's resistor.
    Dropper,
}

impl LampPlace {
    /// The word that stands for it in a profile.
    pub fn word(self) -> &'static str {
        match self {
            LampPlace::Tap => "tap",
            LampPlace::String => "string",
            LampPlace::Ballast => "ballast",
            LampPlace::Cord => "cord",
            LampPlace::Dropper => "dropper",
        }
    }
}

/// How a winding's volts were measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// Nothing connected to the winding, and no load on the others.
    OpenCircuit,
    /// The working set connected.
    Loaded,
}

/// A winding's volts as stated.
#[derive(Debug, Clone, Copy)]
pub struct WindingVolts {
    /// RMS volts.
    pub volts: Voltage,
    /// How measured, if stated.
    pub basis: Option<Basis>,
    /// Line at which they were measured, if stated.
    pub at_line: Option<Voltage>,
}

/// Mains transformer.
#[derive(Debug, Clone)]
pub struct Transformer {
    /// True for an autotransformer: its windings isolate nothing.
    pub auto: bool,
    /// Tap volts of the primary; the connected one is the design line.
    pub primary_taps: Vec<Voltage>,
    /// True if its resistances are those at work; else those at room temperature, as an ohmmeter reads them.
    pub copper_warm: bool,
    /// Rise of its windings over the room on the design line.
    pub rise: Option<TemperatureRise>,
    /// Primary copper.
    pub primary_resistance: Option<Resistance>,
    /// The same after an hour on the design line.
    pub primary_hot: Option<Resistance>,
    /// Primary amperes with every load off.
    pub no_load_current: Option<Current>,
    /// Primary watts with every load off.
    pub no_load_power: Option<Power>,
    /// What the primary took on a variac with every load off.
    pub no_load: Vec<NoLoad>,
    /// Share of the crest magnetizing current on the design line that the steep part of the law carries; 0 is iron that
    /// does not saturate.
    pub knee: Option<f64>,
    /// Each half of the high-voltage winding, or the whole of one without a centre tap.
    pub high_voltage: Option<WindingVolts>,
    /// Copper of each half, or of the whole of a winding without a centre tap.
    pub resistance_per_half: Option<Resistance>,
    /// True where the volts above are those of a whole winding without a centre tap.
    pub single_winding: bool,
    /// Winding of a bias supply, with its copper.
    pub bias: Option<(WindingVolts, Option<Resistance>)>,
    /// Heater windings.
    pub heater_windings: Vec<HeaterWinding>,
}

/// One heater winding.
#[derive(Debug, Clone)]
pub struct HeaterWinding {
    /// Name in the profile.
    pub name: String,
    /// Its volts.
    pub volts: WindingVolts,
    /// Its copper.
    pub resistance: Option<Resistance>,
}

/// What the primary takes with every load off, read on a variac.
#[derive(Debug, Clone, Copy)]
pub struct NoLoad {
    /// Volts at the primary, RMS.
    pub at: Voltage,
    /// True RMS amperes.
    pub current: Current,
    /// Watts, where a wattmeter was at hand.
    pub power: Option<Power>,
    /// Frequency of the line it was read on; absent: that of the outlet.
    pub frequency: Option<Frequency>,
}
