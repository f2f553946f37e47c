//! What a question is: when it is put, how it is answered, where its answer goes.

use super::answers::rest;
use crate::study::{BlankError, NewSet, OutletChoice, StudyError};

/// A question.
pub struct Question {
    /// What is asked; `{rest}` stands for the volts that the heaters leave over.
    ask: &'static str,
    /// One line that explains it.
    pub help: &'static str,
    /// True where a plan cannot do without the answer.
    pub needed: bool,
    /// Whether it is put, by what is known.
    pub when: fn(&NewSet) -> bool,
    /// How it is answered.
    pub kind: Kind,
    /// What is offered while a line of text is typed.
    pub suggest: fn(&str) -> Vec<String>,
    /// Such an answer as it was understood.
    pub shown: fn(&str) -> String,
    /// What may turn out wrong with it once all is known.
    pub about: About,
}

/// What a question is about, as far as an error of the whole set may lead back to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum About {
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
pub enum Kind {
    /// By a line of text: takes the answer in, or says what is wrong with it.
    Text(Put),
    /// By one of several; the first is "I don't know".
    Choice {
        /// What there is to choose from.
        options: fn(&NewSet) -> Vec<String>,
        /// Takes the place of the chosen one in.
        put: fn(&mut NewSet, usize),
    },
}

/// A question that is answered by a line of text.
pub const fn text(
    ask: &'static str,
    help: &'static str,
    when: fn(&NewSet) -> bool,
    put: Put,
) -> Question {
    Question::of(ask, help, when, Kind::Text(put))
}

/// One that is answered by a choice.
pub const fn choice(
    ask: &'static str,
    help: &'static str,
    when: fn(&NewSet) -> bool,
    options: fn(&NewSet) -> Vec<String>,
    put: fn(&mut NewSet, usize),
) -> Question {
    Question::of(ask, help, when, Kind::Choice { options, put })
}

impl Question {
    const fn of(
        ask: &'static str,
        help: &'static str,
        when: fn(&NewSet) -> bool,
        kind: Kind,
    ) -> Question {
        let (suggest, shown) = (|_: &str| Vec::new(), str::to_owned);
        Question { ask, help, needed: false, when, kind, suggest, shown, about: About::Set }
    }

    /// As it is asked of `set`.
    pub fn asked(&self, set: &NewSet) -> String {
        self.ask.replace("{rest}", &format!("{:.0}", rest(set)))
    }

    pub const fn suggest(self, suggest: fn(&str) -> Vec<String>) -> Question {
        Question { suggest, ..self }
    }

    pub const fn shown(self, shown: fn(&str) -> String) -> Question {
        Question { shown, ..self }
    }

    pub const fn needed(self) -> Question {
        Question { needed: true, ..self }
    }

    pub const fn about(self, about: About) -> Question {
        Question { about, ..self }
    }
}
