//! The circuit core against closed forms.
//!
//! Capacitor input with a very large capacitor, load `R`, source resistance `Rs` referred to one plate and a
//! diode that is only a switch: with θ half the conduction angle, `V = Vm cos θ` and
//!
//! - full wave `tan θ − θ = π Rs/(2R)`, half wave `tan θ − θ = π Rs/R`;
//! - plate current: peak over mean `π (1 − cos θ)/(sin θ − θ cos θ)`, RMS over the whole cycle
//!   `Vm/Rs · √([θ(1 + 2cos²θ) − 3 sin θ cos θ]/2π)`.
//!
//! These follow from the charge balance of the capacitor; the flat right-hand ends of Schade's charts (Proc.
//! IRE 31, 1943) are this limit. [`PRINTED`] holds the same worked out apart from this project.

use crate::doubled;
use crate::table::{Allowed, Group, Row};
use mainsfit::circuit::{
    ElementId, Law, Network, Node, Probe, REFERENCE, Settings, SteadyState, Wave, Winding,
    steady_state,
};
use nalgebra::Complex;
use std::f64::consts::{FRAC_PI_2, PI, SQRT_2, TAU};
use std::sync::OnceLock;

/// `Rs/R`; full wave: θ in degrees, V/Vm, peak over mean and RMS over mean of a plate; then half wave.
const PRINTED: [(f64, [f64; 4], [f64; 4]); 11] = [
    (0.002, [12.03, 0.9780, 22.46, 4.238], [15.11, 0.9654, 17.89, 3.783]),
    (0.005, [16.25, 0.9601, 16.64, 3.648], [20.34, 0.9376, 13.30, 3.261]),
    (0.01, [20.34, 0.9376, 13.30, 3.261], [25.37, 0.9035, 10.68, 2.920]),
    (0.02, [25.37, 0.9035, 10.68, 2.920], [31.47, 0.8529, 8.62, 2.624]),
    (0.03, [28.80, 0.8763, 9.41, 2.742], [35.56, 0.8135, 7.64, 2.469]),
    (0.05, [33.67, 0.8322, 8.07, 2.537], [41.25, 0.7518, 6.60, 2.294]),
    (0.08, [38.70, 0.7805, 7.03, 2.368], [46.96, 0.6825, 5.82, 2.152]),
    (0.10, [41.25, 0.7518, 6.60, 2.294], [49.80, 0.6455, 5.49, 2.091]),
    (0.15, [46.16, 0.6927, 5.92, 2.170], [55.08, 0.5724, 4.98, 1.989]),
    (0.20, [49.80, 0.6455, 5.49, 2.091], [58.87, 0.5170, 4.67, 1.926]),
    (0.30, [55.08, 0.5724, 4.98, 1.989], [64.12, 0.4364, 4.30, 1.847]),
];

/// θ in degrees, V/Vm, peak over mean, RMS over mean.
fn large_capacitor(rs_over_r: f64, full_wave: bool) -> [f64; 4] {
    let target = PI * rs_over_r / if full_wave { 2.0 } else { 1.0 };
    let (mut low, mut high) = (0.0, FRAC_PI_2);
    for _ in 0..200 {
        let mid: f64 = 0.5 * (low + high);
        if mid.tan() - mid < target {
            low = mid;
        } else {
            high = mid;
        }
    }
    let t: f64 = 0.5 * (low + high);
    let (sin, cos) = t.sin_cos();
    let mean = (sin - t * cos) / PI;
    let rms = ((t * (1.0 + 2.0 * cos * cos) - 3.0 * sin * cos) / TAU).sqrt();
    [t.to_degrees(), cos, (1.0 - cos) / mean, rms / mean]
}

/// The closed forms as coded here against the table worked out elsewhere, to its last digit.
#[test]
fn the_closed_forms_give_the_known_table() {
    for (ratio, full, half) in PRINTED {
        for (table, found) in
            [(full, large_capacitor(ratio, true)), (half, large_capacitor(ratio, false))]
        {
            let last_digit = [0.01, 0.0001, 0.01, 0.001];
            for ((printed, exact), digit) in table.iter().zip(found).zip(last_digit) {
                assert!((printed - exact).abs() <= 0.51 * digit, "{ratio}: {printed} {exact}");
            }
        }
    }
}

fn sine(volts_rms: f64, phase: f64) -> Wave {
    Wave::Sine { peak: volts_rms * SQRT_2, phase }
}

fn solve(net: &Network) -> SteadyState {
    doubled::steady(net, None).unwrap()
}

/// One or two ideal switches with `rs` behind 100 V RMS; returns the common cathode and a plate.
fn rectifier(net: &mut Network, rs: f64, full_wave: bool) -> (Node, ElementId) {
    let law = Law::Drop { volts: 0.0, resistance: rs };
    let cathode = net.node("cathode");
    let first = net.node("winding 1");
    net.voltage("half 1", first, REFERENCE, sine(100.0, 0.0)).unwrap();
    let plate = net.rectifier("plate 1", first, cathode, law).unwrap();
    if full_wave {
        let second = net.node("winding 2");
        net.voltage("half 2", second, REFERENCE, sine(100.0, PI)).unwrap();
        net.rectifier("plate 2", second, cathode, law).unwrap();
    }
    (cathode, plate)
}

fn capacitor_input(rows: &mut Vec<Row>) {
    let r = 5000.0;
    for (ratio, _, _) in PRINTED {
        for full_wave in [true, false] {
            let mut net = Network::new(60.0, "chassis").unwrap();
            let (cathode, plate) = rectifier(&mut net, ratio * r, full_wave);
            // a hundred seconds of time constant: ripple below 1e-4 of the volts
            net.capacitor("reservoir", cathode, REFERENCE, 100.0 / r).unwrap();
            net.resistor("load", cathode, REFERENCE, r).unwrap();
            let s = solve(&net);
            // the default accuracy is that of the states; a plate that conducts for 24° in the cycle needs
            // more steps than the capacitor's volts do
            let fine = steady_state(&net, &Settings::fixed(1024), Some(s.start())).unwrap();
            let [_, volts, peak, rms] = large_capacitor(ratio, full_wave);
            let amps = Probe::Amps(plate);
            let mean = fine.mean(amps);
            let wave = if full_wave { "full wave" } else { "half wave" };
            for (what, expected, got) in [
                ("V/Vm", volts, s.mean(Probe::Volts(cathode, REFERENCE)) / (100.0 * SQRT_2)),
                ("plate peak/mean", peak, fine.peak(amps) / mean),
                ("plate RMS/mean", rms, fine.rms(amps) / mean),
            ] {
                rows.push(Row::new(
                    format!("capacitor input, {wave}, Rs/R {ratio}: {what}"),
                    "closed form, large capacitor",
                    "",
                    expected,
                    got,
                    Allowed::Share(0.001),
                ));
            }
        }
    }
}

/// Choke input into 5000 Ω with a choke of `henries`: volts, and least over mean choke current.
fn choke_input(henries: f64, frequency: f64) -> (f64, f64) {
    let mut net = Network::new(frequency, "chassis").unwrap();
    let (cathode, _) = rectifier(&mut net, 0.05, true);
    let output = net.node("output");
    let choke = net.inductor("choke", cathode, output, henries).unwrap();
    net.capacitor("second capacitor", output, REFERENCE, 200e-6).unwrap();
    net.resistor("load", output, REFERENCE, 5000.0).unwrap();
    let s = solve(&net);
    let amps = Probe::Amps(choke);
    (s.mean(Probe::Volts(output, REFERENCE)), s.extremes(amps).1 / s.mean(amps))
}

/// Source: `V = 2√2/π · V RMS` above the critical inductance (the mean of a rectified sine).
fn choke_rows(rows: &mut Vec<Row>) {
    for (henries, frequency) in [(10.0, 60.0), (5.0, 60.0), (10.0, 50.0)] {
        rows.push(Row::new(
            format!("choke input, {henries} H, 5000 Ω, {frequency} Hz, 100 V RMS"),
            "closed form, 0.9 V RMS",
            "V",
            200.0 * SQRT_2 / PI,
            choke_input(henries, frequency).0,
            Allowed::Share(0.001),
        ));
    }
}

/// Source: critical inductance `R/(6πf)`, 4.42 H at 60 Hz and 5.31 H at 50 Hz for 5000 Ω (textbook). It counts the second harmonic alone; all harmonics bring it down by half a per
/// cent, so the current is looked at 2 % to either side.
#[test]
fn the_choke_current_stops_below_the_critical_inductance_only() {
    for (frequency, printed) in [(60.0, 4.42), (50.0, 5.31)] {
        let critical = 5000.0 / (6.0 * PI * frequency);
        assert!((critical - printed).abs() < 0.006, "{critical}");
        let (volts_above, least_above) = choke_input(1.02 * critical, frequency);
        let (volts_below, least_below) = choke_input(0.98 * critical, frequency);
        assert!(least_above > 0.005, "{least_above}");
        assert!(least_below.abs() < 0.001, "{least_below}");
        let (volts_far_below, _) = choke_input(0.3 * critical, frequency);
        assert!(volts_below >= volts_above && volts_far_below > 1.1 * volts_above);
    }
}

/// Source: phasors. A steady voltage with a sine on it, through a filter to a load.
fn filters(rows: &mut Vec<Row>) {
    struct Case {
        name: &'static str,
        frequency: f64,
        ohms: f64,
        henries: Option<f64>,
        farads: f64,
        load: f64,
    }
    let cases = [
        Case {
            name: "RC filter, 2.2 kΩ, 8 µF, 20 kΩ load, 120 Hz",
            frequency: 120.0,
            ohms: 2200.0,
            henries: None,
            farads: 8e-6,
            load: 20e3,
        },
        Case {
            name: "LC filter, 12 H, 1200 Ω, 8 µF, 4 kΩ load, 120 Hz",
            frequency: 120.0,
            ohms: 1200.0,
            henries: Some(12.0),
            farads: 8e-6,
            load: 4000.0,
        },
        Case {
            name: "LC filter, 8 H, 420 Ω, 16 µF, 5 kΩ load, 100 Hz",
            frequency: 100.0,
            ohms: 420.0,
            henries: Some(8.0),
            farads: 16e-6,
            load: 5000.0,
        },
    ];
    for case in cases {
        let mut net = Network::new(case.frequency, "chassis").unwrap();
        let [steady, source, output] = ["steady", "source", "output"].map(|name| net.node(name));
        net.voltage("steady volts", steady, REFERENCE, Wave::Constant(300.0)).unwrap();
        net.voltage("ripple", source, steady, sine(10.0, 0.4)).unwrap();
        let middle = match case.henries {
            Some(henries) => {
                let inside = net.node("inside the coil");
                net.inductor("coil", source, inside, henries).unwrap();
                inside
            }
            None => source,
        };
        net.resistor("series", middle, output, case.ohms).unwrap();
        net.capacitor("shunt", output, REFERENCE, case.farads).unwrap();
        net.resistor("load", output, REFERENCE, case.load).unwrap();
        let s = solve(&net);
        let out = Probe::Volts(output, REFERENCE);

        let omega = TAU * case.frequency;
        let series = Complex::new(case.ohms, omega * case.henries.unwrap_or(0.0));
        let shunt = Complex::new(1.0 / case.load, omega * case.farads).inv();
        let ripple = 10.0 * (shunt / (series + shunt)).norm();
        let steady = 300.0 * case.load / (case.load + case.ohms);
        for (what, expected, got) in
            [("average", steady, s.mean(out)), ("ripple", ripple, s.ripple_rms(out))]
        {
            rows.push(Row::new(
                format!("{}: {what}", case.name),
                "phasors",
                "V",
                expected,
                got,
                Allowed::Share(0.001),
            ));
        }
    }
}

fn resistive(rows: &mut Vec<Row>) {
    let mut add = |check: &str, source: &str, unit, expected, got| {
        rows.push(Row::new(check, source, unit, expected, got, Allowed::Share(0.001)));
    };

    // a transformer with copper and core, resistive load: all linear, so phasors
    let mut net = Network::new(60.0, "chassis").unwrap();
    let [plug, emf, start, load] = ["plug", "emf", "start", "load"].map(|name| net.node(name));
    let line = net.voltage("line", plug, REFERENCE, sine(115.0, 0.0)).unwrap();
    net.resistor("primary copper", plug, emf, 6.0).unwrap();
    net.resistor("core loss", emf, REFERENCE, 4000.0).unwrap();
    net.inductor("magnetising", emf, REFERENCE, 8.0).unwrap();
    let turns = 6.6 / 115.0;
    let windings =
        [(emf, 1.0), (start, turns)].map(|(start, turns)| Winding { start, end: REFERENCE, turns });
    net.transformer("transformer", windings.to_vec()).unwrap();
    net.resistor("secondary copper", start, load, 0.1).unwrap();
    net.resistor("heaters", load, REFERENCE, 2.52).unwrap();
    let s = solve(&net);
    let admittance = Complex::new(1.0 / 4000.0 + turns * turns / 2.62, -1.0 / (TAU * 60.0 * 8.0));
    let amps = Complex::new(115.0, 0.0) / (admittance.inv() + 6.0);
    let emf_volts = (Complex::new(115.0, 0.0) - amps * 6.0).norm();
    let watts = -s.mean_product(Probe::Amps(line), Probe::Volts(plug, REFERENCE));
    add("transformer, line current", "phasors", "A", amps.norm(), s.rms(Probe::Amps(line)));
    add("transformer, line power", "phasors", "W", 115.0 * amps.re, watts);
    add(
        "transformer, heater voltage",
        "phasors",
        "V",
        emf_volts * turns * 2.52 / 2.62,
        s.rms(Probe::Volts(load, REFERENCE)),
    );

    for full_wave in [false, true] {
        let mut net = Network::new(50.0, "chassis").unwrap();
        let (cathode, plate) = rectifier(&mut net, 100.0, full_wave);
        net.resistor("load", cathode, REFERENCE, 900.0).unwrap();
        let s = solve(&net);
        let out = Probe::Volts(cathode, REFERENCE);
        let (wave, halves) = if full_wave { ("full", 2.0) } else { ("half", 1.0) };
        let source = "averages of a half sine";
        let average = halves * 0.9 * 100.0 * SQRT_2 / PI;
        add(&format!("{wave} wave into a resistor, average"), source, "V", average, s.mean(out));
        let rms = 0.9 * 100.0 * f64::sqrt(halves / 2.0);
        add(&format!("{wave} wave into a resistor, RMS"), source, "V", rms, s.rms(out));
        let peak = 100.0 * SQRT_2 / 1000.0;
        add(
            &format!("{wave} wave into a resistor, peak"),
            source,
            "A",
            peak,
            s.peak(Probe::Amps(plate)),
        );
    }

    // a three-halves diode straight across the line: mean of sin^1.5 over half a cycle, by the Beta
    // function √π Γ(5/4)/Γ(7/4) = 1.748038369528; mean of sin³ is 4/3
    let mut net = Network::new(60.0, "chassis").unwrap();
    let plug = net.node("plug");
    net.voltage("line", plug, REFERENCE, sine(100.0, 0.0)).unwrap();
    let perveance = 1e-4;
    let law = Law::ThreeHalves { perveance, offset: 0.0 };
    let diode = Probe::Amps(net.rectifier("diode", plug, REFERENCE, law).unwrap());
    let s = solve(&net);
    let peak = perveance * (100.0 * SQRT_2).powf(1.5);
    let source = "Beta function";
    add(
        "three-halves diode across a sine, average",
        source,
        "A",
        peak * 1.748_038_369_528 / TAU,
        s.mean(diode),
    );
    add(
        "three-halves diode across a sine, RMS",
        source,
        "A",
        peak * (4.0 / 3.0 / TAU).sqrt(),
        s.rms(diode),
    );
}

pub fn group() -> &'static Group {
    static GROUP: OnceLock<Group> = OnceLock::new();
    GROUP.get_or_init(|| {
        let mut rows = Vec::new();
        capacitor_input(&mut rows);
        choke_rows(&mut rows);
        filters(&mut rows);
        resistive(&mut rows);
        Group {
            title: "Closed forms",
            about: "Circuits simple enough to be solved on paper, at the default accuracy of the circuit \
                    core. Capacitor input: 100 s of time constant, an ideal switch with resistance; plate \
                    currents at 1024 steps a cycle.",
            rows,
        }
    })
}

#[test]
fn closed_forms_are_met() {
    group().assert();
}
