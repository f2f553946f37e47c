//! How stated numbers are known: what a profile says of each, where it says more than the value.

use super::error::ReceiverError;
use super::model::{Model, Section};
use super::parameters::{Assumption, Number, Parameter};
use crate::profile::{FilterPart, Known, Profile};

/// How far a guess may be off where it does not say, as a share (own judgement: as wide as the rules that fill in).
const GUESS: f64 = 0.25;

/// Works what the profile says of its values into a completed model: a measured number is held within what its meter may
/// be off by, a guess is an assumption, a nominal value has the customary tolerance.
///
/// # Errors
/// [`ReceiverError::Contradiction`] at a value that no number of the model stands on by itself.
pub(super) fn apply(
    profile: &Profile,
    model: &mut Model,
    list: &mut Vec<Assumption>,
    shown: fn(f64, &str) -> String,
) -> Result<(), ReceiverError> {
    for stated in &profile.known {
        let path = &stated.path;
        // not used beside the winding's volts, of which there is a warning
        if path == "service_sheet.B+" && profile.transformer.high_voltage.is_some() {
            continue;
        }
        let all = Parameter::all(model);
        let Some(parameter) = all.into_iter().find(|p| places(*p, profile, model).contains(path))
        else {
            return Err(ReceiverError::Contradiction {
                what: "how this value is known changes nothing here".to_owned(),
                key: path.clone(),
                advice: "write the value alone; `known:` goes with resistances, winding volts, currents and inductances of the set's own parts".to_owned(),
            });
        };
        match stated.known {
            Known::Measured => model.known.push((parameter, stated.within)),
            Known::Nominal => {}
            Known::Guess => {
                let value = parameter.value(model).map_or(String::new(), |(v, u)| shown(v, u));
                list.push(Assumption {
                    what: parameter.words(model),
                    value,
                    rule: "the profile calls it a guess".to_owned(),
                    spread: if stated.within > 0.0 { stated.within } else { GUESS },
                    bounds: None,
                    parameter: Some(parameter),
                });
            }
        }
    }
    Ok(())
}

/// Where in a profile a number may be stated.
fn places(p: Parameter, profile: &Profile, model: &Model) -> Vec<String> {
    let of = |place: &str, keys: &[&str]| -> Vec<String> {
        keys.iter().map(|key| format!("{place}.{key}")).collect()
    };
    let winding = || {
        let name = model.windings.get(p.of).map_or("", |w| w.name.as_str());
        format!("transformer.heater_windings.{name}")
    };
    let tube = || format!("tubes[{}]", model.tubes.get(p.of).map_or(usize::MAX, |t| t.socket));
    // a filter's parts of one kind, the n-th of the model being the n-th of the profile
    let (main, second) = model.filters();
    let stated = |at: usize, is: fn(&Section) -> bool, key: fn(&FilterPart) -> Option<&str>| {
        let (parts, of, all, at) = match (at >= main.len(), &profile.second_supply) {
            (true, Some(own)) => (&own.filter, "second_supply.filter", second, at - main.len()),
            _ => (&profile.filter, "filter", main, at),
        };
        let before = all.iter().take(at).filter(|s| is(s)).count();
        let mut own = parts.iter().enumerate().filter_map(|(i, part)| Some((i, key(part)?)));
        own.nth(before).map(|(i, key)| format!("{of}[{i}].{key}"))
    };
    let coil = |keys: &[&str]| {
        let at = model.filter.iter().position(|s| matches!(s, Section::Coil(i) if *i == p.of));
        let place = at.and_then(|at| {
            stated(
                at,
                |s| matches!(s, Section::Coil(_)),
                |part| match part {
                    FilterPart::FieldCoil(_) => Some("field_coil"),
                    FilterPart::Choke(_) => Some("choke"),
                    _ => None,
                },
            )
        });
        place.map_or(Vec::new(), |place| of(&place, keys))
    };
    match p.what {
        Number::PrimaryResistance => of("transformer.primary", &["resistance"]),
        Number::NoLoadCurrent => of("transformer.primary", &["no_load_current"]),
        Number::NoLoadPower => of("transformer.primary", &["no_load_power"]),
        Number::HighVoltage if model.high_voltage.by_b_plus => of("service_sheet", &["B+"]),
        Number::HighVoltage => of("transformer.high_voltage", &["per_half", "volts"]),
        Number::HighVoltageResistance => {
            of("transformer.high_voltage", &["resistance_per_half", "resistance"])
        }
        Number::WindingVolts => of(&winding(), &["volts"]),
        Number::WindingResistance => of(&winding(), &["resistance"]),
        Number::StringDropper => {
            let mut all = of("heater_string.dropper", &["resistance"]);
            all.extend((0..8).map(|i| format!("heater_string.dropper[{i}].resistance")));
            all
        }
        Number::MainsResistor => of("mains_resistor", &["resistance"]),
        Number::HeaterShunt => {
            let link = model.windings.get(p.of).and_then(|w| w.filaments.first());
            let socket = link.and_then(|f| f.socket).unwrap_or(usize::MAX);
            of(&format!("tubes[{socket}]"), &["heater_shunt"])
        }
        Number::BranchDropper => {
            let place = format!("heater_string.branches[{}].dropper", p.of);
            let mut all = of(&place, &["resistance"]);
            all.extend((0..8).map(|i| format!("{place}[{i}].resistance")));
            all
        }
        Number::Surge => of("rectifier", &["surge_resistor"]),
        Number::BiasVolts => of("transformer.bias", &["volts"]),
        Number::BiasResistance => of("transformer.bias", &["resistance"]),
        Number::CoilResistance => coil(&["cold", "hot"]),
        Number::CoilInductance => coil(&["inductance"]),
        Number::DividerResistor => {
            let name = model.dividers.get(p.of).map_or("", |d| d.name.as_str());
            vec![format!("dividers.{name}.resistors[{}]", p.at)]
        }
        Number::Load => of(&format!("loads[{}]", p.of), &["resistance", "current"]),
        Number::FilterResistor => stated(
            p.of,
            |s| matches!(s, Section::Resistor(..)),
            |part| matches!(part, FilterPart::Resistor { .. }).then_some("resistor.value"),
        )
        .into_iter()
        .collect(),
        Number::Capacitance => stated(
            p.of,
            |s| matches!(s, Section::Capacitor(..)),
            |part| matches!(part, FilterPart::Capacitor { .. }).then_some("capacitor.value"),
        )
        .into_iter()
        .collect(),
        Number::SecondVolts => of("second_supply.winding", &["per_half", "volts"]),
        Number::SecondResistance => {
            of("second_supply.winding", &["resistance_per_half", "resistance"])
        }
        Number::SecondSurge => of("second_supply.rectifier", &["surge_resistor"]),
        Number::SecondDrop => of("second_supply.rectifier", &["drop"]),
        Number::DoublerCapacitance => of(&format!("rectifier.capacitors[{}]", p.of), &["value"]),
        Number::RectifierDrop => of("rectifier", &["drop"]),
        Number::Frequency => of("set", &["frequency"]),
        Number::PlateFeed => of(&tube(), &["plate.through"]),
        Number::ScreenFeed => of(&tube(), &["screen.through"]),
        Number::CathodeResistor => of(&tube(), &["cathode", "cathode.resistor"]),
        Number::KneeShare
        | Number::CopperRise
        | Number::Heater
        | Number::CoilRise
        | Number::TubeCurrent
        | Number::ScreenShare
        | Number::GridBias
        | Number::FlatTop
        | Number::StringCapacitance => Vec::new(),
    }
}
