//! The next slow quantities from those of the last rounds.
//!
//! Plain repetition `x ← g(x)` gains a digit in two rounds where a coil's heat answers its own resistance, and hardly any
//! where a barretter holds its current. Mixing finds the combination of the last rounds whose misses `g(x) − x` cancel
//! best and goes on from there (D. G. Anderson, "Iterative procedures for nonlinear integral equations", J. ACM 12 (1965),
//! 547-560 †). What it ends at is the same: there the miss is nothing.

use super::build::Slow;
use nalgebra::{DMatrix, DVector};

/// Rounds that are remembered beside the last.
const DEPTH: usize = 3;
/// Misses beyond this share are too far off for what was found there to say anything of what is near.
const NEAR: f64 = 0.2;
/// The mixed step is taken up to this many times the plain one, in its largest entry.
const LONGEST: f64 = 20.0;
/// Share of the squares that counts as rounding.
const ROUNDING: f64 = 1e-10;

/// What the last rounds found.
#[derive(Default)]
pub(super) struct Mixing {
    /// `g(x)` and `g(x) − x` of the last rounds, the last one last.
    found: Vec<(DVector<f64>, DVector<f64>)>,
}

/// Resistances as logarithms, volts in their own size.
fn as_vector(slow: &Slow, sizes: &Slow) -> DVector<f64> {
    let ohms = slow.heater_ohms.iter().chain(&slow.coil_ohms).chain([&slow.copper]);
    let ohms = ohms.map(|ohms| ohms.ln());
    let sizes = sizes.tube_volts.iter().flatten().map(|v| v.abs().max(1.0));
    let volts = slow.tube_volts.iter().flatten().zip(sizes).map(|(v, size)| v / size);
    DVector::from_vec(ohms.chain(volts).collect())
}

impl Mixing {
    /// What follows `old`, of which a round made `new`.
    pub fn next(&mut self, old: &Slow, new: Slow) -> Slow {
        let (x, g) = (as_vector(old, &new), as_vector(&new, &new));
        let miss = &g - x;
        let far = miss.amax();
        let grew = self.found.last().is_some_and(|(_, last)| far > last.amax());
        if grew || far > NEAR || far.is_nan() {
            self.found.clear();
        }
        let step = self.mixed(&g, &miss).filter(|s| s.amax() <= LONGEST * far);
        if far <= NEAR {
            self.found.push((g, miss));
            if self.found.len() > DEPTH + 1 {
                self.found.remove(0);
            }
        }
        let mut next = new;
        if let Some(step) = step {
            let ohms = next.heater_ohms.iter_mut().chain(&mut next.coil_ohms);
            let ohms = ohms.chain([&mut next.copper]);
            let mut steps = step.iter();
            ohms.zip(&mut steps).for_each(|(ohms, step)| *ohms *= step.exp());
            let volts = next.tube_volts.iter_mut().flatten();
            volts.zip(steps).for_each(|(v, step)| *v += step * v.abs().max(1.0));
        }
        next
    }

    /// What to add to `g`, whose miss is `miss`.
    fn mixed(&self, g: &DVector<f64>, miss: &DVector<f64>) -> Option<DVector<f64>> {
        let count = self.found.len();
        if count == 0 {
            return None;
        }
        // each against the last, its miss brought to the length 1
        let column = |k: usize| {
            let moved = miss - &self.found[k].1;
            let length = moved.norm();
            (moved / length, (g - &self.found[k].0) / length)
        };
        let (misses, values): (Vec<_>, Vec<_>) = (0..count).map(column).unzip();
        let misses = DMatrix::from_columns(&misses);
        let squares = misses.tr_mul(&misses) + DMatrix::identity(count, count) * ROUNDING;
        let shares = squares.cholesky()?.solve(&misses.tr_mul(miss));
        let step = -(DMatrix::from_columns(&values) * shares);
        step.iter().all(|v| v.is_finite()).then_some(step)
    }
}
