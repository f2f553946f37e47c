//! The schema of a profile and the reader know the same keys.
//!
//! The reader is asked, not its source: an unknown key is put into every mapping of every test profile, and the error
//! names the keys that are known there. So a key that one of the two learns and the other does not is found by itself.

use super::harness::{shipped, yaml_files};
use mainsfit::profile::{Document, Problem, Severity, profile_schema, read};
use serde_json::Value as Json;
use serde_yaml::Value as Yaml;
use std::collections::{BTreeMap, BTreeSet};

/// Longer than any key that a near one is looked for.
const UNKNOWN: &str = "zzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzz";
/// The profiles that have every key once, in as many files as keys exclude each other.
const EVERY_KEY: &str = "tests/data/every_key";

fn corpus() -> Vec<(String, Yaml)> {
    let paths = shipped().into_iter().chain(yaml_files(EVERY_KEY));
    paths
        .map(|path| {
            let text = std::fs::read_to_string(&path).unwrap();
            let tree = serde_yaml::from_str(&text).unwrap();
            (path, tree)
        })
        .collect()
}

/// What the reader says of a tree.
fn errors(tree: &Yaml) -> Vec<Problem> {
    let text = serde_yaml::to_string(tree).unwrap();
    let document = Document::parse("tree", text.as_bytes()).unwrap();
    let problems = match read(&document) {
        Ok(_) => return Vec::new(),
        Err(problems) => problems,
    };
    let items = problems.items().iter();
    items.filter(|p| p.severity == Severity::Error).cloned().collect()
}

/// One step from a value to one inside it.
#[derive(Debug, Clone)]
enum Step {
    Key(Yaml),
    Item(usize),
}

/// The value at the end of a way.
fn at<'a>(tree: &'a mut Yaml, way: &[Step]) -> &'a mut Yaml {
    way.iter().fold(tree, |value, step| match step {
        Step::Key(key) => value.get_mut(key).unwrap(),
        Step::Item(i) => value.get_mut(*i).unwrap(),
    })
}

fn named(way: &[Step]) -> String {
    way.iter().fold("profile".to_owned(), |text, step| {
        text + &match step {
            Step::Key(key) => format!(".{}", written(key)),
            Step::Item(i) => format!("[{i}]"),
        }
    })
}

fn written(key: &Yaml) -> String {
    match key {
        Yaml::String(text) => text.clone(),
        other => serde_yaml::to_string(other).unwrap().trim().to_owned(),
    }
}

/// An object of the schema: where it stands there, and what it says.
#[derive(Debug, Clone)]
struct Shape {
    name: String,
    schema: Json,
}

impl Shape {
    fn keys(&self) -> BTreeSet<String> {
        let properties = self.schema["properties"].as_object();
        properties.map_or_else(BTreeSet::new, |p| p.keys().cloned().collect())
    }

    fn required(&self) -> BTreeSet<String> {
        let list = self.schema["required"].as_array();
        list.into_iter().flatten().map(|k| k.as_str().unwrap().to_owned()).collect()
    }

    /// The schema of keys that are free names, if there are any.
    fn free(&self) -> Option<&Json> {
        let rest = &self.schema["additionalProperties"];
        rest.is_object().then_some(rest)
    }
}

struct Schema(Json);

impl Schema {
    /// What may stand at a place: references followed, alternatives side by side.
    fn shapes(&self, name: &str, schema: &Json, list: &mut Vec<Shape>) {
        if let Some(reference) = schema["$ref"].as_str() {
            let name = reference.trim_start_matches("#/$defs/");
            return self.shapes(name, &self.0["$defs"][name], list);
        }
        if schema["type"] == "object" || schema["type"] == "array" {
            list.push(Shape { name: name.to_owned(), schema: schema.clone() });
        }
        for ways in ["anyOf", "oneOf"] {
            for way in schema[ways].as_array().into_iter().flatten() {
                self.shapes(name, way, list);
            }
        }
    }

    fn object(&self, name: &str, schemas: &[Json], value: &Yaml) -> Vec<Shape> {
        let mut list = Vec::new();
        for schema in schemas {
            self.shapes(name, schema, &mut list);
        }
        list.retain(|shape| (shape.schema["type"] == "array") == value.is_sequence());
        list
    }
}

/// What was found out about the objects of the schema, by name.
#[derive(Default)]
struct Found {
    /// Keys that the reader told.
    reader: BTreeMap<String, BTreeSet<String>>,
    /// Keys that occurred in a profile.
    occurred: BTreeMap<String, BTreeSet<String>>,
    /// What does not agree.
    faults: BTreeSet<String>,
}

struct Look<'a> {
    schema: &'a Schema,
    file: &'a str,
    tree: &'a Yaml,
    found: &'a mut Found,
}

impl Look<'_> {
    fn value(&mut self, value: &Yaml, name: &str, schemas: &[Json], way: &mut Vec<Step>) {
        match value {
            Yaml::Sequence(items) => {
                let shapes = self.schema.object(name, schemas, value);
                let inner: Vec<Json> = shapes.iter().map(|s| s.schema["items"].clone()).collect();
                for (i, item) in items.iter().enumerate() {
                    way.push(Step::Item(i));
                    self.value(item, name, &inner, way);
                    way.pop();
                }
            }
            Yaml::Mapping(entries) => {
                let shapes = self.schema.object(name, schemas, value);
                let here = format!("{}: {}", self.file, named(way));
                if shapes.is_empty() {
                    let fault = format!("{here}: the schema has no mapping here");
                    self.found.faults.insert(fault);
                    return;
                }
                self.mapping(&shapes, &here, way);
                for (key, inner) in entries {
                    let text = written(key);
                    let mut schemas = Vec::new();
                    let mut below = name.to_owned();
                    for shape in &shapes {
                        if shape.keys().contains(&text) {
                            let occurred = self.found.occurred.entry(shape.name.clone());
                            occurred.or_default().insert(text.clone());
                            schemas.push(shape.schema["properties"][&text].clone());
                        } else if let Some(free) = shape.free() {
                            schemas.push(free.clone());
                        }
                        below = format!("{}.{text}", shape.name);
                    }
                    if schemas.is_empty() {
                        let fault = format!(
                            "{here}: the schema does not know {text:?}: add it to {} in src/profile",
                            shapes[0].name
                        );
                        self.found.faults.insert(fault);
                        continue;
                    }
                    way.push(Step::Key(key.clone()));
                    self.value(inner, &below, &schemas, way);
                    way.pop();
                }
            }
            _ => {}
        }
    }

    /// Asks the reader for the keys of one mapping, and which of those there it cannot do without.
    fn mapping(&mut self, shapes: &[Shape], here: &str, way: &[Step]) {
        let mut changed = self.tree.clone();
        let mapping = at(&mut changed, way).as_mapping_mut().unwrap();
        mapping.insert(UNKNOWN.into(), "1 V".into());
        let told = errors(&changed);
        let names: Vec<&str> = shapes.iter().map(|s| s.name.as_str()).collect();
        let free = shapes.iter().any(|s| s.free().is_some());
        match known(&told) {
            Some(_) if free => {
                let fault = format!(
                    "{here}: names are free in the schema ({names:?}), not so in the reader"
                );
                self.found.faults.insert(fault);
            }
            Some(keys) => {
                let all: BTreeSet<String> = shapes.iter().flat_map(Shape::keys).collect();
                for key in keys.difference(&all) {
                    let fault = format!(
                        "{here}: the reader knows {key:?}, the schema does not: add it to {} in src/profile",
                        names[0]
                    );
                    self.found.faults.insert(fault);
                }
                for shape in shapes {
                    let reader = self.found.reader.entry(shape.name.clone()).or_default();
                    reader.extend(keys.iter().cloned());
                }
            }
            None if !free => {
                let fault =
                    format!("{here}: the reader takes any key, the schema ({names:?}) does not");
                self.found.faults.insert(fault);
            }
            None => {}
        }
        let [shape] = shapes else { return };
        for key in shape.keys() {
            let mut changed = self.tree.clone();
            let mapping = at(&mut changed, way).as_mapping_mut().unwrap();
            if mapping.remove(key.as_str()).is_none() {
                continue;
            }
            let missing = format!("the key \"{key}\" is missing here");
            let told = errors(&changed);
            let wanted = shape.required().contains(&key);
            if wanted && told.is_empty() {
                let fault =
                    format!("{here}: {key:?} is required in the schema, not so in the reader");
                self.found.faults.insert(fault);
            }
            // between keys of which one is wanted, the reader may name the usual one
            let one_of = shape.schema["anyOf"].to_string() + &shape.schema["oneOf"].to_string();
            let either = one_of.contains(&format!("\"{key}\""));
            if !wanted && !either && told.iter().any(|p| p.found == missing) {
                let fault =
                    format!("{here}: {key:?} is required in the reader, not so in the schema");
                self.found.faults.insert(fault);
            }
        }
    }
}

/// The keys that an error about the unknown one names; `None` where it was taken.
fn known(told: &[Problem]) -> Option<BTreeSet<String>> {
    for problem in told {
        let advice = problem.advice.as_deref().unwrap_or_default();
        if problem.found.starts_with("unknown key") {
            let keys = advice.strip_prefix("use one of the known keys: ");
            let keys = keys.unwrap_or_else(|| panic!("other advice: {advice}"));
            return Some(keys.split(", ").map(str::to_owned).collect());
        }
        if problem.found == "each entry of the filter is one part" {
            // "write `- capacitor: { … }`, `- choke: …"
            let pieces = advice.split("`- ").skip(1);
            let keys = pieces.map(|p| p.split(':').next().unwrap().to_owned());
            return Some(keys.collect());
        }
    }
    None
}

fn look() -> (Schema, Found) {
    let schema = Schema(profile_schema());
    let mut found = Found::default();
    for (file, tree) in corpus() {
        assert_eq!(errors(&tree), [], "{file}");
        let root = schema.0.clone();
        let mut look = Look { schema: &schema, file: &file, tree: &tree, found: &mut found };
        look.value(&tree, "Profile", &[root], &mut Vec::new());
    }
    (schema, found)
}

#[test]
fn schema_and_reader_know_the_same_keys() {
    let (schema, mut found) = look();
    // every object of the schema was met, with each of its keys
    let mut objects = vec![("Profile".to_owned(), schema.0.clone())];
    for (name, part) in schema.0["$defs"].as_object().unwrap() {
        objects.push((name.clone(), part.clone()));
    }
    let mut keys = 0;
    for (name, part) in objects {
        let mut shapes = Vec::new();
        let own = serde_json::json!({ "type": part["type"], "properties": part["properties"], "oneOf": part["oneOf"] });
        schema.shapes(&name, &own, &mut shapes);
        for key in shapes.iter().flat_map(Shape::keys) {
            keys += 1;
            let occurred = found.occurred.get(&name);
            if !occurred.is_some_and(|set| set.contains(&key)) {
                found.faults.insert(format!(
                    "no profile has {key:?} of {name}: add it to one of {EVERY_KEY}, where the reader must take it"
                ));
            }
        }
    }
    assert!(keys > 100, "{keys}");
    let faults: Vec<&String> = found.faults.iter().collect();
    assert!(faults.is_empty(), "{faults:#?}");
}

/// The look at both finds what it should: a key taken from the schema, and one added to it.
#[test]
fn a_key_of_one_alone_is_found() {
    for (change, wanted) in [
        ("less", "the reader knows \"cold\", the schema does not"),
        ("more", "is required in the schema, not so in the reader"),
    ] {
        let mut schema = Schema(profile_schema());
        let coil = &mut schema.0["$defs"]["Coil"];
        match change {
            "less" => drop(coil["properties"].as_object_mut().unwrap().remove("cold")),
            _ => coil["required"] = serde_json::json!(["lead", "inductance"]),
        }
        let mut found = Found::default();
        let (file, tree) = corpus().pop().unwrap();
        let (file, tree) = corpus()
            .into_iter()
            .find(|(path, _)| path.ends_with("first.yaml"))
            .unwrap_or((file, tree));
        let root = schema.0.clone();
        Look { schema: &schema, file: &file, tree: &tree, found: &mut found }.value(
            &tree,
            "Profile",
            &[root],
            &mut Vec::new(),
        );
        let faults = &found.faults;
        assert!(faults.iter().any(|f| f.contains(wanted)), "{faults:#?}");
    }
}
