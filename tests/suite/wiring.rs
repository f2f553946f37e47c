//! What a meter shows between which two points behind each method, and the order of what stands in the hot wire.

use super::drawing_geometry::read as read_drawing;
use super::harness::{flat, mainsfit, printed};
use super::step::{choice, plan};
use mainsfit::adaptation::{Across, BuckingPart, Dropper, Part, Station, Tap, VariacSetting};
use mainsfit::circuit::{Probe, REFERENCE};
use mainsfit::profile::{self, Document};
use mainsfit::quantity::{Quantity, Voltage};
use mainsfit::receiver::{Receiver, Straight, complete};
use mainsfit::report::drawing::mains_side;
use mainsfit::study::{OutletChoice, Request, plan as study_plan};
use serde_json::Value;
use std::path::PathBuf;

fn shipped(path: &str, line: &[&str]) -> Value {
    let args = [&["plan", path, "--format", "json"][..], line].concat();
    serde_json::from_str(&printed(&args)).unwrap()
}

/// A meter across the two wires of the primary stands across the outlet, whichever the tap; and one wire carries one current.
#[test]
fn behind_another_tap_the_meter_still_shows_the_outlet() {
    let line = ["--line", "240V", "--low", "235V", "--high", "244V"];
    let plan = shipped("profiles/european-1954.yaml", &line);
    let tap = choice(&plan, "tap");
    assert_eq!(tap["part_value"], 240.0);
    for (at, outlet) in [("low", 235.0), ("usual", 240.0), ("high", 244.0)] {
        let r = &tap["day"][at];
        assert!((r["set_v"].as_f64().unwrap() / outlet - 1.0).abs() < 1e-9, "{at}");
        let amps = |key: &str| r[key].as_f64().unwrap();
        assert!((amps("primary_a") / amps("line_a") - 1.0).abs() < 1e-9, "{at}");
    }
}

/// Where the heaters are high no lower tap is offered, and where they are low no higher one.
#[test]
fn no_tap_makes_worse_what_is_off() {
    for (line, low, high) in [("105V", "102V", "108V"), ("114V", "111V", "117V")] {
        let text = std::fs::read_to_string("profiles/european-1954.yaml").unwrap();
        let text = text
            .replace("design_line: 220 V", "design_line: 110 V")
            .replace("taps: [110 V, 127 V, 150 V, 220 V, 240 V]", "taps: [100 V, 110 V, 120 V]");
        let outlet = text.lines().find(|l| l.starts_with("outlet")).unwrap().to_owned();
        let (line, low, high) = (&line[..3], &low[..3], &high[..3]);
        let outlet_now = format!("outlet: {{ low: {low} V, usual: {line} V, high: {high} V }}");
        let plan = plan("taps", &text.replace(&outlet, &outlet_now));
        let tap = choice(&plan, "tap");
        let excess = |c: &Value| {
            let h = &c["day"]["usual"]["heaters"][0];
            h["volts_v"].as_f64().unwrap() / h["rated_v"].as_f64().unwrap() - 1.0
        };
        let (before, after) = (excess(choice(&plan, "as-is")), excess(tap));
        assert!(before.signum() != (after - before).signum(), "{line} V: {before} {after}");
    }
    // and where the only other tap would do so, there is none to move to
    let text = std::fs::read_to_string("profiles/european-1954.yaml").unwrap();
    let text = text.replace("taps: [110 V, 127 V, 150 V, 220 V, 240 V]", "taps: [200 V, 220 V]");
    let tap = plan("none", &text);
    let tap = choice(&tap, "tap");
    assert_eq!(tap["standing"], "not-applicable", "{tap}");
    assert!(tap["not_applicable"].as_str().unwrap().contains("raise"), "{tap}");
}

/// An invented 117 V string set on 124 V: what goes into the plate lead is for its own work, a watt or so, and what stands in
/// the string has no place in a two-wire box in the line cord.
#[test]
fn droppers_of_a_string_stand_where_they_can() {
    let text = std::fs::read_to_string("profiles/universal-1947.yaml").unwrap();
    let outlet = text.lines().find(|l| l.starts_with("outlet")).unwrap().to_owned();
    let text = text.replace(&outlet, "outlet: { low: 121 V, usual: 124 V, high: 127 V }");
    let plan = plan("string", &text);
    let dropper = choice(&plan, "heater-dropper");
    let (words, with) = (dropper["part"].as_str().unwrap(), &dropper["with"]);
    let surge = with["part"].as_str().unwrap();
    let rating = &with["rating"];
    let (worst, rated) = (rating["worst_w"].as_f64().unwrap(), rating["rated_w"].as_f64().unwrap());
    assert!(rated <= 5.0 && rated >= 2.0 * worst, "{surge}: {worst} W in {rated} W");
    assert!(surge.contains("fusible"), "{surge}");
    let places = |rating: &Value| -> Vec<String> {
        let list = rating["places"].as_array().unwrap().iter();
        list.map(|p| p["place"].as_str().unwrap().to_owned()).collect()
    };
    let of_dropper = places(&dropper["rating"]);
    let own = dropper["rating"]["places"].as_array().unwrap();
    assert!(own.iter().any(|p| p["acceptable"] == true), "{words}");
    for place in of_dropper.iter().chain(&places(rating)) {
        assert!(!place.contains("cord") && !place.contains("lead"), "{place}");
    }
}

/// Each method's part, the node on which the set then hangs, and its hot wire's current from the outlet by Kirchhoff.
struct Case {
    part: Box<dyn Part>,
    set: &'static str,
    /// Resistors whose currents leave the outlet: both ends and the ohms.
    leaving: Vec<(&'static str, &'static str, f64)>,
}

/// What checkpoints call the volts at the set, the current in its wire and the watts from the outlet is what a voltmeter across
/// these two nodes of the solved circuit, an ammeter in this wire (its drop over its ohms) and a wattmeter show.
#[test]
fn every_checkpoint_is_what_a_meter_between_two_points_shows() {
    const PRIMARY: f64 = 5.2;
    let path = "profiles/console-1936.yaml";
    let bytes = std::fs::read(path).unwrap();
    let (mut profile, _) = profile::read(&Document::parse(path, &bytes).unwrap()).unwrap();
    // its copper as stated, so that what is written above is what the meter divides by
    profile.transformer.copper = Some(profile::CopperState::Warm);
    let receiver = Receiver::new(complete(&profile).unwrap().0, None).unwrap();
    let bucking = |across| BuckingPart {
        primary_open: false,
        across,
        primary: 115.0,
        secondary: 6.3,
        amps: 2.0,
        stock: true,
        boosts: false,
        own: false,
        reversed: false,
        regulation_factor: 1.0,
        open: false,
    };
    // half of the regulation in each winding: 20 % at 6 VA, falling with the cube root of size
    let regulation = 0.2 * (6.0_f64 / 12.6).cbrt();
    let second = 0.5 * regulation * 6.3 / 2.0;
    let first = second / (6.3 * (1.0 + regulation) / 115.0_f64).powi(2);
    let into_primary = ("outlet", "bucking EMF", first);
    let through = ("outlet", "inside the bucking winding", second);
    let straight = || vec![("outlet", "primary EMF", PRIMARY)];
    let cases = [
        Case { part: Box::new(Straight), set: "outlet", leaving: straight() },
        Case {
            part: Box::new(Tap { volts: 115.0, now: 115.0 }),
            set: "outlet",
            leaving: straight(),
        },
        Case {
            part: Box::new(Dropper::bare(15.0)),
            set: "after the resistor",
            leaving: vec![("outlet", "after the resistor", 15.0)],
        },
        Case {
            part: Box::new(bucking(Across::Outlet)),
            set: "after the bucking winding",
            leaving: vec![into_primary, through],
        },
        Case {
            part: Box::new(bucking(Across::Set)),
            set: "after the bucking winding",
            leaving: vec![through],
        },
        Case {
            part: Box::new(VariacSetting { volts: 115.0, outlet: 123.0 }),
            set: "variac output",
            leaving: Vec::new(),
        },
    ];
    for case in cases {
        let on = receiver.run(123.0, &*case.part, None).unwrap();
        let read = mainsfit::study::read(&receiver, &on);
        let node = |name: &str| on.net.find(name).unwrap_or_else(|| panic!("{name}"));
        let name = case.part.bought().ware;
        let set = Probe::Volts(node(case.set), REFERENCE);
        assert!((on.state.rms(set) / read.set_v - 1.0).abs() < 1e-9, "{name}");
        let drop = |(a, b, ohms): (&str, &str, f64)| (Probe::Volts(node(a), node(b)), ohms);
        let (primary, ohms) = drop((case.set, "primary EMF", PRIMARY));
        assert!((on.state.rms(primary) / ohms / read.primary_a - 1.0).abs() < 1e-6, "{name}");
        if let [one] = case.leaving[..] {
            let (volts, ohms) = drop(one);
            assert!((on.state.rms(volts) / ohms / read.line_a - 1.0).abs() < 1e-6, "{name}");
        }
        let outlet = Probe::Volts(node("outlet"), REFERENCE);
        let watts: f64 = case
            .leaving
            .iter()
            .map(|one| drop(*one))
            .map(|(volts, ohms)| on.state.mean_product(outlet, volts) / ohms)
            .sum();
        if !case.leaving.is_empty() {
            assert!((watts / read.line_w - 1.0).abs() < 1e-6, "{name}: {watts} {}", read.line_w);
        }
    }
}

/// Volts behind an unloaded bucking transformer by its turns: V(1 − n) and V/(1 + n) as wired, V(1 + n) and V/(1 − n) with its
/// secondary swapped (S2: ideal transformer, textbook). n has the rise from rated load to none.
#[test]
fn what_reads_right_and_wrong_before_the_set_is_connected() {
    let plan = shipped("profiles/console-1936.yaml", &[]);
    let mut seen = 0;
    for (id, outlet_side) in [("bucking-outlet", true), ("bucking-set", false)] {
        let choice = choice(&plan, id);
        let words = choice["part"].as_str().unwrap();
        let figures: Vec<f64> =
            words.split(' ').filter_map(|word| word.trim_end_matches(',').parse().ok()).collect();
        let [primary, secondary, amps] = figures[..] else { panic!("{words}") };
        let regulation = 0.2 * (6.0 / (secondary * amps)).cbrt();
        let n = secondary * (1.0 + regulation) / primary;
        let connect = &choice["connect"];
        for (at, outlet) in [("usual_v", 123.0), ("high_v", 126.0)] {
            let on_outlet = |n: f64| outlet * (1.0 - n);
            let on_set = |n: f64| outlet / (1.0 + n);
            let by_hand = |outlet_side: bool, n: f64| match outlet_side {
                true => on_outlet(n),
                false => on_set(n),
            };
            let near = |shown: &Value, wanted: f64| {
                let shown = shown.as_f64().unwrap();
                // the core's own current in the copper of the primary
                assert!((shown / wanted - 1.0).abs() < 2e-3, "{id} {at}: {shown} for {wanted}");
            };
            near(&connect[at], by_hand(outlet_side, n));
            for wrong in connect["wrong"].as_array().unwrap() {
                match wrong["how"].as_str().unwrap() {
                    "secondary-swapped" => near(&wrong[at], by_hand(outlet_side, -n)),
                    "primary-on-other-side" => near(&wrong[at], by_hand(!outlet_side, n)),
                    "both" => near(&wrong[at], by_hand(!outlet_side, -n)),
                    other => {
                        assert_eq!(other, "windings-swapped");
                        assert!(wrong[at].is_null());
                        continue;
                    }
                }
                seen += 1;
            }
        }
    }
    assert_eq!(seen, 12);
    // a resistor reads the outlet itself without a load, and tells its value by its ohms
    let resistor = &choice(&plan, "series-resistor");
    assert!((resistor["connect"]["usual_v"].as_f64().unwrap() - 123.0).abs() < 1e-6);
    assert_eq!(resistor["connect"]["ohms"][0]["ohms"], resistor["part_value"]);
}

/// Fuse first, then the switch, both ahead of all that is fitted: in the data, in the note, under heat and place, in the words
/// of the drawing and in its lines.
#[test]
fn the_hot_wire_has_one_order_everywhere() {
    const SYMBOLS: [(&str, &str); 6] = [
        ("series-resistor", "resistor"),
        ("bucking-outlet", "bucking secondary"),
        ("bucking-set", "bucking secondary"),
        ("variac", "autotransformer"),
        ("thermistor", "thermistor"),
        ("step-down", "step primary"),
    ];
    let (mut drawn, mut noted) = (0, 0);
    let far = ["--line", "230V", "--low", "226V", "--high", "234V"];
    let no: &[&str] = &[];
    for (path, line) in [
        ("profiles/console-1936.yaml", no),
        ("profiles/universal-1947.yaml", no),
        ("profiles/european-1954.yaml", no),
        ("profiles/table-1948.yaml", &far),
    ] {
        let bytes = std::fs::read(path).unwrap();
        let (profile, _) = profile::read(&Document::parse(path, &bytes).unwrap()).unwrap();
        let volts =
            |i: usize| line.get(i).and_then(|v| v.trim_end_matches('V').parse::<f64>().ok());
        let outlet = OutletChoice {
            usual: volts(1).map(Voltage::from_si),
            low: volts(3).map(Voltage::from_si),
            high: volts(5).map(Voltage::from_si),
            ..OutletChoice::default()
        };
        let request = Request { outlet, ..Request::default() };
        let plan = study_plan(&profile, &request, Vec::new()).unwrap();
        let page = flat(&printed(&[&["plan", path, "--full"][..], line].concat()));
        for choice in plan.choices.iter().filter(|c| c.day.is_some() && c.part.is_some()) {
            let id = choice.method.to_string();
            let order: Vec<Station> = choice.hot_wire.to_vec();
            assert!(order.starts_with(&[Station::Plug, Station::Fuse, Station::Switch]), "{id}");
            let drawing = mains_side(&plan, choice, "x");
            let at =
                |word: &str| drawing.description.find(word).unwrap_or_else(|| panic!("{word}"));
            let fuse = at("In the hot wire, in this order: a fuse");
            assert!(fuse < at("; the switch; "), "{id}");
            let read = read_drawing(&drawing.svg);
            let x = |name: &str| read.symbol(name, 0).pins[0].0;
            assert!(x("fuse") < x("switch"), "{id}");
            if let Some((_, symbol)) = SYMBOLS.iter().find(|(of, _)| *of == id) {
                assert!(x("switch") < x(symbol), "{id}");
                assert_eq!(order.get(3), Some(&Station::Part), "{id}");
                drawn += 1;
            }
            let words = match order.contains(&Station::Part) {
                true => format!("plug, line fuse, switch, {}, set", choice.method.facts().noun),
                false => "plug, line fuse, switch, set".to_owned(),
            };
            if choice.rating.is_some() {
                assert!(page.contains(&format!("Hot wire, in order: {words}.")), "{id}: {words}");
            }
            if !choice.objections.is_empty() {
                continue;
            }
            let file = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("wiring.md");
            let note = ["note", path, "--with", &id, "--force", "-o", file.to_str().unwrap()];
            let outcome = mainsfit(&[&note[..], line].concat());
            assert_eq!(outcome.code, 0, "{id}: {}", outcome.err);
            let note = flat(&std::fs::read_to_string(&file).unwrap());
            assert!(note.contains(&words), "{path} {id}: {words}");
            // a part in the cord stands in grounded metal with the ground carried through
            let boxed =
                note.contains("Bond the ground wire to the box, and carry it straight through");
            assert_eq!(boxed, order.contains(&Station::Part), "{path} {id}");
            noted += 1;
        }
    }
    assert!(drawn >= 12 && noted >= 6, "{drawn} {noted}");
}
