//! Questions asked of a set: plan and sweep. Studies compute and never print.

mod against;
mod alarms;
mod assumption;
mod band;
mod behind;
mod blank;
mod burning;
mod caution;
mod checkpoint;
mod choice;
mod cold_start;
mod connect;
mod day;
mod divider;
mod dry;
mod error;
mod faults;
mod figures;
mod filter_resistor;
mod fit;
mod flags;
mod fuse;
mod heater_reading;
mod judge;
mod limit;
mod limits;
mod measures;
mod note;
mod objection;
mod offered;
mod outlet;
mod owner;
mod plan;
mod plans;
mod power_up;
mod rating;
mod reading;
mod rectifier_reading;
mod remainder;
mod replace;
mod replace_dropper;
mod sample;
mod schema;
mod sentences;
mod settle;
mod share;
mod signal;
mod solve;
mod spread;
mod start;
mod supply;
mod surge;
mod sweep;
mod switch_on;
mod target;
mod tolerance;
mod transformer;
mod verdict;
mod working;

use schemars::JsonSchema;
use serde::Serialize;

pub use crate::receiver::{Fault, LawMiss, PartKind, law_misses};
pub use alarms::set_alarms;
pub use assumption::AssumptionReport;
pub use band::Band;
pub use behind::{Behind, SecondRefused};
pub use blank::{
    Between, BiasFrom, Blank, BlankError, Body, Bulb, Entry, EntryFrom, Feed, Heaters, NewDropper,
    NewSet, Winding, blank, heaters,
};
pub use caution::{Caution, Step};
pub use checkpoint::Checkpoint;
pub use choice::{Choice, Standing as ChoiceStanding, WithPart};
pub use cold_start::{CapacitorAtStart, ColdStart, Ready};
pub use connect::{Connect, Ohms, WrongConnection};
pub use day::Day;
pub use divider::{
    Arm, Buy, DRIFTS, DividerKnown, DividerPlace, DividerRequest, DividerSize, DividerStudy,
    Drifted, MOST_ARMS, MeterReading, Metered, RANGES_V, Rounded, Tap, TapLoad, Voltmeter, divider,
    divider_of,
};
pub use dry::{DryRectifier, PlateResistor};
pub(crate) use error::Result;
pub use error::StudyError;
pub use faults::{FaultCase, FaultReport, FuseAction, OtherFuse, SetFuse};
pub use filter_resistor::FilterResistorReading;
pub use fit::{
    Answer, Contradiction, Doubted, Explanation, Fit, FittedNumber, FittedReading, NextReading,
    ReadingsReport, Suspect, TakeAgain, Telling, fit, readings,
};
pub use fuse::FuseReport;
pub use limit::HEATER_AT_HIGH;
pub use measures::{Measure, Meter, What};
pub use note::{LineCurve, Note, note};
pub use objection::Objection;
pub use outlet::{OutletChoice, OutletVolts, assumed as outlet_assumed};
pub use plan::{PLAN_SCHEMA, Plan, Request, SetSummary};
pub use plans::{PlanList, PlanRow, RowBody, shared_cautions};
pub use power_up::{
    CapacitorTest, ColdCheck, ColdKind, Emission, Glow, HeaterStage, IdleReading, InSockets,
    LampTrial, POWER_UP_SCHEMA, PowerUp, Range as StageRange, Stage, StageFault, glow, power_up,
};
pub use rating::{PlaceReport, RatingReport};
pub use reading::{
    CLASS_A_C, CapacitorReading, CoilReading, HEATER_GOOD, HEATER_LIMIT, HeaterReading,
    LeadPartReading, Limit, Rating, Reading, Standing, TapReading, TubeReading, read,
};
pub use rectifier_reading::{RectifierReading, SecondReading};
pub use replace::{
    Compared, FieldOption, FieldSubstitutes, HeaterResistor, Hum, NewChoke, RectifierSubstitute,
    ReplaceBy, ReplaceCaveat, Replaced, Replacement, SecondCapacitor, ShortCapacitor, Substitutes,
    filter_factor, replace,
};
pub use replace_dropper::{
    BesideLamp, DropperCaveat, DropperSubstitute, DropperSubstitutes, NoSubstitute, SubstituteDay,
    SubstituteKind, SubstituteStanding, replace_dropper,
};
pub use sample::{Spreading, latin_hypercube};
pub use schema::plan_schema;
pub use share::{cores, out as shared_out};
pub use signal::{STRONG_AVC_V, SignalPoint, SignalReport};
pub use solve::{OnOutlet, Solved, plan, plan_of, solve, solve_on};
pub use start::{CapacitorThrough, Start, StartCase, StartCurve};
pub use supply::{DividerPoint, DividerSketch, SecondSketch, SupplyElement, SupplySketch};
pub use sweep::{Column, Over, Sweep, SweepRequest, sweep};
pub use switch_on::{KindUsed, SWITCH_ON_SCHEMA, SwitchOn, switch_on};
pub use target::Goal;
pub use tolerance::{
    DRAWS, HeaterShare, InputFrom, Lever, LimitShare, Regression, TOLERANCE_SCHEMA,
    ToleranceChoice, ToleranceInput, ToleranceOutput, ToleranceRequest, Tolerances, USUAL_DRAWS,
    USUAL_SEED, Unsolved, moments, percentile, regress, tolerances,
};
pub use transformer::TransformerReading;
pub use verdict::{Advice, Strength, ToMeasure, Turn, Verdict};
pub use working::{Term, Working};
