//! The small transformer aiding, where the outlet is low.
//!
//! Outside the project: with n secondary over primary, aiding, `V (1 + n)` with the primary on the outlet and `V/(1 − n)` on
//! the set; ampere-turns balance, so the primary carries n times the secondary's current (textbook). Figures are reckoned
//! from these, by hand.

use super::bucking_table::{ideal, solved};
use super::drawing::checked;
use super::harness::{flat, mainsfit, printed};
use super::shelf::{duty, here, shelf};
use super::step::choice;
use mainsfit::adaptation::{Across, BuckingPart, Method, Part, Shelf};
use mainsfit::profile::{self, Document};
use mainsfit::receiver::{Receiver, complete};
use serde_json::Value;
use std::path::PathBuf;

/// An invented set, and the file it is written to.
fn set(name: &str, made_for: &str, outlet: &str, more: &str) -> String {
    let text = format!(
        "set: {{ name: Harbor table set, design_line: {made_for}, frequency: 60 Hz }}\n\
         outlet: {outlet}\n\
         transformer:\n\
         \x20 primary: {{ resistance: 7 Ω }}\n\
         \x20 high_voltage: {{ per_half: 250 V, measured: open-circuit, resistance_per_half: 220 Ω }}\n\
         \x20 heater_windings:\n\
         \x20   main: {{ volts: 6.3 V, measured: loaded, resistance: 0.08 Ω }}\n\
         rectifier: {{ type: 6X4, fed_by: main }}\n\
         filter:\n\
         \x20 - capacitor: 10 µF\n\
         \x20 - choke: {{ lead: positive, cold: 420 Ω }}\n\
         \x20 - capacitor: 16 µF\n\
         tubes: [6BE6, 6BA6, 6AV6, 6AQ5]\n{more}"
    );
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("boost");
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join(format!("{name}.yaml"));
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

fn plan(path: &str) -> Value {
    serde_json::from_str(&printed(&["plan", path, "--format", "json"])).unwrap()
}

const LOW: &str = "{ low: 101 V, usual: 103 V, high: 106 V }";

/// Output, and amperes in secondary, primary and line, of ideal parts.
#[test]
fn ideal_boosting_by_proportion() {
    // line, primary, secondary, set A; on the outlet: out, primary A, line A; on the set: out, line A
    let table = [
        (104.0, 120.0, 6.3, 0.60, [109.46, 0.0315, 0.6315, 109.76, 0.6332]),
        (104.0, 120.0, 12.6, 0.60, [114.92, 0.0630, 0.6630, 116.20, 0.6704]),
        (100.0, 120.0, 16.0, 0.60, [113.33, 0.0800, 0.6800, 115.38, 0.6923]),
        (108.0, 120.0, 6.3, 1.00, [113.67, 0.0525, 1.0525, 113.98, 1.0554]),
        (207.0, 230.0, 12.0, 0.35, [217.80, 0.0183, 0.3683, 218.39, 0.3693]),
        (207.0, 230.0, 24.0, 0.35, [228.60, 0.0365, 0.3865, 231.12, 0.3908]),
    ];
    let near = |got: f64, wanted: f64, of: &str| {
        assert!((got / wanted - 1.0).abs() < 5e-4, "{of}: {got} for {wanted}");
    };
    for (line, primary, secondary, set_a, [out, in_primary, in_line, out_set, line_set]) in table {
        let part = |across, reversed| BuckingPart {
            boosts: true,
            ..ideal(across, primary, secondary, reversed)
        };
        let [volts, taken, through] = solved(part(Across::Outlet, false), line, out / set_a);
        near(volts, out, "on the outlet");
        // but for the core's fraction of a milliampere
        let amps = |got: f64, wanted: f64| {
            assert!((got - wanted).abs() < 4e-4, "{got} A for {wanted} A");
        };
        amps(taken, in_line);
        amps(through, in_primary);
        let [volts, taken, _] = solved(part(Across::Set, false), line, out_set / set_a);
        near(volts, out_set, "on the set");
        amps(taken, line_set);
        // the wrong way round it takes off
        let n = secondary / primary;
        near(solved(part(Across::Outlet, true), line, 200.0)[0], line * (1.0 - n), "reversed");
        near(solved(part(Across::Set, true), line, 200.0)[0], line / (1.0 + n), "reversed, on set");
    }
}

/// On an outlet below 0.97 of what the set was made for, and not far below.
#[test]
fn it_is_offered_where_the_outlet_is_low_and_near() {
    let offered = |outlet: f64| {
        let shelf = shelf(outlet, 117.0, Vec::new());
        let list = here(&shelf).filter(|(m, _)| m.facts().boosts);
        list.map(|(m, _)| m.facts().id).collect::<Vec<_>>()
    };
    assert_eq!(offered(103.0), ["boost-outlet", "boost-set"]);
    for (outlet, is) in [(84.0, false), (85.0, true), (113.4, true), (113.5, false), (123.0, false)]
    {
        assert_eq!(!offered(outlet).is_empty(), is, "{outlet} V");
    }
}

/// The rating nearest to the outlet, of two the higher; at the highest line not more than a tenth above it.
#[test]
fn the_primary_in_stock_suits_the_outlet() {
    for (usual, high, made_for, primary) in [
        (100.0, 103.0, 110.0, 115.0),
        (117.0, 120.0, 110.0, 115.0),
        (117.5, 120.0, 110.0, 120.0),
        (123.0, 126.0, 110.0, 120.0),
        // 127 V are more than 1.1 times 115 V
        (116.0, 127.0, 110.0, 120.0),
        (220.0, 226.0, 210.0, 230.0),
        (235.0, 240.0, 220.0, 240.0),
        (246.0, 252.0, 220.0, 240.0),
    ] {
        let shelf = Shelf { high, ..shelf(usual, made_for, Vec::new()) };
        let mut seen = 0;
        for (method, adaptation) in here(&shelf) {
            if method == Method::BuckingOutlet || method == Method::BoostOutlet {
                for part in adaptation.stock(12.0, &duty(usual)) {
                    assert_eq!(part.own_primary_volts(), Some(primary), "{usual} V");
                    seen += 1;
                }
            }
        }
        assert!(seen >= 2);
    }
}

/// Heaters at rated, the set at what it was made for; what a voltmeter reads on the output, right and wrong; and reversed.
#[test]
fn an_invented_set_on_a_low_outlet() {
    for (made_for, outlet, low, usual, high) in [
        ("117 V", LOW, 101.0, 103.0, 106.0),
        ("240 V", "{ low: 206 V, usual: 210 V, high: 215 V }", 206.0, 210.0, 215.0),
    ] {
        let volts: f64 = made_for[..3].parse().unwrap();
        let path = set(made_for, made_for, outlet, "");
        let plan = plan(&path);
        for (id, on_outlet) in [("boost-outlet", true), ("boost-set", false)] {
            let choice = choice(&plan, id);
            assert!(choice["objections"].as_array().unwrap().is_empty(), "{choice}");
            let exact = &choice["exact_reading"];
            let set_v = exact["set_v"].as_f64().unwrap();
            assert!((set_v / volts - 1.0).abs() < 2e-3, "{id}: {set_v} V");
            // by ampere-turns and the regulation of this size, with nothing on the output
            let words = choice["part"].as_str().unwrap();
            let figures: Vec<f64> =
                words.split(' ').filter_map(|w| w.trim_end_matches(',').parse().ok()).collect();
            let [primary, secondary, amps] = figures[..] else { panic!("{words}") };
            let regulation = 0.2 * (6.0 / (secondary * amps)).cbrt();
            let n = secondary * (1.0 + regulation) / primary;
            let by_hand = |outlet: f64, on_outlet: bool, n: f64| match on_outlet {
                true => outlet * (1.0 + n),
                false => outlet / (1.0 - n),
            };
            let near = |shown: &Value, wanted: f64| {
                let shown = shown.as_f64().unwrap();
                assert!((shown / wanted - 1.0).abs() < 3e-3, "{id}: {shown} for {wanted}");
            };
            let connect = &choice["connect"];
            for (at, outlet) in [("usual_v", usual), ("high_v", high)] {
                near(&connect[at], by_hand(outlet, on_outlet, n));
                let wrong = connect["wrong"].as_array().unwrap();
                let of = |how: &str| &wrong.iter().find(|w| w["how"] == how).unwrap()[at];
                near(of("secondary-swapped"), by_hand(outlet, on_outlet, -n));
                near(of("primary-on-other-side"), by_hand(outlet, !on_outlet, n));
                near(of("both"), by_hand(outlet, !on_outlet, -n));
            }
            // reversed it bucks, and is solved as a fault
            let faults = choice["faults"].as_array().unwrap();
            let of = |words: &str| faults.iter().find(|f| f["fault"] == words).unwrap();
            let reversed = of("boosting winding reversed");
            assert!(reversed["unsolved"].is_null());
            let set_v = reversed["set_v"].as_f64().unwrap();
            let wanted = by_hand(high, on_outlet, -n);
            // the set's current in the copper of both windings takes some more off
            assert!((0.975..1.0).contains(&(set_v / wanted)), "{id}: {set_v} for {wanted}");
            assert!(of("boosting secondary open")["set_v"].as_f64().unwrap() < 0.01 * usual);
            assert!(of("boosting primary open")["set_v"].as_f64().unwrap() < high);
            // heaters follow the outlet's swing
            let heaters = |at: &str| choice["day"][at]["heaters"][0]["volts_v"].as_f64().unwrap();
            assert!((heaters("low") / heaters("usual") / (low / usual) - 1.0).abs() < 5e-3);
        }
        // and the voltages to expect stand on the note, with what to swap
        let note = PathBuf::from(&path).with_extension("md");
        let made =
            mainsfit(&["note", &path, "--with=boost", "--force", "-o", note.to_str().unwrap()]);
        assert_eq!(made.code, 0, "{}", made.err);
        let note = flat(&std::fs::read_to_string(&note).unwrap());
        for words in [
            "plug, line fuse, switch, boosting transformer, set",
            "swap the two secondary wires",
            "Do not leave a boosting or step-up transformer in when the outlet recovers",
            "Put no fuse and no switch in the primary's own wires",
        ] {
            assert!(note.contains(words), "{words}");
        }
    }
}

/// What the set gets with the outlet back at its old volts, against the circuit solved there.
#[test]
fn left_in_it_would_give_too_much() {
    let path = set("left-in", "117 V", LOW, "");
    let plan = plan(&path);
    let advised = plan["advice"]["choice"].as_str().unwrap();
    assert!(advised.starts_with("boost"), "{advised}");
    let words = choice(&plan, advised)["part"].as_str().unwrap();
    let figures: Vec<f64> =
        words.split(' ').filter_map(|w| w.trim_end_matches(',').parse().ok()).collect();
    let across = if advised == "boost-outlet" { Across::Outlet } else { Across::Set };
    let part = BuckingPart {
        boosts: true,
        amps: figures[2],
        regulation_factor: 1.0,
        ..ideal(across, figures[0], figures[1], false)
    };
    let bytes = std::fs::read(&path).unwrap();
    let (profile, _) = profile::read(&Document::parse("x", &bytes).unwrap()).unwrap();
    let receiver = Receiver::new(complete(&profile).unwrap().0, None).unwrap();
    let on = receiver.run(117.0, &part, None).unwrap();
    let solved = mainsfit::study::read(&receiver, &on).set_v;
    let cautions = plan["cautions"].as_array().unwrap();
    let caution = cautions.iter().find(|c| c["kind"] == "boost-left-in").unwrap();
    assert_eq!(caution["outlet_v"], 117.0);
    let told = caution["set_v"].as_f64().unwrap();
    assert!((told / solved - 1.0).abs() < 2e-3 && solved > 130.0, "{told} for {solved}");
}

/// On the set the primary gets the raised volts: an owner's part for 100 V bears the outlet, not those.
#[test]
fn the_raised_volts_are_too_much_for_a_lower_primary() {
    let own = "parts: { transformers: [{ primary: 100 V, secondary: 12 V, current: 2 A }] }\n";
    let plan = plan(&set("primary", "117 V", LOW, own));
    let refused = |id: &str| {
        let list = choice(&plan, id)["objections"].as_array().unwrap();
        list.iter().any(|o| o["kind"] == "primary-volts")
    };
    assert!(!refused("boost-outlet") && refused("boost-set"));
}

/// The secondary's current is the set's on the outlet; the line's is that times 1 ± n. A part is judged by its own.
#[test]
fn a_winding_is_judged_by_its_own_current() {
    for (boosts, across, line_over_secondary) in [
        (false, Across::Outlet, 0.9),
        (true, Across::Outlet, 1.1),
        (false, Across::Set, 1.0),
        (true, Across::Set, 1.0),
    ] {
        let part = BuckingPart { boosts, amps: 2.0, ..ideal(across, 120.0, 12.0, false) };
        let most = part.current_range().unwrap().1;
        assert!((most - 2.0 * line_over_secondary).abs() < 1e-12, "{most}");
    }
}

/// In the drawing of the plan the secondary's dot lies towards the set.
#[test]
fn the_drawing_names_the_boosting_winding() {
    let path = set("drawn", "117 V", LOW, "");
    let bytes = std::fs::read(&path).unwrap();
    let (profile, _) = profile::read(&Document::parse("x", &bytes).unwrap()).unwrap();
    let plan = mainsfit::study::plan(&profile, &Default::default(), Vec::new()).unwrap();
    for choice in plan.choices.iter().filter(|c| c.method.facts().boosts) {
        let drawing = mainsfit::report::drawing::mains_side(&plan, choice, "x");
        let read = checked(&format!("mains-{}", choice.method), &drawing);
        let (dotted, _) = read.dotted("boosting secondary");
        assert_eq!(dotted, "set live", "{}", choice.method);
        assert!(
            drawing.description.contains("connected so that it aids"),
            "{}",
            drawing.description
        );
        assert!(drawing.svg.contains(">adds "), "{}", drawing.svg);
    }
}

/// The highest voltage inside goes with the volts across the turns in use: with the part in it is not that of the low outlet,
/// and on another tap not that of the old one. So it stands to what the same set has on its design line as volts over volts.
#[test]
fn the_highest_voltage_inside_is_that_with_the_part() {
    let highest = |plan: &Value| {
        let list = plan["cautions"].as_array().unwrap();
        list.iter().find(|c| c["kind"] == "lethal").unwrap()["highest_v"].as_f64().unwrap()
    };
    let at_design = |made_for: &str| {
        let outlet = format!("{{ low: {made_for}, usual: {made_for}, high: {made_for} }}");
        highest(&plan(&set("inside-design", made_for, &outlet, "")))
    };
    let low = plan(&set("inside-low", "117 V", LOW, ""));
    let advised = low["advice"]["choice"].as_str().unwrap();
    assert!(advised.starts_with("boost"), "{advised}");
    let set_v = choice(&low, advised)["day"]["high"]["set_v"].as_f64().unwrap();
    let wanted = at_design("117 V") * set_v / 117.0;
    assert!((highest(&low) / wanted - 1.0).abs() < 1e-3, "{} for {wanted}", highest(&low));
    // on its 220 V tap, advised to move to the 110 V one
    let path = set("inside-tap", "220 V", "{ low: 108 V, usual: 110 V, high: 112 V }", "");
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, text.replace("7 Ω", "28 Ω, taps: [110 V, 220 V]")).unwrap();
    let tapped = plan(&path);
    assert_eq!(tapped["advice"]["choice"], "tap");
    let wanted = at_design("220 V") * 112.0 / 110.0;
    let near = |got: f64, wanted: f64| assert!((got / wanted - 1.0).abs() < 0.01, "{got} {wanted}");
    near(highest(&tapped), wanted);
    // on that tap with a boosting part: what recovers is an outlet of 110 V
    std::fs::write(
        &path,
        std::fs::read_to_string(&path)
            .unwrap()
            .replace("usual: 110 V", "usual: 96 V")
            .replace("low: 108 V", "low: 95 V")
            .replace("high: 112 V", "high: 97 V"),
    )
    .unwrap();
    let both = plan(&path);
    assert_eq!(both["advice"]["choice"], "tap-and-part");
    let left = both["cautions"].as_array().unwrap().iter().find(|c| c["kind"] == "boost-left-in");
    near(left.unwrap()["outlet_v"].as_f64().unwrap(), 110.0);
    let usual = &choice(&both, "tap-and-part")["day"]["usual"];
    let ratio = usual["set_v"].as_f64().unwrap() / 96.0;
    near(left.unwrap()["set_v"].as_f64().unwrap(), 110.0 * ratio);
    // brought up on a variac the bare set comes to its own line
    let bare = printed(&["power-up", &set("inside-low", "117 V", LOW, ""), "--format", "json"]);
    let bare: Value = serde_json::from_str(&bare).unwrap();
    assert!(highest(&bare) > 0.999 * at_design("117 V"), "{}", highest(&bare));
}
