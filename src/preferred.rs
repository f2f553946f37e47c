//! Preferred numbers of IEC 60063 for resistors and capacitors.
//!
//! The tables are written by heart of the standard: †, not checked against the source. E6 to E24 are not the
//! rounded powers of ten to the 1/n and stand here as the standard lists them;
//! E96 are, to three digits, and the tests reckon them anew. (The one
//! exception among the three-digit values, 9.20, belongs to E192 only.)

/// A series of preferred numbers, named by how many there are in a decade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Series {
    /// Six values; was made with 20 % tolerance.
    E6,
    /// Twelve values; was made with 10 % tolerance.
    E12,
    /// Twenty-four values; was made with 5 % tolerance.
    E24,
    /// Ninety-six values; 1 % tolerance.
    E96,
}

/// Smallest and largest value taken, in whatever unit: far wider than any
/// part, and safe from overflow.
const TAKEN: std::ops::RangeInclusive<f64> = 1e-30..=1e30;

/// A value this near to a preferred one, by ratio, is that one: the difference
/// is binary rounding.
const SAME: f64 = 1e-9;

static E24: [f64; 24] = [
    1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6,
    6.2, 6.8, 7.5, 8.2, 9.1,
];
static E96: [f64; 96] = [
    1.00, 1.02, 1.05, 1.07, 1.10, 1.13, 1.15, 1.18, 1.21, 1.24, 1.27, 1.30, 1.33, 1.37, 1.40, 1.43,
    1.47, 1.50, 1.54, 1.58, 1.62, 1.65, 1.69, 1.74, 1.78, 1.82, 1.87, 1.91, 1.96, 2.00, 2.05, 2.10,
    2.15, 2.21, 2.26, 2.32, 2.37, 2.43, 2.49, 2.55, 2.61, 2.67, 2.74, 2.80, 2.87, 2.94, 3.01, 3.09,
    3.16, 3.24, 3.32, 3.40, 3.48, 3.57, 3.65, 3.74, 3.83, 3.92, 4.02, 4.12, 4.22, 4.32, 4.42, 4.53,
    4.64, 4.75, 4.87, 4.99, 5.11, 5.23, 5.36, 5.49, 5.62, 5.76, 5.90, 6.04, 6.19, 6.34, 6.49, 6.65,
    6.81, 6.98, 7.15, 7.32, 7.50, 7.68, 7.87, 8.06, 8.25, 8.45, 8.66, 8.87, 9.09, 9.31, 9.53, 9.76,
];

impl Series {
    /// The finest list it is part of, and which of that one's values are its own: each coarser series has every other
    /// value of the next finer one (IEC 60063 †).
    fn list(self) -> (&'static [f64], usize) {
        match self {
            Series::E6 => (&E24, 4),
            Series::E12 => (&E24, 2),
            Series::E24 => (&E24, 1),
            Series::E96 => (&E96, 1),
        }
    }

    /// The value at `index` in the unending row; 0 is the value 1. Taken through decimal text, so that
    /// 4.7 in the decade of micro is the same `f64` as a written 4.7e-6.
    fn value(self, index: i32) -> f64 {
        let (list, step) = self.list();
        let count = (list.len() / step) as i32;
        let mantissa = list[index.rem_euclid(count) as usize * step];
        let text = format!("{mantissa:.2}e{}", index.div_euclid(count));
        text.parse().expect("a decimal with an exponent is always a number")
    }

    /// Number in the row of the first value not below `wanted`, and whether that value is `wanted` itself.
    fn place(self, wanted: f64) -> Option<(i32, bool)> {
        if !TAKEN.contains(&wanted) {
            return None;
        }
        // Start surely below, then climb: at most a decade or two of steps.
        let (list, step) = self.list();
        let mut index = ((wanted.log10().floor() as i32) - 1) * (list.len() / step) as i32;
        while self.value(index) < wanted * (1.0 - SAME) {
            index += 1;
        }
        Some((index, self.value(index) <= wanted * (1.0 + SAME)))
    }
}

/// The preferred value nearest to `wanted` by ratio; the lower one if both
/// neighbours are equally near. `None` unless `wanted` is from 1e-30 to 1e30.
pub fn nearest(series: Series, wanted: f64) -> Option<f64> {
    let (low, high) = (below(series, wanted)?, above(series, wanted)?);
    Some(if wanted / low <= high / wanted { low } else { high })
}

/// The largest preferred value not above `wanted`; `wanted` itself if it is one. `None` as for [`nearest`].
pub fn below(series: Series, wanted: f64) -> Option<f64> {
    let (index, exact) = series.place(wanted)?;
    Some(series.value(index - i32::from(!exact)))
}

/// The smallest preferred value not below `wanted`; `wanted` itself if it is one. `None` as for [`nearest`].
pub fn above(series: Series, wanted: f64) -> Option<f64> {
    Some(series.value(series.place(wanted)?.0))
}

/// All preferred values from `low` to `high`, both included, rising; empty if
/// none lies between. `None` as for [`nearest`], for either end.
pub fn in_range(series: Series, low: f64, high: f64) -> Option<Vec<f64>> {
    let (first, (last, exact)) = (series.place(low)?.0, series.place(high)?);
    Some((first..last + i32::from(exact)).map(|index| series.value(index)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Series; 4] = [Series::E6, Series::E12, Series::E24, Series::E96];

    /// The values of one decade.
    fn values(series: Series) -> Vec<f64> {
        let mut list = in_range(series, 1.0, 10.0).unwrap();
        assert_eq!(list.pop(), Some(10.0));
        list
    }

    /// IEC 60063: E96 are the powers of 10^(1/96) to three digits; 9.20 is an E192 value only.
    #[test]
    fn fine_series_are_the_rounded_powers() {
        let listed = values(Series::E96);
        assert_eq!(listed.len(), 96);
        for (step, &value) in listed.iter().enumerate() {
            let power = 10f64.powf(step as f64 / listed.len() as f64);
            assert_eq!((power * 100.0).round(), (value * 100.0).round());
        }
        assert!(!listed.contains(&9.20));
    }

    /// IEC 60063 †: the coarse series depart from the rounded powers
    /// of 10^(1/24) in just these eight places.
    #[test]
    fn coarse_series_depart_where_the_standard_does() {
        let departures: Vec<(f64, f64)> = values(Series::E24)
            .iter()
            .enumerate()
            .map(|(step, &listed)| ((10f64.powf(step as f64 / 24.0) * 10.0).round() / 10.0, listed))
            .filter(|(power, listed)| power != listed)
            .collect();
        let known = [
            (2.6, 2.7),
            (2.9, 3.0),
            (3.2, 3.3),
            (3.5, 3.6),
            (3.8, 3.9),
            (4.2, 4.3),
            (4.6, 4.7),
            (8.3, 8.2),
        ];
        assert_eq!(departures, known);
    }

    /// IEC 60063 †, E6 and E12 as the standard lists them, by themselves.
    #[test]
    fn coarse_series_are_those_of_the_standard() {
        assert_eq!(values(Series::E6), [1.0, 1.5, 2.2, 3.3, 4.7, 6.8]);
        assert_eq!(
            values(Series::E12),
            [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2]
        );
        assert_eq!(values(Series::E24).len(), 24);
    }

    /// Neighbours read off the E12 and E24 lists of IEC 60063 †;
    /// the geometric mean of 4.7 and 5.6 is 5.130.
    #[test]
    fn nearest_goes_by_ratio() {
        assert_eq!(nearest(Series::E12, 5120.0), Some(4700.0));
        assert_eq!(nearest(Series::E12, 5140.0), Some(5600.0));
        assert_eq!(nearest(Series::E24, 5140.0), Some(5100.0));
        // The mean of 3.3 and 4.7 is 4.0 by difference, 3.938 by ratio.
        assert_eq!(nearest(Series::E6, 3.97), Some(4.7));
        assert_eq!(nearest(Series::E6, 0.99), Some(1.0));
    }

    #[test]
    fn neighbours_cross_decades_and_keep_members() {
        assert_eq!(below(Series::E12, 1.0), Some(1.0));
        assert_eq!(below(Series::E12, 0.99), Some(0.82));
        assert_eq!(above(Series::E12, 8.3), Some(10.0));
        assert_eq!(above(Series::E6, 4.7e-6), Some(4.7e-6));
        // Rounding left by arithmetic must not push a member to its neighbour.
        let reckoned = 4.7 * 1e-6 * (1.0 - 3.0 * f64::EPSILON);
        assert_eq!(below(Series::E6, reckoned), Some(4.7e-6));
    }

    #[test]
    fn ranges_hold_both_ends() {
        assert_eq!(in_range(Series::E6, 6.8, 22.0), Some(vec![6.8, 10.0, 15.0, 22.0]));
        assert_eq!(in_range(Series::E6, 2.3, 3.2), Some(vec![]));
        assert_eq!(in_range(Series::E6, 5.0, 4.0), Some(vec![]));
        // 61 ends of decade, 60 whole decades of 96.
        let all = in_range(Series::E96, 1e-30, 1e30).map(|all| all.len());
        assert_eq!(all, Some(60 * 96 + 1));
    }

    #[test]
    fn nonsense_is_refused() {
        for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0, -0.0, 1e-31, 1e31, 5e-324] {
            for series in ALL {
                assert!(nearest(series, bad).is_none(), "{bad}");
                assert!(below(series, bad).is_none(), "{bad}");
                assert!(above(series, bad).is_none(), "{bad}");
                assert!(in_range(series, bad, 1.0).is_none(), "{bad}");
                assert!(in_range(series, 1.0, bad).is_none(), "{bad}");
            }
        }
    }
}
