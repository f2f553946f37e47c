//! Sums as one writes them on paper.

use super::{
    figures::{four_digits, in_full},
    page::{Line, Page, line, notes, strong},
};
use crate::study::{Term, Working};

/// The working as a section of a terminal's page.
pub fn page(list: &[Working]) -> Page {
    titled("THE WORKING (a warm set without signal; every figure is written as it counts)", list)
}

/// The working as a section of a sheet of paper.
pub fn section(list: &[Working]) -> Page {
    titled("The working", list)
}

fn titled(title: &str, list: &[Working]) -> Page {
    super::page::section(title, notes(list.iter().map(sum)).if_any())
}

/// "heaters today: 6.3 V × 123 V ÷ 115 V = 6.738 V (solved: 6.748 V)".
pub fn sum(working: &Working) -> Line {
    let mut sum = String::new();
    for term in &working.terms {
        match term {
            Term::Sign("(") => sum += "(",
            Term::Sign(")") => sum = sum.trim_end().to_owned() + ") ",
            Term::Sign(sign) => sum = sum + sign + " ",
            Term::Number(n) => sum += &format!("{n} "),
            Term::Figure(value, unit) => sum += &(in_full(*value, unit) + " "),
        }
    }
    let figure = |value| four_digits(value, working.unit);
    let found = [("solved", working.solved), ("taken", working.taken)];
    let found = found.map(|(word, value)| {
        Some((" (", word, ": ", figure(value?), working.why.map(|why| (": ", why)), ")"))
    });
    line((&working.what, ": ", sum, "= ", strong(figure(working.by_hand)), found))
}
