//! Heaters in series on the line: what a profile's string becomes. Figures of heaters and lamps as in the tube manuals †.

use super::as_read::{amps, every_model, model_of, near};
use mainsfit::receiver::{Model, Number, Parameter, resting, uncertain};

/// Two rectifiers in one string: 25Z5 25 V each, 43 25 V, 6K7 6.3 V, all of 0.3 A.
#[test]
fn a_string_is_as_long_as_its_heaters() {
    for count in [1.0, 2.0] {
        let (set, _) = model_of(&format!(
            "set: {{ name: Invented, design_line: 117 V }}\nheater_string: {{ dropper: {{ kind: resistor, resistance: 100 Ω, rated: 20 W }} }}\nrectifier: {{ type: 25Z5, count: {count} }}\nfilter: [capacitor: 20 µF]\ntubes: [\"43\", {{ type: 6K7, count: 2 }}]\n"
        ));
        let volts: f64 = set.windings.iter().map(|w| w.nominal_volts()).sum();
        near(volts, 25.0 * count + 25.0 + 2.0 * 6.3);
        assert!(set.windings.iter().all(|w| w.filaments.len() == 1));
        for link in &set.windings {
            near(amps(link), 0.3);
        }
        // no two of one name
        let mut names: Vec<&str> = set.windings.iter().map(|w| w.name.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), set.windings.len());
    }
}

/// A lamp on the tap of a 35Z5GT's heater: 7.5 of its 35 V lie in the tapped part (tube manuals †).
#[test]
fn a_lamp_lies_across_part_of_the_heater() {
    let set = |lamp: &str| {
        model_of(&format!(
            "set: {{ name: Invented, design_line: 117 V }}\nheater_string: {{}}\nrectifier: {{ type: 35Z5GT }}\nfilter: [capacitor: 20 µF]\ntubes: [12SA7, 12SK7, 12SQ7, 50L6GT]\n{lamp}"
        ))
        .0
    };
    let (plain, lit) = (set(""), set("lamps: [{ type: \"#47\", across: tap }]\n"));
    let volts = |m: &Model| m.windings.iter().map(|w| w.nominal_volts()).sum::<f64>();
    near(volts(&plain), 35.0 + 3.0 * 12.6 + 50.0);
    near(volts(&lit), volts(&plain));
    let two = set("lamps: [{ type: \"#47\", count: 2, across: tap }]\n");
    near(amps(&two.windings[0]), 0.45);
    let tap = lit.string.as_ref().and_then(|s| s.tap).unwrap();
    near(lit.windings[tap].nominal_volts(), 7.5);
    // heater of 0.15 A and lamp of 0.15 A side by side, and no rating for what they share
    near(amps(&lit.windings[tap]), 0.3);
    assert_eq!(lit.windings[tap].rated, 0.0);
    assert!(plain.string.is_some_and(|s| s.tap.is_none()));
}

/// Lamps and droppers of a string: #47 0.15 A at 6.3 V, #40 0.15 A; two side by side take twice that.
#[test]
fn what_else_stands_in_a_string() {
    let string = |dropper: &str, lamps: &str| {
        let (set, _) = model_of(&format!(
            "set: {{ name: Invented, design_line: 117 V }}\nheater_string: {{ {dropper} }}\nrectifier: {{ type: 25Z5 }}\nfilter: [capacitor: 20 µF]\ntubes: [6K7, \"43\"]\n{lamps}"
        ));
        let line = set.string.clone().unwrap();
        (set, line)
    };
    let (set, line) =
        string("", "lamps: [{ type: \"#47\", count: 2, across: string, shunt: 100 Ω }]\n");
    let lamp = set.windings.iter().find(|w| w.name.contains("47")).unwrap();
    near(amps(lamp), 0.3);
    near(lamp.nominal_volts(), 6.3);
    assert_eq!(lamp.shunt_ohms, Some(100.0));
    assert!(!lamp.feeds_tubes);
    assert_eq!((line.plain_ohms(), line.in_cord(), line.barretter), (0.0, false, None));
    // 50 V at 0.3 A is 167 Ω of wire, whatever the volts
    let (_, line) = string("dropper: { kind: ballast, volts: 50 V, current: 300 mA }", "");
    near(line.sections[0].ohms, 50.0 / 0.3);
    assert!(line.plain_ohms() == 0.0 && line.barretter.is_none());
    let holds = "dropper: { kind: barretter, current: 300 mA, holds: { from: 40 V, to: 90 V } }";
    let (set, line) = string(holds, "");
    let barretter = &set.windings[line.barretter.unwrap()];
    near(barretter.nominal_volts(), 60.0);
    near(amps(barretter), 0.3);
    assert!(line.sections.is_empty() && !barretter.feeds_tubes);
    let (_, line) = string("dropper: { kind: line-cord, resistance: 180 Ω, rated: 30 W }", "");
    assert_eq!((line.plain_ohms(), line.in_cord()), (180.0, true));
    let (_, line) = string("dropper: { kind: resistor, resistance: 180 Ω, rated: 30 W }", "");
    assert_eq!((line.plain_ohms(), line.in_cord()), (180.0, false));
    assert_eq!(line.sections[0].watts, Some(30.0));
    let two =
        "dropper: [{ kind: resistor, resistance: 100 Ω }, { kind: resistor, resistance: 80 Ω }]";
    let (_, line) = string(two, "");
    near(line.plain_ohms(), 180.0);
}

/// A lamp across a section of what drops: by the code K49 (49 V at 0.3 A with a lamp of 6.3 V and 0.15 A) 42 Ω beside the
/// lamp and 42.7 V, 142.3 Ω, in series; in a cord of 180 Ω 138 Ω are left. A lamp that is not told of leaves all its wire.
#[test]
fn lamps_across_a_section() {
    let string = |dropper: &str, lamps: &str| {
        let text = format!(
            "set: {{ name: Invented, design_line: 117 V }}\nheater_string: {{ dropper: {dropper} }}\nrectifier: {{ type: 25Z5 }}\nfilter: [capacitor: 20 µF]\ntubes: [6K7, \"43\"]\n{lamps}"
        );
        let (set, _) = model_of(&text);
        let line = set.string.clone().unwrap();
        let lamp = set.windings.iter().find(|w| w.name.contains("47")).cloned();
        (line.sections[0].ohms, lamp.and_then(|w| w.shunt_ohms))
    };
    let lamp = |place: &str| format!("lamps: [{{ type: \"#47\", across: {place} }}]\n");
    for (dropper, place) in [
        ("{ kind: ballast, type: K49 }", "ballast"),
        ("{ kind: ballast, volts: 49 V, current: 300 mA }", "ballast"),
    ] {
        let (rest, section) = string(dropper, &lamp(place));
        near(rest, 42.7 / 0.3);
        near(section.unwrap(), 42.0);
    }
    near(string("{ kind: ballast, type: K49 }", "").0, 42.7 / 0.3 + 42.0);
    near(string("{ kind: line-cord, resistance: 180 Ω }", &lamp("cord")).0, 138.0);
    near(string("{ kind: resistor, resistance: 180 Ω }", &lamp("dropper")).0, 138.0);
}

/// A set without a transformer has none of a transformer's numbers, and none of them is said to be off.
#[test]
fn a_string_has_no_transformer() {
    let of_transformer = |key: &str| {
        ["primary.", "high_voltage.", "bias."].iter().any(|s| key.starts_with(s))
            || key.ends_with(".volts")
            || (key.ends_with(".resistance") && !key.starts_with("coil"))
    };
    let (mut with, mut without) = (0, 0);
    for (path, model, assumptions) in every_model() {
        let assumed: Vec<Parameter> = assumptions.iter().filter_map(|a| a.parameter).collect();
        let customary: Vec<_> =
            uncertain(&model, &assumptions).into_iter().filter(|u| !u.assumed).collect();
        let named: Vec<String> = Parameter::all(&model).iter().map(|k| k.key(&model)).collect();
        let spread: Vec<String> = customary.iter().map(|u| u.parameter.key(&model)).collect();
        let listed = named.iter().any(|k| of_transformer(k));
        let off = spread.iter().any(|k| of_transformer(k));
        if model.string.is_some() {
            without += 1;
            assert!(!listed && !off, "{path}");
            assert!(spread.iter().any(|k| k.ends_with(".current")), "{path}");
        } else {
            with += 1;
            assert!(listed, "{path}");
        }
        // what was assumed has its spread already; what is left is each named once, and no more than a law misses at a
        // further published point: the screen of the 50L6GT, by 83 %
        assert!(customary.iter().all(|u| !assumed.contains(&u.parameter)));
        let mut once = spread.clone();
        once.sort();
        once.dedup();
        assert_eq!(once.len(), spread.len());
        assert!(customary.iter().all(|u| u.spread > 0.0 && u.spread < 0.85));
        // a resistor that is not there is not said to be off
        for number in &customary {
            assert!(number.parameter.value(&model).unwrap().0 > 0.0, "{path}: {number:?}");
        }
        let surge = customary.iter().any(|u| u.parameter == Number::Surge.of_set());
        let known = assumed.contains(&Number::Surge.of_set());
        assert_eq!(surge || known, model.rectifier.surge_ohms > 0.0, "{path}");
    }
    assert!(with > 5 && without > 2);
}

/// Cold, an ohmmeter across the plug reads a seventh of what the heaters have hot, and the dropper: heaters of 0.15 A for 35,
/// 50 and three times 12.6 V (tube manuals †), hot over cold as `warmup.rs` has it (its source there).
#[test]
fn a_cold_string_as_an_ohmmeter_finds_it() {
    for dropper in [0.0, 180.0] {
        let written = if dropper > 0.0 {
            "dropper: { kind: resistor, resistance: 180 Ω, rated: 10 W }"
        } else {
            ""
        };
        let (set, _) = model_of(&format!(
            "set: {{ name: Invented, design_line: 117 V }}\nheater_string: {{ {written} }}\nrectifier: {{ type: 35Z5GT }}\nfilter: [capacitor: 20 µF]\ntubes: [12SA7, 12SK7, 12SQ7, 50L6GT]\n"
        ));
        let (net, at) = resting(&set).unwrap();
        let read = net.resistance(at.outlet, at.neutral, &at.leakage).unwrap();
        let wanted = (35.0 + 50.0 + 3.0 * 12.6) / 0.15 / 7.0 + dropper;
        assert!((read / wanted - 1.0).abs() < 1e-3, "{read} for {wanted}");
    }
}
