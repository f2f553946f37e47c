//! A set for which something is bought, solved on high line.

use crate::{
    adaptation::Part,
    profile::Profile,
    receiver::{Operation, Receiver, Straight},
    study::{
        Choice, ColdStart, Plan, Result,
        cold_start::{self, unloaded},
        settle,
        solve::Solved,
    },
};

/// A set behind what is fitted, on high line: at work, and before its tubes draw.
pub struct Bench<'a> {
    pub plan: &'a Plan,
    pub profile: &'a Profile,
    pub receiver: &'a Receiver,
    /// What is fitted; none before the repairs.
    pub choice: Option<&'a Choice>,
    pub high: Operation,
    pub unloaded: Operation,
    /// Its starts on high line: with what is fitted; before the repairs as it is, and with what is advised after them.
    pub starts: Vec<ColdStart>,
}

impl<'a> Bench<'a> {
    /// The set of `solved` with the choice at `place` fitted; without one as it is before the repairs.
    ///
    /// # Errors
    /// A point that could not be solved.
    pub fn of(solved: &'a Solved, profile: &'a Profile, place: Option<usize>) -> Result<Bench<'a>> {
        let Solved { plan, receiver, parts, .. } = solved;
        let started = |place: &usize| plan.choices[*place].cold_start.is_some();
        let after = plan.place(plan.advice.choice);
        let all: Vec<usize> = match place {
            Some(place) => vec![place],
            None => [Some(0), after].into_iter().flatten().filter(started).collect(),
        };
        // what must not be plugged in has no start on its outlet: on its own line it has one
        let first = all.first().copied();
        let part: &dyn Part = first.and_then(|place| parts[place].as_deref()).unwrap_or(&Straight);
        let line = first.map_or(plan.set.design_line_v, |_| plan.outlet.high_v);
        let settled = settle::run(receiver, part, line, None)?;
        let part = settled.part.as_deref().unwrap_or(part);
        let high = settled.operation;
        let mut starts: Vec<ColdStart> =
            all.iter().filter_map(|place| plan.choices[*place].cold_start.clone()).collect();
        if starts.is_empty() {
            starts.push(cold_start::start(receiver, part, &high)?);
        }
        let unloaded = unloaded(receiver, part, &high)?;
        let choice = place.map(|place| &plan.choices[place]);
        Ok(Bench { plan, profile, receiver, choice, unloaded, high, starts })
    }
}
