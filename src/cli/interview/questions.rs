//! What a question is: when it is put, how it is answered, where its answer goes.

use crate::study::{BlankError, NewSet, OutletChoice, StudyError};

/// A question.
pub(super) struct Question {
    /// What is asked, by what is known.
    pub ask: fn(&NewSet) -> String,
    /// One line that explains it.
    pub help: &'static str,
    /// True where a plan cannot do without the answer.
    pub needed: bool,
    /// Whether it is put, by what is known.
    pub when: fn(&NewSet) -> bool,
    /// How it is answered.
    pub kind: Kind,
    /// What may turn out wrong with it once all is known.
    pub about: About,
}

/// What a question is about, as far as an error of the whole set may lead back to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum About {
    /// The outlet.
    Outlet,
    /// What feeds the set, and so its heaters.
    Feed,
    /// Its dial lamps.
    Lamps,
    /// Anything else.
    Set,
}

impl About {
    /// Where an error of the whole set can be put right.
    pub fn of(error: &BlankError) -> About {
        match error {
            BlankError::Study(StudyError::NoOutlet | StudyError::OutletOrder { .. }) => {
                About::Outlet
            }
            BlankError::OtherCurrent { .. }
            | BlankError::StringTooLong { .. }
            | BlankError::DropperMissing { .. } => About::Feed,
            BlankError::Refused { path, .. } if path.starts_with("heater_string") => About::Feed,
            BlankError::LampWithoutWinding { .. } => About::Lamps,
            _ => About::Set,
        }
    }

    /// Takes its answers back.
    pub fn forget(self, set: &mut NewSet) {
        match self {
            About::Outlet => set.outlet = OutletChoice::default(),
            About::Feed => (set.feed, set.dropper) = (None, None),
            About::Lamps => set.lamps.clear(),
            About::Set => {}
        }
    }
}

/// What is wrong with an answer, if anything.
type Put = fn(&mut NewSet, &str) -> Result<(), String>;

/// How a question is answered.
pub(super) enum Kind {
    /// By a line of text.
    Text {
        /// Takes the answer in, or says what is wrong with it.
        put: Put,
        /// What is offered while it is typed.
        suggest: fn(&str) -> Vec<String>,
        /// The answer as it was understood.
        shown: fn(&str) -> String,
    },
    /// By one of several; the first is "I don't know".
    Choice {
        /// What there is to choose from.
        options: fn(&NewSet) -> Vec<String>,
        /// Takes the place of the chosen one in.
        put: fn(&mut NewSet, usize),
    },
}

/// The first of every choice.
pub(super) const UNKNOWN: &str = "I don't know";

pub(super) fn choices(list: &[&str]) -> Vec<String> {
    std::iter::once(UNKNOWN).chain(list.iter().copied()).map(str::to_owned).collect()
}

pub(super) const fn text(
    ask: fn(&NewSet) -> String,
    help: &'static str,
    when: fn(&NewSet) -> bool,
    put: Put,
    suggest: fn(&str) -> Vec<String>,
) -> Question {
    let kind = Kind::Text { put, suggest, shown: str::to_owned };
    Question { ask, help, needed: false, when, kind, about: About::Set }
}

pub(super) const fn choice(
    ask: fn(&NewSet) -> String,
    help: &'static str,
    when: fn(&NewSet) -> bool,
    options: fn(&NewSet) -> Vec<String>,
    put: fn(&mut NewSet, usize),
) -> Question {
    let kind = Kind::Choice { options, put };
    Question { ask, help, needed: false, when, kind, about: About::Set }
}

impl Question {
    pub const fn needed(self) -> Question {
        Question { needed: true, ..self }
    }

    pub const fn about(self, about: About) -> Question {
        Question { about, ..self }
    }
}
