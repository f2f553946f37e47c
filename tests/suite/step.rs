//! Transformers with separate windings between a set and a line it was not made for, and what remains to be fitted behind one.
//!
//! Outside the project: volts go as the turns, and peak flux as volts over hertz (V = 4.44 f N A B, textbook).

use super::harness::{flat, mainsfit, printed};
use serde_json::Value;
use std::path::PathBuf;

/// A set with a transformer, invented for this project.
fn set(design: &str, outlet: &str, more: &str) -> String {
    format!(
        "set: {{ name: Stranger, design_line: {design}, frequency: 50 Hz }}\n\
         outlet: {outlet}\n\
         transformer:\n\
         \x20 copper: warm\n\
         \x20 primary: {{ resistance: 6 Ω{more} }}\n\
         \x20 high_voltage: {{ per_half: 250 V, measured: open-circuit, resistance_per_half: 210 Ω }}\n\
         \x20 heater_windings:\n\
         \x20   main: {{ volts: 6.3 V, measured: loaded, resistance: 0.09 Ω }}\n\
         rectifier: {{ type: 6X4, fed_by: main }}\n\
         filter:\n\
         \x20 - capacitor: 10 µF\n\
         \x20 - choke: {{ lead: positive, cold: 400 Ω }}\n\
         \x20 - capacitor: 20 µF\n\
         tubes: [6BE6, 6BA6, 6AV6, 6AQ5]\n"
    )
}

pub fn plan(name: &str, text: &str) -> Value {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("step");
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join(format!("{name}.yaml"));
    std::fs::write(&path, text).unwrap();
    serde_json::from_str(&printed(&["plan", path.to_str().unwrap(), "--format", "json"])).unwrap()
}

pub fn choice<'v>(plan: &'v Value, id: &str) -> &'v Value {
    let choices = plan["choices"].as_array().unwrap();
    choices.iter().find(|c| c["id"] == id).unwrap_or(&Value::Null)
}

/// Primary volts, secondary volts and VA in the words of a part.
fn figures(words: &str) -> [f64; 3] {
    let numbers: Vec<f64> = words
        .split(|c: char| !c.is_ascii_digit() && c != '.')
        .filter_map(|word| word.parse().ok())
        .collect();
    [numbers[0], numbers[1], numbers[2]]
}

const LINES: [(&str, &str, &str); 5] = [
    ("115 V", "{ low: 224 V, usual: 230 V, high: 236 V }", "step-down"),
    ("110 V", "{ low: 226 V, usual: 233 V, high: 240 V }", "step-down"),
    ("117 V", "{ low: 234 V, usual: 241 V, high: 247 V }", "step-down"),
    ("100 V", "{ low: 119 V, usual: 122 V, high: 125 V }", "step-down"),
    ("230 V", "{ low: 113 V, usual: 117 V, high: 121 V }", "step-up"),
];

/// Separate windings, and in volt-amperes at least twice what the set takes at high line.
#[test]
fn a_step_transformer_has_separate_windings_and_twice_the_sets_watts() {
    for (design, outlet, id) in LINES {
        let plan = plan("size", &set(design, outlet, ""));
        let step = choice(&plan, id);
        let words = step["part"].as_str().unwrap_or_else(|| panic!("{design} {outlet}: {step}"));
        let kind = id.to_owned() + " transformer, separate windings, ";
        assert!(words.starts_with(&kind), "{words}");
        let [primary, secondary, va] = figures(words);
        let high = &step["day"]["high"];
        let of_set = high["line_w"].as_f64().unwrap() - high["lead_w"].as_f64().unwrap();
        assert!(va >= 2.0 * of_set && va < 10.0 * of_set, "{words}: {of_set} W");
        // the volts at the set are those of the turns, within the regulation of a part of this size
        let set_v = step["behind"]["gives_high_v"].as_f64().unwrap();
        let bare = high["outlet_v"].as_f64().unwrap() * secondary / primary;
        assert!((0.98 * bare..1.1 * bare).contains(&set_v), "{words}: {set_v} for {bare}");
        // nothing is offered whose worst case stands above what heaters bear
        let worst = high["heaters"][0]["volts_v"].as_f64().unwrap();
        assert!(step["standing"] == "refused" || worst <= 1.1 * 6.3, "{words}: {worst}");
        let caveat = step["caveat"].as_str().unwrap_or_default();
        assert!(!caveat.contains("most that are sold are autotransformers"), "{caveat}");
    }
}

/// What the transformer gives by itself, and that nothing remains to be fitted or what.
#[test]
fn what_remains_behind_a_step_transformer_is_told() {
    // 240 V to 120 V feeds a 127 V set too little, a 110 V set too much
    let near = plan("near", &set("115 V", "{ low: 224 V, usual: 230 V, high: 236 V }", ""));
    let behind = &choice(&near, "step-down")["behind"];
    assert!(behind["gives_usual_v"].as_f64().unwrap() > 110.0, "{behind}");
    assert!(behind["part"].is_null(), "{behind}");
    // only one transformer is there: the owner's own, whose 120 V are too much for a set of 105 V
    let text = set("105 V", "{ low: 232 V, usual: 238 V, high: 244 V }", "")
        + "parts: { transformers: [{ primary: 240 V, secondary: 120 V, current: 1.5 A }] }\n";
    let own = plan("own", &text);
    let step = choice(&own, "step-down");
    assert_ne!(step["standing"], "refused", "{}", step["objections"]);
    let behind = &step["behind"];
    let (gives, set_v) = (
        behind["gives_usual_v"].as_f64().unwrap(),
        step["day"]["usual"]["set_v"].as_f64().unwrap(),
    );
    // by turns: 238 V · 120/240 = 119 V and its regulation; the set gets what it is made for
    assert!((119.0..127.0).contains(&gives), "{gives}");
    assert!((set_v / 105.0 - 1.0).abs() < 0.05, "{set_v}");
    let words = behind["part"].as_str().unwrap();
    assert!(step["part"].as_str().unwrap().ends_with(words), "{step}");
    // with a tap on the primary, the tap is what remains
    let tapped = text.replace("resistance: 6 Ω", "resistance: 6 Ω, taps: [105 V, 120 V]");
    let tapped = plan("tapped", &tapped);
    let behind = &choice(&tapped, "step-down")["behind"];
    assert_eq!(behind["method"], "tap", "{behind}");
}

/// 60 Hz iron on 50 Hz: 115 V give 120 % of its flux, 100 V give 104 %.
#[test]
fn the_volts_behind_follow_the_flux() {
    let text = set("115 V", "{ low: 226 V, usual: 230 V, high: 234 V, frequency: 50 Hz }", "")
        .replace("frequency: 50 Hz }\noutlet", "frequency: 60 Hz }\noutlet");
    let step = &plan("flux", &text);
    let step = choice(step, "step-down");
    let [primary, secondary, _] = figures(step["part"].as_str().unwrap());
    let flux = |volts: f64| volts / 50.0 / (115.0 / 60.0);
    assert!(flux(234.0 * secondary / primary) < 1.10, "{}", step["part"]);
}

/// A set on its 220 V tap, on an outlet that fits neither of its taps: the other tap, and a small transformer in the lead for
/// the rest. By turns the heaters follow outlet (1 ± n) over the tap's volts.
#[test]
fn another_tap_and_a_part_where_no_single_step_reaches() {
    for (outlet, usual, second) in [
        ("{ low: 118 V, usual: 120 V, high: 122 V }", 120.0, "bucking-outlet"),
        ("{ low: 95 V, usual: 96 V, high: 98 V }", 96.0, "boost-outlet"),
    ] {
        let text = set("220 V", outlet, ", taps: [110 V, 220 V]");
        let plan = plan(second, &text);
        let both = choice(&plan, "tap-and-part");
        assert_eq!(both["part_value"], 110.0, "{both}");
        assert!(both["objections"].as_array().unwrap().is_empty(), "{both}");
        let behind = &both["behind"];
        assert_eq!(behind["method"], second, "{behind}");
        // in one line of parts it is said what the small transformer does
        let noun = if second == "boost-outlet" { "boosting" } else { "bucking" };
        let all = both["part"].as_str().unwrap();
        assert!(all.contains(&format!("110 V tap; {noun} transformer, ")), "{all}");
        let words = behind["part"].as_str().unwrap();
        let part: Vec<f64> =
            words.split(' ').filter_map(|w| w.trim_end_matches(',').parse().ok()).collect();
        let [primary, secondary, amps] = part[..] else { panic!("{words}") };
        let n = secondary * (1.0 + 0.2 * (6.0 / (secondary * amps)).cbrt()) / primary;
        let n = if second == "boost-outlet" { n } else { -n };
        let open = both["connect"]["usual_v"].as_f64().unwrap();
        assert!((open / (usual * (1.0 + n)) - 1.0).abs() < 3e-3, "{open}");
        let heaters = both["day"]["usual"]["heaters"][0]["volts_v"].as_f64().unwrap();
        assert!((heaters / 6.3 / (open / 110.0) - 1.0).abs() < 0.02, "{heaters} V at {open} V");
        // the tap alone leaves more than the part does, and it is told how both are wired
        let miss = |c: &Value| c["target_miss"].as_f64().unwrap().abs();
        assert!(miss(choice(&plan, "tap")) > 0.05 && miss(both) < 0.05);
        let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("step");
        let (path, note) = (folder.join(format!("{second}.yaml")), folder.join("both.md"));
        let [path, note] = [&path, &note].map(|p| p.to_str().unwrap());
        printed_note(&["note", path, "--with", "tap-and-part", "--force", "-o", note]);
        let note = flat(&std::fs::read_to_string(note).unwrap());
        let noun = if n < 0.0 { "bucking" } else { "boosting" };
        for words in [
            format!("plug, line fuse, switch, {noun} transformer, set"),
            "solder it to the tap named here".to_owned(),
            "swap the two secondary wires".to_owned(),
            "the hot wire to the 110 V tap, the 220 V tap, left free".to_owned(),
        ] {
            assert!(note.contains(&words), "{words}");
        }
    }
    // where bucking alone reaches, it is not looked at
    let near = set("220 V", "{ low: 236 V, usual: 240 V, high: 244 V }", ", taps: [110 V, 220 V]");
    assert!(choice(&plan("near-tap", &near), "tap-and-part").is_null());
}

/// Where the step-down leaves too much and no bucking transformer is to be had, a small resistor behind it takes the rest: its
/// heat is that of the current behind the transformer, I²R, and it brings the cautions of a resistor.
#[test]
fn a_small_resistor_behind_a_step_down() {
    let text = set("105 V", "{ low: 232 V, usual: 238 V, high: 244 V }", "")
        + "parts: { transformers: [{ primary: 240 V, secondary: 120 V, current: 1.5 A }, \
           { primary: 120 V, secondary: 36 V, current: 0.3 A }] }\n";
    let plan = plan("resistor", &text);
    let step = choice(&plan, "step-down");
    let behind = &step["behind"];
    assert_eq!(behind["method"], "series-resistor", "{behind}");
    let ohms = behind["part_value"].as_f64().unwrap();
    let usual = &step["day"]["usual"];
    let number = |value: &Value| value.as_f64().unwrap();
    let parts = usual["lead_parts"].as_array().unwrap();
    let resistor = parts.iter().find(|p| p["name"] == "series resistor").unwrap();
    let amps = number(&resistor["current_a"]);
    assert!((amps / number(&usual["primary_a"]) - 1.0).abs() < 1e-6, "{resistor}");
    assert!((number(&resistor["power_w"]) / (amps * amps * ohms) - 1.0).abs() < 1e-6, "{resistor}");
    let miss = number(&step["target_miss"]);
    assert!(miss.abs() < 0.02 && step["objections"].as_array().unwrap().is_empty(), "{step}");
    let worst = number(&step["rating"]["worst_w"]);
    assert!(number(&step["part_rated_w"]) >= 2.0 * worst, "{step}");
    let cautions = plan["cautions"].as_array().unwrap();
    for kind in ["hot-resistor", "box-grounded", "box-through"] {
        assert!(cautions.iter().any(|c| c["kind"] == kind), "{kind}");
    }
}

fn printed_note(args: &[&str]) {
    let outcome = mainsfit(args);
    assert_eq!(outcome.code, 0, "{}", outcome.err);
}
