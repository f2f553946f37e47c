//! A set, as its profile describes it.

use super::{Caution, Error, Outlet, Replacement, Tube, file::bytes_of};
use crate::{
    catalogue::{Named, stock::ResistorSize},
    profile::{self, Document, MAX_BYTES, Paper, Problems, Profile, ShopPart},
    quantity::{Power, Quantity, Resistance},
    receiver::complete,
    study::{self, ReplaceBy, Replaced, Request, StudyError},
    text::shown,
};
use sha2::{Digest, Sha256};
use std::{path::Path, sync::Arc};

/// A set, as its profile describes it: what was typed, checked, and nothing filled in yet.
///
/// ```
/// let set = mainsfit::Set::load("profiles/console-1936.yaml")?;
/// assert!(set.name().starts_with("Seven-tube"));
/// assert!(set.warnings().items().is_empty());
/// # Ok::<(), mainsfit::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct Set {
    pub(super) read: Arc<Described>,
}

/// A profile that a plan can be made of.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Checked {
    /// Values that a plan will assume.
    pub assumed: usize,
    /// What a plan warns of beside [`Set::warnings`].
    pub warnings: Vec<String>,
}

/// A profile with the document it came from.
#[derive(Debug, Clone)]
pub(super) struct Described {
    pub document: Document,
    pub profile: Profile,
    pub oddities: Problems,
    /// The file as text; what is no UTF-8 is marked.
    pub text: String,
    /// SHA-256 of the file's bytes, hexadecimal.
    pub digest: String,
    /// What it has of a shop's defaults.
    pub shop: Option<OfShop>,
}

/// What a set has of a shop.
#[derive(Debug, Clone)]
pub(super) struct OfShop {
    /// The file, without its folder.
    pub file: String,
    /// What was taken from it.
    pub parts: Vec<ShopPart>,
    /// The paper for its sheets.
    pub paper: Option<Paper>,
}

impl Set {
    /// Reads and checks the profile at `path`; `-` is standard input.
    ///
    /// # Errors
    /// A file that cannot be read, or every problem of the profile with line, column and what to write instead.
    pub fn load(path: impl AsRef<Path>) -> Result<Set, Error> {
        let path = path.as_ref();
        let bytes = bytes_of(path, MAX_BYTES).map_err(|error| Error::unread(path, &error))?;
        Set::parse(&shown(path), &bytes)
    }

    /// Reads and checks a profile from its bytes; problems call it `name`.
    ///
    /// # Errors
    /// As [`Set::load`].
    ///
    /// ```
    /// let error = mainsfit::Set::parse("mine", b"set: { name: Mine, design_line: 110 }").unwrap_err();
    /// let problems = error.problems().unwrap().items();
    /// assert!(problems.iter().all(|problem| problem.place.is_some()));
    /// ```
    pub fn parse(name: &str, bytes: &[u8]) -> Result<Set, Error> {
        let document = Document::parse(name, bytes)?;
        let (profile, oddities) = profile::read(&document)?;
        let text = String::from_utf8_lossy(bytes).into_owned();
        let digest = format!("{:x}", Sha256::digest(bytes));
        let read = Described { document, profile, oddities, text, digest, shop: None };
        Ok(Set { read: Arc::new(read) })
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.read.profile.set.name
    }

    /// What is possible in the profile, but odd.
    pub fn warnings(&self) -> &Problems {
        &self.read.oddities
    }

    /// What heads everything that is said of the set: a live chassis, an outlet far too high.
    pub fn alarms(&self) -> Vec<Caution> {
        study::set_alarms(&self.read.profile)
    }

    /// The same set with tubes of a type of one's own in the sockets of the type `instead_of`.
    ///
    /// # Errors
    /// The set has no tube of that type.
    ///
    /// ```
    /// use mainsfit::units::{Current, milliampere};
    /// use mainsfit::{Catalogue, Set};
    ///
    /// let mut thrifty = Catalogue::built_in().tube("6F6")?.item.clone();
    /// thrifty.heater_amps = Current::new::<milliampere>(600.0);
    /// let set = Set::load("profiles/console-1936.yaml")?.with_tube("6F6", &thrifty)?;
    /// # Ok::<(), mainsfit::Error>(())
    /// ```
    pub fn with_tube(mut self, instead_of: &str, tube: &Tube) -> Result<Set, Error> {
        let read = Arc::make_mut(&mut self.read);
        let tubes = read.profile.tubes.iter_mut();
        let mut fitted = 0;
        for socket in tubes.filter(|t| t.kind.names().any(|name| name == instead_of)) {
            (socket.kind, socket.matched) = (tube.clone(), None);
            fitted += 1;
        }
        match fitted {
            0 => Err(Error::asked(
                format!("{} has no tube {instead_of}", self.name()),
                "name a type as the profile does",
            )),
            _ => Ok(self),
        }
    }

    /// The same set with a resistor of one's own among the parts that may be fitted: a wirewound one in a ceramic case. Where
    /// there are such, they take the place of the trade's.
    ///
    /// ```
    /// use mainsfit::units::{Power, Resistance, ohm, watt};
    ///
    /// let (ohms, watts) = (Resistance::new::<ohm>(22.0), Power::new::<watt>(100.0));
    /// let set = mainsfit::Set::load("profiles/console-1936.yaml")?.with_resistor(ohms, watts);
    /// # Ok::<(), mainsfit::Error>(())
    /// ```
    pub fn with_resistor(mut self, value: Resistance, rating: Power) -> Set {
        let own = &mut Arc::make_mut(&mut self.read).profile.parts;
        let size = ResistorSize::of_family("ceramic-cased", rating.si());
        own.resistors.extend(size.map(|size| (value, size)));
        self
    }

    /// Whether a plan can be made of it, and what that will assume.
    ///
    /// # Errors
    /// Whatever keeps a plan from being made; readings that contradict each other or the set.
    pub fn check(&self) -> Result<Checked, Error> {
        let profile = &self.read.profile;
        let (_, list) = self.answer(complete(profile))?;
        let readings = self.answer(study::readings(profile))?;
        if let Some(headline) = readings.headline() {
            let (name, advice) = (self.read.document.name(), readings.sentences().join(". "));
            return Err(Error::no_answer(name, headline, &advice).below(self.alarms()));
        }
        let plan = self.answer(study::plan(profile, &Request::default(), Vec::new()))?;
        let assumed = list.len() + study::outlet_assumed(profile);
        Ok(Checked { assumed, warnings: plan.warnings })
    }

    /// What takes a part's place: the advised one, or `by`; with the changed profile, solved beside the original.
    ///
    /// # Errors
    /// The set does not have the part, or it cannot be replaced in it.
    pub fn replace(
        &self,
        part: Replaced,
        by: Option<ReplaceBy>,
        outlet: Outlet,
    ) -> Result<Replacement, Error> {
        let request = Request { outlet: outlet.0, target: None };
        self.answer(study::replace(&self.read.document, part, by, &request))
    }

    /// The JSON Schema of profiles, for editors.
    pub fn schema() -> serde_json::Value {
        profile::profile_schema()
    }

    /// What a study found; its error placed in this profile, below what heads every screen of the set.
    pub(super) fn answer<T>(&self, found: Result<T, impl Into<StudyError>>) -> Result<T, Error> {
        found.map_err(|error| Error::of_set(&self.read.document, &error.into(), self.alarms()))
    }

    /// What the reader found odd, a line each.
    pub(super) fn warning_lines(&self) -> Vec<String> {
        let place = |(line, _)| format!("line {line}: ");
        let items = self.warnings().items().iter();
        items.map(|p| p.place.map_or(String::new(), place) + &p.found).collect()
    }
}
