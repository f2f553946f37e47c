//! A figure that readings narrow is the same on every screen, and so is how far it may be off.

use super::harness::printed;
use approx::assert_relative_eq;
use serde_json::Value;

const SET: &str = "profiles/mantel-1938.yaml";

fn json(args: &[&str]) -> Value {
    serde_json::from_str(&printed(&[args, &["--format", "json"]].concat())).unwrap()
}

#[test]
fn heaters_and_b_plus_of_a_fit_are_those_of_the_plan() {
    let (fit, plan) = (json(&["fit", SET]), json(&["plan", SET]));
    let (answer, as_is) = (&fit["answer"], &plan["choices"][0]);
    let usual = &as_is["day"]["usual"];
    let number = |v: &Value| v.as_f64().unwrap();
    assert_eq!(answer["line_v"], usual["outlet_v"]);
    // what moved by less than a part in two thousand is left out of the plan
    let heaters = number(&usual["heaters"][0]["volts_v"]);
    assert_relative_eq!(number(&answer["heater_after_v"]), heaters, max_relative = 1e-3);
    let b_plus = number(&usual["b_plus_v"]);
    assert_relative_eq!(number(&answer["b_plus_after_v"]), b_plus, max_relative = 1e-3);
    // ± is twice the standard uncertainty, on both
    for (u, band) in [
        ("heater_uncertain_after_v", "heater_uncertain_v"),
        ("b_plus_uncertain_after_v", "b_plus_uncertain_v"),
    ] {
        let shown = number(&as_is["band"][band]);
        assert_relative_eq!(2.0 * number(&answer[u]), shown, max_relative = 1e-12);
    }
    let page = printed(&["fit", SET]);
    let shown = format!("±{:.2} V", number(&as_is["band"]["heater_uncertain_v"]));
    assert!(page.contains(&shown), "{shown}: {page}");
}

/// A set fitted and written down keeps its drifted part by name.
#[test]
fn a_calibrated_set_still_names_its_drifted_part() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("set.yaml");
    std::fs::copy(SET, &path).unwrap();
    let name = path.to_str().unwrap();
    let outcome = super::harness::mainsfit(&["fit", name, "--write"]);
    assert_eq!(outcome.code, 0, "{}", outcome.err);
    let fitted = folder.path().join("set-fitted.yaml");
    for file in [name, fitted.to_str().unwrap()] {
        let plan = json(&["plan", file]);
        let drifted = plan["readings"]["drifted"].as_array().unwrap();
        assert_eq!(drifted.len(), 1, "{file}");
        assert_eq!(drifted[0]["key"], "V4.cathode_resistor", "{file}: {}", drifted[0]);
        assert_relative_eq!(drifted[0]["stated"].as_f64().unwrap(), 390.0, max_relative = 1e-3);
        assert_relative_eq!(drifted[0]["behaves_as"].as_f64().unwrap(), 506.0, max_relative = 5e-3);
        let text = printed(&["plan", file]);
        assert!(text.contains("DRIFTED cathode resistor of V4 6F6 output acts like 50"), "{file}");
    }
}
