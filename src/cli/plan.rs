//! The `plan` command: one set, or several files or a folder with a row for each set or a line of JSON for each file.

use super::{
    Failure, Outcome, Result, Style,
    args::{PlanArgs, RequestArgs},
    outcome::FileError,
};
use crate::api::{
    Outlet, Page, Plan, Set,
    typed::{PlanList, PlanRow, RowBody, cores, shared_cautions, shared_out},
};
use serde::Serialize;
use std::path::{Path, PathBuf};

/// Endings of profiles in a folder.
const ENDINGS: [&str; 2] = ["yaml", "yml"];

/// A plan in the list, with its file.
#[derive(Serialize)]
struct FilePlan<'a> {
    #[serde(flatten)]
    plan: &'a Plan,
    file: &'a str,
}

/// One file's name and what came of it.
type Done = (String, Result<Plan>);

/// Plans one set, or many.
pub fn plan(args: &PlanArgs, style: Style) -> Result {
    let file = match args.files.as_slice() {
        [file] if !file.is_dir() => file,
        _ => return plans(args, style),
    };
    let page = |plan: &Plan| match args.parts() {
        _ if args.full => plan.whole(),
        parts if parts.is_empty() => Page::from(plan),
        parts => plan.shown(&parts),
    };
    let outlet = args.request.outlet.outlet()?;
    Outcome::answer(&plan_one(file, &args.request, &outlet)?, args.form.json(), style, page)
}

/// Plans them all; a bad one does not stop the others.
fn plans(args: &PlanArgs, style: Style) -> Result {
    if args.full || !args.parts().is_empty() {
        return Err(Failure::new(
            "--full, --show and --working are of one set, and several are named",
            "name one profile with them, or leave them out for the list",
        ));
    }
    if args.files.iter().filter(|f| f.as_path() == Path::new("-")).count() > 1 {
        return Err(Failure::new("standard input can be read once only", "write `-` once"));
    }
    // a log is read once for all of them
    let outlet = args.request.outlet.outlet()?;
    let jobs: Vec<(PathBuf, Result<()>)> = args.files.iter().flat_map(|f| jobs(f)).collect();
    let one = |i: usize| {
        let (path, found): &(PathBuf, Result<()>) = &jobs[i];
        (
            path.display().to_string(),
            found.clone().and_then(|()| plan_one(path, &args.request, &outlet)),
        )
    };
    let done = shared_out(jobs.len(), cores(), &one, &|_| ());
    let mut outcome = if args.form.json() {
        Outcome::done(lines(&done)?)
    } else if done.iter().all(|(_, result)| result.is_err()) {
        Outcome::done(String::new())
    } else {
        Outcome::page(&Page::from(&list(&done)), style)
    };
    for failure in done.iter().filter_map(|(_, result)| result.as_ref().err()) {
        outcome.err.push_str(&style.tell(&failure.text));
        outcome.code = outcome.code.max(failure.code);
    }
    Ok(outcome)
}

/// The files an argument stands for: itself, or a folder's profiles, or the folder with why it has none.
fn jobs(path: &Path) -> Vec<(PathBuf, Result<()>)> {
    let files = if path.is_dir() { profiles(path) } else { Ok(vec![path.to_owned()]) };
    match files {
        Ok(files) => files.into_iter().map(|f| (f, Ok(()))).collect(),
        Err(failure) => vec![(path.to_owned(), Err(failure))],
    }
}

/// The profiles of a folder in order of name.
fn profiles(folder: &Path) -> Result<Vec<PathBuf>> {
    let name = folder.display();
    let entries = std::fs::read_dir(folder).map_err(|error| {
        Failure::of(&name, &format!("cannot be read: {error}"), "name a folder you may read")
    })?;
    let mut files: Vec<PathBuf> = entries
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|p| {
            let ending = p.extension().and_then(|e| e.to_str());
            ending.is_some_and(|e| ENDINGS.contains(&e)) && !p.is_dir()
        })
        .collect();
    if files.is_empty() {
        return Err(Failure::of(
            name,
            "no profile stands in this folder",
            "profiles in a folder end in .yaml or .yml; folders inside it are not looked into",
        ));
    }
    files.sort();
    Ok(files)
}

/// The plan of one file.
pub fn plan_one(path: &Path, request: &RequestArgs, outlet: &Outlet) -> Result<Plan> {
    let bench = Set::load(path)?.bench(outlet.clone())?;
    Ok(bench.plan(&request.options())?)
}

/// A row for each file.
fn list(done: &[Done]) -> PlanList<'_> {
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
fn lines(done: &[Done]) -> Result<String> {
    let line = |(file, result): &Done| {
        let line = match result {
            Ok(plan) => serde_json::to_string(&FilePlan { plan, file }),
            Err(failure) => failure.json(Some(file)),
        };
        Ok(line? + "\n")
    };
    done.iter().map(line).collect()
}
