//! A part replaced: field coil, rectifier tube, dropper, ballast, against figures from outside, and the changed profile
//! against the original.
//!
//! Silicon for a tube: an independent integration in another language (midpoint rule, 1000 steps a cycle, 70 cycles, ideal
//! source √2·V·sin(ωt) behind its resistance, tube I = K·V^1.5, silicon 0.8 V, constant load; the resistor by bisection).
//! Field coil: sums by hand, written beside each row; filter sections as voltage dividers of impedances (textbooks of
//! alternating current).

use super::harness::{flat, mainsfit, shipped, stem};
use crate::table::{Allowed, Group, Row};
use mainsfit::profile::{Document, read};
use mainsfit::study::{
    FieldSubstitutes, RectifierSubstitute, ReplaceBy, Replaced, Replacement, Request, StudyError,
    Substitutes, filter_factor, replace,
};
use std::f64::consts::PI;
use std::path::Path;
use std::sync::OnceLock;

fn document(text: &str) -> Document {
    Document::parse("test", text.as_bytes()).unwrap()
}

fn of(text: &str, part: Replaced, by: Option<ReplaceBy>) -> Result<Replacement, StudyError> {
    replace(&document(text), part, by, &Request::default())
}

fn rectifier(text: &str) -> RectifierSubstitute {
    match of(text, Replaced::Rectifier, None).unwrap().by {
        Substitutes::Rectifier(found) => found,
        other => panic!("{other:?}"),
    }
}

fn field(found: Replacement) -> FieldSubstitutes {
    match found.by {
        Substitutes::FieldCoil(found) => found,
        other => panic!("{other:?}"),
    }
}

/// A full-wave supply behind 150 Ω in each half, its winding stiff, its load 70 mA whatever its volts.
fn full_wave(filter: &str, extra: &str) -> String {
    format!(
        "set: {{ name: bench supply, design_line: 115 V, frequency: 60 Hz }}
outlet: {{ low: 115 V, usual: 115 V, high: 115 V }}
transformer:
  primary: {{ resistance: 0.001 Ω, no_load_current: 10 mA, no_load_power: 0.2 W }}
  high_voltage: {{ per_half: 300 V, measured: open-circuit, resistance_per_half: 150 Ω }}
  copper: warm
  heater_windings:
    main: {{ volts: 6.3 V, measured: open-circuit, resistance: 0.001 Ω }}
    rectifier: {{ volts: 5 V, measured: open-circuit, resistance: 0.001 Ω }}
types:
  bench tube: {{ based_on: 5Y3GT, drop: 50 V, drop_at: 125 mA }}
rectifier: {{ type: bench tube, fed_by: rectifier }}
filter: [{filter}]
loads: [{{ name: load, from: B+, current: 70 mA }}]
tubes: [{{ type: 6H6, duty: detector, heater: main }}]
{extra}"
    )
}

/// A half-wave supply on the line itself behind 33 Ω.
const HALF_WAVE: &str = "set: { name: bench supply, design_line: 120 V, frequency: 60 Hz }
outlet: { low: 120 V, usual: 120 V, high: 120 V }
heater_string: { dropper: { kind: resistor, resistance: 398.67 Ω } }
types:
  bench tube: { based_on: 35Z5GT, drop: 20 V, drop_at: 200 mA }
rectifier: { type: bench tube, surge_resistor: 33 Ω }
filter: [capacitor: 40 µF]
loads: [{ name: load, from: B+, current: 60 mA }]
tubes: [{ type: 12AL5, duty: detector }, { type: 12AL5, duty: detector }]
";

fn rows() -> Vec<Row> {
    let mut rows = Vec::new();
    let mut add = |what: &str, source: &str, unit, expected, got, allowed| {
        rows.push(Row::new(what.to_owned(), source, unit, expected, got, Allowed::Share(allowed)));
    };
    let ran = "independent integration, midpoint rule";
    let s = rectifier(&full_wave("capacitor: 10 µF", ""));
    let fitted = s.resistor.unwrap();
    add("silicon, full wave: B+ with the tube", ran, "V", 309.46, s.with_tube_v, 0.002);
    add("silicon, full wave: B+ with silicon alone", ran, "V", 369.99, s.bare_v, 0.002);
    add(
        "silicon, full wave: resistor in each plate lead",
        ran,
        "Ω",
        357.7,
        fitted.exact_ohms,
        0.01,
    );
    add("silicon, full wave: its heat, 360 Ω", ran, "W", 2.22, fitted.heat_w, 0.01);
    add(
        "silicon, full wave: volts at switch-on",
        "√2·300 V by hand",
        "V",
        424.26,
        s.crest_v,
        0.002,
    );
    add("silicon, full wave: reverse volts", "2·√2·300 V by hand", "V", 848.5, s.inverse_v, 0.002);
    let s = rectifier(HALF_WAVE);
    let (fitted, heater) = (s.resistor.unwrap(), s.heater.unwrap());
    add("silicon, half wave: B+ with the tube", ran, "V", 122.83, s.with_tube_v, 0.002);
    add("silicon, half wave: B+ with silicon alone", ran, "V", 147.46, s.bare_v, 0.002);
    add("silicon, half wave: resistor beside the 33 Ω", ran, "Ω", 85.8, fitted.exact_ohms, 0.015);
    let by_hand = "35 V/0.15 A by hand";
    add("silicon, half wave: in the heater's place", by_hand, "Ω", 233.3, heater.rated_ohms, 0.001);
    add("silicon, half wave: the same, as solved", by_hand, "Ω", 233.3, heater.exact_ohms, 0.01);
    add(
        "silicon, half wave: its heat, 240 Ω",
        "0.15² A² · 240 Ω by hand",
        "W",
        5.4,
        heater.heat_w,
        0.001,
    );
    // coil 1000 Ω cold, 1200 Ω warm, 10 H, 70 mA, 16 µF behind it
    let coil = "capacitor: 10 µF, field_coil: { lead: positive, cold: 1000 Ω, hot: 1200 Ω, inductance: 10 H }, capacitor: 16 µF";
    let f = field(of(&full_wave(coil, ""), Replaced::FieldCoil, None).unwrap());
    let [choke, alone] = f.options.as_slice() else { panic!("{f:?}") };
    add("field coil: drop", "70 mA · 1200 Ω by hand", "V", 84.0, f.drop_v, 0.005);
    add("field coil: heat", "70² mA² · 1200 Ω by hand", "W", 5.88, f.heat_w, 0.01);
    let all = choke.choke.unwrap().ohms + choke.resistor_ohms.unwrap();
    add("field coil: choke and resistor together", "the warm coil", "Ω", 1200.0, all, 1e-6);
    add(
        "field coil: resistor alone",
        "the warm coil",
        "Ω",
        1200.0,
        alone.resistor_ohms.unwrap(),
        1e-6,
    );
    add("field coil: its heat", "70² mA² · 1200 Ω by hand", "W", 5.88, alone.heat_w, 0.01);
    let hum = alone.hum.unwrap();
    // ω = 2π·120 = 754: ω²LC − 1 = 90.0, ωRC = 14.5
    add(
        "field coil: leaves of the ripple",
        "1/√(90.0² + 14.5²) by hand",
        "",
        0.01097,
        hum.coil,
        0.002,
    );
    add("field coil: resistor leaves", "1/√(1 + 14.5²) by hand", "", 0.0689, hum.this, 0.002);
    let farads = hum.second.unwrap().exact_f;
    add(
        "field coil: second capacitor that equals it",
        "√(91.1² − 1)/(754 · 1200 Ω) by hand",
        "F",
        100.7e-6,
        farads,
        0.002,
    );
    // sections of the filter, as figures of the trade go: the coil's own ohms left out
    let at =
        |hertz: f64, henries, ohms, farads| filter_factor(henries, ohms, farads, 2.0 * PI * hertz);
    let (lc, rc) = ("1/(ω²LC − 1) by hand", "1/√(1 + (ωRC)²) by hand");
    add("10 H and 16 µF at 120 Hz", lc, "", 0.0111, at(120.0, 10.0, 0.0, 16e-6), 0.005);
    add("10 H and 8 µF at 100 Hz", lc, "", 0.0327, at(100.0, 10.0, 0.0, 8e-6), 0.005);
    add("1000 Ω and 16 µF at 120 Hz", rc, "", 0.0826, at(120.0, 0.0, 1e3, 16e-6), 0.005);
    add("1000 Ω and 32 µF at 100 Hz", rc, "", 0.0497, at(100.0, 0.0, 1e3, 32e-6), 0.005);
    add(
        "8 H, 1000 Ω in all, and 16 µF at 100 Hz",
        "as above, of both",
        "",
        0.0198,
        at(100.0, 8.0, 1e3, 16e-6),
        0.005,
    );
    rows
}

/// The rows, solved once.
pub fn group() -> &'static Group {
    static GROUP: OnceLock<Group> = OnceLock::new();
    GROUP.get_or_init(|| Group {
        title: "A part replaced",
        about: "Silicon for a tube at a constant load, against an independent integration; a field coil against sums by hand.",
        rows: rows(),
    })
}

#[test]
fn figures_agree_with_those_from_outside() {
    group().assert();
}

/// A coil across the supply: 5 kΩ warm at B+ is a bleeder of 5 kΩ (5.1 kΩ is the nearest of E24 within 2 %), and without it
/// B+ is higher.
#[test]
fn a_field_across_the_supply_becomes_a_bleeder() {
    let filter = "capacitor: 10 µF, field_coil: { lead: across, cold: 4250 Ω, hot: 5100 Ω }";
    let text = full_wave(filter, "");
    let found = of(&text, Replaced::FieldCoil, None).unwrap();
    let changed = found.changed.clone().unwrap();
    assert!(changed.contains("filter: [capacitor: 10 µF]\n"), "{changed}");
    assert!(changed.contains("from: B+, resistance: 5.1 kΩ }]"), "{changed}");
    let b_plus = found.compared.iter().find(|c| c.key == "B+").unwrap();
    assert!((b_plus.after / b_plus.before - 1.0).abs() < 0.01, "{b_plus:?}");
    let before = b_plus.before;
    let f = field(found);
    assert!(f.left_out_b_plus_v.unwrap() > 1.05 * before, "{f:?}");
    let with = of(&text, Replaced::FieldCoil, Some(ReplaceBy::Choke)).unwrap_err();
    assert!(with.to_string().contains("a choke does nothing"), "{with}");
}

/// Of the shipped sets: what each part comes to, the set as it was, every other line as it was.
/// The lines of a profile but those of what was read with the old part in.
fn without_the_old_part(text: &str) -> Vec<&str> {
    let mut within = false;
    let stays = |line: &&str| {
        if line.starts_with(|c: char| c.is_alphabetic()) {
            let goes = ["readings:", "calibration:", "as_left:", "visits:"];
            within = goes.iter().any(|key| line.starts_with(key));
        }
        !within || line.starts_with('#')
    };
    text.lines().filter(stays).collect()
}

#[test]
fn shipped_sets_stay_as_designed() {
    let mut done = Vec::new();
    for path in shipped() {
        let name = stem(&path);
        let text = std::fs::read_to_string(&path).unwrap();
        let found = |part, by| of(&text, part, by);
        for (part, by) in [
            (Replaced::FieldCoil, None),
            (Replaced::FieldCoil, Some(ReplaceBy::Resistor)),
            (Replaced::Rectifier, None),
            (Replaced::Dropper, None),
            (Replaced::Ballast, None),
        ] {
            let Ok(found) = found(part, by) else { continue };
            let Some(changed) = &found.changed else { continue };
            let word = serde_json::to_value(part).unwrap();
            done.push(format!("{name} {} {by:?}", word.as_str().unwrap()));
            // the original's comments and other lines are all there
            let stays = without_the_old_part(&text);
            let lost = stays.iter().filter(|l| !changed.lines().any(|c| c == **l)).count();
            assert!(lost <= 4, "{name} {part:?}: {lost} lines differ\n{changed}");
            assert!(text.lines().filter(|l| l.starts_with('#')).all(|l| changed.contains(l)));
            read(&document(changed)).unwrap_or_else(|e| panic!("{name}: {e}"));
            let keeps =
                |key: &str| key == "B+" || key.ends_with(".bias") || key.starts_with("bias.");
            for c in &found.compared {
                let off = c.after / c.before - 1.0;
                // a resistor to the nearest value leaves the heaters of a string within 2 %; 5 % of the line's own swing
                let most = if keeps(&c.key) { 0.015 } else { 0.05 };
                // a dropper is sized for rated heaters on today's line, whatever they were
                let heater = c.key.starts_with("heater")
                    && !matches!(part, Replaced::Dropper | Replaced::Ballast);
                if keeps(&c.key) || heater {
                    assert!(off.abs() < most, "{name} {part:?}: {c:?}");
                }
            }
        }
    }
    done.sort();
    snap!("replaced", done.join("\n"));
}

#[test]
fn what_cannot_be_replaced_says_why() {
    for (file, part, with, says) in [
        ("table-1948", "field-coil", "choke", "no field coil"),
        ("half-wave-1951", "rectifier", "", "a dry one already"),
        ("table-1948", "dropper", "", "no heaters in series"),
        ("universal-1947", "dropper", "", "nothing stands in series"),
        ("line-cord-1936", "ballast", "", "no ballast or barretter"),
        ("line-cord-1936", "dropper", "choke", "a choke does not take"),
        ("console-1936", "field-coil", "capacitor", "a capacitor does not take"),
        ("console-1936", "rectifier", "resistor", "silicon alone"),
    ] {
        let file = format!("profiles/{file}.yaml");
        let mut args = vec!["replace", &file, part];
        if !with.is_empty() {
            args.extend(["--with", with]);
        }
        let outcome = mainsfit(&args);
        assert_ne!(outcome.code, 0, "{file} {part}");
        assert!(outcome.err.contains(says), "{file} {part}: {}", outcome.err);
        assert!(outcome.err.contains("fix:"), "{}", outcome.err);
    }
}

#[test]
fn the_changed_profile_is_another_file() {
    let folder = tempfile::tempdir().unwrap();
    let original = folder.path().join("set.yaml");
    let text = std::fs::read_to_string("profiles/line-cord-1936.yaml").unwrap();
    std::fs::write(&original, &text).unwrap();
    let run = |to: &Path, force: bool| {
        let (from, to) = (original.to_str().unwrap(), to.to_str().unwrap());
        let mut args = vec!["replace", from, "dropper", "-o", to];
        args.extend(force.then_some("--force"));
        mainsfit(&args)
    };
    let over = run(&original, true);
    assert_eq!(over.code, 2, "{}", over.err);
    assert!(over.err.contains("kept"), "{}", over.err);
    assert_eq!(std::fs::read_to_string(&original).unwrap(), text);
    let new = folder.path().join("new.yaml");
    let first = run(&new, false);
    assert_eq!(first.code, 0, "{}", first.err);
    assert!(first.out.starts_with("LIVE CHASSIS"), "{}", first.out);
    assert_eq!(run(&new, false).code, 2);
    assert_eq!(mainsfit(&["check", new.to_str().unwrap()]).code, 0);
}

/// A resistor of the filter: its volts, heat and rating. By hand 60 mA through 1 kΩ: 60 V, 3.6 W.
#[test]
fn a_filter_resistor_is_judged_by_its_rating() {
    let text = |rated: &str| {
        let filter = format!(
            "capacitor: 40 µF, resistor: {{ lead: positive, value: 1 kΩ{rated} }}, capacitor: 40 µF"
        );
        HALF_WAVE.replace("capacitor: 40 µF", &filter)
    };
    let page = |rated: &str| {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("set.yaml");
        std::fs::write(&path, text(rated)).unwrap();
        mainsfit(&["plan", path.to_str().unwrap(), "--full"]).out
    };
    let free = page("");
    assert!(free.contains("filter resistor (R2), drop") && free.contains(" 60.0 V"), "{free}");
    assert!(free.contains("heat (fit twice that)"), "{free}");
    assert!(free.contains("3.6 W"), "{free}");
    let small = page(", rated: 2 W");
    assert!(small.contains("heat (rated 2.00 W)"), "{small}");
    assert!(small.contains("filter resistor, heat"), "{small}");
}

/// The resistor of the plate lead stays, and the new one goes in series with it: the page says so, and the profile has both. By
/// hand their ohms add, and what each burns goes with its ohms, for one current flows through both.
#[test]
fn what_stays_in_the_plate_lead_is_said() {
    let text = std::fs::read_to_string("profiles/universal-1947.yaml").unwrap();
    let found = of(&text, Replaced::Rectifier, None).unwrap();
    let changed = found.changed.clone().unwrap();
    let Substitutes::Rectifier(s) = found.by else { panic!() };
    let (old, new) = (s.stays.unwrap(), s.resistor.unwrap());
    assert_eq!((old.ohms, old.together_ohms), (33.0, 33.0 + new.stock_ohms));
    assert!((old.heat_w / new.heat_w / (33.0 / new.stock_ohms) - 1.0).abs() < 1e-9);
    let written = format!("surge_resistor: {} Ω", 33.0 + new.stock_ohms);
    assert!(changed.contains(&written), "{written}\n{changed}");
    let page = flat(&mainsfit(&["replace", "profiles/universal-1947.yaml", "rectifier"]).out);
    let says = format!(
        "the 33 Ω that the plate lead has stays, and the new {} Ω goes in series with it: {} Ω in all",
        new.stock_ohms,
        33.0 + new.stock_ohms
    );
    assert!(page.contains(&says), "{says}\n{page}");
    // a set with a transformer keeps its own line for each of the two
    let text = full_wave("capacitor: 10 µF", "").replace(
        "fed_by: rectifier }\nfilter",
        "fed_by: rectifier, surge_resistor: 47 Ω }\nfilter",
    );
    let found = of(&text, Replaced::Rectifier, None).unwrap();
    let changed = found.changed.clone().unwrap();
    let b_plus = found.compared.iter().find(|c| c.key == "B+").unwrap();
    assert!((b_plus.after / b_plus.before - 1.0).abs() < 0.01, "{b_plus:?}");
    let Substitutes::Rectifier(s) = found.by else { panic!() };
    let (old, new) = (s.stays.unwrap(), s.resistor.unwrap());
    assert_eq!((old.ohms, old.together_ohms), (47.0, 47.0 + new.stock_ohms));
    assert!(changed.contains("surge_resistor: 47 Ω"), "{changed}");
    assert!(changed.contains(&format!("resistor: {} Ω }}", new.stock_ohms)), "{changed}");
    // nothing stays where nothing stood
    assert!(rectifier(&full_wave("capacitor: 10 µF", "")).stays.is_none());
}

/// What was read with the old part is left out of the changed profile, a closed job's readings as well: the new set may not even
/// have those points.
#[test]
fn readings_with_the_old_part_are_left_out() {
    let text = std::fs::read_to_string("profiles/mantel-1938-done.yaml").unwrap();
    assert!(["as_left:", "visits:"].iter().all(|key| text.contains(key)), "{text}");
    let by = Some(ReplaceBy::Resistor);
    let found = replace(&document(&text), Replaced::FieldCoil, by, &Request::default()).unwrap();
    let changed = found.changed.unwrap();
    let (set, _) = read(&document(&changed)).unwrap();
    assert!(set.readings.is_empty() && set.as_left.is_empty() && set.visits.is_empty());
    for key in ["as_left", "visits"] {
        let said = format!("{key}: left out, since the old part was in the set then");
        assert!(found.changes.contains(&said), "{:?}", found.changes);
    }
}
