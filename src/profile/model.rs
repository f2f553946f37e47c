//! The validated profile of a set: what the person typed, with types, nothing filled in.
//!
//! `None` means "not stated"; filling in is the business of `receiver::assume`, which lists each filled-in value.

use crate::catalogue::stock::{FuseStandard, ResistorSize};
use crate::catalogue::{LampType, Matched, OutletRange, TubeType};
use crate::quantity::{
    Capacitance, Current, Frequency, Power, Quantity, Resistance, Temperature, Voltage,
};
use serde::Serialize;

pub use super::model_supply::*;

/// A whole set.
#[derive(Debug, Clone)]
pub struct Profile {
    /// What the set is.
    pub set: SetInfo,
    /// Outlet volts through the day.
    pub outlet: Option<Outlet>,
    /// Air around the set.
    pub room: Option<Temperature>,
    /// Mains transformer.
    pub transformer: Transformer,
    /// Series heaters straight on the line; with it the set has no transformer.
    pub heater_string: Option<HeaterString>,
    /// Rectifier.
    pub rectifier: RectifierUse,
    /// Filter from the rectifier to B+.
    pub filter: Vec<FilterPart>,
    /// Bias supply with a winding and a rectifier of its own.
    pub bias_supply: Option<BiasSupply>,
    /// Second supply beside B+.
    pub second_supply: Option<SecondSupply>,
    /// Resistor chains with taps.
    pub dividers: Vec<Divider>,
    /// Other loads.
    pub loads: Vec<Load>,
    /// A resistor that stands in its mains lead now.
    pub mains_resistor: Option<MainsResistor>,
    /// Tubes, the rectifier excepted.
    pub tubes: Vec<TubeUse>,
    /// Dial lamps.
    pub lamps: Vec<LampUse>,
    /// B+ as the service sheet gives it.
    pub sheet_b_plus: Option<SheetReading>,
    /// What the adaptation is to reach.
    pub target: Target,
    /// The fuse now in the set.
    pub fuse: Option<PresentFuse>,
    /// The owner's own parts.
    pub parts: OwnParts,
    /// What the modification note is to say of its own making.
    pub record: Record,
    /// What a meter showed.
    pub readings: Vec<ReadingSet>,
    /// Factors on the set's numbers, fitted to readings before.
    pub calibration: Vec<Calibration>,
    /// How far numbers of the set may be off, where its owner knows.
    pub tolerances: Vec<StatedTolerance>,
    /// How values are known, where that is said.
    pub known: Vec<StatedKnown>,
}

/// How far a number of the set may be off.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedTolerance {
    /// The number, such as `bias.resistors[0]`.
    pub of: String,
    /// How far it may be off either way, as a share; 0 for a number that is known.
    pub spread: f64,
}

/// Readings taken at one setting of the line.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingSet {
    /// Volts at the set's plug.
    pub at_line: Voltage,
    /// The meter.
    pub meter: MeterUse,
    /// How far the meter may be off, as a share, if stated.
    pub accuracy: Option<f64>,
    /// What it showed.
    pub points: Vec<PointReading>,
}

/// A meter, as far as it is stated.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct MeterUse {
    /// What it loads a point with.
    pub load: Option<MeterLoad>,
    /// Whether in AC it responds to the average; else it shows true RMS.
    pub average: bool,
}

/// What a meter loads a point with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MeterLoad {
    /// The same on every range.
    Ohms(Resistance),
    /// This for each volt of its range.
    PerVolt(Resistance),
}

/// One reading.
#[derive(Debug, Clone, PartialEq)]
pub struct PointReading {
    /// Point, by the key it has in a sweep.
    pub key: String,
    /// SI value.
    pub value: f64,
    /// Size of its last digit as written, SI; 0 where that cannot be told.
    pub last_digit: f64,
}

/// How a value is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    /// Read off a meter on this very set.
    Measured,
    /// Printed: the customary tolerance stands about it.
    Nominal,
    /// Neither.
    Guess,
}

/// What a profile says of a value beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedKnown {
    /// Place, such as `filter[1].field_coil.cold`.
    pub path: String,
    /// How it is known.
    pub known: Known,
    /// How far it may be off, as a share; 0 where that is not said of a guess.
    pub within: f64,
}

/// A factor on a number of the set.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibration {
    /// The number, such as `bias.resistors[0]`.
    pub of: String,
    /// Factor on what the profile states or a rule fills in.
    pub factor: f64,
    /// How far it may still be off, as a share.
    pub spread: f64,
}

/// Who did the work, when, and what else is to be known; each may be missing.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Record {
    /// Date, as the writer puts it.
    pub date: Option<String>,
    /// Who.
    pub by: Option<String>,
    /// Where the part was fitted.
    pub place: Option<String>,
    /// Anything else.
    pub remark: Option<String>,
}

/// A fuse now in the set.
#[derive(Debug, Clone, Copy)]
pub struct PresentFuse {
    /// Rating.
    pub rating: Current,
    /// Standard, if stated.
    pub standard: Option<FuseStandard>,
}

/// A resistor that the whole current of the set flows through.
#[derive(Debug, Clone, Copy)]
pub struct MainsResistor {
    /// Its value.
    pub value: Resistance,
    /// Watts it is rated for, where known.
    pub rated: Option<Power>,
    /// True if the maker put it there: the set was designed with it. Else it came later.
    pub by_maker: bool,
}

/// Parts the owner has; where a kind is listed, it replaces the stock of the trade.
#[derive(Debug, Clone, Default)]
pub struct OwnParts {
    /// Resistors: value and size.
    pub resistors: Vec<(Resistance, ResistorSize)>,
    /// Small transformers: primary, secondary volts and secondary current.
    pub transformers: Vec<(Voltage, Voltage, Current)>,
}

/// Nameplate and identity.
#[derive(Debug, Clone)]
pub struct SetInfo {
    /// Name shown on reports.
    pub name: String,
    /// Year of make.
    pub year: Option<i32>,
    /// Mains the set was designed for.
    pub design_line: Voltage,
    /// Mains frequency.
    pub frequency: Option<Frequency>,
    /// Nameplate watts.
    pub nameplate_power: Option<Power>,
}

/// The outlet; `usual` or `range` is there.
#[derive(Debug, Clone, Copy)]
pub struct Outlet {
    /// What it usually is.
    pub usual: Option<Voltage>,
    /// Lowest of the day.
    pub low: Option<Voltage>,
    /// Highest of the day.
    pub high: Option<Voltage>,
    /// The range that gives what is not written.
    pub range: Option<&'static OutletRange>,
    /// Mains frequency at the outlet.
    pub frequency: Option<Frequency>,
}

impl Outlet {
    /// An outlet of which the range alone is known.
    pub fn of(range: &'static OutletRange) -> Outlet {
        Outlet { usual: None, low: None, high: None, range: Some(range), frequency: None }
    }

    /// Usual volts as written, else those of the range.
    pub fn usual_volts(&self) -> Option<Voltage> {
        self.or_of_range(self.usual, |r| r.usual_v)
    }

    /// Lowest volts as written, else those of the range.
    pub fn low_volts(&self) -> Option<Voltage> {
        self.or_of_range(self.low, |r| r.low_v)
    }

    /// Highest volts as written, else those of the range.
    pub fn high_volts(&self) -> Option<Voltage> {
        self.or_of_range(self.high, |r| r.high_v)
    }

    fn or_of_range(
        &self,
        written: Option<Voltage>,
        figure: impl Fn(&OutletRange) -> f64,
    ) -> Option<Voltage> {
        written.or(self.range.map(|r| Voltage::from_si(figure(r))))
    }
}

/// A chain of resistors with taps.
#[derive(Debug, Clone)]
pub struct Divider {
    /// Name.
    pub name: String,
    /// Upper end: `B+`, `reservoir`, `field_coil` (its far end) or another tap.
    pub from: String,
    /// Lower end, usually `chassis`.
    pub to: String,
    /// Resistors in order from the upper end.
    pub resistors: Vec<Resistance>,
    /// Tap names with the place they stand at: 1 is between the first and the second resistor.
    pub taps: Vec<(String, usize)>,
    /// Bypass capacitors to chassis, by tap name.
    pub bypass: Vec<(String, Capacitance)>,
}

/// Another load on the supply.
#[derive(Debug, Clone)]
pub struct Load {
    /// Name.
    pub name: String,
    /// Point it hangs on.
    pub from: String,
    /// What it takes.
    pub draws: Draw,
}

/// What a load takes.
#[derive(Debug, Clone, Copy)]
pub enum Draw {
    /// A resistance to chassis.
    Resistance(Resistance),
    /// A constant current.
    Current(Current),
}

/// Where an electrode is fed from.
#[derive(Debug, Clone)]
pub struct Feed {
    /// Supply point.
    pub from: String,
    /// Series resistance (load resistor, output transformer, screen dropper).
    pub through: Option<Resistance>,
    /// Bypass capacitor at the electrode.
    pub bypass: Option<Capacitance>,
}

/// What the control grid stands at.
#[derive(Debug, Clone)]
pub enum Grid {
    /// A divider tap (its average).
    Tap(String),
    /// A fixed voltage against chassis.
    Fixed(Voltage),
    /// Chassis, through the grid resistor.
    Chassis,
    /// Chassis, through a resistor of this value.
    Leak(Resistance),
}

/// How the cathode returns to chassis.
#[derive(Debug, Clone, Copy)]
pub enum Cathode {
    /// Directly.
    Chassis,
    /// Through a resistor.
    Resistor {
        /// Its value.
        value: Resistance,
        /// Bypass capacitor.
        bypass: Option<Capacitance>,
    },
}

/// A tube in its socket.
#[derive(Debug, Clone)]
pub struct TubeUse {
    /// Name on reports: type and, when given, its duty.
    pub label: String,
    /// The type's data.
    pub kind: TubeType,
    /// How the type name was found; `None` for a type defined in the profile.
    pub matched: Option<Matched>,
    /// How many such tubes share the connections.
    pub count: u32,
    /// Plate feed.
    pub plate: Option<Feed>,
    /// Screen feed.
    pub screen: Option<Feed>,
    /// Grid.
    pub grid: Option<Grid>,
    /// Cathode.
    pub cathode: Option<Cathode>,
    /// Heater winding, or branch of a heater string, if stated.
    pub heater: Option<String>,
    /// Resistor beside the heater, in a heater string.
    pub heater_shunt: Option<Resistance>,
    /// Whether it works in push-pull, if stated.
    pub push_pull: Option<bool>,
    /// Load of a push-pull stage from plate to plate, if stated.
    pub load: Option<Resistance>,
}

/// Dial lamps of one type.
#[derive(Debug, Clone)]
pub struct LampUse {
    /// Place in a heater string.
    pub across: Option<LampPlace>,
    /// Resistor beside it.
    pub shunt: Option<Resistance>,
    /// The type's data.
    pub kind: LampType,
    /// How many in parallel.
    pub count: u32,
    /// Winding that feeds them, or their branch of a heater string, if stated.
    pub fed_by: Option<String>,
}

/// B+ from the service sheet.
#[derive(Debug, Clone, Copy)]
pub struct SheetReading {
    /// Volts.
    pub volts: Voltage,
    /// At this line.
    pub at_line: Option<Voltage>,
}

/// What the adaptation is to reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Target {
    /// Rated heater volts.
    Heaters,
    /// This B+.
    BPlus(Voltage),
    /// The set as it runs on this line without any part.
    AsOnLine(Voltage),
}
