//! A set one of whose parts is replaced, as its profile has it and as changes make it.

use super::caveat::ReplaceCaveat;
use crate::adaptation::RATING_MARGIN;
use crate::catalogue::stock::resistor_sizes;
use crate::profile::{self, Change, Document, Profile, changed};
use crate::receiver::{AsBuilt, Receiver};
use crate::study::outlet::OutletVolts;
use crate::study::reading::{self, Reading};
use crate::study::{StudyError, fit};
use serde::Serialize;

/// What takes its place, where there is a choice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
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
pub(super) struct Found {
    pub goes: Vec<String>,
    pub before: Vec<ReplaceCaveat>,
    pub line_v: f64,
    /// None where nothing is advised.
    pub changes: Option<Vec<Change>>,
}

/// A set as its profile has it, without its readings: those were taken with the old part.
pub(super) struct Set {
    pub document: Document,
    pub profile: Profile,
    pub outlet: OutletVolts,
    pub receiver: Receiver,
}

impl Set {
    pub fn of(document: Document, outlet: OutletVolts) -> Result<Set, StudyError> {
        let (profile, _) = profile::read(&document).map_err(|p| unread(&p.render()))?;
        let mut model = fit::settle(&profile, None)?.model;
        outlet.feed(&mut model);
        Ok(Set { document, profile, outlet, receiver: Receiver::new(model, None)? })
    }

    /// The set with `changes` made to its profile.
    pub fn with(&self, changes: &[Change]) -> Result<Set, StudyError> {
        let text = changed(&self.document, changes).map_err(unchanged)?;
        let document = Document::parse(self.document.name(), text.as_bytes());
        Set::of(document.map_err(|p| unread(&p.render()))?, self.outlet)
    }

    pub fn read(&self, line: f64) -> Result<Reading, StudyError> {
        Ok(reading::read(&self.receiver, &self.receiver.run(line, &AsBuilt, None)?))
    }
}

pub(super) fn refused(what: impl Into<String>, advice: impl Into<String>) -> StudyError {
    StudyError::NotReplaced { what: what.into(), advice: advice.into() }
}

pub(super) fn unchanged(error: profile::Unchanged) -> StudyError {
    refused(
        error.to_string(),
        "write the profile in lines, `key:` first in each, without aliases, and try again",
    )
}

pub(super) fn unread(problems: &str) -> StudyError {
    let problems = problems.lines().map(str::trim).collect::<Vec<_>>().join(" ");
    refused(
        format!("the changed profile would not be sound: {problems}"),
        "something else in it belongs to the part that goes: take that out first",
    )
}

/// Watts to buy for `heat_w` at high line: twice that at least, of what is sold; none where no single resistor has them.
pub(super) fn to_buy(heat_w: f64) -> Option<f64> {
    let mut sizes = resistor_sizes().iter().map(|size| size.rating_w);
    sizes.find(|w| *w >= RATING_MARGIN * heat_w)
}
