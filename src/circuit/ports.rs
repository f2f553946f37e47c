//! The currents of the nonlinear branches at one instant.

use super::law::Law;
use super::reduce::Reduced;
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

/// Why no currents were found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct NotMet {
    pub rounds: usize,
    pub residual: f64,
}

/// Where every port of a network stands; the next instant starts from here.
pub(super) struct Ports {
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
        let feed = (0..count)
            .flat_map(|p| (0..count).map(move |q| net.feedback(net.states + p, q)))
            .collect();
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

    /// Newton on `u = u_open + F·i(u)`, all ports together; `open` has `u_open`.
    pub fn solve(&mut self, open: &[f64]) -> Result<(), NotMet> {
        if self.goes_on(open) { Ok(()) } else { self.solve_all(open) }
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
        let ports = self.laws.len();
        let on: [usize; N] = std::array::from_fn(|k| self.active[k]);
        let mut feed = [[0.0; N]; N];
        let (mut u, mut i, mut g) = ([0.0; N], [0.0; N], [0.0; N]);
        for (k, p) in on.into_iter().enumerate() {
            (u[k], i[k], g[k]) = (self.control[p], self.current[p], self.slope[p]);
            for (c, q) in on.into_iter().enumerate() {
                feed[k][c] = self.feed[p * ports + q];
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
                    matrix[r][c] = if r == c { 1.0 } else { 0.0 } - feed[r][c] * g[c];
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
        for r in (0..ports).filter(|r| !on.contains(r)) {
            let fed: f64 = on.iter().zip(&i).map(|(p, i)| self.feed[r * ports + p] * i).sum();
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

    /// The same, whatever conducts.
    fn solve_all(&mut self, open: &[f64]) -> Result<(), NotMet> {
        let ports = self.laws.len();
        let feed = |p: usize, q: usize| self.feed[p * ports + q];
        let mut worst = f64::INFINITY;
        // a law that saturates is not convex: there a Newton step may swing to and fro, and is halved until it does not
        let mut before = f64::INFINITY;
        self.taken.clear();
        if self.active.is_empty() {
            // the Newton step of ports that all block, without the round that would find it
            self.control.copy_from_slice(open);
        }
        for round in 0..ROUNDS {
            self.active.clear();
            for (p, law) in self.laws.iter().enumerate() {
                let (i, g) = law.current(self.control[p]);
                self.current[p] = i;
                self.slope[p] = g;
                if g > 0.0 {
                    self.active.push(p);
                }
            }
            worst = 0.0;
            let mut met = true;
            for (p, open) in open.iter().enumerate() {
                let mut u = *open;
                for &q in &self.active {
                    u += feed(p, q) * self.current[q];
                }
                let miss = u - self.control[p];
                if miss.abs() > TOLERANCE + RELATIVE * open.abs() {
                    let lost: f64 = self
                        .active
                        .iter()
                        .map(|&q| {
                            let digits =
                                self.current[q].abs() + (self.slope[q] * self.control[q]).abs();
                            feed(p, q).abs() * digits
                        })
                        .sum();
                    met &= miss.abs() <= ROUNDING * lost;
                }
                worst = f64::max(worst, miss.abs());
                if !miss.is_finite() {
                    return Err(NotMet { rounds: round, residual: worst });
                }
                self.miss[p] = miss;
            }
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
            // d(current) of the conducting ports, so that the blocked ones move with them in the same step
            let unit = |p, q| if p == q { 1.0 } else { 0.0 };
            let entry = |p: usize, q: usize| unit(p, q) - feed(p, q) * self.slope[q];
            let solved = match self.active[..] {
                [] => true,
                [p] => {
                    self.miss[p] /= entry(p, p);
                    true
                }
                [p, q] => {
                    let jacobian = Matrix2::new(entry(p, p), entry(p, q), entry(q, p), entry(q, q));
                    let wanted = Vector2::new(self.miss[p], self.miss[q]);
                    jacobian.lu().solve(&wanted).is_some_and(|delta| {
                        (self.miss[p], self.miss[q]) = (delta[0], delta[1]);
                        true
                    })
                }
                ref active => {
                    let count = active.len();
                    let jacobian =
                        DMatrix::from_fn(count, count, |r, c| entry(active[r], active[c]));
                    let wanted = DVector::from_fn(count, |r, _| self.miss[active[r]]);
                    jacobian.lu().solve(&wanted).is_some_and(|delta| {
                        for (&p, delta) in active.iter().zip(delta.iter()) {
                            self.miss[p] = *delta;
                        }
                        true
                    })
                }
            };
            if !solved {
                return Err(NotMet { rounds: round, residual: worst });
            }
            let keep = round + 1 >= FREE_ROUNDS;
            self.taken.clear();
            for p in 0..ports {
                let mut step = self.miss[p];
                if self.slope[p] == 0.0 {
                    for &q in &self.active {
                        step += feed(p, q) * self.slope[q] * self.miss[q];
                    }
                }
                self.control[p] += step;
                if keep {
                    self.taken.push(step);
                }
            }
        }
        Err(NotMet { rounds: ROUNDS, residual: worst })
    }

    /// The ports that conduct and, by rows, the amperes of each of them for a volt at the open control of each where
    /// they now stand: `g·(1 − F·g)⁻¹`. `None` where there is no such answer.
    pub fn gain(&mut self) -> Option<(&[usize], &[f64])> {
        let ports = self.laws.len();
        let (active, slope) = (&self.active, &self.slope);
        let feed = |p: usize, q: usize| self.feed[p * ports + q];
        self.gain.clear();
        match active[..] {
            [] => {}
            [p] => self.gain.push(slope[p] / (1.0 - feed(p, p) * slope[p])),
            ref active if active.len() == 2 => small_gain::<2>(active, slope, feed, &mut self.gain),
            ref active if active.len() == 3 => small_gain::<3>(active, slope, feed, &mut self.gain),
            ref active => {
                let count = active.len();
                let jacobian = DMatrix::from_fn(count, count, |r, c| {
                    let unit = if r == c { 1.0 } else { 0.0 };
                    unit - feed(active[r], active[c]) * slope[active[c]]
                });
                let inverse = jacobian.try_inverse()?;
                let by_row = (0..count).flat_map(|r| (0..count).map(move |c| (r, c)));
                self.gain.extend(by_row.map(|(r, c)| slope[active[r]] * inverse[(r, c)]));
            }
        }
        Some((active, &self.gain))
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

/// `g·(1 − F·g)⁻¹` of `N` ports, by rows, column by column of the unit matrix.
fn small_gain<const N: usize>(
    active: &[usize],
    slope: &[f64],
    feed: impl Fn(usize, usize) -> f64,
    gain: &mut Vec<f64>,
) {
    let on: [usize; N] = std::array::from_fn(|k| active[k]);
    let unit = |r: usize, c: usize| if r == c { 1.0 } else { 0.0 };
    let matrix: [[f64; N]; N] = std::array::from_fn(|r| {
        std::array::from_fn(|c| unit(r, c) - feed(on[r], on[c]) * slope[on[c]])
    });
    let columns: [[f64; N]; N] = std::array::from_fn(|c| {
        let mut column = std::array::from_fn(|r| unit(r, c));
        eliminate(&mut matrix.clone(), &mut column);
        column
    });
    gain.extend(
        (0..N).flat_map(|r| (0..N).map(move |c| (r, c))).map(|(r, c)| slope[on[r]] * columns[c][r]),
    );
}
