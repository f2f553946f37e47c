//! The `sweep` and `switch-on` commands: tables, and curves where asked for.

use super::{
    Failure, Outcome, Result, Style,
    args::{SweepArgs, SweepFormat, SwitchOnArgs, sweep_end},
    load, save,
};
use crate::{
    report::{
        drawing::{Chart, paint_chart},
        sweep_chart, sweep_csv, sweep_page, switch_on_chart, switch_on_page,
    },
    study::{self, SweepRequest, SwitchOnRequest},
};
use std::path::Path;

/// Columns of panels in an SVG.
const SVG_COLUMNS: usize = 2;
/// Points that make a curve look smooth.
const SMOOTH_POINTS: usize = 41;

/// Tabulates, and draws where asked for.
pub fn sweep(args: &SweepArgs, style: Style) -> Result {
    let loaded = load(&args.set.file)?;
    let end = |text: &Option<String>, option: &str| {
        text.as_ref()
            .map(|text| sweep_end(text, args.over))
            .transpose()
            .map_err(|error| Failure::line(format!("{option}: {error}")))
    };
    let mut request = SweepRequest {
        over: args.over,
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
        if let Some(drawn) = draw(&sweep_chart(&fine), "sweep", path, args.force)? {
            return Ok(drawn);
        }
    }
    match args.format {
        SweepFormat::Table => Ok(Outcome::page(&sweep_page(&table), style)),
        SweepFormat::Csv => Ok(Outcome::done(sweep_csv(&table))),
        SweepFormat::Json => Outcome::json(&table),
    }
}

/// Follows the set, and draws where asked for.
pub fn switch_on(args: &SwitchOnArgs, style: Style) -> Result {
    let loaded = load(&args.set.file)?;
    let request = SwitchOnRequest { plan: args.request.into(), with: args.with };
    let found = study::switch_on(&loaded.profile, &request, loaded.warnings());
    let found = loaded.answer(found)?;
    if let Some(path) = &args.svg
        && let Some(drawn) = draw(&switch_on_chart(&found), "switch-on", path, args.force)?
    {
        return Ok(drawn);
    }
    Outcome::answer(&found, args.form.json(), style, switch_on_page)
}

/// Draws `chart` into the file at `path`; gives it back as text where that is `-`.
fn draw(chart: &Chart, name: &str, path: &Path, force: bool) -> Result<Option<Outcome>> {
    let drawn = paint_chart(chart, SVG_COLUMNS, name);
    let svg = drawn.map_err(|error| Failure::line(error).unanswered())?.svg + "\n";
    if path == Path::new("-") {
        return Ok(Some(Outcome::done(svg)));
    }
    save(path, &svg, force)?;
    Ok(None)
}
