//! The sample: a seeded draw in equal parts from the rooms.

use crate::points::Point;
use crate::rooms::{self, ROOMS};
use anyhow::Result;
use rand_pcg::Pcg64;
use rand_pcg::rand_core::{Rng, SeedableRng};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// What was drawn and what it was built into.
#[derive(Debug, Serialize, Deserialize)]
pub struct Sample {
    pub seed: u64,
    /// Points in each room, by its name.
    pub of: Vec<(String, usize)>,
    /// Mutant `n` is at `n - 1`; they go round the rooms, so that the first of them are a sample as well.
    pub mutants: Vec<Point>,
    /// Keys of those that were drawn and do not compile.
    pub dropped: BTreeSet<String>,
    pub programs: Vec<Program>,
}

/// A test program.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Program {
    pub name: String,
    pub path: PathBuf,
}

/// The points of each room in the order in which they are drawn.
pub struct Lots(Vec<Vec<Point>>);

impl Lots {
    /// The same for the same sources and seed.
    pub fn new(root: &Path, seed: u64) -> Result<Self> {
        let mut random = Pcg64::seed_from_u64(seed);
        let mut lots = Vec::new();
        for room in &ROOMS {
            let mut points = rooms::points(root, room)?;
            for i in (1..points.len()).rev() {
                points.swap(i, below(&mut random, i + 1));
            }
            lots.push(points);
        }
        Ok(Self(lots))
    }

    /// Points in each room.
    pub fn counts(&self) -> Vec<(String, usize)> {
        ROOMS.iter().zip(&self.0).map(|(room, lot)| (room.name.to_owned(), lot.len())).collect()
    }

    /// `count` in equal parts, those in `dropped` passed over; a room that has fewer leaves its part to the others.
    pub fn draw(&self, count: usize, dropped: &BTreeSet<String>) -> Vec<Point> {
        let mut lots: Vec<_> = self
            .0
            .iter()
            .map(|lot| lot.iter().filter(|point| !dropped.contains(&point.key())))
            .collect();
        let mut drawn = Vec::new();
        loop {
            let before = drawn.len();
            for lot in &mut lots {
                drawn.extend(lot.next().filter(|_| drawn.len() < count).cloned());
            }
            if drawn.len() == before {
                return drawn;
            }
        }
    }
}

/// A whole number below `count`, by the high bits of a product.
fn below(random: &mut Pcg64, count: usize) -> usize {
    ((u128::from(random.next_u64()) * count as u128) >> 64) as usize
}
