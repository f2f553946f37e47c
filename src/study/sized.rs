//! What a set meets behind a part at high line, and the part in the size that asks for. Plan and replacement size by it.

use super::{
    FaultReport, FuseReport, Objection, RatingReport, Reading, Result,
    burning::{burning, held_w, judge_heat},
    cold_start::{self, ColdStart},
    faults::{Bare, FaultBench},
    fuse, rating, read,
};
use crate::{
    adaptation::{Part, SIZE_MARGIN},
    catalogue::stock::FuseStandard,
    profile::PresentFuse,
    receiver::{Operation, Receiver},
};

/// The first cycles at high line, the fuse by them and by the running current, and every fault behind that.
pub struct Met {
    pub cold: ColdStart,
    pub fuse: FuseReport,
    pub faults: Vec<FaultReport>,
}

/// What `receiver` meets behind `part`, as it stands at its point `high`; `bare` is the set without it.
///
/// # Errors
/// A point that could not be solved.
pub fn met(
    receiver: &Receiver,
    (standard, present): (FuseStandard, Option<PresentFuse>),
    (part, high): (&dyn Part, &Operation),
    bare: &Bare,
) -> Result<Met> {
    let (line, line_a) = (high.line, read(receiver, high).line_a);
    let cold = cold_start::start(receiver, part, high)?;
    let fuse = fuse::report(standard, line, (line_a, cold.inrush_a), present);
    let faults = fuse.rating_a.map_or(Vec::new(), |fuse_a| {
        FaultBench { receiver, standard, fuse_a, line, bare }.all(part, high)
    });
    Ok(Met { cold, fuse, faults })
}

/// Where `part` is a transformer for the whole set that is smaller than the set's watts ask for.
pub fn too_small(part: &dyn Part, high: &Reading) -> Option<Objection> {
    let (va, watts_w) = (part.va()?, high.line_w - high.lead_w);
    (va < SIZE_MARGIN * watts_w).then_some(Objection::TooSmall { va, watts_w })
}

/// The rating of each of a part's resistors.
pub type Ratings = [Option<RatingReport>; 2];

/// `part` in the first size in which nothing burns it, as long as one is sold, where the set reads `high`; its ratings, which
/// a larger winding has none of: it gives other volts, and is to be solved anew.
pub fn sized(
    mut part: Box<dyn Part>,
    high: &Reading,
    fuse: &FuseReport,
    faults: &mut [FaultReport],
) -> (Box<dyn Part>, Option<Ratings>) {
    loop {
        let (ratings, weak) = rated(&*part, high, fuse, faults);
        match weak.and_then(|which| part.larger(which)) {
            Some(larger) if part.resistors().is_empty() => return (larger, None),
            Some(larger) => part = larger,
            None => return (part, Some(ratings)),
        }
    }
}

/// The rating of each resistor of `part` where the set reads `high`, said to the faults too, and which of its parts is too
/// small: for its heat, for a fault, for what the fuse may hold, for the set's watts.
fn rated(
    part: &dyn Part,
    high: &Reading,
    fuse: &FuseReport,
    faults: &mut [FaultReport],
) -> (Ratings, Option<usize>) {
    let held = |most: f64| fuse.held_a.is_some_and(|held| held > most);
    let small = part.current_range().is_some_and(|(_, most)| held(most));
    let mut weak = (small || too_small(part, high).is_some()).then_some(0);
    let mut ratings = [None, None];
    for (which, resistor) in part.resistors().into_iter().enumerate() {
        let circuit = match (part.stands_in_lead(), which) {
            (true, _) => rating::Circuit::Cord,
            (false, 0) => rating::Circuit::String,
            (false, _) => rating::Circuit::PlateLead,
        };
        let Some(mut rating) = rating::rate(resistor, high.fitted_w[which], circuit) else {
            continue;
        };
        rating.rule_out(resistor, held_w(faults, which));
        judge_heat(faults, which, resistor, &rating);
        let burns = burning(faults, which, resistor, &rating).next().is_some();
        if burns || !rating.has_place() {
            weak = weak.or(Some(which));
        }
        ratings[which] = Some(rating);
    }
    (ratings, weak)
}
