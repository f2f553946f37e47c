//! The supply of a profile: transformer, rectifier, filter, dividers, loads.

use super::values::{Of, Share, Stated, SupplyPoint, Text, Whole};
use crate::quantity::{
    Capacitance, Current, Frequency, Inductance, Power, Resistance, TemperatureRise, Voltage,
};
use schemars::JsonSchema;
use std::collections::BTreeMap;

/// Mains transformer
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Transformer {
    /// Kind; `isolating` if absent
    kind: Option<TransformerKind>,
    /// When its resistances were measured; `cold` if absent
    copper: Option<CopperState>,
    /// Average rise of its windings over the room after some hours on the design line; absent: from the primary's `hot`, else 45 K
    rise: Option<Of<TemperatureRise>>,
    /// Its primary; all figures are those of the tap in use
    primary: Option<Primary>,
    /// Its high-voltage winding; required unless `service_sheet` is given
    high_voltage: Option<HighVoltage>,
    /// Heater windings by name; absent: one for each heater voltage of the tubes, and one named `rectifier` if the
    /// rectifier cannot share
    heater_windings: Option<BTreeMap<String, HeaterWinding>>,
    /// Winding of the bias supply
    bias: Option<HeaterWinding>,
}

/// Kinds of mains transformer
#[derive(JsonSchema)]
#[serde(rename_all = "lowercase")]
pub(super) enum TransformerKind {
    /// Windings of their own
    Isolating,
    /// One winding with taps: the chassis is live
    Autotransformer,
}

/// When copper was measured
#[derive(JsonSchema)]
#[serde(rename_all = "lowercase")]
pub(super) enum CopperState {
    /// By ohmmeter, the set at rest at room temperature
    Cold,
    /// At work
    Warm,
}

/// The primary on the tap in use
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Primary {
    /// Volts of the taps; the design line is one of them
    taps: Option<Vec<Of<Voltage>>>,
    /// Copper on the tap in use
    resistance: Option<Stated<Resistance>>,
    /// The same within a minute of switching off, after some hours on the design line
    hot: Option<Of<Resistance>>,
    /// Current with every load off, on the design line
    no_load_current: Option<Stated<Current>>,
    /// Watts with every load off, on the design line
    no_load_power: Option<Stated<Power>>,
    /// What it takes on a variac with every load off; instead of the two above
    no_load: Option<Vec<NoLoad>>,
    /// Share of the crest magnetizing current on the design line that the steep part of the iron's law carries; 0 % is
    /// iron that does not saturate
    knee: Option<Share>,
}

/// A no-load reading on a variac
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct NoLoad {
    /// Volts at the primary
    at: Of<Voltage>,
    /// Current, true RMS
    current: Of<Current>,
    /// Watts, where a wattmeter is at hand
    power: Option<Of<Power>>,
    /// Frequency of that line; the outlet's if absent
    frequency: Option<Of<Frequency>>,
}

/// High-voltage winding: with a centre tap `per_half`, without one `volts`
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("oneOf" = [{ "required": ["per_half"] }, { "required": ["volts"] }]))]
pub(super) struct HighVoltage {
    /// AC volts of each half of a winding with a centre tap; this or `volts`
    per_half: Option<Stated<Voltage>>,
    /// AC volts of a whole winding without a centre tap; this or `per_half`
    volts: Option<Stated<Voltage>>,
    /// How the volts were measured; `loaded` if absent
    measured: Option<Measured>,
    /// Line at which they were measured; absent: the design line
    at_line: Option<Of<Voltage>>,
    /// Copper of each half, beside `per_half`
    resistance_per_half: Option<Stated<Resistance>>,
    /// Copper of the whole winding, beside `volts`
    resistance: Option<Stated<Resistance>>,
}

/// A heater winding
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct HeaterWinding {
    /// AC volts it gives, by nameplate, sheet or meter
    volts: Stated<Voltage>,
    /// How the volts were measured; `loaded` if absent
    measured: Option<Measured>,
    /// Line at which they were measured; absent: the design line
    at_line: Option<Of<Voltage>>,
    /// Its copper
    resistance: Option<Stated<Resistance>>,
}

/// How a winding's volts were measured
#[derive(JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Measured {
    /// Nothing connected to any winding
    OpenCircuit,
    /// At the terminals, with the working set connected
    Loaded,
}

/// One part of the filter
#[derive(JsonSchema)]
#[serde(rename_all = "snake_case")]
pub(super) enum FilterPart {
    /// A filter capacitor across the supply, at this place
    Capacitor(CapacitorForm),
    /// The loudspeaker's field coil
    FieldCoil(Coil),
    /// A filter choke
    Choke(Coil),
    /// A resistor
    Resistor(FilterResistor),
}

/// A capacitance, or a mapping
#[derive(JsonSchema)]
#[serde(untagged)]
pub(super) enum CapacitorForm {
    Value(Of<Capacitance>),
    Keys(Capacitor),
}

/// A filter capacitor
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Capacitor {
    /// Its capacitance
    value: Stated<Capacitance>,
    /// Its working volts; not judged if absent
    rated: Option<Of<Voltage>>,
    /// Its surge volts, for the seconds of a switch-on; absent: 1.15 times the working volts up to 315 V, 1.10 times above
    surge: Option<Of<Voltage>>,
}

/// A field coil or choke
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("anyOf" = [{ "required": ["cold"] }, { "required": ["hot"] }]))]
pub(super) struct Coil {
    /// Lead of the supply it stands in
    lead: Lead,
    /// Resistance at room temperature; this or `hot`
    cold: Option<Stated<Resistance>>,
    /// Resistance after an hour on the design line; absent: 1.15 times cold
    hot: Option<Stated<Resistance>>,
    /// Inductance at working current; 10 H if absent
    inductance: Option<Stated<Inductance>>,
}

/// A resistor of the filter
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct FilterResistor {
    /// Its resistance
    value: Stated<Resistance>,
    /// Lead of the supply it stands in
    lead: Lead,
    /// Watts it is rated for; not judged if absent
    rated: Option<Of<Power>>,
}

/// A lead of the supply
#[derive(JsonSchema)]
#[serde(rename_all = "lowercase")]
pub(super) enum Lead {
    /// From the rectifier to B+
    Positive,
    /// From chassis to the centre tap, or to the other end of what feeds the rectifier
    Negative,
    /// From one rail to the other, as a bleeder; field coils only
    Across,
}

/// A resistor chain with taps
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("oneOf" = [{ "required": ["from"] }, { "required": ["across"] }]))]
pub(super) struct Divider {
    /// Upper end; this or `across`
    from: Option<SupplyPoint>,
    /// Across the field coil, if it stands alone in the negative lead; this or `from`
    across: Option<Across>,
    /// Lower end; `chassis` if absent
    to: Option<SupplyPoint>,
    /// Resistors from the upper end on
    #[schemars(length(min = 1, max = 40))]
    resistors: Vec<Stated<Resistance>>,
    /// Names of the joints in order; or places by name, where 1 is between the first and the second resistor
    taps: Option<Taps>,
    /// Bypass capacitors to chassis, by name of the tap
    bypass: Option<BTreeMap<String, Of<Capacitance>>>,
}

/// What a divider may stand across
#[derive(JsonSchema)]
#[serde(rename_all = "snake_case")]
pub(super) enum Across {
    /// The field coil in the negative lead: from the centre tap to `to`
    FieldCoil,
}

/// Taps of a divider
#[derive(JsonSchema)]
#[serde(untagged)]
pub(super) enum Taps {
    Names(Vec<Text>),
    Places(BTreeMap<String, Whole>),
}

/// Another load on the supply
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("oneOf" = [{ "required": ["resistance"] }, { "required": ["current"] }]))]
pub(super) struct Load {
    /// What it is
    name: Text,
    /// Supply point it hangs on
    from: SupplyPoint,
    /// Resistance to chassis; this or `current`
    resistance: Option<Stated<Resistance>>,
    /// Constant current to chassis, may be 0 mA; this or `resistance`
    current: Option<Stated<Current>>,
}
