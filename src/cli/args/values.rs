//! Single values as they are typed. An error says what to write.

use crate::api::{
    Target,
    divider::{TapLoad, Voltmeter},
    draft::{Bulb, NewDropper},
    typed::{CHECK, OutletRange, Over, Place, clean_name, out_of_reach, outlet_range},
    units::{Current, Quantity, Resistance, Sign, Voltage, parse},
};

/// A quantity above zero, such as watts of a nameplate.
pub fn positive<Q: Quantity>(text: &str) -> Result<Q, String> {
    reached(text, Sign::Positive)
}

/// Voltage of the outlet.
pub fn mains(text: &str) -> Result<Voltage, String> {
    volts(text, Place::MAINS)
}

/// A range of the outlet by its name.
pub fn range(name: &str) -> Result<&'static OutletRange, String> {
    outlet_range(name).map_err(|error| format!("{error}; {}", error.advice()))
}

/// B+ or volts of a high-voltage winding.
pub fn high_voltage(text: &str) -> Result<Voltage, String> {
    volts(text, Place::HIGH_VOLTAGE)
}

/// Volts of a place in or before a set.
fn volts(text: &str, place: Place) -> Result<Voltage, String> {
    within(text, Sign::Positive, |text, value| place.refuse(text, value))
}

fn reached<Q: Quantity>(text: &str, sign: Sign) -> Result<Q, String> {
    within(text, sign, out_of_reach)
}

fn within<Q: Quantity>(
    text: &str,
    sign: Sign,
    refuse: impl Fn(&str, Q) -> Option<String>,
) -> Result<Q, String> {
    let value = parse::<Q>(text, sign).map_err(|error| error.to_string())?;
    refuse(text, value).map_or(Ok(value), |found| Err(format!("{found}; {CHECK}")))
}

/// Name of a set.
pub fn name(text: &str) -> Result<String, String> {
    clean_name(text).map_err(|(found, advice)| format!("{found}; {advice}"))
}

/// What the part is to reach.
pub fn target(text: &str) -> Result<Target, String> {
    match text.split_once('=') {
        None if text == "heaters" => Ok(Target::Heaters),
        Some(("B+", value)) => high_voltage(value).map(Target::BPlus),
        Some(("line", value)) => mains(value).map(Target::AsOnLine),
        _ => Err("write heaters, B+=250V or line=112V".to_owned()),
    }
}

/// A sweep's end: volts or ohms, or a plain zero.
pub fn sweep_end(text: &str, over: Over) -> Result<f64, String> {
    match over {
        _ if text.trim() == "0" => Ok(0.0),
        Over::Line => mains(text).map(Quantity::si),
        Over::Resistor => reached::<Resistance>(text, Sign::NonNegative).map(Quantity::si),
    }
}

/// Volts against chassis of either sign, but not zero.
pub fn signed_volts(text: &str) -> Result<Voltage, String> {
    let value = reached::<Voltage>(text, Sign::Any)?;
    if value.si() == 0.0 {
        return Err("0 V is chassis; write the voltage against it, such as 250V or -60V".to_owned());
    }
    Ok(value)
}

/// What a tap feeds: amperes, ohms, or nothing.
pub fn tap_load(text: &str) -> Result<TapLoad, String> {
    if matches!(text.trim(), "0" | "none") {
        return Ok(TapLoad::Nothing);
    }
    if let Ok(ohms) = positive::<Resistance>(text) {
        return Ok(TapLoad::Ohms(ohms.si()));
    }
    parse::<Current>(text, Sign::NonNegative).map_err(|error| {
        format!(
            "{error}; what a tap feeds is written as 5mA, as 47kohm to chassis, or as 0 for nothing"
        )
    })?;
    let amps = reached::<Current>(text, Sign::NonNegative)?.si();
    Ok(if amps == 0.0 { TapLoad::Nothing } else { TapLoad::Amps(amps) })
}

/// A meter: `10Mohm`, `20kohm/V`, or `1kohm/V@250V` for one that is kept on a range.
pub fn meter(text: &str) -> Result<Voltmeter, String> {
    let told = |error: String| {
        format!(
            "{error}; a meter is written as 10Mohm, as 20kohm/V, or as 1kohm/V@250V where it is kept on a range"
        )
    };
    let (body, range) = match text.split_once('@') {
        Some((body, range)) => (body, Some(range)),
        None => (text, None),
    };
    let sensitivity = body.trim().strip_suffix(['V', 'v']);
    let sensitivity = sensitivity.and_then(|b| b.trim_end().strip_suffix('/'));
    let per_volt = sensitivity.is_some();
    let ohms = positive::<Resistance>(sensitivity.unwrap_or(body)).map_err(told)?.si();
    if range.is_some() && !per_volt {
        return Err(told("only a meter with ohms per volt has a range that counts".to_owned()));
    }
    let range_v = range.map(positive::<Voltage>).transpose().map_err(told)?.map(Quantity::si);
    Ok(Voltmeter { ohms, per_volt, range_v })
}

/// What stands in series with the heaters: a kind, and after `=` its ohms, its voltage or its type.
pub fn dropper(text: &str) -> Result<NewDropper, String> {
    let (kind, value) = match text.split_once('=') {
        Some((kind, value)) => (kind, Some(value)),
        None => (text, None),
    };
    let ohms = || value.map(positive::<Resistance>).transpose();
    let bulb = || match value.map(|v| (v, positive::<Voltage>(v))) {
        None => None,
        Some((_, Ok(volts))) => Some(Bulb::Volts(volts)),
        Some((name, Err(_))) => Some(Bulb::Type(name.to_owned())),
    };
    match kind {
        "none" if value.is_none() => Ok(NewDropper::None),
        "resistor" => Ok(NewDropper::Resistor(ohms()?)),
        "line-cord" => Ok(NewDropper::LineCord(ohms()?)),
        "ballast" => Ok(NewDropper::Ballast(bulb())),
        "barretter" => Ok(NewDropper::Barretter(value.map(str::to_owned))),
        _ => Err("write none, resistor, line-cord, ballast or barretter, with a value as in resistor=180ohm, ballast=48V or barretter=TYPE".to_owned()),
    }
}
