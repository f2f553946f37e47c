//! A set in all the states that a page shows: on any line, behind whatever may stand in the lead, with a tube out or a fault. Solved
//! at points beforehand; between them figures are interpolated, and where that does not hold there is no figure.

mod bench;
mod columns;
mod drawings;
mod grid;
mod leads;
mod line;
mod sources;
mod sums;
mod table;

pub use bench::{StateTable, StatesBench};
pub use columns::StateColumn;
pub use drawings::{Drawn, StateDrawing, way as way_drawn};
pub use grid::{Grid, NONE as NO_FIGURE};
pub use leads::{Connection, Lead, LeadKind, StateCase, Wrong};
pub use line::StateLine;
pub use sources::{METERS, MeterOnLeads};
pub use sums::{StateSum, StateTerm};
pub use table::allowed as allowed_off;

use super::{
    Checkpoint, Choice, Limit, Plan, Result, Start, StartCase, read,
    solve::{Offered, Solved},
    start::from_cold_or_hot,
};
use columns::Columns;
use leads::InLead;
use sums::Sums;

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
    /// Of each column, below what its figure is told as nothing where something is wrong.
    pub nothing: Vec<f64>,
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
    let Columns { list: columns, limits, nothing } = bench.columns;
    let (line, cases) = (bench.line, bench.cases);
    drop(parts);
    Ok(States {
        line,
        columns,
        limits,
        nothing,
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
