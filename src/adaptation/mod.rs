//! What can stand in the mains lead, behind one trait.
//!
//! An adaptation knows its elements, its one free number, and which parts of the trade come near a wanted
//! value. It solves nothing and advises nothing; `study` does that.

mod behind;
mod bought;
mod bucking;
mod lamp;
mod methods;
mod resistor;
mod step;
mod string;
mod tap;
mod thermistor;
mod variac;

pub use behind::remainders;
pub use bought::{Bought, Place};
pub use bucking::{Across, Bucking, BuckingPart, PRIMARY_SWING};
pub use lamp::{LitLamp, SeriesLamp};
pub use methods::{Facts, Method, Offer, Stands, Station, With, offers};
pub use resistor::{
    Build, COOLEST_PLACE_C, Dropper, Joined, RATING_MARGIN, SeriesResistor, UNDER_CHASSIS_C,
};
pub use step::{SIZE_MARGIN, Step, StepPart, far_off};
pub use string::{StringDropper, StringPart, Surge};
pub use tap::{Tap, Taps};
pub use thermistor::{HotThermistor, InrushThermistor};
pub use variac::{Variac, VariacSetting};

use crate::receiver::{AsBuilt, MainsLead, Straight};
use schemars::JsonSchema;
use serde::Serialize;

pub use crate::receiver::OPEN_OHMS;

/// What an adaptation's free number is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sought {
    /// Volts that a variac is set to.
    Setting,
    /// Ohms in the lead.
    Resistance,
    /// Volts of a small transformer's secondary, taken off.
    Secondary,
    /// The same, added.
    Aiding,
    /// Ohms in the heater string.
    Dropper,
}

impl Sought {
    /// Its name on reports and in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Sought::Setting => "setting",
            Sought::Resistance => "resistance",
            Sought::Secondary | Sought::Aiding => "secondary",
            Sought::Dropper => "dropper",
        }
    }
}

/// The number an adaptation is solved for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unknown {
    /// What it is.
    pub what: Sought,
    /// SI unit, for reports.
    pub unit: &'static str,
    /// Smallest value to be tried.
    pub low: f64,
    /// Largest value to be tried.
    pub high: f64,
}

/// A way to connect a transformer wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Miswired {
    /// The two secondary wires are swapped.
    SecondarySwapped,
    /// The primary is on the other side of the secondary.
    PrimaryOnOtherSide,
    /// Both.
    Both,
    /// Each winding stands in the place of the other.
    WindingsSwapped,
}

/// What is known of the duty when a part is chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Duty {
    /// Usual outlet volts, RMS.
    pub outlet: f64,
    /// RMS amperes of the set at high line, with the part in.
    pub amps: f64,
    /// Current that the set's fuse may let pass for an hour, if a fuse suits.
    pub held_amps: Option<f64>,
    /// Watts of the set on its design line, the line as high above it as the outlet gets above its usual volts.
    pub watts: f64,
}

/// A part of the trade, ready to be put into the circuit.
pub trait Part: MainsLead + Send + Sync {
    /// What to ask for over the counter.
    fn bought(&self) -> Bought;
    /// Value of the adaptation's unknown, SI.
    fn value(&self) -> f64;
    /// True for no part at all.
    fn is_nothing(&self) -> bool {
        false
    }
    /// False for a part inside the set, which the line's current does not flow through.
    fn stands_in_lead(&self) -> bool {
        true
    }
    /// Resistors it is made of, each judged against a rating of its own, in the order of `Reading::fitted_w`.
    fn resistors(&self) -> Vec<&Dropper> {
        Vec::new()
    }
    /// Size of a transformer for the whole set, VA.
    fn va(&self) -> Option<f64> {
        None
    }
    /// The part that stands behind that transformer.
    fn second(&self) -> Option<&dyn Part> {
        None
    }
    /// Heat in its resistance with `line_amps` drawn from the outlet, W.
    fn fault_w(&self, line_amps: f64) -> f64 {
        line_amps * line_amps * self.value()
    }
    /// The next larger size of a part that can be had larger; of its resistors the `which`-th grows.
    fn larger(&self, _which: usize) -> Option<Box<dyn Part>> {
        None
    }
    /// Resistance it settles at with `amps` through and `volts` across it, RMS, for parts that warm up.
    fn hot_ohms(&self, _amps: f64, _volts: f64) -> Option<f64> {
        None
    }
    /// The same part settled at another resistance.
    fn with_ohms(&self, _ohms: f64) -> Option<Box<dyn Part>> {
        None
    }
    /// Currents between which its law holds and it may be used, A RMS.
    fn current_range(&self) -> Option<(f64, f64)> {
        None
    }
    /// What is uncertain about it.
    fn tolerances(&self) -> Vec<Tolerance> {
        Vec::new()
    }
    /// The part with its `index`-th uncertain value multiplied by `factor`.
    fn varied(&self, index: usize, factor: f64) -> Box<dyn Part>;
    /// The part connected the wrong way round, where that can be done, and what that is called.
    fn reversed(&self) -> Option<(&'static str, Box<dyn Part>)> {
        None
    }
    /// The ways to connect it wrong, each as it then stands; nothing where its iron saturates and no figure holds.
    fn miswired(&self) -> Vec<(Miswired, Option<Box<dyn Part>>)> {
        Vec::new()
    }
    /// Rated volts of its own primary, where it has one.
    fn own_primary_volts(&self) -> Option<f64> {
        None
    }
    /// Volts across that primary when the outlet and the set stand at these.
    fn primary_across(&self, _outlet_v: f64, set_v: f64) -> f64 {
        set_v
    }
    /// The part as it stands cold, at switch-on, where that differs.
    fn cold(&self) -> Option<Box<dyn Part>> {
        None
    }
    /// The part with the path of the set's current open, where it can fail so, and what that is called.
    fn opened(&self) -> Option<(&'static str, Box<dyn Part>)> {
        None
    }
    /// The part with another winding open than the one the set's current flows through, and what that is called.
    fn primary_opened(&self) -> Option<(&'static str, Box<dyn Part>)> {
        None
    }
}

/// An uncertain value of a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerance {
    /// What.
    pub what: &'static str,
    /// Value as text.
    pub value: String,
    /// Where the spread comes from.
    pub rule: &'static str,
    /// How far it may be off, as a share.
    pub spread: f64,
}

/// A way to adapt a set to its outlet.
pub trait Adaptation: Sync {
    /// The free number; `None` if there is nothing to choose.
    fn unknown(&self) -> Option<Unknown>;
    /// Unit of a part's value where nothing is solved for.
    fn value_unit(&self) -> Option<&'static str> {
        self.unknown().map(|u| u.unit)
    }
    /// What to know about it whatever the figures say.
    fn caveat(&self) -> Option<&'static str> {
        None
    }
    /// First guess of the unknown, where it is not hand arithmetic in the mains lead: `excess_v` is what is too much at
    /// the set's plug.
    fn guess(&self, _excess_v: f64) -> Option<f64> {
        None
    }
    /// True if it can raise as well as lower what the heaters get.
    fn goes_both_ways(&self) -> bool {
        false
    }
    /// The adaptation with its exact value.
    fn exact(&self, value: f64, duty: &Duty) -> Box<dyn Part>;
    /// Stock parts around an exact value, nearest first.
    fn stock(&self, value: f64, duty: &Duty) -> Vec<Box<dyn Part>>;
}

/// Leave the set as it is.
#[derive(Debug, Clone, Copy, Default)]
pub struct AsIs;

impl Part for Straight {
    fn bought(&self) -> Bought {
        Bought::ware("nothing".to_owned())
    }
    fn value(&self) -> f64 {
        0.0
    }
    fn is_nothing(&self) -> bool {
        true
    }
    fn varied(&self, _: usize, _: f64) -> Box<dyn Part> {
        Box::new(Straight)
    }
}

/// Take out the resistor that a repairer put into the mains lead.
#[derive(Debug, Clone, Copy, Default)]
pub struct TakeOut;

impl Part for AsBuilt {
    fn bought(&self) -> Bought {
        Bought::ware("take out the mains resistor".to_owned())
    }
    fn value(&self) -> f64 {
        0.0
    }
    fn stands_in_lead(&self) -> bool {
        false
    }
    fn varied(&self, _: usize, _: f64) -> Box<dyn Part> {
        Box::new(AsBuilt)
    }
}

impl Adaptation for TakeOut {
    fn unknown(&self) -> Option<Unknown> {
        None
    }
    fn exact(&self, _: f64, _: &Duty) -> Box<dyn Part> {
        Box::new(AsBuilt)
    }
    fn stock(&self, _: f64, _: &Duty) -> Vec<Box<dyn Part>> {
        vec![Box::new(AsBuilt)]
    }
}

impl Adaptation for AsIs {
    fn unknown(&self) -> Option<Unknown> {
        None
    }
    fn exact(&self, _: f64, _: &Duty) -> Box<dyn Part> {
        Box::new(Straight)
    }
    fn stock(&self, _: f64, _: &Duty) -> Vec<Box<dyn Part>> {
        vec![Box::new(Straight)]
    }
}

/// What there is to choose from for one set.
#[derive(Debug, Clone, Default)]
pub struct Shelf {
    /// Design line of the set, V.
    pub design_line: f64,
    /// Usual outlet volts: they tell which region's parts are sold there.
    pub outlet: f64,
    /// Highest outlet volts.
    pub high: f64,
    /// Taps of its primary, V; empty if it has none.
    pub taps: Vec<f64>,
    /// The owner's resistors: Ω and size. Empty: the stock of the trade.
    pub resistors: Vec<(f64, crate::catalogue::stock::ResistorSize)>,
    /// The owner's small transformers: primary V, secondary V, secondary A. Empty: the stock of the trade.
    pub transformers: Vec<(f64, f64, f64)>,
    /// Usual volts at its primary that its iron bears at the frequency of the outlet, where that is another than it was made
    /// for.
    pub iron_v: Option<f64>,
    /// The heater string of a set without a transformer.
    pub string: Option<StringDropper>,
    /// True where a diode in the string draws direct current from the line.
    pub direct_current: bool,
    /// True where a repairer put a resistor into the mains lead.
    pub mains_resistor: bool,
}

/// Share of its primary volts up to which a small transformer's secondary is to buck with; above, it is for a set.
const BUCKS_UP_TO: f64 = 0.45;

impl Shelf {
    /// The owner's transformers that are for a set, or those that are to buck or to boost with.
    fn own_transformers(&self, for_a_set: bool) -> Vec<(f64, f64, f64)> {
        let all = self.transformers.iter().copied();
        all.filter(|(primary, secondary, _)| (*secondary > BUCKS_UP_TO * *primary) == for_a_set)
            .collect()
    }
}
