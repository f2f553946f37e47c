//! One cycle from any state: what a network does before it is periodic.
//!
//! The cycle map M takes the states at a cycle's start to those at its end. Marching repeats it. Where nothing moves
//! fast, many cycles are leaped over by an implicit rule on `M(s) − s`, the change in a cycle; its Newton step is here.

use super::{
    error::CircuitError,
    network::Network,
    period::Stepper,
    slope::{self, Miss, Slope},
    solution::{Probe, SteadyState},
};
use nalgebra::{DMatrix, DVector};

/// How a cycle is run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct March {
    /// Steps in it.
    pub steps: usize,
    /// Steps by which it begins after the zero of a sine of phase 0.
    pub offset: usize,
    /// Whether [`Cycle::towards`] will be asked for more than a plain cycle.
    pub sloped: bool,
}

/// A cycle that was run.
#[derive(Debug, Clone)]
pub struct Cycle {
    /// What meters show over it.
    pub seen: SteadyState,
    end: DVector<f64>,
    slope: Option<DMatrix<f64>>,
}

/// Runs a cycle of `network` from the states `start`, in the order of [`SteadyState::start`]; of another number, from rest.
///
/// # Errors
/// A network that cannot be solved, states that leave all bounds.
pub fn march(network: &Network, how: March, start: &[f64]) -> Result<Cycle, CircuitError> {
    let mut stepper = Stepper::of(network, how.steps)?;
    let states = stepper.net.states;
    let start = match start.len() == states {
        true => DVector::from_column_slice(start),
        false => DVector::zeros(states),
    };
    let mut end = DVector::zeros(states);
    let mut trace = Vec::with_capacity(stepper.net.width() * how.steps);
    let mut slope = DMatrix::zeros(states, states);
    stepper.begin_at(how.offset);
    stepper.cycle(&start, &mut end, how.sloped.then_some(&mut slope), &mut trace)?;
    let slope_of = Slope::of(&slope, &stepper);
    // it need not close: what it shows is shown as it is
    let miss = Miss { delta: DVector::zeros(states), relative: 0.0, worst: 0 };
    let closed = slope::Cycle { steps: how.steps, start, trace, miss, slope: slope_of };
    let seen = SteadyState::new(network, stepper.net, closed);
    Ok(Cycle { seen, end, slope: how.sloped.then_some(slope) })
}

impl Cycle {
    /// States at its start.
    pub fn start(&self) -> &[f64] {
        self.seen.start()
    }

    /// States at its end.
    pub fn end(&self) -> &[f64] {
        self.end.as_slice()
    }

    /// The next guess at the states s that meet `s = base + weight·(M(s) − s)`, by a Newton step from this cycle's start
    /// with the derivative of `sloped`, this cycle or a neighbour; `None` where there is none or that was not run for it.
    pub fn towards(&self, sloped: &Cycle, base: &[f64], weight: f64) -> Option<Vec<f64>> {
        let states = self.end.len();
        let (start, base) = (self.start(), DVector::from_column_slice(base));
        let now = DVector::from_column_slice(start);
        let miss = base + weight * (&self.end - &now) - &now;
        let unit = DMatrix::<f64>::identity(states, states);
        let matrix = (1.0 + weight) * unit - weight * sloped.slope.as_ref()?;
        Some((now + matrix.lu().solve(&miss)?).as_slice().to_vec())
    }

    /// Highest and lowest instantaneous value over the cycle, which need not close.
    pub fn extremes(&self, probe: Probe) -> (f64, f64) {
        let wave = self.seen.waveform(probe);
        let most = wave.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        (most, wave.iter().copied().fold(f64::INFINITY, f64::min))
    }
}
