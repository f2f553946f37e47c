//! Sets of every topology twice: as a profile, and as numbers for the equations of `topologies_equations.rs`.
//!
//! Coils are as warm cold as hot, so that no temperature comes in; windings are given by open-circuit volts, so that
//! turns follow from two phasors. Heaters are those of `6H6`, which draws nothing, under other figures; the load is a
//! resistor and a constant current.

use crate::back_bias::OUTPUT;
use crate::by_hand::Tube;
use crate::topologies_equations::{Bias, Circuit, Diode, Heaters, Mains, Supply, core};

/// One set on one line behind one resistor.
pub struct Case {
    pub name: &'static str,
    pub profile: String,
    pub supply: Supply,
    /// A tap on what stands in the negative lead, as a share of its volts.
    pub tap: Option<f64>,
    /// False where the model is known to leave something out.
    pub judged: bool,
}

/// The model counts the common part's copper as a primary of its own (`docs/model.md`), which the rectifier's current
/// would flow through the other way.
const AUTO_COPPER: &str = "half-wave autotransformer, 6 Ω in the common part";

const HEATER: f64 = 0.58;
const LAMP: f64 = 0.54;
const DESIGN: f64 = 115.0;
const PRIMARY: f64 = 6.0;

const HEAD: &str =
    "set: { name: bench set, design_line: 115 V, frequency: 60 Hz, nameplate_power: 60 W }
outlet: { low: 118 V, usual: 123 V, high: 126 V }
room: 22 °C
";

const LINE_HEAD: &str = "set: { name: bench set, design_line: 117 V, frequency: 60 Hz }
outlet: { low: 118 V, usual: 123 V, high: 126 V }
types:
  h6: { based_on: 6H6, heater_volts: 6.3 V, heater_current: 0.3 A }
  h25: { based_on: 6H6, heater_volts: 25 V, heater_current: 0.3 A }
  h12: { based_on: 6H6, heater_volts: 12.6 V, heater_current: 0.15 A }
  h44: { based_on: 6H6, heater_volts: 44.2 V, heater_current: 0.15 A }
";

/// A transformer: kind, high voltage, further windings.
fn transformer(kind: &str, high: &str, windings: &str) -> String {
    format!(
        "{HEAD}transformer:
  copper: warm
  kind: {kind}
  primary: {{ resistance: 6 Ω, no_load_current: 160 mA, no_load_power: 7 W, knee: 0 % }}
  high_voltage: {{ {high}, measured: open-circuit }}
{windings}"
    )
}

const MAIN: &str = "  heater_windings:
    main: { volts: 6.5 V, measured: open-circuit, resistance: 0.08 Ω }
";

/// Turns over the primary's of a winding that gives `volts` with nothing connected.
fn turns(volts: f64) -> f64 {
    let (.., ratio) = core(DESIGN, 60.0, PRIMARY, 0.16, 7.0);
    volts / (DESIGN * ratio)
}

fn mains(volts: f64, copper: f64) -> Mains {
    let (loss, henries, _) = core(DESIGN, 60.0, PRIMARY, 0.16, 7.0);
    Mains::Transformer { primary: PRIMARY, loss, henries, turns: turns(volts), copper }
}

/// Heaters of 6.3 V on the main winding.
fn main(amps: f64) -> Heaters {
    Heaters::winding(&[[6.3, amps, HEATER]], turns(6.5), 0.08)
}

fn rectifier(open: f64, copper: f64, volts: f64, amps: f64) -> Heaters {
    Heaters::winding(&[[volts, amps, HEATER]], turns(open), copper)
}

fn link(volts: f64, amps: f64) -> Heaters {
    Heaters::link(&[[volts, amps, HEATER]])
}

/// What most of them have in common.
fn base(mains: Mains, heaters: Vec<Heaters>, circuit: Circuit, diode: Diode) -> Supply {
    Supply {
        line: 123.0,
        hertz: 60.0,
        lead: 12.0,
        mains,
        heaters,
        circuit,
        diode,
        surge: 0.0,
        first: [16e-6, 16e-6],
        series: (1000.0, None),
        negative: 0.0,
        field: None,
        second: 16e-6,
        load: (10e3, 0.0),
        bias: None,
    }
}

const RECTIFIER: &str =
    "    rectifier: { volts: 5.2 V, measured: open-circuit, resistance: 0.1 Ω }\n";

fn half_wave_winding(kind: &str) -> String {
    transformer(
        kind,
        "volts: 250 V, resistance: 150 Ω",
        &format!("{MAIN}    rectifier: {{ volts: 6.5 V, measured: open-circuit, resistance: 0.3 Ω }}\n"),
    ) + "rectifier: { type: 1V, circuit: half-wave, drop: 20 V, drop_at: 60 mA, fed_by: rectifier }
filter: [{ capacitor: 10 µF }, { resistor: { lead: positive, value: 1.5 kΩ } }, { capacitor: 20 µF }]
loads: [{ name: rest, from: B+, resistance: 9 kΩ }]
tubes: [{ type: 6H6, count: 4, heater: main }]
"
}

fn on_transformer(list: &mut Vec<Case>) {
    let filter = |name: &'static str, profile: String, supply: Supply| Case {
        name,
        profile,
        supply,
        tap: None,
        judged: true,
    };
    let half_wave = Supply {
        first: [10e-6, 0.0],
        series: (1500.0, None),
        second: 20e-6,
        load: (9e3, 0.0),
        ..base(
            mains(250.0, 150.0),
            vec![main(1.2), rectifier(6.5, 0.3, 6.3, 0.3)],
            Circuit::HalfWave,
            Diode::vacuum(20.0, 0.06),
        )
    };
    list.push(filter("half-wave on a winding", half_wave_winding("isolating"), half_wave.clone()));
    for (name, text, common, judged) in [
        ("half-wave autotransformer, 0.06 Ω in the common part", "60 mΩ", 0.06, true),
        (AUTO_COPPER, "6 Ω", PRIMARY, false),
    ] {
        let (loss, henries, ratio) = core(DESIGN, 60.0, common, 0.16, 7.0);
        let turns = |volts: f64| volts / (DESIGN * ratio);
        let mut heaters = half_wave.heaters.clone();
        for heater in &mut heaters {
            heater.turns = turns(6.5);
        }
        let profile = half_wave_winding("autotransformer")
            .replace("resistance: 6 Ω", &format!("resistance: {text}"));
        let supply = Supply {
            // an ohmmeter from chassis to the end finds both sections
            mains: Mains::Auto {
                lower: common,
                upper: 150.0 - common,
                loss,
                henries,
                turns: turns(250.0),
            },
            heaters,
            ..half_wave.clone()
        };
        list.push(Case { name, profile, supply, tap: None, judged });
    }
    list.push(filter(
        "bridge of silicon",
        transformer("isolating", "volts: 240 V, resistance: 60 Ω", MAIN)
            + "rectifier: { type: silicon, circuit: bridge, surge_resistor: 22 Ω }
filter: [{ capacitor: 40 µF }, { choke: { lead: positive, cold: 150 Ω, hot: 150 Ω, inductance: 6 H } }, { capacitor: 40 µF }]
loads: [{ name: rest, from: B+, resistance: 20 kΩ }, { name: tubes, from: B+, current: 50 mA }]
tubes: [{ type: 6H6, count: 6, heater: main }]
",
        Supply {
            surge: 22.0,
            first: [40e-6, 0.0],
            series: (150.0, Some(6.0)),
            second: 40e-6,
            load: (20e3, 50e-3),
            ..base(mains(240.0, 60.0), vec![main(1.8)], Circuit::Bridge, Diode::Silicon)
        },
    ));
    list.push(filter(
        "bridge of two 25Z5",
        transformer(
            "isolating",
            "volts: 240 V, resistance: 60 Ω",
            &format!(
                "{MAIN}    rectifier: {{ volts: 26 V, measured: open-circuit, resistance: 1 Ω }}\n"
            ),
        ) + "rectifier: { type: 25Z5, circuit: bridge, count: 2, fed_by: rectifier }
filter: [{ capacitor: 16 µF }, { resistor: { lead: positive, value: 1 kΩ } }, { capacitor: 16 µF }]
loads: [{ name: rest, from: B+, resistance: 5 kΩ }]
tubes: [{ type: 6H6, count: 4, heater: main }]
",
        Supply {
            load: (5e3, 0.0),
            ..base(
                mains(240.0, 60.0),
                vec![main(1.2), rectifier(26.0, 1.0, 25.0, 0.6)],
                Circuit::Bridge,
                Diode::vacuum(22.0, 0.15),
            )
        },
    ));
    list.push(filter(
        "two 80 in parallel",
        transformer(
            "isolating",
            "per_half: 300 V, resistance_per_half: 90 Ω",
            &format!("{MAIN}{RECTIFIER}"),
        ) + "rectifier: { type: \"80\", count: 2, fed_by: rectifier }
filter: [{ capacitor: 16 µF }, { resistor: { lead: positive, value: 300 Ω } }, { capacitor: 16 µF }]
loads: [{ name: rest, from: B+, resistance: 10 kΩ }, { name: tubes, from: B+, current: 90 mA }]
tubes: [{ type: 6H6, count: 4, heater: main }]
",
        Supply {
            series: (300.0, None),
            load: (10e3, 90e-3),
            ..base(
                mains(300.0, 90.0),
                vec![main(1.2), rectifier(5.2, 0.1, 5.0, 4.0)],
                Circuit::FullWave,
                // each plate is two in parallel
                Diode::vacuum(60.0, 0.250),
            )
        },
    ));
    let doubler = |word: &str| {
        transformer("isolating", "volts: 130 V, resistance: 25 Ω", MAIN)
            + &format!(
                "rectifier: {{ type: silicon, circuit: {word}, surge_resistor: 15 Ω, capacitors: [40 µF, 30 µF] }}
filter: [{{ resistor: {{ lead: positive, value: 500 Ω }} }}, {{ capacitor: 20 µF }}]
loads: [{{ name: rest, from: B+, resistance: 6 kΩ }}]
tubes: [{{ type: 6H6, count: 4, heater: main }}]
"
            )
    };
    for (name, word, circuit) in [
        ("full-wave doubler on a winding", "full-wave-doubler", Circuit::FullWaveDoubler),
        ("half-wave doubler on a winding", "half-wave-doubler", Circuit::HalfWaveDoubler),
    ] {
        let supply = Supply {
            surge: 15.0,
            first: [40e-6, 30e-6],
            series: (500.0, None),
            second: 20e-6,
            load: (6e3, 0.0),
            ..base(mains(130.0, 25.0), vec![main(1.2)], circuit, Diode::Silicon)
        };
        list.push(filter(name, doubler(word), supply));
    }
}

fn full_wave(list: &mut Vec<Case>) {
    let rectifier_5v = || vec![main(1.2), rectifier(5.2, 0.1, 5.0, 2.0)];
    let winding = |per_half: f64| {
        let high = format!("per_half: {per_half} V, resistance_per_half: 100 Ω");
        transformer("isolating", &high, &format!("{MAIN}{RECTIFIER}"))
    };
    let choke = |kind: &str, henries: f64, load: &str| {
        winding(360.0)
            + &format!(
                "rectifier: {{ type: {kind}, fed_by: rectifier }}
filter: [{{ choke: {{ lead: positive, cold: 200 Ω, hot: 200 Ω, inductance: {henries} H }} }}, {{ capacitor: 16 µF }}]
loads: [{{ name: rest, from: B+, resistance: {load} }}]
tubes: [{{ type: 6H6, count: 4, heater: main }}]
"
            )
    };
    for (name, kind, amps, diode, henries, load, ohms) in [
        ("choke input, 5Y3GT", "5Y3GT", 2.0, Diode::vacuum(50.0, 0.125), 10.0, "5 kΩ", 5e3),
        ("choke input, mercury 83", "\"83\"", 3.0, Diode::Constant(15.0), 12.0, "3 kΩ", 3e3),
        (
            "choke input, current that stops",
            "5Y3GT",
            2.0,
            Diode::vacuum(50.0, 0.125),
            5.0,
            "20 kΩ",
            20e3,
        ),
    ] {
        let heaters = vec![main(1.2), rectifier(5.2, 0.1, 5.0, amps)];
        list.push(Case {
            name,
            profile: choke(kind, henries, load),
            supply: Supply {
                series: (200.0, Some(henries)),
                load: (ohms, 0.0),
                ..base(mains(360.0, 100.0), heaters, Circuit::ChokeInput, diode)
            },
            tap: None,
            judged: true,
        });
    }
    let tail = "dividers:
  bias: { from: B-, resistors: [100 kΩ, 50 kΩ], taps: [output] }
loads: [{ name: rest, from: B+, resistance: 8 kΩ }, { name: tubes, from: B+, current: 20 mA }]
tubes: [{ type: 6H6, count: 4, heater: main }]
";
    let back = Supply {
        load: (8e3, 20e-3),
        negative: 1.0 / (1.0 / 220.0 + 1.0 / 150e3),
        series: (300.0, Some(8.0)),
        ..base(mains(300.0, 100.0), rectifier_5v(), Circuit::FullWave, Diode::vacuum(50.0, 0.125))
    };
    list.push(Case {
        name: "resistor in the negative lead, choke in the positive",
        profile: winding(300.0)
            + "rectifier: { type: 5Y3GT, fed_by: rectifier }
filter: [{ capacitor: 16 µF }, { resistor: { lead: negative, value: 220 Ω } }, { choke: { lead: positive, cold: 300 Ω, hot: 300 Ω, inductance: 8 H } }, { capacitor: 16 µF }]
" + tail,
        supply: back.clone(),
        tap: Some(1.0 / 3.0),
        judged: true,
    });
    list.push(Case {
        name: "resistor alone in the negative lead",
        profile: winding(300.0)
            + "rectifier: { type: 5Y3GT, fed_by: rectifier }
filter: [{ capacitor: 16 µF }, { resistor: { lead: negative, value: 220 Ω } }, { capacitor: 16 µF }]
" + tail,
        supply: Supply { series: (0.0, None), ..back },
        tap: Some(1.0 / 3.0),
        judged: true,
    });
    list.push(Case {
        name: "field coil as bleeder",
        profile: winding(320.0)
            + "rectifier: { type: 5Y3GT, fed_by: rectifier }
filter: [{ capacitor: 16 µF }, { field_coil: { lead: across, cold: 8 kΩ, hot: 8 kΩ, inductance: 40 H } }, { choke: { lead: positive, cold: 300 Ω, hot: 300 Ω, inductance: 8 H } }, { capacitor: 16 µF }]
loads: [{ name: rest, from: B+, resistance: 7 kΩ }]
tubes: [{ type: 6H6, count: 4, heater: main }]
",
        supply: Supply {
            series: (300.0, Some(8.0)),
            field: Some((8e3, 40.0)),
            load: (7e3, 0.0),
            ..base(mains(320.0, 100.0), rectifier_5v(), Circuit::FullWave, Diode::vacuum(50.0, 0.125))
        },
        tap: None,
        judged: true,
    });
    list.push(Case {
        name: "bias winding with its own rectifier",
        profile: winding(290.0).replace("  heater_windings", "  bias: { volts: 32 V, measured: open-circuit, resistance: 40 Ω }\n  heater_windings")
            + "rectifier: { type: 5Y3GT, fed_by: rectifier }
bias_supply: { rectifier: selenium, filter: [{ capacitor: 25 µF }, { resistor: 1 kΩ }, { capacitor: 25 µF }] }
filter: [{ capacitor: 16 µF }, { resistor: { lead: positive, value: 1 kΩ } }, { capacitor: 16 µF }]
dividers:
  bias: { from: C-, resistors: [8 kΩ, 7 kΩ], taps: [output] }
loads: [{ name: rest, from: B+, resistance: 15 kΩ }]
tubes: [{ type: 6F6, plate: B+, screen: B+, grid: bias.output, cathode: chassis, heater: main }]
",
        supply: Supply {
            load: (15e3, 0.0),
            bias: Some(Bias {
                turns: turns(32.0),
                copper: 40.0,
                diode: Diode::Selenium(2.5, 2.5 / 0.3),
                farads: [25e-6; 2],
                ohms: 1000.0,
                divider: 15e3,
                share: 7.0 / 15.0,
                tube: Tube {
                    perveance: OUTPUT.perveance(),
                    mu: OUTPUT.mu(),
                    plate_share: OUTPUT.share(),
                },
            }),
            ..base(
                mains(290.0, 100.0),
                vec![main(0.7), rectifier(5.2, 0.1, 5.0, 2.0)],
                Circuit::FullWave,
                Diode::vacuum(50.0, 0.125),
            )
        },
        tap: None,
        judged: true,
    });
}

fn on_line(list: &mut Vec<Case>) {
    let straight = |dropper: f64| Mains::Line { dropper, tapped: false };
    // 6.3 + 6.3 + 25 V and what follows
    let three = || vec![link(6.3, 0.3), link(6.3, 0.3), link(25.0, 0.3)];
    let with_rectifier = |volts: f64| {
        let mut links = vec![link(volts, 0.3)];
        links.extend(three());
        links
    };
    let tubes = "tubes: [{ type: h6, count: 2 }, h25]\n";
    let mut add = |name, profile: String, supply| {
        list.push(Case {
            name,
            profile: format!("{LINE_HEAD}{profile}"),
            supply,
            tap: None,
            judged: true,
        });
    };
    add(
        "line, half-wave 25Z5, resistor as dropper",
        format!("heater_string: {{ dropper: {{ kind: resistor, resistance: 181 Ω }} }}
rectifier: {{ type: 25Z5, circuit: half-wave }}
filter: [{{ capacitor: 16 µF }}, {{ choke: {{ lead: positive, cold: 300 Ω, hot: 300 Ω, inductance: 6 H }} }}, {{ capacitor: 16 µF }}]
loads: [{{ name: rest, from: B+, resistance: 3 kΩ }}]
{tubes}"),
        Supply {
            series: (300.0, Some(6.0)),
            load: (3e3, 0.0),
            ..base(straight(181.0), with_rectifier(25.0), Circuit::HalfWave, Diode::vacuum(22.0, 0.3))
        },
    );
    let mut barretter = with_rectifier(25.0);
    // about the middle of its range, the root of 36 V · 81 V
    barretter.push(Heaters::link(&[[54.0, 0.3, 0.07]]));
    add(
        "line, half-wave 25Z5, barretter",
        format!("heater_string: {{ dropper: {{ kind: barretter, current: 0.3 A, holds: {{ from: 36 V, to: 81 V }} }} }}
rectifier: {{ type: 25Z5, circuit: half-wave }}
filter: [{{ capacitor: 16 µF }}, {{ resistor: {{ lead: positive, value: 1 kΩ }} }}, {{ capacitor: 16 µF }}]
loads: [{{ name: rest, from: B+, resistance: 3 kΩ }}]
{tubes}"),
        Supply {
            load: (3e3, 0.0),
            ..base(straight(0.0), barretter, Circuit::HalfWave, Diode::vacuum(22.0, 0.3))
        },
    );
    for (name, word, circuit, kind) in [
        ("line, full-wave doubler 25Z5", "full-wave-doubler", Circuit::FullWaveDoubler, "25Z5"),
        ("line, half-wave doubler 25Z6GT", "half-wave-doubler", Circuit::HalfWaveDoubler, "25Z6GT"),
    ] {
        add(
            name,
            format!(
                "heater_string: {{ dropper: {{ kind: line-cord, resistance: 181 Ω }} }}
rectifier: {{ type: {kind}, circuit: {word}, surge_resistor: 30 Ω, capacitors: [16 µF, 20 µF] }}
filter: [{{ resistor: {{ lead: positive, value: 1 kΩ }} }}, {{ capacitor: 16 µF }}]
loads: [{{ name: rest, from: B+, resistance: 5 kΩ }}]
{tubes}"
            ),
            Supply {
                surge: 30.0,
                first: [16e-6, 20e-6],
                load: (5e3, 0.0),
                ..base(straight(181.0), with_rectifier(25.0), circuit, Diode::vacuum(22.0, 0.15))
            },
        );
    }
    for (name, kind, word, circuit, diode) in [
        (
            "line, half-wave selenium",
            "selenium",
            "half-wave",
            Circuit::HalfWave,
            Diode::Selenium(2.5, 2.5 / 0.3),
        ),
        ("line, half-wave silicon", "silicon", "half-wave", Circuit::HalfWave, Diode::Silicon),
        ("line, bridge of silicon", "silicon", "bridge", Circuit::Bridge, Diode::Silicon),
    ] {
        add(
            name,
            format!("heater_string: {{ dropper: {{ kind: resistor, resistance: 265 Ω }} }}
rectifier: {{ type: {kind}, circuit: {word}, surge_resistor: 22 Ω }}
filter: [{{ capacitor: 40 µF }}, {{ resistor: {{ lead: positive, value: 1 kΩ }} }}, {{ capacitor: 30 µF }}]
loads: [{{ name: rest, from: B+, resistance: 3 kΩ }}]
{tubes}"),
            Supply {
                surge: 22.0,
                first: [40e-6, 0.0],
                second: 30e-6,
                load: (3e3, 0.0),
                ..base(straight(265.0), three(), circuit, diode)
            },
        );
    }
    for (name, lamps, shunt) in [
        ("line, 35Z5GT without a lamp", "", None),
        (
            "line, 35Z5GT, lamp across the tap",
            "lamps: [{ type: \"#47\", across: tap }]\n",
            Some(None),
        ),
        (
            "line, 35Z5GT, lamp and shunt across the tap",
            "lamps: [{ type: \"#47\", across: tap, shunt: 50 Ω }]\n",
            Some(Some(50.0)),
        ),
    ] {
        let mut links = match shunt {
            None => vec![link(35.0, 0.15)],
            Some(shunt) => {
                let mut tap = vec![[7.5, 0.15, HEATER], [6.3, 0.15, LAMP]];
                // a plain resistor is a filament of exponent 1
                tap.extend(shunt.map(|ohms: f64| [5.0, 5.0 / ohms, 1.0]));
                vec![Heaters::link(&tap), link(27.5, 0.15)]
            }
        };
        links.extend([12.6, 12.6, 12.6, 44.2].map(|volts| link(volts, 0.15)));
        add(
            name,
            format!("heater_string: {{ dropper: none }}
rectifier: {{ type: 35Z5GT, surge_resistor: 33 Ω }}
filter: [{{ capacitor: 40 µF }}, {{ resistor: {{ lead: positive, value: 1.2 kΩ }} }}, {{ capacitor: 40 µF }}]
loads: [{{ name: rest, from: B+, current: 55 mA }}]
tubes: [{{ type: h12, count: 3 }}, h44]
{lamps}"),
            Supply {
                surge: 33.0,
                first: [40e-6, 0.0],
                series: (1200.0, None),
                second: 40e-6,
                load: (1e9, 55e-3),
                ..base(
                    Mains::Line { dropper: 0.0, tapped: shunt.is_some() },
                    links,
                    Circuit::HalfWave,
                    Diode::vacuum(21.0, 0.2),
                )
            },
        );
    }
}

/// A set with a 5Y3GT, as its profile for any text of the rectifier, and as numbers.
pub fn replaced_5y3(measured: &'static str) -> (impl Fn(&str) -> String, Supply) {
    let profile = move |rectifier: &str| {
        let windings = format!("{MAIN}{RECTIFIER}");
        let transformer =
            transformer("isolating", "per_half: 320 V, resistance_per_half: 120 Ω", &windings);
        transformer.replace("open-circuit", measured)
            + &format!(
                "rectifier: {{ {rectifier} }}
filter: [{{ capacitor: 16 µF }}, {{ resistor: {{ lead: positive, value: 1 kΩ }} }}, {{ capacitor: 16 µF }}]
loads: [{{ name: rest, from: B+, resistance: 5 kΩ }}]
tubes: [{{ type: 6H6, count: 4, heater: main }}]
"
            )
    };
    let supply = Supply {
        load: (5e3, 0.0),
        ..base(
            mains(320.0, 120.0),
            vec![main(1.2), rectifier(5.2, 0.1, 5.0, 2.0)],
            Circuit::FullWave,
            Diode::vacuum(50.0, 0.125),
        )
    };
    (profile, supply)
}

/// All of them.
pub fn cases() -> Vec<Case> {
    let mut list = Vec::new();
    on_transformer(&mut list);
    full_wave(&mut list);
    on_line(&mut list);
    list
}
