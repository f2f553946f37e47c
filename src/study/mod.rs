//! Questions asked of a set: plan and sweep. Studies compute and never print.

mod against;
mod alarms;
mod as_left;
mod assumption;
mod band;
mod behind;
mod blank;
mod burning;
mod buy;
mod caution;
mod checkpoint;
mod choice;
mod closing;
mod cold_start;
mod connect;
mod day;
mod divider;
mod dry;
mod error;
mod explain;
mod faults;
mod filter_resistor;
mod fit;
mod fitted;
mod fitted_part;
mod flags;
mod fuse;
mod heater_reading;
mod held;
mod judge;
mod limit;
mod limits;
mod measures;
mod note;
mod objection;
mod offered;
mod origin;
mod outlet;
mod outlet_log;
mod owner;
mod part_readings;
mod parts_list;
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
#[cfg(feature = "schema")]
mod schema;
mod sentences;
mod settle;
mod share;
mod shift;
mod signal;
mod sized;
mod solve;
mod spread;
mod start;
mod states;
mod supply;
mod surge;
mod sweep;
mod switch_on;
mod target;
mod tolerance;
mod transformer;
mod verdict;
mod visits;
mod with_part;
mod working;

use serde::Serialize;

#[cfg(feature = "schema")]
pub use self::schema::plan_schema;
pub use self::{
    alarms::set_alarms,
    as_left::{AsLeft, HeatLeft, HeatersLeft, LeftPoint, Remains},
    assumption::AssumptionReport,
    band::Band,
    behind::{Behind, SecondRefused},
    blank::{
        Between, BiasFrom, Blank, BlankError, Body, Bulb, Entry, EntryFrom, Feed, Heaters,
        NewDropper, NewSet, Winding, blank, heaters,
    },
    buy::{Ask, Item, ItemFor, Why as WhyBuy},
    caution::{Caution, Step},
    checkpoint::Checkpoint,
    choice::{Choice, Standing as ChoiceStanding, WithPart},
    cold_start::{CapacitorAtStart, ColdStart, Ready},
    connect::{Connect, Ohms, WrongConnection},
    day::Day,
    divider::{
        Arm, Buy, DRIFTS, DividerKnown, DividerPlace, DividerRequest, DividerSize, DividerStudy,
        Drifted, MOST_ARMS, MeterReading, Metered, RANGES_V, Rounded, Tap, TapLoad, Voltmeter,
        divider, divider_of,
    },
    dry::{DryRectifier, PlateResistor},
    error::StudyError,
    explain::{Explained, NoSuchWord, explain, explainable, explainable_words},
    faults::{FaultCase, FaultReport, FuseAction, OtherFuse, SetFuse},
    filter_resistor::FilterResistorReading,
    fit::{
        Answer, Contradiction, Doubted, Explanation, Fit, FittedNumber, FittedReading, NextReading,
        ReadingsReport, Suspect, TakeAgain, Telling, fit, readings,
    },
    fitted::{Against, FittedReport, Ruling},
    fuse::FuseReport,
    held::Lies,
    limit::HEATER_AT_HIGH,
    limits::{NEAR as NEAR_LIMIT, read},
    measures::{Measure, Meter, What},
    note::{LineCurve, Note, note},
    objection::Objection,
    origin::Origin,
    outlet::{OutletChoice, OutletVolts, assumed as outlet_assumed},
    outlet_log::{HourRead, LogReport, LogSpan, SetAside, TooFew, WhyAside, not_above, quantile},
    parts_list::{PARTS_SCHEMA, PartsList, parts},
    plan::{PLAN_SCHEMA, Plan, Request, SetSummary, ShopUse},
    plans::{PlanList, PlanRow, RowBody, shared_cautions},
    power_up::{
        CapacitorTest, ColdCheck, ColdKind, Emission, Glow, HeaterStage, IdleReading, InSockets,
        LampTrial, POWER_UP_SCHEMA, PowerUp, Range as StageRange, Stage, StageFault, glow,
        power_up,
    },
    rating::{PlaceReport, RatingReport},
    reading::{
        CLASS_A_C, CapacitorReading, CoilReading, HEATER_GOOD, HEATER_LIMIT, HeaterReading,
        LeadPartReading, Limit, Rating, Reading, Standing, TapReading, TubeReading,
    },
    rectifier_reading::{RectifierReading, SecondReading},
    replace::{
        Compared, FieldOption, FieldSubstitutes, HeaterResistor, Hum, NewChoke,
        RectifierSubstitute, ReplaceBy, ReplaceCaveat, Replaced, Replacement, SecondCapacitor,
        ShortCapacitor, StayingResistor, Substitutes, filter_factor, replace,
    },
    replace_dropper::{
        BesideLamp, DropperCaveat, DropperSubstitute, DropperSubstitutes, NoSubstitute,
        SubstituteDay, SubstituteKind, SubstituteStanding, replace_dropper,
    },
    sample::{Spreading, latin_hypercube},
    share::{cores, out as shared_out},
    shift::Meaning,
    signal::{STRONG_AVC_V, SignalPoint, SignalReport},
    solve::{OnOutlet, Solved, plan, plan_of, solve, solve_on},
    start::{CapacitorThrough, Start, StartCase, StartCurve},
    states::{
        Connection, Drawn, Grid, Lead, LeadKind, METERS, MeterOnLeads, NO_FIGURE, StateCase,
        StateColumn, StateDrawing, StateLine, StateSum, StateTable, StateTerm, States, StatesBench,
        Wrong, allowed_off, states, way_drawn,
    },
    supply::{DividerPoint, DividerSketch, SecondSketch, SupplyElement, SupplySketch},
    sweep::{Column, Over, Sweep, SweepRequest, sweep},
    switch_on::{KindUsed, SWITCH_ON_SCHEMA, SwitchOn, switch_on},
    target::Goal,
    tolerance::{
        DRAWS, HeaterShare, InputFrom, Lever, LimitShare, Regression, TOLERANCE_SCHEMA,
        ToleranceChoice, ToleranceInput, ToleranceOutput, ToleranceRequest, Tolerances,
        USUAL_DRAWS, USUAL_SEED, Unsolved, moments, percentile, regress, tolerances,
    },
    transformer::TransformerReading,
    verdict::{Advice, Strength, ToMeasure, Turn, Verdict},
    visits::{Aged, VisitPoint, VisitReport, Visits},
    working::{Term, Working},
};
pub use crate::receiver::{Fault, LawMiss, PartKind, law_misses};
pub(crate) use error::Result;
