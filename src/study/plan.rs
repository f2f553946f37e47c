//! The main job: the set today, the choices side by side, and which is advised.

use super::StudyError;
use super::advice::{self, Advice, Objection};
use super::assumption::{self, AssumptionReport};
use super::caution::Caution;
use super::outlet::{self, OutletChoice, OutletVolts};
use super::reading::{self, HEATER_GOOD, HEATER_LIMIT, Rating, Reading};
use super::target::{self, Found, Goal};
use crate::adaptation::{self, Adaptation, Duty, Part};
use crate::catalogue::stock::FuseStandard;
use crate::profile::{Profile, Target};
use crate::receiver::{Operation, Receiver, Straight, complete};
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
#[derive(Debug, Clone, Serialize)]
pub struct Plan {
    /// [`PLAN_SCHEMA`].
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// The set.
    pub set: SetSummary,
    /// Outlet.
    pub outlet: OutletVolts,
    /// What the adaptations are solved for, in words.
    pub target: String,
    /// The set on its design line.
    pub as_designed: Reading,
    /// The choices; the first is the set as it is.
    pub choices: Vec<Choice>,
    /// Advice.
    pub advice: Advice,
    /// Filled-in values.
    pub assumptions: Vec<AssumptionReport>,
    /// Warnings of the profile reader.
    pub warnings: Vec<String>,
    /// Cautions.
    pub cautions: Vec<Caution>,
}

/// The set's identity.
#[derive(Debug, Clone, Serialize)]
pub struct SetSummary {
    /// Name.
    pub name: String,
    /// Year.
    pub year: Option<i32>,
    /// Design line, V RMS.
    pub design_line_v: f64,
    /// Hz.
    pub frequency_hz: f64,
}

/// Low, usual and high line.
#[derive(Debug, Clone, Serialize)]
pub struct Day {
    /// At the lowest outlet volts.
    pub low: Reading,
    /// At the usual.
    pub usual: Reading,
    /// At the highest.
    pub high: Reading,
}

/// How a choice came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
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
#[derive(Debug, Clone, Serialize)]
pub struct Choice {
    /// Short name.
    pub id: String,
    /// Title.
    pub title: String,
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
    pub part: Option<String>,
    /// Value of that part.
    pub part_value: Option<f64>,
    /// Watts it is rated for.
    pub part_rated_w: Option<f64>,
    /// Readings with that part.
    pub day: Option<Day>,
    /// Reasons against it.
    pub objections: Vec<Objection>,
    /// Why it does not apply.
    pub not_applicable: Option<String>,
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
    let (outlet, mut assumed) = outlet::settle(profile, &request.outlet)?;
    let (model, list) = complete(profile)?;
    assumed.extend(list);
    let receiver = Receiver::new(model.clone(), None)?;
    let goal = Goal::of(request.target.unwrap_or(profile.target), &receiver)?;

    let today = run_day(&receiver, &outlet, &Straight, None)?;
    let fuse = FuseStandard::for_line(model.design_line);
    let bench = Bench {
        receiver: &receiver,
        outlet,
        goal,
        fuse,
        today: &today,
    };
    let mut choices = Vec::new();
    let mut parts: Vec<Box<dyn Part>> = Vec::new();
    for adaptation in adaptation::all(model.design_line) {
        let (choice, part) = bench.judge(&*adaptation)?;
        choices.push(choice);
        parts.push(part);
    }
    let advice = advice::advise(&choices);
    let mut advised: &dyn Part = &Straight;
    for (choice, part) in choices.iter_mut().zip(&parts) {
        if Some(&choice.id) == advice.choice.as_ref() {
            choice.standing = Standing::Advised;
            advised = &**part;
        }
    }
    let assumptions = assumption::weigh(&model, &receiver, &assumed, advised, outlet.usual_v);
    let cautions = bench.cautions(&choices);
    Ok(Plan {
        schema: PLAN_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        set: SetSummary {
            name: model.name.clone(),
            year: profile.set.year,
            design_line_v: model.design_line,
            frequency_hz: model.frequency,
        },
        outlet,
        target: match goal {
            Goal::HeaterVolts(volts) => format!("heaters at {volts:.2} V on the usual line"),
            Goal::BPlus(volts) => format!("B+ at {volts:.0} V on the usual line"),
        },
        as_designed: reading::read(&receiver, receiver.at_design()),
        choices,
        advice,
        assumptions,
        warnings,
        cautions,
    })
}

/// The three operating points of a day.
struct DayRun {
    low: Operation,
    usual: Operation,
    high: Operation,
}

fn run_day(
    receiver: &Receiver,
    outlet: &OutletVolts,
    part: &dyn Part,
    near: Option<&Operation>,
) -> Result<DayRun, StudyError> {
    let usual = receiver.run(outlet.usual_v, part, near)?;
    Ok(DayRun {
        low: receiver.run(outlet.low_v, part, Some(&usual))?,
        high: receiver.run(outlet.high_v, part, Some(&usual))?,
        usual,
    })
}

struct Bench<'a> {
    receiver: &'a Receiver,
    outlet: OutletVolts,
    goal: Goal,
    fuse: FuseStandard,
    today: &'a DayRun,
}

impl Bench<'_> {
    fn day(&self, run: &DayRun) -> Day {
        Day {
            low: reading::read(self.receiver, &run.low),
            usual: reading::read(self.receiver, &run.usual),
            high: reading::read(self.receiver, &run.high),
        }
    }

    /// Solves, buys and judges one adaptation.
    fn judge(&self, adaptation: &dyn Adaptation) -> Result<(Choice, Box<dyn Part>), StudyError> {
        let mut choice = Choice {
            id: adaptation.id().to_owned(),
            title: adaptation.title().to_owned(),
            standing: Standing::Serves,
            unknown: None,
            unit: None,
            exact: None,
            exact_reading: None,
            part: None,
            part_value: None,
            part_rated_w: None,
            day: None,
            objections: Vec::new(),
            not_applicable: None,
        };
        let high = reading::read(self.receiver, &self.today.high);
        let mut duty = Duty {
            outlet: self.outlet.usual_v,
            amps: high.primary_a,
            held_amps: None,
        };
        let Some(unknown) = adaptation.unknown() else {
            choice.day = Some(self.day(self.today));
            choice.objections = self.objections(&choice, None);
            choice.standing = standing(&choice);
            return Ok((choice, adaptation.exact(0.0, &duty)));
        };
        choice.unknown = Some(unknown.name);
        choice.unit = Some(unknown.unit);
        let found = target::find(
            self.receiver,
            adaptation,
            unknown,
            self.goal,
            &duty,
            &self.today.usual,
        )?;
        let Found::Value(exact, operation) = found else {
            choice.standing = Standing::NotApplicable;
            choice.not_applicable = Some(
                if self
                    .goal
                    .miss(&reading::read(self.receiver, &self.today.usual))
                    <= 0.0
                {
                    "the set is not above its target on this outlet".to_owned()
                } else {
                    "it cannot bring the set to its target".to_owned()
                },
            );
            return Ok((choice, adaptation.exact(0.0, &duty)));
        };
        let exact_reading = reading::read(self.receiver, &operation);
        duty.amps = exact_reading.primary_a * self.outlet.high_v / self.outlet.usual_v;
        duty.held_amps = self.held(duty.amps);
        choice.exact = Some(exact);
        choice.exact_reading = Some(exact_reading);
        // of the stock parts around the exact value, the one that comes nearest the target
        let mut best: Option<(f64, DayRun, Box<dyn Part>)> = None;
        for part in adaptation.stock(exact, &duty) {
            let run = run_day(self.receiver, &self.outlet, &*part, Some(&operation))?;
            let miss = self
                .goal
                .miss(&reading::read(self.receiver, &run.usual))
                .abs();
            if best.as_ref().is_none_or(|(m, _, _)| miss < *m) {
                best = Some((miss, run, part));
            }
        }
        let Some((_, run, part)) = best else {
            choice.standing = Standing::NotApplicable;
            choice.not_applicable = Some("no stock part comes near the value".to_owned());
            return Ok((choice, adaptation.exact(exact, &duty)));
        };
        choice.part = Some(part.describe());
        choice.part_value = Some(part.value());
        choice.part_rated_w = part.rated_watts();
        choice.day = Some(self.day(&run));
        choice.objections = self.objections(&choice, Some(&*part));
        choice.standing = standing(&choice);
        Ok((choice, part))
    }

    /// Current the fuse for `amps` may let pass for an hour.
    fn held(&self, amps: f64) -> Option<f64> {
        let rating = self.fuse.rating_for(amps)?;
        Some(self.fuse.held_for_an_hour() * rating)
    }

    fn objections(&self, choice: &Choice, part: Option<&dyn Part>) -> Vec<Objection> {
        let mut list = Vec::new();
        let Some(day) = &choice.day else {
            return list;
        };
        if choice.id == "variac" {
            list.push(Objection::BenchOnly);
        }
        if day.usual.heater_excess().abs() > HEATER_GOOD {
            list.push(Objection::HeatersAtUsual {
                excess: day.usual.heater_excess(),
            });
        }
        for reading in [&day.low, &day.high] {
            if reading.heater_excess().abs() > HEATER_LIMIT {
                list.push(Objection::HeatersThroughTheDay {
                    outlet_v: reading.outlet_v,
                    excess: reading.heater_excess(),
                });
            }
        }
        // heaters are judged above; design-centre ratings on the usual line, ceilings on the high one
        let design = reading::read(self.receiver, self.receiver.at_design());
        for (reading, rating) in [
            (&day.usual, Rating::DesignCentre),
            (&day.high, Rating::Ceiling),
        ] {
            for limit in reading.beyond().filter(|l| l.rating == rating) {
                // what the set passes on its own design line, no worse here, is not the adaptation's doing
                let by_design = design
                    .beyond()
                    .any(|d| d.what == limit.what && limit.value <= 1.01 * d.value);
                if !by_design && !limit.what.contains("heaters") {
                    list.push(Objection::limit(limit, reading.outlet_v));
                }
            }
        }
        if choice.id == "series-resistor"
            && let Some(part) = part
        {
            self.resistor_objections(day, part, &mut list);
        }
        list
    }

    fn resistor_objections(&self, day: &Day, part: &dyn Part, list: &mut Vec<Objection>) {
        let watts_w = day.high.lead_w;
        let Some(rated_w) = part.rated_watts() else {
            list.push(Objection::NoSize { watts_w });
            return;
        };
        let running_a = day.high.line_a;
        let Some(fuse_a) = self.fuse.rating_for(running_a) else {
            list.push(Objection::NoFuse { running_a });
            return;
        };
        let held_a = self.fuse.held_for_an_hour() * fuse_a;
        let burns_w = held_a * held_a * part.value();
        if burns_w > rated_w {
            list.push(Objection::FuseLetsItBurn {
                fuse_a,
                held_a,
                watts_w: burns_w,
                rated_w,
            });
        }
    }

    fn cautions(&self, choices: &[Choice]) -> Vec<Caution> {
        let model = self.receiver.model();
        let crest = self.outlet.high_v
            * self.receiver.core().no_load_ratio
            * self.receiver.turns().high_voltage
            * std::f64::consts::SQRT_2;
        let farads: f64 = model
            .filter
            .iter()
            .map(|s| match s {
                crate::receiver::Section::Capacitor(farads, _) => *farads,
                _ => 0.0,
            })
            .sum();
        let hold_s = self
            .receiver
            .discharge_ohms()
            .map(|ohms| ohms * farads * (crest / 60.0).ln().max(0.0));
        let advised = choices
            .iter()
            .find(|c| c.standing == Standing::Advised)
            .or(choices.first());
        let running_a = advised
            .and_then(|c| c.day.as_ref())
            .map_or(0.0, |d| d.high.line_a);
        let mut list = vec![
            Caution::Lethal {
                highest_v: crest,
                hold_s,
            },
            Caution::Isolation,
            Caution::Fuse {
                rating_a: self.fuse.rating_for(running_a),
                running_a,
                standard: self.fuse.name(),
            },
        ];
        let resistor = choices.iter().find(|c| c.id == "series-resistor");
        if let Some((day, rated)) = resistor.and_then(|c| c.day.as_ref().zip(c.part_rated_w)) {
            let watts_w = day.high.lead_w;
            list.push(Caution::HotResistor {
                watts_w,
                // 300 K at full rating, exponent 0.65: a fit to trade figures, ±20 % (from memory, weak)
                surface_c: model.room_c + 300.0 * (watts_w / rated).powf(0.65),
            });
        }
        let bucking = choices
            .iter()
            .filter(|c| c.id.starts_with("bucking"))
            .filter_map(|c| c.part_value)
            .next();
        if let Some(volts) = bucking {
            let ratio = volts / adaptation::bucking_primary(model.design_line);
            list.push(Caution::BuckingReversed {
                set_v: self.outlet.usual_v * (1.0 + ratio),
            });
        }
        list.extend([
            Caution::LineCapacitors,
            Caution::FirstPowerUp,
            Caution::NoSignal,
            Caution::NotExamined,
            Caution::LocalCodes,
        ]);
        list
    }
}

fn standing(choice: &Choice) -> Standing {
    if choice.objections.is_empty() {
        Standing::Serves
    } else {
        Standing::Refused
    }
}
