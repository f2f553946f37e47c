//! What is written, against the trade's own way of writing it.

use super::*;

fn each<Q: Quantity>(write: fn(Q) -> String, cases: &[(f64, &str)]) {
    for (si, text) in cases {
        assert_eq!(write(Q::from_si(*si)), *text, "{si}");
    }
}

#[test]
fn measured_values() {
    each::<Voltage>(
        show,
        &[
            (122.0, "122 V"),
            (6.3, "6.30 V"),
            (0.5, "500 mV"),
            (-5.0, "-5.00 V"),
            (1_250.0, "1.25 kV"),
            (999.6, "1.00 kV"),
            (0.0, "0 V"),
            (-0.0, "0 V"),
            (12_345_678.0, "12300 kV"),
            (1e-12, "1.00e-6 µV"),
            (1e300, "1.00e297 kV"),
        ],
    );
    each::<Current>(
        show,
        &[
            (0.16, "160 mA"),
            (0.9999, "1.00 A"),
            (0.9994, "999 mA"),
            (2.5, "2.50 A"),
            (45e-6, "45.0 µA"),
        ],
    );
    each::<Resistance>(
        show,
        &[(1_200.0, "1.20 kΩ"), (4.7, "4.70 Ω"), (2.2e6, "2.20 MΩ"), (0.01, "10.0 mΩ")],
    );
    each::<Time>(
        show,
        &[
            (30.0, "30.0 s"),
            (0.02, "20.0 ms"),
            (90.0, "1.50 min"),
            (59.96, "1.00 min"),
            (-59.96, "-1.00 min"),
            (3_599.0, "1.00 h"),
            (5_400.0, "1.50 h"),
        ],
    );
    each::<Transconductance>(show, &[(5.2e-3, "5.20 mA/V"), (250e-6, "250 µA/V")]);
    each::<ThermalResistance>(show, &[(9.0, "9.00 K/W")]);
    each::<Frequency>(show, &[(60.0, "60.0 Hz"), (455e3, "455 kHz")]);
}

#[test]
fn capacitances_as_the_trade_writes_them() {
    each::<Capacitance>(
        show_plain,
        &[
            (8e-6, "8 µF"),
            (100e-9, "0.1 µF"),
            (5e-9, "0.005 µF"),
            (1e-9, "0.001 µF"),
            (0.99e-9, "990 pF"),
            (50e-12, "50 pF"),
            (4.7e-3, "4700 µF"),
            (0.0, "0 µF"),
        ],
    );
    each::<Capacitance>(show, &[(8e-6, "8.00 µF"), (0.9999e-9, "0.00100 µF")]);
}

#[test]
fn nameplate_values() {
    each::<Resistance>(show_plain, &[(1_200.0, "1.2 kΩ"), (47.0, "47 Ω"), (330e3, "330 kΩ")]);
    each::<Voltage>(show_plain, &[(117.5, "117.5 V"), (110.0, "110 V"), (1e9, "1000000 kV")]);
    each::<Ratio>(show_plain, &[(0.03, "3 %"), (1.0, "100 %")]);
    each::<Temperature>(show_plain, &[(313.15, "40 °C"), (310.65, "37.5 °C")]);
}

#[test]
fn temperatures_and_ratios() {
    each::<Temperature>(
        show,
        &[
            (320.15, "47 °C"),
            (320.4, "47 °C"),
            (372.75, "100 °C"),
            (273.15, "0 °C"),
            (272.95, "0 °C"),
            (268.15, "-5 °C"),
            (0.0, "-273 °C"),
        ],
    );
    each::<TemperatureRise>(show, &[(47.2, "47 K"), (9.96, "10 K"), (4.5, "4.5 K")]);
    each::<Ratio>(
        show,
        &[
            (0.03, "3.0 %"),
            (0.125, "12.5 %"),
            (1.0, "100.0 %"),
            (0.09996, "10.0 %"),
            (0.005, "0.50 %"),
            (-0.03, "-3.0 %"),
            (0.0, "0 %"),
        ],
    );
}

#[test]
fn digits_as_asked() {
    let mains = Voltage::from_si(122.456);
    assert_eq!(show_digits(mains, 0), "100 V");
    assert_eq!(show_digits(mains, 2), "120 V");
    assert_eq!(show_digits(mains, 5), "122.46 V");
    // 15 digits are the most an f64 is sure to hold (IEEE 754, DBL_DIG).
    assert_eq!(show_digits(mains, 400), "122.456000000000 V");
}

#[test]
fn what_is_no_number_is_said_to_be_none() {
    for write in [show::<Voltage>, show_plain::<Voltage>] {
        assert_eq!(write(Voltage::from_si(f64::NAN)), "not a number");
        assert_eq!(write(Voltage::from_si(f64::INFINITY)), "infinite");
        assert_eq!(write(Voltage::from_si(f64::NEG_INFINITY)), "minus infinite");
    }
    assert_eq!(show(Temperature::from_si(f64::NAN)), "not a number");
}
