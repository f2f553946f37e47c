//! A divider with everything found, as data.

use super::{
    design::{Buy, DividerSize},
    meter::{MeterReading, Voltmeter},
};
use crate::study::{Caution, Serialize, Working, caution};

/// How far up carbon resistors drift, as shares: most stock is 7 to 22 % high, sets have worse (common practice, no
/// source).
pub const DRIFTS: [f64; 3] = [0.1, 0.2, 0.5];

/// The set a divider belongs to.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DividerPlace {
    /// Name of the set.
    pub set: String,
    /// Name of the divider.
    pub divider: String,
    /// Outlet, V RMS; the set stands straight on it.
    pub outlet_v: f64,
    /// Point of the upper end.
    pub from: String,
    /// Point of the lower end.
    pub to: String,
}

/// An arm at work.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Arm {
    /// Ω.
    pub ohms: f64,
    /// Across it, V, upper end against lower.
    pub volts_v: f64,
    /// Through it, A, downwards.
    pub current_a: f64,
    /// Heat, W.
    pub heat_w: f64,
    /// Heat with nothing on the taps, W.
    pub free_heat_w: f64,
    /// What to buy, for the larger of both.
    pub buy: Buy,
}

/// A joint of two arms.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Tap {
    /// Name.
    pub name: String,
    /// Against chassis, V.
    pub volts_v: f64,
    /// With nothing on any tap, V.
    pub free_v: f64,
    /// What it feeds, A; negative where it is fed.
    pub takes_a: f64,
    /// Resistance of the free divider as seen from the tap, both ends holding their volts, Ω.
    pub looks_like_ohms: f64,
}

/// The divider with other values.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Rounded {
    /// Series of IEC 60063.
    pub series: &'static str,
    /// Nearest values, Ω.
    pub arms_ohms: Vec<f64>,
    /// Taps with them, V.
    pub taps_v: Vec<f64>,
}

/// A meter on each tap against chassis and across each arm, one place at a time.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Metered {
    /// The meter.
    pub meter: Voltmeter,
    /// Taps.
    pub taps: Vec<MeterReading>,
    /// Arms.
    pub arms: Vec<MeterReading>,
}

/// The taps with an arm drifted up.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Drifted {
    /// Which arm from the upper end, counted from 0; `None` for all alike.
    pub arm: Option<usize>,
    /// By what share.
    pub by: f64,
    /// Taps, V.
    pub taps_v: Vec<f64>,
}

/// A divider with everything found.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct DividerStudy {
    /// Cautions of the set it belongs to, in the order of the work.
    #[serde(serialize_with = "caution::spoken")]
    #[cfg_attr(feature = "schema", schemars(with = "Vec<caution::Spoken<'_>>"))]
    pub cautions: Vec<Caution>,
    /// The set it belongs to, if it does.
    pub place: Option<DividerPlace>,
    /// How large it was to be, where its resistors were sought.
    pub wanted: Option<DividerSize>,
    /// Upper end against chassis, V.
    pub from_v: f64,
    /// Lower end against chassis, V.
    pub to_v: f64,
    /// All arms together, Ω.
    pub total_ohms: f64,
    /// Arms from the upper end.
    pub arms: Vec<Arm>,
    /// Joints from the upper end.
    pub taps: Vec<Tap>,
    /// With standard values.
    pub rounded: Vec<Rounded>,
    /// With meters on it.
    pub metered: Vec<Metered>,
    /// With arms drifted up.
    pub drifted: Vec<Drifted>,
    /// The sums on paper.
    pub working: Vec<Working>,
    /// Stands with it.
    pub caution: &'static str,
}
