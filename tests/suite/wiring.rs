//! What a meter shows between which two points behind each method, and the order of what stands in the hot wire.

use super::harness::printed;
use super::step::{choice, plan};
use serde_json::Value;

fn shipped(path: &str, line: &[&str]) -> Value {
    let args = [&["plan", path, "--format", "json"][..], line].concat();
    serde_json::from_str(&printed(&args)).unwrap()
}

/// A meter across the two wires of the primary stands across the outlet, whichever the tap; and one wire carries one current.
#[test]
fn behind_another_tap_the_meter_still_shows_the_outlet() {
    let line = ["--line", "240V", "--low", "235V", "--high", "244V"];
    let plan = shipped("profiles/european-1954.yaml", &line);
    let tap = choice(&plan, "tap");
    assert_eq!(tap["part_value"], 240.0);
    for (at, outlet) in [("low", 235.0), ("usual", 240.0), ("high", 244.0)] {
        let r = &tap["day"][at];
        assert!((r["set_v"].as_f64().unwrap() / outlet - 1.0).abs() < 1e-9, "{at}");
        let amps = |key: &str| r[key].as_f64().unwrap();
        assert!((amps("primary_a") / amps("line_a") - 1.0).abs() < 1e-9, "{at}");
    }
}

/// Where the heaters are high no lower tap is offered, and where they are low no higher one.
#[test]
fn no_tap_makes_worse_what_is_off() {
    for (line, low, high) in [("105V", "102V", "108V"), ("114V", "111V", "117V")] {
        let text = std::fs::read_to_string("profiles/european-1954.yaml").unwrap();
        let text = text
            .replace("design_line: 220 V", "design_line: 110 V")
            .replace("taps: [110 V, 127 V, 150 V, 220 V, 240 V]", "taps: [100 V, 110 V, 120 V]");
        let outlet = text.lines().find(|l| l.starts_with("outlet")).unwrap().to_owned();
        let (line, low, high) = (&line[..3], &low[..3], &high[..3]);
        let outlet_now = format!("outlet: {{ low: {low} V, usual: {line} V, high: {high} V }}");
        let plan = plan("taps", &text.replace(&outlet, &outlet_now));
        let tap = choice(&plan, "tap");
        let excess = |c: &Value| {
            let h = &c["day"]["usual"]["heaters"][0];
            h["volts_v"].as_f64().unwrap() / h["rated_v"].as_f64().unwrap() - 1.0
        };
        let (before, after) = (excess(choice(&plan, "as-is")), excess(tap));
        assert!(before.signum() != (after - before).signum(), "{line} V: {before} {after}");
    }
    // and where the only other tap would do so, there is none to move to
    let text = std::fs::read_to_string("profiles/european-1954.yaml").unwrap();
    let text = text.replace("taps: [110 V, 127 V, 150 V, 220 V, 240 V]", "taps: [200 V, 220 V]");
    let tap = plan("none", &text);
    let tap = choice(&tap, "tap");
    assert_eq!(tap["standing"], "not-applicable", "{tap}");
    assert!(tap["not_applicable"].as_str().unwrap().contains("raise"), "{tap}");
}

/// An invented 117 V string set on 124 V: what goes into the plate lead is for its own work, a watt or so, and what stands in
/// the string has no place in a two-wire box in the line cord.
#[test]
fn droppers_of_a_string_stand_where_they_can() {
    let text = std::fs::read_to_string("profiles/universal-1947.yaml").unwrap();
    let outlet = text.lines().find(|l| l.starts_with("outlet")).unwrap().to_owned();
    let text = text.replace(&outlet, "outlet: { low: 121 V, usual: 124 V, high: 127 V }");
    let plan = plan("string", &text);
    let dropper = choice(&plan, "heater-dropper");
    let (words, with) = (dropper["part"].as_str().unwrap(), &dropper["with"]);
    let surge = with["part"].as_str().unwrap();
    let rating = &with["rating"];
    let (worst, rated) = (rating["worst_w"].as_f64().unwrap(), rating["rated_w"].as_f64().unwrap());
    assert!(rated <= 5.0 && rated >= 2.0 * worst, "{surge}: {worst} W in {rated} W");
    assert!(surge.contains("fusible"), "{surge}");
    let places = |rating: &Value| -> Vec<String> {
        let list = rating["places"].as_array().unwrap().iter();
        list.map(|p| p["place"].as_str().unwrap().to_owned()).collect()
    };
    let of_dropper = places(&dropper["rating"]);
    let own = dropper["rating"]["places"].as_array().unwrap();
    assert!(own.iter().any(|p| p["acceptable"] == true), "{words}");
    for place in of_dropper.iter().chain(&places(rating)) {
        assert!(!place.contains("cord") && !place.contains("lead"), "{place}");
    }
}
