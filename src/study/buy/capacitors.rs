//! The capacitors to renew: filter, bypass, bias, and one in the heater string; each for what the set gives it on high line.

use super::{Ask, Item, ItemFor, Why, bench::Bench, words::Made};
use crate::{
    adaptation::Stands,
    catalogue::stock::{capacitor_for, film_for},
    circuit::{Node, Probe, REFERENCE},
    preferred::{Series, below},
    profile::{BiasPart, DropperKind, FilterPart, RectifierUse},
    quantity::Quantity,
    receiver::capacitor_part,
    study::{Buy, CapacitorAtStart, replace_dropper},
};
use std::f64::consts::SQRT_2;

/// From here on capacitors are electrolytic, F (common practice, no source).
const ELECTROLYTIC: f64 = 1e-6;
/// Rated volts of a cathode's bypass over those at work, which rise with the signal (common practice, no source).
const WITH_SIGNAL: f64 = 1.5;

pub fn items(bench: &Bench) -> Vec<Item> {
    let mut list = filter(bench);
    list.extend(taps(bench));
    list.extend(tubes(bench));
    list.extend(bias(bench));
    list.extend(string(bench));
    list
}

/// One of `farads`, for DC: electrolytic or film by its size, none above `most`.
fn for_dc(
    what: String,
    (farads, most): (f64, Option<f64>),
    (running_v, highest_v): (f64, f64),
    why: Why,
) -> Item {
    let made = Made::around(farads, most);
    let electrolytic = farads >= ELECTROLYTIC;
    let rated_v = match electrolytic {
        true => capacitor_for(running_v, highest_v),
        false => film_for(running_v.max(highest_v)),
    };
    let ask = match electrolytic {
        true => Ask::Electrolytic { made, rated_v },
        false => Ask::Film { made, rated_v },
    };
    let item = Item::new(ItemFor::Capacitors, what, ask, why).of_value(made.first, "F");
    Item { or_value: made.or, rated_v, ..item }
}

/// The same with the volts that choose it.
fn chosen_by(item: Item, running_v: f64, switch_on_v: Option<f64>, line_v: f64) -> Item {
    Item { running_v: Some(running_v), switch_on_v, at_line_v: Some(line_v), ..item }
}

/// The filter capacitors as the profile states them, with the most that the rectifier bears at each place.
fn stated(bench: &Bench) -> Vec<(f64, Option<f64>)> {
    let values = |filter: &[FilterPart], rectifier: &RectifierUse| {
        let most = rectifier.kind.max_input_capacitor.map(Quantity::si);
        let leads = matches!(filter.first(), Some(FilterPart::Capacitor(_)));
        // the two of a doubler stand at the rectifier themselves
        let doubles = !rectifier.doubler.is_empty();
        let own = rectifier.doubler.iter().map(|c| (c.value.si(), most)).collect::<Vec<_>>();
        let all = filter.iter().filter_map(|part| match part {
            FilterPart::Capacitor(capacitor) => Some(capacitor.value.si()),
            FilterPart::FieldCoil(_) | FilterPart::Choke(_) | FilterPart::Resistor(_) => None,
        });
        let bound = move |place: usize| most.filter(|_| place == 0 && leads && !doubles);
        let all = all.enumerate().map(|(place, farads)| (farads, bound(place)));
        own.into_iter().chain(all).collect::<Vec<_>>()
    };
    let profile = bench.profile;
    let mut list = values(&profile.filter, &profile.rectifier);
    let second = profile.second_supply.iter();
    list.extend(second.flat_map(|second| values(&second.filter, &second.rectifier)));
    list
}

/// What a capacitor gets in the worst of several starts.
fn worst(bench: &Bench, place: usize) -> Option<CapacitorAtStart> {
    let all = bench.starts.iter().filter_map(|start| start.capacitors.get(place));
    all.cloned().reduce(|one, other| CapacitorAtStart {
        peak_v: one.peak_v.max(other.peak_v),
        running_v: one.running_v.max(other.running_v),
        ..one
    })
}

fn filter(bench: &Bench) -> Vec<Item> {
    let (stated, line_v) = (stated(bench), bench.high.line);
    let each = bench.high.at.capacitors.iter().enumerate();
    let each = each.filter_map(|(place, placed)| {
        let (farads, most_f) = stated.get(place).copied().unwrap_or((placed.farads, None));
        let CapacitorAtStart { name, peak_v, running_v, rated_v, .. } = worst(bench, place)?;
        let why = Why::Filter { running_v, peak_v, line_v, rated_v, most_f };
        // never below what its maker thought right
        let running = rated_v.map_or(running_v, |printed| printed.max(running_v));
        let item = for_dc(name, (farads, most_f), (running, peak_v), why);
        let item = Item { part: Some(capacitor_part(place)), ..item };
        Some(chosen_by(item, running_v, Some(peak_v), line_v))
    });
    each.collect()
}

/// A bypass from `node` to chassis, at work and with the tubes cold.
fn bypass(bench: &Bench, what: String, farads: f64, node: Node) -> Item {
    let volts = |peak: f64, dc: f64| peak.abs().max(dc.abs());
    let probe = Probe::Volts(node, REFERENCE);
    let [running_v, cold_v] =
        [&bench.high, &bench.unloaded].map(|o| volts(o.state.peak(probe), o.dc(node, REFERENCE)));
    let line_v = bench.high.line;
    let why = Why::Bypass { running_v, cold_v, line_v };
    let item = for_dc(what, (farads, None), (running_v, cold_v), why);
    chosen_by(item, running_v, Some(cold_v), line_v)
}

fn taps(bench: &Bench) -> Vec<Item> {
    let dividers = bench.receiver.model().dividers.iter();
    let all = dividers.flat_map(|divider| {
        divider.bypass.iter().map(|(tap, farads)| (format!("{}.{tap}", divider.name), *farads))
    });
    let each = all.filter_map(|(tap, farads)| {
        let node = bench.high.at.supply(&tap)?;
        Some(bypass(bench, format!("bypass of the tap {tap}"), farads, node))
    });
    each.collect()
}

fn tubes(bench: &Bench) -> Vec<Item> {
    let (high, line_v) = (&bench.high, bench.high.line);
    let tubes = (1..).zip(bench.receiver.model().tubes.iter().zip(&high.at.tubes));
    let each = tubes.flat_map(|(number, (tube, nodes))| {
        // as readings and droppers name it
        let of = |what: &str| format!("{what} bypass of V{number} {}", tube.label);
        let plate = (tube.plate.bypass > 0.0)
            .then(|| bypass(bench, of("plate"), tube.plate.bypass, nodes.plate));
        let screen = tube.screen.as_ref().filter(|feed| feed.bypass > 0.0).zip(nodes.screen);
        let screen = screen.map(|(feed, node)| bypass(bench, of("screen"), feed.bypass, node));
        let cathode = (tube.cathode_bypass > 0.0).then(|| {
            let running_v = high.dc(nodes.cathode, REFERENCE).abs();
            let least = WITH_SIGNAL * running_v;
            let why = Why::Cathode { running_v, line_v };
            let item = for_dc(of("cathode"), (tube.cathode_bypass, None), (least, least), why);
            chosen_by(item, running_v, None, line_v)
        });
        [plate, screen, cathode].into_iter().flatten()
    });
    each.collect()
}

/// Of a bias supply: at most the crest of its winding, which nothing need load.
fn bias(bench: &Bench) -> Vec<Item> {
    let Some(supply) = &bench.receiver.model().bias else { return Vec::new() };
    let (from, line_v) = (supply.turns_from, bench.high.line);
    let at_set = bench.high.set_volts() / bench.high.at.primary_turns;
    let crest_v = SQRT_2 * from.volts * at_set / from.at_line;
    let farads = supply.filter.iter().filter_map(|part| match part {
        BiasPart::Capacitor(value) => Some(value.si()),
        BiasPart::Resistor(_) => None,
    });
    let each = farads.map(|farads| {
        let (what, why) = ("capacitor of the bias supply", Why::Bias { crest_v, line_v });
        let item = for_dc(what.to_owned(), (farads, None), (crest_v, crest_v), why);
        chosen_by(item, crest_v, Some(crest_v), line_v)
    });
    each.collect()
}

/// In the heater string, with the resistor across it; nothing where a resistor takes its place.
fn string(bench: &Bench) -> Vec<Item> {
    let goes = bench.choice.is_some_and(|c| c.method.facts().stands == Stands::Inside);
    let droppers = bench.profile.heater_string.iter().flat_map(|string| &string.droppers);
    let each = droppers.filter_map(|dropper| match dropper.kind {
        DropperKind::Capacitor { value, .. } if !goes => Some(value.si()),
        DropperKind::Capacitor { .. }
        | DropperKind::Resistor(_)
        | DropperKind::LineCord { .. }
        | DropperKind::Ballast { .. }
        | DropperKind::Barretter { .. }
        | DropperKind::Diode { .. } => None,
    });
    each.filter_map(|farads| for_ac(farads, bench.plan.outlet.high_v)).flatten().collect()
}

fn for_ac(farads: f64, line_v: f64) -> Option<[Item; 2]> {
    let (made_f, made) = replace_dropper::film(farads)?;
    let rated_v = replace_dropper::film_v(line_v)?;
    let (ask, why) = (Ask::ForAc { made, rated_v }, Why::InString { line_v });
    let item = Item::new(ItemFor::Capacitors, "capacitor in the heater string", ask, why);
    let capacitor = Item {
        rated_v: Some(rated_v),
        rated_ac: true,
        at_line_v: Some(line_v),
        ..item.of_value(made_f, "F")
    };
    let (left_v, after_s) = replace_dropper::PINS;
    let most = replace_dropper::most_across(made_f, line_v);
    // two in series share the volts, and one that shorts leaves the other
    let half = below(Series::E12, 0.5 * most)?;
    let across_v = 0.5 * SQRT_2 * line_v;
    let rated_w = Buy::choose((0.5 * line_v).powi(2) / half, across_v).rating_w;
    let ask = Ask::Resistor { made_ohms: half, rated_w };
    let why = Why::Bleeder { left_v, after_s };
    let item = Item::new(ItemFor::Capacitors, "bleeder", ask, why).of_value(half, "Ω");
    Some([capacitor, Item { quantity: Some(2), rated_w, ..item }])
}
