//! Symbols of the trade (IEC 60617), each between pins.

use self::Mark::{Bar, Block, Cross, HalfCircles, Leads, Line, Plus, Ring, Shape};
use super::{
    frame::{Axis, PIN, Point},
    pen::{Pen, THICK, THIN, WIRE, disc, line, n, outline, path, ring, solid},
};
use maud::{Markup, html};

/// A mark of a symbol, laid along its axis. Points are so far from the middle along it and so far across, as [`Axis::at`]
/// takes them.
#[derive(Clone, Copy)]
enum Mark {
    /// The leads from both pins to a body of that length.
    Leads(f64),
    /// A line through points, of that weight.
    Line(&'static [Point], f64),
    /// An outline, white inside.
    Shape(&'static [Point]),
    /// A block of that length and height.
    Block(f64, f64),
    /// A stroke across: where, half its length, its weight.
    Bar(f64, f64, f64),
    /// A circle of that radius about the middle, white inside.
    Ring(f64),
    /// The cross in a circle of that radius.
    Cross(f64),
    /// A plus sign, upright on the page.
    Plus(f64, f64),
    /// A winding.
    HalfCircles(Turns),
}

impl Mark {
    fn paint(self, axis: &Axis) -> Markup {
        let on_page =
            |list: &[Point]| list.iter().map(|(t, s)| axis.at(*t, *s)).collect::<Vec<Point>>();
        let through = |list: &[Point], weight| line(&on_page(list), weight);
        let both = |first, second| html! { (through(first, WIRE)) (through(second, WIRE)) };
        match self {
            Leads(body) => {
                let half = body / 2.0;
                both(&[(-PIN, 0.0), (-half, 0.0)], &[(half, 0.0), (PIN, 0.0)])
            }
            Line(list, weight) => through(list, weight),
            Shape(list) => outline(&on_page(list)),
            Block(length, height) => {
                let (l, h) = (length / 2.0, height / 2.0);
                outline(&on_page(&[(-l, -h), (l, -h), (l, h), (-l, h)]))
            }
            Bar(t, s, weight) => through(&[(t, -s), (t, s)], weight),
            Ring(radius) => ring(axis.at(0.0, 0.0), radius),
            Cross(radius) => {
                let d = radius * std::f64::consts::FRAC_1_SQRT_2;
                both(&[(-d, -d), (d, d)], &[(-d, d), (d, -d)])
            }
            Plus(t, s) => {
                let (x, y) = axis.at(t, s);
                let stroke = |dx, dy| line(&[(x - dx, y - dy), (x + dx, y + dy)], THIN + 0.4);
                html! { (stroke(3.5, 0.0)) (stroke(0.0, 3.5)) }
            }
            HalfCircles(turns) => path(&turns.curve(axis)),
        }
    }
}

/// A symbol between two pins: its name and its marks.
#[derive(Clone, Copy)]
pub struct Symbol(&'static str, &'static [Mark]);

const BOX: &[Mark] = &[Leads(34.0), Block(34.0, 13.0)];
const SMALL_BOX: &[Mark] = &[Leads(20.0), Block(20.0, 10.0)];
/// Wire in a bulb.
const BULB: &[Mark] = &[Ring(13.0), Leads(16.0), Block(16.0, 8.0)];
/// A winding with its core above; the axis runs to the right.
const COIL: &[Mark] =
    &[Leads(48.0), HalfCircles(Turns(4, -6.0)), Line(&[(-24.0, -10.0), (24.0, -10.0)], WIRE)];
const PLATES: [Mark; 3] = [Leads(8.0), Bar(-4.0, 12.0, THICK), Bar(4.0, 12.0, THICK)];
/// The line runs through.
const THROUGH: Mark = Line(&[(-PIN, 0.0), (PIN, 0.0)], WIRE);

pub const RESISTOR: Symbol = Symbol("resistor", BOX);
/// Where there is little room.
pub const SMALL_RESISTOR: Symbol = Symbol("resistor", SMALL_BOX);
/// Heaters in series, as one block.
pub const HEATERS: Symbol = Symbol("heater string", BOX);
pub const SMALL_HEATERS: Symbol = Symbol("heater string", SMALL_BOX);
/// Heaters beside others.
pub const BRANCH: Symbol = Symbol("heater branch", SMALL_BOX);
pub const BALLAST: Symbol = Symbol("ballast", BULB);
pub const BARRETTER: Symbol = Symbol("barretter", BULB);
/// A capacitor without polarity.
pub const FILM: Symbol = Symbol("capacitor", &PLATES);
/// Positive at its first pin; the axis runs down.
pub const ELECTROLYTIC: Symbol =
    Symbol("capacitor", &[PLATES[0], PLATES[1], PLATES[2], Plus(-12.0, 10.0)]);
pub const FUSE: Symbol = Symbol("fuse", &[BOX[0], BOX[1], THROUGH]);
/// One that falls with heat; the axis runs to the right.
pub const THERMISTOR: Symbol = Symbol(
    "thermistor",
    &[BOX[0], BOX[1], Line(&[(-26.0, 14.0), (-16.0, 14.0), (16.0, -14.0)], WIRE)],
);
pub const LAMP: Symbol = Symbol("lamp", &[Leads(28.0), Ring(14.0), Cross(14.0)]);
pub const SMALL_LAMP: Symbol = Symbol("lamp", &[Leads(16.0), Ring(8.0), Cross(8.0)]);
/// Make contact, open.
pub const SWITCH: Symbol =
    Symbol("switch", &[Leads(26.0), Line(&[(13.0, 0.0), (-14.0, -14.0)], WIRE)]);
pub const FIELD_COIL: Symbol = Symbol("field coil", COIL);
pub const CHOKE: Symbol = Symbol("choke", COIL);
/// Diodes from anode to cathode. Silicon or selenium (IEC 60617-05-03-01).
pub const DRY_DIODE: Symbol = Symbol(
    "diode",
    &[Shape(&[(-8.0, -9.0), (-8.0, 9.0), (8.0, 0.0)]), Bar(8.0, 9.0, WIRE), THROUGH],
);
const BULB_OF_DIODE: Mark = Ring(17.0);
const ANODE_LEAD: Mark = Line(&[(-PIN, 0.0), (-9.0, 0.0)], WIRE);
const ANODE: Mark = Bar(-9.0, 9.0, THICK);
/// A tube with a heated cathode: a bar with bent ends, and behind it the hairpin of the heater, whose supply is not drawn.
const CATHODE_DIODE: Symbol = Symbol(
    "tube diode",
    &[
        BULB_OF_DIODE,
        ANODE_LEAD,
        ANODE,
        Line(&[(4.0, 8.0), (0.0, 8.0), (0.0, -8.0), (22.0, -8.0), (22.0, 0.0), (PIN, 0.0)], WIRE),
        Line(&[(16.5, 4.0), (4.5, 0.5), (16.7, -3.0)], THIN + 0.3),
    ],
);
/// A tube whose filament is the cathode: both its leads come out, and B+ is taken from one.
const FILAMENT_DIODE: Symbol = Symbol(
    "tube diode",
    &[
        BULB_OF_DIODE,
        ANODE_LEAD,
        ANODE,
        Line(
            &[
                (20.0, -8.0),
                (12.0, -8.0),
                (1.0, 0.0),
                (12.0, 8.0),
                (22.0, 8.0),
                (22.0, 0.0),
                (PIN, 0.0),
            ],
            WIRE,
        ),
    ],
);

impl Symbol {
    /// Draws it from its first pin to its second.
    pub fn draw(self, pen: &mut Pen, a: Point, b: Point) {
        let axis = Axis::new(a, b);
        pen.part(self.0, &[a, b], self.1.iter().map(|mark| mark.paint(&axis)));
    }
}

/// What a diode is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Valve {
    /// Silicon or selenium.
    Dry,
    /// A tube with a heated cathode.
    Cathode,
    /// A tube whose filament is the cathode.
    Filament,
}

impl Valve {
    /// One diode of the kind, from its anode to its cathode.
    pub fn diode(self) -> Symbol {
        match self {
            Valve::Dry => DRY_DIODE,
            Valve::Cathode => CATHODE_DIODE,
            Valve::Filament => FILAMENT_DIODE,
        }
    }
}

/// How a winding is drawn: half circles, and their radius; above nothing they are below an axis to the right and left of
/// an axis down, below nothing on the other side.
#[derive(Debug, Clone, Copy)]
pub struct Turns(pub u8, pub f64);

impl Turns {
    fn body(self) -> f64 {
        2.0 * self.1.abs() * f64::from(self.0)
    }

    fn curve(self, axis: &Axis) -> String {
        let Turns(count, radius) = self;
        let start = axis.at(-self.body() / 2.0, 0.0);
        let mut d = format!("M{} {}", n(start.0), n(start.1));
        let sweep = u8::from(radius < 0.0);
        for turn in 1..=count {
            let t = 2.0 * radius.abs() * f64::from(turn) - self.body() / 2.0;
            let (x, y) = axis.at(t, 0.0);
            d += &format!("A{0} {0} 0 0 {sweep} {1} {2}", n(radius.abs()), n(x), n(y));
        }
        d
    }
}

/// An upright winding at `x` from one height down to another, with taps at others.
pub fn winding(pen: &mut Pen, name: &str, x: f64, ends: [f64; 2], turns: Turns, taps: &[f64]) {
    let pins = ends.iter().chain(taps).map(|y| (x, *y));
    wound(pen, name, pins.collect(), turns, None);
}

/// A winding between the first two of `pins`; where its polarity matters, with a dot beside one end.
pub fn wound(pen: &mut Pen, name: &str, pins: Vec<Point>, turns: Turns, dot: Option<Point>) {
    let axis = Axis::new(pins[0], pins[1]);
    let marks = [Leads(turns.body()), HalfCircles(turns)].map(|mark| mark.paint(&axis));
    let dot = dot.map(|dot| html! { g data-part="polarity" { (disc(dot, 2.8)) } });
    pen.part(name, &pins, marks.into_iter().chain(dot));
}

/// Iron core between two points: two lines.
pub fn core(pen: &mut Pen, a: Point, b: Point) {
    let axis = Axis::new(a, b);
    pen.part("core", &[], [-2.0, 2.0].map(|s| line(&[axis.at(-PIN, s), axis.at(PIN, s)], WIRE)));
}

/// A male pin of the plug, its wire leaving at `at` to the right.
pub fn plug_pin(pen: &mut Pen, at: Point) {
    let (x, y) = at;
    let pin = solid(&[(x - 18.0, y - 2.5), (x, y - 2.5), (x, y + 2.5), (x - 18.0, y + 2.5)]);
    pen.part("plug pin", &[at], [pin]);
}

/// Chassis.
pub fn chassis(pen: &mut Pen, at: Point) {
    let (x, y) = at;
    let foot = y + 12.0;
    let stem = line(&[at, (x, foot)], WIRE);
    let bar = line(&[(x - 12.0, foot), (x + 12.0, foot)], THICK);
    let teeth = [-12.0, 0.0, 12.0].map(|i| line(&[(x + i, foot), (x + i - 6.0, foot + 9.0)], WIRE));
    pen.part("chassis", &[at], [stem, bar].into_iter().chain(teeth));
}

/// A triangle with an exclamation mark below its tip `at`: what may kill (ISO 7010, W001).
pub fn warning(pen: &mut Pen, at: Point) {
    let (x, y) = at;
    let foot = y + 19.0;
    let sides = outline(&[at, (x + 11.0, foot), (x - 11.0, foot)]);
    let stroke = line(&[(x, y + 7.0), (x, y + 12.5)], THICK);
    pen.part("warning", &[], [sides, stroke, disc((x, y + 16.2), 1.4)]);
}

/// Pins of the rectifier tube round its middle.
pub struct RectifierPins {
    /// Plates from above.
    pub plates: Vec<Point>,
    /// Cathode, or the filament's end that gives B+.
    pub cathode: Point,
    /// The filament's other end.
    pub other: Option<Point>,
}

/// Rectifier tube of one or two plates, these to the left.
pub fn rectifier(pen: &mut Pen, (x, y): Point, double: bool, filament: bool) -> RectifierPins {
    const R: f64 = 32.0;
    let (left, right) = (x - R - 4.0, x + R + 4.0);
    let pins = RectifierPins {
        plates: if double { vec![(left, y - 14.0), (left, y + 14.0)] } else { vec![(left, y)] },
        cathode: (right, y - if filament { 11.0 } else { 14.0 }),
        other: filament.then_some((right, y + 11.0)),
    };
    let mut marks = vec![ring((x, y), R)];
    let half = if double { 9.0 } else { 14.0 };
    for pin in &pins.plates {
        let plate = x - 14.0;
        marks.push(line(&[*pin, (plate, pin.1)], WIRE));
        marks.push(line(&[(plate, pin.1 - half), (plate, pin.1 + half)], THICK));
    }
    if let Some(other) = pins.other {
        let [first, middle, last] = [(x + 12.0, y - 11.0), (x + 2.0, y), (x + 12.0, y + 11.0)];
        marks.push(line(&[pins.cathode, first, middle, last, other], WIRE));
    } else {
        // a bar with bent ends, one of them its lead; the hairpin of the heater behind it, whose supply is not drawn
        let (bar, half) = (x + 1.0, 14.0);
        let bent = [(bar + 6.0, y + half), (bar, y + half), (bar, y - half), pins.cathode];
        marks.push(line(&bent, WIRE));
        marks.push(line(&[(x + 31.5, y - 5.0), (x + 9.0, y + 1.0), (x + 31.0, y + 7.0)], WIRE));
    }
    let name = if filament { "rectifier with filament" } else { "rectifier with cathode" };
    let all: Vec<Point> =
        pins.plates.iter().copied().chain([pins.cathode]).chain(pins.other).collect();
    pen.part(name, &all, marks);
    pins
}
