//! What a shell offers for a value of which the parser takes any.

use crate::api::{
    Catalogue, Set,
    typed::{SHIPPED, ballasts, explainable_words, outlet_ranges},
};
use clap_complete::engine::{ArgValueCandidates, CompletionCandidate};
use std::path::Path;

/// These names. One that begins with # would be a remark to a shell, and is not offered.
fn names<N: Into<String>>(list: impl Fn() -> Vec<N> + Send + Sync + 'static) -> ArgValueCandidates {
    ArgValueCandidates::new(move || {
        let names = list().into_iter().map(Into::into).filter(|name| !name.starts_with('#'));
        names.map(CompletionCandidate::new).collect()
    })
}

/// Tubes.
fn tube_names() -> Vec<&'static str> {
    Catalogue::built_in().tubes().iter().map(|tube| tube.name.as_str()).collect()
}

/// Rectifiers.
fn rectifier_names() -> Vec<&'static str> {
    Catalogue::built_in().rectifiers().iter().map(|tube| tube.name.as_str()).collect()
}

/// Dial lamps.
fn lamp_names() -> Vec<&'static str> {
    Catalogue::built_in().lamps().iter().map(|lamp| lamp.name.as_str()).collect()
}

/// Tubes, and rectifiers among them.
pub fn tubes() -> ArgValueCandidates {
    names(|| [tube_names(), rectifier_names()].concat())
}

/// Rectifiers.
pub fn rectifiers() -> ArgValueCandidates {
    names(rectifier_names)
}

/// Dial lamps.
pub fn lamps() -> ArgValueCandidates {
    names(lamp_names)
}

/// All types of the catalogue.
pub fn types() -> ArgValueCandidates {
    names(|| {
        let ballasts = ballasts().iter().map(|ballast| ballast.name.as_str()).collect();
        [tube_names(), rectifier_names(), lamp_names(), ballasts].concat()
    })
}

/// What can be explained.
pub fn words() -> ArgValueCandidates {
    // a hyphen is taken for a blank
    names(|| explainable_words().iter().map(|word| word.replace(' ', "-")).collect())
}

/// Profiles that come with the program.
pub fn examples() -> ArgValueCandidates {
    names(|| SHIPPED.iter().map(|(name, _)| *name).collect())
}

/// Ranges of the outlet, each with its figures.
pub fn ranges() -> ArgValueCandidates {
    ArgValueCandidates::new(|| {
        let each = outlet_ranges().iter();
        each.map(|range| CompletionCandidate::new(&range.name).help(Some(range.told().into())))
            .collect()
    })
}

/// Quantities of the set whose profile stands in the line that is being typed.
pub fn quantities() -> ArgValueCandidates {
    names(|| {
        let typed = std::env::args_os().filter(|word| Path::new(word).is_file());
        let set = typed.filter_map(|word| Set::load(word).ok()).next();
        set.and_then(|set| set.quantities().ok()).unwrap_or_default()
    })
}
