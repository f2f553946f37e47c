//! From wanted taps to resistors, and from heat to a rating.

use super::stand::TapLoad;
use crate::{
    profile::out_of_reach,
    quantity::{Quantity, Resistance, show},
    study::{Result, Serialize, StudyError},
};

/// How large a wanted divider is to be.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum DividerSize {
    /// All arms together, Ω.
    Total(f64),
    /// Current in the last arm, which feeds nothing, A.
    Bleed(f64),
}

/// Resistors for wanted taps, from the source down; volts are against chassis, all of one sign, falling.
///
/// Each arm carries the bleed and what every tap below it takes. Where the total is given, the bleed that makes the
/// arms add up to it is sought between its bounds, since they fall as it rises.
pub fn arms(from_v: f64, taps: &[f64], loads: &[TapLoad], size: DividerSize) -> Result<Vec<f64>> {
    let bad =
        |found: String, advice: &str| StudyError::Divider { found, advice: advice.to_owned() };
    let mut drops = Vec::new();
    let mut above = from_v;
    for tap in taps.iter().chain([&0.0]) {
        let drop = (above - tap) * from_v.signum();
        if drop <= 0.0 || drop.is_nan() {
            return Err(bad(
                "the taps do not fall from the source to chassis".to_owned(),
                "write them from the source down, with its sign: --from 250V --taps 100V,80V, or --from -60V --taps -16V,-2.5V",
            ));
        }
        drops.push(drop);
        above = *tap;
    }
    let takes: Vec<f64> = loads.iter().zip(taps).map(|(l, v)| l.amps(*v)).collect();
    let at = |bleed| -> Vec<f64> {
        let below = |arm| takes.iter().skip(arm).sum::<f64>();
        drops.iter().enumerate().map(|(i, drop)| drop / (bleed + below(i))).collect()
    };
    let found = match size {
        DividerSize::Bleed(bleed) => at(bleed),
        DividerSize::Total(total) => {
            let last = taps.last().copied().unwrap_or(from_v).abs();
            let (mut low, mut high) = (last / total, from_v.abs() / total);
            for _ in 0..200 {
                let middle = 0.5 * (low + high);
                if at(middle).iter().sum::<f64>() > total {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            at(high)
        }
    };
    for (i, ohms) in found.iter().enumerate() {
        let text = show(Resistance::from_si(*ohms));
        if let Some(found) = out_of_reach(&text, Resistance::from_si(*ohms)) {
            return Err(bad(
                format!("R{}: {found}", i + 1),
                "check the bleed or the total; a bleeder of 10 to 25 % of what the taps take is usual",
            ));
        }
    }
    Ok(found)
}

/// Ratings in stock, W, each with the volts such a part stands: 1/4 to 2 W film or carbon (data
/// sheets †); wirewound ones above, whose watts end first.
const RATINGS: [(f64, f64); 6] = [
    (0.25, 250.0),
    (0.5, 350.0),
    (1.0, 500.0),
    (2.0, 500.0),
    (5.0, f64::INFINITY),
    (10.0, f64::INFINITY),
];
/// A rating is this many times the heat (common practice, no source).
const MARGIN: f64 = 2.0;

/// Volts that the best of the small parts stands, V.
const MOST_V: f64 = 500.0;

/// What to buy for an arm.
#[derive(Debug, Clone, Copy, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Buy {
    /// Twice the heat of the arm, W.
    pub least_w: f64,
    /// Parts in a row that share voltage and heat: 1, or more where one does not bear the voltage.
    pub pieces: u32,
    /// Rating of each from stock, W; `None` where it is beyond 10 W.
    pub rating_w: Option<f64>,
    /// True where volts and not heat ask for it.
    pub for_volts: bool,
}

impl Buy {
    /// The rating for an arm with `watts` of heat and `volts` across it.
    ///
    /// The volts alone never call for one wirewound part: high values are not made as such.
    pub(in crate::study) fn choose(watts: f64, volts: f64) -> Buy {
        let least_w = MARGIN * watts;
        let pieces = (volts / MOST_V).ceil().max(1.0);
        let warm = |(w, _): &&(f64, f64)| *w >= least_w / pieces;
        let stands = |r: &&(f64, f64)| warm(r) && r.1 >= volts / pieces;
        let rating_w = RATINGS.iter().find(stands).map(|(w, _)| *w);
        Buy {
            least_w,
            pieces: pieces as u32,
            rating_w,
            for_volts: pieces > 1.0 || rating_w != RATINGS.iter().find(warm).map(|(w, _)| *w),
        }
    }
}
