//! States solved afresh, and tables of them.

use super::{
    columns::{Columns, State},
    grid::Grid,
    leads::{self, InLead, Lead, LeadKind, StateCase},
    line::{HIGHEST, StateLine},
    sources::{self, MeterOnLeads},
    table::Maker,
};
use crate::{
    receiver::{MainsLead, Operation, Receiver, ReceiverError},
    study::{Result, power_up::FIRST_STAGE, read, share, solve::Solved},
};

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

/// What states are solved from.
pub struct StatesBench<'a> {
    pub(super) receiver: &'a Receiver,
    pub(super) leads: Vec<(Lead, InLead<'a>)>,
    pub(super) cases: Vec<StateCase>,
    pub(super) columns: Columns,
    pub(super) line: StateLine,
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
                Ok(operation) => bench.columns.take(State::of(receiver, &operation)),
                Err(error) if lead == 0 => return Err(error.into()),
                Err(_) => (),
            }
        }
        let design = bench.state((0, 0), (design, 0.0), None)?;
        bench.columns.scale(State::of(receiver, &design));
        Ok(bench)
    }

    /// By what the line may be higher behind that lead than straight on the set.
    pub(super) fn steps_of(&self, lead: usize) -> f64 {
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
        Some(self.columns.row(State::of(self.receiver, &operation)))
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
    pub(super) fn tables(&self, progress: &(dyn Fn(usize, usize) + Sync)) -> Vec<StateTable> {
        let mut asked: Vec<(usize, usize)> = (0..self.leads.len()).map(|lead| (lead, 0)).collect();
        let whole =
            |lead: &usize| matches!(self.leads[*lead].0.kind, LeadKind::AsIs | LeadKind::Advised);
        for lead in (0..self.leads.len()).filter(whole) {
            asked.extend((1..self.cases.len()).map(|case| (lead, case)));
        }
        let count = self.columns.len();
        let sound = vec![0.0; count];
        let units: Vec<&str> = (0..count).map(|column| self.columns.unit(column)).collect();
        let table = |place: usize| {
            let (lead, case) = asked[place];
            let fresh = |volts: f64, ohms: f64, near: Option<&Operation>| {
                let operation = self.state((lead, case), (volts, ohms), near).ok()?;
                let row = self.columns.row(State::of(self.receiver, &operation));
                Some((operation, row))
            };
            let (steps, design) = (self.steps_of(lead), self.line.design);
            let span = ((self.line.least * steps).round(), (HIGHEST * design * steps).round());
            let design = self.line.design * steps;
            let nothing = if case > 0 { &self.columns.nothing } else { &sound };
            let maker = Maker { fresh: &fresh, units: &units, span, design, nothing };
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
