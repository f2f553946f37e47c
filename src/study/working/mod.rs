//! The sums one would write on paper, with this set's numbers, beside what the circuit gives.

mod sum;

use super::{Choice, Plan, SupplyElement, SupplySketch};
use crate::{
    adaptation::Method,
    catalogue::stock::FuseStandard,
    receiver::{HeaterLine, Model, Rung},
};
use std::ops::Add;
use sum::UNWRITTEN_V;
pub(super) use sum::{Sum, amps, as_written, figure, number, ohms, tap, volts, watts};
pub use sum::{Term, Working};

/// Volts that are none: what is left of a search for a setting.
const NOTHING_V: f64 = 0.01;

/// The sums of a plan for one choice.
pub fn of(plan: &Plan, choice: &Choice, supply: &SupplySketch, model: &Model) -> Vec<Working> {
    let mut list = [before(plan), string(plan, model), resistor(plan, choice)].concat();
    list.extend(part(plan, choice));
    list.extend(fuse(choice));
    list.extend(inside(choice, supply));
    list
}

/// Why a set's voltages do not go with the line.
pub(super) const NOT_IN_STEP: &str =
    "not everything follows the line in step: heaters rise in resistance, bias follows the current";
/// Why a tap does not stand where its chain puts it.
pub(super) const LOADED: &str = "what is connected to the tap loads the divider";

/// The set straight on the outlet, by proportion.
fn before(plan: &Plan) -> Vec<Working> {
    let Some(day) = plan.choices.first().and_then(|c| c.day.as_ref()) else {
        return Vec::new();
    };
    let (design, usual) = (&plan.as_designed, &day.usual);
    // what a repairer put into the line cord takes its volts off
    let later = plan.set.mains_resistor_ohms.and(usual.mains_resistor());
    let line = match later {
        Some(resistor) => volts(plan.outlet.usual_v) - volts(resistor.volts_v),
        None => volts(plan.outlet.usual_v),
    };
    let made_for = plan.set.design_line_v;
    let proportion = |what, at_design, solved| {
        Working::new(what, volts(at_design) * line.clone() / volts(made_for), "V")
            .beside(solved, NOT_IN_STEP)
    };
    let mut list = Vec::new();
    if let (Some(d), Some(u)) = (design.tube_heater(), usual.tube_heater()) {
        list.push(proportion("heaters today", d.volts_v, u.volts_v));
    }
    list.push(proportion("B+ today", design.b_plus_v, usual.b_plus_v));
    list
}

/// Heaters in series: their sum against the line, and what is left for a dropper.
fn string(plan: &Plan, model: &Model) -> Vec<Working> {
    let Some(string) = &model.string else { return Vec::new() };
    let heaters = model.heaters_in_series().into_iter().map(volts).reduce(Sum::add);
    let Some(heaters) = heaters else { return Vec::new() };
    let mut left = volts(plan.outlet.usual_v) - volts(heaters.value);
    // a maker's resistor in the line cord stays
    let usual = plan.choices.first().and_then(|c| Some(&c.day.as_ref()?.usual));
    let kept = model.mains_resistor.filter(|r| r.by_maker);
    if let Some(resistor) = kept.and(usual).and_then(super::reading::Reading::mains_resistor) {
        left = left - volts(resistor.volts_v);
    }
    let rest = left.value;
    let mut list = vec![
        Working::new("heaters in series", heaters, "V"),
        Working::new("left of the line", left, "V"),
    ];
    list.extend(side_by_side(string, model));
    if rest > 0.0 && string.is_plain() {
        // a ballast stays, and a dropper is added to it
        let stays = string.sections.iter().filter(|s| !s.is_plain());
        let hand =
            stays.fold(volts(rest) / amps(string.amps), |all, section| all - ohms(section.ohms));
        let hand = Working::new("heater-string dropper", hand, "Ω");
        let why = match string.tap {
            Some(_) => UNDER_THE_LAMP,
            None => "lamps beside heaters and the rectifier's current change what each link gets",
        };
        list.push(hand.beside_any(plan.choice(Method::HeaterDropper).and_then(|c| c.exact), why));
    }
    list
}

/// Branches against the current of the string, and the resistors beside heaters.
fn side_by_side(string: &HeaterLine, model: &Model) -> Vec<Working> {
    let mut list = Vec::new();
    for rung in string.rungs(model.windings.len()) {
        if let Rung::Group(places) = rung {
            let of_it = places.iter().map(|i| &string.branches[*i]);
            let names: Vec<_> = of_it.clone().map(|b| b.name.as_str()).collect();
            let sum = of_it.map(|b| amps(b.amps)).reduce(Add::add);
            let what = format!("branches {} together", names.join(" and "));
            list.extend(sum.map(|sum| Working::new(&what, sum, "A")));
        }
    }
    for (place, link) in model.windings.iter().enumerate().filter(|(_, w)| w.feeds_tubes) {
        let (Some(_), Some(heater)) = (link.shunt_ohms, link.filaments.first()) else {
            continue;
        };
        let carries = string.branch_of(place).map_or(string.amps, |b| string.branches[b].amps);
        let sum = volts(heater.volts) / (amps(carries) - amps(heater.amps));
        list.push(Working::new(format!("resistor beside the {} heater", link.name), sum, "Ω"));
    }
    list
}

const UNDER_THE_LAMP: &str = "the part of the rectifier's heater beside its dial lamp gets less than its rated voltage, and the dropper has to take that as well";

/// A resistor in the lead, whatever is advised: the voltage too much over the set's current.
fn resistor(plan: &Plan, choice: &Choice) -> Vec<Working> {
    // the line on which the set alone is at its target is what a variac would be set to
    let wanted = plan.choice(Method::Variac);
    let wanted = wanted.and_then(|c| Some((c.exact?, c.exact_reading.as_ref()?)));
    let offered = plan.choice(Method::SeriesResistor).filter(|c| c.not_applicable.is_none());
    let Some(((wanted_v, on_wanted), offered)) = wanted.zip(offered) else { return Vec::new() };
    let line = plan.outlet.usual_v;
    // the variac feeds the set with a resistor that came later, whose place the part takes
    let out = plan.set.mains_resistor_ohms.and(on_wanted.mains_resistor());
    let wanted = match out {
        Some(out) => volts(wanted_v) - volts(out.volts_v),
        None => volts(wanted_v),
    };
    let excess = volts(line) - wanted.clone();
    if excess.value <= NOTHING_V {
        let added = || Working::new("voltage to add", wanted.clone() - volts(line), "V");
        return choice.method.facts().boosts.then(added).into_iter().collect();
    }
    let current = on_wanted.primary_a;
    let hand = Working::new("series resistor", excess.clone() / amps(current), "Ω");
    let hand = hand.beside_any(offered.exact, OUT_OF_STEP);
    let mut list = vec![Working::new("voltage to take off", excess.clone(), "V"), hand];
    let fitted = choice.day.as_ref().filter(|_| choice.method == Method::SeriesResistor);
    list.push(match (fitted.and_then(|d| d.usual.lead_parts.first()), choice.part_value) {
        (Some(lead), Some(value)) => {
            let heat = amps(lead.current_a) * amps(lead.current_a) * ohms(value);
            Working::new("heat in the resistor", heat, "W").beside(lead.power_w, "")
        }
        _ => Working::new("heat in it", volts(excess.value) * amps(current), "W"),
    });
    list
}

pub(super) const OUT_OF_STEP: &str = "the current through a resistor is out of step with the line and its crest is flattened, so part of the drop takes nothing off the set";

/// Why a small transformer gives other volts than its ratio.
pub(super) const REGULATED: &str = "a small transformer gives more than its rated voltage when it is not fully loaded, and its copper takes some back";

/// The part in the lead.
fn part(plan: &Plan, choice: &Choice) -> Option<Working> {
    let set_v = choice.day.as_ref()?.usual.set_v;
    let share = volts(choice.part_value?) / volts(choice.part_primary_v?);
    let line = volts(plan.outlet.usual_v);
    let sum = match choice.method {
        Method::TapAndPart => return None,
        Method::StepDown | Method::StepUp => line * share,
        Method::BuckingOutlet => line * (number(1.0) - share),
        Method::BoostOutlet => line * (number(1.0) + share),
        Method::BoostSet => line / (number(1.0) - share),
        _ => line / (number(1.0) + share),
    };
    Some(Working::new("voltage at the set", sum, "V").beside(set_v, REGULATED))
}

/// The fuse.
fn fuse(choice: &Choice) -> Option<Working> {
    let fuse = choice.fuse.as_ref()?;
    let rating = fuse.rating_a?;
    let mut standards = [FuseStandard::Ul, FuseStandard::Iec].into_iter();
    let standard = standards.find(|s| s.name() == fuse.standard)?;
    let sum = number(standard.over_running()) * amps(fuse.running_a);
    Some(Working {
        taken: Some(rating),
        why: Some("a rating that is made and stands the inrush as well"),
        ..Working::new("fuse, at least", sum, "A")
    })
}

/// The supply by Ohm's law.
fn inside(choice: &Choice, supply: &SupplySketch) -> Vec<Working> {
    let mut list = Vec::new();
    for element in &supply.elements {
        if let SupplyElement::Coil { name, ohms: copper, drop_v, current_a, .. } = element {
            let sum = amps(*current_a) * ohms(*copper);
            let what = format!("drop across the {name}");
            list.push(Working::new(what, sum, "V").beside(*drop_v, ""));
        }
    }
    for divider in &supply.dividers {
        let total: f64 = divider.resistors.iter().sum();
        let mut below = total;
        for (point, resistor) in divider.points.iter().zip(&divider.resistors) {
            below -= resistor;
            let Some(name) = &point.tap else { continue };
            let sum = tap(divider.from_v - divider.to_v, below, ohms(total), divider.to_v);
            let sum = Working::new(format!("tap {name}"), sum, "V");
            list.push(sum.beside(point.volts_v, LOADED));
        }
    }
    let tubes = choice.day.iter().flat_map(|d| &d.usual.tubes);
    if let Some(tube) = tubes.max_by(|a, b| a.plate_w.total_cmp(&b.plate_w)) {
        let across = if tube.cathode_v > UNWRITTEN_V {
            volts(tube.plate_v) - volts(tube.cathode_v)
        } else {
            volts(tube.plate_v).counting(tube.plate_v - tube.cathode_v)
        };
        let what = format!("plate dissipation, {}", tube.name);
        list.push(Working::new(what, across * amps(tube.plate_a), "W").beside(tube.plate_w, ""));
    }
    list
}
