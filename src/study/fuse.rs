//! The fuse in the line lead: from running current, inrush and faults.

use super::faults::FaultCase;
use super::plan::Choice;
use crate::adaptation::Method;
use crate::catalogue::stock::FuseStandard;
use crate::profile::PresentFuse;
use crate::quantity::Quantity;
use schemars::JsonSchema;
use serde::Serialize;

/// Inrush over rating that a slow fuse stands while heaters warm: below 4 times a time-lag fuse may not open in
/// less than 0.15 s (IEC 60127-2 sheet 3), and the heaters' share falls within a second.
const INRUSH: f64 = 4.0;

/// The fuse of a choice.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct FuseReport {
    /// Standard of its rating.
    pub standard: &'static str,
    /// Rating, A; `None` if no standard small fuse suits.
    pub rating_a: Option<f64>,
    /// Running current at high line, A RMS.
    pub running_a: f64,
    /// Current in the first cycles, A RMS.
    pub inrush_a: f64,
    /// Current it may let pass for an hour, A.
    pub held_a: Option<f64>,
    /// The fuse now in the set, A.
    pub present_a: Option<f64>,
    /// True if the fuse now in the set must change.
    pub must_change: bool,
    /// Highest current it breaks on high line, A; null where that is not known.
    pub breaks_a: Option<f64>,
    /// The fuse of the outlet's country that it takes the place of, where that one would let a fault burn the part.
    pub instead_of: Option<OtherFuse>,
}

/// A fuse behind which a fault burns the part.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct OtherFuse {
    /// Standard of its rating.
    pub standard: &'static str,
    /// Rating, A.
    pub rating_a: f64,
    /// The fault.
    #[schemars(with = "String")]
    pub fault: FaultCase,
    /// Heat it puts into the part, W.
    pub heat_w: f64,
    /// What the part may lose until that fuse must open, W.
    pub allowed_w: f64,
}

/// The fuse of a set: that of the choice advised; of the set as it is where none is. Plan, note and power-up go by it.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SetFuse {
    /// The choice it is for.
    #[schemars(with = "String")]
    pub choice: Method,
    /// The fuse.
    #[serde(flatten)]
    pub fuse: FuseReport,
    /// Another choice with nothing against it that does with a fuse of the outlet's country, where this one does not.
    #[schemars(with = "Option<String>")]
    pub country_choice: Option<Method>,
}

/// The fuse of the set with `choices`, of which `advised` is advised.
pub(super) fn of_set(choices: &[Choice], advised: Option<Method>) -> Option<SetFuse> {
    let method = advised.unwrap_or(Method::AsIs);
    let fuse = choices.iter().find(|c| c.method == method)?.fuse.clone()?;
    let country_choice = fuse.instead_of.as_ref().and_then(|other| {
        let does = |c: &&Choice| {
            let fits = |f: &FuseReport| f.standard == other.standard && f.rating_a.is_some();
            c.objections.is_empty() && c.fuse.as_ref().is_some_and(fits)
        };
        choices.iter().find(does).map(|c| c.method)
    });
    Some(SetFuse { choice: method, fuse, country_choice })
}

/// Rating for a running and an inrush current.
pub(super) fn rating(standard: FuseStandard, running_a: f64, inrush_a: f64) -> Option<f64> {
    let by_running = standard.rating_for(running_a)?;
    standard.ratings().into_iter().find(|r| *r >= by_running && INRUSH * r >= inrush_a)
}

/// The fuse for a choice.
pub(super) fn report(
    standard: FuseStandard,
    line_v: f64,
    (running_a, inrush_a): (f64, f64),
    present: Option<PresentFuse>,
) -> FuseReport {
    let rating_a = rating(standard, running_a, inrush_a);
    let present_a = present.map(|p| p.rating.si());
    let same_standard = present.is_none_or(|p| p.standard.is_none_or(|s| s == standard));
    FuseReport {
        standard: standard.name(),
        rating_a,
        running_a,
        inrush_a,
        breaks_a: rating_a.and_then(|rating| standard.breaks(rating, line_v)),
        instead_of: None,
        held_a: rating_a.map(|r| standard.held_for_an_hour() * r),
        present_a,
        must_change: present_a.zip(rating_a).is_some_and(|(present, wanted)| {
            !same_standard || (present / wanted - 1.0).abs() > 1e-6
        }),
    }
}
