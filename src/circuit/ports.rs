//! The currents of the nonlinear branches at one instant.

use super::{dense::unit, error::CircuitError, law::Law, reduce::Reduced};
use nalgebra::{DMatrix, DVector, Matrix2, Vector2};

/// Newton rounds allowed for the port currents at one instant.
const ROUNDS: usize = 200;
/// Newton steps taken before one that leads away is halved.
const FREE_ROUNDS: usize = 12;
/// A control voltage counts as met within this many volts plus [`RELATIVE`] of its open value.
const TOLERANCE: f64 = 1e-9;
/// Rounding leaves about 1e-13 of the open voltage; two digits more are left for the factoring.
const RELATIVE: f64 = 1e-11;
/// The last digits of a port's own voltage, and of the sum that is to meet it. Where only a large insulation holds a node
/// (the floating side of a bridge) they are worth more than the two above.
const ROUNDING: f64 = 4.0 * f64::EPSILON;

/// A Newton step of a share of a control leaves the square of that share, since laws bend over some such volts: here 1e-7,
/// and of so many volts less than [`TOLERANCE`].
const SMALL_STEP: (f64, f64) = (3e-4, 1e-5);

/// Where every port of a network stands; the next instant starts from here.
pub struct Ports {
    laws: Vec<Law>,
    /// Control voltage of each port for an ampere of each, by rows.
    feed: Vec<f64>,
    control: Vec<f64>,
    current: Vec<f64>,
    slope: Vec<f64>,
    /// Error of each control voltage, then the step that is to mend it.
    miss: Vec<f64>,
    /// The last step of each control voltage, kept once steps may have to be halved.
    taken: Vec<f64>,
    /// Ports that conduct.
    active: Vec<usize>,
    /// Amperes of each of those for a volt at the open control of each, by rows.
    gain: Vec<f64>,
}

impl Ports {
    pub fn new(net: &Reduced) -> Ports {
        let count = net.ports;
        let rows = net.states..net.states + count;
        let feed = rows.flat_map(|row| &net.advance.row(row)[net.known()..]).copied().collect();
        Ports {
            laws: net.laws.clone(),
            feed,
            control: vec![0.0; count],
            current: vec![0.0; count],
            slope: vec![0.0; count],
            miss: vec![0.0; count],
            taken: Vec::with_capacity(count),
            active: Vec::with_capacity(count),
            gain: Vec::new(),
        }
    }

    /// Amperes of each port.
    pub fn currents(&self) -> &[f64] {
        &self.current
    }

    /// Whether no port conducts where they now stand but iron, whose slope changes little from step to step.
    pub fn blocked(&self) -> bool {
        self.active.iter().all(|&p| matches!(self.laws[p], Law::Power { .. }))
    }

    /// Siemens of each port.
    pub fn slopes(&self) -> &[f64] {
        &self.slope
    }

    /// Newton on `u = u_open + F·i(u)`, all ports together; `open` has `u_open`, at that share of the cycle.
    pub fn solve(&mut self, open: &[f64], at_fraction: f64) -> Result<(), CircuitError> {
        if self.goes_on(open) {
            return Ok(());
        }
        self.solve_all(open).map_err(|(iterations, residual)| CircuitError::PortsNotConverged {
            at_fraction,
            iterations,
            residual,
        })
    }

    /// Whether the ports that conducted last, four at most, and no others conduct here too; then they are solved.
    fn goes_on(&mut self, open: &[f64]) -> bool {
        match self.active.len() {
            0 => {
                let mut laws = self.laws.iter().zip(open);
                let blocked = laws.all(|(law, open)| law.current(*open) == (0.0, 0.0));
                if blocked {
                    self.control.copy_from_slice(open);
                }
                blocked
            }
            1 => self.go_on::<1>(open),
            2 => self.go_on::<2>(open),
            3 => self.go_on::<3>(open),
            4 => self.go_on::<4>(open),
            _ => false,
        }
    }

    /// The same for `N` ports that conducted.
    fn go_on<const N: usize>(&mut self, open: &[f64]) -> bool {
        let on: [usize; N] = std::array::from_fn(|k| self.active[k]);
        let mut feed = [[0.0; N]; N];
        let (mut u, mut i, mut g) = ([0.0; N], [0.0; N], [0.0; N]);
        for (k, p) in on.into_iter().enumerate() {
            (u[k], i[k], g[k]) = (self.control[p], self.current[p], self.slope[p]);
            for (c, q) in on.into_iter().enumerate() {
                feed[k][c] = self.feed(p, q);
            }
        }
        let mut met = false;
        for round in 0..FREE_ROUNDS {
            // the first step goes from the slopes of the last instant
            if round > 0 {
                for k in 0..N {
                    (i[k], g[k]) = self.laws[on[k]].current(u[k]);
                    if g[k] <= 0.0 {
                        return false;
                    }
                }
            }
            let mut step = [0.0; N];
            let mut matrix = [[0.0; N]; N];
            for r in 0..N {
                step[r] = open[on[r]] - u[r];
                for c in 0..N {
                    step[r] += feed[r][c] * i[c];
                    matrix[r][c] = unit(r, c) - feed[r][c] * g[c];
                }
            }
            eliminate(&mut matrix, &mut step);
            let mut small = true;
            for k in 0..N {
                u[k] += step[k];
                small &= step[k].abs() <= SMALL_STEP.0 * u[k].abs() + SMALL_STEP.1;
            }
            if round > 0 && small {
                for k in 0..N {
                    i[k] += g[k] * step[k];
                }
                met = true;
                break;
            }
        }
        // the last step may lead over the corner where a rectifier ends: behind milliohms that is a current
        let sound = |(p, i): (&usize, &f64)| {
            *i >= 0.0 || (*i < 0.0 && matches!(self.laws[*p], Law::Power { .. }))
        };
        if !met || !on.iter().zip(&i).all(sound) {
            return false;
        }
        for r in (0..self.laws.len()).filter(|r| !on.contains(r)) {
            let fed: f64 = on.iter().zip(&i).map(|(&p, i)| self.feed(r, p) * i).sum();
            let at = open[r] + fed;
            if self.laws[r].current(at) != (0.0, 0.0) {
                return false;
            }
            self.control[r] = at;
        }
        for (k, p) in on.into_iter().enumerate() {
            (self.control[p], self.current[p], self.slope[p]) = (u[k], i[k], g[k]);
        }
        true
    }

    /// The same, whatever conducts; else the rounds spent and the largest error that is left, V.
    fn solve_all(&mut self, open: &[f64]) -> Result<(), (usize, f64)> {
        // a law that saturates is not convex: there a Newton step may swing to and fro, and is halved until it does not
        let (mut before, mut worst) = (f64::INFINITY, f64::INFINITY);
        self.taken.clear();
        if self.active.is_empty() {
            // the Newton step of ports that all block, without the round that would find it
            self.control.copy_from_slice(open);
        }
        for round in 0..ROUNDS {
            self.conduct();
            let met;
            (met, worst) = self.misses(open).map_err(|worst| (round, worst))?;
            if met {
                return Ok(());
            }
            if round >= FREE_ROUNDS && worst > before && !self.taken.is_empty() {
                for (control, step) in self.control.iter_mut().zip(&mut self.taken) {
                    *step *= 0.5;
                    *control -= *step;
                }
                continue;
            }
            before = worst;
            self.mend().ok_or((round, worst))?;
            self.step(round + 1 >= FREE_ROUNDS);
        }
        Err((ROUNDS, worst))
    }

    /// What the laws make of the control voltages.
    fn conduct(&mut self) {
        self.active.clear();
        for (p, law) in self.laws.iter().enumerate() {
            (self.current[p], self.slope[p]) = law.current(self.control[p]);
            if self.slope[p] > 0.0 {
                self.active.push(p);
            }
        }
    }

    /// Whether the control voltages are met, and by how much they are missed at most, V; as an error where one is missed
    /// by no number.
    fn misses(&mut self, open: &[f64]) -> Result<(bool, f64), f64> {
        let (mut met, mut worst) = (true, 0.0);
        for (p, open) in open.iter().enumerate() {
            let mut u = *open;
            for &q in &self.active {
                u += self.feed(p, q) * self.current[q];
            }
            let miss = u - self.control[p];
            if miss.abs() > TOLERANCE + RELATIVE * open.abs() {
                let lost = |&q: &usize| {
                    let digits = self.current[q].abs() + (self.slope[q] * self.control[q]).abs();
                    self.feed(p, q).abs() * digits
                };
                met &= miss.abs() <= ROUNDING * self.active.iter().map(lost).sum::<f64>();
            }
            worst = f64::max(worst, miss.abs());
            if !miss.is_finite() {
                return Err(worst);
            }
            self.miss[p] = miss;
        }
        Ok((met, worst))
    }

    /// Makes the misses of the conducting ports the Newton steps of their control voltages: d(current) of these, so that
    /// the blocked ones move with them in the same step. `None` where there is no such step.
    fn mend(&mut self) -> Option<()> {
        match self.active[..] {
            [] => {}
            [p] => self.miss[p] /= self.entry(p, p),
            [p, q] => {
                let (above, below) = (self.entry(p, q), self.entry(q, p));
                let jacobian = Matrix2::new(self.entry(p, p), above, below, self.entry(q, q));
                let step = jacobian.lu().solve(&Vector2::new(self.miss[p], self.miss[q]))?;
                (self.miss[p], self.miss[q]) = (step[0], step[1]);
            }
            ref active => {
                let wanted = DVector::from_fn(active.len(), |r, _| self.miss[active[r]]);
                let step = self.jacobian().lu().solve(&wanted)?;
                for (&p, step) in active.iter().zip(step.iter()) {
                    self.miss[p] = *step;
                }
            }
        }
        Some(())
    }

    /// Moves the control voltages by their steps, which are kept where they may have to be halved.
    fn step(&mut self, keep: bool) {
        self.taken.clear();
        for p in 0..self.laws.len() {
            let mut step = self.miss[p];
            if self.slope[p] == 0.0 {
                for &q in &self.active {
                    step += self.feed(p, q) * self.slope[q] * self.miss[q];
                }
            }
            self.control[p] += step;
            if keep {
                self.taken.push(step);
            }
        }
    }

    /// Volts at the control of `p` for an ampere of `q`.
    fn feed(&self, p: usize, q: usize) -> f64 {
        self.feed[p * self.laws.len() + q]
    }

    /// `1 − F·g`.
    fn entry(&self, p: usize, q: usize) -> f64 {
        unit(p, q) - self.feed(p, q) * self.slope[q]
    }

    /// That of all ports that conduct.
    fn jacobian(&self) -> DMatrix<f64> {
        let (on, count) = (&self.active, self.active.len());
        DMatrix::from_fn(count, count, |r, c| self.entry(on[r], on[c]))
    }

    /// The ports that conduct and, by rows, the amperes of each of them for a volt at the open control of each where
    /// they now stand: `g·(1 − F·g)⁻¹`. `None` where there is no such answer.
    pub fn gain(&mut self) -> Option<(&[usize], &[f64])> {
        self.gain.clear();
        match self.active[..] {
            [] => {}
            [p] => self.gain.push(self.slope[p] / self.entry(p, p)),
            [_, _] => self.gain.extend(self.small_gain::<2>().as_flattened()),
            [_, _, _] => self.gain.extend(self.small_gain::<3>().as_flattened()),
            ref active => {
                let inverse = self.jacobian().try_inverse()?;
                for (r, &p) in active.iter().enumerate() {
                    self.gain.extend(inverse.row(r).iter().map(|v| self.slope[p] * v));
                }
            }
        }
        Some((&self.active, &self.gain))
    }

    /// That of `N` ports, by rows, column by column of the unit matrix.
    fn small_gain<const N: usize>(&self) -> [[f64; N]; N] {
        let on: [usize; N] = std::array::from_fn(|k| self.active[k]);
        let matrix: [[f64; N]; N] =
            std::array::from_fn(|r| std::array::from_fn(|c| self.entry(on[r], on[c])));
        let columns: [[f64; N]; N] = std::array::from_fn(|c| {
            let mut column = std::array::from_fn(|r| unit(r, c));
            eliminate(&mut matrix.clone(), &mut column);
            column
        });
        std::array::from_fn(|r| std::array::from_fn(|c| self.slope[on[r]] * columns[c][r]))
    }
}

/// Solves `matrix·x = right` in place. Ports pull their controls down, so that the diagonal holds and no pivot is sought.
fn eliminate<const N: usize>(matrix: &mut [[f64; N]; N], right: &mut [f64; N]) {
    for k in 0..N {
        let inverse = 1.0 / matrix[k][k];
        let row = matrix[k];
        for r in k + 1..N {
            let factor = matrix[r][k] * inverse;
            for (entry, above) in matrix[r].iter_mut().zip(&row).skip(k + 1) {
                *entry -= factor * above;
            }
            right[r] -= factor * right[k];
        }
    }
    for k in (0..N).rev() {
        for c in k + 1..N {
            right[k] -= matrix[k][c] * right[c];
        }
        right[k] /= matrix[k][k];
    }
}
