//! A set with tubes and back bias against an independent integration, and its two treatments of tubes
//! against each other.
//!
//! Source: `tests/data/back_bias.json`, by a general-purpose netlist integrator (BDF2, 1000 steps a cycle)
//! outside this project, tube currents as average sources. Agreement asked for: 0.2 %.
//!
//! Three solutions stand here: the receiver model, whose tubes are average sources with slopes; the same set
//! drawn by hand with its tubes as nonlinear branches inside the cycle; and the receiver with its own heater
//! exponent instead of the reference's.

use crate::doubled;
use crate::supply::{Heater, Points, Solved, Solver, Supply};
use crate::table::{Allowed, Group, Row};
use mainsfit::circuit::{
    CircuitError, ElementId, Law, Network, Node, Probe, REFERENCE, Settings, steady_state,
};
use mainsfit::profile::{Document, read};
use mainsfit::receiver::{
    HEATER_EXPONENT, Inserted, MainsLead, Model, Operation, Receiver, STEPS, complete,
};
use serde_json::Value;
use std::sync::OnceLock;

const CASES: &str = include_str!("../data/back_bias.json");
const PROFILE: &str = include_str!("../data/back_bias.yaml");

/// Heater exponent of the reference.
const REFERENCE_EXPONENT: f64 = 0.55;

/// Everything the reference lists for a case.
pub const FIGURES: [(&str, &str, &str); 14] = [
    ("b_plus_V", "B+", "V"),
    ("first_capacitor_V", "first capacitor", "V"),
    ("field_coil_V", "field coil", "V"),
    ("output_bias_V", "output bias", "V"),
    ("rf_bias_V", "RF bias", "V"),
    ("screens_V", "screens", "V"),
    ("output_cathode_mA", "6F6 cathode", "mA"),
    ("output_plate_mA", "6F6 plate", "mA"),
    ("rf_cathode_mA_each", "6K7 cathode, each", "mA"),
    ("heater 0", "6.3 V heaters", "V"),
    ("heater 1", "5 V heater", "V"),
    ("primary_A_rms", "line current", "A"),
    ("line_W", "line power", "W"),
    ("set_input_V_rms", "set's primary", "V"),
];

/// The figures of one solution in the order of [`FIGURES`], and the crest factor.
pub type Found = ([f64; 14], f64);

pub struct Case {
    pub name: String,
    pub line: f64,
    pub dropper: f64,
    pub expected: [f64; 14],
    pub crest: f64,
}

pub fn cases() -> Vec<Case> {
    let file: Value = serde_json::from_str(CASES).unwrap();
    let list = file["cases"].as_object().unwrap();
    list.iter()
        .map(|(name, case)| {
            let expect = &case["expect"];
            let figure = |key: &str| match key.strip_prefix("heater ") {
                Some(place) => &expect["heater_V_rms"][place.parse::<usize>().unwrap()],
                None => &expect[key],
            };
            Case {
                name: name.clone(),
                line: case["line_V"].as_f64().unwrap(),
                dropper: case["dropper_ohm"].as_f64().unwrap(),
                expected: FIGURES.map(|(key, _, _)| figure(key).as_f64().unwrap()),
                crest: expect["crest_factor"].as_f64().unwrap(),
            }
        })
        .collect()
}

struct Dropper(f64);

impl MainsLead for Dropper {
    fn insert(&self, net: &mut Network, outlet: Node, _: Node) -> Result<Inserted, CircuitError> {
        let mut set = outlet;
        if self.0 > 0.0 {
            set = net.node("behind the dropper");
            net.resistor("dropper", outlet, set, self.0)?;
        }
        Ok(Inserted::new(set, Vec::new()))
    }
}

fn model(exponent: f64) -> Model {
    let document = Document::parse("back_bias.yaml", PROFILE.as_bytes()).unwrap();
    let (profile, _) = read(&document).map_err(|p| p.render()).unwrap();
    let (mut model, _) = complete(&profile).unwrap();
    for filament in model.windings.iter_mut().flat_map(|w| &mut w.filaments) {
        assert_eq!(filament.exponent, HEATER_EXPONENT);
        filament.exponent = exponent;
    }
    model
}

fn by_receiver(receiver: &Receiver, case: &Case) -> Found {
    let o = receiver.run(case.line, &Dropper(case.dropper), None).unwrap();
    let amps = |id: ElementId| o.state.mean(Probe::Amps(id)) * 1e3;
    let tap = |name: &str| {
        let (_, node) = o.at.taps.iter().find(|(tap, _)| tap == name).unwrap();
        o.dc(*node, REFERENCE)
    };
    let cathode = |o: &Operation, i: usize| {
        amps(o.at.tubes[i].plate_current) + amps(o.at.tubes[i].screen_current)
    };
    let line = Probe::Amps(o.at.line);
    let line_amps = o.state.rms(line);
    let figures = [
        o.b_plus(),
        o.dc(o.at.reservoir, o.at.centre),
        o.dc(REFERENCE, o.at.centre),
        tap("bias.output"),
        tap("bias.rf"),
        tap("bleeder.screens"),
        cathode(&o, 0),
        amps(o.at.tubes[0].plate_current),
        cathode(&o, 1) / 2.0,
        o.heater_volts(0),
        o.heater_volts(1),
        line_amps,
        -o.state.mean_product(line, Probe::Volts(o.at.outlet, REFERENCE)),
        o.set_volts(),
    ];
    (figures, o.state.peak(line) / line_amps)
}

/// The supply of the reference, from its "circuit".
pub fn supply(line: f64, dropper: f64) -> Supply {
    Supply {
        line,
        frequency: 60.0,
        dropper,
        primary: 5.0,
        core_loss: 3500.0,
        core_henries: 7.0,
        half_turns: 340.0 / 115.0,
        half_ohms: 170.0,
        plate: Law::ThreeHalves { perveance: 0.125 / 50f64.powf(1.5), offset: 0.0 },
        heaters: vec![
            Heater { turns: 6.3 * 1.05 / 115.0, copper: 0.08, volts: 6.3, amps: 2.5 },
            Heater { turns: 5.0 * 1.05 / 115.0, copper: 0.10, volts: 5.0, amps: 2.0 },
        ],
        first: 8e-6,
        coil_henries: 12.0,
        coil_ohms: 1100.0,
        second: 8e-6,
    }
}

/// A tube by its published point: `Ik = K (Vg1 + Vg2/µ)^1.5`, K and µ from the currents and gm.
#[derive(Clone, Copy)]
pub struct Published {
    pub screen: f64,
    pub grid: f64,
    pub plate_amps: f64,
    pub screen_amps: f64,
    pub gm: f64,
}

/// "tubes" of the reference.
pub const OUTPUT: Published =
    Published { screen: 250.0, grid: -16.5, plate_amps: 34e-3, screen_amps: 6.5e-3, gm: 2.5e-3 };
/// "tubes" of the reference.
pub const RF: Published =
    Published { screen: 100.0, grid: -3.0, plate_amps: 7.0e-3, screen_amps: 1.7e-3, gm: 1.45e-3 };

impl Published {
    pub fn mu(&self) -> f64 {
        self.screen / (self.drive() - self.grid)
    }

    /// Share of the cathode current that reaches the plate.
    pub fn share(&self) -> f64 {
        self.plate_amps / (self.plate_amps + self.screen_amps)
    }

    pub fn perveance(&self) -> f64 {
        (self.plate_amps + self.screen_amps) / self.drive().powf(1.5)
    }

    /// gm of the cathode is 1.5 Ik/u and gm of the plate its share, so u = 1.5 Ip/gm.
    fn drive(&self) -> f64 {
        1.5 * self.plate_amps / self.gm
    }
}

/// Nodes and branches of the loads drawn by hand.
struct Hung {
    taps: [Node; 3],
    output: ElementId,
    rf: ElementId,
}

/// Dividers, bleeder and tubes, the tubes as branches that act within the cycle. Each grid sees its tap
/// through 100 MΩ and 0.1 µF, which stand for the decoupling of the grid returns.
fn hang(net: &mut Network, at: &mut Points) -> Result<Hung, CircuitError> {
    let [output, rf, screens] = ["output tap", "RF tap", "screens"].map(|name| net.node(name));
    at.resistor(net, "bias 1", at.centre, output, 330e3)?;
    at.resistor(net, "bias 2", output, rf, 75e3)?;
    at.resistor(net, "bias 3", rf, REFERENCE, 18e3)?;
    at.resistor(net, "bleeder 1", at.b_plus, screens, 15e3)?;
    at.resistor(net, "bleeder 2", screens, REFERENCE, 22e3)?;
    net.capacitor("screen bypass", screens, REFERENCE, 1e-6)?;
    at.resistor(net, "rest of the set", at.b_plus, REFERENCE, 30e3)?;
    let mut grid = |name: &str, tap: Node| {
        let node = net.node(name);
        net.resistor(name, tap, node, 1e8)?;
        net.capacitor(name, node, REFERENCE, 1e-7)?;
        Ok::<Node, CircuitError>(node)
    };
    let grids = [grid("output grid", output)?, grid("RF grid", rf)?];
    let mut tube = |name: &str, p: Published, count: f64, grid: Node, screen: Node| {
        let law = Law::ThreeHalves { perveance: count * p.perveance(), offset: 0.0 };
        net.nonlinear(
            name,
            law,
            vec![(grid, 1.0), (screen, 1.0 / p.mu())],
            vec![(at.b_plus, p.share()), (screen, 1.0 - p.share())],
        )
    };
    Ok(Hung {
        taps: [output, rf, screens],
        output: tube("6F6", OUTPUT, 1.0, grids[0], at.b_plus)?,
        rf: tube("6K7", RF, 2.0, grids[1], screens)?,
    })
}

pub fn by_branches(case: &Case, solve: Solver<'_>) -> Found {
    let supply = supply(case.line, case.dropper);
    let hung = std::cell::RefCell::new(None);
    let s: Solved = supply
        .settle(solve, &|net, at| {
            *hung.borrow_mut() = Some(hang(net, at)?);
            Ok(())
        })
        .unwrap();
    let hung = hung.into_inner().unwrap();
    let amps = |id: ElementId| s.state.mean(Probe::Amps(id)) * 1e3;
    let figures = [
        s.dc(s.at.b_plus, REFERENCE),
        s.dc(s.at.b_plus, s.at.centre),
        s.dc(REFERENCE, s.at.centre),
        s.dc(hung.taps[0], REFERENCE),
        s.dc(hung.taps[1], REFERENCE),
        s.dc(hung.taps[2], REFERENCE),
        amps(hung.output),
        amps(hung.output) * OUTPUT.share(),
        amps(hung.rf) / 2.0,
        s.heater_volts(0),
        s.heater_volts(1),
        s.line_amps(),
        s.line_watts(),
        s.set_volts(),
    ];
    (figures, s.crest())
}

/// Every figure of two solutions, crest factor included, side by side.
fn pairs<'a>(expected: &'a Found, got: &'a Found) -> impl Iterator<Item = (f64, f64)> + 'a {
    let figures = expected.0.iter().copied().zip(got.0.iter().copied());
    figures.chain([(expected.1, got.1)])
}

pub fn group() -> &'static Group {
    static GROUP: OnceLock<Group> = OnceLock::new();
    GROUP.get_or_init(|| {
        let receiver = Receiver::new(model(REFERENCE_EXPONENT), None).unwrap();
        let own = Receiver::new(model(HEATER_EXPONENT), None).unwrap();
        let mut rows = turns(&receiver);
        for case in cases() {
            let bdf2 = "BDF2, 1000 steps a cycle";
            let reference: Found = (case.expected, case.crest);
            let averages = by_receiver(&receiver, &case);
            let names = FIGURES.iter().map(|(_, what, unit)| (*what, *unit));
            let names = names.chain([("crest factor of the line current", "")]);
            for ((what, unit), (expected, got)) in names.zip(pairs(&reference, &averages)) {
                let check = format!("{}: {what}", case.name);
                rows.push(Row::new(check, bdf2, unit, expected, got, Allowed::Share(0.002)));
            }
            let branches = by_branches(&case, &doubled::steady);
            let coarse = by_branches(&case, &|net, near| steady_state(net, &Settings::fixed(STEPS), near));
            let own = by_receiver(&own, &case);
            let compared = [
                ("tubes as branches within the cycle", bdf2, 0.2, pairs(&reference, &branches)),
                (
                    "tubes as averages against branches",
                    "the same set drawn by hand",
                    0.1,
                    pairs(&coarse, &averages),
                ),
                ("heater exponent 0.58", "BDF2, heater exponent 0.55", 0.2, pairs(&reference, &own)),
            ];
            for (what, source, ceiling, pairs) in compared {
                let check = format!("{}: largest difference, {what}", case.name);
                rows.push(Row::worst_of(check, source, ceiling, pairs));
            }
        }
        Group {
            title: "A set with tubes and back bias",
            about: "The set of `tests/data/back_bias.json`, integrated outside the project, read from a \
                    profile (`tests/data/back_bias.yaml`) and solved by the receiver model with the \
                    reference's heater exponent. Three summaries follow each case. The same set drawn by hand \
                    with its tubes as nonlinear branches inside the cycle. That against the receiver's way, \
                    tubes as average sources with slopes, at equal steps. And the receiver with its own \
                    heater exponent of 0.58, whose effect is largest on line power.",
            rows,
        }
    })
}

/// The profile's volts must come out as the turns of the reference, or nothing below compares.
fn turns(receiver: &Receiver) -> Vec<Row> {
    let got = receiver.turns();
    [
        ("each half", 340.0 / 115.0, got.high_voltage),
        ("6.3 V winding", 6.3 * 1.05 / 115.0, got.windings[0]),
        ("5 V winding", 5.0 * 1.05 / 115.0, got.windings[1]),
        ("core loss", 3500.0, receiver.core().loss_ohms),
        ("magnetising inductance", 7.0, 1.0 / receiver.core().iron.linear),
    ]
    .into_iter()
    .map(|(what, expected, got)| {
        let check = format!("profile to model: {what}");
        Row::new(check, "stated in the reference", "", expected, got, Allowed::Share(1e-6))
    })
    .collect()
}

#[test]
fn the_set_agrees_with_the_integrator_and_both_tube_treatments_with_each_other() {
    group().assert();
}
