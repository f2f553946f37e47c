//! What is read, against the meaning each standard gives the spelling.

use super::*;

/// Reads each text and compares with a value in SI units, bit for bit: both
/// sides are the `f64` nearest to the same decimal.
fn all_read<Q: Quantity>(cases: &[(&str, f64)]) {
    for (text, si) in cases {
        match parse::<Q>(text, Sign::Any) {
            Ok(quantity) => assert_eq!(quantity.si(), *si, "{text:?}"),
            Err(error) => panic!("{text:?} was refused: {error}"),
        }
    }
}

/// IEC 60062 marking examples for resistors †; L is
/// trade usage and not in it.
#[test]
fn resistance_letter_code() {
    all_read::<Resistance>(&[
        ("R10", 0.1),
        ("R47", 0.47),
        ("R332", 0.332),
        ("1R0", 1.0),
        ("4R7", 4.7),
        ("3R32", 3.32),
        ("47R", 47.0),
        ("590R", 590.0),
        ("K10", 100.0),
        ("1K0", 1_000.0),
        ("4K7", 4_700.0),
        ("4k7", 4_700.0),
        ("1k2", 1_200.0),
        ("59K04", 59_040.0),
        ("330k", 330_000.0),
        ("M10", 100_000.0),
        ("1M", 1e6),
        ("1M0", 1e6),
        ("2M2", 2.2e6),
        ("3M32", 3.32e6),
        ("1G0", 1e9),
        ("4L7", 0.0047),
    ]);
}

/// IEC 60062 marking examples for capacitors †.
#[test]
fn capacitance_letter_code() {
    all_read::<Capacitance>(&[
        ("p10", 0.1e-12),
        ("p33", 0.33e-12),
        ("p332", 0.332e-12),
        ("3p3", 3.3e-12),
        ("33p", 33e-12),
        ("n10", 0.1e-9),
        ("3n3", 3.3e-9),
        ("4n7", 4.7e-9),
        ("33n", 33e-9),
        ("330n", 330e-9),
        ("µ33", 0.33e-6),
        ("\u{03BC}33", 0.33e-6),
        ("8u2", 8.2e-6),
        ("33µ2", 33.2e-6),
        ("1m0", 1e-3),
        ("m33", 0.33e-3),
        ("1F0", 1.0),
    ]);
}

/// Prefixes and unit symbols as in the SI Brochure, 9th edition, tables 2, 4
/// and 7, with the look-alike characters of Unicode.
#[test]
fn si_spellings() {
    all_read::<Voltage>(&[
        ("122 V", 122.0),
        ("122V", 122.0),
        ("  122\u{00A0}V ", 122.0),
        ("122\u{2009}V", 122.0),
        ("122\u{202F}V", 122.0),
        ("\u{2212}5 V", -5.0),
        ("-5 V", -5.0),
        ("+5 V", 5.0),
        ("500 mV", 0.5),
        ("1.2 kV", 1_200.0),
        (".5 V", 0.5),
        ("6\u{00B7}3 V", 6.3),
        ("1e3 V", 1_000.0),
        ("1.5E-3 V", 0.0015),
        ("-0 V", 0.0),
    ]);
    all_read::<Current>(&[("160 mA", 0.16), ("2.5 A", 2.5), ("20 µA", 20e-6)]);
    all_read::<Resistance>(&[
        ("1.2 kΩ", 1_200.0),
        ("1.2 k\u{2126}", 1_200.0),
        ("1.2 KΩ", 1_200.0),
        ("1e3 Ω", 1_000.0),
        ("5 mΩ", 0.005),
        ("2.2 MΩ", 2.2e6),
        ("4k7 Ω", 4_700.0),
    ]);
    all_read::<Capacitance>(&[
        ("8 µF", 8e-6),
        ("8 \u{03BC}F", 8e-6),
        ("8uF", 8e-6),
        ("50 pF", 50e-12),
        ("100 nF", 100e-9),
    ]);
    all_read::<Inductance>(&[("12 H", 12.0), ("250 µH", 250e-6), ("2.5 mH", 2.5e-3)]);
    all_read::<Power>(&[("2 W", 2.0), ("80 W", 80.0), ("250 mW", 0.25)]);
    all_read::<Frequency>(&[("60 Hz", 60.0), ("455 kHz", 455e3), ("1.5 MHz", 1.5e6)]);
    all_read::<Time>(&[
        ("30 s", 30.0),
        ("20 ms", 0.02),
        ("5 min", 300.0),
        ("1 h", 3_600.0),
        ("2 hours", 7_200.0),
    ]);
    all_read::<ThermalResistance>(&[("9 K/W", 9.0), ("9 °C/W", 9.0), ("9 K / W", 9.0)]);
    all_read::<Transconductance>(&[("5.2 mS", 5.2e-3), ("250 µS", 250e-6), ("1 S", 1.0)]);
    all_read::<Ratio>(&[("3 %", 0.03), ("3%", 0.03), ("12.5 per cent", 0.125)]);
}

/// Spellings of old service sheets. MFD = microfarad, MMF = micromicrofarad =
/// picofarad, the mho and the cycle per second: the abbreviations explained in
/// the receiver handbooks of the 1930s to 1950s †.
#[test]
fn old_spellings() {
    all_read::<Capacitance>(&[
        ("8 mfd", 8e-6),
        ("8 MFD", 8e-6),
        ("8 Mfd", 8e-6),
        ("8 mfd.", 8e-6),
        ("8mfd", 8e-6),
        (".05 mfd.", 0.05e-6),
        ("0.1 µfd", 0.1e-6),
        ("50 mmf", 50e-12),
        ("50 mmfd", 50e-12),
        ("50 MMF.", 50e-12),
        ("50 µµF", 50e-12),
        ("50 uuf", 50e-12),
        ("8 microfarads", 8e-6),
    ]);
    all_read::<Resistance>(&[
        ("330 kohm", 330e3),
        ("330 kohms", 330e3),
        ("330 k ohms", 330e3),
        ("330 k", 330e3),
        ("50 ohms", 50.0),
        ("1 Meg", 1e6),
        ("1 meg.", 1e6),
        ("1 megohm", 1e6),
        ("2.2 megohms", 2.2e6),
    ]);
    all_read::<Frequency>(&[
        ("60 c/s", 60.0),
        ("60 cycles", 60.0),
        ("60 cps", 60.0),
        ("455 kc/s", 455e3),
        ("455 kc", 455e3),
        ("1.5 Mc/s", 1.5e6),
        ("455 kilocycles", 455e3),
    ]);
    all_read::<Transconductance>(&[
        ("5.2 mA/V", 5.2e-3),
        ("5000 µmho", 5e-3),
        ("5000 umho", 5e-3),
        ("5000 micromhos", 5e-3),
        ("5 mmho", 5e-3),
    ]);
    all_read::<Power>(&[("80 watts", 80.0), ("80 Watt", 80.0)]);
    all_read::<Voltage>(&[("115 volts", 115.0), ("115 VOLTS", 115.0)]);
    all_read::<Current>(&[("0.15 amp.", 0.15), ("2 amperes", 2.0), ("150 milliamps", 0.15)]);
}

/// Fixed points: ice 0 °C = 32 °F = 273.15 K, and 40 °C = 104 °F (the two
/// scales are 9/5 and 32 apart by definition).
#[test]
fn temperatures() {
    for text in [
        "40 °C",
        "40 C",
        "40 degC",
        "40 deg C",
        "40 ° C",
        "40 \u{2103}",
        "104 °F",
        "104 degF",
        "313.15 K",
    ] {
        let read = parse::<Temperature>(text, Sign::Any).map(Temperature::si);
        approx::assert_relative_eq!(read.unwrap(), 313.15, max_relative = 1e-15);
    }
    all_read::<Temperature>(&[("0 °C", 273.15), ("32 °F", 273.15), ("-273.15 °C", 0.0)]);
    all_read::<TemperatureRise>(&[("40 K", 40.0), ("40 °C", 40.0), ("72 °F", 40.0)]);
}

#[test]
fn signs_are_held_to() {
    let read = |text, sign| parse::<Voltage>(text, sign).map(Voltage::si);
    assert_eq!(read("-5 V", Sign::Any), Ok(-5.0));
    assert_eq!(read("0 V", Sign::NonNegative), Ok(0.0));
    assert_eq!(read("-5 V", Sign::NonNegative).unwrap_err().why, Refusal::Negative);
    assert_eq!(read("-5 V", Sign::Positive).unwrap_err().why, Refusal::Negative);
    assert_eq!(read("0.000 V", Sign::Positive).unwrap_err().why, Refusal::Zero);
    let read = |text, sign| parse::<Temperature>(text, sign).map(Temperature::si);
    assert_eq!(read("-10 °C", Sign::Any), Ok(263.15));
    assert_eq!(read("-10 °C", Sign::NonNegative).unwrap_err().why, Refusal::Negative);
    assert_eq!(read("-274 °C", Sign::Any).unwrap_err().why, Refusal::BelowAbsoluteZero);
}

/// Each message offers the example, so the example must be read.
#[test]
fn every_example_is_read() {
    fn check<Q: Quantity>() {
        let read = parse::<Q>(Q::KIND.example, Sign::Positive);
        assert_eq!(read.map(show_plain).as_deref(), Ok(Q::KIND.example));
    }
    check::<Voltage>();
    check::<Current>();
    check::<Resistance>();
    check::<Capacitance>();
    check::<Inductance>();
    check::<Power>();
    check::<Frequency>();
    check::<Temperature>();
    check::<TemperatureRise>();
    check::<ThermalResistance>();
    check::<Time>();
    check::<Transconductance>();
    check::<Ratio>();
}
