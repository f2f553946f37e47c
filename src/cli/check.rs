//! The `check` command: one file, or several and folders.

use super::{
    Outcome, Result, Style,
    args::CheckArgs,
    desk::Desk,
    files::{alone, answers},
};
use crate::api::{
    Caution, Page,
    typed::{Told, shown},
};
use std::path::Path;

/// Lists what is odd in each profile, and says that nothing is wrong.
pub fn check(args: &CheckArgs, desk: &Desk) -> Result {
    if let Some(file) = alone(&args.files) {
        return check_file(file, desk).map(|found| Outcome::done(whole(&found, desk.style)));
    }
    let answers = answers(&args.files, desk.screen, |file| check_file(file, desk))?;
    let sound: Vec<_> = answers.done.iter().filter_map(|(_, found)| found.as_ref().ok()).collect();
    let mut told: Vec<String> = sound.iter().map(|found| whole(found, desk.style)).collect();
    let bad = answers.done.len() - sound.len();
    told.push(match (bad, answers.done.len()) {
        (0, all) => format!("{all} files: no errors\n"),
        (bad, all) => format!("{all} files: {bad} with errors\n"),
    });
    Ok(answers.outcome(Outcome::done(told.concat()), |failure| desk.style.tell(&failure.text)))
}

/// What heads a file's screens, and below it what was found.
fn whole((alarms, said): &(Vec<Caution>, String), style: Style) -> String {
    let alarms = style.paint(&Page::from(alarms.as_slice()));
    let gap = if alarms.is_empty() || said.contains("\n\n") { "" } else { "\n" };
    format!("{alarms}{gap}{said}")
}

/// What heads a file's screens, and what is odd in it with what a plan will assume.
pub fn check_file(file: &Path, desk: &Desk) -> Result<(Vec<Caution>, String)> {
    let (set, name) = (desk.load(file)?, shown(file));
    let checked = set.check()?;
    let mut told = set.warnings().told();
    for odd in checked.warnings {
        told.say(format!("{name}: warning: {odd}"));
    }
    if told != Told::default() {
        told.say("");
    }
    let assumes = match checked.assumed {
        0 => "states every value a plan needs".to_owned(),
        1 => "a plan will assume 1 value that it does not state".to_owned(),
        n => format!("a plan will assume {n} values that it does not state"),
    };
    told.say(format!("{name}: no errors; {assumes}"));
    Ok((set.alarms(), desk.style.tell(&told)))
}
