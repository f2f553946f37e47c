//! A small network solver: elements between nodes, driven by sources of one frequency, solved for
//! the periodic steady state. Nothing here knows of radios.
//!
//! Values are plain `f64` in SI units (volts, amperes, ohms, farads, henries, hertz, seconds): mixed-unit
//! vectors do not fit matrices, so `uom` types stop at this door.
//!
//! The equations are in `docs/model.md`.

mod dense;
#[cfg(feature = "inside")]
mod derivative;
mod error;
mod law;
mod march;
mod network;
mod period;
mod ports;
mod reduce;
mod resistance;
mod shooting;
mod slope;
mod solution;

#[cfg(feature = "inside")]
pub use derivative::Derivative;
pub use error::CircuitError;
pub use law::{Harmonic, Iron, Law, Wave};
pub use march::{Cycle, March, march};
pub use network::{ElementId, Kind, Network, Node, REFERENCE, Weights, Winding};
pub use shooting::{Settings, steady_state, steady_state_again};
pub use solution::{Probe, SteadyState};
