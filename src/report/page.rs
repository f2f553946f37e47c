//! What a report says, by meaning, before any painter gives it a look.

use super::{
    build::{Pieces, list, single, words},
    drawing::Drawing,
};
use crate::profile::Paper;

/// How a piece of text is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Tone {
    /// Plain.
    #[default]
    Plain,
    /// The figure or word to find first.
    Strong,
    /// All is well.
    Good,
    /// Near a limit, or to be careful of.
    Careful,
    /// Beyond a limit, or refused.
    Bad,
    /// Background.
    Faint,
    /// To be filled in by hand: no text.
    Blank,
}

/// A blank at which a line is not broken; painters write a plain one.
pub const KEEP: &str = "\u{a0}";

/// A piece of text.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Span {
    /// Text, one line.
    pub text: String,
    /// Meaning.
    pub tone: Tone,
}

impl Span {
    /// A piece of text with a meaning.
    pub fn new(text: impl Into<String>, tone: Tone) -> Span {
        Span { text: text.into(), tone }
    }
}

/// A place to write in.
pub(super) const BLANK: Span = Span { text: String::new(), tone: Tone::Blank };

impl Tone {
    /// A piece of text that is meant so.
    pub(super) fn of(self, text: impl Pieces<String>) -> Span {
        Span::new(words(text), self)
    }

    /// Bad where that is so, else plain.
    pub(super) fn bad_if(so: bool) -> Tone {
        if so { Tone::Bad } else { Tone::Plain }
    }
}

/// Plain text.
pub(super) fn plain(text: impl Pieces<String>) -> Span {
    Tone::Plain.of(text)
}

/// What is to be found first.
pub(super) fn strong(text: impl Pieces<String>) -> Span {
    Tone::Strong.of(text)
}

/// What is well.
pub(super) fn good(text: impl Pieces<String>) -> Span {
    Tone::Good.of(text)
}

/// What one has to be careful of.
pub(super) fn careful(text: impl Pieces<String>) -> Span {
    Tone::Careful.of(text)
}

/// What is beyond a limit or refused.
pub(super) fn bad(text: impl Pieces<String>) -> Span {
    Tone::Bad.of(text)
}

/// Background.
pub(super) fn faint(text: impl Pieces<String>) -> Span {
    Tone::Faint.of(text)
}

/// A line: pieces of text behind one another.
pub type Line = Vec<Span>;

/// A table. The first column is a label, the others are figures.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Table {
    /// Column titles, each of one line or more.
    pub titles: Vec<String>,
    /// Rows of cells.
    pub rows: Vec<Line>,
}

/// How blocks belong together on paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Group {
    /// The first page, in larger type; what follows begins on a new one.
    Front,
    /// What may hurt, in a frame.
    Warning,
    /// Never broken between two pages.
    Whole,
    /// A card of A6 size, to cut out.
    Card,
}

/// A block of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Block {
    /// What may kill, in the largest type of the page.
    Alarm(String),
    /// Title of the whole page.
    Title(String),
    /// Title of a part.
    Heading(String),
    /// Text with a short word in the margin; each inner list is a paragraph.
    Entry {
        /// Word in the margin.
        margin: String,
        /// Paragraphs.
        lines: Vec<Line>,
    },
    /// Running text.
    Text(Line),
    /// Items.
    Items(Vec<Line>),
    /// Many short items for reference: small print, in columns where there is room.
    Notes(Vec<Line>),
    /// A table.
    Table(Table),
    /// Labels with what stands there, or a line to write on.
    Form(Vec<Field>),
    /// A row of lines to write on, each above its label; some are filled in.
    Lines(Vec<Field>),
    /// Readings to take: what, what to expect, and a box to write in.
    Cells(Vec<Cell>),
    /// Things to do, with a box to tick each.
    Checks(Vec<Line>),
    /// Blocks that belong together on paper.
    Group(Group, Page),
    /// What stands at the foot of every sheet of paper, beside the number of the page; and the paper, where it is told.
    Foot(String, Option<Paper>),
    /// A drawing.
    Figure(Drawing),
    /// A gap.
    Gap,
}

/// A label with what stands there, or a line to write on.
pub type Field = (String, Option<String>);

/// A reading to take.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// What is read.
    pub label: String,
    /// What to expect.
    pub expect: Line,
    /// What was read; a box to write in where nothing was.
    pub read: Option<String>,
}

/// A page.
pub type Page = Vec<Block>;

single! { Block, Block::from => Block }
single! { Span, Span::from => Span }
single! { Span, plain => String, &String, &str }
single! { Line, Line::from => Line }
single! { Field, Field::from => Field }
single! { Cell, Cell::from => Cell }
single! { Line, line => String, &String, &str }

/// Blocks in their order.
pub(super) fn blocks(blocks: impl Pieces<Block>) -> Page {
    list(blocks)
}

/// A row of cells.
pub(super) fn row(cells: impl Pieces<Span>) -> Line {
    list(cells)
}

/// A line; what is meant alike is one piece.
pub(super) fn line(spans: impl Pieces<Span>) -> Line {
    let alike = |run: &[Span]| run[0].tone.of(run.iter().map(|span| &span.text));
    list(spans).chunk_by(|a: &Span, b| a.tone == b.tone).map(alike).collect()
}

/// Title of the whole page.
pub(super) fn title(text: impl Pieces<String>) -> Block {
    Block::Title(words(text))
}

/// Title of a part.
pub(super) fn heading(text: impl Pieces<String>) -> Block {
    Block::Heading(words(text))
}

/// A paragraph.
pub(super) fn text(spans: impl Pieces<Span>) -> Block {
    Block::Text(line(spans))
}

/// A paragraph of background.
pub(super) fn fine(text: impl Pieces<String>) -> Block {
    self::text(faint(text))
}

/// Text with a short word in the margin.
pub(super) fn entry(margin: &str, lines: impl Pieces<Line>) -> Block {
    Block::Entry { margin: margin.to_owned(), lines: list(lines) }
}

/// Items.
pub(super) fn items(lines: impl Pieces<Line>) -> Block {
    Block::Items(list(lines))
}

/// Short items for reference.
pub(super) fn notes(lines: impl Pieces<Line>) -> Block {
    Block::Notes(list(lines))
}

/// A label with what stands there, or a line to write on.
pub(super) fn field(label: &str, value: impl Into<Option<String>>) -> Field {
    (label.to_owned(), value.into())
}

/// Labels with what stands there.
pub(super) fn form(fields: impl Pieces<Field>) -> Block {
    Block::Form(list(fields))
}

/// A row of lines to write on, each above its label.
pub(super) fn lines(fields: impl Pieces<Field>) -> Block {
    Block::Lines(list(fields))
}

/// Readings to take.
pub(super) fn cells(cells: impl Pieces<Cell>) -> Block {
    Block::Cells(list(cells))
}

/// Things to do, with a box to tick each.
pub(super) fn checks(lines: impl Pieces<Line>) -> Block {
    Block::Checks(list(lines))
}

/// Blocks that belong together on paper.
pub(super) fn group(group: Group, blocks: impl Pieces<Block>) -> Block {
    Block::Group(group, list(blocks))
}

/// A table of rows below the titles of their columns.
pub(super) fn table(titles: impl Pieces<String>, rows: impl IntoIterator<Item = Line>) -> Block {
    Block::Table(Table { titles: list(titles), rows: rows.into_iter().collect() })
}

impl Block {
    /// Itself, unless nothing stands in it.
    pub(super) fn if_any(self) -> Option<Block> {
        let empty = match &self {
            Block::Items(lines)
            | Block::Notes(lines)
            | Block::Checks(lines)
            | Block::Entry { lines, .. } => lines.is_empty(),
            Block::Table(table) => table.rows.is_empty(),
            Block::Form(fields) | Block::Lines(fields) => fields.is_empty(),
            Block::Cells(cells) => cells.is_empty(),
            Block::Group(_, page) => page.is_empty(),
            Block::Text(line) => line.iter().all(|span| span.text.is_empty()),
            _ => false,
        };
        (!empty).then_some(self)
    }
}

/// A part of a page with its title; none where nothing stands in it.
pub(super) fn section(title: impl Pieces<String>, blocks: impl Pieces<Block>) -> Page {
    let blocks = list(blocks);
    if blocks.is_empty() { blocks } else { self::blocks((heading(title), blocks)) }
}

/// What the sign † means, once for a page that has it.
pub(super) fn dagger(page: &[Block]) -> Option<Block> {
    let said = page.iter().any(|block| format!("{block:?}").contains('†'));
    said.then(|| fine("† not checked against the source"))
}

/// Blocks, and what the sign † means where one of them has it.
pub(super) fn with_dagger(blocks: impl Pieces<Block>) -> Page {
    let page = list(blocks);
    let dagger = dagger(&page);
    self::blocks((page, dagger))
}

#[cfg(test)]
mod tests {
    use super::{Block, Line, bad, blocks, items, line, plain, section, strong, text};

    #[test]
    fn spans_that_are_meant_alike_are_one() {
        let told = line(("a ", Some("b"), None::<&str>, strong("c"), (strong("d"), "e")));
        assert_eq!(told, [plain("a b"), strong("cd"), plain("e")]);
    }

    #[test]
    fn a_part_with_nothing_in_it_has_no_title() {
        let nothing = items(Vec::<Line>::new()).if_any();
        assert_eq!(nothing, None);
        assert!(section("HUM", nothing).is_empty());
        let page = section("HUM", (text(bad("")).if_any(), items("one")));
        assert_eq!(page, blocks((Block::Heading("HUM".to_owned()), items(["one"]))));
    }
}
