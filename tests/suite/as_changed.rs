//! A set with factors on its numbers, with stated tolerances, with tubes out of their sockets.

use super::as_read::{every_model, model_of, near};
use mainsfit::profile::{Document, read};
use mainsfit::receiver::{
    Fault, Number, Parameter, Receiver, Straight, complete, shown, stated_tolerances,
};

const SET: &str = "set: { name: Invented, design_line: 117 V }
transformer: { high_voltage: { per_half: 300 V } }
rectifier: { type: 5Y3GT }
filter: [capacitor: 8 µF, field_coil: { lead: negative, cold: 1200 Ω }, capacitor: 8 µF]
dividers: { bias: { across: field_coil, to: chassis, resistors: [200 kΩ, 50 kΩ], taps: [output] } }
loads: [{ name: relay, from: B+, resistance: 100 kΩ }, { name: motor, from: B+, current: 2 mA }]
tubes: [{ type: 6F6, grid: bias.output, cathode: chassis }, 6K7, 6SQ7]
lamps: [{ type: \"#46\" }]
";

/// No two numbers of a set have one name, and each has words that say which.
#[test]
fn every_number_has_a_name_of_its_own() {
    for (path, model, _) in every_model() {
        let all = Parameter::all(&model);
        for (what, mut names) in [
            ("key", all.iter().map(|k| k.key(&model)).collect::<Vec<_>>()),
            ("words", all.iter().map(|k| k.words(&model)).collect()),
        ] {
            let count = names.len();
            // "filter resistor" and coils of one name may be said twice, keys never
            let most = if what == "key" { 0 } else { 3 };
            names.sort();
            names.dedup();
            assert!(count - names.len() <= most, "{path}: {what} {names:?}");
            assert!(names.iter().all(|n| n.len() > 3 && !n.contains('?')), "{names:?}");
        }
    }
}

/// A factor that a profile carries is on its number and on no other, and the report shows the number as it now is.
#[test]
fn a_factor_is_on_its_number() {
    let (plain, _) = model_of(SET);
    let all = Parameter::all(&plain);
    assert!(all.len() > 20);
    for parameter in &all {
        let key = parameter.key(&plain);
        let text = format!("{SET}calibration: [{{ of: \"{key}\", factor: 1.1, spread: 0.02 }}]\n");
        let (set, list) = model_of(&text);
        let (before, unit) = parameter.value(&plain).unwrap();
        let (after, _) = parameter.value(&set).unwrap();
        // a load's number is its current, shown as its ohms
        let inverse = parameter.what == Number::Load && unit == "Ω";
        near(after, if inverse { before / 1.1 } else { 1.1 * before });
        let mut told = list.iter().filter(|a| a.parameter == Some(*parameter));
        let one = told.next().unwrap_or_else(|| panic!("{key}"));
        assert!(told.next().is_none(), "{key}");
        assert_eq!((one.spread, one.value.as_str()), (0.02, shown(after, unit).as_str()));
        assert!(one.rule.starts_with("fitted to readings before"), "{}", one.rule);
        // the rest stands as it stood
        let rest = |list: &[mainsfit::receiver::Assumption]| -> Vec<String> {
            let others = list.iter().filter(|a| a.parameter != Some(*parameter));
            others.map(|a| format!("{} {} {}", a.what, a.value, a.spread)).collect()
        };
        assert_eq!(rest(&list), rest(&model_of(SET).1), "{key}");
    }
}

/// A fit moves what was assumed, and writes it down as a calibration: each such number must be one that a profile may name.
#[test]
fn what_is_assumed_can_be_named() {
    let selenium = "rectifier: { type: selenium, circuit: bridge }";
    let stack = SET.replace("rectifier: { type: 5Y3GT }", selenium);
    let stack = stack.replace("per_half: 300 V", "volts: 130 V");
    let (model, list) = model_of(&stack);
    assert!(list.iter().any(|a| a.parameter == Some(Number::RectifierDrop.of_set())));
    let mut sets = every_model();
    sets.push(("a selenium stack".to_owned(), model, list));
    for (path, model, list) in sets {
        let known = Parameter::all(&model);
        for parameter in list.iter().filter_map(|a| a.parameter) {
            assert!(known.contains(&parameter), "{path}: {}", parameter.key(&model));
        }
    }
    let carried = "calibration: [{ of: rectifier.drop, factor: 1.2, spread: 0.1 }]\n";
    near(model_of(&(stack + carried)).0.rectifier.drop_volts, 6.0);
}

/// Stated tolerances stand for their numbers; a number the set does not have is refused with those it has.
#[test]
fn a_tolerance_is_on_its_number() {
    let parse = |text: &str| {
        let document = Document::parse("set.yaml", text.as_bytes()).unwrap();
        read(&document).map_err(|p| p.render()).unwrap().0
    };
    let (plain, _) = model_of(SET);
    for (place, parameter) in Parameter::all(&plain).into_iter().enumerate() {
        let share = 0.01 * (1 + place % 9) as f64;
        let profile =
            parse(&format!("{SET}tolerances: {{ \"{}\": {share} }}\n", parameter.key(&plain)));
        let (model, _) = complete(&profile).unwrap();
        let stated = stated_tolerances(&profile, &model).unwrap();
        assert_eq!(stated.len(), 1);
        assert_eq!(stated[0].0, parameter);
        near(stated[0].1, share);
    }
    for wrong in [
        "tolerances: { bias.volts: 5 % }\n",
        "calibration: [{ of: bias.volts, factor: 1.1, spread: 0.02 }]\n",
    ] {
        let error = complete(&parse(&format!("{SET}{wrong}"))).unwrap_err().to_string();
        let advice = error.clone() + &format!("{:?}", complete(&parse(&format!("{SET}{wrong}"))));
        assert!(error.contains("bias.volts"), "{error}");
        assert!(advice.contains("V1.current") && advice.contains("bias.resistors[1]"));
    }
}

#[test]
fn values_are_shown_in_their_units() {
    for (value, unit, text) in [
        (1500.0, "Ω", "1.50 kΩ"),
        (6.3, "V", "6.30 V"),
        (0.15, "A", "150 mA"),
        (4.5, "W", "4.50 W"),
        (10.0, "H", "10.0 H"),
        (60.0, "Hz", "60.0 Hz"),
        (1.1, "×", "1.100"),
    ] {
        assert_eq!(shown(value, unit), text);
    }
}

/// Without its output tube a set keeps every other heater; without its tubes it keeps the rectifier's and the lamp's. 6F6
/// 0.7 A, 6K7 and 6SQ7 0.3 A each, #46 0.25 A (tube manuals †), each as its volts to the power of its law.
#[test]
fn a_tube_out_of_its_socket_takes_nothing() {
    let (model, _) = model_of(SET);
    let receiver = Receiver::new(model, None).unwrap();
    let sound = receiver.run(117.0, &Straight, None).unwrap();
    let place = |name: &str| {
        let mut windings = receiver.model().windings.iter();
        windings.position(|w| w.name == name).unwrap()
    };
    let main = place("main");
    let amps =
        |o: &mainsfit::receiver::Operation, i: usize| o.heater_volts(i) / o.slow.heater_ohms[i];
    let law = |o: &mainsfit::receiver::Operation, heaters: f64| {
        let share = o.heater_volts(main) / 6.3;
        // the lamp is one of 6.3 V; its exponent is the lamp's own
        heaters * share.powf(mainsfit::receiver::HEATER_EXPONENT)
            + 0.25 * share.powf(mainsfit::receiver::LAMP_EXPONENT)
    };
    assert!((amps(&sound, main) / law(&sound, 1.3) - 1.0).abs() < 1e-4);
    let fault = |fault| receiver.run_fault(117.0, &Straight, fault, &sound).unwrap();
    let without = fault(Fault::OutputTubeOut);
    assert!((amps(&without, main) / law(&without, 0.6) - 1.0).abs() < 1e-4);
    let empty = fault(Fault::LoadsOut);
    assert!((amps(&empty, main) / law(&empty, 0.0) - 1.0).abs() < 1e-4);
    let rectifier = place("rectifier");
    for o in [&sound, &without, &empty] {
        let share = (o.heater_volts(rectifier) / 5.0).powf(mainsfit::receiver::HEATER_EXPONENT);
        assert!((amps(o, rectifier) / (2.0 * share) - 1.0).abs() < 1e-4);
    }
    // less drawn, more volts, up to the crest that the copper then hardly lowers
    let volts = [&sound, &without, &empty].map(|o| o.b_plus());
    assert!(volts.is_sorted() && volts[0] < 0.8 * volts[2], "{volts:?}");
    // the relay and the motor are still there, so that the rectifier's drop and the copper are
    let crest = receiver.crest_volts(117.0);
    assert!(volts[2] < crest && volts[2] > 0.85 * crest, "{volts:?} {crest}");
}

/// Where a search begins decides nothing but its length: begun far off, and in a set with a fault, it ends where it does
/// from the point of the design line.
#[test]
fn where_a_search_begins_decides_nothing() {
    let receiver = Receiver::new(model_of(SET).0, None).unwrap();
    let run = |line: f64| receiver.run(line, &Straight, None).unwrap();
    let (low, high) = (run(100.0), run(135.0));
    let plain = run(120.0);
    for begin in [low.gone(&high, &low), high.gone(&low, &high), low.gone(&low, &plain)] {
        let there = receiver.run(120.0, &Straight, Some(&begin)).unwrap();
        for (got, want) in [
            (there.b_plus(), plain.b_plus()),
            (there.heater_volts(0), plain.heater_volts(0)),
            (there.losses().total_w(), plain.losses().total_w()),
        ] {
            assert!((got / want - 1.0).abs() < 5e-5, "{got} {want}");
        }
    }
    // a fault holds coils and copper as warm as they were, so it begins at the sound set gone the way of another
    let fault = Fault::FirstCapacitorShorted;
    let faulty = |line, near| receiver.run_fault(line, &Straight, fault, near).unwrap();
    let begin = plain.gone(&high, &faulty(135.0, &high));
    let [a, b] = [&plain, &begin].map(|near| {
        let there = faulty(120.0, near);
        there.state.rms(mainsfit::circuit::Probe::Amps(there.at.line))
    });
    assert!((a / b - 1.0).abs() < 2e-3, "{a} {b}");
}
