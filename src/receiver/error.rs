//! What keeps a set from being solved.

use crate::circuit::CircuitError;
use thiserror::Error;

/// Why the receiver model has no answer. Each says which value to give or change.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ReceiverError {
    /// A value that no rule can fill in.
    #[error("{what} is not known")]
    Missing {
        /// What is missing.
        what: String,
        /// Place in the profile, such as `tubes[2].type`.
        key: String,
        /// How to give it.
        advice: String,
    },
    /// Values that cannot be true together.
    #[error("{what}")]
    Contradiction {
        /// What contradicts what.
        what: String,
        /// Place in the profile of one of them.
        key: String,
        /// What to look at.
        advice: String,
    },
    /// The slow quantities (heaters, coil temperature, tube currents) did not settle.
    #[error(
        "the set does not settle: after {rounds} rounds \"{quantity}\" still moves by {change:.1e} of its size"
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
        "the windings cannot be made to give the stated volts: {quantity} comes to {got:.1} where {wanted:.1} is stated"
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

impl ReceiverError {
    /// Place in the profile the error belongs to, where there is one.
    pub fn key(&self) -> Option<&str> {
        match self {
            ReceiverError::Missing { key, .. } | ReceiverError::Contradiction { key, .. } => {
                Some(key)
            }
            _ => None,
        }
    }

    /// What to do about it.
    pub fn advice(&self) -> &str {
        match self {
            ReceiverError::Missing { advice, .. } | ReceiverError::Contradiction { advice, .. } => {
                advice
            }
            ReceiverError::NotSettled { .. } => {
                "check the bias divider and the filter resistances; this set has no stable operating point"
            }
            ReceiverError::NotCalibrated { .. } => {
                "check the stated volts, whether they were open-circuit or loaded, the copper resistances, and what the loads take"
            }
            ReceiverError::Circuit(_) => {
                "check for a value that is far from anything a receiver has (a farad, a microhm), and for loads beyond what the supply can give"
            }
        }
    }
}
