//! One cycle of the line, stepped with a stiffly accurate diagonally implicit rule.
//!
//! Rule: Alexander, "Diagonally implicit Runge-Kutta methods for stiff O.D.E.'s", SIAM J. Numer.
//! Anal. 14 (1977), 1006-1021: two stages, order 2, γ = 1 − 1/√2, L-stable (from memory). All stages share
//! one matrix and the last stage is the new point, so algebraic unknowns are met exactly there and fast
//! modes die out instead of ringing as they would under the trapezoidal rule.

use super::error::CircuitError;
use super::reduce::{BASIS, Reduced};
use nalgebra::{DMatrix, DVector, Matrix2, Vector2};

/// γ of the two-stage rule: the diagonal coefficient and the time of the first stage.
pub(super) const GAMMA: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;

/// History of the second stage: `s + (1 − γ)/γ (s1 − s)`.
const LEAN: f64 = (1.0 - GAMMA) / GAMMA;

/// That history for the sensitivity, which at the first stage went from `before` to `after`; left in `after`.
fn lean_back(before: &DMatrix<f64>, after: &mut DMatrix<f64>) {
    for (a, b) in after.iter_mut().zip(before.iter()) {
        *a = b + LEAN * (*a - b);
    }
}

/// Newton rounds allowed for the port currents at one instant.
const PORT_ROUNDS: usize = 200;
/// Newton steps taken before one that leads away is halved.
const FREE_ROUNDS: usize = 12;
/// A control voltage counts as met within this many volts plus [`PORT_RELATIVE`] of its open value.
const PORT_TOLERANCE: f64 = 1e-9;
/// Rounding leaves about 1e-13 of the open voltage; two digits more are left for the factoring.
const PORT_RELATIVE: f64 = 1e-11;
/// The last digits of a port's own voltage, and of the sum that is to meet it. Where only a large insulation holds a node
/// (the floating side of a bridge) they are worth more than the two above.
const PORT_ROUNDING: f64 = 4.0 * f64::EPSILON;

/// Steps a reduced network through a cycle.
pub(super) struct Stepper<'r> {
    net: &'r Reduced,
    steps: usize,
    /// `[s_h, sin, cos, 1]`
    known: DVector<f64>,
    /// New states, then open control voltages.
    moved: DVector<f64>,
    control: Vec<f64>,
    current: Vec<f64>,
    slope: Vec<f64>,
    /// Error of each control voltage, then the step that is to mend it.
    miss: Vec<f64>,
    /// sin and cos at every stage, in order.
    waves: Vec<(f64, f64)>,
    /// Map of the states over 1, 2, 4, 8, … steps in which no port conducts; made when first wanted.
    blocked: Vec<DMatrix<f64>>,
    /// What each open control voltage takes from the states: a row of `advance` for each port.
    control_rows: Vec<f64>,
    /// Room for [`Stepper::carry`]: ports that conduct, their open control voltages, their gains by rows.
    active: Vec<usize>,
    open: Vec<f64>,
    gain: Vec<f64>,
}

impl<'r> Stepper<'r> {
    pub fn new(net: &'r Reduced, steps: usize) -> Self {
        let angle = std::f64::consts::TAU / steps as f64;
        let waves = (0..steps)
            .flat_map(|k| [(k as f64 + GAMMA) * angle, (k as f64 + 1.0) * angle])
            .map(f64::sin_cos)
            .collect();
        let mut known = DVector::zeros(net.states + BASIS);
        known[net.states + 2] = 1.0;
        Stepper {
            net,
            steps,
            known,
            moved: DVector::zeros(net.states + net.ports),
            control: vec![0.0; net.ports],
            current: vec![0.0; net.ports],
            slope: vec![0.0; net.ports],
            miss: vec![0.0; net.ports],
            waves,
            blocked: Vec::new(),
            control_rows: (0..net.ports)
                .flat_map(|p| (0..net.states).map(move |k| net.advance[(net.states + p, k)]))
                .collect(),
            active: Vec::with_capacity(net.ports),
            open: vec![0.0; net.ports],
            gain: Vec::new(),
        }
    }

    /// Steps once round from `start`, leaving the end state in `end`. With `sensitivity` the matrix
    /// d(end)/d(start) is left there; `record` receives every `z`.
    pub fn cycle(
        &mut self,
        start: &DVector<f64>,
        end: &mut DVector<f64>,
        mut sensitivity: Option<&mut DMatrix<f64>>,
        mut record: Option<&mut Vec<f64>>,
    ) -> Result<(), CircuitError> {
        let states = self.net.states;
        end.copy_from(start);
        if let Some(matrix) = sensitivity.as_deref_mut() {
            matrix.fill_with_identity();
        }
        let mut work = DMatrix::<f64>::zeros(states, states);
        let mut work2 = DMatrix::<f64>::zeros(states, states);
        // steps without a conducting port that the sensitivity has not been carried over yet
        let mut pending = 0;
        for step in 0..self.steps {
            self.known.rows_mut(0, states).copy_from(end);
            self.stage(2 * step)?;
            for i in 0..states {
                let s = end[i];
                self.known[i] = s + LEAN * (self.moved[i] - s);
            }
            let blocked = self.is_blocked();
            if let Some(matrix) = sensitivity.as_deref_mut()
                && !blocked
            {
                self.carry_blocked(matrix, &mut pending);
                self.carry(matrix, &mut work);
                lean_back(matrix, &mut work);
            }
            self.stage(2 * step + 1)?;
            if let Some(matrix) = sensitivity.as_deref_mut() {
                if blocked && self.is_blocked() {
                    pending += 1;
                } else {
                    if blocked {
                        self.carry_blocked(matrix, &mut pending);
                        work.gemm(
                            1.0,
                            &self.net.advance.view((0, 0), (states, states)),
                            matrix,
                            0.0,
                        );
                        lean_back(matrix, &mut work);
                    }
                    self.carry(&work, &mut work2);
                    matrix.copy_from(&work2);
                }
            }
            for i in 0..states {
                end[i] = self.moved[i];
            }
            if let Some(list) = record.as_deref_mut() {
                list.extend_from_slice(self.known.as_slice());
                list.extend_from_slice(&self.current);
            }
        }
        if let Some(matrix) = sensitivity {
            self.carry_blocked(matrix, &mut pending);
        }
        match end.iter().position(|v| !v.is_finite()) {
            Some(bad) => Err(CircuitError::NotFinite {
                state: self.net.shape.state_names[bad].clone(),
            }),
            None => Ok(()),
        }
    }

    /// One stage: history and sources in `known`, new states left in `moved`.
    fn stage(&mut self, index: usize) -> Result<(), CircuitError> {
        let net = self.net;
        let states = net.states;
        let (sin, cos) = self.waves[index];
        self.known[states] = sin;
        self.known[states + 1] = cos;
        self.moved.gemv(1.0, &net.advance, &self.known, 0.0);
        if net.ports > 0 {
            self.solve_ports(index)?;
            for port in 0..net.ports {
                let amperes = self.current[port];
                if amperes != 0.0 {
                    for i in 0..states {
                        self.moved[i] += net.feedback[(i, port)] * amperes;
                    }
                }
            }
        }
        Ok(())
    }

    /// Newton on `u = u_open + F·i(u)`, all ports together.
    fn solve_ports(&mut self, index: usize) -> Result<(), CircuitError> {
        let net = self.net;
        let (states, ports) = (net.states, net.ports);
        let open = |moved: &DVector<f64>, p: usize| moved[states + p];
        let mut worst = f64::INFINITY;
        // a law that saturates is not convex: there a Newton step may swing to and fro, and is halved until it does not
        let mut before = f64::INFINITY;
        let mut taken: Vec<f64> = Vec::new();
        let mut active: Vec<usize> = Vec::with_capacity(ports);
        let feed = |p: usize, q: usize| net.feedback[(states + p, q)];
        for round in 0..PORT_ROUNDS {
            active.clear();
            for p in 0..ports {
                let (i, g) = net.laws[p].current(self.control[p]);
                self.current[p] = i;
                self.slope[p] = g;
                if g > 0.0 {
                    active.push(p);
                }
            }
            worst = 0.0;
            let mut met = true;
            for p in 0..ports {
                let mut u = open(&self.moved, p);
                for &q in &active {
                    u += feed(p, q) * self.current[q];
                }
                let miss = u - self.control[p];
                if miss.abs() > PORT_TOLERANCE + PORT_RELATIVE * open(&self.moved, p).abs() {
                    let lost: f64 = active
                        .iter()
                        .map(|&q| {
                            let digits =
                                self.current[q].abs() + (self.slope[q] * self.control[q]).abs();
                            feed(p, q).abs() * digits
                        })
                        .sum();
                    met &= miss.abs() <= PORT_ROUNDING * lost;
                }
                worst = f64::max(worst, miss.abs());
                if !miss.is_finite() {
                    return Err(self.failed(index, round, worst));
                }
                self.miss[p] = miss;
            }
            if met {
                return Ok(());
            }
            if round >= FREE_ROUNDS && worst > before && !taken.is_empty() {
                for (control, step) in self.control.iter_mut().zip(&mut taken) {
                    *step *= 0.5;
                    *control -= *step;
                }
                continue;
            }
            before = worst;
            // d(current) of the conducting ports, so that the blocked ones move with them in the same step
            match active[..] {
                [] => {}
                [p] => {
                    self.miss[p] /= 1.0 - feed(p, p) * self.slope[p];
                }
                [p, q] => {
                    let jacobian = Matrix2::new(
                        1.0 - feed(p, p) * self.slope[p],
                        -feed(p, q) * self.slope[q],
                        -feed(q, p) * self.slope[p],
                        1.0 - feed(q, q) * self.slope[q],
                    );
                    let Some(delta) = jacobian
                        .lu()
                        .solve(&Vector2::new(self.miss[p], self.miss[q]))
                    else {
                        return Err(self.failed(index, round, worst));
                    };
                    self.miss[p] = delta[0];
                    self.miss[q] = delta[1];
                }
                _ => {
                    let count = active.len();
                    let jacobian = DMatrix::from_fn(count, count, |r, c| {
                        let unit = if r == c { 1.0 } else { 0.0 };
                        unit - feed(active[r], active[c]) * self.slope[active[c]]
                    });
                    let wanted = DVector::from_fn(count, |r, _| self.miss[active[r]]);
                    let Some(delta) = jacobian.lu().solve(&wanted) else {
                        return Err(self.failed(index, round, worst));
                    };
                    for (place, &p) in active.iter().enumerate() {
                        self.miss[p] = delta[place];
                    }
                }
            }
            let keep = round + 1 >= FREE_ROUNDS;
            taken.clear();
            for p in 0..ports {
                let mut step = self.miss[p];
                if self.slope[p] == 0.0 {
                    for &q in &active {
                        step += feed(p, q) * self.slope[q] * self.miss[q];
                    }
                }
                self.control[p] += step;
                if keep {
                    taken.push(step);
                }
            }
        }
        Err(self.failed(index, PORT_ROUNDS, worst))
    }

    fn failed(&self, stage: usize, iterations: usize, residual: f64) -> CircuitError {
        CircuitError::PortsNotConverged {
            at_fraction: stage as f64 / (2 * self.steps) as f64,
            iterations,
            residual,
        }
    }

    /// Whether no port conducts where the ports now stand.
    fn is_blocked(&self) -> bool {
        self.slope.iter().all(|g| *g <= 0.0)
    }

    /// Carries the sensitivity over `pending` whole steps without a conducting port. Each has the same map, so its
    /// powers by repeated squaring spare most of the products.
    fn carry_blocked(&mut self, matrix: &mut DMatrix<f64>, pending: &mut usize) {
        let states = self.net.states;
        let mut left = std::mem::take(pending);
        let mut place = 0;
        while left > 0 {
            if self.blocked.len() == place {
                let next = match self.blocked.last() {
                    Some(last) => last * last,
                    None => {
                        let stage = self.net.advance.view((0, 0), (states, states)).into_owned();
                        let mut history = stage.clone();
                        lean_back(&DMatrix::identity(states, states), &mut history);
                        stage * history
                    }
                };
                self.blocked.push(next);
            }
            if left % 2 == 1 {
                *matrix = &self.blocked[place] * &*matrix;
            }
            left /= 2;
            place += 1;
        }
    }

    /// `out = (A + Φ·g·(1 − F·g)⁻¹·D)·from`: the stage map linearised where the ports now stand.
    fn carry(&mut self, from: &DMatrix<f64>, out: &mut DMatrix<f64>) {
        let net = self.net;
        let (states, ports) = (net.states, net.ports);
        let a = net.advance.view((0, 0), (states, states));
        out.gemm(1.0, &a, from, 0.0);
        let slope = &self.slope;
        self.active.clear();
        self.active.extend((0..ports).filter(|&p| slope[p] > 0.0));
        let active = &self.active;
        let count = active.len();
        if count == 0 || states == 0 {
            return;
        }
        let feed = |r: usize, c: usize| net.feedback[(states + active[r], active[c])];
        // amperes of each active port for a volt at the open control of each: g·(1 − F·g)⁻¹
        self.gain.clear();
        if count == 1 {
            let g = slope[active[0]];
            self.gain.push(g / (1.0 - feed(0, 0) * g));
        } else {
            let jacobian = DMatrix::from_fn(count, count, |r, c| {
                let unit = if r == c { 1.0 } else { 0.0 };
                unit - feed(r, c) * slope[active[c]]
            });
            // a singular matrix here only spoils the search direction, never the answer
            let Some(inverse) = jacobian.try_inverse() else {
                return;
            };
            let by_row = (0..count).flat_map(|r| (0..count).map(move |c| (r, c)));
            self.gain
                .extend(by_row.map(|(r, c)| slope[active[r]] * inverse[(r, c)]));
        }
        let columns = from.as_slice().chunks_exact(states);
        for (from, out) in columns.zip(out.as_mut_slice().chunks_exact_mut(states)) {
            for (volts, &p) in self.open.iter_mut().zip(active) {
                let row = &self.control_rows[p * states..][..states];
                *volts = row.iter().zip(from).map(|(d, f)| d * f).sum();
            }
            for (r, &p) in active.iter().enumerate() {
                let gains = &self.gain[r * count..][..count];
                let amperes: f64 = gains.iter().zip(&self.open).map(|(g, v)| g * v).sum();
                let feedback = &net.feedback.as_slice()[p * (states + ports)..][..states];
                for (o, f) in out.iter_mut().zip(feedback) {
                    *o += amperes * f;
                }
            }
        }
    }
}
