//! What an ohmmeter reads between two nodes of a network at rest, against sums of series and parallel resistors and the
//! star and delta of A. E. Kennelly (1899) †.

use mainsfit::circuit::{Network, Node, REFERENCE, Wave, Winding};

fn nodes<const N: usize>(net: &mut Network) -> [Node; N] {
    std::array::from_fn(|i| net.node(&format!("node {i}")))
}

fn near(got: Option<f64>, wanted: f64) {
    let got = got.unwrap();
    assert!((got - wanted).abs() <= 1e-9 * wanted, "{got} for {wanted}");
}

#[test]
fn in_series_in_parallel_and_not_at_all() {
    let mut net = Network::new(60.0, "chassis").unwrap();
    let [a, b, c, d, far, farther] = nodes(&mut net);
    net.resistor("first", a, b, 100.0).unwrap();
    let second = net.resistor("second", b, c, 200.0).unwrap();
    let third = net.resistor("third", a, c, 600.0).unwrap();
    let leak = net.resistor("leak", c, REFERENCE, 50.0).unwrap();
    net.resistor("island", far, farther, 7.0).unwrap();
    // a capacitor is open, a coil is wire, a source is taken away, and an ammeter is wire
    net.capacitor("filter", c, d, 1e-6).unwrap();
    let coil = net.inductor("coil", d, REFERENCE, 10.0).unwrap();
    net.voltage("line", d, far, Wave::Constant(5.0)).unwrap();
    let behind = net.node("behind the ammeter");
    net.voltage("ammeter", a, behind, Wave::Constant(0.0)).unwrap();
    let all = &[];
    near(net.resistance(a, c, all), 200.0);
    near(net.resistance(behind, c, all), 200.0);
    near(net.resistance(c, a, all), 200.0);
    near(net.resistance(a, b, all), 800.0 / 9.0);
    near(net.resistance(a, REFERENCE, all), 250.0);
    near(net.resistance(REFERENCE, a, all), 250.0);
    near(net.resistance(a, d, all), 250.0);
    near(net.resistance(far, farther, all), 7.0);
    assert_eq!(net.resistance(d, REFERENCE, all), Some(0.0));
    assert_eq!(net.resistance(a, a, all), Some(0.0));
    assert_eq!(net.resistance(a, far, all), None);
    assert_eq!(net.resistance(far, REFERENCE, all), None);
    near(net.resistance(a, c, &[third]), 300.0);
    near(net.resistance(a, b, &[third]), 100.0);
    assert_eq!(net.resistance(a, REFERENCE, &[leak]), None);
    assert_eq!(net.ohms(second), Some(200.0));
    assert_eq!(net.ohms(coil), None);
}

/// A bridge out of balance: the delta of 10, 20 and 30 Ω as a star of 3⅓, 5 and 10 Ω, then series and parallel.
#[test]
fn a_bridge_out_of_balance() {
    let mut net = Network::new(60.0, "chassis").unwrap();
    let [a, b, c, d] = nodes(&mut net);
    for (name, p, q, ohms) in [
        ("ab", a, b, 10.0),
        ("ac", a, c, 20.0),
        ("bc", b, c, 30.0),
        ("bd", b, d, 45.0),
        ("cd", c, d, 40.0),
    ] {
        net.resistor(name, p, q, ohms).unwrap();
    }
    let upper = 10.0 * 30.0 / 60.0 + 45.0;
    let lower = 20.0 * 30.0 / 60.0 + 40.0;
    let wanted = 10.0 * 20.0 / 60.0 + upper * lower / (upper + lower);
    near(net.resistance(a, d, &[]), wanted);
    // windings are wire: through one the bridge is shorted
    let winding = |start, end| Winding { start, end, turns: 1.0 };
    net.transformer("transformer", vec![winding(b, d), winding(c, REFERENCE)]).unwrap();
    near(net.resistance(a, d, &[]), 1.0 / (1.0 / 10.0 + 1.0 / (20.0 + 30.0 * 40.0 / 70.0)));
}
