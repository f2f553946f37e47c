//! Cautions: data first, words last. They stand in every plan, and no option removes them.

mod situation;
mod table;

pub use table::Caution;

use super::faults::FaultCase;
use super::flags::{self, Direct};
use super::outlet::{self, OutletChoice, OutletVolts};
use super::plan::Choice;
use crate::profile::Profile;
use crate::receiver::{Model, Receiver, Section, complete};
use schemars::JsonSchema;
use serde::{Serialize, Serializer};
use situation::Situation;
use std::fmt;

/// Drain resistor, Ω and W: its first watts are within the short overload of a wirewound part.
const DRAIN: (f64, f64) = (10e3, 5.0);
/// The shortest time to drain, s, and the steps of longer ones.
const DRAIN_S: (f64, f64) = (10.0, 5.0);
/// Drained is below this, V.
const DRAINED_V: f64 = 10.0;
/// Voltage that may be touched, DC, V (IEC 60364-4-41, dry †).
const TOUCH_V: f64 = 60.0;
/// Share of its voltage that an electrolytic capacitor can come back to (dielectric absorption, general encyclopedia †).
const COMES_BACK: f64 = 0.15;
/// What a meter's mark must say, V: the usual one, and the one where B+ is above it.
const METER_V: [f64; 2] = [600.0, 1000.0];

/// The step a caution must be read before, in the order of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// The plug goes in.
    PlugIn,
    /// The set is opened.
    Open,
    /// The first power after years.
    FirstPower,
    /// Something is measured with power on.
    Measure,
    /// A part is fitted.
    Fit,
    /// The set is used.
    Use,
}

impl Step {
    /// All of them, in order.
    pub const ALL: [Step; 6] =
        [Step::PlugIn, Step::Open, Step::FirstPower, Step::Measure, Step::Fit, Step::Use];
}

impl Caution {
    /// Its place in a list: by the steps of the work; at each what comes before all else, what carries a number, the rest.
    pub(super) fn order(&self) -> (Step, u8) {
        let place = match self {
            Caution::PullThePlug | Caution::DeadlyBPlus | Caution::HotWire => 0,
            other if other.has_figures() => 1,
            _ => 2,
        };
        (self.step(), place)
    }

    /// Whether it heads every screen and sheet, above all else.
    pub fn is_alarm(&self) -> bool {
        matches!(
            self,
            Caution::DoNotPlugIn { .. }
                | Caution::NotWithoutPart { .. }
                | Caution::LiveChassis { .. }
        )
    }
}

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words())
    }
}

/// A caution as machines read it.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Caution")]
pub(super) struct Spoken<'a> {
    #[serde(flatten)]
    caution: &'a Caution,
    /// The step it must be read before.
    before: Step,
    /// The sentence.
    text: String,
    /// Where it comes from.
    source: &'static str,
}

/// Cautions as machines read them.
pub(super) fn spoken<S: Serializer>(list: &[Caution], to: S) -> Result<S::Ok, S::Error> {
    to.collect_seq(list.iter().map(|caution| Spoken {
        caution,
        before: caution.step(),
        text: caution.to_string(),
        source: caution.source(),
    }))
}

/// What heads every screen of a set, on the outlet of its profile where that is known.
pub fn set_alarms(profile: &Profile) -> Vec<Caution> {
    let outlet = outlet::settle(profile, &OutletChoice::default()).ok();
    let known = complete(profile).ok();
    known.map_or(Vec::new(), |(model, _)| alarms(&model, outlet.map(|(volts, _)| volts).as_ref()))
}

/// Whether a set may be plugged in, and whether its chassis is live.
pub(super) fn alarms(model: &Model, outlet: Option<&OutletVolts>) -> Vec<Caution> {
    let direct = outlet.map(|o| (flags::direct(model, o), o.usual_v));
    let made_for_v = model.design_line;
    let mut list = Vec::new();
    if let Some((direct, outlet_v)) = direct {
        let ratio = outlet.map_or(1.0, |o| flags::usual_ratio(model, o));
        match direct {
            Direct::DoNotPlugIn => list.push(Caution::DoNotPlugIn { made_for_v, outlet_v, ratio }),
            Direct::NotWithoutPart => {
                list.push(Caution::NotWithoutPart { made_for_v, outlet_v, ratio });
            }
            Direct::Allowed => {}
        }
    }
    if model.is_live() {
        let volts_v = outlet.map_or(made_for_v, |o| o.high_v);
        list.push(Caution::LiveChassis { auto: model.auto, volts_v });
    }
    list
}

/// Every caution of a set alone, for commands that plan nothing: its alarms, and what holds while it is open.
pub(super) fn of_set(receiver: &Receiver, outlet: Option<&OutletVolts>) -> Vec<Caution> {
    let model = receiver.model();
    let mut list = alarms(model, outlet);
    list.extend(inside(receiver, outlet.map_or(model.design_line, |o| o.high_v)));
    list.extend(rules(&Situation::of(model, outlet)));
    list.retain(|c| c.comes_first() || c.step() == Step::Measure);
    list
}

fn rules(situation: &Situation) -> impl Iterator<Item = Caution> {
    Caution::RULES.iter().filter(|(_, when)| when(situation)).map(|(rule, _)| rule.clone())
}

/// What is inside at `high` line: the voltage, how to get rid of it, what comes back, what the meter must stand.
fn inside(receiver: &Receiver, high: f64) -> [Caution; 4] {
    let model = receiver.model();
    let crest = receiver.crest_volts(high);
    let filter = model.filter.iter().map(|s| match s {
        Section::Capacitor(farads, _) => *farads,
        _ => 0.0,
    });
    // the two of a doubler in series
    let stacked = match model.rectifier.doubler.as_slice() {
        [(a, _), (b, _)] => a * b / (a + b),
        _ => 0.0,
    };
    let farads = stacked + filter.sum::<f64>();
    // V falls as exp(−t/RC) through whatever stands across it
    let falls = |ohms: f64, to: f64| ohms * farads * (crest / to).ln().max(0.0);
    let (ohms, rated_w) = DRAIN;
    let (least, step) = DRAIN_S;
    let seconds = (falls(ohms, DRAINED_V) / step).ceil() * step;
    let [usual, higher] = METER_V;
    [
        Caution::Lethal {
            highest_v: crest,
            hold_s: receiver.discharge_ohms().map(|ohms| falls(ohms, TOUCH_V)),
        },
        Caution::Drain { ohms, rated_w, seconds: seconds.max(least) },
        Caution::ComesBack { volts_v: COMES_BACK * crest },
        Caution::MeterCategory { rated_v: if crest > usual { higher } else { usual } },
    ]
}

/// Every caution of a set for which `offered` is offered and `fitted` taken: the set as it is where none is.
pub(super) fn all(
    receiver: &Receiver,
    outlet: &OutletVolts,
    offered: &[&Choice],
    fitted: Option<&Choice>,
    dry: Option<Caution>,
) -> Vec<Caution> {
    let model = receiver.model();
    let fitted = fitted.or(offered.first().copied());
    let mut list = alarms(model, Some(outlet));
    let direct = flags::direct(model, outlet);
    // what must not be plugged in bare meets what its part lets through
    let behind = fitted.filter(|_| direct != Direct::Allowed).and_then(|c| c.day.as_ref());
    list.extend(inside(receiver, behind.map_or(outlet.high_v, |day| day.high.set_v)));
    if let Some(flux) = model.flux(outlet.high_v) {
        list.push(Caution::OtherFrequency {
            made_for_hz: model.design_frequency,
            runs_on_hz: model.frequency,
            flux: flux.volts_per_hertz / flux.designed,
        });
    }
    list.extend(dry);
    list.extend(of_parts(offered, fitted));
    let surface = list.iter().find_map(|c| match c {
        Caution::HotResistor { surface_c, .. } => Some(*surface_c),
        _ => None,
    });
    let situation = Situation::of(model, Some(outlet)).with(direct, offered, fitted, surface);
    if situation.steps_down {
        list.push(Caution::NoAutotransformer { outlet_v: outlet.usual_v });
    }
    list.extend(rules(&situation));
    list.sort_by_key(Caution::order);
    list
}

/// What goes with the parts, and with what is fitted.
fn of_parts(offered: &[&Choice], fitted: Option<&Choice>) -> Vec<Caution> {
    let mut list = Vec::new();
    if let Some(fuse) = fitted.and_then(|c| c.fuse.as_ref()) {
        list.push(Caution::Fuse {
            rating_a: fuse.rating_a,
            running_a: fuse.running_a,
            standard: fuse.standard,
        });
    }
    let is_resistor = |c: &&Choice| c.method.facts().makes_heat;
    let resistor = fitted.filter(is_resistor).or_else(|| offered.iter().copied().find(is_resistor));
    // of two the hotter
    let ratings = resistor.into_iter().flat_map(Choice::ratings);
    let places = ratings.filter_map(|(_, r)| Some((r.worst_w, r.places.first()?.surface_c)));
    if let Some((watts_w, surface_c)) = places.max_by(|a, b| a.1.total_cmp(&b.1)) {
        list.push(Caution::HotResistor { watts_w, surface_c });
    }
    // the worst of what a reversed winding would do, solved at high line; the fitted connection first
    let reversed = |c: &Choice| {
        let fault = c.faults.iter().find(|f| f.fault == FaultCase::Reversed);
        fault.and_then(|f| f.set_v)
    };
    let worst = || offered.iter().filter_map(|c| reversed(c)).max_by(f64::total_cmp);
    if let Some(set_v) = fitted.and_then(reversed).or_else(worst) {
        list.push(Caution::BuckingReversed { set_v });
    }
    let cold = fitted.and_then(|c| c.cold_start.as_ref());
    for c in cold.into_iter().flat_map(|cold| &cold.capacitors) {
        if let Some(rated_v) = c.rated_v.filter(|rated| c.peak_v > *rated) {
            let (name, peak_v) = (c.name.clone(), c.peak_v);
            list.push(Caution::CapacitorAtSwitchOn { name, peak_v, rated_v });
        }
    }
    list
}
