//! A set from the moment it is switched on: the whole network marched in time with its heaters' own warm-up.
//!
//! Within a cycle heaters, emission and the tubes' slopes stand still. The first cycles are run one by one; then as
//! many are leaped over as the curves allow, by the two-step backward rule (Gear, "Numerical initial value problems in
//! ordinary differential equations", 1971 †) on the change that a cycle makes. Equations: `docs/model.md`, section 36.

use super::build::{self, Core, Points, Slow, Turns};
use super::emission::emission_warm;
use super::error::ReceiverError;
use super::lead::MainsLead;
use super::model::{Model, Rectifier, RectifierKind};
use super::operate::{Operation, tube_volts};
use super::warmup::{hot_over_cold_kelvin, lag_seconds, time_constant};
use crate::circuit::{Cycle, March, Network, Probe, march};

/// Steps a cycle: 64 are within 0.05 % of 4096 in volts (`docs/verification.md`).
const STEPS: usize = 64;
/// Cycles run one by one at first: iron, cold filaments and dry rectifiers move fast.
const FIRST: usize = 12;
/// Moments of the line's cycle tried, to be switched on at the worst.
const PHASES: usize = 8;
/// How far a leap may be off, as a share of B+ or of a temperature.
const OFF: f64 = 1e-3;
/// The longest leap, s.
const LONGEST_S: f64 = 2.0;
/// Rounds in which a leap must meet its rule, and the share within which it does.
const ROUNDS: usize = 8;
const MET: f64 = 5e-4;
/// Exponent of resistance over temperature: tungsten (`warmup.rs`).
const TUNGSTEN: f64 = 1.2;
/// Exponent of radiated power over temperature.
const RADIATED: f64 = 4.0;

/// How a set is switched on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwitchedOn {
    /// True for heaters, cathodes and coils as warm as they get: off for a moment only, the capacitors empty.
    pub hot: bool,
    /// How long it is followed, s.
    pub seconds: f64,
    /// True to run every cycle and leap over none.
    pub plainly: bool,
}

/// A heater, filament or lamp as it warms, temperatures over their final ones.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warmth {
    /// Its winding, or link of the string.
    pub winding: usize,
    /// Its place there.
    pub filament: usize,
    /// Temperature of the wire.
    pub wire: f64,
    /// Temperature of the cathode around it.
    pub cathode: f64,
}

/// The set during one cycle.
#[derive(Debug)]
pub struct Moment<'a> {
    /// Seconds from switch-on to the start of the cycle.
    pub seconds: f64,
    /// The cycle.
    pub cycle: &'a Cycle,
    /// The network it was run with.
    pub net: &'a Network,
    /// Where to measure.
    pub at: &'a Points,
    /// What warms.
    pub warm: &'a [Warmth],
}

/// What does not change with what warms.
struct Body {
    winding: usize,
    filament: usize,
    /// Conductance when warm, S.
    siemens: f64,
    /// Time constant of the wire, s.
    tau: f64,
    /// Lag of the cathode, s; `None` where it is the wire.
    lag: Option<f64>,
    /// Temperature of the room over its final one.
    cold: f64,
    /// Resistance goes with this power of its temperature.
    exponent: f64,
}

impl Body {
    /// Change of its wire's temperature in a second; `drive` is the square of its volts over their final value.
    fn slope(&self, wire: f64, drive: f64) -> f64 {
        (drive * wire.powf(-self.exponent) - wire.powf(RADIATED)) / self.tau
    }

    /// The temperature that meets `wire = base + seconds·slope(wire)`.
    fn implicit(&self, base: f64, seconds: f64, drive: f64, guess: f64) -> f64 {
        let mut wire = guess.max(0.5 * self.cold);
        for _ in 0..20 {
            let fall = self.exponent * drive * wire.powf(-self.exponent - 1.0)
                + RADIATED * wire.powf(RADIATED - 1.0);
            let miss = base + seconds * self.slope(wire, drive) - wire;
            let step = miss / (1.0 + seconds * fall / self.tau);
            wire = (wire + step).max(0.5 * wire);
            if step.abs() < 1e-9 {
                break;
            }
        }
        wire
    }
}

/// All filaments of `model` at the volts of its warm point.
fn bodies(model: &Model, warm: &Operation) -> Vec<Body> {
    let mut list = Vec::new();
    for (winding, w) in model.windings.iter().enumerate() {
        let volts = warm.heater_volts(winding).max(1e-6);
        for (filament, f) in w.filaments.iter().enumerate() {
            let share = volts / f.volts;
            let (amps, exponent) = (f.amps_at(volts), f.exponent_at(volts));
            // final over rated power, and the temperature that goes with it
            let power = share * amps / f.amps;
            let kelvin = power.powf(1.0 / RADIATED);
            let (wire_s, full_s) = (f.warm_up.wire_s, f.warm_up.middle_s());
            list.push(Body {
                winding,
                filament,
                siemens: amps / volts,
                tau: time_constant(wire_s) * kelvin / power,
                lag: lag_seconds(wire_s, full_s),
                cold: 1.0 / (hot_over_cold_kelvin() * kelvin),
                // a barretter's wire holds its current: R ~ V^(1−e) and P ~ V^(1+e)
                exponent: match f.holds {
                    Some(_) => RADIATED * (1.0 - exponent) / (1.0 + exponent),
                    None => TUNGSTEN,
                },
            });
        }
    }
    list
}

/// What a cathode at `cathode` times its final temperature emits at most, in units of what it emits when warm, with
/// nothing left to say once it is: the laws of tubes are those of warm ones.
fn emits(cathode: f64) -> f64 {
    let share = emission_warm(cathode).min(1.0);
    share / (1.0 - share)
}

/// A cycle with all that goes with it.
struct Run {
    /// Wires, cathodes, states of the network at its start.
    y: Vec<f64>,
    /// Their change in a cycle.
    change: Vec<f64>,
    /// Square of the volts on each winding over their final value.
    drives: Vec<f64>,
    tube_volts: Vec<[f64; 4]>,
    /// What decides how far one may leap.
    watched: Vec<f64>,
    cycle: Cycle,
    net: Network,
    at: Points,
}

/// A set on its way.
pub(super) struct Marcher<'a> {
    pub core: Core,
    pub turns: Turns,
    pub line: f64,
    pub lead: &'a dyn MainsLead,
    /// Where it comes to.
    pub warm: &'a Operation,
    pub model: Model,
    pub coil_ohms: Vec<f64>,
    /// Copper of the power transformer over its stated resistance: it needs an hour to warm.
    pub copper: f64,
    bodies: Vec<Body>,
    /// Conductance of each load of a stated current at its final volts, S.
    load_siemens: Vec<Option<f64>>,
    /// Final B+, V.
    b_plus: f64,
    /// What one plate of the rectifier emits at most when warm, A.
    worn: Option<f64>,
    offset: usize,
    /// By how much what the rectifier emits is stretched, for a cycle in which a choke forces more through it.
    ease: f64,
}

/// How far it is stretched at most, step by step.
const EASED: [f64; 4] = [1.5, 3.0, 10.0, 1e6];

impl<'a> Marcher<'a> {
    pub fn new(
        model: &Model,
        (core, turns): (Core, Turns),
        (line, lead): (f64, &'a dyn MainsLead),
        warm: &'a Operation,
        hot: bool,
    ) -> Marcher<'a> {
        let loads = model.loads.iter().map(|load| {
            let volts = warm.dc(warm.at.spot(&load.from)?, crate::circuit::REFERENCE);
            (load.ohms.is_none() && volts.abs() > 1e-3).then(|| (load.amps / volts).abs())
        });
        Marcher {
            core,
            turns,
            line,
            lead,
            warm,
            bodies: bodies(model, warm),
            load_siemens: loads.collect(),
            b_plus: warm.b_plus().abs().max(1.0),
            coil_ohms: match hot {
                true => warm.slow.coil_ohms.clone(),
                false => model.coils.iter().map(|c| c.cold).collect(),
            },
            copper: match hot {
                true => warm.slow.copper,
                false => model.copper.at_rest(model.room_c),
            },
            worn: model.rectifier.emission,
            model: Model { starting: true, ..model.clone() },
            offset: 0,
            ease: 1.0,
        }
    }

    /// The cathode of the tube in `socket`.
    fn cathode(&self, socket: usize, y: &[f64]) -> Option<(usize, f64)> {
        let of = |b: &Body| self.model.windings[b.winding].filaments[b.filament].socket;
        let place = self.bodies.iter().position(|b| of(b) == Some(socket))?;
        Some((place, y[self.bodies.len() + place]))
    }

    /// The main rectifier's cathode; of a rectifier in a tube's bulb that of the tube.
    fn rectifier_cathode(&self, y: &[f64]) -> Option<(usize, f64)> {
        let winding = self.model.rectifier.winding?;
        let here = self.model.windings.get(winding)?;
        let place = here.filaments.iter().position(|f| f.socket.is_none()).unwrap_or(0);
        self.cathode_at((winding, place), y)
    }

    fn cathode_at(&self, hangs: (usize, usize), y: &[f64]) -> Option<(usize, f64)> {
        let place = self.bodies.iter().position(|b| (b.winding, b.filament) == hangs)?;
        Some((place, y[self.bodies.len() + place]))
    }

    /// What one plate of `rectifier` emits at most, its cathode as warm as `body` is told to be, A.
    fn limit(&self, rectifier: &Rectifier, (body, cathode): (usize, f64)) -> Option<f64> {
        let usual = rectifier.drop_amps.or(rectifier.max_dc).unwrap_or(0.1);
        let worn = self.worn.map_or(0.0, f64::recip);
        let limit = self.ease / (worn + 1.0 / (self.reserve(body) * usual * emits(cathode)));
        let limited = matches!(rectifier.kind, RectifierKind::Vacuum | RectifierKind::Mercury);
        (limited && limit.is_finite()).then_some(limit)
    }

    fn reserve(&self, body: usize) -> f64 {
        let b = &self.bodies[body];
        self.model.windings[b.winding].filaments[b.filament].warm_up.reserve
    }

    /// Gives the model the emission and the loads of the temperatures in `y`.
    fn warm_to(&mut self, y: &[f64]) {
        let mut slowest = f64::INFINITY;
        for place in 0..self.model.tubes.len() {
            let tube = &self.model.tubes[place];
            let Some((body, cathode)) = self.cathode(tube.socket, y) else {
                continue;
            };
            slowest = slowest.min(emits(cathode) * self.reserve(body));
            let limit = self.reserve(body) * tube.published_amps * emits(cathode);
            self.model.tubes[place].emission = limit.is_finite().then_some(limit);
        }
        let main = self.rectifier_cathode(y);
        if let Some(main) = main {
            self.model.rectifier.emission = self.limit(&self.model.rectifier, main);
        }
        if let Some(second) = &self.model.second
            && let Some(cathode) = match self.model.second_filament() {
                Some(hangs) => self.cathode_at(hangs, y),
                None => main.filter(|_| second.shared),
            }
        {
            let limit = self.limit(&second.rectifier, cathode);
            self.model.second.iter_mut().for_each(|second| second.rectifier.emission = limit);
        }
        // what draws a stated current is tubes
        let share = if slowest.is_finite() { 1.0 / slowest.recip().hypot(1.0) } else { 1.0 };
        for (load, siemens) in self.model.loads.iter_mut().zip(&self.load_siemens) {
            if let Some(siemens) = siemens.filter(|s| *s > 0.0) {
                load.ohms = Some(1.0 / (siemens * share).max(1e-9));
            }
        }
    }

    /// Runs the cycle that starts at `y`; its network states may be missing, for rest.
    fn run(
        &mut self,
        y: &[f64],
        tube_volts_now: &[[f64; 4]],
        sloped: bool,
    ) -> Result<Run, ReceiverError> {
        let count = self.bodies.len();
        self.warm_to(y);
        let mut siemens = vec![0.0; self.model.windings.len()];
        for (body, wire) in self.bodies.iter().zip(y) {
            siemens[body.winding] += body.siemens * wire.powf(-body.exponent);
        }
        let ohms = siemens.iter().zip(&self.warm.slow.heater_ohms);
        let slow = Slow {
            heater_ohms: ohms.map(|(s, warm)| if *s > 0.0 { 1.0 / s } else { *warm }).collect(),
            coil_ohms: self.coil_ohms.clone(),
            copper: self.copper,
            tube_volts: tube_volts_now.to_vec(),
        };
        let (core, turns) = (&self.core, &self.turns);
        let set = (&self.model, core, turns);
        let (net, at) =
            build::build(set, &slow, (self.line, self.lead), None, Some(&self.warm.net))?;
        let how = March { steps: STEPS, offset: self.offset, sloped };
        let cycle = march(&net, how, &y[2 * count..])?;
        let volts = |(a, b)| Probe::Volts(a, b);
        let drives: Vec<f64> = at
            .windings
            .iter()
            .enumerate()
            .map(|(w, ends)| {
                let over = cycle.seen.rms(volts(*ends)) / self.warm.heater_volts(w).max(1e-6);
                over * over
            })
            .collect();
        let period = 1.0 / self.model.frequency;
        let mut y = y.to_vec();
        y.truncate(2 * count);
        let slopes = self.bodies.iter().zip(&y);
        let mut change: Vec<f64> =
            slopes.map(|(b, wire)| period * b.slope(*wire, drives[b.winding])).collect();
        for (i, body) in self.bodies.iter().enumerate() {
            change.push(match body.lag {
                Some(lag) => -(-period / lag).exp_m1() * (y[i] - y[count + i]),
                None => change[i],
            });
        }
        change.extend(cycle.end().iter().zip(cycle.start()).map(|(end, start)| end - start));
        let capacitors = at.capacitors.iter();
        let mut watched: Vec<f64> = capacitors
            .map(|c| cycle.seen.mean(volts((c.positive, c.negative))) / self.b_plus)
            .collect();
        watched.extend(&y);
        y.extend(cycle.start());
        let tube_volts = tube_volts(&cycle.seen, &at);
        Ok(Run { y, change, drives, tube_volts, watched, cycle, net, at })
    }

    /// A plain cycle; where the rectifier's law has no solution, with as much more emission as it needs.
    fn run_eased(&mut self, y: &[f64], tube_volts: &[[f64; 4]]) -> Result<Run, ReceiverError> {
        let mut found = self.run(y, tube_volts, false);
        for ease in &EASED {
            if found.is_ok() {
                break;
            }
            self.ease = *ease;
            found = self.run(y, tube_volts, false);
        }
        self.ease = 1.0;
        found
    }

    /// Follows the set from the moment it is switched on; `see` is told of each cycle that is run.
    pub fn follow(
        &mut self,
        how: SwitchedOn,
        see: &mut dyn FnMut(&Moment<'_>),
    ) -> Result<(), ReceiverError> {
        let period = 1.0 / self.model.frequency;
        let start: Vec<f64> = match how.hot {
            true => vec![1.0; 2 * self.bodies.len()],
            false => self.bodies.iter().chain(&self.bodies).map(|b| b.cold).collect(),
        };
        let at_rest = vec![[0.0; 4]; self.model.tubes.len()];
        let mut now = self.worst(&start, &at_rest)?;
        let mut cycles = 0.0;
        let last = (how.seconds / period).round();
        // those before it, the latest first, with the cycles between
        let mut past: Vec<(f64, Vec<f64>, Vec<f64>)> = Vec::new();
        let mut leap = 1.0;
        loop {
            let warm = self.warmth(&now.y);
            see(&Moment {
                seconds: cycles * period,
                cycle: &now.cycle,
                net: &now.net,
                at: &now.at,
                warm: &warm,
            });
            if cycles >= last {
                return Ok(());
            }
            let mut next = None;
            leap = f64::min(leap, (LONGEST_S / period).min(last - cycles)).floor();
            while next.is_none() && leap >= 2.0 && past.len() >= 2 && !how.plainly {
                match self.leap(&now, &past, leap) {
                    Some((run, off)) if off <= OFF => {
                        let grow = (0.9 * (OFF / off.max(1e-9)).cbrt()).clamp(0.5, 2.0);
                        next = Some((run, leap, (leap * grow).max(1.0)));
                    }
                    _ => leap = (0.5 * leap).floor(),
                }
            }
            let (run, length, after) = match next {
                Some(found) => found,
                None => {
                    let y: Vec<f64> = now.y.iter().zip(&now.change).map(|(y, c)| y + c).collect();
                    let after =
                        if past.len() >= 2 && cycles + 1.0 >= FIRST as f64 { 2.0 } else { 1.0 };
                    (self.run_eased(&y, &now.tube_volts)?, 1.0, after)
                }
            };
            cycles += length;
            leap = after;
            past.insert(0, (length, now.y, now.watched));
            past.truncate(2);
            now = run;
        }
    }

    /// The first cycle, switched on when the line's current becomes highest.
    fn worst(&mut self, y: &[f64], tubes: &[[f64; 4]]) -> Result<Run, ReceiverError> {
        let mut worst: Option<(f64, usize)> = None;
        for phase in 0..PHASES {
            self.offset = phase * STEPS / PHASES;
            let run = self.run(y, tubes, false)?;
            let (high, low) = run.cycle.extremes(Probe::Amps(run.at.line));
            let peak = high.max(-low);
            if worst.is_none_or(|(most, _)| peak > most) {
                worst = Some((peak, self.offset));
            }
        }
        self.offset = worst.map_or(0, |(_, offset)| offset);
        self.run(y, tubes, false)
    }

    fn warmth(&self, y: &[f64]) -> Vec<Warmth> {
        let count = self.bodies.len();
        let bodies = self.bodies.iter().enumerate();
        bodies
            .map(|(i, b)| Warmth {
                winding: b.winding,
                filament: b.filament,
                wire: y[i],
                cathode: y[count + i],
            })
            .collect()
    }

    /// The set `length` cycles on, and how far that is off; `None` where the rule is not met.
    fn leap(
        &mut self,
        now: &Run,
        past: &[(f64, Vec<f64>, Vec<f64>)],
        length: f64,
    ) -> Option<(Run, f64)> {
        let [(before, y1, watched1), (earlier, y2, watched2)] = past else {
            return None;
        };
        let ratio = length / before;
        let (a, b) = ((1.0 + ratio).powi(2), -ratio * ratio);
        let rule = 1.0 / (1.0 + 2.0 * ratio);
        let base: Vec<f64> = now.y.iter().zip(y1).map(|(y, y1)| rule * (a * y + b * y1)).collect();
        let weight = rule * (1.0 + ratio) * length;
        // a parabola through the last three
        let ahead = |y: f64, y1: f64, y2: f64| {
            let first = (y - y1) / before;
            let second = (first - (y1 - y2) / earlier) / (before + earlier);
            y + first * length + second * length * (length + before)
        };
        let mut y: Vec<f64> = (0..now.y.len()).map(|i| ahead(now.y[i], y1[i], y2[i])).collect();
        let count = self.bodies.len();
        let mut tubes = now.tube_volts.clone();
        let seconds = weight / self.model.frequency;
        let mut sloped: Option<Cycle> = None;
        for _ in 0..ROUNDS {
            for (wire, body) in y.iter_mut().zip(self.bodies.iter().chain(&self.bodies)) {
                *wire = wire.clamp(0.9 * body.cold, 3.0);
            }
            let mut run = self.run(&y, &tubes, sloped.is_none()).ok()?;
            let matrix = sloped.get_or_insert_with(|| run.cycle.clone());
            let states = run.cycle.towards(matrix, &base[2 * count..], weight)?;
            let mut next = Vec::with_capacity(y.len());
            for (i, body) in self.bodies.iter().enumerate() {
                next.push(body.implicit(base[i], seconds, run.drives[body.winding], y[i]));
            }
            for (i, body) in self.bodies.iter().enumerate() {
                let lagging =
                    |lag| (base[count + i] + seconds / lag * next[i]) / (1.0 + seconds / lag);
                next.push(body.lag.map_or(next[i], lagging));
            }
            next.extend(states);
            let moved = next.iter().zip(&y).map(|(n, y)| (n - y).abs() / y.abs().max(0.05));
            let moved = moved.fold(0.0, f64::max);
            let volts = run.tube_volts.iter().flatten().zip(tubes.iter().flatten());
            let tube_moved = volts.map(|(n, t)| (n - t).abs() / n.abs().max(0.02 * self.b_plus));
            let moved = tube_moved.fold(moved, f64::max);
            tubes.clone_from(&run.tube_volts);
            if !moved.is_finite() {
                return None;
            }
            if moved <= MET {
                run.change = next.iter().zip(&base).map(|(y, base)| (y - base) / weight).collect();
                run.y = next;
                let meant = (0..run.watched.len())
                    .map(|i| run.watched[i] - ahead(now.watched[i], watched1[i], watched2[i]));
                let off = meant.fold(0.0, |most, off| f64::max(most, off.abs()));
                return Some((run, off));
            }
            y = next;
        }
        None
    }
}
