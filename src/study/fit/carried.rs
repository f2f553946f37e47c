//! What a calibration from before says of the parts.

use super::outcome::Suspect;
use crate::{
    profile::Profile,
    receiver::{Model, uncertain},
};

/// Parts that a calibration from before puts outside what a sound part may be off by, wherever within its own spread.
pub fn drifted(profile: &Profile, model: &Model) -> Vec<Suspect> {
    let sound = uncertain(model, &[]);
    let drifted = profile.calibration.iter().filter_map(|c| {
        let number = sound.iter().find(|n| n.parameter.key(model) == c.of)?;
        let off = c.factor.ln().abs();
        if off - c.spread.ln_1p() <= number.spread.ln_1p() {
            return None;
        }
        let (behaves_as, unit) = number.parameter.value(model)?;
        Some(Suspect {
            what: number.parameter.words(model),
            key: c.of.clone(),
            unit,
            stated: behaves_as / c.factor,
            behaves_as,
            // a limit, rectangular
            uncertainty: behaves_as * c.spread / 3f64.sqrt(),
            spreads: off / number.spread,
            gain: 0.0,
            or: Vec::new(),
        })
    });
    drifted.collect()
}
