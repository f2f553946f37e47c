//! Reads the heater string of a set without a transformer.

use super::cursor::Cursor;
use super::document::{Kind, Node};
use super::fields::Fields;
use super::model::*;
use super::problem::quoted;
use super::read::{count, maybe, name};
use crate::catalogue::{
    BALLAST_AMPS, BallastKind, BallastType, ballast_by_code, ballasts, barretter,
};
use crate::quantity::{Capacitance, Current, Power, Quantity, Resistance, Sign, Voltage};

/// Most droppers in a string.
const MOST: usize = 8;
/// The volts at the ends of a barretter's range differ by a factor of 1.5 to 3 (museum records of barretters); beyond this
/// one of them is a slip of the pen.
const WIDEST: f64 = 4.0;
/// Metres of a line cord that are believed.
const CORD_M: std::ops::RangeInclusive<f64> = 0.3..=10.0;

pub(super) fn heater_string(cursor: &Cursor<'_>) -> Option<HeaterString> {
    let fields = cursor.map_with(&["dropper", "branches"])?;
    let dropper = fields.optional("dropper");
    let branches = fields.optional("branches").map(|c| branches(&c));
    fields.finish();
    let droppers = dropper.map_or(Some(Vec::new()), |c| droppers(&c));
    Some(HeaterString { droppers: droppers?, branches: branches.unwrap_or(Some(Vec::new()))? })
}

/// Names of the branches that a `heater_string:` lists, right or wrong.
pub(super) fn branch_names(string: &Cursor<'_>) -> Vec<String> {
    let Node::Map(entries) = string.node() else {
        return Vec::new();
    };
    let Some((_, Node::List(items))) = entries.iter().find(|(key, _)| key == "branches") else {
        return Vec::new();
    };
    let name = |item: &Node| {
        let Node::Map(keys) = item else { return None };
        match keys.iter().find(|(key, _)| key == "name") {
            Some((_, Node::Scalar(text))) => Some(text.trim().to_owned()),
            _ => None,
        }
    };
    items.iter().filter_map(name).collect()
}

fn branches(cursor: &Cursor<'_>) -> Option<Vec<HeaterBranch>> {
    let items = cursor.list()?;
    if items.len() > MOST_BRANCHES {
        cursor.fail(&format!("more than {MOST_BRANCHES} branches"), None);
        return None;
    }
    let mut list: Vec<HeaterBranch> = Vec::new();
    for item in &items {
        let branch = branch(item)?;
        if list.iter().any(|other| other.name == branch.name) {
            item.fail(
                &format!("there are two branches {}", quoted(&branch.name)),
                Some("give each a name of its own"),
            );
            return None;
        }
        list.push(branch);
    }
    Some(list)
}

fn branch(item: &Cursor<'_>) -> Option<HeaterBranch> {
    let fields = item.map_with(&["name", "group", "dropper"])?;
    let title = fields.required("name").and_then(|c| name(&c));
    let most = u32::try_from(MOST_BRANCHES).unwrap_or(u32::MAX);
    let group = fields.optional("group").map_or(Some(1), |c| count(&c, most));
    let dropper_at = fields.optional("dropper");
    let droppers = dropper_at.as_ref().map_or(Some(Vec::new()), droppers);
    fields.finish();
    let droppers = droppers?;
    let is_plain = |d: &StringDropper| matches!(d.kind, DropperKind::Resistor(_));
    if let (Some(at), false) = (&dropper_at, droppers.iter().all(is_plain)) {
        at.fail(
            "a branch has resistors of its own, and nothing else",
            Some("write `kind: resistor`; a cord, ballast, barretter or capacitor goes under `heater_string: dropper:`, in series with all"),
        );
        return None;
    }
    Some(HeaterBranch { name: title?, group: group?, droppers })
}

/// What stands in series: one dropper, several, or `none`.
fn droppers(at: &Cursor<'_>) -> Option<Vec<StringDropper>> {
    if matches!(at.node(), Node::Scalar(text) if text.trim() == "none") {
        return Some(Vec::new());
    }
    if at.kind() != Kind::List {
        return Some(vec![string_dropper(at)?]);
    }
    let items = at.list()?;
    if items.len() > MOST {
        at.fail(&format!("more than {MOST} droppers"), Some("join those of one kind"));
        return None;
    }
    let droppers: Vec<_> = items.iter().filter_map(string_dropper).collect();
    let has = |is: fn(&DropperKind) -> bool| droppers.iter().filter(|d| is(&d.kind)).count();
    let rectifies = has(|k| matches!(k, DropperKind::Diode { .. }));
    let stores = has(|k| matches!(k, DropperKind::Capacitor { .. }));
    if rectifies > 0 && stores > 0 {
        at.fail(
            "a capacitor and a diode stand in one string: the capacitor charges, and after a few cycles nothing flows",
            Some("keep one of them"),
        );
        return None;
    }
    if rectifies > 1 || stores > 1 || has(|k| matches!(k, DropperKind::Barretter { .. })) > 1 {
        at.fail(
            "two capacitors, two diodes or two barretters stand in one string",
            Some("write one, with the values of both together"),
        );
        return None;
    }
    (droppers.len() == items.len()).then_some(droppers)
}

/// Each kind of dropper: the keys that describe it beside `kind`, and what to write.
const KINDS: [(&str, &[&str], &str); 6] = [
    (
        "resistor",
        &["resistance", "rated"],
        "`resistance: 180 Ω`, and `rated: 25 W` where that is printed",
    ),
    (
        "line-cord",
        &["resistance", "rated", "length"],
        "`resistance: 180 Ω` of the wire in the cord, and `length: 6 ft` where you measured it",
    ),
    (
        "ballast",
        &["type", "volts", "current", "rated"],
        "`type: K49` as printed, or `volts: 49 V` and `current: 300 mA`",
    ),
    (
        "barretter",
        &["type", "current", "holds", "within"],
        "`type: C1` as printed, or `current: 200 mA` and `holds: { from: 80 V, to: 200 V }`",
    ),
    (
        "capacitor",
        &["capacitance", "rated", "bleeder", "surge_resistor"],
        "`capacitance: 8 µF`, `rated: 400 V` (AC), `bleeder: 470 kΩ`, `surge_resistor: 47 Ω`",
    ),
    ("diode", &["resistance"], "`resistance: 53 Ω` of the resistor beside the diode, or nothing"),
];

/// Values of a dropper as they stand, whatever its kind.
struct Written<'c> {
    cursor: &'c Cursor<'c>,
    resistance: Option<Resistance>,
    volts: Option<Voltage>,
    current: Option<Current>,
    name: Option<String>,
    holds: Option<(Voltage, Voltage)>,
    within: Option<f64>,
    length: Option<f64>,
    capacitance: Option<Capacitance>,
    bleeder: Option<Resistance>,
    surge: Option<Resistance>,
    /// What `rated` is a number of depends on the kind.
    rated_w: Option<Power>,
    rated_v: Option<Voltage>,
    advice: &'static str,
}

fn string_dropper(cursor: &Cursor<'_>) -> Option<StringDropper> {
    let fields = cursor.map_with(&[
        "kind",
        "type",
        "resistance",
        "volts",
        "current",
        "rated",
        "length",
        "holds",
        "within",
        "capacitance",
        "bleeder",
        "surge_resistor",
    ])?;
    let kind_at = fields.required("kind");
    let word = kind_at.as_ref().and_then(|c| c.text());
    let known = KINDS.iter().find(|(known, ..)| Some(*known) == word);
    let is_capacitor = word == Some("capacitor");
    let at = |key| fields.optional(key);
    let given = |key: &'static str| fields.has(key);
    let mut written = Written {
        cursor,
        resistance: maybe(&fields, "resistance", Sign::Positive),
        volts: maybe(&fields, "volts", Sign::Positive),
        current: maybe(&fields, "current", Sign::Positive),
        name: at("type").and_then(|c| name(&c)),
        holds: at("holds").and_then(|c| holds(&c)),
        within: at("within").and_then(|c| c.parse_with(super::read_readings::tolerance)),
        length: at("length")
            .and_then(|c| c.parse_or(metres, "write `length: 6 ft` or `length: 1.8 m`")),
        capacitance: maybe(&fields, "capacitance", Sign::Positive),
        bleeder: maybe(&fields, "bleeder", Sign::Positive),
        surge: maybe(&fields, "surge_resistor", Sign::Positive),
        rated_w: if is_capacitor { None } else { maybe(&fields, "rated", Sign::Positive) },
        rated_v: if is_capacitor { maybe(&fields, "rated", Sign::Positive) } else { None },
        advice: "",
    };
    let stray = known.and_then(|(_, keys, _)| {
        let all = KINDS.iter().flat_map(|(_, keys, _)| *keys);
        all.into_iter().find(|key| given(key) && !keys.contains(key))
    });
    let unread =
        known.is_some_and(|(_, keys, _)| keys.iter().any(|key| unread(&fields, key, &written)));
    let type_at = fields.optional("type");
    fields.finish();
    let kind_at = kind_at?;
    let Some((word, _, advice)) = known else {
        let words: Vec<String> = KINDS.iter().map(|(word, ..)| format!("`{word}`")).collect();
        kind_at.fail(
            &format!("{} is not a kind of dropper", quoted(kind_at.text()?)),
            Some(&format!("write one of {}", words.join(", "))),
        );
        return None;
    };
    written.advice = advice;
    if let Some(key) = stray {
        let what = format!("`{key}` does not describe a dropper of kind `{word}`");
        cursor.fail(&what, Some(&format!("write {advice}")));
        return None;
    }
    if unread {
        return None;
    }
    let kind = match *word {
        "resistor" => DropperKind::Resistor(written.needs(written.resistance)?),
        "line-cord" => DropperKind::LineCord {
            ohms: written.needs(written.resistance)?,
            metres: written.length,
        },
        "ballast" => written.ballast(type_at.as_ref())?,
        "barretter" => written.barretter(type_at.as_ref())?,
        "capacitor" => DropperKind::Capacitor {
            value: written.needs(written.capacitance)?,
            rated: written.rated_v,
            bleeder: written.bleeder,
            surge: written.surge,
        },
        _ => DropperKind::Diode { resistance: written.resistance },
    };
    Some(StringDropper { kind, rated: written.rated_w })
}

/// True for a key that stands there and could not be read: its own error is enough.
fn unread(fields: &Fields<'_>, key: &'static str, written: &Written<'_>) -> bool {
    let read = match key {
        "resistance" => written.resistance.is_some(),
        "type" => written.name.is_some(),
        "volts" => written.volts.is_some(),
        "current" => written.current.is_some(),
        "holds" => written.holds.is_some(),
        "capacitance" => written.capacitance.is_some(),
        _ => true,
    };
    fields.has(key) && !read
}

impl Written<'_> {
    /// A value that this kind cannot do without.
    fn needs<T>(&self, value: Option<T>) -> Option<T> {
        if value.is_none() {
            let advice = format!("write {}", self.advice);
            self.cursor.fail("a value that describes this dropper is missing", Some(&advice));
        }
        value
    }

    /// `type:` excludes the figures that it stands for.
    fn one_way(&self, figures: bool) -> Option<()> {
        if self.name.is_some() && figures {
            let advice = format!("write {}", self.advice);
            self.cursor.fail("a type and its figures both stand here", Some(&advice));
            return None;
        }
        Some(())
    }

    fn ballast(&self, type_at: Option<&Cursor<'_>>) -> Option<DropperKind> {
        self.one_way(self.volts.is_some() || self.current.is_some())?;
        let Some(code) = &self.name else {
            let (volts, current) = self.needs(self.volts.zip(self.current))?;
            return Some(DropperKind::Ballast { name: None, volts, current, lamp: None });
        };
        if barretter(code).is_some() {
            type_at?.fail(
                &format!("{code} is a barretter: it holds its current, which a ballast does not"),
                Some("write `kind: barretter`"),
            );
            return None;
        }
        let Some(BallastType { kind: BallastKind::Wire { volts, lamp }, .. }) =
            ballast_by_code(code)
        else {
            type_at?.fail(
                &format!("{} is no ballast by the trade's numbering", quoted(code)),
                Some("write the code with its lamp letter and volts, such as K49 or BL42D, or its figures: `volts: 49 V` and `current: 300 mA`, measured warm"),
            );
            return None;
        };
        Some(DropperKind::Ballast {
            name: Some(code.clone()),
            volts: Voltage::from_si(volts),
            current: Current::from_si(BALLAST_AMPS),
            lamp,
        })
    }

    fn barretter(&self, type_at: Option<&Cursor<'_>>) -> Option<DropperKind> {
        self.one_way(self.holds.is_some() || self.current.is_some())?;
        let Some(asked) = &self.name else {
            let (current, holds) = self.needs(self.current.zip(self.holds))?;
            return Some(DropperKind::Barretter {
                name: None,
                current,
                holds,
                within: self.within,
            });
        };
        let Some(found) = barretter(asked) else {
            let known =
                ballasts().iter().filter(|t| matches!(t.kind, BallastKind::Barretter { .. }));
            let known: Vec<&str> = known.map(|t| t.name.as_str()).collect();
            let advice = format!(
                "write its figures, `current: 300 mA` and `holds: {{ from: 95 V, to: 165 V }}`, or one of {}; a ballast such as K49 is `kind: ballast`",
                known.join(", ")
            );
            type_at?
                .fail(&format!("no barretter {} in the catalogue", quoted(asked)), Some(&advice));
            return None;
        };
        let BallastKind::Barretter { holds: (from, to) } = found.kind else {
            return None;
        };
        Some(DropperKind::Barretter {
            name: Some(found.name.clone()),
            current: Current::from_si(found.amps),
            holds: (Voltage::from_si(from), Voltage::from_si(to)),
            within: self.within,
        })
    }
}

/// The range in which a barretter holds.
fn holds(cursor: &Cursor<'_>) -> Option<(Voltage, Voltage)> {
    let fields = cursor.map_with(&["from", "to"])?;
    let volts = |key| fields.required(key).and_then(|c| super::read::quantity(&c, Sign::Positive));
    let (from, to): (Option<Voltage>, Option<Voltage>) = (volts("from"), volts("to"));
    fields.finish();
    let (from, to) = (from?, to?);
    if from >= to || to.si() > WIDEST * from.si() {
        cursor.fail(
            "no barretter holds its current in such a range",
            Some("write the volts printed on it, the lower first: `holds: { from: 95 V, to: 165 V }`"),
        );
        return None;
    }
    Some((from, to))
}

/// "6 ft", "1.8 m" or "70 in" as metres.
fn metres(text: &str) -> Result<f64, String> {
    let units = [
        ("feet", 0.3048),
        ("foot", 0.3048),
        ("ft", 0.3048),
        ("in", 0.0254),
        ("cm", 0.01),
        ("m", 1.0),
    ];
    let found = units.iter().find_map(|(unit, metres)| {
        let number = text.trim().strip_suffix(unit)?.trim().replace(',', ".");
        Some(number.parse::<f64>().ok()? * metres)
    });
    found
        .filter(|m| CORD_M.contains(m))
        .ok_or_else(|| format!("{} is not the length of a cord, 0.3 m to 10 m", quoted(text)))
}
