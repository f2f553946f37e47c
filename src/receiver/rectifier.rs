//! The rectifiers and the bias supply, completed.

use super::customary::RECTIFIER;
use super::error::ReceiverError;
use super::feeds;
use super::ledger::Ledger;
use super::model::*;
use super::parameters::{Assumption, Number};
use super::thermal::HEATER_EXPONENT;
use crate::catalogue::{DropBasis, Heating, RectifierDrop, RectifierType, Wave};
use crate::profile::{BiasPart, Profile, RectifierUse};
use crate::quantity::{Current, Quantity, Resistance, Voltage, show};

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
/// A type that no winding heats.
pub(super) fn rectifier(
    profile: &Profile,
    heated: HeatedBy<'_>,
    ledger: &mut Ledger,
) -> Result<Rectifier, ReceiverError> {
    let used = &profile.rectifier;
    let mut rectifier = of_use(used, heated, (FED_BY, Number::RectifierDrop), ledger)?;
    let lent = profile.second_supply.as_ref().is_some_and(|second| second.shared);
    join(&mut rectifier, used, used.kind.wave, u32::from(lent));
    rectifier.surge_ohms += used.replaces_resistor.map_or(0.0, Quantity::si);
    Ok(rectifier)
}

/// Where the profile names the winding that heats it.
const FED_BY: &str = "rectifier.fed_by";

/// A rectifier hung on what heats it, its diodes not joined yet; `key` is where that is named, and its drop's number.
///
/// # Errors
/// A type that no winding heats.
pub(super) fn of_use(
    used: &RectifierUse,
    heated: HeatedBy<'_>,
    (fed_by, number): (&str, Number),
    ledger: &mut Ledger,
) -> Result<Rectifier, ReceiverError> {
    let (winding, plate_on_tap) = match heated {
        HeatedBy::Link(link, on_tap) => (link, on_tap),
        HeatedBy::Windings(_) if used.kind.kind.is_dry() => (None, false),
        HeatedBy::Windings(windings) => (Some(hang(used, fed_by, windings)?), false),
    };
    let drop = drop_of(&used.kind);
    if let Some(bounds) = drop.bounds {
        ledger.list.push(assumed(&used.kind, &drop, bounds, number));
    }
    Ok(Rectifier { plate_on_tap, ..of_type(&used.kind, winding) })
}

/// Joins the diodes of a single type, but for those `lent` to another supply, as the profile has them: circuit, diodes in
/// parallel, what stands with them.
pub(super) fn join(rectifier: &mut Rectifier, used: &RectifierUse, wave: Wave, lent: u32) {
    rectifier.circuit = used.circuit;
    rectifier.count = f64::from(used.count);
    let diodes = match wave {
        Wave::Half => used.count,
        Wave::Full | Wave::TwoHalf => 2 * used.count,
    }
    .saturating_sub(lent);
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
    rectifier.doubler = used.doubler.iter().map(|c| (c.value.si(), c.marked())).collect();
    rectifier.surge_ohms = used.surge.map_or(0.0, Quantity::si);
}

/// Hangs the rectifier's filaments on their winding.
fn hang(
    used: &RectifierUse,
    key: &str,
    windings: &mut [HeaterWinding],
) -> Result<usize, ReceiverError> {
    let (kind, named) = (&used.kind, used.fed_by.as_deref());
    let volts = kind.filament_volts.si();
    let place = feeds::winding_for(windings, named, volts, "rectifier", key, key == FED_BY)?;
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

/// Perveance of a plate over the watts that heat it, mA/V^1.5/W, of a filament and of a heater: the geometric means of the
/// catalogue's drops that do not rest on kinship.
const PER_WATT: [f64; 2] = [0.10, 0.38];
/// Factors on a drop by [`PER_WATT`] between which nearly all of those lie.
const BY_WATTS: (f64, f64) = (0.5, 2.0);
/// Current at which such a drop is given where none is rated, mA a watt.
const AT_PER_WATT: f64 = 20.0;

/// What a type drops: its own figure, or one by its heater.
pub fn drop_of(kind: &RectifierType) -> RectifierDrop {
    kind.drop.unwrap_or_else(|| {
        let plates = if kind.wave == Wave::Half { 1.0 } else { 2.0 };
        let watts = (kind.filament_volts * kind.filament_amps).si() / plates;
        let at = kind.max_dc_current.unwrap_or(Current::from_si(1e-3 * AT_PER_WATT * watts));
        let per_watt = PER_WATT[usize::from(kind.heating == Heating::Indirect)];
        let volts = Voltage::from_si((1e3 * at.si() / (per_watt * watts)).powf(2.0 / 3.0));
        RectifierDrop {
            volts,
            at_current_per_plate: Some(at),
            bounds: Some((BY_WATTS.0 * volts, BY_WATTS.1 * volts)),
            basis: DropBasis::Watts,
        }
    })
}

/// A drop that is not sure, as it is listed: no narrower than tubes of a type differ.
fn assumed(
    kind: &RectifierType,
    drop: &RectifierDrop,
    (low, high): (Voltage, Voltage),
    number: Number,
) -> Assumption {
    let customary = RECTIFIER.unwrap_or(0.0);
    let volts = drop.volts.si();
    let (low, high) =
        ((low.si() / volts).min(1.0 - customary), (high.si() / volts).max(1.0 + customary));
    let what = match drop.basis {
        DropBasis::Practice => "about 1 V† a plate, five plates; an old stack drops more",
        DropBasis::Kinship => "none is printed: by types of like cathode and heater watts †",
        DropBasis::Outputs => "solved from output voltages that its maker prints",
        DropBasis::Watts => "none is known: by heater watts and kind of cathode",
        DropBasis::Curve | DropBasis::Printed | DropBasis::Stated => {
            "its source can be read two ways"
        }
    };
    let at =
        drop.at_current_per_plate.map_or(String::new(), |at| format!(" at {} a plate", show(at)));
    let name = &kind.name;
    let [least, most] = [low, high].map(|share| show(Voltage::from_si(round(share * volts))));
    Assumption {
        what: match drop.basis {
            DropBasis::Practice => {
                format!("drop of the {name} rectifier at the peak of its current")
            }
            _ => format!("drop of the rectifier {name}"),
        },
        value: show(Voltage::from_si(round(volts))),
        rule: match drop.basis {
            DropBasis::Practice => what.to_owned(),
            _ => format!("{what}; {least} to {most}{at}"),
        },
        spread: 0.5 * (high - low),
        bounds: Some((low, high)),
        parameter: Some(number.of_set()),
    }
}

/// To three digits.
fn round(value: f64) -> f64 {
    let scale = 10f64.powi(2 - value.log10().floor() as i32);
    (value * scale).round() / scale
}

/// A single tube or diode of a type.
pub(super) fn of_type(kind: &RectifierType, winding: Option<usize>) -> Rectifier {
    let drop = drop_of(kind);
    Rectifier {
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
    }
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
    let before = RectifierUse { kind: tube.clone(), replaces: None, ..profile.rectifier.clone() };
    let place = hang(&before, FED_BY, windings)?;
    let mut rectifier = of_type(tube, Some(place));
    join(&mut rectifier, &before, tube.wave, 0);
    Ok(Some(rectifier))
}

/// The bias supply of `profile`.
pub(super) fn bias_supply(
    profile: &Profile,
    design_line: f64,
    ledger: &mut Ledger,
) -> Option<BiasSupply> {
    let (supply, winding) = profile.bias_supply.as_ref().zip(profile.transformer.bias.as_ref())?;
    let diode = of_type(&supply.kind, None);
    let turns_from = super::iron_and_copper::turns_from(
        &winding.volts,
        design_line,
        "bias winding's voltage",
        Number::BiasVolts.of_set(),
        ledger,
    );
    let resistance = match winding.resistance {
        Some(ohms) => ohms.si(),
        None => ledger.take::<Resistance>(
            "copper of the bias winding",
            BIAS_COPPER * turns_from.volts,
            "1 Ω a volt: fine wire, a few milliamperes (common practice, no source)",
            0.6,
            Some(Number::BiasResistance.of_set()),
        ),
    };
    Some(BiasSupply {
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
    })
}

/// Copper of a bias winding over its volts, Ω/V.
const BIAS_COPPER: f64 = 1.0;
