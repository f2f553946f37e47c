//! Capacitors: the rated volts that are sold, and the surge that electrolytic ones bear.

use crate::catalogue::words::words;

/// Rated volts of the trade, V (common practice, no source).
const RATED_V: [f64; 18] = [
    16.0, 25.0, 35.0, 50.0, 63.0, 100.0, 160.0, 200.0, 250.0, 315.0, 350.0, 385.0, 400.0, 450.0,
    475.0, 500.0, 525.0, 600.0,
];
/// DC volts that film capacitors are rated for, V: series R5 of preferred numbers (ISO 3 †, which IEC 60384-2 takes over †).
const FILM_V: [f64; 8] = [63.0, 100.0, 160.0, 250.0, 400.0, 630.0, 1000.0, 1600.0];

/// Surge volts of a capacitor rated for `rated_v` whose maker states none: 1.15 times the rated ones up to 315 V, 1.10 times
/// above (IEC 60384-4 †).
pub fn surge_by_rule(rated_v: f64) -> f64 {
    if rated_v <= 315.0 { 1.15 * rated_v } else { 1.1 * rated_v }
}

/// The lowest rated volts of the trade that bear `running_v` for good and `switch_on_v` at switch-on, V.
pub fn capacitor_for(running_v: f64, switch_on_v: f64) -> Option<f64> {
    RATED_V.into_iter().find(|v| *v >= running_v && surge_by_rule(*v) >= switch_on_v)
}

/// The lowest rated DC volts of the trade that a film capacitor needs for `highest_v`: nothing is borne above them, V.
pub fn film_for(highest_v: f64) -> Option<f64> {
    FILM_V.into_iter().find(|v| *v >= highest_v)
}

words! {
    /// A class of safety capacitors (IEC 60384-14 †).
    pub enum LineClass {
        /// Across the line, where a short is no shock.
        X2 = "X2",
        /// From line to what can be touched.
        Y2 = "Y2",
    }
}

impl LineClass {
    /// The lowest rated AC volts of the trade for a line of `line_v`, V (common practice, no source): class X2 for 275 and
    /// 310 V, class Y2 for 250 and 300 V.
    pub fn rated_for(self, line_v: f64) -> Option<f64> {
        let sold = match self {
            LineClass::X2 => [275.0, 310.0],
            LineClass::Y2 => [250.0, 300.0],
        };
        sold.into_iter().find(|v| *v >= line_v)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IEC 60384-4 †: 1.15 times to 315 V, 1.10 times above; by hand 450 V bears 495 V and 315 V bears 362 V.
    #[test]
    fn the_next_capacitor_bears_both() {
        assert!((surge_by_rule(450.0) - 495.0).abs() < 1e-9);
        assert!((surge_by_rule(315.0) - 362.25).abs() < 1e-9);
        assert_eq!(capacitor_for(300.0, 340.0), Some(315.0));
        assert_eq!(capacitor_for(300.0, 363.0), Some(350.0));
        assert_eq!(capacitor_for(455.0, 455.0), Some(475.0));
        assert_eq!(capacitor_for(400.0, 496.0), Some(475.0));
        assert_eq!(capacitor_for(300.0, 700.0), None);
        // 15 V of a cathode and half as much again: 22.5 V
        assert_eq!(capacitor_for(22.5, 22.5), Some(25.0));
    }

    /// R5 of ISO 3 †: 1.0, 1.6, 2.5, 4.0, 6.3; a film capacitor bears no more than its rating.
    #[test]
    fn films_stand_what_they_are_rated_for() {
        assert_eq!(film_for(250.0), Some(250.0));
        assert_eq!(film_for(251.0), Some(400.0));
        assert_eq!(film_for(1601.0), None);
    }

    #[test]
    fn safety_capacitors_are_rated_above_the_line() {
        assert_eq!(
            [126.0, 253.0, 400.0].map(|v| LineClass::X2.rated_for(v)),
            [Some(275.0), Some(275.0), None]
        );
        assert_eq!([126.0, 253.0].map(|v| LineClass::Y2.rated_for(v)), [Some(250.0), Some(300.0)]);
    }
}
