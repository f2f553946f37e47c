//! One draw: a set with every uncertain number somewhere within its limits, on one moment's outlet volts.

use super::{InputFrom, ToleranceInput};
use crate::adaptation::Part;
use crate::receiver::{Knob, Model, Operation, Receiver};
use crate::study::StudyError;
use crate::study::reading::{self, Limit, Rating, Reading};
use crate::study::settle;

/// What an input stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Meaning {
    /// Volts of the outlet.
    Outlet,
    /// A number of the set before its turns are fitted: what is assumed, and what belongs to the transformer.
    Before(Knob),
    /// A number of the set with the transformer as it is.
    After(Knob),
    /// An uncertain value of the part in the lead, by its place among the part's tolerances.
    Part(usize),
}

impl Meaning {
    /// What a number of the set is, by the rule of the note's checkpoints: turns follow what is assumed and what
    /// belongs to the transformer; for the rest the transformer is what it is.
    pub fn of(knob: Knob, from: InputFrom, assumed: bool) -> Meaning {
        let transformer = matches!(
            knob,
            Knob::PrimaryResistance
                | Knob::NoLoadCurrent
                | Knob::NoLoadPower
                | Knob::HighVoltage
                | Knob::HighVoltageResistance
                | Knob::WindingVolts(_)
                | Knob::WindingResistance(_)
        );
        if assumed || transformer || from == InputFrom::Assumed {
            Meaning::Before(knob)
        } else {
            Meaning::After(knob)
        }
    }
}

/// A quantity that is watched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Watched {
    Heater(usize),
    BPlus,
    PrimaryAmps,
    LeadWatts,
    Bias(usize),
    PlateWatts(usize),
}

impl Watched {
    /// Everything worth watching in `model`; heat of the part only where there is one.
    pub fn all(model: &Model, part: bool) -> Vec<Watched> {
        let fed = model.windings.iter().enumerate();
        let mut list: Vec<Watched> =
            fed.filter(|(_, w)| w.feeds_tubes).map(|(i, _)| Watched::Heater(i)).collect();
        list.extend([Watched::BPlus, Watched::PrimaryAmps]);
        list.extend(part.then_some(Watched::LeadWatts));
        for (i, _) in model.tubes.iter().enumerate().filter(|(_, t)| t.output) {
            list.extend([Watched::Bias(i), Watched::PlateWatts(i)]);
        }
        list
    }

    /// Key as in a sweep, name, unit.
    pub fn names(self, model: &Model) -> (String, String, &'static str) {
        let tube = |i: usize| model.tubes.get(i).map_or("?", |t| t.label.as_str());
        let winding = |i: usize| model.windings.get(i).map_or("?", |w| w.name.as_str());
        match self {
            Watched::Heater(i) => {
                (format!("heater.{}", winding(i)), format!("heaters, {}", winding(i)), "V")
            }
            Watched::BPlus => ("B+".to_owned(), "B+".to_owned(), "V"),
            Watched::PrimaryAmps => {
                ("primary_current".to_owned(), "primary current".to_owned(), "A")
            }
            Watched::LeadWatts => ("lead_power".to_owned(), "heat of the part".to_owned(), "W"),
            Watched::Bias(i) => (format!("V{}.bias", i + 1), format!("{}, bias", tube(i)), "V"),
            Watched::PlateWatts(i) => {
                (format!("V{}.plate_power", i + 1), format!("{}, plate", tube(i)), "W")
            }
        }
    }

    /// Its value.
    pub fn of(self, reading: &Reading) -> f64 {
        let tube = |i: usize| reading.tubes.get(i);
        match self {
            Watched::Heater(i) => reading.heaters.get(i).map_or(f64::NAN, |h| h.volts_v),
            Watched::BPlus => reading.b_plus_v,
            Watched::PrimaryAmps => reading.primary_a,
            Watched::LeadWatts => reading.lead_w,
            Watched::Bias(i) => tube(i).map_or(f64::NAN, |t| t.bias_v),
            Watched::PlateWatts(i) => tube(i).map_or(f64::NAN, |t| t.plate_w),
        }
    }
}

/// A choice that is drawn for.
pub(super) struct Candidate<'a> {
    pub part: &'a dyn Part,
    /// The set behind it on the usual line.
    pub usual: Operation,
    pub watched: Vec<Watched>,
}

/// A solved draw of one choice.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Drawn {
    /// The watched quantities in order.
    pub values: Vec<f64>,
    /// Limits that are passed.
    pub passed: Vec<(String, Rating)>,
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
                Meaning::Before(knob) => model = model.scaled(knob, *value),
                Meaning::After(knob) => after.push((knob, *value)),
                Meaning::Part(index) => part.push((index, *value)),
            }
        }
        let receiver = match Receiver::coarse(model, self.base) {
            Ok(receiver) => receiver.with_parts(|model| {
                for (knob, factor) in after {
                    *model = model.scaled(knob, factor);
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
            let of = |l: &Limit| (l.what.clone(), l.rating);
            Ok(Drawn {
                values: candidate.watched.iter().map(|w| w.of(&reading)).collect(),
                passed: reading.beyond().map(of).collect(),
            })
        };
        self.candidates.iter().map(|c| one(c).map_err(|error| error.to_string())).collect()
    }
}
