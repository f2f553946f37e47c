//! What heads every screen of a set, and the cautions of a set alone.

use super::{
    Caution, OutletChoice, OutletVolts, Step,
    caution::Situation,
    flags::{self, Direct},
    outlet,
};
use crate::{
    catalogue::RectifierKind,
    profile::Profile,
    receiver::{HeaterLine, Model, Receiver, SectionKind, Stored, complete},
};

/// Outlets above this have plugs that can be turned round, V RMS: those of the 230 V countries, but for a few.
const TURNABLE_V: f64 = 150.0;

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

/// What heads every screen of a set, on the outlet of its profile where that is known.
pub fn set_alarms(profile: &Profile) -> Vec<Caution> {
    let outlet = outlet::settle(profile, &OutletChoice::default()).ok();
    let mut known = complete(profile).ok().map(|(model, _)| model);
    if known.as_ref().is_some_and(|m| m.mains_resistor.is_some()) {
        // what it takes is known of a solved set
        let solved = known.clone().and_then(|model| Receiver::new(model, None).ok());
        known = solved.map(|set| set.model().clone()).or(known);
    }
    known.map_or(Vec::new(), |model| alarms(&model, outlet.map(|(volts, _)| volts).as_ref()))
}

/// Whether a set may be plugged in, and whether its chassis is live.
pub fn alarms(model: &Model, outlet: Option<&OutletVolts>) -> Vec<Caution> {
    let made_for_v = model.design_line;
    let mut list = Vec::new();
    if let Some(outlet) = outlet {
        let (outlet_v, ratio) = (outlet.usual_v, flags::usual_ratio(model, outlet));
        list.extend(match flags::direct(model, outlet) {
            Direct::DoNotPlugIn => Some(Caution::DoNotPlugIn { made_for_v, outlet_v, ratio }),
            Direct::NotWithoutPart => Some(Caution::NotWithoutPart { made_for_v, outlet_v, ratio }),
            Direct::Allowed => None,
        });
    }
    if model.is_live() {
        let volts_v = outlet.map_or(made_for_v, |o| o.high_v);
        list.push(Caution::LiveChassis { auto: model.auto, volts_v });
    }
    list
}

/// Every caution of a set alone, for commands that plan nothing: its alarms, and what holds while it is open.
pub fn of_set(receiver: &Receiver, outlet: Option<&OutletVolts>) -> Vec<Caution> {
    before(&[Step::Measure], receiver, outlet)
}

/// The same for work inside it: how it is emptied as well, and what holds while something is fitted.
pub fn of_work(receiver: &Receiver, outlet: &OutletVolts) -> Vec<Caution> {
    before(&[Step::Open, Step::Measure, Step::Fit], receiver, Some(outlet))
}

fn before(steps: &[Step], receiver: &Receiver, outlet: Option<&OutletVolts>) -> Vec<Caution> {
    let model = receiver.model();
    let mut list = alarms(model, outlet);
    let own = model.design_line;
    list.extend(inside(receiver, outlet.map_or(own, |o| o.high_v.max(own))));
    list.extend(rules(&situation(model, outlet)));
    list.retain(|c| c.comes_first() || steps.contains(&c.step()));
    list
}

pub fn rules(situation: &Situation) -> impl Iterator<Item = Caution> {
    Caution::RULES.iter().filter(|(_, when)| when(situation)).map(|(rule, _)| rule.clone())
}

/// What is inside at `high` line: the voltage, how to get rid of it, what comes back, what the meter must stand.
pub fn inside(receiver: &Receiver, high: f64) -> [Caution; 4] {
    let stored = receiver.stored(high);
    let crest = stored.iter().map(|s| s.crest_v).fold(0.0, f64::max);
    // V falls as exp(−t/RC) through whatever stands across it
    let falls = |s: &Stored, ohms: f64, to: f64| ohms * s.farads * (s.crest_v / to).ln().max(0.0);
    // each supply is emptied by what stands across it alone
    let hold_s = stored.iter().map(|s| Some(falls(s, s.ohms?, TOUCH_V)));
    let hold_s = hold_s.collect::<Option<Vec<f64>>>();
    let (ohms, rated_w) = DRAIN;
    let (least, step) = DRAIN_S;
    let drain_s = stored.iter().map(|s| falls(s, ohms, DRAINED_V)).fold(0.0, f64::max);
    let seconds = (drain_s / step).ceil() * step;
    let [usual, higher] = METER_V;
    [
        Caution::Lethal {
            highest_v: crest,
            hold_s: hold_s.map(|all| all.into_iter().fold(0.0, f64::max)),
        },
        Caution::Drain { ohms, rated_w, seconds: seconds.max(least) },
        Caution::ComesBack { volts_v: COMES_BACK * crest },
        Caution::MeterCategory { rated_v: if crest > usual { higher } else { usual } },
    ]
}

/// Whether something of that kind stands in its heater string.
fn has(model: &Model, is: fn(&SectionKind) -> bool) -> bool {
    model.string.as_ref().is_some_and(|s| s.sections.iter().any(|section| is(&section.kind)))
}

/// Whether a diode in its heater string draws direct current from the line.
pub fn draws_direct_current(model: &Model) -> bool {
    has(model, |k| matches!(k, SectionKind::Diode))
}

/// A set alone, on its outlet where that is known.
pub fn situation(model: &Model, outlet: Option<&OutletVolts>) -> Situation {
    let string = model.string.as_ref();
    let second = model.second.as_ref().map(|second| &second.rectifier);
    let rectifiers = || [&model.rectifier].into_iter().chain(second);
    Situation {
        live: model.is_live(),
        string: string.is_some(),
        branches: string.is_some_and(|s| s.share_one_current(model.windings.len())),
        barretter: string.is_some_and(|s| s.barretter.is_some()),
        cord: string.is_some_and(HeaterLine::in_cord),
        capacitor: has(model, |k| matches!(k, SectionKind::Capacitor { .. })),
        diode: draws_direct_current(model),
        mains_resistor: model.mains_resistor.is_some(),
        made_with_resistor: model.mains_resistor.is_some_and(|r| r.by_maker),
        turnable: outlet.map_or(model.design_line, |o| o.usual_v) > TURNABLE_V,
        center_tap: string.is_none() && rectifiers().any(|r| r.circuit.is_tapped()),
        selenium: rectifiers().any(|r| r.kind == RectifierKind::Selenium),
        ..Situation::default()
    }
}
