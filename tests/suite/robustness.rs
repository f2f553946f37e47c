//! Networks without a trustworthy answer: the core must say so and never return a number.
//!
//! What each case has no answer to follows from circuit theory: a floating node has no potential, a capacitor
//! without a DC path keeps any charge, an inductor loop without resistance any current, ideal sources in a
//! loop share any current.

use crate::doubled;
use crate::supply::{hang_reference_load, reference_supply};
use mainsfit::circuit::{
    CircuitError, Law, Network, Node, Probe, REFERENCE, Settings, SteadyState, Wave, Winding,
    steady_state, steady_state_again,
};
use mainsfit::profile::{Document, read};
use mainsfit::receiver::{Receiver, Straight, complete};

const SINE: Wave = Wave::Sine { peak: 170.0, phase: 0.0 };

const IDEAL: Law = Law::Drop { volts: 0.0, resistance: 10.0 };

/// A network with a sine source on `plug` and whatever `draw` adds.
fn network(draw: impl FnOnce(&mut Network, Node) -> Result<(), CircuitError>) -> Network {
    let mut net = Network::new(60.0, "chassis").unwrap();
    let plug = net.node("plug");
    net.voltage("line", plug, REFERENCE, SINE).unwrap();
    draw(&mut net, plug).unwrap();
    net
}

fn solve(net: &Network) -> Result<SteadyState, CircuitError> {
    doubled::steady(net, None)
}

/// Steps that are a power of two or not, cold and from a neighbour's state, must refuse.
fn refusals(net: &Network, states: usize) -> Vec<CircuitError> {
    let near = vec![3.7; states];
    let mut list = Vec::new();
    for settings in [Settings::fixed(256), Settings::fixed(128), Settings::fixed(77)] {
        for near in [None, Some(near.as_slice())] {
            match steady_state(net, &settings, near) {
                Ok(_) => panic!("a number was returned, {settings:?}, near {near:?}"),
                Err(error) => list.push(error),
            }
        }
    }
    list
}

fn is_singular_near(net: &Network, states: usize, names: &[&str]) {
    for error in refusals(net, states) {
        let CircuitError::Singular { near } = &error else {
            panic!("{error}");
        };
        assert!(names.contains(&near.as_str()), "{error}");
        assert!(error.to_string().contains("no single solution"), "{error}");
    }
}

fn is_undetermined(net: &Network, states: usize, names: &[&str]) {
    for error in refusals(net, states) {
        let CircuitError::Undetermined { state } = &error else {
            panic!("{error}");
        };
        assert!(names.contains(&state.as_str()), "{error}");
        assert!(error.to_string().contains("not determined"), "{error}");
    }
}

#[test]
fn a_node_nothing_hangs_on_is_named() {
    let net = network(|net, plug| {
        net.node("forgotten");
        net.resistor("load", plug, REFERENCE, 100.0)?;
        Ok(())
    });
    is_singular_near(&net, 0, &["forgotten"]);
}

#[test]
fn an_island_of_resistors_is_refused_whatever_rounding_makes_of_it() {
    let net = network(|net, plug| {
        net.resistor("load", plug, REFERENCE, 100.0)?;
        let [a, b, c, d] = ["a", "b", "c", "d"].map(|name| net.node(name));
        for (i, (x, y)) in [(a, b), (b, c), (c, a), (c, d), (d, a)].into_iter().enumerate() {
            net.resistor(format_args!("r{i}"), x, y, 1000.0 / (7.3 + 1.7 * i as f64))?;
        }
        Ok(())
    });
    is_singular_near(&net, 0, &["a", "b", "c", "d"]);
}

#[test]
fn a_secondary_without_a_reference_is_refused() {
    let net = network(|net, plug| {
        let [start, end] = ["start", "end"].map(|name| net.node(name));
        net.resistor("core loss", plug, REFERENCE, 4000.0)?;
        let windings = [(plug, REFERENCE, 1.0), (start, end, 0.0548)];
        let windings = windings.map(|(start, end, turns)| Winding { start, end, turns });
        net.transformer("transformer", windings.to_vec())?;
        net.resistor("heater", start, end, 2.52)?;
        Ok(())
    });
    is_singular_near(&net, 0, &["start", "end", "transformer"]);
}

#[test]
fn a_loop_of_ideal_sources_is_refused() {
    let net = network(|net, plug| {
        net.voltage("second line", plug, REFERENCE, SINE)?;
        net.resistor("load", plug, REFERENCE, 100.0)?;
        Ok(())
    });
    is_singular_near(&net, 0, &["plug", "line", "second line"]);
}

/// Two ideal sources on one ideal transformer, with turns for which rounding may hide the contradiction.
#[test]
fn ideal_sources_on_two_windings_are_refused() {
    for place in 1..60 {
        let net = network(|net, plug| {
            let [second, third] = ["second", "third"].map(|name| net.node(name));
            net.voltage("second line", second, REFERENCE, SINE)?;
            let turns = [1.0 / f64::from(place), 0.1 + f64::from(place) / 7.0, 0.0548];
            let windings = [plug, second, third]
                .into_iter()
                .zip(turns)
                .map(|(start, turns)| Winding { start, end: REFERENCE, turns });
            net.transformer("transformer", windings.collect())?;
            net.resistor("load", second, REFERENCE, 47.0)?;
            net.resistor("heater", third, REFERENCE, 2.5)?;
            Ok(())
        });
        let names = ["plug", "second", "third", "line", "second line", "transformer"];
        is_singular_near(&net, 0, &names);
    }
}

#[test]
fn capacitors_in_series_without_a_dc_path_between_them_are_refused() {
    let net = network(|net, plug| {
        let middle = net.node("middle");
        net.capacitor("upper", plug, middle, 1e-6)?;
        net.capacitor("lower", middle, REFERENCE, 2e-6)?;
        Ok(())
    });
    is_undetermined(&net, 2, &["upper", "lower"]);
}

#[test]
fn a_coupling_capacitor_into_nothing_is_refused() {
    let net = network(|net, plug| {
        let far = net.node("far side");
        net.resistor("load", plug, REFERENCE, 1000.0)?;
        net.capacitor("coupling", plug, far, 0.1e-6)?;
        Ok(())
    });
    for error in refusals(&net, 1) {
        let said =
            matches!(error, CircuitError::Undetermined { .. } | CircuitError::Singular { .. });
        assert!(said, "{error}");
    }
}

/// Above the peak any charge stays. From below it climbs to the peak and stands there, so that figure alone
/// may be given.
#[test]
fn a_reservoir_without_a_load_keeps_any_charge_above_the_peak() {
    let net = network(|net, plug| {
        let b_plus = net.node("B+");
        net.rectifier("plate", plug, b_plus, IDEAL)?;
        net.capacitor("reservoir", b_plus, REFERENCE, 8e-6)?;
        Ok(())
    });
    let b_plus = Probe::Volts(net.find("B+").unwrap(), REFERENCE);
    for settings in [Settings::fixed(256), Settings::fixed(128)] {
        for near in [None, Some([500.0].as_slice())] {
            match steady_state(&net, &settings, near) {
                Ok(s) => {
                    assert!(near.is_none(), "{} V", s.mean(b_plus));
                    assert!((s.mean(b_plus) - 170.0).abs() < 1e-3, "{} V", s.mean(b_plus));
                }
                Err(CircuitError::Undetermined { state }) => assert_eq!(state, "reservoir"),
                Err(other) => panic!("{other}"),
            }
        }
    }
}

#[test]
fn an_inductor_across_an_ideal_source_is_refused() {
    let net = network(|net, plug| {
        net.inductor("coil", plug, REFERENCE, 8.0)?;
        Ok(())
    });
    is_undetermined(&net, 1, &["coil"]);
}

#[test]
fn a_current_that_can_circulate_in_two_coils_is_refused() {
    let net = network(|net, plug| {
        let output = net.node("output");
        net.resistor("feed", plug, output, 100.0)?;
        net.inductor("coil", output, REFERENCE, 8.0)?;
        net.inductor("second coil", output, REFERENCE, 5.0)?;
        Ok(())
    });
    is_undetermined(&net, 2, &["coil", "second coil"]);
}

#[test]
fn steady_volts_across_an_inductor_are_refused() {
    let mut net = Network::new(60.0, "chassis").unwrap();
    let plug = net.node("plug");
    net.voltage("battery", plug, REFERENCE, Wave::Constant(6.0)).unwrap();
    net.inductor("coil", plug, REFERENCE, 8.0).unwrap();
    is_undetermined(&net, 1, &["coil"]);
}

#[test]
fn a_current_forced_into_a_capacitor_is_refused() {
    let mut net = Network::new(60.0, "chassis").unwrap();
    let node = net.node("node");
    net.capacitor("capacitor", node, REFERENCE, 8e-6).unwrap();
    net.current("source", REFERENCE, node, 0.06).unwrap();
    is_undetermined(&net, 1, &["capacitor"]);
}

/// A tube whose current raises its own grid without bound: `u = 10 V + 1000 Ω · 1e-3 · u^1.5` has no root.
#[test]
fn a_nonlinear_branch_without_a_solution_is_refused() {
    let net = network(|net, plug| {
        let grid = net.node("grid");
        net.resistor("load", plug, REFERENCE, 1000.0)?;
        let bias = net.node("bias");
        net.voltage("bias", bias, REFERENCE, Wave::Constant(10.0))?;
        net.resistor("feedback", grid, bias, 1000.0)?;
        let law = Law::ThreeHalves { perveance: 1e-3, offset: 0.0 };
        net.nonlinear("tube", law, vec![(grid, 1.0)], vec![(grid, -1.0)])?;
        Ok(())
    });
    for error in refusals(&net, 0) {
        let CircuitError::PortsNotConverged { .. } = error else {
            panic!("{error}");
        };
        assert!(
            error.to_string().starts_with("no solution for the rectifier or tube currents"),
            "{error}"
        );
    }
}

#[test]
fn values_no_element_can_have_are_refused_where_they_are_given() {
    let mut net = Network::new(60.0, "chassis").unwrap();
    let (a, b) = (net.node("a"), net.node("b"));
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let weights = || vec![(a, 1.0), (b, -1.0)];
        let three_halves = Law::ThreeHalves { perveance: bad, offset: 0.0 };
        let drop = Law::Drop { volts: 0.0, resistance: bad };
        let mut results = vec![
            net.resistor("part", a, b, bad).map(|_| ()),
            net.capacitor("part", a, b, bad).map(|_| ()),
            net.inductor("part", a, b, bad).map(|_| ()),
            net.rectifier("part", a, b, three_halves).map(|_| ()),
            net.rectifier("part", a, b, drop).map(|_| ()),
        ];
        results.push(Network::new(bad, "chassis").map(|_| ()));
        if bad >= 0.0 || bad.is_nan() {
            let windings = vec![Winding { start: a, end: b, turns: bad }];
            results.push(net.transformer("part", windings).map(|_| ()));
        }
        if !bad.is_finite() {
            let sine = |peak, phase| Wave::Sine { peak, phase };
            results.push(net.voltage("part", a, b, Wave::Constant(bad)).map(|_| ()));
            results.push(net.voltage("part", a, b, sine(bad, 0.0)).map(|_| ()));
            results.push(net.voltage("part", a, b, sine(1.0, bad)).map(|_| ()));
            results.push(net.current("part", a, b, bad).map(|_| ()));
            results.push(net.controlled("part", bad, weights(), weights()).map(|_| ()));
            results.push(net.controlled("part", 0.0, vec![(a, bad)], weights()).map(|_| ()));
            results.push(net.nonlinear("part", IDEAL, vec![(a, bad)], weights()).map(|_| ()));
            results.push(net.nonlinear("part", IDEAL, weights(), vec![(a, bad)]).map(|_| ()));
        }
        for (place, result) in results.into_iter().enumerate() {
            let Err(CircuitError::BadValue { element, value, .. }) = result else {
                panic!("{bad} was taken, case {place}");
            };
            assert!(element == "part" || element == "line", "{element}");
            assert!(value.is_nan() || value.abs() == bad.abs(), "{value}");
        }
    }
}

#[test]
fn a_network_of_nothing_does_not_panic() {
    let net = Network::new(60.0, "chassis").unwrap();
    if let Ok(s) = solve(&net) {
        assert_eq!(s.mean(Probe::Volts(REFERENCE, REFERENCE)), 0.0);
    }
}

/// A matrix kept from a neighbour changes the way, never the answer: the load a little other, another set of plates that
/// conduct (a line so low that one of two supplies behind diodes stays cut off), no neighbour at all.
#[test]
fn a_start_from_a_neighbour_ends_where_a_cold_one_does() {
    let build = |line: f64, heater: f64| {
        let supply = reference_supply(line, 0.0);
        let heaters: Vec<f64> = supply.rated_heater_ohms().iter().map(|r| r * heater).collect();
        let hang = |net: &mut Network, at: &mut _| {
            hang_reference_load(net, at, None)?;
            // a battery holds this branch off below 260 V
            let held = net.node("held");
            let b_plus = net.find("B+").unwrap_or(REFERENCE);
            net.voltage("battery", held, REFERENCE, Wave::Constant(260.0))?;
            net.rectifier("gate", b_plus, held, IDEAL)?;
            Ok(())
        };
        supply.build(&heaters, &hang).unwrap().0
    };
    let settings = Settings::fixed(128);
    let before = steady_state(&build(100.0, 1.0), &settings, None).unwrap();
    for (line, heater) in [(100.0, 1.0), (101.0, 1.02), (123.0, 1.0), (40.0, 0.5)] {
        let net = build(line, heater);
        let cold = steady_state(&net, &settings, None).unwrap();
        let again = steady_state_again(&net, &settings, &before).unwrap();
        for (a, b) in cold.start().iter().zip(again.start()) {
            assert!((a - b).abs() < 1e-6 * b.abs().max(1e-3), "{line}: {a} {b}");
        }
    }
}

#[test]
fn a_search_cut_short_says_so() {
    let supply = reference_supply(115.0, 0.0);
    let heaters = supply.rated_heater_ohms();
    let (net, _) = supply.build(&heaters, &|net, at| hang_reference_load(net, at, None)).unwrap();
    for rounds in [0, 1, 2] {
        let settings = Settings { rounds, ..Settings::fixed(128) };
        let Err(error) = steady_state(&net, &settings, None) else {
            panic!("{rounds} rounds cannot be enough");
        };
        let CircuitError::NotPeriodic { iterations, .. } = error else {
            panic!("{error}");
        };
        assert_eq!(iterations, rounds);
    }
}

#[test]
fn a_start_that_is_no_number_spoils_nothing() {
    let supply = reference_supply(115.0, 0.0);
    let heaters = supply.rated_heater_ohms();
    let (net, at) = supply.build(&heaters, &|net, at| hang_reference_load(net, at, None)).unwrap();
    let settings = Settings::fixed(128);
    let b_plus = Probe::Volts(at.b_plus, REFERENCE);
    let cold = steady_state(&net, &settings, None).unwrap().mean(b_plus);
    let odd: [&[f64]; 5] = [&[], &[1.0], &[f64::NAN; 4], &[f64::INFINITY; 4], &[1e12; 4]];
    for near in odd {
        if let Ok(s) = steady_state(&net, &settings, Some(near)) {
            let miss = (s.mean(b_plus) / cold - 1.0).abs();
            assert!(miss < 1e-6, "from {near:?}: off by {miss}");
        }
    }
}

/// A constant-drop rectifier switches outright, the hardest case for the currents within a step.
#[test]
fn a_set_with_a_mercury_rectifier_is_solved_on_every_line() {
    let text = include_str!("../../profiles/console-1936.yaml");
    let text = text.replace("type: \"80\"", "type: \"83\"");
    assert!(text.contains("\"83\""));
    let document = Document::parse("console-1936.yaml", text.as_bytes()).unwrap();
    let (profile, _) = read(&document).map_err(|p| p.render()).unwrap();
    let receiver = Receiver::new(complete(&profile).unwrap().0, None).unwrap();
    let mut last = 0.0;
    for line in (60..150).step_by(3) {
        let b_plus = receiver.run(f64::from(line), &Straight, None).unwrap().b_plus();
        assert!(b_plus > last, "{line} V: {b_plus} V after {last} V");
        last = b_plus;
    }
}
