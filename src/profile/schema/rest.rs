//! Fuse, parts, note and readings of a profile.

use super::values::{Family, MeterLoad, Of, Plain, PointReading, Responds, Share, Text};
use crate::quantity::{Current, Power, Resistance, Voltage};
use schemars::JsonSchema;
use std::collections::BTreeMap;

/// Fuse now in the set
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Fuse {
    /// Its rating
    rating: Of<Current>,
    /// Its standard; absent: `UL` where the usual outlet is below 150 V, else `IEC`
    standard: Option<FuseStandard>,
}

/// A standard of fuses
#[derive(JsonSchema)]
pub(super) enum FuseStandard {
    /// UL 248-14
    #[serde(rename = "UL")]
    Ul,
    /// IEC 60127-2
    #[serde(rename = "IEC")]
    Iec,
}

/// A resistor in the mains lead
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct MainsResistor {
    /// Its resistance
    resistance: Of<Resistance>,
    /// Watts it is rated for
    rated: Option<Of<Power>>,
    /// `maker`: the set was designed with it, and it stays; `repairer`: it came later, and whatever is fitted takes its place
    fitted_by: FittedBy,
}

/// Who fitted a part
#[derive(JsonSchema)]
#[serde(rename_all = "lowercase")]
pub(super) enum FittedBy {
    /// The set was designed with it
    Maker,
    /// It came later
    Repairer,
}

/// Parts you have; a kind that is listed replaces the stock of that kind
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Parts {
    /// Power resistors
    resistors: Option<Vec<OwnResistor>>,
    /// Small transformers
    transformers: Option<Vec<OwnTransformer>>,
}

/// A power resistor
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct OwnResistor {
    /// Its resistance
    value: Of<Resistance>,
    /// Watts as printed
    rating: Of<Power>,
    /// Its make, which settles the derating; `ceramic-cased` if absent
    family: Option<Family>,
}

/// A small transformer
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct OwnTransformer {
    /// Rated volts of the primary
    primary: Of<Voltage>,
    /// Rated volts of the secondary, at the rated current
    secondary: Of<Voltage>,
    /// Rated current of the secondary
    current: Of<Current>,
}

/// What the modification note says of its own making; nothing here enters a computation
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Note {
    /// When
    date: Option<Text>,
    /// By whom
    by: Option<Text>,
    /// Where the part was fitted
    place: Option<Text>,
    /// What else is to be known
    remark: Option<Text>,
}

/// What a meter showed at one setting of the line. Any other key is a point, by the keys of `mainsfit sweep --show`:
/// B+, heater.NAME, coil1.drop, a tap, primary_current, line_power, V4.plate
#[derive(JsonSchema)]
pub(super) struct Readings {
    /// Volts at the set's plug
    at_line: Of<Voltage>,
    /// The meter: its resistance, or that for each volt of its range, 10 MΩ if absent; `average` where it responds to the
    /// average in AC; both in a mapping
    meter: Option<MeterForm>,
    /// How far the meter may be off, for all readings of this setting
    accuracy: Option<Share>,
    #[serde(flatten)]
    points: BTreeMap<String, PointReading>,
}

/// A load, how it responds in AC, or both
#[derive(JsonSchema)]
#[serde(untagged)]
pub(super) enum MeterForm {
    One(MeterLoad),
    Keys(Meter),
}

/// A meter
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Meter {
    /// What it loads a point with; 10 MΩ if absent
    load: Option<MeterLoad>,
    /// How it responds in AC
    ac: Option<Responds>,
}

/// A factor on a number of the set
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Calibration {
    /// The number, such as `bias.resistors[0]`
    of: Text,
    /// Factor on what is stated or filled in
    factor: Plain,
    /// How far it may still be off, as a share
    spread: Plain,
}
