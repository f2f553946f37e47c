//! What is dangerous about what is fitted.

use super::{Against, FittedReport};
use crate::{
    receiver::Receiver,
    study::{Caution, Objection, OutletVolts, alarms},
};

/// What heads all that is said of a set, whatever is chosen.
pub fn alarms(
    receiver: &Receiver,
    outlet: &OutletVolts,
    fitted: Option<&FittedReport>,
) -> Vec<Caution> {
    let as_fitted = fitted.and_then(FittedReport::caution);
    alarms::alarms(receiver.model(), Some(outlet)).into_iter().chain(as_fitted).collect()
}

impl FittedReport {
    /// That the set must not be used with it; none where it stays, or only does no good.
    pub(in crate::study) fn caution(&self) -> Option<Caution> {
        self.against.iter().find_map(Against::danger).map(|why| Caution::NotAsFitted { why })
    }
}

impl Against {
    /// What it may do to the set or the house.
    fn danger(&self) -> Option<&'static str> {
        const HOT: &str = "does not bear its heat at work, or that of a fault";
        const MUCH: &str = "leaves the set with more than it bears";
        match self {
            Against::Heaters { excess, .. } => (*excess > 0.0).then_some(MUCH),
            Against::NotNeeded { .. } => None,
            Against::Place { .. } => Some(HOT),
            Against::Objection { objection } => match objection {
                Objection::NoSize { .. }
                | Objection::NoPlace { .. }
                | Objection::OutsideLaw { .. }
                | Objection::HeldAbovePart { .. }
                | Objection::FaultBurns { .. }
                | Objection::FaultUnsolved { .. }
                | Objection::PrimaryVolts { .. }
                | Objection::TooSmall { .. } => Some(HOT),
                Objection::LimitPassed { .. } | Objection::RaisedTooFar { .. } => Some(MUCH),
                Objection::Straight { .. }
                | Objection::HeatersAtUsual { .. }
                | Objection::HeatersThroughTheDay { .. }
                | Objection::MissesTarget { .. }
                | Objection::LittleGain { .. }
                | Objection::SagsWithSignal { .. }
                | Objection::Band { .. }
                | Objection::NoFuse { .. }
                | Objection::RoughFigures
                | Objection::BenchOnly
                | Objection::LineCord => None,
            },
        }
    }
}
