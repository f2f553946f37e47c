//! Figures as a meter shows them.

use crate::{
    quantity::{
        Capacitance, Current, Inductance, Power, Quantity, Resistance, Temperature, Voltage, show,
        show_plain,
    },
    text::{off, places},
};

/// Volts, three digits.
pub fn volts(v: f64) -> String {
    minus(&show(Voltage::from_si(v)))
}

/// Amperes, three digits.
pub fn amps(a: f64) -> String {
    minus(&show(Current::from_si(a)))
}

/// A figure in its unit, as it is shown everywhere.
pub fn figure(value: f64, unit: &str) -> String {
    match unit {
        "V" => volts(value),
        "A" => amps(value),
        "W" => watts(value),
        "°C" => celsius(value),
        "Ω" => ohms(value),
        _ => format!("{value:.3} {unit}"),
    }
}

/// Watts: one or two decimals, since a milliwatt is of no interest here.
pub fn watts(w: f64) -> String {
    if w.abs() < 0.005 {
        "0 W".to_owned()
    } else if w.abs() < 3.0 {
        format!("{w:.2} W")
    } else if w.abs() < 100.0 {
        format!("{w:.1} W")
    } else {
        show(Power::from_si(w))
    }
}

/// Degrees Celsius.
pub fn celsius(c: f64) -> String {
    show(Temperature::from_si(c + 273.15))
}

/// Ohms, three digits.
pub fn ohms(r: f64) -> String {
    show(Resistance::from_si(r))
}

/// A share as "7.1 % high", or "the same".
pub fn percent(share: f64) -> String {
    off(share, "the same")
}

/// The unit in which what is `expected` is told, and figures beside it with as many places as three digits of it have.
pub fn digits(unit: &'static str, expected: f64) -> (&'static str, impl Fn(f64) -> String + use<>) {
    let (unit, factor) = match unit {
        "A" if expected.abs() < 1.0 => ("mA", 1e3),
        unit => (unit, 1.0),
    };
    // what rounds up to the next power of ten has its digits
    let digits = places(expected * factor / 0.9995, 3);
    (unit, move |value: f64| minus(&format!("{:.digits$}", value * factor)))
}

/// An uncertainty in volts, never in millivolts.
pub fn plus_or_minus(v: f64) -> String {
    let digits = if v < 1.0 { 2 } else { 1 };
    format!("±{v:.digits$} V")
}

/// A share as "+7.1 %", "0.0 %" where it is none.
pub fn signed_percent(share: f64) -> String {
    match (1000.0 * share).round() / 10.0 {
        0.0 => "0.0 %".to_owned(),
        tenths => minus(&format!("{tenths:+.1} %")),
    }
}

/// A figure in words, or a dash where there is none.
pub fn or_dash<T>(value: Option<T>, show: impl Fn(T) -> String) -> String {
    value.map_or_else(|| "-".to_owned(), show)
}

/// Volts of a point against chassis: a true minus, tenths up to 100 V, no millivolts.
pub fn point_volts(v: f64) -> String {
    if v.abs() < 0.005 {
        return "0 V".to_owned();
    }
    let text = if v.abs() < 1.0 {
        format!("{v:.2} V")
    } else if v.abs() < 9999.5 {
        // a kilovolt is still read in volts on the meter
        format!("{v:.*} V", places(v, 3))
    } else {
        volts(v)
    };
    minus(&text)
}

/// A figure with a true minus; what is written as zero has none.
pub fn minus(text: &str) -> String {
    match text.strip_prefix('-') {
        Some(zero) if !zero.contains(|c| matches!(c, '1'..='9')) => zero.to_owned(),
        _ => text.replace('-', "−"),
    }
}

/// Four digits, so that the reader's own sum comes out the same; ohms without idle zeros.
pub fn four_digits(value: f64, unit: &str) -> String {
    let (value, unit) = scaled(value, unit);
    // what rounds up to the next power of ten has its digits
    let rounded = value * (1.0 + 0.5e-4);
    let mut text = format!("{value:.*}", places(rounded, 4) + usize::from(rounded.abs() < 1.0));
    if unit.ends_with('Ω') && text.contains('.') {
        text = text.trim_end_matches('0').trim_end_matches('.').to_owned();
    }
    minus(&format!("{text} {unit}"))
}

/// A figure of a sum with all the digits it counts with, five at the most.
pub fn in_full(value: f64, unit: &str) -> String {
    let (value, unit) = scaled(value, unit);
    let value: f64 = format!("{value:.4e}").parse().unwrap_or(value);
    minus(&format!("{value} {unit}"))
}

/// In thousands or thousandths where figures are large or small.
fn scaled(value: f64, unit: &str) -> (f64, &str) {
    match (unit, value.abs()) {
        ("Ω", v) if v >= 1e6 => (value / 1e6, "MΩ"),
        ("Ω", v) if v >= 1e3 => (value / 1e3, "kΩ"),
        ("A", v) if v < 0.1 => (1e3 * value, "mA"),
        _ => (value, unit),
    }
}

/// Volts of a point with the end of a range; negative ones are written as none.
pub fn whole_volts(v: f64) -> String {
    format!("{:.0} V", v.max(0.0))
}

/// Volts to the half.
pub fn half_volts(v: f64) -> String {
    if v.fract() == 0.0 { format!("{v:.0} V") } else { format!("{v:.1} V") }
}

/// Volts a capacitor bears at switch-on; by rule with a dagger.
pub fn by_rule(v: f64, by_rule: bool) -> String {
    volts(v) + if by_rule { "†" } else { "" }
}

/// A slow-blow fuse: "1.6 A slow (IEC)".
pub fn slow((rating_a, standard): (f64, &str)) -> String {
    format!("{rating_a} A slow ({standard})")
}

/// Volts as marked on a part.
pub fn nameplate_volts(v: f64) -> String {
    show_plain(Voltage::from_si(v))
}

/// Ohms as marked on a part.
pub fn nameplate_ohms(r: f64) -> String {
    show_plain(Resistance::from_si(r))
}

/// Amperes as marked on a part.
pub fn nameplate_amps(a: f64) -> String {
    show_plain(Current::from_si(a))
}

/// A capacitor's value as marked on it.
pub fn nameplate_farads(f: f64) -> String {
    show_plain(Capacitance::from_si(f))
}

/// Ohms of a coil at work: whole from ten on, since its drop is checked with them.
pub fn coil_ohms(r: f64) -> String {
    if (10.0..99_999.5).contains(&r) { format!("{r:.0} Ω") } else { ohms(r) }
}

/// Henries, as marked on a part.
pub fn henries(l: f64) -> String {
    // three digits, without the zeros that a nameplate does not have
    let rounded = format!("{l:.2e}").parse().unwrap_or(l);
    show_plain(Inductance::from_si(rounded))
}
