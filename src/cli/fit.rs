//! The `fit` command: readings in, a calibrated set out.

use super::args::{FitArgs, PlanFormat};
use super::run::{BAD_INPUT, Loaded, NO_ANSWER, Outcome, json, load, no_answer, painted, told};
use super::save;
use crate::receiver::{Refined, complete};
use crate::report::{self, terminal};
use crate::study;
use std::path::{Path, PathBuf};

/// Fits, prints, and writes the calibrated profile where asked for.
pub(super) fn fit(args: &FitArgs, style: terminal::Style) -> Outcome {
    let loaded = match load(&args.file) {
        Ok(loaded) => loaded,
        Err(outcome) => return outcome,
    };
    let (fit, factors) = match study::fit(&loaded.profile) {
        Ok(found) => found,
        Err(error) => return no_answer(&loaded.document, &error),
    };
    let mut outcome = match args.format {
        PlanFormat::Text => {
            let mut page = report::fit_page(&fit);
            if args.working {
                page.extend(report::working_page(&fit.working));
            }
            painted(&page, style)
        }
        PlanFormat::Json => json(&fit),
    };
    if args.write {
        let path = beside(&args.file);
        match written(&loaded, &factors) {
            Err(problem) => return problem,
            Ok(text) => match save::save(&path, &text, args.force) {
                Err(error) => {
                    return Outcome::bad(told(&error.to_string(), error.advice()), BAD_INPUT);
                }
                // the note belongs beside the answer, not into its JSON
                Ok(()) => {
                    outcome.err = format!("{}: the calibrated profile is written\n", path.display())
                }
            },
        }
    }
    outcome
}

/// `set.yaml` becomes `set-fitted.yaml`.
fn beside(path: &Path) -> PathBuf {
    let stem = path.file_stem().map_or("set".to_owned(), |s| s.to_string_lossy().into_owned());
    path.with_file_name(format!("{stem}-fitted.yaml"))
}

/// The profile as it was, with the factors at its end.
fn written(loaded: &Loaded, factors: &[Refined]) -> Result<String, Outcome> {
    let refused = |found: &str, advice: &str| {
        let found = format!("{}: {found}", loaded.document.name());
        Err(Outcome::bad(told(&found, advice), NO_ANSWER))
    };
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
            f.knob.key(&model).replace('\'', "''"),
            f.factor,
            f.spread
        ));
    }
    // a profile that is one bracket, or ends in an open text, cannot be added to in this way
    let document = crate::profile::Document::parse(loaded.document.name(), text.as_bytes());
    match document.and_then(|d| crate::profile::read(&d)) {
        Ok((profile, _)) if profile.calibration.len() == factors.len() => Ok(text),
        _ => refused(
            "a list cannot be added at its end",
            "write the profile in lines, `key:` first in each, not in one pair of brackets",
        ),
    }
}
