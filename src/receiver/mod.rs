//! A receiver: from a validated profile to circuits, with the slow balances (heaters, coil temperature,
//! bias) closed around them.

mod assume;
mod build;
mod build_tube;
mod calibrate;
mod customary;
pub mod emission;
mod error;
mod fault;
mod feeds;
mod lead;
mod model;
mod operate;
pub mod thermal;
mod tube;
pub mod warmup;

pub use assume::{HEATER_EXPONENT, LAMP_EXPONENT, complete};
pub use build::{Core, Handles, Placed, Slow, TubeNodes, Turns, is_leakage, resting};
pub use calibrate::Receiver;
pub use customary::{Spread, customary};
pub use error::ReceiverError;
pub use fault::{Fault, SHORT_OHMS};
pub use lead::{Inserted, LeadPart, MainsLead, Straight, resistor_part};
pub use model::*;
pub use operate::{Operation, STEPS};
pub use tube::{Currents, LawMissing, TubeLaw};
