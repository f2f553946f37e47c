//! What went wrong with one file, as text and as data.

use super::run::{BAD_INPUT, Outcome};
use crate::profile::{Problems, Severity};
use serde::Serialize;

/// A file without a result.
#[derive(Debug, Clone)]
pub(super) struct Failure {
    /// For standard error.
    pub text: String,
    /// Exit code.
    pub code: u8,
    /// The errors one by one.
    pub errors: Vec<FileError>,
}

/// One error of a file.
#[derive(Debug, Clone, Serialize)]
pub(super) struct FileError {
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
    /// Problems with their places.
    pub fn located(problems: &Problems) -> Failure {
        let errors = problems.items().iter().filter(|p| p.severity == Severity::Error);
        Failure {
            text: problems.render(),
            code: BAD_INPUT,
            errors: errors
                .map(|p| FileError {
                    line: p.place.map(|(line, _)| line),
                    column: p.place.map(|(_, column)| column),
                    path: Some(p.path.clone()).filter(|path| !path.is_empty()),
                    found: p.found.clone(),
                    advice: p.advice.clone(),
                })
                .collect(),
        }
    }

    /// An error without a place.
    pub fn plain(text: String, found: String, advice: Option<String>) -> Failure {
        Failure {
            text,
            code: BAD_INPUT,
            errors: vec![FileError { line: None, column: None, path: None, found, advice }],
        }
    }
}

impl From<Failure> for Outcome {
    fn from(failure: Failure) -> Outcome {
        Outcome::bad(failure.text, failure.code)
    }
}
