//! Paints a page as Markdown (CommonMark with pipe tables, which most forums read).

use super::{
    build::joined,
    page::{Block, Cell, Page, Span, Table, Tone},
};

/// Paints a page.
pub fn paint(page: &Page) -> String {
    joined(page.iter().filter_map(block), "\n")
}

/// A block with its last line's end; none of what is only space.
fn block(block: &Block) -> Option<String> {
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
                format!("- {}: {} {}\n", escaped(&cell.label), spans(&cell.expect), "\\_".repeat(8))
            };
            cells.iter().map(cell).collect()
        }
        Block::Checks(items) => items.iter().map(|i| format!("- [ ] {}\n", spans(i))).collect(),
        Block::Group(_, blocks) => joined(blocks.iter().filter_map(self::block), "\n"),
        Block::Foot(_) => return None,
        Block::Figure(drawing) => {
            format!("*{}.* {}\n", escaped(&drawing.title), escaped(&drawing.description))
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
