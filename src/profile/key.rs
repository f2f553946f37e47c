//! What may stand as a value of a profile, and the ways in which a mapping asks for a key.

use super::{cursor::Cursor, fields::Fields};
use serde_json::{Map, Value, json};
use std::{collections::BTreeMap, marker::PhantomData};

/// Most items of a list, unless it says otherwise.
pub const MOST: usize = 40;

/// What has a name in a schema, by that name.
pub type Defs = Map<String, Value>;

/// What may stand as a value: how it is read, and how it is described.
pub trait Read {
    /// What it is read into.
    type Value;

    /// The value. What is wrong with it is reported, and gives `None`.
    fn read(at: &Cursor<'_>) -> Option<Self::Value>;

    /// Its name in the schema; empty where it has none and is described in its place.
    fn name() -> String;

    /// Its schema.
    fn shape(defs: &mut Defs) -> Value;
}

/// What a schema can refer to.
pub trait Describe {
    /// The schema of a value in its place.
    fn described(defs: &mut Defs) -> Value;
}

impl<T: Read> Describe for T {
    fn described(defs: &mut Defs) -> Value {
        match T::name() {
            name if name.is_empty() => T::shape(defs),
            name => defined(defs, name, T::shape),
        }
    }
}

/// A reference to what has a name in the schema.
pub fn defined(defs: &mut Defs, name: String, shape: impl FnOnce(&mut Defs) -> Value) -> Value {
    let reference = format!("#/$defs/{}", name.replace(' ', "%20"));
    if !defs.contains_key(&name) {
        defs.insert(name.clone(), Value::Null);
        let shape = shape(defs);
        defs.insert(name, shape);
    }
    json!({ "$ref": reference })
}

impl<T: Read> Describe for Vec<T> {
    fn described(defs: &mut Defs) -> Value {
        json!({ "type": "array", "items": T::described(defs) })
    }
}

impl<T: Read> Describe for BTreeMap<String, T> {
    fn described(defs: &mut Defs) -> Value {
        json!({ "type": "object", "additionalProperties": T::described(defs) })
    }
}

/// How a key of a mapping is asked for: as one that must be there by a [`Read`], otherwise by what wraps it.
pub trait Key {
    /// What the mapping's type has of it.
    type Value;
    /// What it is described as.
    type Form: Describe;
    /// Whether it must be there.
    const REQUIRED: bool = false;

    /// The value of the key; `None` if nothing can be made of the mapping without it.
    fn take(fields: &Fields<'_>, key: &'static str) -> Option<Self::Value>;
}

impl<T: Read> Key for T {
    type Value = T::Value;
    type Form = T;
    const REQUIRED: bool = true;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<T::Value> {
        T::read(&fields.required_such(key, example::<T>)?)
    }
}

/// What may be written, as the end of a sentence: its words, or one value of many; empty where it is more than a value.
fn example<T: Read>() -> String {
    let mut defs = Defs::new();
    let shape = T::described(&mut defs);
    match examples(&shape, &defs).as_slice() {
        [] => String::new(),
        [one] => format!(", such as {one}"),
        [several @ .., last] => format!(": {} or {last}", several.join(", ")),
    }
}

/// The words of a shape, or one value where there are many.
fn examples(shape: &Value, defs: &Defs) -> Vec<String> {
    let list = |value: &Value| value.as_array().cloned().unwrap_or_default();
    let words = |value: &Value| value.as_str().map(str::to_owned);
    if let Some(name) = shape["$ref"].as_str() {
        let name = name.trim_start_matches("#/$defs/").replace("%20", " ");
        return defs.get(&name).map_or(Vec::new(), |shape| examples(shape, defs));
    }
    let consts = list(&shape["oneOf"]).into_iter().filter_map(|one| words(&one["const"]));
    let all: Vec<String> = consts.chain(list(&shape["enum"]).iter().filter_map(words)).collect();
    if !all.is_empty() {
        return all;
    }
    // a quantity's sentence has its example: "A voltage with its unit, such as 122 V; above zero"
    let told = shape["description"].as_str().and_then(|text| text.split_once("such as "));
    let told = told.map(|(_, rest)| rest.split([';', ',']).next().unwrap_or(rest).to_owned());
    let first = list(&shape["examples"]).first().and_then(words).or(told);
    let simple =
        list(&shape["anyOf"]).iter().map(|one| examples(one, defs)).find(|e| !e.is_empty());
    first.map(|one| vec![one]).or(simple).unwrap_or_default()
}

/// It may be missing; where it is wrong, the rest is read as if it were.
impl<T: Read> Key for Option<T> {
    type Value = Option<T::Value>;
    type Form = T;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<Option<T::Value>> {
        Some(fields.optional(key).and_then(|at| T::read(&at)))
    }
}

/// It must be there; where it is wrong, the rest is looked at before the mapping is given up.
pub struct Tried<T>(PhantomData<T>);

impl<T: Read> Key for Tried<T> {
    type Value = Option<T::Value>;
    type Form = T;
    const REQUIRED: bool = true;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<Option<T::Value>> {
        Some(T::take(fields, key))
    }
}

/// It must be there; where it is missing or wrong, the rest is read with the usual.
pub struct Expected<T>(PhantomData<T>);

impl<T: Read<Value: Default>> Key for Expected<T> {
    type Value = T::Value;
    type Form = T;
    const REQUIRED: bool = true;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<T::Value> {
        Some(T::take(fields, key).unwrap_or_default())
    }
}

/// It may be missing; where it is wrong, nothing is made of the mapping.
pub struct Sound<T>(PhantomData<T>);

impl<T: Read> Key for Sound<T> {
    type Value = Option<T::Value>;
    type Form = T;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<Option<T::Value>> {
        let taken = <Option<T> as Key>::take(fields, key)?;
        (taken.is_some() || !fields.has(key)).then_some(taken)
    }
}

/// Where it is missing, the usual stands for it; where it is wrong, nothing is made of the mapping.
pub struct OrUsual<T>(PhantomData<T>);

impl<T: Read<Value: Default>> Key for OrUsual<T> {
    type Value = T::Value;
    type Form = T;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<T::Value> {
        Sound::<T>::take(fields, key).map(Option::unwrap_or_default)
    }
}

/// Where it is missing or wrong, the usual stands for it.
pub struct Lax<T>(PhantomData<T>);

impl<T: Read<Value: Default>> Key for Lax<T> {
    type Value = T::Value;
    type Form = T;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<T::Value> {
        <Option<T> as Key>::take(fields, key).map(Option::unwrap_or_default)
    }
}

/// A list that may be missing, of `MOST` items at most; those that are wrong are left out.
pub struct List<T, const MOST: usize = 40>(PhantomData<T>);

impl<T: Read, const MOST: usize> Key for List<T, MOST> {
    type Value = Vec<T::Value>;
    type Form = Vec<T>;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<Vec<T::Value>> {
        let items = fields.optional(key).and_then(|at| at.list()).unwrap_or_default();
        Some(items.iter().take(MOST).filter_map(T::read).collect())
    }
}

/// Values by names, which may be missing; those that are wrong are left out. A value finds its name in its place.
pub struct Named<T>(PhantomData<T>);

impl<T: Read> Key for Named<T> {
    type Value = Vec<T::Value>;
    type Form = BTreeMap<String, T>;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<Vec<T::Value>> {
        let entries = fields.optional(key).and_then(|at| at.entries()).unwrap_or_default();
        Some(entries.iter().take(MOST).filter_map(|(_, at)| T::read(at)).collect())
    }
}
