//! The rectifier and the bias supply, completed.

use super::error::ReceiverError;
use super::feeds;
use super::ledger::Ledger;
use super::model::*;
use super::parameters::Number;
use super::thermal::HEATER_EXPONENT;
use crate::catalogue::{Heating, RectifierType, Wave};
use crate::profile::{BiasPart, Profile, RectifierUse};
use crate::quantity::{Quantity, Resistance, Voltage};

/// What heats the rectifier.
pub(super) enum HeatedBy<'w> {
    /// A winding of the transformer.
    Windings(&'w mut [HeaterWinding]),
    /// A link of a heater string, already in place; whether the plate hangs on its tap.
    Link(Option<usize>, bool),
}

/// The rectifier of `profile`.
///
/// # Errors
/// A type whose drop is not known, or that no winding heats.
pub(super) fn rectifier(
    profile: &Profile,
    heated: HeatedBy<'_>,
    ledger: &mut Ledger,
) -> Result<Rectifier, ReceiverError> {
    let used = &profile.rectifier;
    let (winding, plate_on_tap) = match heated {
        HeatedBy::Link(link, on_tap) => (link, on_tap),
        HeatedBy::Windings(_) if used.kind.kind.is_dry() => (None, false),
        HeatedBy::Windings(windings) => (Some(hang(profile, windings)?), false),
    };
    let mut rectifier = of_type(&used.kind, winding, "rectifier.type")?;
    join(&mut rectifier, used, used.kind.wave);
    rectifier.surge_ohms += used.replaces_resistor.map_or(0.0, Quantity::si);
    rectifier.plate_on_tap = plate_on_tap;
    // what a selenium stack drops is known from practice only
    if used.kind.kind == RectifierKind::Selenium
        && used.kind.drop_basis.as_deref() == Some("common practice")
    {
        ledger.take::<Voltage>(
            "drop of the selenium rectifier at the peak of its current",
            rectifier.drop_volts,
            "about 1 V† a plate, five plates; an old stack drops more",
            0.4,
            Some(Number::RectifierDrop.of_set()),
        );
    }
    Ok(rectifier)
}

/// Joins the diodes of a single type as the profile has them: circuit, diodes in parallel, what stands with them.
fn join(rectifier: &mut Rectifier, used: &RectifierUse, wave: Wave) {
    rectifier.circuit = used.circuit;
    rectifier.count = f64::from(used.count);
    let diodes = match wave {
        Wave::Half => used.count,
        Wave::Full | Wave::TwoHalf => 2 * used.count,
    };
    if !rectifier.kind.is_dry() {
        rectifier.parallel = f64::from(diodes / used.circuit.diodes()).max(1.0);
    }
    rectifier.max_dc = rectifier.max_dc.map(|amps| {
        amps * match (wave, used.circuit) {
            // a tube of two plates is rated for both together
            (Wave::Full, RectifierCircuit::FullWave) => rectifier.parallel,
            (Wave::Full, _) => rectifier.count,
            (_, RectifierCircuit::FullWave | RectifierCircuit::Bridge) => 2.0 * rectifier.parallel,
            _ => rectifier.parallel,
        }
    });
    rectifier.doubler = used
        .doubler
        .iter()
        .map(|(farads, marked)| (farads.si(), marked.map(Quantity::si)))
        .collect();
    rectifier.surge_ohms = used.surge.map_or(0.0, Quantity::si);
}

/// Hangs the rectifier's filaments on their winding.
fn hang(profile: &Profile, windings: &mut [HeaterWinding]) -> Result<usize, ReceiverError> {
    let (used, kind) = (&profile.rectifier, &profile.rectifier.kind);
    let place = feeds::winding_for(
        windings,
        used.fed_by.as_deref(),
        kind.filament_volts.si(),
        "rectifier",
        "rectifier.fed_by",
        true,
    )?;
    windings[place].filaments.push(Filament {
        volts: kind.filament_volts.si(),
        amps: kind.filament_amps.si() * f64::from(used.count),
        exponent: HEATER_EXPONENT,
        holds: None,
        socket: None,
        warm_up: kind.warm_up(),
    });
    Ok(place)
}

/// A single tube or diode of a type.
fn of_type(
    kind: &RectifierType,
    winding: Option<usize>,
    key: &str,
) -> Result<Rectifier, ReceiverError> {
    let drop = kind.drop.as_ref().ok_or_else(|| ReceiverError::Missing {
        what: format!("the voltage drop of the rectifier {}", kind.name),
        key: key.to_owned(),
        advice: "give it from the data sheet: `drop: 50 V` and `drop_at: 125 mA` (per plate) under `rectifier:`".to_owned(),
    })?;
    Ok(Rectifier {
        name: kind.name.clone(),
        drop_volts: drop.volts.si(),
        drop_amps: drop.at_current_per_plate.map(Quantity::si),
        max_peak_inverse: kind.max_peak_inverse.map(Quantity::si),
        max_peak_plate: kind.max_peak_plate_current.map(Quantity::si),
        max_dc: kind.max_dc_current.map(Quantity::si),
        winding,
        // a dry rectifier is ready at once, as a filament nearly is
        heated_directly: kind.heating != Heating::Indirect,
        emission: None,
        kind: kind.kind,
        circuit: RectifierCircuit::FullWave,
        parallel: 1.0,
        count: 1.0,
        surge_ohms: 0.0,
        doubler: Vec::new(),
        plate_on_tap: false,
    })
}

/// The tube that a dry rectifier stands in for, on the winding that heated it, in the same circuit.
///
/// # Errors
/// As [`rectifier`].
pub(super) fn replaced(
    profile: &Profile,
    windings: &mut [HeaterWinding],
) -> Result<Option<Rectifier>, ReceiverError> {
    let Some(tube) = &profile.rectifier.replaces else {
        return Ok(None);
    };
    let mut before = profile.clone();
    before.rectifier.kind = tube.clone();
    before.rectifier.replaces = None;
    let place = hang(&before, windings)?;
    let mut rectifier = of_type(tube, Some(place), "rectifier.replaces")?;
    join(&mut rectifier, &profile.rectifier, tube.wave);
    Ok(Some(rectifier))
}

/// The bias supply of `profile`.
///
/// # Errors
/// A rectifier whose drop is not known.
pub(super) fn bias_supply(
    profile: &Profile,
    design_line: f64,
    ledger: &mut Ledger,
) -> Result<Option<BiasSupply>, ReceiverError> {
    let (Some(supply), Some((volts, copper))) = (&profile.bias_supply, &profile.transformer.bias)
    else {
        return Ok(None);
    };
    let diode = of_type(&supply.kind, None, "bias_supply.rectifier")?;
    let turns_from = super::iron_and_copper::turns_from(
        volts,
        design_line,
        "bias winding's voltage",
        Number::BiasVolts.of_set(),
        ledger,
    );
    let resistance = match copper {
        Some(ohms) => ohms.si(),
        None => ledger.take::<Resistance>(
            "copper of the bias winding",
            BIAS_COPPER * turns_from.volts,
            "1 Ω a volt: fine wire, a few milliamperes (common practice, no source)",
            0.6,
            Some(Number::BiasResistance.of_set()),
        ),
    };
    Ok(Some(BiasSupply {
        turns_from,
        resistance,
        drop_volts: diode.drop_volts,
        drop_amps: diode.drop_amps,
        kind: diode.kind,
        filter: supply
            .filter
            .iter()
            .map(|part| match part {
                BiasPart::Capacitor(farads) => BiasSection::Capacitor(farads.si()),
                BiasPart::Resistor(ohms) => BiasSection::Resistor(ohms.si()),
            })
            .collect(),
    }))
}

/// Copper of a bias winding over its volts, Ω/V.
const BIAS_COPPER: f64 = 1.0;
