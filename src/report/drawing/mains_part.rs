//! What a choice puts between the switch and the set's primary.

use super::{
    WIDTH,
    mains_place::{
        AHEAD, AHEAD_MIDDLE, LIFTS, LIVE, LOW, MIDDLE, NEUTRAL, NOTHING, PART, PRIMARY, RESISTOR,
        STEP_AHEAD, STEP_PRIMARY, SWITCHED, TO_SECONDARY,
    },
    mains_set::{Set, primary},
    pen::{Anchor, LINE, Pen, SIZE, Words, bold, plain, solid},
    symbol::{self, Turns},
    text::{clean, wrap},
};
use crate::{
    adaptation::{Bought, Method, Stands},
    report::figures::{amps, nameplate_volts, volts, watts},
    study::{Choice, LeadPartReading, Plan, Reading},
};

/// A set with a choice in its lead, and where it is drawn.
pub struct Side<'a> {
    pub plan: &'a Plan,
    pub choice: &'a Choice,
    /// Readings on the usual line, where there are any.
    pub usual: Option<&'a Reading>,
    pub set: Set,
    /// The resistor that the set has in its lead, unless its taps are drawn there.
    pub resistor: Option<&'a LeadPartReading>,
    /// What stands behind a step transformer, or ahead of another tap.
    second: Option<(Method, &'a Bought)>,
    /// The set's primary.
    pub x: f64,
}

/// What was drawn.
pub struct Drawn {
    /// The part and its connection, for who cannot see them.
    pub said: String,
    /// From the lead up to the last line of text above the part; none if it is named in the drawing already.
    pub above: Option<f64>,
    /// True if the set's primary is drawn with taps.
    pub tapped: bool,
    /// Lower edge of what was drawn below the leads; 0 for nothing.
    pub foot: f64,
}

impl Drawn {
    fn new(said: String, above: Option<f64>) -> Drawn {
        Drawn { said, above, tapped: false, foot: 0.0 }
    }
}

/// From the lead up to the text above most parts.
const ABOVE: Option<f64> = Some(25.0);
/// The same above a transformer.
const HIGH_ABOVE: Option<f64> = Some(40.0);
/// How far ahead of the primary the wire to a tap turns down.
const DROP: f64 = 26.0;

/// A part in the lead, and where it is drawn.
struct Part<'a> {
    method: Method,
    /// In words.
    name: String,
    /// Where its place begins, its middle, and where its wire to the set ends.
    from: f64,
    middle: f64,
    to: f64,
    /// Name of the wire that feeds it, and of the other.
    fed: &'static str,
    back: &'static str,
    /// Its own first.
    readings: &'a [LeadPartReading],
}

impl<'a> Side<'a> {
    pub fn of(plan: &'a Plan, choice: &'a Choice) -> Side<'a> {
        let usual = choice.day.as_ref().map(|d| &d.usual);
        let second = choice.behind.as_ref().and_then(|b| Some((b.method?, b.part.as_ref()?)));
        let at_primary = matches!(choice.method, Method::Tap | Method::TapAndPart);
        let resistor = usual.and_then(Reading::mains_resistor).filter(|_| !at_primary);
        let mut side =
            Side { plan, choice, usual, set: Set::of(plan), resistor, second, x: PRIMARY };
        if side.is_bare() {
            side.x -= NOTHING;
        }
        side
    }

    /// True where nothing stands in the lead: of a set as it is, or of one with its part inside.
    pub fn is_bare(&self) -> bool {
        matches!(self.choice.method.facts().stands, Stands::Nowhere | Stands::Inside)
    }

    /// True for the set as it was found, of which nothing is drawn that its profile does not state.
    pub fn as_found(&self) -> bool {
        self.choice.method == Method::AsIs
    }

    /// The wire that comes to the part's place: behind the switch, or where none is drawn, behind what fuse there is.
    pub fn fed(&self) -> &'static str {
        match (self.as_found(), self.plan.set.fuse_a) {
            (true, None) => "live",
            (true, Some(_)) => "fused live",
            (false, _) => "switched live",
        }
    }

    /// True for two parts in the lead, which leave fuse and switch no room beside them.
    pub fn is_lifted(&self) -> bool {
        self.second.is_some()
    }

    /// Height of the hot wire from the plug to the switch.
    pub fn hot(&self) -> f64 {
        let [over_step, over_part] = LIFTS;
        let lift = if self.choice.method.facts().steps { over_step } else { over_part };
        LIVE - if self.is_lifted() { lift } else { 0.0 }
    }

    /// Where the wire behind the switch comes to the first part.
    pub fn from(&self) -> f64 {
        match (self.is_lifted(), self.choice.method.facts().steps) {
            (false, _) => PART,
            (true, true) => STEP_AHEAD,
            (true, false) => AHEAD,
        }
    }

    /// Where the primary of a step transformer stands.
    pub fn step_at(&self) -> f64 {
        if self.is_lifted() { STEP_AHEAD } else { STEP_PRIMARY }
    }

    /// Height of the neutral lead.
    pub fn low(&self) -> f64 {
        if self.set == Set::Line { NEUTRAL } else { LOW }
    }

    /// Height of the first of three lines between the leads.
    pub fn beside(&self) -> f64 {
        0.5 * (LIVE + self.low()) - 6.0
    }

    /// Where the hot wire to the set ends.
    pub fn end(&self) -> f64 {
        self.x - self.resistor.map_or(0.0, |_| RESISTOR)
    }

    /// Draws the part and its wires up to the set; a primary only where its taps are the part.
    pub fn part(&self, pen: &mut Pen) -> Drawn {
        let name = |part: &Bought| clean(&part.to_string());
        let first = Part {
            method: self.choice.method,
            name: self.choice.part.as_ref().map_or("the part".to_owned(), name),
            from: self.from(),
            middle: MIDDLE,
            to: self.end(),
            fed: "switched live",
            back: "neutral",
            readings: self.usual.map_or(&[], |u| &u.lead_parts),
        };
        let second = self.second.map(|(method, part)| (method, name(part)));
        if self.choice.method.facts().steps {
            return self.step(pen, first, second);
        }
        let Some((method, name)) = second else { return self.one(pen, &first) };
        let to = self.x - DROP;
        let ahead = self.one(pen, &Part { method, name, middle: AHEAD_MIDDLE, to, ..first });
        let taps = self.taps(pen, self.choice.part_value, "set live", to);
        Drawn { said: format!("{}, {taps}", ahead.said), tapped: true, ..ahead }
    }

    fn one(&self, pen: &mut Pen, part: &Part<'_>) -> Drawn {
        let (name, noun) = (&part.name, self.set.noun());
        let symbol = match part.method {
            Method::AsIs => {
                self.straight_through(pen);
                return Drawn::new(format!("nothing else, and then {noun}"), None);
            }
            Method::TakeOut => return self.beneath(pen, name, name),
            Method::HeaterDropper => {
                let below = format!("fitted: {name}");
                return self.beneath(pen, &below, &format!("fitted: {name}"));
            }
            Method::Tap => {
                let second = self.choice.behind.as_ref().and_then(|b| b.part_value);
                let wanted = second.or(self.choice.part_value);
                let taps = self.taps(pen, wanted, part.fed, part.from);
                let said = format!("nothing else; {name}: {taps}");
                return Drawn { tapped: true, ..Drawn::new(said, ABOVE) };
            }
            Method::Variac => return self.variac(pen, part),
            Method::BuckingOutlet | Method::BuckingSet | Method::BoostOutlet | Method::BoostSet => {
                return self.small(pen, part);
            }
            // the first three are drawn with what stands behind them
            Method::TapAndPart | Method::StepDown | Method::StepUp | Method::SeriesResistor => {
                symbol::RESISTOR
            }
            Method::Thermistor => symbol::THERMISTOR,
            Method::Lamp => symbol::LAMP,
        };
        let middle = part.middle;
        let (a, b) = (middle - 45.0, middle + 45.0);
        pen.level(part.fed, (part.from, LIVE), [a]);
        pen.level("set live", (b, LIVE), [part.to]);
        symbol.draw(pen, (a, LIVE), (b, LIVE));
        if part.method == Method::Thermistor {
            pen.about((middle - 32.0, LIVE - 8.0), ["−t°"]);
        }
        let mut said = format!("{name}, in series");
        if let Some(r) = part.readings.first() {
            let (across, heat) = (format!("{} across it", volts(r.volts_v)), watts(r.power_w));
            said += &format!(", with {across} and {heat} of heat");
            pen.about((middle, LIVE + 32.0), [bold(across), plain(heat)]);
        }
        Drawn::new(format!("{said}; and then {noun}"), ABOVE)
    }

    /// The lead without a part.
    fn straight_through(&self, pen: &mut Pen) {
        pen.level(self.fed(), (SWITCHED, LIVE), [self.end()]);
    }

    /// Nothing is fitted in the lead, which goes straight through: what is done stands beneath.
    fn beneath(&self, pen: &mut Pen, below: &str, said: &str) -> Drawn {
        self.straight_through(pen);
        // the words may take the whole width of a page
        pen.width = pen.width.max(WIDTH);
        let (left, room) = (20.0, pen.width - 40.0);
        let mut y = self.low() + 34.0;
        for line in wrap(below, room, SIZE, 6) {
            y += LINE;
            pen.user((left, y), Anchor::Start, line, room);
        }
        let said = format!("nothing else, and then {}; {said}", self.set.noun());
        Drawn { foot: y + 6.0, ..Drawn::new(said, None) }
    }

    /// The set's primary with the tap of its design line and the one to move to, fed by the wire `net` that has come to `from`:
    /// how they are joined. The higher one is drawn as its end.
    fn taps(&self, pen: &mut Pen, wanted: Option<f64>, net: &str, from: f64) -> String {
        let now = self.plan.set.design_line_v;
        let wanted = wanted.unwrap_or(now);
        let ratio = (now / wanted).min(wanted / now).clamp(0.55, 0.75);
        // where two half circles meet, one of every tenth of the winding
        let tenths = (10.0 * (1.0 - ratio)).round();
        let (x, lower) = (self.x, LIVE + 0.1 * tenths * (self.low() - LIVE));
        primary(pen, x, &[lower]);
        let used = format!("{} tap", nameplate_volts(wanted));
        let free = format!("{} tap, left free", nameplate_volts(now));
        let said = format!("the hot wire to the {used}, the {free}");
        let drop = x - DROP;
        let (above, beside) = if wanted >= now {
            pen.level(net, (from, LIVE), [x]);
            pen.level("free tap", (x, lower), [drop]);
            pen.terminal((drop, lower));
            (bold(used), plain(free))
        } else {
            pen.level(net, (from, LIVE), [drop, lower, x]);
            pen.terminal((x, LIVE));
            (plain(free), bold(used))
        };
        pen.about((x, LIVE - 12.0), [above]);
        pen.left((drop - 8.0, lower + 4.0), [beside]);
        said
    }

    /// An autotransformer with a movable tap: the outlet across part or all of it, the set on the slider.
    fn variac(&self, pen: &mut Pen, part: &Part<'_>) -> Drawn {
        let x = part.middle;
        let down = self.usual.is_none_or(|u| u.set_v <= u.outlet_v);
        // eight half circles, and half of one's radius ahead of them
        let radius = (self.low() - LIVE) / 17.0;
        let (tap, at) = (LIVE + 6.5 * radius, if down { 7.5 } else { 3.5 });
        let slider = (x + radius + 1.0, LIVE + at * radius);
        let tapped = (!down).then_some((x, tap));
        let pins = [(x, LIVE), (x, self.low())].into_iter().chain(tapped).chain([slider]);
        symbol::wound(pen, "autotransformer", pins.collect(), Turns(8, -radius), None);
        symbol::core(pen, (x - 12.0, LIVE + 66.0), (x - 12.0, self.low() - 18.0));
        let turns: &[f64] = if down { &[x] } else { &[x - 40.0, tap, x] };
        pen.level(part.fed, (part.from, LIVE), turns);
        pen.joint((x, self.low()));
        let (sx, sy) = slider;
        pen.mark(solid(&[(sx, sy), (sx + 10.0, sy - 4.0), (sx + 10.0, sy + 4.0)]));
        let to = x + 40.0;
        pen.level("set live", slider, [to, LIVE, part.to]);
        pen.right((to - 22.0, sy + 20.0), ["slider"]);
        let said = format!(
            "{}: its winding lies between hot and neutral, and its slider feeds {}; it isolates nothing",
            part.name,
            self.set.noun()
        );
        Drawn::new(said, ABOVE)
    }

    /// A transformer with separate windings, and what is fitted behind it. No wire joins its two sides.
    fn step(&self, pen: &mut Pen, first: Part<'_>, second: Option<(Method, String)>) -> Drawn {
        let half = (self.low() - LIVE) / 16.0;
        let (primary, secondary) = (self.step_at(), self.step_at() + TO_SECONDARY);
        for (name, x, radius) in
            [("step primary", primary, -half), ("step secondary", secondary, half)]
        {
            symbol::winding(pen, name, x, [LIVE, self.low()], Turns(8, radius), &[]);
        }
        let core = 0.5 * (primary + secondary);
        symbol::core(pen, (core, LIVE + 10.0), (core, self.low() - 10.0));
        if first.from < primary {
            pen.level(first.fed, (first.from, LIVE), [primary]);
        }
        pen.level("set return", (secondary, self.low()), [self.x]);
        // below those of the outlet, where there are any beside it
        let y = LIVE + if self.is_lifted() { 54.0 } else { 34.0 };
        pen.left((primary - 14.0, y), step_words("primary", first.readings.get(1)));
        pen.right((secondary + 16.0, y), step_words("secondary", first.readings.first()));
        let mut said = format!(
            "{}: separate windings, the primary between hot and neutral, the secondary joined to neither",
            self.choice.part.as_ref().map_or_else(|| first.name.clone(), Bought::named)
        );
        if let [secondary, primary, ..] = first.readings {
            let (gives, at) = (amps(secondary.current_a), volts(secondary.volts_v));
            let takes = amps(primary.current_a);
            let fed = volts(primary.volts_v);
            said +=
                &format!("; it takes {takes} at {fed} from the outlet and gives {gives} at {at}");
        }
        let Some((method, name)) = second else {
            pen.level("set live", (secondary, LIVE), [first.to]);
            return Drawn::new(format!("{said}; and then {}", self.set.noun()), ABOVE);
        };
        let readings = first.readings.get(2..).unwrap_or_default();
        let (from, fed, back) = (PART, "stepped live", "set return");
        pen.level(fed, (secondary, LIVE), [from]);
        let drawn = self.one(pen, &Part { method, name, from, fed, back, readings, ..first });
        Drawn { said: format!("{said}; {}", drawn.said), above: HIGH_ABOVE, ..drawn }
    }

    /// A small transformer whose secondary stands in the hot wire.
    ///
    /// The primary's dot lies on its hot end. Opposing, the secondary's dot lies on its end towards the outlet: its volts from
    /// dot to end, in phase with the primary's, are lost on the way to the set, `V_set = V_outlet − V_secondary`. Aiding, the
    /// dot lies towards the set, and they are added.
    fn small(&self, pen: &mut Pen, part: &Part<'_>) -> Drawn {
        let on_outlet = matches!(part.method, Method::BuckingOutlet | Method::BoostOutlet);
        let aids = part.method.facts().boosts;
        let kind = if aids { "boosting" } else { "bucking" };
        let middle = part.middle;
        let (left, right, low) = (middle - 42.0, middle + 42.0, LIVE + 36.0);
        let coil = |pen: &mut Pen, name, y, turns, dot_right, dot_y| {
            let (name, pins) = (format!("{kind} {name}"), vec![(left, y), (right, y)]);
            let dot = (if dot_right { right - 8.0 } else { left + 8.0 }, dot_y);
            symbol::wound(pen, &name, pins, turns, Some(dot));
        };
        coil(pen, "secondary", LIVE, Turns(4, -7.0), aids, LIVE - 9.0);
        symbol::core(pen, (left + 6.0, LIVE + 18.0), (right - 6.0, LIVE + 18.0));
        coil(pen, "primary", low, Turns(5, 7.0), !on_outlet, low + 10.0);
        let (before, after) = (left - 28.0, right + 13.0);
        pen.level(part.fed, (part.from, LIVE), [left]);
        pen.level("set live", (right, LIVE), [part.to]);
        let (first, last) = ((before, left), (after, right));
        let (net, hot, cold) = match on_outlet {
            true => (part.fed, first, last),
            false => ("set live", last, first),
        };
        pen.upright(net, (hot.0, LIVE), [low, hot.1]);
        pen.joint((hot.0, LIVE));
        pen.level(part.back, (cold.1, low), [cold.0, self.low()]);
        pen.joint((cold.0, self.low()));
        let across = match on_outlet {
            true => "across the outlet, ahead of the secondary",
            false => "across the set, behind the secondary",
        };
        let (does, dotted) = if aids { ("aids", "set") } else { ("opposes", "outlet") };
        let mut said = format!(
            "the secondary of the small transformer ({}), connected so that it {does}: its dotted end is towards \
             the {dotted}; its primary lies {across}, with its dotted end on the hot side",
            part.name
        );
        let mut words = plain("primary");
        if let [secondary, primary, ..] = part.readings {
            let (off, gets) = (volts(secondary.volts_v), volts(primary.volts_v));
            let moves = if aids { format!("adds {off}") } else { format!("takes {off} off") };
            let text = format!("{moves}, {}", amps(secondary.current_a));
            pen.about((middle, LIVE - 18.0), [bold(text)]);
            words = bold(format!("primary {gets}"));
            let takes = amps(primary.current_a);
            said += &format!(". The secondary {moves}; the primary gets {gets} and {takes}");
        }
        let at = (0.5 * (before + after), low + 34.0);
        pen.about(at, [words, plain("dots: like ends")]);
        Drawn::new(format!("{said}; and then {}", self.set.noun()), HIGH_ABOVE)
    }
}

/// A winding of a step transformer: its name, volts and amperes.
fn step_words(name: &str, reading: Option<&LeadPartReading>) -> Vec<Words> {
    let read = reading.map(|r| [bold(volts(r.volts_v)), plain(amps(r.current_a))]);
    [plain(name)].into_iter().chain(read.into_iter().flatten()).collect()
}
