//! The interview of `mainsfit new`, by a person at a terminal: a pseudo-terminal types the answers and reads the screen.
#![cfg(unix)]

use super::harness::{program, run_full};
use super::line_ups::{ASKED, LINE_UPS, LineUp};
use rexpect::session::{PtySession, spawn_command};
use std::path::Path;

/// Longest time for a screen, ms: a busy machine may take long, and nothing waits for it to pass.
const LONGEST_MS: u64 = 120_000;
/// Sessions beside each other.
const SESSIONS: usize = 5;
/// What is asked at the end.
const FILE: &str = "File to write";

/// The program on a terminal, in a folder of its own.
fn at_terminal(folder: &Path, options: &[&str]) -> PtySession {
    let mut command = program();
    command.arg("new").args(options).current_dir(folder).env("TERM", "xterm").env("NO_COLOR", "1");
    spawn_command(command, Some(LONGEST_MS)).unwrap()
}

/// The next question that is not `last`: a screen is painted anew with every key.
fn next(session: &mut PtySession, last: &str) -> &'static str {
    let others: Vec<&str> = ASKED.iter().chain(&[FILE]).copied().filter(|w| *w != last).collect();
    let pattern: Vec<String> = others.iter().map(|w| regex_of(w)).collect();
    let (_, found) = session.exp_regex(&pattern.join("|")).unwrap();
    let word = ASKED.iter().chain(&[FILE]).find(|w| found == **w);
    word.unwrap_or_else(|| panic!("{found}"))
}

fn regex_of(word: &str) -> String {
    word.replace('?', "\\?").replace('+', "\\+")
}

/// Answers what is asked after `last` until the file's name is wanted; the questions in their order.
fn answer(
    session: &mut PtySession,
    mut last: &'static str,
    of: impl Fn(&str) -> String,
) -> Vec<&'static str> {
    let mut asked = Vec::new();
    loop {
        last = next(session, last);
        if last == FILE {
            return asked;
        }
        assert!(!asked.contains(&last), "asked twice: {last}");
        asked.push(last);
        session.send(&(of(last) + "\r")).unwrap();
        session.flush().unwrap();
    }
}

/// What is on the screen until the program ends.
fn rest(mut session: PtySession) -> String {
    let text = session.exp_eof().unwrap();
    text.replace("\r\n", "\n")
}

/// The interview writes what the options write, checks it, and shows the head of its plan.
fn by_interview(line_up: &LineUp) {
    let folder = tempfile::tempdir().unwrap();
    let mut session = at_terminal(folder.path(), &[]);
    session.exp_string("SAFETY").unwrap();
    let asked = answer(&mut session, "", |word| line_up.answer(word));
    session.send("\r").unwrap();
    session.flush().unwrap();
    let screen = rest(session);
    let file = format!("{}.yaml", line_up.name);
    let written = std::fs::read_to_string(folder.path().join(&file)).unwrap();
    let by_options = run_full(std::iter::once("new".to_owned()).chain(line_up.options()));
    assert_eq!(by_options.out, written, "{}: asked {asked:?}", line_up.name);
    for words in [": written", ": no errors", "ADVICE", "SAFETY"] {
        assert!(screen.contains(words), "{}: {words}\n{screen}", line_up.name);
    }
    assert_eq!(screen.contains("LIVE CHASSIS"), line_up.live, "{}\n{screen}", line_up.name);
    // one kind of set is asked nothing that belongs to the other
    let both = asked.contains(&"its B+") == asked.contains(&"drops them");
    assert!(!both || !asked.contains(&"its B+"), "{asked:?}");
    if let Some(at) = screen.find("LIVE CHASSIS") {
        assert!(at < screen.find(": written").unwrap(), "{screen}");
    }
}

/// Each of them; a session is mostly waiting, so several run beside each other.
#[test]
fn every_line_up_by_interview() {
    std::thread::scope(|scope| {
        for some in LINE_UPS.chunks(LINE_UPS.len().div_ceil(SESSIONS)) {
            scope.spawn(|| some.iter().for_each(by_interview));
        }
    });
}

/// What is wrong is told as soon as it is given, the question stays, and names are completed and put right.
#[test]
fn answers_are_checked_as_they_are_given() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = at_terminal(folder.path(), &["--name", "Checked", "--year", "1936"]);
    session.exp_string("how many volts").unwrap();
    // Enter alone is not enough here
    session.send("\r").unwrap();
    session.flush().unwrap();
    session.exp_string("cannot do without").unwrap();
    session.send("12,5\r").unwrap();
    session.flush().unwrap();
    session.exp_string("decimal point").unwrap();
    session.send(&("\u{7f}".repeat(4) + "110\r")).unwrap();
    session.flush().unwrap();
    for word in ["many watts", "plugged in", "meter show"] {
        session.exp_string(word).unwrap();
        session.send("\r").unwrap();
        session.flush().unwrap();
    }
    session.exp_string("Which tubes").unwrap();
    // completed while it is typed
    session.send("6A").unwrap();
    session.flush().unwrap();
    session.exp_string("6A8").unwrap();
    // a name that no type has: the nearest are offered, and Enter says what is wrong
    session.send("9\r").unwrap();
    session.flush().unwrap();
    session.exp_string("no tube \"6A9\" in the catalogue").unwrap();
    session.send("\t").unwrap();
    session.flush().unwrap();
    session.send(",6K7,6Q7,6F6,80\r").unwrap();
    session.flush().unwrap();
    session.exp_string("power transformer").unwrap();
    drop(session);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}

/// Esc goes one question back; Ctrl-C at any question leaves without a file, also where one is named.
#[test]
fn back_and_away() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = at_terminal(folder.path(), &["-o", "left.yaml"]);
    session.exp_string("set called").unwrap();
    session.send("First\r").unwrap();
    session.flush().unwrap();
    session.exp_string("what year").unwrap();
    session.send("\u{1b}").unwrap();
    session.flush().unwrap();
    session.exp_string("set called").unwrap();
    session.send("Second\r").unwrap();
    session.flush().unwrap();
    session.exp_string("what year").unwrap();
    session.send("\u{3}").unwrap();
    session.flush().unwrap();
    session.exp_string("nothing was written").unwrap();
    rest(session);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
    // a file that is there is told of before anything is asked
    std::fs::write(folder.path().join("left.yaml"), "mine").unwrap();
    let screen = rest(at_terminal(folder.path(), &["-o", "left.yaml"]));
    assert!(screen.contains("it is kept") && !screen.contains("set called"), "{screen}");
}

/// An outlet that nothing tells is asked for again.
#[test]
fn what_the_whole_set_lacks_is_asked_again() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = at_terminal(folder.path(), &[]);
    let given = |word: &str| match word {
        "how many volts" => "150".to_owned(),
        "Which tubes" => "6A7,6D6,75,42,80".to_owned(),
        _ => String::new(),
    };
    let mut last = "";
    loop {
        last = next(&mut session, last);
        session.send(&(given(last) + "\r")).unwrap();
        session.flush().unwrap();
        if last == "the primary" {
            break;
        }
    }
    session.exp_string("outlet voltage is not known").unwrap();
    session.exp_string("plugged in").unwrap();
    session.send("Continental\r").unwrap();
    session.flush().unwrap();
    // what was said stays
    assert_eq!(answer(&mut session, "plugged in", |_| String::new()), ["meter show"]);
    std::fs::write(folder.path().join("there.yaml"), "mine").unwrap();
    session.send("there.yaml\r").unwrap();
    session.flush().unwrap();
    session.exp_string("give another").unwrap();
    session.send(&("\u{7f}".repeat("there.yaml".len()) + "set.yaml\r")).unwrap();
    session.flush().unwrap();
    let screen = rest(session);
    assert!(screen.contains("set.yaml: no errors"), "{screen}");
}
