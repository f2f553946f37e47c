//! The JSON Schema of a profile, for editors and validators.
//!
//! The types here mirror what the reader (`read*.rs`) takes, key by key. Nothing is read into them: they are there for
//! their schema alone. A new key goes into both; the test `profile_schema` fails until it does.

#![allow(dead_code, reason = "types that are described and never made")]

mod other;
mod rest;
mod second;
mod supply;
mod tubes;
mod values;

use crate::quantity::{Frequency, Power, Temperature, Voltage};
use other::{BiasSupply, HeaterString, Rectifier};
use rest::{Calibration, Fuse, MainsResistor, Note, Parts, Readings};
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use schemars::transform::{RecursiveTransform, Transform};
use second::SecondSupply;
use serde_json::Value;
use std::collections::BTreeMap;
use supply::{Divider, FilterPart, Load, Transformer};
use tubes::{Lamp, OwnType, TubeForm};
use values::{Of, RangeName, Stated, Text, TolerableShare, Whole};

/// The JSON Schema (draft 2020-12) of a profile.
///
/// It takes whatever the reader takes. What depends on values (a unit that fits, a tap that exists, volts within reach)
/// is left to the reader, `mainsfit check`.
pub fn schema() -> Value {
    let generator = SchemaSettings::draft2020_12().into_generator();
    let mut schema = generator.into_root_schema_for::<Profile>();
    RecursiveTransform(without_null).transform(&mut schema);
    schema.to_value()
}

/// An absent key is left out; a key without a value is an error of the reader.
fn without_null(schema: &mut schemars::Schema) {
    let Some(object) = schema.as_object_mut() else {
        return;
    };
    if let Some(Value::Array(kinds)) = object.get_mut("type") {
        kinds.retain(|kind| kind != "null");
        if let [only] = kinds.as_slice() {
            let only = only.clone();
            object.insert("type".to_owned(), only);
        }
    }
    let null = serde_json::json!({ "type": "null" });
    if let Some(Value::Array(ways)) = object.get_mut("anyOf") {
        ways.retain(|way| *way != null);
        if let [Value::Object(only)] = ways.as_slice() {
            let only = only.clone();
            object.remove("anyOf");
            for (key, value) in only {
                object.entry(key).or_insert(value);
            }
        }
    }
}

/// The profile of a set: one old mains-powered tube receiver
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Profile of a set, for mainsfit", extend("anyOf" = [
    { "required": ["service_sheet"] },
    { "required": ["heater_string"] },
    { "required": ["transformer"], "properties": { "transformer": { "required": ["high_voltage"] } } },
]))]
struct Profile {
    /// Identity and nameplate of the set
    set: Set,
    /// Volts of the outlet through the day, or the name of a range. Absent: 122 V for a design line of 105 to 130 V,
    /// 101 V for 95 to below 105 V, 230 V for 200 to 250 V
    outlet: Option<OutletForm>,
    /// Air round the set; 22 °C if absent
    room: Option<Of<Temperature>>,
    /// Mains transformer; required unless `service_sheet` or `heater_string` is given
    transformer: Option<Transformer>,
    /// Series heaters straight on the line: the set has no transformer then
    heater_string: Option<HeaterString>,
    /// Rectifier
    rectifier: Rectifier,
    /// Bias supply with a winding and a rectifier of its own
    bias_supply: Option<BiasSupply>,
    /// Second supply beside B+, of a speaker's field or a tuner: the supply points `B2+` and `reservoir2`
    second_supply: Option<SecondSupply>,
    /// Parts from the rectifier to B+, in order
    #[schemars(length(max = 40), extend("contains" = { "required": ["capacitor"] }))]
    filter: Vec<FilterPart>,
    /// Resistor chains with taps, by name
    dividers: Option<BTreeMap<String, Divider>>,
    /// Other loads on the supply
    loads: Option<Vec<Load>>,
    /// Tube types of your own, or catalogue types with other figures, by name
    types: Option<BTreeMap<String, OwnType>>,
    /// A resistor that stands in the mains lead now, the whole current of the set through it
    mains_resistor: Option<MainsResistor>,
    /// The tubes, the rectifier excepted
    #[schemars(length(min = 1, max = 40))]
    tubes: Vec<TubeForm>,
    /// Dial lamps
    lamps: Option<Vec<Lamp>>,
    /// B+ as the service sheet gives it; required unless `transformer: high_voltage` is given
    service_sheet: Option<ServiceSheet>,
    /// What the adaptation is to reach; `heaters` if absent
    target: Option<TargetForm>,
    /// Fuse now in the set
    fuse: Option<Fuse>,
    /// Parts you have, instead of the stock of the trade
    parts: Option<Parts>,
    /// What the modification note says of its own making
    note: Option<Note>,
    /// What a meter showed, one item for each setting of the line; the set is fitted to it
    readings: Option<Vec<Readings>>,
    /// Factors that `mainsfit fit --write` found
    calibration: Option<Vec<Calibration>>,
    /// How far numbers of the set may be off, for `mainsfit tolerance`, by the name `tolerance` gives them: `5 %` or 0.05
    tolerances: Option<BTreeMap<String, TolerableShare>>,
}

/// Identity and nameplate of the set
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
struct Set {
    /// Heads the plan and the note
    name: Text,
    /// Year of make, 1900 to 2100
    year: Option<Whole>,
    /// Volts the transformer was wound for, or the tap in use; the middle of a printed range
    design_line: Of<Voltage>,
    /// Mains frequency; absent: 60 Hz below 150 V, 50 Hz from there on
    frequency: Option<Stated<Frequency>>,
    /// Watts of the nameplate
    nameplate_power: Option<Of<Power>>,
}

/// The outlet, or the name of a range
#[derive(JsonSchema)]
#[serde(untagged)]
enum OutletForm {
    Name(RangeName),
    Keys(Outlet),
}

/// Volts of the outlet through the day
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("anyOf" = [{ "required": ["usual"] }, { "required": ["range"] }]))]
struct Outlet {
    /// What a meter usually shows in the outlet; required unless `range` is given
    usual: Option<Of<Voltage>>,
    /// Lowest of the day, not above `usual`; absent: that of the range, else 4 % below `usual`
    low: Option<Of<Voltage>>,
    /// Highest of the day, not below `usual`; absent: that of the range, else 3 % above `usual`
    high: Option<Of<Voltage>>,
    /// Mains frequency at the outlet; absent: that of the range, else the set's
    frequency: Option<Of<Frequency>>,
    /// Place whose range gives what is not written
    range: Option<RangeName>,
}

/// B+ as the service sheet gives it
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
struct ServiceSheet {
    /// DC volts
    #[serde(rename = "B+")]
    b_plus: Stated<Voltage>,
    /// Line at which they hold; absent: the design line
    at_line: Option<Of<Voltage>>,
}

/// What the adaptation is to reach
#[derive(JsonSchema)]
#[serde(untagged)]
enum TargetForm {
    Word(Heaters),
    Keys(Target),
}

/// The heaters
#[derive(JsonSchema)]
#[serde(rename_all = "lowercase")]
enum Heaters {
    /// Rated volts at the winding that feeds the tubes, on the usual line
    Heaters,
}

/// A target in volts: `B+` or `line`
#[derive(JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("oneOf" = [{ "required": ["B+"] }, { "required": ["line"] }]))]
struct Target {
    /// This B+ on the usual line
    #[serde(rename = "B+")]
    b_plus: Option<Of<Voltage>>,
    /// The heater volts that the set has on this line with nothing in the lead
    line: Option<Of<Voltage>>,
}
