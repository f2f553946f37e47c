//! What was found, by room, and what survives.

use crate::hunt::{self, Found, State};
use crate::rooms::ROOMS;
use crate::sample::Sample;
use crate::store;
use anyhow::Result;
use std::path::Path;

/// Prints it.
pub fn print(folder: &Path, sample: &Sample) -> Result<()> {
    let found = hunt::latest(store::read(&folder.join("results.jsonl"))?);
    println!(
        "seed {}, {} drawn and built, {} did not compile",
        sample.seed,
        sample.mutants.len(),
        sample.dropped.len()
    );
    println!(
        "{:9} {:>6} {:>6} {:>5} {:>6} {:>7} {:>4} {:>9} {:>4}",
        "room", "points", "drawn", "run", "caught", "by time", "%", "survivors", "open"
    );
    let mut all = [0; 6];
    for room in &ROOMS {
        let of = sample.of.iter().find(|(name, _)| name == room.name).map_or(0, |(_, n)| *n);
        let drawn = sample.mutants.iter().filter(|point| point.room == room.name).count();
        let own: Vec<&Found> =
            found.values().filter(|f| sample.mutants[f.mutant - 1].room == room.name).collect();
        let count = |state| own.iter().filter(|f| f.state == state).count();
        let row = [
            of,
            drawn,
            own.len(),
            count(State::Caught),
            count(State::Late),
            count(State::Survives),
        ];
        line(room.name, row);
        all.iter_mut().zip(row).for_each(|(sum, n)| *sum += n);
    }
    line("all", all);
    for (title, state) in [("survives", State::Survives), ("open", State::Open)] {
        for f in found.values().filter(|f| f.state == state) {
            let point = &sample.mutants[f.mutant - 1];
            let tests = f.passed.len();
            println!(
                "{title} {:3} {:8} {} in {}; {tests} tests pass",
                f.mutant, point.room, f.key, point.function
            );
        }
    }
    Ok(())
}

fn line(name: &str, [of, drawn, run, caught, late, survive]: [usize; 6]) {
    let settled = caught + late + survive;
    let share = 100.0 * (caught + late) as f64 / settled.max(1) as f64;
    let open = run - settled;
    println!(
        "{name:9} {of:6} {drawn:6} {run:5} {caught:6} {late:7} {share:4.0} {survive:9} {open:4}"
    );
}
