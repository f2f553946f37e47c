//! The `replace` command: what takes a part's place, and the changed profile.

use super::args::{DividerFormat, ReplaceArgs};
use super::load::load;
use super::outcome::{Failure, Outcome, Result};
use super::save::save;
use crate::report::{replace_page, terminal::Style};
use crate::study::{self, Request};
use std::path::Path;

/// Sizes, prints, and writes the changed profile where asked for.
pub(super) fn replace(args: &ReplaceArgs, style: Style) -> Result {
    let loaded = load(&args.file)?;
    if let Some(path) = args.output.as_deref().filter(|path| same(path, &args.file)) {
        return Err(Failure::of(
            path.display(),
            "it is the profile of the set as it is, which is kept",
            "give the changed profile another name",
        ));
    }
    let request = Request { outlet: args.outlet.into(), target: None };
    let (part, by) = (args.part.into(), args.with.map(Into::into));
    let found = loaded.answer(study::replace(&loaded.document, part, by, &request))?;
    let mut outcome =
        Outcome::answer(&found, args.format == DividerFormat::Json, style, replace_page)?;
    if let Some(path) = &args.output {
        let Some(changed) = &found.changed else {
            let advice = "leave out -o to read why";
            let failure =
                Failure::of(path.display(), "nothing is advised, and nothing written", advice);
            return Err(failure.below(&found.cautions).unanswered());
        };
        save(path, changed, args.force)?;
        // the note belongs beside the answer, not into its JSON
        outcome.err = format!("{}: the changed profile is written\n", path.display());
    }
    Ok(outcome)
}

/// Whether both name one file.
fn same(a: &Path, b: &Path) -> bool {
    let found = |path: &Path| std::fs::canonicalize(path).ok();
    a == b || found(a).zip(found(b)).is_some_and(|(a, b)| a == b)
}
