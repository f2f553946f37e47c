//! Where the search for a drawn set begins: at the set as it is, moved by what each number does to it by itself.

use crate::{
    receiver::{Operation, Parameter, Receiver, Straight, Uncertain},
    study::{OutletVolts, Serialize, Spreading, share, spread::Moved},
};

/// What an input stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Meaning {
    /// Voltage of the outlet.
    Outlet,
    /// A number of the set to which its turns are fitted.
    Before(Parameter),
    /// A number of the set with the transformer as it is.
    After(Parameter),
    /// An uncertain value of the part in the lead, by its place among the part's tolerances.
    Part(usize),
}

impl Meaning {
    pub fn of(number: &Uncertain) -> Meaning {
        let meaning = if number.has_turns_fitted() { Meaning::Before } else { Meaning::After };
        meaning(number.parameter)
    }
}

/// Where the limits of an input come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum InputFrom {
    /// The outlet's day.
    Outlet,
    /// The profile's `tolerances`, or the meter of a number that it calls measured.
    Stated,
    /// The spread of a value that was filled in or fitted.
    Assumed,
    /// What the parts of a sound set may be off by.
    Customary,
    /// The part in the lead.
    Part,
}

/// A number that is drawn.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ToleranceInput {
    /// Key: `outlet`, a number of the set as in `calibration`, or `part`.
    pub key: String,
    /// In words.
    pub what: String,
    /// Limits: outlet voltage, factors on everything else.
    pub spreading: Spreading,
    /// Where they come from.
    pub from: InputFrom,
    #[serde(skip)]
    pub(super) meaning: Meaning,
}

/// The set with one number at a limit.
struct Way<'m> {
    meaning: Meaning,
    limit: f64,
    receiver: &'m Receiver,
    /// Straight on the line.
    there: Operation,
}

/// The set as it is and with each number at its limits.
pub struct Lean<'m> {
    base: &'m Receiver,
    usual_v: f64,
    /// Straight on the usual line.
    usual: Operation,
    ways: Vec<Way<'m>>,
}

impl<'m> Lean<'m> {
    /// None where the set has no solution to begin at.
    pub fn of(moved: &'m Moved, outlet: &OutletVolts) -> Option<Lean<'m>> {
        let base = moved.base();
        let run = |receiver: &Receiver, line, near: &Operation| {
            receiver.run_coarse(line, &Straight, near).ok()
        };
        let usual_v = outlet.usual_v;
        let usual = run(base, usual_v, base.at_design())?;
        let volts = [outlet.low_v, outlet.high_v].map(|volts| (Meaning::Outlet, volts, base));
        let numbers = moved.cases().map(|(n, limit, set)| (Meaning::of(n), limit, set));
        let all: Vec<_> = volts.into_iter().chain(numbers).collect();
        let way = |&(meaning, limit, receiver): &(Meaning, f64, &'m Receiver)| {
            let line = if meaning == Meaning::Outlet { limit } else { usual_v };
            Some(Way { meaning, limit, receiver, there: run(receiver, line, &usual)? })
        };
        let ways = share::each(&all, way).into_iter().flatten().collect();
        Some(Lean { base, usual_v, usual, ways })
    }

    /// What turns are sought from, and where the set then is about, straight on the line, with `inputs` at these values.
    pub fn begin(&self, inputs: impl Iterator<Item = (Meaning, f64)>) -> (Receiver, Operation) {
        let (mut set, mut at) = (self.base.clone(), self.usual.clone());
        for (meaning, value) in inputs {
            let stated = if meaning == Meaning::Outlet { self.usual_v } else { 1.0 };
            let same_side = |w: &&Way<'_>| (w.limit > stated) == (value > stated);
            let mut ways = self.ways.iter().filter(|w| w.meaning == meaning && w.limit != stated);
            let Some(way) = ways.clone().find(same_side).or_else(|| ways.next()) else {
                continue;
            };
            let share = (value - stated) / (way.limit - stated);
            at.lean(&self.usual, &way.there, share);
            if matches!(meaning, Meaning::Before(_)) {
                set.lean(self.base, way.receiver, share);
            }
        }
        (set, at)
    }
}
