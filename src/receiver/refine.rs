//! A completed set with factors on its numbers: those a profile carries from an earlier fit, or those of a fit now.

use super::assume;
use super::error::ReceiverError;
use super::known;
use super::model::Model;
use super::parameters::Assumption;
use super::parameters::Parameter;
use crate::profile::{Profile, StatedTolerance};
use crate::quantity::{
    Capacitance, Current, Frequency, Inductance, Power, Quantity, Resistance, TemperatureRise,
    Voltage, show,
};

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
/// [`ReceiverError::Missing`] for a value no rule can supply, [`ReceiverError::Contradiction`] for a factor on a number
/// the set does not have; with the place in the profile and what to do.
pub fn complete(profile: &Profile) -> Result<(Model, Vec<Assumption>), ReceiverError> {
    let (mut model, mut list) = assume::fill_in(profile)?;
    known::apply(profile, &mut model, &mut list, shown)?;
    // a tolerance on a number that the set does not have is a slip, whoever reads the profile
    stated_tolerances(profile, &model)?;
    if profile.calibration.is_empty() {
        return Ok((model, list));
    }
    let known = Parameter::all(&model);
    let mut factors = Vec::new();
    for (i, c) in profile.calibration.iter().enumerate() {
        let Some(parameter) = known.iter().find(|k| k.key(&model) == c.of) else {
            return Err(ReceiverError::Contradiction {
                what: format!("this set has no number \"{}\" to put a factor on", c.of),
                key: format!("calibration[{i}].of"),
                advice: format!("known: {}", keys(&known, &model)),
            });
        };
        factors.push(Refined { parameter: *parameter, factor: c.factor, spread: c.spread });
    }
    Ok(refine(&model, &list, &factors, "fitted to readings before (calibration)"))
}

/// The tolerances that a profile states, by the numbers of its `model`.
///
/// # Errors
/// [`ReceiverError::Contradiction`] for a number the set does not have, with its place and what to write.
pub fn stated_tolerances(
    profile: &Profile,
    model: &Model,
) -> Result<Vec<(Parameter, f64)>, ReceiverError> {
    let known = Parameter::all(model);
    let of = |t: &StatedTolerance| match known.iter().find(|k| k.key(model) == t.of) {
        Some(parameter) => Ok((*parameter, t.spread)),
        None => Err(ReceiverError::Contradiction {
            what: format!("this set has no number \"{}\" that could be off", t.of),
            key: format!("tolerances.{}", t.of),
            advice: format!("known: {}", keys(&known, model)),
        }),
    };
    profile.tolerances.iter().map(of).collect()
}

fn keys(known: &[Parameter], model: &Model) -> String {
    let keys: Vec<String> = known.iter().map(|k| k.key(model)).collect();
    keys.join(", ")
}

/// A model with factors on its numbers. What was assumed of them gives way to `rule`; what was stated is listed where
/// the factor moves it or it may still be off.
pub fn refine(
    model: &Model,
    list: &[Assumption],
    factors: &[Refined],
    rule: &str,
) -> (Model, Vec<Assumption>) {
    let mut refined = model.clone();
    for f in factors {
        refined = refined.scaled(f.parameter, f.factor);
    }
    let mut out = list.to_vec();
    for f in factors {
        let value = f.parameter.value(&refined).map_or(String::new(), |(v, unit)| shown(v, unit));
        match out.iter_mut().find(|a| a.parameter == Some(f.parameter)) {
            Some(assumption) => {
                assumption.value = value;
                assumption.rule = format!("{rule}; before: {}", assumption.rule);
                (assumption.spread, assumption.bounds) = (f.spread, None);
            }
            None => out.push(Assumption {
                what: f.parameter.words(model),
                value,
                rule: rule.to_owned(),
                spread: f.spread,
                bounds: None,
                parameter: Some(f.parameter),
            }),
        }
    }
    (refined, out)
}

/// A value with its unit, as reports show it.
pub fn shown(value: f64, unit: &str) -> String {
    match unit {
        "Ω" => show(Resistance::from_si(value)),
        "V" => show(Voltage::from_si(value)),
        "A" => show(Current::from_si(value)),
        "W" => show(Power::from_si(value)),
        "H" => show(Inductance::from_si(value)),
        "F" => show(Capacitance::from_si(value)),
        "Hz" => show(Frequency::from_si(value)),
        "K" => show(TemperatureRise::from_si(value)),
        // a share
        "" => format!("{:.0} %", 100.0 * value),
        _ => format!("{value:.3}"),
    }
}
