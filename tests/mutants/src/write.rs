//! Mutants written into a file's text, each chosen at run time by its number.

use crate::points::{Point, Shape};
use std::cmp::Reverse;
use std::ops::Range;

/// What asks for the mutant that was chosen and, where a file is named, notes there which were come by. It is put at the
/// end of the copy's `lib.rs`.
pub const ASKED: &str = r#"
/// The mutant that the environment chooses.
#[doc(hidden)]
pub mod mutants {
    use std::fs::{File, OpenOptions};
    use std::io::Write;
    use std::sync::LazyLock;
    use std::sync::atomic::{AtomicBool, Ordering};

    static CHOSEN: LazyLock<u32> = LazyLock::new(|| {
        std::env::var("MAINSFIT_MUTANT").ok().and_then(|n| n.parse().ok()).unwrap_or(0)
    });
    static NOTED: LazyLock<Option<File>> = LazyLock::new(|| {
        let path = std::env::var_os("MAINSFIT_MUTANTS_REACHED")?;
        OpenOptions::new().append(true).create(true).open(path).ok()
    });
    static SEEN: [AtomicBool; 4096] = [const { AtomicBool::new(false) }; 4096];

    /// Whether this is the one.
    #[inline]
    pub fn mutant(n: u32) -> bool {
        if !SEEN[n as usize].load(Ordering::Relaxed) {
            first(n);
        }
        *CHOSEN == n
    }

    #[cold]
    fn first(n: u32) {
        SEEN[n as usize].store(true, Ordering::Relaxed);
        if let Some(mut file) = NOTED.as_ref() {
            let _ = file.write_all(&n.to_le_bytes());
        }
    }
}
#[doc(hidden)]
pub use mutants::mutant;
"#;

/// `text` with `mutants` of that file in it, by number.
pub fn written(text: &str, mutants: &[(usize, &Point)]) -> String {
    let mut sorted = mutants.to_vec();
    sorted.sort_by_key(|(n, point)| {
        let span = point.shape.span();
        (span.start, !span.is_empty(), Reverse(span.end), *n)
    });
    Writer { text, mutants: &sorted }.part(0..text.len())
}

struct Writer<'a> {
    text: &'a str,
    mutants: &'a [(usize, &'a Point)],
}

impl Writer<'_> {
    /// A part of the text, with the mutants that lie in it.
    fn part(&self, part: Range<usize>) -> String {
        let mut out = String::new();
        let mut at = part.start;
        let mut rest = self.mutants;
        while let [(n, point), ..] = rest {
            let span = point.shape.span();
            // several changes of one and the same thing stand in one chain of `if`
            let same = rest.iter().take_while(|(_, other)| other.shape.span() == span).count();
            let (group, after) =
                if span.is_empty() { rest.split_at(1) } else { rest.split_at(same) };
            rest = after;
            if span.start < at || span.end > part.end {
                continue;
            }
            out += &self.text[at..span.start];
            at = span.end;
            match &point.shape {
                Shape::Body { returns, .. } => {
                    out += &format!("/*<{n}*/if crate::mutant({n}) {{ return {returns}; }}/*>*/");
                }
                _ => out += &self.choice(*n, group),
            }
        }
        out + &self.text[at..part.end]
    }

    /// An expression as it was or as one of `group` makes it. The comments tell afterwards whose text an error lies in.
    fn choice(&self, first: usize, group: &[(usize, &Point)]) -> String {
        let mut out = format!("/*<{first}*/(");
        let mut as_it_was = String::new();
        for (n, point) in group {
            let changed = match &point.shape {
                Shape::Binary { left, right, becomes } => {
                    let (l, r) = (self.part(left.clone()), self.part(right.clone()));
                    as_it_was = format!("{l}{}{r}", &self.text[left.end..right.start]);
                    format!("({l}) {becomes} ({r})")
                }
                Shape::Unary { all, operand } => {
                    let inner = self.part(operand.clone());
                    as_it_was = format!("{}{inner}", &self.text[all.start..operand.start]);
                    format!("({inner})")
                }
                Shape::Body { .. } => unreachable!("a body stands by itself"),
            };
            out += &format!("if crate::mutant({n}) {{ /*<{n}*/{changed}/*>*/ }} else ");
        }
        out + &format!("{{ {as_it_was} }})/*>*/")
    }
}

/// The mutant in whose text the byte at `at` lies, the innermost.
pub fn owner(text: &str, at: usize) -> Option<usize> {
    let mut open = Vec::new();
    let mut rest = 0;
    while let Some(found) = text[rest..at.min(text.len())].find("/*") {
        let mark = &text[rest + found + 2..];
        if let Some(number) = mark.strip_prefix('<').and_then(|m| m.split("*/").next()) {
            open.extend(number.parse::<usize>().ok());
        } else if mark.starts_with(">*/") {
            open.pop();
        }
        rest += found + 2;
    }
    open.pop()
}

/// The first mutant that begins in that part of the text.
pub fn first_in(text: &str, part: Range<usize>) -> Option<usize> {
    let inside = &text[part.start..part.end.min(text.len())];
    inside.split("/*<").skip(1).find_map(|m| m.split("*/").next()?.parse().ok())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::points;

    const TEXT: &str = "fn f(a: f64, b: f64) -> bool { !(a + b < 2.0 * a) && b > -1.0 }\n\
        const fn g() -> bool { 1 < 2 }\n\
        fn h(x: Option<f64>) -> Option<f64> { if let Some(y) = x && y > 1.0 { x } else { None } }\n\
        #[cfg(test)]\nmod tests { fn t() -> bool { 1 < 2 } }\n";

    #[test]
    fn points_are_what_can_be_chosen_at_run_time() {
        let found = points::of_file("room", "file.rs", TEXT).unwrap();
        let changes: Vec<_> = found.iter().map(|p| (p.line, p.change.as_str())).collect();
        let first = [
            "f returns true",
            "f returns false",
            "&& to ||",
            "! left out",
            "< to <=",
            "< to >",
            "+ to -",
            "+ to *",
            "* to /",
            "* to +",
            "> to >=",
            "> to <",
            "- left out",
        ];
        let third =
            ["h returns None", "h returns Some(0.0)", "h returns Some(1.0)", "> to >=", "> to <"];
        let wanted: Vec<_> =
            first.map(|c| (1, c)).into_iter().chain(third.map(|c| (3, c))).collect();
        assert_eq!(changes, wanted);
    }

    #[test]
    fn mutants_within_mutants_stand_in_every_arm_and_parse() {
        let found = points::of_file("room", "file.rs", TEXT).unwrap();
        let numbered: Vec<_> = found.iter().enumerate().map(|(i, p)| (i + 1, p)).collect();
        let text = written(TEXT, &numbered);
        syn::parse_file(&text).unwrap();
        for n in 1..=found.len() {
            assert!(text.contains(&format!("crate::mutant({n})")), "{n}: {text}");
        }
        // the sum is in all of the arms of the comparison around it, and those in both of each of the two above
        assert_eq!(text.matches("(a) - (b)").count(), 3 * 2 * 2);
        // with none chosen the last arms are the text as it was
        let (alone, none) = (written(TEXT, &numbered[4..5]), written(TEXT, &[]));
        assert!(alone.contains("else { a + b < 2.0 * a })"), "{alone}");
        assert_eq!(none, TEXT);
        let at = alone.find("<= (2.0").unwrap();
        assert_eq!(owner(&alone, at), Some(5));
        assert_eq!(owner(&alone, alone.find("const").unwrap()), None);
    }
}
