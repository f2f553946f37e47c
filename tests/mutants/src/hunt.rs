//! Each mutant against the tests that come by it, the likeliest and quickest first.

use crate::baseline::Test;
use crate::points::Point;
use crate::process::{End, Run};
use crate::sample::Sample;
use crate::store;
use anyhow::{Context, Result};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Mutex;
use std::time::Duration;

/// Least time on a processor that a batch gets, and how many times what it takes with no mutant.
const LEAST_TIME_S: f64 = 30.0;
const TIMES: f64 = 4.0;
/// What a batch takes with no mutant, s: the first, and the most; each is twice as long as the one before.
const FIRST_BATCH_S: f64 = 2.0;
const LONGEST_BATCH_S: f64 = 40.0;
/// What starting a test costs at the least, s.
const START_S: f64 = 0.05;

/// How a mutant stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// A test fails.
    Caught,
    /// A test takes too long.
    Late,
    /// All tests that come by it pass.
    Survives,
    /// There were tests left when the time given to it was over.
    Open,
}

/// A line of the results; the last about a mutant holds.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Found {
    pub mutant: usize,
    pub key: String,
    pub state: State,
    /// The test that told.
    pub by: Option<String>,
    /// Tests that passed, those of earlier runs as well.
    pub passed: BTreeSet<String>,
    /// On a processor, this run alone.
    pub seconds: f64,
}

/// What a hunt may take.
pub struct Limits {
    pub jobs: usize,
    /// Tests of so many seconds at the most for each mutant, by what they take with no mutant.
    pub each: f64,
    /// Mutants up to this number only.
    pub upto: usize,
}

/// Runs every mutant that is not settled.
pub fn hunt(folder: &Path, sample: &Sample, tests: &[Test], limits: &Limits) -> Result<()> {
    let file = folder.join("results.jsonl");
    let known = latest(store::read(&file)?);
    let mut kills = Kills::default();
    for found in known.values() {
        kills.learn(found, &sample.mutants[found.mutant - 1]);
    }
    let open = (1..=sample.mutants.len().min(limits.upto)).rev();
    let open = open.filter(|n| known.get(n).is_none_or(|f| f.is_open(tests)));
    let (open, kills) = (Mutex::new(open.collect::<Vec<_>>()), Mutex::new(kills));
    store::workers(limits.jobs, |worker| {
        loop {
            let Some(n) = store::held(&open).pop() else { return Ok(()) };
            let ran = Hunter { folder, sample, tests, worker, kills: &kills };
            let found = ran.one(n, known.get(&n), limits.each)?;
            store::append(&file, &found)?;
            let left = store::held(&open).len();
            let (state, seconds) = (found.state, found.seconds);
            let by = found.by.as_deref().unwrap_or("");
            println!("{left:3} left, {n:3} {} {state:?} {by} {seconds:.0} s", found.key);
            store::held(&kills).learn(&found, &sample.mutants[n - 1]);
        }
    })
}

/// The last line about each mutant.
pub fn latest(lines: Vec<Found>) -> BTreeMap<usize, Found> {
    lines.into_iter().map(|found| (found.mutant, found)).collect()
}

impl Found {
    /// Whether a test that comes by it has not run, which may be one that is new.
    fn is_open(&self, tests: &[Test]) -> bool {
        let asks = |t: &&Test| t.passes && t.reached.contains(&self.mutant);
        matches!(self.state, State::Open | State::Survives)
            && tests.iter().filter(asks).any(|t| !self.passed.contains(&t.name))
    }
}

/// Which tests told of which mutants.
#[derive(Default)]
struct Kills(BTreeMap<String, Vec<(String, String)>>);

impl Kills {
    fn learn(&mut self, found: &Found, point: &Point) {
        if let (State::Caught, Some(test)) = (found.state, &found.by) {
            let place = (point.room.clone(), point.file.clone());
            self.0.entry(test.clone()).or_default().push(place);
        }
    }

    /// How likely a test is to tell, for each second that it takes: one that told in the same file counts most.
    fn promise(&self, test: &Test, point: &Point) -> f64 {
        let weight = |(room, file): &(String, String)| match () {
            () if *file == point.file => 1.0,
            () if *room == point.room => 0.3,
            () => 0.1,
        };
        let told: f64 = self.0.get(&test.name).map_or(0.0, |list| list.iter().map(weight).sum());
        (0.2 + told) / test.seconds.max(START_S)
    }
}

struct Hunter<'a> {
    folder: &'a Path,
    sample: &'a Sample,
    tests: &'a [Test],
    worker: usize,
    kills: &'a Mutex<Kills>,
}

impl Hunter<'_> {
    /// Runs batch after batch up to the first test that tells.
    fn one(&self, mutant: usize, before: Option<&Found>, each: f64) -> Result<Found> {
        let point = &self.sample.mutants[mutant - 1];
        let mut found = Found {
            mutant,
            key: point.key(),
            state: State::Survives,
            by: None,
            passed: before.map(|f| f.passed.clone()).unwrap_or_default(),
            seconds: 0.0,
        };
        let mut tests: Vec<&Test> = self.tests.iter().collect();
        tests
            .retain(|t| t.passes && t.reached.contains(&mutant) && !found.passed.contains(&t.name));
        let kills = store::held(self.kills);
        tests.sort_by(|a, b| kills.promise(b, point).total_cmp(&kills.promise(a, point)));
        drop(kills);
        let (mut batch_s, mut spent) = (FIRST_BATCH_S, 0.0);
        loop {
            let all = tests.len();
            tests.retain(|test| spent + test.seconds <= each);
            if tests.len() < all {
                found.state = State::Open;
            }
            let Some(first) = tests.first() else { return Ok(found) };
            let program = first.program.clone();
            let mut own = 0.0;
            let (batch, rest) = tests.into_iter().partition::<Vec<_>, _>(|test| {
                let fits = own == 0.0 || own + test.seconds.max(START_S) <= batch_s;
                let takes = test.program == program && fits;
                own += if takes { test.seconds.max(START_S) } else { 0.0 };
                takes
            });
            tests = rest;
            spent += own;
            batch_s = (2.0 * batch_s).min(LONGEST_BATCH_S);
            match self.batch(mutant, &program, &batch, &mut found.seconds)? {
                End::Passed => found.passed.extend(batch.iter().map(|t| t.name.clone())),
                End::Failed(test) => {
                    return Ok(Found { state: State::Caught, by: Some(test), ..found });
                }
                End::Late(test) => {
                    return Ok(Found { state: State::Late, by: Some(test), ..found });
                }
            }
        }
    }

    /// A test that fails is run once more by itself: two runs at once might have been in each other's way.
    fn batch(
        &self,
        mutant: usize,
        program: &str,
        batch: &[&Test],
        seconds: &mut f64,
    ) -> Result<End> {
        let names: Vec<_> = batch.iter().map(|t| t.name.as_str()).collect();
        let least: f64 = batch.iter().map(|t| t.seconds).sum();
        let (end, took) = self.run(mutant, program, &names, least)?;
        *seconds += took.as_secs_f64();
        let End::Failed(test) = end else { return Ok(end) };
        if !names.contains(&test.as_str()) {
            return Ok(End::Failed(test));
        }
        let (again, took) = self.run(mutant, program, &[test.as_str()], least)?;
        *seconds += took.as_secs_f64();
        if again != End::Passed {
            return Ok(again);
        }
        eprintln!("  mutant {mutant}: {test} failed once and passed by itself");
        let others: Vec<_> = batch.iter().filter(|t| t.name != test).copied().collect();
        if others.is_empty() {
            Ok(End::Passed)
        } else {
            self.batch(mutant, program, &others, seconds)
        }
    }

    fn run(
        &self,
        mutant: usize,
        program: &str,
        tests: &[&str],
        least: f64,
    ) -> Result<(End, Duration)> {
        let program = self.sample.programs.iter().find(|p| p.name == program);
        Run {
            program: &program.context("a program that was not built")?.path,
            tests,
            tree: &self.folder.join("tree"),
            moment: &store::moment(self.worker)?,
            mutant,
            reached: None,
            limit: Duration::from_secs_f64((TIMES * least).max(LEAST_TIME_S)),
        }
        .go()
    }
}
