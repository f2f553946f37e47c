//! The first minute after switch-on as a curve: B+, first capacitor, heaters and current from cold, and from hot.

use super::{
    Caution, Choice, ColdStart, OutletVolts, ReadingsReport, Result, Serialize, SetSummary, Start,
    StartCase,
    alarms::of_set,
    caution, note, share,
    solve::Solved,
    start::{FOLLOWED_S, from_cold_or_hot},
};
use crate::{
    adaptation::{Part, With},
    profile::Profile,
    receiver::{Receiver, Straight},
};

/// Name and version of the JSON form.
pub const SWITCH_ON_SCHEMA: &str = "mainsfit.switch-on/1";
/// Stands with every switch-on.
const CAUTION: &str = "Model figures, no signal; warm-up times are those of kinds of tubes. Lethal voltages inside; work on an isolation transformer; local electrical codes decide.";

/// A kind of cathode in the set.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct KindUsed {
    /// Its name.
    pub kind: &'static str,
    /// What of the set is of that kind.
    pub of: Vec<String>,
    /// Seconds at rated volts until its cathode is at 90 % of its temperature: least and most.
    pub full_s: (f64, f64),
    /// Where that comes from.
    pub source: &'static str,
}

/// The first minute of a set.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct SwitchOn {
    /// Cautions, in the order of the work.
    #[serde(serialize_with = "caution::spoken")]
    #[cfg_attr(feature = "schema", schemars(with = "Vec<caution::Spoken<'_>>"))]
    pub cautions: Vec<Caution>,
    /// Name and version of this form.
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
    /// Line it is switched on at, V RMS: the outlet's high.
    pub line_v: f64,
    /// How long it is followed, s.
    pub followed_s: f64,
    /// The starts.
    pub starts: Vec<Start>,
    /// What speaks against the choice that is shown.
    pub against: Option<String>,
    /// Why there is no start of the set as it is, or of a choice.
    pub missing: Vec<String>,
    /// Kinds of cathodes.
    pub kinds: Vec<KindUsed>,
    /// Warnings of the profile reader.
    pub warnings: Vec<String>,
    /// Caution, in words.
    pub caution: &'static str,
}

/// What is followed.
#[derive(Clone, Copy)]
struct Case<'a> {
    receiver: &'a Receiver,
    choice: &'a Choice,
    part: &'a dyn Part,
    bound: Option<&'a ColdStart>,
    tube: Option<&'a str>,
    case: StartCase,
}

/// Follows a set through its first minute.
///
/// # Errors
/// As [`super::plan()`]; [`super::StudyError::NoChoice`] for a choice the plan does not have.
pub fn switch_on(solved: Solved, profile: &Profile, with: Option<With>) -> Result<SwitchOn> {
    let Solved { plan, receiver, parts, .. } = solved;
    let mut missing = Vec::new();
    let choice = match with {
        Some(with) => Some(note::named(&plan, with)?),
        None => note::pick(&plan, None, "").ok(),
    };
    let direct = !(plan.advice.do_not_plug_in || plan.advice.not_without_part);
    let mut ways: Vec<(usize, &dyn Part)> = Vec::new();
    if direct {
        ways.push((0, &Straight))
    } else {
        missing.push("straight on the outlet: it must not be plugged in there".to_owned())
    }
    if let Some(place) = choice.filter(|c| *c > 0) {
        match parts[place].as_deref() {
            Some(part) => ways.push((place, part)),
            None => missing.extend(plan.choices[place].first_reason()),
        }
    }
    let mut cases: Vec<Case<'_>> = Vec::new();
    for (place, part) in ways {
        let choice = &plan.choices[place];
        let (bound, case) = (choice.cold_start.as_ref(), StartCase::Cold);
        let cold = Case { receiver: &receiver, choice, part, bound, tube: None, case };
        cases.push(cold);
        cases.extend(part.cold().map(|_| Case { case: StartCase::ColdPart, ..cold }));
        cases.push(Case { case: StartCase::HotRestart, ..cold });
    }
    let made = receiver.as_made();
    if receiver.model().replaced.is_some() && direct {
        let tube = Some(&*made.model().rectifier.name);
        let (choice, part, case) = (&plan.choices[0], &Straight, StartCase::Cold);
        cases.push(Case { receiver: made, choice, part, bound: None, tube, case });
    }
    let line_v = plan.outlet.high_v;
    let start = |c: &Case<'_>| -> Result<Start> {
        let (id, part) = (c.choice.method, c.choice.part.clone());
        let begun = from_cold_or_hot(c.receiver, c.part, line_v, c.case, c.bound)?;
        Ok(Start { id, part, tube: c.tube.map(str::to_owned), ..begun })
    };
    let starts = share::each(&cases, start);
    let shown = choice.filter(|c| parts[*c].is_some());
    let against = shown.and_then(|c| plan.choices[c].first_reason());
    Ok(SwitchOn {
        cautions: of_set(&receiver, Some(&plan.outlet)),
        schema: SWITCH_ON_SCHEMA,
        version: plan.version,
        line_v,
        followed_s: FOLLOWED_S,
        starts: starts.into_iter().collect::<Result<_, _>>()?,
        against,
        missing,
        kinds: kinds(profile, &receiver),
        set: plan.set,
        outlet: plan.outlet,
        readings_used: plan.readings_used,
        readings: plan.readings,
        warnings: plan.warnings,
        caution: CAUTION,
    })
}

/// What in the set is of which kind.
fn kinds(profile: &Profile, receiver: &Receiver) -> Vec<KindUsed> {
    let rectifier = receiver.model().rectifier.winding.map(|_| &profile.rectifier.kind);
    let own = profile.second_supply.as_ref().filter(|s| !s.shared).map(|s| &s.rectifier.kind);
    let rectifiers = rectifier.into_iter().chain(own.filter(|kind| !kind.kind.is_dry()));
    let tubes = profile.tubes.iter().map(|t| (t.kind.warm_up(), &t.kind.name));
    let all = rectifiers.map(|r| (r.warm_up(), &r.name)).chain(tubes);
    let mut list: Vec<KindUsed> = Vec::new();
    for (warm_up, name) in all {
        let there = list.iter().position(|k| k.kind == warm_up.kind);
        let place = there.unwrap_or(list.len());
        if there.is_none() {
            let (kind, source) = (warm_up.kind.as_str(), warm_up.source.as_str());
            list.push(KindUsed {
                kind,
                of: Vec::new(),
                full_s: (warm_up.full_low_s, warm_up.full_high_s),
                source,
            });
        }
        if !list[place].of.contains(name) {
            list[place].of.push(name.clone());
        }
    }
    list
}
