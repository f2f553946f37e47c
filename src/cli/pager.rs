//! Long text on a terminal goes through a pager.

use super::{
    environment::{LESS, PAGER},
    stop::paging,
};
use std::{
    env,
    io::{self, IsTerminal, Write},
    process::{Command, Stdio},
};

/// The pager where `PAGER` names none.
const USUAL: &str = if cfg!(windows) { "more" } else { "less" };
/// How `less` is to run where its user has not said: not at all for a page that fits, colors as they are, the text left
/// standing at the end.
const FRX: &str = "FRX";

/// Shows `text` through the pager that `PAGER` names, where standard output is a terminal and the text is longer than it. False
/// where it was not shown: it is short, goes elsewhere, `PAGER` is empty, or the pager does not start.
pub fn through_pager(text: &str) -> bool {
    let rows = terminal_size::terminal_size().map_or(usize::MAX, |(_, rows)| usize::from(rows.0));
    if !io::stdout().is_terminal() || text.lines().count() < rows {
        return false;
    }
    let pager = env::var(PAGER.name).unwrap_or_else(|_| USUAL.to_owned());
    let mut words = pager.split_whitespace();
    let Some(program) = words.next() else {
        return false;
    };
    let mut command = Command::new(program);
    command.args(words).stdin(Stdio::piped());
    if !LESS.is(|_| true) {
        command.env(LESS.name, FRX);
    }
    paging();
    let Ok(mut child) = command.spawn() else {
        return false;
    };
    // a reader who leaves early has seen what he wanted
    let _ = child.stdin.take().map(|mut input| input.write_all(text.as_bytes()));
    child.wait().is_ok()
}
