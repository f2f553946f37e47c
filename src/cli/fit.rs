//! The `fit` command: readings in, a calibrated set out.

use super::{Outcome, Result, args::FitArgs, desk::Desk, forms::FIT, outcome::Written};
use crate::api::{Fit, Page};
use std::path::{Path, PathBuf};

/// Fits, prints, and writes the calibrated profile where asked for.
pub fn fit(args: &FitArgs, desk: &Desk) -> Result {
    let fitted = desk.load(&args.file)?.fit()?;
    let page: fn(&Fit) -> Page =
        if args.working { Fit::with_sums } else { |found| Page::from(found) };
    let outcome = match args.form.json() {
        true => Outcome::json_as(FIT, &fitted.fit)?,
        false => Outcome::page(&page(&fitted.fit), desk.style),
    };
    if !args.write {
        return Ok(outcome);
    }
    let text = fitted.profile()?;
    let path = &beside(&args.file);
    let file = Written { path, force: args.force, what: "the calibrated profile" };
    Ok(outcome.with_file(file, &text, desk.style))
}

/// `set.yaml` becomes `set-fitted.yaml`; what comes from standard input or a pipe has no name, and its folder is none.
fn beside(path: &Path) -> PathBuf {
    match path.file_stem() {
        Some(stem) if path.is_file() => {
            path.with_file_name(format!("{}-fitted.yaml", stem.to_string_lossy()))
        }
        _ => PathBuf::from("set-fitted.yaml"),
    }
}
