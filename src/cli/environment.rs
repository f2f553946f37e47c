//! What the program reads of its environment.

use std::{env, ffi::OsStr, path::PathBuf};

/// A variable with what it does, for whoever reads of it; code stands between backticks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Variable {
    /// Name.
    pub name: &'static str,
    /// What it does.
    pub effect: &'static str,
}

/// Takes color away.
pub const NO_COLOR: Variable =
    Variable { name: "NO_COLOR", effect: "set and not empty: no color, unless `--color always`" };
/// Gives color where there is no terminal.
pub const CLICOLOR_FORCE: Variable = Variable {
    name: "CLICOLOR_FORCE",
    effect: "set, not empty, and not `0`: color also in a pipe or a file; `NO_COLOR` wins",
};
/// What the terminal can do.
pub const TERM: Variable = Variable { name: "TERM", effect: "`dumb`: no color, no bar" };
/// The pager.
pub const PAGER: Variable = Variable {
    name: "PAGER",
    effect: "the pager for text longer than the terminal; empty: none; not set: `less`",
};
/// How `less` runs.
pub const LESS: Variable = Variable {
    name: "LESS",
    effect: "options of `less`; not set: `FRX`, no pager for a short page and the text left on the screen",
};
/// Width where there is no terminal to ask; the library for the command line reads it too.
pub const COLUMNS: Variable = Variable {
    name: "COLUMNS",
    effect: "width in a pipe or a file, 40 to 200; of help up to 96; not set: 96",
};
/// By which the script of a shell asks what may be typed; of a name of its own, so that nobody else's asks.
pub const MAINSFIT_COMPLETE: Variable = Variable {
    name: "MAINSFIT_COMPLETE",
    effect: "set by the scripts of `mainsfit completions` when they ask what may be typed",
};
/// The defaults of the shop.
pub const MAINSFIT_SHOP: Variable = Variable {
    name: "MAINSFIT_SHOP",
    effect: "the file with the shop's defaults, instead of the one in the usual place; empty: none",
};

impl Variable {
    /// All of them.
    pub const ALL: [Variable; 8] =
        [NO_COLOR, CLICOLOR_FORCE, TERM, PAGER, LESS, COLUMNS, MAINSFIT_COMPLETE, MAINSFIT_SHOP];

    /// Whether it is set, and so.
    pub fn is(self, so: impl Fn(&OsStr) -> bool) -> bool {
        env::var_os(self.name).is_some_and(|value| so(&value))
    }

    /// The path it is set to.
    pub fn path(self) -> Option<PathBuf> {
        env::var_os(self.name).map(PathBuf::from)
    }

    /// The whole number it is set to; 0 is none.
    pub fn number(self) -> Option<usize> {
        env::var(self.name).ok()?.trim().parse().ok().filter(|n| *n > 0)
    }
}
