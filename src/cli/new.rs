//! The `new` command: a profile to fill in.

use super::args::{BiasArg, NewArgs};
use super::outcome::{Failure, Outcome, Result};
use super::save::save;
use crate::profile::Lead;
use crate::report::terminal::{self, Style};
use crate::report::{alarm_page, blank_text};
use crate::study::{self, Between, NewSet};

/// Writes the blank, or prints it where no file is named.
pub(super) fn new(args: &NewArgs, style: Style) -> Result {
    let usual = args.outlet.line.line.is_some() || args.outlet.line.range.is_some();
    if !usual && (args.outlet.low.is_some() || args.outlet.high.is_some()) {
        return Err(Failure::new(
            "--low and --high belong to the usual volts, which are not given",
            "add `--line` with the usual volts, or `--range`",
        ));
    }
    let blank = study::blank(&set(args))?;
    let text = blank_text(&blank);
    let Some(path) = &args.output else {
        return Ok(Outcome::done(text));
    };
    save(path, &text, args.force)?;
    let path = path.display();
    let alarms = terminal::paint(&alarm_page(&blank.alarms), style);
    Ok(Outcome::done(format!(
        "{alarms}{path}: written; fill in what is marked usual, then `mainsfit check {path}`\n"
    )))
}

fn set(args: &NewArgs) -> NewSet {
    let between = [
        (Between::FieldCoil, args.field_coil),
        (Between::Choke, args.choke),
        (Between::Resistor, args.resistor),
    ];
    NewSet {
        name: args.name.clone(),
        year: args.year,
        design_line: args.design_line,
        nameplate: args.nameplate,
        outlet: args.outlet.into(),
        tubes: args.tubes.clone(),
        rectifier: args.rectifier.clone(),
        lamps: args.lamps.clone(),
        between: between.into_iter().find_map(|(what, lead)| Some((what, Lead::from(lead?)))),
        bias_from_coil: args.bias == BiasArg::FieldCoil,
        b_plus: args.b_plus,
        per_half: args.per_half,
    }
}
