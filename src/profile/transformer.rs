//! The mains transformer and its windings.

use super::{
    cursor::Cursor,
    declare::{Key, Lax, List, Named, Read, choice, form, keys},
    fields::Fields,
    values::{
        Amps, Heater, High, MainsVolts, Of, Ohms, Stated, StatedOhms, Volts, Watts, percent,
        percents,
    },
};
use crate::quantity::{Current, Frequency, Power, Quantity, Resistance, TemperatureRise, Voltage};
use std::marker::PhantomData;

/// Most that the steep part may carry of the crest, as a share: beyond, a core would be driven far past its knee.
const KNEE_MOST: f64 = 0.95;

choice! {
    /// Kinds of mains transformer
    pub enum TransformerKind {
        /// Windings of their own
        Isolating = "isolating",
        /// One winding with taps: the chassis is live
        Autotransformer = "autotransformer",
    }
    "is not a kind of mains transformer",
    "write `isolating` (windings of their own) or `autotransformer` (one winding with taps: the chassis is live)"
}

choice! {
    /// When copper was measured
    pub enum CopperState {
        /// By ohmmeter, the set at rest at room temperature
        Cold = "cold",
        /// At work
        Warm = "warm",
    }
    "does not say when the copper was measured",
    "write `cold` (by ohmmeter, the set at rest) or `warm` (as it is at work)"
}

keys! {
    /// Mains transformer
    pub struct Transformer [Default] {
        /// Kind; `isolating` if absent
        kind: Option<TransformerKind>,
        /// When its resistances were measured; `cold` if absent
        copper: Option<CopperState>,
        /// Average rise of its windings over the room after some hours on the design line; absent: from the primary's `hot`, else 45 K
        rise: Option<Of<TemperatureRise>>,
        /// Its primary; all figures are those of the tap in use. Absent: all of it by rule
        primary: Lax<Primary>,
        /// Its high-voltage winding; required unless `service_sheet` is given. Absent: turns found from the sheet's B+
        high_voltage: Option<HighVoltage>,
        /// Winding of the bias supply, in a set with `bias_supply`
        bias: Option<HeaterKeys>,
        /// Heater windings by name; absent: one for each heater voltage of the tubes, and one named `rectifier` if the
        /// rectifier cannot share
        heater_windings: Named<HeaterKeys>,
    }
    wanted &["primary", "high_voltage", "heater_windings"];
    => Transformer: transformer;
}

fn transformer(made: Transformer, at: &Cursor<'_>) -> Option<Transformer> {
    if let Some(hot) = at.get("primary").and_then(|primary| primary.get("hot")) {
        hot_copper(&made, &hot);
    }
    if at.get("high_voltage").is_none() && !at.said().has_sheet {
        at.fail(
            "the high-voltage winding is not described",
            "add `high_voltage: { per_half: 340 V }`, or give the service sheet's B+ as `service_sheet: { B+: 250 V }`",
        );
    }
    let single = made.high_voltage.map(|winding| winding.whole);
    at.say(|said| said.single_winding = single);
    Some(made)
}

/// Refuses a hot resistance that says nothing beside the rest.
fn hot_copper(made: &Transformer, at: &Cursor<'_>) {
    let (found, advice) = match (made.primary.hot, made.primary.resistance) {
        _ if made.copper == Some(CopperState::Warm) => {
            ("the copper is stated warm", "leave out `copper: warm`, and write `resistance` cold")
        }
        _ if made.rise.is_some() => ("the rise is stated as well", "leave one of the two out"),
        (_, None) => ("the cold resistance is missing", "add `resistance:` at room temperature"),
        (Some(hot), Some(cold)) if hot <= cold => (
            "the hot resistance is not above the cold one",
            "copper rises when it warms: swap the two, or leave `hot` out",
        ),
        _ => return,
    };
    at.fail(found, advice);
}

keys! {
    /// The primary on the tap in use
    pub struct Primary [Default] {
        /// Voltages of the taps, the design line among them; absent: another tap is not offered
        taps: List<Volts>,
        /// Copper on the tap in use; absent: 16.5 Ω at 120 V and 40 W, with volts squared and watts to the power of −1.47
        resistance: Option<StatedOhms>,
        /// The same within a minute of switching off, after some hours on the design line; beside a cold `resistance`, in place
        /// of `rise`
        hot: Option<Ohms>,
        /// Current with every load off, on the design line; absent: from the no-load watts at a power factor of 0.4
        no_load_current: Option<Stated<Current>>,
        /// Watts with every load off, on the design line; absent: from the no-load current at a power factor of 0.4; without
        /// either, 9 % of the set's watts
        no_load_power: Option<Stated<Power>>,
        /// What it takes on a variac with every load off; instead of `no_load_current` and `no_load_power`
        no_load: List<NoLoad>,
        /// Share of the crest magnetizing current on the design line that the steep part of the iron's law carries, 0 % to 95 %;
        /// 0 % is iron that does not saturate. Absent: 50 %; from two readings under `no_load` on, what they give
        knee: Option<Knee>,
    }
    wanted &[];
    => Primary: stated_once;
}

fn stated_once(primary: Primary, at: &Cursor<'_>) -> Option<Primary> {
    let beside = ["no_load_current", "no_load_power"].into_iter().find_map(|key| at.get(key));
    if let Some((_, other)) = at.get("no_load").zip(beside) {
        other.fail(
            "the same is stated twice: here and under `no_load`",
            "keep the list `no_load` alone; a reading on the design line may be one of it",
        );
    }
    Some(primary)
}

keys! {
    /// A no-load reading on a variac
    pub struct NoLoad [Copy] {
        /// Volts at the primary
        at: MainsVolts,
        /// Current, true RMS
        current: Amps,
        /// Watts, where a wattmeter is at hand; absent: a power factor of 0.4, or the loss that other readings of the list give
        power: Option<Watts>,
        /// Frequency of that line; absent: that of the outlet, else of the set
        frequency: Option<Of<Frequency>>,
    }
    wanted &["at", "current"];
    => NoLoad: as_many_watts;
}

fn as_many_watts(reading: NoLoad, at: &Cursor<'_>) -> Option<NoLoad> {
    if reading.power.is_some_and(|watts| watts.si() >= reading.at.si() * reading.current.si()) {
        return at.below("power").refuse(
            "more watts than volts times amperes",
            "check the three readings: with every load off a transformer takes about 0.4 of volts times amperes",
        );
    }
    Some(reading)
}

form! {
    /// A share, at most 95 %
    Knee -> f64 = { "type": "string", "pattern": format!(r"^\s*{}\s*$", percents("[1-8]?[0-9]|9[0-4]", 95)) },
    |at| at.parsed(
        |text| percent(text).map(|n| n / 100.0).filter(|s| (0.0..=KNEE_MOST).contains(s)),
        &format!(
            "is not a share from 0 % to {:.0} %: write 50 %, or leave the line out and list `no_load` readings",
            100.0 * KNEE_MOST
        ),
        "",
    )
}

choice! {
    /// How a winding's volts were measured
    pub enum Basis as "Measured" {
        /// Nothing connected to any winding
        OpenCircuit = "open-circuit",
        /// At the terminals, with the working set connected
        Loaded = "loaded",
    }
    "does not say how it was measured",
    "write `open-circuit` (nothing connected) or `loaded` (the set working)"
}

/// A winding's volts as stated.
#[derive(Debug, Clone, Copy)]
pub struct WindingVolts {
    /// RMS volts.
    pub volts: Voltage,
    /// How measured, if stated.
    pub basis: Option<Basis>,
    /// Line at which they were measured, if stated.
    pub at_line: Option<Voltage>,
}

/// A winding that a rectifier stands on.
#[derive(Debug, Clone, Copy)]
pub struct Winding {
    /// Volts of each half, or of the whole of one without a center tap.
    pub volts: WindingVolts,
    /// Copper of each half, or of the whole of a winding without a center tap.
    pub resistance: Option<Resistance>,
    /// True where it has no center tap.
    pub whole: bool,
}

/// A key that only a winding without a center tap has, or (`WHOLE` false) only one with it.
pub struct Side<K, const WHOLE: bool>(PhantomData<K>);

impl<K: Key, const WHOLE: bool> Key for Side<K, WHOLE> {
    type Value = Option<K::Value>;
    type Form = K::Form;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<Option<K::Value>> {
        match fields.has("volts") && !fields.has("per_half") {
            whole if whole == WHOLE => K::take(fields, key).map(Some),
            _ => Some(None),
        }
    }
}

keys! {
    /// High-voltage winding: with a center tap `per_half`, without one `volts`
    pub struct HighVoltage {
        /// AC volts of a whole winding without a center tap; this or `per_half`
        volts: Side<Stated<Voltage, High>, true>,
        /// AC volts of each half of a winding with a center tap; this or `volts`
        per_half: Side<Stated<Voltage, High>, false>,
        /// How the voltage was measured; `loaded` if absent
        measured: Option<Basis>,
        /// Line at which they were measured, `loaded` or `open-circuit`; absent: the design line
        at_line: Option<MainsVolts>,
        /// Copper of the whole winding, beside `volts`; absent: 3.5 % of volts over DC amperes
        resistance: Side<Option<StatedOhms>, true>,
        /// Copper of each half, beside `per_half`; absent: 3.5 % of volts over DC amperes
        resistance_per_half: Side<Option<StatedOhms>, false>,
    }
    wanted &["per_half", "volts"];
    also { "oneOf": [{ "required": ["per_half"] }, { "required": ["volts"] }] };
    => Winding: |keys, _| Some(Winding {
        volts: WindingVolts {
            volts: keys.volts.or(keys.per_half)?,
            basis: keys.measured,
            at_line: keys.at_line,
        },
        resistance: keys.resistance.or(keys.resistance_per_half).flatten(),
        whole: keys.volts.is_some(),
    });
}

/// One heater winding, or that of a bias supply.
#[derive(Debug, Clone)]
pub struct HeaterWinding {
    /// Name in the profile.
    pub name: String,
    /// Its volts.
    pub volts: WindingVolts,
    /// Its copper.
    pub resistance: Option<Resistance>,
}

keys! {
    /// A heater winding
    pub struct HeaterKeys as "HeaterWinding" {
        /// AC volts it gives, by nameplate, sheet or meter
        volts: Stated<Voltage, Heater>,
        /// How the voltage was measured; `loaded` if absent
        measured: Option<Basis>,
        /// Line at which they were measured; absent: the design line
        at_line: Option<MainsVolts>,
        /// Its copper; absent: 4 % of the winding's load resistance
        resistance: Option<StatedOhms>,
    }
    wanted &["volts"];
    => HeaterWinding: |HeaterKeys { volts, measured: basis, at_line, resistance }, at| {
        let (name, volts) = (at.key()?.to_owned(), WindingVolts { volts, basis, at_line });
        Some(HeaterWinding { name, volts, resistance })
    };
}

/// The transformer, which a set may lack that stands on the line, or of which only the service sheet's B+ tells.
pub struct MaybeTransformer;

impl Key for MaybeTransformer {
    type Value = Transformer;
    type Form = Transformer;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<Transformer> {
        let (at, has_sheet) = (fields.optional(key), fields.has("service_sheet"));
        match at {
            Some(at) => Transformer::read(&at),
            None if has_sheet || fields.has("heater_string") => Some(Transformer::default()),
            None => Transformer::read(&fields.required(key)?),
        }
    }
}
