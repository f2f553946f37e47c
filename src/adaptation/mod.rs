//! What can stand in the mains lead, behind one trait.
//!
//! An adaptation knows its elements, its one free number, and which parts of the trade come near a wanted
//! value. It solves nothing and advises nothing; `study` does that.

mod bucking;
mod resistor;
mod variac;

pub use bucking::{Across, Bucking, BuckingPart, primary_for as bucking_primary};
pub use resistor::{Dropper, RATING_MARGIN, SeriesResistor};
pub use variac::{Variac, VariacSetting};

use crate::receiver::{MainsLead, Straight};

/// The number an adaptation is solved for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unknown {
    /// What it is, for reports.
    pub name: &'static str,
    /// SI unit, for reports.
    pub unit: &'static str,
    /// Smallest value to be tried.
    pub low: f64,
    /// Largest value to be tried.
    pub high: f64,
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
}

/// A part of the trade, ready to be put into the circuit.
pub trait Part: MainsLead + Sync {
    /// What to ask for over the counter.
    fn describe(&self) -> String;
    /// Value of the adaptation's unknown, SI.
    fn value(&self) -> f64;
    /// Watts it is rated to lose, where it has such a rating.
    fn rated_watts(&self) -> Option<f64> {
        None
    }
}

/// A way to adapt a set to its outlet.
pub trait Adaptation: Sync {
    /// Short name used in commands and JSON.
    fn id(&self) -> &'static str;
    /// Title on reports.
    fn title(&self) -> &'static str;
    /// The free number; `None` if there is nothing to choose.
    fn unknown(&self) -> Option<Unknown>;
    /// The adaptation with its exact value.
    fn exact(&self, value: f64, duty: &Duty) -> Box<dyn Part>;
    /// Stock parts around an exact value, nearest first.
    fn stock(&self, value: f64, duty: &Duty) -> Vec<Box<dyn Part>>;
}

/// Leave the set as it is.
#[derive(Debug, Clone, Copy, Default)]
pub struct AsIs;

impl Part for Straight {
    fn describe(&self) -> String {
        "nothing".to_owned()
    }
    fn value(&self) -> f64 {
        0.0
    }
}

impl Adaptation for AsIs {
    fn id(&self) -> &'static str {
        "as-is"
    }
    fn title(&self) -> &'static str {
        "As it is"
    }
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

/// Every adaptation, in the order of the reports, for a set designed for `design_line` volts.
pub fn all(design_line: f64) -> Vec<Box<dyn Adaptation>> {
    vec![
        Box::new(AsIs),
        Box::new(Variac),
        Box::new(SeriesResistor),
        Box::new(Bucking::new(Across::Outlet, design_line)),
        Box::new(Bucking::new(Across::Set, design_line)),
    ]
}
