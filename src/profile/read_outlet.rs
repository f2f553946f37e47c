//! Reads the outlet: volts through the day, or the range that gives them.

use super::cursor::Cursor;
use super::document::Kind;
use super::model::Outlet;
use super::reach::Place;
use super::read::{maybe, maybe_volts};
use crate::catalogue::{OutletRange, outlet_range};
use crate::quantity::{Quantity, Sign, Voltage, parse, show_plain};

/// The outlet, as a mapping or as the name of a range.
pub(super) fn outlet(cursor: &Cursor<'_>) -> Option<Outlet> {
    if cursor.kind() == Kind::Text {
        return range(cursor).map(Outlet::of);
    }
    let fields = cursor.map_with(&["usual", "low", "high", "range", "frequency"])?;
    let range_at = fields.optional("range");
    let usual = match &range_at {
        Some(_) => maybe_volts(&fields, "usual", Place::MAINS),
        None => fields.required("usual").and_then(|c| super::read::volts(&c, Place::MAINS)),
    };
    let low = maybe_volts(&fields, "low", Place::MAINS);
    let high = maybe_volts(&fields, "high", Place::MAINS);
    let frequency = maybe(&fields, "frequency", Sign::Positive);
    fields.finish();
    let outlet = Outlet {
        usual,
        low,
        high,
        range: match &range_at {
            Some(c) => Some(range(c)?),
            None => None,
        },
        frequency,
    };
    let usual = outlet.usual_volts()?;
    if outlet.low_volts().is_some_and(|low| low > usual)
        || outlet.high_volts().is_some_and(|high| high < usual)
    {
        let advice = match outlet.range {
            None => "write low ≤ usual ≤ high, such as { low: 118 V, usual: 122 V, high: 126 V }"
                .to_owned(),
            Some(range) => format!(
                "write low ≤ usual ≤ high; the range {} gives {} usual, {} low, {} high where they are not written",
                range.name,
                volts(range.usual_v),
                volts(range.low_v),
                volts(range.high_v)
            ),
        };
        cursor.fail("the outlet's volts are out of order", Some(&advice));
        return None;
    }
    Some(outlet)
}

fn volts(si: f64) -> String {
    show_plain(Voltage::from_si(si))
}

fn range(cursor: &Cursor<'_>) -> Option<&'static OutletRange> {
    let text = cursor.text()?;
    match outlet_range(text) {
        Ok(range) => Some(range),
        Err(error) => {
            let advice = match parse::<Voltage>(text, Sign::Positive) {
                Ok(usual) => format!("write `outlet: {{ usual: {} }}`", show_plain(usual)),
                Err(_) => error.advice(),
            };
            cursor.fail(&error.to_string(), Some(&advice));
            None
        }
    }
}
