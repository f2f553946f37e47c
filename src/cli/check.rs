//! The `check` command.

use super::{Outcome, Result, Style, args::SetArgs};
use crate::api::{Caution, Page, Set};
use std::path::Path;

/// Lists what is odd in a profile, and says that nothing is wrong.
pub fn check(args: &SetArgs, style: Style) -> Result {
    let (alarms, said) = check_file(&args.file)?;
    let alarms = style.paint(&Page::from(&*alarms));
    let gap = if alarms.is_empty() || said.contains("\n\n") { "" } else { "\n" };
    Ok(Outcome::done(format!("{alarms}{gap}{said}")))
}

/// What heads a file's screens, and what is odd in it with what a plan will assume.
pub fn check_file(file: &Path) -> Result<(Vec<Caution>, String)> {
    let set = Set::load(file)?;
    let checked = set.check()?;
    let mut out = set.warnings().render();
    for odd in checked.warnings {
        out.push_str(&format!("{}: warning: {odd}\n", file.display()));
    }
    if !out.is_empty() {
        out.push('\n');
    }
    let assumes = match checked.assumed {
        0 => "states every value a plan needs".to_owned(),
        1 => "a plan will assume 1 value that it does not state".to_owned(),
        n => format!("a plan will assume {n} values that it does not state"),
    };
    out.push_str(&format!("{}: no errors; {assumes}\n", file.display()));
    Ok((set.alarms(), out))
}
