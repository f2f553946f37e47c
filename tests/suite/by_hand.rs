//! The supplies of `supply.rs` as ordinary differential equations written by hand, for a general-purpose
//! solver. Nothing of the circuit core is used here. Shared by the tests and the bench.
//!
//! With `e` the EMF of the primary, `n` the turns of a half, `u` the volts on the first capacitor and `i` the
//! current of the plate that conducts:
//!
//! `(v − e)/Rp = im + e/Rc + e Σ nh²/(rh + Rh) ± n i` and `± n e = u + r i + (i/P)^⅔`,
//!
//! solved at every instant; the plates never conduct together while `u > 0`. The negative end of the first
//! capacitor, the center tap, stands at `w = vB − u` against chassis, below it.

use crate::supply::Supply;
use mainsfit::circuit::Law;
use ode_solvers::{Dopri5, OutputType, SVector, System};
use std::f64::consts::{SQRT_2, TAU};

/// Everything left of the first capacitor, at one set of heater resistances.
#[derive(Clone, Copy)]
pub struct Front {
    peak: f64,
    omega: f64,
    ahead: f64,
    henries: f64,
    admittance: f64,
    turns: f64,
    half_ohms: f64,
    perveance: f64,
}

/// What the front does at one instant.
pub struct Instant {
    pub line_volts: f64,
    pub line_amps: f64,
    pub emf: f64,
    pub plate_amps: f64,
}

impl Front {
    pub fn new(supply: &Supply, heater_ohms: &[f64]) -> Front {
        let Law::ThreeHalves { perveance, .. } = supply.plate else {
            panic!("the equations are those of a vacuum rectifier");
        };
        let ahead = supply.primary + supply.dropper;
        let heaters = supply.heaters.iter().zip(heater_ohms);
        let load: f64 = heaters.map(|(h, ohms)| h.turns * h.turns / (h.copper + ohms)).sum();
        Front {
            peak: supply.line * SQRT_2,
            omega: TAU * supply.frequency,
            ahead,
            henries: supply.core_henries,
            admittance: 1.0 / ahead + 1.0 / supply.core_loss + load,
            turns: supply.half_turns,
            half_ohms: supply.half_ohms,
            perveance,
        }
    }

    pub fn at(&self, time: f64, magnetising: f64, first_volts: f64) -> Instant {
        let line_volts = self.peak * (self.omega * time).sin();
        let open = (line_volts / self.ahead - magnetising) / self.admittance;
        let surplus = self.turns * open.abs() - first_volts;
        let plate_amps = self.plate(surplus);
        let emf = open - open.signum() * self.turns * plate_amps / self.admittance;
        Instant { line_volts, line_amps: (line_volts - emf) / self.ahead, emf, plate_amps }
    }

    /// Plate current for `surplus` volts of the half winding over the capacitor: with `x` the root of the
    /// drop, `surplus = (r + n²/Y) P x³ + x²`, by Newton from above, where it cannot overshoot.
    fn plate(&self, surplus: f64) -> f64 {
        if surplus <= 0.0 {
            return 0.0;
        }
        let cubic = (self.half_ohms + self.turns * self.turns / self.admittance) * self.perveance;
        let mut x = surplus.sqrt();
        for _ in 0..100 {
            let miss = cubic * x * x * x + x * x - surplus;
            let step = miss / (3.0 * cubic * x * x + 2.0 * x);
            x -= step;
            if step.abs() <= 1e-15 * x.abs() {
                break;
            }
        }
        self.perveance * x * x * x
    }

    fn magnetising_slope(&self, emf: f64) -> f64 {
        emf / self.henries
    }
}

/// A periodic solution by Newton on the map of one cycle, its slopes by difference quotients.
///
/// `y` holds `states` states first and integrals after them; the integrals start at zero. Returns the start
/// of the cycle and its end, where the integrals stand.
pub fn periodic<const N: usize, S>(
    system: &S,
    period: f64,
    guess: SVector<f64, N>,
    states: usize,
    tolerance: f64,
) -> (SVector<f64, N>, SVector<f64, N>)
where
    S: System<f64, SVector<f64, N>> + Clone,
{
    let mut start = guess;
    for _ in 0..40 {
        let end = run(system, 0.0, period, start, tolerance);
        let miss = (0..states)
            .map(|i| (end[i] - start[i]).abs() / (1e-3 + start[i].abs()))
            .fold(0.0, f64::max);
        if miss < 1e3 * tolerance {
            return (start, end);
        }
        let mut matrix = nalgebra::DMatrix::<f64>::identity(states, states);
        for column in 0..states {
            let step = 1e-4 * (1e-2 + start[column].abs());
            let mut moved = start;
            moved[column] += step;
            let moved = run(system, 0.0, period, moved, tolerance);
            for row in 0..states {
                matrix[(row, column)] -= (moved[row] - end[row]) / step;
            }
        }
        let miss = nalgebra::DVector::from_fn(states, |i, _| end[i] - start[i]);
        let step = matrix.lu().solve(&miss).unwrap();
        for i in 0..states {
            start[i] += step[i];
        }
    }
    panic!("no periodic solution of the equations written by hand");
}

/// Integrates from `from` to `to` by the rule of Dormand and Prince of order five. (The rule of order eight in
/// version 0.6.2 of the crate evaluates driven equations at wrong instants: `y' = cos t` to 5 comes out 2e-4
/// off at a tolerance of 1e-6.)
pub fn run<const N: usize, S>(
    system: &S,
    from: f64,
    to: f64,
    start: SVector<f64, N>,
    tolerance: f64,
) -> SVector<f64, N>
where
    S: System<f64, SVector<f64, N>> + Clone,
{
    let mut solver = Dopri5::new(system.clone(), from, to, to - from, start, tolerance, tolerance);
    solver.set_output(OutputType::Sparse);
    solver.integrate().unwrap();
    *solver.y_out().last().unwrap()
}

/// The reference supply with a resistor on B+: magnetising current, first capacitor, coil current, second
/// capacitor; integrals of the two capacitors' volts.
#[derive(Clone)]
pub struct WithResistor {
    pub front: Front,
    pub supply: Supply,
    pub load: f64,
}

impl System<f64, SVector<f64, 6>> for WithResistor {
    fn system(&self, time: f64, y: &SVector<f64, 6>, dy: &mut SVector<f64, 6>) {
        let (first, coil, b_plus) = (y[1], y[2], y[3]);
        let now = self.front.at(time, y[0], first);
        let centre = b_plus - first;
        dy[0] = self.front.magnetising_slope(now.emf);
        dy[1] = (now.plate_amps - coil) / self.supply.first;
        dy[2] = (-centre - self.supply.coil_ohms * coil) / self.supply.coil_henries;
        dy[3] = (coil - b_plus / self.load) / self.supply.second;
        dy[4] = first;
        dy[5] = b_plus;
    }
}

/// A tube as `Ik = K (Vg1 + Vg2/µ)^1.5`.
#[derive(Clone, Copy)]
pub struct Tube {
    pub perveance: f64,
    pub mu: f64,
    pub plate_share: f64,
}

impl Tube {
    fn cathode(&self, grid: f64, screen: f64) -> f64 {
        self.perveance * (grid + screen / self.mu).max(0.0).powf(1.5)
    }
}

/// The set with tubes and back bias. States: magnetising current, first capacitor, coil current, B+,
/// screens, and the two grids, each behind a low-pass of 10 s. Then the integrals of [`INTEGRALS`].
#[derive(Clone)]
pub struct WithTubes {
    pub front: Front,
    pub supply: Supply,
    pub output: Tube,
    pub rf: Tube,
    /// Ohms from the center tap up to chassis.
    pub bias: [f64; 3],
    /// Ohms from B+ down to chassis, screens between.
    pub bleeder: [f64; 2],
    pub screen_bypass: f64,
    pub rest: f64,
}

/// States of [`WithTubes`].
pub const STATES: usize = 7;
/// Integrals kept beside them: first capacitor, B+, screens, the two taps, cathode currents of the output
/// tube and of both RF tubes, squares of EMF and line current, line power.
pub const INTEGRALS: usize = 10;

impl System<f64, SVector<f64, 17>> for WithTubes {
    fn system(&self, time: f64, y: &SVector<f64, 17>, dy: &mut SVector<f64, 17>) {
        let (first, coil, b_plus, screens) = (y[1], y[2], y[3], y[4]);
        let now = self.front.at(time, y[0], first);
        let centre = b_plus - first;
        let bias_amps = -centre / self.bias.iter().sum::<f64>();
        let rf_tap = -bias_amps * self.bias[2];
        let output_tap = rf_tap - bias_amps * self.bias[1];
        let output = self.output.cathode(y[5], b_plus);
        let rf = 2.0 * self.rf.cathode(y[6], screens);
        let bleeder = (b_plus - screens) / self.bleeder[0];
        let load = bleeder + b_plus / self.rest + output + rf * self.rf.plate_share;

        dy[0] = self.front.magnetising_slope(now.emf);
        dy[1] = (now.plate_amps - coil - bias_amps) / self.supply.first;
        dy[2] = (-centre - self.supply.coil_ohms * coil) / self.supply.coil_henries;
        dy[3] = (coil + bias_amps - load) / self.supply.second;
        let screen_amps = rf * (1.0 - self.rf.plate_share) + screens / self.bleeder[1];
        dy[4] = (bleeder - screen_amps) / self.screen_bypass;
        dy[5] = (output_tap - y[5]) / 10.0;
        dy[6] = (rf_tap - y[6]) / 10.0;
        let kept = [
            first,
            b_plus,
            screens,
            output_tap,
            rf_tap,
            output,
            rf,
            now.emf * now.emf,
            now.line_amps * now.line_amps,
            now.line_volts * now.line_amps,
        ];
        for (place, value) in kept.into_iter().enumerate() {
            dy[STATES + place] = value;
        }
    }
}
