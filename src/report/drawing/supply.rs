//! The supply: its source, the filter from left to right, dividers beneath.

use super::{
    Drawing, WIDTH, divider,
    pen::{Anchor, LINE, Pen, THIN, Words, bold, line, plain},
    source::Source,
    symbol::{self, CHOKE, ELECTROLYTIC, FIELD_COIL, RESISTOR, Symbol},
    text::clean,
    values,
};
use crate::{
    report::figures::{amps, coil_ohms, henries, nameplate_farads, nameplate_ohms, point_volts},
    study::{SecondSketch, SupplyElement, SupplySketch},
};

/// Room a capacitor with its values takes along the rails, another part across them, and in a lead a coil and a resistor.
const CAPACITOR: f64 = 72.0;
const ACROSS: f64 = 108.0;
const IN_LEAD: f64 = 112.0;
const RESISTOR_IN_LEAD: f64 = 96.0;
/// Where the elements of later rows begin, and where those of all rows end.
const NEXT_FROM: f64 = 66.0;
const TO: f64 = 574.0;
/// Left and right ends of broken rows.
const BREAKS: [f64; 2] = [40.0, TO + 14.0];
/// Distance of the rails in the first row and in later ones.
const FIRST_TALL: f64 = 150.0;
const NEXT_TALL: f64 = 96.0;
/// Above the positive or below the negative rail: with a part in it, and without.
const ROOM_FOR_PART: f64 = 62.0;
const ROOM_FOR_VOLTS: f64 = 36.0;

/// The supply of a set with its solved voltages. `prefix` makes the drawing's ids unique in a page.
pub fn supply(sketch: &SupplySketch, prefix: &str) -> Drawing {
    let mut pen = Pen::default();
    let rule = |top| line(&[(20.0, top), (WIDTH - 20.0, top)], THIN);
    let live = sketch.live_chassis;
    let mut rails = Rails { output: "B+", live, ..Rails::default() };
    let mut top = rails.rows(&mut pen, sketch, 60.0);
    if let Some(second) = &sketch.second {
        pen.mark(rule(top));
        pen.right((28.0, top + 20.0), [second_from(second)]);
        pen.nets = "second ";
        // the ends of broken rows go on counting
        let mut own = Rails { output: "B2+", live, broken: rails.broken, ..Rails::default() };
        top = own.rows(&mut pen, &second.supply, top + 24.0);
        pen.nets = "";
    }
    if let Some(v) = sketch.bias_v {
        let words = "bias supply of its own, C− against chassis:";
        values::with_volts(&mut pen, (28.0, top + 8.0), words, v);
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

const LEADS: [&str; 2] = ["positive", "negative"];

/// A part of the filter, as it is drawn and told.
struct Part {
    /// The rail it stands in, the positive being the first; none for what lies across.
    rail: Option<usize>,
    /// Room it takes along the rails.
    room: f64,
    symbol: Symbol,
    /// A name that may be the user's.
    name: Option<String>,
    /// Volts of a capacitor's ends.
    volts: Option<[String; 2]>,
    words: Vec<Words>,
    /// What it is, for who cannot see it.
    said: String,
}

/// A part's name beside it, and in words: "L1 field coil", "L1, assumed", for there is not room for both.
fn named(part: &str, name: &str, assumed: bool) -> [String; 2] {
    let name = clean(name);
    if assumed {
        return [format!("{part}, assumed"), format!("{part}, an assumed {name},")];
    }
    let both = format!("{part} {name}");
    [both.clone(), both]
}

impl Part {
    fn of(element: &SupplyElement) -> Part {
        match element {
            SupplyElement::Capacitor { part, farads, positive_v, negative_v, .. } => {
                let volts = [*positive_v, *negative_v].map(point_volts);
                let (farads, [plus, minus]) = (nameplate_farads(*farads), &volts);
                let said = format!("the capacitor {part} of {farads} between {plus} and {minus}");
                let (symbol, words) = (ELECTROLYTIC, values::nameplate(element));
                let volts = Some(volts);
                Part { rail: None, room: CAPACITOR, symbol, name: None, volts, said, words }
            }
            SupplyElement::Coil {
                name,
                part,
                assumed,
                is_field,
                in_negative_lead,
                across,
                ohms,
                henries: l,
                henries_assumed,
                drop_v,
                current_a,
            } => {
                // what no one stated is not drawn as found
                let henries = (!henries_assumed).then(|| henries(*l));
                let (ohms, drop, amps) = (coil_ohms(*ohms), point_volts(*drop_v), amps(*current_a));
                let symbol = if *is_field { FIELD_COIL } else { CHOKE };
                let names = named(part, name, *assumed);
                if !across {
                    let ohms_and = henries.map_or(ohms.clone(), |l| format!("{ohms}, {l}"));
                    let words = [ohms_and, format!("{drop}, {amps}")];
                    return Part::in_lead(*in_negative_lead, symbol, names, (&ohms, &drop), words);
                }
                let said = format!(
                    "{} of {ohms} across the supply, with {drop} across it and {amps} through it",
                    names[1]
                );
                let words = [format!("{part}, {ohms}")].into_iter().chain(henries).map(plain);
                let words = words.chain([bold(drop), plain(amps)]).collect();
                let name = Some(name.clone());
                Part { rail: None, room: ACROSS, symbol, name, volts: None, said, words }
            }
            SupplyElement::Resistor { part, assumed, in_negative_lead, ohms, drop_v } => {
                let (ohms, drop) = (nameplate_ohms(*ohms), point_volts(*drop_v));
                let words = [ohms.clone(), format!("{drop} drop")];
                let names = named(part, "resistor", *assumed);
                let room = RESISTOR_IN_LEAD;
                let part = Part::in_lead(*in_negative_lead, RESISTOR, names, (&ohms, &drop), words);
                Part { room, ..part }
            }
        }
    }

    fn in_lead(
        negative: bool,
        symbol: Symbol,
        [name, told]: [String; 2],
        (ohms, drop): (&str, &str),
        words: [String; 2],
    ) -> Part {
        let rail = usize::from(negative);
        let lead = LEADS[rail];
        Part {
            rail: Some(rail),
            room: IN_LEAD,
            symbol,
            volts: None,
            words: words.map(plain).into(),
            said: format!("{told} of {ohms} in the {lead} lead, with {drop} across it"),
            name: Some(name),
        }
    }
}

/// Parts in rows, as many as a row takes behind a source that ends at `from`.
fn rows(elements: &[SupplyElement], from: f64) -> Vec<Vec<Part>> {
    let mut rows = vec![Vec::new()];
    let mut left = TO - from;
    for part in elements.iter().map(Part::of) {
        if left < part.room {
            rows.push(Vec::new());
            left = TO - NEXT_FROM;
        }
        left -= part.room;
        if let Some(row) = rows.last_mut() {
            row.push(part);
        }
    }
    rows
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
    /// True if the chassis is joined to the mains.
    live: bool,
}

impl Rails {
    /// A rail up to `x`.
    fn run(&mut self, pen: &mut Pen, rail: usize, x: f64) {
        let net = format!("{}{}", LEADS[rail], self.behind[rail]);
        pen.level(&net, (self.at[rail], self.y[rail]), [x]);
        self.at[rail] = x;
    }

    /// Draws a supply from `top` on; returns its lower edge.
    fn rows(&mut self, pen: &mut Pen, sketch: &SupplySketch, mut top: f64) -> f64 {
        let source = Source::of(sketch);
        let rows = rows(&sketch.elements, source.ends_at());
        let last = rows.len() - 1;
        for (i, row) in rows.into_iter().enumerate() {
            let needs = [0, 1].map(|lead| {
                let holds = row.iter().any(|part| part.rail == Some(lead));
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
                foot += if self.live { 22.0 } else { 6.0 };
            } else {
                self.broken += 1;
                self.ends(pen, Anchor::Start);
            }
            top = self.y[1] + needs[1].max(foot);
        }
        top
    }

    /// Draws the parts of a row from `x` on, spread over its length, and the rails behind them.
    fn row(&mut self, pen: &mut Pen, row: Vec<Part>, mut x: f64) {
        let wanted: f64 = row.iter().map(|part| part.room).sum();
        let spare = (TO - x - wanted).max(0.0) / row.len().max(1) as f64;
        for part in row {
            let wide = part.room + spare;
            match part.rail {
                Some(rail) => self.in_lead(pen, part, rail, x + wide / 2.0),
                None => self.across(pen, part, x + wide / 2.0),
            }
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
        if self.live {
            pen.right((x + 20.0, low + 18.0), [bold("LIVE")]);
            symbol::warning(pen, (x + 34.0, low + 25.0));
        }
    }

    /// A part across the rails about `x`, its words beside it.
    fn across(&mut self, pen: &mut Pen, part: Part, x: f64) {
        let x = x - if part.name.is_some() { 30.0 } else { 12.0 };
        for (rail, below) in [-9.0, 18.0].into_iter().enumerate() {
            self.run(pen, rail, x);
            pen.joint((x, self.y[rail]));
            if let Some(volts) = &part.volts {
                pen.about((x, self.y[rail] + below), [bold(&volts[rail])]);
            }
        }
        let [high, low] = self.y;
        part.symbol.draw(pen, (x, high), (x, low));
        let mid = 0.5 * (high + low);
        let Some(name) = part.name else {
            return pen.right((x + 19.0, mid - 11.0), part.words);
        };
        let (x, y) = (x + 17.0, mid - 28.0);
        pen.user((x, y), Anchor::Start, name, ACROSS - 28.0);
        pen.right((x, y + LINE), part.words);
    }

    /// A part in a rail about `x`, its words outside the rails.
    fn in_lead(&mut self, pen: &mut Pen, part: Part, rail: usize, x: f64) {
        let (from, to, rail_y) = (x - 36.0, x + 36.0, self.y[rail]);
        self.run(pen, rail, from);
        self.behind[rail] += 1;
        self.at[rail] = to;
        part.symbol.draw(pen, (from, rail_y), (to, rail_y));
        let y = rail_y + if rail == 1 { 22.0 } else { -18.0 - 2.0 * LINE };
        if let Some(name) = part.name {
            pen.user((x, y), Anchor::Middle, name, IN_LEAD - 4.0);
        }
        pen.about((x, y + LINE), part.words);
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
    let parts: Vec<String> = sketch.elements.iter().map(|e| Part::of(e).said).collect();
    format!(
        "{} Then, from left to right: {}. At the end {output} at {} and the chassis{}.",
        Source::of(sketch).describe(),
        parts.join("; "),
        point_volts(sketch.b_plus_v),
        if sketch.live_chassis { ", which is LIVE" } else { "" },
    )
}
