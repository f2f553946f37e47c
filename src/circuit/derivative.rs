//! How fast a network's states change, for who would integrate it by another rule.

use super::{
    dense::Columns,
    error::CircuitError,
    network::Network,
    ports::Ports,
    reduce::{Reduced, reduce},
};

/// A step so short, in seconds, that a state goes along its tangent: the fastest modes of a supply take microseconds.
const SHORT: f64 = 1e-10;

/// The derivative of the states of a network: everything that is algebraic is solved at each call.
pub struct Derivative<'n> {
    network: &'n Network,
    reduced: Reduced,
    advance: Columns,
    ports: Ports,
    known: Vec<f64>,
    moved: Vec<f64>,
}

impl<'n> Derivative<'n> {
    /// Reads `network`.
    ///
    /// # Errors
    /// [`CircuitError::Singular`] when its equations have no single solution.
    pub fn of(network: &'n Network) -> Result<Derivative<'n>, CircuitError> {
        let reduced = reduce(network, SHORT)?;
        let rows = reduced.states + reduced.ports;
        let advance = Columns::from_fn(rows, reduced.width(), |r, c| reduced.advance.row(r)[c]);
        Ok(Derivative {
            network,
            ports: Ports::new(&reduced),
            known: Vec::new(),
            moved: vec![0.0; advance.padded()],
            advance,
            reduced,
        })
    }

    /// Number of states: volts of capacitors, currents of inductors, fluxes of iron, in the order of the elements.
    pub fn states(&self) -> usize {
        self.reduced.states
    }

    /// Their derivatives at `seconds` where they stand at `states`, left in `rates`.
    ///
    /// # Errors
    /// [`CircuitError::PortsNotConverged`] where rectifiers or tubes have no currents.
    pub fn at(
        &mut self,
        seconds: f64,
        states: &[f64],
        rates: &mut [f64],
    ) -> Result<(), CircuitError> {
        let turns = seconds * self.network.frequency();
        let wave = (std::f64::consts::TAU * turns).sin_cos();
        let shapes = self.reduced.shapes(self.network, &[wave]);
        self.known.clear();
        self.known.extend(states.iter().copied().chain([wave.0, wave.1, 1.0]).chain(shapes));
        self.advance.times(&self.known, &mut self.moved);
        let open = &self.moved[states.len()..][..self.reduced.ports];
        self.ports.solve(open, turns.fract())?;
        self.known.extend_from_slice(self.ports.currents());
        self.advance.times(&self.known, &mut self.moved);
        for ((rate, after), before) in rates.iter_mut().zip(&self.moved).zip(states) {
            *rate = (after - before) / SHORT;
        }
        Ok(())
    }
}
