//! Whether all figures of a plan's JSON are finite, and nothing is null that may not be.

use serde_json::Value;

/// Keys that may be null: what is not known or does not apply. A figure that came out infinite or not a
/// number would be written as null, so nothing else may be.
const MAY_BE_NULL: [&str; 55] = [
    "shop",
    "year",
    "resistor_ohms",
    "fuse_a",
    "mains_resistor_ohms",
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
    "bounds",
    "b_plus_at_bounds_v",
    "screen_v",
    "screen_a",
    "screen_w",
    "plate_limit_w",
    "hold_s",
    "rating_a",
    "target_miss",
    "behind",
    "connect",
    "band",
    "rating",
    "with",
    "in_place_of",
    "fuse",
    "cold_start",
    "caveat",
    "held_a",
    "present_a",
    "opens_within_s",
    "capacitor_passed",
    "unsolved",
    "early_v",
    "fit_v",
    "surge_v",
    "tap_v",
    "mains_resistor_w",
    "breaks_a",
    "instead_of",
    "country_choice",
    "dry_rectifier",
    "fitted_ohms",
    "resistor",
    "signal",
    "second",
];
/// Figures of a fault that are null where it is not solved.
const OF_A_FAULT: [&str; 4] = ["line_a", "set_v", "heater_excess", "b_plus_v"];
/// Figures of a fault that only parts with a rating in watts have.
const OF_RATED_PARTS: [&str; 2] = ["part_w", "part_allowed_w"];

/// What a log has that stands in a file of its own, and what one has of the two that is long enough and that is not.
const OF_A_LOG: [&str; 4] = ["file", "low_not_below_v", "high_not_above_v", "too_few"];

/// What only sets of the kind have.
const OF_A_SIGNAL: [&str; 6] =
    ["full", "strong_station", "sag_share", "heater_fall_share", "resistor_w_full", "plate_w"];

/// Goes through everything below `value`: every number is finite, nothing is null that may not be.
pub fn assert_finite(name: &str, value: &Value, numbers: &mut usize) {
    match value {
        Value::Null => {
            let (parent, key) = name.rsplit_once('.').unwrap_or(("", name));
            // a part that is not marked: volts of a capacitor, never of a heater, and watts of a filter resistor
            let capacitor = (key == "rated_v" && parent.contains("capacitors["))
                || (key == "rated_w" && parent.contains("filter_resistors["));
            // neither frequency nor range of the outlet need be known, nor have it a log, nor that a file
            let outlet = (parent == ".outlet" && ["frequency_hz", "range", "log"].contains(&key))
                || name == ".outlet_log"
                || (parent == ".outlet_log" && OF_A_LOG.contains(&key));
            // iron that saturates has no figure; nothing may remain behind a step transformer
            let wrong = parent.contains("connect.wrong[");
            let behind = parent.ends_with(".behind") && key == "method";
            // readings that agree, or that only one explanation or none fits
            let readings = parent.starts_with(".readings")
                && ["contradiction", "tells", "at_line_v", "slip", "spreads"].contains(&key);
            // a set without push-pull tubes, or without tubes under AVC
            let signal = parent.contains(".signal") && OF_A_SIGNAL.contains(&key);
            // a verdict without a part, and one that needs no reading
            let advice = parent.starts_with(".advice")
                && ["strength", "measure", "tips_at", "below", "above"].contains(&key);
            // what is fitted, how the set was left and later visits, and what of these need not be told
            let job = [".fitted", ".as_left", ".visits"].contains(&name)
                || parent.starts_with(".fitted") && ["date", "place"].contains(&key)
                || parent.starts_with(".as_left")
                    && ["date", "together", "means", "heaters", "heat"].contains(&key)
                || parent.starts_with(".visits") && ["first", "together", "means"].contains(&key);
            // a set on the line has none
            let transformer = key == "transformer";
            let known = transformer
                || advice
                || capacitor
                || outlet
                || wrong
                || behind
                || readings
                || job
                || signal;
            assert!(MAY_BE_NULL.contains(&key) || known, "{name} is null");
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
                is_fault && entries["fault"].as_str().is_some_and(|f| f == "sustained overload");
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
                    && (OF_RATED_PARTS.contains(&key)
                        || key == "reservoir_v"
                        || (without && OF_A_FAULT.contains(&key)))
                {
                    continue;
                }
                assert_finite(&format!("{name}.{key}"), item, numbers);
            }
        }
        Value::Bool(_) | Value::String(_) => {}
    }
}
