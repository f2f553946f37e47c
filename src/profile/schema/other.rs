//! Rectifier, heater string and bias supply.

use super::supply::CapacitorForm;
use super::values::{Of, Stated, Text, TolerableShare, TypeName, Whole};
use crate::quantity::{Capacitance, Current, Power, Resistance, Voltage};
use schemars::JsonSchema;

/// Rectifier
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Rectifier {
    /// Type of the catalogue (`mainsfit tubes`), `silicon` or `selenium`
    #[serde(rename = "type")]
    kind: TypeName,
    /// How its diodes are joined; absent: full-wave on a winding with a centre tap if there are two, else half-wave
    circuit: Option<Circuit>,
    /// 1 to 4 tubes of the type, diodes left over in parallel; 1 if absent
    count: Option<Whole>,
    /// Heater winding that feeds it; absent: the winding whose volts fit within 12 %. In a heater string its branch;
    /// absent: in series with all
    fed_by: Option<Text>,
    /// Volts across one plate, instead of the catalogue's
    drop: Option<Stated<Voltage>>,
    /// Current per plate at that drop
    drop_at: Option<Of<Current>>,
    /// Resistor in the lead of each plate
    surge_resistor: Option<Stated<Resistance>>,
    /// The two capacitors of a doubler: full-wave, the one to the positive end first; half-wave, the one in the AC lead
    /// first
    #[schemars(length(min = 2, max = 2))]
    capacitors: Option<Vec<CapacitorForm>>,
    /// The tube that a dry rectifier was put in the place of
    replaces: Option<Replaced>,
}

/// A type, or a mapping
#[derive(JsonSchema)]
#[serde(untagged)]
pub(super) enum Replaced {
    Tube(TypeName),
    Keys(TubeAndResistor),
}

/// The tube, and the resistor that came with what took its place
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct TubeAndResistor {
    /// The tube
    tube: TypeName,
    /// The resistor in each plate lead that was fitted for the dry rectifier
    resistor: Option<Of<Resistance>>,
}

/// How a rectifier's diodes are joined
#[derive(JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Circuit {
    /// Two plates on a winding with a centre tap
    FullWave,
    /// One plate
    HalfWave,
    /// Four diodes on a winding without a centre tap
    Bridge,
    /// Two half-wave supplies of opposite sense, stacked
    FullWaveDoubler,
    /// A capacitor in the AC lead adds its volts to the other half cycle
    HalfWaveDoubler,
}

/// Series heaters straight on the line
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct HeaterString {
    /// What stands in series with the heaters, one dropper or a list in order from the line on; none if absent
    dropper: Option<DropperForm>,
    /// Heaters side by side: tubes name their branch with `heater`, the rectifier and lamps with `fed_by`
    #[schemars(length(max = 8))]
    branches: Option<Vec<HeaterBranch>>,
}

/// Heaters in series, side by side with those of the other branches of their group
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct HeaterBranch {
    /// Its name
    name: Text,
    /// Branches of one group lie across each other, 1 to 8; 1 if absent
    group: Option<Whole>,
    /// Resistors in series with its heaters, of `kind: resistor` only
    dropper: Option<DropperForm>,
}

/// A dropper, several in series, or `none`
#[derive(JsonSchema)]
#[serde(untagged)]
pub(super) enum DropperForm {
    Word(NoDropper),
    Keys(Box<Dropper>),
    List(DropperList),
}

/// Droppers in series, in order from the line on
#[derive(JsonSchema)]
pub(super) struct DropperList(#[schemars(length(max = 8))] Vec<Dropper>);

/// Nothing in series
#[derive(JsonSchema)]
#[serde(rename_all = "lowercase")]
pub(super) enum NoDropper {
    /// The heaters alone take the line
    None,
}

/// What drops the volts that the heaters do not need
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("anyOf" = [
    { "required": ["resistance"] },
    { "required": ["type"] },
    { "required": ["volts", "current"] },
    { "required": ["current", "holds"] },
    { "required": ["capacitance"] },
    { "properties": { "kind": { "const": "diode", "description": "A diode may stand alone" } } },
]))]
pub(super) struct Dropper {
    /// Its make
    kind: DropperKind,
    /// Code of a ballast, such as K49; type of a barretter, in quotes if it is a number
    #[serde(rename = "type")]
    name: Option<TypeName>,
    /// Resistance of a resistor, of a line cord's wire, or of the resistor beside a diode
    resistance: Option<Stated<Resistance>>,
    /// Volts across a ballast tube at its current, a lamp beside part of it lit
    volts: Option<Of<Voltage>>,
    /// Current of a ballast tube there, or that a barretter holds
    current: Option<Of<Current>>,
    /// Volts between which a barretter holds its current
    holds: Option<Holds>,
    /// How far a barretter's current is off at the ends of its range, as a share
    within: Option<TolerableShare>,
    /// Length of a line cord, in ft or m
    length: Option<Text>,
    /// Value of a capacitor
    capacitance: Option<Of<Capacitance>>,
    /// Resistor across a capacitor
    bleeder: Option<Of<Resistance>>,
    /// Resistor in series with a capacitor
    surge_resistor: Option<Of<Resistance>>,
    /// Watts it is rated for; of a capacitor the AC volts
    rated: Option<Rated>,
}

/// Watts, or the AC volts of a capacitor
#[derive(JsonSchema)]
#[serde(untagged)]
pub(super) enum Rated {
    Watts(Of<Power>),
    Volts(Of<Voltage>),
}

/// Range of a barretter
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Holds {
    /// Lowest volts
    from: Of<Voltage>,
    /// Highest volts
    to: Of<Voltage>,
}

/// Makes of a dropper
#[derive(JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum DropperKind {
    /// A wirewound resistor in the set, or a section of one
    Resistor,
    /// Resistance wire in the line cord
    LineCord,
    /// A ballast tube: resistance wire in a can or bulb
    Ballast,
    /// Iron wire in hydrogen: it holds its current within its range
    Barretter,
    /// A capacitor in the place of a resistor
    Capacitor,
    /// A silicon diode, with or without a resistor
    Diode,
}

/// Bias supply of its own: half-wave, its output negative, the supply point `C-`
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct BiasSupply {
    /// Its rectifier: a type of the catalogue, `silicon` or `selenium`
    rectifier: TypeName,
    /// Volts across the rectifier, instead of the catalogue's
    drop: Option<Of<Voltage>>,
    /// Current at that drop
    drop_at: Option<Of<Current>>,
    /// Parts from the rectifier on, a capacitor first
    #[schemars(length(min = 1, max = 40))]
    filter: Vec<BiasPart>,
}

/// A part of a bias supply's filter
#[derive(JsonSchema)]
#[serde(rename_all = "lowercase")]
pub(super) enum BiasPart {
    /// A capacitor to chassis
    Capacitor(Of<Capacitance>),
    /// A resistor in the lead
    Resistor(Of<Resistance>),
}
