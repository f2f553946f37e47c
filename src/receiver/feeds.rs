//! Tubes and filaments of a set: which winding heats them, and how they are fed where the profile is silent.

use super::error::ReceiverError;
use super::grid::{self, MEDIUM_MU_LOAD};
use super::ledger::Ledger;
use super::model::{Feed, Filament, HeaterWinding, Tube};
use super::parameters::{Assumption, Number};
use super::signal::Swing;
use super::stand_in;
use super::thermal::{HEATER_EXPONENT, LAMP_EXPONENT};
use super::tube::{LawMiss, LawMissing, TubeLaw};
use crate::catalogue::{
    Alias, Catalogue, Heating, Matched, OperatingPoint, TubeClass, TubeType, WarmUp,
};
use crate::profile::{self, FilterPart, Profile, TubeUse};
use crate::quantity::{Quantity, Resistance};

/// A heater belongs on a winding whose volts are within this share of its own.
const FIT: f64 = 0.12;

/// Plate load of a resistance-coupled high-mu stage (the usual value of the tube manuals' tables †).
const HIGH_MU_LOAD: f64 = 250e3;
/// Copper of an output transformer's primary (common practice, no source).
const OUTPUT_TRANSFORMER: f64 = 300.0;

/// Volts and amperes of a tube's heater on a winding of `winding_volts`, if it belongs there.
fn heater_on(tube: &TubeType, winding_volts: f64) -> Option<(f64, f64)> {
    let mut ways = tube.heater_ways().map(|(v, i)| (v.si(), i.si()));
    ways.find(|(v, _)| (winding_volts / v - 1.0).abs() <= FIT)
}

/// Windings to take where a profile names none: one for the tubes, one for a directly heated rectifier.
pub(super) fn needed_windings(profile: &Profile) -> Vec<(String, f64)> {
    let mut list: Vec<(String, f64)> = Vec::new();
    for tube in &profile.tubes {
        let volts = tube.kind.heater_volts.si();
        if !list.iter().any(|(_, v)| heater_on(&tube.kind, *v).is_some()) {
            let name = if list.is_empty() {
                "main".to_owned()
            } else {
                format!("heaters {}", list.len() + 1)
            };
            list.push((name, volts));
        }
    }
    // the winding of a tube that gave way to a dry rectifier is still there
    let main = profile.rectifier.replaces.as_ref().unwrap_or(&profile.rectifier.kind);
    let own = profile.second_supply.as_ref().filter(|s| !s.shared).map(|s| &s.rectifier.kind);
    for (kind, name) in [(main, "rectifier")].into_iter().chain(own.zip(Some("rectifier 2"))) {
        let volts = kind.filament_volts.si();
        // filaments that are cathodes of two supplies cannot be joined
        let shared = kind.heating == Heating::Indirect
            && list.iter().any(|(_, v)| (v / volts - 1.0).abs() <= FIT);
        if !kind.kind.is_dry() && !shared {
            list.push((name.to_owned(), volts));
        }
    }
    list
}

/// The winding for a heater of `volts`: the one named, else the one whose volts fit.
pub(super) fn winding_for(
    windings: &[HeaterWinding],
    named: Option<&str>,
    volts: f64,
    what: &str,
    key: &str,
    for_rectifier: bool,
) -> Result<usize, ReceiverError> {
    if let Some(name) = named
        && let Some(index) = windings.iter().position(|w| w.name == name)
    {
        return Ok(index);
    }
    // the nearest that fits; a winding called "rectifier" is kept for one
    let off = |w: &HeaterWinding| (w.rated / volts - 1.0).abs();
    let nearest = |of_its_kind: bool| {
        windings
            .iter()
            .enumerate()
            .filter(|(_, w)| off(w) <= FIT)
            .filter(|(_, w)| !of_its_kind || (w.name == "rectifier") == for_rectifier)
            .min_by(|(_, a), (_, b)| off(a).total_cmp(&off(b)))
            .map(|(place, _)| place)
    };
    nearest(true)
        .or_else(|| nearest(false))
        .ok_or_else(|| ReceiverError::Missing {
            what: format!("the winding that heats the {what} ({volts} V)"),
            key: key.to_owned(),
            advice: format!(
                "check the type, or add the winding under `transformer: heater_windings:`, such as `{}: {{ volts: {volts} V }}`",
                if for_rectifier { "rectifier" } else { "second" }
            ),
        })
}

/// Notes once of which type the figures are that goes by another `name`.
fn note_name(
    name: &str,
    matched: Option<Matched>,
    (own, aliases): (&str, &[Alias]),
    ledger: &mut Ledger,
) {
    let alias = || aliases.iter().find(|a| a.name == name);
    let rule = match matched {
        Some(Matched::SuffixAssumed) => {
            "the same type in another bulb, taken as electrically equal".to_owned()
        }
        // a part of a combined name is its own
        Some(Matched::Alias) if alias().is_some_and(|a| a.citation.is_some()) => {
            let differs = alias().and_then(Alias::differs);
            let differs = differs.map_or(String::new(), |words| format!(" ({words})"));
            format!("another name of the same type{differs}")
        }
        _ => return,
    };
    // IW4/350 and IW4-350 are one spelling
    let plain = |text: &str| text.replace(['/', '-'], "");
    if plain(name) != plain(own) && ledger.list.iter().all(|a| a.what != name) {
        ledger.note(name, &format!("({own})"), &rule);
    }
}

/// Notes whose figures the types have that go by another name or stand for the same in another bulb.
pub(super) fn note_names(profile: &Profile, ledger: &mut Ledger) {
    let all = Catalogue::built_in();
    for tube in &profile.tubes {
        if let Ok(found) = all.tube(&tube.kind.name) {
            note_name(&found.name, tube.matched, (&found.item.name, &found.item.aliases), ledger);
        }
    }
    let second = profile.second_supply.as_ref().map(|s| &s.rectifier);
    for used in [&profile.rectifier].into_iter().chain(second) {
        if let Ok(found) = all.rectifier(&used.kind.name) {
            note_name(&found.name, used.matched, (&found.item.name, &found.item.aliases), ledger);
        }
    }
}

/// Hangs the tubes' heaters and the lamps on their windings.
pub(super) fn hang_filaments(
    profile: &Profile,
    windings: &mut [HeaterWinding],
) -> Result<(), ReceiverError> {
    for (index, tube) in profile.tubes.iter().enumerate() {
        let key = format!("tubes[{index}].type");
        let rated = tube.kind.heater_volts.si();
        let fitting = windings
            .iter()
            .find(|w| heater_on(&tube.kind, w.rated).is_some())
            .map_or(rated, |w| w.rated);
        let place =
            winding_for(windings, tube.heater.as_deref(), fitting, &tube.label, &key, false)?;
        let winding = &mut windings[place];
        let (volts, amps) =
            heater_on(&tube.kind, winding.rated).unwrap_or((rated, tube.kind.heater_amps.si()));
        winding.feeds_tubes = true;
        winding.filaments.push(Filament {
            volts,
            amps: amps * f64::from(tube.count),
            exponent: HEATER_EXPONENT,
            holds: None,
            socket: Some(index),
            warm_up: tube.kind.warm_up(),
        });
    }
    for (index, lamp) in profile.lamps.iter().enumerate() {
        let key = format!("lamps[{index}].type");
        let named = lamp.fed_by.as_deref();
        let volts = lamp.kind.volts.si();
        let place = match named.and_then(|n| windings.iter().position(|w| w.name == n)) {
            Some(place) => place,
            // a 6 to 8 V lamp sits on the 6.3 V winding
            None => windings
                .iter()
                .position(|w| w.name != "rectifier" && (w.rated / volts - 1.0).abs() <= 0.25)
                .ok_or_else(|| ReceiverError::Missing {
                    what: format!("the winding that feeds the dial lamp {}", lamp.kind.name),
                    key,
                    advice: "name it with `fed_by:`".to_owned(),
                })?,
        };
        windings[place].filaments.push(Filament {
            volts,
            amps: lamp.kind.amps.si() * f64::from(lamp.count),
            exponent: LAMP_EXPONENT,
            holds: None,
            socket: None,
            warm_up: WarmUp::lamp(),
        });
    }
    Ok(())
}

/// What is rated is what hangs on a winding, not the winding: the tubes' heaters, else the rectifier's, else lamps'.
pub(super) fn rate_windings(windings: &mut [HeaterWinding]) {
    for winding in windings {
        let tubes = winding.filaments.iter().find(|f| f.socket.is_some());
        if let Some(filament) = tubes.or(winding.filaments.first()) {
            winding.rated = filament.volts;
        }
    }
}

/// DC amperes a tube draws at its published point.
pub fn published_amps(tube: &Tube) -> f64 {
    let law = &tube.law;
    // the drive at the published point is what the perveance was fitted to; through a load resistor a
    // stage draws at most what the resistor passes
    let full = tube.published_amps * tube.count;
    if tube.plate.ohms > 10e3 && law.screen == 0.0 {
        full.min(250.0 / tube.plate.ohms)
    } else {
        full
    }
}

fn is_output(kind: &TubeType, point: &OperatingPoint) -> bool {
    match kind.class {
        TubeClass::PowerPentode
        | TubeClass::Beam
        | TubeClass::BeamWithRectifier
        | TubeClass::DuoDiodePowerPentode
        | TubeClass::TriodePowerPentode => true,
        // triodes of more than 15 mA are output tubes (45, 2A3 and the like)
        TubeClass::Triode | TubeClass::TwinTriode => {
            point.plate_current.is_some_and(|i| i.si() > 15e-3)
        }
        _ => false,
    }
}

/// What the supply of a set says of how its tubes are usually fed.
struct Supply {
    /// Most that B+ comes to, V.
    most_v: f64,
    /// Where the plate of an output tube hangs, and words for that.
    output_from: &'static str,
    output_rule: &'static str,
}

impl Supply {
    fn of(profile: &Profile) -> Supply {
        let on_line = profile.heater_string.is_some();
        // straight on the line B+ comes to about its volts, unless it is doubled
        let straight = on_line && !profile.rectifier.circuit.facts().doubles;
        let coil = |p: &FilterPart| matches!(p, FilterPart::FieldCoil(_) | FilterPart::Choke(_));
        // a filter resistor bears the screens, not the plate current of the output tube as well
        let first = on_line && !profile.filter.iter().any(coil);
        Supply {
            most_v: if straight { profile.set.design_line.si() } else { f64::INFINITY },
            output_from: if first { "reservoir" } else { "B+" },
            output_rule: match first {
                true => {
                    "copper of an output transformer's primary; from the first filter capacitor, as is usual ahead of a filter resistor"
                }
                false => "copper of an output transformer's primary",
            },
        }
    }
}

/// Fits and feeds every tube that draws B+ current.
pub(super) fn tubes(profile: &Profile, ledger: &mut Ledger) -> Result<Vec<Tube>, ReceiverError> {
    let mut list = Vec::new();
    let supply = Supply::of(profile);
    for (place, use_) in profile.tubes.iter().enumerate() {
        let Some(point) = use_.kind.reference() else {
            continue;
        };
        let index = list.len();
        let missing = |e: LawMissing| ReceiverError::Missing {
            what: format!("{} at an operating point of the {}", e.missing, e.tube),
            key: format!("tubes[{place}].type"),
            advice: e.advice,
        };
        match TubeLaw::fit(&use_.kind, point) {
            Ok(None) => {}
            Ok(Some(law)) => list.push(tube(use_, point, law, (place, index), &supply, ledger)),
            // the figures of a profile's own type are for its owner to give
            Err(lacks) if use_.matched.is_none() => return Err(missing(lacks)),
            Err(lacks) => {
                let lacked = lacks.missing;
                let (point, law, other) =
                    stand_in::fit(&use_.kind, point, lacks).map_err(missing)?;
                ledger.list.push(Assumption {
                    what: format!("current of the {}", use_.label),
                    value: format!("as the {}", other.name),
                    rule: format!("{lacked} is not known: by the type of its class that is nearest by heater watts"),
                    spread: stand_in::SPREAD,
                    bounds: None,
                    parameter: Some(Number::TubeCurrent.of(index)),
                });
                list.push(tube(use_, &point, law, (place, index), &supply, ledger));
            }
        }
    }
    // without a diode there is no automatic volume control; a plate behind a resistor is that of an audio stage
    if profile.tubes.iter().any(|t| t.kind.class.has_diode()) {
        let remote = |t: &&mut Tube| profile.tubes[t.socket].kind.class.is_remote();
        let tuned = |t: &&mut Tube| t.plate.ohms < AUDIO_LOAD;
        let controlled = list.iter_mut().filter(remote).filter(tuned);
        controlled.for_each(|t| t.swing = Swing::Controlled { rest_screen: 0.0 });
    }
    push_pull(profile, &mut list, ledger);
    Ok(list)
}

/// Resistance in a plate's feed from which on it is the load of an audio stage (decoupling of tuned stages has 1 to 5 kΩ;
/// common practice, no source).
const AUDIO_LOAD: f64 = 20e3;

/// Load from plate to plate of two pentodes, over plate volts by plate amperes of one alone: published typical operation
/// of 6V6GT, 6F6, 6K6GT, 6L6 and EL84 in push-pull has 1.1 to 1.9 (makers' tube manuals †).
const PENTODE_LOAD: f64 = 1.5;
/// The same of two triodes, over the plate resistance of one: 2A3 3.7 to 6.2, 45 2 to 3.1 (RCA receiving tube manuals †).
const TRIODE_LOAD: f64 = 4.0;

/// Pairs output tubes: an even number in one row, or two rows of one of the same type, work in push-pull unless the
/// profile says otherwise.
fn push_pull(profile: &Profile, list: &mut [Tube], ledger: &mut Ledger) {
    let told = |t: &Tube| &profile.tubes[t.socket];
    let eligible = |t: &&Tube| {
        let told = told(t);
        told.push_pull.unwrap_or(t.output || told.load.is_some())
    };
    let partners = |one: &Tube| -> Vec<usize> {
        let alike = |t: &&Tube| t.law == one.law && t.count % 2.0 != 0.0;
        let singles = list.iter().filter(eligible).filter(alike).map(|t| t.socket);
        if one.count % 2.0 == 0.0 { vec![one.socket] } else { singles.collect() }
    };
    let mut swings = Vec::new();
    for (place, one) in list.iter().enumerate().filter(|(_, t)| eligible(t)) {
        let partners = partners(one);
        let rows = list.iter().filter(|t| partners.contains(&t.socket));
        let tubes: f64 = rows.clone().map(|t| t.count).sum();
        if tubes % 2.0 != 0.0 || partners.len() > 2 {
            continue;
        }
        let stated = rows.filter_map(|t| told(t).load).next().map(Quantity::si);
        let Some(customary) = customary_load(told(one)) else { continue };
        let load = stated.unwrap_or_else(|| {
            let load = customary * 2.0 / tubes;
            if partners.first() == Some(&one.socket) {
                ledger.take::<Resistance>(
                    &format!("load of the {} from plate to plate", one.label),
                    load,
                    "1.5 times plate volts over plate amperes of one tube, or 4 times a triode's plate resistance (tube manuals' typical operation †)",
                    0.3,
                    None,
                );
            }
            load
        });
        swings.push((place, Swing::PushPull { ohms: load / 4.0 * tubes / 2.0 }));
    }
    for (place, swing) in swings {
        list[place].swing = swing;
    }
}

/// Load customary from plate to plate of two tubes of the type.
fn customary_load(use_: &TubeUse) -> Option<f64> {
    let point = use_.kind.reference()?;
    if point.screen.is_some() {
        return Some(PENTODE_LOAD * point.plate?.si() / point.plate_current?.si());
    }
    Some(TRIODE_LOAD * point.mu? / point.transconductance?.si())
}

fn tube(
    use_: &TubeUse,
    point: &OperatingPoint,
    law: TubeLaw,
    (socket, index): (usize, usize),
    supply: &Supply,
    ledger: &mut Ledger,
) -> Tube {
    let kind = &use_.kind;
    let output = is_output(kind, point);
    let sections = f64::from(kind.sections);
    let count = f64::from(use_.count) * sections;
    let si = |v: Option<crate::quantity::Voltage>| v.map_or(0.0, Quantity::si);
    let amps = |v: Option<crate::quantity::Current>| v.map_or(0.0, Quantity::si);
    let screen_amps = amps(point.screen_current);
    let published = amps(point.plate_current) + screen_amps + amps(point.extra_current);
    let (vp, vs) = (si(point.plate), si(point.screen));

    let plate = match &use_.plate {
        Some(feed) => given(feed),
        None => {
            let load = if output {
                Some((OUTPUT_TRANSFORMER, supply.output_rule))
            } else if law.screen == 0.0 && law.grid > 0.0 {
                let high = point.mu.is_some_and(|mu| mu >= 50.0);
                let ohms = if high { HIGH_MU_LOAD } else { MEDIUM_MU_LOAD };
                Some((ohms, "the usual plate load of a resistance-coupled stage"))
            } else {
                None
            };
            let ohms = load.map_or(0.0, |(ohms, rule)| {
                ledger.take::<Resistance>(
                    &format!("plate load of the {}", use_.label),
                    ohms / sections,
                    &format!("{rule} (common practice, no source)"),
                    0.5,
                    Some(Number::PlateFeed.of(index)),
                )
            });
            let from = if output { supply.output_from } else { "B+" };
            Feed { from: from.to_owned(), ohms, bypass: 0.0 }
        }
    };
    let screen = (law.screen > 0.0).then(|| match &use_.screen {
        Some(feed) => given(feed),
        None => {
            let (from, rule) = match supply.most_v < vp {
                true => (
                    supply.most_v,
                    "what gives the published screen volts where B+ is that of the line",
                ),
                false => (vp, "what gives the published screen volts at the published plate volts"),
            };
            let ohms = if vs >= 0.9 * from || screen_amps == 0.0 {
                0.0
            } else {
                ledger.take::<Resistance>(
                    &format!("screen dropper of the {}", use_.label),
                    (from - vs) / (screen_amps * count),
                    rule,
                    0.3,
                    Some(Number::ScreenFeed.of(index)),
                )
            };
            Feed { from: "B+".to_owned(), ohms, bypass: 0.0 }
        }
    });
    let misses = law.misses(kind);
    // as a factor on the law's current, whichever way it is off
    let most = |of: fn(&LawMiss) -> Option<f64>| {
        let factors = misses.iter().flatten().filter_map(of).map(|m| m.ln_1p().abs().exp_m1());
        factors.fold(0.0, f64::max)
    };
    let (grid, cathode_ohms, cathode_bypass) =
        grid::and_cathode(use_, (point, &law), (published * count, output), index, ledger);
    if matches!(kind.class, TubeClass::TriodePowerPentode | TubeClass::TriodePentode)
        && point.extra_current.is_none()
    {
        ledger.note(
            &format!("triode part of the {}", use_.label),
            "not counted",
            "the catalogue holds the pentode part only; write the triode's current (about 1 mA) under `loads:`",
        );
    }
    Tube {
        socket,
        label: use_.label.clone(),
        type_name: kind.name.clone(),
        law,
        published_amps: published,
        count,
        plate,
        screen,
        grid,
        cathode_ohms,
        cathode_bypass,
        max_plate_watts: kind.max_plate_watts.map(Quantity::si),
        max_screen_watts: kind.max_screen_watts.map(Quantity::si),
        max_plate_volts: kind.max_plate_volts.map(Quantity::si),
        max_screen_volts: kind.max_screen_volts.map(Quantity::si),
        output,
        plate_miss: most(|m| Some(m.plate)),
        screen_miss: most(|m| m.screen),
        current_factor: 1.0,
        swing: Swing::Steady,
        emission: None,
    }
}

fn given(feed: &profile::Feed) -> Feed {
    Feed {
        from: feed.from.clone(),
        ohms: feed.through.map_or(0.0, Quantity::si),
        bypass: feed.bypass.map_or(0.0, Quantity::si),
    }
}
