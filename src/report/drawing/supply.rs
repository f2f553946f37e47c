//! The supply: its source, the filter from left to right, dividers beneath.

use super::divider;
use super::frame::Point;
use super::pen::Anchor::{self, End, Middle, Start};
use super::pen::{BOLD, LINE, PLAIN, Pen, THIN, line};
use super::text::clean;
use super::{Drawing, WIDTH, source, symbol};
use crate::report::figures::{
    amps, coil_ohms, henries, nameplate_farads, nameplate_ohms, point_volts,
};
use crate::study::{SecondSketch, SupplyElement, SupplySketch};

/// Room a capacitor with its values takes along the rails, and a part in a lead.
const CAPACITOR: f64 = 80.0;
const ACROSS: f64 = 108.0;
const IN_LEAD: f64 = 112.0;
/// Where the elements of later rows begin, and where those of all rows end.
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
    let mut state = Rails { output: "B+", ..Rails::default() };
    let mut top = state.rows(&mut pen, sketch, 60.0);
    if let Some(second) = &sketch.second {
        pen.mark(line(&[(20.0, top), (WIDTH - 20.0, top)], THIN));
        pen.text((28.0, top + 20.0), Start, PLAIN, second_from(second));
        pen.nets = "second ";
        // the ends of broken rows go on counting
        let mut own = Rails { output: "B2+", broken: state.broken, ..Rails::default() };
        top = own.rows(&mut pen, &second.supply, top + 24.0);
        pen.nets = "";
    }
    if let Some(v) = sketch.bias_v {
        let words = "bias supply of its own, C− against chassis:";
        let at = (28.0, top + 8.0);
        pen.text(at, Start, PLAIN, words);
        let at = (at.0 + source::own_width(words) + 5.0, at.1);
        pen.text(at, Start, BOLD, &point_volts(v));
        top += 22.0;
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

/// What feeds a second supply, as a heading.
fn second_from(second: &SecondSketch) -> &'static str {
    match (second.shared, second.supply.on_the_line) {
        (true, _) => "second supply, behind the other diode of the same tube",
        (false, true) => "second supply, straight on the line",
        (false, false) => "second supply, on a winding of its own",
    }
}

fn room(element: &SupplyElement) -> f64 {
    match element {
        SupplyElement::Capacitor { .. } => CAPACITOR,
        SupplyElement::Coil { across: true, .. } => ACROSS,
        _ => IN_LEAD,
    }
}

/// Elements in rows, as many as a row takes.
fn rows(sketch: &SupplySketch) -> Vec<Vec<&SupplyElement>> {
    let mut rows = vec![Vec::new()];
    let mut left = TO - source::ends_at(sketch);
    for element in &sketch.elements {
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

/// True for a part in the negative lead, false for one in the positive, nothing for what lies across.
fn negative(element: &SupplyElement) -> Option<bool> {
    match element {
        SupplyElement::Capacitor { .. } | SupplyElement::Coil { across: true, .. } => None,
        SupplyElement::Coil { in_negative_lead, .. }
        | SupplyElement::Resistor { in_negative_lead, .. } => Some(*in_negative_lead),
    }
}

fn coil_kind(is_field: bool) -> &'static str {
    if is_field { "field coil" } else { "choke" }
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
    /// Name of its end.
    output: &'static str,
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

    /// Draws a supply from `top` on; returns its lower edge.
    fn rows(&mut self, pen: &mut Pen, sketch: &SupplySketch, mut top: f64) -> f64 {
        let rows = rows(sketch);
        let last = rows.len().saturating_sub(1);
        for (i, row) in rows.iter().enumerate() {
            top = self.row(pen, sketch, row, top, (i == 0, i == last));
        }
        top
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
            self.at = source::draw(pen, sketch, self.high, self.low);
            source::ends_at(sketch)
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
            self.ends(pen, 40.0, End);
        }
        if last {
            self.b_plus(pen, sketch.b_plus_v);
        } else {
            self.broken += 1;
            self.ends(pen, TO + 14.0, Start);
        }
        let foot = if last { ROOM_FOR_VOLTS + 6.0 } else { ROOM_FOR_VOLTS };
        self.low + needs(holds(true)).max(foot)
    }

    /// Ends of the rails where a row breaks off or goes on; like names belong together.
    fn ends(&self, pen: &mut Pen, x: f64, anchor: Anchor) {
        let shift = if anchor == Start { 9.0 } else { -9.0 };
        for (y, name) in [(self.high, "P"), (self.low, "N")] {
            pen.terminal((x, y));
            let text = format!("{name}{}", self.broken);
            pen.text((x + shift, y + 4.0), anchor, BOLD, &text);
        }
    }

    fn b_plus(&self, pen: &mut Pen, b_plus_v: f64) {
        let x = TO + 14.0;
        pen.terminal((x, self.high));
        let at = (x + 9.0, self.high - 3.0);
        pen.lines(at, Start, &[(PLAIN, self.output), (BOLD, &point_volts(b_plus_v))]);
        symbol::chassis(pen, (x, self.low));
        pen.text((x + 9.0, self.low + 1.0), Start, PLAIN, "chassis");
    }

    fn element(&mut self, pen: &mut Pen, element: &SupplyElement, x: f64) {
        match element {
            SupplyElement::Capacitor { positive_v, negative_v, .. } => {
                let x = x - 12.0;
                let ends = ((x, self.high), (x, self.low));
                for (negative, v, below) in [(false, *positive_v, -9.0), (true, *negative_v, 18.0)]
                {
                    self.run(pen, negative, x);
                    pen.joint((x, self.y(negative)));
                    let at = (x, self.y(negative) + below);
                    pen.text(at, Middle, BOLD, &point_volts(v));
                }
                symbol::electrolytic(pen, ends.0, ends.1);
                let mid = 0.5 * (self.high + self.low);
                pen.lines((x + 19.0, mid - 3.0), Start, &source::nameplate(element));
            }
            SupplyElement::Coil {
                name,
                is_field,
                across: true,
                ohms,
                henries: l,
                drop_v,
                current_a,
                ..
            } => {
                let x = x - 30.0;
                for negative in [false, true] {
                    self.run(pen, negative, x);
                    pen.joint((x, self.y(negative)));
                }
                symbol::coil(pen, (x, self.high), (x, self.low), coil_kind(*is_field));
                let mid = 0.5 * (self.high + self.low);
                let (at, start) = ((x + 17.0, mid - 28.0), Start);
                pen.user(at, start, PLAIN, ACROSS - 28.0, name);
                let words = [
                    (PLAIN, coil_ohms(*ohms)),
                    (PLAIN, henries(*l)),
                    (BOLD, point_volts(*drop_v)),
                    (PLAIN, amps(*current_a)),
                ];
                pen.lines((at.0, at.1 + LINE), start, &words);
            }
            SupplyElement::Coil {
                name,
                is_field,
                in_negative_lead,
                ohms,
                henries: l,
                drop_v,
                current_a,
                ..
            } => {
                let (a, b) = self.in_lead(pen, *in_negative_lead, x);
                symbol::coil(pen, a, b, coil_kind(*is_field));
                let words = [
                    format!("{}, {}", coil_ohms(*ohms), henries(*l)),
                    format!("{}, {}", point_volts(*drop_v), amps(*current_a)),
                ];
                self.beside(pen, *in_negative_lead, x, Some(name), words);
            }
            SupplyElement::Resistor { in_negative_lead, ohms, drop_v } => {
                let (a, b) = self.in_lead(pen, *in_negative_lead, x);
                symbol::resistor(pen, a, b);
                let words = [nameplate_ohms(*ohms), format!("{} drop", point_volts(*drop_v))];
                self.beside(pen, *in_negative_lead, x, None, words);
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
    fn beside(
        &self,
        pen: &mut Pen,
        negative: bool,
        x: f64,
        name: Option<&str>,
        words: [String; 2],
    ) {
        let above = if name.is_some() { 2.0 } else { 1.0 };
        let mut y = if negative { self.low + 22.0 } else { self.high - 18.0 - LINE * above };
        if let Some(name) = name {
            pen.user((x, y), Middle, PLAIN, IN_LEAD - 4.0, name);
            y += LINE;
        }
        pen.lines((x, y), Middle, &words.map(|w| (PLAIN, w)));
    }
}

fn describe(sketch: &SupplySketch) -> String {
    let mut text = rails_in_words(sketch, "B+");
    if let Some(second) = &sketch.second {
        let words = rails_in_words(&second.supply, "B2+");
        text.push_str(&format!(" Beneath, the {}. {words}", second_from(second)));
    }
    if let Some(v) = sketch.bias_v {
        text.push_str(&format!(
            " A bias supply of its own gives C− of {} against chassis.",
            point_volts(v)
        ));
    }
    for divider in &sketch.dividers {
        text.push(' ');
        text.push_str(&divider::describe(divider));
    }
    clean(&text)
}

/// A supply from its source to its output.
fn rails_in_words(sketch: &SupplySketch, output: &str) -> String {
    let mut text = source::describe(sketch);
    text.push_str(" Then, from left to right: ");
    let list: Vec<String> = sketch
        .elements
        .iter()
        .map(|element| match element {
            SupplyElement::Capacitor { farads, positive_v, negative_v, .. } => format!(
                "a capacitor of {} between {} and {}",
                nameplate_farads(*farads),
                point_volts(*positive_v),
                point_volts(*negative_v)
            ),
            SupplyElement::Coil { name, across: true, ohms, drop_v, current_a, .. } => format!(
                "a {} of {} across the supply, with {} across it and {} through it",
                clean(name),
                coil_ohms(*ohms),
                point_volts(*drop_v),
                amps(*current_a)
            ),
            SupplyElement::Coil { name, in_negative_lead, ohms, drop_v, .. } => format!(
                "a {} of {} in the {} lead, with {} across it",
                clean(name),
                coil_ohms(*ohms),
                lead(*in_negative_lead),
                point_volts(*drop_v)
            ),
            SupplyElement::Resistor { in_negative_lead, ohms, drop_v } => format!(
                "a resistor of {} in the {} lead, with {} across it",
                nameplate_ohms(*ohms),
                lead(*in_negative_lead),
                point_volts(*drop_v)
            ),
        })
        .collect();
    text.push_str(&list.join("; "));
    let end = point_volts(sketch.b_plus_v);
    text.push_str(&format!(". At the end {output} at {end} and the chassis."));
    text
}
