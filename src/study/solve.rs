//! Solves a set with everything that could be done for it, and judges that.

use super::StudyError;
use super::alarms::{self, alarms};
use super::assumption::{self, AssumptionReport};
use super::band;
use super::choice::{Choice, Standing};
use super::day::{Day, run_day};
use super::dry::{self, DryRectifier};
use super::faults::Bare;
use super::fit::{self, Answer, ReadingsReport};
use super::flags::{self, Direct};
use super::judge::{Bench, Judged};
use super::limits::FLUX_LIMIT;
use super::measures::What;
use super::objection::Objection;
use super::offered;
use super::outlet::{self, OutletVolts};
use super::plan::{PLAN_SCHEMA, Plan, Request, SetSummary};
use super::reading::{self, HEATER_LIMIT, Reading};
use super::settle;
use super::share;
use super::signal::{SignalReport, Signals};
use super::spread::{self, Moved, Spread};
use super::supply;
use super::surge;
use super::target::Goal;
use super::verdict::{self, Case, Repairs, Scale, Yardstick};
use super::working;
use crate::adaptation::{self, Method, Offer, Part, Shelf};
use crate::catalogue::stock::FuseStandard;
use crate::profile::{Profile, Target};
use crate::quantity::Quantity;
use crate::receiver::{Assumption, Receiver, Straight};

/// Plans a set.
///
/// # Errors
/// [`StudyError`] where the profile lacks a value that no rule supplies or the set has no solution.
pub fn plan(
    profile: &Profile,
    request: &Request,
    warnings: Vec<String>,
) -> Result<Plan, StudyError> {
    let mut solved = solve(profile, request, warnings)?;
    let advised = solved.plan.advice.choice;
    solved.settle_on(advised, Offered::All);
    let choice = solved.plan.choices.iter().position(|c| Some(c.method) == advised).unwrap_or(0);
    let part: &dyn Part = solved.parts[choice].as_deref().unwrap_or(&Straight);
    let line = solved.plan.outlet.usual_v;
    let usual = settle::run(&solved.receiver, part, line, None)?.operation;
    let sketch = supply::sketch(&solved.receiver, &usual);
    solved.plan.working =
        working::of(&solved.plan, &solved.plan.choices[choice], &sketch, solved.receiver.model());
    Ok(solved.plan)
}

/// A plan with what it was solved from, for studies that go on from it.
pub(super) struct Solved {
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
}

/// Which choices are offered to who reads a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Offered {
    /// Every one of the plan.
    All,
    /// The one that is settled on.
    One,
}

impl Solved {
    /// Completes the plan with what belongs to the choice `method`: its part's tolerances, and the cautions.
    pub fn settle_on(&mut self, method: Option<Method>, offered: Offered) {
        let told: Vec<Method> = method.into_iter().chain(self.plan.advice.runner_up).collect();
        tell_signal(&self.receiver, &mut self.plan.choices, &self.parts, &told);
        let chosen = |c: &&Choice| Some(c.method) == method;
        let choices = self.plan.choices.iter().zip(&self.parts);
        for (choice, part) in choices.filter(|(c, _)| chosen(c)) {
            let tolerances = part.iter().flat_map(|p| p.tolerances());
            let rows = tolerances.map(|t| AssumptionReport {
                what: t.what.to_owned(),
                value: t.value,
                rule: t.rule.to_owned(),
                spread: t.spread,
                bounds: None,
                b_plus_at_bounds_v: None,
                heater_change_v: choice.band.map(|b| b.part_heater_v),
                b_plus_change_v: choice.band.map(|b| b.part_b_plus_v),
            });
            self.plan.assumptions.extend(rows);
        }
        let fitted = self.plan.choices.iter().find(chosen);
        let list: Vec<&Choice> = match offered {
            Offered::All => self.plan.choices.iter().collect(),
            Offered::One => fitted.into_iter().collect(),
        };
        // one fuse for one set: in the set as it is, too, it is that of what is advised
        let fuse = match fitted {
            Some(c) if c.method != Method::AsIs => c.fuse.as_ref(),
            _ => self.plan.fuse.as_ref().map(|set| &set.fuse),
        };
        let (receiver, outlet) = (&self.receiver, &self.plan.outlet);
        let dry = self.plan.dry_rectifier.as_ref().map(DryRectifier::caution);
        self.plan.cautions = offered::cautions(receiver, outlet, &list, (fitted, fuse), dry);
    }
}

/// A set on its outlet, its readings worked in and what changes its figures put right.
struct OnOutlet {
    outlet: OutletVolts,
    receiver: Receiver,
    assumed: Vec<Assumption>,
    readings: ReadingsReport,
    answer: Option<Answer>,
    dry: Option<DryRectifier>,
}

impl OnOutlet {
    fn of(profile: &Profile, request: &Request) -> Result<OnOutlet, StudyError> {
        let (outlet, mut assumed) = outlet::settle(profile, &request.outlet)?;
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
        Ok(OnOutlet { outlet, receiver, assumed, readings, answer, dry })
    }

    /// The shop's and the owner's parts, and what of the set bounds them.
    fn shelf(&self, profile: &Profile) -> Result<Shelf, StudyError> {
        let mut shelf = shelf(profile, &self.outlet);
        let flux = self.receiver.model().flux_elsewhere(1.0);
        shelf.iron_v = flux.map(|one| FLUX_LIMIT * one.designed / one.volts_per_hertz);
        shelf.direct_current = alarms::draws_direct_current(self.receiver.model());
        shelf.string = surge::string_dropper(&shelf.resistors, &self.receiver, &self.outlet)?;
        Ok(shelf)
    }

    /// What is wanted, as far as the iron bears it, and whether that is less.
    fn goal(&self, wanted: Target, shelf: &Shelf) -> Result<(Goal, bool), StudyError> {
        let goal = Goal::of(wanted, &self.receiver)?;
        match shelf.iron_v.filter(|v| *v < self.outlet.usual_v) {
            Some(volts) if wanted == Target::Heaters => goal.lowered(&self.receiver, volts),
            _ => Ok((goal, false)),
        }
    }
}

/// Solves and judges every choice.
///
/// # Errors
/// As [`plan`].
pub(super) fn solve(
    profile: &Profile,
    request: &Request,
    warnings: Vec<String>,
) -> Result<Solved, StudyError> {
    let set = OnOutlet::of(profile, request)?;
    let (receiver, outlet) = (&set.receiver, set.outlet);
    let today = run_day(receiver, &outlet, &Straight, None, None)?;
    let straight = Day::read(receiver, &today);
    let made = receiver.as_made();
    let design = reading::read(made, made.at_design());
    // what may be off of the set as it is; each choice adds its part's own tolerance
    let moved = Moved::of(receiver, spread::numbers(profile, receiver.model(), &set.assumed)?);
    let spread = moved.spread(&Straight, outlet.usual_v, &today.usual)?;
    let heaters = What::Heater.of(straight.usual.tube_heater_place());
    let assumptions = assumption::report(&set.assumed, &spread, heaters);
    let mut warnings = warnings;
    warnings.extend(made_for_another_line(&design));
    let answer = set.answer.as_ref();
    let common = band::common(heaters, answer, |m| spread.of(m));
    // what the trade leaves open of every set asks for no reading
    let unknown = band::common(heaters, answer, |m| spread.of_assumed(m));
    let spreads = spread.limits();
    let shelf = set.shelf(profile)?;
    let wanted = request.target.unwrap_or(profile.target);
    let (goal, lowered) = set.goal(wanted, &shelf)?;
    let asked = (wanted != Target::Heaters).then_some(goal);
    let yard = Yardstick::new(&shelf, asked, lowered, unknown, &straight.usual);
    let scale = Scale {
        design: &design,
        spreads: &spreads,
        high_read: outlet.high_read,
        dry: receiver.model().rectifier.kind.is_dry(),
    };
    let direct = flags::direct(receiver.model(), &outlet);
    let stated = profile.fuse.and_then(|f| f.standard);
    let bench = Bench {
        receiver,
        shelf: &shelf,
        outlet,
        goal,
        yard: &yard,
        scale: &scale,
        direct,
        straight: &straight,
        standard: stated.unwrap_or_else(|| FuseStandard::for_line(outlet.usual_v)),
        present_fuse: profile.fuse,
        today: &today,
        bare: &Bare::of(receiver, &today.high),
        design: &design,
        common,
    };
    let (mut choices, parts) = judge_all(&bench)?;
    let repairs = Repairs::of(&set.readings, set.dry.as_ref());
    let put_right = !repairs.is_empty() && profile.calibration.is_empty();
    let advice = match set.readings.reason().filter(|_| repairs.is_empty()) {
        Some(reason) => verdict::contradicted(reason, &set.readings, direct, &straight.usual),
        None => verdict::advise(Case {
            receiver,
            outlet: &outlet,
            direct,
            yard: &yard,
            scale: &scale,
            choices: &choices,
            near: &today.usual,
            assumptions: &assumptions,
            repairs,
        }),
    };
    for choice in choices.iter_mut().filter(|c| Some(c.method) == advice.choice) {
        choice.standing = Standing::Advised;
    }
    let plan = Plan {
        cautions: alarms(receiver.model(), Some(&outlet)),
        schema: PLAN_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        set: SetSummary::of(profile, receiver.model()),
        outlet,
        readings_used: set.readings.used,
        readings: set.readings,
        target: goal.words(),
        put_right,
        as_designed: design,
        fuse: offered::fuse_of_set(&choices, advice.choice),
        choices,
        advice,
        dry_rectifier: set.dry,
        assumptions,
        warnings,
        working: Vec::new(),
    };
    Ok(Solved { plan, receiver: set.receiver, parts, moved, spread })
}

/// A heater string and its dropper that do not suit the line the profile names: one of them is wrong.
fn made_for_another_line(design: &Reading) -> Option<String> {
    let heater = design.tube_heater().filter(|h| h.in_string)?;
    let excess = design.heater_excess();
    (excess.abs() > HEATER_LIMIT).then(|| {
        format!(
            "on its design line of {:.0} V the heater of the {} would get {:.1} V of {:.1} V: check `design_line` and what stands in series with the heaters",
            design.outlet_v, heater.winding, heater.volts_v, heater.rated_v
        )
    })
}

fn shelf(profile: &Profile, outlet: &OutletVolts) -> Shelf {
    Shelf {
        string: None,
        direct_current: false,
        mains_resistor: profile.mains_resistor.is_some_and(|r| !r.by_maker),
        iron_v: None,
        outlet: outlet.usual_v,
        high: outlet.high_v,
        design_line: profile.set.design_line.si(),
        taps: profile.transformer.primary.taps.iter().map(|v| v.si()).collect(),
        resistors: profile.parts.resistors.iter().map(|(r, size)| (r.si(), size.clone())).collect(),
        transformers: profile
            .parts
            .transformers
            .iter()
            .map(|(p, s, a)| (p.si(), s.si(), a.si()))
            .collect(),
    }
}

/// Judges one; a part with which the set has no solution does not apply, and the rest of the plan stands. Only
/// the set as it is must have one.
fn judge_one(bench: &Bench<'_>, method: Method, offer: &Offer) -> Result<Judged, StudyError> {
    let adaptation = match offer {
        Offer::Here(adaptation) => &**adaptation,
        Offer::RuledOut(why) => return Ok(Bench::refused(method, None, (*why).to_owned())),
    };
    match bench.judge(method, adaptation) {
        Err(error) if method != Method::AsIs => {
            let why = format!("the set has no solution with it: {error}");
            Ok(Bench::refused(method, Some(adaptation), why))
        }
        other => other,
    }
}

/// Choices, and the part of each.
type Choices = (Vec<Choice>, Vec<Option<Box<dyn Part>>>);

/// Judges every adaptation; they are independent, so threads share them. A set that must not be plugged in as it is gets
/// nothing that a direct connection would need.
fn judge_all(bench: &Bench<'_>) -> Result<Choices, StudyError> {
    let offers = adaptation::offers(bench.shelf);
    let judged = share::each(&offers, |(method, offer)| judge_one(bench, *method, offer));
    let mut judged: Vec<Judged> = judged.into_iter().collect::<Result<_, _>>()?;
    if let Some(both) = bench.tap_and_part(&judged)? {
        // behind the set as it is and the tap alone
        judged.insert(2, both);
    }
    let (mut choices, parts): Choices = judged.into_iter().unzip();
    // a resistor is judged by what the signal does to it, too
    let told = [Method::AsIs, Method::SeriesResistor];
    tell_signal(bench.receiver, &mut choices, &parts, &told);
    object_to_signal(&mut choices, bench.outlet.usual_v);
    if let Some(as_is) = choices.first_mut().filter(|_| bench.direct != Direct::Allowed) {
        as_is.withhold(flags::usual_ratio(bench.receiver.model(), &bench.outlet));
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
    let all = choices.iter().zip(parts).enumerate();
    let all: Vec<(usize, &Day, &dyn Part)> = all
        .filter(|(_, (choice, _))| wanted(choice))
        .filter_map(|(i, (choice, part))| {
            Some((i, choice.day.as_ref()?, part.as_deref().unwrap_or(&Straight)))
        })
        .collect();
    let report = |(i, day, part): &(usize, &Day, &dyn Part)| {
        (*i, signals.report(*part, (&day.usual, &day.high), receiver.at_design()))
    };
    let reports: Vec<(usize, Option<SignalReport>)> = share::each(&all, report);
    for (i, report) in reports {
        choices[i].signal = report;
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
        let fall = signal.heater_fall_share.unwrap_or(0.0);
        if fall > MOST_FALL {
            choice.objections.push(Objection::SagsWithSignal { fall });
        }
        if let Some(watts_w) = signal.resistor_w_full.filter(|_| signal.resistor_overloaded) {
            let rated_w = choice.part_rated_w.unwrap_or(0.0);
            choice.objections.push(Objection::NoPlace { watts_w, rated_w });
        }
        let new = signal.exceeds.iter().filter(|l| !bare.iter().any(|b| b.is(l)));
        let exceeds = new.map(|l| Objection::limit(l, usual_v));
        choice.objections.extend(exceeds);
        if !choice.objections.is_empty() {
            choice.standing = Standing::Refused;
        }
    }
}
