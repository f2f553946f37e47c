//! The `fit` command: readings in, a calibrated set out.

use super::{Failure, Loaded, Outcome, Result, Style, args::FitArgs, load};
use crate::{
    profile::{self, Document},
    receiver::{Refined, complete},
    report::{fit_page, working_page},
    study,
};
use std::path::{Path, PathBuf};

/// Fits, prints, and writes the calibrated profile where asked for.
pub fn fit(args: &FitArgs, style: Style) -> Result {
    let loaded = load(&args.file)?;
    let (fit, factors) = loaded.answer(study::fit(&loaded.profile))?;
    let outcome = Outcome::answer(&fit, args.form.json(), style, |fit| {
        let mut page = fit_page(fit);
        if args.working {
            page.extend(working_page(&fit.working));
        }
        page
    })?;
    if let Some(headline) = fit.verdict.headline().filter(|_| args.write) {
        let advice = fit.verdict.sentences().join(". ");
        return Err(Failure::of(loaded.document.name(), headline, &advice).unanswered());
    }
    if !args.write {
        return Ok(outcome);
    }
    let text = calibrated(&loaded, &factors)?;
    outcome.with_file(&beside(&args.file), &text, args.force, "the calibrated profile")
}

/// `set.yaml` becomes `set-fitted.yaml`.
fn beside(path: &Path) -> PathBuf {
    let stem = path.file_stem().map_or("set".into(), |stem| stem.to_string_lossy());
    path.with_file_name(format!("{stem}-fitted.yaml"))
}

/// The profile as it was, with the factors at its end.
fn calibrated(loaded: &Loaded, factors: &[Refined]) -> Result<String> {
    let name = loaded.document.name();
    let refused = |found, advice| Err(Failure::of(name, found, advice).unanswered());
    if !loaded.profile.calibration.is_empty() {
        return refused(
            "it carries a calibration already, and the fit starts from it",
            "take the `calibration` list out of it, then fit it anew to all readings",
        );
    }
    let Ok((model, _)) = complete(&loaded.profile) else {
        return refused("it cannot be completed", "see `mainsfit check`");
    };
    let mut text = loaded.text.trim_end().to_owned();
    text.push_str("\n\n# Written by `mainsfit fit --write` from the readings above: factors on the numbers of this set, and how far\n# each may still be off, as shares. While this list stands, the readings are not worked in again.\ncalibration:\n");
    for f in factors {
        text.push_str(&format!(
            "  - {{ of: '{}', factor: {:.5}, spread: {:.4} }}\n",
            f.parameter.key(&model).replace('\'', "''"),
            f.factor,
            f.spread
        ));
    }
    // a profile that is one bracket, or ends in an open text, cannot be added to in this way
    match Document::parse(name, text.as_bytes()).and_then(|d| profile::read(&d)) {
        Ok((profile, _)) if profile.calibration.len() == factors.len() => Ok(text),
        _ => refused(
            "a list cannot be added at its end",
            "write the profile in lines, `key:` first in each, not in one pair of brackets",
        ),
    }
}
