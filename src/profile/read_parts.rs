//! Reads the fuse in the set and the owner's own parts.

use super::cursor::Cursor;
use super::model::{MainsResistor, OwnParts, PresentFuse};
use super::problem::quoted;
use super::read::{maybe, quantity};
use crate::catalogue::stock::{FuseStandard, ResistorSize, resistor_sizes};
use crate::quantity::{Current, Power, Quantity, Resistance, Sign, Voltage};

/// Most parts of a kind.
const MOST: usize = 40;

pub(super) fn fuse(cursor: &Cursor<'_>) -> Option<PresentFuse> {
    let fields = cursor.map_with(&["rating", "standard"])?;
    let rating = fields.required("rating").and_then(|c| quantity(&c, Sign::Positive));
    let standard = fields.optional("standard").and_then(|c| match c.text()? {
        "UL" => Some(FuseStandard::Ul),
        "IEC" => Some(FuseStandard::Iec),
        other => {
            c.fail(
                &format!("{} is not a fuse standard", quoted(other)),
                Some("write `UL` (UL 248-14) or `IEC` (IEC 60127-2)"),
            );
            None
        }
    });
    fields.finish();
    Some(PresentFuse { rating: rating?, standard })
}

pub(super) fn mains_resistor(cursor: &Cursor<'_>) -> Option<MainsResistor> {
    let fields = cursor.map_with(&["resistance", "fitted_by"])?;
    let value = fields.required("resistance").and_then(|c| quantity(&c, Sign::Positive));
    let rated = maybe(&fields, "rated", Sign::Positive);
    let by_maker = fields.required("fitted_by").and_then(|c| match c.text()? {
        "maker" => Some(true),
        "repairer" => Some(false),
        other => {
            c.fail(
                &format!("{} did not fit it", quoted(other)),
                Some("write `maker` (the set was designed with it) or `repairer` (it came later)"),
            );
            None
        }
    });
    fields.finish();
    Some(MainsResistor { value: value?, rated, by_maker: by_maker? })
}

pub(super) fn parts(cursor: &Cursor<'_>) -> OwnParts {
    let mut own = OwnParts::default();
    let Some(fields) = cursor.map_with(&["resistors", "transformers"]) else {
        return own;
    };
    let items = |key: &'static str| {
        let list = fields.optional(key).and_then(|c| c.list());
        list.unwrap_or_default().into_iter().take(MOST)
    };
    own.resistors = items("resistors").filter_map(|c| resistor(&c)).collect();
    own.transformers = items("transformers").filter_map(|c| transformer(&c)).collect();
    fields.finish();
    own
}

fn resistor(cursor: &Cursor<'_>) -> Option<(Resistance, ResistorSize)> {
    let fields = cursor.map_with(&["value", "rating", "family"])?;
    let value = fields.required("value").and_then(|c| quantity::<Resistance>(&c, Sign::Positive));
    let rating = fields.required("rating").and_then(|c| quantity::<Power>(&c, Sign::Positive));
    let family = fields.optional("family");
    fields.finish();
    let wanted = match &family {
        Some(c) => c.text()?,
        None => "ceramic-cased",
    };
    let Some(like) = resistor_sizes().iter().find(|s| s.family == wanted) else {
        if let Some(c) = &family {
            let mut known: Vec<&str> = resistor_sizes().iter().map(|s| s.family.as_str()).collect();
            known.sort_unstable();
            known.dedup();
            c.fail(
                &format!("{} is not a family of resistors", quoted(wanted)),
                Some(&format!("write one of: {}", known.join(", "))),
            );
        }
        return None;
    };
    let (value, rating) = (value?, rating?);
    let size = ResistorSize {
        rating_w: rating.si(),
        // a larger housing on its plate is cooler per watt in proportion
        plate_k_per_w: like.plate_k_per_w.map(|k| k * like.rating_w / rating.si()),
        ..like.clone()
    };
    Some((value, size))
}

fn transformer(cursor: &Cursor<'_>) -> Option<(Voltage, Voltage, Current)> {
    let fields = cursor.map_with(&["primary", "secondary", "current"])?;
    let primary = maybe(&fields, "primary", Sign::Positive);
    let secondary = maybe(&fields, "secondary", Sign::Positive);
    let current = maybe(&fields, "current", Sign::Positive);
    let whole = fields.has("primary") && fields.has("secondary") && fields.has("current");
    fields.finish();
    if !whole {
        cursor.fail(
            "a small transformer needs its three figures",
            Some("write { primary: 115 V, secondary: 6.3 V, current: 2 A }"),
        );
    }
    Some((primary?, secondary?, current?))
}
