//! Several files, or folders of them, worked through on all cores.

use super::{Failure, Outcome, Result, Screen, bar::Bar, exit::Exit, stop::Stoppable};
use crate::api::typed::{cores, shared_out, shown};
use std::path::{Path, PathBuf};

/// Endings of profiles in a folder, in small letters.
const ENDINGS: [&str; 2] = ["yaml", "yml"];

/// One file's name and what came of it.
pub type Done<T> = (String, Result<T>);

/// What came of each file, in the order in which they were named.
pub struct Answers<T> {
    /// Of those that were reached.
    pub done: Vec<Done<T>>,
    /// Files that were not: Ctrl-C was pressed.
    left: usize,
}

/// Whether one file alone is named, and no folder.
pub fn alone(files: &[PathBuf]) -> Option<&Path> {
    match files {
        [file] if !file.is_dir() => Some(file),
        _ => None,
    }
}

/// `work` for each of `files` and each profile of the folders among them; one that fails does not stop the others.
pub fn answers<T: Send>(
    files: &[PathBuf],
    screen: Screen,
    work: impl Fn(&Path) -> Result<T> + Sync,
) -> Result<Answers<T>> {
    if files.iter().filter(|f| f.as_path() == Path::new("-")).count() > 1 {
        return Err(Failure::new("standard input can be read once only", "write `-` once"));
    }
    let jobs: Vec<(PathBuf, Result<()>)> = files.iter().flat_map(|f| jobs(f)).collect();
    let (bar, stop) = (Bar::new(jobs.len(), "files", screen.bar), Stoppable::begin(screen.alone));
    let one = |i: usize| {
        let (path, found): &(PathBuf, Result<()>) = &jobs[i];
        (!stop.told()).then(|| (shown(path), found.clone().and_then(|()| work(path))))
    };
    let done = shared_out(jobs.len(), cores(), &one, &|done| bar.show(done));
    bar.clear();
    let done: Vec<_> = done.into_iter().flatten().collect();
    Ok(Answers { left: jobs.len() - done.len(), done })
}

impl<T> Answers<T> {
    /// What is printed, with what went wrong beside it and the highest code of all.
    pub fn outcome(&self, out: Outcome, tell: impl Fn(&Failure) -> String) -> Outcome {
        let failures = self.done.iter().filter_map(|(_, result)| result.as_ref().err());
        let outcome = failures.fold(out, |mut outcome, failure| {
            outcome.err.push_str(&tell(failure));
            outcome.code = outcome.code.max(failure.code);
            outcome
        });
        if self.left == 0 {
            return outcome;
        }
        let (done, all) = (self.done.len(), self.done.len() + self.left);
        let err = format!("{}stopped: {done} of {all} files are done\n", outcome.err);
        Outcome { err, code: Exit::Stopped.code(), ..outcome }
    }
}

/// The files an argument stands for: itself, or a folder's profiles, or the folder with why it has none.
fn jobs(path: &Path) -> Vec<(PathBuf, Result<()>)> {
    if !path.is_dir() {
        return vec![(path.to_owned(), Ok(()))];
    }
    match profiles(path) {
        Ok(files) => files,
        Err(failure) => vec![(path.to_owned(), Err(failure))],
    }
}

/// The profiles of a folder in order of name. What has the name of one and is a pipe or a device is not waited for.
fn profiles(folder: &Path) -> Result<Vec<(PathBuf, Result<()>)>> {
    let name = shown(folder);
    let entries = std::fs::read_dir(folder).map_err(|error| {
        Failure::of(&name, &format!("cannot be read: {error}"), "name a folder you may read")
    })?;
    let mut files: Vec<PathBuf> = entries
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|p| {
            let ending = p.extension().and_then(|e| e.to_str()).map(str::to_lowercase);
            ending.is_some_and(|e| ENDINGS.contains(&&*e)) && !p.is_dir()
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
    Ok(files
        .into_iter()
        .map(|file| (job(&file), file))
        .map(|(found, file)| (file, found))
        .collect())
}

/// Whether a folder's file can be read without waiting; one that is not there is told when it is read.
fn job(file: &Path) -> Result<()> {
    match file.metadata() {
        Ok(found) if !found.is_file() => Err(Failure::of(
            shown(file),
            "it is a pipe or a device, which is not read from a folder",
            "name it by itself, or take it out of the folder",
        )),
        _ => Ok(()),
    }
}
