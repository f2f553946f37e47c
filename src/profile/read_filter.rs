//! Reads the filter, from the rectifier on.

use super::cursor::Cursor;
use super::document::Kind;
use super::fields::Fields;
use super::model::*;
use super::problem::quoted;
use super::read::{maybe, quantity};
use super::read_supply::MOST;
use crate::quantity::{Capacitance, Inductance, Resistance, Sign, Voltage};

pub(super) fn filter(cursor: &Cursor<'_>) -> Option<Vec<FilterPart>> {
    let list = cursor.list()?;
    if list.len() > MOST {
        cursor.fail("the filter has too many parts", Some("write at most 40"));
        return None;
    }
    let mut parts = Vec::new();
    let mut sound = true;
    for item in &list {
        match filter_part(item) {
            Some(part) => parts.push(part),
            None => sound = false,
        }
    }
    if !sound {
        return None;
    }
    if !parts.iter().any(|p| matches!(p, FilterPart::Capacitor { .. })) {
        cursor.fail(
            "the filter has no capacitor",
            Some("list the parts from the rectifier on, such as `- capacitor: { value: 8 µF, rated: 450 V }`"),
        );
        return None;
    }
    Some(parts)
}

const PARTS: &str =
    "write `- capacitor: { … }`, `- field_coil: { … }`, `- choke: { … }` or `- resistor: { … }`";

fn filter_part(item: &Cursor<'_>) -> Option<FilterPart> {
    let entries = item.entries()?;
    let [(kind, body)] = entries.as_slice() else {
        item.fail("each entry of the filter is one part", Some(PARTS));
        return None;
    };
    match kind.as_str() {
        "capacitor" => {
            let (value, marked) = capacitor(body)?;
            Some(FilterPart::Capacitor { value, marked })
        }
        "field_coil" => coil(body).map(FilterPart::FieldCoil),
        "choke" => {
            let coil = coil(body)?;
            if coil.lead == Lead::Across {
                item.fail(
                    "a choke stands in a lead, not across the supply",
                    Some("write `lead: positive` or `lead: negative`; a speaker's field across the supply is a `field_coil`"),
                );
                return None;
            }
            Some(FilterPart::Choke(coil))
        }
        "resistor" => {
            let fields = body.map_with(&["value", "lead"])?;
            let value = fields.required("value").and_then(|c| quantity(&c, Sign::Positive));
            let lead = lead(&fields);
            let rated = maybe(&fields, "rated", Sign::Positive);
            fields.finish();
            if lead == Some(Lead::Across) {
                item.fail(
                    "a resistor across the supply is no part of the filter",
                    Some("write it under `loads:`, such as `{ name: bleeder, from: B+, resistance: 20 kΩ }`"),
                );
                return None;
            }
            Some(FilterPart::Resistor { lead: lead?, value: value?, rated })
        }
        other => {
            body.fail_key(&format!("{} is not a filter part", quoted(other)), Some(PARTS));
            None
        }
    }
}

/// A capacitor with what is marked on it: a value alone, or a mapping.
pub(super) fn capacitor(body: &Cursor<'_>) -> Option<(Capacitance, Marked<Voltage>)> {
    if body.kind() == Kind::Text {
        return Some((quantity(body, Sign::Positive)?, Marked::default()));
    }
    let fields = body.map_with(&["value", "rated"])?;
    let value = fields.required("value").and_then(|c| quantity(&c, Sign::Positive));
    let rated = maybe::<Voltage>(&fields, "rated", Sign::Positive);
    let surge_at = fields.optional("surge");
    let surge = surge_at.as_ref().and_then(|c| quantity::<Voltage>(c, Sign::Positive));
    fields.finish();
    if let (Some(at), Some(surge), Some(rated)) = (surge_at, surge, rated)
        && surge < rated
    {
        at.fail(
            "the surge voltage is below the rated one",
            Some("swap the two: `rated` is for good, `surge` for the seconds of a switch-on"),
        );
        return None;
    }
    Some((value?, Marked { rated, surge }))
}

fn lead(fields: &Fields<'_>) -> Option<Lead> {
    let cursor = fields.required("lead")?;
    match cursor.text()? {
        "positive" => Some(Lead::Positive),
        "negative" => Some(Lead::Negative),
        "across" => Some(Lead::Across),
        other => {
            cursor.fail(
                &format!("{} is not a lead of the supply", quoted(other)),
                Some("write `positive` (rectifier to B+), `negative` (chassis to centre tap), or for a field coil `across` (from one to the other, as a bleeder)"),
            );
            None
        }
    }
}

fn coil(body: &Cursor<'_>) -> Option<Coil> {
    let fields = body.map_with(&["lead", "cold", "hot", "inductance"])?;
    let lead = lead(&fields);
    let cold = maybe::<Resistance>(&fields, "cold", Sign::Positive);
    let hot_at = fields.optional("hot");
    let hot = hot_at.as_ref().and_then(|c| quantity::<Resistance>(c, Sign::Positive));
    let inductance = maybe::<Inductance>(&fields, "inductance", Sign::Positive);
    let stated = fields.has("cold") || fields.has("hot");
    fields.finish();
    if !stated {
        body.fail(
            "the coil's resistance is missing",
            Some(
                "add `cold: 1000 Ω` (at room temperature), `hot: 1150 Ω` (after an hour), or both",
            ),
        );
        return None;
    }
    if let (Some(cold), Some(hot), Some(at)) = (cold, hot, hot_at)
        && hot < cold
    {
        at.fail(
            "the hot resistance is below the cold one",
            Some("copper rises when it warms: swap the two, or leave one out"),
        );
        return None;
    }
    Some(Coil { lead: lead?, cold, hot, inductance })
}
