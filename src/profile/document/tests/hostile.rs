//! Texts made to cost time or memory, and texts that are hardly YAML.

use std::time::{Duration, Instant};

use proptest::prelude::*;

use super::*;
use crate::profile::{Cursor, Reader};

fn billion_laughs() -> String {
    let mut text = String::from("a0: &a0 [lol, lol, lol, lol, lol, lol, lol, lol, lol]\n");
    for level in 1..10 {
        let items = vec![format!("*a{}", level - 1); 9].join(", ");
        text.push_str(&format!("a{level}: &a{level} [{items}]\n"));
    }
    text
}

/// Texts made to cost time or memory, within the size limit.
fn bombs() -> Vec<(&'static str, String)> {
    let fill = |unit: &str| unit.repeat(MAX_BYTES / unit.len());
    let tags = (0..4_000).map(|n| format!("%TAG !{n}! x\n")).collect::<String>();
    let anchors = (0..5_000).map(|n| format!("- &a{n} x\n")).collect::<String>();
    let keys = (0..9_000).map(|n| format!("k{n}:\n")).collect::<String>();
    let number = format!("- &t 0.{}1\n{}", "0".repeat(50_000), "- *t\n".repeat(2_900));
    let scalar = format!("- &t {}\n{}", "x".repeat(50_000), "- *t\n".repeat(2_900));
    let brackets = format!("[{}", "[".repeat(MAX_BRACKETS - 1));
    let open = format!("{brackets}{}", "x,".repeat((MAX_BYTES - MAX_BRACKETS) / 2));
    vec![
        ("billion laughs", billion_laughs()),
        ("1 MB and more of one scalar", scalar),
        ("145 MB of one bare number", number),
        ("an alias inside itself", "&a [*a, *a]".to_owned()),
        ("an alias inside its mapping", "&a {k: *a, l: *a}".to_owned()),
        ("open lists", fill("[")),
        ("open mappings", fill("{a: ")),
        ("open lists, as many as may be", open),
        ("keys as mappings", fill("{")),
        ("block lists", fill("- ")),
        ("complex keys", fill("? ")),
        ("colons", fill(": ")),
        ("tag directives", tags),
        ("anchors", anchors),
        ("keys", keys),
        ("quotes", fill("'")),
        ("double quotes", fill("\"\\\n")),
        ("blanks", fill(" ")),
        ("tabs", fill("\t")),
        ("line ends", fill("\r\n")),
        ("short lists", fill("[],")),
        ("documents", fill("---\n")),
        ("one key of 64 KiB", format!("{}: 1", "k".repeat(MAX_BYTES - 3))),
    ]
}

#[test]
fn bombs_are_dealt_with_in_time() {
    for (what, text) in bombs() {
        assert!(text.len() <= MAX_BYTES, "{what} is too long");
        let start = Instant::now();
        let outcome = Document::parse("x.yaml", text.as_bytes());
        if let Err(problems) = &outcome {
            assert!(!problems.render().is_empty());
        }
        let taken = start.elapsed();
        assert!(taken < Duration::from_secs(1), "{what} took {taken:?}");
    }
    for (what, text) in [("laughs", billion_laughs()), ("scalar", bombs().swap_remove(1).1)] {
        let found = refused(text).found;
        assert!(
            found.contains("keys and values") || found.contains("KiB") || found.contains("aliases"),
            "{what}: {found}"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_dealt_with(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        exercise(&bytes);
    }

    #[test]
    fn any_yaml_marks_are_dealt_with(text in "[-?:,\\[\\]{}#&*!|>'\"%@`~<=. \t\r\na0é\u{85}\u{2028}]{0,120}") {
        exercise(text.as_bytes());
    }

    #[test]
    fn mutated_profiles_are_dealt_with(
        cuts in prop::collection::vec((any::<prop::sample::Index>(), 0usize..12, "[-?:,\\[\\]{}#&*!|>'\"% \t\na]{0,4}"), 1..6)
    ) {
        let mut text: Vec<char> = BLOCK.chars().collect();
        for (index, length, with) in cuts {
            let start = index.index(text.len() + 1);
            let end = text.len().min(start + length);
            text.splice(start..end, with.chars());
        }
        exercise(text.into_iter().collect::<String>().as_bytes());
    }
}

/// Reads a file whatever it holds; a tree found has a place inside the text for every node.
fn exercise(bytes: &[u8]) {
    match Document::parse("x.yaml", bytes) {
        Err(problems) => {
            assert_eq!(problems.errors(), 1);
            let last = problems.render().lines().last().map(str::to_owned);
            assert_eq!(last.as_deref(), Some("1 error in x.yaml"));
        }
        Ok(document) => {
            visit(&document, document.root(), &mut Vec::new());
            let reader = Reader::new(&document);
            misread(&reader.root());
            let problems = match reader.into_result(Some(())) {
                Ok((_, warnings)) => warnings,
                Err(problems) => problems,
            };
            for line in problems.render().lines() {
                assert!(line.chars().count() <= 100, "{line}");
                assert!(!line.chars().any(char::is_control), "{line:?}");
            }
        }
    }
}

fn visit(document: &Document, node: &Node, steps: &mut Vec<usize>) {
    for key in [false, true] {
        let (line, column) = document.locate(steps, key).expect("has a place");
        let source = lines::lines(document.text()).nth(line - 1).expect("is a line");
        assert!(column <= source.chars().count() + 1, "{line}:{column} in {source:?}");
    }
    let children: Vec<&Node> = match node {
        Node::Null | Node::Scalar(_) => Vec::new(),
        Node::List(items) => items.iter().collect(),
        Node::Map(entries) => entries.iter().map(|(_, value)| value).collect(),
    };
    for (index, child) in children.into_iter().enumerate() {
        steps.push(index);
        visit(document, child, steps);
        steps.pop();
    }
}

/// Takes every value for everything it may not be.
fn misread(cursor: &Cursor<'_>) {
    cursor.parsed(|text| text.parse::<f64>().ok(), "is no number", "write a number");
    for item in cursor.list().unwrap_or_default() {
        misread(&item);
    }
    for (name, value) in cursor.entries().unwrap_or_default() {
        value.warn_key(&name, &name);
        misread(&value);
    }
    if let Some(fields) = cursor.map() {
        fields.required("tubes");
        fields.optional("mains");
        fields.finish();
    }
}
