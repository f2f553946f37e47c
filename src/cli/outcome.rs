//! What a command comes to, and what went wrong with one: texts and exit codes are made here.

use super::{
    Exit, SaveError, Style,
    forms::{ERROR, Form},
    save,
};
use crate::api::{
    Caution, Error, Page, ProfileError, Severity,
    draft::DraftError,
    typed::{Told, shown},
};
use schemars::JsonSchema;
use serde::Serialize;
use std::{fmt::Display, path::Path};

/// What every command returns.
pub type Result<T = Outcome> = std::result::Result<T, Failure>;

/// What a command comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outcome {
    /// For standard output.
    pub out: String,
    /// For standard error.
    pub err: String,
    /// Exit code, as [`Exit`] has them.
    pub code: u8,
}

impl Outcome {
    pub(super) fn done(out: String) -> Outcome {
        Outcome { out, err: String::new(), code: Exit::Done.code() }
    }

    pub(super) fn page(page: &Page, style: Style) -> Outcome {
        Outcome::done(style.paint(page))
    }

    pub(super) fn json(value: &impl Serialize) -> Result {
        Ok(Outcome::done(serde_json::to_string_pretty(value)? + "\n"))
    }

    /// As JSON whose form has this name, with the version of the program.
    pub(super) fn json_as(schema: &'static str, found: &impl Serialize) -> Result {
        Outcome::json(&Form { found, schema, version: env!("CARGO_PKG_VERSION") })
    }

    /// The same, with a file written beside it that holds `what`. Where it cannot be written the answer stands all the same.
    pub(super) fn with_file(self, file: Written<'_>, text: &str, style: Style) -> Outcome {
        let Written { path, force, what } = file;
        // the note belongs beside the answer, not into its JSON
        match save(path, text, force).map_err(Failure::from) {
            Ok(()) => Outcome { err: format!("{}: {what} is written\n", shown(path)), ..self },
            Err(Failure { text, code, .. }) => Outcome { err: style.tell(&text), code, ..self },
        }
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

/// A file beside an answer.
pub struct Written<'a> {
    pub path: &'a Path,
    /// Over one that is there.
    pub force: bool,
    /// What it holds, such as "the changed profile".
    pub what: &'static str,
}

/// Why a command, or one file of it, has no result.
#[derive(Debug, Clone)]
pub struct Failure {
    /// For standard error.
    pub text: Told,
    /// Exit code.
    pub code: u8,
    /// The errors of a file one by one.
    pub errors: Vec<FileError>,
    /// What heads every answer of the set.
    alarms: Vec<Alarm>,
}

/// A caution that heads everything.
#[derive(Debug, Clone, Serialize, JsonSchema)]
struct Alarm {
    /// Its sentence.
    text: String,
}

/// What went wrong, as JSON.
#[derive(Serialize, JsonSchema)]
pub(super) struct Errors<'a> {
    /// What heads every answer of the set.
    cautions: &'a [Alarm],
    /// Name and version of this form.
    schema: &'static str,
    /// Version of the program.
    version: &'static str,
    /// The file it is about; null where several or none are named.
    file: Option<&'a str>,
    /// The errors, one by one.
    errors: &'a [FileError],
}

/// One error of a file.
#[derive(Debug, Clone, Default, Serialize, JsonSchema)]
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
    /// As an object of JSON that says which file it is about.
    pub fn json(&self, file: Option<&str>) -> serde_json::Result<String> {
        let bare =
            [FileError { found: self.text.page().trim_end().to_owned(), ..FileError::default() }];
        let errors = if self.errors.is_empty() { &bare } else { self.errors.as_slice() };
        serde_json::to_string(&Errors {
            cautions: &self.alarms,
            schema: ERROR,
            version: env!("CARGO_PKG_VERSION"),
            file,
            errors,
        })
    }

    /// What a command comes to that has none: for standard error, and where JSON is asked for that as well.
    pub fn outcome(self, file: Option<&str>, json: bool, style: Style) -> Outcome {
        let object = json.then(|| self.json(file).map(|line| line + "\n"));
        let out = object.and_then(std::result::Result::ok).unwrap_or_default();
        Outcome { out, err: style.tell(&self.text), code: self.code }
    }

    fn of_input(text: Told) -> Failure {
        Failure { text, code: Exit::BadInput.code(), errors: Vec::new(), alarms: Vec::new() }
    }

    /// Bad input without a place in a file: what was found, then what to do.
    pub fn new(found: impl Display, advice: impl Display) -> Failure {
        let mut failure = Failure::line(found);
        failure.text.say_below(format!("fix: {advice}"));
        failure
    }

    /// The same of a file or folder.
    pub fn of(file: impl Display, found: &str, advice: &str) -> Failure {
        Failure::new(format!("{file}: {found}"), advice).with(found, Some(advice))
    }

    /// Bad input in one sentence, which says by itself what to do.
    pub fn line(sentence: impl Display) -> Failure {
        let mut text = Told::default();
        text.say(sentence.to_string());
        Failure::of_input(text)
    }

    /// The same failure below what heads every screen of the set.
    pub fn below(self, alarms: &[Caution]) -> Failure {
        let alarms = alarms.iter().filter(|c| c.is_alarm());
        let alarms: Vec<Alarm> = alarms.map(|c| Alarm { text: c.to_string() }).collect();
        let mut text = Told::default();
        alarms.iter().for_each(|alarm| text.say(&alarm.text));
        Failure { text: text.then(self.text), alarms, ..self }
    }

    /// The same failure of a sound question.
    pub fn unanswered(self) -> Failure {
        Failure { code: Exit::NoAnswer.code(), ..self }
    }

    fn with(self, found: &str, advice: Option<&str>) -> Failure {
        let (found, advice) = (found.to_owned(), advice.map(str::to_owned));
        Failure { errors: vec![FileError { found, advice, ..FileError::default() }], ..self }
    }
}

impl From<&ProfileError> for Failure {
    fn from(problems: &ProfileError) -> Failure {
        let errors = problems.items().iter().filter(|p| p.severity == Severity::Error);
        let errors = errors.map(|p| FileError {
            line: p.place.map(|(line, _)| line),
            column: p.place.map(|(_, column)| column),
            path: Some(p.path.clone()).filter(|path| !path.is_empty()),
            found: p.found.clone(),
            advice: p.advice.clone(),
        });
        Failure { errors: errors.collect(), ..Failure::of_input(problems.told()) }
    }
}

impl From<Error> for Failure {
    fn from(error: Error) -> Failure {
        let (found, advice) = (error.found(), error.advice());
        let failure = match (error.problems(), error.file()) {
            (Some(problems), _) => problems.into(),
            (None, Some(_)) if advice.is_empty() => Failure::line(&error).with(&found, None),
            (None, Some(file)) => Failure::of(file, &found, advice),
            (None, None) if advice.is_empty() => Failure::line(found),
            (None, None) => Failure::new(found, advice),
        };
        let failure = failure.below(error.alarms());
        if error.is_no_answer() { failure.unanswered() } else { failure }
    }
}

impl From<DraftError> for Failure {
    fn from(error: DraftError) -> Failure {
        Error::from(error).into()
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
