//! Faults of a profile-built set behind a resistor against equations written by hand.
//!
//! Source: the crate `ode_solvers` (Dormand and Prince's rule of order five, tolerance 1e-9) on the equations below,
//! with the front of `by_hand.rs`. The set's own numbers (turns, core, thermal resistance of the coil) are taken from
//! the fitted receiver; everything that the fault does is reckoned here.

use crate::by_hand::{Front, periodic};
use crate::supply::{Heater, Supply};
use crate::table::{Allowed, Group, Row};
use mainsfit::adaptation::Dropper;
use mainsfit::circuit::{Law, Probe};
use mainsfit::profile::{Document, read};
use mainsfit::receiver::{
    Fault, HEATER_EXPONENT, Model, Operation, Receiver, SHORT_OHMS, complete,
};
use ode_solvers::{SVector, System};
use std::sync::OnceLock;

const TOLERANCE: f64 = 1e-9;
const LINE: f64 = 126.0;
const DROPPER: f64 = 15.0;
const BLEEDER: f64 = 20e3;
/// Leakage of each filter capacitor in the model, Ω.
const LEAKAGE: f64 = 1e7;

/// A set small enough to be written out: one output tube, a bleeder, a field coil in the negative lead.
const PROFILE: &str = "
set: { name: one tube, design_line: 115 V, frequency: 60 Hz }
outlet: { low: 119 V, usual: 123 V, high: 126 V }
room: 22 °C
transformer:
  copper: warm
  primary: { resistance: 6 Ω, no_load_current: 160 mA, no_load_power: 7 W, knee: 0 % }
  high_voltage: { per_half: 330 V, measured: loaded, resistance_per_half: 170 Ω }
  heater_windings:
    main: { volts: 6.3 V, measured: loaded, resistance: 0.08 Ω }
    rectifier: { volts: 5.0 V, measured: loaded, resistance: 0.10 Ω }
rectifier: { type: \"80\", fed_by: rectifier }
filter:
  - capacitor: { value: 8 µF, rated: 525 V }
  - field_coil: { lead: negative, cold: 1050 Ω, hot: 1180 Ω, inductance: 12 H }
  - capacitor: { value: 16 µF, rated: 450 V }
loads: [{ name: bleeder, from: B+, resistance: 20 kΩ }]
tubes:
  - { type: 6F6, duty: output, plate: B+, screen: B+, grid: -16.5 V, cathode: chassis, heater: main }
";

/// Magnetising current, first capacitor, coil current, B+; then integrals of the squares of EMF, line current and
/// coil current, and of B+.
#[derive(Clone)]
struct Equations {
    front: Front,
    henries: f64,
    first: f64,
    second: f64,
    coil_henries: f64,
    coil_ohms: f64,
    /// Siemens across the first capacitor.
    across_first: f64,
    /// Siemens from B+ to chassis.
    load: f64,
}

impl System<f64, SVector<f64, 8>> for Equations {
    fn system(&self, time: f64, y: &SVector<f64, 8>, dy: &mut SVector<f64, 8>) {
        let (first, coil, b_plus) = (y[1], y[2], y[3]);
        let now = self.front.at(time, y[0], first);
        // the center tap stands below chassis by what the coil drops
        let centre = b_plus - first;
        dy[0] = now.emf / self.henries;
        dy[1] = (now.plate_amps - coil - first * self.across_first) / self.first;
        dy[2] = (-centre - self.coil_ohms * coil) / self.coil_henries;
        dy[3] = (coil - b_plus * self.load) / self.second;
        dy[4] = now.emf * now.emf;
        dy[5] = now.line_amps * now.line_amps;
        dy[6] = coil * coil;
        dy[7] = b_plus;
    }
}

/// The front of the set with the windings that still have a heater.
fn supply(receiver: &Receiver, sockets: &dyn Fn(Option<usize>) -> bool) -> Supply {
    let model = receiver.model();
    let rectifier = &model.rectifier;
    let windings = model.windings.iter().zip(&receiver.turns().windings);
    let heaters = windings.filter_map(|(w, turns)| {
        let left: Vec<_> = w.filaments.iter().filter(|f| sockets(f.socket)).collect();
        let [one] = left[..] else {
            return None;
        };
        Some(Heater { turns: *turns, copper: w.resistance, volts: one.volts, amps: one.amps })
    });
    Supply {
        line: LINE,
        frequency: model.frequency,
        dropper: DROPPER,
        primary: model.primary.resistance,
        core_loss: receiver.core().loss_ohms,
        core_henries: 1.0 / receiver.core().iron.linear,
        half_turns: receiver.turns().high_voltage,
        half_ohms: model.high_voltage.resistance_per_half,
        plate: Law::ThreeHalves {
            perveance: rectifier.drop_amps.unwrap() / rectifier.drop_volts.powf(1.5),
            offset: 0.0,
        },
        heaters: heaters.collect(),
        first: 8e-6,
        coil_henries: 12.0,
        coil_ohms: 0.0,
        second: 16e-6,
    }
}

/// What the equations give: line amperes, watts in the resistor, B+.
struct Found {
    amps: f64,
    watts: f64,
    b_plus: f64,
}

/// Heaters in balance with their own volts; the coil with its own heat where `coil` says so.
fn solve(supply: &Supply, guess: [f64; 4], across_first: f64, coil: &dyn Fn(f64) -> f64) -> Found {
    let period = 1.0 / supply.frequency;
    let ohms =
        |h: &Heater, volts: f64| h.volts / h.amps * (volts / h.volts).powf(1.0 - HEATER_EXPONENT);
    let mut heater_ohms: Vec<f64> = supply.heaters.iter().map(|h| ohms(h, h.volts)).collect();
    let mut coil_ohms = coil(0.06);
    let mut start = SVector::<f64, 8>::zeros();
    start.as_mut_slice()[..4].copy_from_slice(&guess);
    loop {
        let system = Equations {
            front: Front::new(supply, &heater_ohms),
            henries: supply.core_henries,
            first: supply.first,
            second: supply.second,
            coil_henries: supply.coil_henries,
            coil_ohms,
            across_first: across_first + 1.0 / LEAKAGE,
            load: 1.0 / BLEEDER + 1.0 / LEAKAGE,
        };
        let (from, end) = periodic(&system, period, start, 4, TOLERANCE);
        start = from;
        let rms = |place: usize| (end[place] / period).sqrt();
        let mut change: f64 = 0.0;
        for (heater, now) in supply.heaters.iter().zip(&mut heater_ohms) {
            let volts = rms(4) * heater.turns * *now / (*now + heater.copper);
            let next = ohms(heater, volts);
            change = change.max((next / *now - 1.0).abs());
            *now = next;
        }
        let next = coil(rms(6));
        change = change.max((next / coil_ohms - 1.0).abs());
        coil_ohms = next;
        if change < 1e-6 {
            return Found {
                amps: rms(5),
                watts: rms(5) * rms(5) * DROPPER,
                b_plus: end[7] / period,
            };
        }
    }
}

/// Copper of the coil in balance with its own heat: `R = R20 (1 + a (T − 20))`, `T = room + rth I² R`.
fn coil_in_balance(model: &Model, rth: f64, amps: f64) -> f64 {
    let a = 0.00393;
    let at_20 = model.coils[0].cold / (1.0 + a * (model.room_c - 20.0));
    let mut ohms = model.coils[0].hot;
    for _ in 0..200 {
        ohms = at_20 * (1.0 + a * (model.room_c + rth * amps * amps * ohms - 20.0));
    }
    ohms
}

fn compare(rows: &mut Vec<Row>, name: &str, expected: &Found, got: &Operation, b_plus: bool) {
    let amps = got.state.rms(Probe::Amps(got.at.line));
    let part = &got.at.inserted.parts[0];
    let watts = got.state.mean_product(part.volts, part.amps);
    let mut list = vec![
        ("line current", "A", expected.amps, amps),
        ("watts in the resistor", "W", expected.watts, watts),
    ];
    if b_plus {
        list.push(("B+", "V", expected.b_plus, got.b_plus()));
    }
    for (what, unit, expected, got) in list {
        rows.push(Row::new(
            format!("{name}, {DROPPER} Ω on {LINE} V: {what}"),
            "Dormand and Prince 5(4), 1e-9",
            unit,
            expected,
            got,
            Allowed::Share(0.005),
        ));
    }
}

pub fn group() -> &'static Group {
    static GROUP: OnceLock<Group> = OnceLock::new();
    GROUP.get_or_init(|| {
        let document = Document::parse("one-tube.yaml", PROFILE.as_bytes()).unwrap();
        let (profile, _) = read(&document).map_err(|p| p.render()).unwrap();
        let receiver = Receiver::new(complete(&profile).unwrap().0, None).unwrap();
        let part = Dropper::bare(DROPPER);
        let sound = receiver.run(LINE, &part, None).unwrap();
        let mut rows = Vec::new();

        let fault = Fault::FirstCapacitorShorted;
        let got = receiver.run_fault(LINE, &part, fault, &sound).unwrap();
        // a fuse is faster than a coil: it keeps the resistance it had
        let held = sound.slow.coil_ohms[0];
        let all = supply(&receiver, &|_| true);
        assert_eq!(all.heaters.len(), 2);
        // with a few tenths of a volt on its plate the tube is cut off
        let expected = solve(&all, [-0.05, 0.1, 1e-4, 0.1], 1.0 / SHORT_OHMS, &|_| held);
        compare(&mut rows, fault.title(), &expected, &got, false);

        let fault = Fault::OutputTubeOut;
        let got = receiver.run_fault(LINE, &part, fault, &sound).unwrap();
        let without = supply(&receiver, &|socket| socket.is_none());
        assert_eq!(without.heaters.len(), 1);
        let rth = receiver.coil_rth(0);
        let expected = solve(&without, [-0.06, 430.0, 0.02, 410.0], 0.0, &|amps| {
            coil_in_balance(receiver.model(), rth, amps)
        });
        compare(&mut rows, fault.title(), &expected, &got, true);
        Group {
            title: "Faults by equations written by hand",
            about: "A set built from a profile, behind a resistor, with a fault, beside differential equations of the \
                    same set written by hand and integrated by a general-purpose solver, heaters and coil in balance.",
            rows,
        }
    })
}

#[test]
fn faults_agree_with_equations_written_by_hand() {
    group().assert();
}
