//! Why there is no answer, and what to do.

use super::file::{beside, name};
use crate::{
    catalogue::{NoSuchRange, NoSuchType},
    profile::{Document, Problems, SHIPPED, problem_at},
    study::{BlankError, Caution, NoSuchWord, StudyError},
    text::{near, shown},
};
use std::{
    error::Error as _,
    fmt,
    io::{self, ErrorKind},
    path::Path,
};

/// Why there is no answer. It says what was found, and in [`Error::advice`] what to do about it.
///
/// ```
/// let error = mainsfit::Set::load("profiles/no-such.yaml").unwrap_err();
/// assert!(error.to_string().starts_with("profiles/no-such.yaml: cannot be read"));
/// ```
#[derive(Debug, Clone)]
pub struct Error {
    why: Box<Why>,
    /// The file or folder concerned.
    file: Option<String>,
    /// What heads every screen of the set, errors too.
    alarms: Vec<Caution>,
}

#[derive(Debug, Clone)]
enum Why {
    /// In the profile, each with its line.
    Profile(Problems),
    /// A sound question without an answer.
    NoAnswer(String, String),
    /// What was asked for is wrong: what was found, what to do.
    Asked(String, String),
    /// A file that cannot be read, and how to have it.
    Unread(String, String),
}

impl Error {
    pub(super) fn unread(path: &Path, error: &io::Error) -> Error {
        let (found, advice) = match error.kind() {
            ErrorKind::NotFound => ("there is no such file".to_owned(), instead_of(path)),
            ErrorKind::IsADirectory => (
                "it is a folder".to_owned(),
                "name one file in it; `mainsfit plan` and `mainsfit check` take a folder"
                    .to_owned(),
            ),
            ErrorKind::TimedOut => (
                "nothing comes out of it".to_owned(),
                "it is a pipe or a device: name a file, or let something write into it".to_owned(),
            ),
            ErrorKind::PermissionDenied => (
                "the system does not let you read it".to_owned(),
                "give yourself the right to read it, or name a copy".to_owned(),
            ),
            _ => (error.to_string(), "look at the disk, or name a copy elsewhere".to_owned()),
        };
        let why = Why::Unread(format!("cannot be read: {found}"), advice);
        Error { file: Some(shown(path)), ..why.into() }
    }

    /// What was asked for is wrong.
    pub(super) fn asked(found: impl Into<String>, advice: impl Into<String>) -> Error {
        Why::Asked(found.into(), advice.into()).into()
    }

    /// A sound question without an answer, about a file.
    pub(super) fn no_answer(file: &str, found: &str, advice: &str) -> Error {
        let why = Why::NoAnswer(found.to_owned(), advice.to_owned());
        Error { file: Some(file.to_owned()), ..why.into() }
    }

    /// Nothing could be drawn.
    #[cfg(feature = "pages")]
    pub(super) fn undrawn(error: &impl fmt::Display) -> Error {
        Why::NoAnswer(error.to_string(), String::new()).into()
    }

    /// The same below what heads every screen of the set.
    pub(super) fn below(self, alarms: Vec<Caution>) -> Error {
        Error { alarms, ..self }
    }

    /// A study's error, placed in the profile where it belongs to a value.
    pub(super) fn of_set(document: &Document, error: &StudyError, alarms: Vec<Caution>) -> Error {
        let alarms = match error.alarms() {
            [] => alarms,
            known => known.to_vec(),
        };
        let placed = match error {
            StudyError::Receiver(inner) => {
                inner.key().map(|key| (key, inner.to_string(), inner.advice()))
            }
            StudyError::Reading { what, key, advice } => Some((&**key, what.clone(), &**advice)),
            _ => None,
        };
        let why = match placed {
            Some((key, what, advice)) => Why::Profile(problem_at(document, key, &what, advice)),
            None => Why::from(error),
        };
        Error { why: Box::new(why), file: Some(document.name().to_owned()), alarms }
    }

    /// What was found, without the file's name.
    pub fn found(&self) -> String {
        match &*self.why {
            Why::Profile(problems) => problems.to_string(),
            Why::NoAnswer(found, _) | Why::Asked(found, _) | Why::Unread(found, _) => found.clone(),
        }
    }

    /// What to do about it; empty where the problems say so each by itself.
    pub fn advice(&self) -> &str {
        match &*self.why {
            Why::Profile(_) => "",
            Why::NoAnswer(_, advice) | Why::Asked(_, advice) | Why::Unread(_, advice) => advice,
        }
    }

    /// The file concerned, where there is one.
    pub fn file(&self) -> Option<&str> {
        self.file.as_deref()
    }

    /// The problems of the profile with line and column, where it has any.
    pub fn problems(&self) -> Option<&Problems> {
        match &*self.why {
            Why::Profile(problems) => Some(problems),
            _ => None,
        }
    }

    /// True where the question was sound and has no answer; false where it was wrong.
    pub fn is_no_answer(&self) -> bool {
        matches!(*self.why, Why::NoAnswer(..))
    }

    /// What must be read before the error: a live chassis, an outlet far too high.
    pub fn alarms(&self) -> &[Caution] {
        &self.alarms
    }
}

/// What to do about a file that is not there.
fn instead_of(path: &Path) -> String {
    // named as in the help, by someone who has the program alone
    let stem = path.file_stem();
    if let Some((name, _)) = SHIPPED.iter().find(|(name, _)| stem.is_some_and(|s| s == *name)) {
        return format!("write it first: `mainsfit example {name} -o {name}.yaml`");
    }
    let there = beside(path);
    match near(&name(path), there.iter().map(String::as_str))[..] {
        [] => "look at its name and folder; `mainsfit example` lists sets to begin with".to_owned(),
        [near, ..] => format!("the nearest name there is {}", shown(Path::new(near))),
    }
}

impl From<&StudyError> for Why {
    fn from(error: &StudyError) -> Why {
        let causes = std::iter::successors(error.source(), |&cause| cause.source());
        let found = causes.fold(error.to_string(), |text, cause| format!("{text}: {cause}"));
        let without_answer = matches!(
            error,
            StudyError::Receiver(_)
                | StudyError::NotStoodBehind { .. }
                | StudyError::Contradicted(_)
                | StudyError::NotFitted(_)
        );
        let why = if without_answer { Why::NoAnswer } else { Why::Asked };
        why(found, error.advice())
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (&*self.why, &self.file) {
            (Why::Profile(problems), _) => problems.fmt(f),
            (_, Some(file)) => write!(f, "{file}: {}", self.found()),
            (_, None) => f.write_str(&self.found()),
        }
    }
}

impl std::error::Error for Error {}

impl From<Why> for Error {
    fn from(why: Why) -> Error {
        Error { why: Box::new(why), file: None, alarms: Vec::new() }
    }
}

impl From<Problems> for Error {
    fn from(problems: Problems) -> Error {
        Why::Profile(problems).into()
    }
}

impl From<StudyError> for Error {
    fn from(error: StudyError) -> Error {
        Why::from(&error).into()
    }
}

impl From<NoSuchType> for Error {
    fn from(error: NoSuchType) -> Error {
        Why::Asked(error.found(), error.advice()).into()
    }
}

impl From<BlankError> for Error {
    fn from(error: BlankError) -> Error {
        Why::Asked(error.to_string(), error.advice()).into()
    }
}

impl From<NoSuchWord> for Error {
    fn from(NoSuchWord { found, advice }: NoSuchWord) -> Error {
        Why::Asked(found, advice).into()
    }
}

impl From<NoSuchRange> for Error {
    fn from(error: NoSuchRange) -> Error {
        Why::Asked(error.to_string(), error.advice()).into()
    }
}
