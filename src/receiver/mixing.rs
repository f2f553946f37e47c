//! The next slow quantities from those of the last rounds.
//!
//! Plain repetition `x ← g(x)` gains a digit in two rounds where a coil's heat answers its own resistance, and hardly any
//! where a barretter holds its current. Mixing finds the combination of the last rounds whose misses `g(x) − x` cancel
//! best and goes on from there (D. G. Anderson, "Iterative procedures for nonlinear integral equations", J. ACM 12 (1965),
//! 547-560 †). What it ends at is the same: there the miss is nothing.

use super::Slow;
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
pub struct Mixing {
    /// `g(x)` and `g(x) − x` of the last rounds, the last one last.
    found: Vec<(DVector<f64>, DVector<f64>)>,
}

/// Resistances as logarithms, volts in their own size.
fn as_vector(slow: &Slow, sizes: &Slow) -> DVector<f64> {
    let ohms = slow.ohms().map(|ohms| ohms.ln());
    let volts = slow.volts().zip(sizes.volts()).map(|(v, size)| v / size.abs().max(1.0));
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
            let mut steps = step.iter();
            next.ohms_mut().zip(&mut steps).for_each(|(ohms, step)| *ohms *= step.exp());
            next.volts_mut().zip(steps).for_each(|(v, step)| *v += step * v.abs().max(1.0));
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

/// Halved steps where the loop has not settled soon, so that a bias that swings to and fro around its point dies down.
/// Those of resistances are lengthened by the ratio in which they shrink (Aitken).
#[derive(Default)]
pub struct Damping {
    /// Steps of the last round.
    coils: Vec<f64>,
    heaters: Vec<f64>,
}

impl Damping {
    /// What follows `old`, of which a round made `next`.
    pub fn next(&mut self, old: &Slow, mut next: Slow) -> Slow {
        let half = |(next, old): (&mut f64, &f64)| *next = 0.5 * (old + *next);
        next.ohms_mut().zip(old.ohms()).for_each(half);
        next.volts_mut().zip(old.volts()).for_each(half);
        hasten(&mut self.coils, &old.coil_ohms, &mut next.coil_ohms, coil);
        hasten(&mut self.heaters, &old.heater_ohms, &mut next.heater_ohms, heater);
        next
    }
}

/// Lengthens each step from `old` to `next` by a `rule` of both and the step before, which gives the next value and the
/// step to it.
fn hasten(
    steps: &mut Vec<f64>,
    old: &[f64],
    next: &mut [f64],
    rule: fn(f64, f64, f64) -> [f64; 2],
) {
    steps.resize(next.len(), 0.0);
    for ((step, next), old) in steps.iter_mut().zip(next).zip(old) {
        [*next, *step] = rule(*old, *next, *step);
    }
}

/// A step over the one before; 0 after none.
fn ratio(step: f64, before: f64) -> f64 {
    if before == 0.0 { 0.0 } else { step / before }
}

/// A coil's heat answers its own resistance, so that plain repetition gains less than a digit a round.
fn coil(old: f64, next: f64, before: f64) -> [f64; 2] {
    let step = next - old;
    let ratio = ratio(step, before);
    // only a settled, modest ratio is trusted
    let trusted = (-0.6..0.6).contains(&ratio) && step.abs() < 0.05 * old;
    let next = if trusted { old + step / (1.0 - ratio) } else { next };
    [next, next - old]
}

/// The same for heaters, as logarithms: a barretter holds its current, so that behind a resistance plain repetition
/// leaves up to nineteen parts in twenty of what it is off.
fn heater(old: f64, next: f64, before: f64) -> [f64; 2] {
    let step = (next / old).ln();
    let ratio = ratio(step, before);
    // a ratio after a lengthened step is small, and lengthens nothing
    if !(0.3..0.99).contains(&ratio) {
        return [next, step];
    }
    let step = (step / (1.0 - ratio)).clamp(-1.0, 1.0);
    [old * step.exp(), step]
}
