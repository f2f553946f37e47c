//! Single values of a profile as a JSON Schema sees them. None is a type that anything is read into.

use crate::catalogue::stock::resistor_sizes;
use crate::catalogue::{TubeClass, outlet_ranges};
use crate::quantity::{Quantity, pattern};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use std::borrow::Cow;
use std::marker::PhantomData;

/// A quantity with its unit: always a text, for a plain number is refused.
pub(super) struct Of<Q>(PhantomData<Q>);

impl<Q: Quantity> JsonSchema for Of<Q> {
    fn schema_name() -> Cow<'static, str> {
        Q::NAME.into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "description": format!("A {} with its unit, such as {}", Q::NAME, Q::KIND.example),
            "pattern": pattern::<Q>(),
            // known to editors, left out of account by validators
            "patternErrorMessage": format!("Write a {} with its unit, such as {}", Q::NAME, Q::KIND.example),
        })
    }
}

/// A quantity, or a mapping that says how it is known.
pub(super) struct Stated<Q>(PhantomData<Q>);

impl<Q: Quantity> JsonSchema for Stated<Q> {
    fn schema_name() -> Cow<'static, str> {
        format!("stated-{}", Q::NAME).into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let value = generator.subschema_for::<Of<Q>>();
        let keys = generator.subschema_for::<HowKnown<Q>>();
        json_schema!({ "anyOf": [value, keys] })
    }
}

/// A value and how it is known.
struct HowKnown<Q>(PhantomData<Q>);

impl<Q: Quantity> JsonSchema for HowKnown<Q> {
    fn schema_name() -> Cow<'static, str> {
        format!("known-{}", Q::NAME).into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let mut value = generator.subschema_for::<Of<Q>>();
        let mut within = generator.subschema_for::<TolerableShare>();
        value.insert("description".to_owned(), "The value".into());
        let off =
            "How far it may be off; absent: the meter's limit and last digit, 25 % for a guess";
        within.insert("description".to_owned(), off.into());
        json_schema!({
            "type": "object",
            "description": "A value and how it is known",
            "properties": {
                "value": value,
                "known": {
                    "enum": ["measured", "nominal", "guess"],
                    "description": "Read off a meter on this set; printed, with the customary tolerance; neither"
                },
                "within": within,
            },
            "required": ["value", "known"],
            "additionalProperties": false,
        })
    }
}

/// A value type with a fixed schema.
macro_rules! value {
    ($(#[$doc:meta])* $name:ident, $($json:tt)+) => {
        $(#[$doc])*
        pub(super) struct $name;

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!($($json)+)
            }
        }
    };
}

value!(
    /// One line of text. YAML takes some for numbers or for yes and no; the reader does not.
    Text,
    { "type": ["string", "number", "boolean"], "description": "One line of text, at most 120 characters" }
);
value!(
    /// The name of a type: a bare `80` is a number to YAML, and so is `6E5`.
    TypeName,
    { "type": ["string", "number"], "description": "A type as printed on the glass or base", "examples": ["6F6", "80"] }
);
value!(
    /// A whole number, with or without quotes.
    Whole,
    { "type": ["integer", "string"], "minimum": 1, "pattern": r"^\+?[0-9]+$", "description": "A whole number" }
);
value!(
    /// A plain number, with or without quotes.
    Plain,
    { "type": ["number", "string"], "pattern": "[0-9]", "description": "A number without a unit" }
);
value!(
    /// A share in percent.
    Share,
    { "type": "string", "pattern": r"[0-9].*%\s*$", "description": "A share, such as 1 %" }
);
value!(
    /// A share in percent or as a plain number.
    TolerableShare,
    { "type": ["string", "number"], "pattern": "[0-9]", "description": "A share, such as 5 % or 0.05" }
);
value!(
    /// Where something hangs.
    SupplyPoint,
    {
        "type": "string",
        "description": "A supply point: B+, reservoir, chassis, B- (the centre tap, where a part stands in the negative lead), B2+ and reservoir2 (of a second supply) or a tap as DIVIDER.TAP",
        "examples": ["B+", "reservoir", "chassis", "B-", "B2+", "reservoir2"]
    }
);
value!(
    /// What is so.
    True,
    { "const": true, "description": "Said only where it is so" }
);
value!(
    /// What a control grid stands at.
    GridAt,
    {
        "type": "string",
        "description": "A tap (its average), a supply point, a voltage against chassis, or chassis",
        "examples": ["chassis", "-3 V"]
    }
);
value!(
    /// What a meter loads a point with, or how it responds in AC.
    MeterLoad,
    {
        "type": "string",
        "pattern": format!(r"(?:{})|/V\s*$|^\s*(?:[Aa]verage|[Tt]rue[ -]RMS)\s*$", pattern::<crate::quantity::Resistance>()),
        "description": "A resistance, a resistance for each volt of the range, or how the meter responds in AC",
        "examples": ["10 MΩ", "20 kΩ/V", "average"]
    }
);
value!(
    /// How a meter responds in AC.
    Responds,
    { "enum": ["average", "true RMS"], "description": "How the meter responds in AC; true RMS if absent" }
);
value!(
    /// A reading; its unit follows from its key.
    PointReading,
    {
        "type": "string",
        "pattern": "[0-9]",
        "description": "What the meter showed, with sign and unit: volts against chassis; amperes for keys that end in current; watts for those that end in power",
        "examples": ["246 V", "0.61 A"]
    }
);
value!(
    /// Name of a range of the catalogue.
    RangeName,
    {
        "enum": outlet_ranges().iter().map(|r| r.name.as_str()).collect::<Vec<_>>(),
        "description": "A range of outlet volts by the name of its place"
    }
);
value!(
    /// A class of tubes.
    ClassName,
    {
        "enum": TubeClass::ALL.iter().map(|(_, word)| *word).collect::<Vec<_>>(),
        "description": "A class of tubes, in the catalogue's words"
    }
);
value!(
    /// A family of resistors.
    Family,
    { "enum": families(), "description": "A family of wirewound resistors" }
);

fn families() -> Vec<&'static str> {
    let mut names: Vec<&str> = resistor_sizes().iter().map(|s| s.family.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    names
}
