//! The `replace` command: what takes a part's place, and the changed profile.

use super::{Failure, Outcome, Result, Style, args::ReplaceArgs, forms::REPLACE};
use crate::api::{Page, Set};
use std::path::Path;

/// Sizes, prints, and writes the changed profile where asked for.
pub fn replace(args: &ReplaceArgs, style: Style) -> Result {
    let set = Set::load(&args.set.file)?;
    if let Some(path) = args.output.as_deref().filter(|path| same(path, &args.set.file)) {
        return Err(Failure::of(
            path.display(),
            "it is the profile of the set as it is, which is kept",
            "give the changed profile another name",
        ));
    }
    let found = set.replace(args.part, args.with, args.outlet.outlet()?)?;
    let outcome = match args.form.json() {
        true => Outcome::json_as(REPLACE, &found)?,
        false => Outcome::page(&Page::from(&found), style),
    };
    match (&args.output, &found.changed) {
        (None, _) => Ok(outcome),
        (Some(path), Some(changed)) => {
            outcome.with_file(path, changed, args.force, "the changed profile")
        }
        (Some(path), None) => {
            let found_none = "nothing is advised, and nothing written";
            let failure = Failure::of(path.display(), found_none, "leave out -o to read why");
            Err(failure.below(&found.cautions).unanswered())
        }
    }
}

/// Whether both name one file.
fn same(a: &Path, b: &Path) -> bool {
    let found = |path: &Path| std::fs::canonicalize(path).ok();
    a == b || found(a).zip(found(b)).is_some_and(|(a, b)| a == b)
}
