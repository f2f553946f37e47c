//! The main job: the set today, the choices side by side, and which is advised.

use super::StudyError;
use super::alarms::alarms;
use super::assumption::{self, AssumptionReport};
use super::band::{self, Band};
use super::behind::Behind;
use super::caution::{self, Caution};
use super::cold_start::{self, ColdStart};
use super::connect::Connect;
use super::dry::{self, DryRectifier};
use super::faults::{FaultReport, OtherFuse, SetFuse};
use super::fit::{self, ReadingsReport};
use super::flags::{self, Direct};
use super::fuse::FuseReport;
use super::judge::{Bench, DayRun, Judged, run_day};
use super::limits::FLUX_LIMIT;
use super::offered;
use super::outlet::{self, OutletChoice, OutletVolts};
use super::rating::RatingReport;
use super::reading::{self, Reading};
use super::settle;
use super::share;
use super::signal::{SignalReport, Signals};
use super::supply;
use super::surge;
use super::target::Goal;
use super::verdict::{self, Advice, Case, Objection, Repairs, Scale, Yardstick};
use super::working::{self, Working};
use crate::adaptation::{self, Bought, Method, Offer, Part, Shelf, Station};
use crate::catalogue::stock::FuseStandard;
use crate::profile::{Profile, Target};
use crate::quantity::Quantity;
use crate::receiver::{Receiver, Straight, Uncertain, uncertain};
use schemars::JsonSchema;
use serde::Serialize;

/// Name and version of the JSON form of a plan.
pub const PLAN_SCHEMA: &str = "mainsfit.plan/1";

/// What a plan is asked for beside the profile.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Request {
    /// Outlet volts that override the profile's.
    pub outlet: OutletChoice,
    /// Target that overrides the profile's.
    pub target: Option<Target>,
}

/// A plan.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Plan {
    /// Cautions, in the order of the work.
    #[serde(serialize_with = "caution::spoken")]
    #[schemars(with = "Vec<caution::Spoken<'_>>")]
    pub cautions: Vec<Caution>,
    /// [`PLAN_SCHEMA`].
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// The set.
    pub set: SetSummary,
    /// Outlet.
    pub outlet: OutletVolts,
    /// How many readings of the profile the set is fitted to.
    pub readings_used: usize,
    /// What the readings come to.
    pub readings: ReadingsReport,
    /// What the adaptations are solved for, in words.
    pub target: String,
    /// True where a repair that changes its figures comes first, and all below are those of the set with it done.
    pub put_right: bool,
    /// The set on its design line.
    pub as_designed: Reading,
    /// The choices; the first is the set as it is.
    pub choices: Vec<Choice>,
    /// Advice.
    pub advice: Advice,
    /// The fuse of the set.
    pub fuse: Option<SetFuse>,
    /// A dry rectifier in the place of a tube.
    pub dry_rectifier: Option<DryRectifier>,
    /// Filled-in values.
    pub assumptions: Vec<AssumptionReport>,
    /// Warnings of the profile reader.
    pub warnings: Vec<String>,
    /// The sums one would do on paper, for the advised choice; for the set as it is where none is.
    #[serde(skip)]
    pub working: Vec<Working>,
}

/// The set's identity.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SetSummary {
    /// Name.
    pub name: String,
    /// Year.
    pub year: Option<i32>,
    /// Design line, V RMS.
    pub design_line_v: f64,
    /// Hz.
    pub frequency_hz: f64,
    /// The fuse now in it, A, where it is stated.
    pub fuse_a: Option<f64>,
}

/// Low, usual and high line.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Day {
    /// At the lowest outlet volts.
    pub low: Reading,
    /// At the usual.
    pub usual: Reading,
    /// At the highest.
    pub high: Reading,
}

impl Day {
    /// The readings of a solved day.
    pub(super) fn read(receiver: &Receiver, run: &DayRun) -> Day {
        let [low, usual, high] =
            [&run.low, &run.usual, &run.high].map(|o| reading::read(receiver, o));
        Day { low, usual, high }
    }
}

// in this order: the best first
/// How a choice came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// This one.
    Advised,
    /// Would do as well.
    Serves,
    /// There is a reason against it.
    Refused,
    /// It cannot reach the target.
    NotApplicable,
}

/// One way to adapt the set.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Choice {
    /// Short name.
    #[serde(rename = "id")]
    #[schemars(with = "String")]
    pub method: Method,
    /// Title.
    pub title: &'static str,
    /// How it came out.
    pub standing: Standing,
    /// Name of the number solved for.
    pub unknown: Option<&'static str>,
    /// Its unit.
    pub unit: Option<&'static str>,
    /// The exact value that meets the target on the usual line.
    pub exact: Option<f64>,
    /// What the exact value gives there.
    pub exact_reading: Option<Reading>,
    /// The part to buy.
    #[schemars(with = "Option<String>")]
    pub part: Option<Bought>,
    /// Value of that part.
    pub part_value: Option<f64>,
    /// Watts it is rated for.
    pub part_rated_w: Option<f64>,
    /// Rated volts of its own primary, for a small transformer.
    pub part_primary_v: Option<f64>,
    /// How far the target is missed with it on the usual line, as a share; positive above.
    pub target_miss: Option<f64>,
    /// Readings with that part.
    pub day: Option<Day>,
    /// Where heaters and B+ will fall, all uncertainties taken together.
    pub band: Option<Band>,
    /// Heat, places, surface.
    pub rating: Option<RatingReport>,
    /// The part that goes with it.
    pub with: Option<WithPart>,
    /// Fuse for the line lead.
    pub fuse: Option<FuseReport>,
    /// The fuse of the outlet's country that it takes the place of, where that one would let a fault burn the part.
    pub instead_of: Option<OtherFuse>,
    /// Switch-on at high line.
    pub cold_start: Option<ColdStart>,
    /// Faults at high line.
    pub faults: Vec<FaultReport>,
    /// What to know about it whatever the figures say.
    pub caveat: Option<&'static str>,
    /// Reasons against it.
    pub objections: Vec<Objection>,
    /// Why it does not apply.
    pub not_applicable: Option<String>,
    /// For a step transformer or a tap with a part: what it gives by itself, and what remains to be fitted behind it.
    pub behind: Option<Behind>,
    /// What the hot wire meets, from the plug on.
    pub hot_wire: &'static [Station],
    /// What to measure before the set is connected to a part in the line cord.
    pub connect: Option<Connect>,
    /// At rest, at full output and with a strong station; `None` where nothing swings.
    pub signal: Option<SignalReport>,
}

/// A part that goes with another: the resistor in the rectifier's plate lead beside the dropper of a heater string.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct WithPart {
    /// The part to buy, and where it goes.
    #[schemars(with = "String")]
    pub part: Bought,
    /// Its value, Ω.
    pub value: f64,
    /// Ohms of the set's own part that comes out for it.
    pub in_place_of: Option<f64>,
    /// Heat, places, surface.
    pub rating: Option<RatingReport>,
}

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

impl Choice {
    /// Gives nothing that a connection straight to the outlet would need, and says why, `ratio` being what the outlet
    /// is over what the set was made for.
    fn withhold(&mut self, ratio: f64) {
        self.objections.insert(0, Objection::Straight { excess: ratio - 1.0 });
        self.standing = Standing::Refused;
        (self.fuse, self.cold_start) = (None, None);
        self.faults.clear();
    }

    /// Why it does not apply, or the first reason against it.
    pub(super) fn first_reason(&self) -> Option<String> {
        let objection = self.objections.first().map(ToString::to_string);
        self.not_applicable.clone().or(objection)
    }

    /// Each part that is rated in watts, with its rating.
    pub fn ratings(&self) -> impl Iterator<Item = (&Bought, &RatingReport)> {
        let with = self.with.as_ref().and_then(|w| Some((&w.part, w.rating.as_ref()?)));
        let behind = self.behind.as_ref().and_then(|b| b.part.as_ref());
        behind.or(self.part.as_ref()).zip(self.rating.as_ref()).into_iter().chain(with)
    }
}

impl Plan {
    /// The advised choice, if the plan stands behind one.
    pub fn advised(&self) -> Option<&Choice> {
        self.choices.iter().find(|c| c.standing == Standing::Advised)
    }
}

/// A plan with what it was solved from, for studies that go on from it.
pub(super) struct Solved {
    /// The plan; of its cautions there are the alarms, and assumptions that belong to one choice are still missing.
    pub plan: Plan,
    /// The set.
    pub receiver: Receiver,
    /// The part of each choice, where it has one.
    pub parts: Vec<Option<Box<dyn Part>>>,
    /// Numbers of the model that may be off.
    pub uncertain: Vec<Uncertain>,
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
        Signals::of(&self.receiver).tell(&mut self.plan.choices, &self.parts, &told);
        let chosen = |c: &&Choice| Some(c.method) == method;
        let choices = self.plan.choices.iter().zip(&self.parts);
        for (choice, part) in choices.filter(|(c, _)| chosen(c)) {
            let tolerances = part.iter().flat_map(|p| p.tolerances());
            let rows = tolerances.map(|t| AssumptionReport {
                what: t.what.to_owned(),
                value: t.value,
                rule: t.rule.to_owned(),
                spread: t.spread,
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

/// Solves and judges every choice.
///
/// # Errors
/// As [`plan`].
pub(super) fn solve(
    profile: &Profile,
    request: &Request,
    warnings: Vec<String>,
) -> Result<Solved, StudyError> {
    let (outlet, mut assumed) = outlet::settle(profile, &request.outlet)?;
    let fit::Settled { model, assumed: list, readings, answer } =
        fit::settle(profile, Some(outlet.usual_v))?;
    assumed.extend(list);
    let mut model = model;
    outlet.feed(&mut model);
    let mut receiver = Receiver::new(model.clone(), None)?;
    let dry = dry::replaced(&receiver, (outlet.usual_v, outlet.high_v))?;
    // the plan is that of the set put right: the resistor comes first
    let missing = dry.as_ref().filter(|d| verdict::wants_resistor(d));
    if let Some((dry, resistor)) = missing.and_then(|d| Some((d, d.resistor.as_ref()?))) {
        model.rectifier.surge_ohms += resistor.stock_ohms - dry.fitted_ohms.unwrap_or(0.0);
        receiver = Receiver::new(model.clone(), None)?;
    }
    let today = run_day(&receiver, &outlet, &Straight, None)?;
    let made = receiver.as_made();
    let design = reading::read(made, made.at_design());
    // what the assumed values do to the set as it is; each choice adds its part's own tolerance
    let weighed = assumption::weigh(&model, &receiver, &assumed, &Straight, outlet.usual_v);
    let assumptions = weighed.list;
    let common = band::common(&assumptions, answer.as_ref());
    let standard = profile
        .fuse
        .and_then(|f| f.standard)
        .unwrap_or_else(|| FuseStandard::for_line(outlet.usual_v));
    let mut shelf = shelf(profile, &outlet);
    let flux = receiver.model().flux(1.0);
    shelf.iron_v = flux.map(|one| FLUX_LIMIT * one.designed / one.volts_per_hertz);
    shelf.string = surge::string_dropper(&shelf.resistors, &receiver, &outlet)?;
    let wanted = request.target.unwrap_or(profile.target);
    let goal = Goal::of(wanted, &receiver)?;
    let (goal, lowered) = match shelf.iron_v.filter(|v| *v < outlet.usual_v) {
        Some(volts) if wanted == Target::Heaters => goal.lowered(&receiver, volts)?,
        _ => (goal, false),
    };
    let straight = Day::read(&receiver, &today);
    let asked = (wanted != Target::Heaters).then_some(goal);
    let yard = Yardstick::new(&shelf, asked, lowered, common, &straight.usual);
    let scale = Scale { design: &design, spreads: &weighed.spreads, high_read: outlet.high_read };
    let direct = flags::direct(receiver.model(), &outlet);
    let bench = Bench {
        receiver: &receiver,
        shelf: &shelf,
        outlet,
        goal,
        yard: &yard,
        scale: &scale,
        direct,
        straight: &straight,
        standard,
        present_fuse: profile.fuse,
        today: &today,
        start_today: &cold_start::start(&receiver, &Straight, &today.high)?,
        design: &design,
        common,
    };
    let mut judged = judge_all(&bench, &adaptation::offers(&shelf))?;
    if let Some(both) = bench.tap_and_part(&judged)? {
        // behind the set as it is and the tap alone
        judged.insert(2, both);
    }
    let (mut choices, parts): (Vec<Choice>, Vec<Option<Box<dyn Part>>>) =
        judged.into_iter().unzip();
    // a resistor is judged by what the signal does to it, too
    let signals = Signals::of(&receiver);
    signals.tell(&mut choices, &parts, &[Method::AsIs, Method::SeriesResistor]);
    Signals::object(&mut choices, outlet.usual_v);
    if let Some(as_is) = choices.first_mut().filter(|_| direct != Direct::Allowed) {
        as_is.withhold(flags::usual_ratio(receiver.model(), &outlet));
    }
    let repairs = Repairs::of(&readings, dry.as_ref());
    let put_right = !repairs.is_empty() && profile.calibration.is_empty();
    let advice = match readings.reason().filter(|_| repairs.is_empty()) {
        Some(reason) => Advice::contradicted(reason, &readings, direct, &straight.usual),
        None => verdict::advise(Case {
            receiver: &receiver,
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
    for choice in &mut choices {
        if Some(choice.method) == advice.choice {
            choice.standing = Standing::Advised;
        }
    }
    let plan = Plan {
        cautions: alarms(receiver.model(), Some(&outlet)),
        schema: PLAN_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        set: SetSummary {
            name: model.name.clone(),
            year: profile.set.year,
            design_line_v: model.design_line,
            frequency_hz: model.design_frequency,
            fuse_a: profile.fuse.map(|f| f.rating.si()),
        },
        outlet,
        readings_used: readings.used,
        readings,
        target: match goal {
            Goal::HeaterVolts(volts) => format!("heaters at {volts:.2} V on the usual line"),
            Goal::BPlus(volts) => format!("B+ at {volts:.0} V on the usual line"),
        },
        put_right,
        as_designed: design,
        fuse: offered::fuse_of_set(&choices, advice.choice),
        choices,
        advice,
        dry_rectifier: dry,
        assumptions,
        warnings,
        working: Vec::new(),
    };
    Ok(Solved { plan, uncertain: uncertain(receiver.model(), &assumed), receiver, parts })
}

fn shelf(profile: &Profile, outlet: &OutletVolts) -> Shelf {
    Shelf {
        string: None,
        iron_v: None,
        outlet: outlet.usual_v,
        high: outlet.high_v,
        design_line: profile.set.design_line.si(),
        taps: profile.transformer.primary_taps.iter().map(|v| v.si()).collect(),
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

/// Judges every adaptation; they are independent, so threads share them.
fn judge_all(bench: &Bench<'_>, list: &[(Method, Offer)]) -> Result<Vec<Judged>, StudyError> {
    share::each(list, |(method, offer)| judge_one(bench, *method, offer)).into_iter().collect()
}
