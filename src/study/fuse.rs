//! The fuse in the line lead: from running current, inrush and faults.

use super::Serialize;
use crate::{
    catalogue::stock::FuseStandard,
    profile::{PresentFuse, Profile},
    quantity::Quantity,
};

/// Inrush over rating that a slow fuse stands while heaters warm: below 4 times a time-lag fuse may not open in
/// less than 0.15 s (IEC 60127-2 sheet 3), and the heaters' share falls within a second.
const INRUSH: f64 = 4.0;

/// The fuse of a choice.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FuseReport {
    /// Standard of its rating.
    pub standard: &'static str,
    /// The same in short.
    #[serde(skip)]
    pub short: &'static str,
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
}

/// Rating for a running and an inrush current.
pub fn rating(standard: FuseStandard, running_a: f64, inrush_a: f64) -> Option<f64> {
    let by_running = standard.rating_for(running_a)?;
    standard.ratings().into_iter().find(|r| *r >= by_running && INRUSH * r >= inrush_a)
}

/// The fuse for a choice.
pub fn report(
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
        short: standard.short(),
        rating_a,
        running_a,
        inrush_a,
        breaks_a: rating_a.and_then(|rating| standard.breaks(rating, line_v)),
        held_a: rating_a.map(|r| standard.held_for_an_hour() * r),
        present_a,
        must_change: present_a.zip(rating_a).is_some_and(|(present, wanted)| {
            !same_standard || (present / wanted - 1.0).abs() > 1e-6
        }),
    }
}

/// The standard of the set's fuses: that of the one that is in, else that of the outlet's country.
pub fn standard(profile: &Profile, usual_v: f64) -> FuseStandard {
    let stated = profile.present_fuse().and_then(|fuse| fuse.standard);
    stated.unwrap_or_else(|| FuseStandard::for_line(usual_v))
}
