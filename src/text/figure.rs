//! Figures in the words of a sentence.

/// A value with its unit, three digits, small currents in mA.
pub fn figure(value: f64, unit: &str) -> String {
    if unit == "A" && value.abs() < 1.0 {
        return figure(1e3 * value, "mA");
    }
    format!("{} {unit}", fixed(value, places(value, 3)))
}

/// A value with so many places, and no minus where they are all nothing.
pub fn fixed(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.trim_matches(['0', '.']).is_empty() => digits.to_owned(),
        _ => text,
    }
}

/// Places behind the point for so many digits in all: one less, and one less for each ten ahead of it.
pub fn places(value: f64, digits: i32) -> usize {
    (1..digits).filter(|n| value.abs() < 10_f64.powi(*n)).count()
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

#[cfg(test)]
mod tests {
    use super::{figure, fixed, high_or_low, places};

    #[test]
    fn nothing_has_no_minus() {
        let told = [(-0.004, 2), (-0.4, 0), (-0.0, 1), (-0.006, 2), (-10.0, 0)];
        let told = told.map(|(value, places)| fixed(value, places));
        assert_eq!(told, ["0.00", "0", "0.0", "-0.01", "-10"]);
    }

    #[test]
    fn figures_of_a_sentence() {
        assert_eq!([9.99, 10.0, 99.9, 100.0, 1e4, -0.0].map(|v| places(v, 3)), [2, 1, 1, 0, 0, 2]);
        assert_eq!(figure(0.25, "A"), "250 mA");
        assert_eq!(figure(6.3, "V"), "6.30 V");
        let shares = [0.071, -0.0207, 0.0004].map(high_or_low);
        assert_eq!(shares, ["7.1 % high", "2.1 % low", "as rated"]);
    }
}
