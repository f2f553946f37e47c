//! Resistances to expect with the tubes in, power off, everything cold: solved on the set's own network.

use super::super::StudyError;
use super::super::reading::Reading;
use super::super::spread::TWO_U;
use crate::circuit::{Network, Node, REFERENCE};
use crate::quantity::{Quantity, Resistance, show_plain};
use crate::receiver::{Model, Points, ReceiverError, Section, Uncertain, resting};
use serde::Serialize;

/// What a point is, for the words about a reading that is off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ColdKind {
    /// Copper of the primary, at the plug.
    Primary,
    /// Plug to chassis.
    Insulation,
    /// Copper of the high-voltage winding.
    HighVoltage,
    /// A heater winding with what hangs on it.
    Heaters,
    /// A coil or resistor of the filter.
    Filter,
    /// A supply point to chassis.
    Supply,
    /// A divider's tap or arm.
    Divider,
    /// A cathode resistor.
    Cathode,
    /// A plate or screen feed.
    Feed,
}

/// A point for the ohmmeter.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ColdCheck {
    /// What it is.
    pub kind: ColdKind,
    /// Between which points.
    pub between: String,
    /// Resistance to expect, Ω; `None`: no path, as far as the profile tells.
    pub expected_ohms: Option<f64>,
    /// Lowest of a sound set, Ω.
    pub least_ohms: f64,
    /// Highest of a sound set, Ω.
    pub most_ohms: f64,
    /// True if a value that the profile does not state stands behind it.
    pub assumed: bool,
}

/// A filter capacitor to be tested.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CapacitorTest {
    /// First, second, ...
    pub name: String,
    /// Marked working volts, where known.
    pub rated_v: Option<f64>,
    /// Volts at work on the target line.
    pub works_at_v: f64,
    /// Leakage at rest that is still good with plain foil, A.
    pub plain_a: f64,
    /// The same with etched foil, A.
    pub etched_a: f64,
}

/// Leakage at rest that is borne, A per farad and volt (0.15 and 0.5 µA per µF and volt, plain and etched foil;
/// common practice, no source).
const LEAKAGE: (f64, f64) = (0.15, 0.5);

/// What the meter and its leads may be off below, Ω: a reading is no better than that.
const LEADS_OHMS: f64 = 0.3;
/// The meter on ohms, as a share (the accuracy makers state for handheld meters).
const METER: f64 = 0.01;
/// A change of a reading that counts, as a share.
const COUNTS: f64 = 1e-3;

/// Tests of the filter capacitors that work as `reading` says.
pub(super) fn capacitors(reading: &Reading, farads: &[f64]) -> Vec<CapacitorTest> {
    let all = reading.capacitors.iter().zip(farads);
    all.map(|(c, farads)| {
        let volts = c.rated_v.unwrap_or(c.volts_v);
        CapacitorTest {
            name: c.name.clone(),
            rated_v: c.rated_v,
            works_at_v: c.volts_v,
            plain_a: LEAKAGE.0 * farads * volts,
            etched_a: LEAKAGE.1 * farads * volts,
        }
    })
    .collect()
}

/// Every resistance, with its normal range: twice the standard uncertainty, and never beyond all limits together.
pub(super) fn checks(model: &Model, uncertain: &[Uncertain]) -> Result<Vec<ColdCheck>, StudyError> {
    let (net, at) = resting(model).map_err(StudyError::Receiver)?;
    let points = points(model, &at);
    let value =
        |net: &Network, p: &Point| p.ends.and_then(|(a, b)| net.resistance(a, b, &at.leakage));
    let expected: Vec<Option<f64>> = points.iter().map(|p| value(&net, p)).collect();
    let mut spreads = vec![(0.0, 0.0, false); points.len()];
    for &Uncertain { parameter, spread, assumed, .. } in uncertain {
        let varied = |factor: f64| -> Result<Network, ReceiverError> {
            resting(&model.scaled(parameter, factor)).map(|(net, _)| net)
        };
        let (up, down) = (varied(1.0 + spread)?, varied((1.0 - spread).max(0.1))?);
        let rows = points.iter().zip(&expected).zip(&mut spreads);
        for ((point, expected), (squares, sum, doubtful)) in rows {
            let (Some(a), Some(b), Some(ohms)) = (value(&up, point), value(&down, point), expected)
            else {
                continue;
            };
            let change = 0.5 * (a - b).abs();
            *squares += change * change;
            *sum += change;
            *doubtful |= assumed && change > COUNTS * ohms;
        }
    }
    let rows = points.into_iter().zip(expected).zip(spreads);
    let check = |((point, expected), (squares, sum, assumed)): (_, (f64, f64, bool))| {
        let (point, expected): (Point, Option<f64>) = (point, expected);
        let ohms = expected.unwrap_or(0.0);
        let meter = METER * ohms;
        let spread = (TWO_U * (squares + meter * meter).sqrt()).min(sum + meter) + LEADS_OHMS;
        ColdCheck {
            kind: point.kind,
            between: point.between,
            expected_ohms: expected,
            least_ohms: (ohms - spread).max(0.0),
            most_ohms: ohms + spread,
            assumed,
        }
    };
    Ok(rows.map(check).collect())
}

/// A point and its nodes; none where no figure can be solved.
struct Point {
    kind: ColdKind,
    between: String,
    ends: Option<(Node, Node)>,
}

/// The points, in the order one meets them from the plug to the tubes.
fn points(model: &Model, at: &Points) -> Vec<Point> {
    let mut list = Vec::new();
    let mut add = |kind, between: &str, ends: Option<(Node, Node)>| {
        list.push(Point { kind, between: between.to_owned(), ends });
    };
    add(ColdKind::Primary, "plug pin to pin, switch on", Some((at.outlet, at.neutral)));
    add(ColdKind::Insulation, "each plug pin to chassis", None);
    let winding = Some(at.high_voltage);
    match (&model.string, model.rectifier.circuit.is_tapped()) {
        (Some(_), _) => {}
        (None, true) => {
            add(ColdKind::HighVoltage, "HV winding, plate to plate", at.outer_ends);
            add(ColdKind::HighVoltage, "HV, each plate to centre tap", winding);
        }
        (None, _) => add(ColdKind::HighVoltage, "HV winding, end to end", winding),
    }
    if let Some(ends) = at.bias_winding {
        add(ColdKind::HighVoltage, "bias winding, end to end", Some(ends));
    }
    if let (Some(second), Some(own)) = (&model.second, &at.second)
        && second.winding.is_some()
    {
        let words = match own.outer_ends {
            Some(_) => "second supply's winding, each plate to centre tap",
            None => "second supply's winding, end to end",
        };
        add(ColdKind::HighVoltage, words, Some(own.high_voltage));
    }
    for (place, (winding, nodes)) in model.windings.iter().zip(&at.windings).enumerate() {
        let name = match &model.string {
            Some(string) if string.barretter == Some(place) => {
                format!("the {}, end to end", winding.name)
            }
            Some(_) => format!("heater of the {}, pin to pin", winding.name),
            None => format!("heater winding {}, end to end", winding.name),
        };
        add(ColdKind::Heaters, &name, Some(*nodes));
    }
    for (i, (coil, (from, to, _))) in model.coils.iter().zip(&at.coils).enumerate() {
        let number = if model.coils.len() > 1 {
            format!(", coil {} of the filter", i + 1)
        } else {
            String::new()
        };
        let name = format!("across the {}{number}", coil.name);
        add(ColdKind::Filter, &name, Some((*from, *to)));
    }
    for (place, (section, ends)) in model.filter.iter().zip(&at.filter).enumerate() {
        if matches!(section, Section::Resistor(..)) {
            let main = model.filters().0.len();
            let name = match place.checked_sub(main) {
                Some(own) => format!("filter resistor, part {} of the second supply", own + 1),
                None => format!("filter resistor, part {} of the filter", place + 1),
            };
            add(ColdKind::Filter, &name, Some(*ends));
        }
    }
    let to_chassis = |node| Some((node, REFERENCE));
    if at.reservoir == at.b_plus {
        let both = "B+, the first filter capacitor's +, to chassis";
        add(ColdKind::Supply, both, to_chassis(at.b_plus));
    } else {
        add(ColdKind::Supply, "B+ to chassis", to_chassis(at.b_plus));
        add(ColdKind::Supply, "first filter capacitor's + to chassis", to_chassis(at.reservoir));
    }
    if let Some(first) = at.capacitors.first()
        && first.negative != REFERENCE
    {
        let ends = Some((first.positive, first.negative));
        add(ColdKind::Supply, "across the first filter capacitor", ends);
    }
    if at.centre != REFERENCE {
        let name = match (&model.string, model.rectifier.circuit.is_tapped()) {
            (None, true) => "HV centre tap to chassis",
            _ => "negative end of the supply to chassis",
        };
        add(ColdKind::Supply, name, to_chassis(at.centre));
    }
    if let Some(own) = &at.second {
        add(ColdKind::Supply, "B2+ to chassis", to_chassis(own.b_plus));
        if own.reservoir != own.b_plus {
            let name = "first capacitor's + of the second supply, to chassis";
            add(ColdKind::Supply, name, to_chassis(own.reservoir));
        }
    }
    for (tap, node) in &at.taps {
        add(ColdKind::Divider, &format!("tap {tap} to chassis"), to_chassis(*node));
    }
    for (divider, nodes) in model.dividers.iter().zip(&at.dividers) {
        for (i, (ohms, ends)) in divider.resistors.iter().zip(nodes.windows(2)).enumerate() {
            let marked = show_plain(Resistance::from_si(*ohms));
            let name = format!("{} arm {}, marked {marked}", divider.name, i + 1);
            add(ColdKind::Divider, &name, Some((ends[0], ends[1])));
        }
    }
    for (tube, nodes) in model.tubes.iter().zip(&at.tubes) {
        let alike = model.tubes.iter().filter(|t| t.label == tube.label).count();
        let name = match alike {
            1 => tube.label.clone(),
            _ => format!("{} (tube {})", tube.label, tube.socket + 1),
        };
        let mut feed = |kind, what: &str, ends: Option<(Node, Node)>| {
            if ends.is_some() {
                add(kind, &format!("{name}, {what}"), ends);
            }
        };
        let cathode = (nodes.cathode != REFERENCE).then_some((nodes.cathode, REFERENCE));
        feed(ColdKind::Cathode, "cathode to chassis", cathode);
        feed(ColdKind::Feed, &format!("plate to {}", tube.plate.from), nodes.plate_feed);
        if let Some(screen) = &tube.screen {
            feed(ColdKind::Feed, &format!("screen to {}", screen.from), nodes.screen_feed);
        }
    }
    merged(list)
}

/// Points between the same two nodes are one measurement with both names.
fn merged(list: Vec<Point>) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::new();
    for point in list {
        let same = |(a, b): (Node, Node), (c, d)| (a, b) == (c, d) || (a, b) == (d, c);
        let earlier =
            kept.iter_mut().find(|k| k.ends.zip(point.ends).is_some_and(|(a, b)| same(a, b)));
        match earlier {
            Some(earlier) => earlier.between += &format!("; {}", point.between),
            None => kept.push(point),
        }
    }
    kept
}
