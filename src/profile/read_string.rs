//! Reads the heater string of a set without a transformer.

use super::cursor::Cursor;
use super::document::Node;
use super::model::*;
use super::problem::quoted;
use super::read::maybe;
use crate::quantity::{Current, Resistance, Sign, Voltage};

pub(super) fn heater_string(cursor: &Cursor<'_>) -> Option<HeaterString> {
    let fields = cursor.map_with(&["dropper"])?;
    let dropper = fields.optional("dropper");
    fields.finish();
    let dropper = match dropper {
        Some(c) if matches!(c.node(), Node::Scalar(text) if text.trim() == "none") => None,
        Some(c) => Some(string_dropper(&c)?),
        None => None,
    };
    Some(HeaterString { dropper })
}

fn string_dropper(cursor: &Cursor<'_>) -> Option<StringDropper> {
    let fields = cursor.map_with(&["kind", "resistance", "volts", "current", "rated"])?;
    let kind_at = fields.required("kind");
    let resistance = maybe::<Resistance>(&fields, "resistance", Sign::Positive);
    let volts = maybe::<Voltage>(&fields, "volts", Sign::Positive);
    let current = maybe::<Current>(&fields, "current", Sign::Positive);
    let rated = maybe(&fields, "rated", Sign::Positive);
    fields.finish();
    let kind_at = kind_at?;
    let word = kind_at.text()?;
    let ohms = || {
        if resistance.is_none() {
            cursor.fail(
                "the dropper's resistance is missing",
                Some("add `resistance: 180 Ω`: excess volts over the string's current, such as 54 V / 0.3 A"),
            );
        }
        resistance
    };
    let kind = match word {
        "resistor" => DropperKind::Resistor(ohms()?),
        "line-cord" => DropperKind::LineCord(ohms()?),
        "ballast" => match (volts, current) {
            (Some(volts), Some(current)) => DropperKind::Ballast { volts, current },
            _ => {
                cursor.fail(
                    "a ballast tube is known by volts and current",
                    Some("add `volts: 48 V` (in the middle of its range) and `current: 300 mA`; a plain resistor in a tube's envelope is `kind: resistor`"),
                );
                return None;
            }
        },
        other => {
            kind_at.fail(
                &format!("{} is not a kind of dropper", quoted(other)),
                Some("write `resistor`, `line-cord` (resistance wire in the mains cord) or `ballast` (a tube of nearly constant current)"),
            );
            return None;
        }
    };
    let stray = match kind {
        DropperKind::Ballast { .. } => resistance.is_some(),
        _ => volts.is_some() || current.is_some(),
    };
    if stray {
        cursor.fail(
            &format!("a dropper of kind `{word}` is described by other values"),
            Some("`resistance:` for a resistor or a line cord, `volts:` and `current:` for a ballast"),
        );
        return None;
    }
    Some(StringDropper { kind, rated })
}
