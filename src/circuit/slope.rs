//! The derivative of the cycle map: what Newton's step needs, and what it says of states that nothing holds.

use super::{
    dense::{Columns, unit},
    period::Stepper,
};
use nalgebra::{DMatrix, DVector, Dyn, LU};
use std::sync::Arc;

/// A charge or a current that loses less than this share of itself in a cycle has no steady value: at 60 Hz a
/// time constant of half a year, where rounding leaves about 1e-13.
const DECAY: f64 = 1e-9;

/// What a Newton step on the cycle map needs.
#[derive(Debug)]
pub struct Slope {
    /// `1 − S`, so that the step δ is `(1 − S)·δ = end − start`.
    pub factored: LU<f64, Dyn, Dyn>,
    /// The ports that conducted.
    pub conducted: Vec<bool>,
    /// How the means of the states and of the ports' currents move with the start.
    pub mean_shift: Columns,
}

impl Slope {
    pub fn of(sensitivity: &DMatrix<f64>, stepper: &Stepper) -> Arc<Slope> {
        let states = sensitivity.nrows();
        let matrix = DMatrix::<f64>::identity(states, states) - sensitivity;
        let (conducted, mean_shift) = (stepper.conducted().to_vec(), stepper.mean_shift());
        Arc::new(Slope { factored: matrix.lu(), conducted, mean_shift })
    }
}

/// Changes over a cycle, relative to each state's size along the way.
pub struct Miss {
    pub delta: DVector<f64>,
    pub relative: f64,
    pub worst: usize,
}

/// A cycle that closes as well as was asked for.
pub struct Cycle {
    pub steps: usize,
    pub start: DVector<f64>,
    pub trace: Vec<f64>,
    pub miss: Miss,
    pub slope: Arc<Slope>,
}

/// A state, or one of a group of states, of which any amount may be added and stays: `(1 − S)·d = 0`.
///
/// Seen by a pivot that vanishes under full pivoting, states counted in their own sizes. A state that loses
/// less than [`DECAY`] of itself in a cycle counts as staying.
pub fn free_state(sensitivity: &DMatrix<f64>, scale: &DVector<f64>) -> Option<usize> {
    let states = scale.len();
    if states == 0 {
        return None;
    }
    let matrix = DMatrix::from_fn(states, states, |r, c| {
        (unit(r, c) - sensitivity[(r, c)]) * scale[c] / scale[r]
    });
    let factored = matrix.full_piv_lu();
    let last = factored.u()[(states - 1, states - 1)].abs();
    if last >= DECAY {
        return None;
    }
    // the column that was left over
    let mut places = DVector::from_fn(states, |i, _| i);
    factored.q().inv_permute_rows(&mut places);
    Some(places[states - 1])
}
