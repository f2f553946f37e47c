//! Paints a page as Markdown (CommonMark with pipe tables, which most forums read).

use super::page::{Block, Page, Span, Table, Tone};

/// Paints a page.
pub fn paint(page: &Page) -> String {
    let mut out = String::new();
    for block in page {
        let text = match block {
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
            Block::Text(line) => format!("{}\n", spans(line)),
            Block::Items(items) | Block::Notes(items) => {
                items.iter().map(|i| format!("- {}\n", spans(i))).collect()
            }
            Block::Table(table) => self::table(table),
            Block::Form(fields) => fields
                .iter()
                .map(|(label, value)| {
                    let value =
                        value.as_deref().map_or("\\_\\_\\_\\_\\_\\_\\_\\_".to_owned(), escaped);
                    format!("- {}: {value}\n", escaped(label))
                })
                .collect(),
            Block::Figure(drawing) => {
                format!("*{}.* {}\n", escaped(&drawing.title), escaped(&drawing.description))
            }
            Block::Beside(blocks, drawing) => {
                let mut all = blocks.clone();
                all.push(Block::Figure(drawing.clone()));
                paint(&all)
            }
            Block::Gap => continue,
        };
        if !out.is_empty() {
            out.push('\n');
        }
        out.push_str(&text);
    }
    out
}

fn table(table: &Table) -> String {
    let row = |cells: &mut dyn Iterator<Item = String>| {
        let cells: Vec<String> = cells.collect();
        format!("| {} |\n", cells.join(" | "))
    };
    let mut out = row(&mut table.titles.iter().map(|t| escaped(t)));
    let rules = (0..table.titles.len()).map(|i| if i == 0 { ":--" } else { "--:" });
    out.push_str(&row(&mut rules.map(str::to_owned)));
    for cells in &table.rows {
        out.push_str(&row(&mut cells.iter().map(span)));
    }
    out
}

fn spans(line: &[Span]) -> String {
    line.iter().map(span).collect()
}

fn span(piece: &Span) -> String {
    let text = escaped(&piece.text);
    let bare = text.trim();
    if bare.is_empty() {
        return text;
    }
    let mark = match piece.tone {
        Tone::Strong | Tone::Bad => "**",
        Tone::Careful => "*",
        _ => return text,
    };
    // a mark must touch the text it marks
    text.replace(bare, &format!("{mark}{bare}{mark}"))
}

/// Text with every character that Markdown or HTML would take for a sign made harmless.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '#' | '~' | '!' | '$' => {
                out.push('\\');
                out.push(c);
            }
            '\n' | '\r' => out.push(' '),
            c => out.push(c),
        }
    }
    out
}
