//! The tables of keys in docs/profile.md say what the declarations say, by way of the JSON Schema that they make.
//!
//! Between `<!-- keys: NAME -->` and `<!-- /keys -->` stands the table of what the schema calls NAME: the keys of a mapping,
//! the parts of a list, or the words that a value may be. `MAINSFIT_WRITE_DOCS=1` writes the tables; without it they are
//! compared. What stands round them is written by hand, and so is the order of their rows: a row keeps its place, a new one
//! comes last.

use mainsfit::profile::{Needed, Schema, shop_schema};
use serde_json::json;

const DOCUMENT: &str = "docs/profile.md";
/// What a shop's defaults can be; the rest of that schema is a profile's.
const SHOP: &str = "docs/shop.md";
const START: &str = "<!-- keys: ";
const END: &str = "<!-- /keys -->";
/// What the declarations say of a value that may say how it is known, and where the document explains that.
const KNOWN: (&str, &str) =
    ("with how it is known", "[with how it is known](#how-a-value-is-known)");

/// A row of a table: what it is about, and the rest.
type Row = (String, Vec<String>);

/// The tables of a schema, in a document.
struct Tables(Schema);

impl Tables {
    /// The head and the rows of a table.
    fn table(&self, name: &str) -> (&'static str, Vec<Row>) {
        let Tables(schema) = self;
        let part = schema.named(name);
        assert!(part.is_object(), "{DOCUMENT}: the schema has no {name}");
        let words = schema.words_of(part);
        if !words.is_empty() {
            let rows = words.into_iter().map(|(word, means)| (word, vec![means]));
            return ("| word | what it means |\n|---|---|\n", rows.collect());
        }
        let rows = schema.rows(part).into_iter().map(|(row, _)| {
            let written = row.written.replace(KNOWN.0, KNOWN.1);
            let needed = match row.needed {
                Needed::Always => "yes".to_owned(),
                Needed::OrElse(others) => format!("this or {others}"),
                Needed::No => String::new(),
            };
            (row.key, vec![needed, written, row.means])
        });
        let rows: Vec<Row> = rows.collect();
        assert!(!rows.is_empty(), "{name} has no keys");
        ("| key | required | what is written | what it means |\n|---|---|---|---|\n", rows)
    }

    /// A table, its rows in the order of the one that stands in its place.
    fn made_anew(&self, name: &str, table: &str) -> String {
        let first = |row: &str| row.split('|').nth(1).unwrap_or_default().to_owned();
        let kept: Vec<String> = table.lines().map(first).collect();
        let place = |(key, _): &Row| {
            let at = kept.iter().position(|cell| cell.trim() == format!("`{key}`"));
            at.unwrap_or(kept.len())
        };
        let (head, mut rows) = self.table(name);
        rows.sort_by_key(place);
        let row = |(key, cells): Row| {
            let cells: Vec<String> = cells.iter().map(|cell| cell.replace('|', "\\|")).collect();
            format!("| `{key}` | {} |\n", cells.join(" | "))
        };
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
    let schema = Tables(Schema::of_profile());
    let kept = std::fs::read_to_string(DOCUMENT).unwrap().replace("\r\n", "\n");
    let (made, names) = schema.document(&kept);
    if std::env::var_os("MAINSFIT_WRITE_DOCS").is_some_and(|v| v == "1") {
        std::fs::write(DOCUMENT, &made).unwrap();
    } else {
        assert!(kept == made, "{DOCUMENT} is out of date: run with MAINSFIT_WRITE_DOCS=1");
    }
    let (shop, kept) = (Tables(Schema(shop_schema())), std::fs::read_to_string(SHOP).unwrap());
    let (made, tables) = shop.document(&kept.replace("\r\n", "\n"));
    if std::env::var_os("MAINSFIT_WRITE_DOCS").is_some_and(|v| v == "1") {
        std::fs::write(SHOP, &made).unwrap();
    } else {
        assert!(kept.replace("\r\n", "\n") == made, "{SHOP} is out of date");
    }
    assert_eq!(tables, ["Shop", "Paper"]);
    // every mapping has a table; of those that say how a value is known one does for all
    let all = schema.0.0["$defs"].as_object().unwrap().iter();
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
    let schema = Tables(Schema(json!({ "$defs": {
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
    } })));
    let text = "before\n<!-- keys: Part -->\n| `gone` |\n| `c` |\n| `b` |\n<!-- /keys -->\nafter\n<!-- keys: Word -->\n<!-- /keys -->\n";
    let (made, names) = schema.document(text);
    assert_eq!(names, ["Part", "Word"]);
    assert_eq!(
        made,
        "before\n<!-- keys: Part -->\n\
         | key | required | what is written | what it means |\n|---|---|---|---|\n\
         | `c` |  | block of keys, `x` or `y` | Either |\n\
         | `b` | yes | list of at most 8; each: `x` or `y` | Words |\n\
         | `a` |  | voltage | First, or last |\n\
         <!-- /keys -->\nafter\n<!-- keys: Word -->\n\
         | word | what it means |\n|---|---|\n| `x` | This |\n| `y` | That |\n<!-- /keys -->\n"
    );
    assert_eq!(schema.document(&made).0, made);
}
