//! One cycle from any state: what a network does before it is periodic.
//!
//! The cycle map M takes the states at a cycle's start to those at its end. Marching repeats it. Where nothing moves
//! fast, many cycles are leaped over by an implicit rule on `M(s) − s`, the change in a cycle; its Newton step is here.

use super::error::CircuitError;
use super::network::{Kind, Network, Node};
use super::period::{GAMMA, Stepper};
use super::reduce::reduce;
use super::slope::Slope;
use super::solution::{Probe, SteadyState};
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

/// Joules over one cycle.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Energy {
    /// What the sources of volts and of current delivered.
    pub delivered: f64,
    /// What became heat in resistors.
    pub resistors: f64,
    /// What became heat in nonlinear and controlled branches.
    pub branches: f64,
    /// By how much capacitors, inductors and iron hold more at its end than at its start: ½Cv², ½Li², ∫i·dλ.
    pub stored: f64,
}

/// Runs a cycle of `network` from the states `start`, in the order of [`SteadyState::start`]; of another number, from rest.
///
/// # Errors
/// A network that cannot be solved, states that leave all bounds.
pub fn march(network: &Network, how: March, start: &[f64]) -> Result<Cycle, CircuitError> {
    let h = 1.0 / (network.frequency() * how.steps as f64);
    let reduced = reduce(network, GAMMA * h)?;
    let states = reduced.states;
    let start = match start.len() == states {
        true => DVector::from_column_slice(start),
        false => DVector::zeros(states),
    };
    let mut end = DVector::zeros(states);
    let mut trace = Vec::with_capacity(reduced.width() * how.steps);
    let mut slope = DMatrix::zeros(states, states);
    let mut stepper = Stepper::new(network, &reduced, how.steps);
    stepper.begin_at(how.offset);
    stepper.cycle(&start, &mut end, how.sloped.then_some(&mut slope), &mut trace)?;
    let near = Slope::of(&slope, stepper.conducted());
    let seen = SteadyState::new(network, reduced, how.steps, (start, trace), near);
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

    /// Where the energy of this cycle of `network` went.
    pub fn energy(&self, network: &Network) -> Energy {
        let mut sum = Energy::default();
        let seconds = 1.0 / network.frequency();
        let watts = |leaves: &[(Node, f64)], amps: Probe| -> f64 {
            let at = |(node, share): &(Node, f64)| {
                share * self.seen.mean_product(Probe::Volts(*node, super::REFERENCE), amps)
            };
            seconds * leaves.iter().map(at).sum::<f64>()
        };
        let mut state = 0;
        let mut held = |energy: &dyn Fn(f64) -> f64| {
            let (from, to) = (self.start()[state], self.end[state]);
            state += 1;
            energy(to) - energy(from)
        };
        for (place, element) in network.elements.iter().enumerate() {
            let amps = Probe::Amps(super::ElementId(place));
            let between = |a: &Node, b: &Node| watts(&[(*a, 1.0), (*b, -1.0)], amps);
            match &element.kind {
                Kind::Resistor(a, b, _) => sum.resistors += between(a, b),
                Kind::Capacitor(_, _, size) | Kind::Inductor(_, _, size) => {
                    sum.stored += held(&|of| 0.5 * size * of * of);
                }
                Kind::Iron(_, _, iron) => sum.stored += held(&|flux| iron.energy(flux)),
                Kind::Voltage(a, b, _) | Kind::Current(a, b, _) => sum.delivered -= between(a, b),
                Kind::Controlled { leaves, .. } | Kind::Nonlinear { leaves, .. } => {
                    sum.branches += watts(leaves, amps);
                }
                Kind::Transformer(_) => {}
            }
        }
        sum
    }
}
