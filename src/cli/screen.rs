//! What the output is written to.

use super::{
    args::Colour,
    environment::{CLICOLOR_FORCE, COLUMNS, NO_COLOR, TERM},
};
use crate::api::{Page, typed::Told};
use std::io::IsTerminal;

/// How a page is painted on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Style {
    columns: usize,
    coloured: bool,
}

impl Style {
    /// The page as text.
    pub fn paint(self, page: &Page) -> String {
        page.text(self.columns, self.coloured)
    }

    /// What went wrong, as wide as a page's prose.
    pub fn tell(self, told: &Told) -> String {
        told.lines(self.columns)
    }
}

/// What the output is written to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Screen {
    /// Columns; a report uses 40 to 200 of them, its prose no more than 100.
    pub columns: usize,
    /// Whether text is coloured where the command line leaves that open.
    pub colour: bool,
    /// Whether a bar may be drawn on standard error while one waits.
    pub bar: bool,
    /// Whether somebody can be asked: a terminal to read from and one to write to.
    pub asks: bool,
    /// Whether the program runs by itself, so that Ctrl-C is for it.
    pub alone: bool,
}

impl Screen {
    /// A file, a pipe or a printed page.
    pub const PAGE: Screen =
        Screen { columns: 96, colour: false, bar: false, asks: false, alone: false };

    /// Standard output as it is found.
    pub fn found() -> Screen {
        let never = NO_COLOR.is(|v| !v.is_empty());
        let forced = CLICOLOR_FORCE.is(|v| !v.is_empty() && v != "0");
        let dumb = TERM.is(|v| v == "dumb");
        let can = std::io::stdout().is_terminal() && !dumb;
        Screen {
            columns: terminal_size::terminal_size()
                .map(|(w, _)| usize::from(w.0))
                .or_else(|| COLUMNS.number())
                .unwrap_or(Screen::PAGE.columns),
            colour: !never && (forced || can),
            bar: std::io::stderr().is_terminal() && !dumb,
            asks: std::io::stdin().is_terminal() && std::io::stderr().is_terminal(),
            alone: true,
        }
    }

    pub(super) fn style(self, colour: Colour) -> Style {
        let coloured = match colour {
            Colour::Always => true,
            Colour::Never => false,
            Colour::Auto => self.colour,
        };
        Style { columns: self.columns, coloured }
    }
}
