//! The `new` command: a profile to fill in, by options.

use super::{Failure, Outcome, Result, Style, args::NewArgs, save};
use crate::api::{
    draft::{Draft, draft},
    typed::shown,
};
use std::path::Path;

/// Writes the blank, or prints it where no file is named.
pub fn new(args: &NewArgs, style: Style) -> Result {
    let said = &args.said;
    if let Some(missing) = said.missing() {
        return Err(Failure::new("this is too little for a profile", format!("add {missing}")));
    }
    if args.force && args.output.is_none() {
        return Err(Failure::new("--force writes over a file, and none is named", "add -o FILE"));
    }
    let usual = said.outlet.line.line.is_some() || said.outlet.line.range.is_some();
    if !usual && (said.outlet.low.is_some() || said.outlet.high.is_some()) {
        return Err(Failure::new(
            "--low and --high belong to the usual volts, which are not given",
            "add `--line` with the usual volts, or `--range`",
        ));
    }
    let blank = draft(&said.set()?)?;
    let Some(path) = &args.output else {
        return Ok(Outcome::done(blank.text()));
    };
    let path = path.as_path();
    written(&blank, path, args.force, style).map(Outcome::done)
}

/// Writes the profile; what is said of it.
pub fn written(blank: &Draft, path: &Path, force: bool, style: Style) -> Result<String> {
    save(path, &blank.text(), force)?;
    let path = shown(path);
    Ok(format!(
        "{}{path}: written; replace what is marked guess as you learn it, then `mainsfit check {path}`\n",
        style.paint(&blank.told())
    ))
}
