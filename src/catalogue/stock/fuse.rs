//! Fuses: standard ratings and what their standards make them do.
//!
//! Only the gates of the standards are used, never a guess between them.

use crate::catalogue::{
    CatalogueError,
    cells::{Row, Tabled, list, row},
    words::words,
};

words! {
    /// The standard a fuse is made to. Ratings of the two are not the same thing.
    pub enum FuseStandard {
        /// UL 248-14: opens at 135 % within an hour and at 200 % within 2 minutes.
        Ul = "UL",
        /// IEC 60127-2 sheet 3, time-lag, glass: holds 150 % for an hour, opens at 210 % within 2 minutes.
        Iec = "IEC",
    }
}

/// A fuse marked 125 V serves the outlets of its country, which reach 127 V (ANSI C84.1, Range B).
const LINE_SWING: f64 = 1.02;

/// A gate: at this multiple of the rating or more, open within this many seconds.
pub type Gate = (f64, f64);

/// UL 248-14: Littelfuse fuseology guide, page 12, quoting the standard.
const UL_GATES: [Gate; 2] = [(1.35, 3600.0), (2.0, 120.0)];
/// IEC 60127-2 sheet 3, 125 mA to 6.3 A: Schurter FST 5x20 and Littelfuse 213 data sheets.
const IEC_GATES: [Gate; 4] = [(2.1, 120.0), (2.75, 10.0), (4.0, 3.0), (10.0, 0.3)];

impl FuseStandard {
    /// The usual standard where the outlet gives `outlet` volts.
    pub fn for_line(outlet: f64) -> FuseStandard {
        if outlet < 150.0 { FuseStandard::Ul } else { FuseStandard::Iec }
    }

    /// Name of the standard.
    pub fn name(self) -> &'static str {
        match self {
            FuseStandard::Ul => "UL 248-14",
            FuseStandard::Iec => "IEC 60127-2",
        }
    }

    /// The same in short.
    pub fn short(self) -> &'static str {
        match self {
            FuseStandard::Ul => "UL",
            FuseStandard::Iec => "IEC",
        }
    }

    /// Size of its fuses: 5 × 20 mm is that of the sheet (IEC 60127-2 †); UL 248-14 has several, and 1/4 × 1 1/4 in is that of
    /// old sets' holders (common practice, no source).
    pub fn size(self) -> &'static str {
        match self {
            FuseStandard::Ul => "1/4 × 1 1/4 in (6.3 × 32 mm)",
            FuseStandard::Iec => "5 × 20 mm",
        }
    }

    /// Standard ratings, A.
    pub fn ratings(self) -> Vec<f64> {
        fuses().iter().filter(|f| f.standard == self).map(|f| f.rating_a).collect()
    }

    /// Rating over running current, at the least. A UL fuse should run at 75 % of its rating and is taken at 1.5
    /// times the current (common practice, no source); an IEC fuse may run at its rating (ibex.tech, European against
    /// American fuse standards) and is given a fifth more.
    pub fn over_running(self) -> f64 {
        match self {
            FuseStandard::Ul => 1.5,
            FuseStandard::Iec => 1.2,
        }
    }

    /// Smallest standard slow rating for a running current of `amps` RMS.
    pub fn rating_for(self, amps: f64) -> Option<f64> {
        self.ratings().into_iter().find(|r| *r >= self.over_running() * amps)
    }

    /// Current over rating that the fuse may let pass for up to an hour: 1.35 (UL 248-14), 1.5 (IEC 60127-2).
    pub fn held_for_an_hour(self) -> f64 {
        match self {
            FuseStandard::Ul => 1.35,
            FuseStandard::Iec => 1.5,
        }
    }

    /// Highest current a fuse of `rating_a` breaks on `line_v` volts, A: UL 248-14, 10 kA up to 125 V, above that 35 A up to 1 A
    /// and 100 A up to 3.5 A (Littelfuse fuseology guide, page 12, quoting the standard); IEC 60127-2 sheet 3, glass, the larger
    /// of 35 A and ten times the rating (Schurter FST 5x20 data sheet). `None` where that is not known.
    pub fn breaks(self, rating_a: f64, line_v: f64) -> Option<f64> {
        match self {
            FuseStandard::Iec => Some(f64::max(35.0, 10.0 * rating_a)),
            FuseStandard::Ul if line_v <= 125.0 * LINE_SWING => Some(10e3),
            FuseStandard::Ul if rating_a <= 1.0 => Some(35.0),
            FuseStandard::Ul => (rating_a <= 3.5).then_some(100.0),
        }
    }

    /// Longest time in seconds the fuse may take at `multiple` times its rating; `None` if it need not open.
    pub fn opens_within(self, multiple: f64) -> Option<f64> {
        let gates: &[Gate] = match self {
            FuseStandard::Ul => &UL_GATES,
            FuseStandard::Iec => &IEC_GATES,
        };
        gates.iter().rev().find(|(from, _)| multiple >= *from).map(|(_, seconds)| *seconds)
    }
}

row! {
    /// A standard fuse.
    pub struct Fuse {
        /// Standard.
        standard: FuseStandard = "standard",
        /// Rating, A.
        rating_a: f64 = "rating_a",
        /// Melting I²t, A²s, where a data sheet gives one.
        melting_a2s: Option<f64> = "melting_a2s",
        /// Where the figures come from.
        source: String = "source",
    }
}

list! {
    /// All standard fuses.
    fuses: Fuse = "stock_fuses.csv"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gates_of_the_standards() {
        // UL 248-14 (a fuse maker's guide): 135 % within 1 h, 200 % within 2 min, 100 % carried
        assert_eq!(FuseStandard::Ul.opens_within(1.0), None);
        assert_eq!(FuseStandard::Ul.opens_within(1.34), None);
        assert_eq!(FuseStandard::Ul.opens_within(1.35), Some(3600.0));
        assert_eq!(FuseStandard::Ul.opens_within(2.0), Some(120.0));
        assert_eq!(FuseStandard::Ul.opens_within(50.0), Some(120.0));
        // IEC 60127-2 sheet 3 (makers' data sheets): 1.5 held 60 min; 2.1 ≤ 2 min; 2.75 ≤ 10 s; 4 ≤ 3 s; 10 ≤ 300 ms
        assert_eq!(FuseStandard::Iec.opens_within(1.5), None);
        assert_eq!(FuseStandard::Iec.opens_within(2.09), None);
        assert_eq!(FuseStandard::Iec.opens_within(2.1), Some(120.0));
        assert_eq!(FuseStandard::Iec.opens_within(2.75), Some(10.0));
        assert_eq!(FuseStandard::Iec.opens_within(4.0), Some(3.0));
        assert_eq!(FuseStandard::Iec.opens_within(10.0), Some(0.3));
    }

    /// UL 248-14 and IEC 60127-2 as quoted on makers' sheets: 10 kA at 125 V; at 250 V 35 A up to 1 A, 100 A up to 3.5 A;
    /// glass 35 A or ten times the rating.
    #[test]
    fn what_a_fuse_breaks() {
        assert_eq!(FuseStandard::Ul.breaks(1.0, 123.0), Some(10e3));
        assert_eq!(FuseStandard::Ul.breaks(1.0, 230.0), Some(35.0));
        assert_eq!(FuseStandard::Ul.breaks(1.25, 230.0), Some(100.0));
        assert_eq!(FuseStandard::Ul.breaks(5.0, 230.0), None);
        assert_eq!(FuseStandard::Iec.breaks(1.0, 230.0), Some(35.0));
        assert_eq!(FuseStandard::Iec.breaks(5.0, 230.0), Some(50.0));
    }

    #[test]
    fn worked_example_of_a_one_ampere_time_lag_fuse() {
        // maker's data sheet (IEC 60127-2): 1 A T glass, 2.1 A opens within 2 min, 1.5 A holds 1 h
        let f = FuseStandard::Iec;
        assert_eq!(f.opens_within(2.1 / 1.0), Some(120.0));
        assert_eq!(f.held_for_an_hour() * 1.0, 1.5);
    }

    #[test]
    fn ratings_rise_and_are_read() {
        assert_eq!(fuses().len(), include_str!("../data/stock_fuses.csv").lines().count() - 1);
        for standard in [FuseStandard::Ul, FuseStandard::Iec] {
            assert!(standard.ratings().windows(2).all(|w| w[0] < w[1]));
        }
        assert_eq!(FuseStandard::Ul.rating_for(0.6), Some(1.0));
        assert_eq!(FuseStandard::Iec.rating_for(0.3), Some(0.4));
        assert_eq!(FuseStandard::Ul.rating_for(9.0), None);
    }
}
