//! Cautions stand in every output that has figures of a set, whatever is asked for. The options are taken
//! from the command line's own definitions, so that a new one cannot be forgotten.

use super::harness::{flat, printed, run_full, shipped};
use super::long_run;
use clap::{Arg, ArgAction, Command, CommandFactory};
use mainsfit::cli::Cli;
use serde_json::Value;

/// Cautions that every plan has, by their kind in the JSON.
const ALWAYS: [&str; 14] = [
    "pull-the-plug",
    "deadly-b-plus",
    "lethal",
    "drain",
    "below-ten",
    "isolation",
    "local-codes",
    "first-power-up",
    "meter-category",
    "clip-on",
    "no-signal",
    "hot-wire",
    "first-hour",
    "not-examined",
];
/// The same in the text, by words that must not get lost.
const WORDS: [&str; 8] = [
    "Pull the plug before you open the set",
    "Lethal voltages inside, up to ",
    "drain them, then measure",
    "from an isolation transformer; a variac, a bucking transformer, and an autotransformer do not isolate",
    "go on only below 10 V",
    "without signal",
    "are in none of these figures",
    "Follow local electrical codes, and have a licensed practitioner",
];

/// And those that head a plan in every form, whatever part of it is asked for.
const HEAD: [&str; 4] = [
    "Lethal voltages inside, up to ",
    "drain them, then measure",
    "from an isolation transformer; a variac, a bucking transformer, and an autotransformer do not isolate",
    "Follow local electrical codes, and have a licensed practitioner",
];

fn subcommand(name: &str) -> Command {
    let mut program = Cli::command();
    program.build();
    program.find_subcommand(name).unwrap().clone()
}

/// What to try for an option: nothing, then values it takes. `None` for an option this test does not know.
fn values(arg: &Arg) -> Option<Vec<Option<String>>> {
    let id = arg.get_id().as_str();
    let mut list = vec![None];
    if !matches!(arg.get_action(), ArgAction::Set | ArgAction::Append) {
        // a switch
        list.push(Some(String::new()));
        return Some(list);
    }
    if id == "show" {
        // one part that has cautions of its own kind in it, and the list of them
        list.extend(["faults", "cautions"].map(|part| Some(part.to_owned())));
        return Some(list);
    }
    if id == "range" {
        // one of many, with limits that go with the volts below
        list.push(Some("north-america-b".to_owned()));
        return Some(list);
    }
    let possible = arg.get_possible_values();
    if !possible.is_empty() {
        list.extend(possible.iter().map(|v| Some(v.get_name().to_owned())));
        return Some(list);
    }
    let examples: &[&str] = match id {
        "line" => &["127V"],
        "low" => &["104V"],
        "high" => &["132V"],
        "target" => &["B+=230V"],
        "outlet_log" => &["profiles/outlet-log.csv"],
        "shop" => &["profiles/shop/shop.yaml"],
        "draws" => &["20"],
        "seed" => &["3"],
        _ => return None,
    };
    list.extend(examples.iter().map(|v| Some((*v).to_owned())));
    Some(list)
}

/// Every combination of the options of a command, as arguments.
fn combinations(command: &Command) -> Vec<Vec<String>> {
    let mut all: Vec<Vec<String>> = vec![Vec::new()];
    for arg in command.get_arguments() {
        // here there is no shop to leave aside but the one that is named
        if arg.is_positional() || matches!(arg.get_id().as_str(), "help" | "version" | "no_shop") {
            continue;
        }
        let long = arg.get_long().unwrap();
        let Some(values) = values(arg) else {
            panic!("--{long} is a new option: say in this test what to try with it");
        };
        all = all
            .iter()
            .flat_map(|before| {
                values.iter().map(move |value| {
                    let mut args = before.clone();
                    match value.as_deref() {
                        None => {}
                        Some("") => args.push(format!("--{long}")),
                        Some(value) => args.push(format!("--{long}={value}")),
                    }
                    args
                })
            })
            .collect();
    }
    // a range gives the limits of the day: to try it with each of them given as well would double the work
    let given = |args: &[String], option: &str| args.iter().any(|a| a.starts_with(option));
    all.retain(|args| {
        // nor do parts go with the whole
        let part = given(args, "--show=") || given(args, "--working");
        !(given(args, "--full") && part)
            && (!given(args, "--range=") || !(given(args, "--low=") || given(args, "--high=")))
            // a log says all of the day
            && (!given(args, "--outlet-log=")
                || !["--line=", "--low=", "--high="].iter().any(|volts| given(args, volts)))
    });
    all
}

/// Of all combinations so many that every two values of two options stand together in one of them; all in a long run.
fn chosen(command: &Command) -> Vec<Vec<String>> {
    let all = combinations(command);
    if long_run() {
        return all;
    }
    let longs: Vec<String> =
        command.get_arguments().filter_map(Arg::get_long).map(|long| format!("--{long}")).collect();
    let mut seen = std::collections::BTreeSet::new();
    let mut brings_a_new_pair = |args: &Vec<String>| {
        let value = |long: &String| {
            let given = args.iter().find(|a| a.split('=').next() == Some(long.as_str()));
            given.cloned().unwrap_or_else(|| format!("no {long}"))
        };
        let values: Vec<String> = longs.iter().map(value).collect();
        let mut new = false;
        for (place, one) in values.iter().enumerate() {
            for other in &values[place + 1..] {
                new |= seen.insert((one.clone(), other.clone()));
            }
        }
        new
    };
    // the last ones have most options: they bring many pairs at once
    all.into_iter().rev().filter(|args| brings_a_new_pair(args)).collect()
}

fn assert_text(name: &str, text: &str) {
    let plain: String = strip(text);
    let text = flat(&plain);
    for words in HEAD {
        assert!(text.contains(words), "{name}: lost: {words}");
    }
    assert!(text.contains(" SAFETY Lethal"), "{name}: not at the head");
    let Some((_, cautions)) = text.split_once(" CAUTIONS ") else {
        assert!(
            !name.contains("--full") && !name.contains("--show=cautions"),
            "{name}: no cautions"
        );
        return;
    };
    for words in WORDS {
        assert!(cautions.contains(words), "{name}: lost: {words}");
    }
    // a part that is on offer brings its own caution
    if text.contains("exact resistance") {
        assert!(cautions.contains("A power resistor is a heater"), "{name}");
    }
    if text.contains("exact secondary") {
        assert!(cautions.contains("with its secondary reversed"), "{name}");
    }
    // a live chassis stands before everything
    let live = cautions.contains("this chassis");
    assert_eq!(text.contains("LIVE CHASSIS: touch no metal"), live, "{name}");
}

/// The text without colour.
fn strip(text: &str) -> String {
    let mut pieces = text.split("\u{1b}[");
    let mut plain = pieces.next().unwrap().to_owned();
    for piece in pieces {
        plain.push_str(piece.split_once('m').unwrap().1);
    }
    plain
}

fn assert_json(name: &str, text: &str) {
    let value: serde_json::Value = serde_json::from_str(text).unwrap();
    let kinds: Vec<&str> =
        value["cautions"].as_array().unwrap().iter().map(|c| c["kind"].as_str().unwrap()).collect();
    for kind in ALWAYS {
        assert!(kinds.contains(&kind), "{name}: lost: {kind}");
    }
    let offered = |id: &str| {
        let choices = value["choices"].as_array().unwrap();
        choices.iter().any(|c| c["id"].as_str().unwrap().starts_with(id) && !c["part"].is_null())
    };
    assert_eq!(
        offered("series-resistor") || offered("heater-dropper"),
        kinds.contains(&"hot-resistor"),
        "{name}"
    );
    assert_eq!(offered("bucking"), kinds.contains(&"bucking-reversed"), "{name}");
}

#[test]
fn no_option_of_plan_removes_a_caution() {
    let all = chosen(&subcommand("plan"));
    // each option is there with and without, and with each value of each other
    assert!(all.len() >= 1 << 4, "{} combinations", all.len());
    let (first, second) = all.split_at(all.len() / 2);
    let plans = std::thread::scope(|scope| {
        let other = scope.spawn(|| plans_with(second));
        plans_with(first) + other.join().unwrap()
    });
    assert!(plans * 10 > all.len() * 9, "{plans} of {} plans", all.len());
}

/// Makes a plan with each of these options and looks at its cautions; the number of plans made.
fn plans_with(all: &[Vec<String>]) -> usize {
    // one set for the combinations, to save time; `plain_plans_of_every_set_carry_cautions` looks at the others
    let sets: Vec<String> = shipped().into_iter().filter(|p| p.contains("console-1936")).collect();
    let mut plans = 0;
    for (number, options) in all.iter().enumerate() {
        let path = &sets[number % sets.len()];
        let mut args = vec!["plan".to_owned(), path.clone()];
        args.extend(options.iter().cloned());
        let name = args.join(" ");
        let outcome = run_full(args);
        if outcome.code == 2 && outcome.err.contains("out of order") {
            // --low and --high against another --line
            continue;
        }
        assert_eq!(outcome.code, 0, "{name}: {}", outcome.err);
        plans += 1;
        if options.iter().any(|o| o == "--format=json") {
            assert_json(&name, &outcome.out);
        } else {
            assert_text(&name, &outcome.out);
        }
    }
    plans
}

/// A note says what the plan says, only for what is fitted.
fn assert_note(name: &str, text: &str) {
    let text = flat(&text.replace(['\\', '*'], ""));
    for words in WORDS {
        assert!(text.contains(words), "{name}: lost: {words}");
    }
    let live = text.contains("this chassis");
    // a chassis on the line stands before everything
    assert_eq!(text.starts_with("LIVE CHASSIS: touch no metal"), live, "{name}");
    let care = match text.split_once(" Before you open the back - ") {
        Some((_, care)) => care,
        // where nothing is fitted, each step has its cautions in a paragraph
        None if live => text.split_once(" Before you plug it in: ").unwrap().1,
        None => text.split_once(" Before you open it: ").unwrap().1,
    };
    let care = care.trim_start_matches(['•', '\u{a0}', ' ']);
    let first = if live { "Keep knobs, back, and bottom on" } else { "Pull the plug before" };
    let turned = "Where plugs can be turned";
    assert!(care.starts_with(first) || live && care.starts_with(turned), "{name}");
    let fitted = |id: &str| name.contains(&format!("--with={id}"));
    if fitted("series-resistor") {
        assert!(text.contains("A power resistor is a heater"), "{name}");
    }
    if fitted("bucking") {
        assert!(text.contains("with its secondary reversed"), "{name}");
    }
}

/// A card has room for what comes first.
fn assert_card(name: &str, text: &str) {
    let text = flat(&text.replace(['\\', '*'], ""));
    for words in HEAD.iter().chain(&["Stay in the room for the first hour"]) {
        assert!(text.contains(words), "{name}: lost: {words}");
    }
    assert_eq!(text.contains("LIVE CHASSIS: touch no metal"), text.contains("knobs"), "{name}");
}

#[test]
fn no_option_of_note_removes_a_caution() {
    let note = subcommand("note");
    let mut written = 0;
    for arg in note.get_arguments() {
        // where the note goes does not change it, and without a file it is printed
        let about_files = ["help", "version", "output", "force"];
        if arg.is_positional() || about_files.contains(&arg.get_id().as_str()) {
            continue;
        }
        let long = arg.get_long().unwrap();
        let values =
            values(arg).unwrap_or_else(|| panic!("--{long} is a new option: say what to try"));
        for value in values.into_iter().flatten() {
            let args = [
                "note".to_owned(),
                "profiles/console-1936.yaml".to_owned(),
                if value.is_empty() { format!("--{long}") } else { format!("--{long}={value}") },
            ];
            let name = args.join(" ");
            let outcome = run_full(args);
            if outcome.code == 0 {
                written += 1;
                let sheet = if long == "label" { assert_card } else { assert_note };
                sheet(&name, &outcome.out);
            } else {
                // a choice that the plan does not stand behind, or volts out of order
                assert!(outcome.out.is_empty() && outcome.code <= 2, "{name}: {}", outcome.err);
            }
        }
    }
    assert!(written >= 10, "{written} notes");
    for path in shipped() {
        assert_note(&path, &printed(&["note", &path]));
        assert_card(&path, &printed(&["note", &path, "--label"]));
    }
}

/// A power-up says what a plan says, and the short ones first.
fn assert_power_up(name: &str, text: &str) {
    let text = flat(&strip(text));
    for words in WORDS {
        assert!(text.contains(words), "{name}: lost: {words}");
    }
    assert_eq!(text.starts_with("LIVE CHASSIS: "), text.contains("this chassis"), "{name}");
    let (before, after) = text
        .split_once("Before you open the back • ")
        .unwrap_or_else(|| panic!("{name}: no cautions ahead"));
    assert!(!before.contains("1. Ohmmeter") && after.contains("1. Ohmmeter"), "{name}");
}

#[test]
fn no_option_of_power_up_removes_a_caution() {
    let command = subcommand("power-up");
    let mut written = 0;
    for arg in command.get_arguments() {
        // a file has the same page
        let about_files = ["help", "version", "output", "force"];
        if arg.is_positional() || about_files.contains(&arg.get_id().as_str()) {
            continue;
        }
        let long = arg.get_long().unwrap();
        let values =
            values(arg).unwrap_or_else(|| panic!("--{long} is a new option: say what to try"));
        for value in values.into_iter().flatten() {
            let args = [
                "power-up".to_owned(),
                "profiles/console-1936.yaml".to_owned(),
                if value.is_empty() { format!("--{long}") } else { format!("--{long}={value}") },
            ];
            let name = args.join(" ");
            let outcome = run_full(args);
            assert_eq!(outcome.code, 0, "{name}: {}", outcome.err);
            written += 1;
            if name.ends_with("json") {
                let value: serde_json::Value = serde_json::from_str(&outcome.out).unwrap();
                let kinds: Vec<&Value> =
                    value["cautions"].as_array().unwrap().iter().map(|c| &c["kind"]).collect();
                assert!(ALWAYS.iter().all(|kind| kinds.contains(&&(*kind).into())), "{name}");
            } else {
                assert_power_up(&name, &outcome.out);
            }
        }
    }
    assert!(written >= 6, "{written} schedules");
    for path in shipped() {
        assert_power_up(&path, &printed(&["power-up", &path]));
    }
}

#[test]
fn plain_plans_of_every_set_carry_cautions() {
    for path in shipped() {
        assert_text(&path, &printed(&["plan", &path]));
        assert_text(&format!("{path} --full"), &printed(&["plan", &path, "--full"]));
        assert_json(&path, &printed(&["plan", &path, "--format", "json"]));
    }
}

#[test]
fn every_form_of_a_sweep_carries_a_caution() {
    for path in shipped() {
        let sweep = subcommand("sweep");
        let format = sweep.get_arguments().find(|a| a.get_id() == "format").unwrap();
        for form in format.get_possible_values() {
            for over in ["line", "resistor"] {
                let form = form.get_name();
                let args = ["sweep", &path, "--points", "2", "--over", over, "--format", form];
                let text = flat(&printed(&args));
                for words in ["Lethal voltages", "isolation transformer", "codes"] {
                    assert!(text.contains(words), "{}: {words}", args.join(" "));
                }
            }
        }
    }
}

#[test]
fn no_option_of_tolerance_removes_a_caution() {
    let command = subcommand("tolerance");
    let mut printed = 0;
    for arg in command.get_arguments() {
        if arg.is_positional() || matches!(arg.get_id().as_str(), "help" | "version") {
            continue;
        }
        let long = arg.get_long().unwrap();
        let values =
            values(arg).unwrap_or_else(|| panic!("--{long} is a new option: say what to try"));
        for value in values.into_iter().flatten() {
            let mut args = vec![
                "tolerance".to_owned(),
                "profiles/console-1936.yaml".to_owned(),
                format!("--{long}={value}"),
            ];
            if long != "draws" {
                args.push("--draws=20".to_owned());
            }
            let name = args.join(" ");
            let outcome = run_full(args);
            if outcome.code != 0 {
                // a choice that the plan does not stand behind, or volts out of order
                let silent = outcome.out.is_empty() || name.contains("json");
                assert!(silent && outcome.code <= 2, "{name}: {}", outcome.err);
                continue;
            }
            printed += 1;
            if name.contains("json") {
                let value: serde_json::Value = serde_json::from_str(&outcome.out).unwrap();
                let cautions = value["cautions"].as_array().unwrap();
                for kind in ALWAYS {
                    assert!(cautions.iter().any(|c| c["kind"] == kind), "{name}: lost: {kind}");
                }
            } else {
                assert_text(&name, &outcome.out);
            }
        }
    }
    assert!(printed >= 10, "{printed} pages");
}
