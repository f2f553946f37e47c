//! Nothing is advised inside a set without a transformer that a fault would set alight.
//!
//! The heat of a short is worked out anew for each resistor of the plan, with the receiver's own fault solutions, which
//! `fault_integrator.rs` holds to an outside integrator.

use super::harness::{printed, shipped};
use mainsfit::adaptation::{Dropper, Part, StringPart};
use mainsfit::profile::{Document, read};
use mainsfit::receiver::{Fault, Inside, Operation, Receiver, SHORT_OHMS, Straight, complete};
use serde_json::Value;

/// Ohms and watts of the first resistor in words such as "47 Ω, 100 W, tubular vitreous"; of two alike, both together.
fn ohms_and_watts(words: &str) -> (f64, f64) {
    let number = |unit: &str| -> f64 {
        let (before, _) = words.split_once(unit).unwrap_or_else(|| panic!("{words}"));
        before.rsplit(' ').next().unwrap().parse().unwrap()
    };
    // the larger takes most of the heat
    if let Some(each) = words.trim().strip_prefix("two in series, ").filter(|w| w.contains(" and "))
    {
        let (larger, rest) = each.split_once(" Ω and ").unwrap();
        let [a, b] = [larger, rest.split(' ').next().unwrap()].map(|n| n.parse::<f64>().unwrap());
        return (a + b, number(" W") * (1.0 + b / a));
    }
    let ohms = if words.contains(" kΩ") { 1e3 * number(" kΩ") } else { number(" Ω") };
    let watts = number(" W");
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
            replaces: Inside::default(),
        };
        assert!(!part.is_nothing());
        let line = plan["outlet"]["high_v"].as_f64().unwrap();
        let sound = receiver.run(line, &part, None).unwrap();
        for fault in [Fault::FirstCapacitorShorted, Fault::BPlusShorted, Fault::PlateToFilament] {
            let shorted = receiver.run_fault(line, &part, fault, &sound).unwrap();
            let inner = &shorted.at.inserted.inner;
            let lead = inner.iter().find(|p| p.name.starts_with("surge")).unwrap();
            let watts = shorted.state.mean_product(lead.volts, lead.amps);
            // at 60 °C the whole rating is left, and more opens it, as is said; value and stock steps move the current by
            // some per cent
            let told = choice["faults"].as_array().unwrap().iter();
            let told =
                told.filter(|f| f["fault"] == fault.title()).any(|f| f["fusible_opens"] == true);
            let clear = watts < 0.95 * rated || told;
            assert!(clear, "{path}: {words}: {watts} W in a {rated} W part, {told}");
            assert!(told || watts < 1.05 * rated, "{path}: {words}: {watts} W");
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

/// Text without its breaks: one blank between words.
fn in_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn dropper_of(plan: &Value) -> &Value {
    plan["choices"].as_array().unwrap().iter().find(|c| c["id"] == "heater-dropper").unwrap()
}

/// Who reads that a resistor goes into the plate lead must not leave the set's own in as well.
#[test]
fn what_the_surge_resistor_takes_the_place_of_is_said() {
    const SAID: &str = "in the rectifier's plate lead, in place of its 33 Ω";
    let path = "profiles/universal-1947.yaml";
    let plan: Value = serde_json::from_str(&printed(&["plan", path, "--format", "json"])).unwrap();
    assert!(dropper_of(&plan)["part"].as_str().unwrap().ends_with(SAID));
    assert_eq!(dropper_of(&plan)["with"]["in_place_of"], 33.0);
    let text = in_one_line(&printed(&["plan", path, "--full"]));
    // side by side, faults
    assert!(text.matches(SAID).count() >= 2, "{text}");
    let folder = std::env::temp_dir().join(format!("mainsfit-surge-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    for name in ["note.md", "note.html"] {
        let file = folder.join(name);
        // on an outlet that asks for one
        let high = ["--line=128V", "--low=124V", "--high=131V"];
        let note = ["note", path, "--with", "heater-dropper", "-o", file.to_str().unwrap()];
        let arguments = [&note[..], &high[..]].concat();
        printed(&arguments);
        let note = std::fs::read_to_string(&file).unwrap();
        assert!(in_one_line(&note).replace("&#39;", "'").contains(SAID), "{name}");
        // the drawing has it in lines, and in words for who cannot see it
        let (_, drawing) = note.split_once("fitted: ").unwrap_or_else(|| panic!("{name}"));
        assert!(drawing.split("</").next().unwrap().contains("in place of its 33 Ω"), "{name}");
    }
    std::fs::remove_dir_all(&folder).unwrap();
    // a set without one gets one: nothing is taken out
    let path = "profiles/line-cord-1936.yaml";
    let text = in_one_line(&printed(&["plan", path, "--full"]));
    assert!(text.contains("in the rectifier's plate lead. "), "{text}");
    let plan: Value = serde_json::from_str(&printed(&["plan", path, "--format", "json"])).unwrap();
    assert!(dropper_of(&plan)["with"]["in_place_of"].is_null());
}

/// The heat of both is I²R of each, worked out from the currents and the ohms that are printed, and each is held
/// against its own rating.
#[test]
fn the_heat_of_both_resistors_is_counted() {
    let mut seen = 0;
    for path in shipped() {
        let plan: Value =
            serde_json::from_str(&printed(&["plan", &path, "--format", "json"])).unwrap();
        let choices = plan["choices"].as_array().unwrap();
        for choice in choices.iter().filter(|c| c["id"] == "heater-dropper") {
            let words = choice["part"].as_str().unwrap();
            let Some((in_string, in_plate)) = words.split_once(';') else { continue };
            seen += 1;
            let made_of = [ohms_and_watts(in_string), ohms_and_watts(in_plate)];
            let with = &choice["with"];
            assert_eq!(with["part"], in_plate.trim(), "{path}");
            assert_eq!(with["value"], made_of[1].0, "{path}");
            let near = |a: &Value, b: f64| (a.as_f64().unwrap() / b - 1.0).abs() < 1e-6;
            for line in ["low", "usual", "high"] {
                let reading = &choice["day"][line];
                let heat = [0, 1].map(|i| {
                    let amps = reading["droppers"][i]["current_a"].as_f64().unwrap();
                    amps * amps * made_of[i].0
                });
                assert!(near(&reading["lead_w"], heat[0] + heat[1]), "{path} {line}: {heat:?}");
                if line == "high" {
                    for (i, rating) in [&choice["rating"], &with["rating"]].iter().enumerate() {
                        // wirewound resistors are made to ±5 %
                        assert!(near(&rating["worst_w"], 1.05 * heat[i]), "{path}: {heat:?}");
                        assert!(near(&rating["rated_w"], made_of[i].1), "{path}");
                    }
                }
            }
            let text = in_one_line(&printed(&["plan", &path, "--full"]));
            for (part, rating) in [(in_string, &choice["rating"]), (in_plate, &with["rating"])] {
                let name = part.trim().split(", in place of").next().unwrap();
                let (_, place) = text.split_once(&format!("HEAT AND PLACE OF {name} ")).unwrap();
                let watts: f64 = place.split(' ').next().unwrap().parse().unwrap();
                let worst = rating["worst_w"].as_f64().unwrap();
                assert!((watts / worst - 1.0).abs() < 0.06, "{path}: {watts} of {worst}");
            }
        }
    }
    assert!(seen >= 3, "{seen}");
}

/// A capacitor in the string that is a dead short leaves the line to the heaters and its resistor: V + R I = 125 V with
/// I = 0.3 A (V/68.9)^0.58 (Ohm's law, and the exponent of the heaters), R being 22 Ω and the short's 0.5 Ω.
#[test]
fn a_shorted_capacitor_leaves_the_heaters_the_line() {
    let set = |path: &str| {
        let bytes = std::fs::read(path).unwrap();
        let (profile, _) = read(&Document::parse(path, &bytes).unwrap()).unwrap();
        Receiver::new(complete(&profile).unwrap().0, None).unwrap()
    };
    let plain = set("profiles/string-dropper-1949.yaml");
    assert!(!Fault::of(plain.model()).contains(&Fault::DropperCapacitorShorted));
    let set = set("tests/data/capacitor_dropper.yaml");
    assert!(Fault::of(set.model()).contains(&Fault::DropperCapacitorShorted));
    let sound = set.run(125.0, &Straight, None).unwrap();
    let shorted = set.run_fault(125.0, &Straight, Fault::DropperCapacitorShorted, &sound).unwrap();
    let (mut low, mut high) = (68.9_f64, 125.0_f64);
    for _ in 0..100 {
        let mid = 0.5 * (low + high);
        let sum = mid + (22.0 + SHORT_OHMS) * 0.3 * (mid / 68.9).powf(0.58);
        if sum < 125.0 { low = mid } else { high = mid }
    }
    let volts =
        |o: &Operation| (0..set.model().windings.len()).map(|i| o.heater_volts(i)).sum::<f64>();
    assert!((volts(&shorted) / low - 1.0).abs() < 0.001, "{} {low}", volts(&shorted));
    // more than half as much again: they do not last
    assert!(volts(&shorted) > 1.5 * volts(&sound));
}
