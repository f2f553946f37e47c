//! The periodic steady state by shooting: Newton on the map from a cycle's start to its end.
//!
//! Waiting for a filter with a field coil to settle takes hundreds of cycles; Newton on the cycle map
//! takes a handful whatever the time constants (Aprille and Trick, "Steady-state analysis of nonlinear
//! circuits with periodic inputs", Proc. IEEE 60 (1972), 108-114 †).

use super::{
    error::CircuitError,
    network::{Kind, Network},
    period::Stepper,
    reduce::Shape,
    slope::{Cycle, Miss, Slope, free_state},
    solution::SteadyState,
};
use nalgebra::{DMatrix, DVector};
use std::{
    mem::{Discriminant, discriminant},
    sync::Arc,
};

/// Misses below which the next Newton step may take the matrix of the last one, which spares carrying the sensitivity
/// round the cycle: so near, each such step still mends most of it.
const NEAR: f64 = 0.25;

/// Such a step must leave less than this share of the miss, or the matrix is made anew.
const MENDED: f64 = 0.25;

/// Steps a cycle of the first search from rest: most rounds are then cheap ones.
const FIRST_STEPS: usize = 32;

/// How well that search closes the cycle: its answer is off by as much anyway.
const FIRST_CLOSED: f64 = 1e-3;

/// Smallest size a state counts with, as a share of the largest of its kind.
const SMALLEST: f64 = 1e-4;

/// Settings of a steady-state search.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Steps a cycle; fewer than 16 count as 16.
    pub steps: usize,
    /// Rounds of the cycle map allowed.
    pub rounds: usize,
    /// Largest change over a cycle that counts as periodic, relative to each state's own size.
    pub periodic: f64,
}

impl Settings {
    /// So many steps a cycle, closed as well as rounding lets it.
    pub fn fixed(steps: usize) -> Self {
        Settings { steps, rounds: 60, periodic: 1e-9 }
    }
}

/// Finds the periodic steady state of `network`.
///
/// `near` may be the start state of a neighbouring solution ([`SteadyState::start`]); it only saves
/// time. The error is that of the steps, falling with the square of their number as the rule is of second order.
///
/// # Errors
/// Every way in which no trustworthy answer exists: see [`CircuitError`]. No number is returned then.
pub fn steady_state(
    network: &Network,
    settings: &Settings,
    near: Option<&[f64]>,
) -> Result<SteadyState, CircuitError> {
    let near = near.map(|start| Near { start, slope: None });
    if near.is_some() || settings.steps < 2 * FIRST_STEPS {
        return solve(network, settings, near);
    }
    // from rest: from what few steps find there, closed no better than these are worth
    let first = Settings {
        steps: FIRST_STEPS,
        periodic: settings.periodic.max(FIRST_CLOSED),
        ..settings.clone()
    };
    // what few steps cannot follow, the wanted number may
    let found = solve(network, &first, None).ok();
    solve(network, settings, found.as_ref().map(Near::to))
}

/// As [`steady_state`], for a network that is the one of `before` with some values little changed: whether a state is free
/// is not looked for again, and the matrix of `before` is used as long as it serves.
///
/// # Errors
/// As [`steady_state`].
pub fn steady_state_again(
    network: &Network,
    settings: &Settings,
    before: &SteadyState,
) -> Result<SteadyState, CircuitError> {
    solve(network, settings, Some(Near::to(before)))
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
    let all = network.elements.iter().zip(&shape.places);
    let with_state = all.filter(|(_, place)| place.state.is_some());
    with_state.map(|(element, _)| discriminant(&element.kind)).collect()
}

fn solve(
    network: &Network,
    settings: &Settings,
    near: Option<Near<'_>>,
) -> Result<SteadyState, CircuitError> {
    let steps = settings.steps.max(16);
    let mut stepper = Stepper::of(network, steps)?;
    let (states, width) = (stepper.net.states, stepper.net.width());
    let near = near.filter(|near| near.start.len() == states);
    let mut start = match near {
        Some(near) => DVector::from_column_slice(near.start),
        None => DVector::zeros(states),
    };
    let mut end = DVector::zeros(states);
    let mut trace = Vec::with_capacity(width * steps);
    let mut sensitivity = DMatrix::<f64>::zeros(states, states);

    let kinds = kinds(network, &stepper.net.shape);
    let (mut last, mut worst, mut free) = (f64::INFINITY, 0, None);
    // whether a matrix may serve for more than one step
    let mut keep = true;
    let mut kept = near.and_then(|near| near.slope).cloned();
    for round in 0..settings.rounds {
        trace.clear();
        let wanted = kept.is_none().then_some(&mut sensitivity);
        stepper.cycle(&start, &mut end, wanted, &mut trace)?;
        let scale = sizes(&trace, width, &kinds);
        let miss = miss(&start, &end, &scale);
        worst = miss.worst;
        let slope = match kept.take() {
            None => {
                free = free_state(&sensitivity, &scale);
                Slope::of(&sensitivity, &stepper)
            }
            Some(slope) => {
                let mends = miss.relative <= (MENDED * last).max(settings.periodic);
                if !mends || slope.conducted != stepper.conducted() {
                    // it does not mend enough, or another set of rectifiers conducts: from here on as Newton has it
                    keep = false;
                    continue;
                }
                slope
            }
        };
        let periodic = miss.relative <= settings.periodic;
        match free {
            Some(state) if periodic => return Err(undetermined(&stepper, state)),
            Some(_) => {
                // no Newton step exists here; a plain cycle may lead to where a rectifier conducts again
                start.copy_from(&end);
                last = f64::INFINITY;
                continue;
            }
            None if periodic => {
                let cycle = Cycle { steps, start, trace, miss, slope };
                return Ok(SteadyState::new(network, stepper.net, cycle));
            }
            None => {}
        }
        let step = slope.factored.solve(&miss.delta).ok_or_else(|| undetermined(&stepper, 0))?;
        // a Newton step from far off may land further away; a plain cycle is always safe ground
        if miss.relative > 2.0 * last && round > 2 {
            start.copy_from(&end);
            last = f64::INFINITY;
        } else {
            start += step;
            last = miss.relative;
        }
        stepper.net.finite(&start)?;
        kept = (miss.relative <= NEAR && keep).then_some(slope);
    }
    Err(match free {
        Some(state) => undetermined(&stepper, state),
        None => CircuitError::NotPeriodic {
            iterations: settings.rounds,
            state: stepper.net.name(worst),
            residual: last,
        },
    })
}

fn undetermined(stepper: &Stepper, state: usize) -> CircuitError {
    CircuitError::Undetermined { state: stepper.net.name(state) }
}
