//! Sheets of paper: what was found, and where it came from.

use super::{
    Choice, Item, Plan, Set,
    file::{name, quoted},
};
use crate::study::{self, Origin};
use serde::Serialize;
use std::{fmt::Display, path::Path};

/// A modification note: one choice of a plan with what each point should read, and what to be careful of.
///
/// ```
/// use mainsfit::{Options, Outlet, Page, Set};
///
/// let bench = Set::load("profiles/console-1936.yaml")?.bench(Outlet::default())?;
/// let note = bench.note(&Options::default())?;
/// assert!(Page::from(&note).html().starts_with("<!DOCTYPE html>"));
/// # Ok::<(), mainsfit::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct Note {
    pub(super) found: study::Note,
    pub(super) origin: Origin,
}

impl Note {
    /// The choice it is about.
    pub fn fitted(&self) -> &Choice {
        self.found.fitted()
    }

    /// The plan it goes on from.
    pub fn plan(&self) -> &Plan {
        &self.found.plan
    }

    /// The same note, with the file that it is written to in the command that makes it again.
    pub fn written_to(mut self, path: &Path) -> Note {
        written_to(&mut self.origin, path);
        self
    }
}

/// The first power-up, in stages.
///
/// ```
/// use mainsfit::{Outlet, Page, Set};
///
/// let bench = Set::load("profiles/mantel-1938.yaml")?.bench(Outlet::default())?;
/// let text = Page::from(&bench.power_up()?).text(96, false);
/// assert!(text.contains("Lethal voltages inside"));
/// # Ok::<(), mainsfit::Error>(())
/// ```
#[derive(Debug, Clone, Serialize)]
#[serde(transparent)]
pub struct PowerUp {
    pub(super) found: study::PowerUp,
    #[serde(skip)]
    pub(super) origin: Origin,
}

impl PowerUp {
    /// The plan it goes on from.
    pub fn plan(&self) -> &Plan {
        &self.found.plan
    }

    /// As [`Note::written_to`].
    pub fn written_to(mut self, path: &Path) -> PowerUp {
        written_to(&mut self.origin, path);
        self
    }
}

/// What to buy for the job.
///
/// ```
/// use mainsfit::{Options, Outlet, Page, Set};
///
/// let bench = Set::load("profiles/console-1936.yaml")?.bench(Outlet::default())?;
/// let list = bench.parts(&Options::default())?;
/// assert!(list.items().iter().any(|item| item.part.as_deref() == Some("C1")));
/// assert!(Page::from(&list).text(96, false).contains("Parts to buy"));
/// # Ok::<(), mainsfit::Error>(())
/// ```
#[derive(Debug, Clone, Serialize)]
#[serde(transparent)]
pub struct PartsList {
    pub(super) found: study::PartsList,
    #[serde(skip)]
    pub(super) origin: Origin,
}

impl PartsList {
    /// Its lines: what to ask for, how many, and why.
    pub fn items(&self) -> &[Item] {
        &self.found.items
    }

    /// The plan it goes on from.
    pub fn plan(&self) -> &Plan {
        &self.found.plan
    }

    /// As [`Note::written_to`].
    pub fn written_to(mut self, path: &Path) -> PartsList {
        written_to(&mut self.origin, path);
        self
    }
}

/// Where a sheet came from, made again by `mainsfit {command} FILE{options}`.
pub(super) fn origin(set: &Set, command: &str, options: impl Display) -> Origin {
    let file = name(Path::new(set.read.document.name()));
    let command = format!("mainsfit {command} {}{options}", quoted(&file));
    let paper = set.read.shop.as_ref().and_then(|shop| shop.paper);
    Origin { file, digest: set.read.digest.clone(), command, paper }
}

fn written_to(origin: &mut Origin, path: &Path) {
    origin.command += &format!(" -o {}", quoted(&name(path)));
}
