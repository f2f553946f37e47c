//! The `switch-on` command: the first minute as a table, and as curves where asked for.

use super::args::SwitchOnArgs;
use super::load::load;
use super::outcome::{Failure, Outcome, Result};
use super::save::save;
use crate::report::drawing::paint_chart;
use crate::report::{switch_on_chart, switch_on_page, terminal::Style};
use crate::study::{self, SwitchOnRequest};
use std::path::Path;

/// Columns of panels in its SVG.
const SVG_COLUMNS: usize = 2;

/// Follows the set, and draws where asked for.
pub(super) fn switch_on(args: &SwitchOnArgs, style: Style) -> Result {
    let loaded = load(&args.set.file)?;
    let request = SwitchOnRequest { plan: args.request.into(), with: args.with };
    let found = study::switch_on(&loaded.profile, &request, loaded.warnings());
    let found = loaded.answer(found)?;
    if let Some(path) = &args.svg {
        let drawing = paint_chart(&switch_on_chart(&found), SVG_COLUMNS, "switch-on");
        let svg = drawing.map_err(|error| Failure::line(error).unanswered())?.svg + "\n";
        if path == Path::new("-") {
            return Ok(Outcome::done(svg));
        }
        save(path, &svg, args.force)?;
    }
    Outcome::answer(&found, args.form.json(), style, switch_on_page)
}
