mod hostile;
mod written;

use super::*;
use crate::profile::{MAX_DEPTH, MAX_NODES};

fn parse(text: &str) -> Document {
    match Document::parse("x.yaml", text.as_bytes()) {
        Ok(document) => document,
        Err(problems) => panic!("{problems}"),
    }
}

fn refused(bytes: impl AsRef<[u8]>) -> Problem {
    let problems = Document::parse("x.yaml", bytes.as_ref()).expect_err("is refused");
    assert_eq!(problems.items().len(), 1);
    problems.items()[0].clone()
}

/// The node at a way of keys and item numbers, with the steps to it.
fn at<'d>(document: &'d Document, way: &str) -> (&'d Node, Vec<usize>) {
    let mut node = document.root();
    let mut steps = Vec::new();
    for word in way.split('/').filter(|word| !word.is_empty()) {
        let step = match node {
            Node::List(_) => word.parse().expect("an item number"),
            Node::Map(entries) => entries.iter().position(|(key, _)| key == word).expect(word),
            _ => panic!("nothing inside at {word}"),
        };
        node = match node {
            Node::List(items) => &items[step],
            Node::Map(entries) => &entries[step].1,
            _ => unreachable!(),
        };
        steps.push(step);
    }
    (node, steps)
}

fn value_place(text: &str, way: &str) -> (usize, usize) {
    let document = parse(text);
    let (_, steps) = at(&document, way);
    document.locate(&steps, false).expect("has a place")
}

fn key_place(text: &str, way: &str) -> (usize, usize) {
    let document = parse(text);
    let (_, steps) = at(&document, way);
    document.locate(&steps, true).expect("has a place")
}

fn text_at(text: &str, way: &str) -> String {
    match at(&parse(text), way).0 {
        Node::Scalar(text) => text.clone(),
        other => panic!("found {}", other.kind()),
    }
}

const BLOCK: &str = "\
# a set
name: Test set
mains:
  voltage: 110 V   # plate
  taps: [110, 125 V, {to: 220}]
tubes:
  - type: 6E5
    plate: \"b+\"
  - type: 'ECL 80'
    notes: |
      first
      second
  -
    type: 012
";

// Lines and columns counted by hand in BLOCK.
#[test]
fn places_in_block_and_flow_style() {
    assert_eq!(value_place(BLOCK, ""), (2, 1));
    assert_eq!(value_place(BLOCK, "name"), (2, 7));
    assert_eq!(key_place(BLOCK, "mains"), (3, 1));
    assert_eq!(value_place(BLOCK, "mains"), (4, 3));
    assert_eq!(value_place(BLOCK, "mains/voltage"), (4, 12));
    assert_eq!(key_place(BLOCK, "mains/taps"), (5, 3));
    assert_eq!(value_place(BLOCK, "mains/taps"), (5, 9));
    assert_eq!(value_place(BLOCK, "mains/taps/0"), (5, 10));
    assert_eq!(value_place(BLOCK, "mains/taps/1"), (5, 15));
    assert_eq!(value_place(BLOCK, "mains/taps/2"), (5, 22));
    assert_eq!(key_place(BLOCK, "mains/taps/2/to"), (5, 23));
    assert_eq!(value_place(BLOCK, "mains/taps/2/to"), (5, 27));
    assert_eq!(value_place(BLOCK, "tubes"), (7, 3));
    assert_eq!(value_place(BLOCK, "tubes/0"), (7, 5));
    assert_eq!(value_place(BLOCK, "tubes/0/type"), (7, 11));
    assert_eq!(value_place(BLOCK, "tubes/0/plate"), (8, 12));
    assert_eq!(value_place(BLOCK, "tubes/1/type"), (9, 11));
    assert_eq!(key_place(BLOCK, "tubes/1/notes"), (10, 5));
    assert_eq!(value_place(BLOCK, "tubes/1/notes"), (10, 12));
    assert_eq!(value_place(BLOCK, "tubes/2"), (14, 5));
    assert_eq!(value_place(BLOCK, "tubes/2/type"), (14, 11));
}

#[test]
fn places_after_bom_crlf_and_non_ascii() {
    assert_eq!(value_place("\u{feff}a: 1", "a"), (1, 4));
    assert_eq!(value_place("\u{feff}\u{feff}a: 1", "a"), (1, 4));
    assert_eq!(value_place("a: 1\r\nb:\r\n  c: 2\r\n", "b/c"), (3, 6));
    assert_eq!(key_place("a: 1\r\nb:\r\n  c: 2\r\n", "b/c"), (3, 3));
    // ö, µ and Ω are one column each; the emoji lies outside the basic plane
    assert_eq!(value_place("höhe: 5\nµF: {Ω: 3}\n", "µF/Ω"), (2, 9));
    assert_eq!(value_place("[\"📻\", x]", "1"), (1, 7));
    // a lone CR and the line separator end a line as well (YAML 1.1 section 5.4)
    assert_eq!(value_place("a: 1\rb: 2", "b"), (2, 4));
    assert_eq!(value_place("a: 1\u{2028}b: 2", "b"), (2, 4));
    // a tab counts one column
    assert_eq!(value_place("a:\t1", "a"), (1, 4));
}

#[test]
fn places_of_anchors_aliases_and_odd_keys() {
    let text = "rail: &r\n  volts: 90 V\nplate: *r\nscreen: *r\n";
    // what is used through an alias is placed where it is written
    assert_eq!(value_place(text, "plate/volts"), (2, 10));
    assert_eq!(key_place(text, "plate/volts"), (2, 3));
    assert_eq!(key_place(text, "screen"), (4, 1));
    assert_eq!(value_place(text, "rail"), (1, 7));
    let text = "a: &v 90 V\nb: *v\n*v : 3\n";
    assert_eq!(text_at(text, "b"), "90 V");
    assert_eq!(value_place(text, "b"), (1, 4));
    assert_eq!(value_place(text, "90 V"), (3, 6));
    assert_eq!(value_place("? a\n: b\n", "a"), (2, 3));
    assert_eq!(key_place("x: 1\n? a\n: b\n", "a"), (2, 3));
    assert_eq!(value_place("- - x\n  - - y\n", "0/1/0"), (2, 7));
    // a list at the indent of its key
    assert_eq!(value_place("a:\n- x\n- y\n", "a"), (2, 1));
    assert_eq!(value_place("a:\n- x\n- y\n", "a/1"), (3, 3));
    // a text over several lines begins on its first
    assert_eq!(value_place("a: one\n  two\nb: \"three\n  four\"\n", "b"), (3, 4));
    // nothing after the last dash, with and without a line end
    assert_eq!(value_place("- x\n-", "1"), (2, 2));
    assert_eq!(value_place("- x\n-\n", "1"), (2, 2));
    // a step that does not exist gives what encloses it
    let document = parse("a: 1\nb:\n  - x\n");
    assert_eq!(document.locate(&[1, 5], false), Some((3, 3)));
    assert_eq!(document.locate(&[0, 0, 0], true), Some((1, 4)));
}

// YAML 1.2 section 10.3.2 reads these bare words as numbers or truth values; a profile needs
// them as written: 6E5 is a tuning indicator tube, 6.30 a heater voltage.
#[test]
fn bare_numbers_and_truth_values_stay_as_written() {
    for word in [
        "6E5",
        "6.30",
        "1e3",
        "012",
        "0x1F",
        "0o17",
        "0b1",
        "+5",
        "-0",
        "-7",
        "5.",
        ".5",
        ".inf",
        "-.INF",
        ".nan",
        "yes",
        "no",
        "true",
        "True",
        "FALSE",
        "off",
        "1_000",
        "12:30:45",
        "2024-01-01",
        "18446744073709551616",
        "99999999999999999999999999999999999999999999",
        "1e400",
        "0.1000000000000000055511151231257827",
        "110 V",
        "b+",
        "a#b",
        "a:b",
    ] {
        for text in
            [format!("k: {word}\n"), format!("k: {word} # note\n"), format!("{{k: {word}}}")]
        {
            assert_eq!(text_at(&text, "k"), word, "{text}");
        }
        assert_eq!(text_at(&format!("- &m {word}\n- *m\n"), "1"), word);
        assert_eq!(text_at(&format!("{word}: v\n"), word), "v");
        assert_eq!(text_at(&format!("k: '{word}'\n"), "k"), word);
    }
    for empty in ["~", "null", "Null", "NULL", "", "# note"] {
        assert_eq!(at(&parse(&format!("k: {empty}\n")), "k").0, &Node::Null);
    }
    assert_eq!(text_at("k: ''", "k"), "");
    assert_eq!(text_at("k: \"~\"", "k"), "~");
    assert_eq!(text_at("~: v\n", "~"), "v");
}

#[test]
fn quoted_and_multiline_scalars() {
    // YAML 1.2 sections 7.3 (flow scalars) and 8.1 (block scalars)
    assert_eq!(text_at("k: 'it''s'", "k"), "it's");
    assert_eq!(text_at("k: \"a\\tb\\u00b5\"", "k"), "a\tbµ");
    assert_eq!(text_at("k: one\n  two\n\n  three\n", "k"), "one two\nthree");
    assert_eq!(text_at("k: |\n  one\n   two\n", "k"), "one\n two\n");
    assert_eq!(text_at("k: >-\n  one\n  two\n", "k"), "one two");
    assert_eq!(text_at("k: |\r\n  one\r\n  two\r\n", "k"), "one\ntwo\n");
    assert_eq!(text_at(BLOCK, "tubes/1/notes"), "first\nsecond\n");
}

#[test]
fn tree_keeps_order_and_repeated_keys() {
    let document = parse("b: 1\na: 2\nb: [x, {}]\n<<: {c: 3}\n");
    let scalar = |text: &str| Node::Scalar(text.to_owned());
    let entry = |key: &str, node| (key.to_owned(), node);
    assert_eq!(
        document.root(),
        &Node::Map(vec![
            entry("b", scalar("1")),
            entry("a", scalar("2")),
            entry("b", Node::List(vec![scalar("x"), Node::Map(vec![])])),
            entry("<<", Node::Map(vec![entry("c", scalar("3"))])),
        ])
    );
    for empty in ["", "# only a note\n", "---\n", "--- ~\n...\n", "\u{feff}"] {
        assert_eq!(parse(empty).root(), &Node::Null, "{empty:?}");
    }
    assert_eq!(parse("").locate(&[], false), Some((1, 1)));
}

#[test]
fn refusals_are_located() {
    let place = |bytes: &[u8]| refused(bytes).place;
    assert_eq!(place(b"a: 1\nb: x\0y\n"), Some((2, 5)));
    assert_eq!(place(b"a: 1\nb: \x1b[0m\n"), Some((2, 4)));
    assert_eq!(place("µ: a\u{feff}b".as_bytes()), Some((1, 5)));
    assert_eq!(place(b"a: 1\nb: caf\xe9\n"), Some((2, 7)));
    assert!(refused(b"a: 1\nb: caf\xe9\n").found.contains("0xE9, at offset 11"));
    assert_eq!(place(b"\xff\xfea\0:\0"), Some((1, 1)));
    assert_eq!(place(b"a: 1\nb: !volt 5\n"), Some((2, 4)));
    assert_eq!(place(b"a: 1\n!k b: 5\n"), Some((2, 1)));
    assert_eq!(place(b"a:\n  - !m {x: 1}\n"), Some((2, 5)));
    assert_eq!(place(b"a: !l [x]\n"), Some((1, 4)));
    assert_eq!(place(b"a: !!int x\n"), Some((1, 4)));
    assert_eq!(place(b"a: 1\n[x]: 2\n"), Some((2, 1)));
    assert_eq!(place(b"a: 1\n? {x: 1}\n: 2\n"), Some((2, 3)));
    assert_eq!(place(b"a: 1\nb:\n\tc: 2\n"), Some((3, 1)));
    assert_eq!(place(b"a: *none\n"), Some((1, 4)));
    assert_eq!(place(b"a: @x\n"), Some((1, 4)));
    assert_eq!(place(b"a: [x"), Some((1, 6)));
    let too_long = "#".repeat(MAX_BYTES + 1);
    assert!(refused(&too_long).found.contains("longer than 65536 bytes"));
    parse(&too_long[1..]);
}

#[test]
fn a_second_document_is_found() {
    for (text, place) in [
        ("a: 1\n---\nb: 2\n", (2, 1)),
        ("%YAML 1.1\n--- # one\na: 1\n--- {b: 2}\n", (4, 1)),
        ("# note\n\n---\na: 1\n...\n# note\nb: 2\n", (7, 1)),
        ("---\n---\n", (2, 1)),
        ("a: 1\n...\n---\nb: [\n", (3, 1)),
    ] {
        let problem = refused(text);
        assert!(problem.found.contains("second document"), "{text:?}: {}", problem.found);
        assert_eq!(problem.place, Some(place), "{text:?}");
    }
    // one document, whatever frames it
    assert_eq!(text_at("--- # x\na: |\n  ---\n  ...\n...\n", "a"), "---\n...\n");
}

#[test]
fn depth_and_node_limits_are_exact() {
    let nested = |deep: usize| format!("{}{}", "[".repeat(deep), "]".repeat(deep));
    parse(&nested(MAX_DEPTH));
    let problem = refused(nested(MAX_DEPTH + 1));
    assert!(problem.found.contains("16 deep"), "{}", problem.found);
    assert_eq!(problem.place, Some((1, MAX_DEPTH + 1)));
    // the list itself is a node as well
    parse(&format!("[{}]", "x,".repeat(MAX_NODES - 1)));
    let problem = refused(format!("[{}]", "x,".repeat(MAX_NODES)));
    assert!(problem.found.contains("20000 keys and values"), "{}", problem.found);
    // the item too many is the 20 000th, after 19 999 of two characters each
    assert_eq!(problem.place, Some((1, 2 + 2 * (MAX_NODES - 1))));
    // 4 texts of 60 000 bytes fit into 256 KiB, 5 do not
    let text = |uses: usize| format!("- &t {}\n{}", "x".repeat(60_000), "- *t\n".repeat(uses - 1));
    parse(&text(4));
    assert!(refused(text(5)).found.contains("256 KiB"));
}
