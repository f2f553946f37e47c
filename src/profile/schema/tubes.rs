//! Tubes, types and lamps of a profile.

use super::values::{ClassName, GridAt, Of, Plain, Stated, SupplyPoint, Text, TypeName, Whole};
use crate::quantity::{Capacitance, Current, Power, Resistance, Transconductance, Voltage};
use schemars::JsonSchema;

/// A tube or rectifier type of your own; a rectifier if `based_on` is one, or if a key that only rectifiers have is there
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct OwnType {
    /// Type of the catalogue whose figures hold where none is given
    based_on: Option<TypeName>,
    /// Class of tube; absent: that of `based_on`, else `pentode` with a screen, `triode` without
    class: Option<ClassName>,
    /// Rated heater volts; required without `based_on`
    heater_volts: Option<Of<Voltage>>,
    /// Rated heater current; required without `based_on`
    heater_current: Option<Of<Current>>,
    /// Plate volts of the published point
    plate: Option<Of<Voltage>>,
    /// Screen volts of the published point
    screen: Option<Of<Voltage>>,
    /// Grid volts of the published point, negative
    grid: Option<Of<Voltage>>,
    /// Plate current of the published point
    plate_current: Option<Of<Current>>,
    /// Screen current of the published point
    screen_current: Option<Of<Current>>,
    /// Transconductance, grid to plate
    transconductance: Option<Of<Transconductance>>,
    /// Amplification factor, 0.5 to 5000; needed for triodes
    mu: Option<Plain>,
    /// Highest plate volts
    max_plate: Option<Of<Voltage>>,
    /// Highest plate dissipation
    max_plate_power: Option<Of<Power>>,
    /// Highest screen volts
    max_screen: Option<Of<Voltage>>,
    /// Highest screen dissipation
    max_screen_power: Option<Of<Power>>,
    /// Diodes of a rectifier; required of one without `based_on`
    wave: Option<OwnWave>,
    /// What a rectifier's cathode is; required of one without `based_on`
    heating: Option<OwnHeating>,
    /// Volts across one plate of a rectifier; absent: by kinship, with a wide spread
    drop: Option<Of<Voltage>>,
    /// Current per plate at that drop
    drop_at: Option<Of<Current>>,
    /// Volts of the tapped part of a rectifier's heater that a dial lamp hangs on
    lamp_tap: Option<Of<Voltage>>,
    /// Highest peak inverse volts of a rectifier
    max_peak_inverse: Option<Of<Voltage>>,
    /// Highest peak current of one plate
    max_peak_plate_current: Option<Of<Current>>,
    /// Highest DC output of a rectifier
    max_dc_current: Option<Of<Current>>,
    /// Highest AC volts per plate with a capacitor first
    max_ac_capacitor_input: Option<Of<Voltage>>,
    /// Largest first filter capacitor
    max_first_capacitor: Option<Of<Capacitance>>,
    /// Where the figures come from
    source: Option<Text>,
}

/// Diodes in the bulb
#[derive(JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum OwnWave {
    /// Two plates, one cathode
    Full,
    /// One plate, one cathode
    Half,
    /// Two plates, each with its cathode
    TwoHalf,
}

/// How it is heated
#[derive(JsonSchema)]
#[serde(rename_all = "lowercase")]
pub(super) enum OwnHeating {
    /// The filament is the cathode
    Direct,
    /// A heater warms a cathode
    Indirect,
}

/// A tube: its type alone, or a mapping that says how it is connected
#[derive(JsonSchema)]
#[serde(untagged)]
pub(super) enum TubeForm {
    Type(TypeName),
    Keys(Tube),
}

/// What a control grid stands at, or the resistor from it to chassis
#[derive(JsonSchema)]
#[serde(untagged)]
pub(super) enum GridForm {
    At(GridAt),
    Leak(GridLeak),
}

/// A grid with no bias but what its own current leaves
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct GridLeak {
    /// Resistance from the grid to chassis
    leak: Of<Resistance>,
}

/// A tube in its socket
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Tube {
    /// Type of the catalogue or of `types`
    #[serde(rename = "type")]
    kind: TypeName,
    /// What it does, shown beside the type
    duty: Option<Text>,
    /// 1 to 8 tubes that share all connections; 1 if absent
    count: Option<Whole>,
    /// Where the plate is fed from; absent: B+, through what its class usually has
    plate: Option<FeedForm>,
    /// Resistance between the plate's supply point and the plate; needs `plate`
    through: Option<Stated<Resistance>>,
    /// Where the screen is fed from; absent: B+, through what gives the published screen volts
    screen: Option<FeedForm>,
    /// What the control grid stands at; absent: chassis if the cathode is given, otherwise self-bias
    grid: Option<GridForm>,
    /// How the cathode returns to chassis; absent: `chassis` if the grid is given, otherwise the resistor that gives
    /// the published bias
    cathode: Option<CathodeForm>,
    /// Heater winding; absent: the winding whose volts fit within 12 %. In a heater string its branch; absent: in series
    /// with all
    heater: Option<Text>,
    /// Resistor beside the heater of each, in a heater string
    heater_shunt: Option<Stated<Resistance>>,
    /// How the tubes share their work; absent: two output tubes of a type are in push-pull
    stage: Option<Stage>,
    /// Load of a push-pull stage from plate to plate; absent: what is customary for the type
    load: Option<Of<Resistance>>,
}

/// How the tubes of a stage share their work
#[derive(JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Stage {
    /// Each the whole signal, several in parallel
    SingleEnded,
    /// In opposition
    PushPull,
}

/// Where an electrode is fed from: a supply point, or a mapping
#[derive(JsonSchema)]
#[serde(untagged)]
pub(super) enum FeedForm {
    Point(SupplyPoint),
    Keys(Feed),
}

/// Where an electrode is fed from
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Feed {
    /// Supply point
    from: SupplyPoint,
    /// Series resistance
    through: Option<Stated<Resistance>>,
    /// Capacitor from the electrode to chassis; counts only with `through`
    bypass: Option<Of<Capacitance>>,
}

/// How a cathode returns to chassis: `chassis`, a resistance, or a mapping
#[derive(JsonSchema)]
#[serde(untagged)]
pub(super) enum CathodeForm {
    Direct(Chassis),
    Resistor(Of<Resistance>),
    Keys(Cathode),
}

/// The chassis
#[derive(JsonSchema)]
#[serde(rename_all = "lowercase")]
pub(super) enum Chassis {
    /// Straight to chassis
    Chassis,
}

/// A cathode resistor
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Cathode {
    /// Its resistance
    resistor: Stated<Resistance>,
    /// Its bypass capacitor
    bypass: Option<Of<Capacitance>>,
}

/// Dial lamps of one type
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Lamp {
    /// Lamp of the catalogue, in quotes if it begins with `#`; any name once `volts` and `current` are given
    #[serde(rename = "type")]
    kind: TypeName,
    /// 1 to 20 in parallel; 1 if absent
    count: Option<Whole>,
    /// Rated volts, instead of the catalogue's
    volts: Option<Of<Voltage>>,
    /// Current at those volts
    current: Option<Of<Current>>,
    /// Heater winding that feeds them, or their branch of a heater string
    fed_by: Option<Text>,
    /// Where they hang in a set with a `heater_string`; `string` if absent
    across: Option<LampPlace>,
    /// Resistor beside them, or the section of the dropper that they lie across
    shunt: Option<Of<Resistance>>,
}

/// Places of a lamp in a heater string
#[derive(JsonSchema)]
#[serde(rename_all = "lowercase")]
pub(super) enum LampPlace {
    /// Across the tapped part of the rectifier's heater
    Tap,
    /// In series with the heaters
    String,
    /// Across a section of the ballast
    Ballast,
    /// Across a part of the resistance cord
    Cord,
    /// Across a section of the dropper's resistor
    Dropper,
}
