//! The laws of nonlinear branches by themselves: values worked out on paper, and slopes against difference quotients.
//!
//! Space charge: C. D. Child (1911), I. Langmuir (1913), `i = P·(u + e)^1.5`. Junction: W. Shockley (1949), `i = I₀·e^(u/v)`
//! below the threshold, the line of its bulk above it. All †: not checked against the source.

use mainsfit::circuit::{Law, Network, Probe, REFERENCE, Settings, Wave, steady_state};

fn amps(law: Law, u: f64) -> f64 {
    law.current(u).0
}

fn near(got: f64, wanted: f64) {
    assert!((got - wanted).abs() <= 1e-12 * wanted.abs(), "{got} {wanted}");
}

#[test]
fn space_charge_counts_its_offset() {
    let law = |offset| Law::ThreeHalves { perveance: 2e-4, offset };
    near(amps(law(0.0), 100.0), 0.2);
    near(amps(law(44.0), 100.0), 2e-4 * 1728.0);
    near(amps(law(-19.0), 100.0), 2e-4 * 729.0);
    // it conducts as long as volts and offset together are above nothing
    near(amps(law(9.0), -5.0), 2e-4 * 8.0);
    assert_eq!(law(9.0).current(-9.0), (0.0, 0.0));
    assert_eq!(law(-9.0).current(9.0), (0.0, 0.0));
    assert_eq!(law(0.0).current(-1.0), (0.0, 0.0));
}

#[test]
fn emission_limits() {
    let law = Law::Limited { perveance: 1e-3, limit: 0.5 };
    // far below its limit space charge alone; where both are equal the limit over √2; far above the limit
    assert!((amps(law, 1.0) / 1e-3 - 1.0).abs() < 1e-5);
    near(amps(law, 500f64.powf(2.0 / 3.0)), 0.5 / 2f64.sqrt());
    assert!((amps(law, 1e5) / 0.5 - 1.0).abs() < 1e-3);
    assert_eq!(amps(law, -3.0), 0.0);
}

#[test]
fn a_drop_and_its_resistance() {
    let law = Law::Drop { volts: 15.0, resistance: 8.0 };
    near(amps(law, 19.0), 0.5);
    near(law.current(19.0).1, 0.125);
    assert_eq!(law.current(15.0), (0.0, 0.0));
    assert_eq!(law.current(14.9), (0.0, 0.0));
}

#[test]
fn a_junction_is_exponential_then_straight() {
    let law = Law::Junction { threshold: 0.7, spread: 0.05, resistance: 2.0 };
    near(amps(law, 0.7), 0.025 * 2f64.ln());
    near(amps(law, 2.7), 1.0 + 0.025 * (-40f64).exp().ln_1p());
    // a factor of e for each spread, well below the threshold
    let ratio = amps(law, 0.05) / amps(law, 0.0);
    assert!((ratio / 1f64.exp() - 1.0).abs() < 1e-5, "{ratio}");
    near(amps(law, 0.0), 0.025 * (-14f64).exp().ln_1p());
    // e⁻³⁰ of it and less is none
    assert_eq!(law.current(0.7 - 30.0 * 0.05 - 1e-9), (0.0, 0.0));
    assert!(amps(law, 0.7 - 29.0 * 0.05) > 0.0);
}

#[test]
fn slopes_are_those_of_the_currents() {
    let laws = [
        Law::ThreeHalves { perveance: 3e-4, offset: 2.5 },
        Law::Limited { perveance: 1e-3, limit: 0.3 },
        Law::Drop { volts: 3.0, resistance: 7.0 },
        Law::Junction { threshold: 5.0, spread: 1.5, resistance: 4.0 },
    ];
    for law in laws {
        for u in [0.5, 2.0, 4.0, 6.0, 20.0, 45.0, 120.0] {
            let h = 1e-5 * u;
            let quotient = (amps(law, u + h) - amps(law, u - h)) / (2.0 * h);
            let slope = law.current(u).1;
            assert!((slope - quotient).abs() < 1e-7 * slope.max(1e-4), "{law:?} {u}");
        }
    }
}

/// A battery, a resistor and a branch: the current on paper, by the quadratic of a drop and by trial for space charge.
#[test]
fn a_branch_behind_a_resistor_meets_its_law() {
    for (offset, wanted) in [(0.0, 0.1), (21.0, 0.1), (-21.0, 0.1)] {
        // 100 mA flow where 1e-4·(u + e)^1.5 = 0.1: u + e = 100 V
        let law = Law::ThreeHalves { perveance: 1e-4, offset };
        let mut net = Network::new(60.0, "chassis").unwrap();
        let (plus, plate) = (net.node("plus"), net.node("plate"));
        // the rest of the battery's volts stand across 1 kΩ
        let volts = Wave::Constant(100.0 - offset + 100.0);
        net.voltage("battery", plus, REFERENCE, volts).unwrap();
        net.resistor("resistor", plus, plate, 1e3).unwrap();
        let id = net.rectifier("branch", plate, REFERENCE, law).unwrap();
        let s = steady_state(&net, &Settings::fixed(16), None).unwrap();
        let got = s.mean(Probe::Amps(id));
        assert!((got - wanted).abs() < 1e-9, "{offset}: {got}");
    }
}
