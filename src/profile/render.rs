//! Plain-text layout of [`Problems`].

use super::problem::{Problem, Problems, is_unprintable, printable};

/// Widest line written, in characters; only a file name longer than this exceeds it.
const WIDTH: usize = 100;

/// Indent of everything below a problem's first line.
const INDENT: &str = "    ";

impl Problems {
    /// The problems as plain text, in file order, ending with a line that counts them.
    ///
    /// Lines are at most 100 characters; a longer source line is cut around its caret, tabs in it
    /// are shown as a blank, and the caret counts characters, not bytes. Empty for no problems.
    pub fn render(&self) -> String {
        if self.is_empty() {
            return String::new();
        }
        let mut out = String::new();
        self.items().iter().for_each(|problem| self.render_one(&mut out, problem));
        if self.hidden() > 0 {
            out.push_str(&format!("and {} more not shown\n\n", self.hidden()));
        }
        let counts = [counted(self.errors(), "error"), counted(self.warnings(), "warning")];
        let counts: Vec<String> = counts.into_iter().flatten().collect();
        let name = printable(self.name());
        out.push_str(&format!("{} in {name}\n", counts.join(", ")));
        out
    }

    fn render_one(&self, out: &mut String, problem: &Problem) {
        let name = printable(self.name());
        let place = match problem.place {
            Some((line, column)) => format!("{name}:{line}:{column}"),
            None => name,
        };
        let mut head = format!("{place}: {}", problem.severity);
        if !problem.path.is_empty() {
            head.push_str(&format!(" in {}", printable(&problem.path)));
        }
        fold(out, "", &head);
        if let Some((line, column)) = problem.place
            && let Some(source) = self.excerpt(line)
        {
            excerpt(out, line, column, source);
        }
        fold(out, INDENT, &printable(&problem.found));
        if let Some(advice) = &problem.advice {
            fold(out, INDENT, &format!("fix: {}", printable(advice)));
        }
        out.push('\n');
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
fn excerpt(out: &mut String, line: usize, column: usize, source: &str) {
    let gutter = format!("{line:>6} > ");
    let room = WIDTH - gutter.len() - 1;
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
pub fn fold(out: &mut String, indent: &str, sentence: &str) {
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
        if !fresh && used + 1 + word.len() > WIDTH {
            used = break_line(&mut line);
            fresh = true;
        }
        if !fresh {
            line.push(' ');
            used += 1;
        }
        // a value without a blank in it can be longer than a line; a place never is broken
        while used + word.len() > WIDTH && !indent.is_empty() {
            let rest = word.split_off(WIDTH - used);
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
