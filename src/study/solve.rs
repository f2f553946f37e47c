//! Solves a set with everything that could be done for it, and judges that.

use super::{
    Answer, AssumptionReport, Choice, Day, DryRectifier, FittedReport, Goal, HEATER_LIMIT,
    LogReport, Objection, OutletChoice, OutletVolts, PLAN_SCHEMA, Plan, Reading, ReadingsReport,
    Request, Result, SetSummary, What, alarms, assumption, band,
    choice::Standing,
    closing,
    day::run_day,
    dry,
    faults::Bare,
    fit, fitted,
    flags::{self, Direct},
    fuse,
    judge::{Judged, Trial},
    limits::FLUX_LIMIT,
    offered, outlet, read, share,
    signal::Signals,
    spread::{self, Moved, Spread},
    surge,
    verdict::{self, Repairs, Setting, Yardstick},
    working,
};
use crate::{
    adaptation::{self, Method, Offer, Part, Shelf},
    profile::{Profile, Target},
    quantity::Quantity,
    receiver::{Assumption, Receiver, Straight},
};

/// Plans a set.
///
/// # Errors
/// [`super::StudyError`] where the profile lacks a value that no rule supplies or the set has no solution.
pub fn plan(profile: &Profile, request: &Request, warnings: Vec<String>) -> Result<Plan> {
    plan_of(solve(profile, request, warnings)?)
}

/// Completes what was solved to a plan.
///
/// # Errors
/// As [`plan`].
pub fn plan_of(mut solved: Solved) -> Result<Plan> {
    let advised = solved.plan.advice.choice;
    solved.settle_on(advised, Offered::All);
    let place = solved.plan.place(advised).unwrap_or(0);
    let with = solved.with_part(place)?;
    let mut plan = solved.plan;
    plan.working = working::of(&plan, &plan.choices[place], &with.supply, solved.receiver.model());
    plan.checkpoints = with.checkpoints;
    Ok(plan)
}

/// A plan with what it was solved from, for studies that go on from it.
pub struct Solved {
    /// The plan; of its cautions there are the alarms, and assumptions that belong to one choice are still missing.
    pub plan: Plan,
    /// The set.
    pub receiver: Receiver,
    /// The part of each choice, where it has one.
    pub parts: Vec<Option<Box<dyn Part>>>,
    /// The set with each number off that may be.
    pub moved: Moved,
    /// What that does straight on the usual line.
    pub spread: Spread,
    /// The parts there are to choose from.
    pub shelf: Shelf,
}

/// Which choices are offered to who reads a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Offered {
    /// Every one of the plan.
    All,
    /// The one that is settled on, with its own fuse.
    One,
    /// The same when it is in, and what was in is out.
    Fitted,
    /// The same on the bench, with the fuse that the set has in the end.
    OnBench,
}

impl Solved {
    /// Completes the plan with what belongs to the choice `method`: its part's tolerances, and the cautions.
    pub fn settle_on(&mut self, method: Option<Method>, offered: Offered) {
        let told: Vec<Method> = method.into_iter().chain(self.plan.advice.runner_up).collect();
        tell_signal(&self.receiver, &mut self.plan.choices, &self.parts, &told);
        let place = self.plan.place(method);
        let fitted = place.map(|place| &self.plan.choices[place]);
        if let Some(part) = place.and_then(|place| self.parts[place].as_deref()) {
            let band = fitted.and_then(|c| c.band);
            self.plan.assumptions.extend(part.tolerances().into_iter().map(|t| AssumptionReport {
                what: t.what.to_owned(),
                value: t.value,
                rule: t.rule.to_owned(),
                spread: t.spread,
                heater_change_v: band.map(|b| b.part_heater_v),
                b_plus_change_v: band.map(|b| b.part_b_plus_v),
                ..AssumptionReport::default()
            }));
        }
        let list: Vec<&Choice> = match offered {
            Offered::All => self.plan.choices.iter().collect(),
            Offered::One | Offered::Fitted | Offered::OnBench => fitted.into_iter().collect(),
        };
        // one fuse for one set: but for a sheet on the set as it is, it is that of what is advised
        let is_of_one = matches!(offered, Offered::One | Offered::Fitted);
        let fuse = match fitted {
            Some(c) if c.method != Method::AsIs || is_of_one => c.fuse.as_ref(),
            _ => self.plan.fuse.as_ref().map(|set| &set.fuse),
        };
        let (receiver, outlet) = (&self.receiver, &self.plan.outlet);
        let dry = self.plan.dry_rectifier.as_ref().map(DryRectifier::caution);
        let there = self.plan.fitted.as_ref().filter(|_| offered != Offered::Fitted);
        let part = there.and_then(FittedReport::caution);
        let cautions = |list: &[&Choice]| {
            let more = part.iter().chain(&dry).cloned();
            offered::cautions(receiver, outlet, list, (fitted, fuse), more)
        };
        let (all, own) = (cautions(&list), cautions(fitted.as_slice()));
        self.plan.of_other_parts = all.iter().filter(|c| !own.contains(c)).cloned().collect();
        self.plan.cautions = all;
    }
}

/// A set on its outlet, its readings worked in and what changes its figures put right.
#[derive(Debug, Clone)]
pub struct OnOutlet {
    outlet: OutletVolts,
    log: Option<LogReport>,
    receiver: Receiver,
    assumed: Vec<Assumption>,
    readings: ReadingsReport,
    answer: Option<Answer>,
    dry: Option<DryRectifier>,
}

impl OnOutlet {
    /// Fits the set to its readings and solves it on its design line.
    ///
    /// # Errors
    /// No outlet is known, a value is missing, readings that no state of the set gives, no solution.
    pub fn of(profile: &Profile, outlet: &OutletChoice) -> Result<OnOutlet> {
        let log = outlet::logged(profile, outlet);
        let (outlet, mut assumed) = outlet::settle(profile, outlet)?;
        let settled = fit::settle(profile, Some(outlet.usual_v))?;
        assumed.extend(settled.assumed);
        let mut model = settled.model;
        outlet.feed(&mut model);
        let mut receiver = Receiver::new(model.clone(), None)?;
        let dry = dry::replaced(&receiver, (outlet.usual_v, outlet.high_v))?;
        // the plan is that of the set put right: the resistor comes first
        let missing = dry.as_ref().filter(|d| verdict::wants_resistor(d));
        if let Some((dry, resistor)) = missing.and_then(|d| Some((d, d.resistor.as_ref()?))) {
            model.rectifier.surge_ohms += resistor.stock_ohms - dry.fitted_ohms.unwrap_or(0.0);
            receiver = Receiver::new(model, None)?;
        }
        let (readings, answer) = (settled.readings, settled.answer);
        Ok(OnOutlet { outlet, log, receiver, assumed, readings, answer, dry })
    }

    /// The set straight on `line` volts RMS.
    ///
    /// # Errors
    /// It has no solution there.
    pub fn at(&self, line: f64) -> Result<Reading> {
        Ok(read(&self.receiver, &self.receiver.run(line, &Straight, None)?))
    }

    /// The shop's and the owner's parts, and what of the set bounds them.
    fn shelf(&self, profile: &Profile) -> Result<Shelf> {
        let (model, outlet, parts) = (self.receiver.model(), &self.outlet, &profile.parts);
        let resistors: Vec<_> =
            parts.resistors.iter().map(|(r, size)| (r.si(), size.clone())).collect();
        let transformers = parts.transformers.iter().map(|(p, s, a)| (p.si(), s.si(), a.si()));
        let flux = model.flux_elsewhere(1.0);
        Ok(Shelf {
            string: surge::string_dropper(&resistors, &self.receiver, outlet)?,
            direct_current: alarms::draws_direct_current(model),
            mains_resistor: profile.mains_resistor.is_some_and(|r| !r.by_maker),
            iron_v: flux.map(|one| FLUX_LIMIT * one.designed / one.volts_per_hertz),
            outlet: outlet.usual_v,
            high: outlet.high_v,
            design_line: profile.set.design_line.si(),
            taps: profile.transformer.primary.taps.iter().map(|v| v.si()).collect(),
            resistors,
            transformers: transformers.collect(),
        })
    }

    /// What is wanted, as far as the iron bears it; the same where that is not the heaters' rating; and whether it is less.
    fn goal(&self, wanted: Target, shelf: &Shelf) -> Result<(Goal, Option<Goal>, bool)> {
        let goal = Goal::of(wanted, &self.receiver)?;
        let (goal, lowered) = match shelf.iron_v.filter(|v| *v < self.outlet.usual_v) {
            Some(volts) if wanted == Target::Heaters => goal.lowered(&self.receiver, volts)?,
            _ => (goal, false),
        };
        Ok((goal, (wanted != Target::Heaters).then_some(goal), lowered))
    }
}

/// Solves and judges every choice.
///
/// # Errors
/// As [`plan`].
pub fn solve(profile: &Profile, request: &Request, warnings: Vec<String>) -> Result<Solved> {
    solve_on(OnOutlet::of(profile, &request.outlet)?, profile, request.target, warnings)
}

/// The same of a set that is on its outlet already.
///
/// # Errors
/// As [`plan`].
pub fn solve_on(
    on: OnOutlet,
    profile: &Profile,
    target: Option<Target>,
    mut warnings: Vec<String>,
) -> Result<Solved> {
    let (receiver, outlet) = (&on.receiver, on.outlet);
    let today = run_day(receiver, &outlet, &Straight, None, None)?;
    let straight = Day::read(receiver, &today);
    let design = read(receiver.as_made(), receiver.as_made().at_design());
    warnings.extend(made_for_another_line(&design));
    // what may be off of the set as it is; each choice adds its part's own tolerance
    let moved = Moved::of(receiver, spread::numbers(profile, receiver.model(), &on.assumed)?);
    let spread = moved.spread(&Straight, outlet.usual_v, &today.usual)?;
    let heaters = What::Heater.of(straight.usual.tube_heater_place());
    let assumptions = assumption::report(&on.assumed, &spread, heaters);
    // what the trade leaves open of every set asks for no reading
    let unknown = band::common(heaters, on.answer.as_ref(), |m| spread.of_assumed(m));
    let shelf = on.shelf(profile)?;
    let (goal, asked, lowered) = on.goal(target.unwrap_or(profile.target), &shelf)?;
    let set = Setting {
        receiver,
        outlet,
        direct: flags::direct(receiver.model(), &outlet),
        yard: &Yardstick::new(&shelf, asked, lowered, unknown, &straight.usual),
        design: &design,
        spreads: &spread.limits(),
    };
    let trial = Trial {
        set,
        shelf: &shelf,
        goal,
        straight: &straight,
        standard: fuse::standard(profile, outlet.usual_v),
        present_fuse: profile.present_fuse(),
        today: &today,
        bare: &Bare::of(receiver, &today.high),
        common: band::common(heaters, on.answer.as_ref(), |m| spread.of(m)),
    };
    let (mut choices, mut parts) = judge_all(&trial)?;
    let known = (&on.readings, on.dry.as_ref());
    let repairs = Repairs::of(known);
    let put_right = !repairs.is_empty() && profile.calibration.is_empty();
    let mut advice = match on.readings.reason().filter(|_| repairs.is_empty()) {
        Some(reason) => verdict::contradicted(reason, &on.readings, set.direct, &straight.usual),
        None => verdict::advise(&set, &choices, &today.usual, &assumptions, repairs),
    };
    let (fitted, part) =
        fitted::settle(&trial, profile, known, &mut advice, (&mut choices, &mut parts))?;
    let advised = choices.iter_mut().find(|c| Some(c.method) == advice.choice);
    advised.into_iter().for_each(|choice| choice.standing = Standing::Advised);
    let mut plan = Plan {
        cautions: fitted::danger::alarms(receiver, &outlet, fitted.as_ref()),
        of_other_parts: Vec::new(),
        schema: PLAN_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        set: SetSummary::of(profile, receiver.model()),
        outlet,
        outlet_log: on.log,
        shop: None,
        readings_used: on.readings.used,
        readings: on.readings,
        target: goal.words(),
        put_right,
        as_designed: design,
        fuse: offered::fuse_of_set(&choices, advice.choice),
        choices,
        fitted,
        as_left: None,
        visits: None,
        advice,
        dry_rectifier: on.dry,
        assumptions,
        warnings,
        working: Vec::new(),
        checkpoints: Vec::new(),
    };
    closing::close(&mut plan, profile, (receiver, &moved), part.as_deref())?;
    Ok(Solved { plan, receiver: on.receiver, parts, moved, spread, shelf })
}

/// A heater string and its dropper that do not suit the line the profile names: one of them is wrong.
fn made_for_another_line(design: &Reading) -> Option<String> {
    let heater = design.tube_heater().filter(|h| h.in_string)?;
    (design.heater_excess().abs() > HEATER_LIMIT).then(|| {
        format!(
            "on its design line of {:.0} V the heater of the {} would get {:.1} V of {:.1} V: check `design_line` and what stands in series with the heaters",
            design.outlet_v, heater.winding, heater.volts_v, heater.rated_v
        )
    })
}

/// Judges one; a part with which the set has no solution does not apply, and the rest of the plan stands. Only
/// the set as it is must have one.
fn judge_one(bench: &Trial, method: Method, offer: &Offer) -> Result<Judged> {
    let adaptation = match offer {
        Offer::Here(adaptation) => &**adaptation,
        Offer::RuledOut(why) => return Ok(Trial::refused(method, None, (*why).to_owned())),
    };
    match bench.judge(method, adaptation) {
        Err(error) if method != Method::AsIs => {
            let why = format!("the set has no solution with it: {error}");
            Ok(Trial::refused(method, Some(adaptation), why))
        }
        other => other,
    }
}

/// Choices, and the part of each.
type Choices = (Vec<Choice>, Vec<Option<Box<dyn Part>>>);

/// Judges every adaptation; they are independent, so threads share them. A set that must not be plugged in as it is gets
/// nothing that a direct connection would need.
fn judge_all(bench: &Trial) -> Result<Choices> {
    let Setting { receiver, outlet, direct, .. } = bench.set;
    let offers = adaptation::offers(bench.shelf);
    let judged = share::each(&offers, |(method, offer)| judge_one(bench, *method, offer));
    let mut judged: Vec<Judged> = judged.into_iter().collect::<Result<_, _>>()?;
    if let Some(both) = bench.tap_and_part(&judged)? {
        // behind the set as it is and the tap alone
        judged.insert(2, both);
    }
    let (mut choices, parts): Choices = judged.into_iter().unzip();
    // a resistor is judged by what the signal does to it, too
    tell_signal(receiver, &mut choices, &parts, &[Method::AsIs, Method::SeriesResistor]);
    object_to_signal(&mut choices, outlet.usual_v);
    if let Some(as_is) = choices.first_mut().filter(|_| direct != Direct::Allowed) {
        as_is.withhold(flags::usual_ratio(receiver.model(), &outlet));
    }
    Ok((choices, parts))
}

/// Points of heater per cent that a resistor may let go at full output: less than a part must gain.
const MOST_FALL: f64 = 0.03;

/// Tells of the choices of `which` what the signal does, where it is not told yet.
fn tell_signal(
    receiver: &Receiver,
    choices: &mut [Choice],
    parts: &[Option<Box<dyn Part>>],
    which: &[Method],
) {
    let signals = Signals::of(receiver);
    let wanted = |c: &Choice| {
        let facts = c.method.facts();
        which.contains(&c.method) && c.signal.is_none() && !facts.on_bench && !facts.rough
    };
    let all: Vec<(&mut Choice, &dyn Part)> = choices
        .iter_mut()
        .zip(parts)
        .filter(|(choice, _)| wanted(choice))
        .map(|(choice, part)| (choice, part.as_deref().unwrap_or(&Straight)))
        .collect();
    let reports = share::each(&all, |(choice, part)| {
        let day = choice.day.as_ref()?;
        signals.report(*part, (&day.usual, &day.high), receiver.at_design())
    });
    for ((choice, _), report) in all.into_iter().zip(reports) {
        choice.signal = report;
    }
}

/// Speaks against a resistor that lets the set sag at full output, or does not bear it.
fn object_to_signal(choices: &mut [Choice], usual_v: f64) {
    let bare = choices.iter().find(|c| c.method == Method::AsIs);
    // what the set passes by itself, a resistor only improves
    let bare = bare.and_then(|c| c.signal.as_ref()).map_or(Vec::new(), |s| s.exceeds.clone());
    for choice in choices.iter_mut().filter(|c| c.method == Method::SeriesResistor) {
        let Some(signal) = &choice.signal else {
            continue;
        };
        let fall = signal.heater_fall_share.filter(|fall| *fall > MOST_FALL);
        // at worst, as it is told of the heat at rest
        let rest = choice.rating.as_ref().zip(choice.day.as_ref());
        let worst = rest.map_or(1.0, |(rating, day)| rating.worst_w / day.high.fitted_w[0]);
        let full = signal.resistor_w_full.filter(|_| signal.resistor_overloaded);
        let rated_w = choice.part_rated_w.unwrap_or(0.0);
        let burns = full.map(|w| Objection::NoPlace { watts_w: worst * w, rated_w });
        let new = signal.exceeds.iter().filter(|l| !bare.iter().any(|b| b.is(l)));
        let new = new.map(|l| Objection::limit(l, usual_v));
        let sags = fall.map(|fall| Objection::SagsWithSignal { fall });
        choice.objections.extend(sags.into_iter().chain(burns).chain(new));
        if !choice.objections.is_empty() {
            choice.standing = Standing::Refused;
        }
    }
}
