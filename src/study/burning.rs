//! What a part meets in a fault until the fuse ends it, and whether it burns.

use super::{FaultReport, RatingReport};
use crate::adaptation::Dropper;

/// A fuse's hour, s.
const AN_HOUR_S: f64 = 3600.0;

/// Most heat a fault puts into the `which`-th part that is fitted for as long as the fuse may hold it, W. An hour is as
/// good as for ever to a part that settles within minutes.
pub fn held_w(faults: &[FaultReport], which: usize) -> f64 {
    let held =
        faults.iter().filter(|f| f.opens_within_s().is_none_or(|seconds| seconds >= AN_HOUR_S));
    held.filter_map(|f| f.fitted_w.get(which)).copied().fold(0.0, f64::max)
}

/// What `part` may lose until the fuse must open in `fault`: what it sheds, and the energy of its short overload spread
/// over that time, W.
fn allowed_w(fault: &FaultReport, part: &Dropper, rating: &RatingReport) -> f64 {
    let overload = part.overload_5s().unwrap_or(1.0);
    rating.derated_w() + fault.spread_w(overload, rating.rated_w)
}

/// The faults that burn `part`, the `which`-th that is fitted, before the fuse must open: its heat and what it may lose, W.
pub fn burning<'a>(
    faults: &'a [FaultReport],
    which: usize,
    part: &'a Dropper,
    rating: &'a RatingReport,
) -> impl Iterator<Item = (&'a FaultReport, f64, f64)> {
    faults.iter().filter_map(move |fault| {
        let (heat, allowed) = (*fault.fitted_w.get(which)?, allowed_w(fault, part, rating));
        (heat > allowed && !part.is_fusible()).then_some((fault, heat, allowed))
    })
}

/// Says of each fault what `part`, the `which`-th that is fitted, makes of it: of a fusible type whether it opens and ends the
/// fault; of the first what it may lose until the fuse must open, and whether it burns. The currents do not depend on the part's
/// size, so a larger part of the same value is judged by the same solutions.
pub fn judge_heat(faults: &mut [FaultReport], which: usize, part: &Dropper, rating: &RatingReport) {
    for fault in faults {
        let allowed = allowed_w(fault, part, rating);
        if part.is_fusible() {
            fault.fusible_opens = fault.fitted_w.get(which).is_some_and(|watts| *watts > allowed);
        }
        if which == 0 {
            fault.part_allowed_w = fault.part_w.map(|_| allowed);
            fault.burns = fault.part_w.is_some_and(|w| w > allowed);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{
        FuseAction,
        rating::{Circuit, rate},
    };
    use super::*;
    use crate::adaptation::{Build, Joined};
    use crate::catalogue::stock::resistor_sizes;

    /// 22 Ω of a size that is not meant for a heat sink.
    fn dropper() -> Dropper {
        let mut sizes = resistor_sizes().iter();
        let size = sizes.find(|s| s.unmounted_share.is_none() && s.rating_w >= 20.0);
        Dropper {
            ohms: 22.0,
            build: size.map(|size| Build {
                size: size.clone(),
                joined: Joined::Single,
                own: false,
            }),
        }
    }

    fn fault(watts: Option<f64>, opens: Option<Option<f64>>) -> FaultReport {
        FaultReport {
            fuse: opens.map(|opens_within_s| FuseAction { multiple: 2.0, opens_within_s }),
            part_w: watts,
            fitted_w: watts.into_iter().collect(),
            ..FaultReport::default()
        }
    }

    /// Counted is what no fuse ends within the hour, by its standard's gates or for want of a fuse.
    #[test]
    fn held_is_what_no_fuse_ends_within_the_hour() {
        let short = fault(Some(50.0), Some(Some(10.0)));
        let hour = fault(Some(30.0), Some(Some(3600.0)));
        let never = fault(Some(20.0), Some(None));
        let no_fuse = fault(Some(12.0), None);
        let no_heat = fault(None, None);
        assert_eq!(held_w(&[], 0), 0.0);
        assert_eq!(held_w(std::slice::from_ref(&short), 0), 0.0);
        assert_eq!(held_w(&[no_heat.clone(), no_fuse.clone()], 0), 12.0);
        assert_eq!(held_w(&[no_fuse, short.clone(), never.clone()], 0), 20.0);
        assert_eq!(held_w(&[never, hour, short, no_heat], 0), 30.0);
    }

    /// The makers' overload for 5 s is an energy: over 10 s half of its watts are borne beside what the part sheds.
    #[test]
    fn a_part_bears_its_short_overload_spread_over_the_fuses_time() {
        let part = dropper();
        let rating = rate(&part, 1.0, Circuit::Cord).unwrap();
        let (sheds, overload) = (rating.derated_w(), part.overload_5s().unwrap());
        assert!(sheds > 0.0 && overload > 1.0);
        for (opens, allowed) in [
            (Some(Some(5.0)), sheds + overload * rating.rated_w),
            (Some(Some(10.0)), sheds + 0.5 * overload * rating.rated_w),
            (Some(Some(120.0)), sheds + overload * rating.rated_w / 24.0),
            (Some(None), sheds),
            (None, sheds),
        ] {
            for share in [0.99, 1.01] {
                let mut faults = [fault(Some(share * allowed), opens), fault(None, opens)];
                judge_heat(&mut faults, 0, &part, &rating);
                let told = faults[0].part_allowed_w.unwrap();
                assert!((told / allowed - 1.0).abs() < 1e-12, "{told} for {allowed}");
                assert_eq!(faults[0].burns, share > 1.0);
                assert!(!faults[1].burns && faults[1].part_allowed_w.is_none());
            }
        }
    }

    /// A fault the fuse holds for an hour rules out the places where it would burn the part, and no other; the box in the
    /// lead is judged by the faults themselves.
    #[test]
    fn places_where_a_held_fault_burns_the_part_are_ruled_out() {
        let part = dropper();
        let at_work = rate(&part, 0.5, Circuit::Cord).unwrap();
        assert!(at_work.places.iter().all(|p| p.acceptable));
        for place in 1..at_work.places.len() {
            let bears = at_work.places[place].derated_w;
            let mut ruled = at_work.clone();
            ruled.rule_out(&part, 1.01 * bears);
            for (after, before) in ruled.places.iter().zip(&at_work.places).skip(1) {
                if before.derated_w <= bears {
                    assert!(!after.acceptable && after.rule.contains("an hour"));
                }
            }
            assert!(ruled.places[0].acceptable);
        }
        let mut kept = at_work.clone();
        kept.rule_out(&part, 0.5);
        assert!(kept.places.iter().all(|p| p.acceptable));
        assert_eq!(kept.derated_w(), kept.places[0].derated_w);
    }
}
