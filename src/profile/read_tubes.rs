//! Reads tubes and lamps.

use super::cursor::Cursor;
use super::document::Kind;
use super::fields::Fields;
use super::model::*;
use super::problem::quoted;
use super::read::{count, maybe, name, quantity};
use super::read_supply::{Points, winding};
use super::read_types::OwnTypes;
use crate::catalogue::{Catalogue, Citation, Confidence, LampKind, LampType, TableKind, TubeType};
use crate::quantity::{Capacitance, Current, Resistance, Sign, Voltage};

/// Most tubes or lamps a set may have.
const MOST: usize = 40;

pub(super) fn tubes(
    cursor: &Cursor<'_>,
    types: &OwnTypes,
    points: &Points,
    windings: &[String],
) -> Vec<TubeUse> {
    let Some(list) = cursor.list() else {
        return Vec::new();
    };
    if list.is_empty() || list.len() > MOST {
        cursor.fail(
            "a set has 1 to 40 tubes",
            Some("list them without the rectifier, such as `- { type: 6F6, plate: B+ }`"),
        );
        return Vec::new();
    }
    let uses: Vec<_> = list.iter().map(|item| tube(item, types, points, windings)).collect();
    without_partner(&list, &uses);
    uses.into_iter().flatten().collect()
}

fn tube(
    item: &Cursor<'_>,
    types: &OwnTypes,
    points: &Points,
    windings: &[String],
) -> Option<TubeUse> {
    if item.kind() == Kind::Text {
        // the short form of a minimal profile: the type alone
        return use_of(item, types).map(|(kind, matched)| TubeUse {
            label: kind.name.clone(),
            kind,
            matched,
            count: 1,
            plate: None,
            screen: None,
            grid: None,
            cathode: None,
            heater: None,
            push_pull: None,
            load: None,
        });
    }
    let fields = item.map_with(&["type", "plate", "screen", "grid", "cathode"])?;
    let found = fields.required("type").and_then(|c| use_of(&c, types));
    let duty = fields.optional("duty").and_then(|c| name(&c));
    let number = fields.optional("count").map_or(Some(1), |c| count(&c, 8));
    let through_at = fields.optional("through");
    let through = through_at.as_ref().and_then(|c| quantity::<Resistance>(c, Sign::Positive));
    let plate_at = fields.optional("plate");
    let mut plate = plate_at.as_ref().and_then(|c| feed(c, points));
    if let Some(c) = &through_at
        && plate_at.is_none()
    {
        c.fail_key("`through` needs a `plate:`", Some("add `plate: B+`"));
    }
    if let (Some(plate), Some(ohms)) = (&mut plate, through) {
        plate.through = Some(ohms);
    }
    let screen = fields.optional("screen").and_then(|c| feed(&c, points));
    let grid = fields.optional("grid").and_then(|c| grid(&c, points));
    let cathode = fields.optional("cathode").and_then(|c| cathode(&c));
    let heater = fields.optional("heater").and_then(|c| winding(&c, windings));
    let stage_at = fields.optional("stage");
    let stage = stage_at.as_ref().map(|c| match c.text()? {
        "push-pull" => Some(true),
        "single-ended" => Some(false),
        other => {
            c.fail(
                &format!("{} is no kind of stage", quoted(other)),
                Some("write `push-pull` or `single-ended`"),
            );
            None
        }
    });
    let load_at = fields.optional("load");
    let load = load_at.as_ref().map(|c| quantity::<Resistance>(c, Sign::Positive));
    if let (Some(c), Some(Some(false))) = (&load_at, stage) {
        c.fail_key(
            "`load` is that of a push-pull stage, from plate to plate",
            Some("leave it out, or write `stage: push-pull`"),
        );
    }
    fields.finish();
    let (kind, matched) = found?;
    Some(TubeUse {
        label: match duty {
            Some(duty) => format!("{} {duty}", kind.name),
            None => kind.name.clone(),
        },
        kind,
        matched,
        count: number?,
        plate,
        screen,
        grid,
        cathode,
        heater,
        push_pull: stage.map_or(Some(None), |s| s.map(Some))?,
        load: load.map_or(Some(None), |l| l.map(Some))?,
    })
}

/// Refuses what belongs to a push-pull stage where a tube has no partner: neither beside it nor in another row.
fn without_partner(list: &[Cursor<'_>], uses: &[Option<TubeUse>]) {
    let odd = |u: &&TubeUse| u.count * u32::from(u.kind.sections) % 2 == 1;
    for (item, one) in list.iter().zip(uses) {
        let Some(one) = one else { continue };
        let same = uses.iter().flatten().filter(|u| u.kind.points == one.kind.points);
        let told = one.load.is_some() || one.push_pull == Some(true);
        if told && odd(&one) && same.filter(odd).count() != 2 {
            item.fail(
                "a push-pull stage needs two tubes",
                Some("write `count: 2`, or leave out `stage` and `load`"),
            );
        }
    }
}

fn use_of(
    cursor: &Cursor<'_>,
    types: &OwnTypes,
) -> Option<(TubeType, Option<crate::catalogue::Matched>)> {
    let text = cursor.text()?;
    if let Some(own) = types.tubes.iter().find(|t| t.name == text) {
        return Some((own.clone(), None));
    }
    if types.rectifiers.iter().any(|r| r.name == text) {
        cursor.fail(
            &format!("{} is a rectifier", quoted(text)),
            Some(&format!("leave it out here and write `rectifier: {{ type: {} }}`", quoted(text))),
        );
        return None;
    }
    if types.is_named(text) {
        // what is wrong with it is said where it is defined
        return None;
    }
    match Catalogue::built_in().tube(text) {
        Ok(found) => Some((found.named(), Some(found.matched))),
        Err(error) => {
            let rectifier = error.elsewhere.iter().find(|(kind, _)| *kind == TableKind::Rectifier);
            let advice = match rectifier {
                Some((_, name)) => format!(
                    "{name} is a rectifier: leave it out here and write `rectifier: {{ type: {} }}`",
                    quoted(name)
                ),
                None => error.advice(),
            };
            cursor.fail(&error.found(), Some(&advice));
            None
        }
    }
}

fn feed(cursor: &Cursor<'_>, points: &Points) -> Option<Feed> {
    if cursor.kind() == Kind::Text {
        return Some(Feed { from: points.read(cursor)?, through: None, bypass: None });
    }
    let fields = cursor.map_with(&["from", "through", "bypass"])?;
    let from = fields.required("from").and_then(|c| points.read(&c));
    let through = maybe(&fields, "through", Sign::Positive);
    let bypass = maybe(&fields, "bypass", Sign::Positive);
    fields.finish();
    Some(Feed { from: from?, through, bypass })
}

fn grid(cursor: &Cursor<'_>, points: &Points) -> Option<Grid> {
    let text = cursor.text()?.trim();
    if text == "chassis" {
        return Some(Grid::Chassis);
    }
    if points.has(text) {
        return Some(Grid::Tap(text.to_owned()));
    }
    if text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '−' | '+' | '.')) {
        return quantity(cursor, Sign::Any).map(Grid::Fixed);
    }
    points.unknown(cursor, text);
    None
}

fn cathode(cursor: &Cursor<'_>) -> Option<Cathode> {
    if cursor.kind() == Kind::Text {
        if cursor.text() == Some("chassis") {
            return Some(Cathode::Chassis);
        }
        return Some(Cathode::Resistor { value: quantity(cursor, Sign::Positive)?, bypass: None });
    }
    let fields: Fields<'_> = cursor.map_with(&["resistor", "bypass"])?;
    let value = fields.required("resistor").and_then(|c| quantity(&c, Sign::Positive));
    let bypass = maybe::<Capacitance>(&fields, "bypass", Sign::Positive);
    fields.finish();
    Some(Cathode::Resistor { value: value?, bypass })
}

pub(super) fn lamps(cursor: &Cursor<'_>, windings: &[String], string: bool) -> Vec<LampUse> {
    cursor
        .list()
        .unwrap_or_default()
        .iter()
        .take(MOST)
        .filter_map(|item| lamp(item, windings, string))
        .collect()
}

fn lamp(item: &Cursor<'_>, windings: &[String], string: bool) -> Option<LampUse> {
    let fields = item.map_with(&["type", "count", "fed_by"])?;
    let kind_at = fields.required("type");
    let number = fields.optional("count").map_or(Some(1), |c| count(&c, 20));
    let volts = maybe(&fields, "volts", Sign::Positive);
    let amps = maybe(&fields, "current", Sign::Positive);
    let fed_by = fields.optional("fed_by").and_then(|c| winding(&c, windings));
    let across_at = fields.optional("across");
    let across = across_at.as_ref().map(|c| match c.text()? {
        "tap" => Some(LampPlace::Tap),
        "string" => Some(LampPlace::String),
        other => {
            c.fail(
                &format!("{} is no place for a lamp", quoted(other)),
                Some("write `tap` (across the tapped part of the rectifier's heater) or `string` (in series with the heaters)"),
            );
            None
        }
    });
    let shunt = maybe(&fields, "shunt", Sign::Positive);
    if let (Some(c), false) = (&across_at, string) {
        c.fail_key(
            "only the lamp of a set with a `heater_string` hangs across something",
            Some("name its winding with `fed_by:`"),
        );
    }
    // a lamp of any name will do once both its figures are given
    let own_figures = fields.has("volts") && fields.has("current");
    fields.finish();
    let kind_at = kind_at?;
    let kind = match Catalogue::built_in().lamp(kind_at.text()?) {
        Ok(found) => LampType {
            volts: volts.unwrap_or(found.item.volts),
            amps: amps.unwrap_or(found.item.amps),
            ..found.item.clone()
        },
        Err(_) if own_figures => own_lamp(name(&kind_at)?, volts?, amps?),
        Err(error) => {
            kind_at.fail(&error.found(), Some(&error.advice()));
            return None;
        }
    };
    let across = match across {
        Some(place) => Some(place?),
        None => string.then_some(LampPlace::String),
    };
    Some(LampUse { across, shunt, kind, count: number?, fed_by })
}

/// A lamp that the profile gives the figures of.
fn own_lamp(name: String, volts: Voltage, amps: Current) -> LampType {
    LampType {
        kind: LampKind::Dial,
        name,
        aliases: Vec::new(),
        volts,
        amps,
        watts: volts * amps,
        bead: None,
        base: None,
        rated_life: None,
        hot: None,
        filament_temperature: None,
        hot_to_cold_ratio: None,
        cold: None,
        citation: Citation { source: "the profile".to_owned(), confidence: Confidence::Own },
        note: String::new(),
    }
}
