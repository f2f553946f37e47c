//! A receiver: from a validated profile to circuits, with the slow balances (heaters, coil temperature,
//! bias) closed around them.

mod assume;
mod bodies;
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
mod heaters;
mod hold;
pub mod iron;
mod iron_and_copper;
mod known;
mod lead;
mod ledger;
mod mixing;
mod model;
mod model_load;
mod model_supply;
mod names;
mod number;
mod operate;
mod parameters;
mod part_names;
mod rectifier;
mod refine;
mod second;
mod signal;
mod slow;
mod stand_in;
mod start;
mod stated;
mod string;
pub mod thermal;
mod tube;
mod turns;
pub mod warmup;
mod wave;

pub use build::{Diode, Placed, Points, TubeNodes, resting, resting_hot};
pub use calibrate::Receiver;
pub use error::{ReceiverError, Result};
pub use fault::{Fault, OPEN_OHMS, SHORT_OHMS};
pub use feeds::published_amps;
pub use heater_line::{Ahead, Branch, HeaterLine, Rung, SectionKind, StringSection};
pub use hold::Stored;
pub use iron::Core;
pub use lead::{
    AheadOf, AsBuilt, Inserted, Inside, LeadPart, MainsLead, PartKind, Straight, resistor_part,
};
pub use model::*;
pub use model_load::*;
pub use model_supply::*;
pub use operate::{Losses, Operation, STEPS};
pub use parameters::{Assumption, FittedTo, Number, Parameter, Uncertain, shown, uncertain};
pub use part_names::{
    OF_SECOND, TRANSFORMER, capacitor_part, coil_part, filter_resistor, surge_resistor,
};
pub use rectifier::drop_of;
pub use refine::{Refined, complete, refine, stated_tolerances};
pub use signal::{Signal, Swing};
pub use slow::{Slow, Turns};
pub use start::{Moment, SwitchedOn, Warmth};
pub use thermal::{HEATER_EXPONENT, LAMP_EXPONENT};
pub use tube::{Currents, LawMiss, TubeLaw, law_misses};
