//! What must hold among the program's own figures of parts, whatever their size: directions and laws.
//!
//! Directions follow from Ohm's law and proportion; the lamp's `I ~ V^0.54` is that of a pure radiator of tungsten
//! (power ~ T^4, resistance ~ T^1.2), the thermistor's `R = k·I^n` the makers' law.

use crate::harness::shipped;
use mainsfit::adaptation::{
    Across, BuckingPart, Dropper, Failure, HotThermistor, LitLamp, Method, Part,
};
use mainsfit::catalogue::stock::{resistor_sizes, thermistors};
use mainsfit::catalogue::{Catalogue, LampKind};
use mainsfit::profile::{Document, read};
use mainsfit::quantity::Quantity;
use mainsfit::receiver::{MainsLead, Receiver, Straight, complete};
use mainsfit::study::{Choice, FaultCase, Plan, Request, plan};
use std::sync::OnceLock;

fn plans() -> &'static [Plan] {
    static PLANS: OnceLock<Vec<Plan>> = OnceLock::new();
    PLANS.get_or_init(|| {
        let profiles = shipped().into_iter().map(|path| {
            let document = Document::parse(&path, &std::fs::read(&path).unwrap()).unwrap();
            read(&document).map_err(|p| p.render()).unwrap().0
        });
        profiles.map(|p| plan(&p, &Request::default(), Vec::new()).unwrap()).collect()
    })
}

fn console() -> Receiver {
    let text = include_str!("../../profiles/console-1936.yaml");
    let document = Document::parse("console-1936.yaml", text.as_bytes()).unwrap();
    let (profile, _) = read(&document).map_err(|p| p.render()).unwrap();
    Receiver::new(complete(&profile).unwrap().0, None).unwrap()
}

fn bucking(across: Across, secondary: f64) -> BuckingPart {
    BuckingPart {
        across,
        primary: 115.0,
        secondary,
        amps: 2.0,
        stock: true,
        boosts: false,
        own: false,
        reversed: false,
        regulation_factor: 1.0,
        open: false,
        primary_open: false,
    }
}

fn heaters(receiver: &Receiver, part: &dyn MainsLead) -> f64 {
    receiver.run(123.0, part, None).unwrap().heater_volts(0)
}

#[test]
fn bucking_lowers_and_its_reverse_raises_the_heaters() {
    let receiver = console();
    let straight = heaters(&receiver, &Straight);
    for across in [Across::Outlet, Across::Set] {
        let mut last = straight;
        for secondary in [5.0, 6.3, 10.0, 12.6, 16.0] {
            let part = bucking(across, secondary);
            let lowered = heaters(&receiver, &part);
            assert!(lowered < last, "{across:?} {secondary} V: {lowered} V");
            last = lowered;
            let (_, reversed) = part.failed(Failure::Reversed).unwrap();
            let raised = heaters(&receiver, &*reversed);
            assert!(raised > straight, "{across:?} {secondary} V reversed: {raised} V");
            // the open secondary is a dead set
            let (_, open) = part.failed(Failure::Open).unwrap();
            assert!(heaters(&receiver, &*open) < 0.01 * straight);
        }
    }
}

#[test]
fn across_the_set_takes_less_off_and_adds_more_when_reversed() {
    // proportion: 1/(1 + n) > 1 − n, and 1/(1 − n) > 1 + n
    let receiver = console();
    for secondary in [6.3, 12.6] {
        let [outlet, set] = [Across::Outlet, Across::Set].map(|a| bucking(a, secondary));
        assert!(heaters(&receiver, &set) > heaters(&receiver, &outlet));
        let [outlet, set] =
            [outlet, set].map(|p| heaters(&receiver, &*p.failed(Failure::Reversed).unwrap().1));
        assert!(set > outlet, "{secondary} V");
    }
}

#[test]
fn more_ohms_take_more_volts_off() {
    let receiver = console();
    let mut last = heaters(&receiver, &Straight);
    for ohms in [1.0, 5.0, 15.0, 27.0, 47.0] {
        let volts = heaters(&receiver, &Dropper::bare(ohms));
        assert!(volts < last, "{ohms} Ω: {volts} V");
        last = volts;
    }
}

/// Within a family a larger part is cooler at the same watts and bears more in any air.
#[test]
fn a_larger_part_is_cooler_and_a_colder_place_leaves_more() {
    for small in resistor_sizes() {
        let larger = resistor_sizes()
            .iter()
            .filter(|l| l.family == small.family && l.rating_w > small.rating_w);
        for large in larger {
            for watts in [2.0, 5.0, 8.0] {
                assert!(large.surface_c(watts, 40.0) < small.surface_c(watts, 40.0));
            }
        }
        let mut last = f64::INFINITY;
        for air in [0.0, 20.0, 25.0, 40.0, 50.0, 60.0, 90.0, 150.0, 250.0, 349.0, 400.0] {
            let left = small.derated_w(air);
            assert!(left <= last && left <= small.rating_w && left >= 0.0, "{small:?} in {air} °C");
            // below the rated temperature nothing is gained
            if air > small.rated_at_c && left > 0.0 {
                assert!(left < last, "{small:?} in {air} °C");
            }
            last = left;
        }
        assert!(small.surface_c(3.0, 60.0) > small.surface_c(3.0, 40.0));
        assert!(small.surface_c(4.0, 40.0) > small.surface_c(3.0, 40.0));
    }
}

/// At what is left of its rating a part stays below the temperature at which nothing is left of it. Ceramic-cased parts
/// and housed ones without their plate are shown hotter than that (300 K at full load whatever the part): on the safe
/// side, and so not asserted here.
#[test]
fn a_derated_part_stays_below_its_own_ceiling() {
    let mut looked_at = 0;
    for size in resistor_sizes() {
        if !matches!(size.family.as_str(), "tubular vitreous" | "aluminium-housed on its plate") {
            continue;
        }
        for air in [25.0, 40.0, 60.0, 80.0] {
            let hot = size.surface_c(size.derated_w(air), air);
            assert!(hot <= size.zero_at_c, "{size:?} in {air} °C air: {hot} °C");
            looked_at += 1;
        }
    }
    assert!(looked_at >= 40, "{looked_at}");
}

fn with_parts() -> impl Iterator<Item = &'static Choice> {
    plans().iter().flat_map(|p| &p.choices).filter(|c| c.day.is_some())
}

#[test]
fn the_band_holds_the_day() {
    let mut looked_at = 0;
    for choice in with_parts() {
        let (band, day) = (choice.band.unwrap(), choice.day.as_ref().unwrap());
        for reading in [&day.low, &day.usual, &day.high] {
            let volts = reading.tube_heater().unwrap().volts_v;
            assert!((band.heater_low_v..=band.heater_high_v).contains(&volts), "{}", choice.method);
            assert!(
                (band.b_plus_low_v..=band.b_plus_high_v).contains(&reading.b_plus_v),
                "{}",
                choice.method
            );
        }
        // a toleranced part widens it beyond the day alone
        if matches!(choice.method.facts().id, "series-resistor" | "bucking-set" | "thermistor") {
            assert!(band.heater_uncertain_v > 0.0, "{}", choice.method);
        }
        looked_at += 1;
    }
    assert!(looked_at > 12, "{looked_at}");
}

#[test]
fn volts_rise_through_the_day_and_heat_with_them() {
    for choice in with_parts() {
        let day = choice.day.as_ref().unwrap();
        for pair in [[&day.low, &day.usual], [&day.usual, &day.high]] {
            assert!(pair[0].outlet_v < pair[1].outlet_v);
            assert!(pair[0].b_plus_v < pair[1].b_plus_v, "{}", choice.method);
            assert!(pair[0].heater_excess() < pair[1].heater_excess(), "{}", choice.method);
            assert!(pair[0].line_w < pair[1].line_w, "{}", choice.method);
        }
    }
}

/// `I = I0 (V/V0)^0.54` at the point every lamp settled at, low, usual and high.
#[test]
fn a_settled_lamp_obeys_its_law() {
    let mut looked_at = 0;
    for choice in with_parts().filter(|c| c.method == Method::Lamp) {
        let part = choice.part.as_ref().unwrap();
        let name = part.ware.trim_start_matches("lamp ");
        let lamps = Catalogue::built_in().lamps().iter();
        let lamp = lamps.filter(|l| l.kind == LampKind::ALamp).find(|l| l.name == name).unwrap();
        let day = choice.day.as_ref().unwrap();
        for reading in [&day.low, &day.usual, &day.high] {
            let part = &reading.lead_parts[0];
            let wanted = lamp.amps.si() * (part.volts_v / lamp.volts.si()).powf(0.54);
            assert!((part.current_a / wanted - 1.0).abs() < 1e-3, "{part:?} for {wanted} A");
            looked_at += 1;
        }
    }
    assert!(looked_at >= 3);
}

/// `R = k·I^n` at the point every thermistor settled at.
#[test]
fn a_settled_thermistor_obeys_its_law() {
    let mut looked_at = 0;
    for choice in with_parts().filter(|c| c.method == Method::Thermistor) {
        let named = |cold: f64| format!("inrush thermistor {cold} Ω cold");
        let part = &choice.part.as_ref().unwrap().ware;
        let kind = thermistors().iter().find(|t| part.starts_with(&named(t.cold_ohm))).unwrap();
        let day = choice.day.as_ref().unwrap();
        for reading in [&day.low, &day.usual, &day.high] {
            let part = &reading.lead_parts[0];
            let ohms = part.volts_v / part.current_a;
            let wanted = kind.k * part.current_a.powf(kind.n);
            assert!((ohms / wanted - 1.0).abs() < 1e-3, "{ohms} Ω for {wanted} Ω");
            looked_at += 1;
        }
    }
    assert!(looked_at >= 3);
}

#[test]
fn cold_lamps_and_thermistors_stand_on_their_own_sides_of_hot() {
    let lamp = LitLamp { name: "100 W 120 V".to_owned(), volts: 120.0, amps: 0.833, ohms: 144.0 };
    assert!(lamp.cold().unwrap().value() < lamp.hot_ohms(0.0, 20.0).unwrap());
    for part in thermistors() {
        let hot = HotThermistor { part: part.clone(), ohms: part.hot_ohms(0.5 * part.max_a) };
        assert!(hot.cold().unwrap().value() > hot.value());
        assert!((hot.cold().unwrap().value() - part.cold_ohm).abs() < 1e-9);
    }
}

/// The partial fault is I²R at the standard's holding current, and the resistor is rated for it.
#[test]
fn the_partial_fault_is_the_holding_current_through_the_part() {
    let mut looked_at = 0;
    for choice in with_parts().filter(|c| c.method == Method::SeriesResistor) {
        let fuse = choice.fuse.as_ref().unwrap();
        let over = if fuse.standard.starts_with("UL") { 1.35 } else { 1.5 };
        let amps = over * fuse.rating_a.unwrap();
        let watts = amps * amps * choice.part_value.unwrap();
        let fault = choice.faults.iter().find(|f| f.fault == FaultCase::Partial).unwrap();
        assert!((fault.line_a.unwrap() / amps - 1.0).abs() < 1e-9);
        assert!((fault.part_w.unwrap() / watts - 1.0).abs() < 1e-9);
        let rating = choice.rating.as_ref().unwrap();
        let coolest = rating.places.iter().map(|p| p.derated_w).fold(0.0, f64::max);
        assert_eq!(fault.burns, watts > fault.part_allowed_w.unwrap());
        assert!(fault.part_allowed_w.unwrap() <= coolest);
        looked_at += 1;
    }
    assert!(looked_at >= 2);
}
