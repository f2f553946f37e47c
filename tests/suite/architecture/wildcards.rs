//! A fact of a variant stands in its row or is asked of every variant: an arm for "all the rest" would answer for one that is
//! added later, without anybody having thought of it.

use super::all;
use crate::size::{tokens, without_tests};
use std::collections::BTreeSet;

/// Enumerations that are a table, or travel between floors and get a row or a sentence a variant there.
const TABLES: [&str; 14] = [
    "Caution",
    "Fault",
    "FaultCase",
    "Level",
    "Limited",
    "Method",
    "Number",
    "Objection",
    "Owner",
    "RectifierCircuit",
    "Rule",
    "TubeClass",
    "Verdict",
    "What",
];

/// Functions in which an arm for the rest stands still, and why. It may only become shorter.
const STILL: &[(&str, &str, &str)] = &[
    ("src/receiver/feeds.rs", "is_output", "power classes among two dozen of small signals"),
    ("src/report/caution.rs", "first", "the rest go by their column of the table"),
    ("src/report/note_readings.rs", "label_on_the_line", "the rest go by the name in their row"),
    ("src/study/fit/points.rs", "load", "the rest are points of no resistance"),
    ("src/study/objection.rs", "is_bearable", "four that are borne among two dozen"),
    ("src/study/replace/mod.rs", "compare", "the rest go by what tolerances watch, a column"),
    ("src/study/verdict/advice.rs", "of", "the rest go by whether they boost, a fact"),
    ("src/study/verdict/measure.rs", "place", "the rest go by the name in their row"),
    ("src/study/working/mod.rs", "part", "parts that are no transformer have returned above"),
];

/// A closing sign for each opening one.
fn depth(token: &str) -> i32 {
    match token {
        "(" | "[" | "{" => 1,
        ")" | "]" | "}" => -1,
        _ => 0,
    }
}

/// Where the brackets that are open at the start of `list` are closed.
fn closed(list: &[&str]) -> usize {
    let mut open = 0;
    let shut = |token: &&str| {
        open += depth(token);
        open < 0
    };
    list.iter().position(shut).unwrap_or(list.len())
}

/// Where `what` stands in `list`, outside of all brackets.
fn outside(list: &[&str], what: &[&str]) -> Option<usize> {
    let mut open = 0;
    (0..list.len()).find(|at| {
        let here = open == 0 && list[*at..].starts_with(what);
        open += depth(list[*at]);
        here
    })
}

/// The patterns of a match, its braces taken off.
fn patterns<'a>(mut body: &'a [&'a str]) -> Vec<&'a [&'a str]> {
    let mut list = Vec::new();
    while let Some(arrow) = outside(body, &["=", ">"]) {
        list.push(&body[..arrow]);
        body = &body[arrow + 2..];
        let end = match body.first() {
            Some(&"{") => closed(&body[1..]) + 2,
            _ => outside(body, &[","]).unwrap_or(body.len()),
        };
        body = &body[end.min(body.len())..];
        body = body.strip_prefix(&[","]).unwrap_or(body);
    }
    list
}

/// Whether a pattern takes whatever comes: a line, or several of them in brackets, with no condition. A name that takes the rest
/// goes on to be asked by what stands in its row.
fn takes_all(pattern: &[&str]) -> bool {
    match pattern {
        [one] => one.starts_with('_'),
        ["(", inner @ .., ")"] => inner.split(|token| *token == ",").all(takes_all),
        _ => false,
    }
}

/// The type that an `impl` is for, the tokens behind that word given.
fn owner<'a>(list: &[&'a str]) -> Option<&'a str> {
    let head = &list[..list.iter().position(|token| *token == "{")?];
    let name = head.iter().position(|token| *token == "for").map_or(head, |at| &head[at + 1..]);
    name.iter().find(|token| token.starts_with(char::is_uppercase)).copied()
}

/// Functions that match one of the tables and have an arm for all the rest.
fn wild(text: &str) -> Vec<String> {
    let text = without_tests(text);
    let list = tokens(&text);
    let (mut function, mut own, mut found) = ("", "", Vec::new());
    for (at, token) in list.iter().enumerate() {
        let behind = &list[at + 1..];
        match *token {
            // not the type of a function
            "fn" if behind.first() != Some(&"(") => {
                function = behind.first().copied().unwrap_or_default();
            }
            "impl" => own = owner(behind).unwrap_or(own),
            "match" => {
                let Some(open) = outside(behind, &["{"]) else { continue };
                let body = &behind[open + 1..];
                let patterns = patterns(&body[..closed(body)]);
                let names = |pattern: &&[&str]| {
                    let plain = &pattern[..outside(pattern, &["if"]).unwrap_or(pattern.len())];
                    let paths = plain.windows(3).filter(|three| three[1..] == [":", ":"]);
                    let mut of = paths.map(|three| if three[0] == "Self" { own } else { three[0] });
                    of.any(|name| TABLES.contains(&name))
                };
                let rest = |pattern: &&[&str]| takes_all(pattern);
                if patterns.iter().any(names) && patterns.iter().any(rest) {
                    found.push(function.to_owned());
                }
            }
            _ => {}
        }
    }
    found
}

#[test]
fn every_variant_of_a_table_is_answered_for() {
    let mut found = BTreeSet::new();
    for (path, text) in all() {
        let path = path.to_str().unwrap().replace('\\', "/");
        found.extend(wild(&text).into_iter().map(|function| (path.clone(), function)));
    }
    let told = STILL.iter().map(|(path, function, _)| ((*path).to_owned(), (*function).to_owned()));
    let told: BTreeSet<(String, String)> = told.collect();
    assert!(STILL.iter().all(|(_, _, why)| !why.is_empty()));
    let now: Vec<_> = found.difference(&told).collect();
    let then: Vec<_> = told.difference(&found).collect();
    assert!(now.is_empty() && then.is_empty(), "now: {now:#?}\nno more: {then:#?}");
}

#[test]
fn the_tables_are_there() {
    let files = all();
    let is = |name: &&str| {
        files.iter().any(|(_, text)| {
            text.contains(&format!("enum {name} ")) || text.contains(&format!("enum {name}\n"))
        })
    };
    let missing: Vec<_> = TABLES.iter().filter(|name| !is(name)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn an_arm_for_the_rest_is_seen() {
    let within = |arms: &str| wild(&format!("fn f(a: A) -> u8 {{ match a.b(c) {{ {arms} }} }}"));
    // however the arms before it end, in brackets as well
    for arms in [
        "Fault::ChokeOpen => 1, _ => 2",
        "Fault::ChokeOpen => { g({ 1 }) } _other => 2,",
        "Fault::BranchOpen(n) if n >= 2 => [1, 2][n], _ => 2",
        "(Verdict::Fit, true) => h(|x| x, 1), (_, _) => 2",
        "Some(Method::Tap) => \"_ => 1,\", _ => 2",
    ] {
        assert_eq!(within(arms), ["f"], "{arms}");
    }
    for arms in [
        // all are named; the rest are asked; a condition lets the others through; another enumeration; in a comment; in an inner match
        "Fault::ChokeOpen => 1, Fault::LoadsOut => 2",
        "Fault::ChokeOpen => 1, other => other.row()",
        "_ if x => 0, Fault::ChokeOpen => 1, Fault::LoadsOut => 2",
        "Tone::Bad => 1, _ => 2",
        "None if b == Method::Tap => 1, _ => 2",
        "// _ => 2,\n Fault::ChokeOpen => 1",
        "Fault::ChokeOpen => match b { 1 => 2, _ => 3 }, Fault::LoadsOut => 2",
    ] {
        assert!(within(arms).is_empty(), "{arms}");
    }
    let own = |of: &str| {
        wild(&format!(
            "impl X for {of} {{ fn g(self) {{ match self {{ Self::A => 1, _ => 2 }} }} }}"
        ))
    };
    assert_eq!(own("Fault"), ["g"]);
    assert!(own("Tone").is_empty());
}
