//! How stated numbers are known: what a profile says of each, where it says more than the value.

use super::{Assumption, Model, Parameter, Result, error::flaw};
use crate::profile::{Known, Profile};

/// How far a guess may be off where it does not say, as a share (own judgement: as wide as the rules that fill in).
const GUESS: f64 = 0.25;

/// Works what the profile says of its values into a completed model: a measured number is held within what its meter may
/// be off by, a guess is an assumption, a nominal value has the customary tolerance.
///
/// # Errors
/// A value that no number of the model stands on by itself.
pub fn apply(profile: &Profile, model: &mut Model, list: &mut Vec<Assumption>) -> Result<()> {
    if profile.known.is_empty() {
        return Ok(());
    }
    let all = Parameter::all(model).into_iter();
    let all: Vec<(Parameter, Vec<String>)> = all.map(|p| (p, p.stated(model))).collect();
    for stated in &profile.known {
        let path = &stated.path;
        // not used beside the winding's volts, of which there is a warning
        if path == "service_sheet.B+" && profile.transformer.high_voltage.is_some() {
            continue;
        }
        let Some(&(parameter, _)) = all.iter().find(|(_, places)| places.contains(path)) else {
            return Err(flaw(
                "how this value is known changes nothing here",
                path,
                "write the value alone; `known:` goes with resistances, winding voltage, currents and inductances of the set's own parts",
            ));
        };
        match stated.known {
            Known::Measured => model.known.push((parameter, stated.within)),
            Known::Nominal => {}
            Known::Guess => list.push(Assumption {
                what: parameter.words(model),
                value: parameter.shown(model),
                rule: "the profile calls it a guess".to_owned(),
                spread: if stated.within > 0.0 { stated.within } else { GUESS },
                parameter: Some(parameter),
                ..Assumption::default()
            }),
        }
    }
    Ok(())
}
