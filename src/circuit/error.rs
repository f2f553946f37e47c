//! What can go wrong in the circuit core, each with the place and the reason.

use thiserror::Error;

/// Why a network could not be solved.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum CircuitError {
    /// An element was given a value it cannot have.
    #[error("{element}: {value} {unit} is not a value this element can have")]
    BadValue {
        /// Name of the element.
        element: String,
        /// The value that was refused, SI.
        value: f64,
        /// Its unit.
        unit: &'static str,
    },
    /// The equations have no single solution: a part of the network floats, or a loop of ideal
    /// elements leaves a current undetermined.
    #[error(
        "the circuit has no single solution: \"{near}\" has no path to the rest, or ideal elements form a loop there"
    )]
    Singular {
        /// The node or element with the weakest equation.
        near: String,
    },
    /// The steady state is not determined: a capacitor with no DC path, or an inductor in a loop
    /// without resistance.
    #[error(
        "the steady state is not determined: a capacitor without a DC path or an inductor loop without resistance near \"{state}\""
    )]
    Undetermined {
        /// The state (capacitor volts or inductor current) that is left free.
        state: String,
    },
    /// The nonlinear elements could not be solved at one instant.
    #[error(
        "no solution for the rectifier or tube currents at {at_fraction:.3} of the cycle after {iterations} rounds (remaining error {residual:.3e} V)"
    )]
    PortsNotConverged {
        /// Where in the cycle, 0 to 1.
        at_fraction: f64,
        /// Newton rounds spent.
        iterations: usize,
        /// Largest remaining error in a control voltage, V.
        residual: f64,
    },
    /// The search for the periodic state gave up.
    #[error(
        "no periodic steady state found in {iterations} rounds: \"{state}\" still changes by {residual:.3e} from cycle to cycle"
    )]
    NotPeriodic {
        /// Rounds spent.
        iterations: usize,
        /// The state that moves most.
        state: String,
        /// Its change over a cycle, relative to its size.
        residual: f64,
    },
    /// A quantity became infinite or not a number.
    #[error("the solution ran away: \"{state}\" is no longer a finite number")]
    NotFinite {
        /// The state.
        state: String,
    },
}
