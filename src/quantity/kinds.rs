//! What is read and written for each kind of quantity.

use super::letter_code;
use super::show::{Rounding, Shown, shown, shown_times};
use super::spelling::Scale::{Celsius, Fahrenheit, Ten, Times};
use super::spelling::{GIGA, KILO, MEGA, MICRO, MILLI, NANO, PICO, Prefix, Spelling, symbol, word};
use super::{
    Capacitance, Current, Frequency, Inductance, Letter, Power, Quantity, Ratio, Resistance,
    Temperature, TemperatureRise, ThermalResistance, Time, Transconductance, Voltage,
};
use uom::si;

/// Zero of the Celsius scale in kelvin (definition of the degree Celsius,
/// SI Brochure, section 2.3.4).
pub(super) const CELSIUS_ZERO: f64 = 273.15;

const NO_PREFIX: &[Prefix] = &[];

/// The tables of one quantity, gathered so that code need not be generic.
#[derive(Debug, Clone, Copy)]
pub(super) struct Kind {
    pub(super) name: &'static str,
    pub(super) example: &'static str,
    pub(super) spellings: &'static [Spelling],
    pub(super) letters: &'static [Letter],
    pub(super) misread: &'static [(&'static str, &'static str)],
}

impl Kind {
    pub(super) const fn of<Q: Quantity>() -> Self {
        Self {
            name: Q::NAME,
            example: Q::EXAMPLE,
            spellings: Q::SPELLINGS,
            letters: Q::LETTERS,
            misread: Q::MISREAD,
        }
    }

    pub(super) fn is_capacitance(&self) -> bool {
        self.name == Capacitance::NAME
    }

    pub(super) fn is_resistance(&self) -> bool {
        self.name == Resistance::NAME
    }

    pub(super) fn is_power(&self) -> bool {
        self.name == Power::NAME
    }
}

/// Every kind, searched to say what a misplaced unit belongs to.
pub(super) static ALL: [Kind; 13] = [
    Kind::of::<Voltage>(),
    Kind::of::<Current>(),
    Kind::of::<Resistance>(),
    Kind::of::<Capacitance>(),
    Kind::of::<Inductance>(),
    Kind::of::<Power>(),
    Kind::of::<Frequency>(),
    Kind::of::<Temperature>(),
    Kind::of::<TemperatureRise>(),
    Kind::of::<ThermalResistance>(),
    Kind::of::<Time>(),
    Kind::of::<Transconductance>(),
    Kind::of::<Ratio>(),
];

/// Implements the two conversions of [`Quantity`] through one `uom` unit.
macro_rules! through {
    ($unit:path) => {
        fn from_si(value: f64) -> Self {
            Self::new::<$unit>(value)
        }

        fn si(self) -> f64 {
            self.get::<$unit>()
        }
    };
}

impl Quantity for Voltage {
    const NAME: &'static str = "voltage";
    const EXAMPLE: &'static str = "122 V";
    const ZERO_UNIT: &'static str = "V";
    const SPELLINGS: &'static [Spelling] =
        &[symbol("V", Ten(0), &[MICRO, MILLI, KILO]), word("volt", Ten(0), &[MICRO, MILLI, KILO])];
    const SHOWN: &'static [Shown] =
        &[shown(1e-6, -6, "µV"), shown(1e-3, -3, "mV"), shown(1.0, 0, "V"), shown(1e3, 3, "kV")];
    through!(si::electric_potential::volt);
}

impl Quantity for Current {
    const NAME: &'static str = "current";
    const EXAMPLE: &'static str = "160 mA";
    const ZERO_UNIT: &'static str = "A";
    const SPELLINGS: &'static [Spelling] = &[
        symbol("A", Ten(0), &[NANO, MICRO, MILLI]),
        word("amp", Ten(0), &[NANO, MICRO, MILLI]),
        word("ampere", Ten(0), &[NANO, MICRO, MILLI]),
    ];
    const SHOWN: &'static [Shown] =
        &[shown(1e-9, -9, "nA"), shown(1e-6, -6, "µA"), shown(1e-3, -3, "mA"), shown(1.0, 0, "A")];
    through!(si::electric_current::ampere);
}

impl Quantity for Resistance {
    const NAME: &'static str = "resistance";
    const EXAMPLE: &'static str = "1.2 kΩ";
    const ZERO_UNIT: &'static str = "Ω";
    const SPELLINGS: &'static [Spelling] = &[
        symbol("Ω", Ten(0), &[MILLI, KILO, MEGA, GIGA]),
        word("ohm", Ten(0), &[MILLI, KILO, MEGA, GIGA]),
        word("meg", Ten(6), NO_PREFIX),
    ];
    const SHOWN: &'static [Shown] = &[
        shown(1e-3, -3, "mΩ"),
        shown(1.0, 0, "Ω"),
        shown(1e3, 3, "kΩ"),
        shown(1e6, 6, "MΩ"),
        shown(1e9, 9, "GΩ"),
    ];
    const LETTERS: &'static [Letter] = letter_code::RESISTANCE;
    // Some European sheets wrote E for ohm, which also looks like an exponent.
    const MISREAD: &'static [(&'static str, &'static str)] = &[("E", "Ω"), ("O", "Ω"), ("m", "MΩ")];
    through!(si::electrical_resistance::ohm);
}

impl Quantity for Capacitance {
    const NAME: &'static str = "capacitance";
    const EXAMPLE: &'static str = "8 µF";
    const ZERO_UNIT: &'static str = "µF";
    // No millifarad: see `QuantityError::OldFarad`.
    const SPELLINGS: &'static [Spelling] = &[
        symbol("F", Ten(0), &[PICO, NANO, MICRO]),
        word("farad", Ten(0), &[PICO, NANO, MICRO]),
        word("fd", Ten(0), &[PICO, NANO, MICRO]),
        word("mfd", Ten(-6), NO_PREFIX),
        word("mmfd", Ten(-12), NO_PREFIX),
        word("mmf", Ten(-12), NO_PREFIX),
        word("µµf", Ten(-12), NO_PREFIX),
        word("uuf", Ten(-12), NO_PREFIX),
        word("µµfd", Ten(-12), NO_PREFIX),
        word("uufd", Ten(-12), NO_PREFIX),
        word("micromicrofarad", Ten(-12), NO_PREFIX),
    ];
    const SHOWN: &'static [Shown] =
        &[shown(1e-12, -12, "pF"), shown(1e-9, -6, "µF"), shown(1.0, 0, "F")];
    const LETTERS: &'static [Letter] = letter_code::CAPACITANCE;
    through!(si::capacitance::farad);
}

impl Quantity for Inductance {
    const NAME: &'static str = "inductance";
    const EXAMPLE: &'static str = "12 H";
    const ZERO_UNIT: &'static str = "H";
    const SPELLINGS: &'static [Spelling] = &[
        symbol("H", Ten(0), &[NANO, MICRO, MILLI]),
        word("henry", Ten(0), &[NANO, MICRO, MILLI]),
        word("henries", Ten(0), &[NANO, MICRO, MILLI]),
    ];
    const SHOWN: &'static [Shown] =
        &[shown(1e-9, -9, "nH"), shown(1e-6, -6, "µH"), shown(1e-3, -3, "mH"), shown(1.0, 0, "H")];
    through!(si::inductance::henry);
}

impl Quantity for Power {
    const NAME: &'static str = "power";
    const EXAMPLE: &'static str = "80 W";
    const ZERO_UNIT: &'static str = "W";
    const SPELLINGS: &'static [Spelling] =
        &[symbol("W", Ten(0), &[MICRO, MILLI, KILO]), word("watt", Ten(0), &[MICRO, MILLI, KILO])];
    const SHOWN: &'static [Shown] =
        &[shown(1e-6, -6, "µW"), shown(1e-3, -3, "mW"), shown(1.0, 0, "W"), shown(1e3, 3, "kW")];
    through!(si::power::watt);
}

impl Quantity for Frequency {
    const NAME: &'static str = "frequency";
    const EXAMPLE: &'static str = "60 Hz";
    const ZERO_UNIT: &'static str = "Hz";
    const SPELLINGS: &'static [Spelling] = &[
        symbol("Hz", Ten(0), &[KILO, MEGA, GIGA]),
        word("hertz", Ten(0), &[KILO, MEGA, GIGA]),
        word("c/s", Ten(0), NO_PREFIX),
        word("cps", Ten(0), NO_PREFIX),
        word("cycle", Ten(0), &[KILO, MEGA]),
        word("cycles per second", Ten(0), NO_PREFIX),
        // A thousandth of a cycle was never written, so case cannot mislead.
        word("kc/s", Ten(3), NO_PREFIX),
        word("mc/s", Ten(6), NO_PREFIX),
        word("kc", Ten(3), NO_PREFIX),
        word("mc", Ten(6), NO_PREFIX),
    ];
    const SHOWN: &'static [Shown] =
        &[shown(1.0, 0, "Hz"), shown(1e3, 3, "kHz"), shown(1e6, 6, "MHz"), shown(1e9, 9, "GHz")];
    through!(si::frequency::hertz);
}

impl Quantity for Temperature {
    const NAME: &'static str = "temperature";
    const EXAMPLE: &'static str = "40 °C";
    const ZERO_UNIT: &'static str = "°C";
    const SPELLINGS: &'static [Spelling] = &[
        symbol("°C", Celsius, NO_PREFIX),
        symbol("C", Celsius, NO_PREFIX),
        word("degc", Celsius, NO_PREFIX),
        word("deg c", Celsius, NO_PREFIX),
        word("degrees c", Celsius, NO_PREFIX),
        word("celsius", Celsius, NO_PREFIX),
        word("degrees celsius", Celsius, NO_PREFIX),
        symbol("°F", Fahrenheit, NO_PREFIX),
        word("degf", Fahrenheit, NO_PREFIX),
        word("deg f", Fahrenheit, NO_PREFIX),
        word("degrees f", Fahrenheit, NO_PREFIX),
        word("fahrenheit", Fahrenheit, NO_PREFIX),
        word("degrees fahrenheit", Fahrenheit, NO_PREFIX),
        symbol("K", Ten(0), NO_PREFIX),
        word("kelvin", Ten(0), NO_PREFIX),
    ];
    const SHOWN: &'static [Shown] = &[shown(1.0, 0, "°C")];
    const MISREAD: &'static [(&'static str, &'static str)] = &[("F", "°F"), ("°", "°C")];
    const ROUNDING: Rounding = Rounding::Whole;
    const ZERO_POINT: f64 = CELSIUS_ZERO;
    through!(si::thermodynamic_temperature::kelvin);
}

/// A step of one degree Fahrenheit, in kelvin.
const FAHRENHEIT_STEP: f64 = 5.0 / 9.0;

impl Quantity for TemperatureRise {
    const NAME: &'static str = "temperature rise";
    const EXAMPLE: &'static str = "40 K";
    const ZERO_UNIT: &'static str = "K";
    const SPELLINGS: &'static [Spelling] = &[
        symbol("K", Ten(0), NO_PREFIX),
        word("kelvin", Ten(0), NO_PREFIX),
        symbol("°C", Ten(0), NO_PREFIX),
        symbol("C", Ten(0), NO_PREFIX),
        word("degc", Ten(0), NO_PREFIX),
        word("deg c", Ten(0), NO_PREFIX),
        word("celsius", Ten(0), NO_PREFIX),
        symbol("°F", Times(FAHRENHEIT_STEP), NO_PREFIX),
        word("degf", Times(FAHRENHEIT_STEP), NO_PREFIX),
        word("deg f", Times(FAHRENHEIT_STEP), NO_PREFIX),
    ];
    const SHOWN: &'static [Shown] = &[shown(1.0, 0, "K")];
    const MISREAD: &'static [(&'static str, &'static str)] = &[("F", "°F"), ("°", "K")];
    const ROUNDING: Rounding = Rounding::Places(0);
    through!(si::temperature_interval::kelvin);
}

impl Quantity for ThermalResistance {
    const NAME: &'static str = "thermal resistance";
    const EXAMPLE: &'static str = "9 K/W";
    const ZERO_UNIT: &'static str = "K/W";
    const SPELLINGS: &'static [Spelling] = &[
        symbol("K/W", Ten(0), NO_PREFIX),
        symbol("°C/W", Ten(0), NO_PREFIX),
        symbol("C/W", Ten(0), NO_PREFIX),
        word("degc/w", Ten(0), NO_PREFIX),
        word("deg c/w", Ten(0), NO_PREFIX),
    ];
    const SHOWN: &'static [Shown] = &[shown(1.0, 0, "K/W")];
    through!(si::thermal_resistance::kelvin_per_watt);
}

impl Quantity for Time {
    const NAME: &'static str = "time";
    const EXAMPLE: &'static str = "30 s";
    const ZERO_UNIT: &'static str = "s";
    const SPELLINGS: &'static [Spelling] = &[
        symbol("s", Ten(0), &[NANO, MICRO, MILLI]),
        word("sec", Ten(0), &[MICRO, MILLI]),
        word("second", Ten(0), &[NANO, MICRO, MILLI]),
        word("min", Times(60.0), NO_PREFIX),
        word("minute", Times(60.0), NO_PREFIX),
        symbol("h", Times(3600.0), NO_PREFIX),
        word("hr", Times(3600.0), NO_PREFIX),
        word("hour", Times(3600.0), NO_PREFIX),
    ];
    const SHOWN: &'static [Shown] = &[
        shown(1e-9, -9, "ns"),
        shown(1e-6, -6, "µs"),
        shown(1e-3, -3, "ms"),
        shown(1.0, 0, "s"),
        shown_times(60.0, "min"),
        shown_times(3600.0, "h"),
    ];
    const MISREAD: &'static [(&'static str, &'static str)] = &[("m", "min")];
    through!(si::time::second);
}

impl Quantity for Transconductance {
    const NAME: &'static str = "transconductance";
    const EXAMPLE: &'static str = "5.2 mA/V";
    const ZERO_UNIT: &'static str = "mA/V";
    const SPELLINGS: &'static [Spelling] = &[
        symbol("S", Ten(0), &[NANO, MICRO, MILLI]),
        word("siemens", Ten(0), &[MICRO, MILLI]),
        symbol("A/V", Ten(0), &[MICRO, MILLI]),
        word("mho", Ten(0), &[MICRO, MILLI]),
    ];
    const SHOWN: &'static [Shown] =
        &[shown(1e-6, -6, "µA/V"), shown(1e-3, -3, "mA/V"), shown(1.0, 0, "A/V")];
    through!(si::electrical_conductance::siemens);
}

impl Quantity for Ratio {
    const NAME: &'static str = "ratio";
    const EXAMPLE: &'static str = "3 %";
    const ZERO_UNIT: &'static str = "%";
    const SPELLINGS: &'static [Spelling] = &[
        symbol("%", Ten(-2), NO_PREFIX),
        word("percent", Ten(-2), NO_PREFIX),
        word("per cent", Ten(-2), NO_PREFIX),
        word("pct", Ten(-2), NO_PREFIX),
    ];
    const SHOWN: &'static [Shown] = &[shown(1e-2, -2, "%")];
    const ROUNDING: Rounding = Rounding::Places(1);
    through!(si::ratio::ratio);
}
