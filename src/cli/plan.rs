//! The `plan` command: one set, or several files or a folder with a row for each set or a line of JSON for each file.

use super::{
    Failure, Outcome, Result,
    args::{PlanArgs, RequestArgs},
    desk::Desk,
    files::{Answers, Done, alone, answers},
    outcome::FileError,
};
use crate::api::{
    Outlet, Page, Plan,
    typed::{PlanList, PlanRow, RowBody, shared_cautions},
};
use serde::Serialize;
use std::path::Path;

/// A plan in the list, with its file.
#[derive(Serialize)]
struct FilePlan<'a> {
    #[serde(flatten)]
    plan: &'a Plan,
    file: &'a str,
}

/// Plans one set, or many.
pub fn plan(args: &PlanArgs, desk: &Desk) -> Result {
    let Some(file) = alone(&args.files) else {
        return plans(args, desk);
    };
    let page = |plan: &Plan| match args.parts() {
        _ if args.full => plan.whole(),
        parts if parts.is_empty() => Page::from(plan),
        parts => plan.shown(&parts),
    };
    let outlet = args.request.outlet.outlet()?;
    Outcome::answer(
        &plan_one(file, &args.request, &outlet, desk)?,
        args.form.json(),
        desk.style,
        page,
    )
}

/// Plans them all; a bad one does not stop the others.
fn plans(args: &PlanArgs, desk: &Desk) -> Result {
    if args.full || !args.parts().is_empty() {
        return Err(Failure::new(
            "--full, --show and --working are of one set, and several are named",
            "name one profile with them, or leave them out for the list",
        ));
    }
    // a log is read once for all of them
    let outlet = args.request.outlet.outlet()?;
    let answers =
        answers(&args.files, desk.screen, |path| plan_one(path, &args.request, &outlet, desk))?;
    let Answers { done, .. } = &answers;
    let outcome = if args.form.json() {
        Outcome::done(lines(done)?)
    } else if done.iter().all(|(_, result)| result.is_err()) {
        Outcome::done(String::new())
    } else {
        Outcome::page(&Page::from(&list(done)), desk.style)
    };
    Ok(answers.outcome(outcome, |failure| desk.style.tell(&failure.text)))
}

/// The plan of one file.
pub fn plan_one(path: &Path, request: &RequestArgs, outlet: &Outlet, desk: &Desk) -> Result<Plan> {
    let bench = desk.load(path)?.bench(outlet.clone())?;
    Ok(bench.plan(&request.options())?)
}

/// A row for each file.
fn list(done: &[Done<Plan>]) -> PlanList<'_> {
    let name = |file: &str| {
        let name = Path::new(file).file_name();
        name.map_or(file.to_owned(), |n| n.to_string_lossy().into_owned())
    };
    let alone = |file: &str| done.iter().filter(|(o, _)| name(o) == name(file)).count() == 1;
    let rows = done.iter().map(|(file, result)| PlanRow {
        file: file.clone(),
        short: if alone(file) { name(file) } else { file.clone() },
        body: match result {
            Ok(plan) => RowBody::of(plan),
            Err(failure) => RowBody::Failed {
                errors: failure.errors.len(),
                first: failure.errors.first().map_or(String::new(), place_and_words),
            },
        },
    });
    let plans: Vec<&Plan> = done.iter().filter_map(|(_, result)| result.as_ref().ok()).collect();
    PlanList { rows: rows.collect(), cautions: shared_cautions(&plans) }
}

fn place_and_words(error: &FileError) -> String {
    match (error.line, error.column) {
        (Some(line), Some(column)) => format!("line {line}, column {column}: {}", error.found),
        _ => error.found.clone(),
    }
}

/// A line of JSON for each file.
fn lines(done: &[Done<Plan>]) -> Result<String> {
    let line = |(file, result): &Done<Plan>| {
        let line = match result {
            Ok(plan) => serde_json::to_string(&FilePlan { plan, file }),
            Err(failure) => failure.json(Some(file)),
        };
        Ok(line? + "\n")
    };
    done.iter().map(line).collect()
}
