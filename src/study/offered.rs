//! The cautions and the fuse of a set with its choices.

use super::{
    Caution, Choice, FaultCase, FaultReport, FuseReport, OutletVolts, SetFuse,
    alarms::{alarms, inside, rules, situation},
    caution::Situation,
    flags::{self, Direct},
};
use crate::{
    adaptation::{Facts, Method, Stands, far_off},
    catalogue::stock::FuseStandard,
    receiver::{MainsResistor, Receiver},
};

/// What wood bears for years, °C (Fire and Materials 31, 2007, pp. 125-135: 77 °C †), and water.
const WOOD_C: f64 = 75.0;
const BOILING_C: f64 = 100.0;

/// Every caution of a set for which `offered` is offered and `fitted` taken: the set as it is where none is.
pub fn cautions(
    receiver: &Receiver,
    outlet: &OutletVolts,
    offered: &[&Choice],
    (fitted, fuse): (Option<&Choice>, Option<&FuseReport>),
    more: impl IntoIterator<Item = Caution>,
) -> Vec<Caution> {
    let model = receiver.model();
    let choices = Choices { offered, fitted: fitted.or(offered.first().copied()), fuse };
    let mut list = alarms(model, Some(outlet));
    let direct = flags::direct(model, outlet);
    // the most of all: on its own line, to which a low outlet recovers and a variac raises it; as it is, unless it must not
    // be plugged in bare; with what is fitted, on another tap as many more volts as there are fewer turns
    let bare = (direct == Direct::Allowed).then_some(outlet.high_v);
    let day = choices.fitted.and_then(|c| c.day.as_ref());
    let with = day.map(|day| day.high.set_v / day.high.primary_turns);
    let most = bare.into_iter().chain(with).fold(model.design_line, f64::max);
    list.extend(inside(receiver, most));
    list.extend(model.flux_elsewhere(outlet.high_v).map(|flux| Caution::OtherFrequency {
        made_for_hz: model.design_frequency,
        runs_on_hz: model.frequency,
        flux: flux.relative(),
    }));
    list.extend(more);
    let hottest = choices.hottest();
    list.extend(choices.of_parts(hottest, model.design_line));
    let own = model.mains_resistor.zip(choices.fitted);
    list.extend(own.and_then(|(resistor, choice)| mains_resistor_burns(resistor, choice)));
    let surface_c = hottest.map(|(_, surface_c)| surface_c);
    let situation = choices.situation(situation(model, Some(outlet)), direct, surface_c);
    if situation.steps_down {
        list.push(Caution::NoAutotransformer { outlet_v: outlet.usual_v });
    }
    list.extend(rules(&situation));
    list.sort_by_key(Caution::order);
    list
}

/// True where this holds of what a choice fits, of the second of two parts too.
fn fits(choice: &Choice, of: fn(&Facts) -> bool) -> bool {
    [Some(choice.method), choice.behind.as_ref().and_then(|b| b.method)]
        .into_iter()
        .flatten()
        .any(|m| of(m.facts()))
}

/// True where a small transformer adds its volts.
fn boosts(choice: &Choice) -> bool {
    fits(choice, |f| f.boosts)
}

/// The choices that are offered, which of them is fitted, and the set's fuse.
struct Choices<'a> {
    offered: &'a [&'a Choice],
    fitted: Option<&'a Choice>,
    fuse: Option<&'a FuseReport>,
}

impl Choices<'_> {
    /// Whether this holds of a part that is offered.
    fn any(&self, of: impl Fn(&Choice) -> bool) -> bool {
        self.offered.iter().any(|c| c.part.is_some() && of(c))
    }

    /// What is found of the fitted one, else of all the most.
    fn worst<T>(&self, of: impl Fn(&Choice) -> Option<T>, size: fn(&T) -> f64) -> Option<T> {
        let all = self.offered.iter().filter_map(|c| of(c));
        self.fitted.and_then(&of).or(all.max_by(|a, b| size(a).total_cmp(&size(b))))
    }

    /// Watts at high line of the resistor that makes most heat, of two in one choice, and its surface.
    fn hottest(&self) -> Option<(f64, f64)> {
        let is_resistor = |c: &&Choice| fits(c, |f| f.makes_heat);
        let first = || self.offered.iter().copied().find(is_resistor);
        let places = self
            .fitted
            .filter(is_resistor)
            .or_else(first)?
            .ratings()
            .filter_map(|(_, r)| Some((r.worst_w, r.places.first()?.surface_c)));
        places.max_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// What goes with the parts, and with what is fitted.
    fn of_parts(&self, hottest: Option<(f64, f64)>, made_for_v: f64) -> Vec<Caution> {
        let fuse = self.fuse.map(|fuse| Caution::Fuse {
            rating_a: fuse.rating_a,
            running_a: fuse.running_a,
            standard: fuse.standard,
        });
        let hot = hottest.map(|(watts_w, surface_c)| Caution::HotResistor { watts_w, surface_c });
        // what a reversed winding would do, solved at high line
        let reversed = |c: &Choice| {
            let fault = c.faults.iter().find(|f| matches!(f.fault, FaultCase::Reversed(_)));
            fault.and_then(|f| f.set_v).filter(|_| !boosts(c))
        };
        let reversed = self.worst(reversed, |set_v| *set_v);
        // what is in proportion to the outlet, with the outlet back at what the tap in use is made for
        let recovered = |c: &Choice| {
            let usual = &c.day.as_ref()?.usual;
            let outlet_v = made_for_v * usual.primary_turns;
            // another country's outlet does not recover
            let steps = c.method == Method::StepUp && !far_off(usual.outlet_v, made_for_v);
            (boosts(c) || steps).then_some((outlet_v, usual.set_v / usual.outlet_v * outlet_v))
        };
        let left_in = self.worst(recovered, |(_, set_v)| *set_v);
        let cold = self.fitted.and_then(|c| c.cold_start.as_ref());
        let weak = cold.into_iter().flat_map(|cold| &cold.capacitors).filter(|c| c.exceeds());
        let reversed = reversed.map(|set_v| Caution::BuckingReversed { set_v });
        let left_in = left_in.map(|(outlet_v, set_v)| Caution::BoostLeftIn { outlet_v, set_v });
        [fuse, hot, reversed, left_in]
            .into_iter()
            .flatten()
            .chain(weak.map(|c| Caution::CapacitorAtSwitchOn {
                name: c.name.clone(),
                peak_v: c.peak_v,
                running_v: c.running_v,
                rated_v: c.rated_v.unwrap_or(0.0),
                fit_v: c.fit_v,
            }))
            .collect()
    }

    /// A set with them; `surface_c` is that of the hottest resistor.
    fn situation(&self, set: Situation, direct: Direct, surface_c: Option<f64>) -> Situation {
        let nothing = self.fitted.is_none_or(|c| c.method == Method::AsIs);
        let in_lead = self.any(|c| fits(c, |f| f.makes_heat && f.stands == Stands::InLead));
        let stays = self.fitted.is_none_or(|c| !c.method.replaces_mains_resistor());
        let above = |c: f64| surface_c.is_some_and(|surface| surface > c);
        let fuse = self.fuse.filter(|f| f.rating_a.is_some());
        Situation {
            cord_goes: self.fitted.is_some_and(|c| c.method.facts().replaces_cord),
            fuse_ul: fuse.map(|f| f.standard == FuseStandard::Ul.name()),
            hot: above(WOOD_C),
            boiling: in_lead && above(BOILING_C),
            resistor_in_lead: in_lead,
            mains_resistor: set.mains_resistor && (set.made_with_resistor || stays),
            boosts: self.any(boosts),
            thermistor: self.any(|c| c.method == Method::Thermistor),
            steps_down: self.any(|c| c.method == Method::StepDown)
                || nothing && direct == Direct::DoNotPlugIn,
            ..set
        }
    }
}

/// The fuse of the set with `choices`, of which `advised` is advised.
pub fn fuse_of_set(choices: &[Choice], advised: Option<Method>) -> Option<SetFuse> {
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

/// Longest that a fault is taken to go on unseen, s.
const UNSEEN_S: f64 = 3600.0;

/// The fault that burns the set's own resistor in its lead, of several the one that puts most energy into it.
fn mains_resistor_burns(resistor: MainsResistor, choice: &Choice) -> Option<Caution> {
    let burning = choice.faults.iter().filter(|f| f.mains_resistor_burns);
    let heat = |f: &FaultReport| f.mains_resistor_w.unwrap_or(0.0);
    let energy =
        |f: &FaultReport| heat(f) * f.opens_within_s().map_or(UNSEEN_S, |s| s.min(UNSEEN_S));
    let worst = burning.max_by(|a, b| energy(a).total_cmp(&energy(b)))?;
    Some(Caution::MainsResistorBurns {
        fault: worst.fault.to_string(),
        watts_w: heat(worst),
        rated_w: resistor.rated,
        opens_within_s: worst.opens_within_s(),
    })
}
