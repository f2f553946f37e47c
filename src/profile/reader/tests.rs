use std::time::{Duration, Instant};

use crate::profile::{Advised, Cursor, Document, Kind, Problem, Problems, Reader, Severity};

fn document(text: &str) -> Document {
    match Document::parse("x.yaml", text.as_bytes()) {
        Ok(document) => document,
        Err(problems) => panic!("{problems}"),
    }
}

/// All problems of reading a text in some way.
fn problems(text: &str, read: impl FnOnce(&Cursor<'_>)) -> Problems {
    let document = document(text);
    let reader = Reader::new(&document);
    read(&reader.root());
    match reader.into_result(Some(())) {
        Ok((_, warnings)) => warnings,
        Err(problems) => problems,
    }
}

/// What a problem says in short: place, path and sentence.
fn short(problem: &Problem) -> String {
    let (line, column) = problem.place.unwrap_or_default();
    format!("{line}:{column} {} | {}", problem.path, problem.found)
}

fn shorts(problems: &Problems) -> Vec<String> {
    problems.items().iter().map(short).collect()
}

#[derive(Debug, PartialEq)]
struct Tube {
    kind: String,
    heater: Option<f64>,
}

struct NotVolts(String);

impl std::fmt::Display for NotVolts {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "\"{}\" is not a voltage", self.0)
    }
}

impl Advised for NotVolts {
    fn advice(&self) -> Option<String> {
        Some("write a voltage with its unit, such as \"6.3 V\"".to_owned())
    }
}

fn volts(text: &str) -> Result<f64, NotVolts> {
    let number = text.strip_suffix(" V").and_then(|n| n.parse().ok());
    number.ok_or_else(|| NotVolts(text.to_owned()))
}

fn read_tube(cursor: &Cursor<'_>) -> Option<Tube> {
    // a tube may be given by its type alone
    if cursor.kind() == Kind::Text {
        let kind = cursor.text()?.to_owned();
        return Some(Tube { kind, heater: None });
    }
    let fields = cursor.map_with(&["type", "heater"])?;
    let kind = fields.required("type").and_then(|c| c.text().map(str::to_owned));
    let heater = fields.optional("heater").and_then(|c| c.parse_with(volts));
    fields.finish();
    Some(Tube { kind: kind?, heater })
}

fn read_set(cursor: &Cursor<'_>) -> Option<Vec<Tube>> {
    let fields = cursor.map()?;
    let tubes = fields.required("tubes").and_then(|c| c.list());
    let tubes: Vec<_> = tubes?.iter().map(read_tube).collect();
    fields.finish();
    tubes.into_iter().collect()
}

#[test]
fn a_sound_document_is_read() {
    let document = document("tubes: [6E5, {type: 012, heater: 6.30 V}]");
    let reader = Reader::new(&document);
    let value = read_set(&reader.root());
    let (tubes, warnings) = reader.into_result(value).expect("is sound");
    assert!(warnings.is_empty());
    assert_eq!(warnings.render(), "");
    let tube = |kind: &str, heater| Tube { kind: kind.to_owned(), heater };
    assert_eq!(tubes, [tube("6E5", None), tube("012", Some(6.3))]);
}

// Lines and columns counted by hand.
#[test]
fn all_problems_come_at_once_in_file_order() {
    let text = "\
tubes:
  - typ: 6E5
    heater: 6,3
  -
  - [x]
  - type:
    heater:
  - {type: a, type: b, <<: {}, heaters: 3}
set: x
";
    let found = problems(text, |root| drop(read_set(root)));
    assert_eq!(
        shorts(&found),
        [
            "2:5 tubes[0].typ | \"typ\" is not a key here, and \"type\" is missing",
            "3:13 tubes[0].heater | \"6,3\" is not a voltage",
            "4:4 tubes[1] | this list item is empty",
            "5:5 tubes[2] | a block of keys is wanted here; found a list",
            "6:5 tubes[3].type | \"type\" is empty",
            "7:5 tubes[3].heater | \"heater\" is empty",
            "8:15 tubes[4].type | the key \"type\" is in this block already",
            "8:24 tubes[4].\"<<\" | unknown key \"<<\"; blocks of keys are not merged",
            "8:32 tubes[4].heaters | unknown key \"heaters\"",
            "9:1 set | unknown key \"set\"",
        ]
    );
    let advice = |index: usize| found.items()[index].advice.clone().unwrap_or_default();
    assert_eq!(advice(0), "did you mean \"type\"? write that");
    assert_eq!(advice(1), "write a voltage with its unit, such as \"6.3 V\"");
    assert_eq!(advice(5), "give a value or remove the line");
    assert_eq!(advice(8), "the nearest known key is \"heater\"");
    assert_eq!(advice(9), "use one of the known keys: tubes");
    assert_eq!((found.errors(), found.warnings(), found.hidden()), (10, 0, 0));
}

#[test]
fn a_near_key_is_only_named_if_near_and_not_given() {
    let advice = |text: &str| {
        let found = problems(text, |root| {
            let fields = root.map().expect("a mapping");
            for key in ["plate", "screen_grid", "id"] {
                fields.optional(key);
            }
            fields.finish();
        });
        found.items()[0].advice.clone().expect("has advice")
    };
    assert_eq!(advice("palte: 1"), "the nearest known key is \"plate\"");
    assert_eq!(advice("PLATE: 1"), "the nearest known key is \"plate\"");
    assert_eq!(advice("Screen Grid: 1"), "the nearest known key is \"screen_grid\"");
    assert_eq!(advice("scren-grid: 1"), "the nearest known key is \"screen_grid\"");
    let all = "use one of the known keys: plate, screen_grid, id";
    assert_eq!(advice("anode: 1"), all);
    assert_eq!(advice("plate: 1\nplates: 2"), all);
    assert_eq!(advice("x9: 1"), all);
    assert_eq!(advice(&format!("{}: 1", "plate".repeat(100))), all);
    let found = problems("a: 1", |root| root.map().expect("a mapping").finish());
    let advice = found.items()[0].advice.as_deref();
    assert_eq!(advice, Some("remove it; no key is known here"));
}

#[test]
fn wrong_kinds_are_named() {
    let text = "t: x\nl: [1]\nm: {a: 1}\nn: ~\n";
    let found = problems(text, |root| {
        for (key, cursor) in root.entries().expect("a mapping") {
            assert_eq!(cursor.key(), Some(key.as_str()));
            let (map, list, text) = (cursor.map().is_some(), cursor.list(), cursor.text());
            let given = (map, list.is_some(), text.is_some());
            let wanted = match cursor.kind() {
                Kind::Text => (false, false, true),
                Kind::List => (false, true, false),
                Kind::Map => (true, false, false),
                Kind::Null => (false, false, false),
            };
            assert_eq!(given, wanted, "{key}");
        }
        root.list();
    });
    assert_eq!(
        shorts(&found),
        [
            "1:1  | a list is wanted here; found a block of keys",
            "1:4 t | a block of keys is wanted here; found \"x\"",
            "1:4 t | a list is wanted here; found \"x\"",
            "2:4 l | a block of keys is wanted here; found a list",
            "2:4 l | a single value is wanted here; found a list",
            "3:4 m | a list is wanted here; found a block of keys",
            "3:4 m | a single value is wanted here; found a block of keys",
            // asked three times, said once, at the key
            "4:1 n | \"n\" is empty",
        ]
    );
    assert_eq!(found.errors(), 8);
    let empty = problems("# nothing\n", |root| drop(root.map()));
    assert_eq!(empty.items()[0].found, "the file is empty");
}

#[test]
fn cursors_may_be_kept_for_later_checks() {
    let document = document("nodes: {b+: x, \"a b\": y}\nuses: [b+, c]\n");
    let reader = Reader::new(&document);
    let fields = reader.root().map().expect("a mapping");
    let nodes = fields.required("nodes").and_then(|c| c.entries()).expect("names");
    let uses = fields.required("uses").and_then(|c| c.list()).expect("names");
    fields.finish();
    assert_eq!(reader.errors(), 0);
    for cursor in uses {
        let name = cursor.text().expect("a text");
        if nodes.iter().all(|(node, _)| node != name) {
            cursor.fail(format!("no node is called {name}"), "");
        }
    }
    for (name, cursor) in &nodes {
        cursor.clone().warn_key(format!("node {name} ends nowhere"), "");
    }
    let found = reader.into_result(Some(())).expect_err("one is unknown");
    assert_eq!(
        shorts(&found),
        [
            "1:9 nodes.\"b+\" | node b+ ends nowhere",
            "1:16 nodes.\"a b\" | node a b ends nowhere",
            "2:12 uses[1] | no node is called c",
        ]
    );
}

#[test]
fn warnings_alone_leave_the_value() {
    let document = document("a: 1");
    let reader = Reader::new(&document);
    reader.root().warn("odd", "");
    let (value, warnings) = reader.into_result(Some(5)).expect("only a warning");
    assert_eq!((value, warnings.warnings(), warnings.errors()), (5, 1, 0));
    assert_eq!(warnings.items()[0].severity, Severity::Warning);
    // no value and no reason is a fault of the program, not a success
    let reader = Reader::new(&document);
    let found = reader.into_result::<()>(None).expect_err("no value");
    assert_eq!(found.errors(), 1);
    assert!(found.items()[0].found.contains("not understood"));
    // a value does not hide an error
    let reader = Reader::new(&document);
    reader.root().parsed(|text| text.parse::<f64>().ok(), "is no number", "write a number");
    assert!(reader.into_result(Some(5)).is_err());
}

#[test]
fn one_mistake_seen_through_aliases_is_told_once() {
    let text = "a: &m {x: 1, x: 2}\nb: *m\nc: *m\n";
    let found = problems(text, |_| {});
    assert_eq!(shorts(&found), ["1:14 a.x | the key \"x\" is in this block already"]);
    assert_eq!((found.errors(), found.hidden()), (1, 0));
}

#[test]
fn many_problems_are_cut_and_counted() {
    let text: String = (0..120).map(|n| format!("k{n}: 1\n")).collect();
    let found = problems(&text, |root| {
        let entries = root.entries().expect("a mapping");
        // told backwards, shown forwards
        for (_, cursor) in entries.iter().rev() {
            cursor.fail_key("not wanted", "");
            cursor.warn("odd", "");
        }
    });
    assert_eq!((found.errors(), found.warnings(), found.hidden()), (120, 120, 190));
    assert_eq!(found.items().len(), 50);
    for (index, item) in found.items().iter().enumerate() {
        assert_eq!(short(item), format!("{}:1 k{index} | not wanted", index + 1));
    }
    let text = found.render();
    let end: Vec<&str> = text.lines().rev().take(3).collect();
    assert_eq!(end, ["120 errors, 120 warnings in x.yaml", "", "and 190 more not shown"]);
}

#[test]
fn thousands_of_problems_take_little_time() {
    const KEYS: [&str; 12] = [
        "type", "plate", "screen", "cathode", "heater", "grid", "base", "socket", "role", "note",
        "count", "maker",
    ];
    let unknown: String = (0..9_000).map(|n| format!("k{n}:\n")).collect();
    let repeated = "plat: 1\n".repeat(8_000);
    // 1 600 uses of a mapping of five unknown keys each
    let aliased =
        format!("k: &m {{a0: 1, a1: 1, a2: 1, a3: 1, a4: 1}}\nl: [{}]\n", "*m, ".repeat(1_600));
    let once = |text: &str| {
        let document = document(text);
        let start = Instant::now();
        let reader = Reader::new(&document);
        let fields = reader.root().map().expect("a mapping");
        for key in KEYS {
            fields.optional(key);
        }
        for cursor in fields.optional("l").and_then(|c| c.list()).unwrap_or_default() {
            cursor.map().expect("a mapping").finish();
        }
        fields.finish();
        let found = reader.into_result(Some(())).expect_err("unknown keys");
        assert!(!found.render().is_empty());
        start.elapsed()
    };
    for text in [unknown, repeated, aliased] {
        // the machine may have been busy: a search of squared length is slow every time
        let slow = |_: u32| once(&text) >= Duration::from_secs(1);
        assert!(!(0..5).all(slow), "a second and more, five times");
    }
}
