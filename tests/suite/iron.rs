//! A half-wave rectifier on a transformer whose core saturates, against an independent integration.
//!
//! Source: `tests/data/half_wave_iron.json` (Dormand-Prince 8(5,3), 1e-10, periodic by Newton; its own words are in it).
//! The network is written down here from the file's description of its circuit.

use crate::table::{Allowed, Group, Row};
use mainsfit::circuit::{
    CircuitError, Derivative, ElementId, Harmonic, Iron, Law, Network, Node, Probe, REFERENCE,
    Settings, SteadyState, Wave, Winding, steady_state,
};
use serde_json::Value;
use std::f64::consts::SQRT_2;
use std::sync::OnceLock;

const SOURCE: &str = "Dormand-Prince 8(5,3), 1e-10";
/// Steps a cycle of the receiver model.
const STEPS: usize = 128;

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn file() -> &'static Value {
    static FILE: OnceLock<Value> = OnceLock::new();
    FILE.get_or_init(|| serde_json::from_str(include_str!("../data/half_wave_iron.json")).unwrap())
}

fn input(key: &str) -> f64 {
    number(&file()["inputs"][key])
}

/// What a case of the file sets.
#[derive(Clone)]
struct Set {
    volts: f64,
    frequency: f64,
    ahead: f64,
    iron: Iron,
    harmonics: Vec<Harmonic>,
    /// Nothing beyond the primary.
    bare: bool,
    /// An inductor in place of linear iron.
    inductor: bool,
    load: f64,
}

fn saturating() -> Iron {
    Iron {
        linear: input("core_a_A_per_Vs"),
        power: input("core_b_A_per_Vs_n"),
        exponent: input("core_n") as i32,
        air_henries: 0.015,
    }
}

fn linear() -> Iron {
    Iron { linear: 1.0 / input("L_linear_H"), power: 0.0, ..saturating() }
}

impl Set {
    fn of(case: &Value, iron: Iron) -> Set {
        let harmonics = case["harmonics"].as_array().into_iter().flatten();
        Set {
            volts: case["fundamental_rms_V"].as_f64().unwrap_or(number(&case["source_rms_V"])),
            frequency: number(&case["f_Hz"]),
            ahead: number(&case["R_series_ohm"]),
            iron,
            harmonics: harmonics
                .map(|h| Harmonic {
                    order: number(&h[0]) as u32,
                    share: number(&h[1]),
                    phase: number(&h[2]),
                })
                .collect(),
            bare: case["harmonics"].is_null(),
            inductor: false,
            load: case["overrides"]["R_load"].as_f64().unwrap_or(input("R_load_ohm")),
        }
    }

    fn named(name: &str) -> Set {
        let case = cases().iter().find(|c| c["name"] == name).unwrap();
        let mut iron = if case["core"] == "linear" { linear() } else { saturating() };
        if let Some(a) = case["overrides"]["a"].as_f64() {
            (iron.linear, iron.power) = (a, number(&case["overrides"]["b"]));
        }
        Set::of(case, iron)
    }

    fn build(&self) -> Result<(Network, At), CircuitError> {
        let mut net = Network::new(self.frequency, "chassis")?;
        let (outlet, emf) = (net.node("outlet"), net.node("EMF"));
        net.distort(&self.harmonics)?;
        let peak = self.volts * SQRT_2;
        let wave = match self.harmonics[..] {
            [] => Wave::Sine { peak, phase: 0.0 },
            _ => Wave::Distorted { peak, phase: 0.0 },
        };
        let source = net.voltage("line", outlet, REFERENCE, wave)?;
        let mut set = outlet;
        let mut parts = Vec::new();
        if self.ahead > 0.0 {
            set = net.node("set");
            parts.push(("dropper_W", outlet, set, self.ahead));
        }
        parts.push(("primary_copper_W", set, emf, input("R_primary_ohm")));
        parts.push(("iron_W", emf, REFERENCE, input("R_core_ohm")));
        let iron = match self.inductor {
            true => net.inductor("core", emf, REFERENCE, 1.0 / self.iron.linear)?,
            false => net.iron("core", emf, REFERENCE, self.iron)?,
        };
        let mut plate = None;
        if !self.bare {
            let (top, anode, cathode) = (net.node("top"), net.node("plate"), net.node("B+"));
            parts.push(("heater_equiv_W", emf, REFERENCE, input("R_load_primary_ohm")));
            parts.push(("secondary_copper_W", top, anode, input("R_secondary_ohm")));
            parts.push(("dc_W", cathode, REFERENCE, self.load));
            net.capacitor("filter", cathode, REFERENCE, input("C_F"))?;
            let law = Law::ThreeHalves { perveance: input("perveance_A_per_V1p5"), offset: 0.0 };
            plate = Some((net.rectifier("rectifier", anode, cathode, law)?, anode, cathode));
            let primary = Winding { start: emf, end: REFERENCE, turns: 1.0 };
            let second = Winding { start: top, end: REFERENCE, turns: input("ratio") };
            net.transformer("transformer", vec![primary, second])?;
        }
        for (name, a, b, ohms) in &parts {
            net.resistor(name, *a, *b, *ohms)?;
        }
        Ok((net, At { source, outlet, set, emf, iron, parts, plate }))
    }

    fn solve(&self, steps: usize, near: Option<&[f64]>) -> Solved {
        let (net, at) = self.build().unwrap();
        let state = steady_state(&net, &Settings::fixed(steps), near).unwrap();
        Solved { state, at }
    }
}

struct At {
    source: ElementId,
    outlet: Node,
    set: Node,
    emf: Node,
    iron: ElementId,
    /// Resistors: name in the file, ends, ohms.
    parts: Vec<(&'static str, Node, Node, f64)>,
    plate: Option<(ElementId, Node, Node)>,
}

struct Solved {
    state: SteadyState,
    at: At,
}

impl Solved {
    /// A quantity by its key in the file.
    fn figure(&self, key: &str) -> f64 {
        let (s, at) = (&self.state, &self.at);
        let line = Probe::Amps(at.source);
        let (iron, flux) = (Probe::Amps(at.iron), Probe::Flux(at.iron));
        let volts = |a| Probe::Volts(a, REFERENCE);
        let plate = || at.plate.unwrap();
        let second = || Probe::Amps(plate().0);
        if let Some((_, a, b, ohms)) = at.parts.iter().find(|(name, ..)| *name == key) {
            return s.rms(Probe::Volts(*a, *b)).powi(2) / ohms;
        }
        match key {
            "dropper_W" => 0.0,
            "I_rms_A" | "primary_rms_A" => s.rms(line),
            "primary_mean_A" => -s.mean(line),
            // the source's current is counted into it
            "primary_peak_pos_A" => -s.extremes(line).1,
            "primary_peak_neg_A" => -s.extremes(line).0,
            "I_peak_A" => s.peak(line),
            "primary_crest" => s.peak(line) / s.rms(line),
            "magnetising_mean_A" => s.mean(iron),
            "I_magnetising_rms_A" | "magnetising_rms_A" => s.rms(iron),
            "magnetising_peak_A" => s.extremes(iron).1,
            "secondary_mean_A" => s.mean(second()),
            "secondary_rms_A" => s.rms(second()),
            "secondary_peak_A" => s.peak(second()),
            "dc_output_V" => s.mean(volts(plate().2)),
            "ripple_pp_V" => {
                let (high, low) = s.extremes(volts(plate().2));
                high - low
            }
            "flux_mean_Vs" => s.mean(flux),
            "flux_max_Vs" => s.extremes(flux).0,
            "flux_min_Vs" => s.extremes(flux).1,
            "flux_peak_Vs" => s.peak(flux),
            "emf_rms_V" => s.rms(volts(at.emf)),
            "primary_terminal_rms_V" => s.rms(volts(at.set)),
            "plate_W" => s.mean_product(second(), Probe::Volts(plate().1, plate().2)),
            "P_W" | "line_W" => -s.mean_product(line, volts(at.outlet)),
            other => panic!("no figure for {other}"),
        }
    }

    /// Watts taken from the line over those that all parts turn into heat, less 1.
    fn imbalance(&self) -> f64 {
        let parts = self.at.parts.iter().map(|(name, ..)| self.figure(name));
        let plate = self.at.plate.map_or(0.0, |_| self.figure("plate_W"));
        (parts.sum::<f64>() + plate) / self.figure("line_W") - 1.0
    }
}

fn cases() -> &'static [Value] {
    file()["cases"].as_array().unwrap()
}

/// Expected and got of every figure of a case of the file for which `chosen` holds; what is nothing is left out.
fn pairs(expect: &Value, solved: &Solved, chosen: &dyn Fn(&str) -> bool) -> Vec<(f64, f64)> {
    let all = expect.as_object().unwrap().iter();
    let all = all.filter(|(key, _)| *key != "start_state" && *key != "primary_mean_A");
    let all = all.filter(|(key, value)| number(value) != 0.0 && chosen(key));
    all.map(|(key, value)| (number(value), solved.figure(key))).collect()
}

fn is_peak(key: &str) -> bool {
    ["peak", "ripple", "crest", "max", "min"].iter().any(|word| key.contains(word))
}

pub fn group() -> &'static Group {
    static GROUP: OnceLock<Group> = OnceLock::new();
    GROUP.get_or_init(|| {
        let mut rows = Vec::new();
        for case in cases() {
            let name = case["name"].as_str().unwrap();
            let words = name.replace('_', " ");
            let set = Set::named(name);
            let solved = set.solve(STEPS, None);
            // without a load the filter takes a pulse of a millisecond
            let peak_steps = if name.contains("no_dc") { 2 * STEPS } else { STEPS };
            let for_peaks = set.solve(peak_steps, None);
            let share = if name.starts_with("linear") { 0.001 } else { 0.003 };
            for (key, what, unit) in [
                ("primary_rms_A", "primary current", "A"),
                ("magnetising_mean_A", "direct current in the core", "A"),
            ] {
                let expected = number(&case["expect"][key]);
                let got = solved.figure(key);
                let check = format!("{words}: {what}");
                rows.push(Row::new(check, SOURCE, unit, expected, got, Allowed::Share(share)));
            }
            for (what, solved, peaks, ceiling) in [
                ("amperes, means, watts", &solved, false, 100.0 * share),
                ("peaks, ripple", &for_peaks, true, 0.3),
            ] {
                let check = format!("{words}: largest difference, {what}");
                let chosen = pairs(&case["expect"], solved, &|key| is_peak(key) == peaks);
                rows.push(Row::worst_of(check, SOURCE, ceiling, chosen));
            }
        }
        for (core, iron) in [("saturating", saturating()), ("linear", linear())] {
            let all = file()["no_load"].as_array().unwrap().iter().flat_map(|case| {
                pairs(&case[core], &Set::of(case, iron).solve(STEPS, None), &|_| true)
            });
            let check = format!("no load, 90 to 130 V, {core}: largest difference");
            rows.push(Row::worst_of(check, SOURCE, 0.3, all));
        }
        Group {
            title: "A core that saturates against a general-purpose integrator",
            about: "A half-wave rectifier on a transformer (`tests/data/half_wave_iron.json`), integrated outside the \
                    project: with iron by a power law of the ninth degree and with linear iron, on 60 and 50 Hz, a \
                    flat-topped and a peaked line, without direct current, and with another knee; then the transformer \
                    alone. 128 steps a cycle, the receiver model's own; 256 for the peaks \
                    without a direct current, which are pulses of a millisecond.",
            rows,
        }
    })
}

#[test]
fn a_core_that_saturates_agrees_with_the_integrator() {
    group().assert();
}

/// Neither source nor EMF has a mean, so the core carries the secondary's direct current, whatever its law: to the error
/// of means of so many samples, of second order as the rule is.
#[test]
fn the_core_carries_the_direct_current_of_the_secondary() {
    for case in cases() {
        let name = case["name"].as_str().unwrap();
        for (steps, allowed) in [(STEPS, 1e-3), (8 * STEPS, 2e-5)] {
            let solved = Set::named(name).solve(steps, None);
            let core = solved.figure("magnetising_mean_A");
            let miss = 1.0 + input("ratio") * solved.figure("secondary_mean_A") / core;
            assert!(miss.abs() < allowed, "{name}: {miss:e}");
            assert!(solved.imbalance().abs() < 1e-4, "{name}: {:e}", solved.imbalance());
        }
    }
}

/// Iron takes no power of its own: its current is a function of the flux.
#[test]
fn iron_takes_no_power() {
    for case in cases() {
        let s = Set::named(case["name"].as_str().unwrap()).solve(STEPS, None);
        let watts = s.state.mean_product(Probe::Amps(s.at.iron), Probe::Volts(s.at.emf, REFERENCE));
        assert!(watts.abs() < 1e-4 * s.figure("line_W"), "{case}: {watts:e} W");
    }
}

/// Without its steep part iron is the inductor.
#[test]
fn iron_without_a_steep_part_is_an_inductor() {
    let mut set = Set::named("linear_124_15ohm");
    let iron = set.solve(STEPS, None);
    set.inductor = true;
    let coil = set.solve(STEPS, None);
    for key in ["magnetising_rms_A", "magnetising_mean_A", "primary_rms_A", "dc_output_V"] {
        let miss = iron.figure(key) / coil.figure(key) - 1.0;
        assert!(miss.abs() < 1e-8, "{key}: {miss:e}");
    }
}

/// More line never means less flux, from half the design line to where the winding is as good as without iron.
#[test]
fn more_line_never_means_less_flux() {
    for bare in [true, false] {
        let mut set = Set::named("saturating_117_straight");
        set.bare = bare;
        let mut last: [f64; 3] = [0.0; 3];
        let mut near: Option<Vec<f64>> = None;
        for volts in (60..=240).step_by(5) {
            set.volts = f64::from(volts);
            let solved = set.solve(STEPS, None);
            let now = ["flux_peak_Vs", "primary_rms_A", "line_W"].map(|key| solved.figure(key));
            assert!(now.iter().zip(last).all(|(now, last)| *now > last), "{volts} V: {now:?}");
            // a neighbour leads to the same state
            let again = set.solve(STEPS, near.as_deref());
            let (a, b) = (solved.figure("primary_rms_A"), again.figure("primary_rms_A"));
            assert!((a / b - 1.0).abs() < 1e-7, "{volts} V: {a} and {b} A");
            assert!(solved.imbalance().abs() < 1e-3, "{volts} V: {:e}", solved.imbalance());
            near = Some(solved.state.start().to_vec());
            last = now;
        }
    }
}

/// Beyond the knee's end the winding is a coil without iron.
#[test]
fn far_beyond_the_knee_only_the_coil_is_left() {
    let iron = saturating();
    let at = |flux: f64| {
        // flux without resistance: a source across the winding, one ohm so that it is determined
        let mut net = Network::new(60.0, "chassis").unwrap();
        let node = net.node("winding");
        let omega = std::f64::consts::TAU * 60.0;
        let wave = Wave::Sine { peak: flux * omega, phase: 0.0 };
        let (plug, ohms) = (net.node("plug"), 1e-3);
        net.voltage("line", plug, REFERENCE, wave).unwrap();
        net.resistor("copper", plug, node, ohms).unwrap();
        let id = net.iron("core", node, REFERENCE, iron).unwrap();
        steady_state(&net, &Settings::fixed(1024), None).unwrap().extremes(Probe::Amps(id)).0
    };
    let slope = (at(1.5) - at(1.2)) / 0.3;
    assert!((slope * iron.air_henries - 1.0).abs() < 1e-3, "1/{} H", 1.0 / slope);
    // where the law is as steep as that: a = 0.1887, b = 218.2, n = 9 reach 1/15 mH at 0.66 V s
    let knee = ((1.0 / iron.air_henries - iron.linear) / (9.0 * iron.power)).powf(0.125);
    assert!((knee - 0.66).abs() < 0.01, "{knee}");
    let law = iron.linear * knee + iron.power * knee.powi(9);
    assert!((at(knee) / law - 1.0).abs() < 2e-3, "{} and {law}", at(knee));
}

/// An ohmmeter finds iron to be wire, and no element takes values it cannot have.
#[test]
fn iron_at_rest_and_refused() {
    let set = Set::named("saturating_124_15ohm");
    let (mut net, at) = set.build().unwrap();
    assert_eq!(net.resistance(at.emf, REFERENCE, &[]), Some(0.0));
    let iron = set.iron;
    for bad in [
        Iron { linear: 0.0, ..iron },
        Iron { power: -1.0, ..iron },
        Iron { exponent: 1, ..iron },
        Iron { air_henries: 0.0, ..iron },
        Iron { air_henries: 10.0, ..iron },
        Iron { power: f64::NAN, ..iron },
    ] {
        assert!(net.iron("core", at.emf, REFERENCE, bad).is_err(), "{bad:?}");
    }
    assert!(net.distort(&[Harmonic { order: 3, share: f64::NAN, phase: 0.0 }]).is_err());
}

/// A distorted source without harmonics is the sine; a phase shifts the whole shape.
#[test]
fn a_phase_shifts_the_whole_shape() {
    let shape = [
        Harmonic { order: 2, share: 0.1, phase: 0.4 },
        Harmonic { order: 5, share: 0.03, phase: 1.0 },
    ];
    for phase in [0.0, 0.7, 2.0] {
        let mut net = Network::new(60.0, "chassis").unwrap();
        let (a, b) = (net.node("a"), net.node("b"));
        net.distort(&shape).unwrap();
        let wave = |phase| Wave::Distorted { peak: 100.0, phase };
        net.voltage("first", a, REFERENCE, wave(0.0)).unwrap();
        net.voltage("second", b, REFERENCE, wave(phase)).unwrap();
        net.resistor("load", a, b, 10.0).unwrap();
        let s = steady_state(&net, &Settings::fixed(STEPS), None).unwrap();
        let second = s.waveform(Probe::Volts(b, REFERENCE));
        for (k, got) in second.iter().enumerate() {
            let angle = std::f64::consts::TAU * (k + 1) as f64 / STEPS as f64 + phase;
            let above = 0.1 * (2.0 * angle + 0.4).sin() + 0.03 * (5.0 * angle + 1.0).sin();
            assert!((got - 100.0 * (angle.sin() + above)).abs() < 1e-9, "{phase} {k}: {got}");
        }
        let rms = 100.0 * ((1.0 + 0.01 + 0.0009) / 2.0_f64).sqrt();
        assert!((s.rms(Probe::Volts(a, REFERENCE)) / rms - 1.0).abs() < 1e-12);
    }
}

/// Rates of states by Kirchhoff's laws: a capacitor behind a resistor and a rectifier, a coil and iron behind resistors.
#[test]
fn rates_are_those_of_kirchhoffs_laws() {
    let mut net = Network::new(60.0, "chassis").unwrap();
    let [plug, c, l, f] = ["plug", "capacitor", "coil", "iron"].map(|name| net.node(name));
    net.voltage("line", plug, REFERENCE, Wave::Sine { peak: 100.0, phase: 0.5 }).unwrap();
    net.capacitor("capacitor", c, REFERENCE, 2e-6).unwrap();
    net.rectifier("rectifier", plug, c, Law::Drop { volts: 1.0, resistance: 50.0 }).unwrap();
    net.resistor("load", c, REFERENCE, 1e3).unwrap();
    net.inductor("coil", l, REFERENCE, 0.5).unwrap();
    net.resistor("to the coil", plug, l, 30.0).unwrap();
    let iron = saturating();
    net.iron("iron", f, REFERENCE, iron).unwrap();
    net.resistor("to the iron", plug, f, 20.0).unwrap();
    let mut rates = [0.0; 3];
    let mut of = Derivative::of(&net).unwrap();
    assert_eq!(of.states(), 3);
    for (seconds, states) in [(1e-3, [40.0, 0.3, 0.45]), (12e-3, [60.0, -0.1, -0.2])] {
        of.at(seconds, &states, &mut rates).unwrap();
        let [volts, amps, flux] = states;
        let line = 100.0 * (std::f64::consts::TAU * 60.0 * seconds + 0.5).sin();
        let charging = (line - volts - 1.0).max(0.0) / 50.0;
        let magnetizing = iron.linear * flux + iron.power * flux.powi(9);
        let expected = [
            (charging - volts / 1e3) / 2e-6,
            (line - 30.0 * amps) / 0.5,
            line - 20.0 * magnetizing,
        ];
        for (got, expected) in rates.iter().zip(expected) {
            assert!((got / expected - 1.0).abs() < 1e-5, "{seconds}: {got} for {expected}");
        }
    }
}
