//! Parts one can buy for the mains lead: wirewound resistors, small transformers, fuses, inrush thermistors.
//! Generic, no makers.

mod capacitor;
mod fuse;
mod resistor;

pub use capacitor::{capacitor_for, surge_by_rule};
pub use fuse::{Fuse, FuseStandard, Gate, fuses};
pub use resistor::{ResistorSize, resistor_sizes, resistor_values, resistors_near};

use std::sync::OnceLock;

const SECONDARIES_CSV: &str = include_str!("../data/stock_secondaries.csv");
const THERMISTORS_CSV: &str = include_str!("../data/stock_thermistors.csv");

/// Stock secondary currents, A †.
pub const STOCK_AMPS: [f64; 11] = [0.3, 0.6, 1.0, 1.2, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];

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

/// An inrush thermistor: hot resistance `k·I^n` at `I` amperes RMS.
#[derive(Debug, Clone, PartialEq)]
pub struct Thermistor {
    /// Cold resistance, Ω.
    pub cold_ohm: f64,
    /// Highest steady current, A.
    pub max_a: f64,
    /// Factor of the law.
    pub k: f64,
    /// Exponent of the law.
    pub n: f64,
    /// Where the figures come from.
    pub source: String,
}

impl Thermistor {
    /// Hot resistance at `amps` RMS; the law is valid from 0.3 to 1.0 of the highest current †.
    pub fn hot_ohms(&self, amps: f64) -> f64 {
        (self.k * amps.powf(self.n)).min(self.cold_ohm)
    }

    /// Lowest current the law may be used at: 0.3 of the highest, widened by 10 % as the figures are rough.
    pub fn lowest_a(&self) -> f64 {
        0.27 * self.max_a
    }

    /// Whether the law may be used at `amps`.
    pub fn is_valid_at(&self, amps: f64) -> bool {
        (self.lowest_a()..=self.max_a).contains(&amps)
    }
}

pub(super) fn rows<T>(text: &str, read: impl Fn(&csv::StringRecord) -> Option<T>) -> Vec<T> {
    csv::Reader::from_reader(text.as_bytes())
        .records()
        .filter_map(|row| row.ok().as_ref().and_then(&read))
        .collect()
}

/// Stock secondaries.
pub fn secondaries() -> &'static [Secondary] {
    static LIST: OnceLock<Vec<Secondary>> = OnceLock::new();
    LIST.get_or_init(|| {
        rows(SECONDARIES_CSV, |row| {
            Some(Secondary {
                volts: row.get(0)?.parse().ok()?,
                metric: row.get(1)? == "metric",
                source: row.get(2)?.to_owned(),
            })
        })
    })
}

/// Stock inrush thermistors.
pub fn thermistors() -> &'static [Thermistor] {
    static LIST: OnceLock<Vec<Thermistor>> = OnceLock::new();
    LIST.get_or_init(|| {
        rows(THERMISTORS_CSV, |row| {
            Some(Thermistor {
                cold_ohm: row.get(0)?.parse().ok()?,
                max_a: row.get(1)?.parse().ok()?,
                k: row.get(2)?.parse().ok()?,
                n: row.get(3)?.parse().ok()?,
                source: row.get(4)?.to_owned(),
            })
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_read_and_sane() {
        assert_eq!(secondaries().len(), SECONDARIES_CSV.lines().count() - 1);
        assert_eq!(thermistors().len(), THERMISTORS_CSV.lines().count() - 1);
        assert!(secondaries().iter().all(|s| (2.0..=50.0).contains(&s.volts)));
        assert!(secondaries().iter().all(|s| !s.source.is_empty()));
    }

    #[test]
    fn thermistor_points() {
        // k·I^n by hand: 120 Ω 2 A part 7.8 Ω at 0.5 A, 3.0 Ω at 1 A, 1.2 Ω at 2 A
        let part = &thermistors()[0];
        for (amps, ohms) in [(0.5, 7.8), (1.0, 3.04), (2.0, 1.18)] {
            assert!((part.hot_ohms(amps) / ohms - 1.0).abs() < 0.01);
        }
        assert!(!part.is_valid_at(0.4));
    }
}
