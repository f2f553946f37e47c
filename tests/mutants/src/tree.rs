//! The copy of the repository, with the mutants in it, and its build.

use crate::points::Point;
use crate::sample::{Lots, Program, Sample};
use crate::write;
use anyhow::{Context, Result, bail, ensure};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Builds that may fail before something else must be wrong than single mutants.
const MOST_BUILDS: usize = 8;

/// Draws, writes and builds until all that is in compiles.
pub fn build(root: &Path, folder: &Path, seed: u64, count: usize) -> Result<Sample> {
    ensure!(count < 4096, "there is room for 4095 mutants");
    let lots = Lots::new(root, seed)?;
    let mut dropped = BTreeSet::new();
    for round in 1..=MOST_BUILDS {
        let mutants = lots.draw(count, &dropped);
        let tree = folder.join("tree");
        copy(root, &tree, &mutants)?;
        eprintln!("build {round}: {} mutants, {} dropped", mutants.len(), dropped.len());
        match compile(&tree, &folder.join("build"))? {
            Built::Programs(programs) => {
                return Ok(Sample { seed, of: lots.counts(), mutants, dropped, programs });
            }
            Built::Refused(numbers) => {
                for n in numbers {
                    let point = mutants.get(n - 1).context("a number that was not given")?;
                    eprintln!("  does not compile: {}", point.key());
                    dropped.insert(point.key());
                }
            }
        }
    }
    bail!("{MOST_BUILDS} builds failed")
}

/// Brings the copy up to date. What stays as it is keeps its time, so that little is built anew.
fn copy(root: &Path, tree: &Path, mutants: &[Point]) -> Result<()> {
    let mut by_file: BTreeMap<&str, Vec<(usize, &Point)>> = BTreeMap::new();
    for (index, point) in mutants.iter().enumerate() {
        by_file.entry(&point.file).or_default().push((index + 1, point));
    }
    let mut files = BTreeSet::new();
    list(root, root, &mut files)?;
    let mut old = BTreeSet::new();
    if tree.is_dir() {
        list(tree, tree, &mut old)?;
    }
    for gone in old.difference(&files) {
        fs::remove_file(tree.join(gone))?;
    }
    for file in &files {
        let from = root.join(file);
        let mut bytes = fs::read(&from).with_context(|| from.display().to_string())?;
        if let Some(own) = file.to_str().and_then(|name| by_file.get(name)) {
            bytes = write::written(std::str::from_utf8(&bytes)?, own).into_bytes();
        }
        if file == Path::new("src/lib.rs") {
            bytes.extend_from_slice(write::ASKED.as_bytes());
        }
        let to = tree.join(file);
        if fs::read(&to).ok().as_ref() != Some(&bytes) {
            fs::create_dir_all(to.parent().context("a file without a folder")?)?;
            // permissions come along: there are scripts
            fs::copy(&from, &to)?;
            fs::write(&to, &bytes)?;
        }
    }
    Ok(())
}

/// Files below `folder`, without what is built and what git keeps.
fn list(top: &Path, folder: &Path, files: &mut BTreeSet<PathBuf>) -> Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path.file_name().and_then(|n| n.to_str()).unwrap_or_default();
        if path.is_dir() && !["target", ".git", "mutants"].contains(&name) {
            list(top, &path, files)?;
        } else if path.is_file() && name != ".git" {
            files.insert(path.strip_prefix(top)?.to_owned());
        }
    }
    Ok(())
}

enum Built {
    Programs(Vec<Program>),
    /// Numbers of the mutants at fault.
    Refused(BTreeSet<usize>),
}

fn compile(tree: &Path, target: &Path) -> Result<Built> {
    let mut cargo = Command::new("cargo")
        .args(["test", "--no-run", "--locked", "--message-format=json"])
        .args(["--lib", "--test", "suite", "--test", "slow"])
        .current_dir(tree)
        .env("CARGO_TARGET_DIR", target)
        .stdout(Stdio::piped())
        .spawn()
        .context("cargo")?;
    let (mut programs, mut refused, mut told) = (Vec::new(), BTreeSet::new(), Vec::new());
    for line in BufReader::new(cargo.stdout.take().context("no output")?).lines() {
        let Ok(message) = serde_json::from_str::<Value>(&line?) else { continue };
        if let Some(path) = message["executable"].as_str()
            && message["profile"]["test"] == true
        {
            let name =
                message["target"]["name"].as_str().unwrap_or_default().replace("mainsfit", "lib");
            programs.push(Program { name, path: path.into() });
        }
        if message["message"]["level"] == "error" {
            match at_fault(tree, &message["message"]) {
                Some(number) => drop(refused.insert(number)),
                None => told.extend(message["message"]["rendered"].as_str().map(str::to_owned)),
            }
        }
    }
    let status = cargo.wait()?;
    if status.success() {
        programs.sort_by_key(|p| ["lib", "suite", "slow"].iter().position(|name| p.name == *name));
        return Ok(Built::Programs(programs));
    }
    ensure!(!refused.is_empty(), "no mutant is at fault:\n{}", told.join("\n"));
    Ok(Built::Refused(refused))
}

/// The mutant an error is about: that in whose text it lies, or that which lies in what it points at.
fn at_fault(tree: &Path, message: &Value) -> Option<usize> {
    let mut spans = message["spans"].as_array()?.iter().collect::<Vec<_>>();
    spans.sort_by_key(|span| span["is_primary"] != true);
    let places: Vec<_> = spans
        .iter()
        .filter_map(|span| {
            let text = fs::read_to_string(tree.join(span["file_name"].as_str()?)).ok()?;
            let byte = |key: &str| usize::try_from(span[key].as_u64()?).ok();
            Some((text, byte("byte_start")?..byte("byte_end")?))
        })
        .collect();
    places
        .iter()
        .find_map(|(text, at)| write::owner(text, at.start))
        .or_else(|| places.iter().find_map(|(text, at)| write::first_in(text, at.clone())))
        .or_else(|| {
            // a type that could no longer be told: the line it is on
            places.iter().find_map(|(text, at)| {
                let start = text[..at.start].rfind('\n').unwrap_or(0);
                let end = text[at.end..].find('\n').map_or(text.len(), |n| at.end + n);
                write::first_in(text, start..end)
            })
        })
}
