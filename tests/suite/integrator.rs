//! The circuit core against a general-purpose ODE solver, within the tests.
//!
//! Source: the crate `ode_solvers` (Dormand and Prince's rule of order five, tolerance 1e-9) on equations
//! written by hand in `by_hand.rs`. Agreement asked for: 0.2 %.

use crate::back_bias::{self, Case, FIGURES, Found, OUTPUT, Published, RF, cases};
use crate::by_hand::{Front, INTEGRALS, STATES, Tube, WithResistor, WithTubes, periodic, run};
use crate::doubled;
use crate::supply::{REFERENCE_LOAD, hang_reference_load, reference_supply};
use crate::table::{Allowed, Group, Row};
use mainsfit::circuit::REFERENCE;
use ode_solvers::{SVector, System};
use std::sync::OnceLock;

const TOLERANCE: f64 = 1e-9;
const SOURCE: &str = "Dormand and Prince 5(4), 1e-9";

fn tube(published: Published) -> Tube {
    Tube { perveance: published.perveance(), mu: published.mu(), plate_share: published.share() }
}

/// The figures of a case, heaters in balance, from the equations written by hand.
fn by_equations(case: &Case) -> [f64; 14] {
    let supply = back_bias::supply(case.line, case.dropper);
    let mut heater_ohms = supply.rated_heater_ohms();
    let mut guess = SVector::<f64, { STATES + INTEGRALS }>::zeros();
    for (place, value) in [-0.06, 340.0, 0.07, 260.0, 115.0, -18.0, -3.5].into_iter().enumerate() {
        guess[place] = value;
    }
    let period = 1.0 / supply.frequency;
    loop {
        let system = WithTubes {
            front: Front::new(&supply, &heater_ohms),
            supply: supply.clone(),
            output: tube(OUTPUT),
            rf: tube(RF),
            bias: [330e3, 75e3, 18e3],
            bleeder: [15e3, 22e3],
            screen_bypass: 1e-6,
            rest: 30e3,
        };
        let (start, end) = periodic(&system, period, guess, STATES, TOLERANCE);
        guess = start;
        let mean = |place: usize| end[STATES + place] / period;
        let emf = mean(7).sqrt();
        let mut change: f64 = 0.0;
        let mut volts = [0.0; 2];
        for (place, heater) in supply.heaters.iter().enumerate() {
            let ohms = heater_ohms[place];
            volts[place] = emf * heater.turns * ohms / (ohms + heater.copper);
            heater_ohms[place] = heater.ohms(volts[place]);
            change = change.max((heater_ohms[place] / ohms - 1.0).abs());
        }
        if change < 1e-7 {
            let amps = mean(8).sqrt();
            // set volts: v − R i, squared and averaged
            let across = case.line * case.line - 2.0 * case.dropper * mean(9)
                + (case.dropper * amps).powi(2);
            return [
                mean(1),
                mean(0),
                mean(0) - mean(1),
                mean(3),
                mean(4),
                mean(2),
                1e3 * mean(5),
                1e3 * mean(5) * OUTPUT.share(),
                1e3 * mean(6) / 2.0,
                volts[0],
                volts[1],
                amps,
                mean(9),
                across.sqrt(),
            ];
        }
    }
}

fn tubes(rows: &mut Vec<Row>) {
    for case in cases() {
        let expected = by_equations(&case);
        let (core, _): Found = back_bias::by_branches(&case, &doubled::steady);
        for ((_, what, unit), (expected, got)) in FIGURES.iter().zip(expected.into_iter().zip(core))
        {
            let check = format!("tubes and back bias, {}: {what}", case.name);
            rows.push(Row::new(check, SOURCE, unit, expected, got, Allowed::Share(0.002)));
        }
    }
}

/// The reference supply at the heater resistances the core found.
fn resistor(rows: &mut Vec<Row>) {
    for (line, dropper) in [(115.0, 0.0), (123.0, 15.0)] {
        let supply = reference_supply(line, dropper);
        let core =
            supply.settle(&doubled::steady, &|net, at| hang_reference_load(net, at, None)).unwrap();
        let system = WithResistor {
            front: Front::new(&supply, &core.heater_ohms),
            supply: supply.clone(),
            load: REFERENCE_LOAD,
        };
        let guess = SVector::<f64, 6>::from([-0.05, 350.0, 0.07, 270.0, 0.0, 0.0]);
        let period = 1.0 / supply.frequency;
        let (_, end) = periodic(&system, period, guess, 4, TOLERANCE);
        for (what, expected, got) in [
            ("first capacitor", end[4] / period, core.dc(core.at.b_plus, core.at.centre)),
            ("B+", end[5] / period, core.dc(core.at.b_plus, REFERENCE)),
        ] {
            let check = format!("supply on {line} V behind {dropper} Ω: {what}");
            rows.push(Row::new(check, SOURCE, "V", expected, got, Allowed::Share(0.001)));
        }
    }
}

pub fn group() -> &'static Group {
    static GROUP: OnceLock<Group> = OnceLock::new();
    GROUP.get_or_init(|| {
        let mut rows = Vec::new();
        resistor(&mut rows);
        tubes(&mut rows);
        Group {
            title: "Equations written by hand",
            about: "The two reference circuits as differential equations written out by hand, integrated by a \
                    general-purpose solver inside the tests and brought to their periodic state by Newton's \
                    method on its one-cycle map; beside them the circuit core, tubes as branches.",
            rows,
        }
    })
}

#[test]
fn the_core_agrees_with_equations_written_by_hand() {
    group().assert();
}

/// The yardstick itself, on what can be integrated on paper.
#[test]
fn the_solver_integrates_a_driven_equation() {
    #[derive(Clone)]
    struct Cosine;
    impl System<f64, SVector<f64, 1>> for Cosine {
        fn system(&self, time: f64, _: &SVector<f64, 1>, dy: &mut SVector<f64, 1>) {
            dy[0] = time.cos();
        }
    }
    let end = run(&Cosine, 0.0, 5.0, SVector::<f64, 1>::zeros(), TOLERANCE);
    assert!((end[0] - 5f64.sin()).abs() < 1e-8, "{}", end[0]);
}
