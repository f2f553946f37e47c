//! Plain-text layout of [`Problems`].

use super::problem::{Problem, Problems};
use crate::text::{is_unprintable, printable};

/// Widest line written where no screen says otherwise, in characters.
const WIDTH: usize = 100;
/// Narrowest and widest lines that are laid out for; only a file name longer than that exceeds it.
const WIDTHS: std::ops::RangeInclusive<usize> = 40..=WIDTH;

/// Indent of everything below a problem's first line.
const INDENT: &str = "    ";

/// What is told of a failure, not laid out yet.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Told(Vec<Piece>);

#[derive(Debug, Clone, PartialEq, Eq)]
enum Piece {
    /// A sentence behind its indent; an empty one is an empty line.
    Sentence(&'static str, String),
    /// A source line with its number and the column of the caret, both from 1.
    Source(usize, usize, String),
}

impl Told {
    /// A sentence more.
    pub fn say(&mut self, sentence: impl Into<String>) {
        self.0.push(Piece::Sentence("", sentence.into()));
    }

    /// A sentence more below another.
    pub fn say_below(&mut self, sentence: impl Into<String>) {
        self.0.push(Piece::Sentence(INDENT, sentence.into()));
    }

    /// All that another says, behind this.
    pub fn then(mut self, other: Told) -> Told {
        self.0.extend(other.0);
        self
    }

    /// Lines of `columns` characters, 40 to 100.
    ///
    /// A longer source line is cut around its caret, tabs in it are shown as a blank, and the caret counts characters, not
    /// bytes.
    pub fn lines(&self, columns: usize) -> String {
        let width = columns.clamp(*WIDTHS.start(), *WIDTHS.end());
        let mut out = String::new();
        for piece in &self.0 {
            match piece {
                Piece::Sentence(indent, sentence) => fold(&mut out, indent, sentence, width),
                Piece::Source(line, column, source) => {
                    excerpt(&mut out, (*line, *column), source, width);
                }
            }
        }
        out
    }

    /// The same where no screen says how wide.
    pub fn page(&self) -> String {
        self.lines(WIDTH)
    }
}

impl Problems {
    /// The problems as plain text in lines of at most 100 characters. Empty for no problems.
    pub fn render(&self) -> String {
        self.told().page()
    }

    /// The problems in file order, ending with a line that counts them.
    pub fn told(&self) -> Told {
        let mut told = Told::default();
        if self.is_empty() {
            return told;
        }
        self.items().iter().for_each(|problem| self.tell(&mut told, problem));
        if self.hidden() > 0 {
            told.say(format!("and {} more not shown", self.hidden()));
            told.say("");
        }
        let counts = [counted(self.errors(), "error"), counted(self.warnings(), "warning")];
        let counts: Vec<String> = counts.into_iter().flatten().collect();
        let name = printable(self.name());
        told.say(format!("{} in {name}", counts.join(", ")));
        told
    }

    fn tell(&self, told: &mut Told, problem: &Problem) {
        let name = printable(self.name());
        let place = match problem.place {
            Some((line, column)) => format!("{name}:{line}:{column}"),
            None => name,
        };
        let mut head = format!("{place}: {}", problem.severity);
        if !problem.path.is_empty() {
            head.push_str(&format!(" in {}", printable(&problem.path)));
        }
        told.say(head);
        if let Some((line, column)) = problem.place
            && let Some(source) = self.excerpt(line)
        {
            told.0.push(Piece::Source(line, column, source.to_owned()));
        }
        told.say_below(printable(&problem.found));
        if let Some(advice) = &problem.advice {
            told.say_below(format!("fix: {}", printable(advice)));
        }
        told.say("");
    }
}

fn counted(count: usize, what: &str) -> Option<String> {
    match count {
        0 => None,
        1 => Some(format!("1 {what}")),
        _ => Some(format!("{count} {what}s")),
    }
}

/// The source line with a caret below the column (from 1), cut to the width around the caret.
fn excerpt(out: &mut String, (line, column): (usize, usize), source: &str, width: usize) {
    let gutter = format!("{line:>6} > ");
    let room = width - gutter.len() - 1;
    let shown: Vec<char> = source
        .chars()
        .map(|c| match c {
            '\t' => ' ',
            // one character for one character, or the caret would be off
            c if is_unprintable(c) => '\u{fffd}',
            c => c,
        })
        .collect();
    // the caret may stand just after the last character, where something is missing
    let caret = column.saturating_sub(1).min(shown.len());
    let start = caret.saturating_sub(room / 2).min(shown.len().saturating_sub(room));
    let end = shown.len().min(start + room);
    let mut cut: Vec<char> = shown[start..end].to_vec();
    if start > 0 && caret > start {
        cut[0] = '…';
    }
    if end < shown.len()
        && let Some(last) = cut.last_mut()
    {
        *last = '…';
    }
    let cut: String = cut.into_iter().collect();
    out.push_str(format!("{gutter}{cut}").trim_end());
    out.push('\n');
    out.push_str(&" ".repeat(gutter.len() + caret - start));
    out.push_str("^\n");
}

/// Writes a sentence over as many lines as it needs; later lines are indented one step more.
fn fold(out: &mut String, indent: &str, sentence: &str, width: usize) {
    let mut line = String::from(indent);
    let mut used = indent.len();
    let mut fresh = true;
    let mut break_line = |line: &mut String| {
        out.push_str(line);
        out.push('\n');
        *line = format!("{indent}{INDENT}");
        line.len()
    };
    for word in sentence.split(' ').filter(|word| !word.is_empty()) {
        let mut word: Vec<char> = word.chars().collect();
        if !fresh && used + 1 + word.len() > width {
            used = break_line(&mut line);
            fresh = true;
        }
        if !fresh {
            line.push(' ');
            used += 1;
        }
        // a value without a blank in it can be longer than a line; a place never is broken
        while used + word.len() > width && !indent.is_empty() {
            let rest = word.split_off(width - used);
            line.extend(word);
            used = break_line(&mut line);
            word = rest;
        }
        used += word.len();
        line.extend(word);
        fresh = false;
    }
    out.push_str(&line);
    out.push('\n');
}
