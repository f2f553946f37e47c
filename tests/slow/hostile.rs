//! Profiles with anything done to them: an answer or an error, never a panic, a hang or a figure that is none.

use super::finite::assert_finite;
use super::harness::{run_full, shipped};
use proptest::prelude::*;
use proptest::test_runner::{RngSeed, TestError, TestRunner};
use std::time::{Duration, Instant};

/// Cases tried; more with `PROPTEST_CASES`.
const CASES: u32 = 80;
/// No plan may take longer, in the test profile.
const SLOWEST: Duration = Duration::from_secs(5);

/// Numbers that have broken solvers.
const NUMBERS: [&str; 22] = [
    "0", "1", "1e-30", "1e-12", "1e-9", "1e-6", "0.001", "0.01", "3", "17", "100", "999", "1e4",
    "1e6", "1e9", "1e12", "1e30", "1e308", "-1", "-1e3", "nan", "inf",
];
const UNITS: [&str; 15] =
    ["V", "mV", "kV", "A", "mA", "W", "Ω", "kΩ", "MΩ", "H", "µF", "pF", "Hz", "°C", ""];
const WORDS: [&str; 25] = [
    "B+",
    "B-",
    "reservoir",
    "chassis",
    "main",
    "rectifier",
    "bias.rf",
    "bias.output",
    "bleeder.screens",
    "field_coil",
    "open-circuit",
    "loaded",
    "positive",
    "negative",
    "heaters",
    "80",
    "6X4",
    "AZ1",
    "6F6",
    "6K7",
    "UCH42",
    "~",
    "[]",
    "{}",
    "-",
];
const LINES: [&str; 9] = ["115V", "0.001V", "20V", "40V", "90V", "150V", "300V", "500V", "1e9V"];

/// Something done to a profile. Numbers choose a place and count round.
#[derive(Debug, Clone)]
enum Change {
    Delete(usize),
    Double(usize),
    Swap(usize, usize),
    Borrow(usize, usize, usize),
    Number(usize, usize),
    Scale(usize, i32),
    Quantity(usize, usize, usize),
    Word(usize, usize),
    Exchange(usize, usize),
    Scalar(usize, String),
    Character(usize, char),
}

fn change() -> impl Strategy<Value = Change> {
    let n = || 0usize..10_000;
    prop_oneof![
        2 => n().prop_map(Change::Delete),
        1 => n().prop_map(Change::Double),
        1 => (n(), n()).prop_map(|(a, b)| Change::Swap(a, b)),
        1 => (n(), n(), n()).prop_map(|(a, b, c)| Change::Borrow(a, b, c)),
        4 => (n(), n()).prop_map(|(a, b)| Change::Number(a, b)),
        4 => (n(), -9i32..10).prop_map(|(a, b)| Change::Scale(a, b)),
        12 => (n(), -2i32..3).prop_map(|(a, b)| Change::Scale(a, b)),
        2 => (n(), n(), n()).prop_map(|(a, b, c)| Change::Quantity(a, b, c)),
        3 => (n(), n()).prop_map(|(a, b)| Change::Word(a, b)),
        4 => (n(), n()).prop_map(|(a, b)| Change::Exchange(a, b)),
        1 => (n(), "\\PC{0,12}").prop_map(|(a, b)| Change::Scalar(a, b)),
        1 => (n(), any::<char>()).prop_map(|(a, b)| Change::Character(a, b)),
    ]
}

#[derive(Debug, Clone)]
struct Case {
    profile: usize,
    changes: Vec<Change>,
    line: Option<usize>,
}

fn case() -> impl Strategy<Value = Case> {
    let changes = prop::collection::vec(change(), 1..4);
    let line = prop::option::weighted(0.3, 0usize..LINES.len());
    (0usize..10, changes, line).prop_map(|(profile, changes, line)| Case { profile, changes, line })
}

/// Places of the numbers that a unit follows.
fn quantities(text: &str) -> Vec<(usize, usize, usize)> {
    let mut list = Vec::new();
    let bytes = text.as_bytes();
    let mut at = 0;
    while at < bytes.len() {
        let fresh = at == 0 || !bytes[at - 1].is_ascii_alphanumeric() && bytes[at - 1] != b'.';
        if !(fresh && bytes[at].is_ascii_digit()) {
            at += 1;
            continue;
        }
        let end = text[at..]
            .find(|c: char| !(c.is_ascii_digit() || c == '.'))
            .map_or(text.len(), |e| at + e);
        if let Some(rest) = text[end..].strip_prefix(' ') {
            let unit = rest.find(|c: char| !(c.is_alphabetic() || c == '°')).unwrap_or(rest.len());
            if unit > 0 && unit < 6 {
                list.push((at, end, end + 1 + unit));
            }
        }
        at = end.max(at + 1);
    }
    list
}

/// Places of the words after a colon or in a list.
fn words(text: &str) -> Vec<(usize, usize)> {
    let word = |c: char| !(c.is_alphanumeric() || matches!(c, '+' | '.' | '_' | '-' | '#'));
    let mut list = Vec::new();
    for (at, _) in text.match_indices(": ") {
        let from = at + 2;
        let end = text[from..].find(word).map_or(text.len(), |e| from + e);
        if end > from {
            list.push((from, end));
        }
    }
    list
}

fn pick<T: Copy>(list: &[T], number: usize) -> Option<T> {
    (!list.is_empty()).then(|| list[number % list.len()])
}

fn apply(text: &mut String, change: &Change, others: &[String]) {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let count = lines.len().max(1);
    let at = |n: usize| n % count;
    match change {
        _ if lines.is_empty() => {}
        Change::Delete(a) => {
            lines.remove(at(*a));
        }
        Change::Double(a) => lines.insert(at(*a), lines[at(*a)].clone()),
        Change::Swap(a, b) => lines.swap(at(*a), at(*b)),
        Change::Borrow(a, b, c) => {
            let other: Vec<&str> = others[b % others.len()].lines().collect();
            lines[at(*a)] = pick(&other, *c).unwrap_or_default().to_owned();
        }
        Change::Number(a, b) => {
            if let Some((from, to, _)) = pick(&quantities(text), *a) {
                text.replace_range(from..to, NUMBERS[b % NUMBERS.len()]);
            }
            return;
        }
        Change::Scale(a, tens) => {
            if let Some((from, to, _)) = pick(&quantities(text), *a) {
                text.insert_str(to, &format!("e{tens}"));
                debug_assert!(from < to);
            }
            return;
        }
        Change::Quantity(a, b, c) => {
            if let Some((from, _, to)) = pick(&quantities(text), *a) {
                let new = format!("{} {}", NUMBERS[b % NUMBERS.len()], UNITS[c % UNITS.len()]);
                text.replace_range(from..to, &new);
            }
            return;
        }
        Change::Word(a, b) => {
            if let Some((from, to)) = pick(&words(text), *a) {
                text.replace_range(from..to, WORDS[b % WORDS.len()]);
            }
            return;
        }
        Change::Exchange(a, b) => {
            let list = quantities(text);
            if let (Some((f1, _, t1)), Some((f2, _, t2))) = (pick(&list, *a), pick(&list, *b))
                && t1 <= f2
            {
                let (one, two) = (text[f1..t1].to_owned(), text[f2..t2].to_owned());
                text.replace_range(f2..t2, &one);
                text.replace_range(f1..t1, &two);
            }
            return;
        }
        Change::Scalar(a, value) => {
            if let Some((from, to)) = pick(&words(text), *a) {
                text.replace_range(from..to, value);
            }
            return;
        }
        Change::Character(a, c) => {
            let places: Vec<usize> = text.char_indices().map(|(i, _)| i).collect();
            if let Some(place) = pick(&places, *a) {
                text.insert(place, *c);
            }
            return;
        }
    }
    *text = lines.join("\n") + "\n";
}

fn mutated(case: &Case, originals: &[String]) -> String {
    let mut text = originals[case.profile % originals.len()].clone();
    for change in &case.changes {
        apply(&mut text, change, originals);
    }
    text
}

/// Words that a figure which is none would leave in a report.
fn has_no_figure(text: &str) -> bool {
    let word = |c: char| !(c.is_alphanumeric());
    // the name of the set stands in the first line, and may be anything
    text.lines()
        .skip(1)
        .flat_map(|l| l.split(word))
        .any(|w| matches!(w, "NaN" | "inf" | "infinity"))
}

/// Plans the profile; what is wrong with the outcome, if anything, and the exit code.
fn judge(text: &str, line: Option<&str>, path: &str, longest: &mut Duration) -> Result<u8, String> {
    std::fs::write(path, text).unwrap();
    for format in ["text", "json"] {
        let mut args = vec!["plan".to_owned(), path.to_owned(), format!("--format={format}")];
        args.extend(line.map(|l| format!("--line={l}")));
        let started = Instant::now();
        let outcome = run_full(args);
        let spent = started.elapsed();
        *longest = spent.max(*longest);
        if spent > SLOWEST {
            return Err(format!("took {spent:.1?}: {}{}", outcome.out, outcome.err));
        }
        if !(0..=2).contains(&outcome.code) {
            return Err(format!("exit code {}", outcome.code));
        }
        if outcome.code != 0 {
            if outcome.err.is_empty() || !outcome.out.is_empty() {
                return Err(format!("exit code {} without a word", outcome.code));
            }
            if outcome.err.contains("fault in the program") {
                return Err(outcome.err);
            }
            return Ok(outcome.code);
        }
        if format == "text" {
            if has_no_figure(&outcome.out) {
                let words = ["NaN", "inf"];
                let bad: Vec<&str> =
                    outcome.out.lines().filter(|l| words.iter().any(|w| l.contains(w))).collect();
                return Err(format!("figures that are none: {}", bad.join("\n")));
            }
        } else {
            let value: serde_json::Value =
                serde_json::from_str(&outcome.out).map_err(|e| e.to_string())?;
            assert_finite("", &value, &mut 0);
        }
    }
    Ok(0)
}

#[test]
fn mutated_profiles_get_an_answer_or_an_error() {
    let mut originals: Vec<String> =
        shipped().iter().map(|p| std::fs::read_to_string(p).unwrap()).collect();
    originals.push(std::fs::read_to_string("tests/data/sound_profile.yaml").unwrap());
    let folder = env!("CARGO_TARGET_TMPDIR");
    let path = format!("{folder}/hostile-{}.yaml", std::process::id());
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok());
    let config = ProptestConfig {
        // the ordinary run is repeatable; a long one asked for by hand looks elsewhere each time
        rng_seed: match cases {
            Some(_) => RngSeed::Random,
            None => RngSeed::Fixed(1936),
        },
        cases: cases.unwrap_or(CASES),
        failure_persistence: None,
        max_shrink_iters: 100,
        ..ProptestConfig::default()
    };
    let codes = std::cell::RefCell::new([0u32; 3]);
    let longest = std::cell::Cell::new(Duration::ZERO);
    let result = TestRunner::new(config).run(&case(), |case| {
        let text = mutated(&case, &originals);
        let line = case.line.map(|l| LINES[l]);
        let mut slow = longest.get();
        let outcome = judge(&text, line, &path, &mut slow);
        longest.set(slow);
        match outcome {
            Ok(code) => {
                codes.borrow_mut()[usize::from(code)] += 1;
                Ok(())
            }
            Err(wrong) => Err(TestCaseError::fail(wrong)),
        }
    });
    std::fs::remove_file(&path).unwrap();
    let [done, unsolved, refused] = codes.into_inner();
    match result {
        Err(TestError::Fail(reason, case)) => {
            panic!(
                "{reason}\n--line {:?}\n{}",
                case.line.map(|l| LINES[l]),
                mutated(&case, &originals)
            )
        }
        other => other.unwrap(),
    }
    println!(
        "{done} plans, {unsolved} without a solution, {refused} refused; the slowest took {:.2?}",
        longest.get()
    );
    // the changes are neither all harmless nor all fatal
    let tried = done + unsolved + refused;
    assert!(
        done * 10 > tried && refused * 10 > tried,
        "{done} plans, {refused} refused of {tried}"
    );
}
