//! Each test once by itself with no mutant chosen: whether it passes, how long it takes, which mutants it comes by.

use crate::process::{End, Run};
use crate::sample::{Program, Sample};
use crate::store;
use anyhow::{Result, ensure};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::Mutex;
use std::time::Duration;

/// Tests that look at pages in a browser, or whose subject is the machine: no mutant is theirs alone.
const LEFT_OUT: [&str; 7] =
    ["browser", "note_paper", "drawing_print", "pictures", "completions", "readme", "html_valid"];
/// Longest time of a test with no mutant.
const LONGEST: Duration = Duration::from_secs(600);

/// What is known of a test.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Test {
    pub program: String,
    pub name: String,
    pub passes: bool,
    pub seconds: f64,
    pub reached: BTreeSet<usize>,
}

/// Runs what has not been run yet of `programs`, nothing for none; all that is known then.
pub fn baseline(
    folder: &Path,
    sample: &Sample,
    programs: &[&Program],
    jobs: usize,
) -> Result<Vec<Test>> {
    let file = folder.join("baseline.jsonl");
    let known: Vec<Test> = store::read(&file)?;
    let mut open = Vec::new();
    for program in programs {
        for name in names(&folder.join("tree"), program)? {
            let done = known.iter().any(|t| t.program == program.name && t.name == name);
            if !done && !LEFT_OUT.iter().any(|part| name.contains(part)) {
                open.push((*program, name));
            }
        }
    }
    eprintln!("{} tests known, {} to be run with no mutant", known.len(), open.len());
    open.reverse();
    let (open, known) = (Mutex::new(open), Mutex::new(known));
    store::workers(jobs, |worker| {
        loop {
            let Some((program, name)) = store::held(&open).pop() else { return Ok(()) };
            let mut test = once(folder, sample, program, &name, worker)?;
            if !test.passes {
                // two runs at once may have been in each other's way
                test = once(folder, sample, program, &name, worker)?;
            }
            store::append(&file, &test)?;
            if !test.passes {
                eprintln!("  fails with no mutant, left out: {name}");
            }
            store::held(&known).push(test);
        }
    })?;
    Ok(store::held(&known).clone())
}

fn once(
    folder: &Path,
    sample: &Sample,
    program: &Program,
    name: &str,
    worker: usize,
) -> Result<Test> {
    let moment = store::moment(worker)?;
    let notes = moment.join("reached");
    let _ = fs::remove_file(&notes);
    let (end, took) = Run {
        program: &program.path,
        tests: &[name],
        tree: &folder.join("tree"),
        moment: &moment,
        mutant: 0,
        reached: Some(&notes),
        limit: LONGEST,
    }
    .go()?;
    let bytes = fs::read(&notes).unwrap_or_default();
    let reached = bytes.as_chunks::<4>().0.iter().map(|n| u32::from_le_bytes(*n) as usize);
    let reached = reached.filter(|n| (1..=sample.mutants.len()).contains(n)).collect();
    Ok(Test {
        program: program.name.clone(),
        name: name.to_owned(),
        passes: end == End::Passed,
        seconds: took.as_secs_f64(),
        reached,
    })
}

/// Names of a program's tests.
fn names(tree: &Path, program: &Program) -> Result<Vec<String>> {
    let list = Command::new(&program.path).arg("--list").current_dir(tree).output()?;
    ensure!(list.status.success(), "{} does not list its tests", program.name);
    let text = String::from_utf8(list.stdout)?;
    Ok(text.lines().filter_map(|line| line.strip_suffix(": test")).map(str::to_owned).collect())
}
