//! The `sweep` and `switch-on` commands: tables, and curves where asked for.

use super::{
    Failure, Outcome, Result, Style,
    args::{SweepArgs, SweepFormat, SwitchOnArgs, sweep_end},
    desk::Desk,
    forms::SWEEP,
    outcome::Written,
};
use crate::api::{Options, Page, SweepOptions};
use std::path::Path;

/// Points that make a curve look smooth.
const SMOOTH_POINTS: usize = 41;

/// Tabulates, and draws where asked for.
pub fn sweep(args: &SweepArgs, desk: &Desk) -> Result {
    let set = desk.load(&args.set.file)?;
    let end = |text: &Option<String>, option: &str| {
        text.as_ref()
            .map(|text| sweep_end(text, args.over))
            .transpose()
            .map_err(|error| Failure::line(format!("{option}: {error}")))
    };
    let (from, to) = (end(&args.from, "--from")?, end(&args.to, "--to")?);
    let options = SweepOptions::over(args.over, from, to).show(args.show.clone());
    let outlet = args.outlet.outlet()?;
    let of = |points: usize| set.sweep(&options.clone().points(points), outlet.clone());
    let table = of(args.points)?;
    let found = match args.format {
        SweepFormat::Table => Outcome::page(&Page::from(&table), desk.style),
        SweepFormat::Csv => Outcome::done(table.csv()),
        SweepFormat::Json => Outcome::json_as(SWEEP, &table)?,
    };
    let Some(path) = &args.svg else {
        return Ok(found);
    };
    let svg = of(args.points.max(SMOOTH_POINTS))?.svg()?;
    Ok(drawn(found, svg, path, args.force, desk.style))
}

/// Follows the set, and draws where asked for.
pub fn switch_on(args: &SwitchOnArgs, desk: &Desk) -> Result {
    let bench = desk.load(&args.set.file)?.bench(args.request.outlet.outlet()?)?;
    let found = bench.switch_on(&Options { with: args.with, ..args.request.options() })?;
    let told = Outcome::answer(&found, args.form.json(), desk.style, |found| Page::from(found))?;
    match &args.svg {
        Some(path) => Ok(drawn(told, found.svg()?, path, args.force, desk.style)),
        None => Ok(told),
    }
}

/// What was found, with its curves written into the file at `path`; the curves instead where that is `-`.
fn drawn(found: Outcome, svg: String, path: &Path, force: bool, style: Style) -> Outcome {
    if path == Path::new("-") {
        return Outcome::done(svg);
    }
    found.with_file(Written { path, force, what: "the drawing" }, &svg, style)
}
