//! Fits turns to the stated winding volts and a thermal resistance to each coil, then answers questions.

use super::{
    AsBuilt, Coil, Core, Fault, MainsLead, MainsResistor, Model, Moment, Operation, ReceiverError,
    Result, STEPS, Straight, SwitchedOn, Turns, TurnsFrom,
    error::flaw,
    iron::core,
    operate::{CoilHeat, Fitted, Solver},
    shown,
    start::Marcher,
    thermal,
    turns::{Winding, fit, stated},
};
use crate::circuit::{ElementId, Probe};
use std::sync::Arc;

/// Steps a cycle for faults and the start, which are known no better than to some per cent: 64 steps are within
/// 0.05 % of 4096 in volts and currents (`docs/verification.md`).
const COARSE_STEPS: usize = 64;
/// Where the slow quantities of a fault count as settled: closer than its steps are.
const FAULT_SETTLED: f64 = 3e-4;

/// A set whose windings and coils are fitted; ask it what it does on a line.
#[derive(Debug, Clone)]
pub struct Receiver {
    model: Arc<Model>,
    fitted: Fitted,
    at_design: Operation,
    /// The set as it was made, where it is another.
    as_made: Option<Box<Receiver>>,
}

impl Receiver {
    /// Fits the windings of `model`. `near` may be a solved neighbour; it saves time only.
    ///
    /// # Errors
    /// [`ReceiverError`] when the stated volts contradict the rest or the set has no stable point.
    pub fn new(model: Model, near: Option<&Receiver>) -> Result<Receiver> {
        // kept to say which load it is, where one is too much for the supply
        let loaded = model.loads.iter().any(|l| l.amps > 0.0).then(|| model.clone());
        let made = Receiver::made_and_now(model, near, STEPS);
        let mut made =
            made.map_err(|error| loaded.and_then(|set| too_much(set, &error)).unwrap_or(error))?;
        if let Some(came_later) = made.model.mains_resistor.filter(|r| !r.by_maker) {
            let there = made.run(made.model.design_line, &Straight, None)?;
            let takes = 1.0 - there.volts_as_built() / there.line;
            let model = Arc::make_mut(&mut made.model);
            model.mains_resistor = Some(MainsResistor { takes, ..came_later });
        }
        below_cathode(&made).map_or(Ok(made), Err)
    }

    /// As [`Receiver::new`], in 64 steps a cycle and with the stated volts met within 0.01 %: for one draw among
    /// thousands, which [`Receiver::run_changed`] then solves in as many steps. Volts are within 0.05 %, currents within 0.25 %
    /// of those of [`Receiver::new`] (`tests/suite/tolerance.rs`).
    ///
    /// # Errors
    /// As [`Receiver::new`].
    pub fn coarse(model: Model, near: &Receiver) -> Result<Receiver> {
        Receiver::made_and_now(model, Some(near), COARSE_STEPS)
    }

    fn made_and_now(mut model: Model, near: Option<&Receiver>, steps: usize) -> Result<Receiver> {
        let other_mains = model.frequency != model.design_frequency;
        if model.replaced.is_none() && !other_mains {
            return Receiver::fitted(model, near, steps);
        }
        // the model of a receiver lacks the filament that the set was made with
        if let Some(tube) = &model.replaced
            && let Some((winding, had)) = tube.winding.zip(near.and_then(|r| r.as_made.as_deref()))
            && let (Some(now), Some(then)) =
                (model.windings.get_mut(winding), had.model.windings.get(winding))
            && now.filaments.len() < then.filaments.len()
            && let Some(place) = then.filaments.iter().position(|f| f.socket.is_none())
        {
            now.filaments.insert(place, then.filaments[place]);
        }
        // stated volts are those of the set as it was made, on the mains it was made for
        let mut made = model.clone();
        made.frequency = made.design_frequency;
        if let Some(tube) = made.replaced.take() {
            model.unhang_rectifier(tube.winding);
            made.rectifier = tube;
        }
        let made = Receiver::fitted(made, near.and_then(|r| r.as_made.as_deref()), steps)?;
        let bench = Solver { steps, ..Solver::new(&model, made.fitted.clone()) };
        let at_design = bench.run(model.design_line, &AsBuilt, Some(&made.at_design))?;
        let fitted = bench.fitted;
        let model = Arc::new(model);
        Ok(Receiver { model, fitted, at_design, as_made: Some(Box::new(made)) })
    }

    /// The set as it was made: this one, unless a dry rectifier has taken the place of its tube or it runs on mains of
    /// another frequency.
    pub fn as_made(&self) -> &Receiver {
        self.as_made.as_deref().unwrap_or(self)
    }

    /// The same set with parts that are off, its windings as fitted: `change` must leave windings, coils and tubes
    /// as many as they are. The solved design point stays that of the set before.
    pub fn with_parts(mut self, change: impl FnOnce(&mut Model)) -> Receiver {
        change(Arc::make_mut(&mut self.model));
        self
    }

    /// Moves what a search for turns begins with by a share of the way from `from` to `to`, beyond what the stated volts of
    /// `to` ask for; the set stays what it is.
    pub fn lean(&mut self, from: &Receiver, to: &Receiver, share: f64) {
        let mut followed = from.fitted.turns.clone();
        followed.follow(&from.model, &to.model);
        let mut there = to.fitted.turns.clone();
        for (winding, _) in stated(&from.model) {
            let ratio = *there.of(winding) / *followed.of(winding);
            *self.fitted.turns.of(winding) *= ratio.powf(share);
        }
        self.at_design.lean(&from.at_design, &to.at_design, share);
        if let (Some(now), Some(from), Some(to)) = (&mut self.as_made, &from.as_made, &to.as_made) {
            now.lean(from, to, share);
        }
    }

    fn fitted(model: Model, near: Option<&Receiver>, steps: usize) -> Result<Receiver> {
        let core = core(&model)?;
        let guess = |winding: Winding, TurnsFrom { volts, open, at_line }: TurnsFrom| {
            let unloaded = |volts: f64| volts / (at_line * core.no_load_ratio);
            match winding {
                Winding::HighVoltage if model.high_voltage.by_b_plus => {
                    let stacked = if model.rectifier.circuit.facts().doubles { 0.5 } else { 1.0 };
                    unloaded(1.35 * stacked * volts)
                }
                _ if open => unloaded(volts),
                // a loaded winding needs some per cent more turns than its volts say; refined below
                _ => 1.06 * unloaded(volts),
            }
        };
        let alike = near.filter(|r| r.fitted.turns.windings.len() == model.windings.len());
        let mut turns = match alike {
            Some(r) => r.fitted.turns.clone(),
            None => Turns::all(0.0, model.windings.len()),
        };
        for (winding, stated) in stated(&model) {
            // open-circuit windings are known outright, whatever the neighbour had
            if stated.open || alike.is_none() {
                *turns.of(winding) = guess(winding, stated);
            }
        }
        let mut coil_rth = vec![0.0; model.coils.len()];
        if let Some(r) = near {
            if steps != STEPS {
                turns.follow(&r.model, &model);
            }
            coil_rth.clone_from(&r.fitted.coil_rth);
        }
        let fitted = Fitted { core, turns, coil_rth, designed_w: 0.0 };
        let bench = Solver::new(&model, fitted);
        let mut bench = Solver { heat: CoilHeat::Stated, steps, ..bench };
        let mut at_design = fit(&mut bench, near.map(|r| &r.at_design))?;
        let rth = |(coil, at): (&Coil, &(_, _, ElementId))| {
            let amps = at_design.state.rms(Probe::Amps(at.2));
            let rise = thermal::copper_celsius(coil.cold, model.room_c, coil.hot) - model.room_c;
            let watts = amps * amps * coil.hot;
            if watts > 0.0 { (rise / watts).max(0.0) } else { 0.0 }
        };
        bench.fitted.coil_rth = model.coils.iter().zip(&at_design.at.coils).map(rth).collect();
        bench.fitted.designed_w = at_design.losses().total_w();
        // by their own heat the coils come to the same point; the search for it is spared where it is one of thousands
        if steps == STEPS {
            bench.heat = CoilHeat::Solved;
            at_design = bench.run(model.design_line, &AsBuilt, Some(&at_design))?;
        }
        let fitted = bench.fitted;
        Ok(Receiver { fitted, at_design, model: Arc::new(model), as_made: None })
    }

    /// The complete model.
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// Core of the transformer.
    pub fn core(&self) -> Core {
        self.fitted.core
    }

    /// Turns per volt of primary EMF.
    pub fn turns(&self) -> &Turns {
        &self.fitted.turns
    }

    /// Thermal resistance of a coil, K/W.
    #[cfg_attr(not(feature = "inside"), expect(dead_code, reason = "an instrument of tests"))]
    pub fn coil_rth(&self, coil: usize) -> f64 {
        self.fitted.coil_rth[coil]
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
    ) -> Result<Operation> {
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
    ) -> Result<Operation> {
        let near = near.unwrap_or(&self.at_design);
        Solver { steps, ..self.bench(&self.model) }.run(line, lead, Some(near))
    }

    /// As [`Receiver::run`] in 64 steps a cycle.
    ///
    /// # Errors
    /// As [`Receiver::run`].
    pub fn run_coarse(
        &self,
        line: f64,
        lead: &dyn MainsLead,
        near: &Operation,
    ) -> Result<Operation> {
        self.run_with(line, lead, Some(near), COARSE_STEPS)
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
    ) -> Result<Operation> {
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
    ) -> Result<Operation> {
        let changed = fault.changed(&self.model);
        let heat = if changed.is_none() { CoilHeat::Held } else { CoilHeat::Solved };
        let mut model = changed.unwrap_or_else(|| Model::clone(&self.model));
        change(&mut model);
        if matches!(fault, Fault::FieldCoilOpen | Fault::ChokeOpen) {
            model.loads_as_ohms(self.at_design.both_b_plus());
        }
        let (steps, settled, fault) = (COARSE_STEPS, FAULT_SETTLED, Some(fault));
        let bench = Solver { heat, steps, settled, fault, ..self.bench(&model) };
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
    ) -> Result<Operation> {
        let mut model = Model::clone(&self.model);
        change(&mut model);
        let bench = Solver { steps: COARSE_STEPS, ..self.bench(&model) };
        bench.run(line, lead, Some(near))
    }

    /// Follows the set from the moment it is switched on, on `line` volts RMS behind `lead`, to its point `warm` there; `see`
    /// is told of each cycle that is run, in order.
    ///
    /// # Errors
    /// A cycle that has no solution.
    pub fn switch_on(
        &self,
        (line, lead): (f64, &dyn MainsLead),
        warm: &Operation,
        how: SwitchedOn,
        see: &mut dyn FnMut(&Moment<'_>),
    ) -> Result<()> {
        let set = (&self.fitted.core, &self.fitted.turns);
        Marcher::new(&self.model, set, (line, lead), warm, how.hot).follow(how, see)
    }

    fn bench<'m>(&self, model: &'m Model) -> Solver<'m> {
        Solver::new(model, self.fitted.clone())
    }

    /// Average temperatures of the power transformer's windings in °C after some hours at an operating point, its rise as
    /// designed each of `shares` of what it is taken for; `None` in a set without one.
    pub fn transformer_celsius<const N: usize>(
        &self,
        operation: &Operation,
        shares: [f64; N],
    ) -> Option<[f64; N]> {
        let watts = operation.losses().total_w();
        let celsius = |share: f64| {
            let designed = (share * self.model.copper.rise, self.fitted.designed_w);
            self.model.room_c + thermal::transformer_rise(watts, designed)
        };
        operation.at.core_loss.map(|_| shares.map(celsius))
    }

    /// Temperature of a coil in °C at an operating point.
    pub fn coil_celsius(&self, operation: &Operation, coil: usize) -> f64 {
        let c = &self.model.coils[coil];
        thermal::copper_celsius(c.cold, self.model.room_c, operation.slow.coil_ohms[coil])
    }
}

/// A triode whose plate stands below its cathode on the design line: its law has a current left at no plate volts, so that
/// what is said of its grid cannot be all.
fn below_cathode(set: &Receiver) -> Option<ReceiverError> {
    let mut tubes = set.model.tubes.iter().zip(&set.at_design.slow.tube_volts);
    let (tube, _) = tubes.find(|(t, [_, _, plate, _])| t.law.screen == 0.0 && *plate < 0.0)?;
    Some(flaw(
        format!("the plate of the {} would stand below its cathode", tube.label),
        format!("tubes[{}]", tube.socket),
        "write where its bias comes from: a resistor at its cathode, a tap for its grid, or `grid: { leak: 10 MΩ }`; and check the resistance that feeds its plate",
    ))
}

/// The load that is too much for the supply of `model`, where the set without its steady currents has the solution that it
/// lacks with them.
fn too_much(mut model: Model, error: &ReceiverError) -> Option<ReceiverError> {
    if error.key().is_some() {
        return None;
    }
    let loads = model.loads.iter().enumerate();
    let (place, _) = loads.max_by(|a, b| a.1.amps.total_cmp(&b.1.amps))?;
    let load = model.loads[place].clone();
    model.loads.iter_mut().for_each(|l| l.amps = 0.0);
    let without = Receiver::made_and_now(model, None, COARSE_STEPS).ok()?;
    Some(flaw(
        format!(
            "this supply cannot give {} to \"{}\": without that load B+ stands at {:.0} V, with it the set has no solution",
            shown(load.amps, "A"),
            load.name,
            without.at_design().b_plus()
        ),
        format!("loads[{place}].current"),
        "check that current and its unit: all tubes of a set draw some tens to 200 mA from B+; what a heater winding feeds stands under `heater_windings:` and `tubes:` or `lamps:`",
    ))
}
