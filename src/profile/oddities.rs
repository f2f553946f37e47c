//! Values that are possible but odd: warnings with their place.

use super::{
    cursor::Cursor, dropper::DropperKind, filter::FilterPart, rectifier::RectifierUse,
    transformer::Winding, tubes::LampPlace, whole::Profile,
};
use crate::{
    catalogue::{RectifierKind, RectifierType},
    quantity::{Current, Quantity, Voltage, show},
};
use std::f64::consts::SQRT_2;

/// Winding average that class A insulation (paper, cotton, enamel) bears in use, °C: IEC 61558-1 †.
const CLASS_A_C: f64 = 100.0;
/// Copper: 1/0.00393 − 20 (IEC 60028).
const COPPER_K: f64 = 234.45;
/// Room temperature taken where none is stated, °C.
const ROOM_C: f64 = 22.0;

/// Adds the warnings of a whole profile.
pub(super) fn look(profile: &Profile, root: &Cursor<'_>) {
    lines(profile, root);
    if profile.sheet_b_plus.is_some() && profile.transformer.high_voltage.is_some() {
        root.below("service_sheet").warn(
            "the service sheet's B+ is not used, since the winding's volts are given",
            "leave one of the two out",
        );
    }
    let supplies = supplies(profile, root);
    supplies.iter().for_each(capacitors);
    supplies.iter().for_each(|supply| coils(profile, supply));
    power(profile, root);
    droppers(profile, root);
    supplies.iter().for_each(rectifier);
    heaters(profile, root);
}

/// A ballast whose lamp is not told of, a capacitor that stays charged, a diode.
fn droppers(profile: &Profile, root: &Cursor<'_>) {
    let lit = profile.lamps.iter().any(|l| l.across == Some(LampPlace::Ballast));
    let place = root.below("heater_string");
    for dropper in profile.heater_string.iter().flat_map(|string| &string.droppers) {
        match &dropper.kind {
            DropperKind::Ballast { name: Some(name), lamp: Some(lamp), .. } if !lit => place.warn_key(
                format!(
                    "the ballast {name} has a section for a lamp of {}, and no lamp is listed across it: it is taken as burnt out",
                    show(Voltage::from_si(lamp.volts))
                ),
                "list it with `across: ballast` under `lamps`",
            ),
            DropperKind::Capacitor { bleeder: None, .. } => place.warn_key(
                "the capacitor in the heater string has no bleeder: the pins of the pulled plug stay charged",
                "fit a resistor across it and write it as `bleeder: 470 kΩ`",
            ),
            DropperKind::Diode { .. } => place.warn_key(
                "a diode leaves the heaters 0.707 of the line's volts, not half, and draws direct current from the line",
                "see what `mainsfit plan` says of the heaters before you trust it",
            ),
            _ => {}
        }
    }
}

fn lines(profile: &Profile, root: &Cursor<'_>) {
    let design = profile.set.design_line.si();
    if !(80.0..=260.0).contains(&design) {
        root.below("set.design_line")
            .warn("mains sets were made for 90 to 250 V", "check the nameplate voltage");
    }
    let usual = profile.outlet.as_ref().and_then(|o| o.usual_volts());
    let ratio = usual.map_or(1.0, |usual| usual.si() / design);
    if !(0.7..=1.3).contains(&ratio) {
        root.below("outlet.usual").warn(
            format!("the outlet is {ratio:.2} times the design line"),
            "such a set needs another tap or a step-down or step-up transformer first",
        );
    }
}

/// A supply of a set: volts of its winding and where that is described, its rectifier, its filter and where its parts are.
struct Supply<'p, 'r> {
    winding: Option<Voltage>,
    winding_at: Cursor<'r>,
    rectifier: &'p RectifierUse,
    filter: &'p [FilterPart],
    filter_at: Vec<Cursor<'r>>,
}

/// The main supply, and the second one.
fn supplies<'p, 'r>(profile: &'p Profile, root: &Cursor<'r>) -> Vec<Supply<'p, 'r>> {
    let supply = |winding: Option<Winding>, rectifier, filter, (winding_at, filter_at)| Supply {
        winding: winding.map(|w| w.volts.volts),
        winding_at: root.below(winding_at),
        rectifier,
        filter,
        filter_at: root.below(filter_at).list().unwrap_or_default(),
    };
    let places = ("transformer.high_voltage", "filter");
    let high = profile.transformer.high_voltage;
    let main = supply(high, &profile.rectifier, &profile.filter, places);
    let second = profile.second_supply.as_ref().map(|own| {
        let places = ("second_supply.winding", "second_supply.filter");
        supply(own.winding, &own.rectifier, &own.filter, places)
    });
    [main].into_iter().chain(second).collect()
}

fn capacitors(supply: &Supply<'_, '_>) {
    let Some(per_half) = supply.winding else {
        return;
    };
    // before the tubes draw, the capacitors stand at the crest of the winding
    let crest = per_half.si() * SQRT_2;
    for (part, at) in supply.filter.iter().zip(&supply.filter_at) {
        if let FilterPart::Capacitor(capacitor) = part
            && let Some((bears, by_rule)) = capacitor.marked().bears()
            && bears < crest
        {
            let (key, sign) =
                if by_rule { ("capacitor.rated", "†") } else { ("capacitor.surge", "") };
            at.below(key).warn(
                format!(
                    "a {} winding reaches {} at its crest before the tubes draw; for seconds the capacitor bears {}{sign}",
                    show(per_half),
                    show(Voltage::from_si(crest)),
                    show(Voltage::from_si(bears))
                ),
                "fit a capacitor of higher working volts; the plan shows what it gets",
            );
        }
    }
}

fn coils(profile: &Profile, supply: &Supply<'_, '_>) {
    let room = profile.room.map_or(ROOM_C, |t| t.si() - 273.15);
    for (part, at) in supply.filter.iter().zip(&supply.filter_at) {
        let (coil, place) = match part {
            FilterPart::FieldCoil(coil) => (coil, "field_coil.hot"),
            FilterPart::Choke(coil) => (coil, "choke.hot"),
            _ => continue,
        };
        let Some((cold, hot)) = coil.cold.zip(coil.hot) else { continue };
        let celsius = hot.si() / cold.si() * (COPPER_K + room) - COPPER_K;
        if celsius > CLASS_A_C {
            at.below(place).warn(
                format!("these readings mean a winding of {celsius:.0} °C, above the {CLASS_A_C:.0} °C of its class of insulation"),
                "check both readings and the current through the coil",
            );
        }
    }
}

fn power(profile: &Profile, root: &Cursor<'_>) {
    let watts = |volts: Voltage, amps: Current, count| volts.si() * amps.si() * f64::from(count);
    let tubes =
        profile.tubes.iter().map(|t| watts(t.kind.heater_volts, t.kind.heater_amps, t.count));
    let lamps = profile.lamps.iter().map(|l| watts(l.kind.volts, l.kind.amps, l.count));
    let second = profile.second_supply.as_ref().filter(|second| !second.shared);
    let rectifiers = [&profile.rectifier].into_iter().chain(second.map(|s| &s.rectifier));
    let rectifiers = rectifiers.map(|r| watts(r.kind.filament_volts, r.kind.filament_amps, 1));
    let heaters = tubes.sum::<f64>() + lamps.sum::<f64>() + rectifiers.sum::<f64>();
    let nameplate = profile.set.nameplate_power.map(Quantity::si);
    if nameplate.is_some_and(|plate| plate < heaters) {
        root.below("set.nameplate_power").warn(
            format!("heaters and lamps alone take {heaters:.0} W"),
            "check the nameplate watts or the tube line-up",
        );
    }
    let idle = profile.transformer.primary.no_load_power.map(Quantity::si);
    if idle.zip(nameplate).is_some_and(|(idle, plate)| idle > 0.3 * plate) {
        root.below("transformer.primary.no_load_power").warn(
            "no-load watts above a third of the nameplate's",
            "a healthy transformer of this size idles at a tenth: shorted turns, or a load left on",
        );
    }
}

fn rectifier(supply: &Supply<'_, '_>) {
    let kind = &supply.rectifier.kind;
    let first = supply.filter.iter().find_map(|p| match p {
        FilterPart::Capacitor(capacitor) => Some(capacitor.value.si()),
        _ => None,
    });
    if let (Some(most), Some(first), Some(at)) =
        (kind.max_input_capacitor, first, supply.filter_at.first())
        && first > 1.001 * most.si()
    {
        at.below("capacitor.value").warn(
            format!(
                "the first capacitor is above the {} that the {} is rated for",
                show(most),
                kind.name
            ),
            "a larger one raises the peak plate current; enlarge the second capacitor instead",
        );
    }
    let (most, input) = match supply.filter.first() {
        Some(FilterPart::Capacitor(_)) => (kind.max_ac_volts_capacitor_input, "capacitor"),
        _ => (kind.max_ac_volts_choke_input, "choke"),
    };
    if let (Some(most), Some(volts)) = (most, supply.winding)
        && volts.si() > 1.02 * most.si()
    {
        let each = if kind.kind.is_dry() { "" } else { " per plate" };
        supply.winding_at.below("per_half").warn(
            format!(
                "above the {}{each} that the {} is rated for with {input} input",
                show(most),
                kind.name
            ),
            more_plates(kind, volts.si())
                .unwrap_or_else(|| "check the reading and the rectifier type".to_owned()),
        );
    }
}

/// What to write for a selenium stack of as many plates as stand `volts`: each drops about a volt.
fn more_plates(kind: &RectifierType, volts: f64) -> Option<String> {
    let drop = kind.drop.as_ref()?.volts.si();
    let most = kind.max_ac_volts_capacitor_input?.si();
    let plates = (volts * drop / most).ceil();
    (kind.kind == RectifierKind::Selenium).then(|| {
        format!(
            "a stack of {drop:.0} plates is taken, and these volts need {plates:.0}: count yours, and write `drop: {plates:.0} V` under `rectifier:`, about 1 V a plate (or check the reading)"
        )
    })
}

fn heaters(profile: &Profile, root: &Cursor<'_>) {
    let places = root.get("tubes").and_then(|at| at.list()).unwrap_or_default();
    let windings = &profile.transformer.heater_windings;
    for (tube, at) in profile.tubes.iter().zip(&places) {
        let named = tube.heater.as_ref();
        let Some(winding) = named.and_then(|name| windings.iter().find(|w| w.name == *name)) else {
            continue;
        };
        let design = profile.set.design_line.si();
        let at_line = winding.volts.at_line.map_or(design, Quantity::si);
        let got = winding.volts.volts.si() * design / at_line;
        let off = |v: Voltage| (got / v.si() - 1.0).abs() > 0.12;
        if tube.kind.heater_ways().all(|(volts, _)| off(volts)) {
            at.below("heater").warn(
                format!(
                    "a {} heater of {} on a winding of {}",
                    tube.kind.name,
                    show(tube.kind.heater_volts),
                    show(winding.volts.volts)
                ),
                "check the winding and the type",
            );
        }
    }
}
