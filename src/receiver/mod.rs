//! A receiver: from a validated profile to circuits, with the slow balances (heaters, coil temperature,
//! bias) closed around them.

mod assume;
mod build;
mod calibrate;
pub mod emission;
mod error;
mod fault;
mod feeds;
mod hold;
mod iron;
mod known;
mod lead;
mod mixing;
mod model;
mod number;
mod operate;
mod parameters;
mod rectifier;
mod refine;
mod signal;
mod string;
pub mod thermal;
mod tube;
pub mod warmup;

pub use assume::{HEATER_EXPONENT, LAMP_EXPONENT};
pub use build::{Core, Diode, Placed, Points, Slow, TubeNodes, Turns, resting};
pub use calibrate::Receiver;
pub use error::ReceiverError;
pub use fault::{Fault, OPEN_OHMS, SHORT_OHMS};
pub use feeds::published_amps;
pub use lead::{Inserted, Inside, LeadPart, MainsLead, Straight, resistor_part};
pub use model::*;
pub use operate::{Operation, STEPS};
pub use parameters::{Assumption, Number, Parameter, Uncertain, uncertain};
pub use refine::{Refined, complete, refine, shown, stated_tolerances};
pub use signal::{Signal, Swing};
pub use tube::{Currents, LawMissing, TubeLaw};
