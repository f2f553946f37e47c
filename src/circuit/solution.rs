//! What a meter would read in the steady state: mean, true RMS, peak, ripple, power.

use super::{
    dense::{Rows, add, moment, product},
    network::{Element, ElementId, Kind, Network, Node},
    reduce::{Place, Reduced, row},
    slope::{Cycle, Slope},
};
use nalgebra::DVector;
use std::sync::{Arc, OnceLock};

/// Something that can be measured in a solved network.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Probe {
    /// Voltage of the first node against the second.
    Volts(Node, Node),
    /// Current through an element, counted from its first node to its second; for a nonlinear or
    /// controlled branch its own current.
    Amps(ElementId),
    /// Current into the start of a transformer's winding, by its place in the list.
    Winding(ElementId, usize),
    /// Flux linkage of an iron core's winding, V·s; nothing for another element.
    Flux(ElementId),
}

/// The periodic steady state of a network over one cycle, equally spaced instants.
#[derive(Debug, Clone)]
pub struct SteadyState {
    elements: Arc<Vec<Element>>,
    net: Arc<Reduced>,
    steps: usize,
    start: DVector<f64>,
    trace: Vec<f64>,
    mean: Vec<f64>,
    /// Of `z`, once it is asked for.
    moment: OnceLock<Rows>,
    /// For a neighbour to start with.
    slope: Arc<Slope>,
    closed: f64,
}

impl SteadyState {
    /// What is left of a miss is taken off start and means to the first order.
    pub(super) fn new(network: &Network, net: Reduced, cycle: Cycle) -> Self {
        let Cycle { steps, mut start, trace, miss, slope } = cycle;
        let mut mean = vec![0.0; net.width()];
        trace.chunks_exact(net.width()).for_each(|z| add(&mut mean, 1.0, z));
        mean.iter_mut().for_each(|sum| *sum /= steps as f64);
        let step = if start.is_empty() { None } else { slope.factored.solve(&miss.delta) };
        if let Some(step) = step {
            for (shift, step) in slope.mean_shift.each().zip(step.iter()) {
                let (states, ports) = shift.split_at(net.states);
                let (known, amps) = mean.split_at_mut(net.known());
                add(&mut known[..net.states], *step, states);
                add(amps, *step, ports);
            }
            start += step;
        }
        SteadyState {
            elements: Arc::clone(&network.elements),
            net: Arc::new(net),
            steps,
            start,
            trace,
            mean,
            moment: OnceLock::new(),
            slope,
            closed: miss.relative,
        }
    }

    pub(super) fn slope(&self) -> &Arc<Slope> {
        &self.slope
    }

    fn moment(&self) -> &Rows {
        self.moment.get_or_init(|| moment(&self.trace, self.net.width()))
    }

    /// `w·M·v` of two lists of weights.
    fn mean_of_product(&self, w: &[f64], v: &[f64]) -> f64 {
        let moment = self.moment();
        w.iter().enumerate().map(|(r, w)| w * product(moment.row(r), v)).sum()
    }

    /// Moves the start by a share of the way from that of `from` to that of `to`, for a search that begins there; the cycle
    /// stays that of the solution. Networks of another number of states move nothing.
    pub fn lean(&mut self, from: &SteadyState, to: &SteadyState, share: f64) {
        if [from, to].iter().all(|s| s.start.len() == self.start.len()) {
            for ((now, a), b) in self.start.iter_mut().zip(&from.start).zip(&to.start) {
                *now += share * (b - a);
            }
        }
    }

    /// State at the start of the cycle, to start a neighbour from.
    pub fn start(&self) -> &[f64] {
        self.start.as_slice()
    }

    /// Largest change of a state over the cycle, relative to its size.
    pub fn closed(&self) -> f64 {
        self.closed
    }

    /// Weights on `z` of a sum of unknowns, each with its factor.
    fn sum(&self, unknowns: impl IntoIterator<Item = (Option<usize>, f64)>) -> Vec<f64> {
        let mut weights = vec![0.0; self.net.width()];
        for (index, factor) in unknowns {
            index.into_iter().for_each(|i| add(&mut weights, factor, self.net.outputs.row(i)));
        }
        weights
    }

    fn volts(&self, a: Node, b: Node) -> Vec<f64> {
        self.sum([(row(a), 1.0), (row(b), -1.0)])
    }

    /// The probe as weights on `z`.
    fn weights(&self, probe: Probe) -> Vec<f64> {
        let of = |id: ElementId| (&self.elements[id.0].kind, self.net.shape.places[id.0]);
        match probe {
            Probe::Volts(a, b) => self.volts(a, b),
            Probe::Winding(id, place) => {
                self.sum([(of(id).1.branch.map(|first| first + place), 1.0)])
            }
            Probe::Flux(id) => match of(id) {
                (Kind::Iron(a, b, _), Place { state, .. }) => {
                    with(scaled(self.volts(*a, *b), self.net.gamma_h), state, 1.0)
                }
                _ => self.sum([]),
            },
            Probe::Amps(id) => {
                let (kind, Place { branch, state, port }) = of(id);
                let port = port.map(|port| self.net.known() + port);
                let one = Some(self.net.states + 2);
                match kind {
                    Kind::Resistor(a, b, ohms) => scaled(self.volts(*a, *b), 1.0 / ohms),
                    // i = C (v − s_h)/(γh), the rule's own slope at the last stage
                    Kind::Capacitor(a, b, farads) => {
                        let change = with(self.volts(*a, *b), state, -1.0);
                        scaled(change, farads / self.net.gamma_h)
                    }
                    Kind::Inductor(..) | Kind::Voltage(..) | Kind::Transformer(..) => {
                        self.sum([(branch, 1.0)])
                    }
                    Kind::Iron(_, _, iron) => {
                        with(scaled(self.weights(Probe::Flux(id)), iron.linear), port, 1.0)
                    }
                    Kind::Current(_, _, amperes) => with(self.sum([]), one, *amperes),
                    Kind::Controlled { constant, control, .. } => {
                        let volts = control.iter().map(|(node, weight)| (row(*node), *weight));
                        with(self.sum(volts), one, *constant)
                    }
                    Kind::Nonlinear { .. } => with(self.sum([]), port, 1.0),
                }
            }
        }
    }

    /// Average over the cycle: what a DC meter shows.
    pub fn mean(&self, probe: Probe) -> f64 {
        product(&self.weights(probe), &self.mean)
    }

    /// True RMS over the cycle.
    pub fn rms(&self, probe: Probe) -> f64 {
        let weights = self.weights(probe);
        self.mean_of_product(&weights, &weights).max(0.0).sqrt()
    }

    /// Mean of the absolute value: what a meter behind a rectifier sees.
    pub fn mean_absolute(&self, probe: Probe) -> f64 {
        let weights = self.weights(probe);
        self.samples(&weights).map(f64::abs).sum::<f64>() / self.steps as f64
    }

    /// RMS of the alternating part alone.
    pub fn ripple_rms(&self, probe: Probe) -> f64 {
        let weights = self.weights(probe);
        let mean = product(&weights, &self.mean);
        // summed from the waveform: the moment matrix would lose a small ripple on a large mean
        let sum: f64 = self.samples(&weights).map(|v| (v - mean) * (v - mean)).sum();
        (sum / self.steps as f64).sqrt()
    }

    /// Mean of the product of two probes: power, for volts and amperes of one element.
    pub fn mean_product(&self, a: Probe, b: Probe) -> f64 {
        self.mean_of_product(&self.weights(a), &self.weights(b))
    }

    fn samples<'a>(&'a self, weights: &'a [f64]) -> impl Iterator<Item = f64> + 'a {
        self.trace.chunks_exact(self.net.width()).map(move |z| product(z, weights))
    }

    /// The waveform at the ends of the steps.
    pub fn waveform(&self, probe: Probe) -> Vec<f64> {
        let weights = self.weights(probe);
        self.samples(&weights).collect()
    }

    /// Highest and lowest instantaneous value, between samples by a parabola through three points.
    pub fn extremes(&self, probe: Probe) -> (f64, f64) {
        let wave = self.waveform(probe);
        let top = summit(&wave);
        let negated: Vec<f64> = wave.iter().map(|v| -v).collect();
        (top, -summit(&negated))
    }

    /// Largest absolute instantaneous value.
    pub fn peak(&self, probe: Probe) -> f64 {
        let (high, low) = self.extremes(probe);
        f64::max(high.abs(), low.abs())
    }
}

/// All of `weights` times `by`.
fn scaled(mut weights: Vec<f64>, by: f64) -> Vec<f64> {
    weights.iter_mut().for_each(|w| *w *= by);
    weights
}

/// `weights` with one of them larger by `by`.
fn with(mut weights: Vec<f64>, place: Option<usize>, by: f64) -> Vec<f64> {
    place.into_iter().for_each(|place| weights[place] += by);
    weights
}

/// Share of the bend at the highest sample below which two samples beside it stand level with it.
const LEVEL: f64 = 0.01;

fn summit(wave: &[f64]) -> f64 {
    let n = wave.len();
    let mut best = 0;
    for (i, v) in wave.iter().enumerate() {
        if *v > wave[best] {
            best = i;
        }
    }
    let at = |k: usize| wave[(best + k) % n];
    let (left, mid, right) = (at(n - 1), at(0), at(1));
    let bend = left - 2.0 * mid + right;
    // the end of a level stretch, such as a choke without current, is a corner and no summit
    let level = |one: usize, two: usize| {
        f64::max((at(one) - mid).abs(), (at(two) - at(one)).abs()) < LEVEL * bend.abs()
    };
    if bend >= 0.0 || level(1, 2) || level(n - 1, 2 * n - 2) {
        return mid;
    }
    let slope = (right - left) / 2.0;
    mid - slope * slope / (2.0 * bend)
}
