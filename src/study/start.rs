//! A set followed from switch-on: what is kept of every moment, and what comes when.

use super::{ColdStart, Result, Serialize, settle};
use crate::{
    adaptation::{Bought, Method, Part},
    circuit::{Probe, REFERENCE},
    receiver::{
        HeaterWinding, Moment, Operation, Points, Receiver, SwitchedOn, Warmth, capacitor_part,
    },
};

/// How long a set is followed, s.
pub const FOLLOWED_S: f64 = 60.0;
/// Share of its final value at which B+ counts as there.
const THERE: f64 = 0.1;
/// Share of their final current at which the tubes count as drawing.
const DRAWING: f64 = 0.5;
/// Share of its final temperature at which a heater counts as warm.
const WARM: f64 = 0.9;
/// Cycles of the inrush.
const INRUSH_S: f64 = 0.1;

/// How a set is switched on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum StartCase {
    /// All cold; a part that warms up as warm as it becomes.
    Cold,
    /// All cold, a part that warms up as it stands cold: the true start lies between.
    ColdPart,
    /// Off for a moment only: all hot, the filter capacitors empty.
    HotRestart,
}

/// A filter capacitor through it.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CapacitorThrough {
    /// First, second, ...
    pub name: String,
    /// Its name in drawings and tables, such as C1.
    #[serde(skip)]
    pub part: String,
    /// Highest volts, V.
    pub peak_v: f64,
    /// When, s.
    pub peak_at_s: f64,
    /// Highest volts in the last cycle, V.
    pub end_v: f64,
    /// Rated volts, where known.
    pub rated_v: Option<f64>,
    /// Seconds above them.
    pub above_rated_s: Option<f64>,
    /// True where it is above them still when the set is steady.
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
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Start {
    /// Choice.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub id: Method,
    /// Its part.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub part: Option<Bought>,
    /// The tube in whose place a dry rectifier is, where this start is with the tube.
    pub tube: Option<String>,
    /// How it is switched on.
    pub case: StartCase,
    /// Highest instantaneous current from the outlet in the first tenth of a second, switched at the worst phase, A.
    pub inrush_peak_a: f64,
    /// RMS of its first cycle, A.
    pub inrush_a: f64,
    /// The plan's: all heaters at a seventh of their resistance, rectifier and iron at rest; null where it has none.
    pub plan_inrush_a: Option<f64>,
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

/// The start of `receiver` behind `part` on `line`; `bound` is the plan's.
///
/// # Errors
/// A point that cannot be solved.
pub fn from_cold_or_hot(
    receiver: &Receiver,
    part: &dyn Part,
    line: f64,
    case: StartCase,
    bound: Option<&ColdStart>,
) -> Result<Start> {
    let settled = settle::run(receiver, part, line, None)?;
    let (warm, hot_part) = (settled.operation, settled.part);
    let cold_part = part.cold();
    let lead = match case {
        StartCase::ColdPart => cold_part.as_deref().unwrap_or(part),
        _ => hot_part.as_deref().unwrap_or(part),
    };
    let how =
        SwitchedOn { hot: case == StartCase::HotRestart, seconds: FOLLOWED_S, plainly: false };
    let capacitors = vec![Vec::new(); warm.at.capacitors.len()];
    let mut seen = Seen { capacitors, ..Seen::default() };
    let windings = &receiver.model().windings;
    receiver.switch_on((line, lead), &warm, how, &mut |moment| seen.take(windings, moment))?;
    Ok(seen.start(&warm, case, bound.filter(|_| case != StartCase::HotRestart)))
}

/// What is kept of every moment.
#[derive(Default)]
struct Seen {
    curve: StartCurve,
    /// Highest volts of each capacitor in a cycle.
    capacitors: Vec<Vec<f64>>,
    /// Current of all tubes, A.
    drawn_a: Vec<f64>,
    /// The coolest wire of a tube.
    wire: Vec<f64>,
    inrush_peak_a: f64,
}

/// Current of all tubes.
fn tubes_a(at: &Points, mean: impl Fn(Probe) -> f64) -> f64 {
    let ids = at.tubes.iter().flat_map(|t| [t.plate_current, t.screen_current]);
    ids.map(|id| mean(Probe::Amps(id))).sum()
}

impl Seen {
    fn take(&mut self, windings: &[HeaterWinding], moment: &Moment<'_>) {
        let (cycle, at) = (moment.cycle, moment.at);
        let seen = &cycle.seen;
        for (list, c) in self.capacitors.iter_mut().zip(&at.capacitors) {
            list.push(cycle.extremes(Probe::Volts(c.positive, c.negative)).0);
        }
        let line = Probe::Amps(at.line);
        if moment.seconds <= INRUSH_S {
            let (high, low) = cycle.extremes(line);
            self.inrush_peak_a = self.inrush_peak_a.max(high).max(-low);
        }
        let is_tube = |w: &&Warmth| windings[w.winding].filaments[w.filament].socket.is_some();
        let tubes = moment.warm.iter().filter(is_tube);
        let coolest =
            |of: fn(&Warmth) -> f64| tubes.clone().map(of).fold(f64::INFINITY, f64::min).min(10.0);
        self.wire.push(coolest(|w| w.wire));
        self.drawn_a.push(tubes_a(at, |probe| seen.mean(probe)));
        let curve = &mut self.curve;
        curve.time_s.push(moment.seconds);
        curve.b_plus_v.push(seen.mean(Probe::Volts(at.b_plus, REFERENCE)));
        let heater = at.windings.get(windings.iter().position(|w| w.feeds_tubes).unwrap_or(0));
        curve.heater_v.push(heater.map_or(0.0, |(a, b)| seen.rms(Probe::Volts(*a, *b))));
        curve.cathode_share.push(coolest(|w| w.cathode));
        curve.line_a.push(seen.rms(line));
    }

    fn start(mut self, warm: &Operation, case: StartCase, bound: Option<&ColdStart>) -> Start {
        self.curve.capacitor_v = self.capacitors.first().cloned().unwrap_or_default();
        let curve = &self.curve;
        let times = &curve.time_s;
        let running_v = warm.b_plus();
        let final_a = tubes_a(&warm.at, |probe| warm.state.mean(probe));
        let share = |amps: &f64| if final_a > 0.0 { amps / final_a } else { 0.0 };
        let drawn: Vec<f64> = self.drawn_a.iter().map(share).collect();
        let (b_plus_peak_v, b_plus_peak_at_s) = highest(times, &curve.b_plus_v);
        let capacitors = warm.at.capacitors.iter().zip(&self.capacitors).enumerate();
        let capacitors = capacitors.map(|(i, (c, peaks))| {
            let (peak_v, peak_at_s) = highest(times, peaks);
            let surge_v = c.marked.bears().map(|(v, _)| v);
            let above = |v| above(times, peaks, v);
            let bound = bound.and_then(|b| b.capacitors.get(i));
            let at_work = warm.state.peak(Probe::Volts(c.positive, c.negative));
            CapacitorThrough {
                name: warm.at.capacitor_name(i),
                part: capacitor_part(i),
                peak_v,
                peak_at_s,
                end_v: peaks.last().copied().unwrap_or(0.0),
                rated_v: c.marked.rated,
                above_rated_s: c.marked.rated.map(above),
                stays_above: c.marked.rated.is_some_and(|v| at_work > v),
                surge_v,
                above_surge_s: surge_v.map(above),
                bound_v: bound.map(|b| b.early_v.unwrap_or(b.peak_v)),
            }
        });
        Start {
            id: Method::AsIs,
            part: None,
            tube: None,
            case,
            inrush_peak_a: self.inrush_peak_a,
            inrush_a: curve.line_a.first().copied().unwrap_or(0.0),
            plan_inrush_a: bound.map(|b| b.inrush_a),
            running_a: warm.state.rms(Probe::Amps(warm.at.line)),
            b_plus_at_s: reached(times, &curve.b_plus_v, THERE * running_v),
            b_plus_peak_v,
            b_plus_peak_at_s,
            b_plus_end_v: curve.b_plus_v.last().copied().unwrap_or(0.0),
            b_plus_running_v: running_v,
            tubes_draw_s: reached(times, &drawn, DRAWING),
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
    let part = |(t, v): (&[f64], &[f64])| {
        let crossing = crossing(v[0], v[1], level);
        let share = match (v[0] > level, v[1] > level) {
            (true, true) => 1.0,
            (false, false) => 0.0,
            (true, false) => crossing,
            (false, true) => 1.0 - crossing,
        };
        share * (t[1] - t[0])
    };
    times.windows(2).zip(values.windows(2)).map(part).sum()
}
