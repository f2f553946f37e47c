//! Wirewound power resistors: families, ratings, derating, surface temperature.

use crate::{
    catalogue::{
        CatalogueError,
        cells::{Row, Tabled, list, row},
    },
    preferred::{Series, in_range},
    quantity::by,
};

/// Old round values in which wirewound power resistors are still stocked, Ω †.
const ROUND_OHMS: [f64; 14] =
    [1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 75.0, 100.0];
/// Surface rise of a bare wirewound at its full rating, K (US trade figure †, weak: ±20 %).
const RISE_AT_RATING_K: f64 = 300.0;
/// Exponent of that rise in the share of the rating: gives 191 K at a half, 122 K at a quarter (fit to the same
/// figure).
const RISE_EXPONENT: f64 = 0.65;

row! {
    /// A size in which wirewound resistors are made.
    pub struct ResistorSize {
        /// Construction.
        family: String = "family",
        /// Printed rating, W.
        rating_w: f64 = "rating_w",
        /// Air temperature up to which the rating holds, °C.
        rated_at_c: f64 = "rated_at_c",
        /// Temperature at which nothing is left of it, °C.
        zero_at_c: f64 = "zero_at_c",
        /// Element over ambient on the standard plate, K/W; housed types only.
        plate_k_per_w: Option<f64> = "plate_k_per_w",
        /// Share of the printed watts that is left without a plate; housed types only.
        unmounted_share: Option<f64> = "unmounted_share",
        /// Overload borne for 5 s, as a multiple of the rating.
        overload_5s: f64 = "overload_5s",
        /// True for a type that opens without a flame when a fault overloads it.
        fusible: bool = "fusible" one of [(false, ""), (true, "yes")],
        /// Where the figures come from.
        source: String = "source",
    }
}

impl ResistorSize {
    /// A part of a family in a rating that need not be sold, by the size that is nearest to it: a larger housing on its plate
    /// is cooler per watt in proportion.
    pub fn of_family(family: &str, rating_w: f64) -> Option<ResistorSize> {
        let of_it = resistor_sizes().iter().filter(|size| size.family == family);
        let off = |size: &ResistorSize| (size.rating_w / rating_w).ln().abs();
        let like = of_it.min_by(|a, b| off(a).total_cmp(&off(b)))?;
        let plate_k_per_w = like.plate_k_per_w.map(|k| k * like.rating_w / rating_w);
        Some(ResistorSize { rating_w, plate_k_per_w, ..like.clone() })
    }

    /// Watts it may lose in air of `ambient_c`: the printed rating on a straight line from `rated_at_c` to zero at
    /// `zero_at_c`, and the unmounted share where there is no plate.
    pub fn derated_w(&self, ambient_c: f64) -> f64 {
        let share = (self.zero_at_c - ambient_c) / (self.zero_at_c - self.rated_at_c);
        self.rating_w * share.clamp(0.0, 1.0) * self.unmounted_share.unwrap_or(1.0)
    }

    /// Surface temperature in °C when it loses `watts` in air of `ambient_c`: housed types on their plate
    /// by the maker's thermal resistance of the element, the others by `300 K · (P/rating)^0.65`.
    pub fn surface_c(&self, watts: f64, ambient_c: f64) -> f64 {
        match self.plate_k_per_w {
            Some(k_per_w) => ambient_c + k_per_w * watts,
            None => {
                let rating = self.rating_w * self.unmounted_share.unwrap_or(1.0);
                ambient_c + RISE_AT_RATING_K * (watts / rating).powf(RISE_EXPONENT)
            }
        }
    }
}

list! {
    /// Sizes of wirewound resistors, smallest rating first.
    resistor_sizes: ResistorSize = "stock_resistors.csv"
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
    near.sort_by(by(|near: &f64| (near / ohms).ln().abs()));
    near
}

#[cfg(test)]
mod tests {
    use super::*;

    fn size(family: &str, rating: f64) -> &'static ResistorSize {
        resistor_sizes().iter().find(|s| s.family == family && s.rating_w == rating).unwrap()
    }

    #[test]
    fn every_row_is_read() {
        assert_eq!(
            resistor_sizes().len(),
            include_str!("../data/stock_resistors.csv").lines().count() - 1
        );
        assert!(resistor_sizes().iter().all(|s| !s.source.is_empty()));
        assert!(resistor_sizes().windows(2).all(|pair| pair[0].rating_w <= pair[1].rating_w));
    }

    #[test]
    fn near_values_stand_on_both_sides() {
        // IEC 60063 E12 †: 18, 22, 27; old round values 15, 20, 25, 30
        assert_eq!(resistors_near(25.5), vec![25.0, 27.0]);
        assert_eq!(resistors_near(18.0), vec![18.0, 20.0]);
    }

    #[test]
    fn published_derating_points() {
        // commercial silicone-coated axial, 40 to 275 °C: 1.00 at 40, 0.91 at 60, 0.83 at 80 °C (maker's data
        // sheet, HTR India); characteristic V, 25 to 350 °C: 0.95, 0.89, 0.83; housed, 25 to 200 °C: 0.91, 0.80, 0.69
        // (Welwyn WH and Arcol HS series data sheets)
        let near = |a: f64, b: f64| assert!((a - b).abs() < 0.0075, "{a} for {b}");
        let share = |s: &ResistorSize, c| s.derated_w(c) / s.rating_w;
        let axial = size("ceramic-cased", 10.0);
        near(share(axial, 40.0), 1.0);
        near(share(axial, 60.0), 0.91);
        near(share(axial, 80.0), 0.83);
        let tubular = size("tubular vitreous", 50.0);
        near(share(tubular, 40.0), 0.95);
        near(share(tubular, 60.0), 0.89);
        near(share(tubular, 80.0), 0.83);
        let housed = size("aluminium-housed on its plate", 25.0);
        near(share(housed, 40.0), 0.91);
        near(share(housed, 60.0), 0.80);
        near(share(housed, 80.0), 0.69);
    }

    #[test]
    fn published_element_temperatures() {
        // Welwyn WH series data sheet: 25 W part at 6 K/W, 25 °C, full load: 175 °C; 50 W at 3.5 K/W: 200 °C
        let plate = "aluminium-housed on its plate";
        assert!((size(plate, 25.0).surface_c(25.0, 25.0) - 175.0).abs() < 1e-9);
        assert!((size(plate, 50.0).surface_c(50.0, 25.0) - 200.0).abs() < 1e-9);
    }

    #[test]
    fn a_housed_part_without_its_plate_keeps_a_sixth() {
        // flat-pack film type: 30 W on its chassis, 5 W in free air (maker's data sheet, Caddock MP330)
        let bare = size("aluminium-housed without plate", 25.0);
        assert!((bare.derated_w(25.0) - 25.0 / 6.0).abs() < 0.01);
    }
}
