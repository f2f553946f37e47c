//! A receiver: from a validated profile to circuits, with the slow balances (heaters, coil temperature,
//! bias) closed around them.

mod assume;
mod branches;
mod build;
mod calibrate;
mod customary;
mod droppers;
pub mod emission;
mod error;
mod fault;
mod feeds;
mod filament;
mod grid;
mod heater_line;
mod hold;
pub mod iron;
mod iron_and_copper;
mod known;
mod lead;
mod ledger;
mod mixing;
mod model;
mod number;
mod operate;
mod parameters;
mod rectifier;
mod refine;
mod second;
mod signal;
mod stand_in;
mod start;
mod string;
pub mod thermal;
mod tube;
mod turns;
pub mod warmup;
mod wave;

pub use build::{Core, Diode, Placed, Points, Slow, TubeNodes, Turns, resting};
pub use calibrate::Receiver;
pub use error::ReceiverError;
pub use fault::{Fault, OPEN_OHMS, SHORT_OHMS};
pub use feeds::published_amps;
pub use hold::Stored;
pub use lead::{
    AheadOf, AsBuilt, Inserted, Inside, LeadPart, MainsLead, PartKind, Straight, resistor_part,
};
pub use model::*;
pub use operate::{Losses, Operation, STEPS};
pub use parameters::{Assumption, Number, Parameter, Uncertain, uncertain};
pub use rectifier::drop_of;
pub use refine::{Refined, complete, refine, shown, stated_tolerances};
pub use signal::{Signal, Swing};
pub use start::{Moment, SwitchedOn, Warmth};
pub use thermal::{HEATER_EXPONENT, LAMP_EXPONENT};
pub use tube::{Currents, LawMiss, LawMissing, TubeLaw, law_misses};
