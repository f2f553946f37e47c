//! Files of one line per result, so that a run can be stopped and gone on with.

use anyhow::{Context, Result};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::fs::{self, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// All lines of a file; none where there is no file. A last line that was cut off is left out.
pub fn read<T: DeserializeOwned>(file: &Path) -> Result<Vec<T>> {
    if !file.exists() {
        return Ok(Vec::new());
    }
    let text = fs::read_to_string(file)?;
    let whole = text.rfind('\n').map_or("", |end| &text[..end]);
    whole
        .lines()
        .map(|line| serde_json::from_str(line).with_context(|| file.display().to_string()))
        .collect()
}

/// One more line.
pub fn append<T: Serialize>(file: &Path, value: &T) -> Result<()> {
    let mut line = serde_json::to_string(value)?;
    line.push('\n');
    let mut file = OpenOptions::new().append(true).create(true).open(file)?;
    Ok(file.write_all(line.as_bytes())?)
}

/// A worker's own folder for files of a moment; its path is short, for some tests look at pages that name such a file.
pub fn moment(worker: usize) -> Result<PathBuf> {
    let path = std::env::temp_dir().join(format!("mutants{worker}"));
    fs::create_dir_all(&path)?;
    Ok(path)
}

/// What is behind a lock, also where a worker stopped with it.
pub fn held<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Runs `work` once for each of `jobs` workers, at once.
pub fn workers(jobs: usize, work: impl Fn(usize) -> Result<()> + Sync) -> Result<()> {
    std::thread::scope(|scope| {
        let all: Vec<_> = (0..jobs)
            .map(|n| {
                scope.spawn({
                    let work = &work;
                    move || work(n)
                })
            })
            .collect();
        all.into_iter()
            .try_for_each(|one| one.join().map_err(|_| anyhow::anyhow!("a worker stopped"))?)
    })
}
