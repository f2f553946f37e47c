//! Reads tubes, lamps and types defined in the profile.

use super::cursor::Cursor;
use super::document::Kind;
use super::fields::Fields;
use super::model::*;
use super::problem::quoted;
use super::read::{count, maybe, name, quantity};
use super::read_rectifier;
use super::read_supply::{Heated, Points, keys_of, winding};
use crate::catalogue::{
    Catalogue, Citation, Confidence, LampKind, LampType, Named, OperatingPoint, RectifierType,
    TableKind, TubeClass, TubeType,
};
use crate::quantity::{Capacitance, Current, Resistance, Sign, Voltage};

/// Most tubes or lamps a set may have.
const MOST: usize = 40;

/// Types defined in the profile.
#[derive(Debug, Default)]
pub(super) struct OwnTypes {
    /// Sound tubes.
    pub tubes: Vec<TubeType>,
    /// Sound rectifiers.
    pub rectifiers: Vec<RectifierType>,
    /// Every name under `types:`, those with a fault included.
    named: Vec<String>,
}

impl OwnTypes {
    /// Whether a type of that name is defined, well or not.
    pub fn is_named(&self, name: &str) -> bool {
        self.named.iter().any(|own| own == name)
    }
}

/// Types defined under `types:`.
pub(super) fn types(cursor: &Cursor<'_>) -> OwnTypes {
    let mut own = OwnTypes { named: keys_of(cursor.node()), ..OwnTypes::default() };
    for (title, entry) in cursor.entries().unwrap_or_default().into_iter().take(MOST) {
        if entry.kind() == Kind::Map && is_rectifier(&entry) {
            own.rectifiers.extend(read_rectifier::own(&title, &entry));
        } else {
            own.tubes.extend(own_tube(&title, &entry));
        }
    }
    own
}

/// Keys that only a rectifier has.
const OF_RECTIFIERS: [&str; 10] = [
    "wave",
    "heating",
    "lamp_tap",
    "drop",
    "drop_at",
    "max_peak_inverse",
    "max_peak_plate_current",
    "max_dc_current",
    "max_ac_capacitor_input",
    "max_first_capacitor",
];

/// A type is a rectifier if it says what only rectifiers have, or is based on one that is no tube as well.
fn is_rectifier(entry: &Cursor<'_>) -> bool {
    let keys = entry.entries().unwrap_or_default();
    let based_on = keys.iter().find(|(key, at)| key == "based_on" && at.kind() == Kind::Text);
    let all = Catalogue::built_in();
    keys.iter().any(|(key, _)| OF_RECTIFIERS.contains(&key.as_str()))
        || based_on
            .and_then(|(_, at)| at.text())
            .is_some_and(|name| all.tube(name).is_err() && all.rectifier(name).is_ok())
}

/// Where the figures of an own type come from.
pub(super) fn source(fields: &Fields<'_>) -> Citation {
    let source = fields.optional("source").and_then(|c| name(&c));
    Citation {
        source: source.unwrap_or_else(|| "the profile".to_owned()),
        confidence: Confidence::Own,
    }
}

/// One of a few words.
pub(super) fn word<T: Copy>(cursor: &Cursor<'_>, what: &str, words: &[(T, &str)]) -> Option<T> {
    let text = cursor.text()?;
    let found = words.iter().find(|(_, word)| *word == text).map(|(value, _)| *value);
    if found.is_none() {
        let list: Vec<&str> = words.iter().map(|(_, word)| *word).collect();
        cursor.fail(
            &format!("{} is not {what}", quoted(text)),
            Some(&format!("write one of: {}", list.join(", "))),
        );
    }
    found
}

fn own_tube(title: &str, entry: &Cursor<'_>) -> Option<TubeType> {
    let fields = entry.map_with(&["based_on", "heater_volts", "heater_current", "plate"])?;
    let based_at = fields.optional("based_on");
    let based = based_at.as_ref().and_then(|c| {
        let text = c.text()?;
        match Catalogue::built_in().tube(text) {
            Ok(found) => Some(found.item.clone()),
            Err(error) => {
                c.fail(&error.found(), Some(&error.advice()));
                None
            }
        }
    });
    let fresh = based_at.is_none();
    let class_at = fields.optional("class");
    let class = class_at.as_ref().and_then(|c| word(c, "a class of tube", &TubeClass::ALL));
    let heater_volts = maybe(&fields, "heater_volts", Sign::Positive);
    let heater_amps = maybe(&fields, "heater_current", Sign::Positive);
    let plate = maybe::<Voltage>(&fields, "plate", Sign::Positive);
    let screen = maybe::<Voltage>(&fields, "screen", Sign::Positive);
    let grid = maybe::<Voltage>(&fields, "grid", Sign::Any);
    let plate_current = maybe(&fields, "plate_current", Sign::Positive);
    let screen_current = maybe(&fields, "screen_current", Sign::Positive);
    let transconductance = maybe(&fields, "transconductance", Sign::Positive);
    let mu = fields.optional("mu").and_then(|c| factor(&c));
    let max_plate_watts = maybe(&fields, "max_plate_power", Sign::Positive);
    let max_plate_volts = maybe(&fields, "max_plate", Sign::Positive);
    let max_screen_volts = maybe(&fields, "max_screen", Sign::Positive);
    let max_screen_watts = maybe(&fields, "max_screen_power", Sign::Positive);
    let citation = source(&fields);
    fields.finish();
    if !fresh && based.is_none() {
        return None;
    }
    let mut kind = match based {
        Some(kind) => kind,
        None => {
            let (Some(heater_volts), Some(heater_amps)) = (heater_volts, heater_amps) else {
                entry.fail(
                    "a type of its own needs its heater",
                    Some("add `heater_volts: 6.3 V` and `heater_current: 300 mA`, or `based_on: 6K7`"),
                );
                return None;
            };
            let class = class.unwrap_or(match screen {
                Some(_) => TubeClass::Pentode,
                None => TubeClass::Triode,
            });
            TubeType::bare(title, (heater_volts, heater_amps), class, citation.clone())
        }
    };
    kind = kind.called(title);
    kind.citation = citation.clone();
    kind.heater_volts = heater_volts.unwrap_or(kind.heater_volts);
    kind.heater_amps = heater_amps.unwrap_or(kind.heater_amps);
    if let Some(class) = class.filter(|class| *class != kind.class) {
        (kind.class, kind.sections) = (class, class.sections());
    }
    kind.max_plate_watts = max_plate_watts.or(kind.max_plate_watts);
    kind.max_plate_volts = max_plate_volts.or(kind.max_plate_volts);
    kind.max_screen_volts = max_screen_volts.or(kind.max_screen_volts);
    kind.max_screen_watts = max_screen_watts.or(kind.max_screen_watts);
    let mut point =
        kind.points.first().cloned().unwrap_or_else(|| OperatingPoint::blank(citation.clone()));
    point.plate = plate.or(point.plate);
    point.screen = screen.or(point.screen);
    point.grid = grid.or(point.grid);
    point.plate_current = plate_current.or(point.plate_current);
    point.screen_current = screen_current.or(point.screen_current);
    point.transconductance = transconductance.or(point.transconductance);
    point.mu = mu.or(point.mu);
    point.citation = citation;
    kind.points = vec![point];
    Some(kind)
}

fn factor(cursor: &Cursor<'_>) -> Option<f64> {
    let text = cursor.text()?;
    let value = text.parse::<f64>().ok().filter(|v| v.is_finite() && *v > 0.5 && *v < 5000.0);
    if value.is_none() {
        cursor.fail(
            &format!("{} is not an amplification factor", quoted(text)),
            Some("write a plain number, such as 20"),
        );
    }
    value
}

pub(super) fn tubes(
    cursor: &Cursor<'_>,
    types: &OwnTypes,
    points: &Points,
    heated: &Heated,
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
    let uses: Vec<_> = list.iter().map(|item| tube(item, types, points, heated)).collect();
    without_partner(&list, &uses);
    uses.into_iter().flatten().collect()
}

fn tube(item: &Cursor<'_>, types: &OwnTypes, points: &Points, heated: &Heated) -> Option<TubeUse> {
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
            heater_shunt: None,
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
    let heater = fields.optional("heater").and_then(|c| winding(&c, heated));
    let shunt_at = fields.optional("heater_shunt");
    let heater_shunt = shunt_at.as_ref().and_then(|c| quantity::<Resistance>(c, Sign::Positive));
    if let (Some(c), false) = (&shunt_at, heated.on_the_line) {
        c.fail_key(
            "only a heater of a `heater_string` has a resistor beside it",
            Some("leave it out: heaters on a winding get its volts whatever they take"),
        );
    }
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
        heater_shunt,
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
    if cursor.kind() == Kind::Map {
        let fields = cursor.map_with(&["leak"])?;
        let leak = fields.required("leak").and_then(|c| quantity(&c, Sign::Positive));
        fields.finish();
        return leak.map(Grid::Leak);
    }
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

pub(super) fn lamps(cursor: &Cursor<'_>, heated: &Heated) -> Vec<LampUse> {
    cursor
        .list()
        .unwrap_or_default()
        .iter()
        .take(MOST)
        .filter_map(|item| lamp(item, heated))
        .collect()
}

fn lamp(item: &Cursor<'_>, heated: &Heated) -> Option<LampUse> {
    let fields = item.map_with(&["type", "count", "fed_by"])?;
    let kind_at = fields.required("type");
    let number = fields.optional("count").map_or(Some(1), |c| count(&c, 20));
    let volts = maybe(&fields, "volts", Sign::Positive);
    let amps = maybe(&fields, "current", Sign::Positive);
    let fed_by = fields.optional("fed_by").and_then(|c| winding(&c, heated));
    let across_at = fields.optional("across");
    let across = across_at.as_ref().map(|c| match c.text()? {
        "tap" => Some(LampPlace::Tap),
        "string" => Some(LampPlace::String),
        "ballast" => Some(LampPlace::Ballast),
        "cord" => Some(LampPlace::Cord),
        "dropper" => Some(LampPlace::Dropper),
        other => {
            c.fail(
                &format!("{} is no place for a lamp", quoted(other)),
                Some("write `tap` (across the tapped part of the rectifier's heater), `string` (in series with the heaters), `ballast`, `cord` or `dropper` (across a section of that)"),
            );
            None
        }
    });
    let shunt = maybe(&fields, "shunt", Sign::Positive);
    if let (Some(c), false) = (&across_at, heated.on_the_line) {
        c.fail_key(
            "only the lamp of a set with a `heater_string` hangs across something",
            Some("name its winding with `fed_by:`"),
        );
    }
    if let (Some(c), Some(Some(place)), true) = (&across_at, across, fields.has("fed_by"))
        && place != LampPlace::String
    {
        c.fail_key(
            "a lamp lies across something, or in series with the heaters of a branch",
            Some("leave out `across` or `fed_by`"),
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
        None => heated.on_the_line.then_some(LampPlace::String),
    };
    Some(LampUse { across, shunt, kind, count: number?, fed_by })
}

/// A lamp that the profile gives the figures of.
fn own_lamp(name: String, volts: Voltage, amps: Current) -> LampType {
    LampType {
        kind: LampKind::Dial,
        name,
        volts,
        amps,
        watts: volts * amps,
        citation: Citation { source: "the profile".to_owned(), confidence: Confidence::Own },
        ..LampType::default()
    }
}
