//! The `divider` command.

use super::args::{DividerArgs, DividerFormat};
use super::run::{BAD_INPUT, Outcome, json, load, no_answer, painted, told};
use crate::profile::{CHECK, out_of_reach};
use crate::quantity::{Current, Quantity, Resistance, Sign, Voltage, parse};
use crate::report::{self, terminal::Style};
use crate::study::{
    self, DividerKnown, DividerRequest, DividerSize, DividerStudy, MOST_ARMS, OutletChoice,
    StudyError, TapLoad, Voltmeter,
};

/// Bare examples, shown where too little or too much is given.
const WAYS: &str = "write `mainsfit divider --from 62.6V --resistors 500k,100k,25k`, or `mainsfit divider --from 250V --taps 100V,80V --bleed 10mA`, or `mainsfit divider profiles/console-1936.yaml --of bias`";

/// Works out a divider.
pub(super) fn divider(args: &DividerArgs, style: Style) -> Outcome {
    let meters = match &args.meter {
        list if list.is_empty() => Voltmeter::USUAL.to_vec(),
        list => list.clone(),
    };
    if let Err((found, advice)) = combined(args) {
        return Outcome::bad(told(&found, &advice), BAD_INPUT);
    }
    let Some(file) = &args.file else {
        let request = match request(args, meters) {
            Ok(request) => request,
            Err((found, advice)) => return Outcome::bad(told(&found, &advice), BAD_INPUT),
        };
        return match study::divider(&request) {
            Ok(found) => shown(&found, args, style),
            Err(error) => Outcome::bad(told(&error.to_string(), &error.advice()), code(&error)),
        };
    };
    let loaded = match load(file) {
        Ok(loaded) => loaded,
        Err(outcome) => return outcome,
    };
    let line = OutletChoice::from(args.outlet);
    match study::divider_of(&loaded.profile, args.of.as_deref(), &line, &meters) {
        Ok(found) => shown(&found, args, style),
        Err(error) => no_answer(&loaded.document, &error),
    }
}

fn code(error: &StudyError) -> u8 {
    match error {
        StudyError::Receiver(_) => super::run::NO_ANSWER,
        _ => BAD_INPUT,
    }
}

fn shown(found: &DividerStudy, args: &DividerArgs, style: Style) -> Outcome {
    match args.format {
        DividerFormat::Text => painted(&report::divider_page(found, args.working), style),
        DividerFormat::Json => json(found),
    }
}

type Refused = (String, String);

/// Options that do not go together, with what to write.
fn combined(args: &DividerArgs) -> Result<(), Refused> {
    let refuse = |found: &str, advice: &str| Err((found.to_owned(), advice.to_owned()));
    let bare = [
        ("--from", args.from.is_some()),
        ("--resistors", !args.resistors.is_empty()),
        ("--taps", !args.taps.is_empty()),
        ("--total", args.total.is_some()),
        ("--bleed", args.bleed.is_some()),
        ("--loads", !args.loads.is_empty()),
    ];
    let given: Vec<&str> = bare.iter().filter(|(_, g)| *g).map(|(n, _)| *n).collect();
    if args.file.is_some() {
        return match given.first() {
            None => Ok(()),
            Some(option) => refuse(
                &format!("{option} belongs to a bare divider, but a profile is named"),
                "leave out the profile, or leave out that option and name the set's divider with --of",
            ),
        };
    }
    for (option, given) in [
        ("--of", args.of.is_some()),
        ("--line", args.outlet.line.is_some()),
        ("--range", args.outlet.range.is_some()),
    ] {
        if given {
            return refuse(
                &format!("{option} needs the profile of a set"),
                "write `mainsfit divider profiles/console-1936.yaml --of bias`",
            );
        }
    }
    let (resistors, taps) = (!args.resistors.is_empty(), !args.taps.is_empty());
    let sizes = usize::from(args.total.is_some()) + usize::from(args.bleed.is_some());
    match (args.from.is_some(), resistors, taps, sizes) {
        (false, _, _, _) if given.is_empty() => refuse("no divider is given", WAYS),
        (false, ..) => refuse(
            "the volts of the source are missing",
            "add --from, such as --from 250V or --from -60V",
        ),
        (_, true, true, _) => refuse(
            "--resistors and --taps are both given, and each follows from the other",
            "leave one of them out",
        ),
        (_, false, false, _) => refuse("neither resistors nor taps are given", WAYS),
        (_, true, _, 1..) => {
            refuse("the resistors settle the total and the bleed", "leave out --total and --bleed")
        }
        (_, _, true, 0) => refuse(
            "the taps alone do not settle the resistors",
            "add what the last arm may draw, such as --bleed 10mA, or all resistors together, such as --total 100k",
        ),
        (_, _, true, 2) => refuse(
            "--total and --bleed are both given, and each follows from the other",
            "leave one of them out",
        ),
        _ => Ok(()),
    }
}

/// The bare divider.
fn request(args: &DividerArgs, meters: Vec<Voltmeter>) -> Result<DividerRequest, Refused> {
    let from_v = args.from.map_or(0.0, Quantity::si);
    let taps = match args.resistors.len() {
        0 => args.taps.len(),
        n => n - 1,
    };
    if args.resistors.len() == 1 {
        return Err((
            "one resistor is no divider".to_owned(),
            "write them all from the source down, such as --resistors 500k,100k,25k".to_owned(),
        ));
    }
    if taps >= MOST_ARMS {
        return Err((
            format!("{} resistors are too many", taps + 1),
            format!("a divider has up to {MOST_ARMS}"),
        ));
    }
    if !args.loads.is_empty() && args.loads.len() != taps {
        let mut all = vec!["5mA"; 1];
        all.resize(taps, "0");
        return Err((
            format!("loads given: {}; taps: {taps}", args.loads.len()),
            format!(
                "write one for each tap from the source down, 0 where there is none: --loads {}",
                all.join(",")
            ),
        ));
    }
    let size = match (args.total, args.bleed) {
        (Some(total), _) => DividerSize::Total(total.si()),
        (None, bleed) => DividerSize::Bleed(bleed.map_or(0.0, Quantity::si)),
    };
    let si = |list: &[Resistance]| list.iter().map(|r| r.si()).collect();
    let known = if args.resistors.is_empty() {
        DividerKnown::Taps(args.taps.iter().map(|v| v.si()).collect(), size)
    } else {
        DividerKnown::Resistors(si(&args.resistors))
    };
    Ok(DividerRequest { from_v, known, loads: args.loads.clone(), meters })
}

fn reached<Q: Quantity>(text: &str, sign: Sign) -> Result<Q, String> {
    let value = parse::<Q>(text, sign).map_err(|e| e.to_string())?;
    match out_of_reach(text, value) {
        Some(found) => Err(format!("{found}; {CHECK}")),
        None => Ok(value),
    }
}

/// Volts against chassis of either sign, but not zero.
pub(super) fn signed_volts(text: &str) -> Result<Voltage, String> {
    let value = reached::<Voltage>(text, Sign::Any)?;
    if value.si() == 0.0 {
        return Err("0 V is chassis; write the volts against it, such as 250V or -60V".to_owned());
    }
    Ok(value)
}

/// A resistor.
pub(super) fn resistor(text: &str) -> Result<Resistance, String> {
    reached(text, Sign::Positive)
}

/// A current.
pub(super) fn current(text: &str) -> Result<Current, String> {
    reached(text, Sign::Positive)
}

/// What a tap feeds: amperes, ohms, or nothing.
pub(super) fn tap_load(text: &str) -> Result<TapLoad, String> {
    if matches!(text.trim(), "0" | "none") {
        return Ok(TapLoad::Nothing);
    }
    let amps = match parse::<Current>(text, Sign::NonNegative) {
        Ok(amps) => amps,
        Err(error) => {
            return match resistor(text) {
                Ok(ohms) => Ok(TapLoad::Ohms(ohms.si())),
                Err(_) => Err(format!(
                    "{error}; what a tap feeds is written as 5mA, as 47kohm to chassis, or as 0 for nothing"
                )),
            };
        }
    };
    match out_of_reach(text, amps) {
        Some(found) => Err(format!("{found}; {CHECK}")),
        None if amps.si() == 0.0 => Ok(TapLoad::Nothing),
        None => Ok(TapLoad::Amps(amps.si())),
    }
}

/// A meter: `10Mohm`, `20kohm/V`, or `1kohm/V@250V` for one that is kept on a range.
pub(super) fn meter(text: &str) -> Result<Voltmeter, String> {
    let like =
        "a meter is written as 10Mohm, as 20kohm/V, or as 1kohm/V@250V where it is kept on a range";
    let told = |error: String| format!("{error}; {like}");
    let (body, range) = match text.split_once('@') {
        Some((body, range)) => (body, Some(range)),
        None => (text, None),
    };
    let sensitivity = body.trim().strip_suffix(['V', 'v']);
    let sensitivity = sensitivity.and_then(|b| b.trim_end().strip_suffix('/'));
    let ohms = resistor(sensitivity.unwrap_or(body)).map_err(told)?.si();
    let range_v = match range {
        None => None,
        Some(_) if sensitivity.is_none() => {
            return Err(told("only a meter with ohms per volt has a range that counts".to_owned()));
        }
        Some(range) => Some(reached::<Voltage>(range, Sign::Positive).map_err(told)?.si()),
    };
    let per_volt = sensitivity.is_some();
    Ok(Voltmeter { ohms, per_volt, range_v })
}
