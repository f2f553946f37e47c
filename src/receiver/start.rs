//! A set from the moment it is switched on: the whole network marched in time with its heaters' own warm-up.
//!
//! Within a cycle heaters, emission and the tubes' slopes stand still. The first cycles are run one by one; then as
//! many are leaped over as the curves allow, by the two-step backward rule (Gear, "Numerical initial value problems in
//! ordinary differential equations", 1971 †) on the change that a cycle makes. Equations: `docs/model.md`, section 36.

use super::{
    Core, MainsLead, Model, Operation, Points, Rectifier, RectifierKind, Result, Slow, Turns,
    bodies::{Body, bodies, emits},
    build,
    operate::tube_volts,
};
use crate::circuit::{Cycle, March, Network, Probe, REFERENCE, march};
use nalgebra::DVector;

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
    #[cfg_attr(not(feature = "inside"), expect(dead_code, reason = "an instrument of tests"))]
    pub net: &'a Network,
    /// Where to measure.
    pub at: &'a Points,
    /// What warms.
    pub warm: &'a [Warmth],
}

/// A cycle with all that goes with it.
struct Run {
    /// Wires, cathodes, states of the network at its start.
    y: DVector<f64>,
    /// Their change in a cycle.
    change: DVector<f64>,
    /// Square of the volts on each winding over their final value.
    drives: Vec<f64>,
    tube_volts: Vec<[f64; 4]>,
    /// What decides how far one may leap.
    watched: DVector<f64>,
    cycle: Cycle,
    net: Network,
    at: Points,
}

/// A set on its way.
pub struct Marcher<'a> {
    set: (&'a Core, &'a Turns),
    /// Voltage of the line, and what stands in it.
    on: (f64, &'a dyn MainsLead),
    /// Where it comes to.
    warm: &'a Operation,
    model: Model,
    /// Slow quantities as they are while it starts: coils and copper need an hour to warm.
    slow: Slow,
    bodies: Vec<Body>,
    /// Conductance of each load of a stated current at its final volts, S; 0 of another.
    load_siemens: Vec<f64>,
    /// Final B+, V.
    b_plus: f64,
    /// What one plate of the rectifier emits at most when warm, A.
    worn: Option<f64>,
    /// Step of the line's cycle at which each begins.
    offset: usize,
    /// By how much what the rectifier emits is stretched, for a cycle in which a choke forces more through it.
    ease: f64,
}

/// How far it is stretched at most, step by step.
const EASED: [f64; 4] = [1.5, 3.0, 10.0, 1e6];

impl<'a> Marcher<'a> {
    /// One that is switched on with all of it cold, or but for its capacitors `hot`.
    pub fn new(
        model: &Model,
        set: (&'a Core, &'a Turns),
        on: (f64, &'a dyn MainsLead),
        warm: &'a Operation,
        hot: bool,
    ) -> Marcher<'a> {
        let loads = model.loads.iter().map(|load| {
            let volts = warm.at.spot(&load.from).map_or(0.0, |at| warm.dc(at, REFERENCE));
            let steady = load.ohms.is_none() && volts.abs() > 1e-3;
            if steady { (load.amps / volts).abs() } else { 0.0 }
        });
        let mut slow = warm.slow.clone();
        if !hot {
            slow.coil_ohms = model.coils.iter().map(|c| c.cold).collect();
            slow.copper = model.copper.at_rest(model.room_c);
        }
        Marcher {
            set,
            on,
            warm,
            slow,
            bodies: bodies(model, warm),
            load_siemens: loads.collect(),
            b_plus: warm.b_plus().abs().max(1.0),
            worn: model.rectifier.emission,
            model: Model { starting: true, ..model.clone() },
            offset: 0,
            ease: 1.0,
        }
    }

    /// Reserve of the first cathode that `is` meant, and what it emits.
    fn emitter(&self, y: &DVector<f64>, is: impl Fn(&Body) -> bool) -> Option<(f64, f64)> {
        let place = self.bodies.iter().position(is)?;
        Some((self.bodies[place].reserve, emits(y[self.bodies.len() + place])))
    }

    /// The same of the main rectifier; of a rectifier in a tube's bulb that of the tube.
    fn rectifier_emitter(&self, y: &DVector<f64>) -> Option<(f64, f64)> {
        let winding = self.model.rectifier.winding?;
        let own = self.emitter(y, |b| b.winding == winding && b.socket.is_none());
        own.or_else(|| self.emitter(y, |b| b.winding == winding))
    }

    /// What one plate of `rectifier` emits at most, A.
    fn limit(&self, rectifier: &Rectifier, (reserve, emits): (f64, f64)) -> Option<f64> {
        let usual = rectifier.drop_amps.or(rectifier.max_dc).unwrap_or(0.1);
        let worn = self.worn.map_or(0.0, f64::recip);
        let limit = self.ease / (worn + 1.0 / (reserve * usual * emits));
        let limited = matches!(rectifier.kind, RectifierKind::Vacuum | RectifierKind::Mercury);
        (limited && limit.is_finite()).then_some(limit)
    }

    /// Gives the model the emission and the loads of the temperatures in `y`.
    fn warm_to(&mut self, y: &DVector<f64>) {
        let mut slowest = f64::INFINITY;
        for place in 0..self.model.tubes.len() {
            let socket = Some(self.model.tubes[place].socket);
            if let Some((reserve, emits)) = self.emitter(y, |b| b.socket == socket) {
                slowest = slowest.min(emits * reserve);
                let tube = &mut self.model.tubes[place];
                let limit = reserve * tube.published_amps * emits;
                tube.emission = limit.is_finite().then_some(limit);
            }
        }
        let main = self.rectifier_emitter(y);
        if let Some(main) = main {
            self.model.rectifier.emission = self.limit(&self.model.rectifier, main);
        }
        if let Some(second) = &self.model.second
            && let Some(emitter) = match self.model.second_filament() {
                Some(hangs) => self.emitter(y, |b| (b.winding, b.filament) == hangs),
                None => main.filter(|_| second.shared),
            }
        {
            let limit = self.limit(&second.rectifier, emitter);
            self.model.second.iter_mut().for_each(|second| second.rectifier.emission = limit);
        }
        // what draws a stated current is tubes
        let share = if slowest.is_finite() { 1.0 / slowest.recip().hypot(1.0) } else { 1.0 };
        for (load, siemens) in self.model.loads.iter_mut().zip(&self.load_siemens) {
            if *siemens > 0.0 {
                load.ohms = Some(1.0 / (siemens * share).max(1e-9));
            }
        }
    }

    /// Runs the cycle that starts at `y`; its network states may be missing, for rest.
    fn run(&mut self, y: &DVector<f64>, tubes: &[[f64; 4]], sloped: bool) -> Result<Run> {
        let count = self.bodies.len();
        self.warm_to(y);
        let mut slow = Slow { tube_volts: tubes.to_vec(), ..self.slow.clone() };
        for (winding, ohms) in slow.heater_ohms.iter_mut().enumerate() {
            let here = self.bodies.iter().zip(y).filter(|(body, _)| body.winding == winding);
            let siemens: f64 = here.map(|(b, wire)| b.siemens * wire.powf(-b.exponent)).sum();
            if siemens > 0.0 {
                *ohms = 1.0 / siemens;
            }
        }
        let set = (&self.model, self.set.0, self.set.1);
        let (net, at) = build::build(set, &slow, self.on, None, Some(&self.warm.net))?;
        let how = March { steps: STEPS, offset: self.offset, sloped };
        let cycle = march(&net, how, &y.as_slice()[2 * count..])?;
        let drive = |(winding, ends): (usize, &(_, _))| {
            let volts = cycle.seen.rms(Probe::Volts(ends.0, ends.1));
            (volts / self.warm.heater_volts(winding).max(1e-6)).powi(2)
        };
        let drives: Vec<f64> = at.windings.iter().enumerate().map(drive).collect();
        let period = 1.0 / self.model.frequency;
        let warmed = self.bodies.iter().zip(y);
        let mut change: Vec<f64> =
            warmed.map(|(b, wire)| period * b.slope(*wire, drives[b.winding])).collect();
        for (i, body) in self.bodies.iter().enumerate() {
            change.push(match body.lag {
                Some(lag) => -(-period / lag).exp_m1() * (y[i] - y[count + i]),
                None => change[i],
            });
        }
        change.extend(cycle.end().iter().zip(cycle.start()).map(|(end, start)| end - start));
        let volts = |c: &build::Placed| cycle.seen.mean(Probe::Volts(c.positive, c.negative));
        let mut watched: Vec<f64> = at.capacitors.iter().map(|c| volts(c) / self.b_plus).collect();
        let mut y = y.as_slice()[..2 * count].to_vec();
        watched.extend(&y);
        y.extend(cycle.start());
        let tube_volts = tube_volts(&cycle.seen, &at);
        let [y, change, watched] = [y, change, watched].map(DVector::from_vec);
        Ok(Run { y, change, drives, tube_volts, watched, cycle, net, at })
    }

    /// A plain cycle; where the rectifier's law has no solution, with as much more emission as it needs.
    fn run_eased(&mut self, y: &DVector<f64>, tube_volts: &[[f64; 4]]) -> Result<Run> {
        let mut found = self.run(y, tube_volts, false);
        for ease in EASED {
            if found.is_err() {
                self.ease = ease;
                found = self.run(y, tube_volts, false);
            }
        }
        self.ease = 1.0;
        found
    }

    /// Follows the set from the moment it is switched on; `see` is told of each cycle that is run.
    pub fn follow(&mut self, how: SwitchedOn, see: &mut dyn FnMut(&Moment<'_>)) -> Result<()> {
        let period = 1.0 / self.model.frequency;
        let bodies = self.bodies.iter().chain(&self.bodies);
        let start = bodies.map(|b| if how.hot { 1.0 } else { b.cold }).collect();
        let mut now = self.worst(&DVector::from_vec(start))?;
        let mut cycles = 0.0;
        let last = (how.seconds / period).round();
        // those before it, the latest first, with the cycles to the next
        let mut past: Vec<(f64, Run)> = vec![];
        let mut leap = 1.0;
        loop {
            see(&Moment {
                seconds: cycles * period,
                cycle: &now.cycle,
                net: &now.net,
                at: &now.at,
                warm: &self.warmth(&now.y),
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
                    let settled = past.len() >= 2 && cycles + 1.0 >= FIRST as f64;
                    let after = if settled { 2.0 } else { 1.0 };
                    (self.run_eased(&(&now.y + &now.change), &now.tube_volts)?, 1.0, after)
                }
            };
            cycles += length;
            leap = after;
            past.insert(0, (length, std::mem::replace(&mut now, run)));
            past.truncate(2);
        }
    }

    /// The first cycle, switched on when the line's current becomes highest.
    fn worst(&mut self, y: &DVector<f64>) -> Result<Run> {
        let tubes = vec![[0.0; 4]; self.model.tubes.len()];
        let mut worst = (f64::NEG_INFINITY, 0);
        for phase in 0..PHASES {
            self.offset = phase * STEPS / PHASES;
            let run = self.run(y, &tubes, false)?;
            let (high, low) = run.cycle.extremes(Probe::Amps(run.at.line));
            let peak = high.max(-low);
            if peak > worst.0 {
                worst = (peak, self.offset);
            }
        }
        self.offset = worst.1;
        self.run(y, &tubes, false)
    }

    fn warmth(&self, y: &DVector<f64>) -> Vec<Warmth> {
        let (wires, cathodes) = y.as_slice().split_at(self.bodies.len());
        let bodies = self.bodies.iter().zip(wires).zip(cathodes);
        let warmth = bodies.map(|((body, wire), cathode)| Warmth {
            winding: body.winding,
            filament: body.filament,
            wire: *wire,
            cathode: *cathode,
        });
        warmth.collect()
    }

    /// The set `length` cycles on, and how far that is off; `None` where the rule is not met.
    fn leap(&mut self, now: &Run, past: &[(f64, Run)], length: f64) -> Option<(Run, f64)> {
        let [(before, one), (earlier, two)] = past else {
            return None;
        };
        let ratio = length / before;
        let (a, b) = ((1.0 + ratio).powi(2), -ratio * ratio);
        let rule = 1.0 / (1.0 + 2.0 * ratio);
        let base = (&now.y * a + &one.y * b) * rule;
        let weight = rule * (1.0 + ratio) * length;
        // a parabola through the last three
        let ahead = |of: fn(&Run) -> &DVector<f64>| {
            let [y, y1, y2] = [now, one, two].map(of);
            let first = (y - y1) / *before;
            let second = (&first - (y1 - y2) / *earlier) / (before + earlier);
            y + first * length + second * length * (length + before)
        };
        let mut y = ahead(|run| &run.y);
        let count = self.bodies.len();
        let mut tubes = now.tube_volts.clone();
        let seconds = weight / self.model.frequency;
        let mut sloped: Option<Cycle> = None;
        for _ in 0..ROUNDS {
            for (wire, body) in y.iter_mut().zip(self.bodies.iter().chain(&self.bodies)) {
                // one that is starved ends below where a law without a room puts it cold
                *wire = wire.clamp(0.9 * body.cold, body.cold.max(3.0));
            }
            let mut run = self.run(&y, &tubes, sloped.is_none()).ok()?;
            let matrix = sloped.get_or_insert_with(|| run.cycle.clone());
            let states = run.cycle.towards(matrix, &base.as_slice()[2 * count..], weight)?;
            let warmed = self.bodies.iter().zip(base.iter().zip(y.iter()));
            let warmed =
                warmed.map(|(b, (base, y))| b.implicit(*base, seconds, run.drives[b.winding], *y));
            let mut next: Vec<f64> = warmed.collect();
            for (i, body) in self.bodies.iter().enumerate() {
                let lagging =
                    |lag| (base[count + i] + seconds / lag * next[i]) / (1.0 + seconds / lag);
                next.push(body.lag.map_or(next[i], lagging));
            }
            next.extend(states);
            let next = DVector::from_vec(next);
            let moved = next.iter().zip(y.iter()).map(|(n, y)| (n - y).abs() / y.abs().max(0.05));
            let volts = run.tube_volts.iter().flatten().zip(tubes.iter().flatten());
            let volts = volts.map(|(n, t)| (n - t).abs() / n.abs().max(0.02 * self.b_plus));
            let moved = moved.chain(volts).fold(0.0, f64::max);
            tubes.clone_from(&run.tube_volts);
            if !moved.is_finite() {
                return None;
            }
            if moved <= MET {
                run.change = (&next - &base) / weight;
                run.y = next;
                let off = &run.watched - ahead(|run| &run.watched);
                let off = off.iter().map(|off| off.abs()).fold(0.0, f64::max);
                return Some((run, off));
            }
            y = next;
        }
        None
    }
}
