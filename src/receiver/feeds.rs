//! How the tubes of a set are fed where the profile is silent.

use super::{
    Feed, LawMiss, Number, ReceiverError, Result, Swing, Tube, TubeLaw,
    error::flaw,
    grid::{self, MEDIUM_MU_LOAD},
    ledger::Ledger,
    shown, stand_in,
    stated::Stated,
};
use crate::{
    catalogue::{OperatingPoint, TubeClass, TubeType},
    profile::{self, FilterPart, Profile, TubeUse},
    quantity::Quantity,
};

/// Plate load of a resistance-coupled high-mu stage (the usual value of the tube manuals' tables †).
const HIGH_MU_LOAD: f64 = 250e3;
/// Amplification factor from which on a triode counts as one of high mu.
const HIGH_MU: f64 = 50.0;
/// Copper of an output transformer's primary (common practice, no source).
const OUTPUT_TRANSFORMER: f64 = 300.0;

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

/// Most that B+ comes to, V: straight on the line about its volts, unless it is doubled.
fn most_volts(ledger: &Ledger) -> f64 {
    let profile = ledger.profile;
    let straight = profile.heater_string.is_some() && !profile.rectifier.circuit.facts().doubles;
    if straight { ledger.line } else { f64::INFINITY }
}

/// Where the plate of an output tube usually hangs, and words for that: a filter resistor on the line bears the screens, not
/// its current as well.
fn output_feed(profile: &Profile) -> (&'static str, &'static str) {
    let coil = |p: &FilterPart| matches!(p, FilterPart::FieldCoil(_) | FilterPart::Choke(_));
    if profile.heater_string.is_some() && !profile.filter.iter().any(coil) {
        (
            "reservoir",
            "copper of an output transformer's primary; from the first filter capacitor, as is usual ahead of a filter resistor",
        )
    } else {
        ("B+", "copper of an output transformer's primary")
    }
}

/// Fits and feeds every tube that draws B+ current.
pub fn tubes(ledger: &mut Ledger) -> Result<Vec<Tube>> {
    let profile = ledger.profile;
    let mut list = vec![];
    for (socket, use_) in profile.tubes.iter().enumerate() {
        let Some(point) = use_.kind.reference() else {
            continue;
        };
        let index = list.len();
        let (point, law) = match TubeLaw::fit(&use_.kind, point) {
            Ok(None) => continue,
            Ok(Some(law)) => (point.clone(), law),
            Err(lacks) => {
                // the figures of a profile's own type are for its owner to give
                let other = use_.matched.and_then(|_| stand_in::fit(&use_.kind, point));
                let (point, law, other) =
                    other.ok_or_else(|| lacking(&use_.kind.name, lacks, socket))?;
                let rule = format_args!(
                    "{lacks} is not known: by the type of its class that is nearest by heater watts"
                );
                let value = format_args!("as the {}", other.name);
                let number = Some(Number::TubeCurrent.of(index));
                let what = format_args!("current of the {}", use_.label);
                ledger.add(what, value, stand_in::SPREAD, number, rule);
                (point, law)
            }
        };
        list.push(tube(use_, &point, law, (socket, index), ledger));
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

/// What the figures of a type lack.
fn lacking(name: &str, lacks: &str, socket: usize) -> ReceiverError {
    flaw(
        format!("{lacks} at an operating point of the {name} is not known"),
        format!("tubes[{socket}].type"),
        format!(
            "add it from the data sheet under `types:`, such as `types: {{ {name}: {{ plate: 250 V, plate_current: 7 mA }} }}`, with screen, grid and transconductance where they are missing too"
        ),
    )
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
    let mut swings = vec![];
    for (place, one) in list.iter().enumerate().filter(|(_, t)| eligible(t)) {
        let partners = partners(one);
        let rows = list.iter().filter(|t| partners.contains(&t.socket));
        let tubes: f64 = rows.clone().map(|t| t.count).sum();
        if tubes % 2.0 != 0.0 || partners.len() > 2 {
            continue;
        }
        let stated = rows.filter_map(|t| told(t).load).next().si();
        let Some(customary) = customary_load(told(one)) else { continue };
        let load = stated.unwrap_or_else(|| {
            let load = customary * 2.0 / tubes;
            if partners.first() == Some(&one.socket) {
                let what = format_args!("load of the {} from plate to plate", one.label);
                let rule = "1.5 times plate voltage over plate amperes of one tube, or 4 times a triode's plate resistance (tube manuals' typical operation †)";
                ledger.add(what, shown(load, "Ω"), 0.3, None, rule);
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

/// The tube in `socket` of the profile, in place `index` among those that draw B+ current.
fn tube(
    use_: &TubeUse,
    point: &OperatingPoint,
    law: TubeLaw,
    (socket, index): (usize, usize),
    ledger: &mut Ledger,
) -> Tube {
    let kind = &use_.kind;
    let output = is_output(kind, point);
    let count = f64::from(use_.count) * f64::from(kind.sections);
    let [plate_amps, screen_amps, extra_amps] =
        [point.plate_current, point.screen_current, point.extra_current]
            .map(|amps| amps.si_or(0.0));
    let published_amps = plate_amps + screen_amps + extra_amps;

    let plate = match &use_.plate {
        Some(feed) => given(feed),
        None => plate_feed(use_, point, &law, index, ledger),
    };
    let screen = (law.screen > 0.0).then(|| match &use_.screen {
        Some(feed) => given(feed),
        None => screen_feed(use_, point, (index, screen_amps * count), ledger),
    });
    let misses = law.misses(kind);
    // as a factor on the law's current, whichever way it is off
    let most = |of: fn(&LawMiss) -> Option<f64>| {
        let factors = misses.iter().flatten().filter_map(of).map(|m| m.ln_1p().abs().exp_m1());
        factors.fold(0.0, f64::max)
    };
    let (grid, cathode_ohms, cathode_bypass) =
        grid::and_cathode(use_, point, &law, published_amps * count, output, index, ledger);
    if matches!(kind.class, TubeClass::TriodePowerPentode | TubeClass::TriodePentode)
        && point.extra_current.is_none()
    {
        let what = format_args!("triode part of the {}", use_.label);
        let rule = "the catalogue holds the pentode part only; write the triode's current (about 1 mA) under `loads:`";
        ledger.add(what, "not counted", 0.0, None, rule);
    }
    Tube {
        socket,
        label: use_.label.clone(),
        type_name: kind.name.clone(),
        law,
        published_amps,
        count,
        plate,
        screen,
        grid,
        cathode_ohms,
        cathode_bypass,
        max_plate_watts: kind.max_plate_watts.si(),
        max_screen_watts: kind.max_screen_watts.si(),
        max_plate_volts: kind.max_plate_volts.si(),
        max_screen_volts: kind.max_screen_volts.si(),
        output,
        plate_miss: most(|m| Some(m.plate)),
        screen_miss: most(|m| m.screen),
        current_factor: 1.0,
        swing: Swing::Steady,
        emission: None,
    }
}

/// The feed of the plate of the tube in place `index`: an output transformer, a stage's load, or straight from B+.
fn plate_feed(
    use_: &TubeUse,
    point: &OperatingPoint,
    law: &TubeLaw,
    index: usize,
    ledger: &mut Ledger,
) -> Feed {
    let (from, ohms, rule) = if is_output(&use_.kind, point) {
        let (from, rule) = output_feed(ledger.profile);
        (from, OUTPUT_TRANSFORMER, rule)
    } else if law.screen == 0.0 && law.grid > 0.0 {
        let high = point.mu.is_some_and(|mu| mu >= HIGH_MU);
        let ohms = if high { HIGH_MU_LOAD } else { MEDIUM_MU_LOAD };
        ("B+", ohms, "the usual plate load of a resistance-coupled stage")
    } else {
        return Feed::new("B+", 0.0);
    };
    let ohms = ledger.take(
        Number::PlateFeed.of(index),
        format_args!("plate load of the {}", use_.label),
        ohms / f64::from(use_.kind.sections),
        0.5,
        format_args!("{rule} (common practice, no source)"),
    );
    Feed::new(from, ohms)
}

/// The feed of a screen that takes `amps`, of the tube in place `index`: what leaves its published volts.
fn screen_feed(
    use_: &TubeUse,
    point: &OperatingPoint,
    (index, amps): (usize, f64),
    ledger: &mut Ledger,
) -> Feed {
    let [plate, screen] = [point.plate, point.screen].map(|v| v.si_or(0.0));
    let most = most_volts(ledger);
    let (from, rule) = if most < plate {
        (most, "what gives the published screen voltage where B+ is that of the line")
    } else {
        (plate, "what gives the published screen voltage at the published plate voltage")
    };
    if screen >= 0.9 * from || amps == 0.0 {
        return Feed::new("B+", 0.0);
    }
    let what = format_args!("screen dropper of the {}", use_.label);
    let number = Number::ScreenFeed.of(index);
    Feed::new("B+", ledger.take(number, what, (from - screen) / amps, 0.3, rule))
}

impl Feed {
    /// From a supply point through `ohms`, without a bypass.
    fn new(from: &str, ohms: f64) -> Feed {
        Feed { from: from.to_owned(), ohms, bypass: 0.0 }
    }
}

fn given(feed: &profile::Feed) -> Feed {
    let bypass = feed.bypass.si_or(0.0);
    Feed { bypass, ..Feed::new(&feed.from, feed.through.si_or(0.0)) }
}
