//! One of every unit that can be written, in SI units.
//!
//! Sizes: the SI Brochure, 9th edition (2019), tables 4 to 8 †; micromicrofarad, mfd, mc, meg and mho are
//! usage of the time without a standard. Written apart from the tables of `kinds.rs`, and complete: a spelling that the
//! list does not know fails.

use super::*;

fn every_spelling<Q: Quantity>(list: &[(&str, f64)]) {
    for (text, _) in Q::KIND.spellings.iter().flat_map(|spelling| spelling.texts()) {
        let known = list.iter().filter(|(unit, _)| *unit == text);
        assert_eq!(known.count(), 1, "{}: {text}", Q::NAME);
    }
    for (unit, si) in list {
        let text = format!("1 {unit}");
        let got = parse::<Q>(&text, Sign::Any).map(Quantity::si);
        match got {
            Ok(got) => assert!((got / si - 1.0).abs() < 1e-14, "{text}: {got}"),
            Err(error) => panic!("{text}: {error}"),
        }
    }
}

#[test]
fn electrical() {
    every_spelling::<Voltage>(&[("V", 1.0), ("volt", 1.0), ("µV", 1e-6), ("kilovolts", 1e3)]);
    every_spelling::<Current>(&[("A", 1.0), ("amp", 1.0), ("ampere", 1.0), ("nA", 1e-9)]);
    every_spelling::<Resistance>(&[("Ω", 1.0), ("ohm", 1.0), ("meg", 1e6), ("GΩ", 1e9)]);
    every_spelling::<Capacitance>(&[
        ("F", 1.0),
        ("farad", 1.0),
        ("fd", 1.0),
        ("mfd", 1e-6),
        ("mmfd", 1e-12),
        ("mmf", 1e-12),
        ("µµf", 1e-12),
        ("uuf", 1e-12),
        ("µµfd", 1e-12),
        ("uufd", 1e-12),
        ("micromicrofarad", 1e-12),
        ("nF", 1e-9),
    ]);
    every_spelling::<Inductance>(&[("H", 1.0), ("henry", 1.0), ("henries", 1.0), ("µH", 1e-6)]);
    every_spelling::<Power>(&[("W", 1.0), ("watt", 1.0), ("µW", 1e-6), ("kW", 1e3)]);
    every_spelling::<Transconductance>(&[
        ("S", 1.0),
        ("siemens", 1.0),
        ("A/V", 1.0),
        ("mho", 1.0),
        ("micromhos", 1e-6),
        ("mA/V", 1e-3),
    ]);
}

#[test]
fn the_rest() {
    every_spelling::<Frequency>(&[
        ("Hz", 1.0),
        ("hertz", 1.0),
        ("c/s", 1.0),
        ("cps", 1.0),
        ("cycle", 1.0),
        ("cycles per second", 1.0),
        ("kc/s", 1e3),
        ("mc/s", 1e6),
        ("kc", 1e3),
        ("mc", 1e6),
        ("GHz", 1e9),
    ]);
    every_spelling::<Temperature>(&[
        ("°C", 274.15),
        ("C", 274.15),
        ("degc", 274.15),
        ("deg c", 274.15),
        ("degrees c", 274.15),
        ("celsius", 274.15),
        ("degrees celsius", 274.15),
        // (1 − 32)·5/9 °C
        ("°F", 273.15 - 155.0 / 9.0),
        ("degf", 273.15 - 155.0 / 9.0),
        ("deg f", 273.15 - 155.0 / 9.0),
        ("degrees f", 273.15 - 155.0 / 9.0),
        ("fahrenheit", 273.15 - 155.0 / 9.0),
        ("degrees fahrenheit", 273.15 - 155.0 / 9.0),
        ("K", 1.0),
        ("kelvin", 1.0),
    ]);
    every_spelling::<TemperatureRise>(&[
        ("K", 1.0),
        ("kelvin", 1.0),
        ("°C", 1.0),
        ("C", 1.0),
        ("degc", 1.0),
        ("deg c", 1.0),
        ("celsius", 1.0),
        ("°F", 5.0 / 9.0),
        ("degf", 5.0 / 9.0),
        ("deg f", 5.0 / 9.0),
    ]);
    every_spelling::<ThermalResistance>(&[
        ("K/W", 1.0),
        ("°C/W", 1.0),
        ("C/W", 1.0),
        ("degc/w", 1.0),
        ("deg c/w", 1.0),
    ]);
    every_spelling::<Time>(&[
        ("s", 1.0),
        ("sec", 1.0),
        ("second", 1.0),
        ("min", 60.0),
        ("minute", 60.0),
        ("h", 3600.0),
        ("hr", 3600.0),
        ("hour", 3600.0),
        ("ns", 1e-9),
    ]);
    every_spelling::<Ratio>(&[("%", 0.01), ("percent", 0.01), ("per cent", 0.01), ("pct", 0.01)]);
}

/// What belongs to one quantity alone is not said of another: small m beside a capacitor is no slip for mega, and
/// volt-amperes are a power's trouble, not a voltage's.
#[test]
fn advice_of_one_kind_is_not_given_for_another() {
    let refused = |e: Result<f64, QuantityError>| e.unwrap_err().to_string();
    let ohms = refused(parse::<Resistance>("4m7", Sign::Any).map(Quantity::si));
    assert!(ohms.contains("4M7"), "{ohms}");
    for text in ["4m7", "4M7"] {
        let volts = refused(parse::<Voltage>(text, Sign::Any).map(Quantity::si));
        assert!(!volts.contains("is meant"), "{volts}");
    }
    let watts = refused(parse::<Power>("10 VA", Sign::Any).map(Quantity::si));
    let volts = refused(parse::<Voltage>("10 VA", Sign::Any).map(Quantity::si));
    assert_ne!(
        std::mem::discriminant(&parse::<Power>("10 VA", Sign::Any).unwrap_err().why),
        std::mem::discriminant(&parse::<Voltage>("10 VA", Sign::Any).unwrap_err().why),
        "{watts} / {volts}"
    );
}
