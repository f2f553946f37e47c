//! What speaks against a choice: the heaters it leaves, the limits it makes worse, and what its part meets.

use super::choice::Choice;
use super::day::Day;
use super::faults::burning;
use super::flags::Direct;
use super::judge::{Bench, too_small};
use super::objection::Objection;
use super::reading::{HEATER_GOOD, HEATER_LIMIT, Reading};
use super::verdict::{Finding, Level};
use crate::adaptation::{Method, PRIMARY_SWING, Part};

/// Points of heater per cent that a part must gain: it adds heat, joints and a way to fail (reasoned, no source).
const LEAST_GAIN: f64 = 0.03;
/// The same of a tap, which adds nothing.
const LEAST_GAIN_OF_TAP: f64 = 0.01;
/// The set at high line over its design line, at the most, where something raises it (reasoned, no source).
const MOST_RAISED: f64 = 1.05;
/// High over usual line where nothing was read.
const OWN_SWING: f64 = 1.03;

impl Bench<'_> {
    /// What speaks against a choice.
    pub(super) fn objections(&self, choice: &Choice, day: &Day, part: &dyn Part) -> Vec<Objection> {
        let mut list = Vec::new();
        let facts = choice.method.facts();
        if facts.on_bench {
            list.push(Objection::BenchOnly);
        }
        if part.is_nothing() {
            self.against_as_is(day, &mut list);
            return list;
        }
        let string = self.receiver.model().string.as_ref();
        if string.is_some_and(crate::receiver::HeaterLine::in_cord) && !facts.replaces_cord {
            list.push(Objection::LineCord);
        }
        if facts.rough {
            list.push(Objection::RoughFigures);
        }
        self.heaters(choice, day, &mut list);
        self.limits(day, &mut list);
        self.lead(choice, day, part, &mut list);
        list
    }

    /// Why the set is not left as it is, where it is not.
    fn against_as_is(&self, day: &Day, list: &mut Vec<Objection>) {
        let findings = self.scale.findings(day);
        let known = (self.receiver.model(), self.outlet.high_read);
        let level = self.yard.level(day, known, self.direct, &findings);
        if !matches!(level, Level::Low | Level::Optional | Level::Needed) {
            return;
        }
        let usual = self.yard.severity(&day.usual);
        if !self.yard.is_right(usual, false) {
            list.push(self.off(&day.usual));
        }
        if self.outlet.high_read && self.yard.is_high_at_high(self.yard.severity(&day.high)) {
            list.push(Objection::through_the_day(&day.high));
        }
        let counts = findings.iter().filter(|f| f.counts());
        list.extend(counts.map(|f| Objection::limit(&f.limit, f.outlet_v)));
    }

    /// That a reading is off what the plan is for.
    fn off(&self, reading: &Reading) -> Objection {
        match self.yard.goal {
            None => Objection::HeatersAtUsual { excess: reading.heater_excess() },
            Some(goal) => Objection::MissesTarget { share: goal.miss(reading) },
        }
    }

    /// Whether a part brings the heaters right, by enough to be worth one, and keeps them so.
    fn heaters(&self, choice: &Choice, day: &Day, list: &mut Vec<Objection>) {
        let (yard, straight) = (self.yard, self.straight);
        let severity = yard.severity(&day.usual);
        // it costs nothing, and neither does a resistor that is taken out
        let is_tap = matches!(choice.method, Method::Tap | Method::TakeOut);
        if !yard.is_right(severity, is_tap) {
            list.push(self.off(&day.usual));
        }
        let [low, high] = [&day.low, &day.high].map(|r| yard.severity(r));
        if self.outlet.high_read && yard.is_high_at_high(high) {
            list.push(Objection::through_the_day(&day.high));
        }
        if self.outlet.low_read && yard.is_high_at_high(-low) && !is_tap {
            list.push(Objection::through_the_day(&day.low));
        }
        let nearer = |of: fn(&Day) -> &Reading| {
            yard.severity(of(straight)).abs() - yard.severity(of(day)).abs()
        };
        let at_high = if self.outlet.high_read { nearer(|d| &d.high) } else { f64::MIN };
        let gain = HEATER_GOOD * nearer(|d| &d.usual).max(at_high);
        // what a limit of the set asks for is not asked for by its heaters
        let asked = self.direct != Direct::Allowed
            || self.scale.findings(straight).iter().any(|f| f.must && f.counts());
        if gain < if is_tap { LEAST_GAIN_OF_TAP } else { LEAST_GAIN } && !asked {
            list.push(Objection::LittleGain { gain });
        }
        if yard.severity(&straight.usual) < 0.0 && !is_tap {
            // a range by name tells no day: a usual line's own swing does
            let swing = match self.outlet.range {
                Some(_) if !self.outlet.high_read => OWN_SWING,
                _ => self.outlet.high_v / self.outlet.usual_v,
            };
            let (set_v, most_v) =
                (day.usual.set_v * swing, MOST_RAISED * self.receiver.model().design_line);
            if set_v > most_v {
                let outlet_v = self.outlet.usual_v * swing;
                list.push(Objection::RaisedTooFar { set_v, most_v, outlet_v });
            }
        }
        if let Some(band) = &choice.band {
            let uncertain = band.part_heater_v / band.heater_rated_v;
            let excess = day.usual.heater_excess();
            let edge = excess + uncertain.copysign(excess);
            if edge.abs() > HEATER_LIMIT
                && uncertain > 0.0
                && yard.is_right(severity, is_tap)
                && yard.least >= -1.0
            {
                list.push(Objection::Band { excess: edge, uncertain });
            }
        }
    }

    /// Limits of the set that count with the part and did not before, or that it makes worse; capacitors and rectifier
    /// are renewed whatever is fitted.
    fn limits(&self, day: &Day, list: &mut Vec<Objection>) {
        let findings = self.scale.findings(day);
        let worse = |f: &&Finding| f.counts() && !f.improves(self.straight);
        let new = findings.iter().filter(worse);
        list.extend(new.map(|f| Objection::limit(&f.limit, f.outlet_v)));
    }

    /// What the part itself meets: heat, place, law, fuse and faults.
    fn lead(&self, choice: &Choice, day: &Day, part: &dyn Part, list: &mut Vec<Objection>) {
        let heats = choice.method.facts().makes_heat || !part.resistors().is_empty();
        if heats && choice.part_rated_w.is_none() {
            list.push(Objection::NoSize { watts_w: day.high.fitted_w[0] });
        }
        for (_, rating) in choice.ratings().filter(|(_, r)| !r.has_place()) {
            list.push(Objection::NoPlace { watts_w: rating.worst_w, rated_w: rating.rated_w });
        }
        if let Some((low, high)) = part.current_range() {
            let amps = day.high.line_a;
            if !(low..=high).contains(&amps) {
                list.push(Objection::OutsideLaw { amps, low, high });
            }
        }
        list.extend(too_small(part, &day.high));
        let Some(fuse) = &choice.fuse else {
            return;
        };
        if let Some(primary_v) = part.own_primary_volts()
            && part.primary_across(day.high.outlet_v, day.high.set_v) > PRIMARY_SWING * primary_v
        {
            list.push(Objection::PrimaryVolts { primary_v, outlet_v: day.high.outlet_v });
        }
        if fuse.rating_a.is_none() && !part.is_nothing() {
            list.push(Objection::NoFuse { running_a: fuse.running_a });
        }
        if let (Some((_, high)), Some(held)) = (part.current_range(), fuse.held_a)
            && held > high
        {
            list.push(Objection::HeldAbovePart { held_a: held, part_a: high });
        }
        // nothing is fitted in the set as it is, and a tool of the bench is watched
        if !part.is_nothing() && !choice.method.facts().on_bench {
            let unsolved = choice.faults.iter().filter(|f| f.unsolved.is_some());
            list.extend(unsolved.map(|f| Objection::FaultUnsolved { fault: f.fault }));
        }
        let beside = choice.with.as_ref().and_then(|w| w.rating.as_ref());
        let ratings = part.resistors().into_iter().zip([choice.rating.as_ref(), beside]);
        for (which, (resistor, rating)) in ratings.enumerate() {
            let of = |rating| burning(&choice.faults, which, resistor, rating);
            let burning = rating.into_iter().flat_map(of);
            list.extend(burning.map(|(fault, watts_w, allowed_w)| Objection::FaultBurns {
                fault: fault.fault,
                fuse_a: fuse.rating_a.unwrap_or(0.0),
                line_a: fault.line_a.unwrap_or(0.0),
                watts_w,
                allowed_w,
            }));
        }
    }
}
