//! A whole supply against an independent integration.
//!
//! Source: `tests/data/steady_state.json`, solved to its periodic steady state by a general-purpose ODE
//! solver (LSODA, relative tolerance 1e-8) outside this project. Agreement asked for: 0.1 %, ripple 1 %.

use crate::doubled;
use crate::supply::{Solved, Solver, hang_reference_load, reference_supply};
use crate::table::{Allowed, Group, Row};
use mainsfit::circuit::{Probe, REFERENCE, Settings, steady_state};
use serde_json::Value;
use std::sync::OnceLock;

const CASES: &str = include_str!("../data/steady_state.json");

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// The constants of the shared builder are those of the file.
#[test]
fn the_builder_is_the_circuit_of_the_file() {
    let cases: Value = serde_json::from_str(CASES).unwrap();
    let supply = reference_supply(115.0, 0.0);
    let stated = [
        ("primary_copper_ohm", supply.primary),
        ("core_loss_ohm", supply.core_loss),
        ("magnetising_H", supply.core_henries),
        ("hv_half_copper_ohm", supply.half_ohms),
    ];
    for (key, value) in stated {
        assert_eq!(number(&cases["circuit"][key]), value, "{key}");
    }
}

fn solve(case: &Value, solve: Solver<'_>) -> Solved {
    let supply = reference_supply(number(&case["line_V"]), number(&case["dropper_ohm"]));
    let divider = case["bias_divider_ohm"].as_f64();
    supply.settle(solve, &|net, at| hang_reference_load(net, at, divider)).unwrap()
}

fn figures(s: &Solved) -> Vec<(&'static str, &'static str, f64)> {
    let at = &s.at;
    let first = Probe::Volts(at.b_plus, at.centre);
    vec![
        ("b_plus_V", "V", s.dc(at.b_plus, REFERENCE)),
        ("first_capacitor_V", "V", s.dc(at.b_plus, at.centre)),
        ("field_coil_V", "V", s.dc(REFERENCE, at.centre)),
        ("heater_V_rms 0", "V", s.heater_volts(0)),
        ("heater_V_rms 1", "V", s.heater_volts(1)),
        ("primary_A_rms", "A", s.line_amps()),
        ("line_W", "W", s.line_watts()),
        ("primary_V_rms", "V", s.set_volts()),
        ("crest_factor", "", s.crest()),
        ("plate_peak_A", "A", s.state.peak(Probe::Amps(at.plates[0]))),
        ("first_ripple_V_rms", "V", s.state.ripple_rms(first)),
        ("b_plus_ripple_V_rms", "V", s.state.ripple_rms(Probe::Volts(at.b_plus, REFERENCE))),
    ]
}

fn expected(case: &Value, key: &str) -> f64 {
    match key.split_once(' ') {
        Some((list, place)) => number(&case["expect"][list][place.parse::<usize>().unwrap()]),
        None => number(&case["expect"][key]),
    }
}

fn is_ripple(key: &str) -> bool {
    key.contains("ripple")
}

pub fn group() -> &'static Group {
    static GROUP: OnceLock<Group> = OnceLock::new();
    GROUP.get_or_init(|| {
        let cases: Value = serde_json::from_str(CASES).unwrap();
        let mut rows = Vec::new();
        for case in cases["cases"].as_array().unwrap() {
            let name = case["name"].as_str().unwrap();
            for (key, unit, got) in figures(&solve(case, &doubled::steady)) {
                rows.push(Row::new(
                    format!("{name}: {}", words(key)),
                    "LSODA, rtol 1e-8",
                    unit,
                    expected(case, key),
                    got,
                    Allowed::Share(if is_ripple(key) { 0.01 } else { 0.001 }),
                ));
            }
            let coarse = figures(&solve(case, &|net, near| steady_state(net, &Settings::fixed(128), near)));
            for (what, ripple, ceiling) in [("volts, current, power", false, 0.1), ("ripple", true, 1.0)] {
                let chosen = coarse.iter().filter(|(key, _, _)| is_ripple(key) == ripple);
                rows.push(Row::worst_of(
                    format!("{name}: largest difference at 128 steps, {what}"),
                    "LSODA, rtol 1e-8",
                    ceiling,
                    chosen.map(|(key, _, got)| (expected(case, key), *got)),
                ));
            }
        }
        Group {
            title: "A supply against a general-purpose integrator",
            about: "Four cases of one full-wave supply with a field coil in the negative lead \
                    (`tests/data/steady_state.json`), integrated outside the project. Solved at the default \
                    accuracy, and once more with a fixed 128 steps a cycle, the receiver model's own.",
            rows,
        }
    })
}

/// `first_ripple_V_rms` as a reader would say it.
fn words(key: &str) -> &'static str {
    match key {
        "b_plus_V" => "B+",
        "first_capacitor_V" => "first capacitor",
        "field_coil_V" => "field coil",
        "heater_V_rms 0" => "6.3 V heaters",
        "heater_V_rms 1" => "5 V heater",
        "primary_A_rms" => "line current",
        "line_W" => "line power",
        "primary_V_rms" => "primary",
        "crest_factor" => "crest factor of the line current",
        "plate_peak_A" => "peak plate current",
        "first_ripple_V_rms" => "ripple, first capacitor",
        "b_plus_ripple_V_rms" => "ripple, B+",
        other => panic!("no name for {other}"),
    }
}

#[test]
fn the_supply_agrees_with_the_integrator() {
    group().assert();
}
