//! The JSON of a plan: complete, finite, the same figures as the text, every key documented.

use super::harness::{printed, shipped};
use serde_json::Value;
use std::collections::BTreeSet;

/// Keys that may be null: what is not known or does not apply. A figure that came out infinite or not a
/// number would be written as null, so nothing else may be.
const MAY_BE_NULL: [&str; 32] = [
    "year",
    "unknown",
    "unit",
    "exact",
    "exact_reading",
    "part",
    "part_value",
    "part_rated_w",
    "part_primary_v",
    "day",
    "not_applicable",
    "choice",
    "runner_up",
    "heater_change_v",
    "b_plus_change_v",
    "screen_v",
    "screen_a",
    "screen_w",
    "plate_limit_w",
    "hold_s",
    "rating_a",
    "target_miss",
    "band",
    "rating",
    "fuse",
    "cold_start",
    "caveat",
    "held_a",
    "present_a",
    "opens_within_s",
    "capacitor_passed",
    "unsolved",
];
/// Figures of a fault that are null where it is not solved.
const OF_A_FAULT: [&str; 4] = ["line_a", "set_v", "heater_excess", "b_plus_v"];
/// Figures of a fault that only parts with a rating in watts have.
const OF_RATED_PARTS: [&str; 2] = ["part_w", "part_allowed_w"];

fn plan(path: &str) -> Value {
    serde_json::from_str(&printed(&["plan", path, "--format", "json"])).unwrap()
}

/// Goes through everything below `value`: every number is finite, nothing is null that may not be.
pub fn assert_finite(name: &str, value: &Value, numbers: &mut usize) {
    match value {
        Value::Null => {
            let (parent, key) = name.rsplit_once('.').unwrap_or(("", name));
            // working volts are unknown for a capacitor that is not rated, but never for a heater
            let capacitor = key == "rated_v" && parent.contains("capacitors[");
            // neither frequency nor range of the outlet need be known
            let outlet = parent == ".outlet" && ["frequency_hz", "range"].contains(&key);
            assert!(MAY_BE_NULL.contains(&key) || capacitor || outlet, "{name} is null");
        }
        Value::Number(n) => {
            assert!(n.as_f64().is_some_and(f64::is_finite), "{name}: {n}");
            *numbers += 1;
        }
        Value::Array(items) => {
            for (i, item) in items.iter().enumerate() {
                assert_finite(&format!("{name}[{i}]"), item, numbers);
            }
        }
        Value::Object(entries) => {
            // a fault: its figures are null where there is no solution, and nowhere else
            let is_fault = entries.contains_key("burns");
            let partial =
                is_fault && entries["fault"].as_str().is_some_and(|f| f.starts_with("partial"));
            let unsolved = is_fault && !entries["unsolved"].is_null();
            if is_fault {
                let [heat, allowed] = OF_RATED_PARTS.map(|key| entries[key].is_null());
                assert_eq!(heat, allowed, "{name}");
            }
            for (key, item) in entries {
                let key = key.as_str();
                let without = unsolved || (partial && key != "line_a");
                if is_fault
                    && item.is_null()
                    && (OF_RATED_PARTS.contains(&key) || (without && OF_A_FAULT.contains(&key)))
                {
                    continue;
                }
                assert_finite(&format!("{name}.{key}"), item, numbers);
            }
        }
        Value::Bool(_) | Value::String(_) => {}
    }
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
                assert_eq!(
                    choice[key].is_null(),
                    !choice["not_applicable"].is_null(),
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
        "V" => 1.0,
        "mV" => 1e-3,
        "kV" => 1e3,
        other => panic!("unit {other}"),
    };
    let places = number.split_once('.').map_or(0, |(_, p)| p.len());
    let last = 10f64.powi(-i32::try_from(places).unwrap());
    (number.parse::<f64>().unwrap() * scale, 0.5 * last * scale)
}

/// The cells of a table's row, which stand at least two blanks apart.
fn cells(line: &str) -> Vec<&str> {
    line.split("  ").map(str::trim).filter(|c| !c.is_empty()).collect()
}

#[test]
fn text_and_json_give_the_same_figures() {
    for path in shipped() {
        let plan = plan(&path);
        let text = printed(&["plan", &path]);
        let day = &plan["choices"][0]["day"];
        let columns = [&day["low"], &day["usual"], &day["high"], &plan["as_designed"]];
        let table: Vec<Vec<&str>> = text
            .lines()
            .skip_while(|l| !l.starts_with("THE SET TODAY"))
            .take_while(|l| !l.starts_with("THE CHOICES"))
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
            let label = format!("heaters, {}", heater["winding"].as_str().unwrap());
            compare(&label, &|r| r["heaters"][i]["volts_v"].as_f64().unwrap());
        }
        compare("B+", &|r| r["b_plus_v"].as_f64().unwrap());
        compare("outlet", &|r| r["outlet_v"].as_f64().unwrap());
        compare("at the set", &|r| r["set_v"].as_f64().unwrap());
        assert!(compared >= 16, "{path}: {compared}");
        // the first page says the same as well
        // the first that feeds tubes; a rectifier may stand before it in a string
        let heaters = columns[1]["heaters"].as_array().unwrap();
        let told = heaters.iter().find(|h| h["feeds_tubes"] == true).unwrap();
        let heater = told["volts_v"].as_f64().unwrap();
        let today = text.lines().find(|l| l.starts_with("TODAY")).unwrap();
        let (value, half) = shown(&today[16..].trim_start()[..6]);
        assert!((value - heater).abs() <= half * 1.000_001, "{path}: {today}");
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
