//! A set one of whose parts is replaced, as its profile has it and as changes make it.

use super::caveat::ReplaceCaveat;
use crate::{
    profile::{self, Change, Document, Node, Problems, Profile, Unchanged, changed, stands},
    receiver::{AsBuilt, Receiver},
    study::{OutletVolts, Reading, Result, Serialize, StudyError, fit, read},
};

/// What takes its place, where there is a choice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ReplaceBy {
    /// A choke, with a resistor for the rest of the ohms.
    Choke,
    /// A resistor.
    Resistor,
    /// A capacitor in a heater string.
    Capacitor,
}

/// What a part comes to.
pub struct Found {
    pub goes: Vec<String>,
    pub before: Vec<ReplaceCaveat>,
    pub line_v: f64,
    /// None where nothing is advised.
    pub changes: Option<Vec<Change>>,
}

/// A set as its profile has it, without its readings: those were taken with the old part.
pub struct Set {
    pub document: Document,
    pub profile: Profile,
    pub outlet: OutletVolts,
    pub receiver: Receiver,
}

impl Set {
    /// The set of `document` with `changes` made to it.
    pub fn of(document: &Document, changes: &[Change], outlet: OutletVolts) -> Result<Set> {
        let text = changed(document, changes).map_err(unchanged)?;
        let document = Document::parse(document.name(), text.as_bytes()).map_err(unread)?;
        let (profile, _) = profile::read(&document).map_err(unread)?;
        let mut model = fit::settle(&profile, None)?.model;
        outlet.feed(&mut model);
        Ok(Set { document, profile, outlet, receiver: Receiver::new(model, None)? })
    }

    /// The set with `changes` made to its profile.
    pub fn with(&self, changes: &[Change]) -> Result<Set> {
        Set::of(&self.document, changes, self.outlet)
    }

    pub fn read(&self, line: f64) -> Result<Reading> {
        Ok(read(&self.receiver, &self.receiver.run(line, &AsBuilt, None)?))
    }

    /// What stands at `path` of its profile.
    pub fn stands(&self, path: &str) -> Option<&Node> {
        stands(self.document.root(), path)
    }
}

fn not_replaced(what: impl Into<String>, advice: impl Into<String>) -> StudyError {
    StudyError::NotReplaced { what: what.into(), advice: advice.into() }
}

pub fn refused<T>(what: impl Into<String>, advice: impl Into<String>) -> Result<T> {
    Err(not_replaced(what, advice))
}

fn unchanged(error: Unchanged) -> StudyError {
    not_replaced(
        error.to_string(),
        "write the profile in lines, `key:` first in each, without aliases, and try again",
    )
}

pub fn unread(problems: Problems) -> StudyError {
    let problems = problems.render();
    let problems = problems.lines().map(str::trim).collect::<Vec<_>>().join(" ");
    not_replaced(
        format!("the changed profile would not be sound: {problems}"),
        "something else in it belongs to the part that goes: take that out first",
    )
}
