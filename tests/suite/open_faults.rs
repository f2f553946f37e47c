//! Open paths in a set beside equations written by hand: a choke, a dial lamp on its tap, a bucking primary.
//!
//! Sources: `topologies_equations.rs` (Dormand and Prince 5(4), 1e-9) with the path taken out by hand; the rule of Runge
//! and Kutta; the crest of an unloaded winding.

use crate::topologies::receiver;
use crate::topologies_cases::cases;
use crate::topologies_equations::{Heaters, solve};
use mainsfit::adaptation::{Across, BuckingPart};
use mainsfit::circuit::{Network, Probe, REFERENCE, Settings, Wave, steady_state};
use mainsfit::receiver::iron::{EXPONENT, KNEE, flux, law};
use mainsfit::receiver::{Fault, MainsLead, OPEN_OHMS, Operation, Receiver, Straight};
use std::f64::consts::{SQRT_2, TAU};

fn near(what: &str, expected: f64, got: f64, share: f64) {
    assert!((got / expected - 1.0).abs() < share, "{what}: {got} for {expected}");
}

fn faulty(set: &Receiver, line: f64, fault: Fault) -> Operation {
    assert!(Fault::of(set.model()).contains(&fault), "{}", fault.title());
    let sound = set.run(line, &Straight, None).unwrap();
    set.run_fault(line, &Straight, fault, &sound).unwrap()
}

/// Behind an open choke the reservoir keeps the crest, and B+ is gone.
#[test]
fn an_open_choke_leaves_the_reservoir_at_the_crest() {
    let case = cases().into_iter().find(|c| c.name == "bridge of silicon").unwrap();
    let set = receiver(&case.profile);
    let mut supply = case.supply;
    supply.lead = 0.0;
    let got = faulty(&set, supply.line, Fault::ChokeOpen);
    supply.series = (OPEN_OHMS, supply.series.1);
    let (ohms, amps) = supply.load;
    // a load of a stated current takes it at the B+ of the design line, and less below
    supply.load = (1.0 / (1.0 / ohms + amps / set.at_design().b_plus()), 0.0);
    let expected = solve(&supply);
    near("reservoir", expected.reservoir, got.dc(got.at.reservoir, REFERENCE), 0.002);
    near("line current", expected.amps, got.state.rms(Probe::Amps(got.at.line)), 0.005);
    assert!(got.b_plus().abs() < 3.0, "B+ {} V", got.b_plus());
}

/// The speaker's plug out: in either lead its coil leaves the first capacitor at the crest of the winding.
#[test]
fn an_unplugged_field_leaves_the_first_capacitor_at_the_crest() {
    for lead in ["positive", "negative"] {
        let set = receiver(&format!(
            "set: {{ name: one tube, design_line: 115 V, frequency: 60 Hz }}
transformer:
  copper: warm
  primary: {{ resistance: 10 mΩ, no_load_current: 20 mA, no_load_power: 1 W, knee: 0 % }}
  high_voltage: {{ per_half: 330 V, measured: open-circuit, resistance_per_half: 170 Ω }}
  heater_windings:
    main: {{ volts: 6.3 V, measured: open-circuit, resistance: 10 mΩ }}
    rectifier: {{ volts: 5.0 V, measured: open-circuit, resistance: 10 mΩ }}
rectifier: {{ type: \"80\", fed_by: rectifier }}
filter:
  - capacitor: 8 µF
  - field_coil: {{ lead: {lead}, cold: 1050 Ω, hot: 1180 Ω, inductance: 12 H }}
  - capacitor: 16 µF
loads: [{{ name: bleeder, from: B+, resistance: 20 kΩ }}]
tubes: [{{ type: 6F6, duty: output, plate: B+, screen: B+, grid: -16.5 V, cathode: chassis, heater: main }}]
"
        ));
        let got = faulty(&set, 115.0, Fault::FieldCoilOpen);
        let first = got.at.capacitors[0];
        let peak = got.state.peak(Probe::Volts(first.positive, first.negative));
        // 330 V RMS is 466.7 V at its crest; the half milliampere that a megohm takes comes in pulses of some milliamperes, for
        // which the tube (60 V at 125 mA, to the power 3/2) drops 5 to 11 V
        let crest = 330.0 * SQRT_2;
        assert!((crest - 11.0..crest - 3.0).contains(&peak), "{lead}: {peak} V");
        assert!(got.b_plus().abs() < 15.0, "{lead}: B+ {} V", got.b_plus());
    }
}

/// With its lamp out the tapped part of a rectifier's heater carries the plate's current as well as the string's.
#[test]
fn a_burnt_out_dial_lamp_loads_the_tapped_part() {
    let case = cases().into_iter().find(|c| c.name == "line, 35Z5GT, lamp across the tap").unwrap();
    let set = receiver(&case.profile);
    let mut supply = case.supply;
    supply.lead = 0.0;
    let got = faulty(&set, supply.line, Fault::DialLampOpen);
    let sound = solve(&supply);
    supply.heaters[0] = Heaters::link(&[[7.5, 0.15, mainsfit::receiver::HEATER_EXPONENT]]);
    let expected = solve(&supply);
    for (place, volts) in expected.heaters.iter().enumerate() {
        near("heaters", *volts, got.heater_volts(place), 0.004);
    }
    near("B+", expected.b_plus, got.b_plus(), 0.004);
    assert!(expected.heaters[0] > 1.5 * sound.heaters[0], "{:?}", expected.heaters);
}

/// A bucking transformer with its primary open is its core in the lead, driven into saturation by the set's current: in
/// front of a resistance, by an integration in time.
#[test]
fn an_open_bucking_primary_leaves_a_choke_in_the_lead() {
    let (line, load) = (123.0, 190.0);
    for across in [Across::Outlet, Across::Set] {
        let part = BuckingPart {
            across,
            primary: 115.0,
            secondary: 6.3,
            amps: 2.0,
            stock: true,
            boosts: false,
            own: false,
            reversed: false,
            regulation_factor: 1.0,
            open: false,
            primary_open: true,
        };
        let mut net = Network::new(60.0, "neutral").unwrap();
        let outlet = net.node("outlet");
        let wave = Wave::Sine { peak: line * SQRT_2, phase: 0.0 };
        net.voltage("line", outlet, REFERENCE, wave).unwrap();
        let set = part.insert(&mut net, outlet, REFERENCE).unwrap().set;
        net.resistor("set", set, REFERENCE, load).unwrap();
        let got = steady_state(&net, &Settings::fixed(256), None).unwrap();
        let got = got.rms(Probe::Volts(set, REFERENCE));
        // core of 12.6 VA at 115 V: a tenth of it as loss at a power factor of 0.4, seen from the secondary
        let regulation = part.regulation();
        let ratio = 6.3 * (1.0 + regulation) / 115.0;
        let ohms = load + 0.5 * regulation * 6.3 / 2.0;
        let watts = 1.26;
        let loss = 115.0 * 115.0 / watts * ratio * ratio;
        let amps = watts * (1.0_f64 / 0.16 - 1.0).sqrt() / 115.0;
        let core = law(amps, flux(115.0, 60.0), KNEE, EXPONENT);
        // v = R·i + e, i = im(λ) + e/Rc, e = dλ/dt: by the classical rule of Runge and Kutta, waited out
        let e = |t: f64, flux: f64| {
            let seen = flux / ratio;
            let amps = (core.linear * seen + core.power * seen.powi(core.exponent)) / ratio;
            (line * SQRT_2 * (TAU * 60.0 * t).sin() - ohms * amps) / (1.0 + ohms / loss)
        };
        let (steps, cycles) = (2000, 60);
        let h = 1.0 / (60.0 * f64::from(steps));
        let (mut flux, mut square) = (0.0, 0.0);
        for step in 0..steps * cycles {
            let t = h * f64::from(step);
            let k1 = e(t, flux);
            let k2 = e(t + 0.5 * h, flux + 0.5 * h * k1);
            let k3 = e(t + 0.5 * h, flux + 0.5 * h * k2);
            let k4 = e(t + h, flux + h * k3);
            flux += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
            if step >= steps * (cycles - 1) {
                let across = line * SQRT_2 * (TAU * 60.0 * (t + h)).sin() - e(t + h, flux);
                square += (across * load / ohms).powi(2) / f64::from(steps);
            }
        }
        let expected = square.sqrt();
        near("volts at the set", expected, got, 0.002);
        assert!(got < line && got > 0.8 * line, "{got} V");
    }
}
