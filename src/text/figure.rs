//! Figures in the words of a sentence.

/// A value with its unit, three digits, small currents in mA.
pub fn figure(value: f64, unit: &str) -> String {
    if unit == "A" && value.abs() < 1.0 {
        return figure(1e3 * value, "mA");
    }
    let digits = match value.abs() {
        v if v >= 100.0 => 0,
        v if v >= 10.0 => 1,
        _ => 2,
    };
    format!("{value:.digits$} {unit}")
}

/// "7.1 % high", "2.0 % low" or "as rated".
pub fn high_or_low(share: f64) -> String {
    off(share, "as rated")
}

/// How far a share is off, in tenths of a per cent: "7.1 % high"; `same` where none is left.
pub fn off(share: f64, same: &str) -> String {
    let tenths = (1000.0 * share).round() / 10.0;
    match tenths {
        0.0 => same.to_owned(),
        t if t < 0.0 => format!("{:.1} % low", -t),
        t => format!("{t:.1} % high"),
    }
}
