//! Parts one can buy: wirewound resistors, small transformers, fuses and inrush thermistors for the line cord; capacitors.
//! Generic, no makers.

mod capacitor;
mod fuse;
mod resistor;

pub use capacitor::{LineClass, capacitor_for, film_for, surge_by_rule};
pub use fuse::{Fuse, FuseStandard, Gate, fuses};
pub use resistor::{ResistorSize, resistor_sizes, resistor_values, resistors_near};

use super::{
    CatalogueError,
    cells::{Row, Tabled, list, row},
};

/// Stock secondary currents, A †.
pub const STOCK_AMPS: [f64; 11] = [0.3, 0.6, 1.0, 1.2, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];

row! {
    /// A stock secondary voltage.
    pub struct Secondary {
        /// Rated volts at rated load.
        volts: f64 = "secondary_v",
        /// True for parts with a 230 V primary.
        metric: bool = "region" one of [(true, "metric"), (false, "inch")],
        /// Where the figure comes from.
        source: String = "source",
        /// Remark; empty when there is none.
        note: String = "note" in OR_BLANK,
    }
}

row! {
    /// An inrush thermistor: hot resistance `k·I^n` at `I` amperes RMS.
    pub struct Thermistor {
        /// Cold resistance, Ω.
        cold_ohm: f64 = "cold_ohm",
        /// Highest steady current, A.
        max_a: f64 = "max_a",
        /// Factor of the law.
        k: f64 = "k",
        /// Exponent of the law.
        n: f64 = "n" in SIGNED,
        /// Where the figures come from.
        source: String = "source",
    }
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

list! {
    /// Stock secondaries.
    secondaries: Secondary = "stock_secondaries.csv"
}

list! {
    /// Stock inrush thermistors.
    thermistors: Thermistor = "stock_thermistors.csv"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_read_and_sane() {
        assert_eq!(
            secondaries().len(),
            include_str!("../data/stock_secondaries.csv").lines().count() - 1
        );
        assert_eq!(
            thermistors().len(),
            include_str!("../data/stock_thermistors.csv").lines().count() - 1
        );
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
