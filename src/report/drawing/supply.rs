//! The supply: its source, the filter from left to right, dividers beneath.

use super::{
    Drawing, WIDTH, divider,
    frame::Point,
    pen::{Anchor, LINE, Pen, THIN, bold, line, plain},
    source::{self, Source},
    symbol::{self, CHOKE, ELECTROLYTIC, FIELD_COIL, RESISTOR, Symbol},
    text::clean,
};
use crate::{
    report::figures::{amps, coil_ohms, henries, nameplate_farads, nameplate_ohms, point_volts},
    study::{SecondSketch, SupplyElement, SupplySketch},
};

/// Room a capacitor with its values takes along the rails, and a part in a lead.
const CAPACITOR: f64 = 80.0;
const ACROSS: f64 = 108.0;
const IN_LEAD: f64 = 112.0;
/// Where the elements of later rows begin, and where those of all rows end.
const NEXT_FROM: f64 = 66.0;
const TO: f64 = 636.0;
/// Left and right ends of broken rows.
const BREAKS: [f64; 2] = [40.0, TO + 14.0];
/// Distance of the rails in the first row and in later ones.
const FIRST_TALL: f64 = 150.0;
const NEXT_TALL: f64 = 120.0;
/// Above the positive or below the negative rail: with a part in it, and without.
const ROOM_FOR_PART: f64 = 62.0;
const ROOM_FOR_VOLTS: f64 = 36.0;

/// The supply of a set with its solved voltages. `prefix` makes the drawing's ids unique in a page.
pub fn supply(sketch: &SupplySketch, prefix: &str) -> Drawing {
    let mut pen = Pen::default();
    let rule = |top| line(&[(20.0, top), (WIDTH - 20.0, top)], THIN);
    let mut rails = Rails { output: "B+", ..Rails::default() };
    let mut top = rails.rows(&mut pen, sketch, 60.0);
    if let Some(second) = &sketch.second {
        pen.mark(rule(top));
        pen.right((28.0, top + 20.0), [second_from(second)]);
        pen.nets = "second ";
        // the ends of broken rows go on counting
        let mut own = Rails { output: "B2+", broken: rails.broken, ..Rails::default() };
        top = own.rows(&mut pen, &second.supply, top + 24.0);
        pen.nets = "";
    }
    if let Some(v) = sketch.bias_v {
        let words = "bias supply of its own, C− against chassis:";
        source::with_volts(&mut pen, (28.0, top + 8.0), words, v);
        top += 22.0;
    }
    if !sketch.dividers.is_empty() {
        pen.mark(rule(top));
        top = divider::draw(&mut pen, top + 8.0, &sketch.dividers);
    }
    let title = "Supply (DC volts against chassis on the usual line)".to_owned();
    pen.finish(prefix, top, title, describe(sketch))
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

/// Elements in rows, as many as a row takes behind a source that ends at `from`.
fn rows(elements: &[SupplyElement], from: f64) -> Vec<Vec<&SupplyElement>> {
    let mut rows = vec![Vec::new()];
    let mut left = TO - from;
    for element in elements {
        if left < room(element) {
            rows.push(Vec::new());
            left = TO - NEXT_FROM;
        }
        left -= room(element);
        rows.last_mut().into_iter().for_each(|row| row.push(element));
    }
    rows
}

/// The rail that a part stands in: the positive is the first; nothing for what lies across.
fn rail(element: &SupplyElement) -> Option<usize> {
    match *element {
        SupplyElement::Capacitor { .. } | SupplyElement::Coil { across: true, .. } => None,
        SupplyElement::Coil { in_negative_lead, .. }
        | SupplyElement::Resistor { in_negative_lead, .. } => Some(usize::from(in_negative_lead)),
    }
}

const LEADS: [&str; 2] = ["positive", "negative"];

fn coil(is_field: bool) -> Symbol {
    if is_field { FIELD_COIL } else { CHOKE }
}

/// The two rails as they are being drawn, the positive first: heights, how far they have come, and how many parts lie
/// behind.
#[derive(Default)]
struct Rails {
    y: [f64; 2],
    at: [f64; 2],
    behind: [usize; 2],
    broken: usize,
    /// Name of its end.
    output: &'static str,
}

impl Rails {
    /// A rail up to `x`.
    fn run(&mut self, pen: &mut Pen, rail: usize, x: f64) {
        let net = format!("{}{}", LEADS[rail], self.behind[rail]);
        pen.level(&net, (self.at[rail], self.y[rail]), [x]);
        self.at[rail] = x;
    }

    /// Both rails to a part across them at `x`; its ends.
    fn joined(&mut self, pen: &mut Pen, x: f64) -> [Point; 2] {
        [0, 1].map(|rail| {
            self.run(pen, rail, x);
            let end = (x, self.y[rail]);
            pen.joint(end);
            end
        })
    }

    fn middle(&self) -> f64 {
        0.5 * (self.y[0] + self.y[1])
    }

    /// Draws a supply from `top` on; returns its lower edge.
    fn rows(&mut self, pen: &mut Pen, sketch: &SupplySketch, mut top: f64) -> f64 {
        let source = Source::of(sketch);
        let rows = rows(&sketch.elements, source.ends_at());
        let last = rows.len() - 1;
        for (i, row) in rows.iter().enumerate() {
            let needs = [0, 1].map(|lead| {
                let holds = row.iter().any(|e| rail(e) == Some(lead));
                if holds { ROOM_FOR_PART } else { ROOM_FOR_VOLTS }
            });
            let high = top + needs[0];
            self.y = [high, high + if i == 0 { FIRST_TALL } else { NEXT_TALL }];
            let mut x = NEXT_FROM;
            self.at = [BREAKS[0]; 2];
            if i == 0 {
                x = source.ends_at();
                self.at = source.draw(pen, self.y);
            }
            self.row(pen, row, x);
            if i > 0 {
                self.ends(pen, Anchor::End);
            }
            let mut foot = ROOM_FOR_VOLTS;
            if i == last {
                self.output(pen, sketch.b_plus_v);
                foot += 6.0;
            } else {
                self.broken += 1;
                self.ends(pen, Anchor::Start);
            }
            top = self.y[1] + needs[1].max(foot);
        }
        top
    }

    /// Draws the parts of a row from `x` on, spread over its length, and the rails behind them.
    fn row(&mut self, pen: &mut Pen, row: &[&SupplyElement], mut x: f64) {
        let wanted: f64 = row.iter().map(|e| room(e)).sum();
        let spare = (TO - x - wanted).max(0.0) / row.len().max(1) as f64;
        for element in row {
            let wide = room(element) + spare;
            self.element(pen, element, x + wide / 2.0);
            x += wide;
        }
        for rail in [0, 1] {
            self.run(pen, rail, BREAKS[1]);
        }
    }

    /// Left or right ends of the rails where a row goes on or breaks off; like names belong together.
    fn ends(&self, pen: &mut Pen, anchor: Anchor) {
        let [left, right] = BREAKS;
        let (x, shift) = if anchor == Anchor::Start { (right, 9.0) } else { (left, -9.0) };
        for (y, name) in self.y.into_iter().zip(["P", "N"]) {
            pen.terminal((x, y));
            pen.lines((x + shift, y + 4.0), anchor, [bold(format!("{name}{}", self.broken))]);
        }
    }

    fn output(&self, pen: &mut Pen, v: f64) {
        let (x, [high, low]) = (BREAKS[1], self.y);
        pen.terminal((x, high));
        pen.right((x + 9.0, high - 3.0), [plain(self.output), bold(point_volts(v))]);
        symbol::chassis(pen, (x, low));
        pen.right((x + 9.0, low + 1.0), ["chassis"]);
    }

    fn element(&mut self, pen: &mut Pen, element: &SupplyElement, x: f64) {
        match element {
            SupplyElement::Capacitor { positive_v, negative_v, .. } => {
                let x = x - 12.0;
                let sides = [(0, *positive_v, -9.0), (1, *negative_v, 18.0)];
                for (rail, v, below) in sides {
                    self.run(pen, rail, x);
                    pen.joint((x, self.y[rail]));
                    pen.about((x, self.y[rail] + below), [bold(point_volts(v))]);
                }
                ELECTROLYTIC.draw(pen, (x, self.y[0]), (x, self.y[1]));
                pen.right((x + 19.0, self.middle() - 3.0), source::nameplate(element));
            }
            SupplyElement::Coil { name, is_field, ohms, henries: l, drop_v, current_a, .. } => {
                let (ohms, henries) = (coil_ohms(*ohms), henries(*l));
                let (drop, amps) = (point_volts(*drop_v), amps(*current_a));
                let Some(rail) = rail(element) else {
                    let [a, b] = self.joined(pen, x - 30.0);
                    coil(*is_field).draw(pen, a, b);
                    let (x, y) = (x - 13.0, self.middle() - 28.0);
                    pen.user((x, y), Anchor::Start, name, ACROSS - 28.0);
                    let words = [plain(ohms), plain(henries), bold(drop), plain(amps)];
                    return pen.right((x, y + LINE), words);
                };
                let words = [format!("{ohms}, {henries}"), format!("{drop}, {amps}")];
                self.in_lead(pen, (rail, x), coil(*is_field), Some(name), words);
            }
            SupplyElement::Resistor { in_negative_lead, ohms, drop_v } => {
                let words = [nameplate_ohms(*ohms), format!("{} drop", point_volts(*drop_v))];
                let at = (usize::from(*in_negative_lead), x);
                self.in_lead(pen, at, RESISTOR, None, words);
            }
        }
    }

    /// A part in a rail about `x`, its words outside the rails: first a name that may be the user's.
    fn in_lead(
        &mut self,
        pen: &mut Pen,
        (rail, x): (usize, f64),
        symbol: Symbol,
        name: Option<&String>,
        words: [String; 2],
    ) {
        let (from, to, rail_y) = (x - 36.0, x + 36.0, self.y[rail]);
        self.run(pen, rail, from);
        self.behind[rail] += 1;
        self.at[rail] = to;
        symbol.draw(pen, (from, rail_y), (to, rail_y));
        let above = if name.is_some() { 2.0 } else { 1.0 };
        let mut y = rail_y + if rail == 1 { 22.0 } else { -18.0 - LINE * above };
        if let Some(name) = name {
            pen.user((x, y), Anchor::Middle, name, IN_LEAD - 4.0);
            y += LINE;
        }
        pen.about((x, y), words);
    }
}

fn describe(sketch: &SupplySketch) -> String {
    let mut text = rails_in_words(sketch, "B+");
    if let Some(second) = &sketch.second {
        let words = rails_in_words(&second.supply, "B2+");
        text += &format!(" Beneath, the {}. {words}", second_from(second));
    }
    if let Some(v) = sketch.bias_v {
        let v = point_volts(v);
        text += &format!(" A bias supply of its own gives C− of {v} against chassis.");
    }
    for divider in &sketch.dividers {
        text += &format!(" {}", divider::describe(divider));
    }
    clean(&text)
}

/// A supply from its source to its output.
fn rails_in_words(sketch: &SupplySketch, output: &str) -> String {
    let in_lead = |name: &str, ohms: String, negative: bool, drop_v: f64| {
        let (lead, drop) = (LEADS[usize::from(negative)], point_volts(drop_v));
        format!("a {name} of {ohms} in the {lead} lead, with {drop} across it")
    };
    let list = sketch.elements.iter().map(|element| match element {
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
        SupplyElement::Coil { name, in_negative_lead, ohms, drop_v, .. } => {
            in_lead(&clean(name), coil_ohms(*ohms), *in_negative_lead, *drop_v)
        }
        SupplyElement::Resistor { in_negative_lead, ohms, drop_v } => {
            in_lead("resistor", nameplate_ohms(*ohms), *in_negative_lead, *drop_v)
        }
    });
    format!(
        "{} Then, from left to right: {}. At the end {output} at {} and the chassis.",
        Source::of(sketch).describe(),
        list.collect::<Vec<_>>().join("; "),
        point_volts(sketch.b_plus_v)
    )
}
