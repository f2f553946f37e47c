//! Values that are possible but odd: warnings with their place.

use super::cursor::Cursor;
use super::fields::Fields;
use super::model::*;
use crate::catalogue::{RectifierKind, RectifierType};
use crate::quantity::{Quantity, Voltage, show};
use std::f64::consts::SQRT_2;

/// Winding average that class A insulation (paper, cotton, enamel) bears in use, °C: IEC 61558-1 †.
const CLASS_A_C: f64 = 100.0;
/// Copper: 1/0.00393 − 20 (IEC 60028).
const COPPER_K: f64 = 234.45;
/// Room temperature taken where none is stated, °C.
const ROOM_C: f64 = 22.0;

/// Where to place a warning.
pub(super) struct Places<'r> {
    set: Option<Cursor<'r>>,
    string: Option<Cursor<'r>>,
    outlet: Option<Cursor<'r>>,
    transformer: Option<Cursor<'r>>,
    sheet: Option<Cursor<'r>>,
    filter: Vec<Cursor<'r>>,
    second: Option<Cursor<'r>>,
    tubes: Vec<Cursor<'r>>,
}

impl<'r> Places<'r> {
    pub fn of(fields: &Fields<'r>) -> Places<'r> {
        let quiet = |key: &'static str| fields.has(key).then(|| fields.optional(key)).flatten();
        let items = |key: &'static str| {
            quiet(key)
                .filter(|c| c.kind() == super::Kind::List)
                .and_then(|c| c.list())
                .unwrap_or_default()
        };
        Places {
            set: quiet("set"),
            string: quiet("heater_string"),
            outlet: quiet("outlet"),
            transformer: quiet("transformer"),
            sheet: quiet("service_sheet"),
            filter: items("filter"),
            second: quiet("second_supply"),
            tubes: items("tubes"),
        }
    }
}

/// The value at a key below a mapping, for placing a warning as near as can be.
pub(super) fn below<'r>(cursor: &Cursor<'r>, keys: &[&str]) -> Cursor<'r> {
    let mut place = cursor.clone();
    for key in keys {
        if place.kind() != super::Kind::Map {
            break;
        }
        let found =
            place.entries().and_then(|entries| entries.into_iter().find(|(name, _)| name == key));
        match found {
            Some((_, next)) => place = next,
            None => break,
        }
    }
    place
}

/// Adds the warnings of a whole profile.
pub(super) fn look(profile: &Profile, places: &Places<'_>) {
    lines(profile, places);
    sheet(profile, places);
    let supplies = supplies(profile, places);
    supplies.iter().for_each(capacitors);
    supplies.iter().for_each(|supply| coils(profile, supply));
    power(profile, places);
    droppers(profile, places);
    supplies.iter().for_each(rectifier);
    heaters(profile, places);
}

/// A ballast whose lamp is not told of, a capacitor that stays charged, a diode.
fn droppers(profile: &Profile, places: &Places<'_>) {
    let (Some(string), Some(place)) = (&profile.heater_string, &places.string) else {
        return;
    };
    let lit = profile.lamps.iter().any(|l| l.across == Some(LampPlace::Ballast));
    for dropper in &string.droppers {
        match &dropper.kind {
            DropperKind::Ballast { name: Some(name), lamp: Some(lamp), .. } if !lit => place.warn_key(
                &format!(
                    "the ballast {name} has a section for a lamp of {}, and no lamp is listed across it: it is taken as burnt out",
                    show(Voltage::from_si(lamp.volts))
                ),
                Some("list it with `across: ballast` under `lamps`"),
            ),
            DropperKind::Capacitor { bleeder: None, .. } => place.warn_key(
                "the capacitor in the heater string has no bleeder: the pins of the pulled plug stay charged",
                Some("fit a resistor across it and write it as `bleeder: 470 kΩ`"),
            ),
            DropperKind::Diode { .. } => place.warn_key(
                "a diode leaves the heaters 0.707 of the line's volts, not half, and draws direct current from the line",
                Some("see what `mainsfit plan` says of the heaters before you trust it"),
            ),
            _ => {}
        }
    }
}

fn sheet(profile: &Profile, places: &Places<'_>) {
    if let (Some(_), Some(_), Some(cursor)) =
        (&profile.sheet_b_plus, &profile.transformer.high_voltage, &places.sheet)
    {
        cursor.warn(
            "the service sheet's B+ is not used, since the winding's volts are given",
            Some("leave one of the two out"),
        );
    }
}

fn lines(profile: &Profile, places: &Places<'_>) {
    let design = profile.set.design_line.si();
    if let Some(cursor) = &places.set
        && !(80.0..=260.0).contains(&design)
    {
        below(cursor, &["design_line"])
            .warn("mains sets were made for 90 to 250 V", Some("check the nameplate volts"));
    }
    let usual = profile.outlet.and_then(|o| o.usual_volts());
    if let (Some(usual), Some(cursor)) = (usual, &places.outlet) {
        let ratio = usual.si() / design;
        if !(0.7..=1.3).contains(&ratio) {
            below(cursor, &["usual"]).warn(
                &format!("the outlet is {ratio:.2} times the design line"),
                Some("such a set needs another tap or a step-down or step-up transformer first"),
            );
        }
    }
}

/// A supply of a set: its winding and where that is described, its rectifier, its filter and where its parts are.
struct Supply<'p, 'r> {
    winding: Option<(&'p WindingVolts, Cursor<'r>)>,
    rectifier: &'p RectifierUse,
    filter: &'p [FilterPart],
    parts: Vec<Cursor<'r>>,
}

/// The main supply, and the second one.
fn supplies<'p, 'r>(profile: &'p Profile, places: &Places<'r>) -> Vec<Supply<'p, 'r>> {
    let at = |cursor: &Option<Cursor<'r>>, key| cursor.as_ref().map(|c| below(c, &[key]));
    let high = profile.transformer.high_voltage.as_ref();
    let mut list = vec![Supply {
        winding: high.zip(at(&places.transformer, "high_voltage")),
        rectifier: &profile.rectifier,
        filter: &profile.filter,
        parts: places.filter.clone(),
    }];
    list.extend(profile.second_supply.as_ref().map(|second| Supply {
        winding: second.winding.as_ref().map(|w| &w.0).zip(at(&places.second, "winding")),
        rectifier: &second.rectifier,
        filter: &second.filter,
        parts: at(&places.second, "filter").and_then(|c| c.list()).unwrap_or_default(),
    }));
    list
}

fn capacitors(supply: &Supply<'_, '_>) {
    let Some((per_half, _)) = &supply.winding else {
        return;
    };
    // before the tubes draw, the capacitors stand at the crest of the winding
    let crest = per_half.volts.si() * SQRT_2;
    for (part, cursor) in supply.filter.iter().zip(&supply.parts) {
        if let FilterPart::Capacitor { marked, .. } = part
            && let Some((bears, by_rule)) = marked.map(Quantity::si).bears()
            && bears < crest
        {
            let key = if by_rule { "rated" } else { "surge" };
            below(cursor, &["capacitor", key]).warn(
                &format!(
                    "a {} winding reaches {} at its crest before the tubes draw; for seconds the capacitor bears {}{}",
                    show(per_half.volts),
                    show(Voltage::from_si(crest)),
                    show(Voltage::from_si(bears)),
                    if by_rule { "†" } else { "" }
                ),
                Some("fit a capacitor of higher working volts; the plan shows what it gets"),
            );
        }
    }
}

fn coils(profile: &Profile, supply: &Supply<'_, '_>) {
    let room = profile.room.map_or(ROOM_C, |t| t.si() - 273.15);
    for (part, cursor) in supply.filter.iter().zip(&supply.parts) {
        let (FilterPart::FieldCoil(coil) | FilterPart::Choke(coil)) = part else {
            continue;
        };
        if let (Some(cold), Some(hot)) = (coil.cold, coil.hot) {
            let celsius = hot.si() / cold.si() * (COPPER_K + room) - COPPER_K;
            if celsius > CLASS_A_C {
                let key =
                    if matches!(part, FilterPart::FieldCoil(_)) { "field_coil" } else { "choke" };
                below(cursor, &[key, "hot"]).warn(
                    &format!("these readings mean a winding of {celsius:.0} °C, above the {CLASS_A_C:.0} °C of its class of insulation"),
                    Some("check both readings and the current through the coil"),
                );
            }
        }
    }
}

fn power(profile: &Profile, places: &Places<'_>) {
    let tubes: f64 = profile
        .tubes
        .iter()
        .map(|t| t.kind.heater_volts.si() * t.kind.heater_amps.si() * f64::from(t.count))
        .sum();
    let lamps: f64 = profile
        .lamps
        .iter()
        .map(|l| l.kind.volts.si() * l.kind.amps.si() * f64::from(l.count))
        .sum();
    let second = profile.second_supply.as_ref().filter(|second| !second.shared);
    let rectifiers = [&profile.rectifier].into_iter().chain(second.map(|s| &s.rectifier));
    let rectifiers = rectifiers.map(|r| r.kind.filament_volts.si() * r.kind.filament_amps.si());
    let heaters = tubes + lamps + rectifiers.sum::<f64>();
    if let (Some(plate), Some(cursor)) = (profile.set.nameplate_power, &places.set)
        && plate.si() < heaters
    {
        below(cursor, &["nameplate_power"]).warn(
            &format!("heaters and lamps alone take {heaters:.0} W"),
            Some("check the nameplate watts or the tube line-up"),
        );
    }
    if let (Some(idle), Some(cursor)) = (profile.transformer.no_load_power, &places.transformer)
        && profile.set.nameplate_power.is_some_and(|p| idle.si() > 0.3 * p.si())
    {
        below(cursor, &["primary", "no_load_power"]).warn(
            "no-load watts above a third of the nameplate's",
            Some("a healthy transformer of this size idles at a tenth: shorted turns, or a load left on"),
        );
    }
}

fn rectifier(supply: &Supply<'_, '_>) {
    let kind = &supply.rectifier.kind;
    let first = supply.filter.iter().find_map(|p| match p {
        FilterPart::Capacitor { value, .. } => Some(value.si()),
        _ => None,
    });
    if let (Some(most), Some(first), Some(cursor)) =
        (kind.max_input_capacitor, first, supply.parts.first())
        && first > 1.001 * most.si()
    {
        below(cursor, &["capacitor", "value"]).warn(
            &format!(
                "the first capacitor is above the {} that the {} is rated for",
                show(most),
                kind.name
            ),
            Some(
                "a larger one raises the peak plate current; enlarge the second capacitor instead",
            ),
        );
    }
    let choke = !matches!(supply.filter.first(), Some(FilterPart::Capacitor { .. }));
    let (most, input) = if choke {
        (kind.max_ac_volts_choke_input, "choke")
    } else {
        (kind.max_ac_volts_capacitor_input, "capacitor")
    };
    if let (Some(most), Some((volts, cursor))) = (most, &supply.winding)
        && volts.volts.si() > 1.02 * most.si()
    {
        below(cursor, &["per_half"]).warn(
            &format!(
                "above the {}{} that the {} is rated for with {input} input",
                show(most),
                if kind.kind.is_dry() { "" } else { " per plate" },
                kind.name
            ),
            Some(
                &more_plates(kind, volts.volts.si())
                    .unwrap_or_else(|| "check the reading and the rectifier type".to_owned()),
            ),
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

fn heaters(profile: &Profile, places: &Places<'_>) {
    for (tube, cursor) in profile.tubes.iter().zip(&places.tubes) {
        let Some(winding) = tube
            .heater
            .as_ref()
            .and_then(|name| profile.transformer.heater_windings.iter().find(|w| w.name == *name))
        else {
            continue;
        };
        let design = profile.set.design_line.si();
        let at_line = winding.volts.at_line.map_or(design, Quantity::si);
        let got = winding.volts.volts.si() * design / at_line;
        let off = |v: Voltage| (got / v.si() - 1.0).abs() > 0.12;
        if tube.kind.heater_ways().all(|(volts, _)| off(volts)) {
            below(cursor, &["heater"]).warn(
                &format!(
                    "a {} heater of {} on a winding of {}",
                    tube.kind.name,
                    show(tube.kind.heater_volts),
                    show(winding.volts.volts)
                ),
                Some("check the winding and the type"),
            );
        }
    }
}
