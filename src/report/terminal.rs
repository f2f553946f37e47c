//! Paints a page as text for a terminal: 80 to 100 columns, colour only where asked for.

use super::page::{Block, KEEP, Page, Span, Table, Tone, bad, faint, plain, strong};
use super::words::words;

/// How to paint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Style {
    /// Columns, held between 80 and 100.
    pub width: usize,
    /// Colour by ANSI sequences.
    pub colour: bool,
}

impl Style {
    /// A style with its width held to 80 to 100 columns.
    pub fn new(width: usize, colour: bool) -> Style {
        Style { width: width.clamp(80, 100), colour }
    }
}

/// Indent of text beside a margin word.
const MARGIN: usize = 8;

/// Paints a page.
pub fn paint(page: &Page, style: Style) -> String {
    let mut out = String::new();
    for block in page {
        match block {
            Block::Alarm(text) => paragraph(&mut out, &[bad(text)], style),
            Block::Title(text) => paragraph(&mut out, &[strong(text)], style),
            Block::Heading(text) => {
                out.push('\n');
                push(&mut out, &[strong(text)], style);
            }
            Block::Entry { margin, lines } => entry(&mut out, margin, lines, style),
            Block::Text(spans) => paragraph(&mut out, spans, style),
            Block::Items(items) | Block::Notes(items) => {
                for item in items {
                    for (i, line) in wrap(item, style.width - 2).into_iter().enumerate() {
                        let lead = if i == 0 { "• " } else { "  " };
                        let mut full = vec![plain(lead)];
                        full.extend(line);
                        push(&mut out, &full, style);
                    }
                }
            }
            Block::Table(table) => paint_table(&mut out, table, style),
            Block::Form(fields) => {
                for (label, value) in fields {
                    let value = value.as_deref().unwrap_or("____________________");
                    paragraph(&mut out, &[plain(format!("{label}: {value}"))], style);
                }
            }
            Block::Beside(blocks, drawing) => {
                out.push_str(&paint(blocks, style));
                out.push_str(&paint(&vec![Block::Figure(drawing.clone())], style));
            }
            Block::Figure(drawing) => paragraph(&mut out, &[plain(&drawing.description)], style),
            Block::Gap => out.push('\n'),
        }
    }
    out
}

fn entry(out: &mut String, margin: &str, lines: &[Vec<Span>], style: Style) {
    let mut first = true;
    for paragraph in lines {
        for line in wrap(paragraph, style.width - MARGIN) {
            let word = if first { margin } else { "" };
            first = false;
            let mut full = vec![strong(format!("{word:<MARGIN$}"))];
            full.extend(line);
            push(out, &full, style);
        }
    }
}

/// Columns a text takes on a terminal; every character of these reports is one column wide.
fn columns(text: &str) -> usize {
    text.chars().count()
}

/// Breaks spans into lines of at most `width` columns, between words.
fn wrap(spans: &[Span], width: usize) -> Vec<Vec<Span>> {
    let mut lines: Vec<Vec<Span>> = vec![Vec::new()];
    let mut used = 0;
    for span in spans {
        for (index, word) in words(&span.text).into_iter().enumerate() {
            let gap = usize::from(index > 0);
            let long = columns(&word);
            if used > 0 && used + gap + long > width {
                lines.push(Vec::new());
                used = 0;
            }
            let Some(line) = lines.last_mut() else {
                continue;
            };
            let text = if gap == 1 && used > 0 { format!(" {word}") } else { word };
            used += columns(&text);
            match line.last_mut() {
                Some(last) if last.tone == span.tone => last.text.push_str(&text),
                _ => line.push(Span::new(text, span.tone)),
            }
        }
    }
    lines
}

fn paragraph(out: &mut String, spans: &[Span], style: Style) {
    for line in wrap(spans, style.width) {
        push(out, &line, style);
    }
}

fn push(out: &mut String, line: &[Span], style: Style) {
    let mut text = String::new();
    let last = line.len();
    for (i, span) in line.iter().enumerate() {
        let piece = if i + 1 == last { span.text.trim_end() } else { &span.text };
        text.push_str(&coloured(&piece.replace(KEEP, " "), span.tone, style));
    }
    out.push_str(text.trim_end());
    out.push('\n');
}

fn coloured(text: &str, tone: Tone, style: Style) -> String {
    let code = match tone {
        Tone::Plain | Tone::Blank => "",
        Tone::Strong => "1",
        Tone::Good => "32",
        Tone::Careful => "33",
        Tone::Bad => "31",
        Tone::Faint => "2",
    };
    if style.colour && !code.is_empty() && !text.trim().is_empty() {
        format!("\u{1b}[{code}m{text}\u{1b}[0m")
    } else {
        text.to_owned()
    }
}

/// Columns between two columns of a table.
const GUTTER: usize = 2;
/// A label is never cut below this.
const LEAST_LABEL: usize = 12;

/// A table: labels to the left, figures to the right, a rule under the titles. A label that does not fit is
/// cut with "…", so that columns stay columns. Where the figures alone are too wide, the table goes on below
/// with its labels repeated.
fn paint_table(out: &mut String, table: &Table, style: Style) {
    let count = table.rows.iter().map(Vec::len).chain([table.titles.len()]).max().unwrap_or(0);
    let mut widths = vec![0; count];
    let cells = |row: &Vec<Span>| row.iter().map(|c| columns(&c.text)).collect::<Vec<_>>();
    let widest = |title: &String| title.lines().map(columns).max().unwrap_or(0);
    let titles: Vec<usize> = table.titles.iter().map(widest).collect();
    for row in table.rows.iter().map(cells).chain([titles]) {
        for (w, c) in widths.iter_mut().zip(row) {
            *w = (*w).max(c);
        }
    }
    let Some((&label, figures)) = widths.split_first() else {
        return;
    };
    let all: usize = figures.iter().map(|w| w + GUTTER).sum();
    if all + label.min(LEAST_LABEL) <= style.width {
        let label = label.min(style.width - all);
        paint_columns(out, table, label, &(1..count).collect::<Vec<_>>(), &widths, style);
        return;
    }
    let mut rest = 1;
    while rest < count {
        let mut used = label.min(style.width / 2);
        let from = rest;
        while rest < count && (rest == from || used + GUTTER + widths[rest] <= style.width) {
            used += GUTTER + widths[rest];
            rest += 1;
        }
        if from > 1 {
            out.push('\n');
        }
        let shown: Vec<usize> = (from..rest).collect();
        let label = label.min(style.width / 2);
        paint_columns(out, table, label, &shown, &widths, style);
    }
}

/// The label column and the columns `shown`.
fn paint_columns(
    out: &mut String,
    table: &Table,
    label: usize,
    shown: &[usize],
    widths: &[usize],
    style: Style,
) {
    let line = |row: &[Span]| {
        let mut full = Vec::new();
        for column in std::iter::once(0).chain(shown.iter().copied()) {
            let Some(cell) = row.get(column) else {
                continue;
            };
            let width = if column == 0 { label } else { widths[column] };
            let text = if columns(&cell.text) > width {
                let kept: String = cell.text.chars().take(width.saturating_sub(1)).collect();
                format!("{kept}…")
            } else {
                cell.text.clone()
            };
            let space = width - columns(&text).min(width);
            if column == 0 {
                full.push(Span::new(text, cell.tone));
                full.push(plain(" ".repeat(space)));
            } else {
                full.push(plain(" ".repeat(space + GUTTER)));
                full.push(Span::new(text, cell.tone));
            }
        }
        full
    };
    if !table.titles.is_empty() {
        let lines = table.titles.iter().map(|t| t.lines().count());
        for part in 0..lines.max().unwrap_or(0) {
            let titles: Vec<Span> = table
                .titles
                .iter()
                .map(|t| faint(t.lines().nth(part).unwrap_or_default()))
                .collect();
            push(out, &line(&titles), style);
        }
        let total: usize = label + shown.iter().map(|c| widths[*c] + GUTTER).sum::<usize>();
        push(out, &[faint("─".repeat(total))], style);
    }
    for row in &table.rows {
        push(out, &line(row), style);
    }
}
