//! Enumerations that are sentences with figures in them.

use crate::quantity::{Current, Power, Quantity, Resistance, Voltage, show, show_plain};

/// Declares an enumeration with the sentence of each variant beside it; as text and in JSON a value is its sentence.
///
/// A field stands in the sentence by its name, in braces. `field: f64 as volts` has it worded by the function `volts` first.
macro_rules! sentences {
    ($(#[$about:meta])* pub enum $name:ident { $(
        $(#[$doc:meta])*
        $variant:ident $({ $($(#[$what:meta])* $field:ident: $kind:ty $(as $worded:path)?,)+ })?
        => $sentence:literal,
    )+ }) => {
        $(#[$about])*
        pub enum $name {
            $($(#[$doc])* $variant $({ $($(#[$what])* $field: $kind,)+ })?,)+
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                match self {
                    $($name::$variant $({ $($field),+ })? => {
                        $($($(let $field = $worded(*$field);)?)+)?
                        write!(f, $sentence)
                    })+
                }
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.collect_str(self)
            }
        }

        #[cfg(feature = "schema")]
        impl schemars::JsonSchema for $name {
            fn inline_schema() -> bool {
                true
            }
            fn schema_name() -> std::borrow::Cow<'static, str> {
                String::schema_name()
            }
            fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
                String::json_schema(generator)
            }
        }
    };
}
pub(super) use sentences;

pub fn volts(v: f64) -> String {
    show(Voltage::from_si(v))
}

pub fn amps(a: f64) -> String {
    show(Current::from_si(a))
}

pub fn watts(w: f64) -> String {
    show(Power::from_si(w))
}

pub fn ohms(r: f64) -> String {
    show(Resistance::from_si(r))
}

/// As a part has it printed on it.
pub fn plain_ohms(r: f64) -> String {
    show_plain(Resistance::from_si(r))
}

pub fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share.abs())
}

/// "9 % high" or "9 % low".
pub fn off(share: f64) -> String {
    format!("{} {}", percent(share), if share < 0.0 { "low" } else { "high" })
}
