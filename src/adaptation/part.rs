//! What stands in the lead and how it is found: the traits behind which all of it stands, and their words.

use super::{Bought, Dropper};
use crate::receiver::{AsBuilt, MainsLead, Straight};
use serde::Serialize;

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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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

/// A way in which a part fails or is wired wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Failure {
    /// The path of the set's current is open.
    Open,
    /// Another winding is open than the one the set's current flows through.
    PrimaryOpen,
    /// It is connected the wrong way round.
    Reversed,
}

/// Any part.
pub type AnyPart = Box<dyn Part>;

/// What a failed part is called, and the part.
pub type Failed = (&'static str, AnyPart);

/// What can be had once more.
pub trait Copied {
    /// The part once more.
    fn copied(&self) -> AnyPart;
}

impl<P: Part + Clone + 'static> Copied for P {
    fn copied(&self) -> AnyPart {
        Box::new(self.clone())
    }
}

impl Clone for AnyPart {
    fn clone(&self) -> AnyPart {
        (**self).copied()
    }
}

/// Parts of one kind among all others.
pub fn any<P: Part + 'static>(parts: impl IntoIterator<Item = P>) -> Vec<AnyPart> {
    parts.into_iter().map(|part| Box::new(part) as AnyPart).collect()
}

/// A part of the trade, ready to be put into the circuit.
pub trait Part: MainsLead + Copied + Send + Sync {
    /// What to ask for over the counter.
    fn bought(&self) -> Bought;
    /// Value of the adaptation's unknown, SI; 0 for what has none.
    fn value(&self) -> f64 {
        0.0
    }
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
    fn larger(&self, _which: usize) -> Option<AnyPart> {
        None
    }
    /// Resistance it settles at with `amps` through and `volts` across it, RMS, for parts that warm up.
    fn hot_ohms(&self, _amps: f64, _volts: f64) -> Option<f64> {
        None
    }
    /// The same part settled at another resistance.
    fn with_ohms(&self, _ohms: f64) -> Option<AnyPart> {
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
    /// The part with its `index`-th uncertain value multiplied by `factor`; a copy where it has none.
    fn varied(&self, _index: usize, _factor: f64) -> AnyPart {
        self.copied()
    }
    /// The part failed or wired wrong in that way, where that can be, and what that is called.
    fn failed(&self, _how: Failure) -> Option<Failed> {
        None
    }
    /// The ways to connect it wrong, each as it then stands; nothing where its iron saturates and no figure holds.
    fn miswired(&self) -> Vec<(Miswired, Option<AnyPart>)> {
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
    fn cold(&self) -> Option<AnyPart> {
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
    fn unknown(&self) -> Option<Unknown> {
        None
    }
    /// Unit of a part's value where nothing is solved for.
    fn value_unit(&self) -> Option<&'static str> {
        self.unknown().map(|u| u.unit)
    }
    /// What to know about it whatever the figures say.
    fn caveat(&self) -> Option<&'static str> {
        None
    }
    /// First guess of the unknown, where it is not hand arithmetic in the line cord: `excess_v` is what is too much at
    /// the set's plug.
    fn guess(&self, _excess_v: f64) -> Option<f64> {
        None
    }
    /// True if it can raise as well as lower what the heaters get.
    fn goes_both_ways(&self) -> bool {
        false
    }
    /// The adaptation with its exact value.
    fn exact(&self, value: f64, duty: &Duty) -> AnyPart;
    /// Stock parts around an exact value, nearest first.
    fn stock(&self, value: f64, duty: &Duty) -> Vec<AnyPart> {
        vec![self.exact(value, duty)]
    }
    /// Two of stock in series around an exact value, which share what a fault puts into a single one; none unless it says
    /// otherwise.
    fn in_two(&self, _value: f64, _duty: &Duty) -> Option<AnyPart> {
        None
    }
}

impl Part for Straight {
    fn bought(&self) -> Bought {
        Bought::ware("nothing".to_owned())
    }
    fn is_nothing(&self) -> bool {
        true
    }
}

impl Part for AsBuilt {
    fn bought(&self) -> Bought {
        Bought::ware("take out the mains resistor".to_owned())
    }
    fn stands_in_lead(&self) -> bool {
        false
    }
}

/// One part and no choice: the set left as it is, or without the resistor that a repairer put into its line cord.
pub struct Only<P>(pub P);

impl<P: Part + Clone + 'static> Adaptation for Only<P> {
    fn exact(&self, _: f64, _: &Duty) -> AnyPart {
        self.0.copied()
    }
}
