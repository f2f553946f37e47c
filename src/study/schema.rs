//! The JSON Schema of a plan, from its types.

use super::Plan;
use schemars::generate::SchemaSettings;
use serde_json::Value;

/// The JSON Schema (draft 2020-12) of the JSON form of a [`Plan`]: every key is there, null where docs/plan-json.md
/// allows it.
pub fn plan_schema() -> Value {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    let schema = settings.into_generator().into_root_schema_for::<Plan>();
    schema.to_value()
}
