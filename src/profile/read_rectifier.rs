//! Reads the rectifier and the bias supply.

use super::cursor::Cursor;
use super::document::Kind;
use super::fields::Fields;
use super::model::*;
use super::problem::quoted;
use super::read::{count, maybe, quantity};
use super::read_filter::capacitor;
use super::read_supply::{Heated, MOST, winding};
use super::read_tubes::{OwnTypes, source, word};
use crate::catalogue::{
    Catalogue, DropBasis, Heating, Matched, Named, RectifierDrop, RectifierKind, RectifierType,
    Wave,
};
use crate::quantity::{Current, Resistance, Sign, Voltage};

/// What the rest of a profile says of a rectifier's surroundings.
pub(super) struct Around<'w> {
    /// What heats it.
    pub heated: &'w Heated,
    /// Whether the winding it stands on has no centre tap; not known where its volts are not stated.
    pub single_winding: Option<bool>,
    /// True for the rectifier of a second supply: no doubler, and nothing that it took the place of.
    pub second: bool,
}

/// Most tubes of one type in a rectifier.
const MOST_TUBES: u32 = 4;

pub(super) fn rectifier(
    cursor: &Cursor<'_>,
    around: &Around<'_>,
    types: &OwnTypes,
) -> Option<RectifierUse> {
    let fields = cursor.map_with(&["type", "fed_by", "circuit"])?;
    let kind_at = fields.required("type");
    let fed_by = fields.optional("fed_by").and_then(|c| winding(&c, around.heated));
    let circuit_at = fields.optional("circuit");
    let named = circuit_at.as_ref().map(circuit);
    let count_at = fields.optional("count");
    let number = count_at.as_ref().map_or(Some(1), |c| count(c, MOST_TUBES));
    let surge = maybe::<Resistance>(&fields, "surge_resistor", Sign::Positive);
    let of_main = |key: &'static str| (!around.second).then(|| fields.optional(key)).flatten();
    let capacitors_at = of_main("capacitors");
    let capacitors = capacitors_at
        .as_ref()
        .map_or(Some(Vec::new()), |c| c.list()?.iter().take(MOST).map(capacitor).collect());
    let replaces_at = of_main("replaces");
    let replaces = replaces_at.as_ref().map(|c| replaced(c, types));
    let drop = drop(&fields);
    fields.finish();
    let kind_at = kind_at?;
    let (kind, matched) = type_of(&kind_at, types)?;
    let kind = with_drop(kind, drop?, cursor)?;
    let number = number?;
    let circuit = match named {
        Some(named) => named?,
        None => customary(&kind, number, around),
    };
    fits(&kind, number, circuit, &kind_at, around)?;
    if around.second && circuit.doubles() {
        cursor.fail(
            &format!("a {} is not taken for a second supply", circuit.word()),
            Some("write `circuit: full-wave`, `half-wave` or `bridge`; what is doubled belongs under the main `rectifier:` and `filter:`"),
        );
        return None;
    }
    let doubler = capacitors?;
    let at = capacitors_at.as_ref().unwrap_or(cursor);
    match (circuit.doubles(), doubler.len()) {
        (true, 2) | (false, 0) => {}
        (true, _) => {
            at.fail(
                "a voltage doubler has two capacitors of its own",
                Some("write `capacitors: [16 µF, 16 µF]`: in a full-wave doubler the one to the positive end first, in a half-wave doubler the one in the AC lead first; the `filter:` goes on behind them"),
            );
            return None;
        }
        (false, _) => {
            at.fail(
                "only a voltage doubler has capacitors of its own",
                Some("write them under `filter:`"),
            );
            return None;
        }
    }
    if let (Some(at), Some(_), true) =
        (&replaces_at, surge, matches!(&replaces, Some(Some((_, None)))))
    {
        at.warn(
            "`surge_resistor` counts as the tube's own: the B+ that the tube gave is reckoned with it",
            Some("write a resistor that came with the dry rectifier as `replaces: { tube: 5Y3GT, resistor: 360 Ω }`"),
        );
    }
    let (replaces, replaces_resistor) = match replaces {
        Some(found) => {
            let (tube, resistor) = found?;
            (Some(tube), resistor)
        }
        None => (None, None),
    };
    if let Some(tube) = &replaces
        && (tube.kind.is_dry() || !kind.kind.is_dry())
    {
        cursor.fail(
            "only a dry rectifier is looked at in the place of a tube",
            Some("write `type: silicon` with the tube under `replaces:`"),
        );
        return None;
    }
    if let (Some(tube), Some(at)) = (&replaces, &replaces_at) {
        if around.heated.on_the_line {
            at.fail_key(
                "with the tube its heater left the string, so that nothing is as it was made",
                Some("leave the line out, and write the string as it is now: a resistor takes the heater's volts (`dropper`)"),
            );
            return None;
        }
        fits(tube, number, circuit, at, around)?;
    }
    Some(RectifierUse {
        kind,
        matched: matched.filter(|m| *m != Matched::Exact),
        fed_by,
        circuit,
        count: number,
        surge,
        doubler,
        replaces,
        replaces_resistor,
    })
}

/// The tube that a dry rectifier took the place of, and the resistor that came with it: a type alone, or both.
fn replaced(cursor: &Cursor<'_>, types: &OwnTypes) -> Option<(RectifierType, Option<Resistance>)> {
    if cursor.kind() == Kind::Text {
        return Some((type_of(cursor, types)?.0, None));
    }
    let fields = cursor.map_with(&["tube", "resistor"])?;
    let tube = fields.required("tube").and_then(|c| type_of(&c, types));
    let resistor = maybe::<Resistance>(&fields, "resistor", Sign::Positive);
    fields.finish();
    Some((tube?.0, resistor))
}

fn circuit(cursor: &Cursor<'_>) -> Option<RectifierCircuit> {
    let text = cursor.text()?;
    let found = RectifierCircuit::ALL.into_iter().find(|c| c.word() == text);
    if found.is_none() {
        let words: Vec<&str> = RectifierCircuit::ALL.iter().map(|c| c.word()).collect();
        cursor.fail(
            &format!("{} is not a rectifier circuit", quoted(text)),
            Some(&format!("write one of: {}", words.join(", "))),
        );
    }
    found
}

/// What such a rectifier is joined to where nothing is said.
fn customary(kind: &RectifierType, count: u32, around: &Around<'_>) -> RectifierCircuit {
    let pair = kind.wave != Wave::Half || count > 1 || kind.kind.is_dry();
    if !around.heated.on_the_line && around.single_winding != Some(true) && pair {
        RectifierCircuit::FullWave
    } else {
        RectifierCircuit::HalfWave
    }
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
    at: &Cursor<'_>,
    around: &Around<'_>,
) -> Option<()> {
    let word = circuit.word();
    if around.heated.on_the_line && circuit == RectifierCircuit::FullWave {
        at.fail(
            "a set without a transformer has no centre tap for a full-wave rectifier",
            Some("write `circuit: half-wave`, or one of the doublers"),
        );
        return None;
    }
    let full_wave = circuit == RectifierCircuit::FullWave;
    if !around.heated.on_the_line && around.single_winding == Some(full_wave) {
        let advice = if full_wave {
            "a full-wave rectifier needs a centre tap: write `per_half:` for each half of the winding, or another `circuit:`"
        } else {
            "give the whole winding as `volts:` under `high_voltage:` (with `resistance:`) instead of `per_half:`"
        };
        at.fail(
            &format!("a {word} rectifier does not stand on this high-voltage winding"),
            Some(advice),
        );
        return None;
    }
    if kind.kind.is_dry() {
        return Some(());
    }
    let (has, needs) = (diodes(kind, count), circuit.diodes());
    if circuit.separate_cathodes() && kind.wave == Wave::Full {
        at.fail(
            &format!("the two plates of a {} share one cathode", kind.name),
            Some(&format!(
                "a {word} needs diodes with cathodes of their own: name such a type (`mainsfit tubes` says \"two half\"), or `silicon`"
            )),
        );
        return None;
    }
    if !has.is_multiple_of(needs) || has < needs {
        at.fail(
            &format!(
                "{count} × {} gives {has} diodes, and a {word} rectifier is made of {needs}",
                kind.name
            ),
            Some("say how many tubes there are: `count: 2`, or name another `circuit:`"),
        );
        return None;
    }
    Some(())
}

/// A drop as written: its volts, their current, and whether anything was written.
pub(super) type WrittenDrop = (Option<Voltage>, Option<Current>);

/// `drop` and `drop_at` of a rectifier; nothing where they are wrong.
pub(super) fn drop(fields: &Fields<'_>) -> Option<WrittenDrop> {
    let drop = maybe::<Voltage>(fields, "drop", Sign::Positive);
    let at = fields.optional("drop_at");
    let current = at.as_ref().and_then(|c| quantity::<Current>(c, Sign::Positive));
    if let (Some(c), false) = (at, fields.has("drop")) {
        c.fail("a current alone is no drop", Some("add `drop: 50 V` beside it"));
        return None;
    }
    Some((drop, current))
}

/// A type with the drop that is written, if one is.
pub(super) fn with_drop(
    mut kind: RectifierType,
    (drop, at): WrittenDrop,
    cursor: &Cursor<'_>,
) -> Option<RectifierType> {
    let Some(volts) = drop else {
        return Some(kind);
    };
    if at.is_none() && kind.drop.is_none() {
        cursor.fail(
            "a drop needs the current it was read at",
            Some("add `drop_at: 125 mA` (per plate)"),
        );
        return None;
    }
    // a stack of more plates drops more, and bears more
    if kind.kind == RectifierKind::Selenium
        && let Some(one) = &kind.drop
    {
        let plates = volts / one.volts;
        kind.max_peak_inverse = kind.max_peak_inverse.map(|v| v * plates);
        kind.max_ac_volts_capacitor_input = kind.max_ac_volts_capacitor_input.map(|v| v * plates);
    }
    let before = kind.drop.as_ref().and_then(|d| d.at_current_per_plate);
    let at_current_per_plate = at.or(before);
    kind.drop =
        Some(RectifierDrop { volts, at_current_per_plate, bounds: None, basis: DropBasis::Stated });
    Some(kind)
}

/// A rectifier by its name, of the profile's own types or the catalogue's.
pub(super) fn type_of(
    cursor: &Cursor<'_>,
    types: &OwnTypes,
) -> Option<(RectifierType, Option<Matched>)> {
    let text = cursor.text()?;
    if let Some(own) = types.rectifiers.iter().find(|r| r.name == text) {
        return Some((own.clone(), None));
    }
    if let Some(tube) = types.tubes.iter().find(|t| t.name == text) {
        cursor.fail(
            &format!("{} is a tube under `types:`, not a rectifier", tube.name),
            Some("add `wave: full` (or `half`, `two-half`) there for a rectifier"),
        );
        return None;
    }
    if types.is_named(text) {
        // what is wrong with it is said where it is defined
        return None;
    }
    match Catalogue::built_in().rectifier(text) {
        Ok(found) => Some((found.named(), Some(found.matched))),
        Err(error) => {
            cursor.fail(&error.found(), Some(&error.advice()));
            None
        }
    }
}

/// A rectifier: a type of the catalogue with other figures, or one of its own.
pub(super) fn own(title: &str, entry: &Cursor<'_>) -> Option<RectifierType> {
    const WAVES: [(Wave, &str); 3] =
        [(Wave::Full, "full"), (Wave::Half, "half"), (Wave::TwoHalf, "two-half")];
    const HEATINGS: [(Heating, &str); 2] =
        [(Heating::Direct, "direct"), (Heating::Indirect, "indirect")];
    let fields =
        entry.map_with(&["based_on", "heater_volts", "heater_current", "heating", "wave"])?;
    let based_at = fields.optional("based_on");
    let based = based_at.as_ref().map(|c| Some(type_of(c, &OwnTypes::default())?.0));
    let heater_volts = maybe(&fields, "heater_volts", Sign::Positive);
    let heater_amps = maybe(&fields, "heater_current", Sign::Positive);
    let heating_at = fields.optional("heating");
    let heating = heating_at.as_ref().map(|c| word(c, "a way of heating", &HEATINGS));
    let wave_at = fields.optional("wave");
    let wave = wave_at.as_ref().map(|c| word(c, "a make of rectifier", &WAVES));
    let drop = drop(&fields);
    let volts = |key| maybe::<Voltage>(&fields, key, Sign::Positive);
    let lamp_tap = volts("lamp_tap");
    let max_peak_inverse = volts("max_peak_inverse");
    let max_ac = volts("max_ac_capacitor_input");
    let max_peak = maybe::<Current>(&fields, "max_peak_plate_current", Sign::Positive);
    let max_dc = maybe::<Current>(&fields, "max_dc_current", Sign::Positive);
    let max_capacitor = maybe(&fields, "max_first_capacitor", Sign::Positive);
    let citation = source(&fields);
    fields.finish();
    let mut kind = match based {
        Some(kind) => kind?,
        None => {
            let (Some(volts), Some(amps), Some(heating), Some(wave)) =
                (heater_volts, heater_amps, heating, wave)
            else {
                entry.fail(
                    "a rectifier of its own needs its heater and its make",
                    Some("add `heater_volts: 4 V`, `heater_current: 1 A`, `heating: direct` (or `indirect`) and `wave: full` (or `half`, `two-half`), or `based_on: 5Y3GT`"),
                );
                return None;
            };
            RectifierType::bare(title, (volts, amps), heating?, wave?, citation.clone())
        }
    };
    if kind.kind.is_dry()
        && let Some(at) = heating_at.or(wave_at)
    {
        at.fail_key(
            "a dry rectifier has no heater, and as many diodes as its circuit asks for",
            Some("leave the line out"),
        );
        return None;
    }
    kind = with_drop(kind.called(title), drop?, entry)?;
    kind.filament_volts = heater_volts.unwrap_or(kind.filament_volts);
    kind.filament_amps = heater_amps.unwrap_or(kind.filament_amps);
    kind.heating = heating.map_or(Some(kind.heating), |h| h)?;
    kind.wave = wave.map_or(Some(kind.wave), |w| w)?;
    kind.lamp_tap = lamp_tap.or(kind.lamp_tap);
    kind.max_peak_inverse = max_peak_inverse.or(kind.max_peak_inverse);
    kind.max_peak_plate_current = max_peak.or(kind.max_peak_plate_current);
    kind.max_dc_current = max_dc.or(kind.max_dc_current);
    kind.max_ac_volts_capacitor_input = max_ac.or(kind.max_ac_volts_capacitor_input);
    kind.max_input_capacitor = max_capacitor.or(kind.max_input_capacitor);
    kind.citation = citation;
    Some(kind)
}

/// A bias supply.
pub(super) fn bias_supply(cursor: &Cursor<'_>, types: &OwnTypes) -> Option<BiasSupply> {
    let fields = cursor.map_with(&["rectifier", "filter"])?;
    let kind_at = fields.required("rectifier");
    let drop = drop(&fields);
    let parts = fields.required("filter").and_then(|c| {
        let parts: Option<Vec<BiasPart>> = c.list()?.iter().take(MOST).map(bias_part).collect();
        let parts = parts?;
        if !matches!(parts.first(), Some(BiasPart::Capacitor(_))) {
            c.fail(
                "a bias supply's filter begins with a capacitor",
                Some("list its parts from the rectifier on, such as `- capacitor: 25 µF`, `- resistor: 1 kΩ`"),
            );
            return None;
        }
        Some(parts)
    });
    fields.finish();
    let (kind, _) = type_of(&kind_at?, types)?;
    Some(BiasSupply { kind: with_drop(kind, drop?, cursor)?, filter: parts? })
}

fn bias_part(item: &Cursor<'_>) -> Option<BiasPart> {
    const PARTS: &str = "write `- capacitor: 25 µF` or `- resistor: 1 kΩ`";
    let entries = item.entries()?;
    let [(kind, body)] = entries.as_slice() else {
        item.fail("each entry of the filter is one part", Some(PARTS));
        return None;
    };
    match kind.as_str() {
        "capacitor" => quantity(body, Sign::Positive).map(BiasPart::Capacitor),
        "resistor" => quantity(body, Sign::Positive).map(BiasPart::Resistor),
        other => {
            body.fail_key(
                &format!("{} is not a part of a bias supply's filter", quoted(other)),
                Some(PARTS),
            );
            None
        }
    }
}
