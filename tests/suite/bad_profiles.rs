//! Profiles with a fault each (`tests/bad_profiles`): refused, with the place, what was found and what to
//! write, in words kept as snapshots.

use super::harness::{mainsfit, stem, yaml_files};
use mainsfit::cli::Outcome;

/// The sound set that each of the bad ones differs from.
const SOUND: &str = "tests/data/sound_profile.yaml";

fn refused(path: &str) -> Outcome {
    let outcome = mainsfit(&["plan", path]);
    assert_eq!(outcome.out, "", "{path}: output beside an error");
    assert_eq!(outcome.code, 2, "{path}: {}", outcome.err);
    outcome
}

#[test]
fn the_set_they_are_made_from_is_sound() {
    let outcome = mainsfit(&["check", SOUND]);
    assert_eq!((outcome.code, outcome.err.as_str()), (0, ""));
    assert!(outcome.out.contains("no errors"), "{}", outcome.out);
    assert!(!outcome.out.contains("warning"), "{}", outcome.out);
    assert_eq!(mainsfit(&["plan", SOUND]).code, 0);
}

#[test]
fn every_message_is_as_read() {
    for path in yaml_files("tests/bad_profiles") {
        let outcome = refused(&path);
        snap!(format!("bad_{}", stem(&path)), outcome.err);
    }
}

#[test]
fn every_message_has_a_place_and_says_what_to_do() {
    let files = yaml_files("tests/bad_profiles");
    assert!(files.len() >= 24, "only {} bad profiles", files.len());
    for path in files {
        let text = refused(&path).err;
        for line in text.lines() {
            assert!(line.chars().count() <= 100, "{path}: too wide: {line}");
        }
        let lines = std::fs::read(&path).unwrap();
        let lines = String::from_utf8_lossy(&lines).lines().count();
        let (mut errors, mut advised) = (0, 0);
        for problem in text.split("\n\n") {
            let Some(rest) = problem.strip_prefix(&format!("{path}:")) else {
                continue;
            };
            let mut numbers = rest.splitn(3, ':');
            let mut number = || numbers.next().unwrap().parse::<usize>().unwrap();
            let (line, column) = (number(), number());
            // something missing may be placed just after the last line
            assert!((1..=lines + 1).contains(&line), "{path}: line {line}");
            assert!(column >= 1, "{path}: column {column}");
            errors += usize::from(numbers.next().unwrap().starts_with(" error"));
            advised += usize::from(problem.contains("fix: ") || problem.contains("write"));
            advised += usize::from(problem.contains("is written like"));
        }
        assert!(errors >= 1, "{path}: no place: {text}");
        assert!(advised >= errors, "{path}: nothing to do about it: {text}");
        assert!(text.contains(&format!(" in {path}\n")), "{path}: no count");
    }
}

/// One fault is told once: nothing that merely follows from it is told beside it.
#[test]
fn one_fault_gives_one_error() {
    for path in yaml_files("tests/bad_profiles") {
        let text = refused(&path).err;
        let name = stem(&path);
        if name == "several" {
            continue;
        }
        assert_eq!(text.matches(": error").count(), 1, "{text}");
    }
}

#[test]
fn check_and_sweep_say_the_same() {
    for path in yaml_files("tests/bad_profiles") {
        let plan = refused(&path);
        for command in ["check", "sweep"] {
            let other = mainsfit(&[command, &path]);
            assert_eq!(other, plan, "{command} {path}");
        }
    }
}

#[test]
fn each_file_names_its_fault() {
    for path in yaml_files("tests/bad_profiles") {
        let bytes = std::fs::read(&path).unwrap();
        let text = String::from_utf8_lossy(&bytes);
        assert!(text.is_empty() || text.starts_with("# Fault: "), "{path}");
    }
}
