//! What feeds the supply: a winding or the line, and the rectifier's diodes between it and the rails.

use super::{
    frame::Point,
    pen::{Anchor, Pen, SIZE, bold},
    symbol::{self, ELECTROLYTIC, RESISTOR, Turns, Valve},
    text::{clean, fit, own_width, width},
    values::{charged, nameplate, with_volts},
};
use crate::{
    catalogue::{Catalogue, Wave},
    receiver::{
        OtherEnd,
        RectifierCircuit::{Bridge, FullWave, FullWaveDoubler, HalfWave, HalfWaveDoubler},
        TRANSFORMER,
    },
    report::figures::{amps, nameplate_ohms, point_volts, volts},
    study::{SupplyElement, SupplySketch},
};

/// A winding's axis, and where a large tube stands.
const WINDING: f64 = 54.0;
const TUBE: f64 = 184.0;
/// Plate and cathode of a dry rectifier in place of the tube.
const DRY: [f64; 2] = [148.0, 196.0];
/// Where the wires to a tube's plates turn.
const DOWN: f64 = 140.0;
/// Where the rectifier's output rises to the positive rail.
const RISE: f64 = 232.0;
/// Left end of the negative rail below a center tap.
const LEFT: f64 = 28.0;
/// Axes of circuits with legs between the rails: left leg, feed, right leg.
const LEG_A: f64 = 30.0;
const FEED: f64 = 112.0;
const LEG_B: f64 = 212.0;
/// Right end of the surge resistor, or left end of one to the left, from the feed's end.
const SURGE: f64 = 60.0;

/// The source of a sketch, drawn between two rails.
pub struct Source<'a> {
    sketch: &'a SupplySketch,
    valve: Valve,
    /// True for a rectifier of two plates on one cathode.
    both: bool,
    /// Heights of the rails, and half way.
    high: f64,
    low: f64,
    mid: f64,
}

impl Source<'_> {
    pub fn of(sketch: &SupplySketch) -> Source<'_> {
        let found = Catalogue::built_in().rectifier(&sketch.rectifier).ok();
        let kind = found.as_ref().map(|found| found.item);
        let valve = match (kind.is_some_and(|k| k.kind.is_dry()), sketch.heated_directly) {
            (true, _) => Valve::Dry,
            (false, true) => Valve::Filament,
            (false, false) => Valve::Cathode,
        };
        let both = kind.is_some_and(|k| k.wave == Wave::Full);
        Source { sketch, valve, both, high: 0.0, low: 0.0, mid: 0.0 }
    }

    /// Where the filter's elements begin behind it.
    pub fn ends_at(&self) -> f64 {
        match self.sketch.circuit {
            FullWave | HalfWave => 240.0,
            Bridge => 250.0,
            FullWaveDoubler => 284.0,
            HalfWaveDoubler => 330.0,
        }
    }

    /// Draws it between the rails; where these begin.
    pub fn draw(&self, pen: &mut Pen, [high, low]: [f64; 2]) -> [f64; 2] {
        let source = Source { high, low, mid: 0.5 * (high + low), ..*self };
        match self.sketch.circuit {
            FullWave => source.full_wave(pen),
            HalfWave => source.half_wave(pen),
            Bridge | FullWaveDoubler => source.legs(pen),
            HalfWaveDoubler => source.half_wave_doubler(pen),
        }
    }

    /// Words for the rails' ends at the source: the positive one's end left of `rise`, or begin above the other.
    fn ends(&self, pen: &mut Pen, rise: Option<f64>) {
        let ((plus, minus), cathode_v) = (self.end_names(), self.sketch.cathode_v);
        let y = self.high - 9.0;
        if let Some(x) = rise {
            let v = point_volts(cathode_v);
            pen.left((x, y), [bold(&v)]);
            pen.left((x - own_width(&v, SIZE) - 5.0, y), [plus]);
        } else {
            with_volts(pen, (LEFT, y), plus, cathode_v);
        }
        with_volts(pen, (LEFT, self.low + 18.0), minus, self.sketch.centre_v);
    }

    fn dc(&self) -> String {
        format!("{} DC", amps(self.sketch.dc_a))
    }

    /// Type and current, on one line beneath.
    fn label(&self, pen: &mut Pen) {
        let (y, name) = (self.low + 33.0, format!("{},", clean(&self.sketch.rectifier)));
        pen.user((LEFT, y), Anchor::Start, &name, 90.0);
        let next = width(&fit(&name, 90.0, SIZE, false), SIZE, false) + 4.0;
        pen.right((LEFT + next, y), [self.dc()]);
    }

    /// Type and current, one above the other.
    fn labels(&self, pen: &mut Pen, (x, y): Point) {
        pen.user((x, y), Anchor::Middle, &self.sketch.rectifier, 80.0);
        pen.about((x, y + 15.0), [self.dc()]);
    }

    /// A winding, or the line's two leads, at `x` from `top` to `bottom`.
    fn feed(&self, pen: &mut Pen, x: f64, [top, bottom]: [f64; 2]) {
        let mid = 0.5 * (top + bottom) - 4.0;
        let [all, ac] = [volts(self.sketch.half_v), "AC".to_owned()];
        if self.sketch.on_the_line {
            pen.terminal((x, top));
            pen.terminal((x, bottom));
            pen.span(x, top + 10.0, bottom - 10.0);
            return pen.right((x + 11.0, mid), [all, ac]);
        }
        let radius = ((bottom - top - 12.0) / 12.0).min(7.5);
        let turns = Turns(6, -radius);
        symbol::winding(pen, "high-voltage winding", x, [top, bottom], turns, &[]);
        symbol::core(pen, (x + 16.0, top + 14.0), (x + 16.0, bottom - 14.0));
        pen.right((x + 26.0, mid - 8.0), [TRANSFORMER.to_owned(), all, ac]);
    }

    /// From the feed's end towards plate `number`, through the surge resistor where there is one. The resistor takes
    /// 52 units from 8 units off the end on.
    fn to_plate(&self, pen: &mut Pen, number: u8, (x, y): Point, turns: &[f64]) {
        let (net, ohms) = (format!("plate {number}"), self.sketch.surge_ohms);
        if ohms <= 0.0 {
            return pen.level(&net, (x, y), turns);
        }
        let left = turns.first().is_some_and(|to| *to < x);
        let along = |d: f64| (x + if left { -d } else { d }, y);
        pen.level(&format!("feed {number}"), (x, y), [along(8.0).0]);
        RESISTOR.draw(pen, along(8.0), along(SURGE));
        pen.level(&net, along(SURGE), turns);
        let part = self.sketch.surge_parts.get(usize::from(number) - 1);
        let words = part.into_iter().cloned().chain([nameplate_ohms(ohms)]);
        let words = words.collect::<Vec<_>>().join(" ");
        // clear of the core beside a winding
        let (anchor, from) = if left { (Anchor::End, 17.0) } else { (Anchor::Start, 22.0) };
        pen.lines((along(from).0, y - 11.0), anchor, [words]);
    }

    /// A dry diode in the usual place behind the feed's end, and what leads from it to the positive rail.
    fn dry(&self, pen: &mut Pen, number: u8, (x, y): Point, turns: &[f64]) {
        let [a, k] = DRY;
        self.to_plate(pen, number, (x, y), &[a]);
        symbol::DRY_DIODE.draw(pen, (a, y), (k, y));
        pen.level("positive0", (k, y), turns);
    }

    /// A tube with one or two plates in the usual place, and what leads from its cathode to the rail; its plates.
    fn tube(&self, pen: &mut Pen, double: bool) -> Vec<Point> {
        let at = (TUBE, self.mid);
        let pins = symbol::rectifier(pen, at, double, self.valve == Valve::Filament);
        pen.level("positive0", pins.cathode, [RISE, self.high]);
        if let Some(other) = pins.other {
            // B+ is taken from one end of the filament's own winding
            let ends = [pins.cathode.1, other.1];
            symbol::winding(pen, "filament winding", RISE, ends, Turns(3, -3.5), &[]);
            pen.level("filament", other, [RISE]);
        }
        self.labels(pen, (TUBE, self.mid + 49.0));
        pins.plates
    }

    /// Two plates on a winding with a center tap.
    fn full_wave(&self, pen: &mut Pen) -> [f64; 2] {
        let (x, Source { high, low, mid, .. }) = (WINDING, self);
        let ends = [high + 24.0, low - 24.0];
        symbol::winding(pen, "high-voltage winding", x, ends, Turns(8, -6.0), &[*mid]);
        symbol::core(pen, (x + 16.0, high + 38.0), (x + 16.0, low - 38.0));
        let half = volts(self.sketch.half_v);
        pen.about((108.0, mid - 22.0), [TRANSFORMER, "2 ×", &half, "AC"]);
        if self.valve == Valve::Dry {
            for (number, y) in (1..).zip(ends) {
                self.dry(pen, number, (x, y), &[RISE]);
            }
            pen.upright("positive0", (RISE, ends[1]), [*high]);
            pen.joint((RISE, ends[0]));
            self.labels(pen, (TUBE, mid - 3.0));
        } else {
            let plates = self.tube(pen, true);
            for ((number, y), pin) in (1..).zip(ends).zip(plates) {
                self.to_plate(pen, number, (x, y), &[DOWN, pin.1, pin.0]);
            }
        }
        pen.level("negative0", (x, *mid), [LEFT, *low]);
        self.ends(pen, Some(RISE));
        [RISE, LEFT]
    }

    /// One plate, or several joined, on a winding or on the line.
    fn half_wave(&self, pen: &mut Pen) -> [f64; 2] {
        let (x, [top, bottom]) = self.one_feed(pen);
        if self.valve == Valve::Dry {
            self.dry(pen, 1, (x, top), &[RISE, self.high]);
            self.labels(pen, (172.0, top + 30.0));
        } else {
            // the two plates of a full-wave tube are joined on its one cathode
            let plates = self.tube(pen, self.both);
            if let [pin, ..] = plates[..] {
                self.to_plate(pen, 1, (x, top), &[DOWN, pin.1, pin.0]);
            }
            if let [first, second] = plates[..] {
                pen.upright("plate 1", (DOWN, first.1), [second.1, second.0]);
                pen.joint((DOWN, first.1));
            }
        }
        self.line_words(pen, x, [top, bottom]);
        self.ends(pen, Some(RISE));
        [RISE, x]
    }

    /// A feed whose lower end is the negative rail; where it stands.
    fn one_feed(&self, pen: &mut Pen) -> (f64, [f64; 2]) {
        let line = self.sketch.on_the_line;
        let (x, bottom) = if line { (40.0, self.low) } else { (WINDING, self.low - 24.0) };
        let ends = [self.high + 24.0, bottom];
        self.feed(pen, x, ends);
        if !line {
            pen.upright("negative0", (x, bottom), [self.low]);
        }
        (x, ends)
    }

    /// Names of the line's leads, of a set on the line. Where the neutral one is the negative rail, the rail's end says so.
    fn line_words(&self, pen: &mut Pen, x: f64, [top, bottom]: [f64; 2]) {
        if !self.sketch.on_the_line {
            return;
        }
        pen.about((x, top - 11.0), ["line"]);
        if bottom < self.low - 1.0 {
            pen.about((x, bottom + 20.0), ["neutral"]);
        }
    }

    /// Two legs from rail to rail with the feed between their middles: diodes to the left; to the right diodes again
    /// (a bridge), or the two capacitors of a full-wave doubler.
    fn legs(&self, pen: &mut Pen) -> [f64; 2] {
        let Source { sketch, high, low, mid, .. } = *self;
        let ends = [high + 36.0, low - 36.0];
        self.feed(pen, FEED, ends);
        // a resistor to the left would end short of the usual turn
        let turn = if sketch.surge_ohms > 0.0 { FEED - SURGE } else { 60.0 };
        self.to_plate(pen, 1, (FEED, ends[0]), &[turn, mid, LEG_A]);
        let doubles = sketch.circuit.facts().doubles;
        let net = if doubles { "middle" } else { "plate 2" };
        pen.level(net, (FEED, ends[1]), [LEG_B - 24.0, mid, LEG_B]);
        if doubles {
            for ([a, b], capacitor) in [[high, mid], [mid, low]].into_iter().zip(&sketch.doubler) {
                ELECTROLYTIC.draw(pen, (LEG_B, a), (LEG_B, b));
                pen.right((LEG_B + 19.0, 0.5 * (a + b) - 11.0), nameplate(capacitor));
            }
            if let Some(SupplyElement::Capacitor { negative_v, .. }) = sketch.doubler.first() {
                pen.right((LEG_B + 9.0, mid + 4.0), [bold(point_volts(*negative_v))]);
            }
        }
        for x in if doubles { &[LEG_A][..] } else { &[LEG_A, LEG_B] } {
            self.leg(pen, *x);
        }
        for at in [(LEG_A, mid), (LEG_B, mid), (LEG_B, high), (LEG_B, low)] {
            pen.joint(at);
        }
        self.line_words(pen, FEED, ends);
        self.ends(pen, None);
        self.label(pen);
        [LEG_A, LEG_A]
    }

    /// Two diodes from rail to rail at `x`, the lower first.
    fn leg(&self, pen: &mut Pen, x: f64) {
        for (a, k) in [(self.low, self.mid), (self.mid, self.high)] {
            self.valve.diode().draw(pen, (x, a), (x, k));
        }
    }

    /// A capacitor in the AC lead, two diodes from rail to rail with their middle behind it, and the second capacitor.
    fn half_wave_doubler(&self, pen: &mut Pen) -> [f64; 2] {
        let Source { sketch, high, low, mid, valve, .. } = *self;
        let (x, ends) = self.one_feed(pen);
        self.line_words(pen, x, ends);
        let (down, plus, leg) = (132.0, 184.0, 226.0);
        self.to_plate(pen, 1, (x, ends[0]), &[down, mid, down + 8.0]);
        ELECTROLYTIC.draw(pen, (plus, mid), (down + 8.0, mid));
        pen.level("lifted", (plus, mid), [leg]);
        if let Some(first) = sketch.doubler.first() {
            let mut words = nameplate(first);
            if let SupplyElement::Capacitor { positive_v, negative_v, .. } = first {
                words.push(bold(point_volts(positive_v - negative_v)));
            }
            pen.about((162.0, mid + 25.0), words);
        }
        valve.diode().draw(pen, (leg, mid), (leg, high));
        valve.diode().draw(pen, (leg, low), (leg, mid));
        pen.joint((leg, mid));
        pen.joint((leg, low));
        if let Some(second) = sketch.doubler.get(1) {
            let x = leg + 40.0;
            ELECTROLYTIC.draw(pen, (x, high), (x, low));
            pen.joint((x, high));
            pen.joint((x, low));
            pen.right((x + 17.0, mid - 11.0), nameplate(second));
        }
        self.ends(pen, Some(leg + 12.0));
        self.label(pen);
        [leg, x]
    }

    /// What the rails' ends at the source are called.
    fn end_names(&self) -> (&'static str, &'static str) {
        let plus = if self.valve == Valve::Dry { "positive end" } else { "cathode" };
        let minus = match (self.sketch.circuit.facts().other_end, self.sketch.on_the_line) {
            (OtherEnd::CentreTap, _) => "center tap",
            (OtherEnd::Rail, true) => "neutral",
            _ => "negative end",
        };
        (plus, minus)
    }

    /// It in words.
    pub fn describe(&self) -> String {
        let SupplySketch { half_v, surge_ohms, .. } = *self.sketch;
        let (name, half) = (clean(&self.sketch.rectifier), volts(half_v));
        let dry = self.valve == Valve::Dry;
        let kind = if dry { "dry rectifier" } else { "tube" };
        let surge = match surge_ohms > 0.0 {
            true => format!("through {} ", nameplate_ohms(surge_ohms)),
            false => String::new(),
        };
        let ((plus, minus), dc) = (self.end_names(), self.dc());
        let [plus_v, minus_v] = [self.sketch.cathode_v, self.sketch.centre_v].map(point_volts);
        let capacitors: Vec<String> = self.sketch.doubler.iter().map(charged).collect();
        let capacitors = capacitors.join(" and ");
        let circuit = match self.sketch.circuit {
            FullWave => {
                let (both, one, of) = match dry {
                    true => ("two diodes", "a diode", format!("{name} as full-wave rectifier")),
                    false => ("the plates", "a plate", format!("the full-wave rectifier {name}")),
                };
                let plates = match surge.is_empty() {
                    true => format!("to {both} of {of}"),
                    false => format!("each end {surge}to {one} of {of}"),
                };
                return format!(
                    "High-voltage winding of 2 × {half}, center tap at {minus_v}, {plates}, its {plus} at {plus_v}, {dc}."
                );
            }
            HalfWave => format!(
                "one end {surge}to the {kind} {name} as half-wave rectifier, the other end the negative rail"
            ),
            Bridge => {
                format!("one end {surge}and the other to a bridge of four diodes, {kind} {name}")
            }
            FullWaveDoubler => format!(
                "one end {surge}to two diodes, {kind} {name}, one towards each rail; the other end to the middle of two \
                 capacitors in series from rail to rail, {capacitors}: a full-wave doubler"
            ),
            HalfWaveDoubler => format!(
                "one end {surge}and a capacitor in the AC lead to the middle of two diodes in series from the negative to \
                 the positive rail, {kind} {name}; the other end the negative rail; the capacitor in the lead and the one \
                 from rail to rail: {capacitors}: a half-wave doubler"
            ),
        };
        let feed = match self.sketch.on_the_line {
            true => format!("The line, {half} AC and without a transformer,"),
            false => format!("High-voltage winding of {half} AC"),
        };
        format!("{feed} feeds, {circuit}; {plus} at {plus_v}, {minus} at {minus_v}, {dc}.")
    }
}
