//! Reads a whole profile from its document.

use super::cursor::{Advised, Cursor};
use super::document::Document;
use super::fields::Fields;
use super::model::*;
use super::oddities;
use super::problem::{Problems, quoted};
use super::reach::{self, Place, out_of_reach};
use super::reader::Reader;
use super::{
    read_filter, read_outlet, read_parts, read_readings, read_rectifier, read_second, read_string,
    read_supply, read_tubes,
};
use crate::{
    quantity::{Quantity, QuantityError, Sign, Temperature, Voltage, parse},
    text::upsets,
};

impl Advised for QuantityError {}

/// Longest name or label taken from a profile, in characters.
const LONGEST_NAME: usize = 120;

/// Reads a profile.
///
/// # Errors
/// Every problem found, located; the warnings come back beside the profile when there is no error.
pub fn read(document: &Document) -> Result<(Profile, Problems), Problems> {
    let reader = Reader::new(document);
    let profile = profile(&reader.root());
    reader.into_result(profile)
}

/// The problem `found` with `advice`, placed at `key` (such as `tubes[2].type`) of a document that has been
/// read, or at the nearest place above it that exists.
pub fn problem_at(document: &Document, key: &str, found: &str, advice: &str) -> Problems {
    let reader = Reader::new(document);
    let mut place = reader.root();
    let mut rest = key;
    while !rest.is_empty() {
        // names with dots in them, as in `tolerances`, are one key
        let whole = (place.kind() == super::Kind::Map)
            .then(|| place.entries())
            .flatten()
            .and_then(|entries| entries.into_iter().find(|(name, _)| name == rest));
        if let Some((_, cursor)) = whole {
            place = cursor;
            break;
        }
        let (step, after) = rest.split_once(['.', '[']).unwrap_or((rest, ""));
        rest = after;
        let next = match step.strip_suffix(']') {
            Some(number) => place
                .list()
                .zip(number.parse::<usize>().ok())
                .and_then(|(list, index)| list.get(index).cloned()),
            // a tube may be its type alone
            None if place.kind() != super::Kind::Map => None,
            None => place.entries().and_then(|entries| {
                entries.into_iter().find(|(name, _)| name == step).map(|(_, cursor)| cursor)
            }),
        };
        match next {
            Some(cursor) => place = cursor,
            None => break,
        }
    }
    place.fail(found, Some(advice));
    match reader.into_result::<()>(None) {
        Ok((_, problems)) | Err(problems) => problems,
    }
}

/// A quantity at a value, or in a mapping that says how it is known.
pub(super) fn quantity<Q: Quantity>(cursor: &Cursor<'_>, sign: Sign) -> Option<Q> {
    let at = written(cursor);
    let known = says_known(cursor).then(|| read_readings::known(cursor));
    let value = at.parse_with(|text| parse::<Q>(text, sign))?;
    let text = at.text()?;
    if let Some(found) = out_of_reach(text, value) {
        at.fail(&found, Some(reach::CHECK));
        return None;
    }
    if let Some((known, within)) = known.flatten() {
        let meter = || {
            read_readings::ohmmeter::<Q>()
                + read_readings::last_digit(text, value.si()) / value.si().abs()
        };
        let within = within.unwrap_or_else(|| if known == Known::Measured { meter() } else { 0.0 });
        cursor.reader().keep(StatedKnown { path: cursor.path().replace('"', ""), known, within });
    }
    Some(value)
}

/// Where the value itself is written: in `{ value: …, known: … }` under the first key.
fn written<'r>(cursor: &Cursor<'r>) -> Cursor<'r> {
    let entries = says_known(cursor).then(|| cursor.entries()).flatten().unwrap_or_default();
    let value = entries.into_iter().find(|(key, _)| key == "value");
    value.map_or_else(|| cursor.clone(), |(_, value)| value)
}

/// Whether a value is a mapping that says how it is known.
fn says_known(cursor: &Cursor<'_>) -> bool {
    let entries = (cursor.kind() == super::Kind::Map).then(|| cursor.entries()).flatten();
    entries.is_some_and(|e| e.iter().any(|(key, _)| key == "known"))
}

/// Volts of a place in or before the set.
pub(super) fn volts(cursor: &Cursor<'_>, place: Place) -> Option<Voltage> {
    let value = quantity(cursor, Sign::Positive)?;
    let at = written(cursor);
    if let Some(found) = place.refuse(at.text()?, value) {
        at.fail(&found, Some(reach::CHECK));
        return None;
    }
    Some(value)
}

/// Optional volts of a mapping.
pub(super) fn maybe_volts(fields: &Fields<'_>, key: &'static str, place: Place) -> Option<Voltage> {
    fields.optional(key).and_then(|c| volts(&c, place))
}

/// An optional quantity of a mapping.
pub(super) fn maybe<Q: Quantity>(fields: &Fields<'_>, key: &'static str, sign: Sign) -> Option<Q> {
    fields.optional(key).and_then(|c| quantity(&c, sign))
}

/// A short text: one line, not too long.
pub(super) fn name(cursor: &Cursor<'_>) -> Option<String> {
    clean_name(cursor.text()?).map_err(|(found, advice)| cursor.fail(found, Some(&advice))).ok()
}

/// A name as a profile takes it: trimmed, with blanks for what would upset a terminal or a page.
///
/// # Errors
/// What is wrong with an empty or a very long one, and what to do.
pub fn clean_name(text: &str) -> Result<String, (&'static str, String)> {
    let plain: String = text.chars().map(|c| if upsets(c) { ' ' } else { c }).collect();
    let plain = plain.trim();
    if plain.is_empty() {
        return Err(("the text is empty", "write a name".to_owned()));
    }
    if plain.chars().count() > LONGEST_NAME {
        let advice = format!("keep it within {LONGEST_NAME} characters");
        return Err(("the text is too long", advice));
    }
    Ok(plain.to_owned())
}

/// A small whole number.
pub(super) fn count(cursor: &Cursor<'_>, highest: u32) -> Option<u32> {
    let advice = format!("write a whole number from 1 to {highest}");
    let text = cursor.text()?;
    match text.parse::<u32>() {
        Ok(n) if (1..=highest).contains(&n) => Some(n),
        _ => {
            cursor.fail(&format!("{} is not a count", quoted(text)), Some(&advice));
            None
        }
    }
}

fn profile(root: &Cursor<'_>) -> Option<Profile> {
    let fields = root.map_with(&["set", "transformer", "rectifier", "filter", "tubes"])?;
    let set = fields.required("set").and_then(|c| set(&c));
    let outlet = fields.optional("outlet").and_then(|c| read_outlet::outlet(&c));
    let room = fields.optional("room").and_then(|c| quantity::<Temperature>(&c, Sign::Any));
    let transformer = fields.optional("transformer");
    let has_sheet = fields.has("service_sheet");
    let string_at = fields.optional("heater_string");
    let heater_string = string_at.as_ref().map(|c| read_string::heater_string(c));
    let heated = read_supply::Heated {
        names: match (&string_at, &transformer) {
            (Some(string), _) => read_string::branch_names(string),
            (None, Some(transformer)) => read_supply::winding_names(transformer),
            (None, None) => Vec::new(),
        },
        on_the_line: string_at.is_some(),
    };
    if let (Some(c), Some(_)) = (&string_at, &transformer) {
        c.fail_key(
            "a set has either a mains transformer or a heater string on the line",
            Some("leave one of the two out; an autotransformer is written `transformer: { kind: autotransformer, … }`"),
        );
        return None;
    }
    let on_the_line = string_at.is_some();
    let mut transformer = match transformer {
        Some(c) => read_supply::transformer(&c, has_sheet),
        None if has_sheet || on_the_line => Some(read_supply::no_transformer()),
        None => {
            fields.required("transformer");
            None
        }
    };
    let types = fields
        .optional("types")
        .map_or_else(read_tubes::OwnTypes::default, |c| read_tubes::types(&c));
    let rectifier = fields.required("rectifier").and_then(|c| {
        let around = read_rectifier::Around {
            heated: &heated,
            single_winding: transformer
                .as_ref()
                .and_then(|t| t.high_voltage.is_some().then_some(t.single_winding)),
            second: false,
        };
        read_rectifier::rectifier(&c, &around, &types)
    });
    if let (Some(t), Some(r)) = (&mut transformer, &rectifier) {
        // a winding of which only the sheet's B+ tells is what the circuit needs
        t.single_winding |= t.high_voltage.is_none() && !on_the_line && !r.circuit.is_tapped();
    }
    let bias_at = fields.optional("bias_supply");
    let bias_supply = bias_at.as_ref().map(|c| read_rectifier::bias_supply(c, &types));
    let has_winding = transformer.as_ref().is_some_and(|t| t.bias.is_some());
    if let (Some(c), false) = (&bias_at, has_winding) {
        c.fail_key(
            "the bias supply has no winding",
            Some("add it under `transformer:`, such as `bias: { volts: 45 V }`"),
        );
        return None;
    }
    let filter = fields.required("filter").and_then(|c| read_filter::filter(&c));
    let second_at = fields.optional("second_supply");
    let beside = read_second::Beside { heated: &heated, main: rectifier.as_ref() };
    let second_supply = second_at.as_ref().map(|c| read_second::second_supply(c, &beside, &types));
    let supplies = (bias_at.is_some(), second_at.is_some());
    let points = read_supply::Points::of(filter.as_deref(), supplies);
    let (dividers, points) = match fields.optional("dividers") {
        Some(c) => read_supply::dividers(&c, points),
        None => (Vec::new(), points),
    };
    let loads = fields.optional("loads").map_or_else(Vec::new, |c| read_supply::loads(&c, &points));
    let mains_resistor =
        fields.optional("mains_resistor").and_then(|c| read_parts::mains_resistor(&c));
    let tubes = fields
        .required("tubes")
        .map_or_else(Vec::new, |c| read_tubes::tubes(&c, &types, &points, &heated));
    let lamps = fields.optional("lamps").map_or_else(Vec::new, |c| read_tubes::lamps(&c, &heated));
    let sheet_b_plus = fields.optional("service_sheet").and_then(|c| sheet(&c));
    let target = fields.optional("target").map_or(Some(Target::Heaters), |c| target(&c));
    let fuse = fields.optional("fuse").and_then(|c| read_parts::fuse(&c));
    let parts = fields.optional("parts").map_or_else(OwnParts::default, |c| read_parts::parts(&c));
    let record = fields.optional("note").map_or_else(Record::default, |c| record(&c));
    let readings =
        fields.optional("readings").map_or_else(Vec::new, |c| read_readings::readings(&c));
    let calibration =
        fields.optional("calibration").map_or_else(Vec::new, |c| read_readings::calibration(&c));
    let tolerances =
        fields.optional("tolerances").map_or_else(Vec::new, |c| read_readings::tolerances(&c));
    let cursors = oddities::Places::of(&fields);
    fields.finish();
    let profile = Profile {
        set: set?,
        outlet,
        room,
        transformer: transformer?,
        heater_string: match heater_string {
            Some(string) => Some(string?),
            None => None,
        },
        rectifier: rectifier?,
        filter: filter?,
        bias_supply: match bias_supply {
            Some(supply) => Some(supply?),
            None => None,
        },
        second_supply: match second_supply {
            Some(supply) => Some(supply?),
            None => None,
        },
        dividers,
        loads,
        mains_resistor,
        tubes,
        lamps,
        sheet_b_plus,
        target: target?,
        fuse,
        parts,
        record,
        readings,
        calibration,
        tolerances,
        known: root.reader().kept(),
    };
    taps_match(&profile, root);
    oddities::look(&profile, &cursors);
    Some(profile)
}

/// The connected tap is the design line, so that must be one of the taps.
fn taps_match(profile: &Profile, root: &Cursor<'_>) {
    let taps = &profile.transformer.primary_taps;
    let design = profile.set.design_line;
    let on_a_tap = taps.iter().any(|t| (t.si() / design.si() - 1.0).abs() < 1e-6);
    if !taps.is_empty() && !on_a_tap {
        oddities::below(root, &["transformer", "primary", "taps"]).fail(
            "the design line is not one of the taps",
            Some("`set: design_line:` is the tap now connected: write that tap's volts there"),
        );
    }
}

fn set(cursor: &Cursor<'_>) -> Option<SetInfo> {
    let fields = cursor.map_with(&["name", "design_line"])?;
    let title = fields.required("name").and_then(|c| name(&c));
    let year = fields.optional("year").and_then(|c| {
        let text = c.text()?;
        let year = text.parse::<i32>().ok().filter(|y| (1900..=2100).contains(y));
        if year.is_none() {
            c.fail(
                &format!("{} is not a year", quoted(text)),
                Some("write the year alone, such as 1936, or leave the line out"),
            );
        }
        year
    });
    let design_line = fields.required("design_line").and_then(|c| volts(&c, Place::MAINS));
    let frequency = maybe(&fields, "frequency", Sign::Positive);
    let nameplate_power = maybe(&fields, "nameplate_power", Sign::Positive);
    fields.finish();
    Some(SetInfo { name: title?, year, design_line: design_line?, frequency, nameplate_power })
}

/// What the note is to say of its own making.
fn record(cursor: &Cursor<'_>) -> Record {
    let Some(fields) = cursor.map() else {
        return Record::default();
    };
    let text = |key| fields.optional(key).and_then(|c| name(&c));
    let record =
        Record { date: text("date"), by: text("by"), place: text("place"), remark: text("remark") };
    fields.finish();
    record
}

fn sheet(cursor: &Cursor<'_>) -> Option<SheetReading> {
    let fields = cursor.map_with(&["B+", "at_line"])?;
    let b_plus = fields.required("B+").and_then(|c| volts(&c, Place::HIGH_VOLTAGE));
    let at_line = maybe_volts(&fields, "at_line", Place::MAINS);
    fields.finish();
    Some(SheetReading { volts: b_plus?, at_line })
}

fn target(cursor: &Cursor<'_>) -> Option<Target> {
    let advice = "write `heaters`, { B+: 250 V } or { line: 112 V }";
    if cursor.kind() == super::Kind::Map {
        let fields = cursor.map()?;
        let b_plus = maybe_volts(&fields, "B+", Place::HIGH_VOLTAGE);
        let line = maybe_volts(&fields, "line", Place::MAINS);
        let both = (fields.has("B+"), fields.has("line"));
        fields.finish();
        return match (b_plus, line, both) {
            (Some(volts), None, (true, false)) => Some(Target::BPlus(volts)),
            (None, Some(volts), (false, true)) => Some(Target::AsOnLine(volts)),
            (_, _, (true, true) | (false, false)) => {
                cursor.fail("a target is one thing", Some(advice));
                None
            }
            _ => None,
        };
    }
    match cursor.text()? {
        "heaters" => Some(Target::Heaters),
        other => {
            cursor.fail(&format!("{} is not a target", quoted(other)), Some(advice));
            None
        }
    }
}
