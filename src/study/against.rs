//! What speaks against a choice: the heaters it leaves, the limits it makes worse, and what its part meets.

use super::{
    Choice, Day, HEATER_GOOD, HEATER_LIMIT, Objection, Reading, burning::burning, flags::Direct,
    judge::Trial, sized::too_small, verdict::Level,
};
use crate::{
    adaptation::{Method, PRIMARY_SWING, Part},
    receiver::HeaterLine,
};

/// Points of heater per cent that a part must gain: it adds heat, joints and a way to fail (reasoned, no source).
const LEAST_GAIN: f64 = 0.03;
/// The same of a tap, which adds nothing.
const LEAST_GAIN_OF_TAP: f64 = 0.01;
/// The set at high line over its design line, at the most, where something raises it (reasoned, no source).
const MOST_RAISED: f64 = 1.05;
/// High over usual line where nothing was read.
const OWN_SWING: f64 = 1.03;

impl Trial<'_> {
    /// What speaks against a choice.
    pub fn objections(&self, choice: &Choice, day: &Day, part: &dyn Part) -> Vec<Objection> {
        let mut list = Vec::new();
        let facts = choice.method.facts();
        if facts.on_bench {
            list.push(Objection::BenchOnly);
        }
        if part.is_nothing() {
            self.against_as_is(day, &mut list);
            return list;
        }
        let string = self.set.receiver.model().string.as_ref();
        if string.is_some_and(HeaterLine::in_cord) && !facts.replaces_cord {
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
        let (level, findings) = self.set.level(day);
        if !matches!(level, Level::Low | Level::Optional | Level::Needed) {
            return;
        }
        self.off(day, false, list);
        let counts = findings.iter().filter(|f| f.counts());
        list.extend(counts.map(|f| Objection::limit(&f.limit, f.outlet_v)));
    }

    /// That the set is off what the plan is for, on the usual line or on a high one that was read.
    fn off(&self, day: &Day, is_tap: bool, list: &mut Vec<Objection>) {
        let yard = self.set.yard;
        if !yard.is_right(yard.severity(&day.usual), is_tap) {
            list.push(match yard.goal {
                None => Objection::HeatersAtUsual { excess: day.usual.heater_excess() },
                Some(goal) => Objection::MissesTarget { share: goal.miss(&day.usual) },
            });
        }
        if self.set.outlet.high_read && yard.is_high_at_high(yard.severity(&day.high)) {
            list.push(Objection::through_the_day(&day.high));
        }
    }

    /// Whether a part brings the heaters right, by enough to be worth one, and keeps them so.
    fn heaters(&self, choice: &Choice, day: &Day, list: &mut Vec<Objection>) {
        let (yard, outlet, straight) = (self.set.yard, &self.set.outlet, self.straight);
        // it costs nothing, and neither does a resistor that is taken out
        let is_tap = matches!(choice.method, Method::Tap | Method::TakeOut);
        self.off(day, is_tap, list);
        if yard.goal.is_some() && yard.heaters_too_high(&day.usual) {
            list.push(Objection::HeatersAtUsual { excess: day.usual.heater_excess() });
        }
        if outlet.low_read && yard.is_high_at_high(-yard.severity(&day.low)) && !is_tap {
            list.push(Objection::through_the_day(&day.low));
        }
        let nearer = |of: fn(&Day) -> &Reading| {
            yard.severity(of(straight)).abs() - yard.severity(of(day)).abs()
        };
        // a high line at which the set is right asks for nothing
        let high_asks = outlet.high_read && yard.is_high_at_high(yard.severity(&straight.high));
        let at_high = if high_asks { nearer(|d| &d.high) } else { f64::MIN };
        let gain = HEATER_GOOD * nearer(|d| &d.usual).max(at_high);
        // what a limit of the set asks for is not asked for by its heaters
        let asked = self.set.direct != Direct::Allowed
            || self.set.findings(straight).iter().any(|f| f.must && f.counts());
        if gain < if is_tap { LEAST_GAIN_OF_TAP } else { LEAST_GAIN } && !asked {
            list.push(Objection::LittleGain { gain });
        }
        if yard.severity(&straight.usual) < 0.0 && !is_tap {
            // a range by name tells no day: a usual line's own swing does
            let swing = match outlet.range {
                Some(_) if !outlet.high_read => OWN_SWING,
                _ => outlet.high_v / outlet.usual_v,
            };
            let most_v = MOST_RAISED * self.set.receiver.model().design_line;
            let (set_v, outlet_v) = (day.usual.set_v * swing, outlet.usual_v * swing);
            if set_v > most_v {
                list.push(Objection::RaisedTooFar { set_v, most_v, outlet_v });
            }
        }
        if let Some(band) = &choice.band {
            let uncertain = band.part_heater_v / band.heater_rated_v;
            let usual = day.usual.heater_excess();
            let excess = usual + uncertain.copysign(usual);
            let right = yard.is_right(yard.severity(&day.usual), is_tap) && yard.least >= -1.0;
            if excess.abs() > HEATER_LIMIT && uncertain > 0.0 && right {
                list.push(Objection::Band { excess, uncertain });
            }
        }
    }

    /// Limits of the set that count with the part and did not before, or that it makes worse; capacitors and rectifier
    /// are renewed whatever is fitted.
    fn limits(&self, day: &Day, list: &mut Vec<Objection>) {
        let findings = self.set.findings(day);
        let new = findings.iter().filter(|f| f.counts() && !f.improves(self.straight));
        list.extend(new.map(|f| Objection::limit(&f.limit, f.outlet_v)));
    }

    /// What the part itself meets: heat, place, law, fuse and faults.
    fn lead(&self, choice: &Choice, day: &Day, part: &dyn Part, list: &mut Vec<Objection>) {
        let (facts, high) = (choice.method.facts(), &day.high);
        let heats = facts.makes_heat || !part.resistors().is_empty();
        if heats && choice.part_rated_w.is_none() {
            list.push(Objection::NoSize { watts_w: high.fitted_w[0] });
        }
        for (_, rating) in choice.ratings().filter(|(_, r)| !r.has_place()) {
            list.push(Objection::NoPlace { watts_w: rating.worst_w, rated_w: rating.rated_w });
        }
        let law = part.current_range();
        if let Some((low, most)) = law.filter(|(low, most)| !(*low..=*most).contains(&high.line_a))
        {
            list.push(Objection::OutsideLaw { amps: high.line_a, low, high: most });
        }
        list.extend(too_small(part, high));
        let Some(fuse) = &choice.fuse else {
            return;
        };
        if let Some(primary_v) = part.own_primary_volts()
            && part.primary_across(high.outlet_v, high.set_v) > PRIMARY_SWING * primary_v
        {
            list.push(Objection::PrimaryVolts { primary_v, outlet_v: high.outlet_v });
        }
        if fuse.rating_a.is_none() && !part.is_nothing() {
            list.push(Objection::NoFuse { running_a: fuse.running_a });
        }
        let held = law.and_then(|(_, part_a)| Some((fuse.held_a?, part_a)));
        if let Some((held_a, part_a)) = held.filter(|(held_a, part_a)| held_a > part_a) {
            list.push(Objection::HeldAbovePart { held_a, part_a });
        }
        // nothing is fitted in the set as it is, and a tool of the bench is watched
        if !part.is_nothing() && !facts.on_bench {
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
