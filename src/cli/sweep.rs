//! The `sweep` command.

use super::args::{SweepArgs, SweepFormat, sweep_end};
use super::load::load;
use super::outcome::{Failure, Outcome, Result};
use super::save::save;
use crate::report::drawing::paint_chart;
use crate::report::{sweep_chart, sweep_csv, sweep_page, terminal::Style};
use crate::study::{self, SweepRequest};
use std::path::Path;

/// Points that make a curve look smooth.
const SMOOTH_POINTS: usize = 41;
/// Columns of panels in a sweep's SVG.
const SVG_COLUMNS: usize = 2;

/// Tabulates, and draws where asked for.
pub(super) fn sweep(args: &SweepArgs, style: Style) -> Result {
    let loaded = load(&args.set.file)?;
    let over = args.over.into();
    let end = |text: &Option<String>, option: &str| {
        let value = text.as_ref().map(|text| sweep_end(text, over));
        value.transpose().map_err(|error| Failure::line(format!("{option}: {error}")))
    };
    let mut request = SweepRequest {
        over,
        from: end(&args.from, "--from")?,
        to: end(&args.to, "--to")?,
        points: args.points,
        show: args.show.clone(),
        outlet: args.outlet.into(),
    };
    let table = loaded.answer(study::sweep(&loaded.profile, &request))?;
    if let Some(path) = &args.svg {
        request.points = request.points.max(SMOOTH_POINTS);
        let fine = loaded.answer(study::sweep(&loaded.profile, &request))?;
        let drawing = paint_chart(&sweep_chart(&fine), SVG_COLUMNS, "sweep");
        let svg = drawing.map_err(|error| Failure::line(error).unanswered())?.svg + "\n";
        if path == Path::new("-") {
            return Ok(Outcome::done(svg));
        }
        save(path, &svg, args.force)?;
    }
    match args.format {
        SweepFormat::Table => Ok(Outcome::page(&sweep_page(&table), style)),
        SweepFormat::Csv => Ok(Outcome::done(sweep_csv(&table))),
        SweepFormat::Json => Outcome::json(&table),
    }
}
