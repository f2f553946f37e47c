//! What the signal does to the average currents of tubes.
//!
//! Source of the published figures: typical operation of two tubes in push-pull, class A1 and AB1, in the RCA Receiving
//! Tube Manuals RC-15 (1947) and RC-19 (1959), and in Philips or Mullard data sheets for the EL84, each under the type;
//! all †: not checked against the source.

use crate::as_read::{model, model_of};
use crate::harness::{printed, shipped};
use crate::table::{Allowed, Group, Row};
use mainsfit::receiver::{Currents, Signal, Swing, Tube};
use serde_json::Value;
use std::sync::OnceLock;

/// Bias of a published row.
#[derive(Clone, Copy)]
enum Bias {
    /// Volts.
    Fixed(f64),
    /// Ohms that both cathodes share.
    Cathode(f64),
}
use Bias::{Cathode, Fixed};

/// Type, plate and screen volts, bias, load from plate to plate, plate mA of both at rest and at full output, watts.
type Published = (&'static str, f64, f64, Bias, f64, f64, f64, f64);

const ROWS: [Published; 17] = [
    ("6V6GT", 250.0, 250.0, Fixed(-15.0), 10e3, 70.0, 79.0, 10.0),
    ("6V6GT", 285.0, 285.0, Fixed(-19.0), 8e3, 70.0, 92.0, 14.0),
    ("6L6", 250.0, 250.0, Fixed(-16.0), 5e3, 120.0, 140.0, 14.5),
    ("6L6", 270.0, 270.0, Fixed(-17.5), 5e3, 134.0, 155.0, 17.5),
    ("6L6", 270.0, 270.0, Cathode(125.0), 5e3, 134.0, 145.0, 18.5),
    ("6L6", 360.0, 270.0, Fixed(-22.5), 6600.0, 88.0, 132.0, 26.5),
    ("6L6", 360.0, 270.0, Fixed(-22.5), 3800.0, 88.0, 140.0, 18.0),
    ("6L6", 360.0, 270.0, Cathode(250.0), 9e3, 88.0, 100.0, 24.5),
    ("6F6", 315.0, 285.0, Fixed(-24.0), 10e3, 62.0, 80.0, 11.0),
    ("6F6", 315.0, 285.0, Cathode(320.0), 10e3, 62.0, 73.0, 10.5),
    ("6K6GT", 285.0, 285.0, Fixed(-25.5), 12e3, 55.0, 72.0, 10.5),
    ("6K6GT", 285.0, 285.0, Cathode(400.0), 12e3, 55.0, 61.0, 9.8),
    ("2A3", 300.0, 0.0, Fixed(-62.0), 3e3, 80.0, 147.0, 15.0),
    ("2A3", 300.0, 0.0, Cathode(780.0), 5e3, 80.0, 100.0, 10.0),
    ("EL84", 250.0, 250.0, Cathode(130.0), 8e3, 62.0, 75.0, 11.0),
    ("EL84", 300.0, 300.0, Cathode(130.0), 8e3, 72.0, 92.0, 17.0),
    ("EL84", 300.0, 300.0, Fixed(-14.7), 8e3, 15.0, 92.0, 17.0),
];

/// Two of a type in push-pull, into `load` ohms from plate to plate.
fn pair(kind: &str, load: f64) -> Tube {
    let (model, _) = model_of(&format!(
        "set: {{ name: Invented, design_line: 117 V }}
transformer: {{ high_voltage: {{ per_half: 300 V }} }}
rectifier: {{ type: 5U4G }}
filter: [capacitor: 8 µF]
tubes: [{{ type: {kind}, count: 2, load: {load} Ω, cathode: chassis, grid: -20 V }}]
"
    ));
    model.tubes.into_iter().next().unwrap()
}

/// Currents of one tube and its bias, volts of plate and screen held against the cathode.
fn working(tube: &Tube, signal: Signal, bias: Bias, screen: f64, plate: f64) -> (f64, Currents) {
    let at = |g: f64| tube.currents(signal, [g, screen, plate]);
    let ohms = match bias {
        Fixed(volts) => return (volts, at(volts)),
        Cathode(ohms) => ohms,
    };
    // more bias, less current: one point where both agree
    let (mut low, mut high) = (-200.0, -1e-6);
    for _ in 0..80 {
        let g = 0.5 * (low + high);
        let drop = 2.0 * (at(g).plate + at(g).screen) * ohms;
        if -g > drop { low = g } else { high = g }
    }
    (low, at(low))
}

pub fn group() -> &'static Group {
    static GROUP: OnceLock<Group> = OnceLock::new();
    GROUP.get_or_init(|| {
        let mut rows = Vec::new();
        for (kind, plate, screen, bias, load, _, full_ma, watts) in ROWS {
            let tube = pair(kind, load);
            let (g, full) = working(&tube, Signal::FullOutput, bias, screen, plate);
            let how = match bias {
                Fixed(volts) => format!("{volts} V"),
                Cathode(ohms) => format!("{ohms} Ω"),
            };
            let name = format!("two {kind}, {plate} V, {how}, {load} Ω");
            let source = "RCA Receiving Tube Manuals; EL84: Philips or Mullard sheet †";
            // triodes with the directly heated cathode's tail come out low at rest already
            let share = if screen > 0.0 { 0.06 } else { 0.11 };
            let got = 2e3 * full.plate;
            let allowed = Allowed::Share(share);
            let check = format!("{name}: plates at full output");
            rows.push(Row::new(check, source, "mA", full_ma, got, allowed));
            // published watts are behind the transformer, of the fundamental alone
            let given = 2.0 * tube.output_watts(Signal::FullOutput, [g, screen, plate]);
            let check = format!("{name}: output");
            rows.push(Row::new(check, source, "W", watts, given, Allowed::Share(0.28)));
        }
        Group {
            title: "Push-pull stages at full output",
            about: "Laws are fitted to the class A row of one tube; typical operation of two is a prediction.",
            rows,
        }
    })
}

#[test]
fn full_output_is_as_published() {
    group().assert();
}

/// The rise from rest to full output is that of the sheets within a quarter of it and 4 mA, from class A to the deepest
/// class AB: 6 mA of 55 and 77 of 15.
#[test]
fn the_rise_is_as_published() {
    for (kind, plate, screen, bias, load, rest_ma, full_ma, _) in ROWS {
        let tube = pair(kind, load);
        let ma = |signal| 2e3 * working(&tube, signal, bias, screen, plate).1.plate;
        let rise = ma(Signal::FullOutput) - ma(Signal::Rest);
        let wanted: f64 = full_ma - rest_ma;
        let allowed = 0.25 * wanted + 4.0;
        assert!((rise - wanted).abs() <= allowed, "{kind} {plate} V: {rise} for {wanted} mA");
    }
}

/// Source: sums over 64 times as many instants of the law alone, the load line met by bisection.
#[test]
fn averages_are_those_of_many_instants() {
    for (kind, plate, screen, _, load, ..) in ROWS {
        let tube = pair(kind, load);
        let (g, ohms) = (-0.06 * plate, load / 4.0);
        let (mut sums, mut watts) = ([0.0; 2], 0.0);
        for k in 0..2048 {
            let sine = (std::f64::consts::TAU * (f64::from(k) + 0.5) / 2048.0).sin();
            let one = |d: f64| tube.law.currents(g * (1.0 - sine), screen, plate - ohms * d);
            let other = |d: f64| tube.law.currents(g * (1.0 + sine), screen, plate + ohms * d);
            let (mut low, mut high) = (-2.0, 2.0);
            for _ in 0..60 {
                let d = 0.5 * (low + high);
                if one(d).plate - other(d).plate > d { low = d } else { high = d }
            }
            let now = one(low);
            sums = [sums[0] + now.plate / 2048.0, sums[1] + now.screen / 2048.0];
            watts += 0.5 * ohms * low * low / 2048.0;
        }
        let volts = [g, screen, plate];
        let found = tube.currents(Signal::FullOutput, volts);
        let given = tube.output_watts(Signal::FullOutput, volts);
        for (got, wanted) in [(found.plate, sums[0]), (found.screen, sums[1]), (given, watts)] {
            assert!((got - wanted).abs() <= 5e-3 * wanted, "{kind}: {got} for {wanted}");
        }
    }
}

/// Source: remote points, each under the type in the RCA Receiving Tube Manuals †: transconductance at the published bias,
/// and the bias at which so much is left of it, at 100 V (35/51: 90 V) on the screen.
#[test]
fn a_controlled_tube_falls_as_published() {
    // µmho and V at work, µmho and V far out, and the factor by which the one law for all may miss what is left
    for (kind, screen, from, to, factor) in [
        ("6K7", 100.0, (1450.0, -3.0), (2.0, -42.5), 1.5),
        ("6SK7", 100.0, (2000.0, -3.0), (10.0, -35.0), 1.5),
        ("6D6", 100.0, (1600.0, -3.0), (2.0, -50.0), 4.0),
        ("6BA6", 100.0, (4400.0, -1.0), (40.0, -20.0), 6.0),
        ("35/51", 90.0, (1050.0, -3.0), (15.0, -40.0), 15.0),
    ] {
        let rest = format!("rectifier: {{ type: 6X5 }}\ntubes: [\"{kind}\", 6H6]\n");
        let tube = &model(&rest).0.tubes[0];
        assert_eq!(tube.swing, Swing::Controlled { rest_screen: 0.0 }, "{kind}");
        let at = |avc: f64| tube.currents(Signal::Avc(avc), [-3.0, screen, 250.0]);
        let left = at(from.1 - to.1).slopes[0][0] / at(0.0).slopes[0][0];
        let wanted: f64 = to.0 / from.0;
        assert!((left / wanted).ln().abs() < f64::ln(factor), "{kind}: {left} for {wanted}");
        // slopes by difference quotients; no AVC is rest
        let moved = |by: f64| tube.currents(Signal::Avc(10.0), [-3.0, screen + by, 250.0]);
        let quotient = (moved(1e-3).screen - moved(-1e-3).screen) / 2e-3;
        assert!((moved(0.0).slopes[1][1] / quotient - 1.0).abs() < 1e-4, "{kind}");
        assert_eq!(at(0.0).plate, tube.law.currents(-3.0, screen, 250.0).plate);
    }
    // an audio stage is not under AVC; without a diode there is none, and a pentagrid's signal grid only divides its current
    let alone = model("rectifier: { type: 6X5 }\ntubes: [6K7, 6F6]\n").0;
    let divided = model("rectifier: { type: 6X5 }\ntubes: [6SA7, 6SQ7, 6F6]\n").0;
    let audio = "[{ type: 6K7, plate: { from: B+, through: 220 kΩ } }, 6H6]";
    let audio = model(&format!("rectifier: {{ type: 6X5 }}\ntubes: {audio}\n")).0;
    for tube in alone.tubes.iter().chain(&divided.tubes).chain(&audio.tubes) {
        assert_eq!(tube.swing, Swing::Steady, "{}", tube.label);
    }
}

/// A set with `tubes` as its output stage.
fn console(tubes: &str) -> String {
    format!(
        "set: {{ name: Invented, design_line: 115 V, frequency: 60 Hz }}
outlet: {{ low: 121 V, usual: 125 V, high: 127 V }}
transformer:
  primary: {{ resistance: 3.2 Ω, no_load_current: 210 mA, no_load_power: 9 W }}
  high_voltage: {{ per_half: 280 V, measured: loaded, resistance_per_half: 90 Ω }}
  heater_windings: {{ main: {{ volts: 6.3 V, measured: loaded }}, rectifier: {{ volts: 5 V, measured: loaded }} }}
rectifier: {{ type: 5U4G, fed_by: rectifier }}
filter: [capacitor: 16 µF, choke: {{ lead: positive, cold: 150 Ω, inductance: 10 H }}, capacitor: 16 µF]
tubes: [6K7, 6K8, 6H6, 6J5{tubes}]
"
    )
}

/// Two 6V6GT of fixed bias.
const PAIR: &str = ", { type: 6V6GT, count: 2, load: 8 kΩ, plate: { from: B+, through: 100 Ω }, screen: B+, grid: -19 V, cathode: chassis }";

fn choices(name: &str, text: &str) -> Vec<Value> {
    let path = std::env::temp_dir().join(format!("signal-{}-{name}.yaml", std::process::id()));
    std::fs::write(&path, text).unwrap();
    let plan = printed(&["plan", path.to_str().unwrap(), "--format", "json"]);
    std::fs::remove_file(path).unwrap();
    let plan: Value = serde_json::from_str(&plan).unwrap();
    plan["choices"].as_array().unwrap().clone()
}

/// Whatever stands in the lead: at full output more current, less B+, no less heat, cooler heaters, cooler plates than at
/// rest, since half of what they take is sound; with a strong station the other way round.
#[test]
fn rest_full_output_and_station_lie_in_order() {
    let mut seen = Vec::new();
    for choice in choices("order", &console(PAIR)) {
        let signal = &choice["signal"];
        if signal.is_null() {
            continue;
        }
        let id = choice["id"].as_str().unwrap().to_owned();
        let of = |point: &str, key: &str| signal[point][key].as_f64().unwrap();
        let more = ["line_a", "line_w", "lead_w", "output_a"].map(|key| (key, 1.0));
        let less = ["b_plus_v", "heater_v", "plate_w"].map(|key| (key, -1.0));
        for (key, sign) in more.into_iter().chain(less) {
            let (rest, full) = (of("rest", key), of("full", key));
            // nothing is lost in no part
            let none = key == "lead_w" && choice["part"].is_null();
            assert!(none || sign * (full - rest) > 0.0, "{id} {key}: {rest} {full}");
        }
        assert!(of("strong_station", "b_plus_v") > of("rest", "b_plus_v"), "{id}");
        assert!(of("strong_station", "screen_v") > of("rest", "screen_v"), "{id}");
        assert!(of("strong_station", "line_w") < of("rest", "line_w"), "{id}");
        let sag = of("full", "b_plus_v") / of("rest", "b_plus_v") - 1.0;
        assert!((signal["sag_share"].as_f64().unwrap() - sag).abs() < 1e-12);
        assert!(signal["unsolved"].is_null() && signal["exceeds"].as_array().unwrap().is_empty());
        let hot = signal["resistor_w_full"].as_f64();
        assert_eq!(hot.is_some(), id == "series-resistor", "{id}");
        assert!(hot.is_none_or(|w| w > choice["day"]["high"]["lead_w"].as_f64().unwrap()), "{id}");
        seen.push((id, sag, signal["heater_fall_share"].as_f64().unwrap()));
    }
    let of = |name: &str| seen.iter().find(|(id, ..)| id.starts_with(name)).unwrap();
    // a resistor drops more as the current rises, a bucking transformer next to nothing
    let (resistor, bucking) = (of("series-resistor"), of("bucking"));
    assert!(resistor.1 < bucking.1 && resistor.2 > 2.0 * bucking.2, "{seen:?}");
}

/// Controlled tubes draw less, whatever else shares their envelopes: B+ rises, the line and the part have it easier.
#[test]
fn a_strong_station_relieves_every_shipped_set() {
    let mut seen = 0;
    for path in shipped() {
        let plan: Value =
            serde_json::from_str(&printed(&["plan", &path, "--format", "json"])).unwrap();
        for choice in plan["choices"].as_array().unwrap() {
            let signal = &choice["signal"];
            if signal["strong_station"].is_null() {
                continue;
            }
            seen += 1;
            let of = |point: &str, key: &str| signal[point][key].as_f64().unwrap();
            let rises = |key| of("strong_station", key) / of("rest", key);
            assert!(rises("b_plus_v") > 1.002, "{path} {}: {}", choice["id"], rises("b_plus_v"));
            assert!(rises("line_w") < 1.0, "{path} {}", choice["id"]);
            let none = of("rest", "lead_w") < 1e-6;
            assert!(none || rises("lead_w") < 1.0001, "{path} {}", choice["id"]);
        }
    }
    assert!(seen >= 15, "{seen}");
}

/// One row of two and two rows of one are the same stage; in parallel they are none.
#[test]
fn a_stage_is_push_pull_unless_told() {
    let full = |name: &str, tubes: &str| {
        choices(name, &console(tubes))[0]["signal"]["full"]["b_plus_v"].as_f64()
    };
    let two = PAIR.replace("count: 2, ", "").replace("100 Ω", "200 Ω").repeat(2);
    let (one, other) = (full("one", PAIR).unwrap(), full("two", &two).unwrap());
    assert!((one / other - 1.0).abs() < 1e-4, "{one} {other}");
    assert_eq!(full("parallel", &PAIR.replace("load: 8 kΩ", "stage: single-ended")), None);
    assert_ne!(full("heavy", &PAIR.replace("8 kΩ", "4 kΩ")), Some(one));
    let quiet = console(", { type: 6F6, plate: B+, screen: B+, cathode: 410 Ω }");
    let quiet = quiet.replace("6K7, 6K8, 6H6", "6J7, 6A8, 6J7");
    assert!(choices("quiet", &quiet).iter().all(|choice| choice["signal"].is_null()));
}

/// Source: difference quotients of the averages themselves.
#[test]
fn slopes_are_those_of_the_averages() {
    for (kind, plate, screen, _, load, ..) in ROWS {
        let tube = pair(kind, load);
        assert!(matches!(tube.swing, Swing::PushPull { ohms } if (ohms - load / 4.0).abs() < 1e-6));
        let volts = [-0.06 * plate, screen, 0.9 * plate];
        let at = |v: [f64; 3]| tube.currents(Signal::FullOutput, v);
        let found = at(volts);
        for electrode in 0..3 {
            let moved = |by: f64| {
                let mut v = volts;
                v[electrode] += by;
                at(v)
            };
            let (up, down) = (moved(1e-3), moved(-1e-3));
            for (row, q) in [(0, up.plate - down.plate), (1, up.screen - down.screen)] {
                let (slope, quotient) = (found.slopes[row][electrode], q / 2e-3);
                assert!(
                    (slope - quotient).abs() < 1e-3 * (1e-5 + quotient.abs()),
                    "{kind} {row} {electrode}"
                );
            }
        }
    }
}
