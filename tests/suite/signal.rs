//! What the signal does to the average currents of tubes.
//!
//! Source of the published figures: typical operation of two tubes in push-pull, class A1 and AB1, in the RCA Receiving
//! Tube Manuals RC-15 (1947) and RC-19 (1959), and in Philips or Mullard data sheets for the EL84, each under the type;
//! all †: not checked against the source.

use crate::as_read::model_of;
use crate::table::{Allowed, Group, Row};
use mainsfit::receiver::{Currents, Signal, Swing, Tube};
use std::sync::OnceLock;

/// Bias of a published row.
#[derive(Clone, Copy)]
enum Bias {
    /// Volts.
    Fixed(f64),
    /// Ohms that both cathodes share.
    Cathode(f64),
}
use Bias::{Cathode, Fixed};

/// Type, plate and screen volts, bias, load from plate to plate, plate mA of both at rest and at full output, watts.
type Published = (&'static str, f64, f64, Bias, f64, f64, f64, f64);

const ROWS: [Published; 17] = [
    ("6V6GT", 250.0, 250.0, Fixed(-15.0), 10e3, 70.0, 79.0, 10.0),
    ("6V6GT", 285.0, 285.0, Fixed(-19.0), 8e3, 70.0, 92.0, 14.0),
    ("6L6", 250.0, 250.0, Fixed(-16.0), 5e3, 120.0, 140.0, 14.5),
    ("6L6", 270.0, 270.0, Fixed(-17.5), 5e3, 134.0, 155.0, 17.5),
    ("6L6", 270.0, 270.0, Cathode(125.0), 5e3, 134.0, 145.0, 18.5),
    ("6L6", 360.0, 270.0, Fixed(-22.5), 6600.0, 88.0, 132.0, 26.5),
    ("6L6", 360.0, 270.0, Fixed(-22.5), 3800.0, 88.0, 140.0, 18.0),
    ("6L6", 360.0, 270.0, Cathode(250.0), 9e3, 88.0, 100.0, 24.5),
    ("6F6", 315.0, 285.0, Fixed(-24.0), 10e3, 62.0, 80.0, 11.0),
    ("6F6", 315.0, 285.0, Cathode(320.0), 10e3, 62.0, 73.0, 10.5),
    ("6K6GT", 285.0, 285.0, Fixed(-25.5), 12e3, 55.0, 72.0, 10.5),
    ("6K6GT", 285.0, 285.0, Cathode(400.0), 12e3, 55.0, 61.0, 9.8),
    ("2A3", 300.0, 0.0, Fixed(-62.0), 3e3, 80.0, 147.0, 15.0),
    ("2A3", 300.0, 0.0, Cathode(780.0), 5e3, 80.0, 100.0, 10.0),
    ("EL84", 250.0, 250.0, Cathode(130.0), 8e3, 62.0, 75.0, 11.0),
    ("EL84", 300.0, 300.0, Cathode(130.0), 8e3, 72.0, 92.0, 17.0),
    ("EL84", 300.0, 300.0, Fixed(-14.7), 8e3, 15.0, 92.0, 17.0),
];

/// Two of a type in push-pull, into `load` ohms from plate to plate.
fn pair(kind: &str, load: f64) -> Tube {
    let (model, _) = model_of(&format!(
        "set: {{ name: Invented, design_line: 117 V }}
transformer: {{ high_voltage: {{ per_half: 300 V }} }}
rectifier: {{ type: 5U4G }}
filter: [capacitor: 8 µF]
tubes: [{{ type: {kind}, count: 2, load: {load} Ω, cathode: chassis, grid: -20 V }}]
"
    ));
    model.tubes.into_iter().next().unwrap()
}

/// Currents of one tube and its bias, volts of plate and screen held against the cathode.
fn working(tube: &Tube, signal: Signal, bias: Bias, screen: f64, plate: f64) -> (f64, Currents) {
    let at = |g: f64| tube.currents(signal, g, screen, plate);
    let ohms = match bias {
        Fixed(volts) => return (volts, at(volts)),
        Cathode(ohms) => ohms,
    };
    // more bias, less current: one point where both agree
    let (mut low, mut high) = (-200.0, -1e-6);
    for _ in 0..80 {
        let g = 0.5 * (low + high);
        let drop = 2.0 * (at(g).plate + at(g).screen) * ohms;
        if -g > drop { low = g } else { high = g }
    }
    (low, at(low))
}

pub fn group() -> &'static Group {
    static GROUP: OnceLock<Group> = OnceLock::new();
    GROUP.get_or_init(|| {
        let mut rows = Vec::new();
        for (kind, plate, screen, bias, load, _, full_ma, watts) in ROWS {
            let tube = pair(kind, load);
            let (g, full) = working(&tube, Signal::FullOutput, bias, screen, plate);
            let how = match bias {
                Fixed(volts) => format!("{volts} V"),
                Cathode(ohms) => format!("{ohms} Ω"),
            };
            let name = format!("two {kind}, {plate} V, {how}, {load} Ω");
            let source = "RCA Receiving Tube Manuals; EL84: Philips or Mullard sheet †";
            // triodes with the directly heated cathode's tail come out low at rest already
            let share = if screen > 0.0 { 0.06 } else { 0.11 };
            let got = 2e3 * full.plate;
            let allowed = Allowed::Share(share);
            let check = format!("{name}: plates at full output");
            rows.push(Row::new(check, source, "mA", full_ma, got, allowed));
            // published watts are behind the transformer, of the fundamental alone
            let given = 2.0 * tube.output_watts(Signal::FullOutput, [g, screen, plate, 0.0]);
            let check = format!("{name}: output");
            rows.push(Row::new(check, source, "W", watts, given, Allowed::Share(0.28)));
        }
        Group {
            title: "Push-pull stages at full output",
            about: "Laws are fitted to the class A row of one tube; typical operation of two is a prediction.",
            rows,
        }
    })
}

#[test]
fn full_output_is_as_published() {
    let rest = ROWS.map(|(kind, plate, screen, bias, load, rest, full_ma, _)| {
        let tube = pair(kind, load);
        let (_, now) = working(&tube, Signal::Rest, bias, screen, plate);
        let (g, full) = working(&tube, Signal::FullOutput, bias, screen, plate);
        println!(
            "{kind} {plate}: rest {:.1}/{:.1} ({rest}) full {:.1}/{:.1} ({full_ma}) bias {g:.1} W {:.1}",
            2e3 * now.plate, 2e3 * now.screen, 2e3 * full.plate, 2e3 * full.screen,
            2.0 * tube.output_watts(Signal::FullOutput, [g, screen, plate, 0.0])
        );
        (full.plate - now.plate) * 2e3 - (full_ma - rest)
    });
    println!("{rest:?}");
    group().assert();
}

/// Source: difference quotients of the averages themselves, and sums over 64 times as many instants of the law alone.
#[test]
fn slopes_are_those_of_the_averages() {
    for (kind, plate, screen, _, load, ..) in ROWS {
        let tube = pair(kind, load);
        assert!(matches!(tube.swing, Swing::PushPull { ohms } if (ohms - load / 4.0).abs() < 1e-6));
        let volts = [-0.06 * plate, screen, 0.9 * plate];
        let at = |v: [f64; 3]| tube.currents(Signal::FullOutput, v[0], v[1], v[2]);
        let found = at(volts);
        for electrode in 0..3 {
            let moved = |by: f64| {
                let mut v = volts;
                v[electrode] += by;
                at(v)
            };
            let (up, down) = (moved(1e-3), moved(-1e-3));
            for (row, q) in [(0, up.plate - down.plate), (1, up.screen - down.screen)] {
                let (slope, quotient) = (found.slopes[row][electrode], q / 2e-3);
                assert!(
                    (slope - quotient).abs() < 1e-3 * (1e-5 + quotient.abs()),
                    "{kind} {row} {electrode}"
                );
            }
        }
    }
}
