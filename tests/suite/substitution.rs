//! Silicon in the place of a rectifier tube, through a profile and its plan; capacitors at switch-on.
//!
//! Source of the figures: a separate solution in the time domain (ideal source behind its resistance, tube I = K·V^1.5,
//! silicon 0.8 V, constant-current load, 1000 steps a cycle), good to ±0.5 V. IEC 60384-4 † for surge volts.

use crate::harness::run_full;
use mainsfit::profile::{Document, read};
use mainsfit::study::{Plan, Request, plan};

/// S1: 300-0-300 V behind 150 Ω a half, 10 µF, 70 mA, 5Y3GT (50 V at 125 mA a plate).
fn s1(rectifier: &str, rated: &str) -> String {
    format!(
        "set: {{ name: bench set, design_line: 117 V, frequency: 60 Hz }}
outlet: {{ low: 117 V, usual: 117 V, high: 117 V }}
transformer:
  copper: warm
  primary: {{ resistance: 10 mΩ, no_load_current: 40 mA, no_load_power: 2 W, knee: 0 % }}
  high_voltage: {{ per_half: 300 V, measured: open-circuit, resistance_per_half: 150 Ω }}
  heater_windings:
    main: {{ volts: 6.3 V, measured: open-circuit, resistance: 10 mΩ }}
    rectifier: {{ volts: 5 V, measured: open-circuit, resistance: 10 mΩ }}
rectifier: {{ {rectifier} }}
filter: [{{ capacitor: {{ value: 10 µF{rated} }} }}]
loads: [{{ name: tubes, from: B+, current: 70 mA }}]
tubes: [{{ type: 6H6, heater: main }}]
"
    )
}

/// S2 on a winding of its own: 120 V, 33 Ω, 40 µF, 60 mA, 35Z3 (20 V at 200 mA).
const S2: &str = "set: { name: bench set, design_line: 117 V, frequency: 60 Hz }
outlet: { low: 117 V, usual: 117 V, high: 117 V }
transformer:
  copper: warm
  primary: { resistance: 10 mΩ, no_load_current: 40 mA, no_load_power: 2 W, knee: 0 % }
  high_voltage: { volts: 120 V, measured: open-circuit, resistance: 10 mΩ }
  heater_windings:
    main: { volts: 6.3 V, measured: open-circuit, resistance: 10 mΩ }
    rectifier: { volts: 35 V, measured: open-circuit, resistance: 10 mΩ }
rectifier: { type: silicon, circuit: half-wave, surge_resistor: 33 Ω, replaces: 35Z3 }
filter: [{ capacitor: 40 µF }]
loads: [{ name: tubes, from: B+, current: 60 mA }]
tubes: [{ type: 6H6, heater: main }]
";

fn planned(text: &str) -> Plan {
    let document = Document::parse("bench.yaml", text.as_bytes()).unwrap();
    let (profile, _) = read(&document).map_err(|p| p.render()).unwrap();
    plan(&profile, &Request::default(), Vec::new()).unwrap()
}

fn near(what: &str, expected: f64, got: f64, within: f64) {
    assert!((got - expected).abs() <= within, "{what}: {got} for {expected}");
}

fn page(text: &str) -> String {
    let file = tempfile::Builder::new().suffix(".yaml").tempfile().unwrap();
    std::fs::write(file.path(), text).unwrap();
    let outcome =
        run_full(["plan", &file.path().display().to_string(), "--full"].map(str::to_owned));
    assert_eq!(outcome.code, 0, "{}", outcome.err);
    outcome.out.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn silicon_for_a_tube_gets_the_resistor_that_brings_b_plus_back() {
    let dry = planned(&s1("type: silicon, replaces: 5Y3GT", "")).dry_rectifier.unwrap();
    near("B+ with the tube", 309.5, dry.with_tube_v, 0.5);
    near("B+ with silicon", 370.1, dry.now_v, 0.7);
    let resistor = dry.resistor.as_ref().unwrap();
    near("resistor", 358.0, resistor.exact_ohms, 4.0);
    assert_eq!((resistor.stock_ohms, resistor.leads), (360.0, 2));
    // 78.7 mA RMS squared: the mean, 35 mA, would say 0.44 W
    near("heat", 2.22, resistor.heat_w, 0.05);
    assert_eq!(resistor.rated_w, Some(5.0));
    near("crest", 424.3, dry.crest_v, 0.5);
    near("heater of the tube", 10.0, dry.heater_w, 1e-9);
    assert!(!dry.finished);
    let page = page(&s1("type: silicon, replaces: 5Y3GT", ""));
    for words in
        ["Fit 360 Ω", "RMS current squared", "Or put the 5Y3GT back", "The rectifier is dry"]
    {
        assert!(page.contains(words), "{words}: {page}");
    }
    assert!(!page.contains("directly heated"), "{page}");
}

#[test]
fn an_original_surge_resistor_stays_in_both() {
    let dry = planned(S2).dry_rectifier.unwrap();
    near("B+ with the tube", 122.9, dry.with_tube_v, 0.5);
    near("B+ with silicon", 147.5, dry.now_v, 0.5);
    let resistor = dry.resistor.unwrap();
    near("resistor beside the 33 Ω", 86.0, resistor.exact_ohms, 2.0);
    assert_eq!(resistor.leads, 1);
    near("heat", 1.56, resistor.heat_w, 0.1);
}

#[test]
fn a_resistor_that_came_with_the_silicon_finishes_the_repair() {
    let fitted = "type: silicon, replaces: { tube: 5Y3GT, resistor: 358 Ω }";
    let dry = planned(&s1(fitted, "")).dry_rectifier.unwrap();
    near("B+", dry.with_tube_v, dry.now_v, 0.01 * dry.with_tube_v);
    near("B+ with the tube", 309.5, dry.with_tube_v, 0.5);
    assert!(dry.finished && dry.resistor.is_none());
    let page = page(&s1(fitted, ""));
    assert!(page.contains("the repair is finished"), "{page}");
    assert!(!page.contains("Or put the"), "{page}");
    // too small a one is named with what takes its place
    let weak = "type: silicon, replaces: { tube: 5Y3GT, resistor: 100 Ω }";
    let dry = planned(&s1(weak, "")).dry_rectifier.unwrap();
    near("resistor", 358.0, dry.resistor.unwrap().exact_ohms, 4.0);
}

#[test]
fn capacitors_are_judged_at_work_and_at_switch_on() {
    // at work 370.1 V and half of 40.8 V of ripple, at switch-on the crest of 300 V, 424.3 V
    let of = |rated: &str| {
        // as it was built; one that took a tube's place is planned with its resistor
        let plan = planned(&s1("type: silicon", rated));
        plan.choices[0].cold_start.as_ref().unwrap().capacitors[0].clone()
    };
    let c = of("");
    near("at work", 370.1 + 20.4, c.running_v, 3.0);
    near("at switch-on", 424.3, c.peak_v, 1.5);
    assert!(c.surge_v.is_none() && !c.exceeds());
    // 400 V bears 440 V by rule
    let c = of(", rated: 400 V");
    assert!(c.surge_by_rule && !c.exceeds() && c.fit_v.is_none());
    near("surge by rule", 440.0, c.surge_v.unwrap(), 1e-9);
    // 380 V bears 418 V by rule: too little at switch-on, and at work
    let c = of(", rated: 380 V");
    assert!(c.switch_on_exceeds && c.running_exceeds);
    assert_eq!(c.fit_v, Some(400.0));
    // a maker's own figure counts before the rule
    let c = of(", rated: 400 V, surge: 420 V");
    assert!(c.switch_on_exceeds && !c.running_exceeds && !c.surge_by_rule);
    let page = page(&s1("type: silicon, replaces: 5Y3GT", ", rated: 380 V"));
    // with its resistor in
    assert!(page.contains("fit 385 V"), "{page}");
}
