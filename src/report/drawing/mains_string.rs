//! A set without a transformer on the mains side: its heater string from lead to lead, its supply and chassis beside it.

use super::{
    frame::Point,
    mains_branches::Block,
    mains_place::{LIVE, NEUTRAL},
    pen::{BOLD, Face, Lines, Pen, Words, bold, outline, plain},
    symbol::{
        BALLAST, BARRETTER, DRY_DIODE, FILM, HEATERS, RESISTOR, SMALL_LAMP, SMALL_RESISTOR, Symbol,
        chassis, warning,
    },
};
use crate::{
    report::figures::volts,
    study::{LeadPartReading, PartKind, Reading},
};

/// What a reading tells of a heater string.
pub struct Parts<'r> {
    /// The heaters below the droppers.
    heaters: Block,
    /// Voltage across the tapped part of the rectifier's heater, ahead of everything, and whether a lamp lies across it.
    tap: Option<(f64, bool)>,
    /// Volts of lamps that lie across a section of a dropper.
    lamps: Vec<f64>,
    /// What stands in series, from the line on.
    droppers: Vec<&'r LeadPartReading>,
    /// The resistor in the plate lead.
    plate: Option<&'r LeadPartReading>,
}

impl Parts<'_> {
    pub fn of(usual: &Reading) -> Parts<'_> {
        let elsewhere = |kind| {
            use PartKind::{InBranch, MainsResistor, SecondSurge};
            matches!(kind, InBranch(_) | MainsResistor | SecondSurge)
        };
        let (plate, droppers): (Vec<_>, Vec<_>) = usual
            .droppers
            .iter()
            .filter(|d| !elsewhere(d.kind))
            .partition(|d| d.kind == PartKind::Surge);
        let rest = usual.heaters.iter().filter(|h| !h.is_tap && !h.is_barretter);
        let (beside, rest): (Vec<_>, Vec<_>) = rest.partition(|h| h.lamp_across);
        let tap = usual.heaters.iter().find(|h| h.is_tap);
        Parts {
            heaters: Block::of(usual, rest.into_iter()),
            tap: tap.map(|h| (h.volts_v, h.lamp_across)),
            lamps: beside.iter().map(|h| h.volts_v).collect(),
            plate: plate.first().copied(),
            droppers,
        }
    }

    /// The string and what stands beside it, behind "its heater string lies across the line".
    pub fn words(&self) -> String {
        let mut text = self.heaters.words();
        for (place, dropper) in self.droppers.iter().enumerate() {
            let (and, name) = (if place == 0 { "behind" } else { "and" }, self.named(dropper));
            text += &format!(" {and} {name} with {} across it", volts(dropper.volts_v));
        }
        for v in &self.lamps {
            text += &format!(", a lamp with {} across a section of the dropper", volts(*v));
        }
        if let Some((v, lamp)) = self.tap {
            let (across, lamp) = (volts(v), if lamp { " and a lamp" } else { "" });
            text += &format!(
                "; the tapped part of the rectifier's heater, with {across}{lamp} across it, stands ahead of it all"
            );
        }
        text += "; its supply lies across the line as well";
        if let Some(plate) = self.plate {
            let (part, v) = (plate.part.as_deref().unwrap_or("a resistor"), volts(plate.volts_v));
            text += &format!(", behind {part} in the plate lead with {v} across it");
        }
        text
    }

    /// A dropper in the words of a description.
    fn named(&self, dropper: &LeadPartReading) -> String {
        // several are numbered
        let plain =
            |d: &&&LeadPartReading| matches!(d.kind, PartKind::Resistor | PartKind::Cord(_));
        match dropper.kind {
            PartKind::Cord(_) => "resistance wire in the line cord".to_owned(),
            PartKind::Resistor if self.droppers.iter().filter(plain).count() == 1 => {
                let part = dropper.part.as_ref().map(|part| format!(", {part},"));
                format!("a dropper{}", part.unwrap_or_default())
            }
            PartKind::Diode => "a diode and its resistor".to_owned(),
            _ => format!("the {}", dropper.name),
        }
    }

    /// Height for lamps across a section of the dropper, where there is room for one.
    fn lamp_room(&self) -> f64 {
        let room = self.tap.is_none() && (1..=2).contains(&self.droppers.len());
        if room && !self.lamps.is_empty() { LAMP } else { 0.0 }
    }
}

/// A dropper's name in a word, and its symbol, where `resistor` is how one is drawn.
fn look(kind: PartKind, resistor: Symbol) -> (&'static str, Symbol) {
    match kind {
        PartKind::Cord(_) => ("in cord", resistor),
        PartKind::Ballast => ("ballast", BALLAST),
        PartKind::Barretter => ("barretter", BARRETTER),
        PartKind::Capacitor => ("capacitor", FILM),
        // beside the symbol of its resistor
        PartKind::Diode => ("diode, R", DRY_DIODE),
        PartKind::Ahead => ("resistor", resistor),
        PartKind::Resistor
        | PartKind::InBranch(_)
        | PartKind::Surge
        | PartKind::SecondSurge
        | PartKind::InLead
        | PartKind::MainsResistor => ("dropper", resistor),
    }
}

/// What the wire from the droppers to the heaters is called.
const BELOW: &str = "below the dropper";
/// What the one behind a lamp beside the dropper is called.
const BELOW_LAMP: &str = "below the lamp";
/// What the one behind the tapped part of the rectifier's heater is called.
const TAP: &str = "heater tap";
/// Length of the wire behind the droppers, and behind each of several.
const LEAD: f64 = 4.0;
const JOINT: f64 = 3.0;
/// Height that the heaters keep below several droppers.
const FOR_HEATERS: f64 = 44.0;
/// Height of a lamp beside a section of the dropper.
const LAMP: f64 = 34.0;
/// From the string to the words beside it.
const BESIDE: f64 = 12.0;

/// A heater string being drawn from the hot wire downwards.
pub struct Strung<'a> {
    parts: Option<Parts<'a>>,
    x: f64,
    /// How far it has come, and the net there.
    y: f64,
    net: &'a str,
    /// The other lead's net.
    back: &'a str,
}

impl<'a> Strung<'a> {
    /// The string at `x` between the leads of the nets `net` and `back`.
    pub fn at(x: f64, (net, back): (&'a str, &'a str), usual: Option<&'a Reading>) -> Strung<'a> {
        Strung { parts: usual.map(Parts::of), x, y: LIVE, net, back }
    }

    /// Draws the string from lead to lead, and beside it the supply with the chassis.
    pub fn draw(mut self, pen: &mut Pen) {
        let (x, parts) = (self.x, self.parts.take());
        if let Some(tap) = parts.as_ref().and_then(|p| p.tap) {
            self.tap(pen, tap);
        }
        self.supply(pen, parts.as_ref());
        if let Some(parts) = &parts {
            self.droppers(pen, parts);
            if parts.lamp_room() > 0.0 {
                self.lamps(pen, &parts.lamps);
            }
            parts.heaters.draw(pen, (x, self.y), NEUTRAL, (self.net, self.back));
        } else {
            HEATERS.draw(pen, (x, self.y), (x, NEUTRAL));
            self.words(pen, (0.0, self.middle(NEUTRAL) - 3.0), ["heaters"]);
        }
        let y = NEUTRAL + 26.0;
        let loud = Face { size: 14.0, ..BOLD };
        pen.left((x + 116.0, y), [Words(loud, "chassis LIVE".to_owned())]);
        warning(pen, (x + 2.0, y - 17.0));
        pen.left((x - 13.0, y), ["no transformer:"]);
    }

    /// Words beside it, so far further right and at that height.
    fn words(&self, pen: &mut Pen, (right, y): Point, words: impl Lines) {
        pen.right((self.x + BESIDE + right, y), words);
    }

    /// Half way down to `foot`.
    fn middle(&self, foot: f64) -> f64 {
        0.5 * (self.y + foot)
    }

    /// The tapped part of the rectifier's heater, with its volts and whether a lamp lies across it.
    fn tap(&mut self, pen: &mut Pen, (v, lamp): (f64, bool)) {
        let (x, next) = (self.x, LIVE + 42.0);
        HEATERS.draw(pen, (x, LIVE), (x, next));
        if lamp {
            self.lamp(pen, next, TAP);
            pen.about((x - 6.0, LIVE - 9.0), [format!("tap, lamp {}", volts(v))]);
        } else {
            pen.left((x - 11.0, LIVE + 25.0), ["tap"]);
        }
        (self.net, self.y) = (TAP, next);
    }

    /// A lamp beside what stands from here down to `foot`, where the net `below` begins.
    fn lamp(&self, pen: &mut Pen, foot: f64, below: &str) {
        let (x, at) = (self.x, self.x - 24.0);
        SMALL_LAMP.draw(pen, (at, self.y), (at, foot));
        pen.level(self.net, (at, self.y), [x]);
        pen.level(below, (at, foot), [x]);
        pen.joint((x, self.y));
        pen.joint((x, foot));
    }

    /// The supply, on the line or on the tap of the rectifier's heater, with the chassis.
    fn supply(&self, pen: &mut Pen, parts: Option<&Parts<'_>>) {
        let (x, y) = (self.x, self.y);
        let (left, right, feed, ground) = (x + 66.0, x + 116.0, x + 80.0, x + 104.0);
        let (roof, foot, hang) = (LIVE + 62.0, NEUTRAL - 36.0, NEUTRAL - 20.0);
        // the longest of the names stands beside it
        let barretter = parts
            .is_some_and(|p| matches!(p.droppers[..], [one] if one.kind == PartKind::Barretter));
        let top = if barretter { x + 94.0 } else { feed };
        if let Some(plate) = parts.and_then(|p| p.plate) {
            let (from, to) = (x + 18.0, x + 64.0);
            pen.level(self.net, (x, y), [from]);
            RESISTOR.draw(pen, (from, y), (to, y));
            pen.level("plate lead", (to, y), [top, roof]);
            let name = plate.part.as_ref().map(|part| format!("{part}, plate"));
            let name = name.unwrap_or_else(|| "plate lead".to_owned());
            let words = [plain(name), bold(volts(plate.volts_v))];
            pen.about((x + 49.0, y - 25.0), words);
        } else {
            pen.level(self.net, (x, y), [top, roof]);
        }
        pen.joint((x, y));
        let pins = [(top, roof), (feed, foot), (ground, foot)];
        let corners = [(left, roof), (right, roof), (right, foot), (left, foot)];
        pen.part("supply", &pins, [outline(&corners)]);
        let at = (0.5 * (left + right), roof + 15.0);
        pen.about(at, ["supply", "B+"]);
        pen.upright(self.back, (feed, foot), [NEUTRAL, x]);
        pen.joint((x, NEUTRAL));
        pen.upright("chassis", (ground, foot), [hang]);
        chassis(pen, (ground, hang));
    }

    /// The droppers, with their names and volts.
    fn droppers(&mut self, pen: &mut Pen, parts: &Parts<'_>) {
        let x = self.x;
        let apart = if parts.tap.is_some() { 1 } else { 3 };
        match &parts.droppers[..] {
            [] => return,
            [one] => {
                let next = self.middle(NEUTRAL - parts.lamp_room());
                let word = self.dropper(pen, one, next, RESISTOR);
                let round = matches!(one.kind, PartKind::Ballast | PartKind::Barretter);
                let at = (if round { 6.0 } else { 0.0 }, self.middle(next) + 3.0);
                self.words(pen, at, [plain(word), bold(volts(one.volts_v))]);
                self.y = next;
            }
            several if several.len() <= apart => {
                let room = NEUTRAL - FOR_HEATERS - LEAD - parts.lamp_room() - self.y;
                let step = room / several.len() as f64;
                for (place, one) in several.iter().enumerate() {
                    let next = self.y + step;
                    let joint = if place + 1 < several.len() { JOINT } else { 0.0 };
                    self.dropper(pen, one, next - joint, SMALL_RESISTOR);
                    if joint > 0.0 {
                        pen.upright("between droppers", (x, next - joint), [next]);
                    }
                    self.words(pen, (6.0, self.middle(next) + 4.0), [bold(volts(one.volts_v))]);
                    self.y = next;
                }
            }
            several => {
                let next = self.middle(NEUTRAL);
                RESISTOR.draw(pen, (x, self.y), (x, next));
                let words = [plain(format!("{} droppers", several.len())), plain("in series")];
                self.words(pen, (0.0, self.middle(next) + 3.0), words);
                self.y = next;
            }
        }
        pen.upright(BELOW, (x, self.y), [self.y + LEAD]);
        (self.net, self.y) = (BELOW, self.y + LEAD);
    }

    /// A dropper from here down to `next`, a resistor's name to its left; `resistor` is how one is drawn. What it is in a
    /// word.
    fn dropper(
        &self,
        pen: &mut Pen,
        one: &LeadPartReading,
        next: f64,
        resistor: Symbol,
    ) -> &'static str {
        let (x, kind) = (self.x, one.kind);
        let (word, symbol) = look(kind, resistor);
        pen.left((x - 10.0, self.middle(next) + 4.0), one.part.clone());
        let (mut a, mut b) = ((x, self.y), (x, next));
        if kind == PartKind::Diode {
            let middle = (x, self.middle(next));
            SMALL_RESISTOR.draw(pen, a, middle);
            // it passes the half wave that the rectifier of B+ does not
            (a, b) = (b, middle);
        }
        symbol.draw(pen, a, b);
        word
    }

    /// Lamps across a section of the dropper.
    fn lamps(&mut self, pen: &mut Pen, lamps: &[f64]) {
        let (x, next) = (self.x, self.y + LAMP);
        SMALL_RESISTOR.draw(pen, (x, self.y), (x, next));
        self.lamp(pen, next, BELOW_LAMP);
        let name =
            if lamps.len() == 1 { "lamp".to_owned() } else { format!("{} lamps", lamps.len()) };
        let words = [plain(name), bold(volts(lamps.iter().sum()))];
        self.words(pen, (0.0, self.y + 14.0), words);
        (self.net, self.y) = (BELOW_LAMP, next);
    }
}
