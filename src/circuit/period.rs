//! One cycle of the line, stepped with a stiffly accurate diagonally implicit rule.
//!
//! Rule: Alexander, "Diagonally implicit Runge-Kutta methods for stiff O.D.E.'s", SIAM J. Numer.
//! Anal. 14 (1977), 1006-1021: two stages, order 2, γ = 1 − 1/√2, L-stable †. All stages share
//! one matrix and the last stage is the new point, so algebraic unknowns are met exactly there and fast
//! modes die out instead of ringing as they would under the trapezoidal rule.

use super::{
    dense::{Columns, add, dot},
    error::CircuitError,
    network::Network,
    ports::Ports,
    reduce::{PLAIN, Reduced, reduce},
};
use nalgebra::{DMatrix, DVector};
use std::{borrow::Cow, sync::OnceLock};

/// γ of the two-stage rule: the diagonal coefficient and the time of the first stage.
const GAMMA: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;

/// History of the second stage: `s + (1 − γ)/γ (s1 − s)`.
const LEAN: f64 = (1.0 - GAMMA) / GAMMA;

/// That history for the sensitivity, which at the first stage went from `before` to `after`; left in `after`.
fn lean_back(before: &Columns, after: &mut Columns) {
    for (before, after) in before.each().zip(after.each_mut()) {
        for (a, b) in after.iter_mut().zip(before) {
            *a = b + LEAN * (*a - b);
        }
    }
}

/// The angles of all stages of a cycle.
fn angles(steps: usize) -> impl Iterator<Item = f64> {
    let angle = std::f64::consts::TAU / steps as f64;
    (0..steps).flat_map(move |k| [(k as f64 + GAMMA) * angle, (k as f64 + 1.0) * angle])
}

/// sin and cos at every stage; for powers of two, which are what is asked for again and again, kept.
fn waves(steps: usize) -> Cow<'static, [(f64, f64)]> {
    static KEPT: [OnceLock<Vec<(f64, f64)>>; 14] = [const { OnceLock::new() }; 14];
    let made = || angles(steps).map(f64::sin_cos).collect();
    match KEPT.get(steps.trailing_zeros() as usize) {
        Some(kept) if steps.is_power_of_two() => Cow::Borrowed(kept.get_or_init(made)),
        _ => Cow::Owned(made()),
    }
}

/// Steps a reduced network through a cycle.
pub struct Stepper {
    pub net: Reduced,
    steps: usize,
    /// `[s_h, sources]`
    known: Vec<f64>,
    /// New states, then open control voltages.
    moved: Vec<f64>,
    ports: Ports,
    /// Whether each port conducted at the end of a step of the last cycle.
    conducted: Vec<bool>,
    /// sin and cos at every stage, in order.
    waves: Cow<'static, [(f64, f64)]>,
    /// Distorted sources at every stage.
    shapes: Vec<f64>,
    /// New states and open control voltages from what is known.
    advance: Columns,
    /// New states from the states.
    states: Columns,
    /// New states from the port currents: a column for each port.
    push: Columns,
    /// What each open control voltage takes from the states: a column for each port.
    pull: Columns,
    sensitivity: Sensitivity,
}

/// d(states now)/d(states at the start of the cycle), with room to carry it on.
struct Sensitivity {
    now: Columns,
    half: Columns,
    spare: Columns,
    /// Steps without a conducting port but iron that it has not been carried over yet, and the sum of the slopes there.
    pending: usize,
    slopes: Vec<f64>,
    /// Map of the states over 1, 2, 4, 8, … such steps, iron at its mean slope; made when first wanted, and anew where
    /// there is iron.
    blocked: Vec<Columns>,
    /// Open control voltages of the ports that conduct.
    open: Vec<f64>,
    /// Sum over the steps of d(states, then currents of the ports)/d(states at the start of the cycle).
    sum: Columns,
}

impl Stepper {
    /// For so many steps a cycle.
    ///
    /// # Errors
    /// [`CircuitError::Singular`] when the equations of `network` have no single solution.
    pub fn of(network: &Network, steps: usize) -> Result<Stepper, CircuitError> {
        let net = reduce(network, GAMMA * (1.0 / (network.frequency() * steps as f64)))?;
        let waves = waves(steps);
        let shapes = net.shapes(network, &waves);
        let (states, ports) = (net.states, net.ports);
        let mut known = vec![0.0; net.known()];
        known[states + 2] = 1.0;
        let part = |rows, columns, first: usize| {
            Columns::from_fn(rows, columns, |r, c| net.advance.row(r)[first + c])
        };
        let advance = part(states + ports, net.known(), 0);
        let square = || Columns::zeros(states, states);
        Ok(Stepper {
            steps,
            known,
            moved: vec![0.0; advance.padded()],
            ports: Ports::new(&net),
            conducted: vec![false; ports],
            waves,
            shapes,
            advance,
            states: part(states, states, 0),
            push: part(states, ports, net.known()),
            pull: Columns::from_fn(states, ports, |r, c| net.advance.row(states + c)[r]),
            sensitivity: Sensitivity {
                now: square(),
                half: square(),
                spare: square(),
                pending: 0,
                slopes: vec![0.0; ports],
                blocked: Vec::new(),
                open: vec![0.0; ports],
                sum: Columns::zeros(states + ports, states),
            },
            net,
        })
    }

    /// Has every cycle begin that many steps after the zero of a sine of phase 0.
    pub fn begin_at(&mut self, step: usize) {
        let places = 2 * (step % self.steps);
        if places > 0 {
            self.waves.to_mut().rotate_left(places);
            let shapes = self.net.basis - PLAIN;
            self.shapes.rotate_left(places * shapes);
        }
    }

    /// Steps once round from `start`, leaving the end state in `end`. With `sensitivity` the matrix
    /// d(end)/d(start) is left there; `record` receives every `z`.
    pub fn cycle(
        &mut self,
        start: &DVector<f64>,
        end: &mut DVector<f64>,
        sensitivity: Option<&mut DMatrix<f64>>,
        record: &mut Vec<f64>,
    ) -> Result<(), CircuitError> {
        let states = self.net.states;
        let carried = sensitivity.is_some();
        end.copy_from(start);
        self.sensitivity.now.set_to_identity();
        self.sensitivity.sum.clear();
        self.conducted.fill(false);
        for step in 0..self.steps {
            self.known[..states].copy_from_slice(end.as_slice());
            self.stage(2 * step)?;
            let (history, end) = (&mut self.known[..states], end.as_mut_slice());
            for ((h, s), moved) in history.iter_mut().zip(&*end).zip(&self.moved) {
                *h = s + LEAN * (moved - s);
            }
            let blocked = self.ports.blocked();
            if carried && !blocked {
                self.carry_blocked();
                self.carry_half();
            }
            self.stage(2 * step + 1)?;
            if carried {
                if blocked && self.ports.blocked() {
                    self.sensitivity.pending += 1;
                    let sums = self.sensitivity.slopes.iter_mut();
                    sums.zip(self.ports.slopes()).for_each(|(sum, slope)| *sum += slope);
                } else {
                    if blocked {
                        self.carry_blocked();
                        // where only iron conducts, its slope over half a step is left out
                        let s = &mut self.sensitivity;
                        self.states.product(&s.now, &mut s.half);
                        lean_back(&s.now, &mut s.half);
                    }
                    self.carry_whole();
                }
            }
            end.copy_from_slice(&self.moved[..states]);
            for (ever, amperes) in self.conducted.iter_mut().zip(self.ports.currents()) {
                *ever |= *amperes != 0.0;
            }
            record.extend_from_slice(&self.known);
            record.extend_from_slice(self.ports.currents());
        }
        if let Some(matrix) = sensitivity {
            self.carry_blocked();
            let now = &self.sensitivity.now;
            matrix.copy_from(&DMatrix::from_fn(states, states, |r, c| now.at(r, c)));
        }
        self.net.finite(end)
    }

    /// Whether each port conducted at the end of a step of the last cycle.
    pub fn conducted(&self) -> &[bool] {
        &self.conducted
    }

    /// How the mean of the states and of the ports' currents over the last cycle moves with its start, where its
    /// sensitivity was asked for.
    pub fn mean_shift(&self) -> Columns {
        let mut mean = self.sensitivity.sum.clone();
        mean.each_mut().flatten().for_each(|v| *v /= self.steps as f64);
        mean
    }

    /// One stage: history and sources in `known`, new states left in `moved`.
    fn stage(&mut self, index: usize) -> Result<(), CircuitError> {
        let (states, ports) = (self.net.states, self.net.ports);
        (self.known[states], self.known[states + 1]) = self.waves[index];
        let shapes = self.net.basis - PLAIN;
        self.known[states + PLAIN..].copy_from_slice(&self.shapes[index * shapes..][..shapes]);
        self.advance.times(&self.known, &mut self.moved);
        let (moved, open) = self.moved.split_at_mut(states);
        self.ports.solve(&open[..ports], index as f64 / (2 * self.steps) as f64)?;
        for (amperes, push) in self.ports.currents().iter().zip(self.push.each()) {
            if *amperes != 0.0 {
                add(moved, *amperes, push);
            }
        }
        Ok(())
    }

    /// Carries the sensitivity over the pending whole steps without a conducting port. Each has the same map, so its
    /// powers by repeated squaring spare most of the products.
    fn carry_blocked(&mut self) {
        let s = &mut self.sensitivity;
        let states = self.net.states;
        let mut left = std::mem::take(&mut s.pending);
        if left == 0 {
            return;
        }
        // the mean over such a stretch by its ends
        let half = 0.5 * left as f64;
        s.sum.add(&s.now, half);
        let mut one_stage = self.states.clone();
        for (p, slope) in s.slopes.iter_mut().enumerate().filter(|(_, slope)| **slope > 0.0) {
            let mean = std::mem::take(slope) / left as f64;
            s.blocked.clear();
            for (c, column) in one_stage.each_mut().enumerate() {
                add(column, mean * self.pull.at(c, p), self.push.column(p));
            }
        }
        let mut place = 0;
        while left > 0 {
            if s.blocked.len() == place {
                let mut next = Columns::zeros(states, states);
                match s.blocked.last() {
                    Some(last) => last.product(last, &mut next),
                    None => {
                        let mut one = Columns::zeros(states, states);
                        one.set_to_identity();
                        let mut history = one_stage.clone();
                        lean_back(&one, &mut history);
                        one_stage.product(&history, &mut next);
                    }
                }
                s.blocked.push(next);
            }
            if left % 2 == 1 {
                s.blocked[place].product(&s.now, &mut s.spare);
                std::mem::swap(&mut s.now, &mut s.spare);
            }
            left /= 2;
            place += 1;
        }
        s.sum.add(&s.now, half);
    }

    /// Carries the sensitivity to the history of the second stage.
    fn carry_half(&mut self) {
        let s = &mut self.sensitivity;
        self.states.product(&s.now, &mut s.half);
        let moves = (&self.pull, &self.push);
        through_ports(&mut self.ports, moves, &s.now, &mut s.half, &mut s.open, None);
        lean_back(&s.now, &mut s.half);
    }

    /// Carries it from there to the end of the step.
    fn carry_whole(&mut self) {
        let s = &mut self.sensitivity;
        self.states.product(&s.half, &mut s.now);
        let moves = (&self.pull, &self.push);
        let sum = Some(&mut s.sum);
        through_ports(&mut self.ports, moves, &s.half, &mut s.now, &mut s.open, sum);
        s.sum.add(&s.now, 1.0);
    }
}

/// Adds to `out` what the conducting ports make of `from`: `Φ·g·(1 − F·g)⁻¹·D·from`, with `pull` for D and `push` for Φ;
/// to `sum`, behind the states, their currents.
fn through_ports(
    ports: &mut Ports,
    (pull, push): (&Columns, &Columns),
    from: &Columns,
    out: &mut Columns,
    open: &mut [f64],
    mut sum: Option<&mut Columns>,
) {
    // without an answer here only the search direction is spoilt, never the answer
    let Some((active, gain)) = ports.gain() else {
        return;
    };
    let count = active.len();
    if count == 0 {
        return;
    }
    let states = pull.rows();
    for (c, (from, out)) in from.each().zip(out.each_mut()).enumerate() {
        for (volts, &p) in open.iter_mut().zip(active) {
            *volts = dot(pull.column(p), from);
        }
        for (gains, &p) in gain.chunks_exact(count).zip(active) {
            let amperes: f64 = gains.iter().zip(&*open).map(|(g, v)| g * v).sum();
            add(out, amperes, push.column(p));
            if let Some(sum) = &mut sum {
                sum.column_mut(c)[states + p] += amperes;
            }
        }
    }
}
