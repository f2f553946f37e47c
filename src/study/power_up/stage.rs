//! A stage of a power-up, as data.

use super::{lamp::Glow, range::Range};
use crate::{adaptation::Method, study::Serialize};

/// What is in the sockets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum InSockets {
    /// Nothing: rectifier and tubes are out, dial lamps in.
    Nothing,
    /// Every tube but the rectifier.
    Tubes,
    /// Everything.
    All,
}

/// What the rectifier's cathode gives at a stage.
#[derive(Debug, Clone, Copy, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Emission {
    /// Its heater volts over rated.
    pub heater: f64,
    /// Its emission over that at rated volts.
    pub share: f64,
    /// That share of the rated peak plate current, A; `None` where that rating is not known.
    pub worn_a: Option<f64>,
}

/// A fault at a stage.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct StageFault {
    /// The fault.
    pub fault: &'static str,
    /// Current the ammeter shows, A RMS: least with a worn and cool rectifier, most with no limit of emission.
    pub amps: Range,
    /// The lamp then, where it is in; the darker one of the two cases.
    pub glow: Option<Glow>,
    /// B+ then, V: the higher of the two cases.
    pub b_plus_v: f64,
    /// The same of B2+; null in a set without a second supply.
    pub second_v: Option<f64>,
    /// True if the ammeter tells it from a sound set.
    pub told: bool,
}

/// A stage.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Stage {
    /// Place in the full schedule, from 1: a set without a transformer begins at 3.
    pub step: usize,
    /// What is in the sockets.
    pub sockets: InSockets,
    /// True if the lamp is in the lead.
    pub lamp_in: bool,
    /// The part between bench and set: of what the verdict advises, in the last stage.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub through: Option<Method>,
    /// Volts to set on the variac, RMS.
    pub variac_v: f64,
    /// Minutes, from and to.
    pub minutes: (u32, u32),
    /// At the set's own plug, V RMS.
    pub set_v: Range,
    /// Heater windings.
    pub heaters: Vec<HeaterStage>,
    /// Each half of the high-voltage winding, plate to center tap, or the whole of one without, V RMS, with the
    /// rectifier out.
    pub half_v: Option<f64>,
    /// Across the first filter capacitor, V DC, with the rectifier in.
    pub first_capacitor_v: Option<Range>,
    /// B+ to chassis, V DC, with the rectifier in.
    pub b_plus_v: Option<Range>,
    /// B2+ of a second supply to chassis, V DC, with its rectifier in.
    pub second_v: Option<Range>,
    /// Across a resistor in the line cord, V RMS.
    pub mains_resistor_v: Option<Range>,
    /// What the meter shows on B+ in 95 of 100 sound sets.
    pub sound_b_plus_v: Option<Range>,
    /// Current on the ammeter, A true RMS.
    pub primary_a: Range,
    /// Watts the set takes, without the lamp.
    pub set_w: Range,
    /// Lamp, where it is in: volts across it, RMS.
    pub lamp_v: Option<Range>,
    /// How the lamp looks at the higher of them.
    pub glow: Option<Glow>,
    /// The rectifier's cathode, where it is in and below its rated volts.
    pub emission: Option<Emission>,
    /// True where tubes and rectifier are too cool for one figure: loads drawing by law and a worn rectifier, or no
    /// tube drawing and an ample one.
    pub two_sided: bool,
    /// The least a sound set draws here, A: band and meter counted.
    pub sound_least_a: f64,
    /// The most a sound set draws here, A: band and meter counted.
    pub sound_most_a: f64,
    /// Stop above, A.
    pub stop_a: f64,
    /// Stop above this B+, V, with the rectifier in.
    pub stop_b_plus_v: Option<f64>,
    /// Faults, each solved here.
    pub faults: Vec<StageFault>,
    /// Faults without a solution.
    pub unsolved: Vec<&'static str>,
}

/// A heater winding at a stage.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct HeaterStage {
    /// Winding.
    pub winding: String,
    /// Volts RMS.
    pub volts_v: f64,
    /// Rated volts.
    pub rated_v: f64,
}
