//! Figures as a meter shows them.

use crate::quantity::{
    Capacitance, Current, Inductance, Power, Quantity, Resistance, Temperature, Voltage, show,
    show_plain,
};

/// Volts, three digits.
pub fn volts(v: f64) -> String {
    show(Voltage::from_si(v))
}

/// Amperes, three digits.
pub fn amps(a: f64) -> String {
    show(Current::from_si(a))
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
    let tenths = (1000.0 * share).round() / 10.0;
    if tenths == 0.0 {
        return "the same".to_owned();
    }
    let word = if tenths < 0.0 { "low" } else { "high" };
    format!("{:.1} % {word}", tenths.abs())
}

/// An uncertainty in volts, never in millivolts.
pub fn plus_or_minus(v: f64) -> String {
    let digits = if v < 1.0 { 2 } else { 1 };
    format!("±{v:.digits$} V")
}

/// A share as "+7.1 %", never "-0.0 %".
pub fn signed_percent(share: f64) -> String {
    let tenths = (1000.0 * share).round() / 10.0;
    format!("{:+.1} %", if tenths == 0.0 { 0.0 } else { tenths })
}

/// A figure in words, or a dash where there is none.
pub(super) fn or_dash<T>(value: Option<T>, show: impl Fn(T) -> String) -> String {
    value.map_or_else(|| "-".to_owned(), show)
}

/// The value of an adaptation's unknown.
pub fn resistance_or_volts(value: f64, unit: &str) -> String {
    if unit == "Ω" { ohms(value) } else { volts(value) }
}

/// Volts of a point against chassis: a true minus, tenths up to 100 V, no millivolts.
pub(super) fn point_volts(v: f64) -> String {
    if v.abs() < 0.005 {
        return "0 V".to_owned();
    }
    let text = if v.abs() < 1.0 {
        format!("{v:.2} V")
    } else if v.abs() < 9999.5 {
        // a kilovolt is still read in volts on the meter
        let digits = (2.0 - v.abs().log10().floor()).max(0.0) as usize;
        format!("{v:.digits$} V")
    } else {
        volts(v)
    };
    text.replace('-', "−")
}

/// Volts as marked on a part.
pub(super) fn nameplate_volts(v: f64) -> String {
    show_plain(Voltage::from_si(v))
}

/// Ohms as marked on a part.
pub(super) fn nameplate_ohms(r: f64) -> String {
    show_plain(Resistance::from_si(r))
}

/// Amperes as marked on a part.
pub(super) fn nameplate_amps(a: f64) -> String {
    show_plain(Current::from_si(a))
}

/// A capacitor's value as marked on it.
pub(super) fn nameplate_farads(f: f64) -> String {
    show_plain(Capacitance::from_si(f))
}

/// Ohms of a coil at work: whole from ten on, since its drop is checked with them.
pub(super) fn coil_ohms(r: f64) -> String {
    if (10.0..99_999.5).contains(&r) { format!("{r:.0} Ω") } else { ohms(r) }
}

/// Henries, as marked on a part.
pub(super) fn henries(l: f64) -> String {
    // three digits, without the zeros that a nameplate does not have
    let rounded = format!("{l:.2e}").parse().unwrap_or(l);
    show_plain(Inductance::from_si(rounded))
}
