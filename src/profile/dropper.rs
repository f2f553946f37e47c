//! What stands in series with a heater string.

use super::{
    cursor::Cursor,
    declare::{Read, Sound, Tried, choice, form, keys},
    node::Node,
    problem::quoted,
    values::{Amps, Farads, Ohms, StatedOhms, Text, TolerableShare, TypeName, Volts, Watts},
};
use crate::{
    catalogue::{
        BALLAST_AMPS, BallastKind, BallastLamp, BallastType, ballast_by_code, ballasts, barretter,
    },
    quantity::{Capacitance, Current, Power, Quantity, Resistance, Voltage},
};
use serde_json::{Value, json};

/// Most droppers in a string.
const MOST: usize = 8;
/// The volts at the ends of a barretter's range differ by a factor of 1.5 to 3 (museum records of barretters); beyond this
/// one of them is a slip of the pen.
const WIDEST: f64 = 4.0;
/// Metres of a line cord that are believed.
const CORD_M: std::ops::RangeInclusive<f64> = 0.3..=10.0;

form! {
    /// A dropper, several in series, or `none`
    DropperForm -> Vec<StringDropper>: NoDropper | Dropper | DropperList,
    |at| match at.node() {
        Node::Scalar(text) if text.trim() == "none" => Some(Vec::new()),
        Node::List(_) => DropperList::read(at),
        _ => Some(vec![Dropper::read(at)?]),
    }
}

choice! {
    /// Nothing in series
    NoDropper -> () {
        /// The heaters alone take the line
        "none" => (),
    }
    "is no dropper"
}

form! {
    /// Droppers in series, in order from the line on
    DropperList -> Vec<StringDropper>: named [Dropper] { "maxItems": 8 },
    droppers
}

fn droppers(at: &Cursor<'_>) -> Option<Vec<StringDropper>> {
    let items = at.list()?;
    if items.len() > MOST {
        return at.refuse(format!("more than {MOST} droppers"), "join those of one kind");
    }
    let droppers: Vec<_> = items.iter().filter_map(Dropper::read).collect();
    let has = |is: fn(&DropperKind) -> bool| droppers.iter().filter(|d| is(&d.kind)).count();
    let rectifies = has(|k| matches!(k, DropperKind::Diode { .. }));
    let stores = has(|k| matches!(k, DropperKind::Capacitor { .. }));
    if rectifies > 0 && stores > 0 {
        return at.refuse(
            "a capacitor and a diode stand in one string: the capacitor charges, and after a few cycles nothing flows",
            "keep one of them",
        );
    }
    if rectifies > 1 || stores > 1 || has(|k| matches!(k, DropperKind::Barretter { .. })) > 1 {
        return at.refuse(
            "two capacitors, two diodes or two barretters stand in one string",
            "write one, with the values of both together",
        );
    }
    (droppers.len() == items.len()).then_some(droppers)
}

choice! {
    /// Makes of a dropper
    pub enum Make as "DropperKind" {
        /// A wirewound resistor in the set, or a section of one
        Resistor = "resistor",
        /// Resistance wire in the line cord
        LineCord = "line-cord",
        /// A ballast tube: resistance wire in a can or bulb
        Ballast = "ballast",
        /// Iron wire in hydrogen: it holds its current within its range
        Barretter = "barretter",
        /// A capacitor in the place of a resistor
        Capacitor = "capacitor",
        /// A silicon diode, with or without a resistor
        Diode = "diode",
    }
    "is not a kind of dropper",
    "write one of `resistor`, `line-cord`, `ballast`, `barretter`, `capacitor`, `diode`"
}

impl Make {
    /// The keys that describe it beside `kind`, and what to write.
    fn described_by(self) -> (&'static [&'static str], &'static str) {
        match self {
            Make::Resistor => (
                &["resistance", "rated"],
                "write `resistance: 180 Ω`, and `rated: 25 W` where that is printed",
            ),
            Make::LineCord => (
                &["resistance", "rated", "length"],
                "write `resistance: 180 Ω` of the wire in the cord, and `length: 6 ft` where you measured it",
            ),
            Make::Ballast => (
                &["type", "volts", "current", "rated"],
                "write `type: K49` as printed, or `volts: 49 V` and `current: 300 mA`",
            ),
            Make::Barretter => (
                &["type", "current", "holds", "within"],
                "write `type: C1` as printed, or `current: 200 mA` and `holds: { from: 80 V, to: 200 V }`",
            ),
            Make::Capacitor => (
                &["capacitance", "rated", "bleeder", "surge_resistor"],
                "write `capacitance: 8 µF`, `rated: 400 V` (AC), `bleeder: 470 kΩ`, `surge_resistor: 47 Ω`",
            ),
            Make::Diode => (
                &["resistance"],
                "write `resistance: 53 Ω` of the resistor beside the diode, or nothing",
            ),
        }
    }

    /// The same for the schema.
    fn alone(self) -> Value {
        let (keys, advice) = self.described_by();
        let kind = json!({ "const": self.word(), "description": advice });
        let keys = [&["kind"], keys].concat();
        json!({
            "if": { "properties": { "kind": kind } },
            "then": { "propertyNames": { "enum": keys } },
        })
    }
}

/// What drops the voltage that the heaters do not need.
#[derive(Debug, Clone, PartialEq)]
pub struct StringDropper {
    /// Make.
    pub kind: DropperKind,
    /// Watts it is rated for, where known.
    pub rated: Option<Power>,
}

/// Make of a heater string's dropper.
#[derive(Debug, Clone, PartialEq)]
pub enum DropperKind {
    /// A wirewound resistor in the set, or a section of one.
    Resistor(Resistance),
    /// Resistance wire in the line cord.
    LineCord {
        /// The wire.
        ohms: Resistance,
        /// Length of the cord, m.
        metres: Option<f64>,
    },
    /// A ballast tube: resistance wire in a can or bulb.
    Ballast {
        /// Code printed on it.
        name: Option<String>,
        /// Volts across it at its current, a lamp beside part of it included.
        volts: Voltage,
        /// That current.
        current: Current,
        /// The lamp that a section of it is made for.
        lamp: Option<BallastLamp>,
    },
    /// Iron wire in hydrogen: it holds its current within a range of volts.
    Barretter {
        /// Type printed on it.
        name: Option<String>,
        /// The current.
        current: Current,
        /// The range.
        holds: (Voltage, Voltage),
        /// How far the current is off at the ends of the range, as a share, where known.
        within: Option<f64>,
    },
    /// A capacitor that takes the place of a resistor.
    Capacitor {
        /// Its value.
        value: Capacitance,
        /// AC volts it is rated for.
        rated: Option<Voltage>,
        /// Resistor across it.
        bleeder: Option<Resistance>,
        /// Resistor in series with it.
        surge: Option<Resistance>,
    },
    /// A silicon diode, alone or with a resistor.
    Diode {
        /// The resistor.
        resistance: Option<Resistance>,
    },
}

keys! {
    /// What drops the voltage that the heaters do not need
    pub struct Dropper {
        /// Its make
        kind: Tried<Make>,
        /// Resistance of a resistor or of a line cord's wire, which need it, or of the resistor beside a diode, none if absent
        resistance: Sound<StatedOhms>,
        /// Volts across a ballast tube at its current, a lamp beside part of it lit; or `type`
        volts: Sound<Volts>,
        /// Current of a ballast tube there, or that a barretter holds; or `type`
        current: Sound<Amps>,
        /// Code of a ballast, such as K49; type of a barretter, such as C1; in quotes if it is a number. Or its figures
        name "type": Sound<Printed>,
        /// Volts between which a barretter holds its current, such as `{ from: 95 V, to: 165 V }`; or `type`
        holds: Sound<Holds>,
        /// How far a barretter's current is off at both ends of its range, as a share; absent: 5 % more for twice the voltage
        within: Option<TolerableShare>,
        /// Length of a line cord, in ft or m; absent: the heat in each foot is not told
        length: Option<CordLength>,
        /// Value of a capacitor, which needs it
        capacitance: Sound<Farads>,
        /// Resistor across a capacitor; none if absent, with a warning
        bleeder: Option<Ohms>,
        /// Resistor ahead of a capacitor, in series with it; none if absent
        surge_resistor: Option<Ohms>,
        /// Watts it is rated for; of a capacitor the AC volts. Not judged if absent
        rated: Option<Rated>,
    }
    example "{ kind: resistor, resistance: 160 Ω, rated: 20 W }";
    also { "anyOf": [
        { "required": ["resistance"] },
        { "required": ["type"] },
        { "required": ["volts", "current"] },
        { "required": ["current", "holds"] },
        { "required": ["capacitance"] },
        { "properties": { "kind": { "const": "diode", "description": "A diode may stand alone" } } },
    ], "allOf": Make::ALL.map(Make::alone) };
    => StringDropper: dropper;
}

form! {
    /// What is printed on a ballast or barretter
    Printed -> String as TypeName,
    Text::read
}

form! {
    /// Watts, or the AC volts of a capacitor
    Rated -> (): Watts | Volts,
    |_| Some(())
}

fn dropper(keys: Dropper, at: &Cursor<'_>) -> Option<StringDropper> {
    let rated_at = keys.rated.and_then(|()| at.get("rated"));
    let is_capacitor = keys.kind == Some(Make::Capacitor);
    let (rated_v, rated) = match rated_at {
        Some(at) if is_capacitor => (Volts::read(&at), None),
        Some(at) => (None, Watts::read(&at)),
        None => (None, None),
    };
    let make = keys.kind?;
    let (described_by, advice) = make.described_by();
    let mut all = Make::ALL.iter().flat_map(|make| make.described_by().0);
    if let Some(key) = all.find(|key| at.find(key).is_some() && !described_by.contains(key)) {
        let word = make.word();
        let found = format!("`{key}` does not describe a dropper of kind `{word}`");
        return at.refuse(found, advice);
    }
    let figures = keys.volts.is_some() || keys.holds.is_some() || keys.current.is_some();
    if keys.name.is_some() && figures {
        return at.refuse("a type and its figures both stand here", advice);
    }
    let kind = match make {
        Make::Resistor => keys.resistance.map(DropperKind::Resistor),
        Make::LineCord => {
            let metres = keys.length;
            keys.resistance.map(|ohms| DropperKind::LineCord { ohms, metres })
        }
        Make::Ballast => match (keys.name, keys.volts.zip(keys.current)) {
            (Some(code), _) => Some(ballast(code, &at.below("type"))?),
            (None, figures) => figures.map(|(volts, current)| DropperKind::Ballast {
                name: None,
                volts,
                current,
                lamp: None,
            }),
        },
        Make::Barretter => match (keys.name, keys.current.zip(keys.holds)) {
            (Some(asked), _) => Some(catalogued(&asked, keys.within, &at.below("type"))?),
            (None, figures) => figures.map(|(current, holds)| DropperKind::Barretter {
                name: None,
                current,
                holds,
                within: keys.within,
            }),
        },
        Make::Capacitor => keys.capacitance.map(|value| DropperKind::Capacitor {
            value,
            rated: rated_v,
            bleeder: keys.bleeder,
            surge: keys.surge_resistor,
        }),
        Make::Diode => Some(DropperKind::Diode { resistance: keys.resistance }),
    };
    let kind =
        kind.or_else(|| at.refuse("a value that describes this dropper is missing", advice))?;
    Some(StringDropper { kind, rated })
}

/// A ballast by the code printed on it.
fn ballast(code: String, at: &Cursor<'_>) -> Option<DropperKind> {
    if barretter(&code).is_some() {
        return at.refuse(
            format!("{code} is a barretter: it holds its current, which a ballast does not"),
            "write `kind: barretter`",
        );
    }
    let Some(BallastType { kind: BallastKind::Wire { volts, lamp }, .. }) = ballast_by_code(&code)
    else {
        return at.refuse(
            format!("{} is no ballast by the trade's numbering", quoted(&code)),
            "write the code with its lamp letter and volts, such as K49 or BL42D, or its figures: `volts: 49 V` and `current: 300 mA`, measured warm",
        );
    };
    Some(DropperKind::Ballast {
        name: Some(code),
        volts: Voltage::from_si(volts),
        current: Current::from_si(BALLAST_AMPS),
        lamp,
    })
}

/// A barretter of the catalogue.
fn catalogued(asked: &str, within: Option<f64>, at: &Cursor<'_>) -> Option<DropperKind> {
    let Some(found) = barretter(asked) else {
        let known = ballasts().iter().filter(|t| matches!(t.kind, BallastKind::Barretter { .. }));
        let known: Vec<&str> = known.map(|t| t.name.as_str()).collect();
        return at.refuse(
            format!("no barretter {} in the catalogue", quoted(asked)),
            format!(
                "write its figures, `current: 300 mA` and `holds: {{ from: 95 V, to: 165 V }}`, or one of {}; a ballast such as K49 is `kind: ballast`",
                known.join(", ")
            ),
        );
    };
    let BallastKind::Barretter { holds: (from, to) } = found.kind else {
        return None;
    };
    Some(DropperKind::Barretter {
        name: Some(found.name.clone()),
        current: Current::from_si(found.amps),
        holds: (Voltage::from_si(from), Voltage::from_si(to)),
        within,
    })
}

keys! {
    /// Range of a barretter
    pub struct Holds {
        /// Lowest volts
        from: Volts,
        /// Highest volts
        to: Volts,
    }
    => (Voltage, Voltage): |Holds { from, to }, at| {
        if from >= to || to.si() > WIDEST * from.si() {
            return at.refuse(
                "no barretter holds its current in such a range",
                "write the voltage printed on it, the lower first: `holds: { from: 95 V, to: 165 V }`",
            );
        }
        Some((from, to))
    };
}

form! {
    /// "6 ft", "1.8 m" or "70 in" as metres
    CordLength -> f64 as Text,
    |at| at.parsed(
        |text| metres(text).filter(|m| CORD_M.contains(m)),
        "is not the length of a cord, 0.3 m to 10 m",
        "write `length: 6 ft` or `length: 1.8 m`",
    )
}

fn metres(text: &str) -> Option<f64> {
    let units = [
        ("feet", 0.3048),
        ("foot", 0.3048),
        ("ft", 0.3048),
        ("in", 0.0254),
        ("cm", 0.01),
        ("m", 1.0),
    ];
    units.iter().find_map(|(unit, metres)| {
        let number = text.trim().strip_suffix(unit)?.trim().replace(',', ".");
        Some(number.parse::<f64>().ok()? * metres)
    })
}
