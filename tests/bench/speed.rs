//! How long one answer takes, and the same network by a general-purpose ODE solver beside it.
//!
//! `cargo bench`. All runs start cold. The network is that of `tests/data/steady_state.json`, "today, 15 ohm
//! in the line cord", at the heater resistances of its solution. The ODE solver stands beside it twice: fed by the
//! network, as the core is, and with equations written out by hand for this one network, four states and no matrices.
#![allow(clippy::unwrap_used)] // a bench that cannot go on stops, and `unwrap` says where

#[path = "../suite/by_hand.rs"]
#[allow(dead_code)] // the tests use more of it
mod by_hand;
#[path = "../suite/supply.rs"]
#[allow(dead_code)] // the tests use more of it
mod supply;

use by_hand::{Front, WithResistor, periodic, run};
use divan::{Bencher, black_box};
use mainsfit::circuit::{Derivative, Network, Probe, REFERENCE, Settings, steady_state};
use mainsfit::profile::{Document, read};
use mainsfit::receiver::{Receiver, Straight, complete};
use ode_solvers::{DVector, Dopri5, OutputType, SVector, System};
use std::cell::RefCell;
use std::rc::Rc;
use supply::{Points, REFERENCE_LOAD, Supply, hang_reference_load, reference_supply};

/// B+ and first capacitor of the case, by LSODA at 1e-8.
const EXPECTED: [f64; 2] = [268.2387, 348.7103];
/// Accuracy every way of solving is held to.
const WANTED: f64 = 3e-4;
/// Loosest tolerance at which the ODE solver stays within it, whatever the number of cycles.
const LOOSE: f64 = 3e-6;
/// Tolerance at which it is as accurate as 128 steps of the core.
const TIGHT: f64 = 1e-7;
/// Newton's method takes difference quotients, so it cannot be as loose.
const FOR_NEWTON: f64 = 1e-6;
/// Places of the two capacitors among the states of the network.
const FIRST: usize = 1;
/// The second.
const B_PLUS: usize = 3;
/// Cycles from rest until nothing moves by as much any more.
const CYCLES: usize = 60;
/// The same for the supply with a decoupled stage, whose slowest time constant is 0.54 s: e^-11.4 is left, 1.1e-5.
const CYCLES_DECOUPLED: usize = 370;
/// Resistor, capacitor and load of a decoupled stage, as early audio stages have it.
const STAGE: (f64, f64, f64) = (100e3, 8e-6, 200e3);
/// How well the core closes its cycle where accuracies are compared: beyond what is asked, as the ODE solver's tolerance is.
const CLOSED: f64 = 1e-6;

fn main() {
    accurate(core(128), 2e-5);
    accurate(core(64), WANTED);
    accurate(ode_to_rest(LOOSE), WANTED);
    accurate(ode_to_rest(TIGHT), 2e-5);
    accurate(ode_by_newton(FOR_NEWTON), WANTED);
    accurate(ode_of_network(TIGHT), 2e-5);
    accurate(ode_of_network(LOOSE), WANTED);
    let truth = decoupled_exact();
    for got in [decoupled_core(), decoupled_ode()] {
        for (got, truth) in got.into_iter().zip(truth) {
            let miss = (got / truth - 1.0).abs();
            assert!(miss < 2e-5, "{got} V against {truth} V: {miss:.1e}");
        }
    }
    divan::main();
}

/// A time is worth nothing beside a wrong answer.
fn accurate(got: [f64; 2], wanted: f64) {
    for (got, expected) in got.into_iter().zip(EXPECTED) {
        let miss = (got / expected - 1.0).abs();
        assert!(miss < wanted, "{got} V against {expected} V: {miss:.1e}");
    }
}

fn case() -> (Supply, Vec<f64>) {
    let supply = reference_supply(123.0, 15.0);
    let heaters = [6.1427, 4.8752];
    let ohms = supply.heaters.iter().zip(heaters).map(|(h, volts)| h.ohms(volts)).collect();
    (supply, ohms)
}

fn network() -> (Network, Points) {
    let (supply, ohms) = case();
    supply.build(&ohms, &|net, at| hang_reference_load(net, at, None)).unwrap()
}

fn equations() -> (WithResistor, f64) {
    let (supply, ohms) = case();
    let period = 1.0 / supply.frequency;
    let front = Front::new(&supply, &ohms);
    let system = WithResistor { front, supply, load: REFERENCE_LOAD };
    (system, period)
}

fn settings(steps: usize) -> Settings {
    Settings { periodic: CLOSED, ..Settings::fixed(steps) }
}

fn core(steps: usize) -> [f64; 2] {
    let (net, at) = network();
    let s = steady_state(&net, &settings(steps), None).unwrap();
    let volts = |a, b| s.mean(Probe::Volts(a, b));
    [volts(at.b_plus, REFERENCE), volts(at.b_plus, at.centre)]
}

fn averages(end: &SVector<f64, 6>, period: f64) -> [f64; 2] {
    [end[5] / period, end[4] / period]
}

/// Switched on from rest and waited out.
fn ode_to_rest(tolerance: f64) -> [f64; 2] {
    let (system, period) = equations();
    let before = CYCLES as f64 * period;
    let mut y = run(&system, 0.0, before, SVector::<f64, 6>::zeros(), tolerance);
    y[4] = 0.0;
    y[5] = 0.0;
    averages(&run(&system, before, before + period, y, tolerance), period)
}

/// The same solver inside Newton's method on the one-cycle map.
fn ode_by_newton(tolerance: f64) -> [f64; 2] {
    let (system, period) = equations();
    let (_, end) = periodic(&system, period, SVector::<f64, 6>::zeros(), 4, tolerance);
    averages(&end, period)
}

/// The network itself, whatever it is, as equations for the ODE solver: its states, then their integrals.
#[derive(Clone)]
struct AnyNetwork<'n>(Rc<RefCell<Derivative<'n>>>);

impl System<f64, DVector<f64>> for AnyNetwork<'_> {
    fn system(&self, time: f64, y: &DVector<f64>, dy: &mut DVector<f64>) {
        let mut of = self.0.borrow_mut();
        let (now, sums) = y.as_slice().split_at(of.states());
        let (rates, sum_rates) = dy.as_mut_slice().split_at_mut(now.len());
        of.at(time, now, rates).unwrap();
        sum_rates.copy_from_slice(&now[..sums.len()]);
    }
}

/// B+ and first capacitor by the ODE solver from rest, fed by the network alone.
fn ode_of_network(tolerance: f64) -> [f64; 2] {
    let (net, _) = network();
    let system = AnyNetwork(Rc::new(RefCell::new(Derivative::of(&net).unwrap())));
    let states = system.0.borrow().states();
    let period = 1.0 / net.frequency();
    let run = |from: f64, cycles: usize, start: DVector<f64>| {
        let to = from + cycles as f64 * period;
        let system = system.clone();
        let mut solver = Dopri5::new(system, from, to, to - from, start, tolerance, tolerance);
        solver.set_output(OutputType::Sparse);
        solver.integrate().unwrap();
        solver.y_out().last().unwrap().clone()
    };
    let mut y = run(0.0, CYCLES, DVector::zeros(2 * states));
    y.rows_mut(states, states).fill(0.0);
    let end = run(CYCLES as f64 * period, 1, y);
    // in the order of the elements: magnetizing current, first capacitor, coil, second capacitor
    [states + B_PLUS, states + FIRST].map(|i| end[i] / period)
}

/// The supply with a decoupled stage behind B+: states and integrals as in `WithResistor`, the stage's volts after each.
#[derive(Clone)]
struct Decoupled {
    front: Front,
    supply: Supply,
}

impl System<f64, SVector<f64, 8>> for Decoupled {
    fn system(&self, time: f64, y: &SVector<f64, 8>, dy: &mut SVector<f64, 8>) {
        let (first, coil, b_plus, stage) = (y[1], y[2], y[3], y[4]);
        let now = self.front.at(time, y[0], first);
        let (ohms, farads, load) = STAGE;
        let fed = (b_plus - stage) / ohms;
        dy[0] = now.emf / self.supply.core_henries;
        dy[1] = (now.plate_amps - coil) / self.supply.first;
        dy[2] = (first - b_plus - self.supply.coil_ohms * coil) / self.supply.coil_henries;
        dy[3] = (coil - b_plus / REFERENCE_LOAD - fed) / self.supply.second;
        dy[4] = (fed - stage / load) / farads;
        dy[5] = first;
        dy[6] = b_plus;
        dy[7] = stage;
    }
}

fn decoupled_equations() -> (Decoupled, f64) {
    let (supply, ohms) = case();
    let front = Front::new(&supply, &ohms);
    let period = 1.0 / supply.frequency;
    (Decoupled { front, supply }, period)
}

fn decoupled_network() -> (Network, Points, mainsfit::circuit::Node) {
    let (mut net, at) = network();
    let stage = net.node("stage");
    let (ohms, farads, load) = STAGE;
    net.resistor("stage feed", at.b_plus, stage, ohms).unwrap();
    net.capacitor("stage filter", stage, REFERENCE, farads).unwrap();
    net.resistor("stage", stage, REFERENCE, load).unwrap();
    (net, at, stage)
}

/// First capacitor, B+ and stage, by the ODE solver within Newton's method, far finer than is compared.
fn decoupled_exact() -> [f64; 3] {
    let (system, period) = decoupled_equations();
    let (_, end) = periodic(&system, period, SVector::<f64, 8>::zeros(), 5, 1e-10);
    [5, 6, 7].map(|i| end[i] / period)
}

fn decoupled_core() -> [f64; 3] {
    let (net, at, stage) = decoupled_network();
    let s = steady_state(&net, &settings(128), None).unwrap();
    [
        s.mean(Probe::Volts(at.b_plus, at.centre)),
        s.mean(Probe::Volts(at.b_plus, REFERENCE)),
        s.mean(Probe::Volts(stage, REFERENCE)),
    ]
}

fn decoupled_ode() -> [f64; 3] {
    let (system, period) = decoupled_equations();
    let before = CYCLES_DECOUPLED as f64 * period;
    let mut y = run(&system, 0.0, before, SVector::<f64, 8>::zeros(), TIGHT);
    for i in 5..8 {
        y[i] = 0.0;
    }
    let end = run(&system, before, before + period, y, TIGHT);
    [5, 6, 7].map(|i| end[i] / period)
}

#[divan::bench(name = "decoupled stage, circuit core", args = [128])]
fn decoupled_steady(bencher: Bencher<'_, '_>, steps: usize) {
    let (net, _, _) = decoupled_network();
    let settings = settings(steps);
    bencher.bench(|| steady_state(black_box(&net), &settings, None).unwrap());
}

#[divan::bench(name = "decoupled stage, ODE solver waited out")]
fn decoupled_waited_out() -> [f64; 3] {
    decoupled_ode()
}

#[divan::bench(name = "steady state, circuit core", args = [32, 64, 128, 256, 512])]
fn steady(bencher: Bencher<'_, '_>, steps: usize) {
    let (net, _) = network();
    let settings = settings(steps);
    bencher.bench(|| steady_state(black_box(&net), &settings, None).unwrap());
}

/// As the program asks for it: closed as well as rounding lets it.
#[divan::bench(name = "steady state, circuit core, closed to 1e-9", args = [128])]
fn steady_closed(bencher: Bencher<'_, '_>, steps: usize) {
    let (net, _) = network();
    let settings = Settings::fixed(steps);
    bencher.bench(|| steady_state(black_box(&net), &settings, None).unwrap());
}

/// The same supply with more sections of a filter behind it: what nodes and states cost.
#[divan::bench(name = "steady state, 128 steps, sections added", args = [0, 2, 4, 8, 16])]
fn sections(bencher: Bencher<'_, '_>, count: usize) {
    let (mut net, at) = network();
    let mut from = at.b_plus;
    for i in 0..count {
        let next = net.node(&format!("section {i}"));
        net.resistor(format_args!("resistor {i}"), from, next, 10e3).unwrap();
        net.capacitor(format_args!("capacitor {i}"), next, REFERENCE, 1e-6).unwrap();
        net.resistor(format_args!("load {i}"), next, REFERENCE, 1e6).unwrap();
        from = next;
    }
    let settings = Settings::fixed(128);
    bencher.bench(|| steady_state(black_box(&net), &settings, None).unwrap());
}

#[divan::bench(name = "steady state, ODE solver waited out", args = [LOOSE, TIGHT])]
fn waited_out(tolerance: f64) -> [f64; 2] {
    ode_to_rest(tolerance)
}

/// As the core does it, from the network.
#[divan::bench(name = "steady state, ODE solver fed by the network", args = [LOOSE, TIGHT])]
fn network_waited_out(tolerance: f64) -> [f64; 2] {
    ode_of_network(tolerance)
}

#[divan::bench(name = "steady state, ODE solver, Newton on the cycle")]
fn by_newton() -> [f64; 2] {
    ode_by_newton(FOR_NEWTON)
}

#[divan::bench(name = "receiver, console-1936 at 123 V")]
fn receiver(bencher: Bencher<'_, '_>) {
    let text = include_str!("../../profiles/console-1936.yaml");
    let document = Document::parse("console-1936.yaml", text.as_bytes()).unwrap();
    let (profile, _) = read(&document).map_err(|problems| problems.render()).unwrap();
    let receiver = Receiver::new(complete(&profile).unwrap().0, None).unwrap();
    bencher.bench(|| receiver.run(black_box(123.0), &Straight, None).unwrap());
}

/// What a person waits for: the program from start to exit.
#[divan::bench(
    name = "plan, whole process",
    args = ["console-1936", "table-1948", "little-known", "universal-1947"]
)]
fn whole_process(set: &str) {
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_mainsfit"))
        .env("MAINSFIT_SHOP", "")
        .args(["plan", &format!("profiles/{set}.yaml")])
        .output()
        .unwrap();
    assert!(output.status.success());
}

/// A study of draws on every core: what a draw costs, beside what the study costs before its first.
#[divan::bench(name = "tolerance, console-1936", args = [10, 100, 1000, 10_000], sample_count = 1, sample_size = 1)]
fn draws(count: usize) {
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_mainsfit"))
        .env("MAINSFIT_SHOP", "")
        .args(["tolerance", "profiles/console-1936.yaml", "--draws", &count.to_string()])
        .output()
        .unwrap();
    assert!(output.status.success());
}
