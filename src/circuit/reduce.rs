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

use super::error::CircuitError;
use super::law::{Law, Wave, distorted};
use super::network::{Kind, Network, Node};
use nalgebra::DMatrix;

/// Basis functions of plain sources: sin ωt, cos ωt and 1.
const BASIS: usize = 3;

/// The network reduced for one step length.
#[derive(Debug, Clone)]
pub(super) struct Reduced {
    pub states: usize,
    pub ports: usize,
    /// Basis functions of the sources.
    pub basis: usize,
    /// New states, then control voltages, from `[s_h, basis]`; rows by columns.
    pub advance: DMatrix<f64>,
    /// The same rows from the port currents.
    pub feedback: DMatrix<f64>,
    /// All unknowns from `z`.
    pub outputs: DMatrix<f64>,
    pub laws: Vec<Law>,
    pub shape: Shape,
    /// γh, seconds.
    pub gamma_h: f64,
}

impl Reduced {
    /// Length of `z`.
    pub fn width(&self) -> usize {
        self.states + self.basis + self.ports
    }

    /// The basis functions at an angle of the fundamental, all but the constant in its place.
    pub fn sources(&self, network: &Network, angle: f64) -> Vec<f64> {
        let (sin, cos) = angle.sin_cos();
        let shapes = self.shape.phases.iter();
        let shapes = shapes.map(|phase| distorted(&network.harmonics, angle + phase));
        [sin, cos, 1.0].into_iter().chain(shapes).collect()
    }
}

/// Where each element's unknowns, state and port stand.
#[derive(Debug, Clone)]
pub(super) struct Shape {
    pub unknowns: usize,
    /// First branch unknown of an element.
    pub branch: Vec<Option<usize>>,
    /// State of an element.
    pub state: Vec<Option<usize>>,
    /// Port of an element.
    pub port: Vec<Option<usize>>,
    pub state_names: Vec<String>,
    pub ports: usize,
    /// Phases in which distorted sources come.
    pub phases: Vec<f64>,
}

impl Shape {
    pub fn of(network: &Network) -> Shape {
        let mut unknowns = network.node_count() - 1;
        let count = network.elements.len();
        let mut shape = Shape {
            unknowns: 0,
            branch: vec![None; count],
            state: vec![None; count],
            port: vec![None; count],
            state_names: Vec::new(),
            ports: 0,
            phases: Vec::new(),
        };
        for (index, element) in network.elements.iter().enumerate() {
            let branches = match &element.kind {
                Kind::Inductor(..) | Kind::Voltage(..) => 1,
                // one current per winding and the common EMF
                Kind::Transformer(windings) => windings.len() + 1,
                _ => 0,
            };
            if branches > 0 {
                shape.branch[index] = Some(unknowns);
                unknowns += branches;
            }
            match &element.kind {
                Kind::Voltage(_, _, Wave::Distorted { phase, .. }) => {
                    if !shape.phases.contains(phase) {
                        shape.phases.push(*phase);
                    }
                }
                Kind::Capacitor(..) | Kind::Inductor(..) | Kind::Iron(..) => {
                    shape.state[index] = Some(shape.state_names.len());
                    shape.state_names.push(element.name.clone());
                }
                _ => {}
            }
            let port = match &element.kind {
                Kind::Iron(_, _, iron) => iron.power > 0.0,
                kind => matches!(kind, Kind::Nonlinear { .. }),
            };
            if port {
                shape.port[index] = Some(shape.ports);
                shape.ports += 1;
            }
        }
        shape.unknowns = unknowns;
        shape
    }
}

/// Index of a node's voltage among the unknowns; the reference has none.
pub(super) fn row(node: Node) -> Option<usize> {
    node.0.checked_sub(1)
}

fn add(matrix: &mut DMatrix<f64>, r: Option<usize>, c: Option<usize>, value: f64) {
    if let (Some(r), Some(c)) = (r, c) {
        matrix[(r, c)] += value;
    }
}

/// Reduces `network` for a stage length `gamma_h` in seconds.
///
/// # Errors
/// [`CircuitError::Singular`] when the equations have no single solution.
pub(super) fn reduce(network: &Network, gamma_h: f64) -> Result<Reduced, CircuitError> {
    let shape = Shape::of(network);
    let n = shape.unknowns;
    let states = shape.state_names.len();
    let ports = shape.ports;
    let mut k = DMatrix::<f64>::zeros(n, n);
    let basis = BASIS + shape.phases.len();
    let mut rhs = DMatrix::<f64>::zeros(n, states + basis + ports);
    let constant = states + 2;
    let first_port = states + basis;
    let omega = std::f64::consts::TAU * network.frequency();
    let mut laws = Vec::with_capacity(ports);

    for (index, element) in network.elements.iter().enumerate() {
        let branch = shape.branch[index];
        match &element.kind {
            Kind::Resistor(a, b, ohms) => stamp_conductance(&mut k, *a, *b, 1.0 / ohms),
            Kind::Capacitor(a, b, farads) => {
                let per_stage = farads / gamma_h;
                stamp_conductance(&mut k, *a, *b, per_stage);
                if let Some(state) = shape.state[index] {
                    add(&mut rhs, row(*a), Some(state), per_stage);
                    add(&mut rhs, row(*b), Some(state), -per_stage);
                }
            }
            Kind::Inductor(a, b, henries) => {
                stamp_branch(&mut k, *a, *b, branch);
                let per_stage = henries / gamma_h;
                add(&mut k, branch, branch, -per_stage);
                add(&mut rhs, branch, shape.state[index], -per_stage);
            }
            Kind::Iron(a, b, iron) => {
                stamp_conductance(&mut k, *a, *b, iron.linear * gamma_h);
                add(&mut rhs, row(*a), shape.state[index], -iron.linear);
                add(&mut rhs, row(*b), shape.state[index], iron.linear);
                if let Some((port, law)) = shape.port[index].zip(iron.steep(omega)) {
                    laws.push(law);
                    add(&mut rhs, row(*a), Some(first_port + port), -1.0);
                    add(&mut rhs, row(*b), Some(first_port + port), 1.0);
                }
            }
            Kind::Voltage(a, b, wave) => {
                stamp_branch(&mut k, *a, *b, branch);
                match wave {
                    Wave::Sine { peak, phase } => {
                        add(&mut rhs, branch, Some(states), peak * phase.cos());
                        add(&mut rhs, branch, Some(states + 1), peak * phase.sin());
                    }
                    Wave::Distorted { peak, phase } => {
                        let place = shape.phases.iter().position(|p| p == phase);
                        add(&mut rhs, branch, place.map(|p| states + BASIS + p), *peak);
                    }
                    Wave::Constant(volts) => add(&mut rhs, branch, Some(constant), *volts),
                }
            }
            Kind::Current(a, b, amperes) => {
                add(&mut rhs, row(*a), Some(constant), -amperes);
                add(&mut rhs, row(*b), Some(constant), *amperes);
            }
            Kind::Transformer(windings) => {
                if let Some(first) = branch {
                    let emf = first + windings.len();
                    for (offset, winding) in windings.iter().enumerate() {
                        let current = first + offset;
                        stamp_branch(&mut k, winding.start, winding.end, Some(current));
                        k[(current, emf)] -= winding.turns;
                        k[(emf, current)] += winding.turns;
                    }
                }
            }
            Kind::Controlled { constant: amperes, control, leaves } => {
                for (out, share) in leaves {
                    add(&mut rhs, row(*out), Some(constant), -share * amperes);
                    for (node, weight) in control {
                        add(&mut k, row(*out), row(*node), share * weight);
                    }
                }
            }
            Kind::Nonlinear { law, leaves, .. } => {
                if let Some(port) = shape.port[index] {
                    laws.push(*law);
                    for (out, share) in leaves {
                        add(&mut rhs, row(*out), Some(first_port + port), -share);
                    }
                }
            }
        }
    }

    let singular = |k: &DMatrix<f64>| CircuitError::Singular { near: weakest(network, &shape, k) };
    // rounding can make a number of what has no solution, so islands are looked for, not computed
    if let Some(node) = island(network) {
        return Err(CircuitError::Singular { near: network.name(node).to_owned() });
    }
    let outputs =
        if n == 0 { rhs } else { k.clone().lu().solve(&rhs).ok_or_else(|| singular(&k))? };
    if outputs.iter().any(|v| !v.is_finite()) {
        return Err(singular(&k));
    }
    let (advance, feedback) = wanted_rows(network, &shape, &outputs, gamma_h);
    Ok(Reduced { states, ports, basis, advance, feedback, outputs, laws, shape, gamma_h })
}

/// A node with no path to the reference through elements that relate voltages: rectifiers and current sources
/// do not, controlled currents may.
fn island(network: &Network) -> Option<Node> {
    let mut group: Vec<usize> = (0..network.node_count()).collect();
    fn root(group: &mut [usize], mut node: usize) -> usize {
        while group[node] != node {
            group[node] = group[group[node]];
            node = group[node];
        }
        node
    }
    let mut join = |a: Node, b: Node| {
        let (a, b) = (root(&mut group, a.0), root(&mut group, b.0));
        // the reference stays its own root
        let (low, high) = (a.min(b), a.max(b));
        group[high] = low;
    };
    for element in &network.elements {
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
    (1..group.len()).find(|&node| root(&mut group, node) != 0).map(Node)
}

/// Name of the unknown whose equation is weakest, to tell the reader where to look.
fn weakest(network: &Network, shape: &Shape, k: &DMatrix<f64>) -> String {
    let size = |r: usize| k.row(r).iter().fold(0.0_f64, |m, v| m.max(v.abs()));
    let mut worst = 0;
    for r in 0..shape.unknowns {
        if size(r) < size(worst) {
            worst = r;
        }
    }
    if worst + 1 < network.node_count() {
        return network.name(Node(worst + 1)).to_owned();
    }
    let owner = shape.branch.iter().rposition(|first| first.is_some_and(|f| f <= worst));
    owner.map_or_else(String::new, |i| network.elements[i].name.clone())
}

fn stamp_conductance(k: &mut DMatrix<f64>, a: Node, b: Node, siemens: f64) {
    add(k, row(a), row(a), siemens);
    add(k, row(b), row(b), siemens);
    add(k, row(a), row(b), -siemens);
    add(k, row(b), row(a), -siemens);
}

/// A branch whose current leaves `a` and enters `b`, and whose own row starts as `v_a − v_b`.
fn stamp_branch(k: &mut DMatrix<f64>, a: Node, b: Node, branch: Option<usize>) {
    add(k, row(a), branch, 1.0);
    add(k, row(b), branch, -1.0);
    add(k, branch, row(a), 1.0);
    add(k, branch, row(b), -1.0);
}

/// The rows for the new states and the control voltages, split into history + basis and currents.
fn wanted_rows(
    network: &Network,
    shape: &Shape,
    outputs: &DMatrix<f64>,
    gamma_h: f64,
) -> (DMatrix<f64>, DMatrix<f64>) {
    let states = shape.state_names.len();
    let width = outputs.ncols();
    let mut all = DMatrix::<f64>::zeros(states + shape.ports, width);
    let mut take = |target: usize, source: Option<usize>, weight: f64| {
        if let Some(source) = source {
            for column in 0..width {
                all[(target, column)] += weight * outputs[(source, column)];
            }
        }
    };
    let mut fluxes = Vec::new();
    for (index, element) in network.elements.iter().enumerate() {
        let port = shape.port[index].map(|port| states + port);
        match (&element.kind, shape.state[index], port) {
            (Kind::Capacitor(a, b, _), Some(state), _) => {
                take(state, row(*a), 1.0);
                take(state, row(*b), -1.0);
            }
            (Kind::Inductor(..), Some(state), _) => take(state, shape.branch[index], 1.0),
            (Kind::Iron(a, b, _), Some(state), port) => {
                let omega = std::f64::consts::TAU * network.frequency();
                let targets = [(Some(state), 1.0), (port, omega)];
                for (target, scale) in targets.into_iter().filter_map(|(t, s)| Some((t?, s))) {
                    take(target, row(*a), scale * gamma_h);
                    take(target, row(*b), -scale * gamma_h);
                    fluxes.push((target, state, scale));
                }
            }
            (Kind::Nonlinear { control, .. }, _, Some(port)) => {
                for (node, weight) in control {
                    take(port, row(*node), *weight);
                }
            }
            _ => {}
        }
    }
    for (target, state, scale) in fluxes {
        all[(target, state)] += scale;
    }
    let known = width - shape.ports;
    (all.columns(0, known).into_owned(), all.columns(known, shape.ports).into_owned())
}
