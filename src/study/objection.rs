//! What speaks against a choice.

use super::{
    FaultCase, HEATER_GOOD, HEATER_LIMIT, JsonSchema, Limit, Reading, Serialize,
    limit::HEATER_AT_HIGH,
};
use std::fmt;

/// A reason against a choice, with its numbers.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
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
        #[schemars(with = "String")]
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
        #[schemars(with = "String")]
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

/// "7.1 % high", "2.0 % low" or "as rated".
pub(crate) fn high_or_low(share: f64) -> String {
    let tenths = (1000.0 * share).round() / 10.0;
    if tenths == 0.0 {
        return "as rated".to_owned();
    }
    let word = if tenths < 0.0 { "low" } else { "high" };
    format!("{:.1} % {word}", tenths.abs())
}

/// A value with its unit, three digits, small currents in mA.
pub(crate) fn figure(value: f64, unit: &str) -> String {
    if unit == "A" && value.abs() < 1.0 {
        return figure(1e3 * value, "mA");
    }
    let digits = match value.abs() {
        v if v >= 100.0 => 0,
        v if v >= 10.0 => 1,
        _ => 2,
    };
    format!("{value:.digits$} {unit}")
}

/// What is limited and its limit, with their unit.
pub(crate) fn figures(limit: &Limit) -> [String; 2] {
    [limit.value, limit.limit].map(|value| figure(value, limit.unit))
}

impl fmt::Display for Objection {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Objection::Straight { excess } => write!(
                f,
                "the outlet is {:.1} % above what the set was made for, too much to plug it in bare",
                100.0 * excess
            ),
            Objection::HeatersAtUsual { excess } => write!(
                f,
                "heaters {} on the usual line, more than {:.0} %",
                high_or_low(*excess),
                100.0 * HEATER_GOOD
            ),
            Objection::HeatersThroughTheDay { outlet_v, excess } => {
                write!(
                    f,
                    "heaters {} at {outlet_v:.0} V, more than {:.0} %",
                    high_or_low(*excess),
                    100.0 * HEATER_AT_HIGH
                )
            }
            Objection::LimitPassed { what, value, limit, unit, outlet_v } => write!(
                f,
                "{what} {} at {outlet_v:.0} V, limit {}",
                figure(*value, unit),
                figure(*limit, unit)
            ),
            Objection::NoSize { watts_w } => write!(
                f,
                "it loses {watts_w:.0} W, and no stock resistor bears that with a margin together with what the fuse may let pass for an hour"
            ),
            Objection::LittleGain { gain } if *gain < 0.0 => {
                write!(f, "it takes the heaters {:.1} % farther from their rating", -100.0 * gain)
            }
            Objection::LittleGain { gain } => write!(
                f,
                "it brings the heaters {:.1} % nearer to their rating, too little for a part",
                100.0 * gain
            ),
            Objection::SagsWithSignal { fall } => write!(
                f,
                "at full output the set draws more, and its heaters fall by {:.1} %",
                100.0 * fall
            ),
            Objection::RaisedTooFar { set_v, most_v, outlet_v } => write!(
                f,
                "the set would get {set_v:.0} V when the outlet stands at {outlet_v:.0} V, more than {most_v:.0} V"
            ),
            Objection::Band { excess, uncertain } => write!(
                f,
                "heaters may be {}, ±{:.1} % of it the part's own: outside ±{:.0} %",
                high_or_low(*excess),
                100.0 * uncertain,
                100.0 * HEATER_LIMIT
            ),
            Objection::NoPlace { watts_w, rated_w } => write!(
                f,
                "{watts_w:.1} W at worst in a {rated_w:.0} W part: less than twice that is left of its rating in any place"
            ),
            Objection::OutsideLaw { amps, low, high } => write!(
                f,
                "the set's {amps:.2} A lies outside the {low:.2} to {high:.2} A the part is known for"
            ),
            Objection::HeldAbovePart { held_a, part_a } => write!(
                f,
                "the fuse may hold {held_a:.2} A for an hour, the part bears {part_a:.1} A"
            ),
            Objection::FaultBurns { fault, fuse_a, line_a, watts_w, allowed_w } => write!(
                f,
                "{fault}: {line_a:.2} A through a {fuse_a} A fuse puts {watts_w:.0} W into a part that bears {allowed_w:.0} W; take a larger rating, a smaller fuse or a bucking transformer"
            ),
            Objection::FaultUnsolved { fault } => write!(
                f,
                "{fault}: the calculation did not converge, and counts as a fault the part does not survive"
            ),
            Objection::NoFuse { running_a } => {
                write!(f, "no standard small fuse suits {running_a:.2} A")
            }
            Objection::PrimaryVolts { primary_v, outlet_v } => write!(
                f,
                "its own {primary_v:.0} V primary gets more than 10 % too much on {outlet_v:.0} V"
            ),
            Objection::TooSmall { va, watts_w } => write!(
                f,
                "the transformer is of {va:.0} VA, and the set takes {watts_w:.0} W: take twice that at the least"
            ),
            Objection::MissesTarget { share } => {
                write!(f, "it misses the target: {} of it", high_or_low(*share))
            }
            Objection::RoughFigures => write!(
                f,
                "its law is rough: look at its maker's sheet, and measure, before one is fitted"
            ),
            Objection::LineCord => {
                write!(f, "it leaves the old resistance wire of the line cord in use")
            }
            Objection::BenchOnly => write!(f, "a tool for the bench, not to be left in"),
        }
    }
}
