//! Readings with one slip each, made from a sound sheet of readings: every command says which, and advises nothing on them.

use super::harness::{flat, mainsfit, printed};
use serde_json::Value;
use std::path::PathBuf;

/// The shipped set of the walk-through, whose readings agree.
const SHEET: &str = include_str!("../../profiles/mantel-1938.yaml");

/// A file of the sheet with `from` written as `to`.
fn slipped(name: &str, from: &str, to: &str) -> String {
    assert_eq!(SHEET.matches(from).count(), 1, "{from}");
    written(name, &SHEET.replace(from, to))
}

fn written(name: &str, text: &str) -> String {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("slips");
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join(format!("{name}.yaml"));
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

/// Name, as it stands, as it was typed, the key to be taken again, and what stood there.
const CONTRADICT: [(&str, &str, &str, &str, &str); 10] = [
    // a digit or a decimal point, one of each kind
    ("line", "at_line: 116 V", "at_line: 161 V", "at_line", "116 V would fit"),
    ("heater", "heater.main: 6.41", "heater.main: 7.41", "heater.main", "6.41 V would fit"),
    ("amps", "current: 0.49 A", "current: 0.94 A", "primary_current", "490 mA would fit"),
    // swaps of digits, one digit changed
    ("coil-swap", "coil: 63.2", "coil: 36.2", "coil1.drop", "63.2 V would fit"),
    ("coil-digit", "coil: 63.2", "coil: 83.2", "coil1.drop", "would fit"),
    ("plus-digit", "B+: 265 V", "B+: 365 V", "B+", "265 V would fit"),
    ("heater-swap", "heater.main: 6.41", "heater.main: 4.61", "heater.main", "6.41 V would fit"),
    ("screen", "screen: 103.7", "screen: 163.7", "V2.screen", "would fit"),
    ("line-low", "at_line: 116 V", "at_line: 106 V", "at_line", "116 V would fit"),
    ("line-digit", "at_line: 116 V", "at_line: 136 V", "at_line", "116 V would fit"),
];

/// The first characters of a text, for a message.
fn start(text: &str) -> String {
    text.chars().take(700).collect()
}

#[test]
fn contradicting_readings_head_every_command_and_nothing_is_advised() {
    for (place, (name, from, to, key, hint)) in CONTRADICT.into_iter().enumerate() {
        let path = slipped(name, from, to);
        let sweep = ["sweep", &path, "--points", "2", "--format", "json"];
        let sweep: Value = serde_json::from_str(&printed(&sweep)).unwrap();
        assert_eq!(sweep["readings"]["take_again"][0]["key"], key, "{name}: {}", sweep["readings"]);
        assert_eq!(sweep["readings_used"], 0, "{name}");
        if place == 0 {
            let plan: Value =
                serde_json::from_str(&printed(&["plan", &path, "--format", "json"])).unwrap();
            assert_eq!(plan["readings"], sweep["readings"]);
            assert_eq!(plan["advice"]["choice"], Value::Null);
            assert_eq!(plan["advice"]["runner_up"], Value::Null);
            let standings = plan["choices"].as_array().unwrap().iter().map(|c| &c["standing"]);
            assert!(standings.into_iter().all(|s| s != "advised"));
        }
        let again = if key == "at_line" { "at_line says" } else { key };
        // the screens: first after the title
        let commands: [&[&str]; 5] = [
            &["fit"],
            &["sweep", "--points", "2"],
            &["plan"],
            &["power-up"],
            &["tolerance", "--draws", "10"],
        ];
        // the slow ones for some
        for command in commands.iter().take(if place == 0 { 5 } else { 2 }) {
            let mut line = vec![command[0], &path];
            line.extend(&command[1..]);
            let text = flat(&printed(&line));
            let place = text.find("READINGS CONTRADICT").unwrap_or(usize::MAX);
            let figures = ["TODAY", "FOUND", "Ohmmeter", "line V", "B+ "].iter();
            let first = figures.filter_map(|w| text.find(w)).min().unwrap();
            let head = text.get(place..).unwrap_or_default();
            assert!(place < first || command[0] == "sweep", "{name} {command:?}: {}", start(&text));
            assert!(
                head.contains(again) && head.contains(hint),
                "{name} {command:?}: {}",
                start(head)
            );
        }
        // these two have no answer
        let all = ["check", "note"];
        for command in all.into_iter().take(if place == 0 { 2 } else { 1 }) {
            let outcome = mainsfit(&[command, &path]);
            let text = flat(&outcome.err);
            assert_eq!(outcome.code, 1, "{name} {command}: {}", outcome.out);
            assert!(text.contains("READINGS CONTRADICT"), "{name} {command}: {}", start(&text));
            assert!(
                text.contains(again) && text.contains(hint),
                "{name} {command}: {}",
                start(&text)
            );
        }
        assert_eq!(mainsfit(&["fit", &path, "--write"]).code, 1, "{name}");
        if place == 0 {
            assert_eq!(mainsfit(&["note", &path, "--with", "bucking-outlet"]).code, 1);
        }
        let csv = printed(&["sweep", &path, "--points", "2", "--format", "csv"]);
        let row = csv.lines().nth(1).unwrap();
        assert!(row.contains(",\"READINGS CONTRADICT"), "{name}: {row}");
    }
}

/// Name, as it stands, as it was typed, and words beside the place.
const REFUSED: [(&str, &str, &str, &str); 11] = [
    // a digit or a decimal point, one of each kind
    ("kilovolts", "B+: 265 V", "B+: 2650 V", "265 V would fit"),
    ("point", "B+: 265 V", "B+: 26.5 V", "265 V would fit"),
    ("cathode", "cathode: 18.0", "cathode: 1.80", "18.0 V would fit"),
    ("no-tube", "V2.screen", "V7.screen", "known:"),
    // a point, a unit, a sign
    ("heater-point", "heater.main: 6.41", "heater.main: 64.1", "6.41 V would fit"),
    ("amps-point", "current: 0.49 A", "current: 4.9 A", "490 mA would fit"),
    ("amps-unit", "current: 0.49 A", "current: 0.49 mA", "490 mA would fit"),
    ("coil-point", "coil: 63.2", "coil: 632", "63.2 V would fit"),
    ("sign", "screen: 103.7", "screen: -103.7", "104 V would fit"),
    ("unit", "cathode: 18.0 V", "cathode: 18.0 mV", "18.0 V would fit"),
    ("line-far", "at_line: 116 V", "at_line: 416 V", "voltage at the plug"),
];

#[test]
fn a_reading_that_no_state_of_the_set_gives_is_refused_where_it_stands() {
    for (name, from, to, words) in REFUSED {
        let path = slipped(name, from, to);
        // where the value stands: behind its key, or the last thing of the line
        let text = SHEET.replace(from, to);
        let (number, line) = text.lines().enumerate().find(|(_, l)| l.contains(to)).unwrap();
        let value = line.find(to).unwrap() + to.find(':').map_or(to.len(), |c| c) + 2;
        let column = line[..value].chars().count() + 1;
        let place = format!("{}:{column}", number + 1);
        let all = ["check", "sweep", "fit", "plan", "note", "power-up", "tolerance"];
        for command in all {
            let outcome = mainsfit(&[command, &path]);
            assert_eq!(outcome.code, 2, "{name} {command}: {}", outcome.out);
            let text = flat(&outcome.err);
            assert!(
                text.contains(&format!("{name}.yaml:{place}: error")),
                "{name}: {}",
                start(&text)
            );
            assert!(
                text.contains("readings[0]") && text.contains(words),
                "{name}: {}",
                start(&text)
            );
            assert_eq!(text.matches(": error in").count(), 1, "{name}: {}", start(&text));
        }
    }
}

/// One reading alone cannot tell whether it or the set is off: the head says so, and what would tell.
#[test]
fn what_cannot_be_told_apart_is_said() {
    let (before, _) = SHEET.split_once("readings:").unwrap();
    let path =
        written("alone", &format!("{before}readings:\n  - {{ at_line: 116 V, B+: 345 V }}\n"));
    let text = flat(&printed(&["fit", &path]));
    let words = ["READINGS CONTRADICT", "cannot tell them apart", " would: "];
    assert!(words.iter().all(|w| text.contains(w)), "{}", start(&text));
}

/// A cathode resistor at 1.4 times its value, read at six points: called drifted with its nominal, on every sheet, and
/// nothing is advised before it is put right (it is off by more than three times its tolerance).
#[test]
fn a_part_far_off_is_called_drifted_and_no_reading_is_blamed() {
    let (before, _) = SHEET.split_once("readings:").unwrap();
    let set =
        format!("{before}calibration: [{{ of: V4.cathode_resistor, factor: 1.6, spread: 0 }}]\n");
    let truth = written("drifted-truth", &set);
    let keys = ["B+", "coil1.drop", "heater.main", "V4.cathode", "V2.screen", "primary_current"];
    let args = ["sweep", &truth, "--from", "116V", "--to", "117V", "--points", "2"];
    let show = keys.join(",");
    let args: Vec<&str> = args.into_iter().chain(["--format", "json", "--show", &show]).collect();
    let sweep: Value = serde_json::from_str(&printed(&args)).unwrap();
    let values = sweep["rows"][0].as_array().unwrap()[1..].iter().map(|v| v.as_f64().unwrap());
    let list: Vec<String> = keys
        .iter()
        .zip(values)
        .map(|(k, v)| format!("{k}: {v:.4} {}", if k.ends_with("current") { "A" } else { "V" }))
        .collect();
    let readings = format!("readings: [{{ at_line: 116 V, meter: 9 GΩ, {} }}]\n", list.join(", "));
    let path = written("drifted", &(before.to_owned() + &readings));
    let plan: Value = serde_json::from_str(&printed(&["plan", &path, "--format", "json"])).unwrap();
    let first = &plan["readings"]["contradiction"]["explanations"][0];
    assert_eq!(first["key"], "V4.cathode_resistor", "{}", plan["readings"]);
    let would_be = first["would_be"].as_f64().unwrap();
    assert!((would_be / (1.6 * 390.0) - 1.0).abs() < 0.1, "{would_be}");
    // the part is put right first, and the plan is of the set with it put right
    assert_eq!(plan["advice"]["verdict"], "repair-first");
    assert_eq!(plan["put_right"], true);
    for command in ["sweep", "fit"] {
        let text = flat(&printed(&[command, &path]));
        assert!(
            text.contains("a part has drifted") && text.contains("not 390 Ω"),
            "{}",
            start(&text)
        );
    }
}

/// A part that is off within reason is named with its nominal on every sheet, and the plan goes on with what it acts like.
#[test]
fn a_drifted_part_is_named_on_every_sheet() {
    let path = written("as-shipped", SHEET);
    for command in ["plan", "note", "fit", "sweep"] {
        let text = flat(&printed(&[command, &path]));
        let words = "cathode resistor of V4 6F6 output acts like 505 Ω";
        assert!(text.contains(words) && text.contains("not 390 Ω"), "{command}: {}", start(&text));
    }
}
