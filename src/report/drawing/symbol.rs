//! Symbols of the trade (IEC 60617), each between pins.

use super::frame::{Axis, Point};
use super::pen::Anchor::Middle;
use super::pen::{PLAIN, Pen, THICK, THIN, WIRE, disc, line, n, outline, path, ring, solid};
use maud::Markup;

/// Leads from both pins to a body of length `body`.
fn leads(axis: &Axis, body: f64) -> [Markup; 2] {
    [
        line(&[axis.at(0.0, 0.0), axis.mid(-body / 2.0, 0.0)], WIRE),
        line(&[axis.mid(body / 2.0, 0.0), axis.at(axis.length, 0.0)], WIRE),
    ]
}

fn block(axis: &Axis, length: f64, height: f64) -> Markup {
    let (l, h) = (length / 2.0, height / 2.0);
    outline(&[axis.mid(-l, -h), axis.mid(l, -h), axis.mid(l, h), axis.mid(-l, h)])
}

fn boxed(pen: &mut Pen, name: &str, a: Point, b: Point, more: &[Markup]) {
    let axis = Axis::new(a, b);
    let [first, second] = leads(&axis, 34.0);
    let mut marks = vec![first, second, block(&axis, 34.0, 13.0)];
    marks.extend_from_slice(more);
    pen.part(name, &[a, b], &marks);
}

/// Resistor.
pub(super) fn resistor(pen: &mut Pen, a: Point, b: Point) {
    boxed(pen, "resistor", a, b, &[]);
}

/// Heaters in series, as one block.
pub(super) fn heaters(pen: &mut Pen, a: Point, b: Point) {
    boxed(pen, "heater string", a, b, &[]);
}

/// A block where there is little room.
pub(super) fn small_block(pen: &mut Pen, name: &str, a: Point, b: Point) {
    let axis = Axis::new(a, b);
    let [first, second] = leads(&axis, 20.0);
    pen.part(name, &[a, b], &[first, second, block(&axis, 20.0, 10.0)]);
}

/// A resistor where there is little room.
pub(super) fn small_resistor(pen: &mut Pen, a: Point, b: Point) {
    small_block(pen, "resistor", a, b);
}

/// Wire in a bulb: a ballast tube or a barretter.
pub(super) fn bulb(pen: &mut Pen, name: &str, a: Point, b: Point) {
    let axis = Axis::new(a, b);
    let [first, second] = leads(&axis, 16.0);
    let marks = [ring(axis.mid(0.0, 0.0), 13.0), first, second, block(&axis, 16.0, 8.0)];
    pen.part(name, &[a, b], &marks);
}

/// A capacitor without polarity.
pub(super) fn film(pen: &mut Pen, a: Point, b: Point) {
    let axis = Axis::new(a, b);
    let [first, second] = leads(&axis, 8.0);
    let plate = |t: f64| line(&[axis.mid(t, -12.0), axis.mid(t, 12.0)], THICK);
    pen.part("capacitor", &[a, b], &[first, second, plate(-4.0), plate(4.0)]);
}

/// Fuse: the line runs through.
pub(super) fn fuse(pen: &mut Pen, a: Point, b: Point) {
    boxed(pen, "fuse", a, b, &[line(&[a, b], WIRE)]);
}

/// Thermistor that falls with heat; the axis runs to the right.
pub(super) fn thermistor(pen: &mut Pen, a: Point, b: Point) {
    let axis = Axis::new(a, b);
    let stroke = [axis.mid(-26.0, 14.0), axis.mid(-16.0, 14.0), axis.mid(16.0, -14.0)];
    boxed(pen, "thermistor", a, b, &[line(&stroke, WIRE)]);
    pen.text(axis.mid(-32.0, -8.0), Middle, PLAIN, "−t°");
}

/// Lamp.
pub(super) fn lamp(pen: &mut Pen, a: Point, b: Point) {
    lamp_of(pen, a, b, 14.0);
}

/// A lamp where there is little room.
pub(super) fn small_lamp(pen: &mut Pen, a: Point, b: Point) {
    lamp_of(pen, a, b, 8.0);
}

fn lamp_of(pen: &mut Pen, a: Point, b: Point, radius: f64) {
    let axis = Axis::new(a, b);
    let d = radius * std::f64::consts::FRAC_1_SQRT_2;
    let [first, second] = leads(&axis, 2.0 * radius);
    let marks = [
        first,
        second,
        ring(axis.mid(0.0, 0.0), radius),
        line(&[axis.mid(-d, -d), axis.mid(d, d)], WIRE),
        line(&[axis.mid(-d, d), axis.mid(d, -d)], WIRE),
    ];
    pen.part("lamp", &[a, b], &marks);
}

/// Make contact, open.
pub(super) fn switch(pen: &mut Pen, a: Point, b: Point) {
    let axis = Axis::new(a, b);
    let [first, second] = leads(&axis, 26.0);
    let arm = line(&[axis.mid(13.0, 0.0), axis.mid(-14.0, -14.0)], WIRE);
    pen.part("switch", &[a, b], &[first, second, arm]);
}

/// A male pin of the plug, its wire leaving at `at` to the right.
pub(super) fn plug_pin(pen: &mut Pen, at: Point) {
    let (x, y) = at;
    let pin = solid(&[(x - 18.0, y - 2.5), (x, y - 2.5), (x, y + 2.5), (x - 18.0, y + 2.5)]);
    pen.part("plug pin", &[at], &[pin]);
}

/// How a winding is drawn.
#[derive(Debug, Clone, Copy)]
pub(super) struct Turns {
    /// Half circles.
    pub count: u8,
    /// Their radius.
    pub radius: f64,
    /// Side of them: 1 is below an axis to the right and left of an axis down, -1 the other.
    pub side: f64,
}

impl Turns {
    fn body(&self) -> f64 {
        2.0 * self.radius * f64::from(self.count)
    }

    fn curve(&self, axis: &Axis) -> String {
        let start = axis.mid(-self.body() / 2.0, 0.0);
        let mut d = format!("M{} {}", n(start.0), n(start.1));
        let sweep = u8::from(self.side < 0.0);
        for turn in 1..=self.count {
            let t = 2.0 * self.radius * f64::from(turn) - self.body() / 2.0;
            let (x, y) = axis.mid(t, 0.0);
            d.push_str(&format!("A{0} {0} 0 0 {sweep} {1} {2}", n(self.radius), n(x), n(y)));
        }
        d
    }
}

/// A winding from `a` to `b`, with further pins on it and, where polarity matters, a dot beside one end.
pub(super) fn winding(
    pen: &mut Pen,
    name: &str,
    (a, b): (Point, Point),
    turns: Turns,
    taps: &[Point],
    dot: Option<Point>,
) {
    let axis = Axis::new(a, b);
    let mut marks = leads(&axis, turns.body()).to_vec();
    marks.push(path(&turns.curve(&axis)));
    if let Some(at) = dot {
        marks.push(maud::html! { g data-part="polarity" { (disc(at, 2.8)) } });
    }
    let mut pins = vec![a, b];
    pins.extend_from_slice(taps);
    pen.part(name, &pins, &marks);
}

/// Iron core: two lines.
pub(super) fn core(pen: &mut Pen, a: Point, b: Point) {
    let axis = Axis::new(a, b);
    let at = |s: f64| line(&[axis.at(0.0, s), axis.at(axis.length, s)], WIRE);
    pen.part("core", &[], &[at(-2.0), at(2.0)]);
}

/// Choke or field coil with its core above; the axis runs to the right.
pub(super) fn coil(pen: &mut Pen, a: Point, b: Point, name: &str) {
    let axis = Axis::new(a, b);
    let turns = Turns { count: 4, radius: 6.0, side: -1.0 };
    let mut marks = leads(&axis, turns.body()).to_vec();
    marks.push(path(&turns.curve(&axis)));
    marks.push(line(&[axis.mid(-24.0, -10.0), axis.mid(24.0, -10.0)], WIRE));
    pen.part(name, &[a, b], &marks);
}

/// Electrolytic capacitor, positive at `a`; the axis runs down.
pub(super) fn electrolytic(pen: &mut Pen, a: Point, b: Point) {
    let axis = Axis::new(a, b);
    let [first, second] = leads(&axis, 8.0);
    let plate = |t: f64| line(&[axis.mid(t, -12.0), axis.mid(t, 12.0)], THICK);
    let (x, y) = axis.mid(-12.0, 10.0);
    let plus = [
        line(&[(x - 3.5, y), (x + 3.5, y)], THIN + 0.4),
        line(&[(x, y - 3.5), (x, y + 3.5)], THIN + 0.4),
    ];
    let mut marks = vec![first, second, plate(-4.0), plate(4.0)];
    marks.extend(plus);
    pen.part("capacitor", &[a, b], &marks);
}

/// Chassis.
pub(super) fn chassis(pen: &mut Pen, at: Point) {
    let (x, y) = at;
    let foot = y + 12.0;
    let mut marks =
        vec![line(&[at, (x, foot)], WIRE), line(&[(x - 12.0, foot), (x + 12.0, foot)], THICK)];
    for i in [-12.0, 0.0, 12.0] {
        marks.push(line(&[(x + i, foot), (x + i - 6.0, foot + 9.0)], WIRE));
    }
    pen.part("chassis", &[at], &marks);
}

/// What a diode is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Valve {
    /// Silicon or selenium.
    Dry,
    /// A tube with a heated cathode.
    Cathode,
    /// A tube whose filament is the cathode.
    Filament,
}

/// One diode from its anode `a` to its cathode `k`: the semiconductor symbol (IEC 60617-05-03-01), or a tube.
pub(super) fn diode(pen: &mut Pen, a: Point, k: Point, valve: Valve) {
    let axis = Axis::new(a, k);
    if valve == Valve::Dry {
        let marks = [
            outline(&[axis.mid(-8.0, -9.0), axis.mid(-8.0, 9.0), axis.mid(8.0, 0.0)]),
            line(&[axis.mid(8.0, -9.0), axis.mid(8.0, 9.0)], WIRE),
            line(&[a, k], WIRE),
        ];
        pen.part("diode", &[a, k], &marks);
        return;
    }
    const R: f64 = 17.0;
    let mut marks = vec![
        ring(axis.mid(0.0, 0.0), R),
        line(&[a, axis.mid(-6.0, 0.0)], WIRE),
        line(&[axis.mid(-6.0, -9.0), axis.mid(-6.0, 9.0)], THICK),
    ];
    if valve == Valve::Filament {
        let course =
            [axis.mid(11.0, -8.0), axis.mid(2.0, 0.0), axis.mid(11.0, 8.0), axis.mid(R, 0.0), k];
        marks.push(line(&course, WIRE));
    } else {
        marks.push(line(&[axis.mid(6.0, -8.0), axis.mid(6.0, 8.0)], WIRE));
        marks.push(line(&[axis.mid(6.0, 0.0), k], WIRE));
    }
    pen.part("tube diode", &[a, k], &marks);
}

/// Pins of the rectifier tube round its middle.
pub(super) struct RectifierPins {
    /// Plates from above.
    pub plates: Vec<Point>,
    /// Cathode, or the filament's end that gives B+.
    pub cathode: Point,
    /// The filament's other end.
    pub other: Option<Point>,
}

/// Rectifier tube of one or two plates, these to the left.
pub(super) fn rectifier(pen: &mut Pen, (x, y): Point, plates: u8, filament: bool) -> RectifierPins {
    const R: f64 = 32.0;
    let (left, right) = (x - R - 4.0, x + R + 4.0);
    let pins = RectifierPins {
        plates: match plates {
            1 => vec![(left, y)],
            _ => vec![(left, y - 14.0), (left, y + 14.0)],
        },
        cathode: (right, if filament { y - 11.0 } else { y }),
        other: filament.then_some((right, y + 11.0)),
    };
    let mut marks = vec![ring((x, y), R)];
    let half = if plates == 1 { 14.0 } else { 9.0 };
    for pin in &pins.plates {
        marks.push(line(&[*pin, (x - 14.0, pin.1)], WIRE));
        let plate = [(x - 14.0, pin.1 - half), (x - 14.0, pin.1 + half)];
        marks.push(line(&plate, THICK));
    }
    if let Some(other) = pins.other {
        let bend = [(x + 12.0, y - 11.0), (x + 2.0, y), (x + 12.0, y + 11.0)];
        let [first, middle, last] = bend;
        marks.push(line(&[pins.cathode, first, middle, last, other], WIRE));
    } else {
        marks.push(line(&[(x + 6.0, y - 14.0), (x + 6.0, y + 14.0)], THICK));
        marks.push(line(&[(x + 6.0, y), pins.cathode], WIRE));
    }
    let name = if filament { "rectifier with filament" } else { "rectifier with cathode" };
    let mut all = pins.plates.clone();
    all.push(pins.cathode);
    all.extend(pins.other);
    pen.part(name, &all, &marks);
    pins
}
