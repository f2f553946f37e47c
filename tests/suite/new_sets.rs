//! Sets of six countries by the options of `new`, from nothing but what stands on them: what is written checks and plans
//! with no edit, and nothing in it looks stated that was not said.

use super::harness::{mainsfit, printed, run_full};
use super::line_ups::{LINE_UPS, LineUp};
use serde_json::Value;
use std::path::{Path, PathBuf};

fn written(line_up: &LineUp, folder: &Path) -> (PathBuf, String) {
    let args = std::iter::once("new".to_owned()).chain(line_up.options());
    let outcome = run_full(args);
    assert_eq!((outcome.code, outcome.err.as_str()), (0, ""), "{}", line_up.name);
    let path = folder.join(format!("{}.yaml", line_up.name));
    std::fs::write(&path, &outcome.out).unwrap();
    (path, outcome.out)
}

fn plan(path: &Path) -> Value {
    serde_json::from_str(&printed(&["plan", path.to_str().unwrap(), "--format", "json"])).unwrap()
}

/// Lines that hold, without their words.
fn active(text: &str) -> Vec<&str> {
    let lines = text.lines().filter(|l| !l.trim_start().starts_with('#'));
    lines.map(|l| l.split("  #").next().unwrap()).collect()
}

#[test]
fn every_line_up_checks_and_plans_with_no_edit() {
    let folder = tempfile::tempdir().unwrap();
    let countries: Vec<&str> = LINE_UPS.iter().map(|l| l.name.split('-').next().unwrap()).collect();
    for country in ["us", "uk", "de", "fr", "au", "jp"] {
        assert!(countries.contains(&country));
    }
    for line_up in &LINE_UPS {
        let name = line_up.name;
        let (path, text) = written(line_up, folder.path());
        let file = path.to_str().unwrap();
        let checked = mainsfit(&["check", file]);
        assert_eq!((checked.code, checked.err.as_str()), (0, ""), "{name}");
        assert!(checked.out.contains("no errors"), "{name}: {}", checked.out);
        let found = plan(&path);
        assert!(found["choices"].as_array().unwrap().len() > 3, "{name}");
        // a live chassis heads the file, the check and the plan
        let heads = |text: &str| text.lines().take(3).any(|l| l.contains("LIVE CHASSIS"));
        let planned = printed(&["plan", file]);
        // an outlet of twice the volts is told before it
        let first = planned.lines().take(8).any(|l| l.contains("LIVE CHASSIS"));
        assert_eq!(first, line_up.live, "{name}\n{planned}");
        if line_up.name != "fr-string" {
            assert_eq!(heads(&text), line_up.live, "{name}\n{text}");
        }
        assert_eq!(text.contains("\nheater_string:"), line_up.live && name != "uk-auto", "{name}");
    }
}

/// The text of a value without what marks it, such as `250 V` of `{ value: 250 V, known: guess, within: 20 % }`.
fn figures(line: &str) -> Vec<String> {
    let unit = |word: &str| {
        ["V", "mA", "A", "Ω", "kΩ", "MΩ", "µF", "W", "Hz"]
            .contains(&word.trim_end_matches([',', ']', '}']))
    };
    let words: Vec<&str> = line.split_whitespace().collect();
    let pairs = words.windows(2).filter(|w| unit(w[1]));
    let clean = |w: &str| w.trim_matches(['[', ']', '{', '}', ',', '(']).to_owned();
    pairs.map(|w| format!("{} {}", clean(w[0]), clean(w[1]))).collect()
}

/// A figure that holds was said, is a guess that says so, or is one of three that follow from the types or hardly matter.
#[test]
fn no_bare_figure_that_was_not_said() {
    let folder = tempfile::tempdir().unwrap();
    let (mut guesses, mut measured) = (0, 0);
    for line_up in &LINE_UPS {
        let (path, text) = written(line_up, folder.path());
        let said = line_up.options().join(" ").replace(' ', "");
        for line in active(&text) {
            let told = ["current: ", "drop_at: ", "filter: [capacitor: 25 µF]"];
            if line.contains("known: guess, within: ") || told.iter().any(|t| line.contains(t)) {
                continue;
            }
            for figure in figures(line) {
                let bare = figure.replace(' ', "");
                assert!(said.contains(&bare), "{}: {figure} in {line}", line_up.name);
            }
        }
        // each guess is among what is assumed, and counts
        let marked = active(&text).iter().map(|l| l.matches("known: guess").count()).sum::<usize>();
        let plan = plan(&path);
        let assumed = plan["assumptions"].as_array().unwrap();
        let of_it = assumed.iter().filter(|a| a["rule"] == "the profile calls it a guess");
        let of_it: Vec<_> = of_it.collect();
        assert_eq!(of_it.len(), marked, "{}", line_up.name);
        assert!(of_it.iter().all(|a| a["spread"].as_f64().unwrap() > 0.0), "{}", line_up.name);
        guesses += marked;
        measured += text.matches("known: measured").count();
    }
    assert!(guesses > 60, "{guesses}");
    assert_eq!(measured, 2);
}

/// An unedited file does not look as if its B+ were known: ±20 % of a guess stand about it.
#[test]
fn an_unedited_file_has_a_wide_band() {
    let folder = tempfile::tempdir().unwrap();
    let find = |name| LINE_UPS.iter().find(|l| l.name == name).unwrap();
    let band = |name| {
        let plan = plan(&written(find(name), folder.path()).0);
        plan["choices"][0]["band"]["b_plus_uncertain_v"].as_f64().unwrap()
    };
    // ±20 % of 250 V as limits are ±58 V as two standard uncertainties (2/√3; JCGM 100:2008, 4.3.7)
    assert!((50.0..70.0).contains(&band("us-table")), "{}", band("us-table"));
    assert!(band("uk-string") > 20.0, "{}", band("uk-string"));
}

/// Hints are of that rectifier and that country.
#[test]
fn hints_are_of_the_rectifier_and_the_country() {
    let folder = tempfile::tempdir().unwrap();
    let text = |name| written(LINE_UPS.iter().find(|l| l.name == name).unwrap(), folder.path()).1;
    // a 6X4 takes 10 µF at most (General Electric data sheet of the type, 1950s †), though 20 µF were usual by then
    assert!(text("us-table").contains("value: { value: 10 µF,"));
    // a CY1 32 µF, of which a set of 1938 had half
    assert!(text("uk-resistor").contains("value: { value: 16 µF,"));
    // a fuse by the standard of the country, a lamp of its trade
    assert!(text("us-miniature-string").contains("standard: UL }"));
    assert!(
        text("us-miniature-string").contains("#lamps: [{ type: '#40', count: 1, across: tap }]")
    );
    assert!(text("de-noval").contains("standard: IEC }"));
    assert!(text("de-noval").contains("#lamps: [{ type: 'European 6.3 V 0.3 A', count: 1 }]"));
    assert!(text("uk-octal").contains("#lamps: [{ type: 'UK 6."));
    assert!(text("de-four-volt").contains("#lamps: [{ type: 'European 4 V 0.3 A', count: 1 }]"));
    // mains of 110 V in a country of 50 Hz
    assert!(text("fr-110").contains("\n  frequency: { value: 50 Hz, known: guess"));
    assert!(text("us-table").contains("\n  #frequency: 60 Hz"));
}

/// What the heaters leave over, by hand: 117 V less 6.3 + 6.3 + 6.3 + 25 + 25 V at 0.3 A is 160 Ω; E24 has it.
#[test]
fn a_dropper_follows_from_the_heaters() {
    let args = ["new", "--design-line", "117V", "--tubes", "6A7,6D6,75,43,25Z5"];
    assert!(printed(&args).contains("resistance: { value: 160 Ω, known: guess, within: 15 % }"));
    let said = printed(&[&args[..], &["--dropper", "line-cord=180ohm"]].concat());
    assert!(said.contains("kind: line-cord") && said.contains("resistance: 180 Ω "), "{said}");
    // 12.6 · 3 + 50 + 35 = 122.8 V on 117 V: nothing
    let none = printed(&["new", "--design-line", "117V", "--tubes", "12SA7,12SK7,12SQ7,50L6,35Z5"]);
    assert!(none.contains("dropper: none"), "{none}");
}
