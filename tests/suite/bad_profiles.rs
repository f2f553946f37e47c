//! Profiles with a fault each (`tests/bad_profiles`): refused, with the place, what was found and what to
//! write, in words kept as snapshots.

use super::harness::{flat, mainsfit, run_on_screen, stem, yaml_files};
use mainsfit::cli::{Outcome, Screen};

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

/// What an error says to write in a bare value's place is taken there.
#[test]
fn the_example_of_a_bare_value_is_sound() {
    let folder = tempfile::tempdir().unwrap();
    for (file, bare) in
        [("dropper_bare", "dropper: 160 Ω"), ("mains_resistor_bare", "mains_resistor: 18 Ω")]
    {
        let path = format!("tests/bad_profiles/{file}.yaml");
        let told = flat(&refused(&path).err);
        let example = told.split("write `").nth(1).and_then(|rest| rest.split('`').next());
        let example = example.unwrap_or_else(|| panic!("{file}: no example: {told}"));
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(text.contains(bare), "{file}");
        let put = folder.path().join(format!("{file}.yaml"));
        std::fs::write(&put, text.replace(bare, example)).unwrap();
        let outcome = mainsfit(&["check", put.to_str().unwrap()]);
        assert_eq!(outcome.code, 0, "{file}: {}", outcome.err);
    }
}

/// Errors are as wide as a page's prose, 100 characters at the most, and the caret stands below what it points at.
#[test]
fn errors_are_as_wide_as_the_screen() {
    let wide = "tests/bad_profiles/several.yaml";
    let source = std::fs::read_to_string(wide).unwrap();
    let mut words: Vec<String> = Vec::new();
    for columns in [60, 80, 100, 120] {
        let screen = Screen { columns, ..Screen::PAGE };
        let args = ["plan", wide].map(str::to_owned);
        let text = run_on_screen(args, screen).err;
        let widest = text.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= columns.min(100), "{columns}: {widest}\n{text}");
        assert!(widest + 15 > columns.min(100), "{columns}: {widest}\n{text}");
        let lines: Vec<&str> = text.lines().collect();
        let mut carets = 0;
        for (i, line) in lines.iter().enumerate().filter(|(_, l)| l.trim() == "^") {
            let head = lines[..i].iter().rfind(|l| l.starts_with(wide)).unwrap();
            let mut numbers = head[wide.len() + 1..].split(':').map(str::parse::<usize>);
            let (at, column) = (numbers.next().unwrap().unwrap(), numbers.next().unwrap().unwrap());
            let caret = line.chars().count() - 1;
            let meant = source.lines().nth(at - 1).unwrap().chars().nth(column - 1);
            assert_eq!(
                lines[i - 1].chars().nth(caret),
                meant,
                "{columns}: {}\n{line}",
                lines[i - 1]
            );
            carets += 1;
        }
        assert!(carets >= 8, "{columns}: {carets}");
        // the prose is the same, however it is broken
        let prose = text.lines().filter(|l| !l.contains(" > ") && l.trim() != "^");
        words.push(flat(&prose.collect::<Vec<_>>().join(" ")));
    }
    assert!(words.windows(2).all(|w| w[0] == w[1]), "{words:#?}");
}
