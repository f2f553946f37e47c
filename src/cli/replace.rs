//! The `replace` command: what takes a part's place, and the changed profile.

use super::{
    Failure, Outcome, Result, args::ReplaceArgs, desk::Desk, forms::REPLACE, outcome::Written,
};
use crate::api::{Page, typed::shown};

/// Sizes, prints, and writes the changed profile where asked for.
pub fn replace(args: &ReplaceArgs, desk: &Desk) -> Result {
    let set = desk.load(&args.set.file)?;
    let found = set.replace(args.part, args.with, args.outlet.outlet()?)?;
    let outcome = match args.form.json() {
        true => Outcome::json_as(REPLACE, &found)?,
        false => Outcome::page(&Page::from(&found), desk.style),
    };
    match (&args.output, &found.changed) {
        (None, _) => Ok(outcome),
        (Some(path), Some(changed)) => {
            let file = Written { path, force: args.force, what: "the changed profile" };
            Ok(outcome.with_file(file, changed, desk.style))
        }
        (Some(path), None) => {
            let found_none = "nothing is advised, and nothing written";
            let failure = Failure::of(shown(path), found_none, "leave out -o to read why");
            Err(failure.below(&found.cautions).unanswered())
        }
    }
}
