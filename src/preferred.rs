//! Preferred numbers of IEC 60063 for resistors and capacitors.
//!
//! The tables are written by heart of the standard: †, not checked against the source. E3 to E24 are not the
//! rounded powers of ten to the 1/n and stand here as the standard lists them;
//! E48 and E96 are, to three digits, and the tests reckon them anew. (The one
//! exception among the three-digit values, 9.20, belongs to E192 only.)

use thiserror::Error;

/// A series of preferred numbers, named by how many there are in a decade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Series {
    /// Three values.
    E3,
    /// Six values; was made with 20 % tolerance.
    E6,
    /// Twelve values; was made with 10 % tolerance.
    E12,
    /// Twenty-four values; was made with 5 % tolerance.
    E24,
    /// Forty-eight values; 2 % tolerance.
    E48,
    /// Ninety-six values; 1 % tolerance.
    E96,
}

/// Smallest and largest value taken, in whatever unit: far wider than any
/// part, and safe from overflow.
pub const SMALLEST: f64 = 1e-30;
/// See [`SMALLEST`].
pub const LARGEST: f64 = 1e30;

/// A value this near to a preferred one, by ratio, is that one: the difference
/// is binary rounding.
const SAME: f64 = 1e-9;

/// Refusal of a value or range.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum PreferredError {
    /// NaN or infinite.
    #[error("{found} is not a finite number; give the value wanted in ohms or farads, like 4700")]
    NotFinite {
        /// What was given.
        found: f64,
    },
    /// Zero or negative.
    #[error(
        "{found} has no preferred value near it, for all of them are above zero; give a value like 4700"
    )]
    NotPositive {
        /// What was given.
        found: f64,
    },
    /// Outside [`SMALLEST`] to [`LARGEST`].
    #[error("{found:e} is no value of a part; give one between {SMALLEST:e} and {LARGEST:e}")]
    OutOfRange {
        /// What was given.
        found: f64,
    },
    /// Ends the wrong way round.
    #[error("the range from {low} to {high} runs backwards; give the smaller end first")]
    Backwards {
        /// Lower end given.
        low: f64,
        /// Upper end given.
        high: f64,
    },
}

static E3: [f64; 3] = [1.0, 2.2, 4.7];
static E6: [f64; 6] = [1.0, 1.5, 2.2, 3.3, 4.7, 6.8];
static E12: [f64; 12] = [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2];
static E24: [f64; 24] = [
    1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6,
    6.2, 6.8, 7.5, 8.2, 9.1,
];
static E48: [f64; 48] = [
    1.00, 1.05, 1.10, 1.15, 1.21, 1.27, 1.33, 1.40, 1.47, 1.54, 1.62, 1.69, 1.78, 1.87, 1.96, 2.05,
    2.15, 2.26, 2.37, 2.49, 2.61, 2.74, 2.87, 3.01, 3.16, 3.32, 3.48, 3.65, 3.83, 4.02, 4.22, 4.42,
    4.64, 4.87, 5.11, 5.36, 5.62, 5.90, 6.19, 6.49, 6.81, 7.15, 7.50, 7.87, 8.25, 8.66, 9.09, 9.53,
];
static E96: [f64; 96] = [
    1.00, 1.02, 1.05, 1.07, 1.10, 1.13, 1.15, 1.18, 1.21, 1.24, 1.27, 1.30, 1.33, 1.37, 1.40, 1.43,
    1.47, 1.50, 1.54, 1.58, 1.62, 1.65, 1.69, 1.74, 1.78, 1.82, 1.87, 1.91, 1.96, 2.00, 2.05, 2.10,
    2.15, 2.21, 2.26, 2.32, 2.37, 2.43, 2.49, 2.55, 2.61, 2.67, 2.74, 2.80, 2.87, 2.94, 3.01, 3.09,
    3.16, 3.24, 3.32, 3.40, 3.48, 3.57, 3.65, 3.74, 3.83, 3.92, 4.02, 4.12, 4.22, 4.32, 4.42, 4.53,
    4.64, 4.75, 4.87, 4.99, 5.11, 5.23, 5.36, 5.49, 5.62, 5.76, 5.90, 6.04, 6.19, 6.34, 6.49, 6.65,
    6.81, 6.98, 7.15, 7.32, 7.50, 7.68, 7.87, 8.06, 8.25, 8.45, 8.66, 8.87, 9.09, 9.31, 9.53, 9.76,
];

/// The values of one decade, from 1 up to but not including 10, rising.
pub fn values(series: Series) -> &'static [f64] {
    match series {
        Series::E3 => &E3,
        Series::E6 => &E6,
        Series::E12 => &E12,
        Series::E24 => &E24,
        Series::E48 => &E48,
        Series::E96 => &E96,
    }
}

/// The preferred value nearest to `wanted` by ratio; the lower one if both
/// neighbours are equally near.
///
/// # Errors
///
/// [`PreferredError`] unless `wanted` is from [`SMALLEST`] to [`LARGEST`].
pub fn nearest(series: Series, wanted: f64) -> Result<f64, PreferredError> {
    let (low, high) = (below(series, wanted)?, above(series, wanted)?);
    Ok(if wanted / low <= high / wanted { low } else { high })
}

/// The largest preferred value not above `wanted`; `wanted` itself if it is one.
///
/// # Errors
///
/// As for [`nearest`].
pub fn below(series: Series, wanted: f64) -> Result<f64, PreferredError> {
    let place = Place::of(series, wanted)?;
    Ok(match place.exact {
        true => place.value(series, 0),
        false => place.value(series, -1),
    })
}

/// The smallest preferred value not below `wanted`; `wanted` itself if it is one.
///
/// # Errors
///
/// As for [`nearest`].
pub fn above(series: Series, wanted: f64) -> Result<f64, PreferredError> {
    Ok(Place::of(series, wanted)?.value(series, 0))
}

/// All preferred values from `low` to `high`, both included, rising; empty if
/// none lies between.
///
/// # Errors
///
/// As for [`nearest`], for either end, and if `low` is above `high`.
pub fn in_range(series: Series, low: f64, high: f64) -> Result<Vec<f64>, PreferredError> {
    let (first, last) = (Place::of(series, low)?, Place::of(series, high)?);
    if low > high {
        return Err(PreferredError::Backwards { low, high });
    }
    let past_last = last.index + i32::from(last.exact);
    Ok((first.index..past_last).map(|index| value_at(series, index)).collect())
}

/// Where a value falls in the unending row of preferred values.
struct Place {
    /// Number in the row of the first value not below it; 0 is the value 1.
    index: i32,
    /// Whether that value is the value itself.
    exact: bool,
}

impl Place {
    fn of(series: Series, wanted: f64) -> Result<Self, PreferredError> {
        check(wanted)?;
        // Start surely below, then climb: at most a decade or two of steps.
        let decade = (wanted.log10().floor() as i32) - 1;
        let mut index = decade * count(series);
        while value_at(series, index) < wanted * (1.0 - SAME) {
            index += 1;
        }
        let exact = value_at(series, index) <= wanted * (1.0 + SAME);
        Ok(Self { index, exact })
    }

    fn value(&self, series: Series, step: i32) -> f64 {
        value_at(series, self.index + step)
    }
}

fn check(found: f64) -> Result<(), PreferredError> {
    if !found.is_finite() {
        Err(PreferredError::NotFinite { found })
    } else if found <= 0.0 {
        Err(PreferredError::NotPositive { found })
    } else if !(SMALLEST..=LARGEST).contains(&found) {
        Err(PreferredError::OutOfRange { found })
    } else {
        Ok(())
    }
}

fn count(series: Series) -> i32 {
    match series {
        Series::E3 => 3,
        Series::E6 => 6,
        Series::E12 => 12,
        Series::E24 => 24,
        Series::E48 => 48,
        Series::E96 => 96,
    }
}

/// The value at `index` in the row. Taken through decimal text, so that
/// 4.7 in the decade of micro is the same `f64` as a written 4.7e-6.
fn value_at(series: Series, index: i32) -> f64 {
    let count = count(series);
    let in_decade = index.rem_euclid(count) as usize;
    let mantissa = values(series)[in_decade];
    format!("{mantissa:.2}e{}", index.div_euclid(count))
        .parse()
        .expect("a decimal with an exponent is always a number")
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Series; 6] =
        [Series::E3, Series::E6, Series::E12, Series::E24, Series::E48, Series::E96];

    /// IEC 60063: E48 and E96 are the powers of 10^(1/n) to three digits.
    #[test]
    fn fine_series_are_the_rounded_powers() {
        for series in [Series::E48, Series::E96] {
            let listed = values(series);
            for (step, &value) in listed.iter().enumerate() {
                let power = 10f64.powf(step as f64 / listed.len() as f64);
                assert_eq!((power * 100.0).round(), (value * 100.0).round());
            }
        }
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

    /// IEC 60063: each coarse series is every other value of the next finer one.
    #[test]
    fn each_series_is_half_of_the_next() {
        for pair in [
            (Series::E3, Series::E6),
            (Series::E6, Series::E12),
            (Series::E12, Series::E24),
            (Series::E48, Series::E96),
        ] {
            let halved: Vec<f64> = values(pair.1).iter().copied().step_by(2).collect();
            assert_eq!(values(pair.0), halved, "{pair:?}");
        }
    }

    /// Counts by the names of the series; 9.20 is an E192 value only.
    #[test]
    fn counts_are_right_and_e192_values_are_absent() {
        for series in ALL {
            assert_eq!(values(series).len() as i32, count(series));
        }
        assert!(!values(Series::E96).contains(&9.20));
    }

    /// Neighbours read off the E12 and E24 lists of IEC 60063 †;
    /// the geometric mean of 4.7 and 5.6 is 5.130.
    #[test]
    fn nearest_goes_by_ratio() {
        assert_eq!(nearest(Series::E12, 5120.0), Ok(4700.0));
        assert_eq!(nearest(Series::E12, 5140.0), Ok(5600.0));
        assert_eq!(nearest(Series::E24, 5140.0), Ok(5100.0));
        // The mean of 3.3 and 4.7 is 4.0 by difference, 3.938 by ratio.
        assert_eq!(nearest(Series::E6, 3.97), Ok(4.7));
        assert_eq!(nearest(Series::E3, 0.99), Ok(1.0));
    }

    #[test]
    fn neighbours_cross_decades_and_keep_members() {
        assert_eq!(below(Series::E12, 1.0), Ok(1.0));
        assert_eq!(below(Series::E12, 0.99), Ok(0.82));
        assert_eq!(above(Series::E12, 8.3), Ok(10.0));
        assert_eq!(above(Series::E6, 4.7e-6), Ok(4.7e-6));
        // Rounding left by arithmetic must not push a member to its neighbour.
        let reckoned = 4.7 * 1e-6 * (1.0 - 3.0 * f64::EPSILON);
        assert_eq!(below(Series::E6, reckoned), Ok(4.7e-6));
    }

    #[test]
    fn ranges_hold_both_ends() {
        assert_eq!(in_range(Series::E6, 6.8, 22.0), Ok(vec![6.8, 10.0, 15.0, 22.0]));
        assert_eq!(in_range(Series::E3, 2.3, 4.6), Ok(vec![]));
        assert_eq!(
            in_range(Series::E3, 5.0, 4.0),
            Err(PreferredError::Backwards { low: 5.0, high: 4.0 })
        );
        // 61 ends of decade, 60 whole decades of 96.
        let all = in_range(Series::E96, SMALLEST, LARGEST).map(|all| all.len());
        assert_eq!(all, Ok(60 * 96 + 1));
    }

    #[test]
    fn nonsense_is_refused() {
        for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0, -0.0, 1e-31, 1e31, 5e-324] {
            for series in ALL {
                assert!(nearest(series, bad).is_err(), "{bad}");
                assert!(below(series, bad).is_err(), "{bad}");
                assert!(above(series, bad).is_err(), "{bad}");
                assert!(in_range(series, bad, 1.0).is_err(), "{bad}");
                assert!(in_range(series, 1.0, bad).is_err(), "{bad}");
            }
        }
    }
}
