//! Parts one can buy for the mains lead: wirewound resistors and small transformers. Generic, no makers.

use crate::preferred::{Series, in_range};
use std::sync::OnceLock;

const RESISTORS_CSV: &str = include_str!("data/stock_resistors.csv");
const TRANSFORMERS_CSV: &str = include_str!("data/stock_transformers.csv");

/// Old round values in which wirewound power resistors are still stocked, Ω (from memory).
const ROUND_OHMS: [f64; 14] = [
    1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 75.0, 100.0,
];
/// Stock secondary currents, A (from memory).
pub const STOCK_AMPS: [f64; 11] = [0.3, 0.6, 1.0, 1.2, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];

/// A size in which wirewound resistors are made.
#[derive(Debug, Clone, PartialEq)]
pub struct ResistorSize {
    /// Kind of construction.
    pub kind: String,
    /// Printed rating, W.
    pub rating_w: f64,
    /// Where the size comes from.
    pub source: String,
}

/// A stock secondary voltage.
#[derive(Debug, Clone, PartialEq)]
pub struct Secondary {
    /// Rated volts at rated load.
    pub volts: f64,
    /// True for parts with a 230 V primary.
    pub metric: bool,
    /// Where the figure comes from.
    pub source: String,
}

fn rows<T>(text: &str, read: impl Fn(&csv::StringRecord) -> Option<T>) -> Vec<T> {
    csv::Reader::from_reader(text.as_bytes())
        .records()
        .filter_map(|row| row.ok().as_ref().and_then(&read))
        .collect()
}

/// Sizes of wirewound resistors, smallest first.
pub fn resistor_sizes() -> &'static [ResistorSize] {
    static LIST: OnceLock<Vec<ResistorSize>> = OnceLock::new();
    LIST.get_or_init(|| {
        let mut list = rows(RESISTORS_CSV, |row| {
            Some(ResistorSize {
                kind: row.get(0)?.to_owned(),
                rating_w: row.get(1)?.parse().ok()?,
                source: row.get(2)?.to_owned(),
            })
        });
        list.sort_by(|a, b| a.rating_w.total_cmp(&b.rating_w));
        list
    })
}

/// Stock secondaries.
pub fn secondaries() -> &'static [Secondary] {
    static LIST: OnceLock<Vec<Secondary>> = OnceLock::new();
    LIST.get_or_init(|| {
        rows(TRANSFORMERS_CSV, |row| {
            Some(Secondary {
                volts: row.get(0)?.parse().ok()?,
                metric: row.get(1)? == "metric",
                source: row.get(2)?.to_owned(),
            })
        })
    })
}

/// Stock resistor values from 1 to 1000 Ω: the E12 series (IEC 60063) and the old round values.
pub fn resistor_values() -> Vec<f64> {
    let mut list = in_range(Series::E12, 1.0, 1000.0).unwrap_or_default();
    list.extend(ROUND_OHMS);
    list.sort_by(f64::total_cmp);
    list.dedup_by(|a, b| (*a / *b - 1.0).abs() < 1e-9);
    list
}

/// The two stock values around `ohms` (fewer at the ends), nearest by ratio first.
pub fn resistors_near(ohms: f64) -> Vec<f64> {
    let list = resistor_values();
    let below = list.iter().rev().find(|v| **v <= ohms);
    let above = list.iter().find(|v| **v > ohms);
    let mut near: Vec<f64> = below.into_iter().chain(above).copied().collect();
    near.sort_by(|a, b| (a / ohms).ln().abs().total_cmp(&(b / ohms).ln().abs()));
    near
}

/// The standard a fuse is made to. Ratings of the two are not the same thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FuseStandard {
    /// UL 248-14: carries its rating, opens at 135 % within an hour and at 200 % within 2 minutes.
    Ul,
    /// IEC 60127-2 sheet 3, time-lag: must hold 150 % for an hour, opens at 210 % within 2 minutes.
    Iec,
}

/// Standard ratings in amperes, from memory: the US series and the R10 series of IEC 60127.
const UL_RATINGS: [f64; 12] = [
    0.125, 0.1875, 0.25, 0.375, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0,
];
const IEC_RATINGS: [f64; 15] = [
    0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15,
];

impl FuseStandard {
    /// The usual standard where sets of `design_line` volts are used.
    pub fn for_line(design_line: f64) -> FuseStandard {
        if design_line < 150.0 {
            FuseStandard::Ul
        } else {
            FuseStandard::Iec
        }
    }

    /// Smallest standard slow rating for a running current of `amps` RMS: 1.5 times it at the least
    /// (common practice, no source; it also keeps a UL fuse below the 75 % it may run at).
    pub fn rating_for(self, amps: f64) -> Option<f64> {
        let list: &[f64] = match self {
            FuseStandard::Ul => &UL_RATINGS,
            FuseStandard::Iec => &IEC_RATINGS,
        };
        list.iter().copied().find(|r| *r >= 1.5 * amps)
    }

    /// Current over rating that the fuse may let pass for up to an hour: 1.35 (UL 248-14, clause quoted by a
    /// fuse maker's guide), 1.5 (IEC 60127-2 sheet 3, a maker's data sheet).
    pub fn held_for_an_hour(self) -> f64 {
        match self {
            FuseStandard::Ul => 1.35,
            FuseStandard::Iec => 1.5,
        }
    }

    /// Name of the standard.
    pub fn name(self) -> &'static str {
        match self {
            FuseStandard::Ul => "UL 248-14",
            FuseStandard::Iec => "IEC 60127-2",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_read_and_sane() {
        assert_eq!(resistor_sizes().len(), RESISTORS_CSV.lines().count() - 1);
        assert_eq!(secondaries().len(), TRANSFORMERS_CSV.lines().count() - 1);
        assert!(
            resistor_sizes()
                .iter()
                .all(|s| (1.0..=300.0).contains(&s.rating_w))
        );
        assert!(
            secondaries()
                .iter()
                .all(|s| (2.0..=50.0).contains(&s.volts))
        );
        assert!(resistor_sizes().iter().all(|s| !s.source.is_empty()));
    }

    #[test]
    fn near_values_stand_on_both_sides() {
        // IEC 60063 E12 (from memory): 18, 22, 27; old round values 15, 20, 25, 30
        assert_eq!(resistors_near(25.5), vec![25.0, 27.0]);
        assert_eq!(resistors_near(18.0), vec![18.0, 20.0]);
    }
}
