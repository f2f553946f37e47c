//! The drawings of a page: what stands in the lead, one for each way to draw it, with the figures of the usual line and, twice, with
//! numbers in their place, by which a figure is found in what was drawn.

use super::{
    bench::StatesBench,
    columns::{Columns, State},
    leads::{Connection, Lead, LeadKind},
    line::HIGHEST,
};
use crate::{
    adaptation::{Bought, Method},
    study::{Choice, Day, Plan, SupplySketch},
};

/// A drawing's choice and supply, its figures those of the usual line or numbers.
#[derive(Debug, Clone)]
pub struct Drawn {
    /// The plan, its outlet's volts numbered too.
    pub plan: Plan,
    /// What is in the lead.
    pub choice: Choice,
    /// The supply behind it.
    pub supply: SupplySketch,
}

/// A drawing of the mains side.
#[derive(Debug)]
pub struct StateDrawing {
    /// Name, which the leads have that are drawn so.
    pub name: String,
    /// As it is solved.
    pub solved: Drawn,
    /// The same with numbers for figures, and with others, each with the number of every column.
    pub numbered: [(Drawn, Vec<f64>); 2],
}

/// Of so many columns the number that stands for a figure: 1000 and up in steps of 10, forwards or backwards, since figures are
/// written in three digits.
fn number(place: usize, backwards: bool, of: usize) -> f64 {
    let place = if backwards { of - 1 - place } else { place };
    1000.0 + 10.0 * place as f64
}

/// How a lead is drawn: the name of its drawing, and its method.
pub fn way(kind: &LeadKind, advised: Option<Method>) -> (String, Method) {
    let method = match kind {
        LeadKind::AsIs => Method::AsIs,
        LeadKind::Resistor(_) => Method::SeriesResistor,
        LeadKind::Small(_, Connection { on_set, adds }) => match (adds, on_set) {
            (false, false) => Method::BuckingOutlet,
            (false, true) => Method::BuckingSet,
            (true, false) => Method::BoostOutlet,
            (true, true) => Method::BoostSet,
        },
        LeadKind::Tap(_) => Method::Tap,
        LeadKind::Advised => advised.unwrap_or_default(),
    };
    let name = match kind {
        // each has words of its own in its drawing
        LeadKind::Tap(volts) => format!("{method}-{volts}"),
        LeadKind::Advised => "advised".to_owned(),
        _ => method.to_string(),
    };
    (name, method)
}

/// The drawings of all leads of a set; those with the same are one.
pub fn all(bench: &StatesBench<'_>, plan: &Plan) -> Vec<StateDrawing> {
    let mut list: Vec<StateDrawing> = Vec::new();
    for (place, (lead, _)) in bench.leads.iter().enumerate() {
        let (name, method) = way(&lead.kind, plan.advice.choice);
        if list.iter().any(|drawing| drawing.name == name) {
            continue;
        }
        let volts = bench.line.usual.min(HIGHEST * bench.line.design * bench.steps_of(place));
        let Ok(operation) = bench.state((place, 0), (volts, OHMS), None) else { continue };
        let state = State::of(bench.receiver, &operation);
        let drawn = |state: State| drawn(plan, (lead, method), state);
        let numbered = [false, true].map(|backwards| {
            let numbered = numbered(&state, &bench.columns, backwards);
            (drawn(numbered.clone()), bench.columns.row(numbered))
        });
        list.push(StateDrawing { name, numbered, solved: drawn(state) });
    }
    list
}

/// Ohms of the resistor as it is drawn first.
const OHMS: f64 = 20.0;

/// The state with numbers of its columns for figures.
fn numbered(state: &State, columns: &Columns, backwards: bool) -> State {
    let mut state = state.clone();
    let of = columns.list.len();
    state.number(&|key| columns.place(key).map_or(0.0, |place| number(place, backwards, of)));
    state
}

fn drawn(plan: &Plan, (lead, method): (&Lead, Method), state: State) -> Drawn {
    let mut plan = plan.clone();
    plan.outlet.usual_v = state.reading.outlet_v;
    let reading = state.reading;
    let day = Day { low: reading.clone(), usual: reading.clone(), high: reading };
    let known = plan.choice(plan.advice.choice).filter(|_| lead.kind == LeadKind::Advised);
    let choice = match known {
        Some(choice) => Choice { day: Some(day), ..choice.clone() },
        None => {
            let part = match &lead.kind {
                LeadKind::AsIs => None,
                LeadKind::Resistor(_) => Some(Bought::ware("the resistor".to_owned())),
                LeadKind::Small(..) => Some(Bought::ware("the small transformer".to_owned())),
                LeadKind::Tap(_) | LeadKind::Advised => Some(Bought::ware(lead.words.clone())),
            };
            let part_value = match lead.kind {
                LeadKind::Tap(volts) => Some(volts),
                _ => None,
            };
            Choice {
                method,
                title: method.facts().title,
                fuse: plan.fuse.as_ref().map(|fuse| fuse.fuse.clone()),
                hot_wire: method.hot_wire(),
                day: Some(day),
                part,
                part_value,
                ..Choice::default()
            }
        }
    };
    Drawn { plan, choice, supply: state.supply }
}
