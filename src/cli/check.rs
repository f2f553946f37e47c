//! The `check` command.

use super::{Outcome, Result, Style, args::SetArgs};
use crate::api::{Caution, Page, Set, typed::Told};
use std::path::Path;

/// Lists what is odd in a profile, and says that nothing is wrong.
pub fn check(args: &SetArgs, style: Style) -> Result {
    let (alarms, said) = check_file(&args.file, style)?;
    let alarms = style.paint(&Page::from(&*alarms));
    let gap = if alarms.is_empty() || said.contains("\n\n") { "" } else { "\n" };
    Ok(Outcome::done(format!("{alarms}{gap}{said}")))
}

/// What heads a file's screens, and what is odd in it with what a plan will assume.
pub fn check_file(file: &Path, style: Style) -> Result<(Vec<Caution>, String)> {
    let set = Set::load(file)?;
    let checked = set.check()?;
    let mut told = set.warnings().told();
    for odd in checked.warnings {
        told.say(format!("{}: warning: {odd}", file.display()));
    }
    if told != Told::default() {
        told.say("");
    }
    let assumes = match checked.assumed {
        0 => "states every value a plan needs".to_owned(),
        1 => "a plan will assume 1 value that it does not state".to_owned(),
        n => format!("a plan will assume {n} values that it does not state"),
    };
    told.say(format!("{}: no errors; {assumes}", file.display()));
    Ok((set.alarms(), style.tell(&told)))
}
