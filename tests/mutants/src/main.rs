//! Mutants of the rooms of the source, all built at once and chosen one at a time by an environment variable. DEVELOPERS.md
//! says how it is run, `tests/data/verification/mutants.md` what it found; nothing of it is in the package.

mod baseline;
mod hunt;
mod points;
mod process;
mod rooms;
mod sample;
mod store;
mod swap;
mod table;
mod tree;
mod write;

use anyhow::{Context, Result};
use clap::{Parser, Subcommand};
use sample::{Lots, Sample};
use std::fs;
use std::path::{Path, PathBuf};

#[derive(Parser)]
struct Arguments {
    /// Folder for the copy, its build and the results.
    #[arg(long, global = true, default_value = concat!(env!("CARGO_MANIFEST_DIR"), "/../../target/mutants"))]
    folder: PathBuf,
    #[command(subcommand)]
    task: Task,
}

#[derive(Subcommand)]
enum Task {
    /// How many points there are in each room.
    Count,
    /// Draws a sample and builds it, in place of what was there.
    Build {
        #[arg(long, default_value_t = 1936)]
        seed: u64,
        #[arg(long, default_value_t = 400)]
        count: usize,
    },
    /// Runs the mutants that are not settled, in the order of their numbers.
    Run {
        /// The slow tests as well, for what survives the others.
        #[arg(long)]
        slow: bool,
        /// Only the tests that were run with no mutant before.
        #[arg(long)]
        known: bool,
        /// Tests that take so many seconds with no mutant, for each mutant; those with tests left stay open.
        #[arg(long, default_value_t = f64::INFINITY)]
        each: f64,
        /// Mutants up to this number only.
        #[arg(long, default_value_t = usize::MAX)]
        upto: usize,
        /// Mutants at once.
        #[arg(long, default_value_t = 2)]
        jobs: usize,
    },
    /// What was found.
    Table,
}

fn main() -> Result<()> {
    let Arguments { folder, task } = Arguments::parse();
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize()?;
    fs::create_dir_all(&folder)?;
    let folder = folder.canonicalize()?;
    let sampled = folder.join("sample.json");
    match task {
        Task::Count => {
            for (room, count) in Lots::new(&root, 0)?.counts() {
                println!("{room:9} {count:5}");
            }
        }
        Task::Build { seed, count } => {
            let sample = tree::build(&root, &folder, seed, count)?;
            fs::write(&sampled, serde_json::to_string_pretty(&sample)?)?;
            for old in ["baseline.jsonl", "results.jsonl"] {
                let _ = fs::remove_file(folder.join(old));
            }
            println!("{} mutants", sample.mutants.len());
        }
        Task::Run { slow, known, each, upto, jobs } => {
            let sample = load(&sampled)?;
            let programs: Vec<_> =
                sample.programs.iter().filter(|p| !known && (slow || p.name != "slow")).collect();
            let tests = baseline::baseline(&folder, &sample, &programs, jobs)?;
            let limits = hunt::Limits { jobs, each, upto };
            hunt::hunt(&folder, &sample, &tests, &limits)?;
            table::print(&folder, &sample)?;
        }
        Task::Table => table::print(&folder, &load(&sampled)?)?,
    }
    Ok(())
}

fn load(sampled: &Path) -> Result<Sample> {
    let text = fs::read_to_string(sampled).context("no sample is built")?;
    Ok(serde_json::from_str(&text)?)
}
