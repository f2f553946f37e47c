//! The `fit` command: readings in, a calibrated set out.

use super::{Outcome, Result, Style, args::FitArgs, forms::FIT};
use crate::api::{Fit, Page, Set};
use std::path::{Path, PathBuf};

/// Fits, prints, and writes the calibrated profile where asked for.
pub fn fit(args: &FitArgs, style: Style) -> Result {
    let fitted = Set::load(&args.file)?.fit()?;
    let page: fn(&Fit) -> Page =
        if args.working { Fit::with_sums } else { |found| Page::from(found) };
    let outcome = match args.form.json() {
        true => Outcome::json_as(FIT, &fitted.fit)?,
        false => Outcome::page(&page(&fitted.fit), style),
    };
    if !args.write {
        return Ok(outcome);
    }
    let text = fitted.profile()?;
    outcome.with_file(&beside(&args.file), &text, args.force, "the calibrated profile")
}

/// `set.yaml` becomes `set-fitted.yaml`.
fn beside(path: &Path) -> PathBuf {
    let stem = path.file_stem().map_or("set".into(), |stem| stem.to_string_lossy());
    path.with_file_name(format!("{stem}-fitted.yaml"))
}
