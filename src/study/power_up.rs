//! The staged power-up of a set that has not run for years: what to measure before any power, which lamp to put in
//! series, and what each stage should read before the next.

mod cold;
mod idle;
mod lamp;
mod range;
mod stage;
mod stages;
mod sums;

pub use cold::{CapacitorTest, ColdCheck, ColdKind};
pub use idle::IdleReading;
pub use lamp::{Glow, LampTrial, glow};
pub use range::Range;
pub use stage::{Emission, HeaterStage, InSockets, Stage, StageFault};

use super::{
    Caution, Plan, Result, Serialize, Start, StartCase, Verdict, What, Working, caution,
    checkpoint::METER,
    solve::{Offered, Solved},
    start::from_cold_or_hot,
};
use crate::{adaptation::Method, receiver::Straight};
pub(super) use stages::FIRST_STAGE;
use stages::{End, Stages, no_load_spread};
use sums::MOST_RISE_K;

/// Name and version of the JSON form.
pub const POWER_UP_SCHEMA: &str = "mainsfit.power-up/1";

/// A staged power-up.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PowerUp {
    /// Cautions, in the order of the work; those of the plan below.
    #[serde(serialize_with = "caution::spoken")]
    #[cfg_attr(feature = "schema", schemars(with = "Vec<caution::Spoken<'_>>"))]
    pub cautions: Vec<Caution>,
    /// Name and version of this form.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// The plan of the set; its cautions are all those of a plan.
    pub plan: Plan,
    /// The line at which the target is met, V RMS: the heaters as rated, unless the profile says otherwise.
    pub target_v: f64,
    /// What the bench is fed with, V RMS: the usual outlet; where the set must not be plugged in there, what comes out
    /// of the part below, or the target on a variac.
    pub feed_v: f64,
    /// The part between outlet and bench, where the set must not be plugged in.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub through: Option<Method>,
    /// What the set takes on its design line, W.
    pub set_w: f64,
    /// Rectifier type.
    pub rectifier: String,
    /// True if its filament is the cathode.
    pub heated_directly: bool,
    /// True for a drop that does not depend on the current: mercury vapor.
    pub mercury: bool,
    /// What an ohmmeter should read.
    pub checks: Vec<ColdCheck>,
    /// Filter capacitors to be tested for leakage.
    pub capacitors: Vec<CapacitorTest>,
    /// Every household lamp tried in series with the whole set on the usual outlet.
    pub lamps: Vec<LampTrial>,
    /// Place of the lamp to take.
    pub lamp: Option<usize>,
    /// Stages in order.
    pub stages: Vec<Stage>,
    /// No-load readings worth taking while the tubes are out, where the iron's knee is not known.
    pub idle: Vec<IdleReading>,
    /// The last stage from cold, once all is found sound; null where it has no solution.
    pub start: Option<Start>,
    /// True for a set without a transformer, whose heaters stand in series on the line.
    pub on_the_line: bool,
    /// True for a high-voltage winding with a center tap.
    pub centre_tap: bool,
    /// True for a dry rectifier: it passes current from the first volt on.
    pub dry: bool,
    /// What an ohmmeter at the plug reads, cold and at the most rise, Ω; `None` without a transformer.
    pub primary_ohms: Option<(f64, f64)>,
    /// The most rise, K.
    pub most_rise_k: f64,
    /// The sums one would do on paper.
    #[serde(skip)]
    pub working: Vec<Working>,
}

/// Works out the power-up of a set.
///
/// # Errors
/// As [`super::plan()`].
pub fn power_up(mut solved: Solved) -> Result<PowerUp> {
    let ends_with = settle(&mut solved);
    let Solved { plan, receiver, parts, moved, spread, .. } = solved;
    let uncertain = moved.numbers();
    let model = receiver.model();
    let (design_v, rectifier) = (model.design_line, &model.rectifier);
    let target_v = plan.choice(Method::Variac).and_then(|c| c.exact).unwrap_or(design_v);
    let set_w = plan.as_designed.line_w;
    let (feed_v, through) = feed(&plan, target_v);
    let (lamps, lamp) = lamp::trials(&receiver, feed_v, set_w);
    let part = plan.place(ends_with).and_then(|i| parts[i].as_deref());
    let on_the_outlet = part.is_some() || plan.advice.leaves_it_on();
    let end = End {
        line: if on_the_outlet { plan.outlet.usual_v } else { target_v },
        part: part.unwrap_or(&Straight),
        method: part.and(ends_with),
    };
    let bench = Stages {
        receiver: &receiver,
        lamp: lamp.and_then(|i| lamps.get(i)),
        end,
        primary: spread.share(What::PrimaryCurrent, METER),
        b_plus: spread.share(What::BPlus, METER),
        no_load_spread: no_load_spread(uncertain),
    };
    let stages = bench.all()?;
    // an ohmmeter at the plug reads a resistor in the lead as well, if it is still there
    let stays = ends_with.is_none_or(|m| !m.replaces_mains_resistor());
    let lead_ohms = model.mains_resistor.filter(|r| r.by_maker || stays).map_or(0.0, |r| r.ohms);
    let string = model.string.is_some();
    // a set that must not get the outlet bare does not get it without tubes either
    let bound = plan.advice.do_not_plug_in || plan.advice.not_without_part;
    let most_on_bench = if bound { target_v.min(plan.outlet.usual_v) } else { plan.outlet.usual_v };
    let copper = model.primary.resistance;
    let hot = sums::hot_ohms(copper, model.room_c);
    let primary_ohms = (!string).then_some((lead_ohms + copper, lead_ohms + hot));
    let mut working = sums::proportions(&stages);
    working.extend(bench.lamp.into_iter().flat_map(|l| sums::lamp(l, design_v, set_w, feed_v)));
    working.extend((!string).then(|| sums::copper(copper, hot, model.room_c)));
    let on_the_line = |c: &Caution| {
        matches!(c, Caution::Fuse { .. } | Caution::FuseBreaksUl | Caution::FuseBreaksIec)
    };
    let mut cautions = plan.cautions.clone();
    // behind a transformer the bench has another current than the line
    cautions.retain(|c| through.is_none() || !on_the_line(c));
    Ok(PowerUp {
        cautions,
        schema: POWER_UP_SCHEMA,
        version: plan.version,
        target_v,
        feed_v,
        through,
        set_w,
        rectifier: rectifier.name.clone(),
        heated_directly: rectifier.heated_directly,
        mercury: rectifier.drop_amps.is_none(),
        on_the_line: string,
        centre_tap: !string && rectifier.circuit.is_tapped(),
        dry: rectifier.kind.is_dry(),
        checks: cold::checks(model, uncertain)?,
        capacitors: cold::capacitors(&receiver, &receiver.run(target_v, &Straight, None)?),
        start: from_cold_or_hot(&receiver, end.part, end.line, StartCase::Cold, None).ok(),
        stages,
        idle: idle::readings(model, uncertain, most_on_bench),
        primary_ohms,
        most_rise_k: MOST_RISE_K,
        lamps,
        lamp,
        plan,
        working,
    })
}

/// Settles the plan on what the last stage ends with, and says with what. The fuse is that of what is advised.
fn settle(solved: &mut Solved) -> Option<Method> {
    solved.settle_on(Some(Method::AsIs), Offered::OnBench);
    let ends_with = ends_with(&solved.plan)?;
    // what is fitted for the last stage adds its own to those of the set as it is till then
    let mut list = std::mem::take(&mut solved.plan.cautions);
    solved.settle_on(Some(ends_with), Offered::OnBench);
    let kind = std::mem::discriminant::<Caution>;
    let there: Vec<_> = list.iter().map(kind).collect();
    let added = std::mem::take(&mut solved.plan.cautions).into_iter();
    list.extend(added.filter(|c| !there.contains(&kind(c))));
    if ends_with.replaces_mains_resistor() {
        // it is out by the time that the set is used
        let stays = solved.plan.set.mains_resistor_ohms.is_none();
        list.retain(|c| stays || *c != Caution::OldResistor);
    }
    list.sort_by_key(Caution::order);
    solved.plan.cautions = list;
    Some(ends_with)
}

/// What is between bench and set in the last stage: what the verdict has fitted. A step-down feeds the bench from its
/// first stage on, and before repairs nothing is fitted.
fn ends_with(plan: &Plan) -> Option<Method> {
    let verdict = plan.advice.verdict;
    let fitted = matches!(verdict, Verdict::LeaveFitted | Verdict::ChangeFitted);
    let ends = |m: &Method| verdict.has_strength() || fitted && !m.facts().steps;
    plan.advice.choice.filter(|m| ends(m) && *m != Method::AsIs)
}

/// What feeds the bench, V RMS, and through which part: nothing for a direct connection while that is forbidden.
fn feed(plan: &Plan, target_v: f64) -> (f64, Option<Method>) {
    if !(plan.advice.do_not_plug_in || plan.advice.not_without_part) {
        return (plan.outlet.usual_v, None);
    }
    // behind a transformer of its own the bench is fed with what that gives; any other way with a variac
    let steps = plan.advised().filter(|c| c.method == Method::StepDown);
    let behind = steps.and_then(|c| Some(c.day.as_ref()?.usual.set_v));
    (behind.unwrap_or(target_v), steps.map(|c| c.method))
}
