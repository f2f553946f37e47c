//! Enumerations, not texts, travel between rooms: nobody takes data out of a label again by looking into its letters, or
//! compares a key or a name with a word to find out what it is.

use super::{all, code};
use crate::size::without_tests;
use std::collections::BTreeMap;

/// Rooms that are held to it. In `report` the painters and what sets words into lines are left out: letters are their work.
const ROOMS: [&str; 4] = ["src/receiver/", "src/adaptation/", "src/study/", "src/report/"];
const PAINTERS: [&str; 7] = [
    "src/report/terminal.rs",
    "src/report/html.rs",
    "src/report/markdown.rs",
    "src/report/words.rs",
    "src/report/figures.rs",
    "src/report/drawing/text.rs",
    "src/report/drawing/chart/",
];
/// Ways into a text's letters.
const WAYS: [&str; 12] = [
    ".split(",
    ".split_once(",
    ".rsplit",
    ".splitn(",
    ".strip_prefix(",
    ".strip_suffix(",
    ".trim_start_matches(",
    ".trim_end_matches(",
    ".starts_with(",
    ".ends_with(",
    ".replace(",
    // with something in quotes: ranges and lists contain as well
    ".contains()",
];
/// Fields that name something; compared with a word they would decide what it is.
const NAMES: [&str; 8] = [".key", ".what", ".name", ".note", ".title", ".id", ".label", ".fault"];

/// Where it is done still, how often, and why. It may only become less.
const STILL: &[(&str, usize, &str)] = &[
    (
        "src/receiver/heaters.rs",
        1,
        "a winding called `rectifier` is the rectifier's: the profile's own word for it",
    ),
    ("src/receiver/names.rs", 1, "another spelling of a type's name"),
    ("src/receiver/parameters.rs", 1, "fills in the patterns of the table"),
    (
        "src/receiver/string.rs",
        1,
        "a link's name is made without blanks, so that it can be written as a key",
    ),
    ("src/report/drawing/divider.rs", 1, "a point in words"),
    ("src/report/set_page/data.rs", 1, "no end of a script within the data of a page"),
    (
        "src/report/set_page/drawn.rs",
        5,
        "a painter: finds the figures of a drawing, so that drawings know nothing of a page",
    ),
    ("src/report/set_page/mod.rs", 1, "lines of comment are left out of the page's own script"),
    ("src/report/tolerance.rs", 1, "the minus sign"),
    ("src/study/blank/sockets.rs", 1, "a class in words"),
    ("src/study/blank/sheet.rs", 3, "writes YAML: what needs quotes"),
    ("src/study/owner.rs", 1, "fills in the patterns of the tables"),
];

/// How often `text` looks into letters.
fn looks(text: &str) -> usize {
    let text = without_tests(text);
    let bare = code(&text);
    let ways: usize = WAYS.iter().map(|way| bare.matches(way).count()).sum();
    let told = text.lines().map(|line| line.split("//").next().unwrap_or_default());
    let words = told.flat_map(|line| {
        NAMES.iter().flat_map(move |name| {
            ["", ".as_str()"].into_iter().flat_map(move |as_str| {
                ["==", "!="].map(|sign| line.matches(&format!("{name}{as_str} {sign} \"")).count())
            })
        })
    });
    ways + words.sum::<usize>()
}

#[test]
fn no_data_is_read_back_out_of_a_text() {
    let mut found: BTreeMap<String, usize> = BTreeMap::new();
    for (path, text) in all() {
        let path = path.to_str().unwrap().replace('\\', "/");
        let held = ROOMS.iter().any(|room| path.starts_with(room));
        if !held || PAINTERS.iter().any(|painter| path.starts_with(painter)) {
            continue;
        }
        let count = looks(&text);
        if count > 0 {
            found.insert(path, count);
        }
    }
    let told: BTreeMap<String, usize> =
        STILL.iter().map(|(path, count, _)| ((*path).to_owned(), *count)).collect();
    let off = |a: &BTreeMap<String, usize>, b: &BTreeMap<String, usize>| -> Vec<String> {
        let differs = a.iter().filter(|(path, count)| b.get(*path) != Some(count));
        differs.map(|(path, count)| format!("{path} {count}")).collect()
    };
    assert!(STILL.iter().all(|(_, _, why)| !why.is_empty()));
    let (now, then) = (off(&found, &told), off(&told, &found));
    assert!(now.is_empty() && then.is_empty(), "now: {now:#?}\nin the list: {then:#?}");
}

#[test]
fn a_look_into_letters_is_seen() {
    assert_eq!(
        looks("let a = key.starts_with(\"V\");\n// b.split('.')\nlet c = (1..2).contains(&d);\n"),
        1
    );
    assert_eq!(
        looks("if q.key == \"B+\" || w.name.as_str() != \"main\" || x.what == What::Bias {}\n"),
        2
    );
    assert_eq!(looks("note.contains(\"tap\") && list.contains(&tap)\n"), 1);
    assert_eq!(looks("#[cfg(test)]\nmod tests {\n    a.split(' ')\n}\n"), 0);
}
