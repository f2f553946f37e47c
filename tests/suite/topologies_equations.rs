//! Supplies of every kind as ordinary differential equations written by hand: the yardstick of `topologies.rs`.
//! Nothing of the circuit core is used here, and no number is taken from a fitted set.
//!
//! Whatever feeds the rectifier is, at one instant, `V` volts behind `R` ohms.
//!
//! - Transformer, with `e` the EMF of the primary, `n` the winding's turns over the primary's, `G` what core loss and
//!   heaters conduct: `(v − e)/Rp = im + e G + n i`, so `V = n e₀`, `R = n²/Y + r` with `Y = G + 1/Rp` and
//!   `e₀ = (v/Rp − im)/Y`; `L dim/dt = e` carries the direct current of a half-wave winding.
//! - Heaters on the line: `A` ohms from the outlet to the plate's point (a part in the lead, the tapped part of the
//!   heater), `S` from there through the rest of the string: `V = v S/(A + S)`, `R = A S/(A + S)`.
//!
//! A diode that charges a capacitor of `u` volts then passes the `i` that solves `V − u = R i + drop(i)`.

use crate::by_hand::{Tube, periodic, run};
use nalgebra::Complex;
use ode_solvers::{Dopri5, OutputType, SVector, System};
use std::f64::consts::{SQRT_2, TAU};

/// Tolerance of the rule of Dormand and Prince.
pub const TOLERANCE: f64 = 1e-9;
/// Samples of a cycle for averages.
const SAMPLES: usize = 8192;
/// Leakage of each filter capacitor, Ω (`docs/model.md`).
const LEAKAGE: f64 = 1e7;

/// Volts of a diode as a function of its current.
#[derive(Clone, Copy)]
pub enum Diode {
    /// Space charge: `i = P v^1.5`.
    Vacuum(f64),
    /// Mercury vapor.
    Constant(f64),
    /// Silicon, `v = 0.0414 V ln(1 + i/i0) + 0.05 Ω i`: W. Shockley's exponential and the bulk in series, through
    /// 0.70 V at 10 mA and 0.94 V at 1 A (1 A types †).
    Silicon,
    /// A threshold and a resistance.
    Selenium(f64, f64),
}

const SILICON_V: f64 = 0.0414;
const SILICON_OHMS: f64 = 0.05;

/// Root of a function that falls from `low` to `high`, by halving with secants (Illinois).
pub fn falling(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (mut above, mut below) = (f(low), f(high));
    let mut side = 0;
    for _ in 0..200 {
        let mid = (low * below - high * above) / (below - above);
        let value = f(mid);
        if value == 0.0 || (high - low).abs() <= 1e-14 * (low.abs() + high.abs()) {
            return mid;
        }
        if value > 0.0 {
            (low, above) = (mid, value);
            if side == 1 {
                below *= 0.5;
            }
            side = 1;
        } else {
            (high, below) = (mid, value);
            if side == -1 {
                above *= 0.5;
            }
            side = -1;
        }
    }
    0.5 * (low + high)
}

impl Diode {
    /// A vacuum diode of `volts` at `amps`.
    pub fn vacuum(volts: f64, amps: f64) -> Diode {
        Diode::Vacuum(amps / volts.powf(1.5))
    }

    /// Volts at `amps`; at none what must be overcome.
    fn drop(self, amps: f64) -> f64 {
        match self {
            Diode::Vacuum(perveance) => (amps / perveance).powf(2.0 / 3.0),
            Diode::Constant(volts) => volts,
            Diode::Silicon => SILICON_V * (amps / silicon_leak()).ln_1p() + SILICON_OHMS * amps,
            Diode::Selenium(threshold, ohms) => threshold + ohms * amps,
        }
    }

    /// Amperes that `surplus` volts drive through `count` of them in series with `ohms`.
    pub fn through(self, surplus: f64, ohms: f64, count: f64) -> f64 {
        if surplus <= 0.0 {
            return 0.0;
        }
        match self {
            Diode::Vacuum(perveance) => {
                let mut drop = surplus / count;
                for _ in 0..100 {
                    let amps = perveance * drop * drop.sqrt();
                    let miss = ohms * amps + count * drop - surplus;
                    let step = miss / (1.5 * ohms * perveance * drop.sqrt() + count);
                    drop -= step;
                    if step.abs() <= 1e-15 * drop {
                        break;
                    }
                }
                perveance * drop * drop.sqrt()
            }
            Diode::Constant(volts) => ((surplus - count * volts) / ohms).max(0.0),
            Diode::Selenium(threshold, own) => {
                ((surplus - count * threshold) / (ohms + count * own)).max(0.0)
            }
            Diode::Silicon => {
                let (series, leak) =
                    ((ohms + count * SILICON_OHMS) * silicon_leak(), count * SILICON_V);
                // y = ln(1 + i/i0), from above on a convex function
                let mut y = (surplus / leak).min((surplus / series).ln_1p());
                for _ in 0..100 {
                    let miss = series * y.exp_m1() + leak * y - surplus;
                    let step = miss / (series * y.exp() + leak);
                    y -= step;
                    if step.abs() <= 1e-15 * y {
                        break;
                    }
                }
                silicon_leak() * y.exp_m1()
            }
        }
    }
}

/// Saturation current that puts 0.94 V at 1 A.
fn silicon_leak() -> f64 {
    (-(0.94 - SILICON_OHMS) / SILICON_V).exp()
}

/// Heaters and lamps side by side, on a winding or as a link of a string.
#[derive(Clone)]
pub struct Heaters {
    /// Rated volts, amperes, exponent of `I ~ V^n`.
    pub filaments: Vec<[f64; 3]>,
    /// Turns over the primary's, copper; of a winding.
    pub turns: f64,
    pub copper: f64,
}

impl Heaters {
    pub fn link(filaments: &[[f64; 3]]) -> Heaters {
        Heaters { filaments: filaments.to_vec(), turns: 0.0, copper: 0.0 }
    }

    pub fn winding(filaments: &[[f64; 3]], turns: f64, copper: f64) -> Heaters {
        Heaters { filaments: filaments.to_vec(), turns, copper }
    }

    pub fn ohms(&self, volts: f64) -> f64 {
        let amps: f64 = self.filaments.iter().map(|[v, i, n]| i * (volts / v).powf(*n)).sum();
        volts / amps
    }
}

/// Core loss resistance, magnetising inductance and EMF over line volts at no load, by phasors.
pub fn core(line: f64, hertz: f64, primary: f64, amps: f64, watts: f64) -> (f64, f64, f64) {
    let real = watts / line;
    let current = Complex::new(real, -(amps * amps - real * real).sqrt());
    let emf = Complex::new(line, 0.0) - current * primary;
    let admittance = current / emf;
    (1.0 / admittance.re, -1.0 / (TAU * hertz * admittance.im), emf.norm() / line)
}

/// What stands between the line and the rectifier.
#[derive(Clone)]
pub enum Mains {
    Transformer {
        primary: f64,
        loss: f64,
        henries: f64,
        turns: f64,
        copper: f64,
    },
    /// Dropper of the heater string; whether its first link lies ahead of the plate.
    Line {
        dropper: f64,
        tapped: bool,
    },
    /// One winding with a tap for the line: copper from chassis to the tap and from the tap to the end.
    Auto {
        lower: f64,
        upper: f64,
        loss: f64,
        henries: f64,
        turns: f64,
    },
}

#[derive(Clone, Copy, PartialEq)]
pub enum Circuit {
    FullWave,
    HalfWave,
    Bridge,
    FullWaveDoubler,
    HalfWaveDoubler,
    /// Full wave without a reservoir.
    ChokeInput,
}

/// A half-wave supply of negative volts on a winding of its own: diode, capacitor, resistor, capacitor, divider.
#[derive(Clone)]
pub struct Bias {
    pub turns: f64,
    pub copper: f64,
    pub diode: Diode,
    pub farads: [f64; 2],
    pub ohms: f64,
    pub divider: f64,
    /// Share of the volts at the grid of `tube`, which draws on B+.
    pub share: f64,
    pub tube: Tube,
}

/// A supply, from the outlet to its load.
#[derive(Clone)]
pub struct Supply {
    pub line: f64,
    pub hertz: f64,
    /// Ohms in the line cord.
    pub lead: f64,
    pub mains: Mains,
    pub heaters: Vec<Heaters>,
    pub circuit: Circuit,
    pub diode: Diode,
    pub surge: f64,
    /// The reservoir, or the two of a doubler.
    pub first: [f64; 2],
    /// Resistor, or choke with its henries, in the positive lead.
    pub series: (f64, Option<f64>),
    /// Ohms in the negative lead, all that stands across it counted.
    pub negative: f64,
    /// Field coil across the reservoir: ohms, henries.
    pub field: Option<(f64, f64)>,
    pub second: f64,
    /// Ohms from B+ to chassis, and amperes whatever the volts.
    pub load: (f64, f64),
    pub bias: Option<Bias>,
}

/// States, where a supply has them.
const FLUX: usize = 0;
const U1: usize = 1;
const U2: usize = 2;
const COIL: usize = 3;
const B: usize = 4;
const FIELD: usize = 5;
const BIAS1: usize = 6;
const BIAS2: usize = 7;
const KINDS: usize = 8;

type State = SVector<f64, 6>;

/// The supply with its heaters at one resistance.
#[derive(Clone)]
struct Equations {
    supply: Supply,
    heater_ohms: Vec<f64>,
    place: [Option<usize>; KINDS],
    states: usize,
}

/// One instant.
struct Instant {
    line_volts: f64,
    line_amps: f64,
    /// EMF of the primary; volts at the plate's point of a string.
    emf: f64,
    /// Current of the first diode, and of the one that charges the second capacitor.
    amps: [f64; 2],
    /// Volts across each diode of a doubler.
    across: [f64; 2],
    /// Cathode of a choke input.
    cathode: f64,
    bias_amps: f64,
}

impl Equations {
    fn new(supply: &Supply, heater_ohms: &[f64]) -> Equations {
        let doubles = matches!(supply.circuit, Circuit::FullWaveDoubler | Circuit::HalfWaveDoubler);
        let choke = supply.circuit == Circuit::ChokeInput;
        let has = [
            !matches!(supply.mains, Mains::Line { .. }),
            !choke,
            doubles,
            supply.series.1.is_some(),
            true,
            supply.field.is_some(),
            supply.bias.is_some(),
            supply.bias.is_some(),
        ];
        let mut states = 0;
        let place = has.map(|has| {
            has.then(|| {
                states += 1;
                states - 1
            })
        });
        Equations { supply: supply.clone(), heater_ohms: heater_ohms.to_vec(), place, states }
    }

    fn get(&self, y: &State, kind: usize) -> f64 {
        self.place[kind].map_or(0.0, |place| y[place])
    }

    fn string_ohms(&self) -> (f64, f64) {
        let Mains::Line { dropper, tapped } = self.supply.mains else {
            panic!("a set on the line");
        };
        let first = usize::from(tapped);
        let ahead = self.supply.lead + self.heater_ohms[..first].iter().sum::<f64>();
        (ahead, dropper + self.heater_ohms[first..].iter().sum::<f64>())
    }

    /// What the loads of the core conduct, seen from the primary's EMF.
    fn heater_siemens(&self) -> f64 {
        let heaters = self.supply.heaters.iter().zip(&self.heater_ohms);
        heaters.map(|(h, ohms)| h.turns * h.turns / (h.copper + ohms)).sum()
    }

    fn at(&self, time: f64, y: &State) -> Instant {
        let s = &self.supply;
        let volts = s.line * SQRT_2 * (TAU * s.hertz * time).sin();
        let flux = self.get(y, FLUX);
        // volts and ohms that the rectifier sees, and turns that carry its current to the primary
        let (open, behind, source) = match s.mains {
            Mains::Transformer { primary, loss, turns, copper, .. } => {
                let ahead = primary + s.lead;
                let admittance = 1.0 / ahead + 1.0 / loss + self.heater_siemens();
                let open = (volts / ahead - flux) / admittance;
                (
                    turns * open,
                    turns * turns / admittance + copper,
                    Some((ahead, admittance, open, turns)),
                )
            }
            Mains::Line { .. } => {
                let (ahead, string) = self.string_ohms();
                let share = string / (ahead + string);
                (volts * share, ahead * share, None)
            }
            Mains::Auto { lower, upper, loss, turns, .. } => {
                // the tap p carries ic down and i up: p = e + rl ic, p = v − Rl (ic + i),
                // ic = im + e G + (n − 1) i, and the end stands at p + (n − 1) e − ru i
                let conducts = 1.0 / loss + self.heater_siemens();
                let ahead = s.lead;
                let emf = |i: f64| {
                    (volts - ahead * i - (ahead + lower) * (flux + (turns - 1.0) * i))
                        / (1.0 + (ahead + lower) * conducts)
                };
                let end = |i: f64| {
                    let e = emf(i);
                    turns * e + lower * (flux + conducts * e + (turns - 1.0) * i) - upper * i
                };
                (end(0.0), end(0.0) - end(1.0), None)
            }
        };
        let ohms = behind + s.surge;
        let (u1, u2) = (self.get(y, U1), self.get(y, U2));
        let mut now = Instant {
            line_volts: volts,
            line_amps: 0.0,
            emf: open,
            amps: [0.0; 2],
            across: [0.0; 2],
            cathode: 0.0,
            bias_amps: 0.0,
        };
        if let Some(bias) = &s.bias {
            self.with_bias(bias, y, &mut now);
            return now;
        }
        let through = |surplus: f64, count: f64| s.diode.through(surplus, ohms, count);
        // the current that the source gives from its dotted end
        let given = match s.circuit {
            Circuit::HalfWave => {
                now.amps[0] = through(open - u1, 1.0);
                now.amps[0]
            }
            Circuit::FullWave => {
                now.amps[0] = through(open.abs() - u1, 1.0);
                open.signum() * now.amps[0]
            }
            Circuit::Bridge => {
                now.amps[0] = through(open.abs() - u1, 2.0);
                open.signum() * now.amps[0]
            }
            Circuit::FullWaveDoubler => {
                now.amps = [through(open - u1, 1.0), through(-open - u2, 1.0)];
                now.amps[0] - now.amps[1]
            }
            Circuit::HalfWaveDoubler => {
                now.amps = [through(open + u1 - u2, 1.0), through(-open - u1, 1.0)];
                now.amps[0] - now.amps[1]
            }
            Circuit::ChokeInput => self.choke(y, open, ohms, source, &mut now),
        };
        // the rectifier's side of its copper and resistor
        let end = open - ohms * given;
        now.across = match s.circuit {
            Circuit::FullWaveDoubler => [end - u1, -end - u2],
            Circuit::HalfWaveDoubler => [end + u1 - u2, -end - u1],
            _ => [0.0; 2],
        };
        match s.mains {
            Mains::Transformer { .. } => {
                let (ahead, admittance, open, turns) = source.unwrap();
                now.emf = open - turns * given / admittance;
                now.line_amps = (volts - now.emf) / ahead;
            }
            Mains::Line { .. } => {
                now.emf = open - behind * given;
                now.line_amps = now.emf / self.string_ohms().1 + given;
            }
            Mains::Auto { lower, loss, turns, .. } => {
                let conducts = 1.0 / loss + self.heater_siemens();
                now.emf =
                    (volts - s.lead * given - (s.lead + lower) * (flux + (turns - 1.0) * given))
                        / (1.0 + (s.lead + lower) * conducts);
                now.line_amps = flux + conducts * now.emf + turns * given;
            }
        }
        now
    }

    /// Both plates share the choke's current: `n e − r i − drop(i)` is alike for the two halves.
    fn choke(
        &self,
        y: &State,
        open: f64,
        ohms: f64,
        source: Option<(f64, f64, f64, f64)>,
        now: &mut Instant,
    ) -> f64 {
        let (_, admittance, emf, turns) = source.unwrap();
        let amps = self.get(y, COIL);
        let diode = self.supply.diode;
        if amps <= 0.0 {
            now.cathode = open.abs() - diode.drop(0.0);
            return 0.0;
        }
        // of the ohms only the copper is each half's own
        let own = ohms - turns * turns / admittance;
        let half = |a: f64| turns * (emf - turns * (2.0 * a - amps) / admittance);
        let balance = |a: f64| {
            let b = amps - a;
            2.0 * half(a) - own * (a - b) - (diode.drop(a) - diode.drop(b))
        };
        let a = if balance(0.0) <= 0.0 {
            0.0
        } else if balance(amps) >= 0.0 {
            amps
        } else {
            falling(0.0, amps, balance)
        };
        let b = amps - a;
        now.amps = [a, b];
        now.cathode = if a >= b {
            half(a) - own * a - diode.drop(a)
        } else {
            -half(a) - own * b - diode.drop(b)
        };
        a - b
    }

    /// Two windings with diodes on one core: the EMF that satisfies both.
    fn with_bias(&self, bias: &Bias, y: &State, now: &mut Instant) {
        let s = &self.supply;
        let Mains::Transformer { primary, loss, turns, copper, .. } = s.mains else {
            panic!("a bias winding needs a transformer");
        };
        assert!(s.circuit == Circuit::FullWave);
        let ahead = primary + s.lead;
        let admittance = 1.0 / ahead + 1.0 / loss + self.heater_siemens();
        let (u1, held) = (self.get(y, U1), self.get(y, BIAS1));
        let plates = |e: f64| s.diode.through((turns * e).abs() - u1, copper + s.surge, 1.0);
        let negative = |e: f64| bias.diode.through(-bias.turns * e - held, bias.copper, 1.0);
        let miss = |e: f64| {
            now.line_volts / ahead
                - self.get(y, FLUX)
                - admittance * e
                - turns * e.signum() * plates(e)
                + bias.turns * negative(e)
        };
        let open = (now.line_volts / ahead - self.get(y, FLUX)) / admittance;
        let emf = match open {
            o if o > 0.0 => falling(0.0, o * (1.0 + 1e-9), miss),
            o if o < 0.0 => falling(o * (1.0 + 1e-9), 0.0, miss),
            _ => 0.0,
        };
        now.emf = emf;
        now.line_amps = (now.line_volts - emf) / ahead;
        now.amps[0] = plates(emf);
        now.bias_amps = negative(emf);
    }

    /// Volts from the rectifier's negative end to its positive one.
    fn output(&self, y: &State) -> f64 {
        match self.supply.circuit {
            Circuit::FullWaveDoubler => self.get(y, U1) + self.get(y, U2),
            Circuit::HalfWaveDoubler => self.get(y, U2),
            _ => self.get(y, U1),
        }
    }

    /// Current towards B+.
    fn onward(&self, y: &State) -> f64 {
        let s = &self.supply;
        match s.series {
            (_, Some(_)) => self.get(y, COIL),
            (ohms, None) => (self.output(y) - self.get(y, B)) / (ohms + s.negative),
        }
    }
}

impl System<f64, State> for Equations {
    fn system(&self, time: f64, y: &State, dy: &mut State) {
        let s = &self.supply;
        let now = self.at(time, y);
        let (u1, u2, b) = (self.get(y, U1), self.get(y, U2), self.get(y, B));
        let (onward, output) = (self.onward(y), self.output(y));
        let mut slope = [0.0; KINDS];
        slope[FLUX] = match s.mains {
            Mains::Transformer { henries, .. } | Mains::Auto { henries, .. } => now.emf / henries,
            Mains::Line { .. } => 0.0,
        };
        let field = self.get(y, FIELD);
        let [one, two] = now.amps;
        (slope[U1], slope[U2]) = match s.circuit {
            Circuit::FullWaveDoubler => (one - onward - u1 / LEAKAGE, two - onward - u2 / LEAKAGE),
            Circuit::HalfWaveDoubler => (two - one - u1 / LEAKAGE, one - onward - u2 / LEAKAGE),
            _ => (one - onward - field - u1 / LEAKAGE, 0.0),
        };
        slope[U1] /= s.first[0];
        slope[U2] /= s.first[1];
        if let (ohms, Some(henries)) = s.series {
            let from = if s.circuit == Circuit::ChokeInput { now.cathode } else { output };
            slope[COIL] = (from - (ohms + s.negative) * onward - b) / henries;
            if s.circuit == Circuit::ChokeInput && onward <= 0.0 {
                // the plates let nothing back
                slope[COIL] = slope[COIL].max(0.0);
            }
        }
        if let Some((ohms, henries)) = s.field {
            slope[FIELD] = (u1 - ohms * field) / henries;
        }
        let mut drawn = b / s.load.0 + s.load.1 + b / LEAKAGE;
        if let Some(bias) = &s.bias {
            let (one, two) = (self.get(y, BIAS1), self.get(y, BIAS2));
            let between = (one - two) / bias.ohms;
            slope[BIAS1] = (now.bias_amps - between - one / LEAKAGE) / bias.farads[0];
            slope[BIAS2] = (between - two / bias.divider - two / LEAKAGE) / bias.farads[1];
            let drive = -bias.share * two + b / bias.tube.mu;
            drawn += bias.tube.perveance * drive.max(0.0).powf(1.5);
        }
        slope[B] = (onward - drawn) / s.second;
        for (kind, slope) in slope.into_iter().enumerate() {
            if let Some(place) = self.place[kind] {
                dy[place] = slope;
            }
        }
    }
}

/// What the equations give.
#[derive(Debug)]
pub struct Found {
    pub b_plus: f64,
    /// First capacitor's positive side, against chassis.
    pub reservoir: f64,
    /// RMS ripple of B+.
    pub ripple: f64,
    /// Line, RMS.
    pub amps: f64,
    pub watts: f64,
    /// Heaters in order, RMS.
    pub heaters: Vec<f64>,
    /// Highest current of the first diode, and of the second of a doubler.
    pub peak: [f64; 2],
    /// Highest inverse volts of each diode of a doubler.
    pub inverse: [f64; 2],
    pub c_minus: f64,
    /// Least and highest current of the choke.
    pub least: f64,
    pub most: f64,
}

/// Heaters in balance with their volts, everything else in its periodic state.
pub fn solve(supply: &Supply) -> Found {
    let crest = supply.line * SQRT_2;
    let (crest, henries) = match supply.mains {
        Mains::Transformer { turns, henries, .. } | Mains::Auto { turns, henries, .. } => {
            (turns * crest, henries)
        }
        Mains::Line { .. } => (crest, 1.0),
    };
    let amps = supply.load.1 + 0.9 * crest / supply.load.0;
    let doubler = matches!(supply.circuit, Circuit::FullWaveDoubler | Circuit::HalfWaveDoubler);
    let output = if doubler { 1.8 * crest } else { 0.9 * crest };
    let u2 = if supply.circuit == Circuit::HalfWaveDoubler { output } else { 0.9 * crest };
    let bias = supply.bias.as_ref().map_or(0.0, |b| b.turns * supply.line * 1.3);
    let kinds = [
        -supply.line * SQRT_2 / (TAU * supply.hertz * henries),
        0.9 * crest,
        u2,
        amps,
        output - amps * (supply.series.0 + supply.negative),
        supply.field.map_or(0.0, |(ohms, _)| output / ohms),
        bias,
        bias,
    ];
    let mut ohms: Vec<f64> = supply.heaters.iter().map(|h| h.ohms(h.filaments[0][0])).collect();
    let mut start: Option<State> = None;
    let period = 1.0 / supply.hertz;
    for _ in 0..60 {
        let system = Equations::new(supply, &ohms);
        let guess = start.unwrap_or_else(|| {
            let mut guess = State::zeros();
            for (kind, value) in kinds.iter().enumerate() {
                if let Some(place) = system.place[kind] {
                    guess[place] = *value;
                }
            }
            guess
        });
        let from = if supply.circuit == Circuit::ChokeInput {
            settled(&system, period, guess)
        } else {
            periodic(&system, period, guess, system.states, TOLERANCE).0
        };
        start = Some(from);
        let found = averages(&system, period, from);
        let mut change: f64 = 0.0;
        for ((heater, volts), now) in supply.heaters.iter().zip(&found.heaters).zip(&mut ohms) {
            let next = heater.ohms(*volts);
            change = change.max((next / *now - 1.0).abs());
            *now = next;
        }
        if change < 1e-6 {
            return found;
        }
    }
    panic!("heaters do not settle");
}

/// The periodic state by waiting for it: where a choke's current stops, the map of a cycle has corners and Newton's
/// method does not come to rest.
fn settled(system: &Equations, period: f64, mut start: State) -> State {
    for _ in 0..3000 {
        let end = run(system, 0.0, period, start, TOLERANCE);
        let miss = (end - start)
            .iter()
            .zip(&start)
            .map(|(d, s)| d.abs() / (1e-3 + s.abs()))
            .fold(0.0, f64::max);
        start = end;
        if miss < 1e-6 {
            return start;
        }
    }
    panic!("the choke input does not settle");
}

fn averages(system: &Equations, period: f64, start: State) -> Found {
    let step = period / SAMPLES as f64;
    let mut solver = Dopri5::new(system.clone(), 0.0, period, step, start, TOLERANCE, TOLERANCE);
    solver.set_output(OutputType::Dense);
    solver.integrate().unwrap();
    let samples = solver.x_out().iter().zip(solver.y_out()).take(SAMPLES);
    let (mut sums, mut squares) = ([0.0; 5], [0.0; 3]);
    let (mut peak, mut inverse) = ([0.0_f64; 2], [0.0_f64; 2]);
    let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
    for (time, y) in samples {
        let now = system.at(*time, y);
        let b = system.get(y, B);
        let reservoir = system.output(y) - system.onward(y) * system.supply.negative;
        let kept = [b, reservoir, now.line_volts * now.line_amps, -system.get(y, BIAS2), 1.0];
        for (sum, value) in sums.iter_mut().zip(kept) {
            *sum += value;
        }
        for (sum, value) in squares.iter_mut().zip([now.line_amps, now.emf, b]) {
            *sum += value * value;
        }
        for diode in 0..2 {
            peak[diode] = peak[diode].max(now.amps[diode]);
            inverse[diode] = inverse[diode].max(-now.across[diode]);
        }
        least = least.min(system.get(y, COIL));
        most = most.max(system.get(y, COIL));
    }
    let count = sums[4];
    let [b_plus, reservoir, watts, c_minus, _] = sums.map(|s| s / count);
    let [amps, emf, b] = squares.map(|s| (s / count).sqrt());
    let supply = &system.supply;
    let volts = |place: usize| {
        let (heater, ohms) = (&supply.heaters[place], system.heater_ohms[place]);
        match supply.mains {
            Mains::Line { tapped: true, .. } if place == 0 => amps * ohms,
            Mains::Line { .. } => emf * ohms / system.string_ohms().1,
            _ => emf * heater.turns * ohms / (ohms + heater.copper),
        }
    };
    Found {
        b_plus,
        reservoir,
        ripple: (b * b - b_plus * b_plus).max(0.0).sqrt(),
        amps,
        watts,
        heaters: (0..supply.heaters.len()).map(volts).collect(),
        peak,
        inverse,
        c_minus,
        least,
        most,
    }
}
