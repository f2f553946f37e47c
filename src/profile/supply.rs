//! What hangs on the supply: its points, dividers and other loads, and what heaters hang on.

use super::{
    cursor::Cursor,
    declare::{MOST, Named, Read, Sound, form, keys},
    node::{Kind, Node},
    problem::quoted,
    values::{Farads, NonNegative, Stated, StatedOhms, Text, Whole},
};
use crate::quantity::{Capacitance, Current, Resistance};
use std::collections::BTreeMap;

form! {
    /// A supply point: B+, reservoir, chassis, B- (the center tap, where a part stands in the negative lead), B2+ and reservoir2 (of a second supply) or a tap as DIVIDER.TAP
    SupplyPoint -> String = {
        "type": "string",
        "examples": ["B+", "reservoir", "chassis", "B-", "B2+", "reservoir2"]
    },
    |at| {
        let text = at.text()?.trim();
        at.said().has_point(text).then(|| text.to_owned()).or_else(|| no_point(at, text))
    }
}

/// Refuses what is no supply point, with the nearest.
pub(super) fn no_point<T>(at: &Cursor<'_>, text: &str) -> Option<T> {
    let said = at.said();
    let alike = |name: &str| {
        // a tap may be named without its divider
        let bare = name.rsplit('.').next().unwrap_or(name);
        strsim::jaro_winkler(name, text).max(strsim::jaro_winkler(bare, text))
    };
    let near = said.points.iter().max_by(|a, b| alike(a).total_cmp(&alike(b)));
    let all = said.points.join(", ");
    let advice = match near.filter(|near| alike(near) > 0.75) {
        Some(near) => format!("the nearest point is {}; known: {all}", quoted(near)),
        None => format!("write one of: {all}"),
    };
    at.refuse(format!("there is no supply point {}", quoted(text)), advice)
}

/// The keys of a mapping, right or wrong; none of anything else.
pub(super) fn keys_of(node: &Node) -> Vec<String> {
    match node {
        Node::Map(entries) => entries.iter().map(|(key, _)| key.clone()).collect(),
        _ => Vec::new(),
    }
}

form! {
    /// Heater winding, or branch of a heater string
    HeatedBy -> String as Text,
    heated_by
}

fn heated_by(at: &Cursor<'_>) -> Option<String> {
    let (text, said) = (at.text()?, at.said());
    if said.heated.iter().any(|name| name == text) {
        return Some(text.to_owned());
    }
    let (found, describe) = match said.on_the_line {
        true => (
            "the heater string has no branch",
            "leave the key out: the heater is then in series with all. Heaters side by side are described as `heater_string: { branches: [{ name: a }, { name: b }] }`",
        ),
        false => (
            "there is no heater winding",
            "describe it under `transformer: heater_windings:` first",
        ),
    };
    let advice = match said.heated.as_slice() {
        [] => describe.to_owned(),
        names => format!("write one of: {}", names.join(", ")),
    };
    at.refuse(format!("{found} {}", quoted(text)), advice)
}

/// A chain of resistors with taps.
#[derive(Debug, Clone)]
pub struct Divider {
    /// Name.
    pub name: String,
    /// Upper end: `B+`, `reservoir`, `field_coil` (its far end) or another tap.
    pub from: String,
    /// Lower end, usually `chassis`.
    pub to: String,
    /// Resistors in order from the upper end.
    pub resistors: Vec<Resistance>,
    /// Tap names with the place they stand at: 1 is between the first and the second resistor.
    pub taps: Vec<(String, usize)>,
    /// Bypass capacitors to chassis, by tap name.
    pub bypass: Vec<(String, Capacitance)>,
}

keys! {
    /// A resistor chain with taps
    pub struct DividerKeys as "Divider" {
        /// Upper end, a supply point; this or `across`
        from: Option<SupplyPoint>,
        /// Across the field coil, if it stands alone in the negative lead: from `B-` to `to`; this or `from`
        across: Option<Across>,
        /// Lower end; `chassis` if absent
        to: Sound<SupplyPoint>,
        /// Resistors from the upper end on, 1 to 40
        resistors: Resistors,
        /// Names of the joints, one for each in order; or places by name, where 1 is between the first and the second resistor; no
        /// taps if absent
        taps: Option<Taps>,
        /// Bypass capacitors to chassis, by name of the tap; none if absent
        bypass: Named<Bypass>,
    }
    wanted &["from", "across", "resistors", "taps"];
    rule (
        "oneOf",
        &["from", "across"],
        "a divider needs its upper end, once",
        "write `from: B+` or `across: field_coil`",
    );
    => Divider: divider;
}

fn divider(keys: DividerKeys, at: &Cursor<'_>) -> Option<Divider> {
    let taps_at = keys.taps.and_then(|()| at.get("taps"));
    let named = taps_at.as_ref().map_or_else(Vec::new, tap_names);
    let taps = taps_at.map_or_else(Vec::new, |at| taps(&at, keys.resistors.len()));
    let bypassed = at.get("bypass").and_then(|at| at.entries()).unwrap_or_default();
    for (tap, at) in bypassed.iter().filter(|(tap, _)| !named.contains(tap)) {
        at.fail_key(format!("this divider has no tap {}", quoted(tap)), "name one of its taps");
    }
    Some(Divider {
        name: at.key()?.to_owned(),
        from: keys.from.or(keys.across)?,
        to: keys.to.unwrap_or_else(|| "chassis".to_owned()),
        resistors: keys.resistors,
        taps,
        bypass: keys.bypass,
    })
}

form! {
    /// A divider, whose taps are supply points for those that follow
    Chain -> Divider as DividerKeys,
    |at| {
        let divider = DividerKeys::read(at);
        // whatever is wrong with it, its taps may be named elsewhere
        let taps = at.get("taps").map_or_else(Vec::new, |at| tap_names(&at));
        let title = at.key()?;
        at.say(|said| said.points.extend(taps.iter().map(|tap| format!("{title}.{tap}"))));
        divider
    }
}

form! {
    /// What a divider may stand across
    Across -> String = { "oneOf": [{
        "const": "field_coil",
        "description": "The field coil in the negative lead: from the center tap to `to`",
        "type": "string"
    }] },
    |at| match (at.text()?, at.said().negative_coil) {
        ("field_coil", Some(true)) => Some("B-".to_owned()),
        ("field_coil", Some(false)) => at.refuse(
            "other parts stand in the negative lead beside the field coil",
            "write `from: B-`: the divider then spans them all",
        ),
        ("field_coil", None) => at.refuse(
            "no field coil stands in the negative lead",
            "a bias divider across the coil needs `field_coil: { lead: negative, … }` in the filter",
        ),
        (other, _) => at.refuse(
            format!("a divider cannot stand across {}", quoted(other)),
            "write `across: field_coil`, or `from:` and `to:` with supply points",
        ),
    }
}

form! {
    /// Resistors of a divider
    Resistors -> Vec<Resistance>: inline [StatedOhms] { "minItems": 1, "maxItems": 40 },
    |at| {
        let items = at.list()?;
        let values: Vec<_> = items.iter().map(StatedOhms::read).collect();
        if items.is_empty() || items.len() > MOST {
            return at.refuse("a divider has 1 to 40 resistors", "write them from the upper end on");
        }
        values.into_iter().collect()
    }
}

form! {
    /// A capacitor to chassis, with the name of its tap
    Bypass -> (String, Capacitance) as Farads,
    |at| Some((at.key()?.to_owned(), Farads::read(at)?))
}

form! {
    /// Taps of a divider
    Taps -> (): Vec<Text> | BTreeMap<String, Whole>,
    |_| Some(())
}

/// The names in `taps:`, right or wrong.
fn tap_names(at: &Cursor<'_>) -> Vec<String> {
    let name = |item: &Node| match item {
        Node::Scalar(text) => Some(text.trim().to_owned()),
        _ => None,
    };
    match at.node() {
        Node::List(items) => items.iter().filter_map(name).collect(),
        node => keys_of(node),
    }
}

/// Taps as a list of names in order, or a block of keys from names to places.
fn taps(at: &Cursor<'_>, resistors: usize) -> Vec<(String, usize)> {
    let inner = resistors.saturating_sub(1);
    if at.kind() == Kind::List {
        let items = at.list().unwrap_or_default();
        if items.len() != inner {
            at.fail(
                format!(
                    "{} named, but taps stand between two resistors: {resistors} have room for {inner}",
                    items.len()
                ),
                "name each tap in order, or write `taps: { output: 1 }` with the places of those in use",
            );
            return Vec::new();
        }
        return items.iter().zip(1..).filter_map(|(at, i)| Some((Text::read(at)?, i))).collect();
    }
    let place = |(title, at): (String, Cursor<'_>)| {
        let advice =
            format!("place 1 is between the first and the second resistor; the last is {inner}");
        let inside = |text: &str| text.parse().ok().filter(|place| (1..=inner).contains(place));
        Some((title, at.parsed(inside, "is not a place on this divider", advice)?))
    };
    at.entries().unwrap_or_default().into_iter().filter_map(place).collect()
}

keys! {
    /// Another load on the supply
    pub struct Load {
        /// What it is
        name: Text,
        /// Supply point it is connected to
        from: SupplyPoint,
        /// Resistance to chassis; this or `current`
        resistance: Option<StatedOhms>,
        /// Constant current to chassis, may be 0 mA; this or `resistance`
        current: Option<Stated<Current, NonNegative>>,
    }
    rule (
        "oneOf",
        &["resistance", "current"],
        "a load takes a current or has a resistance",
        "write either `resistance: 30 kΩ` or `current: 5 mA`",
    );
}
