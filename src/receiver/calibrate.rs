//! Fits turns to the stated winding volts and a thermal resistance to each coil, then answers questions.

use super::build::{Core, Turns};
use super::error::ReceiverError;
use super::fault::Fault;
use super::iron::core;
use super::lead::{MainsLead, Straight};
use super::model::Model;
use super::operate::{Bench, CoilHeat, Operation, STEPS};
use super::thermal;
use crate::circuit::{Probe, REFERENCE};

/// Steps a cycle for faults and the start, which are known no better than to some per cent: 64 steps are within
/// 0.05 % of 4096 in volts and currents (`docs/verification.md`).
const COARSE_STEPS: usize = 64;
/// Rounds of turn fitting allowed.
const ROUNDS: usize = 40;
/// Loaded volts count as met within this share.
const MET: f64 = 1e-5;
/// The same for one draw among thousands.
const MET_COARSELY: f64 = 1e-4;

/// A set whose windings and coils are fitted; ask it what it does on a line.
#[derive(Debug, Clone)]
pub struct Receiver {
    model: Model,
    core: Core,
    turns: Turns,
    coil_rth: Vec<f64>,
    at_design: Operation,
    /// The set as it was made, where it is another.
    as_made: Option<Box<Receiver>>,
}

impl Receiver {
    /// Fits the windings of `model`. `near` may be a solved neighbour; it saves time only.
    ///
    /// # Errors
    /// [`ReceiverError`] when the stated volts contradict the rest or the set has no stable point.
    pub fn new(model: Model, near: Option<&Receiver>) -> Result<Receiver, ReceiverError> {
        Receiver::made_and_now(model, near, (STEPS, MET))
    }

    /// As [`Receiver::new`], in 64 steps a cycle and with the stated volts met within 0.01 %: for one draw among
    /// thousands, which [`Receiver::run_changed`] then solves in as many steps. Volts are within 0.05 %, currents within 0.2 %
    /// of those of [`Receiver::new`] (`tests/suite/tolerance.rs`).
    ///
    /// # Errors
    /// As [`Receiver::new`].
    pub fn coarse(model: Model, near: &Receiver) -> Result<Receiver, ReceiverError> {
        Receiver::made_and_now(model, Some(near), (COARSE_STEPS, MET_COARSELY))
    }

    fn made_and_now(
        model: Model,
        near: Option<&Receiver>,
        (steps, met): (usize, f64),
    ) -> Result<Receiver, ReceiverError> {
        let other_mains = model.frequency != model.design_frequency;
        if model.replaced.is_none() && !other_mains {
            return Receiver::fitted(model, near, (steps, met));
        }
        // stated volts are those of the set as it was made, on the mains it was made for
        let mut made = model.clone();
        made.frequency = made.design_frequency;
        let heated = made.replaced.as_ref().and_then(|tube| tube.winding);
        if let Some(tube) = made.replaced.take() {
            made.rectifier = tube;
        }
        let made_near = near.and_then(|r| r.as_made.as_deref());
        let made = Receiver::fitted(made, made_near, (steps, met))?;
        let mut now = model;
        if let Some(winding) = heated
            && let Some(winding) = now.windings.get_mut(winding)
            && let Some(place) = winding.filaments.iter().position(|f| f.socket.is_none())
        {
            winding.filaments.remove(place);
        }
        let bench = Bench { model: &now, steps, ..made.bench(&made.model, None) };
        let at_design = bench.run(now.design_line, &Straight, Some(&made.at_design))?;
        Ok(Receiver {
            core: made.core,
            turns: made.turns.clone(),
            coil_rth: made.coil_rth.clone(),
            at_design,
            model: now,
            as_made: Some(Box::new(made)),
        })
    }

    /// The set as it was made: this one, unless a dry rectifier has taken the place of its tube or it runs on mains of
    /// another frequency.
    pub fn as_made(&self) -> &Receiver {
        self.as_made.as_deref().unwrap_or(self)
    }

    /// The same set with parts that are off, its windings as fitted: `change` must leave windings, coils and tubes
    /// as many as they are. The solved design point stays that of the set before.
    pub fn with_parts(mut self, change: impl FnOnce(&mut Model)) -> Receiver {
        change(&mut self.model);
        self
    }

    fn fitted(
        model: Model,
        near: Option<&Receiver>,
        (steps, met): (usize, f64),
    ) -> Result<Receiver, ReceiverError> {
        let core = core(&model)?;
        let open = |volts: f64, line: f64| volts / (line * core.no_load_ratio);
        // a loaded winding needs some per cent more turns than its volts say; refined below
        let guess = |t: &super::model::TurnsFrom| {
            open(t.volts, t.at_line) * if t.open { 1.0 } else { 1.06 }
        };
        let turns = Turns {
            high_voltage: match (&model.high_voltage.turns_from, model.high_voltage.from_b_plus) {
                (Some(turns), _) => guess(turns),
                (None, Some((volts, line))) => {
                    let stacked = if model.rectifier.circuit.doubles() { 0.5 } else { 1.0 };
                    open(1.35 * stacked * volts, line)
                }
                (None, None) => open(340.0, model.design_line),
            },
            bias: model.bias.as_ref().map_or(0.0, |b| guess(&b.turns_from)),
            windings: model.windings.iter().map(|w| guess(&w.turns_from)).collect(),
        };
        let turns = match near {
            Some(r) if r.turns.windings.len() == turns.windings.len() => r.turns.clone(),
            _ => turns,
        };
        let mut bench = Bench {
            model: &model,
            core,
            turns,
            coil_rth: vec![0.0; model.coils.len()],
            heat: CoilHeat::Stated,
            steps,
            fault: None,
        };
        if let Some(r) = near {
            // open-circuit windings are known outright, whatever the neighbour had
            if let Some(t) = &model.high_voltage.turns_from
                && t.open
            {
                bench.turns.high_voltage = guess(t);
            }
            for (i, w) in model.windings.iter().enumerate() {
                if w.turns_from.open {
                    bench.turns.windings[i] = guess(&w.turns_from);
                }
            }
            if let Some(bias) = &model.bias
                && bias.turns_from.open
            {
                bench.turns.bias = guess(&bias.turns_from);
            }
            if steps != STEPS {
                bench.turns.follow(&r.model, &model);
            }
            bench.coil_rth.clone_from(&r.coil_rth);
        }
        let at_design = fit(&mut bench, near.map(|r| &r.at_design), met)?;
        bench.coil_rth = model
            .coils
            .iter()
            .enumerate()
            .map(|(i, coil)| {
                let amps = at_design.state.rms(Probe::Amps(at_design.at.coils[i].2));
                let rise =
                    thermal::copper_celsius(coil.cold, model.room_c, coil.hot) - model.room_c;
                let watts = amps * amps * coil.hot;
                if watts > 0.0 { (rise / watts).max(0.0) } else { 0.0 }
            })
            .collect();
        // by their own heat the coils come to the same point; the search for it is spared where it is one of thousands
        let at_design = if steps == STEPS {
            bench.heat = CoilHeat::Solved;
            bench.run(model.design_line, &Straight, Some(&at_design))?
        } else {
            at_design
        };
        let (turns, coil_rth) = (bench.turns.clone(), bench.coil_rth.clone());
        Ok(Receiver { core, turns, coil_rth, at_design, model, as_made: None })
    }

    /// The complete model.
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// Core of the transformer.
    pub fn core(&self) -> Core {
        self.core
    }

    /// Turns per volt of primary EMF.
    pub fn turns(&self) -> &Turns {
        &self.turns
    }

    /// Thermal resistance of a coil, K/W.
    pub fn coil_rth(&self, coil: usize) -> f64 {
        self.coil_rth[coil]
    }

    /// The set straight on its design line.
    pub fn at_design(&self) -> &Operation {
        &self.at_design
    }

    /// Solves the set on `line` volts RMS behind `lead`.
    ///
    /// # Errors
    /// [`ReceiverError`]; no number is returned for a case that did not converge.
    pub fn run(
        &self,
        line: f64,
        lead: &dyn MainsLead,
        near: Option<&Operation>,
    ) -> Result<Operation, ReceiverError> {
        self.run_with(line, lead, near, STEPS)
    }

    /// As [`Receiver::run`] with another number of steps a cycle.
    ///
    /// # Errors
    /// As [`Receiver::run`].
    pub fn run_with(
        &self,
        line: f64,
        lead: &dyn MainsLead,
        near: Option<&Operation>,
        steps: usize,
    ) -> Result<Operation, ReceiverError> {
        let bench = Bench { steps, ..self.bench(&self.model, None) };
        bench.run(line, lead, Some(near.unwrap_or(&self.at_design)))
    }

    /// Solves the set with a fault, on `line` volts RMS behind `lead`.
    ///
    /// Currents through a shorted rectifier are upper bounds: the law knows no limit of emission.
    ///
    /// # Errors
    /// As [`Receiver::run`].
    pub fn run_fault(
        &self,
        line: f64,
        lead: &dyn MainsLead,
        fault: Fault,
        near: &Operation,
    ) -> Result<Operation, ReceiverError> {
        self.run_fault_changed(line, lead, fault, near, |_| ())
    }

    /// As [`Receiver::run_fault`], in the set as `change` makes it.
    ///
    /// # Errors
    /// As [`Receiver::run`].
    pub fn run_fault_changed(
        &self,
        line: f64,
        lead: &dyn MainsLead,
        fault: Fault,
        near: &Operation,
        change: impl FnOnce(&mut Model),
    ) -> Result<Operation, ReceiverError> {
        let changed = fault.changed(&self.model);
        let held = changed.is_none();
        let mut model = changed.unwrap_or_else(|| self.model.clone());
        change(&mut model);
        let mut bench = self.bench(&model, Some(fault));
        bench.steps = COARSE_STEPS;
        if held {
            bench.heat = CoilHeat::Held;
        }
        bench.run(line, lead, Some(near))
    }

    /// Solves the set as `change` makes it, with the windings as fitted: cold heaters, tubes that do not draw.
    ///
    /// # Errors
    /// As [`Receiver::run`].
    pub fn run_changed(
        &self,
        line: f64,
        lead: &dyn MainsLead,
        near: &Operation,
        change: impl FnOnce(&mut Model),
    ) -> Result<Operation, ReceiverError> {
        let mut model = self.model.clone();
        change(&mut model);
        let mut bench = self.bench(&model, None);
        bench.steps = COARSE_STEPS;
        bench.run(line, lead, Some(near))
    }

    fn bench<'m>(&self, model: &'m Model, fault: Option<Fault>) -> Bench<'m> {
        Bench {
            model,
            core: self.core,
            turns: self.turns.clone(),
            coil_rth: self.coil_rth.clone(),
            heat: CoilHeat::Solved,
            steps: STEPS,
            fault,
        }
    }

    /// Temperature of a coil in °C at an operating point.
    pub fn coil_celsius(&self, operation: &Operation, coil: usize) -> f64 {
        let c = &self.model.coils[coil];
        thermal::copper_celsius(c.cold, self.model.room_c, operation.slow.coil_ohms[coil])
    }
}

impl Turns {
    /// Turns of loaded windings as their stated volts went from `before` to `now`: nearer the answer than those of the
    /// neighbour, and no more than a guess.
    fn follow(&mut self, before: &Model, now: &Model) {
        let high_voltage =
            |m: &Model| match (&m.high_voltage.turns_from, m.high_voltage.from_b_plus) {
                (Some(t), _) if !t.open => Some(t.volts),
                (None, Some((volts, _))) => Some(volts),
                _ => None,
            };
        if let Some((old, new)) = high_voltage(before).zip(high_voltage(now)) {
            self.high_voltage *= new / old;
        }
        let windings = before.windings.iter().zip(&now.windings);
        for (turns, (old, new)) in self.windings.iter_mut().zip(windings) {
            if !new.turns_from.open {
                *turns *= new.turns_from.volts / old.turns_from.volts;
            }
        }
    }
}

/// One stated voltage that turns must meet.
struct Goal {
    name: String,
    line: f64,
    wanted: f64,
    kind: GoalKind,
}

#[derive(Clone, Copy)]
enum GoalKind {
    HighVoltage,
    Bias,
    BPlus,
    Winding(usize),
}

/// Adjusts the turns until every loaded voltage comes out; returns the set on its design line.
fn fit(
    bench: &mut Bench<'_>,
    near: Option<&Operation>,
    met: f64,
) -> Result<Operation, ReceiverError> {
    let model = bench.model;
    let mut goals = Vec::new();
    match (&model.high_voltage.turns_from, model.high_voltage.from_b_plus) {
        (Some(t), _) if !t.open => goals.push(Goal {
            name: "the high-voltage winding".to_owned(),
            line: t.at_line,
            wanted: t.volts,
            kind: GoalKind::HighVoltage,
        }),
        (None, Some((volts, line))) => {
            goals.push(Goal { name: "B+".to_owned(), line, wanted: volts, kind: GoalKind::BPlus })
        }
        _ => {}
    }
    if let Some(bias) = &model.bias
        && !bias.turns_from.open
    {
        goals.push(Goal {
            name: "the bias winding".to_owned(),
            line: bias.turns_from.at_line,
            wanted: bias.turns_from.volts,
            kind: GoalKind::Bias,
        });
    }
    for (i, w) in model.windings.iter().enumerate() {
        if !w.turns_from.open {
            goals.push(Goal {
                name: format!("the {} winding", w.name),
                line: w.turns_from.at_line,
                wanted: w.turns_from.volts,
                kind: GoalKind::Winding(i),
            });
        }
    }
    let mut at_design = bench.run(model.design_line, &Straight, near)?;
    let mut last = None;
    for _ in 0..ROUNDS {
        let mut worst: f64 = 0.0;
        let mut other: Option<Operation> = None;
        for (place, goal) in goals.iter().enumerate() {
            let same = (goal.line - at_design.line).abs() < 1e-9;
            if !same && other.as_ref().is_none_or(|o| (o.line - goal.line).abs() > 1e-9) {
                other = Some(bench.run(goal.line, &Straight, Some(&at_design))?);
            }
            let operation = other.as_ref().filter(|_| !same).unwrap_or(&at_design);
            let got = match goal.kind {
                GoalKind::HighVoltage => {
                    let (a, b) = operation.at.high_voltage;
                    operation.state.rms(Probe::Volts(a, b))
                }
                GoalKind::Bias => {
                    let (out, end) = operation.at.bias_winding.unwrap_or((REFERENCE, REFERENCE));
                    operation.state.rms(Probe::Volts(out, end))
                }
                GoalKind::BPlus => operation.b_plus(),
                GoalKind::Winding(i) => operation.heater_volts(i),
            };
            if got.is_nan() || got <= 0.0 {
                return Err(not_calibrated(goal, got));
            }
            let ratio = goal.wanted / got;
            if (ratio - 1.0).abs() >= worst {
                worst = (ratio - 1.0).abs();
                last = Some((place, got));
            }
            match goal.kind {
                GoalKind::Winding(i) => bench.turns.windings[i] *= ratio,
                GoalKind::Bias => bench.turns.bias *= ratio,
                _ => bench.turns.high_voltage *= ratio,
            }
        }
        if worst <= met {
            return Ok(at_design);
        }
        at_design = bench.run(model.design_line, &Straight, Some(&at_design))?;
    }
    match last {
        Some((goal, got)) => Err(not_calibrated(&goals[goal], got)),
        None => Ok(at_design),
    }
}

fn not_calibrated(goal: &Goal, got: f64) -> ReceiverError {
    ReceiverError::NotCalibrated { quantity: goal.name.clone(), got, wanted: goal.wanted }
}
