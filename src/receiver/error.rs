//! What keeps a set from being solved.

use crate::circuit::CircuitError;
use thiserror::Error;

/// What comes out, or why not.
pub type Result<T, E = ReceiverError> = std::result::Result<T, E>;

/// Why the receiver model has no answer. Each says which value to give or change.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ReceiverError {
    /// A value that no rule can fill in, or values that cannot be true together.
    #[error("{what}")]
    Flaw {
        /// What is missing, or what contradicts what.
        what: String,
        /// Place in the profile, such as `tubes[2].type`.
        key: String,
        /// How to give it, or what to look at.
        advice: String,
    },
    /// The slow quantities (heaters, coil temperature, tube currents) did not settle.
    #[error(
        "the calculation did not converge: after {rounds} rounds \"{quantity}\" still moves by {change:.1e} of its size"
    )]
    NotSettled {
        /// Rounds spent.
        rounds: usize,
        /// What still moves.
        quantity: String,
        /// By how much, relative.
        change: f64,
    },
    /// Windings could not be fitted to the stated loaded volts.
    #[error(
        "the windings cannot be made to give the stated voltage: {quantity} comes to {got:.1} where {wanted:.1} is stated"
    )]
    NotCalibrated {
        /// Which quantity.
        quantity: String,
        /// What came out, V.
        got: f64,
        /// What was stated, V.
        wanted: f64,
    },
    /// The circuit itself could not be solved.
    #[error("the circuit could not be solved")]
    Circuit(#[from] CircuitError),
}

/// What is missing at `key` of the profile, or contradicts something else there.
pub fn flaw(
    what: impl Into<String>,
    key: impl Into<String>,
    advice: impl Into<String>,
) -> ReceiverError {
    ReceiverError::Flaw { what: what.into(), key: key.into(), advice: advice.into() }
}

impl ReceiverError {
    /// Place in the profile the error belongs to, where there is one.
    pub fn key(&self) -> Option<&str> {
        match self {
            ReceiverError::Flaw { key, .. } => Some(key),
            _ => None,
        }
    }

    /// What to do about it.
    pub fn advice(&self) -> &str {
        match self {
            ReceiverError::Flaw { advice, .. } => advice,
            ReceiverError::NotSettled { .. } => {
                "check the bias divider and the filter resistances; this set has no stable operating point"
            }
            ReceiverError::NotCalibrated { .. } => {
                "check the stated voltages, whether they were open-circuit or loaded, the copper resistances, and what the loads take"
            }
            ReceiverError::Circuit(_) => {
                "check for a value that is far from anything a receiver has (a farad, a microhm), and for loads beyond what the supply can give"
            }
        }
    }
}
