//! What a command comes to, and what went wrong with one: texts and exit codes are made here.

use super::{SaveError, Style, save};
use crate::{
    catalogue::NoSuchType,
    profile::{Document, Problems, Severity, fold, problem_at},
    report::{page::Page, terminal},
    study::{BlankError, Caution, StudyError},
};
use serde::Serialize;
use std::{error::Error, fmt::Display, path::Path};

/// Exit code of a bad profile or command line.
const BAD_INPUT: u8 = 2;
/// Exit code of a sound question without an answer.
const NO_ANSWER: u8 = 1;

/// What every command returns.
pub type Result<T = Outcome> = std::result::Result<T, Failure>;

/// What a command comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outcome {
    /// For standard output.
    pub out: String,
    /// For standard error.
    pub err: String,
    /// Exit code: 0 done, 1 no answer, 2 bad input.
    pub code: u8,
}

impl Outcome {
    pub(super) fn done(out: String) -> Outcome {
        Outcome { out, err: String::new(), code: 0 }
    }

    pub(super) fn page(page: &Page, style: Style) -> Outcome {
        Outcome::done(terminal::paint(page, style))
    }

    pub(super) fn json(value: &impl Serialize) -> Result {
        Ok(Outcome::done(serde_json::to_string_pretty(value)? + "\n"))
    }

    /// The same, with a file written beside it that holds `what`.
    pub(super) fn with_file(self, path: &Path, text: &str, force: bool, what: &str) -> Result {
        save(path, text, force)?;
        // the note belongs beside the answer, not into its JSON
        Ok(Outcome { err: format!("{}: {what} is written\n", path.display()), ..self })
    }

    /// What was found: as JSON where `json` says so, else as the page of it.
    pub(super) fn answer<T: Serialize>(
        found: &T,
        json: bool,
        style: Style,
        page: impl FnOnce(&T) -> Page,
    ) -> Result {
        if json { Outcome::json(found) } else { Ok(Outcome::page(&page(found), style)) }
    }
}

impl From<Failure> for Outcome {
    fn from(failure: Failure) -> Outcome {
        Outcome { out: String::new(), err: failure.text, code: failure.code }
    }
}

/// Why a command, or one file of it, has no result.
#[derive(Debug, Clone)]
pub struct Failure {
    /// For standard error.
    pub text: String,
    /// Exit code.
    pub code: u8,
    /// The errors of a file one by one.
    pub errors: Vec<FileError>,
}

/// One error of a file.
#[derive(Debug, Clone, Default, Serialize)]
pub struct FileError {
    /// Line, from 1, where it has a place.
    pub line: Option<usize>,
    /// Column in characters, from 1.
    pub column: Option<usize>,
    /// The value concerned, such as `tubes[2].plate`.
    pub path: Option<String>,
    /// What was found.
    pub found: String,
    /// What to do.
    pub advice: Option<String>,
}

impl Failure {
    /// Bad input without a place in a file: what was found, then what to do, in lines of a page.
    pub fn new(found: impl Display, advice: impl Display) -> Failure {
        let mut text = String::new();
        fold(&mut text, "", &found.to_string());
        fold(&mut text, "    ", &format!("fix: {advice}"));
        Failure { text, code: BAD_INPUT, errors: Vec::new() }
    }

    /// The same of a file or folder.
    pub fn of(file: impl Display, found: &str, advice: &str) -> Failure {
        Failure::new(format!("{file}: {found}"), advice).with(found, Some(advice))
    }

    /// A file that cannot be read.
    pub fn unread(file: impl Display, error: &std::io::Error) -> Failure {
        let found = format!("cannot be read: {error}");
        Failure::line(format!("{file}: {found}")).with(&found, None)
    }

    /// Bad input in one line, which says by itself what to do.
    pub fn line(text: impl Display) -> Failure {
        Failure { text: format!("{text}\n"), code: BAD_INPUT, errors: Vec::new() }
    }

    /// The same failure below what heads every screen of the set.
    pub fn below(self, alarms: &[Caution]) -> Failure {
        let mut text = String::new();
        for alarm in alarms.iter().filter(|c| c.is_alarm()) {
            fold(&mut text, "", &alarm.to_string());
        }
        Failure { text: text + &self.text, ..self }
    }

    /// The same failure of a sound question.
    pub fn unanswered(self) -> Failure {
        Failure { code: NO_ANSWER, ..self }
    }

    fn with(self, found: &str, advice: Option<&str>) -> Failure {
        let (found, advice) = (found.to_owned(), advice.map(str::to_owned));
        Failure { errors: vec![FileError { found, advice, ..FileError::default() }], ..self }
    }
}

impl From<Problems> for Failure {
    fn from(problems: Problems) -> Failure {
        let errors = problems.items().iter().filter(|p| p.severity == Severity::Error);
        let errors = errors.map(|p| FileError {
            line: p.place.map(|(line, _)| line),
            column: p.place.map(|(_, column)| column),
            path: Some(p.path.clone()).filter(|path| !path.is_empty()),
            found: p.found.clone(),
            advice: p.advice.clone(),
        });
        Failure { text: problems.render(), code: BAD_INPUT, errors: errors.collect() }
    }
}

/// A study's error, placed in the profile where it belongs to a value.
impl From<(&Document, StudyError)> for Failure {
    fn from((document, error): (&Document, StudyError)) -> Failure {
        if let StudyError::Receiver(inner) = &error
            && let Some(key) = inner.key()
        {
            return problem_at(document, key, &inner.to_string(), inner.advice()).into();
        }
        if let StudyError::Reading { what, key, advice } = &error {
            return problem_at(document, key, what, advice).into();
        }
        let failure = Failure::of(document.name(), &with_causes(&error), &error.advice());
        Failure { code: code(&error), ..failure }
    }
}

/// A study's error without a profile.
impl From<StudyError> for Failure {
    fn from(error: StudyError) -> Failure {
        Failure { code: code(&error), ..Failure::new(with_causes(&error), error.advice()) }
    }
}

fn code(error: &StudyError) -> u8 {
    match error {
        StudyError::Receiver(_)
        | StudyError::NotStoodBehind { .. }
        | StudyError::Contradicted(_)
        | StudyError::NotFitted(_) => NO_ANSWER,
        _ => BAD_INPUT,
    }
}

fn with_causes(error: &StudyError) -> String {
    let causes = std::iter::successors(error.source(), |&cause| cause.source());
    causes.fold(error.to_string(), |text, cause| format!("{text}: {cause}"))
}

impl From<BlankError> for Failure {
    fn from(error: BlankError) -> Failure {
        Failure::new(&error, error.advice())
    }
}

impl From<NoSuchType> for Failure {
    fn from(error: NoSuchType) -> Failure {
        Failure::new(error.found(), error.advice())
    }
}

impl From<SaveError> for Failure {
    fn from(error: SaveError) -> Failure {
        Failure::new(&error, error.advice())
    }
}

impl From<serde_json::Error> for Failure {
    fn from(error: serde_json::Error) -> Failure {
        Failure::line(format!("the result cannot be written as JSON: {error}")).unanswered()
    }
}
