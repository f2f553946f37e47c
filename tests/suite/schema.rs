//! The JSON Schemas: up to date in docs/, sound, and taking and refusing what they should.

use super::harness::{printed, shipped, stem, yaml_files};
use jsonschema::Validator;
use mainsfit::quantity::{
    Capacitance, Current, Frequency, Inductance, Power, Quantity, Resistance, Sign, Temperature,
    TemperatureRise, Transconductance, Voltage, parse, pattern,
};
use serde_json::{Value, json};

const KINDS: [&str; 2] = ["profile", "plan"];

/// Profiles of tests/bad_profiles with a sound structure: what is wrong with them is a value, or one value beside
/// another, which only the reader (or the solution of the set) can tell.
const WRONG_BY_VALUE: [&str; 56] = [
    "beyond_reckoning",
    "bias_tap_unknown",
    "bias_without_field_coil",
    "branch_alone",
    "branch_current",
    "branch_dropper",
    "branch_empty",
    "branch_none",
    "branch_sum",
    "branch_twice",
    "branch_unknown",
    "capacitor_out_of_reach",
    "converter_figures_missing",
    "current_beyond_the_supply",
    "dropper_ballast_unknown",
    "dropper_barretter_as_ballast",
    "dropper_barretter_range",
    "dropper_capacitor_and_diode",
    "dropper_length",
    "heater_of_less",
    "heater_shunt_on_winding",
    "heater_shunt_wrong",
    "heater_winding_high",
    "heater_winding_unknown",
    "heater_without_winding",
    "high_voltage_beyond",
    "hot_below_cold",
    "lamp_across_no_ballast",
    "lamp_in_branch_across",
    "lamp_unknown",
    "line_not_mains",
    "load_of_single_ended",
    "no_load_falling",
    "no_load_twice",
    "no_load_watts_too_few",
    "no_load_watts_too_many",
    "outlet_log_mixed",
    "outlet_out_of_order",
    "own_rectifier_as_tube",
    "own_rectifier_dry",
    "own_rectifier_incomplete",
    "own_tube_as_rectifier",
    "primary_hot_below_cold",
    "push_pull_alone",
    "rectifier_among_tubes",
    "rectifier_half_wave",
    "rectifier_tap_in_branch",
    "rectifier_unknown",
    "rectifier_winding_unknown",
    "rise_out_of_reach",
    "rise_twice",
    "supply_point_unknown",
    "surge_below_rated",
    "taps_wrong_number",
    "tube_figures_missing",
    "tube_unknown",
];
/// Files that are no YAML document that could be converted.
const NO_DOCUMENT: [&str; 5] =
    ["key_twice", "tabs", "two_documents", "yaml_bracket_open", "yaml_indent"];

fn schema(kind: &str) -> Value {
    serde_json::from_str(&printed(&["schema", kind])).unwrap()
}

fn validator(kind: &str) -> Validator {
    jsonschema::draft202012::new(&schema(kind)).unwrap()
}

fn faults(validator: &Validator, value: &Value) -> Vec<String> {
    validator.iter_errors(value).map(|e| format!("{}: {e}", e.instance_path())).collect()
}

/// A profile as an editor sees it: YAML's own idea of numbers and words.
fn converted(text: &str) -> Option<Value> {
    let tree: serde_yaml::Value = serde_yaml::from_str(text).ok()?;
    serde_json::to_value(tree).ok()
}

/// `MAINSFIT_WRITE_DOCS=1` writes the files; without it they are compared. They are never edited by hand.
#[test]
fn the_files_are_what_the_types_give() {
    for kind in KINDS {
        let path = format!("docs/{kind}.schema.json");
        let text = printed(&["schema", kind]);
        if std::env::var_os("MAINSFIT_WRITE_DOCS").is_some_and(|v| v == "1") {
            std::fs::write(&path, &text).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            kept.replace("\r\n", "\n") == text,
            "{path} is out of date: run with MAINSFIT_WRITE_DOCS=1"
        );
    }
}

#[test]
fn the_schemas_are_sound_and_say_what_everything_is() {
    for kind in KINDS {
        let schema = schema(kind);
        let dialect = "https://json-schema.org/draft/2020-12/schema";
        assert_eq!(schema["$schema"], dialect, "{kind}");
        assert!(jsonschema::draft202012::meta::is_valid(&schema), "{kind}");
        let mut described = 0;
        let mut look = vec![(kind.to_owned(), &schema)];
        while let Some((name, part)) = look.pop() {
            if let Some(properties) = part["properties"].as_object() {
                for (key, property) in properties {
                    // a mere condition on a key that is described elsewhere
                    if property.as_object().is_some_and(|p| p.keys().eq(["required"])) {
                        continue;
                    }
                    let words = property["description"].as_str().unwrap_or_default();
                    // the tag of an enumeration, a part of a filter: what it is stands one step up
                    let above = property["const"].is_string() || properties.len() == 1;
                    let inside = above && part["description"].is_string();
                    assert!(!words.is_empty() || inside, "{name}.{key} says nothing");
                    described += 1;
                }
            }
            match part {
                Value::Object(entries) => {
                    look.extend(entries.iter().map(|(k, v)| (format!("{name}.{k}"), v)));
                }
                Value::Array(items) => {
                    look.extend(items.iter().map(|v| (name.clone(), v)));
                }
                _ => {}
            }
        }
        assert!(described > 90, "{kind}: {described}");
    }
}

#[test]
fn every_profile_that_reads_is_taken() {
    let validator = validator("profile");
    let mut others = yaml_files("tests/data/every_key");
    others.push("tests/data/sound_profile.yaml".to_owned());
    others.push("tests/data/back_bias.yaml".to_owned());
    for path in shipped().into_iter().chain(others) {
        let value = converted(&std::fs::read_to_string(&path).unwrap()).unwrap();
        assert_eq!(faults(&validator, &value), Vec::<String>::new(), "{path}");
    }
    // and what `new` writes
    let new = printed(&[
        "new",
        "--design-line",
        "115V",
        "--tubes",
        "6A8,6K7,6Q7,6F6",
        "--rectifier",
        "80",
        "--lamps",
        "47,47",
        "--field-coil",
        "negative",
        "--bias",
        "field-coil",
    ]);
    let value = converted(&new).unwrap();
    assert_eq!(faults(&validator, &value), Vec::<String>::new());
}

#[test]
fn bad_profiles_are_refused_where_the_structure_tells() {
    let validator = validator("profile");
    let (mut by_value, mut none, mut refused) = (Vec::new(), Vec::new(), 0);
    for path in yaml_files("tests/bad_profiles") {
        let text = String::from_utf8_lossy(&std::fs::read(&path).unwrap()).into_owned();
        match converted(&text) {
            None => none.push(stem(&path)),
            Some(value) if validator.is_valid(&value) => by_value.push(stem(&path)),
            Some(_) => refused += 1,
        }
    }
    assert_eq!(by_value, WRONG_BY_VALUE);
    assert_eq!(none, NO_DOCUMENT);
    assert!(refused > 15, "{refused}");
}

/// Texts of a quantity, sound ones and others: numbers of all kinds with each unit in each spelling, and letter codes.
fn written<Q: Quantity>() -> Vec<String> {
    let numbers =
        "1;-1.5;+2;.5;3.;1e-3;2E3;\u{2212}4;1\u{b7}5;0;-0;0.00;1,5;-1,5;1'000;1 000;1.2.3;- 5;+-2;";
    let numbers: Vec<&str> = numbers.split(';').collect();
    let few = &numbers[..2];
    let mut texts = Vec::new();
    let mut with = |numbers: &[&str], unit: &str| {
        let ways = numbers.iter().flat_map(|n| ["", " ", "\u{a0}", "  "].map(move |b| (n, b)));
        texts.extend(ways.map(|(number, blank)| format!("{number}{blank}{unit}")));
    };
    for spelling in Q::KIND.spellings {
        let prefixes = spelling.prefixes.iter();
        let symbols = prefixes.clone().flat_map(|p| p.symbols);
        let words = prefixes.flat_map(|p| p.words);
        let prefixes: Vec<&str> =
            std::iter::once("").chain(symbols.chain(words).copied()).collect();
        let texts = spelling.texts();
        for (prefix, (text, _)) in texts.flat_map(|text| prefixes.iter().map(move |p| (p, text))) {
            with(&numbers, &format!("{prefix}{text}"));
            for end in ["", "s", "S.", ".", " DC"] {
                let unit = format!("{prefix}{text}{end}");
                for unit in [unit.to_uppercase(), unit.to_lowercase(), unit] {
                    with(few, &unit);
                }
            }
        }
    }
    for (letter, _) in Q::KIND.letters {
        texts.extend([
            format!("4{letter}7"),
            format!("-4{letter}7"),
            format!("0{letter}0"),
            format!("{letter}47"),
            format!("330{letter}"),
            format!("1.5{letter}"),
            format!("1.5{letter}7"),
            format!("4,7{letter}"),
            format!("330 {letter}"),
            format!("4 {letter}7"),
            format!(" 12{letter} "),
            format!("4{letter}7 {}", Q::KIND.zero_unit),
            format!("4{letter}7 X"),
        ]);
    }
    texts
}

/// Whatever the reader takes for a quantity of a sign, the pattern takes, and nothing else of these: no decimal comma, no
/// minus or zero where the sign forbids it, no other unit.
#[test]
fn patterns_take_what_the_reader_takes() {
    fn check<Q: Quantity>(others: &[&str]) {
        let texts = written::<Q>();
        for sign in [Sign::Any, Sign::NonNegative, Sign::Positive] {
            let schema = json!({ "type": "string", "pattern": pattern::<Q>(sign) });
            let validator = jsonschema::draft202012::new(&schema).unwrap();
            let mut taken = 0;
            for text in &texts {
                let read = parse::<Q>(text, sign).is_ok();
                // what a number is in °C a pattern cannot tell
                if read || Q::KIND.zero_point == 0.0 {
                    assert_eq!(validator.is_valid(&json!(text)), read, "{sign:?}: {text:?}");
                }
                taken += usize::from(read);
            }
            assert!(taken > 50, "{}: {taken}", Q::NAME);
            for text in others.iter().chain(&["12", "0", "", "V", "twelve"]) {
                assert!(parse::<Q>(text, sign).is_err(), "{text}");
                assert!(!validator.is_valid(&json!(text)), "{}: {text:?}", Q::NAME);
            }
            assert!(!validator.is_valid(&json!(12)));
        }
    }
    check::<Voltage>(&["5 A", "5 Ω", "122", "6,3 V"]);
    check::<Current>(&["5 V", "60 Hz", "5 VA"]);
    check::<Resistance>(&["5 V", "8 µF", "6,2 Ω", "5 mV", "4m7"]);
    check::<Capacitance>(&["5 V", "4k7", "8 MF", "8 mF", "8 m"]);
    check::<Inductance>(&["5 V", "60 Hz"]);
    check::<Power>(&["5 V", "5 VA"]);
    check::<Frequency>(&["5 V", "10 H"]);
    check::<Temperature>(&["5 V", "20,5 °C"]);
    check::<TemperatureRise>(&["5 V", "9 K/W"]);
    check::<Transconductance>(&["5 V", "10 Ω", "5 mA"]);
}

/// Characters that stand for others, and come along when copying from a page.
#[test]
fn patterns_take_characters_that_look_alike() {
    fn check<Q: Quantity>(texts: &[&str]) {
        let schema = json!({ "type": "string", "pattern": pattern::<Q>(Sign::Positive) });
        let validator = jsonschema::draft202012::new(&schema).unwrap();
        for text in texts {
            assert!(parse::<Q>(text, Sign::Positive).is_ok(), "{text:?}");
            assert!(validator.is_valid(&json!(text)), "{text:?}");
        }
    }
    check::<Resistance>(&["5 \u{2126}", "5 k\u{2126}", "1 Meg", "5 k ohm", "47\u{200b} \u{2126}"]);
    check::<Capacitance>(&["8 \u{3bc}F", "50 \u{3bc}\u{3bc}F", "4\u{3bc}7", "50 mmf"]);
    check::<Temperature>(&["22 \u{ba}C", "22 \u{2103}", "72 \u{2109}", "22 deg C", "22 ° C"]);
    check::<Frequency>(&["60 cycles per  second", "60 c/s", "60 c / s", "60 Cycles"]);
}

fn plan(args: &[&str]) -> Value {
    let args = [&["plan"], args, &["--format", "json"]].concat();
    serde_json::from_str(&printed(&args)).unwrap()
}

#[test]
fn plans_of_all_shipped_sets_are_taken() {
    let validator = validator("plan");
    for path in shipped() {
        for line in [&[][..], &["--line", "105V"], &["--line", "135V"]] {
            let plan = plan(&[&[path.as_str()], line].concat());
            assert_eq!(faults(&validator, &plan), Vec::<String>::new(), "{path}");
        }
    }
}

/// Ways to every value of a plan, one for each key: lists by their first item.
fn ways(value: &Value, way: &str, list: &mut Vec<String>) {
    match value {
        Value::Object(entries) => {
            for (key, inner) in entries {
                let way = format!("{way}/{key}");
                list.push(way.clone());
                ways(inner, &way, list);
            }
        }
        Value::Array(items) => {
            for (i, item) in items.iter().enumerate().take(1) {
                ways(item, &format!("{way}/{i}"), list);
            }
        }
        _ => {}
    }
}

#[test]
fn a_plan_with_a_key_removed_or_of_the_wrong_kind_is_refused() {
    let validator = validator("plan");
    let whole = plan(&[&shipped()[0]]);
    assert!(validator.is_valid(&whole));
    let mut all = Vec::new();
    ways(&whole, "", &mut all);
    assert!(all.len() > 150, "{}", all.len());
    for way in all {
        let (above, key) = way.rsplit_once('/').unwrap();
        let mut less = whole.clone();
        let mapping = less.pointer_mut(above).unwrap().as_object_mut().unwrap();
        mapping.remove(key);
        assert!(!validator.is_valid(&less), "{way} removed");
        let mut other = whole.clone();
        *other.pointer_mut(&way).unwrap() = json!({ "neither": ["text", "nor number"] });
        assert!(!validator.is_valid(&other), "{way} changed");
    }
}
