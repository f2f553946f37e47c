//! `plan` on several files or a folder: a row for each set, or a line of JSON for each file.

use super::args::{PlanArgs, PlanFormat};
use super::failure::{Failure, FileError};
use super::run::{BAD_INPUT, NO_ANSWER, Outcome, failure, read_profile, told, warnings};
use crate::report::{self, terminal};
use crate::study::{self, OutletChoice, Plan, PlanList, PlanRow, Request, RowBody};
use serde::Serialize;
use std::path::{Path, PathBuf};

/// Name and version of the JSON form of a file without a plan.
const ERROR_SCHEMA: &str = "mainsfit.error/1";
/// Endings of profiles in a folder.
const ENDINGS: [&str; 2] = ["yaml", "yml"];

/// A plan in the list, with its file.
#[derive(Serialize)]
struct FilePlan<'a> {
    file: &'a str,
    #[serde(flatten)]
    plan: &'a Plan,
}

/// A file without one.
#[derive(Serialize)]
struct FileErrors<'a> {
    schema: &'static str,
    file: &'a str,
    errors: &'a [FileError],
}

/// One file's name and what came of it.
struct Done {
    file: String,
    result: Result<Plan, Failure>,
}

/// Plans them all; a bad one does not stop the others.
pub(super) fn plans(args: &PlanArgs, style: terminal::Style) -> Outcome {
    if args.working {
        let advice = "name one profile with --working, or leave it out for the list";
        let found = "--working shows the sums of one set, and several are named";
        return Outcome::bad(told(found, advice), BAD_INPUT);
    }
    let inputs = args.files.iter();
    if inputs.filter(|f| f.as_path() == Path::new("-")).count() > 1 {
        let found = "standard input can be read once only";
        return Outcome::bad(told(found, "write `-` once"), BAD_INPUT);
    }
    let jobs: Vec<(PathBuf, Option<Failure>)> = args.files.iter().flat_map(|f| jobs(f)).collect();
    let request = Request { outlet: OutletChoice::from(args.outlet), target: args.target };
    let one = |i: usize| {
        let (path, failed) = &jobs[i];
        Done {
            file: path.display().to_string(),
            result: match failed {
                Some(failure) => Err(failure.clone()),
                None => plan_one(path, &request),
            },
        }
    };
    let done = study::shared_out(jobs.len(), study::cores(), &one, &|_| ());
    let mut outcome = match args.format {
        PlanFormat::Json => lines(&done),
        PlanFormat::Text => {
            let list = list(&done);
            let none = done.iter().all(|d| d.result.is_err());
            let page = report::plan_list_page(&list);
            let text = terminal::paint(&page, style);
            Outcome::done(if none { String::new() } else { text })
        }
    };
    for failure in done.iter().filter_map(|d| d.result.as_ref().err()) {
        outcome.err.push_str(&failure.text);
        outcome.code = outcome.code.max(failure.code);
    }
    outcome
}

/// The files an argument stands for: itself, or a folder's profiles in order of name.
fn jobs(path: &Path) -> Vec<(PathBuf, Option<Failure>)> {
    if !path.is_dir() {
        return vec![(path.to_owned(), None)];
    }
    let name = path.display();
    let refused = |found: String, advice: &str| {
        let text = told(&format!("{name}: {found}"), advice);
        let failure = Failure::plain(text, found, Some(advice.to_owned()));
        vec![(path.to_owned(), Some(failure))]
    };
    let entries = match std::fs::read_dir(path) {
        Ok(entries) => entries,
        Err(error) => {
            return refused(format!("cannot be read: {error}"), "name a folder you may read");
        }
    };
    let mut files: Vec<PathBuf> = entries
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|p| {
            let ending = p.extension().and_then(|e| e.to_str());
            ending.is_some_and(|e| ENDINGS.contains(&e)) && !p.is_dir()
        })
        .collect();
    if files.is_empty() {
        let advice =
            "profiles in a folder end in .yaml or .yml; folders inside it are not looked into";
        return refused("no profile stands in this folder".to_owned(), advice);
    }
    files.sort();
    files.into_iter().map(|f| (f, None)).collect()
}

fn plan_one(path: &Path, request: &Request) -> Result<Plan, Failure> {
    let loaded = read_profile(path)?;
    study::plan(&loaded.profile, request, warnings(&loaded))
        .map_err(|error| failure(&loaded.document, &error))
}

/// A row for each file.
fn list(done: &[Done]) -> PlanList {
    let name = |d: &Done| {
        let name = Path::new(&d.file).file_name();
        name.map_or_else(|| d.file.clone(), |n| n.to_string_lossy().into_owned())
    };
    let alone = |d: &Done| done.iter().filter(|o| name(o) == name(d)).count() == 1;
    let rows = done.iter().map(|d| PlanRow {
        file: d.file.clone(),
        short: if alone(d) { name(d) } else { d.file.clone() },
        body: match &d.result {
            Ok(plan) => RowBody::of(plan),
            Err(failure) => RowBody::Failed {
                errors: failure.errors.len(),
                first: failure.errors.first().map_or(String::new(), place_and_words),
            },
        },
    });
    let plans: Vec<&Plan> = done.iter().filter_map(|d| d.result.as_ref().ok()).collect();
    PlanList { rows: rows.collect(), cautions: study::shared_cautions(&plans) }
}

fn place_and_words(error: &FileError) -> String {
    match (error.line, error.column) {
        (Some(line), Some(column)) => format!("line {line}, column {column}: {}", error.found),
        _ => error.found.clone(),
    }
}

/// A line of JSON for each file.
fn lines(done: &[Done]) -> Outcome {
    let mut out = String::new();
    for one in done {
        let file = one.file.as_str();
        let line = match &one.result {
            Ok(plan) => serde_json::to_string(&FilePlan { file, plan }),
            Err(failure) => serde_json::to_string(&FileErrors {
                schema: ERROR_SCHEMA,
                file,
                errors: &failure.errors,
            }),
        };
        match line {
            Ok(line) => {
                out.push_str(&line);
                out.push('\n');
            }
            Err(error) => {
                let text = format!("{file}: the result cannot be written as JSON: {error}\n");
                return Outcome::bad(text, NO_ANSWER);
            }
        }
    }
    Outcome::done(out)
}
