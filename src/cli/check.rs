//! The `check` command.

use super::{Failure, Outcome, Result, Style, args::SetArgs, load};
use crate::{
    receiver::complete,
    report::{alarm_page, terminal},
    study::{self, Caution, outlet_assumed, set_alarms},
};
use std::path::Path;

/// Lists what is odd in a profile, and says that nothing is wrong.
pub fn check(args: &SetArgs, style: Style) -> Result {
    let (alarms, said) = check_file(&args.file)?;
    let alarms = terminal::paint(&alarm_page(&alarms), style);
    let gap = if alarms.is_empty() || said.contains("\n\n") { "" } else { "\n" };
    Ok(Outcome::done(format!("{alarms}{gap}{said}")))
}

/// What heads a file's screens, and what is odd in it with what a plan will assume.
pub fn check_file(file: &Path) -> Result<(Vec<Caution>, String)> {
    let loaded = load(file)?;
    let (_, list) = loaded.answer(complete(&loaded.profile))?;
    let alarms = set_alarms(&loaded.profile);
    let readings = loaded.answer(study::readings(&loaded.profile))?;
    if let Some(headline) = readings.headline() {
        let advice = readings.sentences().join(". ");
        let failure = Failure::of(loaded.document.name(), headline, &advice);
        return Err(failure.unanswered().below(&alarms));
    }
    // whatever keeps a plan from being made is wrong with the profile
    let plan = study::plan(&loaded.profile, &study::Request::default(), Vec::new());
    let plan = loaded.answer(plan)?;
    let mut out = loaded.oddities.render();
    for odd in plan.warnings {
        out.push_str(&format!("{}: warning: {odd}\n", loaded.document.name()));
    }
    if !out.is_empty() {
        out.push('\n');
    }
    let assumes = match list.len() + outlet_assumed(&loaded.profile) {
        0 => "states every value a plan needs".to_owned(),
        1 => "a plan will assume 1 value that it does not state".to_owned(),
        n => format!("a plan will assume {n} values that it does not state"),
    };
    out.push_str(&format!("{}: no errors; {assumes}\n", loaded.document.name()));
    Ok((alarms, out))
}
