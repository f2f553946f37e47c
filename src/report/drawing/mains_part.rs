//! What a choice puts between the switch and the set's primary.

use super::frame::Point;
use super::mains::{
    HEIGHT, LIVE, NEUTRAL, NOTHING as NARROWER, PART_FROM, PART_MID, PART_TO, PRIMARY,
    STEP_PRIMARY, STEP_SECONDARY,
};
use super::mains_set::{Set, primary};
use super::pen::Anchor::{End, Middle, Start};
use super::pen::{BOLD, LINE, PLAIN, Pen, SIZE, solid};
use super::symbol::{self, Turns};
use super::text::{clean, wrap};
use crate::adaptation::{Bought, Method};
use crate::report::figures::{amps, nameplate_volts, volts, watts};
use crate::study::{Choice, LeadPartReading, Plan};

/// What was drawn.
pub(super) struct Words {
    /// The part and its connection, for who cannot see them.
    pub said: String,
    /// Base line of the last line of text above the part.
    pub above: f64,
    /// True if the set's primary is drawn with taps.
    pub tapped: bool,
    /// True if the part is named in the drawing already, or there is none.
    pub worded: bool,
    /// Lower edge of the drawing.
    pub foot: f64,
}

impl Words {
    fn new(said: String, above: f64) -> Words {
        Words { said, above, worded: false, foot: HEIGHT, tapped: false }
    }
}

/// Where a part is drawn, and which of the choice's parts in the lead it is.
#[derive(Clone, Copy)]
struct At {
    /// Further right than a part straight behind the switch.
    dx: f64,
    /// Name of the wire that feeds it, and of the other.
    fed: &'static str,
    back: &'static str,
    /// How many parts stand ahead of it.
    ahead: usize,
    /// How far its wire ends short of the primary.
    short: f64,
}

const BEHIND_SWITCH: At =
    At { dx: 0.0, fed: "switched live", back: "neutral", ahead: 0, short: 0.0 };
const BEHIND_STEP: At =
    At { dx: super::mains::BEHIND, fed: "stepped live", back: "set return", ahead: 2, short: 0.0 };
/// How far ahead of the primary the wire to a tap turns down.
const DROP: f64 = 26.0;

impl At {
    fn x(self, x: f64) -> f64 {
        x + self.dx
    }
    /// Both ends of the set.
    fn set(self) -> (Point, Point) {
        ((self.x(PRIMARY), LIVE), (self.x(PRIMARY), NEUTRAL))
    }
    /// Where the live wire of what is drawn there ends.
    fn end(self) -> Point {
        (self.x(PRIMARY) - self.short, LIVE)
    }
    fn readings(self, choice: &Choice) -> &[LeadPartReading] {
        let all = choice.day.as_ref().map_or(&[][..], |d| d.usual.lead_parts.as_slice());
        all.get(self.ahead..).unwrap_or_default()
    }
}

/// A part in words, what the set is called, and where the part is drawn.
type Named<'a> = (&'a str, &'a str, At);

/// Draws the part and its wires up to the set; a primary only where its taps are the part.
/// `short` is how far ahead of the set its wire ends.
pub(super) fn draw(pen: &mut Pen, plan: &Plan, choice: &Choice, (set, short): (Set, f64)) -> Words {
    let part = choice.part.as_ref().map_or("the part".to_owned(), |p| clean(&p.to_string()));
    let noun = set.noun();
    if choice.method.facts().steps {
        return step(pen, plan, choice, (&part, noun, short));
    }
    let second = choice.behind.as_ref().and_then(|b| Some((b.method?, b.part.as_ref()?)));
    if let (Method::TapAndPart, Some((method, second))) = (choice.method, second) {
        let at = At { short: DROP - super::mains::BEHIND, ..BEHIND_SWITCH };
        let part = clean(&second.to_string());
        let ahead = draw_at(pen, plan, choice, (method, &part, noun), at);
        let volts = choice.part_value.unwrap_or(plan.set.design_line_v);
        let taps = At { dx: super::mains::BEHIND, ..BEHIND_SWITCH };
        let (used, free) = primary_with_taps(pen, plan, volts, (taps, "set live", at.end()));
        let said = format!("{}, live to the {used}, the {free}", ahead.said);
        return Words { said, tapped: true, ..ahead };
    }
    let at = At { short, ..BEHIND_SWITCH };
    draw_at(pen, plan, choice, (choice.method, &part, noun), at)
}

fn draw_at(
    pen: &mut Pen,
    plan: &Plan,
    choice: &Choice,
    (method, part, noun): (Method, &str, &str),
    at: At,
) -> Words {
    let symbol: fn(&mut Pen, Point, Point) = match method {
        Method::AsIs => {
            pen.wire("switched live", &[(215.0, LIVE), (at.end().0 - NARROWER, LIVE)]);
            let said = format!("nothing else, and then {noun}");
            return Words { worded: true, ..Words::new(said, LIVE) };
        }
        Method::Tap => return tap(pen, plan, choice, (part, at)),
        Method::TakeOut => return straight_through(pen, (part, part, noun), at),
        Method::HeaterDropper => {
            let below = format!("fitted: {part}");
            let said = format!("fitted inside it: {part}");
            return straight_through(pen, (&below, &said, noun), at);
        }
        Method::Variac => return variac(pen, choice, (part, noun), at),
        Method::BuckingOutlet | Method::BuckingSet | Method::BoostOutlet | Method::BoostSet => {
            return small(pen, choice, method, (part, noun, at));
        }
        // drawn above, with what stands behind them
        Method::TapAndPart | Method::StepDown | Method::StepUp | Method::SeriesResistor => {
            symbol::resistor
        }
        Method::Thermistor => symbol::thermistor,
        Method::Lamp => symbol::lamp,
    };
    let middle = at.x(PART_MID);
    let (a, b) = ((middle - 45.0, LIVE), (middle + 45.0, LIVE));
    pen.wire(at.fed, &[(at.x(PART_FROM), LIVE), a]);
    pen.wire("set live", &[b, at.end()]);
    symbol(pen, a, b);
    let reading = at.readings(choice).first();
    let mut said = format!("{part}, in series");
    if let Some(r) = reading {
        let across = volts(r.volts_v);
        let words = [(BOLD, format!("{across} across it")), (PLAIN, watts(r.power_w))];
        pen.lines((middle, LIVE + 32.0), Middle, &words);
        said.push_str(&format!(", with {across} across it and {} of heat", watts(r.power_w)));
    }
    Words::new(format!("{said}; and then {noun}"), LIVE - 25.0)
}

/// Nothing is fitted in the lead, which goes straight through: what is done stands beneath.
fn straight_through(pen: &mut Pen, (below, said, noun): (&str, &str, &str), at: At) -> Words {
    let (left, right) = (20.0, pen.width - 20.0);
    pen.wire("switched live", &[(215.0, LIVE), (at.end().0 - NARROWER, LIVE)]);
    let mut y = NEUTRAL + 34.0;
    for line in wrap(below, right - left, SIZE, 4) {
        y += LINE;
        pen.user((left, y), Start, PLAIN, right - left, &line);
    }
    Words {
        worded: true,
        foot: y + 6.0,
        ..Words::new(format!("nothing else, and then {noun}; {said}"), LIVE)
    }
}

/// The set on another tap of its primary.
fn tap(pen: &mut Pen, plan: &Plan, choice: &Choice, (part, at): (&str, At)) -> Words {
    let second = choice.behind.as_ref().and_then(|b| b.part_value);
    let wanted = second.or(choice.part_value).unwrap_or(plan.set.design_line_v);
    let from = (at.x(PART_FROM), LIVE);
    let (used, free) = primary_with_taps(pen, plan, wanted, (at, at.fed, from));
    let said = format!("nothing else; {part}: live to the {used}, the {free}");
    Words { tapped: true, ..Words::new(said, LIVE - 25.0) }
}

/// The set's primary with the tap of its design line and the one to move to, fed by the wire `net` that has come to `from`:
/// the names of the used and the free one. The higher one is drawn as its end.
fn primary_with_taps(
    pen: &mut Pen,
    plan: &Plan,
    wanted: f64,
    (at, net, from): (At, &str, Point),
) -> (String, String) {
    let now = plan.set.design_line_v;
    let (set, x) = (at.set(), at.x(PRIMARY));
    let ratio = (now / wanted).min(wanted / now).clamp(0.55, 0.75);
    // where two half circles meet, one of every tenth of the winding
    let tenths = (10.0 * (1.0 - ratio)).round();
    let lower = (x, LIVE + 0.1 * tenths * (NEUTRAL - LIVE));
    primary(pen, set, &[lower]);
    let (used, free) = (
        format!("{} tap", nameplate_volts(wanted)),
        format!("{} tap, left free", nameplate_volts(now)),
    );
    let drop = x - DROP;
    let above = (x, LIVE - 12.0);
    let beside = (drop - 8.0, lower.1 + 4.0);
    if wanted >= now {
        pen.wire(net, &[from, set.0]);
        pen.wire("free tap", &[lower, (drop, lower.1)]);
        pen.terminal((drop, lower.1));
        pen.text(above, Middle, BOLD, &used);
        pen.text(beside, End, PLAIN, &free);
    } else {
        pen.wire(net, &[from, (drop, LIVE), (drop, lower.1), lower]);
        pen.terminal(set.0);
        pen.text(above, Middle, PLAIN, &free);
        pen.text(beside, End, BOLD, &used);
    }
    (used, free)
}

/// An autotransformer with a movable tap: the outlet across part or all of it, the set on the slider.
fn variac(pen: &mut Pen, choice: &Choice, (part, noun): (&str, &str), at: At) -> Words {
    let x = PART_MID;
    let down = choice.day.as_ref().is_none_or(|d| d.usual.set_v <= d.usual.outlet_v);
    let (top, bottom) = ((x, LIVE), (x, NEUTRAL));
    let tap = (x, LIVE + 48.0);
    let slider = (x + 9.0, LIVE + if down { 56.0 } else { 24.0 });
    let turns = Turns { count: 8, radius: 8.0, side: -1.0 };
    let pins: &[Point] = if down { &[slider] } else { &[tap, slider] };
    symbol::winding(pen, "autotransformer", (top, bottom), turns, pins, None);
    symbol::core(pen, (x - 12.0, LIVE + 66.0), (x - 12.0, NEUTRAL - 18.0));
    if down {
        pen.wire("switched live", &[(PART_FROM, LIVE), top]);
    } else {
        let from = x - 40.0;
        pen.wire("switched live", &[(PART_FROM, LIVE), (from, LIVE), (from, tap.1), tap]);
    }
    pen.joint(bottom);
    let (sx, sy) = slider;
    pen.mark(solid(&[(sx, sy), (sx + 10.0, sy - 4.0), (sx + 10.0, sy + 4.0)]));
    let to = x + 40.0;
    pen.wire("set live", &[slider, (to, sy), (to, LIVE), at.end()]);
    pen.text((to - 16.0, sy + 20.0), Start, PLAIN, "slider");
    Words::new(
        format!(
            "{part}: its winding lies between live and neutral, and its slider feeds {noun}; it isolates nothing"
        ),
        LIVE - 25.0,
    )
}

/// A transformer with separate windings, and what is fitted behind it. No wire joins its two sides.
fn step(
    pen: &mut Pen,
    plan: &Plan,
    choice: &Choice,
    (part, noun, short): (&str, &str, f64),
) -> Words {
    // 8 half circles of 17
    let turns = |side| Turns { count: 8, radius: 8.5, side };
    let ends = |x: f64| ((x, LIVE), (x, NEUTRAL));
    symbol::winding(pen, "step primary", ends(STEP_PRIMARY), turns(-1.0), &[], None);
    symbol::winding(pen, "step secondary", ends(STEP_SECONDARY), turns(1.0), &[], None);
    let core = 0.5 * (STEP_PRIMARY + STEP_SECONDARY);
    symbol::core(pen, (core, LIVE + 10.0), (core, NEUTRAL - 10.0));
    pen.wire("switched live", &[(PART_FROM, LIVE), (STEP_PRIMARY, LIVE)]);
    let second = choice.behind.as_ref().and_then(|b| Some((b.method?, b.part.as_ref()?)));
    let at = At { short, ..if second.is_some() { BEHIND_STEP } else { BEHIND_SWITCH } };
    let (top, bottom) = (at.end(), at.set().1);
    pen.wire("set return", &[(STEP_SECONDARY, NEUTRAL), bottom]);
    let mut said = format!(
        "{}: separate windings, the primary between live and neutral, the secondary joined to neither",
        choice.part.as_ref().map_or_else(|| part.to_owned(), Bought::named)
    );
    if let [secondary, primary, ..] = BEHIND_SWITCH.readings(choice) {
        let (gives, takes) = (amps(secondary.current_a), amps(primary.current_a));
        said.push_str(&format!(
            "; it takes {takes} from the outlet and gives {gives} at {}",
            volts(secondary.volts_v)
        ));
        let words = [(BOLD, volts(secondary.volts_v)), (PLAIN, gives)];
        pen.lines((STEP_SECONDARY + 16.0, LIVE + 60.0), Start, &words);
    }
    let Some((method, second)) = second else {
        pen.wire("set live", &[(STEP_SECONDARY, LIVE), top]);
        return Words::new(format!("{said}; and then {noun}"), LIVE - 25.0);
    };
    pen.wire(at.fed, &[(STEP_SECONDARY, LIVE), (at.x(PART_FROM), LIVE)]);
    let part = clean(&second.to_string());
    let words = draw_at(pen, plan, choice, (method, &part, noun), at);
    Words { said: format!("{said}; {}", words.said), above: LIVE - 40.0, ..words }
}

/// A small transformer whose secondary stands in the live lead.
///
/// The primary's dot lies on its live end. Opposing, the secondary's dot lies on its end towards the outlet: its volts from
/// dot to end, in phase with the primary's, are lost on the way to the set, `V_set = V_outlet − V_secondary`. Aiding, the
/// dot lies towards the set, and they are added.
fn small(pen: &mut Pen, choice: &Choice, method: Method, (part, noun, place): Named<'_>) -> Words {
    let on_outlet = matches!(method, Method::BuckingOutlet | Method::BoostOutlet);
    let aids = method.facts().boosts;
    let kind = if aids { "boosting" } else { "bucking" };
    let middle = place.x(PART_MID);
    let (left, right) = (middle - 42.0, middle + 42.0);
    let low = LIVE + 36.0;
    let turns = |count, side| Turns { count, radius: 7.0, side };
    let dot = Some((if aids { right - 8.0 } else { left + 8.0 }, LIVE - 9.0));
    let ends = ((left, LIVE), (right, LIVE));
    symbol::winding(pen, &format!("{kind} secondary"), ends, turns(4, -1.0), &[], dot);
    symbol::core(pen, (left + 6.0, LIVE + 18.0), (right - 6.0, LIVE + 18.0));
    let live_end = if on_outlet { left } else { right };
    let dot = live_end + if on_outlet { 8.0 } else { -8.0 };
    let ends = ((left, low), (right, low));
    let dot = Some((dot, low + 10.0));
    symbol::winding(pen, &format!("{kind} primary"), ends, turns(5, 1.0), &[], dot);
    let (before, after) = (place.x(PART_FROM) + 20.0, place.x(PART_TO));
    pen.wire(place.fed, &[(place.x(PART_FROM), LIVE), (left, LIVE)]);
    pen.wire("set live", &[(right, LIVE), place.end()]);
    if on_outlet {
        pen.wire(place.fed, &[(before, LIVE), (before, low), (left, low)]);
        pen.joint((before, LIVE));
        pen.wire(place.back, &[(right, low), (after, low), (after, NEUTRAL)]);
        pen.joint((after, NEUTRAL));
    } else {
        pen.wire("set live", &[(after, LIVE), (after, low), (right, low)]);
        pen.joint((after, LIVE));
        pen.wire(place.back, &[(left, low), (before, low), (before, NEUTRAL)]);
        pen.joint((before, NEUTRAL));
    }
    let where_to = if on_outlet {
        "across the outlet, ahead of the secondary"
    } else {
        "across the set, behind the secondary"
    };
    let (does, dotted) = if aids { ("aids", "set") } else { ("opposes", "outlet") };
    let mut said = format!(
        "the secondary of the small transformer ({part}), connected so that it {does}: its dotted end is towards \
         the {dotted}; its primary lies {where_to}, with its dotted end on the live side"
    );
    let mut words = Vec::new();
    if let [secondary, primary, ..] = place.readings(choice) {
        let (off, across) = (volts(secondary.volts_v), volts(primary.volts_v));
        let at = (middle, LIVE - 18.0);
        let moves = if aids { format!("adds {off}") } else { format!("takes {off} off") };
        let text = format!("{moves}, {}", amps(secondary.current_a));
        pen.text(at, Middle, BOLD, &text);
        words.push((BOLD, format!("primary {across}")));
        said.push_str(&format!(
            ". The secondary {moves}; the primary gets {across} and {}",
            amps(primary.current_a)
        ));
    } else {
        words.push((PLAIN, "primary".into()));
    }
    words.push((PLAIN, "dots: like ends".into()));
    let mid = 0.5 * (before + after);
    pen.lines((mid, low + 34.0), Middle, &words);
    Words::new(format!("{said}; and then {noun}"), LIVE - 40.0)
}
