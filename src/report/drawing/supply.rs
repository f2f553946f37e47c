//! The supply: high-voltage winding, rectifier, filter from left to right, dividers beneath.

use super::divider;
use super::frame::Point;
use super::pen::{Anchor, BOLD, Face, LINE, PLAIN, Pen, THIN, line};
use super::symbol::{self, Turns};
use super::text::clean;
use super::{Drawing, WIDTH};
use crate::catalogue::{Catalogue, Heating};
use crate::report::figures::{
    amps, coil_ohms, henries, nameplate_farads, nameplate_ohms, nameplate_volts, point_volts, volts,
};
use crate::study::{SupplyElement, SupplySketch};

/// Room a capacitor with its values takes along the rails, and a part in a lead.
const CAPACITOR: f64 = 80.0;
const IN_LEAD: f64 = 112.0;
/// Where the elements of the first and of later rows begin, and where those of all rows end.
const FIRST_FROM: f64 = 240.0;
const NEXT_FROM: f64 = 66.0;
const TO: f64 = 636.0;
/// Distance of the rails in the first row and in later ones.
const FIRST_TALL: f64 = 150.0;
const NEXT_TALL: f64 = 120.0;
/// Above the positive or below the negative rail: with a part in it, and without.
const ROOM_FOR_PART: f64 = 62.0;
const ROOM_FOR_VOLTS: f64 = 36.0;

/// The supply of a set with its solved voltages. `prefix` makes the drawing's ids unique in a page.
pub fn supply(sketch: &SupplySketch, prefix: &str) -> Drawing {
    let mut pen = Pen::default();
    let mut state = Rails::default();
    let mut top = 60.0;
    let rows = rows(&sketch.elements);
    let last = rows.len().saturating_sub(1);
    for (i, row) in rows.iter().enumerate() {
        top = state.row(&mut pen, sketch, row, top, (i == 0, i == last));
    }
    if !sketch.dividers.is_empty() {
        pen.mark(line(&[(20.0, top), (WIDTH - 20.0, top)], THIN));
        top = divider::draw(&mut pen, top + 8.0, &sketch.dividers);
    }
    pen.finish(
        prefix,
        top,
        "Supply (DC volts against chassis on the usual line)".to_owned(),
        describe(sketch),
    )
}

fn room(element: &SupplyElement) -> f64 {
    match element {
        SupplyElement::Capacitor { .. } => CAPACITOR,
        _ => IN_LEAD,
    }
}

/// Elements in rows, as many as a row takes.
fn rows(elements: &[SupplyElement]) -> Vec<Vec<&SupplyElement>> {
    let mut rows = vec![Vec::new()];
    let mut left = TO - FIRST_FROM;
    for element in elements {
        if left < room(element) {
            rows.push(Vec::new());
            left = TO - NEXT_FROM;
        }
        left -= room(element);
        if let Some(row) = rows.last_mut() {
            row.push(element);
        }
    }
    rows
}

/// True for a part in the negative lead, false for one in the positive, nothing for a capacitor.
fn negative(element: &SupplyElement) -> Option<bool> {
    match element {
        SupplyElement::Capacitor { .. } => None,
        SupplyElement::Coil {
            in_negative_lead, ..
        }
        | SupplyElement::Resistor {
            in_negative_lead, ..
        } => Some(*in_negative_lead),
    }
}

fn lead(negative: bool) -> &'static str {
    if negative { "negative" } else { "positive" }
}

/// The two rails as they are being drawn: height, how far they have come, and how many parts lie behind.
#[derive(Default)]
struct Rails {
    high: f64,
    low: f64,
    at: [f64; 2],
    behind: [usize; 2],
    broken: usize,
}

impl Rails {
    fn y(&self, negative: bool) -> f64 {
        if negative { self.low } else { self.high }
    }

    /// A rail up to `x`.
    fn run(&mut self, pen: &mut Pen, negative: bool, x: f64) {
        let (rail, y) = (usize::from(negative), self.y(negative));
        let net = format!("{}{}", lead(negative), self.behind[rail]);
        pen.wire(&net, &[(self.at[rail], y), (x, y)]);
        self.at[rail] = x;
    }

    /// Draws a row from `top` on; returns its lower edge.
    fn row(
        &mut self,
        pen: &mut Pen,
        sketch: &SupplySketch,
        row: &[&SupplyElement],
        top: f64,
        (first, last): (bool, bool),
    ) -> f64 {
        let holds = |lead: bool| row.iter().any(|e| negative(e) == Some(lead));
        let needs = |part: bool| if part { ROOM_FOR_PART } else { ROOM_FOR_VOLTS };
        self.high = top + needs(holds(false));
        self.low = self.high + if first { FIRST_TALL } else { NEXT_TALL };
        let from = if first {
            self.at = source(pen, sketch, self.high, self.low);
            FIRST_FROM
        } else {
            self.at = [40.0, 40.0];
            NEXT_FROM
        };
        let wanted: f64 = row.iter().map(|e| room(e)).sum();
        let spare = (TO - from - wanted).max(0.0) / row.len().max(1) as f64;
        let mut x = from;
        for element in row {
            let wide = room(element) + spare;
            self.element(pen, element, x + wide / 2.0);
            x += wide;
        }
        for negative in [false, true] {
            self.run(pen, negative, TO + 14.0);
        }
        if !first {
            self.ends(pen, 40.0, Anchor::End);
        }
        if last {
            self.b_plus(pen, sketch.b_plus_v);
        } else {
            self.broken += 1;
            self.ends(pen, TO + 14.0, Anchor::Start);
        }
        let foot = if last {
            ROOM_FOR_VOLTS + 6.0
        } else {
            ROOM_FOR_VOLTS
        };
        self.low + needs(holds(true)).max(foot)
    }

    /// Ends of the rails where a row breaks off or goes on; like names belong together.
    fn ends(&self, pen: &mut Pen, x: f64, anchor: Anchor) {
        let shift = if anchor == Anchor::Start { 9.0 } else { -9.0 };
        for (y, name) in [(self.high, "P"), (self.low, "N")] {
            pen.terminal((x, y));
            let text = format!("{name}{}", self.broken);
            pen.text((x + shift, y + 4.0), anchor, BOLD, &text);
        }
    }

    fn b_plus(&self, pen: &mut Pen, b_plus_v: f64) {
        let x = TO + 14.0;
        pen.terminal((x, self.high));
        let words = [(PLAIN, "B+".to_owned()), (BOLD, point_volts(b_plus_v))];
        pen.lines((x + 9.0, self.high - 3.0), Anchor::Start, &words);
        symbol::chassis(pen, (x, self.low));
        pen.text((x + 9.0, self.low + 1.0), Anchor::Start, PLAIN, "chassis");
    }

    fn element(&mut self, pen: &mut Pen, element: &SupplyElement, x: f64) {
        match element {
            SupplyElement::Capacitor {
                farads,
                rated_v,
                positive_v,
                negative_v,
            } => {
                let x = x - 12.0;
                let ends = ((x, self.high), (x, self.low));
                for (negative, v, below) in [(false, *positive_v, -9.0), (true, *negative_v, 18.0)]
                {
                    self.run(pen, negative, x);
                    pen.joint((x, self.y(negative)));
                    let at = (x, self.y(negative) + below);
                    pen.text(at, Anchor::Middle, BOLD, &point_volts(v));
                }
                symbol::electrolytic(pen, ends.0, ends.1);
                let mut words = vec![(PLAIN, nameplate_farads(*farads))];
                words.extend(rated_v.map(|v| (PLAIN, nameplate_volts(v))));
                let mid = 0.5 * (self.high + self.low);
                pen.lines((x + 19.0, mid - 3.0), Anchor::Start, &words);
            }
            SupplyElement::Coil {
                name,
                is_field,
                in_negative_lead,
                across: _,
                ohms,
                henries: l,
                drop_v,
                current_a,
            } => {
                let (a, b) = self.in_lead(pen, *in_negative_lead, x);
                let kind = if *is_field { "field coil" } else { "choke" };
                symbol::coil(pen, a, b, kind);
                let words = [
                    format!("{}, {}", coil_ohms(*ohms), henries(*l)),
                    format!("{}, {}", point_volts(*drop_v), amps(*current_a)),
                ];
                self.beside(pen, *in_negative_lead, x, Some(name), &words);
            }
            SupplyElement::Resistor {
                in_negative_lead,
                ohms,
                drop_v,
            } => {
                let (a, b) = self.in_lead(pen, *in_negative_lead, x);
                symbol::resistor(pen, a, b);
                let words = [
                    nameplate_ohms(*ohms),
                    format!("{} drop", point_volts(*drop_v)),
                ];
                self.beside(pen, *in_negative_lead, x, None, &words);
            }
        }
    }

    /// Runs the rail to a part in a lead about `x` and goes on behind it; the part's ends.
    fn in_lead(&mut self, pen: &mut Pen, negative: bool, x: f64) -> (Point, Point) {
        let rail = usize::from(negative);
        self.run(pen, negative, x - 36.0);
        self.behind[rail] += 1;
        self.at[rail] = x + 36.0;
        let y = self.y(negative);
        ((x - 36.0, y), (x + 36.0, y))
    }

    /// Words outside the rails, with a name that may be the user's first.
    fn beside(&self, pen: &mut Pen, negative: bool, x: f64, name: Option<&str>, words: &[String]) {
        let count = words.len() + usize::from(name.is_some());
        let mut y = if negative {
            self.low + 22.0
        } else {
            self.high - 18.0 - LINE * (count.saturating_sub(1)) as f64
        };
        if let Some(name) = name {
            pen.user((x, y), Anchor::Middle, PLAIN, IN_LEAD - 4.0, name);
            y += LINE;
        }
        let words: Vec<(Face, String)> = words.iter().map(|w| (PLAIN, w.clone())).collect();
        pen.lines((x, y), Anchor::Middle, &words);
    }
}

/// The winding and the rectifier between the rails; where the rails begin.
fn source(pen: &mut Pen, sketch: &SupplySketch, high: f64, low: f64) -> [f64; 2] {
    let (x, mid) = (54.0, 0.5 * (high + low));
    let (top, bottom, tap) = ((x, high + 24.0), (x, low - 24.0), (x, mid));
    let turns = Turns {
        count: 8,
        radius: 7.5,
        side: -1.0,
    };
    symbol::winding(
        pen,
        "high-voltage winding",
        (top, bottom),
        turns,
        &[tap],
        None,
    );
    symbol::core(pen, (x + 16.0, high + 38.0), (x + 16.0, low - 38.0));
    let words = [
        (PLAIN, "2 ×".to_owned()),
        (PLAIN, volts(sketch.half_v)),
        (PLAIN, "AC".to_owned()),
    ];
    pen.lines((108.0, mid - 11.0), Anchor::Middle, &words);
    let filament = Catalogue::built_in()
        .rectifier(&sketch.rectifier)
        .is_ok_and(|found| found.item.heating == Heating::Direct);
    let tube = (184.0, mid);
    let pins = symbol::rectifier(pen, tube, filament);
    let down = 140.0;
    pen.wire(
        "plate 1",
        &[top, (down, top.1), (down, pins.upper.1), pins.upper],
    );
    pen.wire(
        "plate 2",
        &[bottom, (down, bottom.1), (down, pins.lower.1), pins.lower],
    );
    let name = (tube.0, mid + 49.0);
    pen.user(name, Anchor::Middle, PLAIN, 80.0, &sketch.rectifier);
    let dc = format!("{} DC", amps(sketch.dc_a));
    pen.text((tube.0, mid + 64.0), Anchor::Middle, PLAIN, &dc);
    let rise = 232.0;
    let (start, end) = (pins.cathode, (rise, pins.cathode.1));
    pen.wire("positive0", &[start, end, (rise, high)]);
    if let Some(other) = pins.other {
        // B+ is taken from one end of the filament's own winding
        let foot = (rise, other.1);
        let turns = Turns {
            count: 3,
            radius: 3.5,
            side: -1.0,
        };
        symbol::winding(pen, "filament winding", (end, foot), turns, &[], None);
        pen.wire("filament", &[other, foot]);
    }
    let left = 28.0;
    pen.wire("negative0", &[tap, (left, mid), (left, low)]);
    let at = (rise, high - 9.0);
    pen.text((at.0 - 48.0, at.1), Anchor::End, PLAIN, "cathode");
    pen.text(at, Anchor::End, BOLD, &point_volts(sketch.cathode_v));
    pen.text((left, low + 18.0), Anchor::Start, PLAIN, "centre tap");
    pen.text(
        (left + 74.0, low + 18.0),
        Anchor::Start,
        BOLD,
        &point_volts(sketch.centre_v),
    );
    [rise, left]
}

fn describe(sketch: &SupplySketch) -> String {
    let mut text = format!(
        "High-voltage winding of 2 × {}, centre tap at {}, to the plates of the full-wave rectifier {}, its cathode at {}, {} DC. \
         Then, from left to right: ",
        volts(sketch.half_v),
        point_volts(sketch.centre_v),
        clean(&sketch.rectifier),
        point_volts(sketch.cathode_v),
        amps(sketch.dc_a),
    );
    let list: Vec<String> = sketch
        .elements
        .iter()
        .map(|element| match element {
            SupplyElement::Capacitor {
                farads,
                positive_v,
                negative_v,
                ..
            } => format!(
                "a capacitor of {} between {} and {}",
                nameplate_farads(*farads),
                point_volts(*positive_v),
                point_volts(*negative_v)
            ),
            SupplyElement::Coil {
                name,
                in_negative_lead,
                ohms,
                drop_v,
                ..
            } => format!(
                "a {} of {} in the {} lead, with {} across it",
                clean(name),
                coil_ohms(*ohms),
                lead(*in_negative_lead),
                point_volts(*drop_v)
            ),
            SupplyElement::Resistor {
                in_negative_lead,
                ohms,
                drop_v,
            } => format!(
                "a resistor of {} in the {} lead, with {} across it",
                nameplate_ohms(*ohms),
                lead(*in_negative_lead),
                point_volts(*drop_v)
            ),
        })
        .collect();
    text.push_str(&list.join("; "));
    text.push_str(&format!(
        ". At the end B+ at {} and the chassis.",
        point_volts(sketch.b_plus_v)
    ));
    for divider in &sketch.dividers {
        text.push(' ');
        text.push_str(&divider::describe(divider));
    }
    clean(&text)
}
