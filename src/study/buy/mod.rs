//! What to buy for the job: the part of the choice with fuse and box, what is to be repaired, the capacitors to renew.
//!
//! [`item`] a line of the list and its words, [`words`] what figures in them are worded by, [`bench`] the set that is bought for,
//! [`lead`] the choice and its fuse, [`repairs`] what readings found drifted, [`capacitors`] those to renew.

mod bench;
mod capacitors;
mod item;
mod lead;
mod repairs;
mod words;

pub use item::{Ask, Item, ItemFor, Why};

use super::{Caution, Result, Verdict, solve::Solved};
use crate::{catalogue::stock::LineClass, profile::Profile};
use bench::Bench;

/// The lines for the choice at `place`; without one those of the repairs.
///
/// # Errors
/// A point that could not be solved.
pub fn items(solved: &Solved, profile: &Profile, place: Option<usize>) -> Result<Vec<Item>> {
    let plan = &solved.plan;
    let bench = Bench::of(solved, profile, place)?;
    let mut list = repairs::items(&bench);
    let choice = place.map(|place| &plan.choices[place]);
    // what is in already is not bought again, nor is its fuse
    let is_in = choice.filter(|_| plan.advice.verdict == Verdict::LeaveFitted);
    let is_in = is_in.is_some_and(|choice| plan.advice.choice == Some(choice.method));
    let bought = choice.filter(|_| !is_in);
    list.extend(bought.map(|choice| lead::items(plan, choice)).unwrap_or_default());
    let fuse = match choice {
        Some(choice) => choice.fuse.as_ref(),
        None => plan.fuse.as_ref().map(|set| &set.fuse),
    };
    let fuse = fuse.filter(|fuse| !is_in || fuse.present_a.is_none() || fuse.must_change);
    list.extend(fuse.map(|fuse| lead::fuse(fuse, plan.outlet.high_v)).unwrap_or_default());
    list.extend(capacitors::items(&bench));
    list.extend(line_capacitors(bench.receiver.model().is_live(), plan.outlet.high_v));
    list.extend(plan.cautions.iter().find_map(|caution| drain(caution, &plan.cautions)));
    Ok(list)
}

/// Safety capacitors, which no profile tells of.
fn line_capacitors(live: bool, line_v: f64) -> Vec<Item> {
    let row = |class: LineClass, what: &str, why| {
        let rated_v = class.rated_for(line_v)?;
        let ask = Ask::Safety { class, rated_v };
        Some(Item {
            quantity: None,
            rated_v: Some(rated_v),
            rated_ac: true,
            class: Some(class.word()),
            at_line_v: Some(line_v),
            ..Item::new(ItemFor::Look, what, ask, why)
        })
    };
    let rows = match live {
        true => [
            row(LineClass::X2, "capacitor from line to chassis", Why::LineToChassis { line_v }),
            row(LineClass::Y2, "capacitor to antenna or ground", Why::ToAntenna { line_v }),
        ],
        false => [
            row(LineClass::X2, "capacitor across the line", Why::AcrossLine { line_v }),
            row(LineClass::Y2, "capacitor from line to chassis", Why::ToChassis { line_v }),
        ],
    };
    rows.into_iter().flatten().collect()
}

/// The resistor by which the filter capacitors are drained, where a caution asks for it.
fn drain(caution: &Caution, all: &[Caution]) -> Option<Item> {
    let Caution::Drain { ohms, rated_w, seconds } = *caution else { return None };
    let highest = all.iter().find_map(|caution| {
        if let Caution::Lethal { highest_v, .. } = caution { Some(*highest_v) } else { None }
    });
    let (ask, why) = (Ask::Drain { ohms, rated_w }, Why::Drains { seconds, highest_v: highest? });
    let item = Item::new(ItemFor::Bench, "discharge resistor", ask, why).of_value(ohms, "Ω");
    Some(Item { rated_w: Some(rated_w), ..item })
}
