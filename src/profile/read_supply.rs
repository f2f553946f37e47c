//! Reads the supply: transformer, rectifier, dividers, loads.

use super::cursor::Cursor;
use super::document::{Kind, Node};
use super::fields::Fields;
use super::model::*;
use super::problem::quoted;
use super::reach::Place;
use super::read::{self, maybe, name, quantity};
use super::read_no_load;
use crate::quantity::{Resistance, Sign, Voltage};

/// Most parts a list of a profile may hold.
pub(super) const MOST: usize = 40;

/// The supply points a profile may name.
#[derive(Debug, Clone)]
pub(super) struct Points {
    names: Vec<String>,
    field_in_negative_lead: bool,
    /// Whether one part alone stands in the negative lead, so that its ends are B- and chassis.
    alone_there: bool,
}

impl Points {
    /// The points of a filter and of a bias supply, where there is one; of a filter that could not be read, every
    /// point it might have given.
    pub fn of(filter: Option<&[FilterPart]>, (bias_supply, second): (bool, bool)) -> Points {
        let mut names: Vec<String> = ["B+", "reservoir", "chassis"].map(str::to_owned).into();
        if second {
            names.extend(["B2+", "reservoir2"].map(str::to_owned));
        }
        if bias_supply {
            names.push("C-".to_owned());
        }
        let Some(filter) = filter else {
            names.push("B-".to_owned());
            return Points { names, field_in_negative_lead: true, alone_there: true };
        };
        let negative = FilterPart::is_in_negative_lead;
        if filter.iter().any(negative) {
            names.push("B-".to_owned());
        }
        let field = |part: &FilterPart| matches!(part, FilterPart::FieldCoil(_)) && negative(part);
        Points {
            names,
            field_in_negative_lead: filter.iter().any(field),
            alone_there: filter.iter().filter(|p| negative(p)).count() == 1,
        }
    }

    pub fn has(&self, name: &str) -> bool {
        self.names.iter().any(|n| n == name)
    }

    /// The point named at a value; an unknown one is reported with the nearest.
    pub fn read(&self, cursor: &Cursor<'_>) -> Option<String> {
        let text = cursor.text()?.trim();
        if self.has(text) {
            return Some(text.to_owned());
        }
        self.unknown(cursor, text);
        None
    }

    pub fn unknown(&self, cursor: &Cursor<'_>, text: &str) {
        let near = self
            .names
            .iter()
            .max_by(|a, b| {
                let score = |n: &str| {
                    // a tap may be named without its divider
                    let bare = n.rsplit('.').next().unwrap_or(n);
                    strsim::jaro_winkler(n, text).max(strsim::jaro_winkler(bare, text))
                };
                score(a).total_cmp(&score(b))
            })
            .filter(|n| {
                let bare = n.rsplit('.').next().unwrap_or(n);
                strsim::jaro_winkler(bare, text) > 0.75 || strsim::jaro_winkler(n, text) > 0.75
            });
        let all = self.names.join(", ");
        let advice = match near {
            Some(near) => format!("the nearest point is {}; known: {all}", quoted(near)),
            None => format!("write one of: {all}"),
        };
        cursor.fail(&format!("there is no supply point {}", quoted(text)), Some(&advice));
    }
}

/// The keys of a mapping, right or wrong; none of anything else.
pub(super) fn keys_of(node: &Node) -> Vec<String> {
    match node {
        Node::Map(entries) => entries.iter().map(|(key, _)| key.clone()).collect(),
        _ => Vec::new(),
    }
}

/// Names of the heater windings that a `transformer:` lists, right or wrong.
pub(super) fn winding_names(transformer: &Cursor<'_>) -> Vec<String> {
    let Node::Map(entries) = transformer.node() else {
        return Vec::new();
    };
    let windings = entries.iter().find(|(key, _)| key == "heater_windings");
    windings.map_or_else(Vec::new, |(_, node)| keys_of(node))
}

/// What heaters may hang on, by name.
pub(super) struct Heated {
    /// Heater windings, or branches of the heater string.
    pub names: Vec<String>,
    /// True for a set without a transformer.
    pub on_the_line: bool,
}

/// The heater winding, or the branch of a heater string, named at a value.
pub(super) fn winding(cursor: &Cursor<'_>, heated: &Heated) -> Option<String> {
    let text = cursor.text()?;
    if heated.names.iter().any(|w| w == text) {
        return Some(text.to_owned());
    }
    let (found, describe) = match heated.on_the_line {
        true => (
            "the heater string has no branch",
            "leave the key out: the heater is then in series with all. Heaters side by side are described as `heater_string: { branches: [{ name: a }, { name: b }] }`",
        ),
        false => (
            "there is no heater winding",
            "describe it under `transformer: heater_windings:` first",
        ),
    };
    let advice = match heated.names.as_slice() {
        [] => describe.to_owned(),
        names => format!("write one of: {}", names.join(", ")),
    };
    cursor.fail(&format!("{found} {}", quoted(text)), Some(&advice));
    None
}

/// A transformer of which nothing is known.
pub(super) fn no_transformer() -> Transformer {
    Transformer {
        auto: false,
        copper_warm: false,
        rise: None,
        primary_hot: None,
        single_winding: false,
        bias: None,
        primary_taps: Vec::new(),
        primary_resistance: None,
        no_load_current: None,
        no_load_power: None,
        no_load: Vec::new(),
        knee: None,
        high_voltage: None,
        resistance_per_half: None,
        heater_windings: Vec::new(),
    }
}

pub(super) fn transformer(cursor: &Cursor<'_>, has_sheet: bool) -> Option<Transformer> {
    let fields = cursor.map_with(&["primary", "high_voltage", "heater_windings"])?;
    let mut transformer = no_transformer();
    transformer.auto = fields.optional("kind").is_some_and(|c| match c.text() {
        Some("autotransformer") => true,
        Some("isolating") | None => false,
        Some(other) => {
            c.fail(
                &format!("{} is not a kind of mains transformer", quoted(other)),
                Some("write `isolating` (windings of their own) or `autotransformer` (one winding with taps: the chassis is live)"),
            );
            false
        }
    });
    transformer.copper_warm = fields.optional("copper").is_some_and(|c| match c.text() {
        Some("warm") => true,
        Some("cold") | None => false,
        Some(other) => {
            c.fail(
                &format!("{} does not say when the copper was measured", quoted(other)),
                Some("write `cold` (by ohmmeter, the set at rest) or `warm` (as it is at work)"),
            );
            false
        }
    });
    let rise_at = fields.optional("rise");
    transformer.rise = rise_at.as_ref().and_then(|c| quantity(c, Sign::Positive));
    if let Some(c) = fields.optional("primary")
        && let Some(primary) = c.map()
    {
        if let Some(list) = primary.optional("taps").and_then(|c| c.list()) {
            transformer.primary_taps =
                list.iter().take(MOST).filter_map(|c| quantity(c, Sign::Positive)).collect();
        }
        transformer.primary_resistance = maybe(&primary, "resistance", Sign::Positive);
        let hot_at = primary.optional("hot");
        transformer.primary_hot = hot_at.as_ref().and_then(|c| quantity(c, Sign::Positive));
        if let Some(c) = hot_at {
            hot_copper(&c, &transformer);
        }
        transformer.no_load_current = maybe(&primary, "no_load_current", Sign::Positive);
        transformer.no_load_power = maybe(&primary, "no_load_power", Sign::Positive);
        read_no_load::iron(&primary, &mut transformer);
        primary.finish();
    }
    match fields.optional("high_voltage") {
        Some(c) => {
            if let Some((volts, copper, whole)) = high_voltage(&c) {
                transformer.high_voltage = volts;
                transformer.single_winding = whole;
                transformer.resistance_per_half = copper;
            }
        }
        None if !has_sheet => cursor.fail(
            "the high-voltage winding is not described",
            Some("add `high_voltage: { per_half: 340 V }`, or give the service sheet's B+ as `service_sheet: { B+: 250 V }`"),
        ),
        None => {}
    }
    if let Some(c) = fields.optional("bias")
        && let Some(bias) = c.map_with(&["volts"])
    {
        let volts = bias.required("volts").and_then(|c| read::volts(&c, Place::HEATER));
        let volts = measured(&bias, volts);
        let resistance = maybe(&bias, "resistance", Sign::Positive);
        bias.finish();
        transformer.bias = volts.map(|v| (v, resistance));
    }
    if let Some(c) = fields.optional("heater_windings")
        && let Some(entries) = c.entries()
    {
        for (title, entry) in entries.into_iter().take(MOST) {
            let Some(winding) = entry.map_with(&["volts"]) else {
                continue;
            };
            let volts = winding.required("volts").and_then(|c| read::volts(&c, Place::HEATER));
            let volts = measured(&winding, volts);
            let resistance = maybe(&winding, "resistance", Sign::Positive);
            winding.finish();
            if let Some(volts) = volts {
                transformer.heater_windings.push(HeaterWinding { name: title, volts, resistance });
            }
        }
    }
    fields.finish();
    Some(transformer)
}

/// A winding that a rectifier stands on: its volts, its copper, and whether it has no centre tap.
pub(super) fn high_voltage(
    cursor: &Cursor<'_>,
) -> Option<(Option<WindingVolts>, Option<Resistance>, bool)> {
    let high = cursor.map_with(&["per_half", "volts"])?;
    let whole = high.has("volts") && !high.has("per_half");
    let volts = match whole {
        true => high.required("volts"),
        false => high.required("per_half"),
    };
    let volts = measured(&high, volts.and_then(|c| read::volts(&c, Place::HIGH_VOLTAGE)));
    let key = if whole { "resistance" } else { "resistance_per_half" };
    let copper = maybe(&high, key, Sign::Positive);
    high.finish();
    Some((volts, copper, whole))
}

/// Refuses a hot resistance that says nothing beside the rest.
fn hot_copper(at: &Cursor<'_>, t: &Transformer) {
    let (what, advice) = match (t.primary_hot, t.primary_resistance) {
        _ if t.copper_warm => {
            ("the copper is stated warm", "leave out `copper: warm`, and write `resistance` cold")
        }
        _ if t.rise.is_some() => ("the rise is stated as well", "leave one of the two out"),
        (_, None) => ("the cold resistance is missing", "add `resistance:` at room temperature"),
        (Some(hot), Some(cold)) if hot <= cold => (
            "the hot resistance is not above the cold one",
            "copper rises when it warms: swap the two, or leave `hot` out",
        ),
        _ => return,
    };
    at.fail(what, Some(advice));
}

/// A winding's volts with `measured` and `at_line` beside them, which are read even if the volts are not.
fn measured(fields: &Fields<'_>, volts: Option<Voltage>) -> Option<WindingVolts> {
    let basis = fields.optional("measured").and_then(|c| match c.text()? {
        "open-circuit" => Some(Basis::OpenCircuit),
        "loaded" => Some(Basis::Loaded),
        other => {
            c.fail(
                &format!("{} does not say how it was measured", quoted(other)),
                Some("write `open-circuit` (nothing connected) or `loaded` (the set working)"),
            );
            None
        }
    });
    let at_line = read::maybe_volts(fields, "at_line", Place::MAINS);
    Some(WindingVolts { volts: volts?, basis, at_line })
}

pub(super) fn dividers(cursor: &Cursor<'_>, mut points: Points) -> (Vec<Divider>, Points) {
    let mut list = Vec::new();
    for (title, entry) in cursor.entries().unwrap_or_default().into_iter().take(MOST) {
        if let Some(divider) = divider(&title, &entry, &mut points) {
            list.push(divider);
        }
    }
    (list, points)
}

fn divider(title: &str, entry: &Cursor<'_>, points: &mut Points) -> Option<Divider> {
    let fields = entry.map_with(&["from", "across", "resistors", "taps"])?;
    let from_at = fields.optional("from");
    let across_at = fields.optional("across");
    let to_at = fields.optional("to");
    let from = match (&from_at, &across_at) {
        (Some(c), None) => points.read(c),
        (None, Some(c)) => match c.text() {
            Some("field_coil") if points.field_in_negative_lead && points.alone_there => {
                Some("B-".to_owned())
            }
            Some("field_coil") if points.field_in_negative_lead => {
                c.fail(
                    "other parts stand in the negative lead beside the field coil",
                    Some("write `from: B-`: the divider then spans them all"),
                );
                None
            }
            Some("field_coil") => {
                c.fail(
                    "no field coil stands in the negative lead",
                    Some("a bias divider across the coil needs `field_coil: { lead: negative, … }` in the filter"),
                );
                None
            }
            Some(other) => {
                c.fail(
                    &format!("a divider cannot stand across {}", quoted(other)),
                    Some("write `across: field_coil`, or `from:` and `to:` with supply points"),
                );
                None
            }
            None => None,
        },
        _ => {
            entry.fail(
                "a divider needs its upper end, once",
                Some("write `from: B+` or `across: field_coil`"),
            );
            None
        }
    };
    let to = match &to_at {
        Some(c) => points.read(c),
        None => Some("chassis".to_owned()),
    };
    let resistors: Option<Vec<Resistance>> = fields.required("resistors").and_then(|c| {
        let items = c.list()?;
        let values: Vec<_> =
            items.iter().map(|i| quantity::<Resistance>(i, Sign::Positive)).collect();
        if items.is_empty() || items.len() > MOST {
            c.fail("a divider has 1 to 40 resistors", Some("write them from the upper end on"));
            return None;
        }
        values.into_iter().collect()
    });
    let taps_at = fields.optional("taps");
    let bypass_at = fields.optional("bypass");
    fields.finish();
    // whatever else is wrong with the divider, its taps may be named elsewhere
    let named = taps_at.as_ref().map_or_else(Vec::new, tap_names);
    let tap_points = named.iter().map(|tap| format!("{title}.{tap}"));
    points.names.extend(tap_points);
    let resistors = resistors?;
    let taps = taps_at.map_or_else(Vec::new, |c| taps(&c, resistors.len()));
    let mut bypass = Vec::new();
    for (tap, c) in bypass_at.and_then(|c| c.entries()).unwrap_or_default() {
        if !named.contains(&tap) {
            c.fail_key(
                &format!("this divider has no tap {}", quoted(&tap)),
                Some("name one of its taps"),
            );
        } else if let Some(value) = quantity(&c, Sign::Positive) {
            bypass.push((tap, value));
        }
    }
    Some(Divider { name: title.to_owned(), from: from?, to: to?, resistors, taps, bypass })
}

/// The names in `taps:`, right or wrong.
fn tap_names(cursor: &Cursor<'_>) -> Vec<String> {
    match cursor.node() {
        Node::List(items) => items
            .iter()
            .filter_map(|item| match item {
                Node::Scalar(text) => Some(text.trim().to_owned()),
                _ => None,
            })
            .collect(),
        node => keys_of(node),
    }
}

/// Taps as a list of names in order, or a mapping from names to places.
fn taps(cursor: &Cursor<'_>, resistors: usize) -> Vec<(String, usize)> {
    let inner = resistors.saturating_sub(1);
    if cursor.kind() == Kind::List {
        let items = cursor.list().unwrap_or_default();
        if items.len() != inner {
            cursor.fail(
                &format!(
                    "{} named, but taps stand between two resistors: {resistors} have room for {inner}",
                    items.len()
                ),
                Some("name each tap in order, or write `taps: { output: 1 }` with the places of those in use"),
            );
            return Vec::new();
        }
        return items.iter().enumerate().filter_map(|(i, c)| Some((name(c)?, i + 1))).collect();
    }
    let mut list = Vec::new();
    for (title, c) in cursor.entries().unwrap_or_default() {
        let Some(text) = c.text() else { continue };
        match text.parse::<usize>() {
            Ok(place) if (1..=inner).contains(&place) => list.push((title, place)),
            _ => c.fail(
                &format!("{} is not a place on this divider", quoted(text)),
                Some(&format!(
                    "place 1 is between the first and the second resistor; the last is {inner}"
                )),
            ),
        }
    }
    list
}

pub(super) fn loads(cursor: &Cursor<'_>, points: &Points) -> Vec<Load> {
    let mut list = Vec::new();
    for item in cursor.list().unwrap_or_default().iter().take(MOST) {
        let Some(fields) = item.map_with(&["name", "from", "resistance", "current"]) else {
            continue;
        };
        let title = fields.required("name").and_then(|c| name(&c));
        let from = fields.required("from").and_then(|c| points.read(&c));
        let ohms = maybe(&fields, "resistance", Sign::Positive);
        let amps = maybe(&fields, "current", Sign::NonNegative);
        let stated = (fields.has("resistance"), fields.has("current"));
        fields.finish();
        if stated.0 == stated.1 {
            item.fail(
                "a load takes a current or has a resistance",
                Some("write either `resistance: 30 kΩ` or `current: 5 mA`"),
            );
        }
        let draws = ohms.map(Draw::Resistance).or(amps.map(Draw::Current));
        if let (Some(name), Some(from), Some(draws)) = (title, from, draws) {
            list.push(Load { name, from, draws });
        }
    }
    list
}
