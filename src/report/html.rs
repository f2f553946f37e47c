//! Paints a page as one self-contained HTML document that prints on A4 and on Letter.
//!
//! Text is escaped by `maud`; the one thing taken as it stands is the SVG of a drawing, made by `drawing`.

use super::{
    drawing::Drawing,
    page::{Block, Field, Group, Page, Span, Table, Tone},
};
use crate::text::words;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// The look, on screen and on paper.
const STYLE: &str = include_str!("page.css");

/// Paints a page.
pub fn paint(page: &Page) -> String {
    let title = first(page, |block| match block {
        Block::Title(text) => Some(text.as_str()),
        _ => None,
    });
    let title = title.unwrap_or("mainsfit");
    let foot = first(page, |block| match block {
        Block::Foot(text, paper) => {
            let size = paper.map(|paper| format!("size:{};", paper.word()));
            let (size, foot) = (size.unwrap_or_default(), quoted(text));
            Some(format!("@page{{{size}@bottom-left{{content:{foot}}}}}"))
        }
        _ => None,
    });
    let document = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) (PreEscaped(foot.unwrap_or_default())) }
            }
            body {
                main {
                    (parts(page, title))
                }
            }
        }
    };
    document.into_string() + "\n"
}

/// What the first block has of which there is any, in groups too.
fn first<'a, T>(page: &'a Page, of: fn(&'a Block) -> Option<T>) -> Option<T> {
    page.iter().find_map(|block| match block {
        Block::Group(_, blocks) => first(blocks, of),
        block => of(block),
    })
}

/// Blocks within a page of another make.
pub fn inside(page: &Page) -> Markup {
    html! { @for block in page { (painted(block, "")) } }
}

/// A line within a page of another make.
pub fn line(line: &[Span]) -> Markup {
    spans(line)
}

/// Blocks by the headings they stand below.
fn parts(page: &Page, title: &str) -> Markup {
    html! {
        @for part in page.chunk_by(|_, next| !matches!(next, Block::Heading(_) | Block::Group(..))) {
            @let heading = match part {
                [Block::Heading(text), ..] => text.as_str(),
                _ => title,
            };
            section { @for block in part { (painted(block, heading)) } }
        }
    }
}

/// Text as a string of CSS: whatever is no letter, figure or blank by its number.
fn quoted(text: &str) -> String {
    let shown = |c: char| {
        if c.is_alphanumeric() || c == ' ' { c.to_string() } else { format!("\\{:x} ", c as u32) }
    };
    format!("\"{}\"", text.chars().map(shown).collect::<String>())
}

fn painted(block: &Block, heading: &str) -> Markup {
    match block {
        Block::Alarm(text) => html! { p.alarm { strong { (plain(text)) } } },
        Block::Title(text) => html! { h1 { (plain(text)) } },
        Block::Heading(text) => html! { h2 { (plain(text)) } },
        Block::Entry { margin, lines } => html! {
            dl.entry {
                dt { (plain(margin)) }
                @for line in lines { dd { (spans(line)) } }
            }
        },
        Block::Text(line) => {
            // background is small print where a whole paragraph is meant so
            let fine = line.iter().all(|s| s.tone == Tone::Faint);
            html! { p class=[fine.then_some("fine")] { (spans(line)) } }
        }
        Block::Items(items) => html! {
            ul { @for item in items { li { (spans(item)) } } }
        },
        Block::Notes(items) => html! {
            ul.notes {
                @for item in items {
                    @let length: usize = item.iter().map(|s| s.text.chars().count()).sum();
                    li class=[(length > LONG).then_some("long")] { (spans(item)) }
                }
            }
        },
        Block::Table(table) => self::table(table, heading),
        Block::Form(fields) => html! {
            dl.form { (self::fields(fields)) }
        },
        Block::Lines(fields) => html! {
            dl.lines { (self::fields(fields)) }
        },
        Block::Cells(cells) => html! {
            dl.cells {
                @for cell in cells {
                    div {
                        dt { (plain(&cell.label)) }
                        dd { (spans(&cell.expect)) }
                        @match &cell.read {
                            Some(read) => dd.box { (plain(read)) },
                            None => dd.box title="to be filled in" {},
                        }
                    }
                }
            }
        },
        Block::Checks(items) => html! {
            ul.checks { @for item in items { li { (spans(item)) } } }
        },
        Block::Group(group, blocks) => html! {
            div class=(match group {
                Group::Front => "front",
                Group::Warning => "warning",
                Group::Whole => "together",
                Group::Card => "card",
            }) { (parts(blocks, heading)) }
        },
        Block::Foot(..) => html! {},
        Block::Figure(drawing) => figure(drawing),
        Block::Gap => html! {},
    }
}

fn fields(fields: &[Field]) -> Markup {
    html! {
        @for (label, value) in fields {
            div {
                dt { (plain(label)) }
                @match value {
                    Some(value) => dd { (plain(value)) },
                    None => dd.line title="to be filled in" {},
                }
            }
        }
    }
}

fn figure(drawing: &Drawing) -> Markup {
    html! {
        figure {
            @if !drawing.titled { figcaption { (plain(&drawing.title)) } }
            (PreEscaped(&drawing.svg))
        }
    }
}

fn table(table: &Table, heading: &str) -> Markup {
    html! {
        table aria-label=(heading) {
            @if !table.titles.is_empty() {
                thead {
                    tr {
                        @for (column, title) in table.titles.iter().enumerate() {
                            @let mut cells = table.rows.iter().filter_map(|row| row.get(column));
                            @let blank = cells.any(|cell| cell.tone == Tone::Blank);
                            @if title.is_empty() {
                                td {}
                            } @else {
                                th scope="col" class=[blank.then_some("blank")] { (plain(title)) }
                            }
                        }
                    }
                }
            }
            tbody {
                @for row in &table.rows {
                    tr {
                        @for (column, cell) in row.iter().enumerate() {
                            @if column == 0 {
                                th scope="row" { (span(cell)) }
                            } @else {
                                td class=[class(cell)] { (span(cell)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Characters above which a note may be broken between columns.
const LONG: usize = 300;
/// Characters up to which a cell stays on one line.
const SHORT: usize = 22;

fn class(cell: &Span) -> Option<&'static str> {
    match cell.tone {
        Tone::Blank => Some("blank"),
        _ if cell.text.chars().count() <= SHORT => Some("short"),
        _ => None,
    }
}

fn spans(line: &[Span]) -> Markup {
    html! { @for piece in line { (span(piece)) } }
}

/// On paper without colour a meaning must show by weight and line.
fn span(piece: &Span) -> Markup {
    let text = plain(&piece.text);
    match piece.tone {
        Tone::Plain | Tone::Good | Tone::Faint | Tone::Blank => text,
        Tone::Strong => html! { strong { (text) } },
        Tone::Careful => html! { em { (text) } },
        Tone::Bad => html! { strong.bad { (text) } },
    }
}

/// Text. What runs from right to left is kept apart, so that it cannot pull figures beside it out of order.
fn plain(text: &str) -> Markup {
    let mut rtl = false;
    let letters = text.chars().map(|c| {
        // blanks and marks stay with the run they follow, figures and Latin letters end it
        rtl = is_right_to_left(c) || rtl && !c.is_alphanumeric();
        (rtl, c)
    });
    let letters: Vec<(bool, char)> = letters.collect();
    html! {
        @for run in letters.chunk_by(|a, b| a.0 == b.0) {
            @let text: String = run.iter().map(|(_, c)| c).collect();
            @if run[0].0 { bdi { (text) } } @else { (breakable(&text)) }
        }
    }
}

/// Text as it may be broken into lines: a figure stays with its unit, and the number of a standard in one piece.
fn breakable(text: &str) -> Markup {
    html! {
        @for (i, word) in words(text).iter().enumerate() {
            @if i > 0 { " " }
            @if in_one_piece(word) {
                span.whole { (word) }
            } @else {
                (word)
            }
        }
    }
}

/// A figure with its unit, or figures with a hyphen between them.
fn in_one_piece(word: &str) -> bool {
    let digits = |w: &[u8]| matches!(w, [b'0'..=b'9', b'-', b'0'..=b'9']);
    word.contains(' ') || word.as_bytes().windows(3).any(digits)
}

/// Letters of the right-to-left scripts (blocks of Unicode).
fn is_right_to_left(c: char) -> bool {
    matches!(c as u32,
        0x0590..=0x08ff | 0xfb1d..=0xfdff | 0xfe70..=0xfefe | 0x10800..=0x10fff | 0x1e800..=0x1efff)
}
