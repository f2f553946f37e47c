//! A profile to fill in: a set named by a few words, with what a plan would take where nothing is known.
//!
//! What must stand in it and was not said is a guess, and says so; the rest is left out, so that a plan fills it in by its
//! own rules. The profile is read back and solved as any other.

mod fill;
mod guess;
mod hints;
mod set;
mod sheet;
mod sockets;
mod told;

pub use set::{Between, BiasFrom, BlankError, Bulb, Feed, NewDropper, NewSet, Winding};
pub use sheet::{Body, Entry, From as EntryFrom};
pub use told::{Heaters, heaters};

use super::{Caution, alarms::alarms, outlet};
use crate::{
    profile::{Document, Lead, Problem, Problems, Profile, Severity, read},
    quantity::Quantity,
    receiver::{Receiver, complete},
};
use fill::Source;
use guess::Guesses;
use hints::Hints;

/// The blank: a profile as a tree, and what is to be said of it.
#[derive(Debug, Clone)]
pub struct Blank {
    /// What heads it.
    pub alarms: Vec<Caution>,
    /// What feeds the set.
    pub feed: Feed,
    /// True if that was told by the tubes and not said.
    pub told: bool,
    /// The heaters as a string.
    pub heaters: Heaters,
    /// The profile.
    pub entries: Vec<Entry>,
}

/// Where the reader places what is wrong with a circuit.
const CIRCUIT: [&str; 3] = ["rectifier", "rectifier.type", "rectifier.circuit"];

impl From<Problems> for BlankError {
    fn from(problems: Problems) -> BlankError {
        let first = problems.items().iter().find(|p| p.severity == Severity::Error);
        let of = |part: fn(&Problem) -> Option<String>| first.and_then(part).unwrap_or_default();
        let (path, found) = (of(|p| Some(p.path.clone())), of(|p| Some(p.found.clone())));
        let mut advice = of(|p| p.advice.clone());
        if CIRCUIT.iter().any(|at| path == *at) {
            advice += "; here by `--circuit`, and `--rectifier` with its type once for each tube";
        }
        BlankError::Refused { path, found, advice }
    }
}

/// Looks the set up and solves it with the usual values, so that what is written from it can be planned.
///
/// # Errors
/// An unknown type (with the nearest names), no rectifier, what does not go together, a heater string that cannot be one,
/// an outlet that no rule gives, or a set that cannot be solved.
pub fn blank(set: &NewSet) -> Result<Blank, BlankError> {
    let logged = set.outlet.log.as_ref().map_or(0, |log| log.lines().len());
    if logged > set::MOST_LINES {
        return Err(BlankError::LongLog(logged));
    }
    let types = told::types(set)?;
    fits(&types)?;
    if let (Some(lamp), false) = (types.stray_lamp(), types.on_line()) {
        let (lamp, volts_v) = (lamp.name.clone(), lamp.volts.si());
        return Err(BlankError::LampWithoutWinding { lamp, volts_v });
    }
    let mut guesses = Guesses::of_types(&types)?;
    // what the tubes draw is known before how they are biased
    let profile = read_back(&types, &guesses)?;
    let (outlet, _) = outlet::settle(&profile, &set.outlet)?;
    let (model, _) = complete(&profile)?;
    guesses.of_currents(set, &profile, &model);
    let profile = read_back(&types, &guesses)?;
    let (model, _) = complete(&profile)?;
    let receiver = Receiver::new(model, None)?;
    let hints = Hints::of(&receiver, &profile, &types, outlet);
    Ok(Blank {
        alarms: alarms(receiver.model(), Some(&outlet)),
        feed: types.feed(),
        told: set.feed.is_none(),
        heaters: types.heaters(),
        entries: Source { types: &types, guesses: &guesses, hints: &hints }.entries(),
    })
}

/// Refuses what does not go together.
fn fits(types: &told::Types<'_>) -> Result<(), BlankError> {
    const TRANSFORMER: &str = "a transformer (`--supply transformer`)";
    let (set, on_line) = (types.set, types.on_line());
    let coil = set.between == Some((Between::FieldCoil, Lead::Negative));
    match set.bias {
        BiasFrom::FieldCoil if !coil => return Err(BlankError::BiasWithoutCoil),
        BiasFrom::Supply if on_line => return Err(BlankError::BiasWithoutWinding),
        _ => {}
    }
    let elsewhere = [
        (
            set.dropper.is_some() && !on_line,
            "a dropper",
            "heaters in series on the line (`--supply line`)",
        ),
        (on_line && set.winding.is_some(), "a high-voltage winding", TRANSFORMER),
        (on_line && set.primary.is_some(), "a primary", TRANSFORMER),
        (
            on_line && set.b_plus.is_some(),
            "B+ of the sheet",
            "a transformer: on the line it follows from the line itself",
        ),
        (
            set.coil.is_some() && set.between.is_none() && !set.field_across,
            "a resistance of the coil",
            "what stands between the capacitors (`--field-coil`, `--choke` or `--resistor`)",
        ),
    ];
    match elsewhere.into_iter().find(|(is, ..)| *is) {
        Some((_, what, with)) => Err(BlankError::Elsewhere(what, with)),
        None => Ok(()),
    }
}

/// The profile as its reader takes it.
fn read_back(types: &told::Types<'_>, guesses: &Guesses) -> Result<Profile, BlankError> {
    let text = sheet::plain(&Source { types, guesses, hints: &Hints::default() }.entries());
    let document = Document::parse("the new profile", text.as_bytes())?;
    Ok(read(&document)?.0)
}
