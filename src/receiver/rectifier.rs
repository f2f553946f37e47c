//! The rectifiers and the bias supply, completed.

use super::{
    Assumption, BiasSupply, Filament, HeaterWinding, Number, Rectifier, RectifierCircuit, Result,
    customary::RECTIFIER, heaters::winding_for, iron_and_copper::turns_from, ledger::Ledger, shown,
    stated::Stated,
};
use crate::{
    catalogue::{DropBasis, Heating, RectifierDrop, RectifierType, Wave},
    profile::{Profile, RectifierUse},
    quantity::{Current, Quantity, Voltage, show},
};

/// Where the profile names the winding that heats it.
pub const FED_BY: &str = "rectifier.fed_by";

/// The main rectifier of a profile, on the winding or link of the string that heats it.
pub fn rectifier(winding: Option<usize>, ledger: &mut Ledger) -> Rectifier {
    let used = &ledger.profile.rectifier;
    let second = ledger.profile.second_supply.as_ref();
    let lent = u32::from(second.is_some_and(|second| second.shared));
    let mut rectifier = of_use(used, winding, Number::RectifierDrop, lent, ledger);
    rectifier.surge_ohms += used.replaces_resistor.si_or(0.0);
    rectifier
}

/// A rectifier of which some diodes are `lent`; its drop is listed if it is not sure.
pub fn of_use(
    used: &RectifierUse,
    winding: Option<usize>,
    drop: Number,
    lent: u32,
    ledger: &mut Ledger,
) -> Rectifier {
    assume(&used.kind, drop, ledger);
    joined(used, &used.kind, used.kind.wave, lent, winding)
}

/// Tubes or stacks of `kind` with so many plates, but for diodes `lent` to another supply, joined as `used` has them.
pub fn joined(
    used: &RectifierUse,
    kind: &RectifierType,
    wave: Wave,
    lent: u32,
    winding: Option<usize>,
) -> Rectifier {
    let (drop, circuit, count) = (drop_of(kind), used.circuit, f64::from(used.count));
    let plates = if wave == Wave::Half { used.count } else { 2 * used.count };
    let parallel = if kind.kind.is_dry() {
        1.0
    } else {
        f64::from(plates.saturating_sub(lent) / circuit.facts().diodes).max(1.0)
    };
    let rated = match (wave, circuit) {
        // a tube of two plates is rated for both together
        (Wave::Full, RectifierCircuit::FullWave) => parallel,
        (Wave::Full, _) => count,
        (_, RectifierCircuit::FullWave | RectifierCircuit::Bridge) => 2.0 * parallel,
        (
            _,
            RectifierCircuit::HalfWave
            | RectifierCircuit::FullWaveDoubler
            | RectifierCircuit::HalfWaveDoubler,
        ) => parallel,
    };
    let doubler = used.doubler.iter().map(|c| (c.value.si(), c.marked()));
    Rectifier {
        name: kind.name.clone(),
        drop_volts: drop.volts.si(),
        drop_amps: drop.at_current_per_plate.si(),
        max_peak_inverse: kind.max_peak_inverse.si(),
        max_peak_plate: kind.max_peak_plate_current.si(),
        max_dc: kind.max_dc_current.map(|amps| amps.si() * rated),
        winding,
        // a dry rectifier is ready at once, as a filament nearly is
        heated_directly: kind.heating != Heating::Indirect,
        emission: None,
        kind: kind.kind,
        circuit,
        parallel,
        count,
        surge_ohms: used.surge.si_or(0.0),
        doubler: doubler.collect(),
    }
}

/// Hangs a rectifier's filaments on their winding, which `key` names; a dry one has none.
///
/// # Errors
/// A type that no winding heats.
pub fn hang(
    used: &RectifierUse,
    key: &str,
    windings: &mut [HeaterWinding],
) -> Result<Option<usize>> {
    let (kind, named) = (&used.kind, used.fed_by.as_deref());
    if kind.kind.is_dry() {
        return Ok(None);
    }
    let volts = kind.filament_volts.si();
    let place = winding_for(windings, named, volts, "rectifier", key, key == FED_BY)?;
    windings[place].filaments.push(Filament::of_rectifier(kind, used.count));
    Ok(Some(place))
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

/// Lists a drop that is not sure: no narrower than tubes of a type differ.
fn assume(kind: &RectifierType, number: Number, ledger: &mut Ledger) {
    let drop = drop_of(kind);
    let Some((low, high)) = drop.bounds else {
        return;
    };
    let volts = drop.volts.si();
    let low = (low.si() / volts).min(1.0 - RECTIFIER);
    let high = (high.si() / volts).max(1.0 + RECTIFIER);
    let basis = match drop.basis {
        DropBasis::Practice => "about 1 V† a plate, five plates; an old stack drops more",
        DropBasis::Kinship => "none is printed: by types of like cathode and heater watts †",
        DropBasis::Outputs => "solved from output voltages that its maker prints",
        DropBasis::Watts => "none is known: by heater watts and kind of cathode",
        DropBasis::Curve | DropBasis::Printed | DropBasis::Stated => {
            "its source can be read two ways"
        }
    };
    let [value, least, most] = [1.0, low, high].map(|share| shown(round(share * volts), "V"));
    let name = &kind.name;
    let (what, rule) = if drop.basis == DropBasis::Practice {
        (format!("drop of the {name} rectifier at the peak of its current"), basis.to_owned())
    } else {
        let at = drop.at_current_per_plate;
        let at = at.map(|at| format!(" at {} a plate", show(at))).unwrap_or_default();
        (format!("drop of the rectifier {name}"), format!("{basis}; {least} to {most}{at}"))
    };
    ledger.list.push(Assumption {
        what,
        value,
        rule,
        spread: 0.5 * (high - low),
        bounds: Some((low, high)),
        parameter: Some(number.of_set()),
        ..Assumption::default()
    });
}

/// To three digits.
fn round(value: f64) -> f64 {
    let scale = 10f64.powi(2 - value.log10().floor() as i32);
    (value * scale).round() / scale
}

/// The tube that a dry rectifier stands in for, on the winding that heated it, in the same circuit.
///
/// # Errors
/// As [`hang`].
pub fn replaced(profile: &Profile, windings: &mut [HeaterWinding]) -> Result<Option<Rectifier>> {
    let Some(tube) = &profile.rectifier.replaces else {
        return Ok(None);
    };
    let before = RectifierUse { kind: tube.clone(), replaces: None, ..profile.rectifier.clone() };
    let winding = hang(&before, FED_BY, windings)?;
    Ok(Some(joined(&before, tube, tube.wave, 0, winding)))
}

/// The bias supply of a profile.
pub fn bias_supply(ledger: &mut Ledger) -> Option<BiasSupply> {
    let profile = ledger.profile;
    let (supply, winding) = profile.bias_supply.as_ref().zip(profile.transformer.bias.as_ref())?;
    let drop = drop_of(&supply.kind);
    let turns_from =
        turns_from(&winding.volts, "bias winding's voltage", Number::BiasVolts, ledger);
    let resistance = ledger.or(
        winding.resistance,
        Number::BiasResistance,
        "copper of the bias winding",
        BIAS_COPPER * turns_from.volts,
        0.6,
        "1 Ω a volt: fine wire, a few milliamperes (common practice, no source)",
    );
    Some(BiasSupply {
        turns_from,
        resistance,
        drop_volts: drop.volts.si(),
        drop_amps: drop.at_current_per_plate.si(),
        kind: supply.kind.kind,
        filter: supply.filter.clone(),
    })
}

/// Copper of a bias winding over its volts, Ω/V.
const BIAS_COPPER: f64 = 1.0;
