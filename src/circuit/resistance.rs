//! What an ohmmeter reads between two nodes of a network at rest.
//!
//! Sources are taken away (one of no volts is an ammeter, and stays as wire), capacitors open, inductors, iron and transformer
//! windings plain wire (their copper stands beside them as resistors), and nothing with a law conducts. Kirchhoff's
//! equations of the resistors that are left are solved for 1 A sent in at one node and taken out at the other.

use super::{
    law::Wave,
    network::{ElementId, Kind, Network, Node, join},
};
use nalgebra::{DMatrix, DVector};

impl Network {
    /// Resistance in ohms between two nodes; `None` where no path joins them. The resistors in `open`
    /// count as open.
    pub fn resistance(&self, a: Node, b: Node, open: &[ElementId]) -> Option<f64> {
        // nodes joined by wire carry one number
        let mut at = self.groups();
        let mut resistors = Vec::new();
        for (place, element) in self.elements.iter().enumerate() {
            match &element.kind {
                // a source of no volts is an ammeter
                Kind::Inductor(p, q, _)
                | Kind::Iron(p, q, _)
                | Kind::Voltage(p, q, Wave::Constant(0.0)) => join(&mut at, *p, *q),
                Kind::Transformer(windings) => {
                    windings.iter().for_each(|w| join(&mut at, w.start, w.end));
                }
                Kind::Resistor(p, q, ohms) if !open.contains(&ElementId(place)) => {
                    resistors.push((p.0, q.0, 1.0 / ohms));
                }
                _ => {}
            }
        }
        let (from, to) = (at[a.0], at[b.0]);
        if from == to {
            return Some(0.0);
        }
        for (p, q, _) in &mut resistors {
            (*p, *q) = (at[*p], at[*q]);
        }
        // what the first node reaches, the other being the point of reference
        let mut reached = vec![from];
        let mut met = false;
        let mut next = 0;
        while let Some(&here) = reached.get(next) {
            let ends = resistors.iter().flat_map(|&(p, q, _)| [(p, q), (q, p)]);
            for (_, other) in ends.filter(|(end, _)| *end == here) {
                met |= other == to;
                if other != to && !reached.contains(&other) {
                    reached.push(other);
                }
            }
            next += 1;
        }
        if !met {
            return None;
        }
        let place = |node: usize| reached.iter().position(|n| *n == node);
        let mut nodal = DMatrix::<f64>::zeros(reached.len(), reached.len());
        for &(p, q, siemens) in &resistors {
            let (i, j) = (place(p), place(q));
            for k in [i, j].into_iter().flatten() {
                nodal[(k, k)] += siemens;
            }
            if let (Some(i), Some(j)) = (i, j) {
                nodal[(i, j)] -= siemens;
                nodal[(j, i)] -= siemens;
            }
        }
        let mut amps = DVector::<f64>::zeros(reached.len());
        amps[0] = 1.0;
        // the matrix is symmetric and, every node having a path to the reference, positive definite
        nodal.cholesky().map(|c| c.solve(&amps)[0])
    }

    /// Ohms of a resistor; `None` for another element.
    pub fn ohms(&self, id: ElementId) -> Option<f64> {
        match self.elements.get(id.0)?.kind {
            Kind::Resistor(_, _, ohms) => Some(ohms),
            _ => None,
        }
    }
}
