//! How the volts of sources, the currents of nonlinear branches and the iron of windings run.

use nalgebra::Complex;

/// How a source's volts run in time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wave {
    /// `peak · sin(2πft + phase)`, phase in radians.
    Sine {
        /// Peak volts.
        peak: f64,
        /// Phase in radians.
        phase: f64,
    },
    /// `peak · w(2πft + phase)` with `w(θ) = sin θ + Σ share·sin(order·θ + its phase)`, the harmonics those of
    /// [`Network::distort`](super::Network::distort).
    Distorted {
        /// Peak volts of the fundamental.
        peak: f64,
        /// Phase of the fundamental in radians.
        phase: f64,
    },
    /// Constant volts.
    Constant(f64),
}

/// One harmonic of a distorted source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Harmonic {
    /// Its frequency over the fundamental's.
    pub order: u32,
    /// Its peak over the fundamental's.
    pub share: f64,
    /// Its phase where the fundamental rises through zero, radians.
    pub phase: f64,
}

/// `w(θ)` of [`Wave::Distorted`] from `(sin θ, cos θ)`: sines of multiples are powers of one number.
pub fn distorted(harmonics: &[Harmonic]) -> impl Fn((f64, f64)) -> f64 {
    let above: Vec<(u32, Complex<f64>)> =
        harmonics.iter().map(|h| (h.order, Complex::from_polar(h.share, h.phase))).collect();
    move |(sin, cos)| {
        let turn = Complex::new(cos, sin);
        let (mut volts, mut at, mut multiple) = (sin, 1, turn);
        for &(order, share) in &above {
            if order < at {
                (at, multiple) = (1, turn);
            }
            multiple *= turn.powu(order - at);
            at = order;
            volts += (multiple * share).im;
        }
        volts
    }
}

/// The magnetizing current of a winding on iron: `i = linear·λ + power·|λ|^exponent·sign(λ)` of its flux linkage λ in
/// V·s, single-valued. Beyond the flux where that law is as steep as `1/air_henries` a straight line of that slope.
/// Without `power` it is a plain inductor of `1/linear` henries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Iron {
    /// A/(V·s).
    pub linear: f64,
    /// A/(V·s)^exponent.
    pub power: f64,
    /// Exponent of the steep part, 2 or more.
    pub exponent: i32,
    /// Inductance of the winding without its iron, H.
    pub air_henries: f64,
}

impl Iron {
    /// The steep part as a law of `scale` times the flux; `None` without one.
    pub(super) fn steep(self, scale: f64) -> Option<Law> {
        let Iron { linear, power, exponent, air_henries } = self;
        let slope = (1.0 / air_henries - linear) / (f64::from(exponent) * power);
        (power > 0.0).then(|| Law::Power {
            factor: power / scale.powi(exponent),
            exponent,
            bend: scale * slope.powf(1.0 / f64::from(exponent - 1)),
        })
    }
}

/// The current of a nonlinear branch as a function of its control voltage `u`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Law {
    /// Space charge: `i = perveance · max(u + offset, 0)^1.5` (Child 1911, Langmuir 1913).
    ThreeHalves {
        /// Perveance in A/V^1.5.
        perveance: f64,
        /// Volts added to the control voltage (contact potential and the like).
        offset: f64,
    },
    /// Space charge up to what the cathode emits: `i = s/√(1 + (s/limit)²)` with `s = perveance · max(u, 0)^1.5`.
    /// The smooth bend between the two is assumed. Where the network forces more than the limit there is no solution.
    Limited {
        /// Perveance in A/V^1.5.
        perveance: f64,
        /// Saturation current, A.
        limit: f64,
    },
    /// Conducts above a constant drop with a fixed resistance: `i = max(u − drop, 0)/resistance`.
    Drop {
        /// Forward drop in volts.
        volts: f64,
        /// Resistance once conducting, ohms.
        resistance: f64,
    },
    /// A junction with its bulk resistance: `i = (spread/resistance) · ln(1 + exp((u − threshold)/spread))`.
    /// Below the threshold that is the exponential of W. Shockley (1949), with `spread` for n·kT/q; above it the
    /// straight line of the bulk. The bend that joins them is smooth.
    Junction {
        /// Volts at which the line of the bulk would begin.
        threshold: f64,
        /// n·kT/q, volts.
        spread: f64,
        /// Bulk resistance, ohms.
        resistance: f64,
    },
    /// `i = factor·|u|^exponent·sign(u)`, beyond ±`bend` the tangent there.
    Power {
        /// A/V^exponent.
        factor: f64,
        /// Exponent.
        exponent: i32,
        /// Volts beyond which it is a straight line.
        bend: f64,
    },
}

/// Exponents below which a junction's current is taken as none: e⁻³⁰ is 1e-13.
const JUNCTION_OFF: f64 = -30.0;

/// `x^n`; the eighth, which iron asks for at every instant, without a loop.
#[inline]
fn power(x: f64, n: i32) -> f64 {
    if n == 8 {
        let fourth = (x * x) * (x * x);
        fourth * fourth
    } else {
        x.powi(n)
    }
}

impl Law {
    /// Current in amperes and its slope in siemens at control voltage `u` (volts).
    #[inline]
    pub fn current(self, u: f64) -> (f64, f64) {
        match self {
            Law::ThreeHalves { perveance, offset } => {
                let drive = u + offset;
                if drive <= 0.0 {
                    (0.0, 0.0)
                } else {
                    let root = drive.sqrt();
                    (perveance * drive * root, 1.5 * perveance * root)
                }
            }
            Law::Limited { perveance, limit } => {
                let drive = u.max(0.0);
                let free = perveance * drive * drive.sqrt();
                let below = 1.0 / (free / limit).hypot(1.0);
                let slope = 1.5 * perveance * drive.sqrt();
                (free * below, slope * below.powi(3))
            }
            Law::Drop { volts, resistance } => {
                let drive = u - volts;
                if drive <= 0.0 { (0.0, 0.0) } else { (drive / resistance, 1.0 / resistance) }
            }
            Law::Power { factor, exponent, bend } => {
                let within = u.abs().min(bend);
                let below = factor * power(within, exponent - 1);
                let slope = f64::from(exponent) * below;
                ((below * within + slope * (u.abs() - within)).copysign(u), slope)
            }
            Law::Junction { threshold, spread, resistance } => {
                let x = (u - threshold) / spread;
                if x <= JUNCTION_OFF {
                    return (0.0, 0.0);
                }
                // ln(1 + eˣ) without overflow
                let bend = x.max(0.0) + (-x.abs()).exp().ln_1p();
                let share = 1.0 / (1.0 + (-x).exp());
                (bend * spread / resistance, share / resistance)
            }
        }
    }
}
