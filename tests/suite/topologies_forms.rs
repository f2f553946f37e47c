//! Supplies of every kind, through the front door, against closed forms. Sources stand at each function.

use crate::table::{Allowed, Group, Row};
use crate::topologies::receiver;
use mainsfit::circuit::{Probe, REFERENCE};
use mainsfit::receiver::{Operation, Receiver, Straight};
use std::f64::consts::{FRAC_PI_2, PI, SQRT_2, TAU};
use std::sync::OnceLock;

/// A set on the line that is all rectifier: one heater across the line takes no part.
fn on_line(volts: f64, rectifier: &str, filter: &str, load: &str) -> Receiver {
    receiver(&format!(
        "set: {{ name: bench set, design_line: {volts} V, frequency: 60 Hz }}
heater_string: {{ dropper: none }}
types: {{ h: {{ based_on: 6H6, heater_volts: {volts} V, heater_current: 100 mA }} }}
rectifier: {{ {rectifier} }}
filter: {filter}
loads: [{{ name: load, from: B+, {load} }}]
tubes: [h]
"
    ))
}

fn run(set: &Receiver, line: f64) -> Operation {
    set.run(line, &Straight, None).unwrap()
}

/// A silicon diode's exponential at `amps`, without its bulk of 0.05 Ω: 0.70 V at 10 mA, 0.94 V at 1 A with it.
fn silicon(amps: f64) -> f64 {
    0.89 + 0.0414 * amps.ln()
}

/// Half-wave, very large capacitor: `tan t − t = π Rs/R`, `V = Vm cos t` (`docs/model.md`, section 9; the table of it
/// is checked in `closed_forms.rs`). The diode's volts come off the crest, its bulk counts with `Rs`.
fn capacitor_input(rows: &mut Vec<Row>) {
    const TABLE: [(f64, f64, f64, f64); 6] = [
        (0.005, 0.9376, 13.30, 3.261),
        (0.01, 0.9035, 10.68, 2.920),
        (0.03, 0.8135, 7.64, 2.469),
        (0.05, 0.7518, 6.60, 2.294),
        (0.10, 0.6455, 5.49, 2.091),
        (0.30, 0.4364, 4.30, 1.847),
    ];
    let load = 3000.0;
    for (ratio, volts, peak, rms) in TABLE {
        let surge = ratio * load - 0.05;
        let set = on_line(
            240.0,
            &format!("type: silicon, surge_resistor: {surge} Ω"),
            "[{ capacitor: 100000 µF }]",
            &format!("resistance: {load} Ω"),
        );
        let got = run(&set, 240.0);
        let crest = 240.0 * SQRT_2;
        // at the crest of its current; its logarithm hardly moves over the rest
        let drop = silicon(peak * volts * crest / load);
        let plate = Probe::Amps(got.at.plates[0].id);
        let mean = got.state.mean(plate);
        let mut add = |what: &str, unit, expected, got, share| {
            rows.push(Row::new(
                format!("half-wave, large capacitor, Rs/R = {ratio}: {what}"),
                "tan t − t = π Rs/R, V = Vm cos t",
                unit,
                expected,
                got,
                Allowed::Share(share),
            ));
        };
        add("B+", "V", volts * (crest - drop), got.b_plus(), 0.001);
        add("peak over mean of the plate", "", peak, got.state.peak(plate) / mean, 0.01);
        add("RMS over mean of the plate", "", rms, got.state.rms(plate) / mean, 0.01);
    }
}

/// Doublers: twice the crest with nothing drawn (the capacitors' leakage, 33 µA, comes in peaks of some 10 mA); a light load lowers each capacitor's average by half of what it loses in
/// a cycle, `I/(2fC)`, and in a half-wave doubler the first gives up `I/(fC)` before the output's crest. (Charge
/// balance; for equal capacitors the `I/(fC)` and `I/(fC)·3/2` of one stage of a Cockcroft and Walton multiplier.)
fn doublers(rows: &mut Vec<Row>) {
    let crest = 117.0 * SQRT_2;
    for (word, halves) in [("full-wave-doubler", 2.0), ("half-wave-doubler", 3.0)] {
        let kind = format!("type: silicon, circuit: {word}, capacitors: [40 µF, 40 µF]");
        // the reader wants a capacitor behind it
        let filter = "[{ resistor: { lead: positive, value: 1 Ω } }, { capacitor: 1 nF }]";
        let idle = run(&on_line(117.0, &kind, filter, "current: 0 mA"), 117.0);
        rows.push(Row::new(
            format!("{word} on 117 V, nothing drawn: two crests less two diodes of 0.70 V"),
            "2·√2·V; 0.70 V at 10 mA",
            "V",
            2.0 * (crest - 0.70),
            idle.b_plus(),
            Allowed::Amount(0.2),
        ));
        let amps = 5e-3;
        let light = run(&on_line(117.0, &kind, filter, "current: 5 mA"), 117.0);
        let loss = halves / 2.0 * amps / (60.0 * 40e-6);
        // a few hundred milliamperes at the crest
        let drop = 2.0 * silicon(0.3);
        rows.push(Row::new(
            format!("{word} on 117 V, 5 mA: two crests less diodes and {halves} × I/(2fC)"),
            "charge balance",
            "V",
            2.0 * crest - drop - loss,
            light.b_plus(),
            Allowed::Amount(0.3),
        ));
    }
}

/// A transformer of next to no resistance, center tapped.
fn stiff(per_half: f64, rectifier: &str, choke: f64, load: &str) -> Receiver {
    receiver(&format!(
        "set: {{ name: bench set, design_line: 115 V, frequency: 60 Hz, nameplate_power: 60 W }}
transformer:
  copper: warm
  primary: {{ resistance: 10 mΩ, no_load_current: 40 mA, no_load_power: 2 W, knee: 0 % }}
  high_voltage: {{ per_half: {per_half} V, measured: open-circuit, resistance_per_half: 10 mΩ }}
  heater_windings:
    main: {{ volts: 6.3 V, measured: open-circuit, resistance: 10 mΩ }}
    rectifier: {{ volts: 5 V, measured: open-circuit, resistance: 10 mΩ }}
rectifier: {{ {rectifier} }}
filter: [{{ choke: {{ lead: positive, cold: 100 mΩ, hot: 100 mΩ, inductance: {choke} H }} }}, {{ capacitor: 100 µF }}]
loads: [{{ name: load, from: B+, {load} }}]
tubes: [6H6]
"
    ))
}

/// Ideal choke input gives 2√2/π = 0.900 V RMS (the mean of a rectified sine), less the tube's constant 15 V.
fn choke_input(rows: &mut Vec<Row>) {
    for volts in [300.0, 450.0] {
        let set = stiff(volts, "type: \"83\", fed_by: rectifier", 40.0, "resistance: 4 kΩ");
        rows.push(Row::new(
            format!("choke input, mercury 83, {volts} V a half: B+"),
            "2√2/π of the RMS less 15 V",
            "V",
            2.0 * SQRT_2 / PI * volts - 15.0,
            run(&set, 115.0).b_plus(),
            Allowed::Share(0.002),
        ));
    }
}

/// Peak inverse volts with nothing drawn (tube manuals): two crests across a half-wave diode or a plate of a center tapped
/// pair, one crest across a diode of a bridge, two across those of the doublers.
fn inverse(rows: &mut Vec<Row>) {
    let crest = 117.0 * SQRT_2;
    for (word, crests, capacitors) in [
        ("half-wave", 2.0, ""),
        ("bridge", 1.0, ""),
        ("full-wave-doubler", 2.0, ", capacitors: [40 µF, 40 µF]"),
        ("half-wave-doubler", 2.0, ", capacitors: [40 µF, 40 µF]"),
    ] {
        let kind = format!("type: silicon, circuit: {word}{capacitors}");
        let filter = "[{ resistor: { lead: positive, value: 1 Ω } }, { capacitor: 40 µF }]";
        let got = run(&on_line(117.0, &kind, filter, "current: 0.1 mA"), 117.0);
        let inverse = Probe::Volts(got.at.rectifier_cathode, got.at.plates[0].plate);
        rows.push(Row::new(
            format!("{word} on 117 V: peak inverse volts of a diode"),
            "crests of the line",
            "V",
            crests * crest,
            got.state.extremes(inverse).0,
            Allowed::Share(0.01),
        ));
    }
}

/// 12 V RMS, a diode of 0.7 V, 10 kΩ, 10 µF, 60 Hz, by hand: crest 12·√2 = 16.97 V, 16.27 V out, 1.627 mA by Ohm's law,
/// ripple I/(fC) = 2.7 V. A bias supply is that circuit upside down. The true ripple is smaller, since the
/// capacitor loses for less than a whole cycle, and by an exponential: reckoned here.
fn small_half_wave(rows: &mut Vec<Row>) {
    let set = receiver(
        "set: { name: bench set, design_line: 120 V, frequency: 60 Hz, nameplate_power: 60 W }
transformer:
  copper: warm
  primary: { resistance: 10 mΩ, no_load_current: 40 mA, no_load_power: 2 W, knee: 0 % }
  high_voltage: { per_half: 300 V, measured: open-circuit, resistance_per_half: 100 Ω }
  bias: { volts: 12 V, measured: open-circuit, resistance: 100 mΩ }
  heater_windings:
    main: { volts: 6.3 V, measured: open-circuit, resistance: 10 mΩ }
    rectifier: { volts: 5 V, measured: open-circuit, resistance: 10 mΩ }
rectifier: { type: 5Y3GT, fed_by: rectifier }
bias_supply: { rectifier: silicon, filter: [{ capacitor: 10 µF }] }
dividers: { bias: { from: C-, resistors: [10 kΩ] } }
filter: [{ capacitor: 8 µF }]
tubes: [6H6]
",
    );
    let got = run(&set, 120.0);
    let out = Probe::Volts(REFERENCE, got.at.c_minus.unwrap());
    let (high, low) = got.state.extremes(out);
    let crest = 12.0 * SQRT_2;
    let mut add = |what: &str, source: &str, unit, expected, got, allowed| {
        rows.push(Row::new(
            format!("half-wave, 12 V, 10 kΩ, 10 µF: {what}"),
            source,
            unit,
            expected,
            got,
            allowed,
        ));
    };
    add("crest of the output", "12·√2 less 0.7 V", "V", 16.27, high, Allowed::Share(0.005));
    add(
        "current at the crest",
        "16.27 V over 10 kΩ",
        "mA",
        1.627,
        high / 10.0,
        Allowed::Share(0.006),
    );
    add("ripple, peak to peak", "I/(fC)", "V", 2.7, high - low, Allowed::NotJudged);
    // the diode lets go where the sine falls faster than the capacitor empties, and takes over where they meet
    let (omega, rc) = (TAU * 60.0, 0.1);
    let sine = |angle: f64| crest * angle.sin() - 0.7;
    let (mut release, mut step) = (FRAC_PI_2, 0.1);
    while step > 1e-12 {
        let falls = -crest * (release + step).cos() * omega > sine(release + step) / rc;
        if falls {
            step /= 2.0;
        } else {
            release += step;
        }
    }
    let held = |angle: f64| sine(release) * (-(angle - release) / (omega * rc)).exp();
    let (mut early, mut late) = (TAU, TAU + FRAC_PI_2);
    for _ in 0..60 {
        let mid = 0.5 * (early + late);
        if sine(mid) < held(mid) { early = mid } else { late = mid }
    }
    let ripple = crest - 0.7 - held(early);
    add(
        "ripple, peak to peak, exponential",
        "closed form, 0.7 V diode",
        "V",
        ripple,
        high - low,
        Allowed::Share(0.02),
    );
}

pub fn group() -> &'static Group {
    static GROUP: OnceLock<Group> = OnceLock::new();
    GROUP.get_or_init(|| {
        let mut rows = Vec::new();
        capacitor_input(&mut rows);
        doublers(&mut rows);
        choke_input(&mut rows);
        inverse(&mut rows);
        small_half_wave(&mut rows);
        Group {
            title: "Supplies of every kind: closed forms",
            about: "Half-wave capacitor input in the limit of a very large capacitor, doublers, ideal choke input, inverse \
                    volts, from the text of a profile; 128 steps a cycle.",
            rows,
        }
    })
}

#[test]
fn supplies_meet_closed_forms() {
    group().assert();
}

/// Critical inductance `R/(6πf)`: 4.42 H for 5000 Ω at 60 Hz (textbook). It counts the
/// second harmonic alone; all of them bring it down by half a per cent.
#[test]
fn the_choke_current_stops_below_the_critical_inductance_only() {
    let critical = 5000.0 / (6.0 * PI * 60.0);
    assert!((critical - 4.42_f64).abs() < 0.006);
    let found = |henries: f64| {
        let got = run(&stiff(300.0, "type: silicon", henries, "resistance: 5 kΩ"), 115.0);
        let coil = Probe::Amps(got.at.coils[0].2);
        (got.b_plus(), got.state.extremes(coil).1)
    };
    let (above, least_above) = found(1.05 * critical);
    let (below, least_below) = found(0.95 * critical);
    let (far_below, least_far_below) = found(0.3 * critical);
    let mean = above / 5000.0;
    assert!(least_above > 0.03 * mean, "{least_above}");
    assert!(least_below.abs() < 0.01 * mean, "{least_below}");
    assert!(least_far_below.abs() < 0.01 * mean, "{least_far_below}");
    assert!((above / (2.0 * SQRT_2 / PI * 300.0 - 0.8) - 1.0).abs() < 0.003, "{above}");
    assert!(below > above && far_below > 1.1 * above, "{above} {below} {far_below}");
}
