//! Rectifiers: of the main supply, of a second one, of the bias.

use super::{
    cursor::Cursor,
    declare::{MOST, Part, Sound, Tried, choice, form, keys, part, read_part, reads, shape_of},
    filter::{Capacitor, CapacitorForm},
    node::Kind,
    supply::HeatedBy,
    types::{RectifierName, is_whole, with_drop},
    values::{Amps, Count, Farads, Ohms, Stated, StatedOhms, TypeName, Volts},
};
use crate::{
    catalogue::{Matched, RectifierType, Wave},
    quantity::{Capacitance, Resistance, Voltage},
};

choice! {
    /// How a rectifier's diodes are joined
    pub enum RectifierCircuit as "Circuit" {
        /// Two plates on a winding with a center tap
        FullWave = "full-wave",
        /// One plate
        HalfWave = "half-wave",
        /// Four diodes on a winding without a center tap
        Bridge = "bridge",
        /// Two half-wave supplies of opposite sense, stacked
        FullWaveDoubler = "full-wave-doubler",
        /// A capacitor in the AC lead adds its voltage to the other half cycle
        HalfWaveDoubler = "half-wave-doubler",
    }
    "is not a rectifier circuit"
}

/// A rectifier.
#[derive(Debug, Clone)]
pub struct RectifierUse {
    /// How its diodes are joined.
    pub circuit: RectifierCircuit,
    /// How many tubes of the type.
    pub count: u32,
    /// Resistance in the lead of each plate: a surge resistor.
    pub surge: Option<Resistance>,
    /// The two capacitors of a doubler with their working volts.
    pub doubler: Vec<Capacitor>,
    /// The tube this rectifier was put in the place of.
    pub replaces: Option<RectifierType>,
    /// The resistor in each plate lead that came with it, beside the surge resistor that the tube had.
    pub replaces_resistor: Option<Resistance>,
    /// The type's data.
    pub kind: RectifierType,
    /// How the type name was found.
    pub matched: Option<Matched>,
    /// Heater winding that feeds it, if stated.
    pub fed_by: Option<String>,
}

keys! {
    /// Rectifier
    pub struct Rectifier [Default] {
        /// Type of the catalogue (`mainsfit tubes`) or of `types`, `silicon` or `selenium`
        kind "type": Tried<RectifierName>,
        /// Heater winding that feeds it; absent: the winding whose volts fit within 12 %, one named `rectifier` first. In a
        /// heater string its branch; absent: in series with all
        fed_by: Option<HeatedBy>,
        /// How its diodes are joined; absent: full-wave on a winding with a center tap or of unknown volts if there are two, else
        /// half-wave
        circuit: Sound<RectifierCircuit>,
        /// 1 to 4 tubes of the type, diodes left over in parallel; 1 if absent
        count: Count<4>,
        /// Resistor in the lead of each plate, with `replaces` the one that the tube had; none if absent
        surge_resistor: Option<StatedOhms>,
        /// The two capacitors of a doubler, with one and only there: full-wave, the one to the positive end first; half-wave, the
        /// one in the AC lead first
        capacitors: Sound<DoublerCapacitors>,
        /// The tube that a dry rectifier was put in the place of; not compared if absent
        replaces: Sound<Replaced>,
        /// Volts across one plate, instead of the catalogue's
        drop: Option<Stated<Voltage>>,
        /// Current per plate at that drop, instead of the catalogue's; needed with `drop` of a type of your own that has none
        drop_at: Option<Amps>,
    }
    wanted &["type", "fed_by", "circuit"];
    => RectifierUse: main;
}

form! {
    /// Capacitors of a doubler
    DoublerCapacitors -> Vec<Capacitor>: inline [CapacitorForm] { "minItems": 2, "maxItems": 2 },
    |at| at.list()?.iter().take(MOST).map(CapacitorForm::read).collect()
}

form! {
    /// A type, or a block of keys
    Replaced -> (RectifierType, Option<Resistance>): TypeName | TubeAndResistor,
    |at| match at.kind() {
        Kind::Text => Some((RectifierName::read(at)?.0, None)),
        _ => TubeAndResistor::read(at),
    }
}

keys! {
    /// The tube, and the resistor that came with what took its place
    pub struct TubeAndResistor {
        /// The tube
        tube: RectifierName,
        /// The resistor in each plate lead that was fitted for the dry rectifier, beside `surge_resistor`; none if absent
        resistor: Option<Ohms>,
    }
    => (RectifierType, Option<Resistance>): |keys, _| Some((keys.tube.0, keys.resistor));
}

/// The rectifier of the main supply.
fn main(keys: Rectifier, at: &Cursor<'_>) -> Option<RectifierUse> {
    let single = at.said().single_winding;
    let used = joined(keys, single, at)?;
    let capacitors = at.below("capacitors");
    match (used.circuit.facts().doubles, used.doubler.len()) {
        (true, 2) | (false, 0) => {}
        (true, _) => {
            return capacitors.refuse(
                "a voltage doubler has two capacitors of its own",
                "write `capacitors: [16 µF, 16 µF]`: in a full-wave doubler the one to the positive end first, in a half-wave doubler the one in the AC lead first; the `filter:` goes on behind them",
            );
        }
        (false, _) => {
            return capacitors.refuse(
                "only a voltage doubler has capacitors of its own",
                "write them under `filter:`",
            );
        }
    }
    if let Some(tube) = &used.replaces {
        took_place(tube, &used, at)?;
        fits(tube, used.count, used.circuit, single, &at.below("replaces"))?;
    }
    at.sink().tell(Some(used.clone()));
    Some(used)
}

/// Whether a rectifier can have taken the place of a tube.
fn took_place(tube: &RectifierType, used: &RectifierUse, at: &Cursor<'_>) -> Option<()> {
    let place = at.below("replaces");
    if used.surge.is_some() && used.replaces_resistor.is_none() {
        place.warn(
            "`surge_resistor` counts as the tube's own: the B+ that the tube gave is reckoned with it",
            "write a resistor that came with the dry rectifier as `replaces: { tube: 5Y3GT, resistor: 360 Ω }`",
        );
    }
    if tube.kind.is_dry() || !used.kind.kind.is_dry() {
        return at.refuse(
            "only a dry rectifier is looked at in the place of a tube",
            "write `type: silicon` with the tube under `replaces:`",
        );
    }
    if at.said().on_the_line {
        place.fail_key(
            "with the tube its heater left the string, so that nothing is as it was made",
            "leave the line out, and write the string as it is now: a resistor takes the heater's volts (`dropper`)",
        );
        return None;
    }
    Some(())
}

/// A rectifier on a winding that has a center tap or has none.
pub(super) fn joined(
    keys: Rectifier,
    single_winding: Option<bool>,
    at: &Cursor<'_>,
) -> Option<RectifierUse> {
    let whole = is_whole(at);
    let (kind, matched) = keys.kind?;
    whole?;
    let (count, fed_by) = (keys.count, keys.fed_by);
    let kind = with_drop(kind, (keys.drop, keys.drop_at), at)?;
    let pair = kind.wave != Wave::Half || count > 1 || kind.kind.is_dry();
    let halves = !at.said().on_the_line && single_winding != Some(true);
    let usual =
        if pair && halves { RectifierCircuit::FullWave } else { RectifierCircuit::HalfWave };
    let circuit = keys.circuit.unwrap_or(usual);
    fits(&kind, count, circuit, single_winding, &at.below("type"))?;
    let (replaces, replaces_resistor) = keys.replaces.unzip();
    Some(RectifierUse {
        circuit,
        count,
        surge: keys.surge_resistor,
        doubler: keys.capacitors.unwrap_or_default(),
        replaces,
        replaces_resistor: replaces_resistor.flatten(),
        kind,
        matched: matched.filter(|matched| *matched != Matched::Exact),
        fed_by,
    })
}

/// Diodes of separate cathodes, or of one, that the tubes give.
pub(super) fn diodes(kind: &RectifierType, count: u32) -> u32 {
    match kind.wave {
        Wave::Half => count,
        Wave::Full | Wave::TwoHalf => 2 * count,
    }
}

/// Whether the circuit can be built from the tubes, and stands on what the set has.
fn fits(
    kind: &RectifierType,
    count: u32,
    circuit: RectifierCircuit,
    single_winding: Option<bool>,
    at: &Cursor<'_>,
) -> Option<()> {
    let (word, on_the_line) = (circuit.word(), at.said().on_the_line);
    let full_wave = circuit.is_tapped();
    if on_the_line && full_wave {
        return at.refuse(
            "a set without a transformer has no center tap for a full-wave rectifier",
            "write `circuit: half-wave`, or one of the doublers",
        );
    }
    if !on_the_line && single_winding == Some(full_wave) {
        let advice = if full_wave {
            "a full-wave rectifier needs a center tap: write `per_half:` for each half of the winding, or another `circuit:`"
        } else {
            "give the whole winding as `volts:` under `high_voltage:` (with `resistance:`) instead of `per_half:`"
        };
        let found = format!("a {word} rectifier does not stand on this high-voltage winding");
        return at.refuse(found, advice);
    }
    if kind.kind.is_dry() {
        return Some(());
    }
    let (name, has, needs) = (&kind.name, diodes(kind, count), circuit.facts().diodes);
    if circuit.facts().separate_cathodes && kind.wave == Wave::Full {
        return at.refuse(
            format!("the two plates of a {name} share one cathode"),
            format!(
                "a {word} needs diodes with cathodes of their own: name such a type (`mainsfit tubes` says \"two half\"), or `silicon`"
            ),
        );
    }
    if !has.is_multiple_of(needs) || has < needs {
        return at.refuse(
            format!(
                "{count} × {name} gives {has} diodes, and a {word} rectifier is made of {needs}"
            ),
            "say how many tubes there are: `count: 2`, or name another `circuit:`",
        );
    }
    Some(())
}

/// A bias supply of its own: half-wave, its output negative.
#[derive(Debug, Clone)]
pub struct BiasSupply {
    /// Its rectifier.
    pub kind: RectifierType,
    /// Resistors and capacitors from the rectifier on; capacitors to chassis.
    pub filter: Vec<BiasPart>,
}

keys! {
    /// Bias supply of its own: half-wave, its output negative, the supply point `C-`
    pub struct BiasKeys as "BiasSupply" {
        /// Its rectifier: a type of the catalogue or of `types`, `silicon` or `selenium`
        rectifier: Tried<RectifierName>,
        /// Volts across the rectifier, instead of the catalogue's
        drop: Option<Volts>,
        /// Current at that drop
        drop_at: Option<Amps>,
        /// Parts from the rectifier on, a capacitor first
        filter: BiasFilter,
    }
    wanted &["rectifier", "filter"];
    => BiasSupply: bias_supply;
}

fn bias_supply(keys: BiasKeys, at: &Cursor<'_>) -> Option<BiasSupply> {
    is_whole(at)?;
    let kind = with_drop(keys.rectifier?.0, (keys.drop, keys.drop_at), at)?;
    Some(BiasSupply { kind, filter: keys.filter })
}

/// A part of a bias supply's filter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BiasPart {
    /// A capacitor to chassis.
    Capacitor(Capacitance),
    /// A resistor in the lead.
    Resistor(Resistance),
}

reads!(BiasPart => BiasPart, "BiasPart", |at| {
    read_part(at, &bias_parts(), "is not a part of a bias supply's filter",
        "write `- capacitor: 25 µF` or `- resistor: 1 kΩ`")
}, |defs| shape_of(&["A part of a bias supply's filter"], &bias_parts(), defs));

fn bias_parts() -> [Part<BiasPart>; 2] {
    [
        part::<Farads, _>("capacitor", "A capacitor to chassis", |value, _| {
            Some(BiasPart::Capacitor(value))
        }),
        part::<Ohms, _>("resistor", "A resistor in the lead", |value, _| {
            Some(BiasPart::Resistor(value))
        }),
    ]
}

form! {
    /// Parts of a bias supply's filter
    BiasFilter -> Vec<BiasPart>: inline [BiasPart] { "minItems": 1, "maxItems": 40 },
    |at| {
        let items = at.list()?;
        let parts: Vec<_> = items.iter().take(MOST).map(BiasPart::read).collect::<Option<_>>()?;
        if !matches!(parts.first(), Some(BiasPart::Capacitor(_))) {
            return at.refuse(
                "a bias supply's filter begins with a capacitor",
                "list its parts from the rectifier on, such as `- capacitor: 25 µF`, `- resistor: 1 kΩ`",
            );
        }
        Some(parts)
    }
}
