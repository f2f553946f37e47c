//! Nothing is advised inside a set without a transformer that a fault would set alight.
//!
//! The heat of a short is worked out anew for each resistor of the plan, with the receiver's own fault solutions, which
//! `fault_integrator.rs` holds to an outside integrator.

use super::harness::{printed, shipped};
use mainsfit::adaptation::{Dropper, Part, StringPart};
use mainsfit::profile::{Document, read};
use mainsfit::receiver::{Fault, Receiver, complete};
use serde_json::Value;

/// Ohms and watts of the first resistor in words such as "47 Ω, 100 W, tubular vitreous"; of two alike, both together.
fn ohms_and_watts(words: &str) -> (f64, f64) {
    let number = |unit: &str| -> f64 {
        let (before, _) = words.split_once(unit).unwrap_or_else(|| panic!("{words}"));
        before.rsplit(' ').next().unwrap().parse().unwrap()
    };
    let (ohms, watts) = (number(" Ω"), number(" W"));
    match (words.contains("two in series"), words.contains("two in parallel")) {
        (true, _) => (2.0 * ohms, 2.0 * watts),
        (_, true) => (0.5 * ohms, 2.0 * watts),
        _ => (ohms, watts),
    }
}

#[test]
fn both_resistors_bear_every_short_behind_them() {
    let mut seen = 0;
    for path in shipped() {
        let bytes = std::fs::read(&path).unwrap();
        let (profile, _) = read(&Document::parse(&path, &bytes).unwrap()).unwrap();
        let receiver = Receiver::new(complete(&profile).unwrap().0, None).unwrap();
        if receiver.model().string.is_none() {
            continue;
        }
        let plan: Value =
            serde_json::from_str(&printed(&["plan", &path, "--format", "json"])).unwrap();
        let choices = plan["choices"].as_array().unwrap();
        let choice = choices.iter().find(|c| c["id"] == "heater-dropper").unwrap();
        let words = choice["part"].as_str().unwrap();
        let (in_string, in_plate) = words.split_once(';').unwrap_or((words, ""));
        let (dropper, _) = ohms_and_watts(in_string);
        let Some((surge, rated)) = (!in_plate.is_empty()).then(|| ohms_and_watts(in_plate)) else {
            continue;
        };
        seen += 1;
        let part = StringPart {
            dropper: Dropper::bare(dropper),
            surge: Some(Dropper::bare(surge)),
            replaces: true,
        };
        assert!(!part.is_nothing());
        let line = plan["outlet"]["high_v"].as_f64().unwrap();
        let sound = receiver.run(line, &part, None).unwrap();
        for fault in [Fault::FirstCapacitorShorted, Fault::BPlusShorted, Fault::PlateToFilament] {
            let shorted = receiver.run_fault(line, &part, fault, &sound).unwrap();
            let inner = &shorted.at.inserted.inner;
            let lead = inner.iter().find(|p| p.name.starts_with("surge")).unwrap();
            let watts = shorted.state.mean_product(lead.volts, lead.amps);
            // what is left of a rating at 40 °C is at least nine tenths of it for stock makes; value and stock steps
            // move the current by some per cent
            assert!(watts < 1.05 * rated, "{path}: {words}: {watts} W in a {rated} W part");
        }
        let burns = |f: &Value| f["burns"] == true;
        assert!(
            choice["standing"] == "refused"
                || !choice["faults"].as_array().unwrap().iter().any(burns),
            "{path}"
        );
    }
    assert!(seen >= 2, "{seen}");
}
