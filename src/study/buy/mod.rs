//! What to buy for the job: the part of the choice with fuse and box, what is to be repaired, the capacitors to renew.
//!
//! [`item`] a line of the list and its words, [`words`] what figures in them are worded by, [`lead`] the choice and its fuse,
//! [`repairs`] what readings found drifted, [`capacitors`] those to renew.

mod capacitors;
mod item;
mod lead;
mod repairs;
mod words;

pub use item::{Ask, Item, ItemFor, Why};

use super::{
    Caution, Choice, ColdStart, JsonSchema, OutletVolts, Plan, Result, Serialize, SetSummary,
    Verdict, caution,
    cold_start::{self, unloaded},
    note::pick,
    settle,
    solve::{Offered, Solved},
};
use crate::{
    adaptation::{Method, Part, With},
    catalogue::stock::LineClass,
    profile::Profile,
    receiver::{Operation, Receiver, Straight},
};

/// Name and version of the JSON form of a list of parts.
pub const PARTS_SCHEMA: &str = "mainsfit.parts/1";

/// What to buy for a set.
#[derive(Debug, Clone, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct PartsList {
    /// Cautions, in the order of the work.
    #[serde(serialize_with = "caution::spoken")]
    #[schemars(with = "Vec<caution::Spoken<'_>>")]
    pub cautions: Vec<Caution>,
    /// Name and version of this form.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// The set.
    pub set: SetSummary,
    /// The outlet.
    pub outlet: OutletVolts,
    /// What is to be done for the outlet voltage.
    pub verdict: Verdict,
    /// The choice whose part is on the list; null where repairs come first, and the part is chosen after them.
    #[schemars(with = "Option<String>")]
    pub choice: Option<Method>,
    /// The lines, in the order of their parts of the list.
    pub items: Vec<Item>,
    /// The plan it goes on from.
    #[serde(skip)]
    pub plan: Plan,
}

/// Lists what to buy for the choice named `with`, or for the advised one. Where repairs come first the list has those and no
/// part for the outlet, whatever is named.
///
/// # Errors
/// As a note's: there is no such choice, or something speaks against it; nothing is safe to recommend.
pub fn parts(mut solved: Solved, profile: &Profile, with: Option<With>) -> Result<PartsList> {
    let repairs = solved.plan.advice.verdict == Verdict::RepairFirst;
    let place = match repairs {
        true => None,
        false => Some(pick(&solved.plan, with, "no list is written")?),
    };
    let method = place.map(|place| solved.plan.choices[place].method);
    solved.settle_on(method, Offered::One);
    let items = items(&solved, profile, place)?;
    let plan = solved.plan;
    Ok(PartsList {
        cautions: plan.cautions.clone(),
        schema: PARTS_SCHEMA,
        version: plan.version,
        set: plan.set.clone(),
        outlet: plan.outlet,
        verdict: plan.advice.verdict,
        choice: method,
        items,
        plan,
    })
}

/// The lines for the choice at `place`; without one those of the repairs.
///
/// # Errors
/// A point that could not be solved.
pub fn items(solved: &Solved, profile: &Profile, place: Option<usize>) -> Result<Vec<Item>> {
    let plan = &solved.plan;
    let bench = Bench::of(solved, profile, place)?;
    let mut list = repairs::items(&bench);
    list.extend(place.map(|place| lead::items(plan, &plan.choices[place])).unwrap_or_default());
    let fuse = match place {
        Some(place) => plan.choices[place].fuse.as_ref(),
        None => plan.fuse.as_ref().map(|set| &set.fuse),
    };
    list.extend(fuse.map(|fuse| lead::fuse(fuse, plan.outlet.high_v)).unwrap_or_default());
    list.extend(capacitors::items(&bench));
    list.extend(line_capacitors(bench.receiver.model().is_live(), plan.outlet.high_v));
    list.extend(plan.cautions.iter().find_map(|caution| drain(caution, &plan.cautions)));
    Ok(list)
}

/// A set behind what is fitted, on high line: at work, and before its tubes draw.
struct Bench<'a> {
    plan: &'a Plan,
    profile: &'a Profile,
    receiver: &'a Receiver,
    /// What is fitted; none before the repairs.
    choice: Option<&'a Choice>,
    high: Operation,
    unloaded: Operation,
    /// Its starts on high line: with what is fitted; before the repairs as it is, and with what is advised after them.
    starts: Vec<ColdStart>,
}

impl<'a> Bench<'a> {
    fn of(solved: &'a Solved, profile: &'a Profile, place: Option<usize>) -> Result<Bench<'a>> {
        let Solved { plan, receiver, parts, .. } = solved;
        let started = |place: &usize| plan.choices[*place].cold_start.is_some();
        let after = plan.place(plan.advice.choice);
        let all: Vec<usize> = match place {
            Some(place) => vec![place],
            None => [Some(0), after].into_iter().flatten().filter(started).collect(),
        };
        // what must not be plugged in has no start on its outlet: on its own line it has one
        let first = all.first().copied();
        let part: &dyn Part = first.and_then(|place| parts[place].as_deref()).unwrap_or(&Straight);
        let line = first.map_or(plan.set.design_line_v, |_| plan.outlet.high_v);
        let settled = settle::run(receiver, part, line, None)?;
        let part = settled.part.as_deref().unwrap_or(part);
        let high = settled.operation;
        let mut starts: Vec<ColdStart> =
            all.iter().filter_map(|place| plan.choices[*place].cold_start.clone()).collect();
        if starts.is_empty() {
            starts.push(cold_start::start(receiver, part, &high)?);
        }
        let unloaded = unloaded(receiver, part, &high)?;
        let choice = place.map(|place| &plan.choices[place]);
        Ok(Bench { plan, profile, receiver, choice, unloaded, high, starts })
    }
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
