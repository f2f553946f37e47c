//! Words that are known, figures that are there, and no heat below nothing.

use super::at::{At, Judge};
use serde_json::Value;

/// Words of the keys that have a few only (docs/plan-json.md).
const WORDS: [(&str, &[&str]); 12] = [
    ("verdict", &VERDICTS),
    ("below", &VERDICTS),
    ("above", &VERDICTS),
    ("strength", &["optional", "needed"]),
    ("ruling", &["leave", "change", "remove"]),
    ("ready", &["at-once", "within-seconds", "with-the-tubes"]),
    ("lies", &["within", "above", "below"]),
    ("rating", &["ceiling", "design-centre"]),
    ("how", &["secondary-swapped", "primary-on-other-side", "both", "windings-swapped"]),
    ("wrong", &["reading", "line", "part"]),
    ("unknown", &["setting", "dropper", "resistance", "secondary"]),
    ("standard", &["UL 248-14", "IEC 60127-2"]),
];

const VERDICTS: [&str; 12] = [
    "leave",
    "leave-and-measure",
    "change-tap",
    "take-out",
    "fit",
    "boost",
    "step-down",
    "repair-first",
    "cannot-say",
    "leave-fitted",
    "change-fitted",
    "remove-fitted",
];

const CHOICES: [&str; 15] = [
    "as-is",
    "tap",
    "tap-and-part",
    "take-out",
    "step-down",
    "step-up",
    "variac",
    "heater-dropper",
    "series-resistor",
    "bucking-outlet",
    "bucking-set",
    "boost-outlet",
    "boost-set",
    "thermistor",
    "lamp",
];

const OBJECTIONS: [&str; 21] = [
    "straight",
    "heaters-at-usual",
    "heaters-through-the-day",
    "limit-passed",
    "little-gain",
    "sags-with-signal",
    "raised-too-far",
    "band",
    "no-size",
    "no-place",
    "outside-law",
    "held-above-part",
    "fault-burns",
    "fault-unsolved",
    "no-fuse",
    "primary-volts",
    "line-cord",
    "bench-only",
    "too-small",
    "misses-target",
    "rough-figures",
];

/// Figures that may be null, by the end of their path (docs/plan-json.md: "number or null").
const MAY_BE_NULL: [&str; 42] = [
    "set.fuse_a",
    "mains_resistor_ohms",
    "outlet.frequency_hz",
    "low_not_below_v",
    "high_not_above_v",
    "usual_v",
    "high_v",
    "heat.current_a",
    "part_rated_w",
    "part_primary_v",
    "screen_v",
    "screen_a",
    "screen_w",
    "plate_w",
    "plate_limit_w",
    "rated_w",
    "rated_v",
    "surge_v",
    "early_v",
    "fit_v",
    "rating_a",
    "held_a",
    "present_a",
    "breaks_a",
    "opens_within_s",
    "line_a",
    "part_w",
    "part_allowed_w",
    "mains_resistor_w",
    "set_v",
    "heater_excess",
    "b_plus_v",
    "reservoir_v",
    "tap_v",
    "hold_s",
    "fitted_ohms",
    "heater_change_v",
    "b_plus_change_v",
    "b_plus_at_bounds_v",
    "resistor_w_full",
    "resistor_ohms",
    "shown_v",
];

/// Keys of a fault and of what is not connected; there they may be null, elsewhere not.
const NULL_IN_FAULTS: [&str; 5] = ["line_a", "set_v", "heater_excess", "b_plus_v", "usual_v"];

const UNITS: [&str; 7] = ["_v", "_a", "_w", "_c", "_s", "_hz", "_ohms"];

pub fn all(judge: &mut Judge, root: &At) {
    walk(judge, root, "");
    for c in root.list("choices") {
        let ok = CHOICES.contains(&c.text("id"));
        judge.tell("words", &c, "id", ok, "a choice of docs/plan-json.md");
        let known = ["advised", "serves", "refused", "not-applicable"];
        judge.tell("words", &c, "standing", known.contains(&c.text("standing")), "one of four");
        for o in c.list("objections") {
            judge.tell("words", &o, "kind", OBJECTIONS.contains(&o.text("kind")), "an objection");
        }
        let wire: Vec<&str> = c
            .at("hot_wire")
            .value
            .as_array()
            .map(|list| list.iter().filter_map(Value::as_str).collect())
            .unwrap_or_default();
        let order = ["plug", "fuse", "switch", "part", "set"];
        let places: Vec<Option<usize>> =
            wire.iter().map(|w| order.iter().position(|o| o == w)).collect();
        let ok = wire.is_empty()
            || (places.is_sorted()
                && places.iter().all(Option::is_some)
                && wire[..2] == order[..2]);
        judge.tell("words", &c, "hot_wire", ok, "plug, fuse, switch, part, set in this order");
    }
    judge.tell(
        "words",
        root,
        "schema",
        root.text("schema") == "mainsfit.plan/1",
        "mainsfit.plan/1",
    );
}

fn walk(judge: &mut Judge, at: &At, key: &str) {
    match at.value {
        Value::Object(map) => {
            for name in map.keys() {
                word(judge, at, name);
                walk(judge, &at.at(name), name);
            }
        }
        Value::Array(_) => {
            let (end, parent) = (key, at);
            let path = parent.path.strip_suffix(end).unwrap_or("").trim_end_matches('.');
            for (i, value) in at.value.as_array().into_iter().flatten().enumerate() {
                let name = value.get("id").and_then(Value::as_str);
                let name = name.map_or(i.to_string(), str::to_owned);
                let _ = path;
                walk(judge, &At { value, path: format!("{}[{name}]", at.path) }, key);
            }
        }
        _ => {}
    }
}

fn word(judge: &mut Judge, at: &At, key: &str) {
    let Some(value) = at.value.get(key) else {
        return;
    };
    if let (Some(text), Some((_, known))) = (value.as_str(), WORDS.iter().find(|w| w.0 == key)) {
        judge.tell("words", at, key, known.contains(&text), format!("one of {known:?}"));
    }
    if !UNITS.iter().any(|unit| key.ends_with(unit)) {
        return;
    }
    let place = at.place(key);
    let fault = place.contains("faults[") || place.contains("wrong[") || place.contains("as_left");
    let null = MAY_BE_NULL.iter().any(|end| place.ends_with(end))
        && (fault || !NULL_IN_FAULTS.contains(&key));
    // what is wrong may be a part, which has no line
    let null = null || place.contains("explanations[") && key == "at_line_v";
    let ok = value.is_number() || value.is_array() || (value.is_null() && null);
    judge.tell("figures", at, key, ok, "a figure");
    let least = key.ends_with("_w") || ["line_a", "rating_a", "running_a"].contains(&key);
    if let (true, Some(number)) = (least, value.as_f64()) {
        judge.tell("figures", at, key, number >= -1e-6, "not below nothing");
    }
}
