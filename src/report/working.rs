//! Sums as one writes them on paper.

use super::page::{Block, Page, Span, heading, notes, plain, strong};
use crate::study::{Term, Working};

/// The working as a section of a terminal's page.
pub fn page(list: &[Working]) -> Page {
    let mut page = section(list);
    if let Some(Block::Heading(text)) = page.first_mut() {
        *text = "THE WORKING (a warm set without signal; four digits, so that your own sums come out the same)".to_owned();
    }
    page
}

/// The working as a section of a sheet of paper.
pub fn section(list: &[Working]) -> Page {
    if list.is_empty() {
        return Vec::new();
    }
    vec![heading("The working"), notes(list.iter().map(line))]
}

/// "heaters today: 6.300 V × 123.0 V ÷ 115.0 V = 6.738 V (solved: 6.748 V)".
pub(super) fn line(working: &Working) -> Vec<Span> {
    let mut sum = String::new();
    for term in &working.terms {
        match term {
            Term::Sign(")") => sum = format!("{})", sum.trim_end()),
            Term::Sign("(") => {
                sum.push('(');
                continue;
            }
            Term::Sign(sign) => sum.push_str(sign),
            Term::Number(n) => sum.push_str(&n.to_string()),
            Term::Figure(value, unit) => sum.push_str(&figure(*value, unit)),
        }
        sum.push(' ');
    }
    let mut spans = vec![
        plain(format!("{}: {}= ", working.what, sum)),
        strong(figure(working.by_hand, working.unit)),
    ];
    for (word, value) in [("solved", working.solved), ("taken", working.taken)] {
        let Some(value) = value else {
            continue;
        };
        let why = working.why.map(|why| format!(": {why}")).unwrap_or_default();
        spans.push(plain(format!(" ({word}: {}{why})", figure(value, working.unit))));
    }
    spans
}

/// Four digits, so that the reader's own sum comes out the same.
fn figure(value: f64, unit: &str) -> String {
    let (value, unit) = match (unit, value.abs()) {
        ("Ω", v) if v >= 1e6 => (value / 1e6, "MΩ"),
        ("Ω", v) if v >= 1e3 => (value / 1e3, "kΩ"),
        ("A", v) if v < 0.1 => (1e3 * value, "mA"),
        _ => (value, unit),
    };
    // what rounds up to the next power of ten has its digits
    let digits = match value.abs() * (1.0 + 0.5e-4) {
        v if v >= 1000.0 => 0,
        v if v >= 100.0 => 1,
        v if v >= 10.0 => 2,
        _ => 3,
    };
    let mut text = format!("{value:.digits$}");
    if unit.ends_with('Ω') && text.contains('.') {
        text = text.trim_end_matches('0').trim_end_matches('.').to_owned();
    }
    format!("{} {unit}", text.replace('-', "−"))
}
