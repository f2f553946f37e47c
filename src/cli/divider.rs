//! The `divider` command.

use super::{Failure, Outcome, Result, args::DividerArgs, desk::Desk, forms::DIVIDER};
use crate::api::{
    Page,
    divider::{self, Known, MOST_ARMS, Request, Size, Voltmeter},
    units::Quantity,
};

/// Bare examples, shown where too little or too much is given.
const WAYS: &str = "write `mainsfit divider --from 75V --resistors 390k,82k,18k`, or `mainsfit divider --from 250V --taps 100V,80V --bleed 10mA`, or `mainsfit divider profiles/console-1936.yaml --of bias`";

/// Works out a divider.
pub fn divider(args: &DividerArgs, desk: &Desk) -> Result {
    combined(args)?;
    let meters = if args.meter.is_empty() { Voltmeter::USUAL.to_vec() } else { args.meter.clone() };
    let found = match &args.file {
        None => divider::divider(&request(args, meters)?)?,
        Some(file) => {
            desk.load(file)?.divider(args.of.as_deref(), args.outlet.outlet()?, &meters)?
        }
    };
    match (args.form.json(), args.working) {
        (true, _) => Outcome::json_as(DIVIDER, &found),
        (_, true) => Ok(Outcome::page(&found.with_sums(), desk.style)),
        _ => Ok(Outcome::page(&Page::from(&found), desk.style)),
    }
}

/// Refuses options that do not go together, with what to write.
fn combined(args: &DividerArgs) -> Result<()> {
    let (resistors, taps) = (!args.resistors.is_empty(), !args.taps.is_empty());
    let bare = [
        ("--from", args.from.is_some()),
        ("--resistors", resistors),
        ("--taps", taps),
        ("--total", args.total.is_some()),
        ("--bleed", args.bleed.is_some()),
        ("--loads", !args.loads.is_empty()),
    ];
    let of_a_set = [
        ("--of", args.of.is_some()),
        ("--line", args.outlet.line.is_some()),
        ("--range", args.outlet.range.is_some()),
        ("--outlet-log", args.outlet.outlet_log.is_some()),
    ];
    let first = |options: &[(&'static str, bool)]| options.iter().find(|o| o.1).map(|o| o.0);
    if args.file.is_some() {
        return first(&bare).map_or(Ok(()), |option| {
            Err(Failure::new(
                format!("{option} belongs to a bare divider, but a profile is named"),
                "leave out the profile, or leave out that option and name the set's divider with --of",
            ))
        });
    }
    if let Some(option) = first(&of_a_set) {
        return Err(Failure::new(
            format!("{option} needs the profile of a set"),
            "write `mainsfit divider profiles/console-1936.yaml --of bias`",
        ));
    }
    let sizes = usize::from(args.total.is_some()) + usize::from(args.bleed.is_some());
    let (found, advice) = match (args.from.is_some(), resistors, taps, sizes) {
        (false, ..) if first(&bare).is_none() => ("no divider is given", WAYS),
        (false, ..) => (
            "the voltage of the source is missing",
            "add --from, such as --from 250V or --from -60V",
        ),
        (_, true, true, _) => (
            "--resistors and --taps are both given, and each follows from the other",
            "leave one of them out",
        ),
        (_, false, false, _) => ("neither resistors nor taps are given", WAYS),
        (_, true, _, 1..) => {
            ("the resistors decide the total and the bleed", "leave out --total and --bleed")
        }
        (_, _, true, 0) => (
            "the taps alone do not decide the resistors",
            "add what the last arm may draw, such as --bleed 10mA, or all resistors together, such as --total 100k",
        ),
        (_, _, true, 2) => (
            "--total and --bleed are both given, and each follows from the other",
            "leave one of them out",
        ),
        _ => return Ok(()),
    };
    Err(Failure::new(found, advice))
}

/// The bare divider.
fn request(args: &DividerArgs, meters: Vec<Voltmeter>) -> Result<Request> {
    let taps = match args.resistors.len() {
        0 => args.taps.len(),
        1 => {
            return Err(Failure::new(
                "one resistor is no divider",
                "write them all from the source down, such as --resistors 390k,82k,18k",
            ));
        }
        n => n - 1,
    };
    if taps >= MOST_ARMS {
        return Err(Failure::new(
            format!("{} resistors are too many", taps + 1),
            format!("a divider has up to {MOST_ARMS}"),
        ));
    }
    if !args.loads.is_empty() && args.loads.len() != taps {
        let mut all = vec!["5mA"];
        all.resize(taps, "0");
        return Err(Failure::new(
            format!("loads given: {}; taps: {taps}", args.loads.len()),
            format!(
                "write one for each tap from the source down, 0 where there is none: --loads {}",
                all.join(",")
            ),
        ));
    }
    let known = if args.resistors.is_empty() {
        let size = match args.total {
            Some(total) => Size::Total(total.si()),
            None => Size::Bleed(args.bleed.map_or(0.0, Quantity::si)),
        };
        Known::Taps(args.taps.iter().map(|v| v.si()).collect(), size)
    } else {
        Known::Resistors(args.resistors.iter().map(|r| r.si()).collect())
    };
    let from_v = args.from.map_or(0.0, Quantity::si);
    Ok(Request { from_v, known, loads: args.loads.clone(), meters })
}
