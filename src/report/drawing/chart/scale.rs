//! The range of an axis, its power of ten and its ticks.

use plotters::coord::ranged1d::Ranged;
use plotters::coord::types::RangedCoordf64;

/// Magnitudes shown as they are; others get a power of ten at the unit.
const PLAIN: std::ops::Range<f64> = 0.01..1e6;
/// A range narrower than this share of its largest value is noise about a constant.
const FLAT: f64 = 1e-4;
/// Below this a value counts as zero, so that its power of ten can be divided by.
const LEAST: f64 = 1e-290;

/// An axis's range, in units of `10^exponent`; never empty, never infinite.
#[derive(Debug, Clone, Copy)]
pub struct Scale {
    /// Lower end.
    pub lo: f64,
    /// Upper end.
    pub hi: f64,
    exponent: i32,
}

impl Scale {
    /// A range that holds every finite value, widened by the share `margin` of its span at each end.
    pub fn over(values: impl Iterator<Item = f64>, margin: f64) -> Scale {
        let (mut lo, mut hi) = (f64::INFINITY, f64::NEG_INFINITY);
        for v in values.filter(|v| v.is_finite()) {
            (lo, hi) = (lo.min(v), hi.max(v));
        }
        if lo > hi {
            (lo, hi) = (0.0, 1.0);
        }
        let most = lo.abs().max(hi.abs());
        let exponent =
            if most < LEAST || PLAIN.contains(&most) { 0 } else { most.log10().floor() as i32 };
        let scale = Scale { lo, hi, exponent };
        let (lo, hi) = (scale.of(lo), scale.of(hi));
        let most = lo.abs().max(hi.abs());
        let span = hi - lo;
        if span <= FLAT * most || most < LEAST {
            let half = if most < LEAST { 1.0 } else { 0.1 * most };
            let middle = lo + 0.5 * span;
            return Scale { lo: middle - half, hi: middle + half, exponent };
        }
        let mut wide = lo - margin * span;
        if lo >= 0.0 {
            wide = wide.max(0.0);
        }
        Scale { lo: wide, hi: hi + margin * span, exponent }
    }

    /// A value in units of the axis.
    pub fn of(&self, value: f64) -> f64 {
        value / 10f64.powi(self.exponent)
    }

    /// Where a value stands between the ends: 0 at the lower, 1 at the upper.
    pub fn share(&self, value: f64) -> f64 {
        (self.of(value) - self.lo) / (self.hi - self.lo)
    }

    /// Round values within the range, `most` of them or fewer, in units of the axis: those `plotters` marks.
    pub fn ticks(&self, most: usize) -> Vec<f64> {
        RangedCoordf64::from(self.lo..self.hi).key_points(most)
    }

    /// The text of one of the `ticks`: as many decimals as tell them apart.
    pub fn label(ticks: &[f64], value: f64) -> String {
        let round = |digits: i32| {
            ticks.iter().all(|t| {
                let scaled = t * 10f64.powi(digits);
                (scaled - scaled.round()).abs() < 1e-3
            })
        };
        let digits = (0..8).find(|d| round(*d)).unwrap_or(8);
        let text = format!("{value:.*}", usize::try_from(digits).unwrap_or(0));
        match text.strip_prefix('-') {
            Some(zero) if zero.chars().all(|c| c == '0' || c == '.') => zero.to_owned(),
            Some(rest) => format!("−{rest}"),
            None => text,
        }
    }

    /// A name with its unit: `B+, V DC`, `leak, ×10⁻⁹ A`.
    pub fn unit(&self, unit: &str) -> String {
        if self.exponent == 0 {
            return unit.trim().to_owned();
        }
        let power = self.exponent.to_string();
        let raised = power.chars().filter_map(|c| match c {
            '-' => Some('⁻'),
            digit => "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().nth(usize::try_from(digit.to_digit(10)?).ok()?),
        });
        format!("×10{} {unit}", raised.collect::<String>()).trim().to_owned()
    }
}
