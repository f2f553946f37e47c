//! The periodic steady state by shooting: Newton on the map from a cycle's start to its end.
//!
//! Waiting for a filter with a field coil to settle takes hundreds of cycles; Newton on the cycle map
//! takes a handful whatever the time constants (Aprille and Trick, "Steady-state analysis of nonlinear
//! circuits with periodic inputs", Proc. IEEE 60 (1972), 108-114 †).

use super::error::CircuitError;
use super::network::{Kind, Network};
use super::period::{GAMMA, Stepper};
use super::reduce::{Reduced, Shape, reduce};
use super::slope::{Slope, free_state};
use super::solution::SteadyState;
use nalgebra::{DMatrix, DVector};
use std::mem::{Discriminant, discriminant};
use std::sync::Arc;

/// Misses below which the next Newton step may take the matrix of the last one, which spares carrying the sensitivity
/// round the cycle: so near, each such step still mends all but some per cent.
const NEAR: f64 = 0.02;

/// Such a step must leave less than this share of the miss, or the matrix is made anew.
const MENDED: f64 = 0.1;

/// Steps a cycle of the first search from rest: most rounds are then cheap ones.
const FIRST_STEPS: usize = 32;

/// How well that search closes the cycle: its answer is off by as much anyway.
const FIRST_CLOSED: f64 = 1e-3;

/// Smallest size a state counts with, as a share of the largest of its kind.
const SMALLEST: f64 = 1e-4;

/// How finely a cycle is stepped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Steps {
    /// Exactly this many steps a cycle (at least 16): for neighbours of a case whose accuracy is known.
    Fixed(usize),
    /// Double the steps until two runs agree.
    Controlled {
        /// Wanted relative accuracy of the mean and RMS of every state.
        tolerance: f64,
        /// First number of steps.
        start: usize,
        /// Largest number of steps.
        limit: usize,
    },
}

/// Settings of a steady-state search.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Stepping.
    pub steps: Steps,
    /// Rounds of the cycle map allowed.
    pub rounds: usize,
    /// Largest change over a cycle that counts as periodic, relative to each state's own size.
    pub periodic: f64,
}

impl Default for Settings {
    /// Accuracy 5·10⁻⁴ of every state's mean and RMS, from 128 steps up to 8192.
    fn default() -> Self {
        Settings {
            steps: Steps::Controlled { tolerance: 5e-4, start: 128, limit: 8192 },
            rounds: 60,
            periodic: 1e-9,
        }
    }
}

impl Settings {
    /// The default settings with a fixed number of steps a cycle.
    pub fn fixed(steps: usize) -> Self {
        Settings { steps: Steps::Fixed(steps), ..Settings::default() }
    }
}

/// Finds the periodic steady state of `network`.
///
/// `near` may be the start state of a neighbouring solution ([`SteadyState::start`]); it only saves
/// time. The answer's accuracy is that of `settings`; with [`Steps::Controlled`] the estimate is the
/// difference between the last two step counts, divided by three as the rule is of second order.
///
/// # Errors
/// Every way in which no trustworthy answer exists: see [`CircuitError`]. No number is returned then.
pub fn steady_state(
    network: &Network,
    settings: &Settings,
    near: Option<&[f64]>,
) -> Result<SteadyState, CircuitError> {
    let near = near.map(|start| Near { start, slope: None });
    match settings.steps {
        Steps::Fixed(steps) => search(network, steps.max(16), settings, near),
        Steps::Controlled { tolerance, start, limit } => {
            let mut steps = start.max(16);
            let mut coarse = search(network, steps, settings, near)?;
            loop {
                let finer = solve(network, 2 * steps, settings, Some(Near::to(&coarse)))?;
                let estimate = coarse.largest_difference(&finer) / 3.0;
                if estimate <= tolerance {
                    return Ok(finer.with_estimate(estimate));
                }
                steps *= 2;
                if 2 * steps > limit {
                    return Err(CircuitError::NotAccurate { steps, estimate, wanted: tolerance });
                }
                coarse = finer;
            }
        }
    }
}

/// As [`steady_state`] with a fixed number of steps, for a network that is the one of `before` with some values little
/// changed: whether a state is free is not looked for again, and the matrix of `before` is used as long as it serves.
///
/// # Errors
/// As [`steady_state`].
pub fn steady_state_again(
    network: &Network,
    settings: &Settings,
    before: &SteadyState,
) -> Result<SteadyState, CircuitError> {
    solve(network, before.steps(), settings, Some(Near::to(before)))
}

/// Solves from a neighbour or, without one, from what few steps find from rest, closed no better than these are worth.
fn search(
    network: &Network,
    steps: usize,
    settings: &Settings,
    near: Option<Near<'_>>,
) -> Result<SteadyState, CircuitError> {
    if near.is_some() || steps < 2 * FIRST_STEPS {
        return solve(network, steps, settings, near);
    }
    let first = Settings { periodic: settings.periodic.max(FIRST_CLOSED), ..settings.clone() };
    // what few steps cannot follow, the wanted number may
    let found = solve(network, FIRST_STEPS, &first, None).ok();
    solve(network, steps, settings, found.as_ref().map(Near::to))
}

/// A neighbour to start from.
#[derive(Clone, Copy)]
struct Near<'a> {
    start: &'a [f64],
    slope: Option<&'a Arc<Slope>>,
}

impl Near<'_> {
    fn to(state: &SteadyState) -> Near<'_> {
        Near { start: state.start(), slope: Some(state.slope()) }
    }
}

/// Changes over a cycle, relative to each state's size along the way.
struct Miss {
    delta: DVector<f64>,
    relative: f64,
    worst: usize,
}

fn miss(start: &DVector<f64>, end: &DVector<f64>, scale: &DVector<f64>) -> Miss {
    let delta = end - start;
    let mut relative = 0.0;
    let mut worst = 0;
    for i in 0..delta.len() {
        let r = delta[i].abs() / scale[i];
        if r > relative {
            relative = r;
            worst = i;
        }
    }
    Miss { delta, relative, worst }
}

/// Size of each state over a recorded cycle, but never less than [`SMALLEST`] of the largest of its kind: beside
/// 300 V a capacitor at a nanovolt is at zero, and counting it in nanovolts would make nonsense of its share.
fn sizes(trace: &[f64], width: usize, kinds: &[Discriminant<Kind>]) -> DVector<f64> {
    let states = kinds.len();
    let mut scale = DVector::from_element(states, 1e-9);
    for z in trace.chunks_exact(width) {
        for i in 0..states {
            scale[i] = f64::max(scale[i], z[i].abs());
        }
    }
    let own = scale.clone();
    for (size, kind) in scale.iter_mut().zip(kinds) {
        let same = own.iter().zip(kinds).filter(|(_, k)| *k == kind);
        *size = same.fold(*size, |size, (other, _)| f64::max(size, SMALLEST * other));
    }
    scale
}

/// Whether each state is a capacitor's voltage, an inductor's current or a flux.
fn kinds(network: &Network, shape: &Shape) -> Vec<Discriminant<Kind>> {
    let with_state = network.elements.iter().zip(&shape.state).filter(|(_, state)| state.is_some());
    with_state.map(|(element, _)| discriminant(&element.kind)).collect()
}

fn solve(
    network: &Network,
    steps: usize,
    settings: &Settings,
    near: Option<Near<'_>>,
) -> Result<SteadyState, CircuitError> {
    let h = 1.0 / (network.frequency() * steps as f64);
    let reduced = reduce(network, GAMMA * h)?;
    let states = reduced.states;
    let width = reduced.width();
    let near = near.filter(|near| near.start.len() == states);
    let mut start = match near {
        Some(near) => DVector::from_column_slice(near.start),
        None => DVector::zeros(states),
    };
    let mut end = DVector::zeros(states);
    let mut trace = Vec::with_capacity(width * steps);
    let mut stepper = Stepper::new(network, &reduced, steps);
    let mut sensitivity = DMatrix::<f64>::zeros(states, states);

    let kinds = kinds(network, &reduced.shape);
    let mut last = f64::INFINITY;
    let mut worst = 0;
    let mut free = None;
    // whether a matrix may serve for more than one step
    let mut keep = true;
    let mut slope: Option<Arc<Slope>> = near.and_then(|near| near.slope).map(Arc::clone);
    for round in 0..settings.rounds {
        trace.clear();
        let wanted = slope.is_none().then_some(&mut sensitivity);
        stepper.cycle(&start, &mut end, wanted, &mut trace)?;
        let scale = sizes(&trace, width, &kinds);
        let miss = miss(&start, &end, &scale);
        worst = miss.worst;
        let renewed = slope.is_none();
        if renewed {
            free = free_state(&sensitivity, &scale);
        } else {
            let same = |s: &Arc<Slope>| s.conducted == stepper.conducted();
            let mends = miss.relative <= (MENDED * last).max(settings.periodic);
            if !mends || !slope.as_ref().is_some_and(same) {
                // it does not mend enough, or another set of rectifiers conducts: from here on as Newton has it
                slope = None;
                keep = false;
                continue;
            }
        }
        if miss.relative <= settings.periodic {
            return match free {
                Some(state) => Err(undetermined(&reduced, state)),
                None => {
                    let slope =
                        slope.unwrap_or_else(|| Slope::of(&sensitivity, stepper.conducted()));
                    let cycle = (start, trace);
                    drop(stepper);
                    Ok(SteadyState::new(network, reduced, steps, cycle, slope))
                }
            };
        }
        if free.is_some() {
            // no Newton step exists here; a plain cycle may lead to where a rectifier conducts again
            start.copy_from(&end);
            last = f64::INFINITY;
            slope = None;
            continue;
        }
        if renewed {
            slope = Some(Slope::of(&sensitivity, stepper.conducted()));
        }
        let Some(step) = slope.as_ref().and_then(|s| s.factored.solve(&miss.delta)) else {
            return Err(undetermined(&reduced, 0));
        };
        if miss.relative > NEAR || !keep {
            slope = None;
        }
        // a Newton step from far off may land further away; a plain cycle is always safe ground
        let grew = miss.relative > 2.0 * last && round > 2;
        last = miss.relative;
        if grew {
            start.copy_from(&end);
            last = f64::INFINITY;
        } else {
            start += step;
        }
        if let Some(bad) = start.iter().position(|v| !v.is_finite()) {
            return Err(CircuitError::NotFinite { state: reduced.shape.state_names[bad].clone() });
        }
    }
    if let Some(state) = free {
        return Err(undetermined(&reduced, state));
    }
    Err(CircuitError::NotPeriodic {
        iterations: settings.rounds,
        state: reduced.shape.state_names.get(worst).cloned().unwrap_or_default(),
        residual: last,
    })
}

fn undetermined(reduced: &Reduced, state: usize) -> CircuitError {
    CircuitError::Undetermined { state: reduced.shape.state_names[state].clone() }
}
