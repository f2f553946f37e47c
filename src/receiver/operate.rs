//! The set at work: a periodic solution with heaters, coil and tube currents in balance with it.
//!
//! The slow quantities (heater resistance, coil temperature, average tube volts) stand still within a
//! cycle. They are found by repeating: build the network, solve it, take the new averages. Tubes enter with
//! their slopes, so each repetition is a Newton step and bias that feeds back on itself converges.

use super::{
    Core, Fault, MainsLead, Model, Points, ReceiverError, Result, Slow, Turns, build,
    mixing::{Damping, Mixing},
    thermal,
    warmup::{NO_HEATER_OHMS, heater_ohms},
};
use crate::circuit::{
    ElementId, Network, Node, Probe, REFERENCE, Settings, SteadyState, steady_state,
    steady_state_again,
};

/// Steps a cycle for the receiver's own solutions. Against 4096 steps the voltages of the reference cases
/// move by less than 0.03 % and ripple by less than 0.1 % (`docs/verification.md`).
pub const STEPS: usize = 128;
/// Rounds in which the slow quantities are mixed from those before; most sets have settled by then.
const MIXED: usize = 12;
/// Rounds of the slow loop allowed.
const ROUNDS: usize = 150;
/// Where the slow quantities of an answer count as settled.
pub const SETTLED: f64 = 2e-5;
/// The same in fewer steps than [`STEPS`].
const COARSE_SETTLED: f64 = 1e-4;

/// Change over a cycle that counts as none, relative, and from which round on, in rounds that most sets never see, less:
/// the heaters of a broken string at microvolts would be moved by what is left open.
const PERIODIC: f64 = 1e-6;
const CLOSER: (usize, f64) = (12, 1e-9);
/// While the slow quantities move by more than so many times what counts as settled, the cycle need not be closed any better
/// than to a share of what they move, or to [`OPEN`]: what is left of a miss is taken off the averages to the first order.
const NEARLY: f64 = 8.0;
const SHARE: f64 = 0.2;
const OPEN: f64 = 1e-2;
/// While they move by more than this, half the steps will do: these are off by about as much.
const HALF_STEPS: f64 = 2e-3;

/// What holds while windings are being fitted: coils at their stated hot resistance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CoilHeat {
    /// As stated hot.
    Stated,
    /// By the coil's own heat.
    Solved,
    /// As in the neighbour the search starts from: for faults that last no longer than a fuse.
    Held,
}

/// Volts between two nodes.
fn ends((a, b): (Node, Node)) -> Probe {
    Probe::Volts(a, b)
}

/// Watts lost in the power transformer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Losses {
    /// In the copper of its windings.
    pub copper_w: f64,
    /// In its iron.
    pub iron_w: f64,
}

impl Losses {
    fn of(state: &SteadyState, at: &Points) -> Losses {
        let watts = |&(id, ohms): &(ElementId, f64)| ohms * state.rms(Probe::Amps(id)).powi(2);
        Losses {
            copper_w: at.copper.iter().map(watts).sum(),
            iron_w: at.core_loss.as_ref().map_or(0.0, watts),
        }
    }

    /// All of them.
    pub fn total_w(self) -> f64 {
        self.copper_w + self.iron_w
    }
}

/// A solved operating point.
#[derive(Debug, Clone)]
pub struct Operation {
    /// The network.
    pub net: Network,
    /// Where to measure.
    pub at: Points,
    /// The periodic solution.
    pub state: SteadyState,
    /// Slow quantities it holds for.
    pub slow: Slow,
    /// Line volts RMS.
    pub line: f64,
    /// Slow quantities that it asks for, a round nearer: where a neighbour begins.
    begin: Slow,
}

impl Operation {
    /// Moves this point by a share of the way from `from` to `to`: where to begin a search, no solution itself. Resistances
    /// go by their logarithms.
    pub fn lean(&mut self, from: &Operation, to: &Operation, share: f64) {
        self.begin.lean(&from.begin, &to.begin, share);
        self.state.lean(&from.state, &to.state, share);
    }

    /// This point gone the way that another went from `from` to `to`: where to begin a search, no solution itself.
    pub fn gone(&self, from: &Operation, to: &Operation) -> Operation {
        let mut begin = self.clone();
        begin.lean(from, to, 1.0);
        begin
    }

    /// Average volts between two nodes.
    pub fn dc(&self, a: Node, b: Node) -> f64 {
        self.state.mean(Probe::Volts(a, b))
    }

    /// B+ against chassis, average.
    pub fn b_plus(&self) -> f64 {
        self.dc(self.at.b_plus, REFERENCE)
    }

    /// B+ and `B2+`, the latter 0 without a second supply.
    pub fn both_b_plus(&self) -> (f64, f64) {
        let second = self.at.second.as_ref();
        (self.b_plus(), second.map_or(0.0, |second| self.dc(second.b_plus, REFERENCE)))
    }

    /// RMS volts at a heater winding's terminals.
    pub fn heater_volts(&self, winding: usize) -> f64 {
        self.state.rms(ends(self.at.windings[winding]))
    }

    /// Whether anything hangs on a winding, or in a link of a string: not where all of it is out of its sockets.
    pub fn has_heater(&self, winding: usize) -> bool {
        self.slow.heater_ohms[winding] < 0.5 * NO_HEATER_OHMS
    }

    /// Mean of the absolute volts there.
    pub fn heater_mean_volts(&self, winding: usize) -> f64 {
        self.state.mean_absolute(ends(self.at.windings[winding]))
    }

    /// What is lost in the power transformer; nothing in a set without one.
    pub fn losses(&self) -> Losses {
        Losses::of(&self.state, &self.at)
    }

    /// RMS volts where the line cord enters the set.
    pub fn set_volts(&self) -> f64 {
        self.state.rms(ends((self.at.inserted.set, self.at.neutral)))
    }

    /// The same behind a resistor in it that came later.
    pub fn volts_as_built(&self) -> f64 {
        self.state.rms(ends((self.at.as_built, self.at.neutral)))
    }
}

/// What is fitted of a set.
#[derive(Debug, Clone)]
pub struct Fitted {
    pub core: Core,
    pub turns: Turns,
    /// Thermal resistance of each coil, K/W.
    pub coil_rth: Vec<f64>,
    /// What the power transformer loses on the design line, W; 0 while that is sought.
    pub designed_w: f64,
}

/// Everything a solution needs beside the line and the lead.
pub struct Solver<'m> {
    pub model: &'m Model,
    pub fitted: Fitted,
    pub heat: CoilHeat,
    pub steps: usize,
    pub fault: Option<Fault>,
    /// The slow quantities count as settled when none moves by more than this share of its size.
    pub settled: f64,
}

impl Solver<'_> {
    /// That of a sound set.
    pub fn new(model: &Model, fitted: Fitted) -> Solver<'_> {
        let (heat, settled) = (CoilHeat::Solved, SETTLED);
        Solver { model, fitted, heat, steps: STEPS, fault: None, settled }
    }

    /// First guesses for the slow quantities.
    fn cold_start(&self) -> Slow {
        let model = self.model;
        let heater_ohms =
            model.windings.iter().map(|w| heater_ohms(&w.filaments, w.nominal_volts())).collect();
        let tube_volts = model
            .tubes
            .iter()
            .map(|t| {
                // somewhere inside the law: published-like volts
                let screen = if t.law.screen > 0.0 { 100.0 } else { 0.0 };
                [-1.0, screen, 200.0, 0.0]
            })
            .collect();
        let coil_ohms = model.coils.iter().map(|c| c.hot).collect();
        let copper = model.copper.factor(model.room_c, model.copper.rise);
        Slow { heater_ohms, coil_ohms, copper, tube_volts }
    }

    /// Solves the set on `line` volts RMS behind `lead`, starting from a neighbour if one is given.
    pub fn run(
        &self,
        line: f64,
        lead: &dyn MainsLead,
        near: Option<&Operation>,
    ) -> Result<Operation> {
        let mut slow = near.map_or_else(|| self.cold_start(), |o| o.begin.clone());
        let mut before: Option<SteadyState> = None;
        let mut alike: Option<Network> = None;
        let mut settings = Settings::fixed(self.steps);
        // coarse steps are worth no more
        let settled =
            if self.steps < STEPS { self.settled.max(COARSE_SETTLED) } else { self.settled };
        let closed = PERIODIC.max(SHARE * settled);
        // one solution among many that are alike begins near enough
        let from_afar =
            self.fault.is_some() || self.steps >= STEPS && self.heat == CoilHeat::Solved;
        let mut worst = (0, f64::INFINITY);
        let mut mixing = Mixing::default();
        let mut damping = Damping::default();
        let mut steps = self.steps;
        for round in 0..ROUNDS {
            let far_off = from_afar && worst.1 > HALF_STEPS;
            let wanted = if far_off && round < MIXED { self.steps / 2 } else { self.steps };
            if wanted != steps {
                // what was found in other steps says nothing of these
                (steps, mixing) = (wanted, Mixing::default());
            }
            settings.steps = steps;
            settings.periodic = match worst.1 {
                _ if round >= CLOSER.0 => CLOSER.1,
                far if far > NEARLY * settled => (SHARE * far).min(OPEN),
                _ => closed,
            };
            let set = (self.model, &self.fitted.core, &self.fitted.turns);
            let (net, at) = build::build(set, &slow, (line, lead), self.fault, alike.as_ref())?;
            let state = match (&before, near) {
                (Some(before), _) => steady_state_again(&net, &settings, before)?,
                (None, Some(near)) if self.goes_on(near, &net) => {
                    steady_state_again(&net, &settings, &near.state)?
                }
                (None, near) => steady_state(&net, &settings, near.map(|o| o.state.start()))?,
            };
            let next = self.averages(&state, &at, &slow);
            worst = next.change(&slow);
            if worst.1 <= settled && state.closed() <= closed && steps == self.steps {
                return Ok(Operation { net, at, state, slow, line, begin: next });
            }
            slow = if round < MIXED { mixing.next(&slow, next) } else { damping.next(&slow, next) };
            (before, alike) = (Some(state), Some(net));
        }
        let quantity = Slow::name(self.model, worst.0);
        Err(ReceiverError::NotSettled { rounds: ROUNDS, quantity, change: worst.1 })
    }

    /// Whether the set is put together as in `near`, so that what is known of that cycle may serve: no fault, and as many
    /// nodes.
    fn goes_on(&self, near: &Operation, net: &Network) -> bool {
        self.fault.is_none() && near.net.node_count() == net.node_count()
    }

    /// The slow quantities that the solution asks for.
    fn averages(&self, state: &SteadyState, at: &Points, now: &Slow) -> Slow {
        let model = self.model;
        let heater_ohms = model
            .windings
            .iter()
            .zip(&at.windings)
            .map(|(w, nodes)| heater_ohms(&w.filaments, state.rms(ends(*nodes))))
            .collect();
        let coil_ohms = model
            .coils
            .iter()
            .enumerate()
            .map(|(i, coil)| match self.heat {
                CoilHeat::Stated => coil.hot,
                CoilHeat::Held => now.coil_ohms[i],
                CoilHeat::Solved => {
                    let amps = state.rms(Probe::Amps(at.coils[i].2));
                    thermal::coil_ohms(coil.cold, model.room_c, self.fitted.coil_rth[i], amps)
                }
            })
            .collect();
        let tube_volts = tube_volts(state, at);
        Slow { heater_ohms, coil_ohms, copper: self.copper(state, at, now), tube_volts }
    }

    /// The power transformer's copper over its stated resistance, in balance with its heat at the currents of `state`.
    fn copper(&self, state: &SteadyState, at: &Points, now: &Slow) -> f64 {
        let Model { copper, room_c, .. } = *self.model;
        let rise = match self.heat {
            CoilHeat::Held => return now.copper,
            _ if copper.warm || at.copper.is_empty() => return now.copper,
            CoilHeat::Stated if self.fitted.designed_w == 0.0 => copper.rise,
            CoilHeat::Stated | CoilHeat::Solved => {
                let losses = Losses::of(state, at);
                let designed = (copper.rise, self.fitted.designed_w);
                let cold_w = losses.copper_w / now.copper;
                thermal::transformer_balance(losses.iron_w, cold_w, room_c, designed)
            }
        };
        copper.factor(room_c, rise)
    }
}

/// Average grid, screen and plate volts of each tube against its cathode, and the cathode's.
pub fn tube_volts(state: &SteadyState, at: &Points) -> Vec<[f64; 4]> {
    at.tubes
        .iter()
        .map(|t| {
            let volts = |node| state.mean(Probe::Volts(node, t.cathode));
            let cathode = state.mean(Probe::Volts(t.cathode, REFERENCE));
            let grid = t.grid.map_or(t.fixed_grid - cathode, volts);
            [grid, t.screen.map_or(0.0, volts), volts(t.plate), cathode]
        })
        .collect()
}
