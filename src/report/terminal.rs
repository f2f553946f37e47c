//! Paints a page as text for a terminal: 40 to 200 columns, colour only where asked for.

use super::{
    build::list,
    page::{Block, KEEP, Line, Page, Span, Table, Tone, bad, faint, line, plain, strong},
};
use crate::text::{cut, words};
use std::collections::BTreeSet;
use unicode_width::UnicodeWidthStr;

/// How to paint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Style {
    /// Columns, held between 40 and 200.
    pub width: usize,
    /// Colour by ANSI sequences.
    pub colour: bool,
}

impl Style {
    /// A style with its width held to 40 to 200 columns.
    pub fn new(width: usize, colour: bool) -> Style {
        Style { width: width.clamp(40, 200), colour }
    }
}

/// A line of text is no longer, however wide the terminal: the eye would not find the next one.
const LONGEST: usize = 100;

/// Indent of text beside a margin word.
const MARGIN: usize = 8;

/// Paints a page.
pub fn paint(page: &Page, style: Style) -> String {
    let mut painter = Painter { out: String::new(), style };
    page.iter().for_each(|block| painter.block(block));
    painter.out
}

/// Columns a text takes on a terminal.
fn columns(text: &str) -> usize {
    text.width()
}

/// Breaks spans into lines of at most `width` columns, between words.
fn wrap(spans: &[Span], width: usize) -> Vec<Line> {
    let mut lines = vec![Line::new()];
    let mut used = 0;
    for span in spans {
        for (i, word) in words(&span.text).into_iter().enumerate() {
            let gap = if i > 0 { " " } else { "" };
            if used > 0 && used + columns(gap) + columns(&word) > width {
                lines.push(Line::new());
                used = 0;
            }
            let piece = if used > 0 { gap.to_owned() + &word } else { word };
            used += columns(&piece);
            lines.last_mut().into_iter().for_each(|line| line.push(span.tone.of(&piece)));
        }
    }
    lines.into_iter().map(line).collect()
}

/// Columns between two columns of a table.
const GUTTER: usize = 2;
/// A label is never cut below this.
const LEAST_LABEL: usize = 12;

/// A page as far as it is painted.
struct Painter {
    out: String,
    style: Style,
}

impl Painter {
    fn block(&mut self, block: &Block) {
        match block {
            Block::Alarm(text) => self.set(plain(""), &[bad(text)]),
            Block::Title(text) => self.set(plain(""), &[strong(text)]),
            Block::Heading(text) => {
                self.out.push('\n');
                self.set(plain(""), &[strong(text)]);
            }
            Block::Entry { margin, lines } => {
                for (i, line) in lines.iter().enumerate() {
                    let margin = if i == 0 { margin } else { "" };
                    self.set(strong(format!("{margin:<MARGIN$}")), line);
                }
            }
            Block::Text(line) => self.set(plain(""), line),
            Block::Items(items) | Block::Notes(items) => {
                items.iter().for_each(|item| self.set(plain("• "), item));
            }
            Block::Table(table) => self.table(table),
            Block::Form(fields) | Block::Lines(fields) => {
                for (label, value) in fields {
                    let value = value.as_deref().unwrap_or("____________________");
                    self.set(plain(""), &[plain((label, ": ", value))]);
                }
            }
            Block::Cells(cells) => {
                for cell in cells {
                    let lead = plain((&cell.label, ": "));
                    let read = cell.read.as_deref().unwrap_or("________");
                    self.set(plain(""), &list((lead, cell.expect.clone(), plain(("  ", read)))));
                }
            }
            Block::Checks(items) => items.iter().for_each(|item| self.set(plain("[ ] "), item)),
            Block::Group(_, blocks) => blocks.iter().for_each(|block| self.block(block)),
            Block::Foot(..) => {}
            Block::Figure(drawing) => self.set(plain(""), &[plain(&drawing.description)]),
            Block::Gap => self.out.push('\n'),
        }
    }

    /// A paragraph with `lead` before its first line, and as much space before the others.
    fn set(&mut self, lead: Span, spans: &[Span]) {
        let margin = columns(&lead.text);
        for (i, line) in wrap(spans, self.style.width.min(LONGEST) - margin).into_iter().enumerate()
        {
            let lead = if i == 0 { lead.clone() } else { plain(" ".repeat(margin)) };
            self.line(&list((lead, line)));
        }
    }

    fn line(&mut self, line: &[Span]) {
        let last = line.len();
        let pieces = line.iter().enumerate().map(|(i, span)| {
            let piece = if i + 1 == last { span.text.trim_end() } else { &span.text };
            self.coloured(&piece.replace(KEEP, " "), span.tone)
        });
        let text: String = pieces.collect();
        self.out.push_str(text.trim_end());
        self.out.push('\n');
    }

    fn coloured(&self, text: &str, tone: Tone) -> String {
        let code = match tone {
            Tone::Plain | Tone::Blank => "",
            Tone::Strong => "1",
            Tone::Good => "32",
            Tone::Careful => "33",
            Tone::Bad => "31",
            Tone::Faint => "2",
        };
        if self.style.colour && !code.is_empty() && !text.trim().is_empty() {
            format!("\u{1b}[{code}m{text}\u{1b}[0m")
        } else {
            text.to_owned()
        }
    }

    /// A table: labels to the left, figures to the right, a rule under the titles. A label that does not fit is
    /// cut with "…" where that leaves it another than the others, so that columns stay columns. Where the figures alone are too
    /// wide, the table goes on below with its labels and titles repeated; where not even that fits, it is a list.
    fn table(&mut self, table: &Table) {
        let room = self.style.width;
        let lines = table.titles.iter().map(|title| title.lines().count()).max().unwrap_or(0);
        let heads: Vec<Line> = (0..lines)
            .map(|n| table.titles.iter().map(|t| faint(t.lines().nth(n).unwrap_or(""))).collect())
            .collect();
        let rows = || heads.iter().chain(&table.rows);
        let count = rows().map(Vec::len).max().unwrap_or(0);
        let widest = |column: usize| {
            let cells = rows().filter_map(|row| row.get(column));
            cells.map(|cell| columns(&cell.text)).max().unwrap_or(0)
        };
        let mut widths: Vec<usize> = (0..count).map(widest).collect();
        let Some((label, figures)) = widths.split_first_mut() else {
            return;
        };
        let all: usize = figures.iter().map(|w| w + GUTTER).sum();
        let widest = figures.iter().max().map_or(0, |w| w + GUTTER);
        let full = *label;
        let apart = |width: usize| {
            let labels = table.rows.iter().filter_map(|row| row.first());
            labels
                .map(|cell| cut(&cell.text, width as f64, &|text| columns(text) as f64))
                .collect::<BTreeSet<_>>()
                .len()
        };
        // beside all figures, or beside some of them
        let whole = (all + LEAST_LABEL.min(full) <= room).then(|| room - all);
        let mut tried = whole.into_iter().chain([room / 2]).map(|width| full.min(width));
        let fits = |width: &usize| width + widest <= room && apart(*width) == apart(full);
        let Some(width) = tried.find(fits) else {
            return self.list(table);
        };
        *label = width;
        let label = width;
        let (mut parts, mut used) = (vec![vec![0]], label);
        for (column, width) in widths.iter().enumerate().skip(1) {
            let wide = width + GUTTER;
            if used > label && used + wide > room {
                parts.push(vec![0]);
                used = label;
            }
            used += wide;
            parts.last_mut().into_iter().for_each(|part| part.push(column));
        }
        for (i, part) in parts.iter().enumerate() {
            self.out.push_str(if i > 0 { "\n" } else { "" });
            self.part(&heads, part, &widths);
            if !table.titles.is_empty() {
                let all: usize = part.iter().map(|column| widths[*column] + GUTTER).sum();
                self.line(&[faint("─".repeat(all - GUTTER))]);
            }
            self.part(&table.rows, part, &widths);
        }
    }

    /// A table that does not fit: each row's label with what its columns say, their titles before it.
    fn list(&mut self, table: &Table) {
        for row in &table.rows {
            for (column, cell) in row.iter().enumerate() {
                let title = table
                    .titles
                    .get(column)
                    .map(|t| t.split_whitespace().collect::<Vec<_>>().join(" "))
                    .filter(|t| !t.is_empty());
                match column {
                    0 => self.set(plain(""), &[Tone::Strong.of(cell.text.trim())]),
                    _ => self
                        .set(plain("  "), &list((title.map(|t| faint((t, ": "))), cell.clone()))),
                }
            }
        }
    }

    /// The columns `shown` of some rows, the label among them.
    fn part(&mut self, rows: &[Line], shown: &[usize], widths: &[usize]) {
        for row in rows {
            let cells = shown.iter().filter_map(|column| {
                let (cell, width) = (row.get(*column)?, widths[*column]);
                let text = cut(&cell.text, width as f64, &|text| columns(text) as f64);
                let space = " ".repeat(width - columns(&text).min(width));
                let cell = cell.tone.of(text);
                Some(match column {
                    0 => [cell, plain(space)],
                    _ => [plain((" ".repeat(GUTTER), space)), cell],
                })
            });
            self.line(&list(cells));
        }
    }
}
