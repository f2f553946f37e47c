//! One draw: a set with every uncertain number somewhere within its limits, on one moment's outlet volts.

use super::lean::{Lean, Meaning, ToleranceInput};
use crate::{
    adaptation::Part,
    receiver::{Operation, Receiver},
    study::{Choice, Limit, Measure, Reading, Result, read, settle},
};

/// A choice that is drawn for.
pub struct Candidate<'a> {
    pub choice: &'a Choice,
    pub part: &'a dyn Part,
    /// The set behind it on the usual line.
    pub usual: Operation,
    /// That as a meter reads it.
    pub nominal: Reading,
    /// What is watched, with its name.
    pub watched: Vec<(Measure, String)>,
}

impl<'a> Candidate<'a> {
    pub fn of(
        receiver: &Receiver,
        choice: &'a Choice,
        part: &'a dyn Part,
        usual_v: f64,
    ) -> Result<Candidate<'a>> {
        let usual = settle::run(receiver, part, usual_v, None)?.operation;
        let nominal = read(receiver, &usual);
        let name = |m: Measure| Some((m, m.watched(&nominal, !part.is_nothing())?));
        let watched = Measure::all(&nominal).into_iter().filter_map(name).collect();
        Ok(Candidate { choice, part, usual, nominal, watched })
    }
}

/// A solved draw of one choice.
#[derive(Clone)]
pub struct Drawn {
    /// The watched quantities in order.
    pub values: Vec<f64>,
    /// Limits that are passed.
    pub passed: Vec<Limit>,
}

/// What all draws have in common.
pub struct Drawing<'a> {
    pub base: &'a Receiver,
    /// Where the searches begin; at `base` without it.
    pub lean: Option<Lean<'a>>,
    pub inputs: &'a [ToleranceInput],
    pub candidates: &'a [Candidate<'a>],
    pub usual_v: f64,
}

impl<'a> Drawing<'a> {
    /// Solves every choice with the inputs at `values`; a case without a solution says why.
    pub fn solve(&self, values: &[f64]) -> Vec<Result<Drawn, String>> {
        let mut line = self.usual_v;
        let mut model = self.base.model().clone();
        let mut after = Vec::new();
        let mut part = Vec::new();
        for (input, value) in self.inputs.iter().zip(values) {
            match input.meaning {
                Meaning::Outlet => line = *value,
                Meaning::Before(parameter) => model.scale(parameter, *value),
                Meaning::After(parameter) => after.push((parameter, *value)),
                Meaning::Part(index) => part.push((index, *value)),
            }
        }
        let begin = self.lean.as_ref().map(|lean| {
            lean.begin(self.inputs.iter().zip(values).map(|(input, value)| (input.meaning, *value)))
        });
        let near = begin.as_ref().map_or(self.base, |(near, _)| near);
        let receiver = match Receiver::coarse(model, near) {
            Ok(receiver) => receiver.with_parts(|model| {
                after.into_iter().for_each(|(parameter, factor)| model.scale(parameter, factor));
            }),
            Err(error) => return vec![Err(error.to_string()); self.candidates.len()],
        };
        // the first choice begins where the set should be, the others where the first has led
        let first = &self.candidates[0].usual;
        let mut moved = begin.map(|(_, at)| (first, at));
        let mut one = |candidate: &'a Candidate<'a>| -> Result<Drawn> {
            let mut varied: Option<Box<dyn Part>> = None;
            for (index, factor) in part.iter().filter(|_| !candidate.part.is_nothing()) {
                varied = Some(varied.as_deref().unwrap_or(candidate.part).varied(*index, *factor));
            }
            let lead = varied.as_deref().unwrap_or(candidate.part);
            let usual = &candidate.usual;
            let begin = moved.as_ref().map_or_else(|| usual.clone(), |(a, b)| usual.gone(a, b));
            let settled = settle::by(lead, &begin, |lead, at| receiver.run_coarse(line, lead, at))?;
            let reading = read(&receiver, &settled.operation);
            moved = Some((usual, settled.operation));
            Ok(Drawn {
                values: candidate.watched.iter().map(|(m, _)| m.value(&reading)).collect(),
                passed: reading.beyond().cloned().collect(),
            })
        };
        self.candidates.iter().map(|c| one(c).map_err(|error| error.to_string())).collect()
    }
}
