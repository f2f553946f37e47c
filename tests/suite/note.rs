//! The modification note: which choices get one, the same figures as the plan, hostile text, whole files.

use super::harness::{mainsfit, printed, shipped, stem};
use serde_json::Value;

/// Every choice that can be named.
const CHOICES: [&str; 8] = [
    "as-is",
    "variac",
    "series-resistor",
    "bucking-outlet",
    "bucking-set",
    "tap",
    "thermistor",
    "lamp",
];

fn plan(path: &str) -> Value {
    serde_json::from_str(&printed(&["plan", path, "--format", "json"])).unwrap()
}

/// Each shipped set with each choice that its plan stands behind, and bench tools with nothing else against them.
pub fn every_note() -> Vec<(String, String)> {
    let mut list = Vec::new();
    for path in shipped() {
        for choice in plan(&path)["choices"].as_array().unwrap() {
            let against = choice["objections"].as_array().unwrap();
            let bench_only = against.iter().all(|o| o["kind"] == "bench-only");
            if choice["not_applicable"].is_null() && bench_only {
                list.push((path.clone(), choice["id"].as_str().unwrap().to_owned()));
            }
        }
    }
    assert!(list.len() >= 8, "{list:?}");
    list
}

#[test]
fn a_note_is_written_for_what_the_plan_stands_behind_and_refused_for_the_rest() {
    let written = every_note();
    for path in shipped() {
        for choice in CHOICES {
            let outcome = mainsfit(&["note", &path, "--with", choice]);
            let expected = written.contains(&(path.clone(), choice.to_owned()));
            if expected {
                assert_eq!(outcome.code, 0, "{path} {choice}: {}", outcome.err);
                continue;
            }
            assert_ne!(outcome.code, 0, "{path} {choice}");
            assert!(
                outcome.out.is_empty(),
                "{path} {choice}: a refused note was printed"
            );
            // the reason of the plan stands in the refusal
            let plan = plan(&path);
            let found = plan["choices"]
                .as_array()
                .unwrap()
                .iter()
                .find(|c| c["id"] == choice);
            match found {
                None => assert_eq!(outcome.code, 2, "{path} {choice}"),
                Some(_) => {
                    assert_eq!(outcome.code, 1, "{path} {choice}");
                    assert!(
                        outcome.err.contains("no note is written"),
                        "{}",
                        outcome.err
                    );
                }
            }
        }
    }
}

#[test]
fn without_a_choice_the_advised_one_is_written() {
    for path in shipped() {
        let advised = plan(&path)["advice"]["choice"].as_str().unwrap().to_owned();
        let own = printed(&["note", &path]);
        assert_eq!(own, printed(&["note", &path, "--with", &advised]), "{path}");
        assert!(
            own.contains(&format!("--with {advised}")),
            "{path}: how to make it again"
        );
    }
}

/// Text of a note without the signs of Markdown.
fn bare(markdown: &str) -> String {
    let text = markdown.replace(['\\', '*'], "");
    text.replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&amp;", "&")
}

/// Volts as the screens show them.
fn volts(v: f64) -> String {
    use mainsfit::quantity::{Quantity, Voltage, show};
    show(Voltage::from_si(v))
}

/// The cells of the table row whose first cell is `label`.
fn row(note: &str, label: &str) -> Vec<String> {
    let start = format!("| {label} |");
    let line = note.lines().find(|l| l.starts_with(&start));
    let line = line.unwrap_or_else(|| panic!("no row {label:?} in\n{note}"));
    line.trim_matches('|')
        .split(" | ")
        .map(|c| c.trim().to_owned())
        .collect()
}

#[test]
fn the_figures_of_a_note_are_those_of_the_plan() {
    for (path, id) in every_note() {
        let plan = plan(&path);
        let choice = plan["choices"]
            .as_array()
            .unwrap()
            .iter()
            .find(|c| c["id"] == id.as_str());
        let choice = choice.unwrap();
        let note = bare(&printed(&["note", &path, "--with", &id]));
        let name = format!("{path} {id}");
        let figure = |reading: &str, key: &str| choice["day"][reading][key].as_f64().unwrap();
        // the table of the day: low, usual, high stand last
        for (label, key) in [("at the set", "set_v"), ("B+", "b_plus_v")] {
            let lines: Vec<&str> = note.lines().collect();
            let at = lines
                .iter()
                .position(|l| l.starts_with("## Through the day"))
                .unwrap();
            let table = lines[at..].join("\n");
            let cells = row(&table, label);
            let expected: Vec<String> = ["low", "usual", "high"]
                .iter()
                .map(|r| volts(figure(r, key)))
                .collect();
            assert_eq!(cells[cells.len() - 3..], expected, "{name}: {label}");
        }
        // the checkpoints: the column "expect" is the usual line
        let expect = if id == "as-is" { 2 } else { 3 };
        assert_eq!(
            row(&note, "B+")[expect],
            volts(figure("usual", "b_plus_v")),
            "{name}"
        );
        for heater in choice["day"]["usual"]["heaters"].as_array().unwrap() {
            let label = format!("heater winding {}", heater["winding"].as_str().unwrap());
            let expected = volts(heater["volts_v"].as_f64().unwrap());
            assert_eq!(row(&note, &label)[expect], expected, "{name}");
        }
        for tap in choice["day"]["usual"]["taps"].as_array().unwrap() {
            let label = format!("tap {}", tap["name"].as_str().unwrap());
            let expected = volts(tap["volts_v"].as_f64().unwrap());
            assert_eq!(row(&note, &label)[expect], expected, "{name}");
        }
        if let Some(part) = choice["part"].as_str() {
            assert!(note.contains(part), "{name}: {part}");
        }
        if let Some(rating) = choice["fuse"]["rating_a"].as_f64() {
            let standard = choice["fuse"]["standard"].as_str().unwrap();
            assert!(
                note.contains(&format!("{rating} A slow ({standard})")),
                "{name}: fuse"
            );
        }
        // every fault of the choice, every caution of the plan that concerns it
        for fault in choice["faults"].as_array().unwrap() {
            let fault = fault["fault"].as_str().unwrap();
            assert!(note.contains(&fault[1..]), "{name}: {fault}");
        }
        for caution in [
            "Lethal voltages inside",
            "isolation transformer",
            "Local electrical codes decide",
        ] {
            assert!(note.contains(caution), "{name}: {caution}");
        }
        if id == "series-resistor" {
            assert!(note.contains("A series resistor is a heater"), "{name}");
        }
        if id.starts_with("bucking") {
            assert!(note.contains("the wrong way round adds"), "{name}");
        }
    }
}

#[test]
fn every_checkpoint_lies_in_its_band() {
    let number = |cell: &str| -> f64 {
        let (value, unit) = cell.split_once(' ').unwrap_or((cell, ""));
        let scale = if unit.starts_with('m') { 1e-3 } else { 1.0 };
        value.parse::<f64>().unwrap_or_else(|_| panic!("{cell:?}")) * scale
    };
    for (path, id) in every_note() {
        let note = bare(&printed(&["note", &path, "--with", &id]));
        let expect = if id == "as-is" { 2 } else { 3 };
        let table: Vec<&str> = note
            .lines()
            .skip_while(|l| !l.starts_with("| point"))
            .take_while(|l| l.starts_with('|'))
            .skip(2)
            .collect();
        assert!(table.len() > 6, "{path} {id}");
        for line in table {
            let cells: Vec<&str> = line.trim_matches('|').split(" | ").map(str::trim).collect();
            let expected = number(cells[expect]);
            let (a, b) = cells[expect + 1].split_once(" to ").unwrap();
            let (a, b) = (number(a), number(b));
            let (least, most) = (a.min(b), a.max(b));
            assert!(least < expected && expected < most, "{path} {id}: {line}");
            assert!(a.abs() <= b.abs(), "smaller size first: {line}");
            // a set that is stated whole is known better than to within a quarter of a reading; one of which little
            // is known has a choke whose resistance is a guess
            let width = if path.contains("little") { 1.1 } else { 0.5 };
            assert!(
                (most - least).abs() < width * expected.abs(),
                "{path} {id}: {line}"
            );
        }
    }
}

#[test]
fn notes_of_shipped_sets() {
    for path in shipped() {
        snap!(format!("note_{}", stem(&path)), printed(&["note", &path]));
    }
}
