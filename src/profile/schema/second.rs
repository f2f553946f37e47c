//! A second supply beside B+.

use super::other::Circuit;
use super::supply::{FilterPart, HighVoltage};
use super::values::{Of, Stated, Text, True, TypeName, Whole};
use crate::quantity::{Current, Resistance, Voltage};
use schemars::JsonSchema;

/// A second supply beside B+, its negative end at chassis
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct SecondSupply {
    /// `shared` where one diode of the main rectifier feeds it, on the main AC; or its own rectifier
    rectifier: SecondRectifier,
    /// Winding of its own rectifier, in a set with a transformer; absent in a set without one: straight on the line
    winding: Option<HighVoltage>,
    /// Parts from its rectifier on, in the positive lead or across
    #[schemars(length(max = 40), extend("contains" = { "required": ["capacitor"] }))]
    filter: Vec<FilterPart>,
}

/// One diode of the main rectifier, or a rectifier
#[derive(JsonSchema)]
#[serde(untagged)]
pub(super) enum SecondRectifier {
    Word(Shared),
    Lent(Lent),
    Own(Own),
}

/// One diode of the main rectifier
#[derive(JsonSchema)]
#[serde(rename_all = "lowercase")]
pub(super) enum Shared {
    /// The main circuit keeps the rest
    Shared,
}

/// One diode of the main rectifier, with a resistor in its lead
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Lent {
    /// The main circuit keeps the rest
    shared: True,
    /// Resistor in the lead of its plate
    surge_resistor: Option<Stated<Resistance>>,
}

/// Its own rectifier
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Own {
    /// Type of the catalogue (`mainsfit tubes`), `silicon` or `selenium`
    #[serde(rename = "type")]
    kind: TypeName,
    /// How its diodes are joined, no doubler; absent: full-wave on a winding with a centre tap if there are two, else half-wave
    circuit: Option<Circuit>,
    /// 1 to 4 tubes of the type, diodes left over in parallel; 1 if absent
    count: Option<Whole>,
    /// Heater winding that feeds it; absent: the winding whose volts fit within 12 %
    fed_by: Option<Text>,
    /// Volts across one plate, instead of the catalogue's
    drop: Option<Stated<Voltage>>,
    /// Current per plate at that drop
    drop_at: Option<Of<Current>>,
    /// Resistor in the lead of each plate
    surge_resistor: Option<Stated<Resistance>>,
}
