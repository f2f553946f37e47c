//! Paints a page as Markdown (CommonMark with pipe tables, which most forums read).

use super::{
    build::joined,
    drawing::Drawing,
    page::{Block, Cell, Page, Span, Table, Tone},
};
use std::slice::Iter;

/// Paints a page; each of its [`drawings`] stands in a file of these, or in words where there is none for it.
pub fn paint(page: &Page, files: &[String]) -> String {
    let mut files = files.iter();
    joined(page.iter().filter_map(|each| block(each, &mut files)), "\n")
}

/// The drawings of a page, in their order.
pub fn drawings(page: &[Block]) -> Vec<&Drawing> {
    page.iter().flat_map(drawings_of).collect()
}

fn drawings_of(block: &Block) -> Vec<&Drawing> {
    match block {
        Block::Figure(drawing) => vec![drawing],
        Block::Group(_, blocks) => drawings(blocks),
        _ => Vec::new(),
    }
}

/// A block with its last line's end; none of what is only space.
fn block(block: &Block, files: &mut Iter<'_, String>) -> Option<String> {
    Some(match block {
        Block::Alarm(text) => format!("**{}**\n", escaped(text)),
        Block::Title(text) => format!("# {}\n", escaped(text)),
        Block::Heading(text) => format!("## {}\n", escaped(text)),
        Block::Entry { margin, lines } => {
            let text = lines.iter().map(|l| spans(l)).reduce(|all, line| {
                let stop = all.trim_end_matches('*').ends_with(['.', ':', ';']);
                all + if stop { " " } else { "; " } + &line
            });
            format!("**{}**: {}\n", escaped(margin), text.unwrap_or_default())
        }
        Block::Text(line) => spans(line) + "\n",
        Block::Items(items) | Block::Notes(items) => {
            items.iter().map(|item| format!("- {}\n", spans(item))).collect()
        }
        Block::Table(table) => self::table(table),
        Block::Form(fields) | Block::Lines(fields) => {
            let field = |(label, value): &(String, Option<String>)| {
                let line = || "\\_".repeat(8);
                format!("- {}: {}\n", escaped(label), value.as_deref().map_or_else(line, escaped))
            };
            fields.iter().map(field).collect()
        }
        Block::Cells(cells) => {
            let cell = |cell: &Cell| {
                let blank = || "\\_".repeat(8);
                let read = cell
                    .read
                    .as_deref()
                    .map_or_else(blank, |read| format!("**{}**", escaped(read)));
                format!("- {}: {} {read}\n", escaped(&cell.label), spans(&cell.expect))
            };
            cells.iter().map(cell).collect()
        }
        Block::Checks(items) => items.iter().map(|i| format!("- [ ] {}\n", spans(i))).collect(),
        Block::Group(_, blocks) => {
            joined(blocks.iter().filter_map(|each| self::block(each, files)), "\n")
        }
        Block::Foot(..) => return None,
        Block::Figure(drawing) => {
            let title = escaped(&drawing.title);
            let image = files.next().map(|name| {
                let name = name.replace(['<', '>', '\n'], "_");
                format!("![{title}](<{name}>)\n\n")
            });
            image.unwrap_or_default() + &format!("*{title}.* {}\n", escaped(&drawing.description))
        }
        Block::Gap => return None,
    })
}

fn row(cells: impl IntoIterator<Item: ToString>) -> String {
    format!("| {} |\n", joined(cells, " | "))
}

fn table(table: &Table) -> String {
    let rules = (0..table.titles.len()).map(|i| if i == 0 { ":--" } else { "--:" });
    let rows = table.rows.iter().map(|cells| row(cells.iter().map(span)));
    row(table.titles.iter().map(|t| escaped(t))) + &row(rules) + &rows.collect::<String>()
}

fn spans(line: &[Span]) -> String {
    line.iter().map(span).collect()
}

fn span(piece: &Span) -> String {
    let text = escaped(&piece.text);
    let mark = match piece.tone {
        Tone::Strong | Tone::Bad => "**",
        Tone::Careful => "*",
        _ => "",
    };
    // a mark must touch the text it marks
    match text.trim() {
        "" => text,
        bare => text.replace(bare, &format!("{mark}{bare}{mark}")),
    }
}

/// Text with every character that Markdown or HTML would take for a sign made harmless.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '&' => out += "&amp;",
            '\n' | '\r' => out += " ",
            c if "\\`*_[]|#~!$".contains(c) => out.extend(['\\', c]),
            c => out.push(c),
        }
    }
    out
}
