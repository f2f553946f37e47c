//! The first minute after switch-on as a curve: B+, first capacitor, heaters and current from cold, and from hot.

use super::StudyError;
use super::alarms::of_set;
use super::caution::{self, Caution};
use super::choice::Choice;
use super::cold_start::ColdStart;
use super::fit::ReadingsReport;
use super::note;
use super::outlet::OutletVolts;
use super::plan::{Plan, Request, SetSummary};
use super::settle;
use super::share;
use super::solve::{Solved, solve};
use crate::adaptation::{Bought, Method, Part, With};
use crate::circuit::{Probe, REFERENCE};
use crate::profile::Profile;
use crate::receiver::{Moment, Operation, Receiver, Straight, SwitchedOn};
use serde::Serialize;

/// Name and version of the JSON form.
pub const SWITCH_ON_SCHEMA: &str = "mainsfit.switch-on/1";
/// How long a set is followed, s.
const FOLLOWED_S: f64 = 60.0;
/// Share of its final value at which B+ counts as there.
const THERE: f64 = 0.1;
/// Share of their final current at which the tubes count as drawing.
const DRAWING: f64 = 0.5;
/// Share of its final temperature at which a heater counts as warm.
const WARM: f64 = 0.9;
/// Cycles of the inrush.
const INRUSH_S: f64 = 0.1;

/// Stands with every switch-on.
const CAUTION: &str = "Model figures, no signal; warm-up times are those of kinds of tubes. Lethal voltages inside; work on an isolation transformer; local electrical codes decide.";

/// How a set is switched on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StartCase {
    /// All cold; a part that warms up as it settles.
    Cold,
    /// All cold, a part that warms up as it stands cold: the true start lies between.
    ColdPart,
    /// Off for a moment only: all hot, the filter capacitors empty.
    HotRestart,
}

/// A filter capacitor through it.
#[derive(Debug, Clone, Serialize)]
pub struct CapacitorThrough {
    /// First, second, ...
    pub name: String,
    /// Highest volts, V.
    pub peak_v: f64,
    /// When, s.
    pub peak_at_s: f64,
    /// Rated volts, where known.
    pub rated_v: Option<f64>,
    /// Seconds above them.
    pub above_rated_s: Option<f64>,
    /// True where it is above them still when the set has settled.
    pub stays_above: bool,
    /// Volts it bears at switch-on, where known.
    pub surge_v: Option<f64>,
    /// Seconds above those.
    pub above_surge_s: Option<f64>,
    /// The plan's bound for a rectifier that is ready before any tube draws, V; null where the plan has none.
    pub bound_v: Option<f64>,
}

/// Curves over the same instants.
#[derive(Debug, Clone, Default, Serialize)]
pub struct StartCurve {
    /// Seconds from switch-on.
    pub time_s: Vec<f64>,
    /// B+, mean of a cycle, V.
    pub b_plus_v: Vec<f64>,
    /// First filter capacitor, highest in a cycle, V.
    pub capacitor_v: Vec<f64>,
    /// Heaters of the tubes, V RMS.
    pub heater_v: Vec<f64>,
    /// The slowest cathode's temperature over its final one.
    pub cathode_share: Vec<f64>,
    /// Current from the outlet, A RMS.
    pub line_a: Vec<f64>,
}

/// One start.
#[derive(Debug, Clone, Serialize)]
pub struct Start {
    /// Choice.
    pub id: Method,
    /// Its part.
    pub part: Option<Bought>,
    /// The tube in whose place a dry rectifier is, where this start is with the tube.
    pub tube: Option<String>,
    /// How it is switched on.
    pub case: StartCase,
    /// Highest instantaneous current from the outlet in the first tenth of a second, switched at the worst phase, A.
    pub inrush_peak_a: f64,
    /// RMS of its first cycle, A.
    pub inrush_a: f64,
    /// The plan's bound of that: all heaters at a seventh of their resistance; null where the plan has none.
    pub bound_inrush_a: Option<f64>,
    /// The same running, A.
    pub running_a: f64,
    /// When B+ reaches a tenth of its final value, s.
    pub b_plus_at_s: Option<f64>,
    /// Highest B+, V.
    pub b_plus_peak_v: f64,
    /// When, s.
    pub b_plus_peak_at_s: f64,
    /// B+ at the end of the curve, coils still cold from cold, V.
    pub b_plus_end_v: f64,
    /// B+ warmed through, V.
    pub b_plus_running_v: f64,
    /// When the tubes draw half their final current, s.
    pub tubes_draw_s: Option<f64>,
    /// When the last heater of a tube is at 90 % of its temperature, s.
    pub heaters_warm_s: Option<f64>,
    /// Filter capacitors.
    pub capacitors: Vec<CapacitorThrough>,
    /// The curves.
    pub curve: StartCurve,
}

/// A kind of cathode in the set.
#[derive(Debug, Clone, Serialize)]
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

/// What a switch-on is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwitchOnRequest {
    /// Outlet and target, as for a plan.
    pub plan: Request,
    /// The choice beside the set as it is; the advised one where none is named.
    pub with: Option<With>,
}

/// The first minute of a set.
#[derive(Debug, Clone, Serialize)]
pub struct SwitchOn {
    /// Cautions, in the order of the work.
    #[serde(serialize_with = "caution::spoken")]
    pub cautions: Vec<Caution>,
    /// [`SWITCH_ON_SCHEMA`].
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
struct Case<'a> {
    receiver: &'a Receiver,
    method: Method,
    part: &'a dyn Part,
    bound: Option<&'a ColdStart>,
    tube: Option<String>,
    case: StartCase,
}

/// Follows a set through its first minute.
///
/// # Errors
/// As [`super::plan()`]; [`StudyError::NoChoice`] for a choice the plan does not have.
pub fn switch_on(
    profile: &Profile,
    request: &SwitchOnRequest,
    warnings: Vec<String>,
) -> Result<SwitchOn, StudyError> {
    let Solved { plan, receiver, parts, .. } = solve(profile, &request.plan, warnings)?;
    let mut missing = Vec::new();
    let choice = match request.with {
        Some(with) => Some(named(&plan, with)?),
        None => note::pick(&plan, None, "").ok(),
    };
    let mut cases: Vec<Case<'_>> = Vec::new();
    let direct = !(plan.advice.do_not_plug_in || plan.advice.not_without_part);
    let mut add = |place: usize, part| {
        let choice = &plan.choices[place];
        let bound = choice.cold_start.as_ref();
        let case = |case| Case {
            receiver: &receiver,
            method: choice.method,
            part,
            bound,
            tube: None,
            case,
        };
        cases.push(case(StartCase::Cold));
        cases.extend(part.cold().map(|_| case(StartCase::ColdPart)));
        cases.push(case(StartCase::HotRestart));
    };
    match direct {
        true => add(0, &Straight as &dyn Part),
        false => missing.push("straight on the outlet: it must not be plugged in there".to_owned()),
    }
    if let Some(place) = choice.filter(|c| *c > 0) {
        match parts[place].as_deref() {
            Some(part) => add(place, part),
            None => missing.extend(plan.choices[place].first_reason()),
        }
    }
    if receiver.model().replaced.is_some() && direct {
        let tube = Some(receiver.as_made().model().rectifier.name.clone());
        let (method, part) = (Method::AsIs, &Straight as &dyn Part);
        let receiver = receiver.as_made();
        cases.push(Case { receiver, method, part, bound: None, tube, case: StartCase::Cold });
    }
    let line = plan.outlet.high_v;
    let starts = share::each(&cases, |case| start(case, line, &plan));
    let against = choice.and_then(|c| plan.choices[c].first_reason());
    Ok(SwitchOn {
        cautions: of_set(&receiver, Some(&plan.outlet)),
        schema: SWITCH_ON_SCHEMA,
        version: plan.version,
        line_v: line,
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

/// The choice of that name, whatever speaks against it: the best of several connections.
fn named(plan: &Plan, with: With) -> Result<usize, StudyError> {
    let found = plan.choices.iter().enumerate().filter(|(_, c)| with.means(c.method));
    let best = found.min_by_key(|(_, c)| c.standing).map(|(place, _)| place);
    best.ok_or_else(|| StudyError::NoChoice {
        asked: with,
        known: plan.choices.iter().map(|c| c.method).collect(),
    })
}

/// What in the set is of which kind.
fn kinds(profile: &Profile, receiver: &Receiver) -> Vec<KindUsed> {
    let rectifier = receiver.model().rectifier.winding.map(|_| &profile.rectifier.kind);
    let tubes = profile.tubes.iter().map(|t| (t.kind.warm_up(), &t.kind.name));
    let all = rectifier.map(|r| (r.warm_up(), &r.name)).into_iter().chain(tubes);
    let mut list: Vec<KindUsed> = Vec::new();
    for (warm_up, name) in all {
        let there = list.iter().position(|k| k.kind == warm_up.kind);
        let place = there.unwrap_or(list.len());
        if there.is_none() {
            let (kind, source) = (warm_up.kind.as_str(), warm_up.source.as_str());
            list.push(KindUsed { kind, of: Vec::new(), full_s: warm_up.full_s, source });
        }
        if !list[place].of.contains(name) {
            list[place].of.push(name.clone());
        }
    }
    list
}

fn start(case: &Case<'_>, line: f64, plan: &Plan) -> Result<Start, StudyError> {
    let choice = plan.choices.iter().find(|c| c.method == case.method);
    let (receiver, part) = (case.receiver, case.part);
    let begun = from_cold_or_hot(receiver, part, line, case.case, case.bound)?;
    Ok(Start {
        id: case.method,
        part: choice.and_then(|c: &Choice| c.part.clone()),
        tube: case.tube.clone(),
        ..begun
    })
}

/// The start of `receiver` behind `part` on `line`; `bound` is the plan's.
///
/// # Errors
/// A point that cannot be solved.
pub(super) fn from_cold_or_hot(
    receiver: &Receiver,
    part: &dyn Part,
    line: f64,
    case: StartCase,
    bound: Option<&ColdStart>,
) -> Result<Start, StudyError> {
    let settled = settle::run(receiver, part, line, None)?;
    let (warm, hot_part) = (settled.operation, settled.part);
    let cold_part = part.cold();
    let lead = match case {
        StartCase::ColdPart => cold_part.as_deref().unwrap_or(part),
        _ => hot_part.as_deref().unwrap_or(part),
    };
    let how =
        SwitchedOn { hot: case == StartCase::HotRestart, seconds: FOLLOWED_S, plainly: false };
    let mut seen = Seen::new(receiver, &warm);
    receiver.switch_on((line, lead), &warm, how, &mut |moment| seen.take(moment))?;
    let bound = bound.filter(|_| case != StartCase::HotRestart);
    Ok(seen.start(&warm, case, bound))
}

/// What is kept of every moment.
struct Seen<'a> {
    receiver: &'a Receiver,
    /// Winding of the tubes.
    winding: usize,
    curve: StartCurve,
    /// Highest volts of each capacitor in a cycle.
    capacitors: Vec<Vec<f64>>,
    /// Current of all tubes over its final value.
    drawn: Vec<f64>,
    /// The coolest wire of a tube.
    wire: Vec<f64>,
    final_a: f64,
    inrush_peak_a: f64,
}

/// Current of all tubes.
fn tubes_a(at: &crate::receiver::Points, mean: impl Fn(Probe) -> f64) -> f64 {
    let ids = at.tubes.iter().flat_map(|t| [t.plate_current, t.screen_current]);
    ids.map(|id| mean(Probe::Amps(id))).sum()
}

impl<'a> Seen<'a> {
    fn new(receiver: &'a Receiver, warm: &Operation) -> Seen<'a> {
        let windings = &receiver.model().windings;
        Seen {
            receiver,
            winding: windings.iter().position(|w| w.feeds_tubes).unwrap_or(0),
            curve: StartCurve::default(),
            capacitors: vec![Vec::new(); warm.at.capacitors.len()],
            drawn: Vec::new(),
            wire: Vec::new(),
            final_a: tubes_a(&warm.at, |probe| warm.state.mean(probe)),
            inrush_peak_a: 0.0,
        }
    }

    fn take(&mut self, moment: &Moment<'_>) {
        let (cycle, at) = (moment.cycle, moment.at);
        let seen = &cycle.seen;
        let peaks =
            at.capacitors.iter().map(|c| cycle.extremes(Probe::Volts(c.positive, c.negative)).0);
        for (list, peak) in self.capacitors.iter_mut().zip(peaks) {
            list.push(peak);
        }
        let line = Probe::Amps(at.line);
        if moment.seconds <= INRUSH_S {
            let (high, low) = cycle.extremes(line);
            self.inrush_peak_a = self.inrush_peak_a.max(high).max(-low);
        }
        let windings = &self.receiver.model().windings;
        let tubes = moment
            .warm
            .iter()
            .filter(|w| windings[w.winding].filaments[w.filament].socket.is_some());
        let coolest = |of: fn(&crate::receiver::Warmth) -> f64| {
            tubes.clone().map(of).fold(f64::INFINITY, f64::min).min(10.0)
        };
        self.wire.push(coolest(|w| w.wire));
        let drawn = tubes_a(at, |probe| seen.mean(probe));
        self.drawn.push(if self.final_a > 0.0 { drawn / self.final_a } else { 0.0 });
        let curve = &mut self.curve;
        curve.time_s.push(moment.seconds);
        curve.b_plus_v.push(seen.mean(Probe::Volts(at.b_plus, REFERENCE)));
        curve.heater_v.push(
            at.windings.get(self.winding).map_or(0.0, |(a, b)| seen.rms(Probe::Volts(*a, *b))),
        );
        curve.cathode_share.push(coolest(|w| w.cathode));
        curve.line_a.push(seen.rms(line));
    }

    fn start(mut self, warm: &Operation, case: StartCase, bound: Option<&ColdStart>) -> Start {
        self.curve.capacitor_v = self.capacitors.first().cloned().unwrap_or_default();
        let curve = &self.curve;
        let times = &curve.time_s;
        let running_v = warm.b_plus();
        let (b_plus_peak_v, b_plus_peak_at_s) = highest(times, &curve.b_plus_v);
        let capacitors = warm.at.capacitors.iter().zip(&self.capacitors).enumerate();
        let capacitors = capacitors.map(|(i, (c, peaks))| {
            let (peak_v, peak_at_s) = highest(times, peaks);
            let surge_v = c.marked.bears().map(|(v, _)| v);
            let above = |v: f64| above(times, peaks, v);
            let bound = bound.and_then(|b| b.capacitors.get(i));
            let at_work = warm.state.peak(Probe::Volts(c.positive, c.negative));
            CapacitorThrough {
                name: format!("filter capacitor {}", i + 1),
                peak_v,
                peak_at_s,
                rated_v: c.marked.rated,
                above_rated_s: c.marked.rated.map(above),
                stays_above: c.marked.rated.is_some_and(|v| at_work > v),
                surge_v,
                above_surge_s: surge_v.map(above),
                bound_v: bound.map(|b| b.early_v.unwrap_or(b.peak_v)),
            }
        });
        let inrush_a = curve.line_a.first().copied().unwrap_or(0.0);
        Start {
            id: Method::AsIs,
            part: None,
            tube: None,
            case,
            inrush_peak_a: self.inrush_peak_a,
            inrush_a,
            bound_inrush_a: bound.map(|b| b.inrush_a),
            running_a: warm.state.rms(Probe::Amps(warm.at.line)),
            b_plus_at_s: reached(times, &curve.b_plus_v, THERE * running_v),
            b_plus_peak_v,
            b_plus_peak_at_s,
            b_plus_end_v: curve.b_plus_v.last().copied().unwrap_or(0.0),
            b_plus_running_v: running_v,
            tubes_draw_s: reached(times, &self.drawn, DRAWING),
            heaters_warm_s: reached(times, &self.wire, WARM),
            capacitors: capacitors.collect(),
            curve: self.curve,
        }
    }
}

/// The highest value and when.
fn highest(times: &[f64], values: &[f64]) -> (f64, f64) {
    let pairs = values.iter().copied().zip(times.iter().copied());
    pairs.fold((f64::NEG_INFINITY, 0.0), |best, next| if next.0 > best.0 { next } else { best })
}

/// Where the line from one instant to the next crosses `level`, as a share of the way.
fn crossing(from: f64, to: f64, level: f64) -> f64 {
    ((level - from) / (to - from)).clamp(0.0, 1.0)
}

/// When `values` first reach `level`.
fn reached(times: &[f64], values: &[f64], level: f64) -> Option<f64> {
    let place = values.iter().position(|v| *v >= level)?;
    let Some(before) = place.checked_sub(1) else {
        return Some(times[0]);
    };
    let share = crossing(values[before], values[place], level);
    Some(times[before] + share * (times[place] - times[before]))
}

/// Seconds for which `values` are above `level`.
fn above(times: &[f64], values: &[f64], level: f64) -> f64 {
    let steps = times.windows(2).zip(values.windows(2));
    let part = |(t, v): (&[f64], &[f64])| {
        let share = match (v[0] > level, v[1] > level) {
            (true, true) => 1.0,
            (false, false) => 0.0,
            (true, false) => crossing(v[0], v[1], level),
            (false, true) => 1.0 - crossing(v[0], v[1], level),
        };
        share * (t[1] - t[0])
    };
    steps.map(part).sum()
}
