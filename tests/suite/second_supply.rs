//! A second supply beside B+, through the front door, against equations written here by hand and integrated by a
//! general-purpose solver (crate `ode_solvers`, Dormand and Prince's rule of order five, tolerance 1e-9).
//!
//! Both supplies are a rectifier, a capacitor, a choke (the second: a field coil across its output) and what they feed. With
//! `e` what drives the windings, `n` their turns over the primary's, `r` ohms in a plate's lead, `drop` the diode's law, each
//! current solves `n e − u = r i + drop(i)` (both halves of a winding with a center tap: `|n e|`), and `e` solves
//!
//! - of a transformer: `(v − e)/(Rp + R) = im + e G + Σ ±n i`, `L dim/dt = e`, `G` what core loss and heaters conduct;
//! - on the line, behind `R` in the lead: `(v − e)/R = e/S + Σ i`, `S` the string's ohms, `n = 1`.

use crate::by_hand::periodic;
use crate::harness::shipped;
use crate::table::{Allowed, Group, Row};
use crate::topologies::receiver;
use crate::topologies_equations::{Diode, Heaters, TOLERANCE, core, falling};
use mainsfit::adaptation::Dropper;
use mainsfit::circuit::{Probe, REFERENCE};
use mainsfit::profile::{Document, read};
use mainsfit::receiver::{Fault, Operation, Parameter, Receiver, SHORT_OHMS, Straight};
use mainsfit::study::read as read_point;
use ode_solvers::{SVector, System};
use std::f64::consts::{PI, SQRT_2, TAU};
use std::sync::OnceLock;

const LINE: f64 = 123.0;
const HERTZ: f64 = 60.0;
/// Ohms in the line cord.
const LEAD: f64 = 12.0;
/// Leakage of each filter capacitor, Ω (`docs/model.md`).
const LEAKAGE: f64 = 1e7;
const HEATER: f64 = 0.58;

/// A rectifier with its capacitor.
#[derive(Clone)]
struct Rectified {
    turns: f64,
    ohms: f64,
    diode: Diode,
    both_halves: bool,
    farads: f64,
}

impl Rectified {
    /// Current into the capacitor at `u` volts, and what it takes from the dotted end.
    fn amps(&self, e: f64, u: f64) -> (f64, f64) {
        let open = self.turns * e;
        let driven = if self.both_halves { open.abs() } else { open };
        let amps = self.diode.through(driven - u, self.ohms, 1.0);
        (amps, if self.both_halves { open.signum() * amps } else { amps })
    }
}

/// Primary, loss, magnetizing inductance of a transformer; none of a set on the line.
type Iron = Option<(f64, f64, f64)>;

#[derive(Clone)]
struct Equations {
    iron: Iron,
    heaters: Vec<Heaters>,
    heater_ohms: Vec<f64>,
    /// In series with the heaters of a string.
    dropper: f64,
    main: Rectified,
    /// Choke: ohms, henries; capacitor behind it, load.
    rest: (f64, f64, f64, f64),
    second: Rectified,
    /// Field coil across it: ohms, henries.
    field: (f64, f64),
}

/// Capacitor, choke, B+, second capacitor, field coil; magnetizing current last, for a set on the line has none. Then
/// integrals: both outputs, squares of the line's current and of `e`, line power, the second output's square.
type State = SVector<f64, 12>;
const STATES: usize = 6;

impl Equations {
    /// What the heaters conduct, seen from `e`.
    fn siemens(&self) -> f64 {
        let pairs = self.heaters.iter().zip(&self.heater_ohms);
        match self.iron {
            Some(_) => pairs.map(|(h, ohms)| h.turns * h.turns / (h.copper + ohms)).sum(),
            None => 1.0 / (self.dropper + self.heater_ohms.iter().sum::<f64>()),
        }
    }

    /// Line volts, `e`, line current.
    fn at(&self, time: f64, y: &State) -> (f64, f64, f64) {
        let volts = LINE * SQRT_2 * (TAU * HERTZ * time).sin();
        let (ahead, loss, flux) = match self.iron {
            Some((primary, loss, _)) => (primary + LEAD, 1.0 / loss, y[5]),
            None => (LEAD, 0.0, 0.0),
        };
        let admittance = 1.0 / ahead + loss + self.siemens();
        let drawn = |e: f64| {
            let (one, two) = (self.main.amps(e, y[0]).1, self.second.amps(e, y[3]).1);
            self.main.turns * one + self.second.turns * two
        };
        let miss = |e: f64| volts / ahead - flux - admittance * e - drawn(e);
        let open = (volts / ahead - flux) / admittance;
        let e = match open {
            o if o > 0.0 => falling(0.0, o * (1.0 + 1e-9), miss),
            o if o < 0.0 => falling(o * (1.0 + 1e-9), 0.0, miss),
            _ => 0.0,
        };
        (volts, e, (volts - e) / ahead)
    }
}

impl System<f64, State> for Equations {
    fn system(&self, time: f64, y: &State, dy: &mut State) {
        let (volts, e, line) = self.at(time, y);
        let (one, two) = (self.main.amps(e, y[0]).0, self.second.amps(e, y[3]).0);
        let (ohms, henries, farads, load) = self.rest;
        dy[0] = (one - y[1] - y[0] / LEAKAGE) / self.main.farads;
        dy[1] = (y[0] - ohms * y[1] - y[2]) / henries;
        dy[2] = (y[1] - y[2] / load - y[2] / LEAKAGE) / farads;
        dy[3] = (two - y[4] - y[3] / LEAKAGE) / self.second.farads;
        dy[4] = (y[3] - self.field.0 * y[4]) / self.field.1;
        dy[5] = self.iron.map_or(0.0, |(_, _, henries)| e / henries);
        dy[6] = y[2];
        dy[7] = y[3];
        dy[8] = line * line;
        dy[9] = e * e;
        dy[10] = volts * line;
        dy[11] = y[3] * y[3];
    }
}

/// B+, B2+, its ripple, line current and power, heaters, by the equations with heaters in balance.
struct Found {
    b_plus: f64,
    second: f64,
    ripple: f64,
    amps: f64,
    watts: f64,
    heaters: Vec<f64>,
}

fn solve(mut system: Equations) -> Found {
    let crest = LINE * SQRT_2;
    let (one, two) = (0.9 * crest * system.main.turns, 0.9 * crest * system.second.turns);
    let mut start = State::zeros();
    (start[0], start[1], start[2]) = (one, one / system.rest.3, one);
    (start[3], start[4]) = (two, two / system.field.0);
    if let Some((_, _, henries)) = system.iron {
        start[5] = -crest / (TAU * HERTZ * henries);
    }
    let states = if system.iron.is_some() { STATES } else { STATES - 1 };
    for _ in 0..40 {
        let (from, end) = periodic(&system, 1.0 / HERTZ, start, states, TOLERANCE);
        start = from;
        let mean = |i: usize| HERTZ * (end[i] - from[i]);
        let e = mean(9).sqrt();
        let string = system.dropper + system.heater_ohms.iter().sum::<f64>();
        let volts = |(heater, ohms): (&Heaters, &f64)| match system.iron {
            Some(_) => e * heater.turns * ohms / (ohms + heater.copper),
            None => e * ohms / string,
        };
        let heaters: Vec<f64> = system.heaters.iter().zip(&system.heater_ohms).map(volts).collect();
        let next: Vec<f64> =
            system.heaters.iter().zip(&heaters).map(|(h, volts)| h.ohms(*volts)).collect();
        let moved = next.iter().zip(&system.heater_ohms).map(|(n, o)| (n / o - 1.0).abs());
        if moved.fold(0.0, f64::max) < 1e-6 {
            return Found {
                b_plus: mean(6),
                second: mean(7),
                ripple: (mean(11) - mean(7).powi(2)).sqrt(),
                amps: mean(8).sqrt(),
                watts: mean(10),
                heaters,
            };
        }
        system.heater_ohms = next;
    }
    panic!("heaters do not settle");
}

/// A diode of a 25Z5 lent to the field, the set on the line.
fn lent() -> (String, Equations) {
    let text = "set: { name: bench set, design_line: 117 V, frequency: 60 Hz }
types:
  h6: { based_on: 6H6, heater_volts: 6.3 V, heater_current: 0.3 A }
  h25: { based_on: 6H6, heater_volts: 25 V, heater_current: 0.3 A }
heater_string: { dropper: { kind: resistor, resistance: 181 Ω } }
rectifier: { type: 25Z5, circuit: half-wave, surge_resistor: 20 Ω }
filter: [{ capacitor: 16 µF }, { choke: { lead: positive, cold: 300 Ω, hot: 300 Ω, inductance: 6 H } }, { capacitor: 16 µF }]
second_supply:
  rectifier: { shared: true, surge_resistor: 47 Ω }
  filter: [{ capacitor: 8 µF }, { field_coil: { lead: across, cold: 3 kΩ, hot: 3 kΩ, inductance: 25 H } }]
loads: [{ name: rest, from: B+, resistance: 3 kΩ }]
tubes: [h6, h6, h25]
";
    let link = |volts: f64| Heaters::link(&[[volts, 0.3, HEATER]]);
    let heaters = vec![link(25.0), link(6.3), link(6.3), link(25.0)];
    // one plate each, 22 V at 150 mA
    let diode = Diode::vacuum(22.0, 0.15);
    let plate =
        |ohms: f64, farads: f64| Rectified { turns: 1.0, ohms, diode, both_halves: false, farads };
    let system = Equations {
        iron: None,
        heater_ohms: heaters.iter().map(|h| h.ohms(h.filaments[0][0])).collect(),
        heaters,
        dropper: 181.0,
        main: plate(20.0, 16e-6),
        rest: (300.0, 6.0, 16e-6, 3e3),
        second: plate(47.0, 8e-6),
        field: (3e3, 25.0),
    };
    (text.to_owned(), system)
}

/// A rectifier on windings of its own beside a 5Y3GT.
fn own(
    winding: &str,
    rectifier: &str,
    field_heater: &str,
    second: Rectified,
) -> (String, Equations) {
    let (loss, henries, ratio) = core(115.0, HERTZ, 6.0, 0.16, 7.0);
    let turns = |volts: f64| volts / (115.0 * ratio);
    let text = format!(
        "set: {{ name: bench set, design_line: 115 V, frequency: 60 Hz, nameplate_power: 60 W }}
transformer:
  copper: warm
  primary: {{ resistance: 6 Ω, no_load_current: 160 mA, no_load_power: 7 W, knee: 0 % }}
  high_voltage: {{ per_half: 300 V, measured: open-circuit, resistance_per_half: 100 Ω }}
  heater_windings:
    main: {{ volts: 6.5 V, measured: open-circuit, resistance: 0.08 Ω }}
    rectifier: {{ volts: 5.2 V, measured: open-circuit, resistance: 0.1 Ω }}
{field_heater}rectifier: {{ type: 5Y3GT, fed_by: rectifier }}
filter: [{{ capacitor: 16 µF }}, {{ choke: {{ lead: positive, cold: 300 Ω, hot: 300 Ω, inductance: 8 H }} }}, {{ capacitor: 16 µF }}]
second_supply:
  winding: {{ {winding}, measured: open-circuit }}
  rectifier: {{ {rectifier} }}
  filter: [{{ capacitor: 10 µF }}, {{ field_coil: {{ lead: across, cold: 5 kΩ, hot: 5 kΩ, inductance: 30 H }} }}]
loads: [{{ name: rest, from: B+, resistance: 5 kΩ }}]
tubes: [{{ type: 6H6, count: 4, heater: main }}]
"
    );
    let mut heaters = vec![
        Heaters::winding(&[[6.3, 1.2, HEATER]], turns(6.5), 0.08),
        Heaters::winding(&[[5.0, 2.0, HEATER]], turns(5.2), 0.1),
    ];
    if !field_heater.is_empty() {
        heaters.push(Heaters::winding(&[[6.3, 0.5, HEATER]], turns(6.5), 0.4));
    }
    let system = Equations {
        iron: Some((6.0, loss, henries)),
        heater_ohms: heaters.iter().map(|h| h.ohms(h.filaments[0][0])).collect(),
        heaters,
        dropper: 0.0,
        main: Rectified {
            turns: turns(300.0),
            ohms: 100.0,
            diode: Diode::vacuum(50.0, 0.125),
            both_halves: true,
            farads: 16e-6,
        },
        rest: (300.0, 8.0, 16e-6, 5e3),
        second: Rectified { turns: turns(second.turns), ..second },
        field: (5e3, 30.0),
    };
    (text, system)
}

fn cases() -> Vec<(&'static str, String, Equations)> {
    let (shared, equations) = lent();
    let field_rectifier =
        "    field rectifier: { volts: 6.5 V, measured: open-circuit, resistance: 0.4 Ω }\n";
    let full_wave = own(
        "per_half: 220 V, resistance_per_half: 150 Ω",
        "type: 84, circuit: full-wave, fed_by: field rectifier",
        field_rectifier,
        Rectified {
            turns: 220.0,
            ohms: 150.0,
            diode: Diode::vacuum(20.0, 0.06),
            both_halves: true,
            farads: 10e-6,
        },
    );
    let half_wave = own(
        "volts: 200 V, resistance: 120 Ω",
        "type: silicon, circuit: half-wave, surge_resistor: 100 Ω",
        "",
        Rectified {
            turns: 200.0,
            ohms: 220.0,
            diode: Diode::Silicon,
            both_halves: false,
            farads: 10e-6,
        },
    );
    vec![
        ("one diode of a 25Z5 for the field", shared, equations),
        ("field on a winding with an 84", full_wave.0, full_wave.1),
        ("field on half-wave silicon", half_wave.0, half_wave.1),
    ]
}

pub fn group() -> &'static Group {
    static GROUP: OnceLock<Group> = OnceLock::new();
    GROUP.get_or_init(|| {
        let mut rows = Vec::new();
        for (name, text, system) in cases() {
            let set = receiver(&text);
            let got = set.run(LINE, &Dropper::bare(LEAD), None).unwrap();
            let expected = solve(system);
            let mut add = |what: &str, unit, expected, got, share| {
                let check = format!("{name}: {what}");
                let source = "Dormand and Prince 5(4), 1e-9";
                rows.push(Row::new(check, source, unit, expected, got, Allowed::Share(share)));
            };
            let second = got.at.second.as_ref().unwrap();
            let plug = Probe::Volts(got.at.outlet, got.at.neutral);
            let line = Probe::Amps(got.at.line);
            let output = Probe::Volts(second.b_plus, REFERENCE);
            add("B+", "V", expected.b_plus, got.b_plus(), 0.002);
            add("B2+", "V", expected.second, got.dc(second.b_plus, REFERENCE), 0.002);
            add("ripple of B2+, RMS", "V", expected.ripple, got.state.ripple_rms(output), 0.01);
            add("line current", "A", expected.amps, got.state.rms(line), 0.002);
            add("line power", "W", expected.watts, -got.state.mean_product(plug, line), 0.002);
            for (place, volts) in expected.heaters.iter().enumerate() {
                let what = format!("heaters {}", set.model().windings[place].name);
                add(&what, "V", *volts, got.heater_volts(place), 0.002);
            }
        }
        Group {
            title: "A second supply beside B+",
            about: "A field fed by one diode of the main rectifier, by a rectifier on a winding of its own, and by half-wave \
                    silicon, from the text of each profile, on 123 V behind 12 Ω; beside it the differential equations \
                    of both supplies on one source, written by hand and integrated by a general-purpose solver.",
            rows,
        }
    })
}

#[test]
fn second_supplies_agree_with_equations_written_by_hand() {
    group().assert();
}

fn shipped_set(name: &str) -> Receiver {
    let path = shipped().into_iter().find(|path| path.contains(name)).unwrap();
    receiver(&std::fs::read_to_string(path).unwrap())
}

/// A coil across a supply takes V/R and burns V²/R (Ohm's law); what its diode gives on the mean is that current.
#[test]
fn the_fields_heat_is_its_volts_squared_over_its_ohms() {
    for (name, ohms) in [("string-two-diodes", 3450.0), ("speaker-supply", 6900.0)] {
        let set = shipped_set(name);
        let design = read_point(&set, set.at_design());
        let second = design.second.as_ref().unwrap();
        let coil = design.coils.last().unwrap();
        assert_eq!(coil.name, "field coil");
        let near =
            |got: f64, by_hand: f64| assert!((got / by_hand - 1.0).abs() < 0.01, "{got} {by_hand}");
        // hot on the design line, 1.15 times cold
        near(coil.drop_v, second.b_plus_v);
        near(coil.current_a, second.b_plus_v / ohms);
        near(coil.power_w, second.b_plus_v.powi(2) / ohms);
        near(second.rectifier.dc_a, second.b_plus_v / ohms);
    }
}

/// A half-wave supply gives the crest less the diode's drop, and falls between the crests by `I/(2 f C)` on the mean
/// (the usual estimate): with 36 mA and 8 µF on 115 V about 119 V, and it is no better than a tenth.
#[test]
fn the_shared_field_stands_where_an_estimate_puts_it() {
    let set = shipped_set("string-two-diodes");
    let second = read_point(&set, set.at_design()).second.unwrap();
    let crest = 115.0 * SQRT_2;
    let (amps, drop) = (0.0345, 15.0);
    let estimate = crest - drop - amps / (2.0 * HERTZ * 8e-6);
    assert!((second.b_plus_v / estimate - 1.0).abs() < 0.1, "{} {estimate}", second.b_plus_v);
}

/// The main circuit keeps one plate of the 25Z5, and each plate its own limit of 75 mA (RCA RC-13, 1937 †).
#[test]
fn each_diode_of_a_shared_tube_has_its_own_current_and_limit() {
    let set = shipped_set("string-two-diodes");
    assert_eq!(set.model().rectifier.parallel, 1.0);
    let design = read_point(&set, set.at_design());
    let dc: Vec<_> = design
        .limits
        .iter()
        .filter(|l| l.name.starts_with("25Z5") && l.name.ends_with("DC output"))
        .collect();
    assert_eq!(dc.len(), 2);
    assert_eq!(dc[0].value, design.rectifier.dc_a);
    assert_eq!(dc[1].value, design.second.as_ref().unwrap().rectifier.dc_a);
    assert!(dc.iter().all(|limit| limit.limit == 0.075));
    assert_ne!(dc[0].value, dc[1].value);
}

/// A shorted capacitor leaves its diode and the short on the line: `v = (i/P)^(2/3) + R i` over each positive half cycle,
/// summed here in 20,000 steps.
#[test]
fn a_shorted_second_capacitor_passes_what_its_diode_lets_through() {
    let set = shipped_set("string-two-diodes");
    assert!(Fault::of(set.model()).contains(&Fault::SecondCapacitorShorted));
    let sound = set.run(122.0, &Straight, None).unwrap();
    let got: Operation =
        set.run_fault(122.0, &Straight, Fault::SecondCapacitorShorted, &sound).unwrap();
    let diode = Diode::vacuum(22.0, 0.15);
    let steps = 20_000;
    let squares: f64 = (0..steps)
        .map(|k| {
            let volts = 122.0 * SQRT_2 * (PI * (f64::from(k) + 0.5) / f64::from(steps)).sin();
            diode.through(volts, SHORT_OHMS, 1.0).powi(2)
        })
        .sum();
    // half of the time it blocks
    let expected = (0.5 * squares / f64::from(steps)).sqrt();
    let plate = got.at.second.as_ref().unwrap().plates[0].id;
    let amps = got.state.rms(Probe::Amps(plate));
    assert!((amps / expected - 1.0).abs() < 0.005, "{amps} {expected}");
    // B+ does not know of it on a stiff line
    assert!((got.b_plus() / sound.b_plus() - 1.0).abs() < 0.005);
    let none = shipped_set("line-cord");
    assert!(!Fault::of(none.model()).contains(&Fault::SecondCapacitorShorted));
}

/// Every number of a second supply has a name under which it can be stated, and that name moves what it says.
#[test]
fn its_numbers_are_known_by_name() {
    let set = shipped_set("speaker-supply");
    let keys: Vec<String> =
        Parameter::all(set.model()).iter().map(|p| p.key(set.model())).collect();
    for key in [
        "second_supply.volts",
        "second_supply.resistance",
        "second_supply.drop",
        "second_supply.filter[0].capacitor",
        "coil2.resistance",
    ] {
        assert!(keys.iter().any(|k| k == key), "{key} in {keys:?}");
    }
    // a lent diode has the drop of the tube it is of
    let lent = shipped_set("string-two-diodes");
    let all = Parameter::all(lent.model());
    let of = |key: &str| all.iter().find(|p| p.key(lent.model()) == key).copied();
    assert!(of("second_supply.drop").is_none());
    let worn = lent.model().scaled(of("rectifier.drop").unwrap(), 1.5);
    let worn = Receiver::new(worn, None).unwrap();
    let volts = |set: &Receiver| read_point(set, set.at_design()).second.unwrap().b_plus_v;
    // half of some 15 V more
    let lost = volts(&lent) - volts(&worn);
    assert!((3.0..9.0).contains(&lost), "{lost}");
}

/// How a value is known is found in whichever filter it stands, also behind a part that a rule put there.
#[test]
fn how_a_value_is_known_goes_to_its_own_filter() {
    let text = std::fs::read_to_string("profiles/speaker-supply-1934.yaml").unwrap();
    let text = text
        .replace(
            "    - field_coil: { lead: across, cold: 6 kΩ",
            "    - field_coil: { lead: across, cold: { value: 6 kΩ, known: measured, within: 1 % }",
        )
        // two capacitors in a row: a choke is filled in between them
        .replace("  - choke: { lead: positive, cold: 220 Ω, inductance: 12 H }\n", "");
    let document = Document::parse("set.yaml", text.as_bytes()).unwrap();
    let (profile, _) = read(&document).unwrap_or_else(|p| panic!("{}", p.render()));
    let (model, _) = mainsfit::receiver::complete(&profile).unwrap();
    let known: Vec<String> = model.known.iter().map(|(p, _)| p.key(&model)).collect();
    assert_eq!(known, ["coil2.resistance"]);
    assert_eq!(model.coils[1].cold, 6000.0);
}

/// What cannot be a second supply is refused with its place and what to write.
#[test]
fn what_cannot_be_is_refused_in_its_place() {
    let string = std::fs::read_to_string("profiles/string-two-diodes-1935.yaml").unwrap();
    let isolated = std::fs::read_to_string("profiles/speaker-supply-1934.yaml").unwrap();
    let own = "  rectifier: { type: 84, circuit: full-wave, fed_by: field }";
    let winding =
        "  winding: { per_half: 210 V, measured: open-circuit, resistance_per_half: 160 Ω }\n";
    for (text, from, to, told) in [
        (&string, "type: 25Z5", "type: CY1", "CY1 gives 1 diodes: without one of them"),
        (
            &string,
            "circuit: half-wave }",
            "circuit: half-wave-doubler, capacitors: [16 µF, 16 µF] }",
            "has no diode to share",
        ),
        (&string, "type: 25Z5, circuit: half-wave", "type: silicon", "and none to share"),
        (
            &string,
            "rectifier: shared",
            "rectifier: halved",
            "is not how a second supply is rectified",
        ),
        (&string, "rectifier: shared", "rectifier: { shared: false }", "said only where it is so"),
        (
            &string,
            "rectifier: shared",
            "rectifier: { type: silicon, circuit: bridge }",
            "would join it to chassis",
        ),
        (
            &string,
            "rectifier: shared",
            "rectifier: shared\n  winding: { volts: 100 V }",
            "stands on the main winding or on the line",
        ),
        (
            &string,
            "lead: across, cold: 3 kΩ",
            "lead: negative, cold: 3 kΩ",
            "negative end is chassis",
        ),
        (
            &string,
            "plate: B+, through: 250 kΩ",
            "plate: B3+, through: 250 kΩ",
            "known: B+, reservoir, chassis, B2+, reservoir2",
        ),
        (&isolated, own, "  rectifier: shared", "stands on the main winding or on the line"),
        (&isolated, winding, "", "the second supply has no winding"),
        (
            &isolated,
            "circuit: full-wave",
            "circuit: half-wave-doubler",
            "does not stand on this high-voltage winding",
        ),
        (&isolated, "fed_by: field }", "fed_by: field, capacitors: [8 µF, 8 µF] }", "unknown key"),
    ] {
        assert!(text.contains(from), "{from}");
        let text = text.replacen(from, to, 1);
        let document = Document::parse("set.yaml", text.as_bytes()).unwrap();
        let problems = read(&document).map(|_| ()).unwrap_err().render();
        assert!(problems.contains(told), "{to}: {problems}");
        assert!(problems.contains("set.yaml:"), "{problems}");
    }
    // an 80 has one cathode
    let one = isolated.replacen(own, "  rectifier: shared", 1).replacen(winding, "", 1);
    let document = Document::parse("set.yaml", one.as_bytes()).unwrap();
    let problems = read(&document).map(|_| ()).unwrap_err().render();
    assert!(problems.contains("share one cathode"), "{problems}");
    // two filaments that are cathodes, on one winding
    let joined = isolated.replacen(own, "  rectifier: { type: 5Y3GT, fed_by: rectifier }", 1);
    let document = Document::parse("set.yaml", joined.as_bytes()).unwrap();
    let (profile, _) = read(&document).unwrap_or_else(|p| panic!("{}", p.render()));
    let refused = mainsfit::receiver::complete(&profile).map(|_| ()).unwrap_err();
    assert_eq!(refused.key(), Some("second_supply.rectifier.fed_by"));
    assert!(refused.to_string().contains("would join B+ and B2+"), "{refused}");
}
