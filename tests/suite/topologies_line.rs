//! Heater strings by hand, printed half-wave and choke rows through profiles, and silicon in the
//! place of a tube.
//!
//! Sources: Ohm's law by hand, in the rows; `tests/data/rectifier_operating_points.csv` as in `rectifier_rows.rs`.

use crate::table::{Allowed, Group, Row};
use crate::topologies::receiver;
use crate::topologies_cases::replaced_5y3;
use crate::topologies_equations::{Diode, Supply, solve};
use mainsfit::adaptation::Dropper;
use mainsfit::circuit::Probe;
use mainsfit::profile::{Document, read};
use mainsfit::receiver::{Operation, PartKind, Receiver, Straight};
use serde::Deserialize;
use std::sync::OnceLock;

/// Heaters in series on the line behind a resistor; rectifier and load take next to nothing and act on no heater.
fn string(line: f64, amps: f64, heaters: &[f64], dropper: f64) -> Receiver {
    let dropper = format!("{{ dropper: {{ kind: resistor, resistance: {dropper} Ω }} }}");
    string_behind(line, amps, heaters, &format!("heater_string: {dropper}"))
}

/// The same with what stands in series as a profile writes it.
fn string_behind(line: f64, amps: f64, heaters: &[f64], series: &str) -> Receiver {
    let types: String = heaters
        .iter()
        .enumerate()
        .map(|(n, volts)| {
            format!(
                "  h{n}: {{ based_on: 6H6, heater_volts: {volts} V, heater_current: {amps} A }}\n"
            )
        })
        .collect();
    let names: Vec<String> = (0..heaters.len()).map(|n| format!("h{n}")).collect();
    receiver(&format!(
        "set: {{ name: bench set, design_line: {line} V, frequency: 60 Hz }}
{series}
types:
{types}rectifier: {{ type: silicon, surge_resistor: 100 Ω }}
filter: [{{ capacitor: 1 µF }}]
tubes: [{}]
",
        names.join(", ")
    ))
}

/// Volts across all heaters, amperes, volts and watts of the dropper.
fn chain(set: &Receiver, line: f64) -> [f64; 4] {
    let got = set.run(line, &Straight, None).unwrap();
    let volts = (0..set.model().windings.len()).map(|i| got.heater_volts(i)).sum();
    let parts = &got.at.inserted.inner;
    let part = parts.iter().find(|p| p.kind != PartKind::Surge).unwrap();
    let (v, i) = (got.state.rms(part.volts), got.state.rms(part.amps));
    [volts, i, v, got.state.mean_product(part.volts, part.amps)]
}

fn strings(rows: &mut Vec<Row>) {
    let mut add = |check: &str, source: &str, unit, expected, got, share| {
        rows.push(Row::new(check, source, unit, expected, got, Allowed::Share(share)));
    };
    // heaters 62.6 V; 117 V less 62.6 V is 54.4 V, over 0.3 A 181 Ω and 16.3 W
    let set = string(117.0, 0.3, &[6.3, 6.3, 25.0, 25.0], 181.0);
    let [heaters, amps, drop, watts] = chain(&set, 117.0);
    let source = "Ohm's law by hand";
    add("6.3 + 6.3 + 25 + 25 V behind 181 Ω on 117 V: heaters", source, "V", 62.6, heaters, 0.002);
    add("6.3 + 6.3 + 25 + 25 V behind 181 Ω on 117 V: current", source, "A", 0.3, amps, 0.002);
    add("6.3 + 6.3 + 25 + 25 V behind 181 Ω on 117 V: resistor", source, "V", 54.4, drop, 0.002);
    add("6.3 + 6.3 + 25 + 25 V behind 181 Ω on 117 V: heat", source, "W", 16.3, watts, 0.003);

    // V + 181 Ω · 0.3 A (V/62.6)^n = 125 V
    let at_125 = |n: f64| {
        let (mut low, mut high) = (0.0, 125.0);
        for _ in 0..200 {
            let mid: f64 = 0.5 * (low + high);
            if mid + 181.0 * 0.3 * (mid / 62.6).powf(n) < 125.0 { low = mid } else { high = mid }
        }
        low
    };
    assert!((at_125(0.6) - 67.96).abs() < 0.005, "as worked out apart: {}", at_125(0.6));
    let [heaters, amps, ..] = chain(&set, 125.0);
    let volts = at_125(0.58);
    add(
        "the same on 125 V: heaters",
        "V + R I = 125 V with I ~ V^0.58",
        "V",
        volts,
        heaters,
        0.0002,
    );
    add(
        "the same on 125 V: current",
        "V + R I = 125 V with I ~ V^0.58",
        "A",
        (125.0 - volts) / 181.0,
        amps,
        0.0002,
    );
    add("the same on 125 V: heaters", "V + R I = 125 V with I ~ V^0.6", "V", 67.96, heaters, 0.003);
    add("the same on 125 V: current", "V + R I = 125 V with I ~ V^0.6", "A", 0.3152, amps, 0.002);
    // 6.8 % more line is 8.6 % more at the heaters: the resistor does not soften the swing
    let [before, ..] = chain(&set, 117.0);
    add(
        "117 V to 125 V: rise at the heaters",
        "V + R I = 125 V with I ~ V^0.6",
        "%",
        8.6,
        100.0 * (heaters / before - 1.0),
        0.03,
    );

    // the same resistor in the line cord; next to nothing but the string draws through it
    let series = "mains_resistor: { resistance: 181 Ω, fitted_by: maker }\nheater_string: {}";
    let set = string_behind(117.0, 0.3, &[6.3, 6.3, 25.0, 25.0], series);
    let [heaters, amps, drop, watts] = chain(&set, 117.0);
    let source = "Ohm's law by hand";
    let found = [
        ("heaters", "V", 62.6, heaters, 0.002),
        ("current", "A", 0.3, amps, 0.002),
        ("resistor", "V", 54.4, drop, 0.002),
        ("heat", "W", 16.3, watts, 0.003),
    ];
    for (what, unit, expected, got, share) in found {
        add(&format!("181 Ω in the line cord: {what}"), source, unit, expected, got, share);
    }

    let set = string(117.0, 0.3, &[6.3, 6.3, 6.3, 25.0, 25.0], 160.0);
    let [heaters, _, drop, _] = chain(&set, 117.0);
    // heaters 68.9 V; 160 Ω at 0.3 A is 48 V
    let source = "Ohm's law by hand";
    add(
        "3 × 6.3 + 2 × 25 V, 0.3 A, behind 160 Ω on 117 V: heaters",
        source,
        "V",
        68.9,
        heaters,
        0.002,
    );
    add(
        "3 × 6.3 + 2 × 25 V, 0.3 A, behind 160 Ω on 117 V: resistor",
        source,
        "V",
        48.0,
        drop,
        0.004,
    );

    let set = string(220.0, 0.1, &[19.0, 14.0, 45.0, 55.0, 65.0], 220.0);
    let [_, amps, drop, watts] = chain(&set, 220.0);
    let source = "Ohm's law by hand";
    add("100 mA chain with 220 Ω: current", source, "A", 0.1, amps, 0.001);
    add("100 mA chain with 220 Ω: volts", source, "V", 22.0, drop, 0.001);
    add("100 mA chain with 220 Ω: watts", source, "W", 2.2, watts, 0.002);
    crate::branches::rows(rows);
}

/// The panel lamp of a 35Z5GT on its tap with 60 mA of direct current: 5.5 V (tube manuals †), and the note in
/// the catalogue, about 110 mA in the lamp and 90 mA in the tapped part. The three figures do not fit one another: a lamp of
/// 6.3 V 150 mA takes 139 mA at 5.5 V by the law of lamps, so none of them is judged.
fn panel_lamp(rows: &mut Vec<Row>) {
    for (kind, milliamps) in [("35Z5GT", 60), ("35W4", 60)] {
        let set = receiver(&format!(
            "set: {{ name: bench set, design_line: 117 V, frequency: 60 Hz }}
heater_string: {{ dropper: none }}
types:
  h12: {{ based_on: 6H6, heater_volts: 12.6 V, heater_current: 0.15 A }}
  h50: {{ based_on: 6H6, heater_volts: 50 V, heater_current: 0.15 A }}
rectifier: {{ type: {kind}, surge_resistor: 15 Ω }}
filter: [{{ capacitor: 40 µF }}]
loads: [{{ name: load, from: B+, current: {milliamps} mA }}]
tubes: [h12, h12, h12, h50]
lamps: [{{ type: \"#47\", across: tap }}]
"
        ));
        let got = set.run(117.0, &Straight, None).unwrap();
        let volts = got.heater_volts(0);
        let mut add = |what: &str, source: &str, unit, expected, got| {
            let check = format!("{kind}, lamp #47 on its tap, {milliamps} mA: {what}");
            rows.push(Row::new(check, source, unit, expected, got, Allowed::NotJudged));
        };
        let lamp = 150.0 * (volts / 6.3).powf(0.54);
        let tap = 150.0 * (volts / 7.5).powf(0.58);
        add("volts of the lamp", "tube manuals †", "V", 5.5, volts);
        add("current of the lamp", "note of the catalogue's row", "mA", 110.0, lamp);
        add("current of the tapped part", "note of the catalogue's row", "mA", 90.0, tap);
    }
}

#[derive(Debug, Deserialize)]
struct Printed {
    #[serde(rename = "type")]
    kind: String,
    filter: String,
    ac_v_rms_per_plate: f64,
    #[serde(rename = "c_uF")]
    microfarads: Option<f64>,
    supply_ohm_per_plate: Option<f64>,
    #[serde(rename = "choke_H")]
    henries: Option<f64>,
    #[serde(rename = "dc_mA")]
    milliamps: f64,
    #[serde(rename = "dc_V")]
    volts: f64,
    #[serde(rename = "frequency_Hz")]
    frequency: f64,
    source: String,
    confidence: String,
    model_v: f64,
    model_peak_plate_ma: Option<f64>,
}

/// Printed operation as a set: half-wave ones on the line, choke inputs on a transformer of next to no resistance.
fn printed(rows: &mut Vec<Row>) {
    let table = include_str!("../data/rectifier_operating_points.csv");
    let mut seen = 0;
    for row in csv::Reader::from_reader(table.as_bytes()).deserialize() {
        let row: Printed = row.unwrap();
        let (kind, volts, hertz, load) =
            (&row.kind, row.ac_v_rms_per_plate, row.frequency, row.milliamps);
        let (text, line) = match (row.filter.as_str(), row.henries) {
            ("capacitor half-wave", _) => (
                format!(
                    "set: {{ name: bench set, design_line: {volts} V, frequency: {hertz} Hz }}
heater_string: {{ dropper: none }}
types: {{ h: {{ based_on: 6H6, heater_volts: {} V, heater_current: 0.15 A }} }}
rectifier: {{ type: {kind}, surge_resistor: {} Ω }}
filter: [{{ capacitor: {} µF }}]
loads: [{{ name: load, from: B+, current: {load} mA }}]
tubes: [h]
",
                    volts - 35.0,
                    row.supply_ohm_per_plate.unwrap(),
                    row.microfarads.unwrap(),
                ),
                volts,
            ),
            ("choke", Some(henries)) => (
                format!(
                    "set: {{ name: bench set, design_line: 115 V, frequency: {hertz} Hz, nameplate_power: 200 W }}
transformer:
  copper: warm
  primary: {{ resistance: 10 mΩ, no_load_current: 40 mA, no_load_power: 2 W, knee: 0 % }}
  high_voltage: {{ per_half: {volts} V, measured: open-circuit, resistance_per_half: 10 mΩ }}
  heater_windings:
    main: {{ volts: 6.3 V, measured: open-circuit, resistance: 10 mΩ }}
    rectifier: {{ volts: 5 V, measured: open-circuit, resistance: 10 mΩ }}
rectifier: {{ type: {kind}, fed_by: rectifier }}
filter: [{{ choke: {{ lead: positive, cold: 10 mΩ, hot: 10 mΩ, inductance: {henries} H }} }}, {{ capacitor: 100 µF }}]
loads: [{{ name: load, from: B+, current: {load} mA }}]
tubes: [6H6]
"
                ),
                115.0,
            ),
            _ => continue,
        };
        seen += 1;
        let got = receiver(&text).run(line, &Straight, None).unwrap();
        let name = format!("{kind} {} {volts} V {load} mA, as a set", row.filter);
        rows.push(Row::new(
            format!("{name}: as printed ({})", row.confidence),
            row.source.clone(),
            "V",
            row.volts,
            got.b_plus(),
            Allowed::NotJudged,
        ));
        rows.push(Row::new(
            format!("{name}: as integrated"),
            "independent integration",
            "V",
            row.model_v,
            got.b_plus(),
            Allowed::Share(0.01),
        ));
        if let Some(peak) = row.model_peak_plate_ma {
            rows.push(Row::new(
                format!("{name}: peak of the plate"),
                "independent integration",
                "mA",
                peak,
                1e3 * got.state.peak(Probe::Amps(got.at.plates[0].id)),
                Allowed::Share(0.01),
            ));
        }
    }
    assert_eq!(seen, 13, "7 choke rows, 6 half-wave rows");
}

/// B+ and line current of a set whose 5Y3GT gave way to silicon, from the equations; its heater is out of the winding.
fn replacement(rows: &mut Vec<Row>) {
    let (profile, tube) = replaced_5y3("open-circuit");
    let set = receiver(&profile("type: silicon, replaces: 5Y3GT"));
    let mut heaters = tube.heaters.clone();
    heaters.truncate(1);
    let silicon = Supply { diode: Diode::Silicon, heaters, ..tube.clone() };
    for (name, set, supply) in [
        ("silicon in the place of a 5Y3GT", &set, silicon),
        ("the same as it was made", set.as_made(), tube),
    ] {
        let got = set.run(supply.line, &Dropper::bare(supply.lead), None).unwrap();
        let expected = solve(&supply);
        let mut add = |what: &str, unit, expected, got| {
            let check = format!("{name}: {what}");
            rows.push(Row::new(
                check,
                "Dormand and Prince 5(4), 1e-9",
                unit,
                expected,
                got,
                Allowed::Share(0.002),
            ));
        };
        add("B+", "V", expected.b_plus, got.b_plus());
        add("line current", "A", expected.amps, got.state.rms(Probe::Amps(got.at.line)));
        add("tubes' heaters", "V", expected.heaters[0], got.heater_volts(0));
    }
}

pub fn group() -> &'static Group {
    static GROUP: OnceLock<Group> = OnceLock::new();
    GROUP.get_or_init(|| {
        let mut rows = Vec::new();
        strings(&mut rows);
        panel_lamp(&mut rows);
        printed(&mut rows);
        replacement(&mut rows);
        Group {
            title: "Supplies of every kind: heater strings and printed rows",
            about: "Heater strings on the line worked out by hand, printed half-wave and choke-input operation \
                    written as sets, and a silicon rectifier in the place of a tube.",
            rows,
        }
    })
}

#[test]
fn heater_strings_and_printed_rows_are_met() {
    group().assert();
}

/// The same set and the same point: every winding, every DC volt, the line.
fn assert_alike(name: &str, a: &Receiver, b: &Receiver) {
    let near = |what: &str, x: f64, y: f64| {
        assert!((x - y).abs() <= 1e-4 * y.abs(), "{name}: {what} {x} against {y}");
    };
    near("turns of the high voltage", a.turns().high_voltage, b.turns().high_voltage);
    for (place, (x, y)) in a.turns().windings.iter().zip(&b.turns().windings).enumerate() {
        near(&format!("turns of winding {place}"), *x, *y);
    }
    let run = |set: &Receiver| -> Operation { set.run(123.0, &Dropper::bare(10.0), None).unwrap() };
    let (x, y) = (run(a), run(b));
    near("B+", x.b_plus(), y.b_plus());
    near("line current", x.state.rms(Probe::Amps(x.at.line)), y.state.rms(Probe::Amps(y.at.line)));
    for place in 0..a.model().windings.len() {
        near(&format!("heaters {place}"), x.heater_volts(place), y.heater_volts(place));
    }
}

/// What was fitted to the set with its tube stays when silicon takes its place: loaded volts are those of the tube set.
#[test]
fn silicon_leaves_the_fitted_turns_alone() {
    for measured in ["open-circuit", "loaded"] {
        let (profile, _) = replaced_5y3(measured);
        let tube = receiver(&profile("type: 5Y3GT, fed_by: rectifier"));
        let silicon = receiver(&profile("type: silicon, replaces: 5Y3GT"));
        assert_alike(measured, silicon.as_made(), &tube);
        assert_eq!(silicon.turns().high_voltage, silicon.as_made().turns().high_voltage);
        assert_eq!(silicon.turns().windings, silicon.as_made().turns().windings);
        let (now, before) = (silicon.at_design(), tube.at_design());
        assert!(now.b_plus() > before.b_plus() + 10.0, "{} {}", now.b_plus(), before.b_plus());
        // the rectifier's winding has nothing on it any more
        assert!(silicon.model().rectifier_filament().is_none());
        assert!(tube.model().rectifier_filament().is_some());
    }
}

/// Two tubes in parallel, or both plates of one, are what silicon replaces there too.
#[test]
fn silicon_replaces_tubes_in_parallel() {
    let (profile, _) = replaced_5y3("loaded");
    let tubes = receiver(&profile("type: 5Y3GT, count: 2, fed_by: rectifier"));
    let silicon = receiver(&profile("type: silicon, replaces: 5Y3GT, count: 2"));
    assert_alike("two 5Y3GT", silicon.as_made(), &tubes);

    let half_wave = |rectifier: &str| {
        receiver(&format!(
            "set: {{ name: bench set, design_line: 115 V, frequency: 60 Hz, nameplate_power: 60 W }}
transformer:
  copper: warm
  primary: {{ resistance: 6 Ω, no_load_current: 160 mA, no_load_power: 7 W, knee: 0 % }}
  high_voltage: {{ volts: 250 V, measured: loaded, resistance: 150 Ω }}
  heater_windings:
    main: {{ volts: 6.3 V, measured: loaded, resistance: 80 mΩ }}
rectifier: {{ {rectifier}, circuit: half-wave, fed_by: main }}
filter: [{{ capacitor: 10 µF }}, {{ resistor: {{ lead: positive, value: 1.5 kΩ }} }}, {{ capacitor: 20 µF }}]
loads: [{{ name: rest, from: B+, resistance: 6 kΩ }}]
tubes: [{{ type: 6H6, count: 2, heater: main }}]
"
        ))
    };
    let tube = half_wave("type: 6X4");
    let silicon = half_wave("type: silicon, replaces: 6X4");
    assert_alike("both plates of a 6X4", silicon.as_made(), &tube);
}

/// What the reader says of a profile.
fn refused(text: &str) -> String {
    let document = Document::parse("bench.yaml", text.as_bytes()).unwrap();
    read(&document).err().map(|p| p.render()).unwrap_or_default()
}

/// A doubler's tube too; a tube that could not have been there is refused, and so is one whose heater left a string.
#[test]
fn what_silicon_replaces_must_have_been_there() {
    let winding = |rectifier: &str| {
        format!(
            "set: {{ name: bench set, design_line: 115 V, frequency: 60 Hz, nameplate_power: 60 W }}
transformer:
  copper: warm
  primary: {{ resistance: 6 Ω, no_load_current: 160 mA, no_load_power: 7 W, knee: 0 % }}
  high_voltage: {{ volts: 130 V, measured: loaded, resistance: 25 Ω }}
  heater_windings:
    main: {{ volts: 6.3 V, measured: loaded, resistance: 80 mΩ }}
    rectifier: {{ volts: 25 V, measured: loaded, resistance: 1 Ω }}
rectifier: {{ {rectifier}, fed_by: rectifier }}
filter: [{{ resistor: {{ lead: positive, value: 500 Ω }} }}, {{ capacitor: 20 µF }}]
loads: [{{ name: rest, from: B+, resistance: 6 kΩ }}]
tubes: [{{ type: 6H6, count: 2, heater: main }}]
"
        )
    };
    let doubler = "circuit: full-wave-doubler, capacitors: [40 µF, 40 µF]";
    let tube = receiver(&winding(&format!("type: 25Z5, {doubler}")));
    let silicon = receiver(&winding(&format!("type: silicon, replaces: 25Z5, {doubler}")));
    assert_alike("a doubler's 25Z5", silicon.as_made(), &tube);

    let text = refused(&winding(&format!("type: silicon, replaces: 5Y3GT, {doubler}")));
    assert!(text.contains("share one cathode"), "{text}");

    let string = |rectifier: &str| {
        format!(
            "set: {{ name: bench set, design_line: 117 V, frequency: 60 Hz }}
heater_string: {{ dropper: {{ kind: resistor, resistance: 230 Ω }} }}
types: {{ h: {{ based_on: 6H6, heater_volts: 82 V, heater_current: 0.15 A }} }}
rectifier: {{ type: silicon{rectifier} }}
filter: [{{ capacitor: 40 µF }}]
tubes: [h]
"
        )
    };
    assert_eq!(refused(&string("")), "");
    let text = refused(&string(", replaces: 35Z5GT"));
    assert!(text.contains("left the string"), "{text}");
}
