//! Files that a command is told to write: their endings, and that none of them is read as well.

use super::{
    Failure, Result,
    args::{FileKind, Output},
};
use crate::api::typed::shown;
use std::path::Path;

/// Refuses an output whose ending is of something else, and one that is among what is read.
pub fn checked(output: Output<'_>, inputs: &[&Path]) -> Result<()> {
    let Output { path, kind } = output;
    if path == Path::new("-") {
        return match kind {
            FileKind::Curves => Ok(()),
            FileKind::Sheet | FileKind::Page | FileKind::Profile => Err(Failure::new(
                "-: standard output is no file",
                "leave the option out: without it the text goes to standard output",
            )),
        };
    }
    if inputs.iter().any(|input| same(path, input)) {
        return Err(Failure::of(
            shown(path),
            "it is read for this, and is kept",
            "give what is written another name",
        ));
    }
    let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default();
    if kind.endings().contains(&&*ending.to_lowercase()) {
        return Ok(());
    }
    Err(Failure::of(shown(path), "the ending does not say what to write", kind.advice()))
}

/// Whether both name one file.
fn same(a: &Path, b: &Path) -> bool {
    let found = |path: &Path| std::fs::canonicalize(path).ok();
    a == b || found(a).zip(found(b)).is_some_and(|(a, b)| a == b)
}
