//! The iron of the mains transformer, from what it takes at no load.
//!
//! Magnetizing current `i = a·λ + b·λⁿ`, odd and single-valued, with λ the flux linkage of the primary; the loss by its
//! watts, in parallel. For a sine of crest Λ the mean square of the current is `(aΛ)²·h(q)` with `q = b·Λⁿ⁻¹/a` and
//! `h(q) = ½ + 2q·m(n+1) + q²·m(2n)`, m(k) the mean of sinᵏ. A single-valued current carries no power, so that it and the
//! loss current stand at right angles whatever its waveform: `I² = Im² + Ic²` at the EMF.

use super::{Model, Primary, Result, error::flaw, shown};
use crate::circuit::Iron;
use nalgebra::Complex;
use std::f64::consts::{SQRT_2, TAU};

/// Exponent of the steep part where readings do not tell: among 5 to 13 the one that lies among the magnetization curves
/// of period grades of sheet (Metals Handbook, DC curves of M-14 to M-43 †).
pub const EXPONENT: i32 = 9;
/// Those that three readings choose from.
const EXPONENTS: [i32; 5] = [5, 7, 9, 11, 13];
/// Share of the crest current on the design line that the steep part carries, where nothing is known: iron run at 1.2 T;
/// from 0.3 at 1.1 T to 0.7 at 1.3 T (the same curves, joints flattening them †).
pub const KNEE: f64 = 0.5;
/// How far that may be off, as a share.
pub(super) const KNEE_SPREAD: f64 = 0.4;
/// How far the knee that two or more readings give may be off: the choice of the exponent costs 12 % of the current some
/// 10 V above them, which is about a fifth of the knee.
pub(super) const KNEE_READ_SPREAD: f64 = 0.2;
/// Flux over that of the design line up to which the law is followed; from there on its slope stands: the coil without
/// iron, 10 to 20 mH for a primary of 115 V and 50 W (reasoned from its turns and size). Figures there are a guess.
pub const LAW_TO: f64 = 1.5;

/// Mean of sinᵏ over a cycle, k even: (k−1)!!/k!!.
fn mean_of_power(k: i32) -> f64 {
    (1..=k / 2).map(|j| f64::from(2 * j - 1) / f64::from(2 * j)).product()
}

/// Mean square of the current over that of the linear part's crest.
fn mean_square(q: f64, n: i32) -> f64 {
    0.5 + 2.0 * q * mean_of_power(n + 1) + q * q * mean_of_power(2 * n)
}

/// The law of a core that takes `amps` RMS of magnetizing current at a sine of crest `flux` (V·s), of whose crest the
/// steep part carries the share `knee`.
pub fn law(amps: f64, flux: f64, knee: f64, exponent: i32) -> Iron {
    let q = knee / (1.0 - knee);
    let linear = amps / (flux * mean_square(q, exponent).sqrt());
    let power = linear * q / flux.powi(exponent - 1);
    let slope = linear + f64::from(exponent) * power * (LAW_TO * flux).powi(exponent - 1);
    Iron { linear, power, exponent, air_henries: 1.0 / slope }
}

/// RMS of the magnetizing current at a sine of crest `flux`.
fn rms(iron: Iron, flux: f64) -> f64 {
    let q = iron.power * flux.powi(iron.exponent - 1) / iron.linear;
    iron.linear * flux * mean_square(q, iron.exponent).sqrt()
}

/// Crest of the flux for a sinusoidal EMF, V·s.
pub fn flux(emf: f64, frequency: f64) -> f64 {
    SQRT_2 * emf / (TAU * frequency)
}

/// A no-load reading, SI.
#[derive(Debug, Clone, Copy)]
pub(super) struct Idle {
    pub volts: f64,
    pub amps: f64,
    pub watts: Option<f64>,
    pub frequency: f64,
}

/// A reading behind the copper: EMF, magnetizing and loss current.
#[derive(Debug, Clone, Copy)]
struct Reduced {
    emf: f64,
    flux: f64,
    magnetizing: f64,
    loss_siemens: f64,
}

/// Repetitions in which a reading is reduced: each gains more than a digit, copper dropping a few per cent.
const ROUNDS: usize = 30;

impl Idle {
    /// Behind `ohms` of copper: V² = (E + R·Ic)² + (R·Im)². Loss by its watts, or by `loss_siemens`.
    fn reduced(self, ohms: f64, loss_siemens: Option<f64>) -> Option<Reduced> {
        let Idle { volts, amps, watts, frequency } = self;
        let mut emf = volts;
        let mut magnetizing = 0.0;
        let mut loss = 0.0;
        for _ in 0..ROUNDS {
            loss = match (watts, loss_siemens) {
                (Some(watts), _) => (watts - amps * amps * ohms) / emf,
                (None, siemens) => siemens? * emf,
            };
            magnetizing = (amps * amps - loss * loss).sqrt();
            emf = (volts * volts - (ohms * magnetizing).powi(2)).sqrt() - ohms * loss;
        }
        let sound = loss > 0.0 && magnetizing > 0.0 && emf > 0.0;
        let flux = flux(emf, frequency);
        sound.then_some(Reduced { emf, flux, magnetizing, loss_siemens: loss / emf })
    }
}

/// Where the key of the readings stands.
const KEY: &str = "transformer.primary.no_load";

/// What readings of a variac make of a primary: amperes and watts on the design line of that frequency, knee and
/// exponent. One reading leaves the `knee`; two give it; of three or more the others choose the exponent.
///
/// # Errors
/// Readings that no core and copper can give, with what to read again.
pub(super) fn of_readings(
    readings: &[Idle],
    (ohms, knee): (f64, f64),
    (line, frequency): (f64, f64),
) -> Result<Primary> {
    let beyond = |i: &Idle| {
        let (amps, volts) = (shown(i.amps, "A"), shown(i.volts, "V"));
        flaw(
            format!("no transformer with this primary takes {amps} at {volts}"),
            KEY,
            "check volts, amperes and watts of that reading, taken with every load off, and the primary's resistance",
        )
    };
    // watts that some readings have stand for all: the loss goes with the square of the EMF
    let with_watts: Vec<Reduced> = readings
        .iter()
        .filter(|r| r.watts.is_some())
        .map(|r| r.reduced(ohms, None).ok_or_else(|| beyond(r)))
        .collect::<Result<_, _>>()?;
    let siemens = match with_watts.len() {
        0 => {
            let far = |r: &&Idle| (r.volts / r.frequency * frequency / line).ln().abs();
            let nearest = readings.iter().min_by(|a, b| far(a).total_cmp(&far(b)));
            let assumed = nearest.and_then(|r| {
                let watts = Some(IDLE_POWER_FACTOR * r.volts * r.amps);
                Idle { watts, ..*r }.reduced(ohms, None)
            });
            assumed.map_or(0.0, |r| r.loss_siemens)
        }
        count => with_watts.iter().map(|r| r.loss_siemens).sum::<f64>() / count as f64,
    };
    let mut points: Vec<Reduced> = readings
        .iter()
        .map(|r| r.reduced(ohms, Some(siemens)).ok_or_else(|| beyond(r)))
        .collect::<Result<_, _>>()?;
    points.sort_by(|a, b| a.flux.total_cmp(&b.flux));
    let (iron, exponent) = match points[..] {
        [one] => (by_knee(one, knee, siemens, (ohms, line, frequency)), EXPONENT),
        [low, .., high] => steepest_fit(&points, (low, high)).ok_or_else(|| {
            flaw(
                "these no-load currents do not rise as iron's do",
                KEY,
                "take them again, some 15 to 25 V apart, every load off, stepping the variac down to each",
            )
        })?,
        [] => {
            return Err(flaw("no reading in the list", KEY, "write one, or leave the key out"));
        }
    };
    let design = at_line(iron, siemens, (ohms, line, frequency));
    let crest = iron.linear * design.flux + iron.power * design.flux.powi(exponent);
    let loss = siemens * design.emf;
    let amps = design.magnetizing.hypot(loss);
    Ok(Primary {
        resistance: ohms,
        no_load_amps: amps,
        no_load_watts: loss * design.emf + amps * amps * ohms,
        knee: iron.power * design.flux.powi(exponent) / crest,
        exponent,
    })
}

/// The law of one reading, of whose crest on the design line the steep part carries the share `knee`.
fn by_knee(one: Reduced, knee: f64, siemens: f64, design: (f64, f64, f64)) -> Iron {
    let mut share = knee;
    let mut iron = law(one.magnetizing, one.flux, share, EXPONENT);
    for _ in 0..ROUNDS {
        let ratio = one.flux / at_line(iron, siemens, design).flux;
        let q = knee / (1.0 - knee) * ratio.powi(EXPONENT - 1);
        share = q / (1.0 + q);
        iron = law(one.magnetizing, one.flux, share, EXPONENT);
    }
    iron
}

/// Power factor of a transformer at no load where no watts are known (0.3 to 0.5 is usual; common practice, no source).
pub(super) const IDLE_POWER_FACTOR: f64 = 0.4;

/// A core at no load behind `ohms` on a `line`.
fn at_line(iron: Iron, siemens: f64, (ohms, line, frequency): (f64, f64, f64)) -> Reduced {
    let mut emf = line;
    let mut magnetizing = 0.0;
    for _ in 0..ROUNDS {
        magnetizing = rms(iron, flux(emf, frequency));
        let through = (line * line - (ohms * magnetizing).powi(2)).max(0.0).sqrt();
        emf = through / (1.0 + ohms * siemens);
    }
    Reduced { emf, flux: flux(emf, frequency), magnetizing, loss_siemens: siemens }
}

/// Amperes that the primary takes with every load off on `volts`, true RMS.
///
/// # Errors
/// No-load figures that contradict the copper.
pub fn no_load_amps(model: &Model, volts: f64) -> Result<f64> {
    let Core { iron, loss_ohms, .. } = core(model)?;
    let at = at_line(iron, 1.0 / loss_ohms, (model.primary.resistance, volts, model.frequency));
    Ok(at.magnetizing.hypot(at.loss_siemens * at.emf))
}

/// The law through the lowest and the highest reading that is nearest to those between.
fn steepest_fit(points: &[Reduced], (low, high): (Reduced, Reduced)) -> Option<(Iron, i32)> {
    let between = &points[1..points.len() - 1];
    let tried = if between.is_empty() { &[EXPONENT][..] } else { &EXPONENTS[..] };
    let fits = tried.iter().filter_map(|n| {
        let iron = through(low, high, *n)?;
        let miss = |p: &Reduced| (rms(iron, p.flux) / p.magnetizing).ln().powi(2);
        Some((iron, *n, between.iter().map(miss).sum::<f64>()))
    });
    fits.min_by(|a, b| a.2.total_cmp(&b.2)).map(|(iron, n, _)| (iron, n))
}

/// The law of exponent `n` that gives both readings: `h(q·rⁿ⁻¹)·r²/h(q) = (Im2/Im1)²` by bisection, r the ratio of their
/// flux. There is one where the current rises with a power of the flux between 1 and n.
fn through(low: Reduced, high: Reduced, n: i32) -> Option<Iron> {
    let r = high.flux / low.flux;
    let wanted = (high.magnetizing / low.magnetizing).powi(2);
    let rise = |q: f64| mean_square(q * r.powi(n - 1), n) * r * r / mean_square(q, n);
    let (mut least, mut most) = (1e-9_f64, 1e9_f64);
    // a shade below proportion is a meter's error: iron that does not saturate
    let proportion = wanted / (r * r);
    if r < APART || !(1.0 - METERS..=rise(most) / (r * r)).contains(&proportion) {
        return None;
    }
    for _ in 0..200 {
        let q = (least * most).sqrt();
        if rise(q) < wanted { least = q } else { most = q }
    }
    let q = if proportion <= 1.0 { 0.0 } else { least };
    Some(law(low.magnetizing, low.flux, q / (1.0 + q), n))
}

/// Ratio of flux of two readings below which they tell nothing of a knee beside a meter's error.
const APART: f64 = 1.03;
/// What the meters may make of the ratio of two readings, as a share of its square.
const METERS: f64 = 0.06;

/// Core of the transformer: loss resistance and magnetizing law in parallel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Core {
    /// Loss resistance, Ω.
    pub loss_ohms: f64,
    /// Magnetizing current by the flux linkage of the primary.
    pub iron: Iron,
    /// EMF over line volts at no load, at the design line.
    pub no_load_ratio: f64,
}

impl Core {
    /// What stands where there is no iron; it matters to nothing.
    pub(super) const NONE: Core = Core {
        loss_ohms: 1.0,
        iron: Iron { linear: 1.0, power: 0.0, exponent: 1, air_henries: 1.0 },
        no_load_ratio: 1.0,
    };

    /// As seen from `turns` times the turns: ohms and henries go with their square.
    pub(super) fn seen_from(&self, turns: f64) -> Core {
        let squared = turns * turns;
        let iron = Iron {
            linear: self.iron.linear / squared,
            power: self.iron.power / turns.powi(self.iron.exponent + 1),
            air_henries: squared * self.iron.air_henries,
            ..self.iron
        };
        Core { loss_ohms: squared * self.loss_ohms, iron, ..*self }
    }
}

/// Loss resistance and magnetizing law from no-load amperes and watts at the design line.
///
/// The primary copper is taken off first: `E = V − I·R1`, then `Y = I/E = 1/Rc + 1/(jωLm)`.
pub(super) fn core(model: &Model) -> Result<Core> {
    if model.string.is_some() {
        // no iron; never read
        return Ok(Core::NONE);
    }
    let (v, p) = (model.design_line, model.primary);
    let real = p.no_load_watts / v;
    let key = "transformer.primary.no_load_power";
    let (amps, watts) = (shown(p.no_load_amps, "A"), shown(p.no_load_watts, "W"));
    if real >= p.no_load_amps {
        return Err(flaw(
            format!("{watts} at no load is more than {} times {amps}", shown(v, "V")),
            key,
            "watts are less than volts times amperes: check both readings, taken with every load off",
        ));
    }
    let idle = Complex::new(real, -(p.no_load_amps * p.no_load_amps - real * real).sqrt());
    let emf = Complex::new(v, 0.0) - idle * p.resistance;
    let admittance = idle / emf;
    if admittance.re <= 0.0 || admittance.im >= 0.0 {
        let ohms = shown(p.resistance, "Ω");
        return Err(flaw(
            format!(
                "{ohms} of primary copper with {amps} through it take more than the {watts} at no load"
            ),
            key,
            "check the primary's resistance and the no-load readings",
        ));
    }
    // what the figures were read at; the flux goes with volts over frequency
    let crest = flux(emf.norm(), model.design_frequency);
    let magnetizing = -admittance.im * emf.norm();
    Ok(Core {
        loss_ohms: 1.0 / admittance.re,
        iron: law(magnetizing, crest, p.knee.min(KNEE_MOST), p.exponent),
        no_load_ratio: emf.norm() / v,
    })
}

/// Most that a spread may make of the knee.
const KNEE_MOST: f64 = 0.95;

#[cfg(test)]
mod tests;
