//! What an ohmmeter reads between two nodes of a network at rest, against sums of series and parallel resistors and the
//! star and delta of A. E. Kennelly (1899) †.

use super::harness::{flat, printed};
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

/// The rows of a power-up's ohmmeter table, by what they are between.
fn checks(path: &str) -> Vec<serde_json::Value> {
    let all = printed(&["power-up", path, "--format", "json"]);
    let all: serde_json::Value = serde_json::from_str(&all).unwrap();
    all["checks"].as_array().unwrap().clone()
}

fn row<'a>(all: &'a [serde_json::Value], between: &str) -> &'a serde_json::Value {
    let found = all.iter().find(|c| c["between"].as_str().unwrap().contains(between));
    found.unwrap_or_else(|| panic!("{between}: {all:#?}"))
}

/// What stands in series with the heaters and in the plate leads has its row. Nothing lies beside it: by hand it reads what is
/// printed on it, within 10 % of that, 1 % of the meter and 0.3 Ω of the leads.
#[test]
fn droppers_and_surge_resistors_read_what_is_printed_on_them() {
    for (file, between, printed_ohms) in [
        ("string-dropper-1949", "heater dropper 1", 680.0),
        ("string-dropper-1949", "heater dropper 2", 330.0),
        ("string-dropper-1949", "surge resistor 1", 175.0),
        ("universal-1947", "surge resistor 1", 33.0),
        ("lead-resistor-1935", "mains resistor", 18.0),
    ] {
        let all = checks(&format!("profiles/{file}.yaml"));
        let found = row(&all, between);
        let number = |key: &str| found[key].as_f64().unwrap();
        assert!((number("expected_ohms") / printed_ohms - 1.0).abs() < 1e-9, "{found}");
        let most = 0.11 * printed_ohms + 0.31;
        for off in [number("most_ohms") - printed_ohms, printed_ohms - number("least_ohms")] {
            assert!((0.09 * printed_ohms..most).contains(&off), "{found}");
        }
        assert!(found["tubes_out_ohms"].is_null(), "{found}");
    }
}

/// A resistor in a branch has the rest of its branch and the other one beside it. By hand, heaters of 12.6 V and 0.15 A being
/// 84 Ω at work and a seventh of that cold, 12 Ω: 84 Ω beside 12 + 24 Ω is 25.2 Ω, and 84 Ω with the tubes out.
#[test]
fn a_resistor_in_a_branch_is_read_with_tubes_in_and_out() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("set.yaml");
    let text = "set: { name: bench set, design_line: 117 V }
outlet: { low: 117 V, usual: 117 V, high: 117 V }
heater_string:
  dropper: { kind: resistor, resistance: 220 Ω }
  branches: [{ name: a, dropper: { kind: resistor, resistance: 84 Ω } }, { name: b }]
rectifier: { type: 25Z6GT, circuit: half-wave, surge_resistor: 25 Ω }
filter: [capacitor: 20 µF]
tubes: [{ type: 12SK7, heater: a }, { type: 12SA7, heater: b }, { type: 12SQ7, heater: b }]
";
    std::fs::write(&path, text).unwrap();
    let all = checks(path.to_str().unwrap());
    let own = row(&all, "dropper of branch a");
    assert!((own["expected_ohms"].as_f64().unwrap() - 25.2).abs() < 0.1, "{own}");
    assert!((own["tubes_out_ohms"].as_f64().unwrap() - 84.0).abs() < 0.1, "{own}");
    // the heater beside it: 12 Ω beside 84 + 24 Ω, at work 84 Ω beside 84 + 168 Ω
    let heater = row(&all, "heater of the 12SK7");
    assert!((heater["expected_ohms"].as_f64().unwrap() - 10.8).abs() < 0.1, "{heater}");
    assert!((heater["at_work_ohms"].as_f64().unwrap() - 63.0).abs() < 0.1, "{heater}");
}

/// A ballast is known by its volts and amperes at work; its wire reads up to 10 % less when cold. A K49 drops 49 V at 0.3 A, its
/// lamp's 6.3 V with it: by hand 142.3 Ω beside the lamp's section.
#[test]
fn a_ballast_reads_less_when_cold() {
    let all = checks("profiles/string-ballast-1937.yaml");
    let ballast = row(&all, "ballast");
    let number = |key: &str| ballast[key].as_f64().unwrap();
    assert_eq!(ballast["kind"], "ballast", "{ballast}");
    assert!((number("at_work_ohms") - (49.0 - 6.3) / 0.3).abs() < 0.1, "{ballast}");
    assert!(number("least_ohms") < 0.9 * number("at_work_ohms"), "{ballast}");
    assert!(number("least_ohms") > 0.78 * number("at_work_ohms"), "{ballast}");
    let page = flat(&printed(&["power-up", "profiles/string-ballast-1937.yaml"]));
    assert!(page.contains("cold its wire reads 5 to 10 % less"), "{page}");
}
