//! The set's end of the mains side: its transformer, its autotransformer, or its heater string and supply on the line.

use super::frame::Point;
use super::mains::{LIVE, NEUTRAL};
use super::mains_branches::Block;
use super::pen::Anchor::{End, Middle, Start};
use super::pen::{BOLD, Face, PLAIN, Pen, WIRE, line};
use super::symbol::{self, Turns};
use crate::report::figures::volts;
use crate::study::{Caution, HeaterReading, LeadPartReading, PartKind, Plan, Reading};

/// What takes the mains in a set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Set {
    /// A transformer with windings of their own.
    Transformer,
    /// One winding with taps, chassis on its common end.
    Auto,
    /// No transformer: heaters in series and the rectifier, both across the line.
    Line,
}

impl Set {
    /// What a plan's set has.
    pub fn of(plan: &Plan) -> Set {
        let auto = |c: &Caution| matches!(c, Caution::LiveChassis { auto: true, .. });
        if plan.as_designed.heaters.iter().any(|h| h.in_string) {
            Set::Line
        } else if plan.cautions.iter().any(auto) {
            Set::Auto
        } else {
            Set::Transformer
        }
    }

    /// What the lead ends at.
    pub fn noun(self) -> &'static str {
        match self {
            Set::Transformer => "the primary",
            Set::Auto => "the winding",
            Set::Line => "the set",
        }
    }

    /// Draws it with its ends at `x` on both leads. `net` is the live lead's. A transformer with taps has its primary
    /// drawn already.
    pub fn draw(
        self,
        pen: &mut Pen,
        usual: Option<&Reading>,
        (net, back, x, tapped): (&str, &str, f64, bool),
    ) {
        match self {
            Set::Transformer => {
                if !tapped {
                    primary(pen, ((x, LIVE), (x, NEUTRAL)), &[]);
                }
                transformer(pen, usual, x);
            }
            Set::Auto => auto(pen, usual, (x, back), tapped),
            Set::Line => on_the_line(pen, usual, (net, back, x)),
        }
    }

    /// What it is, in words.
    pub fn describe(self, usual: Option<&Reading>, back: &str) -> String {
        match self {
            Set::Transformer => format!(
                "{back} goes straight to the other end of the primary of the set's mains transformer, which has a high-voltage winding and heater windings."
            ),
            Set::Auto => format!(
                "{back} goes straight to the common end of the set's autotransformer, a single winding with taps for the line, the heaters and the high voltage. The chassis is joined to that common end: it is live."
            ),
            Set::Line => {
                let mut text =
                    "The set has no transformer: its heater string lies across the line".to_owned();
                if let Some(usual) = usual {
                    let parts = Parts::of(usual);
                    text += &parts.heaters.words();
                    for (place, dropper) in parts.droppers.iter().enumerate() {
                        text += &format!(
                            " {} {} with {} across it",
                            if place == 0 { "behind" } else { "and" },
                            named(dropper),
                            volts(dropper.volts_v)
                        );
                    }
                    for v in &parts.lamps {
                        let v = volts(*v);
                        text += &format!(", a lamp with {v} across a section of the dropper");
                    }
                    if let Some((v, lamp)) = parts.tap {
                        text += &format!(
                            "; the tapped part of the rectifier's heater, with {}{} across it, stands ahead of it all",
                            volts(v),
                            if lamp { " and a lamp" } else { "" }
                        );
                    }
                    text += "; its supply lies across the line as well";
                    if let Some(v) = parts.plate_v {
                        text += &format!(
                            ", behind a resistor in the plate lead with {} across it",
                            volts(v)
                        );
                    }
                }
                text + &format!(
                    ". {back} goes straight to both. The chassis belongs to that supply: it is live."
                )
            }
        }
    }
}

/// A primary, with taps.
pub(super) fn primary(pen: &mut Pen, ends: (Point, Point), taps: &[Point]) {
    let turns = Turns { count: 8, radius: 8.0, side: -1.0 };
    symbol::winding(pen, "primary", ends, turns, taps, None);
}

/// Volts of the tubes' heaters, beside `at`.
fn heater_volts(pen: &mut Pen, usual: Option<&Reading>, at: Point) {
    let heater = usual.and_then(|u| u.heaters.iter().find(|h| h.feeds_tubes));
    if let Some(heater) = heater {
        pen.text(at, Start, BOLD, &volts(heater.volts_v));
    }
}

/// The transformer beside its primary: core, and a hint of what is on it.
fn transformer(pen: &mut Pen, usual: Option<&Reading>, primary: f64) {
    let core = primary + 16.0;
    symbol::core(pen, (core, LIVE + 18.0), (core, NEUTRAL - 18.0));
    let x = primary + 34.0;
    let turns = |count| Turns { count, radius: 6.5, side: 1.0 };
    let (high, heater) = ((x, 142.0), (x, 206.0));
    let ends = |(x, top): Point, bottom: f64| ((x, top), (x, bottom));
    symbol::winding(
        pen,
        "high-voltage winding",
        ends(high, 194.0),
        turns(4),
        &[(high.0, 168.0)],
        None,
    );
    symbol::winding(pen, "heater winding", ends(heater, 254.0), turns(3), &[], None);
    for y in [142.0, 168.0, 194.0, 206.0, 254.0] {
        pen.mark(line(&[(x, y), (x + 12.0, y)], WIRE));
    }
    let (x, start) = (x + 20.0, Start);
    pen.lines((x, 166.0), start, &[(PLAIN, "high"), (PLAIN, "voltage")]);
    pen.text((x, 228.0), start, PLAIN, "heaters");
    heater_volts(pen, usual, (x, 243.0));
    pen.text((core, NEUTRAL + 26.0), Middle, PLAIN, "mains transformer of the set");
}

/// One winding: from above the end for the high voltage, the line, the heaters, the common end with the chassis.
fn auto(pen: &mut Pen, usual: Option<&Reading>, (x, back): (f64, &str), tapped: bool) {
    // a half circle is 17 high: the line's tap lies two, the heaters' two from the ends
    let (high, heaters) = (LIVE - 34.0, NEUTRAL - 34.0);
    let (top, bottom) = ((x, high), (x, NEUTRAL));
    // where its line taps are the part, those of the heaters and the high voltage are left out
    if !tapped {
        let turns = Turns { count: 10, radius: 8.5, side: -1.0 };
        let taps = [(x, LIVE), (x, heaters)];
        symbol::winding(pen, "tapped winding", (top, bottom), turns, &taps, None);
        let out = x + 44.0;
        for (y, net) in [(high, "high voltage"), (heaters, "heaters")] {
            pen.wire(net, &[(x, y), (out, y)]);
            pen.terminal((out, y));
        }
        let at = out + 9.0;
        pen.lines((at, high + 4.0), Start, &[(PLAIN, "high"), (PLAIN, "voltage")]);
        pen.text((at, heaters - 3.0), Start, PLAIN, "heaters");
        heater_volts(pen, usual, (at, heaters + 12.0));
    }
    let foot = x + 22.0;
    pen.wire(back, &[bottom, (foot, NEUTRAL)]);
    symbol::chassis(pen, (foot, NEUTRAL));
    pen.text((foot + 18.0, NEUTRAL + 18.0), Start, BOLD, "chassis LIVE");
    pen.text((x - 4.0, NEUTRAL + 26.0), End, PLAIN, "autotransformer of the set:");
}

/// What a reading tells of a heater string.
struct Parts<'r> {
    /// The heaters below the droppers.
    heaters: Block,
    /// Volts of the tapped part of the rectifier's heater, ahead of everything, and whether a lamp lies across it.
    tap: Option<(f64, bool)>,
    /// Volts of lamps that lie across a section of a dropper.
    lamps: Vec<f64>,
    /// What stands in series, from the line on.
    droppers: Vec<&'r LeadPartReading>,
    /// Volts across the resistor in the plate lead.
    plate_v: Option<f64>,
}

impl Parts<'_> {
    fn of(usual: &Reading) -> Parts<'_> {
        // nothing is rated of the part that a lamp hangs across, and it stands first
        let is_tap = |h: &&HeaterReading| h.winding.ends_with("-tap") && h.rated_v == 0.0;
        let tap = usual.heaters.first().filter(is_tap);
        let (plate, droppers): (Vec<_>, Vec<_>) = usual
            .droppers
            .iter()
            .filter(|d| {
                !matches!(
                    d.kind,
                    PartKind::InBranch(_) | PartKind::MainsResistor | PartKind::SecondSurge
                )
            })
            .partition(|d| d.kind == PartKind::Surge);
        let rest = usual.heaters.iter().skip(usize::from(tap.is_some()));
        let rest = rest.filter(|h| !h.is_barretter);
        let (beside, rest): (Vec<_>, Vec<_>) = rest.partition(|h| h.lamp_across);
        Parts {
            heaters: Block::of(usual, rest.into_iter()),
            tap: tap.map(|h| (h.volts_v, h.lamp_across)),
            lamps: beside.iter().map(|h| h.volts_v).collect(),
            plate_v: plate.first().map(|d| d.volts_v),
            droppers,
        }
    }

    fn is_barretter(&self) -> bool {
        matches!(self.droppers[..], [one] if one.kind == PartKind::Barretter)
    }

    /// Whether each dropper has room for a symbol of its own.
    fn are_drawn_apart(&self) -> bool {
        self.droppers.len() <= if self.tap.is_some() { 1 } else { 3 }
    }

    /// Height for lamps across a section of the dropper, where there is room for one.
    fn lamp_room(&self) -> f64 {
        let room = self.tap.is_none() && (1..=2).contains(&self.droppers.len());
        if room && !self.lamps.is_empty() { LAMP } else { 0.0 }
    }
}

/// A dropper in the words of a description.
fn named(dropper: &LeadPartReading) -> String {
    match dropper.kind {
        PartKind::Cord(_) => "resistance wire in the line cord".to_owned(),
        PartKind::Resistor if dropper.name == "heater dropper" => "a dropper".to_owned(),
        PartKind::Diode => "a diode and its resistor".to_owned(),
        _ => format!("the {}", dropper.name),
    }
}

/// The same in a word.
fn word(kind: PartKind) -> &'static str {
    match kind {
        PartKind::Cord(_) => "in cord",
        PartKind::Ballast => "ballast",
        PartKind::Barretter => "barretter",
        PartKind::Capacitor => "capacitor",
        PartKind::Diode => "diode, R",
        PartKind::Ahead => "resistor",
        PartKind::Resistor
        | PartKind::InBranch(_)
        | PartKind::Surge
        | PartKind::SecondSurge
        | PartKind::InLead
        | PartKind::MainsResistor => "dropper",
    }
}

/// The symbol of a dropper.
fn dropper(pen: &mut Pen, kind: PartKind, (a, b): (Point, Point), small: bool) {
    match kind {
        PartKind::Ballast => symbol::bulb(pen, "ballast", a, b),
        PartKind::Barretter => symbol::bulb(pen, "barretter", a, b),
        PartKind::Capacitor => symbol::film(pen, a, b),
        PartKind::Diode => {
            let middle = (a.0, 0.5 * (a.1 + b.1));
            symbol::small_resistor(pen, a, middle);
            // it passes the half wave that the rectifier of B+ does not
            symbol::diode(pen, b, middle, symbol::Valve::Dry);
        }
        _ if small => symbol::small_resistor(pen, a, b),
        _ => symbol::resistor(pen, a, b),
    }
}

/// Larger than anything beside it.
const LOUD: Face = Face { size: 14.0, bold: true };

/// The heater string from lead to lead, and beside it the supply with the chassis.
fn on_the_line(pen: &mut Pen, usual: Option<&Reading>, (net, back, x): (&str, &str, f64)) {
    let parts = usual.map(Parts::of);
    let beside = x + 12.0;
    let mut net = net;
    let mut y = LIVE;
    if let Some((v, lamp)) = parts.as_ref().and_then(|p| p.tap) {
        let next = LIVE + 42.0;
        symbol::heaters(pen, (x, y), (x, next));
        if lamp {
            lamp_beside(pen, (x, y, next), (net, "heater tap"));
            pen.text((x - 6.0, LIVE - 9.0), Middle, PLAIN, &format!("tap, lamp {}", volts(v)));
        } else {
            pen.text((x - 11.0, LIVE + 25.0), End, PLAIN, "tap");
        }
        (net, y) = ("heater tap", next);
    }
    // the supply hangs on the line, or on the tap of the rectifier's heater
    let (left, right, foot) = (x + 66.0, x + 116.0, NEUTRAL - 36.0);
    let (roof, feed) = (LIVE + 62.0, x + 80.0);
    // the longest of the names stands beside it
    let barretter = parts.as_ref().is_some_and(Parts::is_barretter);
    let top = if barretter { x + 94.0 } else { feed };
    if let Some(v) = parts.as_ref().and_then(|p| p.plate_v) {
        let (a, b) = ((x + 18.0, y), (x + 64.0, y));
        pen.wire(net, &[(x, y), a]);
        symbol::resistor(pen, a, b);
        pen.wire("plate lead", &[b, (top, y), (top, roof)]);
        let at = (x + 49.0, y - 25.0);
        pen.lines(at, Middle, &[(PLAIN, "plate lead"), (BOLD, &volts(v))]);
    } else {
        pen.wire(net, &[(x, y), (top, y), (top, roof)]);
    }
    pen.joint((x, y));
    let corners = [(left, roof), (right, roof), (right, foot), (left, foot)];
    let ground = x + 104.0;
    let pins = [(top, roof), (feed, foot), (ground, foot)];
    pen.part("supply", &pins, &[super::pen::outline(&corners)]);
    let middle = 0.5 * (left + right);
    pen.lines((middle, roof + 15.0), Middle, &[(PLAIN, "supply"), (PLAIN, "B+")]);
    pen.wire(back, &[(feed, foot), (feed, NEUTRAL), (x, NEUTRAL)]);
    pen.joint((x, NEUTRAL));
    let hang = (ground, NEUTRAL - 20.0);
    pen.wire("chassis", &[(ground, foot), hang]);
    symbol::chassis(pen, hang);
    let above = y;
    y = droppers(pen, parts.as_ref(), (x, y));
    let mut net = if y > above { BELOW } else { net };
    if let Some(parts) = parts.as_ref().filter(|p| p.lamp_room() > 0.0) {
        let next = y + LAMP;
        symbol::small_resistor(pen, (x, y), (x, next));
        lamp_beside(pen, (x, y, next), (net, "below the lamp"));
        let lamp = match parts.lamps.len() {
            1 => "lamp".to_owned(),
            many => format!("{many} lamps"),
        };
        let words = [(PLAIN, lamp), (BOLD, volts(parts.lamps.iter().sum()))];
        pen.lines((beside, y + 14.0), Start, &words);
        (net, y) = ("below the lamp", next);
    }
    match &parts {
        Some(parts) => parts.heaters.draw(pen, (x, y), NEUTRAL, (net, back)),
        None => {
            symbol::heaters(pen, (x, y), (x, NEUTRAL));
            let at = (beside, 0.5 * (y + NEUTRAL) - 3.0);
            pen.text(at, Start, PLAIN, "heaters");
        }
    }
    let y = NEUTRAL + 26.0;
    pen.text((x + 122.0, y), End, LOUD, "chassis LIVE");
    pen.text((x + 14.0, y), End, PLAIN, "no transformer:");
}

/// A lamp beside what stands at `x` from `top` down to `foot`, with the nets of both ends.
fn lamp_beside(pen: &mut Pen, (x, top, foot): (f64, f64, f64), (above, below): (&str, &str)) {
    let at = x - 24.0;
    symbol::small_lamp(pen, (at, top), (at, foot));
    pen.wire(above, &[(at, top), (x, top)]);
    pen.wire(below, &[(at, foot), (x, foot)]);
    pen.joint((x, top));
    pen.joint((x, foot));
}

/// The droppers from `from` down, with their names and volts; where the heaters begin.
fn droppers(pen: &mut Pen, parts: Option<&Parts<'_>>, (x, mut y): Point) -> f64 {
    let beside = x + 12.0;
    let Some(parts) = parts.filter(|p| !p.droppers.is_empty()) else {
        return y;
    };
    let lead = 4.0;
    match &parts.droppers[..] {
        [one] => {
            let next = y + 0.5 * (NEUTRAL - y - parts.lamp_room());
            dropper(pen, one.kind, ((x, y), (x, next)), false);
            let at = (beside + if is_round(one.kind) { 6.0 } else { 0.0 }, 0.5 * (y + next) + 3.0);
            pen.lines(at, Start, &[(PLAIN, word(one.kind)), (BOLD, &volts(one.volts_v))]);
            y = next;
        }
        several if parts.are_drawn_apart() => {
            let room = NEUTRAL - HEATERS - lead - parts.lamp_room() - y;
            let step = room / several.len() as f64;
            for (place, one) in several.iter().enumerate() {
                let next = y + step;
                let joint = if place + 1 < several.len() { JOINT } else { 0.0 };
                dropper(pen, one.kind, ((x, y), (x, next - joint)), true);
                if joint > 0.0 {
                    pen.wire("between droppers", &[(x, next - joint), (x, next)]);
                }
                let at = (beside + 6.0, 0.5 * (y + next) + 4.0);
                pen.text(at, Start, BOLD, &volts(one.volts_v));
                y = next;
            }
        }
        several => {
            let next = y + 0.5 * (NEUTRAL - y);
            symbol::resistor(pen, (x, y), (x, next));
            let at = (beside, 0.5 * (y + next) + 3.0);
            pen.lines(
                at,
                Start,
                &[(PLAIN, format!("{} droppers", several.len())), (PLAIN, "in series".to_owned())],
            );
            y = next;
        }
    }
    pen.wire(BELOW, &[(x, y), (x, y + lead)]);
    y + lead
}

/// What the wire from the droppers to the heaters is called.
const BELOW: &str = "below the dropper";
/// Length of the wire behind each of several droppers.
const JOINT: f64 = 3.0;
/// Height that the heaters keep below several droppers.
const HEATERS: f64 = 44.0;
/// Height of a lamp beside a section of the dropper.
const LAMP: f64 = 34.0;

fn is_round(kind: PartKind) -> bool {
    matches!(kind, PartKind::Ballast | PartKind::Barretter)
}
