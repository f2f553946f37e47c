//! The JSON of a plan: complete, finite, the same figures as the text, every key documented.

use super::finite::assert_finite;
use super::harness::{mainsfit, printed, shipped};
use mainsfit::adaptation::Method;
use serde_json::Value;
use std::collections::BTreeSet;

fn plan(path: &str) -> Value {
    serde_json::from_str(&printed(&["plan", path, "--format", "json"])).unwrap()
}

/// A short of 0.5 Ω carries some hundred milliamperes through the filter's coil or resistor: B+ is next to nothing, and
/// what stands ahead of that coil or resistor keeps its volts (Ohm's law).
#[test]
fn a_shorted_b_plus_is_dead_and_the_first_capacitor_is_not() {
    for path in shipped() {
        let plan = plan(&path);
        let ahead = plan["as_designed"]["reservoir_v"].as_f64().unwrap()
            - plan["as_designed"]["b_plus_v"].as_f64().unwrap();
        let mut seen = 0;
        let faults = plan["choices"].as_array().unwrap().iter();
        for fault in faults.flat_map(|c| c["faults"].as_array().unwrap()) {
            if fault["fault"] != "B+ shorted after the filter" || !fault["unsolved"].is_null() {
                continue;
            }
            seen += 1;
            let b_plus = fault["b_plus_v"].as_f64().unwrap();
            assert!((0.0..1.0).contains(&b_plus), "{path}: {b_plus} V at a dead short");
            let first = fault["reservoir_v"].as_f64();
            assert_eq!(first.is_some(), ahead > 1.0, "{path}: {first:?} V with {ahead} V ahead");
            assert!(first.is_none_or(|v| v > 50.0), "{path}: {first:?} V");
        }
        assert!(seen > 0, "{path}");
    }
    let text = printed(&["plan", "profiles/european-1954.yaml", "--show", "faults"]);
    let row = text.lines().find(|l| l.starts_with("B+ shorted after the filter")).unwrap();
    let cells: Vec<&str> = row.split("  ").map(str::trim).filter(|c| !c.is_empty()).collect();
    assert_eq!(cells[cells.len() - 2..], ["0 V", "234 V"], "{row}");
}

#[test]
fn schema_is_named_and_every_figure_is_finite() {
    for path in shipped() {
        let plan = plan(&path);
        assert_eq!(plan["schema"], "mainsfit.plan/1", "{path}");
        assert_eq!(plan["version"], env!("CARGO_PKG_VERSION"), "{path}");
        let mut numbers = 0;
        assert_finite("", &plan, &mut numbers);
        assert!(numbers > 500, "{path}: only {numbers} figures");
        for choice in plan["choices"].as_array().unwrap() {
            // what is solved for has its value unless it does not apply
            let solved = !choice["unknown"].is_null() && choice["not_applicable"].is_null();
            let has_part = choice["id"] != "as-is" && choice["not_applicable"].is_null();
            for (key, wanted) in [
                ("exact", solved),
                ("exact_reading", solved),
                ("part", has_part),
                ("part_value", has_part),
            ] {
                assert_eq!(wanted, !choice[key].is_null(), "{path}: {}: {key}", choice["id"]);
            }
            for key in ["day", "target_miss", "band", "fuse", "cold_start"] {
                // a set that must not be plugged in bare has neither fuse nor switch-on so
                let withheld = choice["objections"]
                    .as_array()
                    .unwrap()
                    .iter()
                    .any(|o| o["kind"] == "straight");
                assert_eq!(
                    choice[key].is_null(),
                    !choice["not_applicable"].is_null()
                        || withheld && matches!(key, "fuse" | "cold_start"),
                    "{path}: {}: {key}",
                    choice["id"]
                );
            }
        }
    }
}

/// A figure as shown, such as "6.52 V" or "130 mV", and half of its last place.
fn shown(text: &str) -> (f64, f64) {
    let (number, unit) = text.split_once(' ').unwrap_or_else(|| panic!("no unit: {text}"));
    let scale = match unit {
        "V" | "%" => 1.0,
        "mV" => 1e-3,
        "kV" => 1e3,
        other => panic!("unit {other}"),
    };
    let places = number.split_once('.').map_or(0, |(_, p)| p.len());
    let last = 10f64.powi(-i32::try_from(places).unwrap());
    (number.replace('−', "-").parse::<f64>().unwrap() * scale, 0.5 * last * scale)
}

/// The cells of a table's row, which stand at least two blanks apart.
fn cells(line: &str) -> Vec<&str> {
    line.split("  ").map(str::trim).filter(|c| !c.is_empty()).collect()
}

#[test]
fn text_and_json_give_the_same_figures() {
    for path in shipped() {
        let plan = plan(&path);
        let (text, short) = (printed(&["plan", &path, "--show", "day"]), printed(&["plan", &path]));
        let day = &plan["choices"][0]["day"];
        let columns = [&day["low"], &day["usual"], &day["high"], &plan["as_designed"]];
        let table: Vec<Vec<&str>> = text
            .lines()
            .skip_while(|l| !l.starts_with("THE SET TODAY"))
            .take_while(|l| !l.starts_with("THROUGH THE DAY"))
            .map(cells)
            .collect();
        let mut compared = 0;
        let mut compare = |label: &str, figure: &dyn Fn(&Value) -> f64| {
            let row = table
                .iter()
                .find(|row| row.first() == Some(&label))
                .unwrap_or_else(|| panic!("{path}: no row \"{label}\""));
            assert_eq!(row.len(), 5, "{path}: {row:?}");
            for (cell, column) in row[1..].iter().zip(columns) {
                let (value, half) = shown(cell);
                let exact = figure(column);
                assert!(
                    (value - exact).abs() <= half * 1.000_001,
                    "{path}: {label}: {cell} in the text, {exact} in the JSON"
                );
                compared += 1;
            }
        };
        for (i, heater) in columns[0]["heaters"].as_array().unwrap().iter().enumerate() {
            let winding = heater["winding"].as_str().unwrap();
            let branch = heater["branch"].as_str().map_or(String::new(), |b| format!(" in {b}"));
            let label = match (winding.starts_with("barretter"), winding.strip_suffix("-tap")) {
                (true, _) => "across the barretter".to_owned(),
                (false, Some(tube)) => format!("heaters, {tube}, tapped part{branch}"),
                (false, None) => format!("heaters, {winding}{branch}"),
            };
            compare(&label, &|r| r["heaters"][i]["volts_v"].as_f64().unwrap());
        }
        compare("B+", &|r| r["b_plus_v"].as_f64().unwrap());
        compare("outlet", &|r| r["outlet_v"].as_f64().unwrap());
        compare("at the set", &|r| r["set_v"].as_f64().unwrap());
        assert!(compared >= 16, "{path}: {compared}");
        // the table of the short form says the same as well
        let heaters = columns[1]["heaters"].as_array().unwrap();
        // the first that feeds tubes; a rectifier may stand before it in a string
        let told = heaters.iter().find(|h| h["feeds_tubes"] == true).unwrap();
        let share =
            100.0 * (told["volts_v"].as_f64().unwrap() / told["rated_v"].as_f64().unwrap() - 1.0);
        let row = cells(
            short
                .lines()
                .find(|l| l.starts_with("As it is ") || l.starts_with("Without it "))
                .unwrap(),
        );
        let (value, half) = shown(row[1]);
        assert!((value - share).abs() <= half * 1.000_001, "{path}: {row:?}");
    }
}

fn keys(value: &Value, list: &mut BTreeSet<String>) {
    match value {
        Value::Array(items) => items.iter().for_each(|item| keys(item, list)),
        Value::Object(entries) => {
            for (key, item) in entries {
                list.insert(key.clone());
                keys(item, list);
            }
        }
        _ => {}
    }
}

/// Words that stand between single backticks, outside of fenced blocks.
fn in_backticks(text: &str) -> BTreeSet<String> {
    let mut fenced = false;
    let mut list = BTreeSet::new();
    for line in text.lines() {
        if line.trim_start().starts_with("```") {
            fenced = !fenced;
            continue;
        }
        if fenced {
            continue;
        }
        for (i, piece) in line.split('`').enumerate() {
            if i % 2 == 1 {
                let word = |c: char| !(c.is_alphanumeric() || c == '_');
                list.extend(piece.split(word).map(str::to_owned));
            }
        }
    }
    list
}

#[test]
fn every_key_is_documented() {
    let document =
        std::fs::read_to_string("docs/plan-json.md").expect("docs/plan-json.md is there");
    let documented = in_backticks(&document);
    let mut occurring = BTreeSet::new();
    for path in shipped() {
        keys(&plan(&path), &mut occurring);
        for line in ["105V", "135V"] {
            let text = printed(&["plan", &path, "--line", line, "--format", "json"]);
            keys(&serde_json::from_str(&text).unwrap(), &mut occurring);
        }
    }
    assert!(occurring.len() > 60, "{} keys", occurring.len());
    let missing: Vec<&String> = occurring.difference(&documented).collect();
    assert!(missing.is_empty(), "docs/plan-json.md does not mention {missing:?}");
}

#[test]
fn words_in_backticks() {
    let text =
        "the key `b_plus_v` of `choices[].day`\n```json\n{ \"`no`\": 1 }\n```\n| `x` | no |\n";
    let found = in_backticks(text);
    for word in ["b_plus_v", "choices", "day", "x"] {
        assert!(found.contains(word), "{word}");
    }
    assert!(!found.contains("no"));
}

/// First words in backticks of each row of the table that begins with `head`.
fn first_column(document: &str, head: &str) -> Vec<String> {
    let table = document.lines().skip_while(|l| !l.starts_with(head)).skip(2);
    let rows = table.take_while(|l| l.starts_with('|'));
    rows.filter_map(|l| l.split('`').nth(1).map(str::to_owned)).collect()
}

/// Kinds of an enumeration of the schema.
fn kinds(schema: &Value, name: &str) -> Vec<String> {
    let list = schema["$defs"][name]["oneOf"].as_array().unwrap().iter();
    list.map(|k| k["properties"]["kind"]["const"].as_str().unwrap().to_owned()).collect()
}

/// The list of methods is written from their table; without `MAINSFIT_WRITE_DOCS=1` it is compared.
#[test]
fn the_list_of_ids_is_the_table_of_methods() {
    const ENDS: [&str; 2] = [
        "<!-- methods: written by MAINSFIT_WRITE_DOCS=1 cargo test --test suite plan_json -->\n\n",
        "\n<!-- end of methods -->",
    ];
    let path = "docs/plan-json.md";
    let document = std::fs::read_to_string(path).unwrap().replace("\r\n", "\n");
    let (before, rest) = document.split_once(ENDS[0]).unwrap();
    let (_, after) = rest.split_once(ENDS[1]).unwrap();
    let row = |m: &Method| format!("| `{m}` | {} |\n", m.facts().title);
    let rows: String = Method::ALL.iter().map(row).collect();
    let head = "| `id` | `title` |\n|---|---|\n";
    let wanted = [before, ENDS[0], head, &rows, ENDS[1], after].concat();
    if std::env::var_os("MAINSFIT_WRITE_DOCS").is_some_and(|v| v == "1") {
        std::fs::write(path, &wanted).unwrap();
        return;
    }
    assert!(document == wanted, "{path} is out of date: run with MAINSFIT_WRITE_DOCS=1");
}

/// Every id that a plan of a shipped set has, at home and where the mains are of the other kind.
#[test]
fn every_id_is_documented_with_its_title() {
    let document = std::fs::read_to_string("docs/plan-json.md").unwrap();
    let documented = first_column(&document, "| `id` | `title` |");
    let mut emitted = BTreeSet::new();
    for path in shipped() {
        let low = ["--line", "104V", "--low", "103V", "--high", "105V"];
        for range in [&[] as &[&str], &["--range", "europe"], &["--range", "north-america"], &low] {
            let text = printed(&[&["plan", &path, "--format", "json"], range].concat());
            let plan: Value = serde_json::from_str(&text).unwrap();
            for choice in plan["choices"].as_array().unwrap() {
                let [id, title] = ["id", "title"].map(|key| choice[key].as_str().unwrap());
                let row = format!("| `{id}` | {title} |");
                assert!(document.lines().any(|l| l.starts_with(&row)), "{path}: {row}");
                emitted.insert(id.to_owned());
            }
        }
    }
    assert_eq!(emitted, documented.into_iter().collect(), "emitted and documented");
}

#[test]
fn every_kind_is_documented() {
    let document = std::fs::read_to_string("docs/plan-json.md").unwrap();
    let schema: Value = serde_json::from_str(&printed(&["schema", "plan"])).unwrap();
    for (name, heading) in [("Objection", "### Objections"), ("Caution", "## Cautions")] {
        let (_, section) = document.split_once(heading).unwrap();
        let mut documented = first_column(section, "| kind |");
        // a caution without numbers stands in the table of them all
        if name == "Caution" {
            let all = std::fs::read_to_string("docs/verification.md").unwrap();
            documented.extend(first_column(&all, "| caution |"));
            documented.sort();
            documented.dedup();
        }
        let mut known = kinds(&schema, name);
        documented.sort();
        known.sort();
        assert_eq!(documented, known, "{name}");
    }
}

/// Every JSON says what form it has; what has no answer has one as well, and says the same in words beside it.
#[test]
fn every_json_names_its_form_errors_too() {
    const SET: &str = "profiles/mantel-1938.yaml";
    for command in [
        &["plan", SET][..],
        &["sweep", SET, "--points", "2"],
        &["fit", SET],
        &["tolerance", SET, "--draws", "10"],
        &["switch-on", SET],
        &["replace", SET, "field-coil"],
        &["divider", "--from", "75V", "--resistors", "390k,82k"],
    ] {
        let text = printed(&[command, &["--format", "json"]].concat());
        let found: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(found["schema"], format!("mainsfit.{}/1", command[0]), "{command:?}");
        assert_eq!(found["version"], env!("CARGO_PKG_VERSION"), "{command:?}");
        let of_a_set = command[1] == SET;
        assert_eq!(found["cautions"].as_array().unwrap().is_empty(), !of_a_set, "{command:?}");
    }
    let bad = "tests/bad_profiles/grid_decimal_comma.yaml";
    for (file, line) in [(bad, true), ("nowhere.yaml", false)] {
        for command in ["plan", "sweep", "fit", "power-up", "switch-on", "tolerance", "divider"] {
            let outcome = mainsfit(&[command, file, "--format", "json"]);
            assert_eq!(outcome.code, 2, "{command} {file}");
            let found: Value = serde_json::from_str(&outcome.out).unwrap();
            assert_eq!(found["schema"], "mainsfit.error/1");
            assert_eq!(found["file"], file);
            let first = &found["errors"][0];
            assert_eq!(first["line"].is_u64(), line, "{command} {file}: {first}");
            assert!(outcome.err.contains(first["found"].as_str().unwrap()), "{command} {file}");
        }
    }
}
