//! Reads a second supply: a filter behind one diode of the main rectifier, or behind a rectifier of its own.

use super::circuits::OtherEnd;
use super::cursor::Cursor;
use super::document::Kind;
use super::model::*;
use super::problem::quoted;
use super::read::quantity;
use super::read_filter;
use super::read_rectifier::{self, Around, diodes};
use super::read_supply::{self, Heated};
use super::read_tubes::OwnTypes;
use crate::catalogue::Wave;
use crate::quantity::{Resistance, Sign};

/// What the rest of a profile says of a second supply's surroundings.
pub(super) struct Beside<'a> {
    /// What heats it.
    pub heated: &'a Heated,
    /// The main rectifier; `None` where it could not be read.
    pub main: Option<&'a RectifierUse>,
}

pub(super) fn second_supply(
    cursor: &Cursor<'_>,
    beside: &Beside<'_>,
    types: &OwnTypes,
) -> Option<SecondSupply> {
    let fields = cursor.map_with(&["rectifier", "winding", "filter"])?;
    let rectifier_at = fields.required("rectifier");
    let winding_at = fields.optional("winding");
    let winding = winding_at.as_ref().map(read_supply::high_voltage);
    let filter = fields.required("filter").and_then(|c| filter(&c));
    fields.finish();
    let rectifier_at = rectifier_at?;
    let shared = is_shared(&rectifier_at)?;
    let from = match (&winding_at, shared, beside.heated.on_the_line) {
        (Some(c), true, _) => Some((
            c,
            "a diode of the main rectifier stands on the main winding or on the line",
            "leave `winding:` out, or write the rectifier of this winding: `rectifier: { type: \"80\" }`",
        )),
        (Some(c), _, true) => Some((
            c,
            "a set without a transformer has no winding",
            "leave `winding:` out: the second rectifier then stands straight on the line",
        )),
        (None, false, false) => Some((
            cursor,
            "the second supply has no winding",
            "add `winding: { volts: 300 V, resistance: 100 Ω }` (with a centre tap `per_half:`), or `rectifier: shared` where a diode of the main rectifier feeds it",
        )),
        _ => None,
    };
    if let Some((at, found, advice)) = from {
        at.fail_key(found, Some(advice));
        return None;
    }
    let (winding, whole) = match winding {
        Some(read) => {
            let (volts, copper, whole) = read?;
            (Some((volts?, copper)), Some(whole))
        }
        None => (None, None),
    };
    let rectifier = if shared {
        lent(&rectifier_at, beside.main?)?
    } else {
        let around = Around { heated: beside.heated, single_winding: whole, second: true };
        let own = read_rectifier::rectifier(&rectifier_at, &around, types)?;
        if beside.heated.on_the_line {
            straight(&rectifier_at, &own, beside.main?)?;
        }
        own
    };
    Some(SecondSupply { shared, winding, rectifier, filter: filter? })
}

/// Whether a diode of the main rectifier feeds it.
fn is_shared(cursor: &Cursor<'_>) -> Option<bool> {
    const FORMS: &str = "write `shared` (a diode of the main rectifier), or a rectifier of its own such as `{ type: \"80\" }`";
    if cursor.kind() == Kind::Text {
        let shared = cursor.text()? == "shared";
        if !shared {
            let found =
                format!("{} is not how a second supply is rectified", quoted(cursor.text()?));
            cursor.fail(&found, Some(FORMS));
        }
        return shared.then_some(true);
    }
    let Some((_, said)) = cursor.entries()?.into_iter().find(|(key, _)| key == "shared") else {
        return Some(false);
    };
    if said.text()? != "true" {
        said.fail(
            "`shared:` is said only where it is so",
            Some("write `shared: true`, or leave the line out and name the `type:` of its own rectifier"),
        );
        return None;
    }
    Some(true)
}

/// One diode of the main rectifier, if that can spare it.
fn lent(cursor: &Cursor<'_>, main: &RectifierUse) -> Option<RectifierUse> {
    let mut surge = None;
    if cursor.kind() == Kind::Map {
        let fields = cursor.map_with(&["shared", "surge_resistor"])?;
        fields.optional("shared");
        surge = fields
            .optional("surge_resistor")
            .and_then(|c| quantity::<Resistance>(&c, Sign::Positive));
        fields.finish();
    }
    let name = &main.kind.name;
    let (has, needs) = (diodes(&main.kind, main.count), main.circuit.facts().diodes);
    let single =
        "write the diode as a rectifier of its own, such as `rectifier: { type: silicon }`";
    let refused = if main.kind.kind.is_dry() {
        Some((
            format!("{name} has as many diodes as its circuit asks for, and none to share"),
            single,
        ))
    } else if main.kind.wave == Wave::Full {
        Some((
            format!("the plates of a {name} share one cathode, so that it has one output"),
            "check the type: only diodes with cathodes of their own (`mainsfit tubes` says \"two half\") feed two filters",
        ))
    } else if main.circuit.facts().separate_cathodes {
        Some((
            format!("a {} has no diode to share", main.circuit.word()),
            "write the second rectifier with its own `type:`",
        ))
    } else if has <= needs || !(has - 1).is_multiple_of(needs) {
        Some((
            format!(
                "{} × {name} gives {has} diodes: without one of them there is no {} rectifier left",
                main.count,
                main.circuit.word()
            ),
            "check the type and `circuit:` under `rectifier:`: the main circuit must leave a diode over",
        ))
    } else {
        None
    };
    if let Some((found, advice)) = refused {
        cursor.fail(&found, Some(advice));
        return None;
    }
    Some(RectifierUse {
        circuit: RectifierCircuit::HalfWave,
        count: 1,
        surge,
        doubler: Vec::new(),
        fed_by: None,
        ..main.clone()
    })
}

/// Whether a rectifier can stand straight on the line beside the main one.
fn straight(cursor: &Cursor<'_>, own: &RectifierUse, main: &RectifierUse) -> Option<()> {
    if own.circuit != RectifierCircuit::HalfWave {
        cursor.fail(
            &format!(
                "a {} rectifier straight on the line would join it to chassis",
                own.circuit.word()
            ),
            Some("write `circuit: half-wave`"),
        );
        return None;
    }
    if matches!(main.circuit.facts().other_end, OtherEnd::Diodes | OtherEnd::Capacitors) {
        cursor.fail(
            &format!("behind a {} neither side of the line is chassis, so that a second rectifier on the line has no way back", main.circuit.word()),
            Some("write what the second rectifier feeds under `loads:`, from a point of the main supply"),
        );
        return None;
    }
    Some(())
}

/// Its filter: parts in the positive lead, and across.
fn filter(cursor: &Cursor<'_>) -> Option<Vec<FilterPart>> {
    let parts = read_filter::filter(cursor)?;
    if let Some(place) = parts.iter().position(FilterPart::is_in_negative_lead) {
        cursor.list()?.get(place)?.fail(
            "the second supply's negative end is chassis",
            Some("write `lead: positive`, or `across` for a field coil from its output to chassis; negative volts come from a `bias_supply:`"),
        );
        return None;
    }
    Some(parts)
}
