//! The list of what to buy for a set: for the advised choice or another, or for the repairs that come first.

use super::{
    Caution, Item, OutletVolts, Plan, Result, Serialize, SetSummary, Verdict, buy, caution,
    note::pick,
    solve::{Offered, Solved},
};
use crate::{
    adaptation::{Method, With},
    profile::Profile,
};

/// Name and version of the JSON form of a list of parts.
pub const PARTS_SCHEMA: &str = "mainsfit.parts/1";

/// What to buy for a set.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PartsList {
    /// Cautions, in the order of the work.
    #[serde(serialize_with = "caution::spoken")]
    #[cfg_attr(feature = "schema", schemars(with = "Vec<caution::Spoken<'_>>"))]
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
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
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
    let items = buy::items(&solved, profile, place)?;
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
