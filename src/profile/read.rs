//! Reads a whole profile from its document, and describes it for editors.

use super::{
    cursor::Cursor,
    declare::{Defs, Read},
    document::Document,
    oddities,
    problem::Problems,
    reader::Reader,
    string::branch_names,
    supply::keys_of,
    whole::Profile,
};
use serde_json::Value;

/// The JSON Schema (draft 2020-12) of a profile, for editors and validators.
///
/// It takes whatever the reader takes. What depends on values (a unit that fits, a tap that exists, volts within reach)
/// is left to the reader, `mainsfit check`.
pub fn profile_schema() -> Value {
    let mut defs = Defs::new();
    let mut schema = Profile::shape(&mut defs);
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema".into();
    schema["$defs"] = defs.into();
    schema
}

/// Reads a profile.
///
/// # Errors
/// Every problem found, located; the warnings come back beside the profile when there is no error.
pub fn read(document: &Document) -> Result<(Profile, Problems), Problems> {
    let reader = Reader::new(document);
    let profile = profile(&reader.root());
    reader.into_result(profile)
}

/// The profile: what others may name is gathered first, right or wrong.
fn profile(root: &Cursor<'_>) -> Option<Profile> {
    let (string, transformer) = (root.get("heater_string"), root.get("transformer"));
    if let (Some(string), Some(_)) = (&string, &transformer) {
        string.fail_key(
            "a set has either a mains transformer or a heater string on the line",
            "leave one of the two out; an autotransformer is written `transformer: { kind: autotransformer, … }`",
        );
        return None;
    }
    let windings = transformer.and_then(|at| at.find("heater_windings"));
    let supplies =
        [("second_supply", "B2+"), ("second_supply", "reservoir2"), ("bias_supply", "C-")];
    let further = supplies.into_iter().filter(|(key, _)| root.get(key).is_some());
    let points = ["B+", "reservoir", "chassis"].into_iter().chain(further.map(|(_, point)| point));
    root.say(|said| {
        said.on_the_line = string.is_some();
        said.heated = match (&string, windings) {
            (Some(string), _) => branch_names(string),
            (None, Some(windings)) => keys_of(windings.node()),
            (None, None) => Vec::new(),
        };
        said.has_sheet = root.find("service_sheet").is_some();
        said.type_names = root.find("types").map_or_else(Vec::new, |at| keys_of(at.node()));
        // a filter that cannot be read might have given any point
        said.points = points.chain(["B-"]).map(str::to_owned).collect();
        said.negative_coil = Some(true);
    });
    let profile = Profile::read(root)?;
    oddities::look(&profile, root);
    Some(profile)
}

/// The problem `found` with `advice`, placed at `key` (such as `tubes[2].type`) of a document that has been
/// read, or at the nearest place above it that exists.
pub fn problem_at(document: &Document, key: &str, found: &str, advice: &str) -> Problems {
    let reader = Reader::new(document);
    nearest(reader.root(), key).fail(found, advice);
    match reader.into_result::<()>(None) {
        Ok((_, problems)) | Err(problems) => problems,
    }
}

/// The value at a key below a place, or what is nearest above it.
fn nearest<'r>(place: Cursor<'r>, key: &str) -> Cursor<'r> {
    // names with dots in them, as in `tolerances`, are one key
    if let Some(whole) = place.find(key) {
        return whole;
    }
    let (step, rest) = key.split_once(['.', '[']).unwrap_or((key, ""));
    let next = match step.strip_suffix(']') {
        Some(number) => number.parse().ok().and_then(|i: usize| place.list()?.get(i).cloned()),
        // a tube may be its type alone
        None => place.find(step),
    };
    match next {
        Some(next) if !rest.is_empty() => nearest(next, rest),
        next => next.unwrap_or(place),
    }
}
