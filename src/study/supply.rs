//! The supply of a set with its solved voltages, as a drawing needs it.

use serde::Serialize;

/// The supply from the high-voltage winding to B+, in order, with what each point carries against chassis.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SupplySketch {
    /// Outlet volts the figures hold for, V RMS.
    pub outlet_v: f64,
    /// Each half of the high-voltage winding at work, V RMS.
    pub half_v: f64,
    /// Rectifier type.
    pub rectifier: String,
    /// DC through the rectifier, A.
    pub dc_a: f64,
    /// Rectifier's cathode against chassis, V DC.
    pub cathode_v: f64,
    /// Centre tap of the winding against chassis, V DC: 0, or negative with something in the negative lead.
    pub centre_v: f64,
    /// From the rectifier on.
    pub elements: Vec<SupplyElement>,
    /// B+ against chassis, V DC.
    pub b_plus_v: f64,
    /// Dividers.
    pub dividers: Vec<DividerSketch>,
}

/// A part of the filter.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum SupplyElement {
    /// Across the supply at this place.
    Capacitor {
        /// Farads.
        farads: f64,
        /// Working volts, where known.
        rated_v: Option<f64>,
        /// Positive side against chassis, V DC.
        positive_v: f64,
        /// Negative side against chassis, V DC.
        negative_v: f64,
    },
    /// A field coil or choke in a lead.
    Coil {
        /// "field coil" or "choke".
        name: String,
        /// True for the speaker's field.
        is_field: bool,
        /// True in the negative lead.
        in_negative_lead: bool,
        /// Ohms at work.
        ohms: f64,
        /// Henries.
        henries: f64,
        /// Drop, V DC.
        drop_v: f64,
        /// Current, A DC.
        current_a: f64,
    },
    /// A resistor in a lead.
    Resistor {
        /// True in the negative lead.
        in_negative_lead: bool,
        /// Ohms.
        ohms: f64,
        /// Drop, V DC.
        drop_v: f64,
    },
}

/// A chain of resistors with its points.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DividerSketch {
    /// Name.
    pub name: String,
    /// Point of the upper end: `B+`, `reservoir`, `field_coil`, or another divider's tap.
    pub from: String,
    /// Upper end against chassis, V DC.
    pub from_v: f64,
    /// Point of the lower end, usually `chassis`.
    pub to: String,
    /// Lower end against chassis, V DC.
    pub to_v: f64,
    /// Ohms in order from the upper end.
    pub resistors: Vec<f64>,
    /// The points between them, one fewer than resistors.
    pub points: Vec<DividerPoint>,
}

/// A point between two resistors of a chain.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DividerPoint {
    /// Name of the tap there, if something hangs on it.
    pub tap: Option<String>,
    /// Against chassis, V DC.
    pub volts_v: f64,
}
