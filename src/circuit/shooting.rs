//! The periodic steady state by shooting: Newton on the map from a cycle's start to its end.
//!
//! Waiting for a filter with a field coil to settle takes hundreds of cycles; Newton on the cycle map
//! takes a handful whatever the time constants (Aprille and Trick, "Steady-state analysis of nonlinear
//! circuits with periodic inputs", Proc. IEEE 60 (1972), 108-114, from memory).

use super::error::CircuitError;
use super::network::{Kind, Network};
use super::period::{GAMMA, Stepper};
use super::reduce::{Reduced, reduce};
use super::solution::SteadyState;
use nalgebra::{DMatrix, DVector};

/// A charge or a current that loses less than this share of itself in a cycle has no steady value: at 60 Hz a
/// time constant of half a year, where rounding leaves about 1e-13.
const DECAY: f64 = 1e-9;

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
            steps: Steps::Controlled {
                tolerance: 5e-4,
                start: 128,
                limit: 8192,
            },
            rounds: 60,
            periodic: 1e-9,
        }
    }
}

impl Settings {
    /// The default settings with a fixed number of steps a cycle.
    pub fn fixed(steps: usize) -> Self {
        Settings {
            steps: Steps::Fixed(steps),
            ..Settings::default()
        }
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
    match settings.steps {
        Steps::Fixed(steps) => solve(network, steps.max(16), settings, near),
        Steps::Controlled {
            tolerance,
            start,
            limit,
        } => {
            let mut steps = start.max(16);
            let mut coarse = solve(network, steps, settings, near)?;
            loop {
                let finer = solve(network, 2 * steps, settings, Some(coarse.start()))?;
                let estimate = coarse.largest_difference(&finer) / 3.0;
                if estimate <= tolerance {
                    return Ok(finer.with_estimate(estimate));
                }
                steps *= 2;
                if 2 * steps > limit {
                    return Err(CircuitError::NotAccurate {
                        steps,
                        estimate,
                        wanted: tolerance,
                    });
                }
                coarse = finer;
            }
        }
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
    Miss {
        delta,
        relative,
        worst,
    }
}

/// Size of each state over a recorded cycle, but never less than [`SMALLEST`] of the largest of its kind: beside
/// 300 V a capacitor at a nanovolt is at zero, and counting it in nanovolts would make nonsense of its share.
fn sizes(trace: &[f64], width: usize, is_voltage: &[bool]) -> DVector<f64> {
    let states = is_voltage.len();
    let mut scale = DVector::from_element(states, 1e-9);
    for z in trace.chunks_exact(width) {
        for i in 0..states {
            scale[i] = f64::max(scale[i], z[i].abs());
        }
    }
    for kind in [true, false] {
        let of_kind = || (0..states).filter(|i| is_voltage[*i] == kind);
        let largest = of_kind().map(|i| scale[i]).fold(0.0, f64::max);
        for i in of_kind() {
            scale[i] = f64::max(scale[i], SMALLEST * largest);
        }
    }
    scale
}

/// Whether each state is a capacitor's voltage (or an inductor's current).
fn voltages(network: &Network, reduced: &Reduced) -> Vec<bool> {
    let mut list = vec![false; reduced.states];
    for (element, state) in network.elements.iter().zip(&reduced.shape.state) {
        if let Some(state) = state {
            list[*state] = matches!(element.kind, Kind::Capacitor(..));
        }
    }
    list
}

fn solve(
    network: &Network,
    steps: usize,
    settings: &Settings,
    near: Option<&[f64]>,
) -> Result<SteadyState, CircuitError> {
    let h = 1.0 / (network.frequency() * steps as f64);
    let reduced = reduce(network, GAMMA * h)?;
    let states = reduced.states;
    let width = states + super::reduce::BASIS + reduced.ports;
    let mut start = match near {
        Some(values) if values.len() == states => DVector::from_column_slice(values),
        _ => DVector::zeros(states),
    };
    let mut end = DVector::zeros(states);
    let mut trace = Vec::with_capacity(width * steps);
    let mut stepper = Stepper::new(&reduced, steps);
    let mut sensitivity = DMatrix::<f64>::zeros(states, states);

    let is_voltage = voltages(network, &reduced);
    let mut last = f64::INFINITY;
    let mut worst = 0;
    let mut free = None;
    for round in 0..settings.rounds {
        trace.clear();
        stepper.cycle(&start, &mut end, Some(&mut sensitivity), Some(&mut trace))?;
        let scale = sizes(&trace, width, &is_voltage);
        let miss = miss(&start, &end, &scale);
        worst = miss.worst;
        free = free_state(&sensitivity, &scale);
        if miss.relative <= settings.periodic {
            return match free {
                Some(state) => Err(undetermined(&reduced, state)),
                None => Ok(SteadyState::new(
                    network,
                    &reduced,
                    steps,
                    start,
                    trace,
                    round + 1,
                )),
            };
        }
        if free.is_some() {
            // no Newton step exists here; a plain cycle may lead to where a rectifier conducts again
            start.copy_from(&end);
            last = f64::INFINITY;
            continue;
        }
        let step = newton_step(&reduced, &sensitivity, &miss.delta)?;
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
            return Err(CircuitError::NotFinite {
                state: reduced.shape.state_names[bad].clone(),
            });
        }
    }
    if let Some(state) = free {
        return Err(undetermined(&reduced, state));
    }
    Err(CircuitError::NotPeriodic {
        iterations: settings.rounds,
        state: reduced
            .shape
            .state_names
            .get(worst)
            .cloned()
            .unwrap_or_default(),
        residual: last,
    })
}

/// Solves `(1 − S)·δ = end − start`.
fn newton_step(
    reduced: &Reduced,
    sensitivity: &DMatrix<f64>,
    delta: &DVector<f64>,
) -> Result<DVector<f64>, CircuitError> {
    let states = reduced.states;
    let matrix = DMatrix::<f64>::identity(states, states) - sensitivity;
    matrix
        .lu()
        .solve(delta)
        .ok_or_else(|| undetermined(reduced, 0))
}

fn undetermined(reduced: &Reduced, state: usize) -> CircuitError {
    CircuitError::Undetermined {
        state: reduced.shape.state_names[state].clone(),
    }
}

/// A state, or one of a group of states, of which any amount may be added and stays: `(1 − S)·d = 0`.
///
/// Seen by a pivot that vanishes under full pivoting, states counted in their own sizes. A state that loses
/// less than [`DECAY`] of itself in a cycle counts as staying.
fn free_state(sensitivity: &DMatrix<f64>, scale: &DVector<f64>) -> Option<usize> {
    let states = scale.len();
    if states == 0 {
        return None;
    }
    let matrix = DMatrix::from_fn(states, states, |r, c| {
        let unit = if r == c { 1.0 } else { 0.0 };
        (unit - sensitivity[(r, c)]) * scale[c] / scale[r]
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
