//! Latin hypercubes and what stands behind their numbers.
//!
//! M. D. McKay, R. J. Beckman, W. J. Conover, "A comparison of three methods for selecting values of input variables in
//! the analysis of output from a computer code", Technometrics 21 (1979), 239-245 †: each of `n` equal
//! slices of every input is drawn from once, and the slices of different inputs are paired by chance.

use super::Serialize;
use rand_pcg::{
    Pcg64,
    rand_core::{Rng, SeedableRng},
};

/// How an uncertain number is spread.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(tag = "kind", rename_all = "lowercase")]
pub enum Spreading {
    /// Anywhere between two limits with equal right.
    Rectangular {
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
    },
    /// Rising in a straight line from the lower limit to the most likely value, then falling to the upper one.
    Triangular {
        /// Lower limit.
        low: f64,
        /// Most likely.
        peak: f64,
        /// Upper limit.
        high: f64,
    },
}

impl Spreading {
    /// The value that a share `u` (0 to 1) of all values lies below.
    pub fn at(self, u: f64) -> f64 {
        match self {
            Spreading::Rectangular { low, high } => low + u * (high - low),
            Spreading::Triangular { low, peak, high } if high <= low => peak,
            // the areas below and above the peak, each a part of a square
            Spreading::Triangular { low, peak, high } if u * (high - low) <= peak - low => {
                low + (u * (high - low) * (peak - low)).sqrt()
            }
            Spreading::Triangular { low, peak, high } => {
                high - ((1.0 - u) * (high - low) * (high - peak)).sqrt()
            }
        }
    }

    /// Whether there is more than one value.
    pub fn is_open(self) -> bool {
        let (Spreading::Rectangular { low, high } | Spreading::Triangular { low, high, .. }) = self;
        high > low
    }
}

/// A Latin hypercube of `draws` points in `inputs` directions, each number from 0 to below 1; a row for each draw. The
/// same seed gives the same points on every machine (PCG 64: M. E. O'Neill, "PCG: a family of simple fast
/// space-efficient statistically good algorithms for random number generation", HMC-CS-2014-0905).
pub fn latin_hypercube(draws: usize, inputs: usize, seed: u64) -> Vec<Vec<f64>> {
    let mut random = Pcg64::seed_from_u64(seed);
    let mut points = vec![vec![0.0; inputs]; draws];
    let mut slices: Vec<usize> = (0..draws).collect();
    for input in 0..inputs {
        // Fisher and Yates: every order of the slices is as likely as any other
        for last in (1..draws).rev() {
            slices.swap(last, below(&mut random, last + 1));
        }
        for (point, slice) in points.iter_mut().zip(&slices) {
            point[input] = (*slice as f64 + unit(&mut random)) / draws as f64;
        }
    }
    points
}

/// A number from 0 to below 1 with 53 bits.
fn unit(random: &mut Pcg64) -> f64 {
    (random.next_u64() >> 11) as f64 / (1u64 << 53) as f64
}

/// A whole number below `count`; high half of a product, whose bias of `count` in 2⁶⁴ nobody can see.
fn below(random: &mut Pcg64, count: usize) -> usize {
    ((u128::from(random.next_u64()) * count as u128) >> 64) as usize
}
