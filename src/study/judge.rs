//! Solves, buys and judges one adaptation.

use super::{
    Choice, Day, Goal, OtherFuse, Reading, Result, WithPart,
    band::{self, Common},
    choice::Standing,
    cold_start, connect,
    day::{DayRun, run_day},
    faults::Bare,
    fuse, read, settle,
    sized::{Met, met, sized},
    target,
    verdict::Setting,
};
use crate::{
    adaptation::{Adaptation, Duty, Method, Part, Shelf},
    catalogue::stock::FuseStandard,
    profile::PresentFuse,
    receiver::Operation,
};

/// The set counts as at its target within this share.
const ON_TARGET: f64 = 2e-3;
/// Stock parts of one adaptation that are solved through and through.
const CANDIDATES: usize = 2;

/// What every adaptation of a set is judged with.
#[derive(Clone, Copy)]
pub struct Trial<'a> {
    pub set: Setting<'a>,
    pub shelf: &'a Shelf,
    pub goal: Goal,
    pub standard: FuseStandard,
    pub present_fuse: Option<PresentFuse>,
    pub today: &'a DayRun,
    /// That at high line with each fault of the set.
    pub bare: &'a Bare,
    /// The set straight on its outlet.
    pub straight: &'a Day,
    pub common: Common,
}

/// A judged choice and its part.
pub type Judged = (Choice, Option<Box<dyn Part>>);

/// The exact value of what is unknown, and the set there.
struct Exact {
    value: f64,
    reading: Reading,
    inrush_a: f64,
}

/// Where the parts of an adaptation are looked for.
struct Sought {
    duty: Duty,
    /// None of an adaptation without an unknown.
    exact: Option<Exact>,
    near: Operation,
}

impl Trial<'_> {
    fn read(&self, operation: &Operation) -> Reading {
        read(self.set.receiver, operation)
    }

    /// The choice of `method` that does not apply.
    pub fn refused(method: Method, adaptation: Option<&dyn Adaptation>, why: String) -> Judged {
        let choice = Choice {
            standing: Standing::NotApplicable,
            not_applicable: Some(why),
            ..Trial::blank(method, adaptation)
        };
        (choice, None)
    }

    pub fn blank(method: Method, adaptation: Option<&dyn Adaptation>) -> Choice {
        Choice {
            method,
            title: method.facts().title,
            unknown: adaptation.and_then(Adaptation::unknown).map(|u| u.what.name()),
            unit: adaptation.and_then(Adaptation::value_unit),
            caveat: adaptation.and_then(Adaptation::caveat),
            hot_wire: method.hot_wire(),
            ..Choice::default()
        }
    }

    /// Judges one adaptation; the part comes back beside the choice where there is one.
    pub fn judge(&self, method: Method, adaptation: &dyn Adaptation) -> Result<Judged> {
        let judged = self.judge_fused(method, adaptation)?;
        if method.facts().steps { self.with_remainder(judged) } else { Ok(judged) }
    }

    /// A part that burns behind a UL fuse, whose standard bounds its time at a hard short by two minutes only, is
    /// tried again behind an IEC time-lag fuse, whose standard bounds it by 0.3 s.
    pub fn judge_fused(&self, method: Method, adaptation: &dyn Adaptation) -> Result<Judged> {
        let sought = match self.seek(method, adaptation)? {
            Ok(sought) => sought,
            Err(why) => return Ok(Trial::refused(method, Some(adaptation), why.to_owned())),
        };
        let first = self.judge_behind(method, adaptation, &sought, self.standard)?;
        let burns = |c: &Choice| c.faults.iter().any(|f| f.burns);
        if self.standard == FuseStandard::Iec || !burns(&first.0) {
            return Ok(first);
        }
        let mut second = self.judge_behind(method, adaptation, &sought, FuseStandard::Iec)?;
        if burns(&second.0) {
            return Ok(first);
        }
        let before = &first.0;
        let rated = before.fuse.as_ref().and_then(|f| Some((f.standard, f.rating_a?)));
        let burnt = before.faults.iter().find(|f| f.burns);
        second.0.instead_of = rated.zip(burnt).map(|((standard, rating_a), fault)| OtherFuse {
            standard,
            rating_a,
            fault: fault.fault,
            heat_w: fault.part_w.unwrap_or(0.0),
            allowed_w: fault.part_allowed_w.unwrap_or(0.0),
        });
        Ok(second)
    }

    /// Where parts are to be looked for, or why there are none.
    fn seek(
        &self,
        method: Method,
        adaptation: &dyn Adaptation,
    ) -> Result<Result<Sought, &'static str>> {
        let Setting { receiver, outlet, design, .. } = self.set;
        let (today, above) = (&self.today.usual, outlet.high_v / outlet.usual_v);
        let duty = Duty {
            outlet: outlet.usual_v,
            amps: self.read(&self.today.high).primary_a,
            held_amps: None,
            watts: design.line_w * above * above,
        };
        let Some(unknown) = adaptation.unknown() else {
            return Ok(Ok(Sought { duty, exact: None, near: today.clone() }));
        };
        let found = target::find(receiver, adaptation, unknown, self.goal, &duty, today)?;
        let Some((value, near)) = found else {
            let above = self.goal.miss(&self.read(today));
            return Ok(Err(match above > 0.0 {
                _ if above.abs() < ON_TARGET => "the set is at its target without a part",
                true if method.facts().boosts => {
                    "the set is above its target on this outlet, and this can only add volts"
                }
                false if !method.facts().boosts => {
                    "the set is below its target on this outlet, and this can only take volts off"
                }
                _ => "it cannot bring the set to its target",
            }));
        };
        let reading = self.read(&near);
        let amps = reading.primary_a * outlet.high_v / outlet.usual_v;
        let duty = Duty { amps, ..duty };
        let part = adaptation.exact(value, &duty);
        let at_high = settle::run(receiver, &*part, outlet.high_v, Some(&near))?.operation;
        let inrush_a = cold_start::start(receiver, &*part, &at_high)?.inrush_a;
        Ok(Ok(Sought { duty, exact: Some(Exact { value, reading, inrush_a }), near }))
    }

    fn judge_behind(
        &self,
        method: Method,
        adaptation: &dyn Adaptation,
        sought: &Sought,
        standard: FuseStandard,
    ) -> Result<Judged> {
        let mut choice = Trial::blank(method, Some(adaptation));
        let (mut duty, near) = (sought.duty, &sought.near);
        if let Some(Exact { value, reading, inrush_a }) = &sought.exact {
            duty.held_amps = fuse::rating(standard, duty.amps, *inrush_a)
                .map(|r| standard.held_for_an_hour() * r);
            choice.exact = Some(*value);
            choice.exact_reading = Some(reading.clone());
        }
        // nearest the target first, by one point each; the first without an objection is taken
        let today = self.goal.miss(&self.read(&self.today.usual));
        let mut parts = Vec::new();
        for part in adaptation.stock(choice.exact.unwrap_or(0.0), &duty) {
            let line = self.set.outlet.usual_v;
            let settled = settle::run(self.set.receiver, &*part, line, Some(near))?;
            let miss = self.goal.miss(&self.read(&settled.operation));
            // a tap that makes worse what is off is none
            if part.inside().primary_turns.is_none() || today * (miss - today) < 0.0 {
                parts.push((miss.abs(), settled.part.unwrap_or(part), settled.operation));
            }
        }
        parts.sort_by(|a, b| a.0.total_cmp(&b.0));
        let facts = method.facts();
        let most = if facts.on_bench { 1 } else { CANDIDATES + usize::from(facts.steps) };
        let mut best: Option<Judged> = None;
        for (_, part, near) in parts.into_iter().take(most) {
            if best.as_ref().is_some_and(|(c, _)| c.objections.is_empty()) {
                break;
            }
            let tried = self.try_part(standard, &choice, part, &near)?;
            let rank = |(c, _): &Judged| (c.objections.len(), c.target_miss.map(f64::abs));
            if best.as_ref().is_none_or(|b| rank(&tried) < rank(b)) {
                best = Some(tried);
            }
        }
        // what burns a single one, two may share
        let burns = |(c, _): &Judged| c.faults.iter().any(|f| f.burns);
        if best.as_ref().is_some_and(burns)
            && let Some(part) = adaptation.in_two(choice.exact.unwrap_or(0.0), &duty)
        {
            let line = self.set.outlet.usual_v;
            let near = settle::run(self.set.receiver, &*part, line, Some(near))?.operation;
            let tried = self.try_part(standard, &choice, part, &near)?;
            best = if burns(&tried) { best } else { Some(tried) };
        }
        Ok(best.unwrap_or_else(|| {
            let why = if method != Method::Tap {
                "no stock part suits this set's current"
            } else if today > 0.0 {
                "each other tap would raise what is too high"
            } else {
                "each other tap would lower what is too low"
            };
            choice.standing = Standing::NotApplicable;
            choice.not_applicable = Some(why.to_owned());
            (choice, None)
        }))
    }

    pub fn try_part(
        &self,
        standard: FuseStandard,
        blank: &Choice,
        part: Box<dyn Part>,
        near: &Operation,
    ) -> Result<Judged> {
        let Setting { receiver, outlet, .. } = self.set;
        let run = run_day(receiver, &outlet, &*part, Some(near), Some(self.today))?;
        // faults and start are those of the part as it stands at high line
        let warm: &dyn Part = run.high_part.as_deref().unwrap_or(&*part);
        let day = Day::read(receiver, &run);
        let fitted = (standard, self.present_fuse);
        let Met { cold, fuse, mut faults } = met(receiver, fitted, (warm, &run.high), self.bare)?;
        // a part that a fault would burn is taken one size larger, as long as there is one
        let (part, ratings) = sized(part, &day.high, &fuse, &mut faults);
        let Some([rating, beside]) = ratings else {
            return self.try_part(standard, blank, part, &run.usual);
        };
        let (bought, resistors) = (part.bought(), part.resistors());
        let with = bought.with.as_deref().zip(resistors.get(1)).map(|(with, r)| WithPart {
            part: with.clone(),
            value: r.ohms,
            in_place_of: with.in_place_of,
            rating: beside,
        });
        let is_part = !part.is_nothing();
        let (volts, hertz) = ((outlet.usual_v, outlet.high_v), receiver.model().frequency);
        let mut choice = Choice {
            part_rated_w: resistors.first().and_then(|r| r.rated_watts()),
            part_primary_v: part.own_primary_volts(),
            part: is_part.then_some(bought),
            part_value: is_part.then(|| part.value()),
            target_miss: Some(self.goal.miss(&day.usual)),
            band: Some(band::band(receiver, &*part, &day, &run.usual, self.common)),
            rating,
            with,
            fuse: Some(fuse),
            cold_start: Some(cold),
            connect: connect::connect(&*part, volts, hertz),
            faults,
            ..blank.clone()
        };
        choice.objections = self.objections(&choice, &day, &*part);
        choice.day = Some(day);
        if !choice.objections.is_empty() {
            choice.standing = Standing::Refused;
        }
        Ok((choice, Some(part)))
    }
}
