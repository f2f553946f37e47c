//! A set fitted to its readings, and the profile that carries it.

use super::{Error, Fit, Set};
use crate::{
    profile::{self, Document},
    receiver::{Refined, complete},
    study,
};

/// A set fitted to its readings.
///
/// ```
/// let set = mainsfit::Set::load("profiles/console-1936.yaml")?;
/// // it has no readings yet
/// assert!(set.fit().unwrap_err().advice().contains("readings:"));
/// # Ok::<(), mainsfit::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct Fitted {
    /// What was found.
    pub fit: Fit,
    factors: Vec<Refined>,
    set: Set,
}

impl Set {
    /// Fits the set to the readings of its profile.
    ///
    /// # Errors
    /// There is no reading, or one that no state of the set gives.
    pub fn fit(&self) -> Result<Fitted, Error> {
        let (fit, factors) = self.answer(study::fit(&self.read.profile))?;
        Ok(Fitted { fit, factors, set: self.clone() })
    }
}

impl Fitted {
    /// The profile as it was, with the factors at its end.
    ///
    /// # Errors
    /// The readings contradict each other, or the profile has a calibration already, or a form that nothing can be added to.
    pub fn profile(&self) -> Result<String, Error> {
        let read = &self.set.read;
        let refused =
            |found: &str, advice: &str| Err(Error::no_answer(read.document.name(), found, advice));
        if let Some(headline) = self.fit.verdict.headline() {
            return refused(headline, &self.fit.verdict.sentences().join(". "));
        }
        if !read.profile.calibration.is_empty() {
            return refused(
                "it carries a calibration already, and the fit starts from it",
                "take the `calibration` list out of it, then fit it anew to all readings",
            );
        }
        let Ok((model, _)) = complete(&read.profile) else {
            return refused("it cannot be completed", "see `mainsfit check`");
        };
        let mut text = read.text.trim_end().to_owned();
        text.push_str("\n\n# Written by `mainsfit fit --write` from the readings above: factors on the numbers of this set, and how far\n# each may still be off, as shares. While this list stands, the readings are not worked in again.\ncalibration:\n");
        for f in &self.factors {
            text.push_str(&format!(
                "  - {{ of: '{}', factor: {:.5}, spread: {:.4} }}\n",
                f.parameter.key(&model).replace('\'', "''"),
                f.factor,
                f.spread
            ));
        }
        // a profile that is one bracket, or ends in an open text, cannot be added to in this way
        let name = read.document.name();
        match Document::parse(name, text.as_bytes()).and_then(|d| profile::read(&d)) {
            Ok((profile, _)) if profile.calibration.len() == self.factors.len() => Ok(text),
            _ => refused(
                "a list cannot be added at its end",
                "write the profile in lines, `key:` first in each, not in one pair of brackets",
            ),
        }
    }
}
