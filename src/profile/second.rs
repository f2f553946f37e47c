//! A second supply: a filter behind one diode of the main rectifier, or behind a rectifier of its own.

use super::{
    circuits::OtherEnd,
    cursor::Cursor,
    declare::{Read, Sound, Tried, choice, form, keys},
    filter::{Filter, FilterPart},
    node::Kind,
    rectifier::{Rectifier, RectifierCircuit, RectifierUse, diodes, joined},
    supply::HeatedBy,
    transformer::{HighVoltage, Winding},
    types::RectifierName,
    values::{Amps, Count, Stated, StatedOhms},
};
use crate::{
    catalogue::Wave,
    quantity::{Resistance, Voltage},
};

/// A second rectified supply beside B+, its output positive: of a speaker's field, of a tuner.
#[derive(Debug, Clone)]
pub struct SecondSupply {
    /// True where one diode of the main rectifier feeds it, on the main AC.
    pub shared: bool,
    /// Winding of its own. Without one, and not shared, it stands straight on the line.
    pub winding: Option<Winding>,
    /// Its rectifier; where it is shared, one diode of the main one.
    pub rectifier: RectifierUse,
    /// Filter from the rectifier to its output.
    pub filter: Vec<FilterPart>,
}

keys! {
    /// A second supply beside B+, its negative end at chassis
    pub struct SecondKeys as "SecondSupply" {
        /// `shared` where one diode of the main rectifier feeds it, on the main AC; or its own rectifier
        rectifier: SecondRectifier,
        /// Winding of its own rectifier, in a set with a transformer, unless `shared`; absent in a set without one: straight on the
        /// line
        winding: Sound<HighVoltage>,
        /// Parts from its rectifier on, as under the main `filter`, in the positive lead or across, none in the negative one
        filter: PositiveFilter,
    }
    => SecondSupply: second;
}

form! {
    /// A filter in the positive lead
    PositiveFilter -> Vec<FilterPart> as Filter,
    |at| {
        let parts = Filter::read(at)?;
        match parts.iter().position(FilterPart::is_in_negative_lead) {
            None => Some(parts),
            Some(place) => at.list()?.get(place)?.refuse(
                "the second supply's negative end is chassis",
                "write `lead: positive`, or `across` for a field coil from its output to chassis; negative volts come from a `bias_supply:`",
            ),
        }
    }
}

form! {
    /// One diode of the main rectifier, or a rectifier
    // whether a diode of the main rectifier feeds it; its keys are read when its winding is known
    SecondRectifier -> bool: Shared | Lent | Own,
    is_shared
}

fn is_shared(at: &Cursor<'_>) -> Option<bool> {
    if at.kind() == Kind::Text {
        return Shared::read(at).map(|()| true);
    }
    at.entries()?;
    match at.find("shared") {
        None => Some(false),
        Some(said) if said.text()? == "true" => Some(true),
        Some(said) => said.refuse(
            "`shared:` is said only where it is so",
            "write `shared: true`, or leave the line out and name the `type:` of its own rectifier",
        ),
    }
}

choice! {
    /// One diode of the main rectifier
    Shared -> () {
        /// The main circuit keeps the rest
        "shared" => (),
    }
    "is not how a second supply is rectified",
    "write `shared` (a diode of the main rectifier), or a rectifier of its own such as `{ type: \"80\" }`"
}

keys! {
    /// One diode of the main rectifier, with a resistor in its lead
    pub struct Lent {
        /// One diode of the main rectifier feeds it, as half-wave, on the main AC; the main circuit keeps the rest
        shared: True,
        /// Resistor in the lead of its plate
        surge_resistor: Option<StatedOhms>,
    }
    => Option<Resistance>: |Lent { shared: (), surge_resistor }, _| Some(surge_resistor);
}

form! {
    /// Said only where it is so
    True -> () = { "const": true },
    |_| Some(())
}

keys! {
    /// Its own rectifier
    pub struct Own {
        /// Type of the catalogue (`mainsfit tubes`) or of `types`, `silicon` or `selenium`
        kind "type": Tried<RectifierName>,
        /// Heater winding that feeds it; absent: the winding whose volts fit within 12 %
        fed_by: Option<HeatedBy>,
        /// How its diodes are joined, no doubler; absent: full-wave on a winding with a center tap if there are two, else half-wave
        circuit: Sound<RectifierCircuit>,
        /// 1 to 4 tubes of the type, diodes left over in parallel; 1 if absent
        count: Count<4>,
        /// Resistor in the lead of each plate
        surge_resistor: Option<StatedOhms>,
        /// Volts across one plate, instead of the catalogue's
        drop: Option<Stated<Voltage>>,
        /// Current per plate at that drop
        drop_at: Option<Amps>,
    }
    wanted &["type", "fed_by", "circuit"];
    => Rectifier: |own, _| {
        let Own { kind, fed_by, circuit, count, surge_resistor, drop, drop_at } = own;
        let none = Rectifier::default();
        Some(Rectifier { kind, fed_by, circuit, count, surge_resistor, drop, drop_at, ..none })
    };
}

fn second(keys: SecondKeys, at: &Cursor<'_>) -> Option<SecondSupply> {
    let on_the_line = at.said().on_the_line;
    let wrong = match (keys.winding, keys.rectifier, on_the_line) {
        (Some(_), true, _) => Some((
            "a diode of the main rectifier stands on the main winding or on the line",
            "leave `winding:` out, or write the rectifier of this winding: `rectifier: { type: \"80\" }`",
        )),
        (Some(_), _, true) => Some((
            "a set without a transformer has no winding",
            "leave `winding:` out: the second rectifier then stands straight on the line",
        )),
        (None, false, false) => Some((
            "the second supply has no winding",
            "add `winding: { volts: 300 V, resistance: 100 Ω }` (with a center tap `per_half:`), or `rectifier: shared` where a diode of the main rectifier feeds it",
        )),
        _ => None,
    };
    if let Some((found, advice)) = wrong {
        at.below("winding").fail_key(found, advice);
        return None;
    }
    let rectifier_at = at.below("rectifier");
    let main = || (*at.sink().told::<Option<RectifierUse>>()).clone();
    let rectifier = if keys.rectifier {
        lent(&rectifier_at, main()?)?
    } else {
        let own = Own::read(&rectifier_at)?;
        let own = joined(own, keys.winding.map(|winding| winding.whole), &rectifier_at)?;
        if own.circuit.facts().doubles {
            return rectifier_at.refuse(
                format!("a {} is not taken for a second supply", own.circuit.word()),
                "write `circuit: full-wave`, `half-wave` or `bridge`; what is doubled belongs under the main `rectifier:` and `filter:`",
            );
        }
        if on_the_line {
            straight(&rectifier_at, &own, &main()?)?;
        }
        own
    };
    Some(SecondSupply {
        shared: keys.rectifier,
        winding: keys.winding,
        rectifier,
        filter: keys.filter,
    })
}

/// One diode of the main rectifier, if that can spare it.
fn lent(at: &Cursor<'_>, main: RectifierUse) -> Option<RectifierUse> {
    let surge = match at.kind() {
        Kind::Map => Lent::read(at)?,
        _ => None,
    };
    let (name, word, count) = (&main.kind.name, main.circuit.word(), main.count);
    let (has, needs) = (diodes(&main.kind, count), main.circuit.facts().diodes);
    if main.kind.kind.is_dry() {
        return at.refuse(
            format!("{name} has as many diodes as its circuit asks for, and none to share"),
            "write the diode as a rectifier of its own, such as `rectifier: { type: silicon }`",
        );
    }
    if main.kind.wave == Wave::Full {
        return at.refuse(
            format!("the plates of a {name} share one cathode, so that it has one output"),
            "check the type: only diodes with cathodes of their own (`mainsfit tubes` says \"two half\") feed two filters",
        );
    }
    if main.circuit.facts().separate_cathodes {
        return at.refuse(
            format!("a {word} has no diode to share"),
            "write the second rectifier with its own `type:`",
        );
    }
    if has <= needs || !(has - 1).is_multiple_of(needs) {
        return at.refuse(
            format!("{count} × {name} gives {has} diodes: without one of them there is no {word} rectifier left"),
            "check the type and `circuit:` under `rectifier:`: the main circuit must leave a diode over",
        );
    }
    let circuit = RectifierCircuit::HalfWave;
    Some(RectifierUse { circuit, count: 1, surge, doubler: Vec::new(), fed_by: None, ..main })
}

/// Whether a rectifier can stand straight on the line beside the main one.
fn straight(at: &Cursor<'_>, own: &RectifierUse, main: &RectifierUse) -> Option<()> {
    if own.circuit != RectifierCircuit::HalfWave {
        return at.refuse(
            format!(
                "a {} rectifier straight on the line would join it to chassis",
                own.circuit.word()
            ),
            "write `circuit: half-wave`",
        );
    }
    if matches!(main.circuit.facts().other_end, OtherEnd::Diodes | OtherEnd::Capacitors) {
        return at.refuse(
            format!("behind a {} neither side of the line is chassis, so that a second rectifier on the line has no way back", main.circuit.word()),
            "write what the second rectifier feeds under `loads:`, from a point of the main supply",
        );
    }
    Some(())
}
