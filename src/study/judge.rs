//! Solves, buys and judges one adaptation.

use super::StudyError;
use super::band::{self, Common};
use super::choice::{Choice, Standing, WithPart};
use super::cold_start;
use super::connect;
use super::day::{Day, DayRun, run_day};
use super::faults::{Bare, FaultBench, OtherFuse, burning, held_w, judge_fusible, judge_heat};
use super::flags::Direct;
use super::fuse;
use super::objection::Objection;
use super::outlet::OutletVolts;
use super::rating;
use super::reading::{self, Reading};
use super::settle;
use super::target::{self, Goal};
use super::verdict::{Scale, Yardstick};
use crate::adaptation::{Adaptation, Duty, Method, Part, SIZE_MARGIN, Shelf};
use crate::catalogue::stock::FuseStandard;
use crate::profile::PresentFuse;
use crate::receiver::{Operation, Receiver};

/// The set counts as at its target within this share.
const ON_TARGET: f64 = 2e-3;
/// Stock parts of one adaptation that are solved through and through.
const CANDIDATES: usize = 2;

/// What every adaptation of a set is judged with.
#[derive(Clone, Copy)]
pub(super) struct Bench<'a> {
    pub receiver: &'a Receiver,
    pub shelf: &'a Shelf,
    pub outlet: OutletVolts,
    pub goal: Goal,
    pub yard: &'a Yardstick,
    pub scale: &'a Scale<'a>,
    pub direct: Direct,
    pub standard: FuseStandard,
    pub present_fuse: Option<PresentFuse>,
    pub today: &'a DayRun,
    /// That at high line with each fault of the set.
    pub bare: &'a Bare,
    /// The set straight on its outlet.
    pub straight: &'a Day,
    pub design: &'a Reading,
    pub common: Common,
}

/// Where `part` is a transformer for the whole set that is smaller than the set's watts ask for.
pub(super) fn too_small(part: &dyn Part, high: &Reading) -> Option<Objection> {
    let (va, watts_w) = (part.va()?, high.line_w - high.lead_w);
    (va < SIZE_MARGIN * watts_w).then_some(Objection::TooSmall { va, watts_w })
}

/// A judged choice and its part.
pub(super) type Judged = (Choice, Option<Box<dyn Part>>);

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

/// A candidate part with everything solved.
struct Tried {
    part: Box<dyn Part>,
    choice: Choice,
    miss: f64,
}

impl Bench<'_> {
    fn read(&self, operation: &Operation) -> Reading {
        reading::read(self.receiver, operation)
    }

    fn day(&self, run: &DayRun) -> Day {
        Day { low: self.read(&run.low), usual: self.read(&run.usual), high: self.read(&run.high) }
    }

    /// The choice of `method` that does not apply.
    pub fn refused(method: Method, adaptation: Option<&dyn Adaptation>, why: String) -> Judged {
        let choice = Choice {
            standing: Standing::NotApplicable,
            not_applicable: Some(why),
            ..Bench::blank(method, adaptation)
        };
        (choice, None)
    }

    fn blank(method: Method, adaptation: Option<&dyn Adaptation>) -> Choice {
        Choice {
            method,
            title: method.facts().title,
            standing: Standing::Serves,
            unknown: adaptation.and_then(Adaptation::unknown).map(|u| u.what.name()),
            unit: adaptation.and_then(Adaptation::value_unit),
            exact: None,
            exact_reading: None,
            part: None,
            part_value: None,
            part_rated_w: None,
            part_primary_v: None,
            target_miss: None,
            day: None,
            band: None,
            rating: None,
            with: None,
            fuse: None,
            instead_of: None,
            cold_start: None,
            faults: Vec::new(),
            caveat: adaptation.and_then(Adaptation::caveat),
            objections: Vec::new(),
            not_applicable: None,
            behind: None,
            hot_wire: method.hot_wire(),
            connect: None,
            signal: None,
        }
    }

    /// Judges one adaptation; the part comes back beside the choice where there is one.
    pub fn judge(&self, method: Method, adaptation: &dyn Adaptation) -> Result<Judged, StudyError> {
        let judged = self.judge_fused(method, adaptation)?;
        if method.facts().steps { self.with_remainder(judged) } else { Ok(judged) }
    }

    /// A part that burns behind a UL fuse, whose standard bounds its time at a hard short by two minutes only, is
    /// tried again behind an IEC time-lag fuse, whose standard bounds it by 0.3 s.
    pub fn judge_fused(
        &self,
        method: Method,
        adaptation: &dyn Adaptation,
    ) -> Result<Judged, StudyError> {
        let sought = match self.seek(method, adaptation)? {
            Ok(sought) => sought,
            Err(why) => return Ok(Bench::refused(method, Some(adaptation), why.to_owned())),
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
    ) -> Result<Result<Sought, &'static str>, StudyError> {
        let high = self.read(&self.today.high);
        let (outlet, above) = (self.outlet.usual_v, self.outlet.high_v / self.outlet.usual_v);
        let watts = self.design.line_w * above * above;
        let duty = Duty { outlet, amps: high.primary_a, held_amps: None, watts };
        let today = &self.today.usual;
        let Some(unknown) = adaptation.unknown() else {
            return Ok(Ok(Sought { duty, exact: None, near: today.clone() }));
        };
        let found = target::find(self.receiver, adaptation, unknown, self.goal, &duty, today)?;
        let Some((exact, near)) = found else {
            let above = self.goal.miss(&self.read(today));
            return Ok(Err(if above.abs() < ON_TARGET {
                "the set is at its target without a part"
            } else if above > 0.0 && method.facts().boosts {
                "the set is above its target on this outlet, and this can only add volts"
            } else if above > 0.0 || method.facts().boosts {
                "it cannot bring the set to its target"
            } else {
                "the set is below its target on this outlet, and this can only take volts off"
            }));
        };
        let reading = self.read(&near);
        let amps = reading.primary_a * self.outlet.high_v / self.outlet.usual_v;
        let duty = Duty { amps, ..duty };
        let part = adaptation.exact(exact, &duty);
        let at_high =
            settle::run(self.receiver, &*part, self.outlet.high_v, Some(&near))?.operation;
        let inrush_a = cold_start::start(self.receiver, &*part, &at_high)?.inrush_a;
        Ok(Ok(Sought { duty, exact: Some(Exact { value: exact, reading, inrush_a }), near }))
    }

    fn judge_behind(
        &self,
        method: Method,
        adaptation: &dyn Adaptation,
        sought: &Sought,
        standard: FuseStandard,
    ) -> Result<Judged, StudyError> {
        let mut choice = Bench::blank(method, Some(adaptation));
        let (mut duty, near) = (sought.duty, &sought.near);
        if let Some(Exact { value, reading, inrush_a }) = &sought.exact {
            duty.held_amps = fuse::rating(standard, duty.amps, *inrush_a)
                .map(|r| standard.held_for_an_hour() * r);
            choice.exact = Some(*value);
            choice.exact_reading = Some(reading.clone());
        }
        let exact = choice.exact.unwrap_or(0.0);
        // nearest the target first, by one point each; the first without an objection is taken
        let today = self.goal.miss(&self.read(&self.today.usual));
        let mut parts = Vec::new();
        for part in adaptation.stock(exact, &duty) {
            let settled = settle::run(self.receiver, &*part, self.outlet.usual_v, Some(near))?;
            let miss = self.goal.miss(&self.read(&settled.operation));
            // a tap that makes worse what is off is none
            if part.inside().primary_turns.is_none() || today * (miss - today) < 0.0 {
                parts.push((miss.abs(), settled.part.unwrap_or(part), settled.operation));
            }
        }
        parts.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut best: Option<Tried> = None;
        let most = match method.facts() {
            facts if facts.on_bench => 1,
            facts => CANDIDATES + usize::from(facts.steps),
        };
        for (_, part, near) in parts.into_iter().take(most) {
            if best.as_ref().is_some_and(|b| b.choice.objections.is_empty()) {
                break;
            }
            let tried = self.try_part(standard, &choice, part, &near)?;
            let rank = |t: &Tried| (t.choice.objections.len(), t.miss.abs());
            let better = best.as_ref().is_none_or(|b| rank(&tried) < rank(b));
            if better {
                best = Some(tried);
            }
        }
        match best {
            Some(tried) => Ok((tried.choice, Some(tried.part))),
            None => {
                let why = match method {
                    Method::Tap if today > 0.0 => "each other tap would raise what is too high",
                    Method::Tap => "each other tap would lower what is too low",
                    _ => "no stock part suits this set's current",
                };
                choice.standing = Standing::NotApplicable;
                choice.not_applicable = Some(why.to_owned());
                Ok((choice, None))
            }
        }
    }

    fn try_part(
        &self,
        standard: FuseStandard,
        blank: &Choice,
        part: Box<dyn Part>,
        near: &Operation,
    ) -> Result<Tried, StudyError> {
        let run = run_day(self.receiver, &self.outlet, &*part, Some(near), Some(self.today))?;
        // faults and start are those of the part as it stands at high line
        let warm: &dyn Part = run.high_part.as_deref().unwrap_or(&*part);
        let day = self.day(&run);
        let cold = cold_start::start(self.receiver, warm, &run.high)?;
        let fuse = fuse::report(
            standard,
            self.outlet.high_v,
            (day.high.line_a, cold.inrush_a),
            self.present_fuse,
        );
        let faults = fuse.rating_a.map(|fuse_a| {
            let (receiver, line) = (self.receiver, self.outlet.high_v);
            FaultBench { receiver, standard, fuse_a, line, bare: self.bare }.all(warm, &run.high)
        });
        let mut faults = faults.unwrap_or_default();
        // a part that a fault would burn is taken one size larger, as long as there is one
        let mut part = part;
        let [rating, beside] = loop {
            let held = |high| fuse.held_a.is_some_and(|held| held > high);
            let mut weak = part.current_range().filter(|(_, high)| held(*high)).map(|_| 0);
            weak = weak.or(too_small(&*part, &day.high).map(|_| 0));
            let mut ratings = [None, None];
            for (which, resistor) in part.resistors().into_iter().enumerate() {
                let circuit = match (part.stands_in_lead(), which) {
                    (true, _) => rating::Circuit::Cord,
                    (false, 0) => rating::Circuit::String,
                    (false, _) => rating::Circuit::PlateLead,
                };
                let watts = day.high.fitted_w[which];
                let Some(mut rating) = rating::rate(resistor, watts, circuit) else {
                    continue;
                };
                rating.rule_out(resistor, held_w(&faults, which));
                judge_fusible(&mut faults, which, resistor, &rating);
                if which == 0 {
                    judge_heat(&mut faults, resistor, &rating);
                }
                let burns = burning(&faults, which, resistor, &rating).count() > 0;
                if burns || !rating.has_place() {
                    weak = weak.or(Some(which));
                }
                ratings[which] = Some(rating);
            }
            match weak.and_then(|which| part.larger(which)) {
                // a larger winding gives other volts; a larger resistor does not
                Some(larger) if part.resistors().is_empty() => {
                    return self.try_part(standard, blank, larger, &run.usual);
                }
                Some(larger) => part = larger,
                None => break ratings,
            }
        };
        let (bought, resistors) = (part.bought(), part.resistors());
        let with = bought.with.as_deref().zip(resistors.get(1)).map(|(with, r)| WithPart {
            part: with.clone(),
            value: r.ohms,
            in_place_of: with.in_place_of,
            rating: beside,
        });
        let miss = self.goal.miss(&day.usual);
        let mut choice = Choice {
            part_rated_w: resistors.first().and_then(|r| r.rated_watts()),
            part_primary_v: part.own_primary_volts(),
            part: (!part.is_nothing()).then_some(bought),
            part_value: (!part.is_nothing()).then(|| part.value()),
            target_miss: Some(miss),
            band: Some(band::band(self.receiver, &*part, &day, &run.usual, self.common)),
            rating,
            with,
            fuse: Some(fuse),
            cold_start: Some(cold),
            connect: connect::connect(
                &*part,
                (self.outlet.usual_v, self.outlet.high_v),
                self.receiver.model().frequency,
            ),
            faults,
            ..blank.clone()
        };
        choice.objections = self.objections(&choice, &day, &*part);
        choice.day = Some(day);
        if !choice.objections.is_empty() {
            choice.standing = Standing::Refused;
        }
        Ok(Tried { part, choice, miss })
    }
}
