//! Series resistors as they are bought: one part, or two of them joined.
//!
//! What a build must bear is worked out here from the duty: I²R at the top of the ±5 % that wirewound parts are made to
//! (makers' data sheets), twice over (MIL-PRF-26H, clause 6.5: derate by more than half for long life), and once over at
//! the current that the fuse may hold for an hour. Two equal parts share the heat equally whichever way they are joined
//! (Ohm's law).

use mainsfit::adaptation::{Adaptation, Dropper, Duty, Failure, Part, SeriesResistor};
use mainsfit::catalogue::stock::{ResistorSize, resistor_sizes, resistor_values};

fn duty(amps: f64, held_amps: Option<f64>) -> Duty {
    Duty { outlet: 123.0, amps, held_amps, watts: 60.0 }
}

/// `(parts, ohms of each, watts of each)` as a description says it.
fn read(text: &str) -> (f64, f64, f64) {
    let count = if text.starts_with("two in") { 2.0 } else { 1.0 };
    let figures = text.split_once("each ").map_or(text, |(_, rest)| rest);
    let mut cells = figures.split(", ");
    let number = |cell: Option<&str>| -> f64 {
        let cell = cell.unwrap();
        let (value, unit) = cell.split_once(' ').unwrap();
        let factor = if unit == "kΩ" { 1e3 } else { 1.0 };
        value.parse::<f64>().unwrap() * factor
    };
    (count, number(cells.next()), number(cells.next()))
}

fn sizes() -> impl Iterator<Item = &'static ResistorSize> {
    // a fusible part opens in a fault: it is for a plate lead, not for the line
    resistor_sizes().iter().filter(|s| s.unmounted_share.is_none() && !s.fusible)
}

#[test]
fn a_build_bears_its_duty_and_no_smaller_one_does() {
    let (mut single, mut series, mut parallel, mut none) = (0, 0, 0, 0);
    for exact in [4.0, 10.0, 17.0, 22.0, 40.0, 47.0, 75.0, 100.0, 150.0] {
        for amps in [0.2, 0.4, 0.6, 0.8, 1.0, 1.3, 1.6, 2.0, 3.0] {
            for held in [None, Some(1.1 * amps), Some(2.5 * amps)] {
                for part in SeriesResistor::default().stock(exact, &duty(amps, held)) {
                    let hot = 1.05 * part.value();
                    let wanted = f64::max(2.0 * amps * amps, held.map_or(0.0, |i| i * i)) * hot;
                    let bears = |count: f64| {
                        let covers = |s: &&ResistorSize| count * s.derated_w(40.0) >= wanted;
                        sizes().find(covers).map(|s| s.rating_w)
                    };
                    let stocked =
                        |ohms: f64| resistor_values().iter().any(|v| (v / ohms - 1.0).abs() < 1e-6);
                    let halves = stocked(part.value() / 2.0);
                    let doubles = stocked(part.value() * 2.0);
                    let resistor = part.resistors()[0];
                    let Some(rated) = resistor.rated_watts() else {
                        none += 1;
                        assert_eq!(bears(1.0), None, "{wanted} W");
                        assert!(bears(2.0).is_none() || !(halves || doubles), "{wanted} W");
                        continue;
                    };
                    let text = part.bought().to_string();
                    if text.contains(" and ") {
                        // judged in a test of its own
                        continue;
                    }
                    let (count, ohms, watts) = read(&text);
                    assert_eq!(rated, count * watts, "{text}");
                    assert_eq!(Some(watts), bears(count), "{text} for {wanted} W");
                    assert!(resistor.derated_watts(40.0).unwrap() >= wanted, "{text}");
                    assert!(resistor.derated_watts(60.0) < resistor.derated_watts(40.0));
                    assert!(stocked(ohms), "{text}");
                    let joined = if count == 1.0 {
                        single += 1;
                        ohms
                    } else {
                        assert_eq!(bears(1.0), None, "{text} where one part would do");
                        if text.starts_with("two in series") {
                            series += 1;
                            2.0 * ohms
                        } else {
                            assert!(!halves, "{text}");
                            parallel += 1;
                            ohms / 2.0
                        }
                    };
                    assert!((joined / part.value() - 1.0).abs() < 1e-6, "{text}");
                    // heat shared: two parts at twice the watts are as hot as one of them alone
                    let alone = SeriesResistor::default().stock(ohms, &duty(0.01, None));
                    assert!(alone.iter().any(|p| (p.value() / ohms - 1.0).abs() < 1e-6));
                    let surface = resistor.surface_c(count * 0.5 * watts, 25.0).unwrap();
                    let size = sizes().find(|s| s.rating_w == watts).unwrap();
                    assert!((surface - size.surface_c(0.5 * watts, 25.0)).abs() < 1e-9);
                }
            }
        }
    }
    assert!(single > 50 && series > 5 && parallel > 0 && none > 5);
}

/// A larger part has the same ohms and the next rating; the largest has none, nor has one of the owner's.
#[test]
fn a_larger_part_is_the_next_of_the_shelf() {
    for part in SeriesResistor::default().stock(22.0, &duty(0.3, None)) {
        let mut now = part;
        let mut steps = 0;
        while let Some(next) = now.larger(0) {
            assert_eq!(next.value(), now.value());
            let above = |s: &&ResistorSize| s.rating_w > now.resistors()[0].rated_watts().unwrap();
            assert_eq!(next.resistors()[0].rated_watts(), sizes().find(above).map(|s| s.rating_w));
            assert_eq!(
                next.resistors()[0].overload_5s(),
                sizes().find(above).map(|s| s.overload_5s)
            );
            now = next;
            steps += 1;
        }
        assert!(steps > 2);
        let largest = sizes().map(|s| s.rating_w).fold(0.0, f64::max);
        assert_eq!(now.resistors()[0].rated_watts(), Some(largest));
    }
    let size = sizes().next().unwrap().clone();
    let own =
        SeriesResistor { own: vec![(10.0, size.clone()), (33.0, size.clone()), (20.0, size)] };
    let near = own.stock(22.0, &duty(0.3, None));
    let values: Vec<f64> = near.iter().map(|p| p.value()).collect();
    assert_eq!(values, [20.0, 33.0]);
    assert!(near.iter().all(|p| p.larger(0).is_none()));
}

/// An open resistor is no resistor, and a bare value claims no rating.
#[test]
fn a_bare_value_claims_nothing() {
    let bare = Dropper::bare(22.0);
    assert_eq!(bare.bought().to_string(), "22 Ω");
    assert_eq!((bare.rated_watts(), bare.derated_watts(40.0)), (None, None));
    assert!(bare.surface_c(1.0, 25.0).is_none() && bare.larger(0).is_none());
    assert!(bare.failed(Failure::Open).unwrap().1.value() > 1e5);
    assert_eq!(bare.varied(0, 1.05).value(), 22.0 * 1.05);
    assert_eq!(bare.tolerances()[0].spread, 0.05);
}

/// Two stock values in series where no single one comes within 2 % of the set's volts and bears its duty: by Ohm's law the heat
/// is shared as the ohms are, so the larger is what a size is chosen for.
#[test]
fn two_stock_values_where_no_single_one_comes_near() {
    let (mut pairs, mut singles) = (0, 0);
    for exact in [3.7, 6.2, 11.4, 24.6, 38.0, 44.5, 71.0, 109.0, 133.0] {
        for amps in [0.2, 0.35, 0.5, 0.8, 1.2, 1.7] {
            let held = Some(2.0 * amps);
            let left = 123.0 - amps * exact;
            if left <= 0.0 {
                continue;
            }
            let list = SeriesResistor::default().stock(exact, &duty(amps, held));
            let text = |part: &dyn Part| part.bought().to_string();
            let (two, one): (Vec<_>, Vec<_>) =
                list.into_iter().partition(|p| text(&**p).contains(" and "));
            let near = one.iter().any(|p| {
                let off = amps * (p.value() - exact).abs() / left;
                off <= 0.02 && p.resistors()[0].rated_watts().is_some()
            });
            let Some(two) = two.first() else {
                singles += usize::from(near);
                continue;
            };
            assert!(!near, "{exact} Ω, {amps} A");
            pairs += 1;
            // "two in series, 33 Ω and 12 Ω, each 25 W, family"
            let words = text(&**two);
            let figures: Vec<f64> = words.split(' ').filter_map(|w| w.parse().ok()).collect();
            let [larger, smaller, watts] = figures[..] else { panic!("{words}") };
            assert!(larger > smaller && (larger + smaller - two.value()).abs() < 1e-9, "{words}");
            let values = resistor_values();
            let best = values.iter().flat_map(|a| values.iter().map(move |b| a + b));
            let best = best.map(|sum| (sum - exact).abs()).fold(f64::INFINITY, f64::min);
            assert!((two.value() - exact).abs() <= best + 1e-9, "{words} for {exact} Ω");
            let resistor = two.resistors()[0];
            let (share, hot) = (larger / two.value(), 1.05 * larger);
            let wanted = f64::max(2.0 * amps * amps, (2.0 * amps).powi(2)) * hot;
            let size = sizes().find(|s| s.derated_w(40.0) >= wanted).unwrap();
            assert_eq!(size.rating_w, watts, "{words} for {wanted} W");
            assert!((resistor.rated_watts().unwrap() - watts / share).abs() < 1e-9);
            let surface = resistor.surface_c(20.0, 25.0).unwrap();
            assert!((surface - size.surface_c(20.0 * share, 25.0)).abs() < 1e-9);
        }
    }
    assert!(pairs > 5 && singles > 5, "{pairs} {singles}");
}
