//! Supplies of every kind, through the front door, against equations written by hand.
//!
//! A profile's text is read, completed, fitted and run on one line behind one resistor; beside it stand the equations
//! of `topologies_equations.rs` (crate `ode_solvers`, Dormand and Prince's rule of order five, tolerance 1e-9) with the
//! same figures. Asked for: 0.2 % of volts, RMS currents and watts, 1 % of ripple and of the plates' peak.

use crate::table::{Allowed, Group, Row};
use crate::topologies_cases::{Case, cases};
use crate::topologies_equations::{Circuit, Found, solve};
use mainsfit::adaptation::Dropper;
use mainsfit::circuit::{Probe, REFERENCE};
use mainsfit::profile::{Document, read};
use mainsfit::receiver::{Operation, Receiver, complete};
use mainsfit::study::read as read_point;
use std::sync::OnceLock;

/// A set from its profile.
pub fn receiver(profile: &str) -> Receiver {
    let document = Document::parse("bench.yaml", profile.as_bytes())
        .unwrap_or_else(|p| panic!("{}\n{profile}", p.render()));
    let (profile, _) = read(&document).unwrap_or_else(|p| panic!("{}\n{profile}", p.render()));
    Receiver::new(complete(&profile).unwrap().0, None).unwrap()
}

fn compare(rows: &mut Vec<Row>, case: &Case, expected: &Found, set: &Receiver, got: &Operation) {
    let name = case.name;
    let supply = &case.supply;
    let mut add = |what: &str, unit, expected, got, share| {
        rows.push(Row::new(
            format!("{name}: {what}"),
            "Dormand and Prince 5(4), 1e-9",
            unit,
            expected,
            got,
            if case.judged { Allowed::Share(share) } else { Allowed::NotJudged },
        ));
    };
    let line = Probe::Amps(got.at.line);
    let plug = Probe::Volts(got.at.outlet, got.at.neutral);
    let b_plus = Probe::Volts(got.at.b_plus, REFERENCE);
    add("B+", "V", expected.b_plus, got.b_plus(), 0.002);
    if supply.circuit != Circuit::ChokeInput {
        let volts = got.dc(got.at.reservoir, REFERENCE);
        add("reservoir", "V", expected.reservoir, volts, 0.002);
    }
    add("ripple of B+, RMS", "V", expected.ripple, got.state.ripple_rms(b_plus), 0.01);
    add("line current", "A", expected.amps, got.state.rms(line), 0.002);
    add("line power", "W", expected.watts, -got.state.mean_product(plug, line), 0.002);
    if supply.circuit == Circuit::ChokeInput {
        let coil = Probe::Amps(got.at.coils[0].2);
        let crest = got.state.extremes(coil);
        add(
            "swing of the choke's current",
            "A",
            expected.most - expected.least,
            crest.0 - crest.1,
            0.01,
        );
    }
    let plates = got.at.plates[0].id;
    add("peak of a plate", "A", expected.peak[0], got.state.peak(Probe::Amps(plates)), 0.01);
    if matches!(supply.circuit, Circuit::FullWaveDoubler | Circuit::HalfWaveDoubler) {
        let read = read_point(set, got).rectifier;
        let worse = |[one, two]: [f64; 2]| f64::max(one, two);
        add("peak of the worse diode", "A", worse(expected.peak), read.peak_plate_a, 0.01);
        add(
            "worst peak inverse of a diode",
            "V",
            worse(expected.inverse),
            read.peak_inverse_v,
            0.002,
        );
    }
    assert_eq!(expected.heaters.len(), set.model().windings.len(), "{name}");
    for (place, volts) in expected.heaters.iter().enumerate() {
        let what = format!("heaters {}, {}", place + 1, set.model().windings[place].name);
        add(&what, "V", *volts, got.heater_volts(place), 0.002);
    }
    if supply.bias.is_some() {
        let volts = got.dc(got.at.c_minus.unwrap(), REFERENCE);
        add("C-", "V", expected.c_minus, volts, 0.002);
    }
    if let Some(share) = case.tap {
        // what the load draws comes back through the negative lead
        let amps = expected.b_plus * (1.0 / supply.load.0 + 1e-7) + supply.load.1;
        let (_, tap) = got.at.taps[0];
        add("bias tap", "V", -share * amps * supply.negative, got.dc(tap, REFERENCE), 0.002);
    }
}

pub fn group() -> &'static Group {
    static GROUP: OnceLock<Group> = OnceLock::new();
    GROUP.get_or_init(|| {
        let mut rows = Vec::new();
        for case in cases() {
            let set = receiver(&case.profile);
            let got = set.run(case.supply.line, &Dropper::bare(case.supply.lead), None).unwrap();
            compare(&mut rows, &case, &solve(&case.supply), &set, &got);
        }
        Group {
            title: "Supplies of every kind",
            about: "One set of each topology, from the text of its profile, on 123 V behind 12 Ω; beside it the \
                    differential equations of its circuit, written by hand and integrated by a general-purpose solver, \
                    heaters in balance. Not judged: the copper of an autotransformer's \
                    common part, which the model counts as that of a primary of its own.",
            rows,
        }
    })
}

#[test]
fn every_topology_agrees_with_equations_written_by_hand() {
    group().assert();
}
