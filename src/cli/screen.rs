//! What the output is written to.

use super::{Style, args::Colour};
use std::io::IsTerminal;

/// What the output is written to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Screen {
    /// Columns; a report uses 80 to 100 of them.
    pub columns: usize,
    /// Whether text is coloured where the command line leaves that open.
    pub colour: bool,
    /// Whether a bar may be drawn on standard error while one waits.
    pub bar: bool,
    /// Whether somebody can be asked: a terminal to read from and one to write to.
    pub asks: bool,
}

impl Screen {
    /// A file, a pipe or a printed page.
    pub const PAGE: Screen = Screen { columns: 96, colour: false, bar: false, asks: false };

    /// Standard output as it is found.
    pub fn found() -> Screen {
        let quiet = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty())
            || std::env::var_os("TERM").is_some_and(|v| v == "dumb");
        Screen {
            columns: terminal_size::terminal_size()
                .map_or(Screen::PAGE.columns, |(w, _)| usize::from(w.0)),
            colour: std::io::stdout().is_terminal() && !quiet,
            bar: std::io::stderr().is_terminal(),
            asks: std::io::stdin().is_terminal() && std::io::stderr().is_terminal(),
        }
    }

    pub(super) fn style(self, colour: Colour) -> Style {
        let coloured = match colour {
            Colour::Always => true,
            Colour::Never => false,
            Colour::Auto => self.colour,
        };
        Style::new(self.columns, coloured)
    }
}
