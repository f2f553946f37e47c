//! Reads what says how a transformer's iron saturates: no-load readings from a variac, or the share of its knee.

use super::cursor::Cursor;
use super::fields::Fields;
use super::model::{NoLoad, Transformer};
use super::problem::quoted;
use super::reach::Place;
use super::read::{self, maybe, quantity};
use super::read_supply::MOST;
use crate::quantity::{Quantity, Sign};

/// Most that the steep part may carry of the crest, as a share: beyond, a core would be driven far past its knee.
const KNEE_MOST: f64 = 0.95;

/// The keys `no_load` and `knee` of a primary.
pub(super) fn iron(primary: &Fields<'_>, transformer: &mut Transformer) {
    if let Some(c) = primary.optional("no_load") {
        let items = c.list().unwrap_or_default().into_iter().take(MOST);
        transformer.no_load = items.filter_map(|item| no_load(&item)).collect();
        let beside = ["no_load_current", "no_load_power"].map(|key| primary.optional(key));
        if let Some(other) = beside.into_iter().flatten().next() {
            other.fail(
                "the same is stated twice: here and under `no_load`",
                Some(
                    "keep the list `no_load` alone; a reading on the design line may be one of it",
                ),
            );
        }
    }
    if let Some(c) = primary.optional("knee") {
        transformer.knee = c.parse_with(knee);
    }
}

fn no_load(cursor: &Cursor<'_>) -> Option<NoLoad> {
    let fields = cursor.map_with(&["at", "current"])?;
    let at = fields.required("at").and_then(|c| read::volts(&c, Place::MAINS));
    let current = fields.required("current").and_then(|c| quantity(&c, Sign::Positive));
    let power_at = fields.optional("power");
    let power = power_at.as_ref().and_then(|c| quantity(c, Sign::Positive));
    let frequency = maybe(&fields, "frequency", Sign::Positive);
    fields.finish();
    let reading = NoLoad { at: at?, current: current?, power, frequency };
    let (most, of) = (reading.at.si() * reading.current.si(), reading.power.map(Quantity::si));
    if let (Some(c), Some(watts)) = (power_at, of)
        && watts >= most
    {
        c.fail(
            "more watts than volts times amperes",
            Some("check the three readings: with every load off a transformer takes about 0.4 of volts times amperes"),
        );
        return None;
    }
    Some(reading)
}

fn knee(text: &str) -> Result<f64, String> {
    let share = text.trim().strip_suffix('%').and_then(|n| n.trim().parse::<f64>().ok());
    let share = share.map(|percent| percent / 100.0).filter(|s| (0.0..=KNEE_MOST).contains(s));
    share.ok_or_else(|| {
        format!(
            "{} is not a share from 0 % to {:.0} %: write 50 %, or leave the line out and list `no_load` readings",
            quoted(text),
            100.0 * KNEE_MOST
        )
    })
}
