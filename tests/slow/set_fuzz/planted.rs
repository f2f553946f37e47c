//! The checks against answers with a fault planted in them: each is seen, and the answer without it is not complained of.

use super::checks::{Checks, Run, burning};
use crate::harness::run_full;
use mainsfit::cli::{Outcome, Screen};
use std::time::Duration;

const SET: &str = "profiles/universal-1947.yaml";

/// What the program answers, as a run about a set with a live chassis.
fn answered(line: &str) -> Run {
    let args: Vec<String> = line.split(' ').map(str::to_owned).collect();
    let outcome = run_full(args.clone());
    Run {
        args,
        outcome,
        files: Vec::new(),
        of_set: true,
        live: true,
        panicked: false,
        screen: Screen::PAGE,
        took: Duration::ZERO,
    }
}

/// Plants one text for another; the checks must see it by a fault with `word`.
fn seen(checks: &Checks, line: &str, (from, to): (&str, &str), word: &str) {
    let mut run = answered(line);
    assert_eq!(checks.faults(&run), Vec::<String>::new(), "{line}");
    assert!(run.outcome.out.contains(from), "{line}: no {from:?}");
    run.outcome.out = run.outcome.out.replace(from, to);
    let found = checks.faults(&run);
    assert!(found.iter().any(|f| f.contains(word)), "{line}, {from:?} for {to:?}: {found:?}");
}

#[test]
fn every_planted_fault_is_seen() {
    let checks = Checks::new();
    let plan = format!("plan {SET}");
    let json = format!("plan {SET} --format=json");
    let first = "LIVE CHASSIS: touch no metal on this set while it is plugged in;";
    for (line, change, word) in [
        (&plan, ("87.3 V", "NaN V"), "no number"),
        (&plan, ("87.3 V", "inf V"), "no number"),
        (&plan, ("87.3 V", "−0.0 V"), "minus zero"),
        (&plan, ("Lethal voltages inside", "Careful"), "lost: Lethal"),
        (&plan, ("isolation transformer", "transformer"), "lost: isolation"),
        (&plan, (first, "Plan"), "an alarm does not stand first"),
        (&plan, ("Leave", "\u{202e}Leave"), "control character"),
        (&plan, ("Leave", "\u{7}Leave"), "control character"),
        (&json, ("\"schema\"", "\"scheme\""), "against its schema"),
        (&json, ("}\n", "\n"), "no JSON"),
        (&json, ("\"kind\": \"lethal\"", "\"kind\": \"pull-the-plug\""), "lost: lethal"),
        (&json, ("\"usual_v\": 123.0,", "\"usual_v\": null,"), "against its schema"),
        (&format!("parts {SET} --format=csv"), ("\n", ",\n"), "no table"),
        (&format!("sweep {SET} --points=2 --svg=-"), ("</svg>", "</sv>"), "no XML"),
        (&format!("sweep {SET} --points=2 --svg=-"), ("LIVE", "LIFE"), "without the live chassis"),
    ] {
        // the last line end alone, where a line end is changed in JSON
        match word {
            "no JSON" => {
                let mut run = answered(line);
                run.outcome.out.truncate(run.outcome.out.len() - 2);
                assert!(checks.faults(&run).iter().any(|f| f.contains(word)), "{line}");
            }
            "no table" => {
                let mut run = answered(line);
                run.outcome.out = run.outcome.out.replacen(change.0, change.1, 1);
                assert!(checks.faults(&run).iter().any(|f| f.contains(word)), "{line}");
            }
            _ => seen(&checks, line, change, word),
        }
    }
}

#[test]
fn exit_codes_panics_and_silence_are_seen() {
    let checks = Checks::new();
    for (code, out, err, word) in [
        (3, "x", "y", "exit code 3"),
        (0, "", "", "nothing said"),
        (1, "", "no", "refused without"),
    ] {
        let mut run = answered(&format!("check {SET}"));
        run.outcome = Outcome { out: out.to_owned(), err: err.to_owned(), code };
        let found = checks.faults(&run);
        assert!(found.iter().any(|f| f.contains(word)), "{code}: {found:?}");
    }
    let run = Run { panicked: true, ..answered(&format!("check {SET}")) };
    assert_eq!(checks.faults(&run), ["it panicked"]);
}

#[test]
fn an_advised_part_that_burns_is_seen() {
    let out = answered("plan profiles/mantel-1938.yaml --format=json").outcome.out;
    let plan: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(burning(&plan), Vec::<String>::new());
    let choices = plan["choices"].as_array().unwrap();
    let advised = choices.iter().position(|c| c["id"] == plan["advice"]["choice"]).unwrap();
    for (key, value) in [("burns", true.into()), ("unsolved", "why".into())] {
        let mut burnt = plan.clone();
        burnt["choices"][advised]["faults"][0][key] = value;
        assert_eq!(burning(&burnt).len(), 1, "{key}");
    }
}

#[test]
fn a_broken_page_is_seen() {
    let checks = Checks::new();
    let mut run = answered(&format!("check {SET}"));
    run.args[0] = "note".to_owned();
    run.outcome.out = "note.html: the note is written\n".to_owned();
    run.files = vec![("note.html".to_owned(), "<p><b>Lethal voltages inside</p>".to_owned())];
    let found = checks.faults(&run);
    for word in ["parse error", "lost: isolation transformer", "lost: the live chassis"] {
        assert!(found.iter().any(|f| f.contains(word)), "{word}: {found:?}");
    }
}
