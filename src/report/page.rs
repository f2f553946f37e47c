//! What a report says, by meaning, before any painter gives it a look.

use super::drawing::Drawing;

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

    /// A place to write in.
    pub fn blank() -> Span {
        Span::new("", Tone::Blank)
    }
}

impl<T: Into<String>> From<T> for Span {
    fn from(text: T) -> Span {
        plain(text)
    }
}

/// Plain text.
pub(super) fn plain(text: impl Into<String>) -> Span {
    Span::new(text, Tone::Plain)
}

/// What is to be found first.
pub(super) fn strong(text: impl Into<String>) -> Span {
    Span::new(text, Tone::Strong)
}

/// What is well.
pub(super) fn good(text: impl Into<String>) -> Span {
    Span::new(text, Tone::Good)
}

/// What one has to be careful of.
pub(super) fn careful(text: impl Into<String>) -> Span {
    Span::new(text, Tone::Careful)
}

/// What is beyond a limit or refused.
pub(super) fn bad(text: impl Into<String>) -> Span {
    Span::new(text, Tone::Bad)
}

/// Background.
pub(super) fn faint(text: impl Into<String>) -> Span {
    Span::new(text, Tone::Faint)
}

/// A table. The first column is a label, the others are figures.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Table {
    /// Column titles, each of one line or more.
    pub titles: Vec<String>,
    /// Rows of cells.
    pub rows: Vec<Vec<Span>>,
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
        lines: Vec<Vec<Span>>,
    },
    /// Running text.
    Text(Vec<Span>),
    /// Items.
    Items(Vec<Vec<Span>>),
    /// Many short items for reference: small print, in columns where there is room.
    Notes(Vec<Vec<Span>>),
    /// A table.
    Table(Table),
    /// Labels with what stands there, or a line to write on.
    Form(Vec<(String, Option<String>)>),
    /// A drawing.
    Figure(Drawing),
    /// Blocks with a narrow drawing beside them.
    Beside(Vec<Block>, Drawing),
    /// A gap.
    Gap,
}

/// A page.
pub type Page = Vec<Block>;

/// Title of a part.
pub(super) fn heading(text: impl Into<String>) -> Block {
    Block::Heading(text.into())
}

/// A paragraph of one piece.
pub(super) fn text(span: impl Into<Span>) -> Block {
    Block::Text(vec![span.into()])
}

/// A paragraph of background.
pub(super) fn fine(words: impl Into<String>) -> Block {
    text(faint(words))
}

/// Text with a short word in the margin.
pub(super) fn entry(margin: &str, lines: Vec<Vec<Span>>) -> Block {
    Block::Entry { margin: margin.to_owned(), lines }
}

/// Items.
pub(super) fn items(lines: impl IntoIterator<Item = Vec<Span>>) -> Block {
    Block::Items(lines.into_iter().collect())
}

/// Short items for reference.
pub(super) fn notes(lines: impl IntoIterator<Item = Vec<Span>>) -> Block {
    Block::Notes(lines.into_iter().collect())
}

/// Labels with what stands there, or a line to write on.
pub(super) fn form<'a>(fields: impl IntoIterator<Item = (&'a str, Option<String>)>) -> Block {
    Block::Form(fields.into_iter().map(|(label, value)| (label.to_owned(), value)).collect())
}

/// A table of rows below the titles of their columns.
pub(super) fn table<T: Into<String>>(
    titles: impl IntoIterator<Item = T>,
    rows: impl IntoIterator<Item = Vec<Span>>,
) -> Block {
    let titles = titles.into_iter().map(Into::into).collect();
    Block::Table(Table { titles, rows: rows.into_iter().collect() })
}

/// What the sign † means, once for a page that has it.
pub(super) fn dagger(page: &[Block]) -> Option<Block> {
    let said = page.iter().any(|block| format!("{block:?}").contains('†'));
    said.then(|| fine("† not checked against the source"))
}
