//! How a value is known: measured, nominal, a guess.

use super::harness::{mainsfit, printed};
use serde_json::Value;
use std::path::PathBuf;

const SHEET: &str = include_str!("../../profiles/mantel-1938.yaml");

/// The sheet with the coil's cold ohms written as `cold`, and with other readings where they are given.
fn coil(name: &str, cold: &str, drop: &str) -> String {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("known");
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join(format!("{name}.yaml"));
    let text = SHEET.replace("cold: 1000 Ω, hot: 1120 Ω", cold);
    let text = text.replace("field_coil: 63.2 V", &format!("field_coil: {drop}"));
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

fn json(args: &[&str]) -> Value {
    serde_json::from_str(&printed(args)).unwrap()
}

/// The number of a list with that key.
fn of<'v>(list: &'v Value, key: &str) -> Option<&'v Value> {
    list.as_array().unwrap().iter().find(|n| n["key"] == key)
}

/// 975 Ω by an ohmmeter good for 1 % and its last digit: 1.1 %. The readings would have it 5 % lower, and it stays.
#[test]
fn a_measured_coil_stays_within_its_meter() {
    let path = coil("measured", "cold: { value: 1060 Ω, known: measured }", "62.3 V");
    let fit = json(&["fit", &path, "--format", "json"]);
    let number = of(&fit["numbers"], "coil1.resistance").unwrap();
    let get = |key: &str| number[key].as_f64().unwrap();
    let limit = 0.01 + 1.0 / 1060.0;
    assert!((get("spread_before") - limit).abs() < 1e-9, "{number}");
    assert!((get("after") / get("before")).ln().abs() <= limit, "{number}");
    assert!(get("spread_after") <= limit, "{number}");
    // the same value without a word goes where the readings put it
    let plain = coil("plain", "cold: 1060 Ω", "62.3 V");
    let fit = json(&["fit", &plain, "--format", "json"]);
    let number = of(&fit["numbers"], "coil1.resistance").unwrap();
    let off = (number["after"].as_f64().unwrap() / number["before"].as_f64().unwrap()).ln().abs();
    assert!(off > limit, "{number}");
}

#[test]
fn a_measured_value_is_drawn_within_its_own_limits() {
    let path = coil("drawn", "cold: { value: 975 Ω, known: measured, within: 0.5 % }", "63.2 V");
    let text = std::fs::read_to_string(&path).unwrap();
    let (before, _) = text.split_once("readings:").unwrap();
    std::fs::write(&path, before).unwrap();
    let found = json(&["tolerance", &path, "--draws", "10", "--format", "json"]);
    let input = of(&found["inputs"], "coil1.resistance").unwrap();
    assert_eq!(input["from"], "stated");
    let text = input["spreading"].to_string();
    assert!(text.contains("0.995") && text.contains("1.005"), "{text}");
}

/// What is printed has the customary tolerance, which is what a bare value has.
#[test]
fn nominal_is_what_a_bare_value_is() {
    let bare = printed(&["fit", &coil("bare", "cold: 1000 Ω", "63.2 V")]);
    let nominal = coil("nominal", "cold: { value: 1000 Ω, known: nominal }", "63.2 V");
    assert_eq!(bare, printed(&["fit", &nominal]));
}

#[test]
fn a_guess_is_an_assumption() {
    let path = coil("guess", "cold: { value: 1000 Ω, known: guess, within: 20 % }", "63.2 V");
    let fit = json(&["fit", &path, "--format", "json"]);
    let number = of(&fit["numbers"], "coil1.resistance").unwrap();
    assert_eq!(number["assumed"], true);
    assert_eq!(number["spread_before"], 0.2);
}

#[test]
fn odd_words_are_refused_where_they_stand() {
    for (cold, words) in [
        ("cold: { value: 1000 Ω, known: surely }", "known"),
        ("cold: { value: 1000 Ω, known: measured, within: 80 % }", "within"),
        ("cold: { known: measured }", "value"),
        ("cold: { value: 1000, known: measured }", "unit"),
        ("cold: { value: 1000 Ω, known: measured, whithin: 1 % }", "whithin"),
    ] {
        let outcome = mainsfit(&["check", &coil("odd", cold, "63.2 V")]);
        assert_eq!(outcome.code, 2, "{cold}: {}", outcome.err);
        assert!(outcome.err.contains(words), "{cold}: {}", outcome.err);
    }
    // a value that no number of the set stands on
    let path = coil("idle", "cold: 1000 Ω", "63.2 V");
    let text = std::fs::read_to_string(&path).unwrap();
    let line = "nameplate_power: { value: 60 W, known: guess }";
    std::fs::write(&path, text.replace("nameplate_power: 60 W", line)).unwrap();
    let outcome = mainsfit(&["check", &path]);
    assert!(outcome.code != 0 && outcome.err.contains("idle.yaml:7:"), "{}", outcome.err);
}

/// A supply found from the service sheet's B+ has no winding volts to speak of: what is uncertain is the sheet's figure.
#[test]
fn the_service_sheets_b_plus_is_called_that() {
    let text = std::fs::read_to_string("profiles/mantel-1938.yaml").unwrap();
    let text = text.replace(
        "  high_voltage: { per_half: 315 V, measured: open-circuit, resistance_per_half: 195 Ω }\n",
        "",
    ) + "service_sheet: { B+: 250 V, at_line: 115 V }\n";
    let path = coil("sheet", "cold: 1000 Ω", "63.2 V");
    std::fs::write(&path, text).unwrap();
    let fit = json(&["fit", &path, "--format", "json"]);
    let number = of(&fit["numbers"], "high_voltage.volts").unwrap();
    assert_eq!(number["what"], "B+ of the service sheet");
}
