//! One draw: a set with every uncertain number somewhere within its limits, on one moment's outlet volts.

use super::ToleranceInput;
use crate::adaptation::Part;
use crate::receiver::{Operation, Parameter, Receiver};
use crate::study::StudyError;
use crate::study::measures::Measure;
use crate::study::reading::{self, Limit, Reading};
use crate::study::settle;

/// What an input stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Meaning {
    /// Volts of the outlet.
    Outlet,
    /// A number of the set to which its turns are fitted.
    Before(Parameter),
    /// A number of the set with the transformer as it is.
    After(Parameter),
    /// An uncertain value of the part in the lead, by its place among the part's tolerances.
    Part(usize),
}

/// A choice that is drawn for.
pub(super) struct Candidate<'a> {
    pub part: &'a dyn Part,
    /// The set behind it on the usual line.
    pub usual: Operation,
    /// That as a meter reads it.
    pub nominal: Reading,
    /// What is watched, with its name.
    pub watched: Vec<(Measure, String)>,
}

/// A solved draw of one choice.
#[derive(Debug, Clone)]
pub(super) struct Drawn {
    /// The watched quantities in order.
    pub values: Vec<f64>,
    /// Limits that are passed.
    pub passed: Vec<Limit>,
}

/// What all draws have in common.
pub(super) struct Drawing<'a> {
    pub base: &'a Receiver,
    pub inputs: &'a [ToleranceInput],
    pub candidates: &'a [Candidate<'a>],
    pub usual_v: f64,
}

impl Drawing<'_> {
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
        let receiver = match Receiver::coarse(model, self.base) {
            Ok(receiver) => receiver.with_parts(|model| {
                for (parameter, factor) in after {
                    model.scale(parameter, factor);
                }
            }),
            Err(error) => {
                let reason = error.to_string();
                return self.candidates.iter().map(|_| Err(reason.clone())).collect();
            }
        };
        let one = |candidate: &Candidate<'_>| -> Result<Drawn, StudyError> {
            let mut varied: Option<Box<dyn Part>> = None;
            if !candidate.part.is_nothing() {
                for (index, factor) in &part {
                    let now = varied.as_deref().unwrap_or(candidate.part);
                    varied = Some(now.varied(*index, *factor));
                }
            }
            let lead = varied.as_deref().unwrap_or(candidate.part);
            let solve = |lead: &dyn Part, near: Option<&Operation>| {
                let near = near.unwrap_or(&candidate.usual);
                receiver.run_changed(line, lead, near, |_| ())
            };
            let settled = settle::by(lead, Some(&candidate.usual), solve)?;
            let reading = reading::read(&receiver, &settled.operation);
            Ok(Drawn {
                values: candidate.watched.iter().map(|(m, _)| m.value(&reading)).collect(),
                passed: reading.beyond().cloned().collect(),
            })
        };
        self.candidates.iter().map(|c| one(c).map_err(|error| error.to_string())).collect()
    }
}
