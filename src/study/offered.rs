//! The cautions and the fuse of a set with its choices.

use super::alarms::{alarms, inside, rules, situation};
use super::caution::{Caution, Situation};
use super::choice::Choice;
use super::faults::{FaultCase, FaultReport, SetFuse};
use super::flags::{self, Direct};
use super::fuse::FuseReport;
use super::outlet::OutletVolts;
use crate::adaptation::{Facts, Method, Stands, far_off};
use crate::catalogue::stock::FuseStandard;
use crate::receiver::{MainsResistor, Receiver};

/// What wood bears for years, °C (Fire and Materials 31, 2007, pp. 125-135: 77 °C †), and water.
const WOOD_C: f64 = 75.0;
const BOILING_C: f64 = 100.0;

/// Every caution of a set for which `offered` is offered and `fitted` taken: the set as it is where none is.
pub(super) fn cautions(
    receiver: &Receiver,
    outlet: &OutletVolts,
    offered: &[&Choice],
    (fitted, fuse): (Option<&Choice>, Option<&FuseReport>),
    dry: Option<Caution>,
) -> Vec<Caution> {
    let model = receiver.model();
    let fitted = fitted.or(offered.first().copied());
    let mut list = alarms(model, Some(outlet));
    let direct = flags::direct(model, outlet);
    // the most of all: on its own line, to which a low outlet recovers and a variac raises it; as it is, unless it must not
    // be plugged in bare; with what is fitted, on another tap as many more volts as there are fewer turns
    let bare = (direct == Direct::Allowed).then_some(outlet.high_v);
    let day = fitted.and_then(|c| c.day.as_ref());
    let with = day.map(|day| day.high.set_v / day.high.primary_turns);
    let most = bare.into_iter().chain(with).fold(model.design_line, f64::max);
    list.extend(inside(receiver, most));
    if let Some(flux) = model.flux_elsewhere(outlet.high_v) {
        list.push(Caution::OtherFrequency {
            made_for_hz: model.design_frequency,
            runs_on_hz: model.frequency,
            flux: flux.relative(),
        });
    }
    list.extend(dry);
    list.extend(of_parts(offered, (fitted, fuse), model.design_line));
    list.extend(model.mains_resistor.zip(fitted).and_then(|(r, c)| mains_resistor_burns(r, c)));
    let surface = list.iter().find_map(|c| match c {
        Caution::HotResistor { surface_c, .. } => Some(*surface_c),
        _ => None,
    });
    let situation =
        with_choices(situation(model, Some(outlet)), direct, offered, (fitted, fuse), surface);
    if situation.steps_down {
        list.push(Caution::NoAutotransformer { outlet_v: outlet.usual_v });
    }
    list.extend(rules(&situation));
    list.sort_by_key(Caution::order);
    list
}

/// True where this holds of what a choice fits, of the second of two parts too.
fn fits(choice: &Choice, of: fn(&Facts) -> bool) -> bool {
    let second = choice.behind.as_ref().and_then(|b| b.method);
    [Some(choice.method), second].into_iter().flatten().any(|m| of(m.facts()))
}

/// True where a small transformer adds its volts.
fn boosts(choice: &Choice) -> bool {
    fits(choice, |f| f.boosts)
}

/// What goes with the parts, and with what is fitted.
fn of_parts(
    offered: &[&Choice],
    (fitted, fuse): (Option<&Choice>, Option<&FuseReport>),
    made_for_v: f64,
) -> Vec<Caution> {
    let mut list = Vec::new();
    if let Some(fuse) = fuse {
        list.push(Caution::Fuse {
            rating_a: fuse.rating_a,
            running_a: fuse.running_a,
            standard: fuse.standard,
        });
    }
    let is_resistor = |c: &&Choice| fits(c, |f| f.makes_heat);
    let resistor = fitted.filter(is_resistor).or_else(|| offered.iter().copied().find(is_resistor));
    // of two the one that makes more heat
    let ratings = resistor.into_iter().flat_map(Choice::ratings);
    let places = ratings.filter_map(|(_, r)| Some((r.worst_w, r.places.first()?.surface_c)));
    if let Some((watts_w, surface_c)) = places.max_by(|a, b| a.0.total_cmp(&b.0)) {
        list.push(Caution::HotResistor { watts_w, surface_c });
    }
    // the worst of what a reversed winding would do, solved at high line; the fitted connection first
    let reversed = |c: &Choice| {
        let fault = c.faults.iter().find(|f| matches!(f.fault, FaultCase::Reversed(_)));
        fault.and_then(|f| f.set_v).filter(|_| !boosts(c))
    };
    let worst = || offered.iter().filter_map(|c| reversed(c)).max_by(f64::total_cmp);
    let set_v = fitted.and_then(reversed).or_else(worst);
    list.extend(set_v.map(|set_v| Caution::BuckingReversed { set_v }));
    // what is in proportion to the outlet, with the outlet back at what the tap in use is made for
    let recovered = |c: &Choice| {
        let usual = &c.day.as_ref()?.usual;
        let outlet_v = made_for_v * usual.primary_turns;
        // another country's outlet does not recover
        let steps = c.method == Method::StepUp && !far_off(usual.outlet_v, made_for_v);
        let set_v = usual.set_v / usual.outlet_v * outlet_v;
        (boosts(c) || steps).then_some((outlet_v, set_v))
    };
    let worst = || {
        let all = offered.iter().filter_map(|c| recovered(c));
        all.max_by(|a, b| a.1.total_cmp(&b.1))
    };
    let left_in = fitted.and_then(recovered).or_else(worst);
    list.extend(left_in.map(|(outlet_v, set_v)| Caution::BoostLeftIn { outlet_v, set_v }));
    let cold = fitted.and_then(|c| c.cold_start.as_ref());
    let capacitors = cold.into_iter().flat_map(|cold| &cold.capacitors);
    list.extend(capacitors.filter(|c| c.exceeds()).map(|c| Caution::CapacitorAtSwitchOn {
        name: c.name.clone(),
        peak_v: c.peak_v,
        running_v: c.running_v,
        rated_v: c.rated_v.unwrap_or(0.0),
        fit_v: c.fit_v,
    }));
    list
}

/// Longest that a fault is taken to go on unseen, s.
const UNSEEN_S: f64 = 3600.0;

/// The fault that burns the set's own resistor in its lead, of several the one that puts most energy into it.
fn mains_resistor_burns(resistor: MainsResistor, choice: &Choice) -> Option<Caution> {
    let burning = choice.faults.iter().filter(|f| f.mains_resistor_burns);
    let heat = |f: &FaultReport| f.mains_resistor_w.unwrap_or(0.0);
    let energy = |f: &FaultReport| {
        let opens = f.fuse.and_then(|fuse| fuse.opens_within_s);
        heat(f) * opens.map_or(UNSEEN_S, |s| s.min(UNSEEN_S))
    };
    let worst = burning.max_by(|a, b| energy(a).total_cmp(&energy(b)))?;
    Some(Caution::MainsResistorBurns {
        fault: worst.fault.to_string(),
        watts_w: heat(worst),
        rated_w: resistor.rated,
        opens_within_s: worst.fuse.and_then(|fuse| fuse.opens_within_s),
    })
}

/// A set with what is `offered` for it, of which `fitted` is taken; `surface_c` is that of the hottest resistor.
fn with_choices(
    set: Situation,
    direct: Direct,
    offered: &[&Choice],
    (fitted, fuse): (Option<&Choice>, Option<&FuseReport>),
    surface_c: Option<f64>,
) -> Situation {
    let any = |of: fn(Method) -> bool| offered.iter().any(|c| c.part.is_some() && of(c.method));
    let nothing = fitted.is_none_or(|c| c.method == Method::AsIs);
    let heats = |f: &Facts| f.makes_heat && f.stands == Stands::InLead;
    let in_lead = offered.iter().any(|c| c.part.is_some() && fits(c, heats));
    let stays = fitted.is_none_or(|c| !c.method.replaces_mains_resistor());
    let above = |c: f64| surface_c.is_some_and(|surface| surface > c);
    Situation {
        cord_goes: fitted.is_some_and(|c| c.method.facts().replaces_cord),
        fuse_ul: fuse
            .filter(|f| f.rating_a.is_some())
            .map(|f| f.standard == FuseStandard::Ul.name()),
        hot: above(WOOD_C),
        boiling: in_lead && above(BOILING_C),
        resistor_in_lead: in_lead,
        mains_resistor: set.mains_resistor && (set.made_with_resistor || stays),
        boosts: offered.iter().any(|c| c.part.is_some() && boosts(c)),
        thermistor: any(|m| m == Method::Thermistor),
        steps_down: any(|m| m == Method::StepDown) || nothing && direct == Direct::DoNotPlugIn,
        ..set
    }
}

/// The fuse of the set with `choices`, of which `advised` is advised.
pub(super) fn fuse_of_set(choices: &[Choice], advised: Option<Method>) -> Option<SetFuse> {
    let method = advised.unwrap_or(Method::AsIs);
    let choice = choices.iter().find(|c| c.method == method)?;
    let (fuse, instead_of) = (choice.fuse.clone()?, choice.instead_of.clone());
    let country_choice = instead_of.as_ref().and_then(|other| {
        let does = |c: &&Choice| {
            let fits = |f: &FuseReport| f.standard == other.standard && f.rating_a.is_some();
            c.objections.is_empty() && c.fuse.as_ref().is_some_and(fits)
        };
        choices.iter().find(does).map(|c| c.method)
    });
    Some(SetFuse { choice: method, fuse, instead_of, country_choice })
}
