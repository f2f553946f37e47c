//! Fills in what a profile does not state of the power transformer's iron and copper, and of how warm they work.

use super::{
    Copper, Number, Parameter, Primary, Result, TurnsFrom,
    iron::{self, Idle},
    ledger::Ledger,
    shown,
    stated::Stated,
    thermal,
};
use crate::{
    profile::{Basis, CopperState, NoLoad, WindingVolts},
    quantity::Quantity,
};

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
pub fn copper(room_c: f64, ledger: &mut Ledger) -> Copper {
    let stated = &ledger.profile.transformer;
    let warm = stated.copper == Some(CopperState::Warm);
    let primary = &stated.primary;
    let hot = (primary.hot.zip(primary.resistance))
        .map(|(hot, cold)| thermal::copper_celsius(cold.si(), room_c, hot.si()) - room_c);
    if let Some(rise) = stated.rise.si().or(hot) {
        return Copper { warm, rise, spread: STATED_RISE_SPREAD };
    }
    // a string on the line has no transformer
    if ledger.profile.heater_string.is_none() {
        ledger.add(
            "rise of the power transformer's windings over the room, as designed",
            shown(RISE_K, "K"),
            RISE_SPREAD,
            (!warm).then(|| Number::CopperRise.of_set()),
            "the middle of the usual 30 to 60 K (common practice, no source)",
        );
    }
    Copper { warm, rise: RISE_K, spread: RISE_SPREAD }
}

/// The primary: its copper, and what it takes at no load.
///
/// # Errors
/// As [`iron::of_readings`].
pub fn primary(frequency: f64, watts: f64, ledger: &mut Ledger) -> Result<Primary> {
    let (stated, line) = (&ledger.profile.transformer.primary, ledger.line);
    let resistance = ledger.or(
        stated.resistance,
        Number::PrimaryResistance,
        "primary copper",
        PRIMARY_OHMS * (line / 120.0).powi(2) * (40.0 / watts).powf(1.47),
        0.4,
        "16.5 Ω at 120 V and 40 W, with volts squared and watts to the power of −1.47 (11 Ω at 115 V 50 W, 4 Ω at 100 W; read off a list of primaries by size †)",
    );
    let knee = knee(ledger);
    if !stated.no_load.is_empty() {
        return by_readings((resistance, knee), frequency, ledger);
    }
    let (by_rule, spread, rule) = match stated.no_load_current {
        Some(amps) => (
            iron::IDLE_POWER_FACTOR * line * amps.si(),
            0.3,
            "power factor 0.4 at no load (common practice, no source)",
        ),
        None => (
            0.09 * watts,
            0.4,
            "9 % of the set's watts (4 to 10 W for 50 to 100 VA; common practice, no source)",
        ),
    };
    let no_load_watts =
        ledger.or(stated.no_load_power, Number::NoLoadPower, NO_LOAD_WATTS, by_rule, spread, rule);
    let no_load_amps = ledger.or(
        stated.no_load_current,
        Number::NoLoadCurrent,
        "no-load current",
        no_load_watts / (iron::IDLE_POWER_FACTOR * line),
        0.3,
        "power factor 0.4 at no load (0.3 to 0.5 is usual; common practice, no source)",
    );
    Ok(Primary { resistance, no_load_amps, no_load_watts, knee, exponent: iron::EXPONENT })
}

/// What these are called in the list of what was assumed.
const NO_LOAD_WATTS: &str = "no-load watts";
const KNEE: &str = "knee of the iron";

/// The knee as stated or by custom; readings that give it replace it.
fn knee(ledger: &mut Ledger) -> f64 {
    let stated = &ledger.profile.transformer.primary;
    match stated.knee {
        Some(knee) => knee,
        None if stated.no_load.len() > 1 => iron::KNEE,
        None => {
            let rule = "iron run at about 1.2 T, where the steep part carries half of the crest current on the design line (0.3 at 1.1 T, 0.7 at 1.3 T, from DC curves of period grades of sheet †)";
            ledger.take(Number::KneeShare, KNEE, iron::KNEE, iron::KNEE_SPREAD, rule)
        }
    }
}

/// The primary by no-load readings on a variac.
fn by_readings(
    copper_and_knee: (f64, f64),
    frequency: f64,
    ledger: &mut Ledger,
) -> Result<Primary> {
    let outlet = ledger.profile.outlet.as_ref().and_then(|o| o.frequency);
    let idle = |r: &NoLoad| Idle {
        volts: r.at.si(),
        amps: r.current.si(),
        watts: r.power.si(),
        frequency: r.frequency.or(outlet).si_or(frequency),
    };
    let readings: Vec<Idle> = ledger.profile.transformer.primary.no_load.iter().map(idle).collect();
    let primary = iron::of_readings(&readings, copper_and_knee, (ledger.line, frequency))?;
    if readings.len() > 1 {
        let rule = "from the no-load readings on the variac; their volts leave the exponent open";
        ledger.take(Number::KneeShare, KNEE, primary.knee, iron::KNEE_READ_SPREAD, rule);
    }
    if readings.iter().all(|r| r.watts.is_none()) {
        let rule = "power factor 0.4 at the no-load reading nearest to the design line (common practice, no source)";
        ledger.take(Number::NoLoadPower, NO_LOAD_WATTS, primary.no_load_watts, 0.3, rule);
    }
    Ok(primary)
}

/// How the volts of a winding fix its turns, loaded unless it is said otherwise.
pub fn turns_from(
    volts: &WindingVolts,
    what: &str,
    number: impl Into<Parameter>,
    ledger: &mut Ledger,
) -> TurnsFrom {
    if volts.basis.is_none() {
        let what = format_args!("how the {what} was measured");
        let rule = "nameplate and service-sheet volts are those of the working set; an open-circuit figure would be some 5 % higher";
        ledger.add(what, "loaded", 0.05, Some(number.into()), rule);
    }
    TurnsFrom {
        volts: volts.volts.si(),
        open: volts.basis == Some(Basis::OpenCircuit),
        at_line: volts.at_line.si_or(ledger.line),
    }
}
