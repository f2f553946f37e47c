//! Ideal bucking and boosting by proportion, and hold times of filter capacitors, as rows of the parts' table.
//!
//! With n the ratio of secondary to primary: primary across the outlet gives `V (1 − n)`, across the set
//! `V/(1 + n)`, reversed `V (1 + n)` and `V/(1 − n)`. Both connections are in "Line voltage bucking",
//! boatanchors mailing list, August 1997; the figures are reckoned from these.

use crate::table::{Allowed, Row};
use mainsfit::adaptation::{Across, BuckingPart};
use mainsfit::circuit::{Network, Probe, REFERENCE, Settings, Wave, steady_state};
use mainsfit::profile::{Document, read};
use mainsfit::receiver::MainsLead;
use mainsfit::study::{Caution, Request, plan};
use std::f64::consts::SQRT_2;

/// A part of next to no regulation and, rated for 20 mA only, next to no core.
pub fn ideal(across: Across, primary: f64, secondary: f64, reversed: bool) -> BuckingPart {
    BuckingPart {
        across,
        primary,
        secondary,
        amps: 0.02,
        stock: false,
        boosts: false,
        own: false,
        reversed,
        regulation_factor: 1e-5,
        open: false,
        primary_open: false,
    }
}

/// Volts on the set, amperes from the line, amperes in the bucking primary.
pub fn solved(part: BuckingPart, line: f64, set_ohms: f64) -> [f64; 3] {
    let mut net = Network::new(60.0, "neutral").unwrap();
    let outlet = net.node("outlet");
    let wave = Wave::Sine { peak: line * SQRT_2, phase: 0.0 };
    let source = net.voltage("line", outlet, REFERENCE, wave).unwrap();
    let inserted = part.insert(&mut net, outlet, REFERENCE).unwrap();
    net.resistor("set", inserted.set, REFERENCE, set_ohms).unwrap();
    let state = steady_state(&net, &Settings::fixed(256), None).unwrap();
    let primary = &inserted.parts[1];
    assert!(primary.name.ends_with(" primary"), "{}", primary.name);
    [
        state.rms(Probe::Volts(inserted.set, REFERENCE)),
        state.rms(Probe::Amps(source)),
        state.rms(primary.amps),
    ]
}

pub fn rows(rows: &mut Vec<Row>) {
    ratios(rows);
    boost(rows);
    hold_times(rows);
}

fn ratios(rows: &mut Vec<Row>) {
    // line, primary, secondary, then outlet, set, reversed outlet, reversed set
    let table = [
        (123.0, 115.0, 6.3, [116.3, 116.6, 129.7, 130.1]),
        (123.0, 115.0, 12.6, [109.5, 110.9, 136.5, 138.1]),
        (123.0, 120.0, 6.3, [116.5, 116.9, 129.5, 129.8]),
        (123.0, 120.0, 12.6, [110.1, 111.3, 135.9, 137.4]),
        (240.0, 230.0, 12.0, [227.5, 228.1, 252.5, 253.2]),
        (240.0, 230.0, 24.0, [215.0, 217.3, 265.0, 268.0]),
    ];
    let ways = [
        ("primary on the outlet", Across::Outlet, false),
        ("primary on the set", Across::Set, false),
        ("reversed, primary on the outlet", Across::Outlet, true),
        ("reversed, primary on the set", Across::Set, true),
    ];
    for (line, primary, secondary, volts) in table {
        for ((way, across, reversed), expected) in ways.into_iter().zip(volts) {
            let part = ideal(across, primary, secondary, reversed);
            let [set, amps, through] = solved(part, line, 230.0);
            rows.push(Row::new(
                format!("{primary} : {secondary} V on {line} V, {way}"),
                "proportion, reckoned",
                "V",
                expected,
                set,
                Allowed::Amount(0.06),
            ));
            // what the primary feeds back or takes: n times the current in the secondary, but for the core's
            // fraction of a milliampere
            let secondary_amps = if across == Across::Outlet { set / 230.0 } else { amps };
            let share = through / secondary_amps / (secondary / primary);
            assert!((share - 1.0).abs() < 1e-2, "{way}: primary carries {share} of n·I");
        }
    }
}

fn boost(rows: &mut Vec<Row>) {
    // 6.3 V on top of 115 V; at 1 A the 115 V winding carries 6.3/115 A
    let source = "ampere-turns by hand";
    let part = ideal(Across::Outlet, 115.0, 6.3, true);
    let [volts, amps, primary] = solved(part, 115.0, 121.3);
    for (what, unit, expected, got, allowed) in [
        ("output", "V", 121.3, volts, 0.05),
        ("output power at 1 A", "W", 121.3, volts * volts / 121.3, 0.1),
        ("input current", "A", 1.0548, amps, 0.0003),
        ("current in the 115 V winding", "A", 0.0548, primary, 0.0003),
    ] {
        let check = format!("115 V and a 115 : 6.3 V winding adding: {what}");
        rows.push(Row::new(check, source, unit, expected, got, Allowed::Amount(allowed)));
    }
    let [volts, ..] = solved(ideal(Across::Outlet, 120.0, 5.0, false), 122.0, 230.0);
    rows.push(Row::new(
        "122 V and a 5 V winding (of a 120 V part) bucking",
        "122 V less 5 V, in whole volts",
        "V",
        117.0,
        volts,
        Allowed::Amount(0.5),
    ));
}

/// `t = R C ln(V0/60)`: IEC 61010-1 and 62368-1 call 60 V DC not hazardous. The winding is chosen so that its
/// crest is V0; the plan's caution tells the seconds.
fn hold_times(rows: &mut Vec<Row>) {
    for (crest, micro, bleeder, seconds) in
        [(300.0, 16.0, "10 MΩ", 258.0), (300.0, 16.0, "100 kΩ", 2.6), (350.0, 32.0, "220 kΩ", 12.4)]
    {
        let half = crest / SQRT_2;
        let text = format!(
            "set: {{ name: hold time, design_line: 120 V }}\n\
             outlet: {{ low: 120 V, usual: 120 V, high: 120 V }}\n\
             transformer: {{ high_voltage: {{ per_half: {half:.4} V, measured: open-circuit }} }}\n\
             rectifier: {{ type: 6X4 }}\n\
             filter: [capacitor: {micro} µF]\n\
             loads: [{{ name: bleeder, from: B+, resistance: {bleeder} }}]\n\
             tubes: [6AQ5]\n"
        );
        let document = Document::parse("hold.yaml", text.as_bytes()).unwrap();
        let (profile, _) = read(&document).map_err(|p| p.render()).unwrap();
        let plan = plan(&profile, &Request::default(), Vec::new()).unwrap();
        let told = plan.cautions.iter().find_map(|c| match c {
            Caution::Lethal { hold_s, .. } => *hold_s,
            _ => None,
        });
        rows.push(Row::new(
            format!("{micro} µF at {crest} V through {bleeder}, seconds to 60 V"),
            "t = R C ln(V0/60), reckoned",
            "s",
            seconds,
            told.unwrap_or(f64::INFINITY),
            Allowed::Share(0.02),
        ));
    }
}
