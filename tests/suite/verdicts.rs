//! The verdict on each set of `tests/data/verdicts`, beside what a restorer says of it: `tests/data/verdicts.csv`, written
//! from the sets' nameplates, line volts and hand arithmetic, without this program. A disagreement needs an argument in
//! `tests/data/verdicts_argued.csv`, and an argument a disagreement.
//!
//! `cargo test --test suite -- disagreements --nocapture` lists them.

use mainsfit::profile::{Document, read};
use mainsfit::study::{Advice, Choice, Plan, Request, cores, plan, shared_out};
use serde_json::{Value, to_value};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::LazyLock;

const EXPECTED: &str = include_str!("../data/verdicts.csv");
const ARGUED: &str = include_str!("../data/verdicts_argued.csv");
const FOLDER: &str = "tests/data/verdicts";

/// What is said of a set.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
struct Said {
    file: String,
    verdict: String,
    strength: String,
    do_not_plug_in: bool,
    not_without_part: bool,
    /// Any of these is right; empty for none.
    choices: String,
    #[serde(default)]
    why: String,
}

impl Said {
    fn of(file: &str, advice: &Advice) -> Said {
        let word = |value: Value| value.as_str().unwrap_or_default().to_owned();
        Said {
            file: file.to_owned(),
            verdict: word(to_value(advice.verdict).unwrap()),
            strength: word(to_value(advice.strength).unwrap()),
            do_not_plug_in: advice.do_not_plug_in,
            not_without_part: advice.not_without_part,
            choices: advice.choice.map_or(String::new(), |method| method.to_string()),
            why: String::new(),
        }
    }

    /// No plan at all.
    fn nothing(file: &str, why: String) -> Said {
        Said {
            file: file.to_owned(),
            verdict: "no plan".to_owned(),
            strength: String::new(),
            do_not_plug_in: false,
            not_without_part: false,
            choices: String::new(),
            why,
        }
    }

    /// Whether `got` is what is said here.
    fn agrees(&self, got: &Said) -> bool {
        let all = |s: &Said| {
            (s.verdict.clone(), s.strength.clone(), s.do_not_plug_in, s.not_without_part)
        };
        all(self) == all(got) && self.choices.split('|').any(|choice| choice == got.choices)
    }

    fn words(&self) -> String {
        let mut text = self.verdict.clone();
        if !self.strength.is_empty() {
            let _ = write!(text, " ({})", self.strength);
        }
        if !self.choices.is_empty() {
            let _ = write!(text, ": {}", self.choices.replace('|', " or "));
        }
        if self.do_not_plug_in {
            text += ", do not plug in";
        }
        if self.not_without_part {
            text += ", not without the part";
        }
        text
    }
}

/// A set, what is said of it, and its plan.
struct Case {
    /// The first line of its file.
    what: String,
    expected: Said,
    got: Said,
    plan: Option<Plan>,
}

impl Case {
    fn solve(expected: Said) -> Case {
        let file = expected.file.clone();
        let text = std::fs::read_to_string(format!("{FOLDER}/{file}")).unwrap();
        let what = text.lines().next().unwrap_or_default().trim_start_matches("# ");
        let what = what.trim_end_matches('.').to_owned();
        let solved = Document::parse(&file, text.as_bytes())
            .and_then(|document| read(&document))
            .map_err(|problems| problems.render())
            .and_then(|(profile, _)| {
                plan(&profile, &Request::default(), Vec::new()).map_err(|error| error.to_string())
            });
        let (got, plan) = match solved {
            Ok(plan) => (Said::of(&file, &plan.advice), Some(plan)),
            Err(why) => (Said::nothing(&file, why), None),
        };
        Case { what, expected, got, plan }
    }

    fn agrees(&self) -> bool {
        self.expected.agrees(&self.got)
    }

    /// What one wants to see of a disagreement.
    fn told(&self) -> String {
        let (file, expected, got) = (&self.expected.file, self.expected.words(), self.got.words());
        let mut text = format!("{file}\n    {expected} → {got}");
        if !self.got.why.is_empty() {
            let _ = write!(text, "\n    {}", self.got.why);
        }
        let Some(plan) = &self.plan else {
            return text;
        };
        // those of a set that may not be plugged in are figures still
        let as_is: &Choice = &plan.choices[0];
        if let (Some(day), Some(band)) = (&as_is.day, &as_is.band) {
            let excess = |reading: &mainsfit::study::Reading| 100.0 * reading.heater_excess();
            let _ = write!(
                text,
                "\n    heaters {:+.1} % (low {:+.1}, high {:+.1}), ± {:.1} %",
                excess(&day.usual),
                excess(&day.low),
                excess(&day.high),
                100.0 * band.heater_uncertain_v / band.heater_rated_v
            );
        }
        for reason in &plan.advice.reasons {
            let _ = write!(text, "\n    - {reason}");
        }
        text
    }
}

/// A row of a table separated by commas.
fn rows<T: serde::de::DeserializeOwned>(text: &str) -> Vec<T> {
    csv::Reader::from_reader(text.as_bytes()).deserialize().map(|row| row.unwrap()).collect()
}

static CASES: LazyLock<Vec<Case>> = LazyLock::new(|| {
    let expected: Vec<Said> = rows(EXPECTED);
    shared_out(expected.len(), cores(), &|i| Case::solve(expected[i].clone()), &|_| ())
});

#[derive(serde::Deserialize)]
struct Argued {
    file: String,
    why: String,
}

fn argued() -> BTreeMap<String, String> {
    rows::<Argued>(ARGUED).into_iter().map(|row| (row.file, row.why)).collect()
}

/// Not a test of anything: the list to work by.
#[test]
fn list_of_disagreements() {
    let apart: Vec<&Case> = CASES.iter().filter(|case| !case.agrees()).collect();
    let argued = argued();
    for case in &apart {
        let mark = if argued.contains_key(&case.expected.file) { "argued: " } else { "" };
        eprintln!("{mark}{}", case.told());
    }
    eprintln!("{} of {} disagree", apart.len(), CASES.len());
}

#[test]
fn the_verdict_is_a_restorers_or_argued() {
    let argued = argued();
    let mut bad = Vec::new();
    for case in CASES.iter() {
        match (case.agrees(), argued.contains_key(&case.expected.file)) {
            (false, false) => bad.push(case.told()),
            (true, true) => bad.push(format!("{} agrees and is argued", case.expected.file)),
            _ => {}
        }
    }
    let known = |file: &String| CASES.iter().any(|case| case.expected.file == *file);
    bad.extend(argued.keys().filter(|f| !known(f)).map(|f| format!("argued: no set {f}")));
    bad.extend(argued.iter().filter(|(_, why)| why.trim().is_empty()).map(|(f, _)| f.clone()));
    assert!(bad.is_empty(), "{} of {}\n{}", bad.len(), CASES.len(), bad.join("\n"));
}

/// Every set of the folder is judged, and every set judged is there once.
#[test]
fn every_set_is_judged() {
    let mut listed: Vec<String> = CASES.iter().map(|case| case.expected.file.clone()).collect();
    listed.sort();
    let there: Vec<String> = crate::harness::yaml_files(FOLDER)
        .iter()
        .map(|p| crate::harness::stem(p) + ".yaml")
        .collect();
    assert_eq!(listed, there);
}

/// A comparison that takes anything for right would hide every disagreement.
#[test]
fn a_case_agrees_only_in_everything() {
    let said = Said {
        file: String::new(),
        verdict: "fit".to_owned(),
        strength: "needed".to_owned(),
        do_not_plug_in: false,
        not_without_part: true,
        choices: "bucking-outlet|bucking-set".to_owned(),
        why: String::new(),
    };
    let got = Said { choices: "bucking-set".to_owned(), ..said.clone() };
    assert!(said.agrees(&got));
    for other in [
        Said { verdict: "leave".to_owned(), ..got.clone() },
        Said { strength: "optional".to_owned(), ..got.clone() },
        Said { do_not_plug_in: true, ..got.clone() },
        Said { not_without_part: false, ..got.clone() },
        Said { choices: String::new(), ..got.clone() },
        Said { choices: "bucking".to_owned(), ..got.clone() },
    ] {
        assert!(!said.agrees(&other), "{other:?}");
    }
    let none = Said { choices: String::new(), ..said };
    assert!(none.agrees(&none) && !none.agrees(&got));
}

/// The table of `docs/verification.md`.
pub fn markdown() -> String {
    let apart = CASES.iter().filter(|case| !case.agrees()).count();
    let mut text = format!(
        "## Verdicts: expected and got\n\nSets invented for this, each with what a restorer says of it from its nameplate, its \
outlet, its readings and hand arithmetic; that was written down without the program (`tests/data/verdicts.csv`, with the \
reason of each) and is never changed. {} of {} agree in everything: verdict, strength, choice, and what is said of \
plugging in. `tests/suite/verdicts.rs` fails on a disagreement that is not argued below the table.\n\n\
| set | what | expected | got | agrees |\n|---|---|---|---|---|\n",
        CASES.len() - apart,
        CASES.len()
    );
    for case in CASES.iter() {
        let file = case.expected.file.trim_end_matches(".yaml");
        let (expected, got) = (case.expected.words(), case.got.words());
        let agrees = if case.agrees() { "yes" } else { "no" };
        let _ = writeln!(text, "| {file} | {} | {expected} | {got} | {agrees} |", case.what);
    }
    for (file, why) in argued() {
        let _ = write!(text, "\n**{}.** {why}\n", file.trim_end_matches(".yaml"));
    }
    text
}
