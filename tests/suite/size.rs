//! How large the sources are: lines and tokens of code, floor by floor, without tests, comments and blank lines.
//!
//! `cargo test --test suite size -- --nocapture` prints the table. Lines depend on formatting, tokens do not; both together
//! show whether a change made the program simpler.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Most lines and tokens of code in `src`; they are lowered with each step that makes it smaller. Raised once, from
/// 29,150 and 270,850, for what was not there: cautions by their steps, readings that contradict, how a value is known,
/// more faults, step transformers and what remains behind them; and again, from 32,200 and 302,500, for the verdict, what
/// raises, parts that go together, the signal, and notes of sets that are left; and again, from 34,900 and 332,000, for iron
/// that saturates, copper that warms, everything that may be off in every band, and the first minute as a curve; and again,
/// from 38,000 and 366,000, for sets of every kind: catalogue, heater strings, new profiles and the interview that asks for
/// them, parts replaced; and, from 44,000 and 427,000, for heaters side by side, a resistor in the line cord, a second supply.
/// Then lowered from 46,200 and 450,400, the public names counted, to 42,600 and 421,000; and raised for the plan in short with its
/// parts on demand, text of any width, the pager, and the profiles and words that the program holds. Then, from 43,400 and 429,500,
/// for a first page that is complete, the card, stages as checklists, the bench drawn, parts named, closed forms of all JSON, a
/// manual page that is whole, and shells that ask the program. Then, from 44,900 and 443,500, for circuits of two parts that are no
/// wider than others, limits that are hatched, and parts named in cold checks; sums that come out as written, cautions by whom
/// they concern; and for an outlet's log: its lines and its file, percentiles and how far so few readings bound them, what is set
/// aside, and the chart. Then, from 46,400 and 462,000, for what to buy: each capacitor's rating, drifted parts, part, box and
/// fuse, in every form and on the note; from 47,450 and 472,000, for what is fitted already, how the set was left, and what
/// later visits found; from 49,100 and 488,800, for pipes, lists of files with their bar and Ctrl-C, outputs that are checked, and
/// the defaults of a shop; from 49,900 and 496,500, for what a library user may leave out (schemas are derived apart),
/// examples in advice, the caution against what is fitted, and slips of the pen in readings; from 50,090 and 499,600, for the
/// set on a page: its states, its sums, its drawings with marks.
const MOST: Size = Size { lines: 52_200, tokens: 523_000 };

/// Lines and tokens of code.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
struct Size {
    lines: usize,
    tokens: usize,
}

/// A piece of source text.
enum Piece {
    /// Blanks and comments.
    Nothing,
    /// A word, a number, a text, a character or a sign.
    Token,
}

/// What `text` begins with, and its length in bytes.
fn piece(text: &str) -> (Piece, usize) {
    let first = text.chars().next().unwrap();
    let until = |end: &str, from: usize| {
        text[from..].find(end).map_or(text.len(), |at| from + at + end.len())
    };
    let word = |text: &str| text.find(|c: char| !c.is_alphanumeric() && c != '_');
    if first.is_whitespace() {
        return (Piece::Nothing, first.len_utf8());
    }
    if text.starts_with("//") {
        return (Piece::Nothing, text.find('\n').unwrap_or(text.len()));
    }
    if text.starts_with("/*") {
        return (Piece::Nothing, until("*/", 2));
    }
    let bare = text.strip_prefix('b').unwrap_or(text);
    let prefix = text.len() - bare.len();
    if let Some(raw) = bare.strip_prefix('r') {
        let marks = raw.len() - raw.trim_start_matches('#').len();
        if raw[marks..].starts_with('"') {
            let end = format!("\"{}", "#".repeat(marks));
            return (Piece::Token, until(&end, prefix + 1 + marks + 1));
        }
    }
    if bare.starts_with('"') {
        return (Piece::Token, prefix + quoted(bare));
    }
    // a quote begins a character or a lifetime
    if let Some(rest) = text.strip_prefix('\'') {
        let mut ahead = rest.chars();
        match (ahead.next(), ahead.next()) {
            (Some('\\'), Some(escaped)) => {
                return (Piece::Token, until("'", 2 + escaped.len_utf8()));
            }
            (Some(c), Some('\'')) => return (Piece::Token, 2 + c.len_utf8()),
            _ => return (Piece::Token, 1 + word(rest).unwrap_or(rest.len())),
        }
    }
    if first.is_alphabetic() || first == '_' {
        return (Piece::Token, word(text).unwrap_or(text.len()));
    }
    if first.is_ascii_digit() {
        let end = text.find(|c: char| !c.is_alphanumeric() && c != '_' && c != '.');
        return (Piece::Token, end.unwrap_or(text.len()));
    }
    (Piece::Token, first.len_utf8())
}

/// Length of a text in quotes, both included.
fn quoted(text: &str) -> usize {
    let mut escaped = false;
    for (at, c) in text.char_indices().skip(1) {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return at + 1,
            _ => {}
        }
    }
    text.len()
}

/// The text without what stands behind `#[cfg(test)]` at the left edge: an item of one line, or one that ends with a brace there.
pub fn without_tests(text: &str) -> String {
    let mut kept = String::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        if line.starts_with("#[cfg(test)]") {
            let item = lines.find(|line| !line.starts_with('#')).unwrap_or_default();
            if item.trim_end().ends_with('{') {
                lines.find(|line| line.trim_end() == "}");
            }
            continue;
        }
        kept.push_str(line);
        kept.push('\n');
    }
    kept
}

/// The words, numbers, texts, characters and signs of `text`, one by one.
pub fn tokens(text: &str) -> Vec<&str> {
    let (mut at, mut list) = (0, Vec::new());
    while at < text.len() {
        let (piece, length) = piece(&text[at..]);
        if matches!(piece, Piece::Token) {
            list.push(&text[at..at + length]);
        }
        at += length;
    }
    list
}

fn size(text: &str) -> Size {
    let text = without_tests(text);
    let mut size = Size::default();
    let (mut at, mut line, mut counted) = (0, 1, 0);
    while at < text.len() {
        let (piece, length) = piece(&text[at..]);
        let last = line + text[at..at + length].matches('\n').count();
        if matches!(piece, Piece::Token) {
            size.tokens += 1;
            size.lines += last + 1 - line.max(counted + 1);
            counted = last;
        }
        (at, line) = (at + length, last);
    }
    size
}

fn is_test(path: &Path) -> bool {
    let name = path.file_name().unwrap().to_str().unwrap();
    path.iter().any(|folder| folder == "tests") || name == "tests.rs" || name.ends_with("_tests.rs")
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let within = |path: PathBuf| if path.is_dir() { sources(&path) } else { vec![path] };
    entries.flat_map(within).filter(|p| p.extension().is_some_and(|e| e == "rs")).collect()
}

#[test]
fn sources_are_no_larger_than_they_were() {
    let mut floors: BTreeMap<String, Size> = BTreeMap::new();
    for path in sources(Path::new("src")).iter().filter(|path| !is_test(path)) {
        let one = size(&std::fs::read_to_string(path).unwrap());
        let floor = path.iter().nth(1).unwrap().to_str().unwrap();
        let floor = if floor.ends_with(".rs") { "(files of src)" } else { floor };
        for sum in [floor, "total"] {
            let sum = floors.entry(sum.to_owned()).or_default();
            sum.lines += one.lines;
            sum.tokens += one.tokens;
        }
    }
    println!("{:16}{:>8}{:>9}", "floor", "lines", "tokens");
    for (floor, size) in &floors {
        println!("{floor:16}{:8}{:9}", size.lines, size.tokens);
    }
    let total = floors["total"];
    assert!(floors.len() > 8 && total.tokens > 100_000, "the sources were not found");
    assert!(total.lines <= MOST.lines && total.tokens <= MOST.tokens, "{total:?}, {MOST:?}");
}

#[test]
fn counting_knows_texts_comments_characters_and_tests() {
    let counted = |text: &str| {
        let Size { lines, tokens } = size(text);
        (lines, tokens)
    };
    assert_eq!(counted("let a = 1.5e3;\n\n// no\nb(\"// yes\", 'c', &'d e);\n"), (2, 16));
    assert_eq!(counted("r#\"one\n\ntwo \" \"#;\n/* no\n no */ x\n"), (4, 3));
    assert_eq!(counted("'\\'' '\"' b\"\\\"\" '\\u{3a9}'\n"), (1, 4));
    assert_eq!(
        counted("fn f() {}\n#[cfg(test)]\nmod tests {\n    fn g() {}\n}\nfn h() {}\n"),
        (2, 12)
    );
    assert_eq!(counted("#[cfg(test)]\nmod tests;\nfn h() {}\n"), (1, 6));
}
