//! The mains side: from the plug to the set's transformer or heater string, with a choice's part in the hot wire.

use super::{
    Drawing,
    mains_part::{Drawn, Side},
    mains_place::{
        BACK, CURRENT, FOOT, FUSE, LIVE, MIDDLE, PART, PRIMARY, RESISTOR, SWITCH, SWITCHED, TURN,
    },
    pen::{Anchor, LINE, Pen, SIZE, bold, plain, solid},
    symbol,
    text::{clean, wrap},
};
use crate::{
    adaptation::{Method, Stands, Station},
    report::figures::{amps, volts},
    study::{Choice, Plan},
};

/// The mains side of a set with a choice in its hot wire, on the usual line. `prefix` makes the drawing's ids unique
/// in a page.
///
/// A choice without readings (`day`) is drawn without the figures they would give.
pub fn mains_side(plan: &Plan, choice: &Choice, prefix: &str) -> Drawing {
    let mut pen = Pen::default();
    let (foot, description) = Side::of(plan, choice).draw(&mut pen);
    let word = match choice.method {
        Method::AsIs => "as found".to_owned(),
        other => other.facts().title.to_lowercase(),
    };
    let title = format!("Mains side, {word} (RMS, usual line)");
    pen.finish(prefix, foot, title, description)
}

impl Side<'_> {
    /// Draws all of it; its lower edge, and it in words.
    fn draw(&self, pen: &mut Pen) -> (f64, String) {
        let (facts, x) = (self.choice.method.facts(), self.x);
        pen.width += x - PRIMARY;
        // separate windings: neutral ends at the transformer
        self.plug(pen, if facts.steps { self.step_at() } else { x });
        let fuse = self.fuse(pen);
        self.switch(pen);
        if let Some(usual) = self.usual {
            let (tip, tail, y) = (CURRENT + 5.5, CURRENT - 5.5, self.hot());
            pen.mark(solid(&[(tip, y), (tail, y - 4.0), (tail, y + 4.0)]));
            pen.about((CURRENT, y - 12.0), [bold(amps(usual.line_a))]);
            pen.about((CURRENT, y + 20.0), ["line current"]);
        }
        if !self.is_bare() {
            let turns: &[f64] = match self.is_lifted() {
                true => &[TURN, self.hot() + BACK, self.from(), LIVE],
                false => &[PART],
            };
            pen.level("switched live", (SWITCHED, self.hot()), turns);
        }
        let drawn = self.part(pen);
        let mut net = if facts.stands == Stands::InLead { "set live" } else { self.fed() };
        let (back, wire) = match facts.steps {
            true => ("set return", "The other wire of the secondary"),
            false => ("neutral", "Neutral"),
        };
        if let Some(resistor) = self.resistor {
            symbol::SMALL_RESISTOR.draw(pen, (self.end(), LIVE), (x, LIVE));
            let part = resistor.part.as_ref().map(|part| format!("{part} "));
            let first = format!("{}mains", part.unwrap_or_default());
            let words = [plain(first), plain("resistor"), bold(volts(resistor.volts_v))];
            pen.about((x - 0.5 * RESISTOR, LIVE - 41.0), words);
            net = "behind the resistor";
        }
        self.set.draw(pen, self.usual, (net, back, x, drawn.tapped));
        self.at_set(pen, drawn.tapped);
        self.part_text(pen, &drawn);
        (
            drawn.foot.max(self.low() + FOOT),
            self.describe(&fuse, &drawn, &self.set.describe(self.usual, wire)),
        )
    }

    /// The plug with the outlet's volts between its pins.
    fn plug(&self, pen: &mut Pen, primary: f64) {
        for (y, wire, below) in [(self.hot(), "hot", -12.0), (self.low(), "neutral", 20.0)] {
            symbol::plug_pin(pen, (42.0, y));
            pen.right((20.0, y + below), [wire]);
        }
        pen.level("live", (42.0, self.hot()), [FUSE[0]]);
        pen.level("neutral", (42.0, self.low()), [primary]);
        pen.span(33.0, self.hot() + 12.0, self.low() - 12.0);
        let (usual, hertz) = self.outlet();
        let y = if self.is_lifted() { self.hot() + 40.0 } else { self.beside() + 8.0 };
        pen.right((43.0, y), [plain("outlet"), bold(usual), plain(hertz)]);
    }

    /// Usual volts and hertz of the outlet.
    fn outlet(&self) -> (String, String) {
        let Plan { outlet, set, .. } = self.plan;
        let hertz = outlet.frequency_hz.unwrap_or(set.frequency_hz);
        (volts(outlet.usual_v), format!("{hertz} Hz"))
    }

    /// The fuse, or the place where none is; what it is, in words.
    fn fuse(&self, pen: &mut Pen) -> String {
        let ([from, to], on) = (FUSE.map(|x| (x, self.hot())), [SWITCH]);
        let middle = 0.5 * (from.0 + to.0);
        let (in_set, found) = (self.plan.set.fuse_a, self.as_found());
        let sized = self.choice.fuse.as_ref().and_then(|f| Some((f.rating_a?, f.standard)));
        let (first, second, said) = match (found, in_set, sized) {
            (true, Some(a), _) => {
                (format!("{a} A"), "as found", format!("the fuse found in the set, {a} A"))
            }
            (true, ..) => ("no fuse".into(), "stated", "no fuse, for none is stated".into()),
            (_, _, Some((a, standard))) => {
                (format!("{a} A slow"), standard, format!("a fuse of {a} A, slow, {standard}"))
            }
            _ => (
                "no standard".into(),
                "size suits",
                "a fuse that must be sized, since no standard small one suits".into(),
            ),
        };
        if found && in_set.is_none() {
            pen.level("live", from, on);
        } else {
            let net = if found { self.fed() } else { "fused live" };
            pen.level(net, to, on);
            symbol::FUSE.draw(pen, from, to);
            pen.about((middle, from.1 - 25.0), ["fuse"]);
        }
        let (first, second) = (plain(first), plain(second));
        if self.is_lifted() {
            pen.about((middle, from.1 - 12.0), [first]);
            pen.about((middle, from.1 + 22.0), [second]);
        } else {
            pen.about((middle, from.1 + 24.0), [first, second]);
        }
        said
    }

    /// The switch. A profile states none, so a set as it was found is drawn without.
    fn switch(&self, pen: &mut Pen) {
        let from = (SWITCH, self.hot());
        if self.as_found() {
            return pen.level(self.fed(), from, [SWITCHED]);
        }
        symbol::SWITCH.draw(pen, from, (SWITCHED, from.1));
        pen.about((0.5 * (SWITCH + SWITCHED), from.1 - 25.0), ["switch"]);
    }

    /// What reaches the set. Where the primary's taps take the place beside it, the figures stand further left.
    fn at_set(&self, pen: &mut Pen, tapped: bool) {
        let Some(usual) = self.usual else { return };
        let left = if tapped { 196.0 } else { 44.0 + 0.2 * (self.x - self.end()) };
        let x = self.x - left;
        pen.span(x, LIVE + 12.0, self.low() - 12.0);
        let words = [plain("at the set"), bold(volts(usual.set_v)), plain(amps(usual.primary_a))];
        pen.left((x - 9.0, self.beside()), words);
    }

    /// The part in words above it; two of them beside what stands above.
    fn part_text(&self, pen: &mut Pen, drawn: &Drawn) {
        let (Some(part), Some(above)) = (&self.choice.part, drawn.above) else { return };
        let (x, anchor, room, most) = match self.is_lifted() {
            true => (TURN + 12.0, Anchor::Start, 370.0, 3),
            false => (MIDDLE, Anchor::Middle, 260.0, 4),
        };
        let lines = wrap(&clean(&part.to_string()), room, SIZE, most);
        let first = match self.is_lifted() {
            true => self.hot() - 26.0,
            false => LIVE - above - LINE * (lines.len() as f64 - 1.0),
        };
        for (i, text) in lines.iter().enumerate() {
            pen.user((x, first + LINE * i as f64), anchor, text, room);
        }
    }

    fn describe(&self, fuse: &str, drawn: &Drawn, set: &str) -> String {
        let order = self.choice.hot_wire.iter().filter_map(|station| match station {
            Station::Plug | Station::Part => None,
            Station::Fuse => Some(fuse),
            Station::Switch => Some("the switch").filter(|_| !self.as_found()),
            // with what stands ahead of it
            Station::Set => Some(&drawn.said),
        });
        let (outlet, hertz) = self.outlet();
        let mut text = format!(
            "{}. The plug brings hot and neutral from an outlet of {outlet}, {hertz}. In the hot wire, in this order: {}. {set}",
            clean(&self.plan.set.name),
            order.collect::<Vec<_>>().join("; "),
        );
        let Some(usual) = self.usual else { return text };
        if let Some(resistor) = usual.mains_resistor() {
            let across = volts(resistor.volts_v);
            text += &format!(" A mains resistor with {across} across it stands ahead of that.");
        }
        let (set, takes) = (volts(usual.set_v), amps(usual.primary_a));
        let gives = amps(usual.line_a);
        text + &format!(
            " The voltage at the set is {set}, and it takes {takes}; the outlet gives {gives}."
        )
    }
}
