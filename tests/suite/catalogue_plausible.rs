//! The figures of every row against laws that hold for any tube or lamp.

use mainsfit::adaptation::{Part, SeriesLamp};
use mainsfit::catalogue::{Catalogue, LampKind, OperatingPoint, TubeClass, TubeType, Wave};
use mainsfit::receiver::LAMP_EXPONENT;
use std::collections::{HashMap, HashSet};
use std::f64::consts::{PI, SQRT_2};
use uom::si::{
    electric_current::ampere, electric_potential::volt, electrical_conductance::siemens,
    electrical_resistance::ohm, power::watt,
};

fn points() -> impl Iterator<Item = (&'static TubeType, &'static OperatingPoint)> {
    let tubes = Catalogue::built_in().tubes();
    tubes.iter().flat_map(|t| t.points.iter().map(move |p| (t, p)))
}

fn v(x: Option<uom::si::f64::ElectricPotential>) -> Option<f64> {
    x.map(|x| x.get::<volt>())
}

fn a(x: Option<uom::si::f64::ElectricCurrent>) -> Option<f64> {
    x.map(|x| x.get::<ampere>())
}

fn gm(p: &OperatingPoint) -> Option<f64> {
    p.transconductance.map(|g| g.get::<siemens>())
}

#[test]
fn names_are_unique() {
    let c = Catalogue::built_in();
    let tubes: HashSet<_> = c.tubes().iter().map(|t| &t.name).collect();
    assert_eq!(tubes.len(), c.tubes().len());
    let rectifiers: HashSet<_> = c.rectifiers().iter().map(|t| &t.name).collect();
    assert_eq!(rectifiers.len(), c.rectifiers().len());
    let lamps: HashSet<_> = c.lamps().iter().map(|t| &t.name).collect();
    assert_eq!(lamps.len(), c.lamps().len());
}

/// From the smallest battery heaters to the largest receiving types in use.
#[test]
fn heater_power_is_that_of_receiving_tubes() {
    let c = Catalogue::built_in();
    for t in c.tubes() {
        let watts = (t.heater_volts * t.heater_amps).get::<watt>();
        assert!((0.05..=30.0).contains(&watts), "{}: {watts} W", t.name);
    }
    for r in c.rectifiers().iter().filter(|r| !r.kind.is_dry()) {
        let watts = (r.filament_volts * r.filament_amps).get::<watt>();
        assert!((0.05..=30.0).contains(&watts), "{}: {watts} W", r.name);
    }
}

#[test]
fn currents_are_those_of_receiving_tubes() {
    for (t, p) in points() {
        for current in [p.plate_current, p.screen_current, p.extra_current] {
            if let Some(i) = a(current) {
                assert!(i > 0.0 && i < 0.4, "{}: {i} A", t.name);
            }
        }
        // of these the volts are published and no current
        let volts_alone = ["EM11", "UM11", "X41"].contains(&t.name.as_str());
        assert_eq!(p.plate.is_some(), p.plate_current.is_some() || volts_alone, "{}", t.name);
        assert_eq!(p.screen.is_some(), p.screen_current.is_some() || t.name == "X41", "{}", t.name);
    }
}

/// Types without a published plate current: signal diodes, which have none to
/// publish, and the four of which no operating point was found.
#[test]
fn only_the_listed_types_have_no_operating_point() {
    let unknown: Vec<&str> = points()
        .filter(|(t, p)| t.class.draws_from_b_plus() && p.plate_current.is_none())
        .map(|(t, _)| t.name.as_str())
        .collect();
    assert_eq!(unknown, ["UM80", "EM11", "UM11", "X41"]);
    let diodes: Vec<&str> = points()
        .filter(|(t, _)| t.class == TubeClass::DuoDiode)
        .map(|(t, p)| {
            assert_eq!(p.plate_current, None);
            t.name.as_str()
        })
        .collect();
    assert!(["6H6", "AB2"].iter().all(|name| diodes.contains(name)), "{diodes:?}");
}

/// A maker does not publish a class A point outside the maker's own ratings.
#[test]
fn no_published_point_exceeds_the_ratings_of_its_type() {
    for (t, p) in points() {
        if let (Some(plate), Some(max)) = (v(p.plate), v(t.max_plate_volts)) {
            assert!(plate <= 1.02 * max, "{}: {plate} V", t.name);
        }
        if let (Some(screen), Some(max)) = (v(p.screen), v(t.max_screen_volts)) {
            assert!(screen <= 1.02 * max, "{}: screen {screen} V", t.name);
        }
        if let (Some(e), Some(i), Some(max)) = (p.plate, p.plate_current, t.max_plate_watts) {
            let share = ((e * i) / max).value;
            assert!(share <= 1.03, "{}: plate at {share} of rating", t.name);
        }
        if let (Some(e), Some(i), Some(max)) = (p.screen, p.screen_current, t.max_screen_watts) {
            let share = ((e * i) / max).value;
            assert!(share <= 1.03, "{}: screen at {share} of rating", t.name);
        }
    }
}

/// mu = gm rp: the three small-signal constants of a vacuum tube are bound by
/// this identity (any textbook; it follows from the total differential of the
/// plate current). The 6F7 pentode part is the known exception in print: 900
/// against 1100 umho x 850 kohm = 935, which is 3.7 % off.
#[test]
fn mu_is_transconductance_times_plate_resistance() {
    let mut rows = 0;
    let mut beyond_3_percent = Vec::new();
    for (t, p) in points() {
        let rp = p.plate_resistance.map(|r| r.get::<ohm>());
        if let (Some(mu), Some(gm), Some(rp)) = (p.mu, gm(p), rp) {
            rows += 1;
            let off = (mu / (gm * rp) - 1.0).abs();
            assert!(off <= 0.04, "{}: {off}", t.name);
            if off > 0.03 {
                beyond_3_percent.push(t.name.as_str());
            }
        }
    }
    assert!(rows >= 115, "{rows}");
    assert_eq!(beyond_3_percent, ["6F7"]);
}

/// From Ik = K (Vg1 + Vg2/mu12)^1.5 (three-halves law, Child and Langmuir):
/// dIk/dVg1 = 1.5 Ik / (Vg1 + Vg2/mu12), solved for mu12.
#[test]
fn derived_factor_follows_from_the_row() {
    let mut rows = 0;
    for (t, p) in points() {
        let known = (v(p.screen), v(p.grid), a(p.plate_current), a(p.screen_current), gm(p));
        let (Some(vg2), Some(vg1), Some(ip), Some(is), Some(gm)) = known else {
            assert_eq!(p.derived_mu12, None, "{}", t.name);
            continue;
        };
        rows += 1;
        let ik = ip + is;
        let gm_k = gm * ik / ip;
        let mu12 = vg2 / (1.5 * ik / gm_k - vg1);
        let column = p.derived_mu12.unwrap();
        assert!((mu12 / column - 1.0).abs() < 0.01, "{}: {mu12}, column {column}", t.name);
    }
    assert!(rows >= 142, "{rows}");
}

/// The same law for a triode with an offset e: 1.5 Ip/gm = Vg1 + Vp/mu + e. The
/// column has two decimals, so half a unit of its last place is allowed.
#[test]
fn derived_offset_follows_from_the_row() {
    let mut rows = 0;
    for (t, p) in points() {
        let known = (v(p.plate), v(p.grid), a(p.plate_current), gm(p), p.mu);
        let (Some(vp), Some(vg1), Some(ip), Some(gm), Some(mu), None) =
            (known.0, known.1, known.2, known.3, known.4, p.screen)
        else {
            assert_eq!(p.derived_offset, None, "{}", t.name);
            continue;
        };
        rows += 1;
        let offset = 1.5 * ip / gm - (vg1 + vp / mu);
        let column = v(p.derived_offset).unwrap();
        assert!((offset - column).abs() <= 0.0051, "{}: {offset}, column {column}", t.name);
    }
    assert!(rows >= 69, "{rows}");
}

/// With a filter input at the crest of the AC, or a choke and the other diode
/// conducting, a plate that is off sees 2 sqrt(2) V rms less the drop in the
/// path. A rating for V rms must cover that. Ratings are printed in steps of 10
/// V or more: half a step is allowed.
/// The exception is the GZ34, rated at 1500 V inverse and 550 V rms, which is 1539 V
/// by this rule (the same tube's American sheet has 1700 V).
#[test]
fn peak_inverse_rating_covers_the_ac_rating() {
    let mut beyond = Vec::new();
    for r in Catalogue::built_in().rectifiers() {
        let Some(inverse) = v(r.max_peak_inverse) else {
            continue;
        };
        let drop = r.drop.map_or(0.0, |d| d.volts.get::<volt>());
        let ac = [r.max_ac_volts_capacitor_input, r.max_ac_volts_choke_input];
        if ac.into_iter().filter_map(v).any(|rms| inverse + 5.0 < 2.0 * SQRT_2 * rms - drop) {
            beyond.push(r.name.as_str());
        }
    }
    assert_eq!(beyond, ["GZ34"]);
}

/// A plate carries current for half a cycle at most. Even a half sine over the
/// whole half cycle has a crest of pi times its mean, so the peak rating must be
/// above pi times the DC of one plate.
#[test]
fn peak_plate_rating_covers_the_direct_current_rating() {
    let mut rows = 0;
    for r in Catalogue::built_in().rectifiers() {
        let plates = if r.wave == Wave::Full { 2.0 } else { 1.0 };
        if let (Some(peak), Some(dc)) = (a(r.max_peak_plate_current), a(r.max_dc_current)) {
            rows += 1;
            assert!(peak > PI * dc / plates, "{}", r.name);
            if let Some(at) = r.drop.and_then(|d| a(d.at_current_per_plate)) {
                assert!(at <= peak, "{}: drop beyond the peak rating", r.name);
            }
        }
        if let (Some(drop), Some(ac)) = (r.drop, v(r.max_ac_volts_capacitor_input)) {
            assert!(drop.volts.get::<volt>() < 0.25 * ac, "{}", r.name);
        }
    }
    assert!(rows >= 42, "{rows}");
}

/// Watts = volts x amps and ohms = volts / amps. No lamp needs more than 1 %.
#[test]
fn lamp_watts_and_ohms_follow_from_volts_and_amps() {
    for l in Catalogue::built_in().lamps() {
        let watts = (l.volts * l.amps).get::<watt>();
        assert!((l.watts.get::<watt>() / watts - 1.0).abs() < 0.01, "{}", l.name);
        let ohms = (l.volts / l.amps).get::<ohm>();
        let hot = l.hot.unwrap().get::<ohm>();
        assert!((hot / ohms - 1.0).abs() < 0.01, "{}: {hot}", l.name);
        if let (Some(cold), Some(ratio)) = (l.cold, l.hot_to_cold_ratio) {
            let computed = hot / cold.get::<ohm>();
            assert!((computed / ratio - 1.0).abs() < 0.01, "{}", l.name);
        }
        assert_eq!(l.cold.is_some(), l.kind == LampKind::ALamp && l.volts.get::<volt>() < 200.0);
    }
}

/// Published laws of tungsten lamps, by what they are of.
fn lamp_laws(kind: &str) -> Vec<HashMap<String, String>> {
    let text = include_str!("../data/lamp_laws.csv");
    let rows = csv::Reader::from_reader(text.as_bytes()).into_deserialize().map(Result::unwrap);
    rows.filter(|row: &HashMap<String, String>| row["kind"] == kind).collect()
}

/// Power = volts x current, so its exponent is one more than that of the
/// current. The rounded general pair (0.55 and 1.6) misses that by 0.05; the
/// pairs for each filling meet it. The program's exponent is that of the current, to two digits.
#[test]
fn lamp_exponents_of_current_and_power_belong_together() {
    let laws = lamp_laws("exponent");
    assert_eq!(laws.len(), 13);
    let exponent = |of: &str| -> f64 {
        laws.iter().find(|row| row["quantity"] == of).unwrap()["exponent"].parse().unwrap()
    };
    let gap = |of: &str| exponent(&format!("power{of}")) - exponent(&format!("current{of}"));
    assert!((gap(", gas-filled") - 1.0).abs() < 1e-9);
    assert!((gap(", vacuum") - 1.0).abs() < 1e-9);
    assert!((gap("") - 1.05).abs() < 1e-9);
    assert!((LAMP_EXPONENT - exponent("current, gas-filled")).abs() < 0.005);
}

/// Resistivity of tungsten grows a little faster than in proportion to the
/// temperature: near T^1.2 (the handbook rule for filaments between 1500 K and
/// 3000 K). The slope between neighbours in the table must come out so. A lamp that is not lit has the share of its lit
/// resistance that the table gives as a rule.
#[test]
fn tungsten_resistance_rises_as_the_known_power_of_temperature() {
    let laws = lamp_laws("tungsten");
    let number = |row: &HashMap<String, String>, column: &str| row[column].parse::<f64>().ok();
    let ratio = |row| number(row, "hot_to_cold_ratio").unwrap();
    let table: Vec<(f64, f64)> =
        laws.iter().filter_map(|row| Some((number(row, "filament_k")?, ratio(row)))).collect();
    assert_eq!(table.len(), 11);
    for pair in table.windows(2) {
        let slope = (pair[1].1 / pair[0].1).ln() / (pair[1].0 / pair[0].0).ln();
        assert!((1.1..1.3).contains(&slope), "{pair:?}: {slope}");
    }
    let rule = laws.iter().find(|row| row["filament_k"].is_empty()).map(ratio).unwrap();
    for lamp in (SeriesLamp { outlet: 120.0 }).lamps() {
        let cold = lamp.cold().unwrap().value();
        assert!((lamp.volts / lamp.amps / cold / rule - 1.0).abs() < 1e-12, "{}", lamp.name);
    }
}

/// Figures of the makers' data sheets of these types, RCA (12AX7, 6V6GT) and Philips (EL84), compared with
/// typed-out copies: 12AX7 250 V, -2 V, 1.2 mA, 1600 umho, mu 100, 62.5 kohm; EL84 250 V, -7.3 V, 48 mA, screen 5.5 mA, 11.3 mA/V; 6V6GT 250 V, -12.5 V, 45 mA.
#[test]
fn well_known_points_are_those_of_the_sheets() {
    let c = Catalogue::built_in();
    let reference = |name: &str| c.tube(name).unwrap().item.reference().unwrap().clone();
    let near = |x: f64, y: f64| assert!((x - y).abs() < 1e-9 * y.abs(), "{x} for {y}");
    let p = reference("12AX7");
    near(v(p.plate).unwrap(), 250.0);
    near(v(p.grid).unwrap(), -2.0);
    near(a(p.plate_current).unwrap(), 0.0012);
    near(gm(&p).unwrap(), 0.0016);
    near(p.mu.unwrap(), 100.0);
    near(p.plate_resistance.unwrap().get::<ohm>(), 62_500.0);
    let p = reference("EL84");
    near(v(p.grid).unwrap(), -7.3);
    near(a(p.plate_current).unwrap(), 0.048);
    near(a(p.screen_current).unwrap(), 0.0055);
    near(gm(&p).unwrap(), 0.0113);
    let p = reference("6V6GT");
    near(v(p.grid).unwrap(), -12.5);
    near(a(p.plate_current).unwrap(), 0.045);
}
