//! The supply: the mains transformer, dividers and other loads.

use super::{
    cursor::Cursor,
    declare::{Key, Lax, List, MOST, Named, Read, Sound, choice, form, keys, reads},
    document::{Kind, Node},
    fields::Fields,
    problem::quoted,
    values::{
        Amps, Farads, Heater, High, MainsVolts, NonNegative, Of, Ohms, Share, Stated, StatedOhms,
        Text, Volts, Watts, Whole, percent,
    },
};
use crate::quantity::{
    Capacitance, Current, Frequency, Power, Quantity, Resistance, TemperatureRise, Voltage,
};
use std::{collections::BTreeMap, marker::PhantomData};

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
        /// Its primary; all figures are those of the tap in use
        primary: Lax<Primary>,
        /// Its high-voltage winding; required unless `service_sheet` is given
        high_voltage: Option<HighVoltage>,
        /// Winding of the bias supply
        bias: Option<HeaterKeys>,
        /// Heater windings by name; absent: one for each heater voltage of the tubes, and one named `rectifier` if the
        /// rectifier cannot share
        heater_windings: Named<HeaterKeys>,
    }
    wanted &["primary", "high_voltage", "heater_windings"];
    => Transformer: transformer;
}

/// Looks at what the windings have with each other.
fn transformer(made: Transformer, at: &Cursor<'_>) -> Option<Transformer> {
    let (copper, primary) = (&made.copper, &made.primary);
    let wrong = match (primary.hot, primary.resistance) {
        _ if at.below("primary").get("hot").is_none() => None,
        _ if *copper == Some(CopperState::Warm) => Some((
            "the copper is stated warm",
            "leave out `copper: warm`, and write `resistance` cold",
        )),
        _ if made.rise.is_some() => {
            Some(("the rise is stated as well", "leave one of the two out"))
        }
        (_, None) => {
            Some(("the cold resistance is missing", "add `resistance:` at room temperature"))
        }
        (Some(hot), Some(cold)) if hot <= cold => Some((
            "the hot resistance is not above the cold one",
            "copper rises when it warms: swap the two, or leave `hot` out",
        )),
        _ => None,
    };
    if let Some((found, advice)) = wrong {
        at.below("primary.hot").fail(found, advice);
    }
    if at.get("high_voltage").is_none() && !at.said().has_sheet {
        at.fail(
            "the high-voltage winding is not described",
            "add `high_voltage: { per_half: 340 V }`, or give the service sheet's B+ as `service_sheet: { B+: 250 V }`",
        );
    }
    let single = made.high_voltage.as_ref().map(|winding| winding.whole);
    at.say(|said| said.single_winding = single);
    Some(made)
}

keys! {
    /// The primary on the tap in use
    pub struct Primary [Default] {
        /// Volts of the taps; the design line is one of them
        taps: List<Volts>,
        /// Copper on the tap in use
        resistance: Option<StatedOhms>,
        /// The same within a minute of switching off, after some hours on the design line
        hot: Option<Ohms>,
        /// Current with every load off, on the design line
        no_load_current: Option<Stated<Current>>,
        /// Watts with every load off, on the design line
        no_load_power: Option<Stated<Power>>,
        /// What it takes on a variac with every load off; instead of the two above
        no_load: List<NoLoad>,
        /// Share of the crest magnetizing current on the design line that the steep part of the iron's law carries; 0 % is
        /// iron that does not saturate
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
        /// Watts, where a wattmeter is at hand
        power: Option<Watts>,
        /// Frequency of that line; the outlet's if absent
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
    /// Share of the steep part
    Knee -> f64 as Share,
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
    /// Volts of each half, or of the whole of one without a centre tap.
    pub volts: WindingVolts,
    /// Copper of each half, or of the whole of a winding without a centre tap.
    pub resistance: Option<Resistance>,
    /// True where it has no centre tap.
    pub whole: bool,
}

/// A key that only a winding without a centre tap has, or (`WHOLE` false) only one with it.
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
    /// High-voltage winding: with a centre tap `per_half`, without one `volts`
    pub struct HighVoltage {
        /// AC volts of a whole winding without a centre tap; this or `per_half`
        volts: Side<Stated<Voltage, High>, true>,
        /// AC volts of each half of a winding with a centre tap; this or `volts`
        per_half: Side<Stated<Voltage, High>, false>,
        /// How the volts were measured; `loaded` if absent
        measured: Option<Basis>,
        /// Line at which they were measured; absent: the design line
        at_line: Option<MainsVolts>,
        /// Copper of the whole winding, beside `volts`
        resistance: Side<Option<StatedOhms>, true>,
        /// Copper of each half, beside `per_half`
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
        /// How the volts were measured; `loaded` if absent
        measured: Option<Basis>,
        /// Line at which they were measured; absent: the design line
        at_line: Option<MainsVolts>,
        /// Its copper
        resistance: Option<StatedOhms>,
    }
    wanted &["volts"];
    => HeaterWinding: |HeaterKeys { volts, measured: basis, at_line, resistance }, at| Some(HeaterWinding {
        name: at.key()?.to_owned(),
        volts: WindingVolts { volts, basis, at_line },
        resistance,
    });
}

/// The transformer, which a set may lack that stands on the line, or of which only the service sheet's B+ tells.
pub struct MaybeTransformer;

impl Key for MaybeTransformer {
    type Value = Transformer;
    type Form = Transformer;

    fn take(fields: &Fields<'_>, key: &'static str) -> Option<Transformer> {
        let at = fields.optional(key);
        match at {
            Some(at) => Transformer::read(&at),
            None if fields.has("service_sheet") || fields.has("heater_string") => {
                Some(Transformer::default())
            }
            None => Transformer::read(&fields.required(key)?),
        }
    }
}

form! {
    /// A supply point: B+, reservoir, chassis, B- (the centre tap, where a part stands in the negative lead), B2+ and reservoir2 (of a second supply) or a tap as DIVIDER.TAP
    SupplyPoint -> String = {
        "type": "string",
        "examples": ["B+", "reservoir", "chassis", "B-", "B2+", "reservoir2"]
    },
    |at| {
        let text = at.text()?.trim();
        at.said().has_point(text).then(|| text.to_owned()).or_else(|| no_point(at, text))
    }
}

/// Refuses what is no supply point, with the nearest.
pub(super) fn no_point<T>(at: &Cursor<'_>, text: &str) -> Option<T> {
    let said = at.said();
    let alike = |name: &str| {
        // a tap may be named without its divider
        let bare = name.rsplit('.').next().unwrap_or(name);
        strsim::jaro_winkler(name, text).max(strsim::jaro_winkler(bare, text))
    };
    let near = said.points.iter().max_by(|a, b| alike(a).total_cmp(&alike(b)));
    let all = said.points.join(", ");
    let advice = match near.filter(|near| alike(near) > 0.75) {
        Some(near) => format!("the nearest point is {}; known: {all}", quoted(near)),
        None => format!("write one of: {all}"),
    };
    at.refuse(format!("there is no supply point {}", quoted(text)), advice)
}

/// The keys of a mapping, right or wrong; none of anything else.
pub(super) fn keys_of(node: &Node) -> Vec<String> {
    match node {
        Node::Map(entries) => entries.iter().map(|(key, _)| key.clone()).collect(),
        _ => Vec::new(),
    }
}

form! {
    /// Heater winding, or branch of a heater string
    HeatedBy -> String as Text,
    heated_by
}

fn heated_by(at: &Cursor<'_>) -> Option<String> {
    let (text, said) = (at.text()?, at.said());
    if said.heated.iter().any(|name| name == text) {
        return Some(text.to_owned());
    }
    let (found, describe) = match said.on_the_line {
        true => (
            "the heater string has no branch",
            "leave the key out: the heater is then in series with all. Heaters side by side are described as `heater_string: { branches: [{ name: a }, { name: b }] }`",
        ),
        false => (
            "there is no heater winding",
            "describe it under `transformer: heater_windings:` first",
        ),
    };
    let advice = match said.heated.as_slice() {
        [] => describe.to_owned(),
        names => format!("write one of: {}", names.join(", ")),
    };
    at.refuse(format!("{found} {}", quoted(text)), advice)
}

/// A chain of resistors with taps.
#[derive(Debug, Clone)]
pub struct Divider {
    /// Name.
    pub name: String,
    /// Upper end: `B+`, `reservoir`, `field_coil` (its far end) or another tap.
    pub from: String,
    /// Lower end, usually `chassis`.
    pub to: String,
    /// Resistors in order from the upper end.
    pub resistors: Vec<Resistance>,
    /// Tap names with the place they stand at: 1 is between the first and the second resistor.
    pub taps: Vec<(String, usize)>,
    /// Bypass capacitors to chassis, by tap name.
    pub bypass: Vec<(String, Capacitance)>,
}

keys! {
    /// A resistor chain with taps
    pub struct DividerKeys as "Divider" {
        /// Upper end; this or `across`
        from: Option<SupplyPoint>,
        /// Across the field coil, if it stands alone in the negative lead; this or `from`
        across: Option<Across>,
        /// Lower end; `chassis` if absent
        to: Sound<SupplyPoint>,
        /// Resistors from the upper end on
        resistors: Resistors,
        /// Names of the joints in order; or places by name, where 1 is between the first and the second resistor
        taps: Option<Taps>,
        /// Bypass capacitors to chassis, by name of the tap
        bypass: Named<Bypass>,
    }
    wanted &["from", "across", "resistors", "taps"];
    rule (
        "oneOf",
        &["from", "across"],
        "a divider needs its upper end, once",
        "write `from: B+` or `across: field_coil`",
    );
    => Divider: divider;
}

fn divider(keys: DividerKeys, at: &Cursor<'_>) -> Option<Divider> {
    let taps_at = keys.taps.and_then(|()| at.get("taps"));
    let named = taps_at.as_ref().map_or_else(Vec::new, tap_names);
    let taps = taps_at.map_or_else(Vec::new, |at| taps(&at, keys.resistors.len()));
    let bypassed = at.get("bypass").and_then(|at| at.entries()).unwrap_or_default();
    for (tap, at) in bypassed.iter().filter(|(tap, _)| !named.contains(tap)) {
        at.fail_key(format!("this divider has no tap {}", quoted(tap)), "name one of its taps");
    }
    Some(Divider {
        name: at.key()?.to_owned(),
        from: keys.from.or(keys.across)?,
        to: keys.to.unwrap_or_else(|| "chassis".to_owned()),
        resistors: keys.resistors,
        taps,
        bypass: keys.bypass,
    })
}

form! {
    /// A divider, whose taps are supply points for those that follow
    Chain -> Divider as DividerKeys,
    |at| {
        let divider = DividerKeys::read(at);
        // whatever is wrong with it, its taps may be named elsewhere
        let taps = at.get("taps").map_or_else(Vec::new, |at| tap_names(&at));
        let title = at.key()?;
        at.say(|said| said.points.extend(taps.iter().map(|tap| format!("{title}.{tap}"))));
        divider
    }
}

form! {
    /// What a divider may stand across
    Across -> String = { "oneOf": [{
        "const": "field_coil",
        "description": "The field coil in the negative lead: from the centre tap to `to`",
        "type": "string"
    }] },
    |at| match (at.text()?, at.said().negative_coil) {
        ("field_coil", Some(true)) => Some("B-".to_owned()),
        ("field_coil", Some(false)) => at.refuse(
            "other parts stand in the negative lead beside the field coil",
            "write `from: B-`: the divider then spans them all",
        ),
        ("field_coil", None) => at.refuse(
            "no field coil stands in the negative lead",
            "a bias divider across the coil needs `field_coil: { lead: negative, … }` in the filter",
        ),
        (other, _) => at.refuse(
            format!("a divider cannot stand across {}", quoted(other)),
            "write `across: field_coil`, or `from:` and `to:` with supply points",
        ),
    }
}

form! {
    /// Resistors of a divider
    Resistors -> Vec<Resistance>: inline [StatedOhms] { "minItems": 1, "maxItems": 40 },
    |at| {
        let items = at.list()?;
        let values: Vec<_> = items.iter().map(StatedOhms::read).collect();
        if items.is_empty() || items.len() > MOST {
            return at.refuse("a divider has 1 to 40 resistors", "write them from the upper end on");
        }
        values.into_iter().collect()
    }
}

form! {
    /// A capacitor to chassis, with the name of its tap
    Bypass -> (String, Capacitance) as Farads,
    |at| Some((at.key()?.to_owned(), Farads::read(at)?))
}

form! {
    /// Taps of a divider
    Taps -> (): Vec<Text> | BTreeMap<String, Whole>,
    |_| Some(())
}

/// The names in `taps:`, right or wrong.
fn tap_names(at: &Cursor<'_>) -> Vec<String> {
    let name = |item: &Node| match item {
        Node::Scalar(text) => Some(text.trim().to_owned()),
        _ => None,
    };
    match at.node() {
        Node::List(items) => items.iter().filter_map(name).collect(),
        node => keys_of(node),
    }
}

/// Taps as a list of names in order, or a mapping from names to places.
fn taps(at: &Cursor<'_>, resistors: usize) -> Vec<(String, usize)> {
    let inner = resistors.saturating_sub(1);
    if at.kind() == Kind::List {
        let items = at.list().unwrap_or_default();
        if items.len() != inner {
            at.fail(
                format!(
                    "{} named, but taps stand between two resistors: {resistors} have room for {inner}",
                    items.len()
                ),
                "name each tap in order, or write `taps: { output: 1 }` with the places of those in use",
            );
            return Vec::new();
        }
        return items.iter().zip(1..).filter_map(|(at, i)| Some((Text::read(at)?, i))).collect();
    }
    let place = |(title, at): (String, Cursor<'_>)| {
        let advice =
            format!("place 1 is between the first and the second resistor; the last is {inner}");
        let inside = |text: &str| text.parse().ok().filter(|place| (1..=inner).contains(place));
        Some((title, at.parsed(inside, "is not a place on this divider", advice)?))
    };
    at.entries().unwrap_or_default().into_iter().filter_map(place).collect()
}

keys! {
    /// Another load on the supply
    pub struct Load {
        /// What it is
        name: Text,
        /// Supply point it hangs on
        from: SupplyPoint,
        /// Resistance to chassis; this or `current`
        resistance: Option<StatedOhms>,
        /// Constant current to chassis, may be 0 mA; this or `resistance`
        current: Option<Stated<Current, NonNegative>>,
    }
    rule (
        "oneOf",
        &["resistance", "current"],
        "a load takes a current or has a resistance",
        "write either `resistance: 30 kΩ` or `current: 5 mA`",
    );
}
