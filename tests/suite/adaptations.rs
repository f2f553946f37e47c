//! What each adaptation says of itself, and what its parts say of where they are measured.

use super::shelf::{duty, here, shelf};
use mainsfit::adaptation::{Failure, Offer, Shelf, StringDropper, offers};
use mainsfit::circuit::{Network, Probe, REFERENCE, Settings, Wave, steady_state};

/// What an adaptation says of itself beside its figures: the table is the whole list.
#[test]
fn what_each_adaptation_is() {
    let string = |present: f64| StringDropper { present, amps: 0.15, surge: None, own: Vec::new() };
    let far = shelf(230.0, 115.0, Vec::new());
    let universal =
        |present| Shelf { string: Some(string(present)), ..shelf(123.0, 117.0, Vec::new()) };
    let mut ids = Vec::new();
    for (shelf, present, is_far) in [
        (shelf(123.0, 110.0, Vec::new()), 0.0, false),
        (universal(0.0), 0.0, false),
        (universal(100.0), 100.0, false),
        (far, 0.0, true),
        (shelf(108.0, 117.0, Vec::new()), 0.0, false),
    ] {
        for (method, offer) in offers(&shelf) {
            let facts = method.facts();
            let id = facts.id;
            ids.push(id);
            assert_eq!(facts.replaces_cord, id == "heater-dropper", "{id}");
            assert_eq!(facts.on_bench, matches!(id, "variac" | "lamp"), "{id}");
            assert_eq!(facts.rough, id == "thermistor", "{id}");
            assert_eq!(facts.bucks, id.starts_with("bucking"), "{id}");
            assert_eq!(facts.boosts, id.starts_with("boost"), "{id}");
            let winding = facts.bucks || facts.boosts;
            let resistor = matches!(id, "series-resistor" | "heater-dropper");
            assert_eq!(facts.makes_heat, resistor, "{id}");
            let ruled_out = is_far && !matches!(id, "as-is" | "tap" | "step-down" | "variac");
            let Offer::Here(adaptation) = offer else {
                assert!(ruled_out, "{id}");
                continue;
            };
            assert!(!ruled_out, "{id}");
            // raises as well as lowers: a dropper that is there may be made smaller
            let both = id == "heater-dropper" && present > 0.0;
            assert_eq!(adaptation.goes_both_ways(), both, "{id}");
            let guess = (id == "heater-dropper").then_some(present + 15.0 / 0.15);
            assert_eq!(adaptation.guess(15.0), guess, "{id}");
            let range = adaptation.unknown().map(|u| (u.unit, u.low < u.high));
            let solved = match id {
                "variac" | "bucking-outlet" | "bucking-set" | "boost-outlet" | "boost-set" => {
                    Some(("V", true))
                }
                "series-resistor" | "heater-dropper" => Some(("Ω", true)),
                _ => None,
            };
            assert_eq!(range, solved, "{id}");
            let warned = matches!(id, "variac" | "lamp" | "thermistor" | "step-down");
            assert_eq!(adaptation.caveat().is_some(), warned, "{id}");
            let stock = adaptation.stock(12.0, &duty(shelf.outlet));
            assert!(!stock.is_empty(), "{id}");
            for part in stock {
                assert_eq!(part.is_nothing(), id == "as-is", "{id}");
                assert_eq!(part.stands_in_lead(), id != "heater-dropper", "{id}");
                let turned = part.failed(Failure::Reversed).is_some();
                assert_eq!(turned, winding, "{id}");
                // only a resistor is rated in watts, gets hot by them, and bears more for a moment
                let rated = part.resistors();
                assert_eq!(!rated.is_empty(), resistor, "{id}");
                assert!(rated.iter().all(|r| r.surface_c(1.0, 25.0).is_some()), "{id}");
                assert!(rated.iter().all(|r| r.overload_5s().is_some()), "{id}");
                let ranged = winding || matches!(id, "thermistor" | "step-down");
                assert_eq!(part.current_range().is_some(), ranged, "{id}");
                let off = !matches!(id, "as-is" | "tap" | "variac" | "lamp");
                assert_eq!(!part.tolerances().is_empty(), off, "{id}");
                let opens = resistor || winding || id == "step-down";
                assert_eq!(part.failed(Failure::Open).is_some(), opens, "{id}");
                let warms = matches!(id, "lamp" | "thermistor");
                assert_eq!(part.hot_ohms(0.6, 20.0).is_some(), warms, "{id}");
                assert_eq!(part.cold().is_some(), warms, "{id}");
                if let Some(cold) = part.cold() {
                    let hot = part.hot_ohms(0.6, 20.0).unwrap();
                    // tungsten is smaller cold, a thermistor larger
                    assert_eq!(cold.value() < hot, id == "lamp", "{id}");
                    assert_eq!(part.with_ohms(7.0).unwrap().value(), 7.0);
                }
            }
        }
    }
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), 12, "{ids:?}");
}

/// The heat of a part as it tells where to measure: volts of the lead and amperes of the load, by Ohm's law behind an ideal
/// outlet.
#[test]
fn parts_say_where_they_are_measured() {
    let mut seen = 0;
    for (outlet, design_line) in [(123.0, 110.0), (230.0, 115.0)] {
        for (_, adaptation) in here(&shelf(outlet, design_line, Vec::new())) {
            let value = adaptation.unknown().map_or(0.0, |_| 12.0);
            for part in adaptation.stock(value, &duty(outlet)) {
                let mut net = Network::new(60.0, "chassis").unwrap();
                let plug = net.node("plug");
                let wave = Wave::Sine { peak: outlet * 2f64.sqrt(), phase: 0.0 };
                let line = net.voltage("line", plug, REFERENCE, wave).unwrap();
                let inserted = part.insert(&mut net, plug, REFERENCE).unwrap();
                let set = inserted.set;
                let load = net.resistor("set", set, REFERENCE, 180.0).unwrap();
                let s = steady_state(&net, &Settings::fixed(128), None).unwrap();
                let behind = s.rms(Probe::Volts(set, REFERENCE));
                let (drawn, taken) = (s.rms(Probe::Amps(load)), s.rms(Probe::Amps(line)));
                let watts: f64 =
                    s.mean_product(Probe::Volts(plug, REFERENCE), Probe::Amps(line)).abs()
                        - behind * behind / 180.0;
                for measured in &inserted.parts {
                    seen += 1;
                    let (volts, amps) = (s.rms(measured.volts), s.rms(measured.amps));
                    match measured.name.as_str() {
                        "series resistor" => {
                            assert!((volts - (outlet - behind)).abs() < 1e-6);
                            assert!((amps / drawn - 1.0).abs() < 1e-9);
                            assert!((volts * amps / watts - 1.0).abs() < 1e-6);
                        }
                        "bucking secondary" => {
                            // in phase within what the core takes
                            assert!((volts - (outlet - behind)).abs() < 0.02 * volts);
                            // on the outlet the set's current alone, on the set the core's and the primary's as well
                            assert!((amps / drawn - 1.0).abs() < 0.2, "{amps} {drawn}");
                        }
                        "bucking primary" => {
                            let at = [outlet, behind];
                            assert!(at.iter().any(|v| (volts / v - 1.0).abs() < 1e-9));
                            assert!(amps < 0.3 * drawn);
                        }
                        "transformer secondary" => {
                            assert!((volts / behind - 1.0).abs() < 1e-9);
                            assert!((amps / drawn - 1.0).abs() < 1e-9);
                        }
                        "transformer primary" => {
                            assert!((volts / outlet - 1.0).abs() < 1e-9);
                            assert!((amps / taken - 1.0).abs() < 1e-9);
                        }
                        other => panic!("{other}"),
                    }
                    if let Some(ohms) = measured.copper_ohms {
                        // what is lost is copper of both windings and a tenth of the VA in the core, at most
                        assert!(amps * amps * ohms < watts, "{}", part.bought());
                    }
                }
                if inserted.parts.len() == 2 {
                    let copper: f64 = (inserted.parts.iter())
                        .map(|m| s.rms(m.amps).powi(2) * m.copper_ohms.unwrap())
                        .sum();
                    let core = watts - copper;
                    assert!(core > 0.0, "{}: {core} W", part.bought());
                }
            }
        }
    }
    assert!(seen > 10, "{seen}");
}
