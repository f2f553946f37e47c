//! The JSON of every command but `plan`: its closed schema against real output, and the reference page made from it.

use super::harness::{mainsfit, printed};
use jsonschema::Validator;
use serde_json::Value;
use std::collections::BTreeMap;

const PAGE: &str = "docs/other-json.md";
const ENDS: [&str; 2] = [
    "<!-- forms: written by MAINSFIT_WRITE_DOCS=1 cargo test --test suite other_json -->\n",
    "<!-- end of forms -->",
];

/// Each form with the commands that print it; `error` is printed by all.
const FORMS: [(&str, &[&str]); 9] = [
    ("fit", &["fit profiles/mantel-1938.yaml", "fit profiles/mantel-1938.yaml --working"]),
    (
        "sweep",
        &[
            "sweep profiles/console-1936.yaml --points 3",
            "sweep profiles/mantel-1938.yaml --over resistor --points 3",
            "sweep profiles/string-dropper-1949.yaml --points 2",
        ],
    ),
    (
        "switch-on",
        &[
            "switch-on profiles/console-1936.yaml",
            "switch-on profiles/universal-1947.yaml --with thermistor",
            "switch-on profiles/lead-resistor-1935.yaml",
        ],
    ),
    (
        "parts",
        &[
            "parts profiles/console-1936.yaml",
            "parts profiles/mantel-1938.yaml --with series-resistor",
            "parts profiles/line-cord-1936.yaml",
            "parts tests/data/capacitor_dropper.yaml",
            "parts tests/data/verdicts/silicon-bare.yaml",
        ],
    ),
    (
        "power-up",
        &[
            "power-up profiles/console-1936.yaml",
            "power-up profiles/string-barretter-1936.yaml",
            "power-up profiles/table-1948.yaml --range europe",
        ],
    ),
    (
        "tolerance",
        &[
            "tolerance profiles/console-1936.yaml --draws 20",
            "tolerance profiles/mantel-1938.yaml --draws 20 --with series-resistor",
            "tolerance profiles/string-two-diodes-1935.yaml --draws 10",
        ],
    ),
    (
        "replace",
        &[
            "replace profiles/console-1936.yaml field-coil",
            "replace profiles/console-1936.yaml field-coil --with resistor",
            "replace profiles/table-1948.yaml rectifier",
            "replace profiles/string-ballast-1937.yaml ballast",
            "replace profiles/string-dropper-1949.yaml dropper",
        ],
    ),
    (
        "divider",
        &[
            "divider --from 75V --resistors 390k,82k,18k",
            "divider --from 250V --taps 100V,80V --bleed 10mA --loads 5mA,0",
            "divider profiles/console-1936.yaml --of bias --meter 1kohm/V@250V",
        ],
    ),
    ("error", &[]),
];

/// What is described in the reference of plans, and where there.
const IN_PLANS: [(&str, &str, &str); 9] = [
    ("Plan", "a plan", "top-level"),
    ("Caution", "a caution", "cautions"),
    ("Reading", "a reading", "reading"),
    ("ReadingsReport", "`readings` of a plan", "top-level"),
    ("SetSummary", "`set` of a plan", "top-level"),
    ("OutletVolts", "`outlet` of a plan", "top-level"),
    ("RatingReport", "`rating` of a choice", "rating"),
    ("CapacitorAtStart", "`capacitors[]` of a switch-on of a plan", "switch-on"),
    ("FuseReport", "`fuse` of a choice", "fuse"),
];

fn schema(form: &str) -> Value {
    serde_json::from_str(&printed(&["schema", form])).unwrap()
}

fn validator(schema: &Value) -> Validator {
    jsonschema::draft202012::new(schema).unwrap()
}

fn answer(command: &str) -> Value {
    let words: Vec<&str> = command.split(' ').chain(["--format", "json"]).collect();
    let outcome = mainsfit(&words);
    assert_eq!(outcome.code, 0, "{command}: {}", outcome.err);
    serde_json::from_str(&outcome.out).unwrap()
}

fn faults(validator: &Validator, value: &Value) -> Vec<String> {
    validator.iter_errors(value).map(|e| format!("{}: {e}", e.instance_path())).collect()
}

/// Ways to every object, and to every key.
fn ways(value: &Value, way: &str, objects: &mut Vec<String>, keys: &mut Vec<String>) {
    match value {
        Value::Object(entries) => {
            objects.push(way.to_owned());
            for (key, inner) in entries {
                let way = format!("{way}/{key}");
                keys.push(way.clone());
                ways(inner, &way, objects, keys);
            }
        }
        Value::Array(items) => {
            for (i, item) in items.iter().enumerate().take(2) {
                ways(item, &format!("{way}/{i}"), objects, keys);
            }
        }
        _ => {}
    }
}

/// What each command prints has the form that its schema says, and every answer of a set its cautions.
#[test]
fn answers_have_the_form_of_their_schemas() {
    for (form, commands) in FORMS {
        let schema = schema(form);
        assert!(jsonschema::draft202012::meta::is_valid(&schema), "{form}");
        let validator = validator(&schema);
        for command in commands {
            let found = answer(command);
            assert_eq!(faults(&validator, &found), Vec::<String>::new(), "{command}");
            assert_eq!(found["schema"], format!("mainsfit.{form}/1"), "{command}");
            assert_eq!(found["version"], env!("CARGO_PKG_VERSION"), "{command}");
            let cautions = found["cautions"].as_array().unwrap();
            assert_eq!(cautions.is_empty(), command.contains("--from"), "{command}");
        }
    }
}

/// The schemas are closed: no key may be missing, none may be added, in whatever object of an answer.
#[test]
fn a_key_more_or_less_is_refused() {
    for (form, commands) in FORMS {
        let validator = validator(&schema(form));
        for command in commands.iter().take(1) {
            let whole = answer(command);
            let (mut objects, mut keys) = (Vec::new(), Vec::new());
            ways(&whole, "", &mut objects, &mut keys);
            // the plan within a power-up has a schema and a test of its own, and thousands of keys
            let own = |way: &&String| !way.starts_with("/plan/");
            for way in objects.iter().filter(own) {
                let mut more = whole.clone();
                let object = more.pointer_mut(way).unwrap().as_object_mut().unwrap();
                object.insert("no_such_key".to_owned(), Value::Null);
                assert!(!validator.is_valid(&more), "{command}: a key added to {way:?}");
            }
            for way in keys.iter().filter(own) {
                let (above, key) = way.rsplit_once('/').unwrap();
                let mut less = whole.clone();
                less.pointer_mut(above).unwrap().as_object_mut().unwrap().remove(key);
                assert!(!validator.is_valid(&less), "{command}: {way} removed");
            }
        }
    }
}

#[test]
fn errors_have_their_form_too() {
    let validator = validator(&schema("error"));
    for file in ["tests/bad_profiles/grid_decimal_comma.yaml", "nowhere.yaml"] {
        for command in [
            "fit",
            "parts",
            "power-up",
            "sweep",
            "switch-on",
            "tolerance",
            "divider",
            "replace",
            "plan",
        ] {
            let part: &[&str] = if command == "replace" { &["rectifier"] } else { &[] };
            let outcome = mainsfit(&[&[command, file], part, &["--format", "json"]].concat());
            assert_eq!(outcome.code, 2, "{command} {file}");
            let found = serde_json::from_str(&outcome.out).unwrap();
            assert_eq!(faults(&validator, &found), Vec::<String>::new(), "{command} {file}");
        }
    }
    // what heads every answer of the set heads its errors
    let live = "profiles/string-dropper-1949.yaml";
    let none = ["replace", live, "field-coil", "--format", "json"];
    let found: Value = serde_json::from_str(&mainsfit(&none).out).unwrap();
    assert_eq!(faults(&validator, &found), Vec::<String>::new());
    assert!(!found["cautions"].as_array().unwrap().is_empty(), "{found}");
}

/// The tables of the page, and what was described already, with where.
#[derive(Default)]
struct Reference {
    text: String,
    described: BTreeMap<String, String>,
}

impl Reference {
    fn row(&mut self, key: &str, kind: &str, means: &str) {
        // an ellipsis stays
        let bare = means.strip_suffix('.').filter(|bare| !bare.ends_with('.')).unwrap_or(means);
        let means = bare.replace('\n', " ").replace('|', "\\|");
        self.text += &format!("| `{key}` | {kind} | {means} |\n");
    }

    /// What stands at `key`.
    fn value(&mut self, root: &Value, key: &str, schema: &Value, means: &str, null: &str) {
        let means = schema["description"].as_str().unwrap_or(means);
        if let Some(ways) = schema["anyOf"].as_array() {
            let [of, Value::Object(none)] = &ways[..] else { panic!("{key}: {schema}") };
            assert_eq!(none["type"], "null", "{key}");
            return self.value(root, key, of, means, " or null");
        }
        if let Some(name) = schema["$ref"].as_str() {
            return self.named(root, key, name.trim_start_matches("#/$defs/"), means, null);
        }
        let kinds = schema["type"].as_array().into_iter().flatten().chain([&schema["type"]]);
        if kinds.into_iter().any(|kind| kind == "array") {
            let null = if schema["type"].is_array() { " or null" } else { null };
            return self.list(root, key, schema, means, null);
        }
        if let Some(keys) = schema["properties"].as_object() {
            self.row(key, &format!("object{null}"), means);
            return self.keys(root, &format!("{key}."), keys, "");
        }
        if let Some(words) = words(schema) {
            return self.row(key, &format!("{words}{null}"), means);
        }
        if let Some(kinds) = schema["oneOf"].as_array() {
            self.row(key, &format!("object{null}"), means);
            return self.kinds(root, &format!("{key}."), kinds);
        }
        self.row(key, &scalar(schema, null), means);
    }

    /// What has a name of its own: described once.
    fn named(&mut self, root: &Value, key: &str, name: &str, means: &str, null: &str) {
        if let Some((_, what, anchor)) = IN_PLANS.iter().find(|(known, ..)| *known == name) {
            return self.row(
                key,
                &format!("{what}{null}, see [there](plan-json.md#{anchor})"),
                means,
            );
        }
        let schema = &root["$defs"][name];
        if words(schema).is_none() {
            if let Some(before) = self.described.get(name) {
                return self.row(key, &format!("object{null}, with the keys of {before}"), means);
            }
            let form = root["title"].as_str().unwrap();
            self.described.insert(name.to_owned(), format!("`{key}` of `{form}`"));
        }
        let mut bare = schema.clone();
        bare.as_object_mut().unwrap().remove("description");
        self.value(root, key, &bare, means, null);
    }

    fn list(&mut self, root: &Value, key: &str, schema: &Value, means: &str, null: &str) {
        if let Some(several) = schema["prefixItems"].as_array() {
            let kinds: Vec<String> = several.iter().map(|one| scalar(one, "")).collect();
            return self.row(key, &format!("list of {}{null}", kinds.join(", ")), means);
        }
        let items = &schema["items"];
        let plain = items["$ref"].is_null() && items["type"] != "array" && items["anyOf"].is_null();
        if plain {
            let many = match (schema["minItems"].as_u64(), schema["maxItems"].as_u64()) {
                (Some(least), Some(most)) if least == most => format!("{most} times "),
                _ => "list, each ".to_owned(),
            };
            return self.row(key, &format!("{many}{}{null}", scalar(items, "")), means);
        }
        self.value(root, &format!("{key}[]"), items, means, null);
    }

    fn keys(
        &mut self,
        root: &Value,
        before: &str,
        keys: &serde_json::Map<String, Value>,
        of: &str,
    ) {
        for (key, schema) in keys {
            let means = schema["description"].as_str().unwrap_or_default();
            assert!(!means.is_empty() || !schema["const"].is_null(), "{before}{key} says nothing");
            let mut schema = schema.clone();
            let means = format!("{of}{means}");
            schema.as_object_mut().unwrap().remove("description");
            self.value(root, &format!("{before}{key}"), &schema, &means, "");
        }
    }

    /// Objects of several kinds: each says its own, or has the key of its own alone.
    fn kinds(&mut self, root: &Value, before: &str, kinds: &[Value]) {
        for kind in kinds {
            if let Some(word) = kind["const"].as_str() {
                let bare = before.trim_end_matches('.');
                let what = kind["description"].as_str().unwrap_or_default();
                self.row(bare, &format!("`{word}`"), what);
                continue;
            }
            let keys = kind["properties"].as_object().unwrap_or_else(|| panic!("{before}: {kind}"));
            let what = kind["description"].as_str().unwrap_or_default();
            let Some(word) = keys.get("kind").and_then(|kind| kind["const"].as_str()) else {
                for (key, schema) in keys {
                    self.value(root, &format!("{before}{key}"), schema, what, "");
                }
                continue;
            };
            self.row(&format!("{before}kind"), &format!("`{word}`"), what);
            let mut others = keys.clone();
            others.remove("kind");
            self.keys(root, before, &others, &format!("of kind `{word}`: "));
        }
    }
}

/// Words of an enumeration.
fn words(schema: &Value) -> Option<String> {
    let quoted = |words: Vec<&str>| format!("`{}`", words.join("`, `"));
    if let Some(word) = schema["const"].as_str() {
        return Some(quoted(vec![word]));
    }
    if let Some(words) = schema["enum"].as_array() {
        return words.iter().map(Value::as_str).collect::<Option<Vec<_>>>().map(quoted);
    }
    let ways = schema["oneOf"].as_array()?.iter();
    let words = ways.map(|way| match way["enum"].as_array() {
        Some(several) => several.iter().map(Value::as_str).collect::<Option<Vec<_>>>(),
        None => way["const"].as_str().map(|word| vec![word]),
    });
    words.collect::<Option<Vec<_>>>().map(|words| quoted(words.concat()))
}

/// The name of a plain type.
fn scalar(schema: &Value, null: &str) -> String {
    let name = |kind: &Value| match kind.as_str().unwrap_or_else(|| panic!("{schema}")) {
        "number" => "number",
        "integer" => "whole number",
        "string" => "text",
        "boolean" => "true or false",
        "null" => "null",
        other => panic!("{other}"),
    };
    let kinds = match &schema["type"] {
        Value::Array(kinds) => kinds.iter().map(name).collect::<Vec<_>>().join(" or "),
        Value::Null => words(schema).unwrap_or_else(|| panic!("{schema}")),
        kind => name(kind).to_owned(),
    };
    kinds + null
}

/// The page is written from the schemas; without `MAINSFIT_WRITE_DOCS=1` it is compared.
#[test]
fn the_page_is_what_the_schemas_say() {
    let mut reference = Reference::default();
    for (form, commands) in FORMS {
        let schema = schema(form);
        reference.text += &format!("\n## `mainsfit.{form}/1`\n\n");
        reference.text += &match commands.first() {
            Some(first) => format!("Such as `mainsfit {first} --format json`.\n"),
            None => "What every command prints where JSON is asked for and there is no answer. The same in words goes to standard error.\n".to_owned(),
        };
        reference.text += "\n| key | type | meaning |\n|---|---|---|\n";
        let keys = schema["properties"].as_object().unwrap();
        reference.keys(&schema, "", keys, "");
    }
    let page = std::fs::read_to_string(PAGE).unwrap().replace("\r\n", "\n");
    let (before, rest) = page.split_once(ENDS[0]).unwrap();
    let (_, after) = rest.split_once(ENDS[1]).unwrap();
    let wanted = [before, ENDS[0], &reference.text, "\n", ENDS[1], after].concat();
    if std::env::var_os("MAINSFIT_WRITE_DOCS").is_some_and(|v| v == "1") {
        std::fs::write(PAGE, &wanted).unwrap();
        return;
    }
    assert!(page == wanted, "{PAGE} is out of date: run with MAINSFIT_WRITE_DOCS=1");
}

/// What reads tables without being told how finds numbers in every column but that of words.
#[test]
fn columns_of_csv_are_numbers() {
    for set in ["console-1936", "mantel-1938", "string-barretter-1936", "half-wave-1951"] {
        let path = format!("profiles/{set}.yaml");
        for over in ["line", "resistor"] {
            let csv =
                printed(&["sweep", &path, "--over", over, "--points", "3", "--format", "csv"]);
            let mut reader = csv::Reader::from_reader(csv.as_bytes());
            let head = reader.headers().unwrap().clone();
            assert!(head.iter().rev().skip(1).all(|name| name.ends_with(']')), "{head:?}");
            let mut rows = 0;
            for row in reader.records() {
                let row = row.unwrap();
                for (name, cell) in head.iter().zip(&row).filter(|(name, _)| *name != "caution") {
                    assert!(cell.parse::<f64>().is_ok_and(f64::is_finite), "{set}: {name}: {cell}");
                }
                rows += 1;
            }
            assert_eq!(rows, 3, "{set}");
        }
    }
}
