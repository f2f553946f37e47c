//! The interview of `new`: questions on a terminal until a profile can be written.
//!
//! What is asked is a table ([`table`]); here it is put to a person, checked, and written at the end.

mod answers;
mod names;
mod questions;
mod table;
#[cfg(test)]
mod tests;
mod typed;

use super::{
    Failure, Outcome, Result, SaveError, Style,
    args::{FileKind, NewArgs, Output},
    check::check_file,
    desk::Desk,
    new::written,
    output::checked,
};
use crate::api::{
    Options, Outlet,
    draft::{self, Draft, NewSet},
    typed::shown,
};
use inquire::{InquireError, Select, Text, ui::RenderConfig, validator::Validation};
use questions::{About, Kind, Question};
use std::path::{Path, PathBuf};
use table::QUESTIONS;
use typed::Typed;

/// What stands under every question but those that a plan cannot do without.
const OPEN: &str = "Enter: I don't know";
/// What is said before the first.
const FIRST: &str = "\
A few questions; all but the volts and the tubes may be left open (Enter).
Esc goes one question back; Ctrl-C leaves, and nothing is written.
SAFETY  Unplug the set before you look inside, and touch nothing: its capacitors
        can hold lethal voltages for hours. Take no reading for these questions
        that you do not have already.
";

/// Asks, writes the profile, and says what it gives.
pub fn interview(args: &NewArgs, desk: &Desk) -> Result {
    let (screen, style) = (desk.screen, desk.style);
    if !screen.asks {
        return Err(Failure::new(
            "there is no terminal to ask on",
            "add `--design-line VOLTS --tubes TYPES`, or run `mainsfit new` on a terminal",
        ));
    }
    // what cannot be written in the end is told before anything is asked
    if let Some(path) = args.output.as_ref().filter(|path| path.exists() && !args.force) {
        return Err(SaveError::Exists(path.clone()).into());
    }
    let look = if screen.colour { RenderConfig::default() } else { RenderConfig::empty() };
    note(FIRST);
    let (set, blank) = ask_all(args.said.set()?, (look, style))?;
    let path = args.output.clone().map_or_else(|| file_name(&set, look), Ok)?;
    let written = written(&blank, &path, args.force, style)?;
    let (_, checked) = check_file(&path, desk)?;
    let plan = desk.load(&path)?.bench(Outlet::default())?.plan(&Options::default())?;
    let head = style.paint(&plan.in_short());
    let more = format!("More: mainsfit plan {}", shown(&path));
    Ok(Outcome::done(format!("{written}{checked}\n{head}\n{more}\n")))
}

/// Puts every question that is still open, until a profile follows.
fn ask_all(
    start: NewSet,
    (look, style): (RenderConfig<'static>, Style),
) -> Result<(NewSet, Draft)> {
    // what was known before each question that was put
    let mut asked: Vec<(usize, NewSet)> = Vec::new();
    let (mut set, mut next) = (start, 0);
    loop {
        let open = QUESTIONS.iter().enumerate().skip(next).find(|(_, q)| (q.when)(&set));
        let Some((place, question)) = open else {
            let error = match draft::tried(&set) {
                Ok(blank) => return Ok((set, blank)),
                Err(error) => error,
            };
            // what no single answer could tell is asked for again, the rest stays
            let about = About::of(&error);
            let failure = Failure::from(error);
            note(&style.tell(&failure.text));
            if about == About::Set {
                (next, set) = asked.pop().ok_or(failure)?;
                continue;
            }
            about.forget(&mut set);
            for question in QUESTIONS.iter().filter(|q| q.about == about) {
                if (question.when)(&set) {
                    put(question, &mut set, look)?;
                }
            }
            continue;
        };
        let before = set.clone();
        if put(question, &mut set, look)? {
            asked.push((place, before));
            next = place + 1;
        } else {
            (next, set) = asked.pop().unwrap_or((0, before));
        }
    }
}

/// Says something between two questions.
fn note(text: &str) {
    use std::io::Write;
    // nobody is left to be told if this fails
    let _ = writeln!(std::io::stderr(), "{}", text.trim_end());
}

/// Puts one question; `false` to go one back.
fn put(question: &Question, set: &mut NewSet, look: RenderConfig<'static>) -> Result<bool> {
    let asks = question.asked(set);
    let open = if question.needed { "needed" } else { OPEN };
    match &question.kind {
        Kind::Choice { options, put } => {
            let prompt = Select::new(&asks, options(set)).with_help_message(question.help);
            match prompt
                .with_page_size(14)
                .with_render_config(look)
                .raw_prompt_skippable()
                .map_err(left)?
            {
                Some(chosen) => put(set, chosen.index),
                None => return Ok(false),
            }
        }
        Kind::Text(put) => {
            let help = format!("{} ({open})", question.help);
            let (now, needed, put) = (set.clone(), question.needed, *put);
            let valid = move |text: &str| {
                let told = match text.trim() {
                    "" if needed => Err("a plan cannot do without it".to_owned()),
                    "" => Ok(()),
                    text => put(&mut now.clone(), text),
                };
                Ok(told.map_or_else(|why| Validation::Invalid(why.into()), |()| Validation::Valid))
            };
            let format = move |text: &str| match text.trim() {
                "" => "not known".to_owned(),
                text => (question.shown)(text),
            };
            let prompt = Text::new(&asks)
                .with_help_message(&help)
                .with_validator(valid)
                .with_autocomplete(Typed(question.suggest))
                .with_formatter(&format);
            match prompt.with_render_config(look).prompt_skippable().map_err(left)? {
                None => return Ok(false),
                Some(text) if text.trim().is_empty() => {}
                // it was found valid before it came here
                Some(text) => put(set, text.trim()).map_err(Failure::line)?,
            }
        }
    }
    Ok(true)
}

/// A name for the file, that is not there yet.
fn file_name(set: &NewSet, look: RenderConfig<'static>) -> Result<PathBuf> {
    let word = |c: char| if c.is_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
    let name: String = set.name.as_deref().unwrap_or("myset").chars().map(word).collect();
    let parts: Vec<&str> = name.split('-').filter(|p| !p.is_empty()).collect();
    let usual =
        format!("{}.yaml", if parts.is_empty() { "myset".to_owned() } else { parts.join("-") });
    let free = |text: &str| {
        let path = Path::new(text.trim());
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
        if let Err(failure) = checked(Output { path, kind: FileKind::Profile }, &[]) {
            return Ok(Validation::Invalid(failure.text.page().trim_end().into()));
        }
        Ok(match (path.exists(), folder.is_none_or(Path::is_dir)) {
            (true, _) => Validation::Invalid("there is a file of that name: give another".into()),
            (_, false) => Validation::Invalid("there is no such folder: give another".into()),
            _ => Validation::Valid,
        })
    };
    let prompt = Text::new("File to write?").with_default(&usual).with_validator(free);
    let prompt =
        prompt.with_help_message("nothing is written before this; Ctrl-C leaves without a file");
    Ok(PathBuf::from(prompt.with_render_config(look).prompt().map_err(left)?.trim()))
}

/// Why a prompt ended.
fn left(error: InquireError) -> Failure {
    match error {
        InquireError::OperationInterrupted | InquireError::OperationCanceled => {
            Failure::line("left: nothing was written").unanswered()
        }
        error => Failure::line(format!("the terminal cannot be asked: {error}")),
    }
}
