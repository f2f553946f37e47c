//! The linear part of a network, reduced once for a step length.
//!
//! Modified nodal analysis gives `C·x' + G·x + B·i(u) = b(t)` with `x` the node voltages and branch
//! currents, `u = V·x` the control voltages of the nonlinear branches and `i` their currents. `C`
//! has one rank per capacitor and inductor, so `C = L·W` with `s = W·x` the capacitor volts and
//! inductor currents. Every stage of the integration rule solves
//!
//! `(G + C/(γh))·x = L·s_h/(γh) + b(t) − B·i`,
//!
//! where `s_h` is known history. The matrix is the same in all stages and steps, so it is factored
//! once and everything that is wanted is written as one matrix times `z = [s_h, sin, cos, 1, shapes, i]`, `shapes` being
//! distorted sources (one for each phase they come in; none where all are sines).
//!
//! Iron has its flux for a state, `λ = λ_h + γh·(v_a − v_b)`. The linear part of its current stays in the matrix; the
//! steep part is the current of a port whose control is the flux, times ω so that it stands for volts as others do.

use super::{
    dense::{Rows, add},
    error::CircuitError,
    law::{Law, Wave, distorted},
    network::{Kind, Network, Node, Winding, join},
};
use nalgebra::DVector;
use std::sync::Arc;

/// Basis functions of plain sources: sin ωt, cos ωt and 1.
pub const PLAIN: usize = 3;

/// The network reduced for one step length.
#[derive(Debug, Clone)]
pub struct Reduced {
    pub states: usize,
    pub ports: usize,
    /// Basis functions of the sources.
    pub basis: usize,
    /// New states, then control voltages, from `z`.
    pub advance: Rows,
    /// All unknowns from `z`.
    pub outputs: Rows,
    pub laws: Vec<Law>,
    pub shape: Shape,
    /// γh, seconds.
    pub gamma_h: f64,
}

impl Reduced {
    /// Length of `z` but for the currents of the ports.
    pub fn known(&self) -> usize {
        self.states + self.basis
    }

    /// Length of `z`.
    pub fn width(&self) -> usize {
        self.known() + self.ports
    }

    /// # Errors
    /// [`CircuitError::NotFinite`] for states one of which is no number.
    pub fn finite(&self, states: &DVector<f64>) -> Result<(), CircuitError> {
        let bad = states.iter().position(|v| !v.is_finite());
        bad.map_or(Ok(()), |bad| Err(CircuitError::NotFinite { state: self.name(bad) }))
    }

    /// Name of the element that a state belongs to; none for none.
    pub fn name(&self, state: usize) -> String {
        self.shape.state_names.get(state).map(|name| name.to_string()).unwrap_or_default()
    }

    /// The distorted sources, in the order of their phases, at each of the angles of the fundamental whose sin and cos are
    /// `waves`.
    pub fn shapes(&self, network: &Network, waves: &[(f64, f64)]) -> Vec<f64> {
        let wave = distorted(&network.harmonics);
        let phases: Vec<(f64, f64)> = self.shape.phases.iter().map(|p| p.sin_cos()).collect();
        let mut shapes = Vec::with_capacity(waves.len() * phases.len());
        for (sin, cos) in waves {
            shapes.extend(phases.iter().map(|(s, c)| wave((sin * c + cos * s, cos * c - sin * s))));
        }
        shapes
    }
}

/// Where an element's unknowns, state and port stand.
#[derive(Debug, Clone, Copy, Default)]
pub struct Place {
    /// Its first branch unknown.
    pub branch: Option<usize>,
    pub state: Option<usize>,
    pub port: Option<usize>,
}

/// Where everything of a network stands.
#[derive(Debug, Clone, Default)]
pub struct Shape {
    pub unknowns: usize,
    /// Of each element.
    pub places: Vec<Place>,
    pub state_names: Vec<Arc<str>>,
    pub ports: usize,
    /// Phases in which distorted sources come.
    pub phases: Vec<f64>,
}

impl Shape {
    pub fn of(network: &Network) -> Shape {
        let unknowns = network.node_count() - 1;
        let places = Vec::with_capacity(network.elements.len());
        let mut shape = Shape { unknowns, places, ..Shape::default() };
        for element in network.elements.iter() {
            let mut place = Place::default();
            let (mut branches, mut port) = (0, false);
            match &element.kind {
                Kind::Inductor(..) => branches = 1,
                Kind::Voltage(_, _, wave) => {
                    branches = 1;
                    if let Wave::Distorted { phase, .. } = wave
                        && !shape.phases.contains(phase)
                    {
                        shape.phases.push(*phase);
                    }
                }
                // one current per winding and the common EMF
                Kind::Transformer(windings) => branches = windings.len() + 1,
                Kind::Iron(_, _, iron) => port = iron.power > 0.0,
                Kind::Nonlinear { .. } => port = true,
                _ => {}
            }
            if branches > 0 {
                place.branch = Some(shape.unknowns);
                shape.unknowns += branches;
            }
            if matches!(element.kind, Kind::Capacitor(..) | Kind::Inductor(..) | Kind::Iron(..)) {
                place.state = Some(shape.state_names.len());
                shape.state_names.push(element.name.clone());
            }
            if port {
                place.port = Some(shape.ports);
                shape.ports += 1;
            }
            shape.places.push(place);
        }
        shape
    }
}

/// Index of a node's voltage among the unknowns; the reference has none.
pub fn row(node: Node) -> Option<usize> {
    node.0.checked_sub(1)
}

fn put(matrix: &mut Rows, r: Option<usize>, c: Option<usize>, value: f64) {
    if let (Some(r), Some(c)) = (r, c) {
        matrix.row_mut(r)[c] += value;
    }
}

/// Reduces `network` for a stage length `gamma_h` in seconds.
///
/// # Errors
/// [`CircuitError::Singular`] when the equations have no single solution.
pub fn reduce(network: &Network, gamma_h: f64) -> Result<Reduced, CircuitError> {
    let shape = Shape::of(network);
    // rounding can make a number of what has no solution, so islands are looked for, not computed
    if let Some(node) = island(network) {
        return Err(CircuitError::Singular { near: network.name(node).to_owned() });
    }
    let (equations, laws) = stamped(network, &shape, gamma_h);
    let finite = |all: &Rows| (0..shape.unknowns).all(|r| all.row(r).iter().all(|v| v.is_finite()));
    let Some(outputs) = equations.solved().filter(finite) else {
        let equations = stamped(network, &shape, gamma_h).0;
        return Err(CircuitError::Singular { near: weakest(network, &shape, &equations) });
    };
    Ok(Reduced {
        states: shape.state_names.len(),
        ports: shape.ports,
        basis: PLAIN + shape.phases.len(),
        advance: wanted_rows(network, &shape, &outputs, gamma_h),
        outputs,
        laws,
        shape,
        gamma_h,
    })
}

/// The equations of a stage, and right of them what stands on their right: states, sources, ports; and the ports' laws.
fn stamped(network: &Network, shape: &Shape, gamma_h: f64) -> (Rows, Vec<Law>) {
    let (n, states) = (shape.unknowns, shape.state_names.len());
    let first_port = n + states + PLAIN + shape.phases.len();
    let mut k = Rows::zeros(n, first_port + shape.ports);
    let constant = Some(n + states + 2);
    let omega = std::f64::consts::TAU * network.frequency();
    let mut laws = Vec::with_capacity(shape.ports);
    for (element, place) in network.elements.iter().zip(&shape.places) {
        let (branch, state) = (place.branch, place.state.map(|state| n + state));
        let port = place.port.map(|port| first_port + port);
        match &element.kind {
            Kind::Resistor(a, b, ohms) => stamp_conductance(&mut k, *a, *b, 1.0 / ohms),
            Kind::Capacitor(a, b, farads) => {
                let per_stage = farads / gamma_h;
                stamp_conductance(&mut k, *a, *b, per_stage);
                stamp_current(&mut k, *a, *b, state, per_stage);
            }
            Kind::Inductor(a, b, henries) => {
                stamp_branch(&mut k, *a, *b, branch);
                let per_stage = henries / gamma_h;
                put(&mut k, branch, branch, -per_stage);
                put(&mut k, branch, state, -per_stage);
            }
            Kind::Iron(a, b, iron) => {
                stamp_conductance(&mut k, *a, *b, iron.linear * gamma_h);
                stamp_current(&mut k, *a, *b, state, -iron.linear);
                if let Some(law) = iron.steep(omega) {
                    laws.push(law);
                    stamp_current(&mut k, *a, *b, port, -1.0);
                }
            }
            Kind::Voltage(a, b, wave) => {
                stamp_branch(&mut k, *a, *b, branch);
                let mut follow =
                    |basis, volts| put(&mut k, branch, Some(n + states + basis), volts);
                match wave {
                    Wave::Sine { peak, phase } => {
                        follow(0, peak * phase.cos());
                        follow(1, peak * phase.sin());
                    }
                    Wave::Distorted { peak, phase } => {
                        let place = shape.phases.iter().position(|p| p == phase);
                        place.into_iter().for_each(|place| follow(PLAIN + place, *peak));
                    }
                    Wave::Constant(volts) => follow(2, *volts),
                }
            }
            Kind::Current(a, b, amperes) => stamp_current(&mut k, *a, *b, constant, -amperes),
            Kind::Transformer(windings) => {
                if let Some(first) = branch {
                    stamp_transformer(&mut k, windings, first);
                }
            }
            Kind::Controlled { constant: amperes, control, leaves } => {
                for (out, share) in leaves {
                    put(&mut k, row(*out), constant, -share * amperes);
                    for (node, weight) in control {
                        put(&mut k, row(*out), row(*node), share * weight);
                    }
                }
            }
            Kind::Nonlinear { law, leaves, .. } => {
                laws.push(*law);
                for (out, share) in leaves {
                    put(&mut k, row(*out), port, -share);
                }
            }
        }
    }
    (k, laws)
}

/// A node with no path to the reference through elements that relate voltages: rectifiers and current sources
/// do not, controlled currents may.
fn island(network: &Network) -> Option<Node> {
    let mut groups = network.groups();
    let mut join = |a: Node, b: Node| join(&mut groups, a, b);
    for element in network.elements.iter() {
        match &element.kind {
            Kind::Resistor(a, b, _)
            | Kind::Capacitor(a, b, _)
            | Kind::Inductor(a, b, _)
            | Kind::Iron(a, b, _)
            | Kind::Voltage(a, b, _) => join(*a, *b),
            Kind::Transformer(windings) => windings.iter().for_each(|w| join(w.start, w.end)),
            Kind::Controlled { control, leaves, .. } => {
                let mut nodes = control.iter().chain(leaves).map(|(node, _)| *node);
                if let Some(first) = nodes.next() {
                    nodes.for_each(|node| join(first, node));
                }
            }
            Kind::Current(..) | Kind::Nonlinear { .. } => {}
        }
    }
    // the reference keeps its own number
    groups.iter().position(|group| *group != 0).map(Node)
}

/// Name of the unknown whose equation is weakest, to tell the reader where to look.
fn weakest(network: &Network, shape: &Shape, k: &Rows) -> String {
    let size = |r: usize| k.row(r)[..shape.unknowns].iter().fold(0.0_f64, |m, v| m.max(v.abs()));
    let mut worst = 0;
    for r in 0..shape.unknowns {
        if size(r) < size(worst) {
            worst = r;
        }
    }
    if worst + 1 < network.node_count() {
        return network.name(Node(worst + 1)).to_owned();
    }
    let owner = shape.places.iter().rposition(|p| p.branch.is_some_and(|first| first <= worst));
    owner.map_or_else(String::new, |i| network.elements[i].name.to_string())
}

/// A current out of `a` into `b`, so many amperes for what stands in a column.
fn stamp_current(k: &mut Rows, a: Node, b: Node, column: Option<usize>, amperes: f64) {
    put(k, row(a), column, amperes);
    put(k, row(b), column, -amperes);
}

fn stamp_conductance(k: &mut Rows, a: Node, b: Node, siemens: f64) {
    stamp_current(k, a, b, row(a), siemens);
    stamp_current(k, a, b, row(b), -siemens);
}

/// A branch whose current leaves `a` and enters `b`, and whose own row starts as `v_a − v_b`.
fn stamp_branch(k: &mut Rows, a: Node, b: Node, branch: Option<usize>) {
    stamp_current(k, a, b, branch, 1.0);
    put(k, branch, row(a), 1.0);
    put(k, branch, row(b), -1.0);
}

/// The windings' currents from the unknown `first` on, then their common EMF.
fn stamp_transformer(k: &mut Rows, windings: &[Winding], first: usize) {
    let emf = first + windings.len();
    for (current, winding) in (first..).zip(windings) {
        stamp_branch(k, winding.start, winding.end, Some(current));
        k.row_mut(current)[emf] -= winding.turns;
        k.row_mut(emf)[current] += winding.turns;
    }
}

/// The rows for the new states and the control voltages.
fn wanted_rows(network: &Network, shape: &Shape, outputs: &Rows, gamma_h: f64) -> Rows {
    let states = shape.state_names.len();
    let mut all = Rows::zeros(states + shape.ports, outputs.width());
    let take = |target: &mut [f64], source: Option<usize>, weight: f64| {
        source.into_iter().for_each(|source| add(target, weight, outputs.row(source)));
    };
    for (element, place) in network.elements.iter().zip(&shape.places) {
        let port = place.port.map(|port| states + port);
        match (&element.kind, place.state) {
            (Kind::Capacitor(a, b, _), Some(state)) => {
                take(all.row_mut(state), row(*a), 1.0);
                take(all.row_mut(state), row(*b), -1.0);
            }
            (Kind::Inductor(..), Some(state)) => take(all.row_mut(state), place.branch, 1.0),
            (Kind::Iron(a, b, _), Some(state)) => {
                let omega = std::f64::consts::TAU * network.frequency();
                let control = port.map(|port| (port, omega));
                for (target, scale) in std::iter::once((state, 1.0)).chain(control) {
                    let target = all.row_mut(target);
                    take(target, row(*a), scale * gamma_h);
                    take(target, row(*b), -scale * gamma_h);
                    target[state] += scale;
                }
            }
            (Kind::Nonlinear { control, .. }, _) => {
                for (target, (node, weight)) in port.into_iter().cycle().zip(control) {
                    take(all.row_mut(target), row(*node), *weight);
                }
            }
            _ => {}
        }
    }
    all
}
