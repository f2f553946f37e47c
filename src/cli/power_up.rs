//! The `power-up` command: the staged schedule on the terminal, or as a sheet of paper.

use super::args::{PlanFormat, PowerUpArgs};
use super::load::load;
use super::outcome::{Outcome, Result};
use super::paper::{Sheet, ahead_of_cautions, origin};
use crate::report::{power_up_page, terminal::Style, working_section};
use crate::study::{self, Request};

/// Prints the schedule, or writes it where a file is named.
pub(super) fn power_up(args: &PowerUpArgs, style: Style) -> Result {
    let output = args.output.as_deref();
    let sheet = output.map(|path| Sheet::new(path, args.force)).transpose()?;
    let loaded = load(&args.set.file)?;
    let request = Request { outlet: args.outlet.into(), target: None };
    let found = study::power_up(&loaded.profile, &request, loaded.warnings());
    let found = loaded.answer(found)?;
    if args.format == PlanFormat::Json {
        return Outcome::json(&found);
    }
    let mut page = power_up_page(&found, &origin(&loaded, "power-up", args.outlet, output));
    if args.working {
        ahead_of_cautions(&mut page, working_section(&found.working));
    }
    match sheet {
        None => Ok(Outcome::page(&page, style)),
        Some(sheet) => sheet.write(&page, "the power-up schedule"),
    }
}
