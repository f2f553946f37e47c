//! A completed set with factors on its numbers: those a profile carries from an earlier fit, or those of a fit now.

use super::{Assumption, FittedTo, Model, Parameter, Result, assume, error::flaw, known};
use crate::profile::Profile;

/// A factor on a number of a model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Refined {
    /// The number.
    pub parameter: Parameter,
    /// What it is multiplied by.
    pub factor: f64,
    /// How far it may still be off, as a share.
    pub spread: f64,
}

/// Completes a profile, with the factors its `calibration` carries.
///
/// # Errors
/// A [flaw](super::ReceiverError::Flaw): a value no rule can supply, or a factor on a number the set does not have, with the
/// place in the profile and what to do.
pub fn complete(profile: &Profile) -> Result<(Model, Vec<Assumption>)> {
    let (mut model, mut list) = assume::fill_in(profile)?;
    known::apply(profile, &mut model, &mut list)?;
    // a tolerance on a number that the set does not have is a slip, whoever reads the profile
    stated_tolerances(profile, &model)?;
    if profile.calibration.is_empty() {
        return Ok((model, list));
    }
    let named = named(&model, "to put a factor on");
    let factors = profile.calibration.iter().enumerate().map(|(i, c)| {
        let parameter = named(&c.of, format!("calibration[{i}].of"))?;
        Ok(Refined { parameter, factor: c.factor, spread: c.spread })
    });
    let factors = factors.collect::<Result<Vec<_>>>()?;
    Ok(refine(&model, &list, &factors, FittedTo::Calibration))
}

/// The tolerances that a profile states, by the numbers of its `model`.
///
/// # Errors
/// A [flaw](super::ReceiverError::Flaw): a number the set does not have, with its place and what to write.
pub fn stated_tolerances(profile: &Profile, model: &Model) -> Result<Vec<(Parameter, f64)>> {
    let named = named(model, "that could be off");
    let stated = profile.tolerances.iter();
    stated.map(|t| Ok((named(&t.of, format!("tolerances.{}", t.of))?, t.spread))).collect()
}

/// Finds the numbers of `model` by their names; of one that it does not have, what it is not there for.
fn named<'m>(
    model: &'m Model,
    purpose: &'m str,
) -> impl Fn(&str, String) -> Result<Parameter> + 'm {
    let all = Parameter::all(model);
    move |name, at| {
        all.iter().find(|p| p.key(model) == name).copied().ok_or_else(|| {
            let keys: Vec<String> = all.iter().map(|p| p.key(model)).collect();
            let what = format!("this set has no number \"{name}\" {purpose}");
            flaw(what, at, format!("known: {}", keys.join(", ")))
        })
    }
}

/// A model with factors on its numbers. What was assumed of them gives way to what they were fitted to; what was stated is listed where
/// the factor moves it or it may still be off.
pub fn refine(
    model: &Model,
    list: &[Assumption],
    factors: &[Refined],
    to: FittedTo,
) -> (Model, Vec<Assumption>) {
    let rule = match to {
        FittedTo::Readings => "fitted to the readings",
        FittedTo::Calibration => "fitted to readings before (calibration)",
    };
    let mut refined = model.clone();
    for f in factors {
        refined.scale(f.parameter, f.factor);
    }
    let mut out = list.to_vec();
    for f in factors {
        let value = f.parameter.shown(&refined);
        match out.iter_mut().find(|a| a.parameter == Some(f.parameter)) {
            Some(assumption) => {
                assumption.value = value;
                assumption.rule = format!("{rule}; before: {}", assumption.rule);
                (assumption.spread, assumption.bounds) = (f.spread, None);
                assumption.fitted = Some(to);
            }
            None => out.push(Assumption {
                what: f.parameter.words(model),
                value,
                rule: rule.to_owned(),
                spread: f.spread,
                parameter: Some(f.parameter),
                fitted: Some(to),
                ..Assumption::default()
            }),
        }
    }
    (refined, out)
}
