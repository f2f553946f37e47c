//! Questions asked of a set: plan and sweep. Studies compute and never print.

mod advice;
mod alarms;
mod assumption;
mod band;
mod behind;
mod blank;
mod caution;
mod checkpoint;
mod cold_start;
mod connect;
mod divider;
mod dry;
mod faults;
mod fit;
mod flags;
mod fuse;
mod judge;
mod limits;
mod measures;
mod note;
mod offered;
mod outlet;
mod plan;
mod plans;
mod power_up;
mod rating;
mod reading;
mod remainder;
mod schema;
mod settle;
mod share;
mod supply;
mod surge;
mod sweep;
mod target;
mod tolerance;
mod working;

pub use crate::receiver::Fault;
pub use advice::{Advice, Objection};
pub use alarms::set_alarms;
pub use assumption::AssumptionReport;
pub use band::Band;
pub use behind::{Behind, SecondRefused};
pub use blank::{Between, Blank, BlankError, BlankFeeds, BlankTube, NewSet, blank};
pub use caution::{Caution, Step};
pub use checkpoint::Checkpoint;
pub use cold_start::{CapacitorAtStart, ColdStart, Ready};
pub use connect::{Connect, Ohms, Wrong as WrongConnection};
pub use divider::{
    Arm, Buy, DRIFTS, DividerKnown, DividerPlace, DividerRequest, DividerSize, DividerStudy,
    Drifted, MOST_ARMS, MeterReading, Metered, RANGES_V, Rounded, Tap, TapLoad, Voltmeter, divider,
    divider_of,
};
pub use dry::{DryRectifier, PlateResistor};
pub use faults::{FaultCase, FaultReport, FuseAction, OtherFuse, SetFuse};
pub use fit::{
    Answer, Contradiction, Explanation, Fit, FittedNumber, FittedReading, NextReading,
    ReadingsReport, Suspect, TakeAgain, Telling, Wrong, fit, readings,
};
pub use fuse::FuseReport;
pub(crate) use measures::What;
pub use measures::{Measure, Meter};
pub use note::{LineCurve, Note, note};
pub use outlet::{OutletChoice, OutletVolts, assumed as outlet_assumed};
pub use plan::{
    Choice, Day, PLAN_SCHEMA, Plan, Request, SetSummary, Standing as ChoiceStanding, WithPart, plan,
};
pub use plans::{PlanList, PlanRow, PlannedRow, RowBody, shared_cautions};
pub use power_up::{
    CapacitorTest, ColdCheck, ColdKind, Emission, Glow, HeaterStage, InSockets, LampTrial,
    POWER_UP_SCHEMA, PowerUp, Range as StageRange, Stage, StageFault, glow, power_up,
};
pub use rating::{PlaceReport, RatingReport};
pub use reading::{
    CLASS_A_C, CapacitorReading, CoilReading, HEATER_GOOD, HEATER_LIMIT, HeaterReading,
    LeadPartReading, Limit, Rating, Reading, RectifierReading, Standing, TapReading, TubeReading,
    read,
};
pub use schema::plan_schema;
pub use share::{cores, out as shared_out};
pub use supply::{DividerPoint, DividerSketch, SupplyElement, SupplySketch};
pub use sweep::{Column, Over, Sweep, SweepRequest, sweep};
pub use target::Goal;
pub use tolerance::{
    DRAWS, HeaterShare, InputFrom, Lever, LimitShare, Regression, Spreading, TOLERANCE_SCHEMA,
    ToleranceChoice, ToleranceInput, ToleranceOutput, ToleranceRequest, Tolerances, USUAL_DRAWS,
    USUAL_SEED, Unsolved, latin_hypercube, moments, percentile, regress, tolerances,
};
pub use working::{Term, Working};

use crate::adaptation::{Method, With};
use crate::receiver::ReceiverError;
use thiserror::Error;

/// Why a study has no answer.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum StudyError {
    /// The set could not be solved.
    #[error(transparent)]
    Receiver(#[from] ReceiverError),
    /// The outlet is not known and no rule gives it.
    #[error("the outlet's volts are not known")]
    NoOutlet,
    /// A sweep asks for a quantity the set does not have.
    #[error("this set has no quantity \"{asked}\"")]
    NoQuantity {
        /// What was asked for.
        asked: String,
        /// What there is.
        known: Vec<String>,
    },
    /// A fit without a reading.
    #[error("the profile has no readings to fit to")]
    NoReadings,
    /// The fit does not end.
    #[error("the readings cannot be fitted: {0}")]
    NotFitted(String),
    /// A reading that no state of the set gives, or of a point it does not have.
    #[error("{what}")]
    Reading {
        /// What is wrong.
        what: String,
        /// Its place in the profile, such as `readings[0].B+`.
        key: String,
        /// What to do.
        advice: String,
    },
    /// Readings that contradict each other or the set.
    #[error("{0}")]
    Contradicted(String),
    /// A divider that the set does not have, or none named where it has several.
    #[error("{}", no_divider(asked.as_deref(), known))]
    NoDivider {
        /// What was asked for.
        asked: Option<String>,
        /// What there is.
        known: Vec<String>,
    },
    /// A divider that cannot be had.
    #[error("{found}")]
    Divider {
        /// What is wrong.
        found: String,
        /// What to write instead.
        advice: String,
    },
    /// A choice that the plan does not have.
    #[error("this plan has no choice \"{asked}\"")]
    NoChoice {
        /// What was asked for.
        asked: With,
        /// What there is.
        known: Vec<Method>,
    },
    /// A choice with something against it: nothing is written that could be taken for advice.
    #[error("{title}: {}", reasons.join("; "))]
    NotStoodBehind {
        /// What heads the set's screens.
        alarms: Vec<Caution>,
        /// What is refused.
        title: String,
        /// Why.
        reasons: Vec<String>,
    },
    /// Low, usual and high outlet volts in the wrong order, V RMS.
    #[error(
        "the outlet's volts are out of order: low {low:.1} V, usual {usual:.1} V, high {high:.1} V"
    )]
    OutletOrder {
        /// Lowest.
        low: f64,
        /// Usual.
        usual: f64,
        /// Highest.
        high: f64,
    },
    /// A number of draws out of range.
    #[error("{asked} draws cannot be made")]
    BadDraws {
        /// How many were asked for.
        asked: usize,
        /// The fewest.
        least: usize,
        /// The most.
        most: usize,
    },
    /// A sweep's range cannot be walked.
    #[error("{0}")]
    BadRange(&'static str),
}

impl StudyError {
    /// What must head it, where it knows.
    pub fn alarms(&self) -> &[Caution] {
        match self {
            StudyError::NotStoodBehind { alarms, .. } => alarms,
            _ => &[],
        }
    }

    /// What to do about it.
    pub fn advice(&self) -> String {
        match self {
            StudyError::Receiver(error) => error.advice().to_owned(),
            StudyError::Reading { advice, .. } => advice.clone(),
            StudyError::Contradicted(_) => {
                "take that reading again and correct it in the profile, or leave it out".to_owned()
            }
            StudyError::NoReadings => {
                "write what the meter showed into the profile, such as `readings: [{ at_line: 112 V, B+: 246 V, heater.main: 6.2 V }]`".to_owned()
            }
            StudyError::NotFitted(_) => {
                "look for a reading of the wrong point, sign or unit, and for the line it was taken at".to_owned()
            }
            StudyError::NoOutlet => {
                "name the place, `outlet: { range: europe }` or `outlet: { range: north-america }`, or write what a meter showed, `outlet: { low: 118 V, usual: 122 V, high: 126 V }`; on the command line `--range europe` or `--line 122V`".to_owned()
            }
            StudyError::NotStoodBehind { .. } => {
                "look at the choices with `mainsfit plan`; take one with nothing against it".to_owned()
            }
            StudyError::NoDivider { known, .. } if known.is_empty() => {
                "describe it under `dividers:` in the profile, or give it bare: `mainsfit divider --from 75V --resistors 390k,82k,18k`".to_owned()
            }
            StudyError::NoDivider { known, .. } => {
                let options: Vec<String> = known.iter().map(|d| format!("--of {d}")).collect();
                format!("write {}", options.join(" or "))
            }
            StudyError::Divider { advice, .. } => advice.clone(),
            StudyError::NoChoice { known, .. } => {
                let known: Vec<String> = known.iter().map(ToString::to_string).collect();
                format!("the choices are: {}", known.join(", "))
            }
            StudyError::NoQuantity { known, .. } => format!("known: {}", known.join(", ")),
            StudyError::OutletOrder { .. } => {
                "give low ≤ usual ≤ high, such as `--low 118V --line 122V --high 126V`".to_owned()
            }
            StudyError::BadDraws { least, most, .. } => {
                format!("ask for {least} to {most}, such as `--draws 1000`")
            }
            StudyError::BadRange(_) => {
                "for example `--from 100V --to 130V --points 7`".to_owned()
            }
        }
    }
}

fn no_divider(asked: Option<&str>, known: &[String]) -> String {
    match asked {
        Some(asked) => format!("this set has no divider \"{asked}\""),
        None if known.is_empty() => "this set has no divider".to_owned(),
        None => format!("this set has {} dividers", known.len()),
    }
}
