//! What mutants showed that no test saw (`tests/data/verification/mutants.md`).

use super::harness::printed;
use serde_json::Value;

fn json(args: &[&str]) -> Value {
    serde_json::from_str(&printed(&[args, &["--format", "json"]].concat())).unwrap()
}

/// The set of 1934 has an 80 for B+ and an 84 on windings of its own for the field: both warm, each with its kind.
#[test]
fn a_second_rectifier_of_its_own_is_among_what_warms() {
    let path = "profiles/speaker-supply-1934.yaml";
    let found = json(&["switch-on", path]);
    let kinds = found["kinds"].as_array().unwrap();
    let kind_of = |name: &str| {
        let of = |k: &&Value| k["of"].as_array().unwrap().iter().any(|n| n == name);
        kinds.iter().find(of).map(|k| k["kind"].as_str().unwrap())
    };
    assert_eq!(kind_of("80"), Some("filament rectifier"));
    assert_eq!(kind_of("84"), Some("heater rectifier"));
}

/// Two 25Z5 of 25 V and 0.3 A each (their data sheet) stand in the string as one link of 50 V: with what passes through all
/// links, twice the volts of the one that feeds B+.
#[test]
fn two_rectifiers_of_a_second_supply_are_two_heaters_in_the_string() {
    let text = std::fs::read_to_string("profiles/string-two-diodes-1935.yaml").unwrap();
    let own = "rectifier: { type: 25Z5, circuit: half-wave, count: 2 }\n  filter";
    let text = text.replacen("rectifier: shared\n  filter", own, 1);
    assert!(text.contains(own));
    let path = std::env::temp_dir().join(format!("mainsfit-gaps-{}.yaml", std::process::id()));
    std::fs::write(&path, text).unwrap();
    let plan = json(&["plan", path.to_str().unwrap()]);
    std::fs::remove_file(&path).unwrap();
    let heaters = plan["choices"][0]["day"]["usual"]["heaters"].as_array().unwrap();
    let of = |name: &str, key: &str| {
        heaters.iter().find(|h| h["winding"] == name).unwrap()[key].as_f64().unwrap()
    };
    assert_eq!((of("25Z5", "rated_v"), of("25Z5-2", "rated_v")), (25.0, 50.0));
    let ratio = of("25Z5-2", "volts_v") / of("25Z5", "volts_v");
    assert!((ratio - 2.0).abs() < 1e-6, "{ratio}");
}

/// An 80 is ready before the tubes, so its capacitors stand at the crest with nothing drawn; an 84 warms with them: its
/// capacitor stands at what it has at work, and at the crest only if it is early.
#[test]
fn each_rectifier_says_what_its_own_capacitors_bear_at_switch_on() {
    let plan = json(&["plan", "profiles/speaker-supply-1934.yaml"]);
    let list = plan["choices"][0]["cold_start"]["capacitors"].as_array().unwrap();
    let volts = |i: usize, key: &str| list[i][key].as_f64();
    assert_eq!(list.len(), 3);
    for i in [0, 1] {
        assert_eq!(volts(i, "early_v"), None);
        assert!(volts(i, "peak_v") > volts(i, "running_v"));
    }
    assert_eq!(volts(2, "peak_v"), volts(2, "running_v"));
    assert!(volts(2, "early_v") > volts(2, "running_v"));
}
