//! The JSON Schema (draft 2020-12) of each form: that of a profile and of a plan as the crate has it, of every other closed.

use super::{
    Outcome, Result,
    args::SchemaOf,
    forms::{DIVIDER, ERROR, FIT, Form, REPLACE, SWEEP},
    outcome::Errors,
};
use crate::api::{
    Fit, Plan, Replacement, Set, Shop, Sweep, SwitchOn, Tolerances,
    divider::Divider,
    typed::{
        PARTS_SCHEMA, POWER_UP_SCHEMA, PartsFound, PowerUpFound, SWITCH_ON_SCHEMA, TOLERANCE_SCHEMA,
    },
};
use schemars::{JsonSchema, generate::SchemaSettings};
use serde_json::Value;

/// Words of a schema by which a value has the keys of others as well.
const WITH_OTHERS: [&str; 3] = ["oneOf", "anyOf", "allOf"];

/// Prints a schema.
pub fn schema(of: SchemaOf) -> Result {
    Outcome::json(&match of {
        SchemaOf::Profile => Set::schema(),
        SchemaOf::Shop => Shop::schema(),
        SchemaOf::Plan => Plan::schema(),
        SchemaOf::Parts => closed_schema::<PartsFound>(PARTS_SCHEMA),
        SchemaOf::PowerUp => closed_schema::<PowerUpFound>(POWER_UP_SCHEMA),
        SchemaOf::Fit => closed_schema::<Form<'_, Fit>>(FIT),
        SchemaOf::Sweep => closed_schema::<Form<'_, Sweep>>(SWEEP),
        SchemaOf::SwitchOn => closed_schema::<SwitchOn>(SWITCH_ON_SCHEMA),
        SchemaOf::Tolerance => closed_schema::<Tolerances>(TOLERANCE_SCHEMA),
        SchemaOf::Replace => closed_schema::<Form<'_, Replacement>>(REPLACE),
        SchemaOf::Divider => closed_schema::<Form<'_, Divider>>(DIVIDER),
        SchemaOf::Error => closed_schema::<Errors<'_>>(ERROR),
    })
}

/// The JSON Schema of the JSON form `name`: every key is there, and no other.
fn closed_schema<T: JsonSchema>(name: &str) -> Value {
    let mut schema = open::<T>();
    let named = schema["$defs"].clone();
    unite(&mut schema, &named);
    close(&mut schema, false);
    schema["title"] = name.into();
    schema["properties"]["schema"]["const"] = name.into();
    schema
}

fn open<T: JsonSchema>() -> Value {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    settings.into_generator().into_root_schema_for::<T>().to_value()
}

/// Gives an object that says its kind and refers to the rest the keys of both: closed apart, each would refuse the other's.
fn unite(schema: &mut Value, named: &Value) {
    match schema {
        Value::Array(list) => list.iter_mut().for_each(|one| unite(one, named)),
        Value::Object(words) => {
            if words.contains_key("properties")
                && let Some(Value::String(name)) = words.remove("$ref")
            {
                let rest = &named[name.trim_start_matches("#/$defs/")];
                let keys = rest["properties"].as_object().into_iter().flatten();
                let own = words["properties"].as_object_mut();
                own.into_iter()
                    .for_each(|own| own.extend(keys.clone().map(|(k, v)| (k.clone(), v.clone()))));
                let must = rest["required"].as_array().into_iter().flatten().cloned();
                let own = words.get_mut("required").and_then(Value::as_array_mut);
                own.into_iter().for_each(|own| own.extend(must.clone()));
            }
            words.values_mut().for_each(|value| unite(value, named));
        }
        _ => {}
    }
}

/// Lets no object have keys that are not said; `part` is one of several that describe an object together.
fn close(schema: &mut Value, part: bool) {
    match schema {
        Value::Array(list) => list.iter_mut().for_each(|one| close(one, part)),
        Value::Object(words) => {
            let (keys, others) = (
                words.get("properties").is_some_and(Value::is_object),
                WITH_OTHERS.iter().any(|word| words.contains_key(*word)),
            );
            for (word, value) in words.iter_mut() {
                close(value, keys && WITH_OTHERS.contains(&word.as_str()));
            }
            if let Some(Value::String(text)) = words.get_mut("description") {
                *text = for_machines(text);
            }
            if keys && !part {
                let word = if others { "unevaluatedProperties" } else { "additionalProperties" };
                words.insert(word.to_owned(), false.into());
            }
        }
        _ => {}
    }
}

/// A comment of the code in the words of JSON.
fn for_machines(comment: &str) -> String {
    comment.replace("`None`", "null").replace("[`", "`").replace("`]", "`")
}
