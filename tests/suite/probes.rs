//! What a probe reads of each kind of element, against Kirchhoff's laws and the AC impedances of textbooks.

use mainsfit::circuit::{
    Law, Network, Probe, REFERENCE, Settings, SteadyState, Wave, Winding, steady_state,
};
use std::f64::consts::{SQRT_2, TAU};

const HERTZ: f64 = 60.0;
const VOLTS: f64 = 10.0;

fn sine() -> Wave {
    Wave::Sine { peak: VOLTS * SQRT_2, phase: 0.3 }
}

fn near(got: f64, wanted: f64, share: f64) {
    assert!((got - wanted).abs() <= share * wanted.abs().max(1e-9), "{got} for {wanted}");
}

fn equal_waves(s: &SteadyState, a: Probe, b: Probe, sign: f64) {
    let (a, b) = (s.waveform(a), s.waveform(b));
    let largest = a.iter().fold(0.0, |m: f64, v| m.max(v.abs()));
    assert!(largest > 0.0);
    for (a, b) in a.iter().zip(b) {
        assert!((a - sign * b).abs() < 1e-9 * largest, "{a} {b}");
    }
}

/// R, L and C in series carry one current, V/√(R² + (ωL − 1/ωC)²).
#[test]
fn one_current_through_what_stands_in_series() {
    let mut net = Network::new(HERTZ, "chassis").unwrap();
    let [top, a, b] = ["top", "a", "b"].map(|n| net.node(n));
    let (r, l, c) = (200.0, 0.3, 5e-6);
    let line = net.voltage("line", top, REFERENCE, sine()).unwrap();
    let resistor = net.resistor("r", top, a, r).unwrap();
    let coil = net.inductor("l", a, b, l).unwrap();
    let capacitor = net.capacitor("c", b, REFERENCE, c).unwrap();
    let s = steady_state(&net, &Settings::fixed(1024), None).unwrap();
    let omega = TAU * HERTZ;
    let amps = VOLTS / r.hypot(omega * l - 1.0 / (omega * c));
    for id in [line, resistor, coil, capacitor] {
        near(s.rms(Probe::Amps(id)), amps, 1e-4);
        near(s.peak(Probe::Amps(id)), amps * SQRT_2, 1e-4);
    }
    equal_waves(&s, Probe::Amps(resistor), Probe::Amps(coil), 1.0);
    equal_waves(&s, Probe::Amps(resistor), Probe::Amps(line), -1.0);
    // the capacitor's is the slope of its volts by the rule, which is of second order
    near(s.rms(Probe::Volts(b, REFERENCE)), amps / (omega * c), 1e-4);
    near(s.rms(Probe::Volts(a, b)), amps * omega * l, 1e-4);
    // all power is the resistor's
    let power = s.mean_product(Probe::Volts(top, a), Probe::Amps(resistor));
    near(power, amps * amps * r, 1e-4);
    let none = s.mean_product(Probe::Volts(b, REFERENCE), Probe::Amps(capacitor));
    assert!(none.abs() < 2e-3 * power, "{none} W in a capacitor");
}

/// Currents that are given, controlled, rectified, and those of windings.
#[test]
fn currents_of_every_other_kind() {
    let mut net = Network::new(HERTZ, "chassis").unwrap();
    let [top, a, b, c, out] = ["top", "a", "b", "c", "out"].map(|n| net.node(n));
    net.voltage("line", top, REFERENCE, sine()).unwrap();
    let first = net.resistor("primary copper", top, a, 1.0).unwrap();
    let transformer = net
        .transformer(
            "transformer",
            vec![
                Winding { start: a, end: REFERENCE, turns: 1.0 },
                Winding { start: b, end: REFERENCE, turns: 3.0 },
            ],
        )
        .unwrap();
    let law = Law::Drop { volts: 1.0, resistance: 5.0 };
    let rectifier = net.rectifier("rectifier", b, c, law).unwrap();
    let ammeter = net.resistor("ammeter", c, out, 2.0).unwrap();
    net.capacitor("filter", out, REFERENCE, 50e-6).unwrap();
    let load = net.resistor("load", out, REFERENCE, 1000.0).unwrap();
    let given = net.current("given", out, REFERENCE, 3e-3).unwrap();
    // 2 mA and 0.1 mA a volt of what stands on the load
    let controlled = net
        .controlled("controlled", 2e-3, vec![(out, 1e-4)], vec![(out, 1.0), (REFERENCE, -1.0)])
        .unwrap();
    let s = steady_state(&net, &Settings::fixed(512), None).unwrap();
    let mean = |id| s.mean(Probe::Amps(id));
    let volts = s.mean(Probe::Volts(out, REFERENCE));
    assert!(volts > 20.0 && volts < 3.0 * VOLTS * SQRT_2);
    near(mean(load), volts / 1000.0, 1e-9);
    near(mean(given), 3e-3, 1e-12);
    near(mean(controlled), 2e-3 + 1e-4 * volts, 1e-9);
    equal_waves(&s, Probe::Amps(rectifier), Probe::Amps(ammeter), 1.0);
    // the filter keeps nothing over a cycle; a mean counts the ends of steps, which misses an angular wave by their square
    near(mean(rectifier), mean(load) + mean(given) + mean(controlled), 2e-4);
    // ampere-turns cancel, and each winding carries what stands in series with it
    let winding = |place| Probe::Winding(transformer, place);
    equal_waves(&s, winding(0), Probe::Amps(first), 1.0);
    equal_waves(&s, winding(1), Probe::Amps(rectifier), -1.0);
    near(s.rms(winding(0)), 3.0 * s.rms(winding(1)), 1e-9);
    // mean and ripple make up the RMS
    let whole = s.rms(Probe::Amps(rectifier)).powi(2);
    let ripple = s.ripple_rms(Probe::Amps(rectifier)).powi(2);
    near(whole, mean(rectifier).powi(2) + ripple, 1e-9);
}

/// Crests lie between samples: by the parabola a sine's is met to a few parts in 10⁵ at 64 samples, where the highest sample
/// may be 0.12 % short.
#[test]
fn crests_between_samples() {
    for phase in [0.0, 0.02, 0.047, 1.0, 2.5] {
        let mut net = Network::new(HERTZ, "chassis").unwrap();
        let top = net.node("top");
        let wave = Wave::Sine { peak: 7.0, phase };
        net.voltage("line", top, REFERENCE, wave).unwrap();
        net.resistor("load", top, REFERENCE, 10.0).unwrap();
        let s = steady_state(&net, &Settings::fixed(64), None).unwrap();
        let (high, low) = s.extremes(Probe::Volts(top, REFERENCE));
        near(high, 7.0, 5e-5);
        near(low, -7.0, 5e-5);
        near(s.peak(Probe::Volts(REFERENCE, top)), 7.0, 5e-5);
    }
}
