//! The tables of keys in docs/profile.md say what the declarations say, by way of the JSON Schema that they make.
//!
//! Between `<!-- keys: NAME -->` and `<!-- /keys -->` stands the table of what the schema calls NAME: the keys of a mapping,
//! the parts of a list, or the words that a value may be. `MAINSFIT_WRITE_DOCS=1` writes the tables; without it they are
//! compared. What stands round them is written by hand, and so is the order of their rows: a row keeps its place, a new one
//! comes last.

use mainsfit::profile::profile_schema;
use serde_json::Value;

const DOCUMENT: &str = "docs/profile.md";
const START: &str = "<!-- keys: ";
const END: &str = "<!-- /keys -->";
/// More words than these are not listed in the row of a key.
const MOST_WORDS: usize = 8;
/// Most items of a list that says nothing else.
const MOST_ITEMS: u64 = 40;

/// A row of a table: what it is about, and the rest.
type Row = (String, Vec<String>);

/// The items of a list; none of anything else.
fn items(value: &Value) -> impl Iterator<Item = &Value> + Clone {
    value.as_array().into_iter().flatten()
}

fn quoted(word: &str) -> String {
    format!("`{word}`")
}

/// "a, b or c", each once.
fn alternatives(mut all: Vec<String>) -> String {
    let mut seen = Vec::new();
    all.retain(|one| !seen.contains(one) && (seen.push(one.clone()), true).1);
    let last = all.pop().unwrap_or_default();
    if all.is_empty() { last } else { format!("{} or {last}", all.join(", ")) }
}

/// What a schema says of itself, in one line that a table can hold.
fn described(schema: &Value) -> String {
    let lines = schema["description"].as_str().unwrap_or_default();
    lines.replace('\n', " ").replace('|', "\\|")
}

/// The words that a value may be, and what each means.
fn words(schema: &Value) -> Vec<(&str, String)> {
    let choice =
        items(&schema["oneOf"]).filter_map(|way| Some((way["const"].as_str()?, described(way))));
    let plain = items(&schema["enum"]).filter_map(|word| Some((word.as_str()?, String::new())));
    choice.chain(plain).collect()
}

/// The name of what a schema refers to.
fn referred(schema: &Value) -> Option<String> {
    let name = schema["$ref"].as_str()?.trim_start_matches("#/$defs/");
    Some(name.replace("%20", " "))
}

struct Schema(Value);

impl Schema {
    fn named(&self, name: &str) -> &Value {
        if name == "Profile" { &self.0 } else { &self.0["$defs"][name] }
    }

    /// What is written as a value.
    fn written(&self, schema: &Value) -> String {
        alternatives(self.ways(schema))
    }

    /// The ways in which a value is written.
    fn ways(&self, schema: &Value) -> Vec<String> {
        if let Some(name) = referred(schema) {
            return self.ways_by_name(&name);
        }
        if schema["type"].is_null() && schema["anyOf"].is_array() {
            return items(&schema["anyOf"]).flat_map(|way| self.ways(way)).collect();
        }
        let words = words(schema);
        if (1..=MOST_WORDS).contains(&words.len()) {
            return words.iter().map(|(word, _)| quoted(word)).collect();
        }
        vec![self.one_way(schema)]
    }

    fn one_way(&self, schema: &Value) -> String {
        if schema["const"] == true {
            return quoted("true");
        }
        if schema["type"] == "array" {
            let most = schema["maxItems"].as_u64().filter(|most| *most != MOST_ITEMS);
            let most = match (most, schema["minItems"].as_u64()) {
                (Some(most), Some(least)) if most == least => format!(" of {most}"),
                (Some(most), _) => format!(" of at most {most}"),
                _ => String::new(),
            };
            return format!("list{most}; each: {}", self.written(&schema["items"]));
        }
        let free = &schema["additionalProperties"];
        if free.is_object() && schema["properties"].is_null() {
            return format!("mapping from names; each: {}", self.written(free));
        }
        if schema["type"] == "object" {
            return "mapping".to_owned();
        }
        let whole = described(schema);
        let short = [": ", ", such as", ", at most"].iter().filter_map(|end| whole.find(end)).min();
        let (first, rest) = whole[..short.unwrap_or(whole.len())].split_at(1);
        first.to_lowercase() + rest
    }

    fn ways_by_name(&self, name: &str) -> Vec<String> {
        let schema = self.named(name);
        if name.starts_with("known-") {
            return vec!["[with how it is known](#how-a-value-is-known)".to_owned()];
        }
        if schema["patternErrorMessage"].is_null() {
            return self.ways(schema);
        }
        vec![match (name.strip_prefix("signed-"), name.strip_suffix("-or-zero")) {
            (Some(name), _) => format!("{name} with its sign"),
            (_, Some(name)) => format!("{name} from 0"),
            _ => name.to_owned(),
        }]
    }

    /// Whether a key must be there, or the others of which one must.
    fn required(schema: &Value, key: &str) -> String {
        if items(&schema["required"]).any(|must| must == key) {
            return "yes".to_owned();
        }
        let ways = items(&schema["anyOf"]).chain(items(&schema["oneOf"]));
        let alone = |way: &Value| match items(&way["required"]).collect::<Vec<_>>()[..] {
            [one] if way["properties"].is_null() => one.as_str().map(str::to_owned),
            _ => None,
        };
        let Some(keys) = ways.map(alone).collect::<Option<Vec<String>>>() else {
            return String::new();
        };
        let others = keys.iter().filter(|other| *other != key).map(|other| quoted(other)).collect();
        if keys.iter().any(|one| one == key) {
            format!("this or {}", alternatives(others))
        } else {
            String::new()
        }
    }

    /// The head and the rows of a table.
    fn table(&self, name: &str) -> (&'static str, Vec<Row>) {
        let schema = self.named(name);
        assert!(schema.is_object(), "{DOCUMENT}: the schema has no {name}");
        let words = words(schema);
        if !words.is_empty() {
            let rows = words.into_iter().map(|(word, means)| (word.to_owned(), vec![means]));
            return ("| word | what it means |\n|---|---|\n", rows.collect());
        }
        let keys = |schema: &Value| schema["properties"].as_object().cloned().unwrap_or_default();
        let own = keys(schema).into_iter().map(|(key, value)| {
            let cells = [Self::required(schema, &key), self.written(&value), described(&value)];
            (key, cells.to_vec())
        });
        let parts = items(&schema["oneOf"]).flat_map(|part| {
            let key = keys(part).into_iter();
            key.map(|(key, value)| {
                (key, vec![String::new(), self.written(&value), described(part)])
            })
        });
        let rows: Vec<Row> = own.chain(parts).collect();
        assert!(!rows.is_empty(), "{name} has no keys");
        ("| key | required | what is written | what it means |\n|---|---|---|---|\n", rows)
    }

    /// A table, its rows in the order of the one that stands in its place.
    fn made_anew(&self, name: &str, table: &str) -> String {
        let first = |row: &str| row.split('|').nth(1).unwrap_or_default().to_owned();
        let kept: Vec<String> = table.lines().map(first).collect();
        let place = |(key, _): &Row| {
            let at = kept.iter().position(|cell| cell.trim() == quoted(key));
            at.unwrap_or(kept.len())
        };
        let (head, mut rows) = self.table(name);
        rows.sort_by_key(place);
        let row = |(key, cells): Row| format!("| {} | {} |\n", quoted(&key), cells.join(" | "));
        head.to_owned() + &rows.into_iter().map(row).collect::<String>()
    }

    /// A document with its tables made anew, and their names.
    fn document(&self, text: &str) -> (String, Vec<String>) {
        let (mut made, mut names) = (String::new(), Vec::new());
        let mut rest = text;
        while let Some((before, after)) = rest.split_once(START) {
            let (name, after) = after.split_once(" -->\n").expect("a marker has an end");
            let (table, after) = after.split_once(END).expect("a table has an end");
            assert!(!table.contains("<!--"), "{name}: a table without its end");
            made += &format!("{before}{START}{name} -->\n{}{END}", self.made_anew(name, table));
            names.push(name.to_owned());
            rest = after;
        }
        (made + rest, names)
    }
}

/// `MAINSFIT_WRITE_DOCS=1` writes the tables; without it they are compared. They are never edited by hand.
#[test]
fn the_tables_of_keys_say_what_the_declarations_say() {
    let schema = Schema(profile_schema());
    let kept = std::fs::read_to_string(DOCUMENT).unwrap().replace("\r\n", "\n");
    let (made, names) = schema.document(&kept);
    if std::env::var_os("MAINSFIT_WRITE_DOCS").is_some_and(|v| v == "1") {
        std::fs::write(DOCUMENT, &made).unwrap();
    } else {
        assert!(kept == made, "{DOCUMENT} is out of date: run with MAINSFIT_WRITE_DOCS=1");
    }
    // every mapping has a table; of those that say how a value is known one does for all
    let all = schema.0["$defs"].as_object().unwrap().iter();
    let mappings = all.filter(|(_, part)| part["properties"].is_object()).map(|(name, _)| name);
    let mappings = mappings.filter(|name| !name.starts_with("known-"));
    for name in mappings.map(String::as_str).chain(["Profile", "known-resistance"]) {
        let count = names.iter().filter(|one| *one == name).count();
        assert_eq!(count, 1, "{DOCUMENT}: tables of {name}: add {START}{name} --> and {END}");
    }
}

/// Rows keep the order in which they stand, new ones come last, and those of keys that are gone go.
#[test]
fn a_table_keeps_its_order() {
    let schema = Schema(serde_json::json!({ "$defs": {
        "voltage": { "type": "string", "patternErrorMessage": "Write a voltage" },
        "Part": {
            "type": "object", "required": ["b"],
            "properties": {
                "a": { "$ref": "#/$defs/voltage", "description": "First,\nor last" },
                "b": { "type": "array", "maxItems": 8, "items": { "$ref": "#/$defs/Word" }, "description": "Words" },
                "c": { "anyOf": [{ "$ref": "#/$defs/Part" }, { "$ref": "#/$defs/Word" }], "description": "Either" },
            },
        },
        "Word": { "oneOf": [{ "const": "x", "description": "This" }, { "const": "y", "description": "That" }] },
    } }));
    let text = "before\n<!-- keys: Part -->\n| `gone` |\n| `c` |\n| `b` |\n<!-- /keys -->\nafter\n<!-- keys: Word -->\n<!-- /keys -->\n";
    let (made, names) = schema.document(text);
    assert_eq!(names, ["Part", "Word"]);
    assert_eq!(
        made,
        "before\n<!-- keys: Part -->\n\
         | key | required | what is written | what it means |\n|---|---|---|---|\n\
         | `c` |  | mapping, `x` or `y` | Either |\n\
         | `b` | yes | list of at most 8; each: `x` or `y` | Words |\n\
         | `a` |  | voltage | First, or last |\n\
         <!-- /keys -->\nafter\n<!-- keys: Word -->\n\
         | word | what it means |\n|---|---|\n| `x` | This |\n| `y` | That |\n<!-- /keys -->\n"
    );
    assert_eq!(schema.document(&made).0, made);
}
