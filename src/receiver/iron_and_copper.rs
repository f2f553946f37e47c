//! Fills in what a profile does not state of the power transformer's iron and copper, and of how warm they work.

use super::error::ReceiverError;
use super::iron::{self, Idle};
use super::ledger::Ledger;
use super::model::{Copper, Primary, TurnsFrom};
use super::parameters::{Assumption, Number, Parameter};
use super::thermal;
use crate::profile::{Basis, CopperState, NoLoad, Profile, WindingVolts};
use crate::quantity::{Current, Power, Quantity, Resistance, TemperatureRise};

/// Primary copper of a transformer for 120 V and 50 VA, Ω, that is of a set that takes 40 W: a list of primaries of 30 to
/// 500 VA (ampgarage.com, p=468410 †) falls with VA^1.47, and its middles are within 18 %; a set takes some 80 % of what its
/// transformer is rated for (common practice, no source).
const PRIMARY_OHMS: f64 = 16.5;
/// Average rise of a power transformer's windings over the room as designed, K: the middle of 30 to 60 (40 to 55 by
/// resistance in old receivers; common practice, no source).
const RISE_K: f64 = 45.0;
/// How far that may be off, as a share.
const RISE_SPREAD: f64 = 1.0 / 3.0;
/// The same of a rise that is stated, or follows from a hot and a cold resistance: 1 % of each reading is a tenth of a
/// rise of 45 K.
const STATED_RISE_SPREAD: f64 = 0.1;
/// Where nothing is said its resistances are cold: those that are stated were read at rest, and the rules that fill in give
/// what an ohmmeter would read there.
pub(super) fn copper(profile: &Profile, room_c: f64, ledger: &mut Ledger) -> Copper {
    let stated = &profile.transformer;
    let warm = stated.copper == Some(CopperState::Warm);
    let hot = (stated.primary.hot)
        .zip(stated.primary.resistance)
        .map(|(hot, cold)| thermal::copper_celsius(cold.si(), room_c, hot.si()) - room_c);
    let (rise, spread) = match stated.rise.map(Quantity::si).or(hot) {
        Some(rise) => (rise, STATED_RISE_SPREAD),
        // a string on the line has no transformer
        None if profile.heater_string.is_some() => (RISE_K, RISE_SPREAD),
        None => {
            let rise = ledger.take::<TemperatureRise>(
                "rise of the power transformer's windings over the room, as designed",
                RISE_K,
                "the middle of the usual 30 to 60 K (common practice, no source)",
                RISE_SPREAD,
                (!warm).then(|| Number::CopperRise.of_set()),
            );
            (rise, RISE_SPREAD)
        }
    };
    Copper { warm, rise, spread }
}

/// The primary: its copper, and what it takes at no load.
///
/// # Errors
/// As [`iron::of_readings`].
pub(super) fn primary(
    profile: &Profile,
    (line, frequency): (f64, f64),
    watts: f64,
    ledger: &mut Ledger,
) -> Result<Primary, ReceiverError> {
    let stated = &profile.transformer.primary;
    let resistance = match stated.resistance {
        Some(r) => r.si(),
        None => ledger.take::<Resistance>(
            "primary copper",
            PRIMARY_OHMS * (line / 120.0).powi(2) * (40.0 / watts).powf(1.47),
            "16.5 Ω at 120 V and 40 W, with volts squared and watts to the power of −1.47 (11 Ω at 115 V 50 W, 4 Ω at 100 W; read off a list of primaries by size †)",
            0.4,
            Some(Number::PrimaryResistance.of_set()),
        ),
    };
    let knee = knee(profile, ledger);
    if !stated.no_load.is_empty() {
        return by_readings(profile, (resistance, knee), (line, frequency), ledger);
    }
    let (amps, power) = match (stated.no_load_current, stated.no_load_power) {
        (Some(amps), Some(power)) => (amps.si(), power.si()),
        (Some(amps), None) => (
            amps.si(),
            ledger.take::<Power>(
                "no-load watts",
                iron::IDLE_POWER_FACTOR * line * amps.si(),
                "power factor 0.4 at no load (common practice, no source)",
                0.3,
                Some(Number::NoLoadPower.of_set()),
            ),
        ),
        (None, stated_power) => {
            let power = stated_power.map_or(0.09 * watts, Quantity::si);
            if stated_power.is_none() {
                ledger.take::<Power>(
                    "no-load watts",
                    power,
                    "9 % of the set's watts (4 to 10 W for 50 to 100 VA; common practice, no source)",
                    0.4,
                    Some(Number::NoLoadPower.of_set()),
                );
            }
            let amps = ledger.take::<Current>(
                "no-load current",
                power / (iron::IDLE_POWER_FACTOR * line),
                "power factor 0.4 at no load (0.3 to 0.5 is usual; common practice, no source)",
                0.3,
                Some(Number::NoLoadCurrent.of_set()),
            );
            (amps, power)
        }
    };
    let exponent = iron::EXPONENT;
    Ok(Primary { resistance, no_load_amps: amps, no_load_watts: power, knee, exponent })
}

/// The knee as stated or by custom; readings that give it replace it.
fn knee(profile: &Profile, ledger: &mut Ledger) -> f64 {
    let stated = &profile.transformer.primary;
    match stated.knee {
        Some(knee) => knee,
        None if stated.no_load.len() > 1 => iron::KNEE,
        None => {
            let rule = "iron run at about 1.2 T, where the steep part carries half of the crest current on the design line (0.3 at 1.1 T, 0.7 at 1.3 T, from DC curves of period grades of sheet †)";
            ledger.knee(iron::KNEE, rule, iron::KNEE_SPREAD)
        }
    }
}

/// The primary by no-load readings on a variac.
fn by_readings(
    profile: &Profile,
    copper_and_knee: (f64, f64),
    (line, frequency): (f64, f64),
    ledger: &mut Ledger,
) -> Result<Primary, ReceiverError> {
    let outlet = profile.outlet.as_ref().and_then(|o| o.frequency);
    let idle = |r: &NoLoad| Idle {
        volts: r.at.si(),
        amps: r.current.si(),
        watts: r.power.map(Quantity::si),
        frequency: r.frequency.or(outlet).map_or(frequency, Quantity::si),
    };
    let readings: Vec<Idle> = profile.transformer.primary.no_load.iter().map(idle).collect();
    let primary = iron::of_readings(&readings, copper_and_knee, (line, frequency))?;
    if readings.len() > 1 {
        let rule = "from the no-load readings on the variac; their volts leave the exponent open";
        ledger.knee(primary.knee, rule, iron::KNEE_READ_SPREAD);
    }
    if readings.iter().all(|r| r.watts.is_none()) {
        let rule = "power factor 0.4 at the no-load reading nearest to the design line (common practice, no source)";
        let number = Some(Number::NoLoadPower.of_set());
        ledger.take::<Power>("no-load watts", primary.no_load_watts, rule, 0.3, number);
    }
    Ok(primary)
}

/// How the volts of a winding fix its turns, loaded unless it is said otherwise.
pub(super) fn turns_from(
    volts: &WindingVolts,
    design_line: f64,
    what: &str,
    parameter: Parameter,
    ledger: &mut Ledger,
) -> TurnsFrom {
    let open = match volts.basis {
        Some(basis) => basis == Basis::OpenCircuit,
        None => {
            ledger.list.push(Assumption {
                what: format!("how the {what} was measured"),
                value: "loaded".to_owned(),
                rule: "nameplate and service-sheet volts are those of the working set; an open-circuit figure would be some 5 % higher".to_owned(),
                spread: 0.05,
                bounds: None,
                parameter: Some(parameter),
            });
            false
        }
    };
    TurnsFrom {
        volts: volts.volts.si(),
        open,
        at_line: volts.at_line.map_or(design_line, Quantity::si),
    }
}
