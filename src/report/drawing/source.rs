//! What feeds the supply: a winding or the line, and the rectifier's diodes between it and the rails.

use super::frame::Point;
use super::pen::Anchor::{self, End, Middle, Start};
use super::pen::{BOLD, PLAIN, Pen, SIZE};
use super::symbol::{self, Turns, Valve};
use super::text::{clean, fit, width};
use crate::catalogue::{Catalogue, RectifierType, Wave};
use crate::receiver::RectifierCircuit;
use crate::report::figures::{
    amps, nameplate_farads, nameplate_ohms, nameplate_volts, point_volts, volts,
};
use crate::study::{SupplyElement, SupplySketch};

/// Where the filter's elements begin behind the source of a sketch.
pub(super) fn ends_at(sketch: &SupplySketch) -> f64 {
    match sketch.circuit {
        RectifierCircuit::FullWave | RectifierCircuit::HalfWave => 240.0,
        RectifierCircuit::Bridge => 250.0,
        RectifierCircuit::FullWaveDoubler => 284.0,
        RectifierCircuit::HalfWaveDoubler => 330.0,
    }
}

/// A winding's axis, and where a large tube stands.
const WINDING: f64 = 54.0;
const TUBE: f64 = 184.0;
/// Where the rectifier's output rises to the positive rail.
const RISE: f64 = 232.0;
/// Left end of the negative rail below a centre tap.
const LEFT: f64 = 28.0;
/// Axes of circuits with legs between the rails: left leg, feed, right leg.
const LEG_A: f64 = 30.0;
const FEED: f64 = 112.0;
const LEG_B: f64 = 212.0;

/// The type in the catalogue, if it stands there.
fn of_type(sketch: &SupplySketch) -> Option<RectifierType> {
    let found = Catalogue::built_in().rectifier(&sketch.rectifier);
    found.ok().map(|found| found.item.clone())
}

fn valve(sketch: &SupplySketch) -> Valve {
    let dry = of_type(sketch).is_some_and(|kind| kind.kind.is_dry());
    match (dry, sketch.heated_directly) {
        (true, _) => Valve::Dry,
        (false, true) => Valve::Filament,
        (false, false) => Valve::Cathode,
    }
}

/// A sketch being drawn between two rails.
struct Source<'a> {
    sketch: &'a SupplySketch,
    high: f64,
    low: f64,
    valve: Valve,
}

/// Draws the source between the rails; where the rails begin.
pub(super) fn draw(pen: &mut Pen, sketch: &SupplySketch, high: f64, low: f64) -> [f64; 2] {
    let source = Source { sketch, high, low, valve: valve(sketch) };
    match sketch.circuit {
        RectifierCircuit::FullWave => source.full_wave(pen),
        RectifierCircuit::HalfWave => source.half_wave(pen),
        RectifierCircuit::Bridge => source.legs(pen, false),
        RectifierCircuit::FullWaveDoubler => source.legs(pen, true),
        RectifierCircuit::HalfWaveDoubler => source.half_wave_doubler(pen),
    }
}

impl Source<'_> {
    fn mid(&self) -> f64 {
        0.5 * (self.high + self.low)
    }

    /// Words for the rails' ends at the source: the positive one's end left of `positive` or begin there.
    fn ends(&self, pen: &mut Pen, (positive, anchor): (f64, Anchor), negative: f64) {
        let (plus, minus) = end_names(self.sketch);
        let put = |pen: &mut Pen, at: Point, name: &str, v: f64| {
            pen.text(at, Start, PLAIN, name);
            let at = (at.0 + own_width(name) + 5.0, at.1);
            pen.text(at, Start, BOLD, &point_volts(v));
        };
        let (cathode, y) = (self.sketch.cathode_v, self.high - 9.0);
        if anchor == Start {
            put(pen, (positive, y), plus, cathode);
        } else {
            let v = point_volts(cathode);
            pen.text((positive, y), End, BOLD, &v);
            let next = positive - own_width(&v) - 5.0;
            pen.text((next, y), End, PLAIN, plus);
        }
        let at = (negative, self.low + 18.0);
        put(pen, at, minus, self.sketch.centre_v);
    }

    /// Type and current, on one line.
    fn label(&self, pen: &mut Pen, at: Point) {
        let name = format!("{},", clean(&self.sketch.rectifier));
        pen.user(at, Start, PLAIN, 90.0, &name);
        let next = at.0 + width(&fit(&name, 90.0, SIZE, false), SIZE, false) + 4.0;
        let dc = format!("{} DC", amps(self.sketch.dc_a));
        pen.text((next, at.1), Start, PLAIN, &dc);
    }

    /// Type and current, one above the other.
    fn labels(&self, pen: &mut Pen, at: Point) {
        pen.user(at, Middle, PLAIN, 80.0, &self.sketch.rectifier);
        let dc = format!("{} DC", amps(self.sketch.dc_a));
        pen.text((at.0, at.1 + 15.0), Middle, PLAIN, &dc);
    }

    /// A winding, or the line's two leads, from `top` to `bottom`.
    fn feed(&self, pen: &mut Pen, top: Point, bottom: Point) {
        let mid = 0.5 * (top.1 + bottom.1);
        let volts = volts(self.sketch.half_v);
        let words = [(PLAIN, volts.as_str()), (PLAIN, "AC")];
        if self.sketch.on_the_line {
            pen.terminal(top);
            pen.terminal(bottom);
            pen.span(top.0, top.1 + 10.0, bottom.1 - 10.0);
            pen.lines((top.0 + 11.0, mid - 4.0), Start, &words);
            return;
        }
        let room = bottom.1 - top.1 - 12.0;
        let turns = Turns { count: 6, radius: (room / 12.0).min(7.5), side: -1.0 };
        symbol::winding(pen, "high-voltage winding", (top, bottom), turns, &[], None);
        let x = top.0 + 16.0;
        symbol::core(pen, (x, top.1 + 14.0), (x, bottom.1 - 14.0));
        pen.lines((x + 10.0, mid - 4.0), Start, &words);
    }

    /// From the feed's end towards plate `number`, through the surge resistor where there is one. The resistor takes
    /// 52 units from 8 units off the end on, to the left where `left`.
    fn to_plate(&self, pen: &mut Pen, number: u8, path: &[Point], left: bool) {
        let Some((from, rest)) = path.split_first() else {
            return;
        };
        let net = format!("plate {number}");
        if self.sketch.surge_ohms <= 0.0 {
            pen.wire(&net, path);
            return;
        }
        let along = |d: f64| (from.0 + if left { -d } else { d }, from.1);
        let (a, b) = (along(8.0), along(60.0));
        pen.wire(&format!("feed {number}"), &[*from, a]);
        symbol::resistor(pen, a, b);
        let mut course = vec![b];
        course.extend_from_slice(rest);
        pen.wire(&net, &course);
        let ohms = nameplate_ohms(self.sketch.surge_ohms);
        let at = (along(34.0).0, from.1 - 11.0);
        pen.text(at, Middle, PLAIN, &ohms);
    }

    /// A tube with one or two plates in the usual place; what leads from its cathode to the rail.
    fn tube(&self, pen: &mut Pen, plates: u8) -> Vec<Point> {
        let at = (TUBE, self.mid());
        let pins = symbol::rectifier(pen, at, plates, self.valve == Valve::Filament);
        let (start, end) = (pins.cathode, (RISE, pins.cathode.1));
        pen.wire("positive0", &[start, end, (RISE, self.high)]);
        if let Some(other) = pins.other {
            // B+ is taken from one end of the filament's own winding
            let foot = (RISE, other.1);
            let turns = Turns { count: 3, radius: 3.5, side: -1.0 };
            symbol::winding(pen, "filament winding", (end, foot), turns, &[], None);
            pen.wire("filament", &[other, foot]);
        }
        self.labels(pen, (at.0, at.1 + 49.0));
        pins.plates
    }

    /// Two plates on a winding with a centre tap.
    fn full_wave(&self, pen: &mut Pen) -> [f64; 2] {
        let (x, mid) = (WINDING, self.mid());
        let (top, bottom, tap) = ((x, self.high + 24.0), (x, self.low - 24.0), (x, mid));
        let turns = Turns { count: 8, radius: 6.0, side: -1.0 };
        let ends = (top, bottom);
        symbol::winding(pen, "high-voltage winding", ends, turns, &[tap], None);
        symbol::core(pen, (x + 16.0, self.high + 38.0), (x + 16.0, self.low - 38.0));
        let half = volts(self.sketch.half_v);
        pen.lines((108.0, mid - 11.0), Middle, &[(PLAIN, "2 ×"), (PLAIN, &half), (PLAIN, "AC")]);
        if self.valve == Valve::Dry {
            for (number, end) in [(1, top), (2, bottom)] {
                let (a, k) = ((148.0, end.1), (196.0, end.1));
                self.to_plate(pen, number, &[end, a], false);
                symbol::diode(pen, a, k, self.valve);
                pen.wire("positive0", &[k, (RISE, end.1)]);
            }
            let course = [(RISE, bottom.1), (RISE, self.high)];
            pen.wire("positive0", &course);
            pen.joint((RISE, top.1));
            self.labels(pen, (TUBE, mid - 3.0));
        } else {
            let down = 140.0;
            let plates = self.tube(pen, 2);
            for ((number, end), pin) in [(1, top), (2, bottom)].into_iter().zip(plates) {
                let path = [end, (down, end.1), (down, pin.1), pin];
                self.to_plate(pen, number, &path, false);
            }
        }
        pen.wire("negative0", &[tap, (LEFT, mid), (LEFT, self.low)]);
        self.ends(pen, (RISE, End), LEFT);
        [RISE, LEFT]
    }

    /// One plate, or several joined, on a winding or on the line.
    fn half_wave(&self, pen: &mut Pen) -> [f64; 2] {
        let (top, bottom) = self.one_feed(pen);
        if self.valve == Valve::Dry {
            let (a, k) = ((148.0, top.1), (196.0, top.1));
            self.to_plate(pen, 1, &[top, a], false);
            symbol::diode(pen, a, k, self.valve);
            pen.wire("positive0", &[k, (RISE, top.1), (RISE, self.high)]);
            self.labels(pen, (172.0, top.1 + 30.0));
        } else {
            // the two plates of a full-wave tube are joined on its one cathode
            let both = of_type(self.sketch).is_some_and(|kind| kind.wave == Wave::Full);
            let plates = self.tube(pen, if both { 2 } else { 1 });
            let down = 140.0;
            let course: Vec<Point> = plates.iter().map(|pin| (down, pin.1)).collect();
            if let ([first, ..], [pin, ..]) = (course.as_slice(), plates.as_slice()) {
                let path = [top, (down, top.1), *first, *pin];
                self.to_plate(pen, 1, &path, false);
            }
            if let ([first, second], [_, pin]) = (course.as_slice(), plates.as_slice()) {
                pen.wire("plate 1", &[*first, *second, *pin]);
                pen.joint(*first);
            }
        }
        self.line_words(pen, top, bottom);
        self.ends(pen, (RISE, End), LEFT);
        [RISE, top.0]
    }

    /// A feed whose lower end is the negative rail; its ends.
    fn one_feed(&self, pen: &mut Pen) -> (Point, Point) {
        let line = self.sketch.on_the_line;
        let x = if line { 40.0 } else { WINDING };
        let top = (x, self.high + 24.0);
        let bottom = (x, if line { self.low } else { self.low - 24.0 });
        self.feed(pen, top, bottom);
        if !line {
            pen.wire("negative0", &[bottom, (x, self.low)]);
        }
        (top, bottom)
    }

    /// Names of the line's leads, of a set on the line. Where the neutral one is the negative rail, the rail's end says so.
    fn line_words(&self, pen: &mut Pen, top: Point, bottom: Point) {
        if !self.sketch.on_the_line {
            return;
        }
        pen.text((top.0, top.1 - 11.0), Middle, PLAIN, "line");
        if bottom.1 < self.low - 1.0 {
            pen.text((bottom.0, bottom.1 + 20.0), Middle, PLAIN, "neutral");
        }
    }

    /// Two legs from rail to rail with the feed between their middles: diodes to the left; to the right diodes again
    /// (a bridge), or the two capacitors of a full-wave doubler.
    fn legs(&self, pen: &mut Pen, doubles: bool) -> [f64; 2] {
        let (high, low, mid) = (self.high, self.low, self.mid());
        let (top, bottom) = ((FEED, high + 36.0), (FEED, low - 36.0));
        self.feed(pen, top, bottom);
        // a resistor to the left would end short of the usual turn
        let turn = if self.sketch.surge_ohms > 0.0 { FEED - 60.0 } else { 60.0 };
        let path = [top, (turn, top.1), (turn, mid), (LEG_A, mid)];
        self.to_plate(pen, 1, &path, true);
        let turn = LEG_B - 24.0;
        let path = [bottom, (turn, bottom.1), (turn, mid), (LEG_B, mid)];
        pen.wire(if doubles { "middle" } else { "plate 2" }, &path);
        let mut columns = vec![LEG_A];
        if doubles {
            let ends = [((LEG_B, high), (LEG_B, mid)), ((LEG_B, mid), (LEG_B, low))];
            for ((a, b), capacitor) in ends.into_iter().zip(&self.sketch.doubler) {
                symbol::electrolytic(pen, a, b);
                let words = nameplate(capacitor);
                let y = 0.5 * (a.1 + b.1) - 3.0;
                pen.lines((LEG_B + 19.0, y), Start, &words);
            }
            if let Some(SupplyElement::Capacitor { negative_v, .. }) = self.sketch.doubler.first() {
                let at = (LEG_B + 9.0, mid + 4.0);
                pen.text(at, Start, BOLD, &point_volts(*negative_v));
            }
        } else {
            columns.push(LEG_B);
        }
        for x in columns {
            symbol::diode(pen, (x, low), (x, mid), self.valve);
            symbol::diode(pen, (x, mid), (x, high), self.valve);
        }
        for at in [(LEG_A, mid), (LEG_B, mid), (LEG_B, high), (LEG_B, low)] {
            pen.joint(at);
        }
        self.line_words(pen, top, bottom);
        self.ends(pen, (LEFT, Start), LEFT);
        self.label(pen, (LEFT, low + 33.0));
        [LEG_A, LEG_A]
    }

    /// A capacitor in the AC lead, two diodes from rail to rail with their middle behind it, and the second capacitor.
    fn half_wave_doubler(&self, pen: &mut Pen) -> [f64; 2] {
        let (high, low, mid) = (self.high, self.low, self.mid());
        let (top, bottom) = self.one_feed(pen);
        self.line_words(pen, top, bottom);
        let (down, plus, leg) = (132.0, 184.0, 226.0);
        let path = [top, (down, top.1), (down, mid), (down + 8.0, mid)];
        self.to_plate(pen, 1, &path, false);
        symbol::electrolytic(pen, (plus, mid), (down + 8.0, mid));
        pen.wire("lifted", &[(plus, mid), (leg, mid)]);
        if let Some(first) = self.sketch.doubler.first() {
            let mut words = nameplate(first);
            if let SupplyElement::Capacitor { positive_v, negative_v, .. } = first {
                words.push((BOLD, point_volts(positive_v - negative_v)));
            }
            pen.lines((162.0, mid + 28.0), Middle, &words);
        }
        symbol::diode(pen, (leg, mid), (leg, high), self.valve);
        symbol::diode(pen, (leg, low), (leg, mid), self.valve);
        pen.joint((leg, mid));
        pen.joint((leg, low));
        if let Some(second) = self.sketch.doubler.get(1) {
            let x = leg + 40.0;
            symbol::electrolytic(pen, (x, high), (x, low));
            pen.joint((x, high));
            pen.joint((x, low));
            pen.lines((x + 17.0, mid - 3.0), Start, &nameplate(second));
        }
        self.ends(pen, (leg + 12.0, End), LEFT);
        self.label(pen, (LEFT, low + 33.0));
        [leg, top.0]
    }
}

/// Width of plain words of our own, closer than what is kept free round a user's.
pub(super) fn own_width(text: &str) -> f64 {
    0.6 * SIZE * text.chars().count() as f64
}

/// What is printed on a capacitor, in lines.
pub(super) fn nameplate(element: &SupplyElement) -> Vec<(super::pen::Face, String)> {
    let SupplyElement::Capacitor { farads, rated_v, .. } = element else {
        return Vec::new();
    };
    let mut words = vec![(PLAIN, nameplate_farads(*farads))];
    words.extend(rated_v.map(|v| (PLAIN, nameplate_volts(v))));
    words
}

/// What the rails' ends at the source are called.
fn end_names(sketch: &SupplySketch) -> (&'static str, &'static str) {
    let plus = match valve(sketch) {
        Valve::Dry => "positive end",
        Valve::Cathode | Valve::Filament => "cathode",
    };
    let minus = match (sketch.circuit, sketch.on_the_line) {
        (RectifierCircuit::FullWave, _) => "centre tap",
        (RectifierCircuit::HalfWave | RectifierCircuit::HalfWaveDoubler, true) => "neutral",
        _ => "negative end",
    };
    (plus, minus)
}

/// The source in words.
pub(super) fn describe(sketch: &SupplySketch) -> String {
    let feed = if sketch.on_the_line {
        format!("The line, {} AC and without a transformer,", volts(sketch.half_v))
    } else {
        format!("High-voltage winding of {} AC", volts(sketch.half_v))
    };
    let name = clean(&sketch.rectifier);
    let surge = match sketch.surge_ohms > 0.0 {
        true => format!("through {} ", nameplate_ohms(sketch.surge_ohms)),
        false => String::new(),
    };
    let (plus, minus) = end_names(sketch);
    let minus_v = point_volts(sketch.centre_v);
    let kind = match valve(sketch) {
        Valve::Dry => "dry rectifier",
        Valve::Cathode | Valve::Filament => "tube",
    };
    let capacitors: Vec<String> = sketch.doubler.iter().map(charged).collect();
    let capacitors = capacitors.join(" and ");
    let circuit = match sketch.circuit {
        RectifierCircuit::FullWave => {
            let plates = match (kind, surge.is_empty()) {
                ("dry rectifier", true) => {
                    format!("to two diodes of {name} as full-wave rectifier")
                }
                ("dry rectifier", false) => {
                    format!("each end {surge}to a diode of {name} as full-wave rectifier")
                }
                (_, true) => format!("to the plates of the full-wave rectifier {name}"),
                (_, false) => {
                    format!("each end {surge}to a plate of the full-wave rectifier {name}")
                }
            };
            return format!(
                "High-voltage winding of 2 × {}, centre tap at {minus_v}, {plates}, its {plus} at {}, {} DC.",
                volts(sketch.half_v),
                point_volts(sketch.cathode_v),
                amps(sketch.dc_a),
            );
        }
        RectifierCircuit::HalfWave => format!(
            "one end {surge}to the {kind} {name} as half-wave rectifier, the other end the negative rail"
        ),
        RectifierCircuit::Bridge => {
            format!("one end {surge}and the other to a bridge of four diodes, {kind} {name}")
        }
        RectifierCircuit::FullWaveDoubler => format!(
            "one end {surge}to two diodes, {kind} {name}, one towards each rail; the other end to the middle of two \
             capacitors in series from rail to rail, {capacitors}: a full-wave doubler"
        ),
        RectifierCircuit::HalfWaveDoubler => format!(
            "one end {surge}and a capacitor in the AC lead to the middle of two diodes in series from the negative to \
             the positive rail, {kind} {name}; the other end the negative rail; the capacitor in the lead and the one \
             from rail to rail: {capacitors}: a half-wave doubler"
        ),
    };
    format!(
        "{feed} feeds, {circuit}; {plus} at {}, {minus} at {minus_v}, {} DC.",
        point_volts(sketch.cathode_v),
        amps(sketch.dc_a),
    )
}

/// A capacitor with the volts across it.
fn charged(element: &SupplyElement) -> String {
    match element {
        SupplyElement::Capacitor { farads, positive_v, negative_v, .. } => format!(
            "{} with {} across it",
            nameplate_farads(*farads),
            point_volts(positive_v - negative_v)
        ),
        _ => String::new(),
    }
}
