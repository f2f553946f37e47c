//! A set in all the states that a page shows: on any line, behind whatever may stand in the lead, with a tube out or a fault. Solved
//! at points beforehand; between them figures are interpolated, and where that does not hold there is no figure.

mod columns;
mod drawings;
mod grid;
mod leads;
mod sources;
mod sums;
mod table;

pub use columns::StateColumn;
pub use drawings::{Drawn, StateDrawing, number as figure_number, way as way_drawn};
pub use grid::{Grid, NONE as NO_FIGURE};
pub use leads::{Connection, Lead, LeadKind, StateCase, Wrong};
pub use sources::{METERS, MeterOnLeads};
pub use sums::{StateSum, StateTerm};
pub use table::allowed as allowed_off;

use super::{
    Checkpoint, Choice, Limit, Plan, Result, Start, StartCase,
    power_up::FIRST_STAGE,
    read, share,
    solve::{Offered, Solved},
    start::from_cold_or_hot,
};
use crate::receiver::{MainsLead, Operation, Receiver, ReceiverError};
use columns::{Columns, State};
use leads::InLead;
use sums::Sums;
use table::Maker;

/// Highest line, over the design line: beyond, the iron of many sets is past what its law is good for.
const HIGHEST: f64 = 1.3;

/// The lines a page moves over, V RMS.
#[derive(Debug, Clone, Copy)]
pub struct StateLine {
    /// Lowest: the first stage of a variac with all tubes in.
    pub least: f64,
    /// Highest.
    pub most: f64,
    /// The outlet's usual.
    pub usual: f64,
    /// What the set was designed for.
    pub design: f64,
}

/// The states behind one thing in the lead, in one case.
#[derive(Debug, Clone)]
pub struct StateTable {
    /// Place of what stands in the lead.
    pub lead: usize,
    /// Place of what is wrong.
    pub case: usize,
    /// The figures.
    pub grid: Grid,
}

/// All states of a set.
#[derive(Debug)]
pub struct States {
    /// The plan, its cautions among it.
    pub plan: Plan,
    /// The lines.
    pub line: StateLine,
    /// The figures, in the order of the grids' columns.
    pub columns: Vec<StateColumn>,
    /// The limits, whose values are the columns behind those.
    pub limits: Vec<Limit>,
    /// What may stand in the lead.
    pub leads: Vec<Lead>,
    /// What may be wrong.
    pub cases: Vec<StateCase>,
    /// The figures of each that is solved.
    pub tables: Vec<StateTable>,
    /// What loads each point: ohms of the source, for each meter that loads and each point, against the volts at the set.
    pub sources: Option<Grid>,
    /// Columns of the points that a meter loads, in the order of the sources.
    pub loaded: Vec<usize>,
    /// The sums.
    pub sums: Vec<StateSum>,
    /// The drawings, that of the set as it is first.
    pub drawings: Vec<StateDrawing>,
    /// What a meter should read there, as it is or with what is advised.
    pub checkpoints: Vec<Checkpoint>,
    /// The first minute from cold on the highest line of the day, as it is and with what is advised.
    pub starts: Vec<Start>,
}

/// What states are solved from.
pub struct StatesBench<'a> {
    receiver: &'a Receiver,
    leads: Vec<(Lead, InLead<'a>)>,
    cases: Vec<StateCase>,
    columns: Columns,
    line: StateLine,
    /// What a step transformer divides the outlet by.
    steps: f64,
}

impl<'a> StatesBench<'a> {
    /// Everything about `solved` that states need.
    ///
    /// # Errors
    /// The set as it is has no solution.
    pub fn of(solved: &'a Solved) -> Result<StatesBench<'a>> {
        let Solved { plan, receiver, parts, shelf, .. } = solved;
        let place = plan.place(plan.advice.choice);
        let part =
            place.and_then(|place| parts[place].as_deref()).filter(|part| !part.is_nothing());
        let advised = place.map(|place| &plan.choices[place]).zip(part);
        let leads = leads::all(receiver, plan, shelf, advised);
        let design = receiver.model().design_line;
        let steps =
            part.filter(|part| part.va().is_some()).map_or(1.0, |_| plan.outlet.usual_v / design);
        let line = StateLine {
            least: (FIRST_STAGE * design).round(),
            most: (HIGHEST * design * steps.max(1.0)).round(),
            usual: plan.outlet.usual_v,
            design,
        };
        let mut bench = StatesBench {
            receiver,
            leads,
            cases: leads::cases(receiver),
            columns: Columns::default(),
            line,
            steps,
        };
        // every make of state once, for the columns that it has
        for lead in 0..bench.leads.len() {
            let volts = design * bench.steps_of(lead);
            match bench.state((lead, 0), (volts, 1.0), None) {
                Ok(operation) => bench.columns.take(State::of(receiver, &operation, false)),
                Err(error) if lead == 0 => return Err(error.into()),
                Err(_) => (),
            }
        }
        let design = bench.state((0, 0), (design, 0.0), None)?;
        bench.columns.scale(State::of(receiver, &design, false));
        Ok(bench)
    }

    /// By what the line may be higher behind that lead than straight on the set.
    fn steps_of(&self, lead: usize) -> f64 {
        let lead = &self.leads[lead].0;
        match (&lead.kind, lead.primary_v) {
            (LeadKind::Advised, _) => self.steps,
            // what adds would drive the iron beyond its law
            (LeadKind::Small(volts, connection), Some(primary)) if connection.adds => {
                1.0 - volts / (primary + volts)
            }
            _ => 1.0,
        }
    }

    /// A state solved afresh, from one nearby.
    ///
    /// # Errors
    /// It has no solution.
    pub fn state(
        &self,
        (lead, case): (usize, usize),
        (volts, ohms): (f64, f64),
        near: Option<&Operation>,
    ) -> Result<Operation, ReceiverError> {
        let design = self.receiver.at_design();
        let (part, wrong) = (self.leads[lead].1.of(ohms), self.cases[case].wrong);
        let from = |near| wrong.solve(self.receiver, &*part, volts, near);
        // far from there the design line may be the nearer start
        match near {
            Some(near) => from(near).or_else(|_| from(design)),
            None => from(design),
        }
    }

    /// The figures of a state, columns and then limits; none where it has no solution.
    #[cfg_attr(not(feature = "inside"), expect(dead_code, reason = "an instrument of tests"))]
    pub fn figures(&self, of: (usize, usize), at: (f64, f64)) -> Option<Vec<f64>> {
        let operation = self.state(of, at, None).ok()?;
        Some(self.columns.row(State::of(self.receiver, &operation, of.1 > 0)))
    }

    /// What a meter shows at each point that it loads, of a sound set: the column, and the figure solved afresh with the meter there.
    #[cfg_attr(not(feature = "inside"), expect(dead_code, reason = "an instrument of tests"))]
    pub fn metered(
        &self,
        lead: usize,
        (volts, ohms): (f64, f64),
        meter: MeterOnLeads,
    ) -> Vec<(usize, Option<f64>)> {
        let part = self.leads[lead].1.of(ohms);
        let near = self.receiver.run_coarse(volts, &*part, self.receiver.at_design()).ok();
        let bare = near.as_ref().map(|near| read(self.receiver, near));
        let fine = self.state((lead, 0), (volts, ohms), None).ok();
        let fine = fine.map(|operation| read(self.receiver, &operation));
        let points = sources::loaded(self.receiver, &self.columns).into_iter();
        let shown = points.map(|(place, measure, spot)| {
            let (near, bare, fine) = (near.as_ref()?, bare.as_ref()?, fine.as_ref()?);
            let alone = measure.value(bare);
            let at = (volts, &*part as &dyn MainsLead, near);
            let with = sources::with_meter(self.receiver, at, (&spot, meter.ohms(alone)))?;
            // both at the same number of steps, so that what they share drops out
            Some((place, measure.value(fine) + measure.value(&with) - alone))
        });
        let places = sources::loaded(self.receiver, &self.columns);
        shown.zip(places).map(|(shown, (place, ..))| (place, shown.map(|(_, v)| v))).collect()
    }

    /// Solves the tables; `progress` hears how many are done.
    fn tables(&self, progress: &(dyn Fn(usize, usize) + Sync)) -> Vec<StateTable> {
        let mut asked: Vec<(usize, usize)> = (0..self.leads.len()).map(|lead| (lead, 0)).collect();
        let whole =
            |lead: &usize| matches!(self.leads[*lead].0.kind, LeadKind::AsIs | LeadKind::Advised);
        for lead in (0..self.leads.len()).filter(whole) {
            asked.extend((1..self.cases.len()).map(|case| (lead, case)));
        }
        let count = self.columns.len();
        let units: Vec<&str> = (0..count).map(|column| self.columns.unit(column)).collect();
        let table = |place: usize| {
            let (lead, case) = asked[place];
            let fresh = |volts: f64, ohms: f64, near: Option<&Operation>| {
                let operation = self.state((lead, case), (volts, ohms), near).ok()?;
                let row = self.columns.row(State::of(self.receiver, &operation, case > 0));
                Some((operation, row))
            };
            let (steps, design) = (self.steps_of(lead), self.line.design);
            let span = ((self.line.least * steps).round(), (HIGHEST * design * steps).round());
            let design = self.line.design * steps;
            let maker = Maker { fresh: &fresh, units: &units, span, design, rough: case > 0 };
            let line = maker.line()?;
            let grid = match self.leads[lead].0.kind {
                LeadKind::Resistor(most) => maker.behind_ohms(&line, most),
                _ => line,
            };
            Some(StateTable { lead, case, grid })
        };
        let all = asked.len();
        let done = share::out(all, share::cores(), &table, &|done| progress(done, all));
        done.into_iter().flatten().collect()
    }
}

/// Solves all states of a set. `progress` hears how many tables of how many are done.
///
/// # Errors
/// The set as it is has no solution.
pub fn states(mut solved: Solved, progress: &(dyn Fn(usize, usize) + Sync)) -> Result<States> {
    let advised = solved.plan.advice.choice;
    solved.settle_on(advised, Offered::All);
    let place = solved.plan.place(advised).unwrap_or(0);
    let checkpoints = solved.with_part(place)?.checkpoints;
    let supply = solved.with_part(0)?.supply;
    let bench = StatesBench::of(&solved)?;
    let (drawings, tables) = (drawings::all(&bench, &solved.plan), bench.tables(progress));
    let (loaded, sources) = sources::table(bench.receiver, &bench.columns, bench.line);
    let (leads, parts): (Vec<Lead>, Vec<InLead<'_>>) = bench.leads.into_iter().unzip();
    let design = read(bench.receiver, bench.receiver.at_design());
    let model = bench.receiver.model();
    let sums = Sums { columns: &bench.columns, model, design: &design, leads: &leads }.all(&supply);
    let bound = |choice: &Choice| choice.cold_start.clone();
    let start = |(lead, part): (&Lead, &InLead<'_>)| {
        let choice = match lead.kind {
            LeadKind::AsIs => &solved.plan.choices[0],
            LeadKind::Advised => &solved.plan.choices[place],
            _ => return None,
        };
        let high = solved.plan.outlet.high_v;
        let start = from_cold_or_hot(
            bench.receiver,
            &*part.of(0.0),
            high,
            StartCase::Cold,
            bound(choice).as_ref(),
        );
        Some(Start { id: choice.method, part: choice.part.clone(), ..start.ok()? })
    };
    let starts = leads.iter().zip(&parts).filter_map(start).collect();
    let Columns { list: columns, limits, .. } = bench.columns;
    let (line, cases) = (bench.line, bench.cases);
    drop(parts);
    Ok(States {
        line,
        columns,
        limits,
        leads,
        cases,
        tables,
        sources,
        loaded,
        sums,
        drawings,
        checkpoints,
        starts,
        plan: solved.plan,
    })
}
