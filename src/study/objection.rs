//! What speaks against a choice.

mod words;

use super::{FaultCase, HEATER_LIMIT, Limit, Reading, Serialize};
pub(crate) use crate::text::{figure, high_or_low};

/// A reason against a choice, with its numbers.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Objection {
    /// The outlet is too far above what the set was made for to leave it on bare.
    Straight {
        /// Share above.
        excess: f64,
    },
    /// Heaters off by more than is comfortable on the usual line.
    HeatersAtUsual {
        /// Share above (or below) rated.
        excess: f64,
    },
    /// Heaters outside the tolerance at low or high line.
    HeatersThroughTheDay {
        /// Outlet volts.
        outlet_v: f64,
        /// Share above (or below) rated.
        excess: f64,
    },
    /// A limit of the set is passed.
    LimitPassed {
        /// What.
        what: String,
        /// Value.
        value: f64,
        /// Limit.
        limit: f64,
        /// Unit.
        unit: &'static str,
        /// Outlet volts.
        outlet_v: f64,
    },
    /// No stock resistor is large enough for the running heat.
    NoSize {
        /// Watts at high line.
        watts_w: f64,
    },
    /// It gains too little for what a part adds.
    LittleGain {
        /// Share of the heaters' rating that they come nearer to it.
        gain: f64,
    },
    /// Its voltage falls with the signal, and the heaters with it.
    SagsWithSignal {
        /// Share of the heaters' rating that is lost from rest to full output.
        fall: f64,
    },
    /// It raises the set too far when the outlet is high.
    RaisedTooFar {
        /// At the set, V RMS.
        set_v: f64,
        /// Most, V RMS.
        most_v: f64,
        /// Outlet volts.
        outlet_v: f64,
    },
    /// Heater volts outside the tolerance once what is uncertain about the part is counted.
    Band {
        /// Share above (or below) rated at the edge of the band.
        excess: f64,
        /// Part of that which is uncertainty, as a share.
        uncertain: f64,
    },
    /// No place bears it: twice its heat is more than what is left of its rating.
    NoPlace {
        /// Heat at high line and worst tolerance, W.
        watts_w: f64,
        /// Printed rating, W.
        rated_w: f64,
    },
    /// The set's current lies outside what the part's law covers.
    OutsideLaw {
        /// The set's current, A.
        amps: f64,
        /// Lowest, A.
        low: f64,
        /// Highest, A.
        high: f64,
    },
    /// The fuse may hold more than the part bears.
    HeldAbovePart {
        /// Held for an hour, A.
        held_a: f64,
        /// The part's highest current, A.
        part_a: f64,
    },
    /// A fault burns the part before the fuse must open.
    FaultBurns {
        /// The fault.
        #[cfg_attr(feature = "schema", schemars(with = "String"))]
        fault: FaultCase,
        /// Fuse rating, A.
        fuse_a: f64,
        /// Line current, A.
        line_a: f64,
        /// Watts in the part.
        watts_w: f64,
        /// What it may lose for that long, W.
        allowed_w: f64,
    },
    /// A fault that has no solution: it counts as one the part does not survive.
    FaultUnsolved {
        /// The fault.
        #[cfg_attr(feature = "schema", schemars(with = "String"))]
        fault: FaultCase,
    },
    /// No fuse rating suits the current.
    NoFuse {
        /// Running current, A.
        running_a: f64,
    },
    /// The small transformer's primary gets too much.
    PrimaryVolts {
        /// Rated primary volts.
        primary_v: f64,
        /// Outlet volts, V RMS.
        outlet_v: f64,
    },
    /// The step transformer is small for the set.
    TooSmall {
        /// Its size, VA.
        va: f64,
        /// What the set takes at high line, W.
        watts_w: f64,
    },
    /// The target is missed by more than is comfortable.
    MissesTarget {
        /// Share above (or below) the target.
        share: f64,
    },
    /// The part's figures are too rough to advise it.
    RoughFigures,
    /// A bench tool, not something to leave in a set.
    BenchOnly,
    /// The dropper of the heater string lies in the line cord, and would stay there.
    LineCord,
}

impl Objection {
    pub(super) fn through_the_day(reading: &Reading) -> Objection {
        let (outlet_v, excess) = (reading.outlet_v, reading.heater_excess());
        Objection::HeatersThroughTheDay { outlet_v, excess }
    }

    pub(crate) fn limit(limit: &Limit, outlet_v: f64) -> Objection {
        Objection::LimitPassed {
            what: limit.name.clone(),
            value: limit.value,
            limit: limit.limit,
            unit: limit.unit,
            outlet_v,
        }
    }

    /// True where who names the choice may have it all the same: a tool of the bench, a part that is worth little.
    pub(super) fn leaves_the_choice(&self) -> bool {
        matches!(self, Objection::BenchOnly | Objection::LittleGain { .. })
    }

    /// True for heaters that come out off, but no further than one bears where nothing better is to be had.
    pub(super) fn is_bearable(&self) -> bool {
        match self {
            Objection::HeatersAtUsual { excess } => (-MOST_LOW..=HEATER_LIMIT).contains(excess),
            Objection::MissesTarget { share } => share.abs() <= HEATER_LIMIT,
            // an old cord that runs as it was made to is left before a set is run too high
            Objection::HeatersThroughTheDay { .. } | Objection::LineCord => true,
            _ => false,
        }
    }
}

/// How low heaters may stay on the usual line where iron of another frequency bears no more: cathodes give less, and
/// last (reasoned, no source).
const MOST_LOW: f64 = 0.15;

/// What is limited and its limit, with their unit.
pub(crate) fn figures(limit: &Limit) -> [String; 2] {
    [limit.value, limit.limit].map(|value| figure(value, limit.unit))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Heaters bear 10 % either way, on the usual line 15 % too little where iron bears no more (`HEATER_LIMIT`,
    /// `MOST_LOW`); a target counts as nearly met within the same 10 %.
    #[test]
    fn what_is_bearable_ends_where_heaters_no_longer_bear_it() {
        let missed = |share| Objection::MissesTarget { share }.is_bearable();
        let heaters = |excess| Objection::HeatersAtUsual { excess }.is_bearable();
        assert_eq!([-0.11, -0.09, 0.0, 0.09, 0.11].map(missed), [false, true, true, true, false]);
        assert_eq!([-0.16, -0.14, 0.09, 0.11].map(heaters), [false, true, true, false]);
    }
}
