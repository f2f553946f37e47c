//! What is read and written for each kind of quantity.

use super::{
    Capacitance, Current, Frequency, Inductance, Power, Ratio, Resistance, Temperature,
    TemperatureRise, ThermalResistance, Time, Transconductance, Voltage,
    kind::{Kind, Quantity, Rounding, Shown, shown, shown_times},
    letter_code,
    spelling::{
        GIGA, KILO, MEGA, MICRO, MILLI, NANO, PICO, Prefix,
        Scale::{Celsius, Fahrenheit, Ten, Times},
        spelled,
    },
};
use uom::si;

/// Zero of the Celsius scale in kelvin (definition of the degree Celsius,
/// SI Brochure, section 2.3.4).
pub const CELSIUS_ZERO: f64 = 273.15;

/// A step of one degree Fahrenheit, in kelvin.
const FAHRENHEIT_STEP: f64 = 5.0 / 9.0;

const NO_PREFIX: &[Prefix] = &[];
const MICRO_MILLI: &[Prefix] = &[MICRO, MILLI];
const NANO_TO_MILLI: &[Prefix] = &[NANO, MICRO, MILLI];

/// Implements [`Quantity`] for each type through one `uom` unit, of a row of its tables; what a row does not name is usual.
macro_rules! quantities {
    ($($quantity:ident through $unit:path { $($table:ident: $value:expr,)* })*) => {
        $(impl Quantity for $quantity {
            const KIND: Kind = Kind { $($table: $value,)* ..Kind::USUAL };

            fn from_si(value: f64) -> Self {
                Self::new::<$unit>(value)
            }

            fn si(self) -> f64 {
                self.get::<$unit>()
            }
        })*

        /// Every kind, searched to say what a misplaced unit belongs to.
        pub static ALL: &[Kind] = &[$($quantity::KIND),*];
    };
}

quantities! {
    Voltage through si::electric_potential::volt {
        name: "voltage",
        example: "122 V",
        zero_unit: "V",
        spellings: &[spelled(Ten(0), &[MICRO, MILLI, KILO], &["V"], &["volt"])],
        shown: &[shown(-6, "µV"), shown(-3, "mV"), shown(0, "V"), shown(3, "kV")],
    }
    Current through si::electric_current::ampere {
        name: "current",
        example: "160 mA",
        zero_unit: "A",
        spellings: &[spelled(Ten(0), NANO_TO_MILLI, &["A"], &["amp", "ampere"])],
        shown: &[shown(-9, "nA"), shown(-6, "µA"), shown(-3, "mA"), shown(0, "A")],
    }
    Resistance through si::electrical_resistance::ohm {
        name: "resistance",
        example: "1.2 kΩ",
        zero_unit: "Ω",
        spellings: &[
            spelled(Ten(0), &[MILLI, KILO, MEGA, GIGA], &["Ω"], &["ohm"]),
            spelled(Ten(6), NO_PREFIX, &[], &["meg"]),
        ],
        shown: &[
            shown(-3, "mΩ"),
            shown(0, "Ω"),
            shown(3, "kΩ"),
            shown(6, "MΩ"),
            shown(9, "GΩ"),
        ],
        letters: letter_code::RESISTANCE,
        // Some European sheets wrote E for ohm, which also looks like an exponent.
        misread: &[("E", "Ω"), ("O", "Ω"), ("m", "MΩ")],
    }
    Capacitance through si::capacitance::farad {
        name: "capacitance",
        example: "8 µF",
        zero_unit: "µF",
        // No millifarad: see `Refusal::OldFarad`.
        spellings: &[
            spelled(Ten(0), &[PICO, NANO, MICRO], &["F"], &["farad", "fd"]),
            spelled(Ten(-6), NO_PREFIX, &[], &["mfd"]),
            spelled(
                Ten(-12),
                NO_PREFIX,
                &[],
                &["mmfd", "mmf", "µµf", "uuf", "µµfd", "uufd", "micromicrofarad"],
            ),
        ],
        shown: &[shown(-12, "pF"), Shown { from: 1e-9, ..shown(-6, "µF") }, shown(0, "F")],
        letters: letter_code::CAPACITANCE,
    }
    Inductance through si::inductance::henry {
        name: "inductance",
        example: "12 H",
        zero_unit: "H",
        spellings: &[spelled(Ten(0), NANO_TO_MILLI, &["H"], &["henry", "henries"])],
        shown: &[shown(-9, "nH"), shown(-6, "µH"), shown(-3, "mH"), shown(0, "H")],
    }
    Power through si::power::watt {
        name: "power",
        example: "80 W",
        zero_unit: "W",
        spellings: &[spelled(Ten(0), &[MICRO, MILLI, KILO], &["W"], &["watt"])],
        shown: &[shown(-6, "µW"), shown(-3, "mW"), shown(0, "W"), shown(3, "kW")],
    }
    Frequency through si::frequency::hertz {
        name: "frequency",
        example: "60 Hz",
        zero_unit: "Hz",
        spellings: &[
            spelled(Ten(0), &[KILO, MEGA, GIGA], &["Hz"], &["hertz"]),
            spelled(Ten(0), NO_PREFIX, &[], &["c/s", "cps"]),
            spelled(Ten(0), &[KILO, MEGA], &[], &["cycle"]),
            spelled(Ten(0), NO_PREFIX, &[], &["cycles per second"]),
            // A thousandth of a cycle was never written, so case cannot mislead.
            spelled(Ten(3), NO_PREFIX, &[], &["kc/s"]),
            spelled(Ten(6), NO_PREFIX, &[], &["mc/s"]),
            spelled(Ten(3), NO_PREFIX, &[], &["kc"]),
            spelled(Ten(6), NO_PREFIX, &[], &["mc"]),
        ],
        shown: &[shown(0, "Hz"), shown(3, "kHz"), shown(6, "MHz"), shown(9, "GHz")],
    }
    Temperature through si::thermodynamic_temperature::kelvin {
        name: "temperature",
        example: "40 °C",
        zero_unit: "°C",
        spellings: &[
            spelled(
                Celsius,
                NO_PREFIX,
                &["°C", "C"],
                &["degc", "deg c", "degrees c", "celsius", "degrees celsius"],
            ),
            spelled(
                Fahrenheit,
                NO_PREFIX,
                &["°F"],
                &["degf", "deg f", "degrees f", "fahrenheit", "degrees fahrenheit"],
            ),
            spelled(Ten(0), NO_PREFIX, &["K"], &["kelvin"]),
        ],
        shown: &[shown(0, "°C")],
        misread: &[("F", "°F"), ("°", "°C")],
        rounding: Rounding::Whole,
        zero_point: CELSIUS_ZERO,
    }
    TemperatureRise through si::temperature_interval::kelvin {
        name: "temperature rise",
        example: "40 K",
        zero_unit: "K",
        spellings: &[
            spelled(Ten(0), NO_PREFIX, &["K"], &["kelvin"]),
            spelled(Ten(0), NO_PREFIX, &["°C", "C"], &["degc", "deg c", "celsius"]),
            spelled(Times(FAHRENHEIT_STEP), NO_PREFIX, &["°F"], &["degf", "deg f"]),
        ],
        shown: &[shown(0, "K")],
        misread: &[("F", "°F"), ("°", "K")],
        rounding: Rounding::Places(0),
    }
    ThermalResistance through si::thermal_resistance::kelvin_per_watt {
        name: "thermal resistance",
        example: "9 K/W",
        zero_unit: "K/W",
        spellings: &[spelled(
            Ten(0),
            NO_PREFIX,
            &["K/W", "°C/W", "C/W"],
            &["degc/w", "deg c/w"],
        )],
        shown: &[shown(0, "K/W")],
    }
    Time through si::time::second {
        name: "time",
        example: "30 s",
        zero_unit: "s",
        spellings: &[
            spelled(Ten(0), NANO_TO_MILLI, &["s"], &[]),
            spelled(Ten(0), MICRO_MILLI, &[], &["sec"]),
            spelled(Ten(0), NANO_TO_MILLI, &[], &["second"]),
            spelled(Times(60.0), NO_PREFIX, &[], &["min", "minute"]),
            spelled(Times(3600.0), NO_PREFIX, &["h"], &["hr", "hour"]),
        ],
        shown: &[
            shown(-9, "ns"),
            shown(-6, "µs"),
            shown(-3, "ms"),
            shown(0, "s"),
            shown_times(60.0, "min"),
            shown_times(3600.0, "h"),
        ],
        misread: &[("m", "min")],
    }
    Transconductance through si::electrical_conductance::siemens {
        name: "transconductance",
        example: "5.2 mA/V",
        zero_unit: "mA/V",
        spellings: &[
            spelled(Ten(0), NANO_TO_MILLI, &["S"], &[]),
            spelled(Ten(0), MICRO_MILLI, &[], &["siemens"]),
            spelled(Ten(0), MICRO_MILLI, &["A/V"], &["mho"]),
        ],
        shown: &[shown(-6, "µA/V"), shown(-3, "mA/V"), shown(0, "A/V")],
    }
    Ratio through si::ratio::ratio {
        name: "ratio",
        example: "3 %",
        zero_unit: "%",
        spellings: &[spelled(Ten(-2), NO_PREFIX, &["%"], &["percent", "per cent", "pct"])],
        shown: &[shown(-2, "%")],
        rounding: Rounding::Places(1),
    }
}
