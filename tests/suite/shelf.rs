//! What every adaptation takes from the shelf, whatever the set.

use mainsfit::adaptation::{
    Across, Adaptation, Bucking, Duty, Failure, InrushThermistor, Method, Offer, Part, Shelf, Step,
    offers,
};
use mainsfit::catalogue::stock::thermistors;
use mainsfit::circuit::{Network, Probe, REFERENCE, Settings, Wave, steady_state};

pub fn shelf(outlet: f64, design_line: f64, transformers: Vec<(f64, f64, f64)>) -> Shelf {
    Shelf {
        design_line,
        outlet,
        high: 1.02 * outlet,
        taps: vec![design_line, outlet],
        resistors: Vec::new(),
        transformers,
        string: None,
        direct_current: false,
        mains_resistor: false,
        iron_v: None,
    }
}

/// What is to be looked at.
pub fn here(shelf: &Shelf) -> impl Iterator<Item = (Method, Box<dyn Adaptation>)> {
    offers(shelf).into_iter().filter_map(|(method, offer)| match offer {
        Offer::Here(adaptation) => Some((method, adaptation)),
        Offer::RuledOut(_) => None,
    })
}

pub fn duty(outlet: f64) -> Duty {
    Duty { outlet, amps: 0.6, held_amps: None, watts: 60.0 }
}

/// A part without a rating in watts has none left in warm air either; one with a rating has less in warmer air.
#[test]
fn what_is_left_of_a_rating_is_left_of_a_rating() {
    let (mut rated, mut unrated) = (0, 0);
    for (outlet, design_line) in [(123.0, 110.0), (240.0, 220.0), (230.0, 115.0), (120.0, 230.0)] {
        for (_, adaptation) in here(&shelf(outlet, design_line, Vec::new())) {
            let value =
                adaptation.unknown().map_or(0.0, |u| f64::midpoint(u.low, u.high).min(30.0));
            for part in adaptation.stock(value, &duty(outlet)) {
                unrated += usize::from(part.resistors().is_empty());
                for resistor in part.resistors() {
                    rated += 1;
                    let left = |air: f64| resistor.derated_watts(air).unwrap();
                    assert!(left(60.0) < left(40.0));
                    assert!(left(40.0) <= resistor.rated_watts().unwrap());
                }
            }
        }
    }
    assert!(rated > 2 && unrated > 10);
}

/// Stock comes in the next current up until there is none; what the owner has is what there is.
#[test]
fn a_larger_transformer_is_bought_and_never_found_at_home() {
    for across in [Across::Outlet, Across::Set] {
        let stock = Bucking::new(across, &shelf(123.0, 110.0, Vec::new()));
        for part in stock.stock(12.0, &duty(123.0)) {
            let mut amps = part.current_range().unwrap().1;
            let mut next = part.larger(0);
            assert!(next.is_some());
            while let Some(part) = next {
                assert_eq!(part.value(), part.varied(0, 1.0).value());
                let more = part.current_range().unwrap().1;
                assert!(more > amps);
                (amps, next) = (more, part.larger(0));
            }
        }
        let own = vec![(115.0, 6.3, 1.0), (115.0, 12.6, 2.0), (115.0, 24.0, 1.0)];
        let own = Bucking::new(across, &shelf(123.0, 110.0, own)).stock(12.0, &duty(123.0));
        let amps: Vec<f64> = own.iter().map(|p| p.current_range().unwrap().1).collect();
        // 12.6 V, then 6.3 V: the two nearest to 12 V; on the outlet the line's current is the secondary's times 1 − n
        let line = |n: f64| if across == Across::Outlet { 1.0 - n } else { 1.0 };
        assert_eq!(amps, [2.0 * line(12.6 / 115.0), line(6.3 / 115.0)]);
        assert!(own.iter().all(|p| p.larger(0).is_none()));
        // the owner's have the primary that is printed on them
        let own = vec![(220.0, 24.0, 2.0)];
        let own = Bucking::new(across, &shelf(123.0, 110.0, own)).stock(12.0, &duty(123.0));
        let primaries: Vec<_> = own.iter().map(|p| p.own_primary_volts()).collect();
        assert_eq!(primaries, [Some(220.0)]);
    }
}

/// Its primary stands at the wall's volts or at the set's, and nowhere else.
#[test]
fn the_primary_of_a_small_transformer_stands_at_one_of_both_sides() {
    let mut looked_at = 0;
    for (outlet, design_line) in [(123.0, 110.0), (230.0, 115.0), (100.0, 230.0)] {
        for (_, adaptation) in here(&shelf(outlet, design_line, Vec::new())) {
            let value = adaptation.unknown().map_or(0.0, |_| 12.0);
            for part in adaptation.stock(value, &duty(outlet)) {
                let across = part.primary_across(outlet, design_line);
                assert!(across == outlet || across == design_line, "{across}");
                looked_at += usize::from(part.own_primary_volts().is_some());
            }
        }
    }
    assert!(looked_at > 6, "{looked_at}");
}

/// What the meter loads what it measures with, Ω.
const METER: f64 = 1e6;

/// Volts behind `part` on `outlet` volts with `ohms` as its load.
fn behind(part: &dyn Part, outlet: f64, ohms: f64) -> f64 {
    let mut net = Network::new(60.0, "chassis").unwrap();
    let plug = net.node("plug");
    let wave = Wave::Sine { peak: outlet * 2f64.sqrt(), phase: 0.0 };
    net.voltage("line", plug, REFERENCE, wave).unwrap();
    let set = part.insert(&mut net, plug, REFERENCE).unwrap().set;
    net.resistor("load", set, REFERENCE, ohms).unwrap();
    let s = steady_state(&net, &Settings::fixed(128), None).unwrap();
    s.rms(Probe::Volts(set, REFERENCE))
}

/// A part says what its value is counted in, and what "what if it were off" and "what if it opened" mean for it.
#[test]
fn what_may_vary_and_what_may_open() {
    let (mut varied, mut opened) = (0, 0);
    for (outlet, design_line) in [(123.0, 110.0), (230.0, 115.0), (100.0, 230.0)] {
        for (method, adaptation) in here(&shelf(outlet, design_line, Vec::new())) {
            let unit = match method {
                Method::AsIs => None,
                Method::SeriesResistor | Method::Thermistor | Method::Lamp => Some("Ω"),
                _ => Some("V"),
            };
            assert_eq!(adaptation.value_unit(), unit, "{method}");
            let value = adaptation.unknown().map_or(0.0, |_| 12.0);
            for part in adaptation.stock(value, &duty(outlet)) {
                for (index, tolerance) in part.tolerances().iter().enumerate() {
                    let other = part.varied(index, 1.0 + tolerance.spread);
                    let ratio = other.value() / part.value();
                    // ohms are off by what is said; a winding keeps its rated volts and has another regulation, which
                    // shows without a load
                    if tolerance.what.starts_with("regulation") {
                        let (before, after) = (
                            behind(part.as_ref(), outlet, METER),
                            behind(other.as_ref(), outlet, METER),
                        );
                        assert_eq!(ratio, 1.0);
                        assert!((after / before - 1.0).abs() > 1e-3, "{}", part.bought());
                        varied += 1;
                    } else {
                        assert!((ratio / (1.0 + tolerance.spread) - 1.0).abs() < 1e-9);
                    }
                }
                if let Some((_, open)) = part.failed(Failure::Open) {
                    let left = behind(open.as_ref(), outlet, 1e3);
                    assert!(left < 0.01 * outlet, "{}: {left} V", open.bought());
                    opened += 1;
                }
            }
        }
    }
    assert!(varied > 6 && opened > 6, "{varied} {opened}");
}

/// A thermistor is offered only between the least current at which its row's law holds and the most it bears (its data
/// sheet's, in the catalogue's row).
#[test]
fn a_thermistor_knows_its_currents() {
    for amps in [0.4, 0.8, 1.5] {
        let at = Duty { amps, ..duty(123.0) };
        for part in InrushThermistor.stock(0.0, &at) {
            let (low, high) = part.current_range().unwrap();
            assert!(low <= amps && amps <= high, "{}", part.bought());
            let mut rows = thermistors().iter();
            assert!(rows.any(|t| (t.lowest_a(), t.max_a) == (low, high)));
        }
    }
}

/// A step transformer has at least twice the set's watts, which go with the square of the volts at most; what the owner has is
/// what there is, and what is made to buck with is not for a set.
#[test]
fn a_step_transformer_is_as_large_as_the_set_needs() {
    for (outlet, design_line) in
        [(230.0, 115.0), (115.0, 230.0), (115.0, 220.0), (240.0, 117.0), (100.0, 230.0)]
    {
        let most = f64::INFINITY;
        let step = Step { outlet, design_line, most, own: Vec::new() };
        for watts in [5.0, 20.0, 50.0, 100.0, 200.0] {
            let duty = Duty { outlet, amps: 0.0, held_amps: None, watts };
            let stock = step.stock(0.0, &duty);
            let mut off = Vec::new();
            for part in &stock {
                let va = part.va().unwrap();
                let primary = part.own_primary_volts().unwrap();
                let volts = outlet * part.value() / primary / design_line;
                assert!(va >= 2.0 * watts * volts * volts, "{}", part.bought());
                // the next smaller would not do
                let smaller = step.stock(0.0, &Duty { watts: 0.0, ..duty });
                let mut smaller = smaller.into_iter().next();
                while let Some(next) = smaller.as_ref().and_then(|p| p.larger(0)) {
                    let size = next.va().unwrap();
                    assert!(size >= va || size < 2.0 * watts * volts * volts, "{size}");
                    smaller = Some(next);
                }
                off.push(volts.ln().abs());
            }
            assert!(off.is_sorted() && !off.is_empty(), "{off:?}");
        }
        let own = Step { own: vec![(outlet, design_line, 60.0)], ..step };
        let duty = Duty { outlet, amps: 0.0, held_amps: None, watts: 100.0 };
        let own = own.stock(0.0, &duty);
        assert!(own.len() == 1 && own[0].va() == Some(60.0) && own[0].larger(0).is_none());
    }
    // of equal ratios the one made for the outlet: 240 V to 120 V is 230 V to 115 V
    for (outlet, design_line, primary) in [(230.0, 117.0, 230.0), (240.0, 120.0, 240.0)] {
        let most = f64::INFINITY;
        let step = Step { outlet, design_line, most, own: Vec::new() };
        let stock = step.stock(0.0, &duty(outlet));
        assert_eq!(stock[0].own_primary_volts(), Some(primary));
        let mut ratios: Vec<f64> =
            stock.iter().map(|p| p.value() / p.own_primary_volts().unwrap()).collect();
        ratios.sort_by(f64::total_cmp);
        assert!(ratios.windows(2).all(|pair| pair[1] / pair[0] > 1.01), "{ratios:?}");
    }
    let own = vec![(230.0, 24.0, 1.0), (230.0, 115.0, 1.0)];
    let of = |wanted: Method, outlet, design| -> Vec<String> {
        let shelf = shelf(outlet, design, own.clone());
        let (_, found) = here(&shelf).find(|(method, _)| *method == wanted).unwrap();
        found.stock(20.0, &duty(outlet)).iter().map(|p| p.bought().ware).collect()
    };
    assert!(
        of(Method::StepDown, 230.0, 115.0).iter().all(|w| w.contains("230 V to 115 V, 115 VA"))
    );
    assert_eq!(of(Method::BuckingOutlet, 240.0, 220.0), ["230 V to 24 V, 1 A"]);
}
