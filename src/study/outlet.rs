//! The outlet through the day.

use super::StudyError;
use crate::profile::Profile;
use crate::quantity::{Quantity, Voltage, show};
use crate::receiver::Assumption;
use serde::Serialize;

/// Low and high of the day where only the usual volts are known, as shares (common practice, no source).
const LOW: f64 = 0.96;
const HIGH: f64 = 1.03;

/// Three outlet voltages.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OutletVolts {
    /// Lowest, V RMS.
    pub low_v: f64,
    /// Usual, V RMS.
    pub usual_v: f64,
    /// Highest, V RMS.
    pub high_v: f64,
}

/// Outlet volts given on the command line; each overrides the profile's.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct OutletChoice {
    /// Usual volts.
    pub usual: Option<Voltage>,
    /// Lowest.
    pub low: Option<Voltage>,
    /// Highest.
    pub high: Option<Voltage>,
}

/// How many of the outlet's volts a plan fills in where only the profile is given.
pub fn assumed(profile: &Profile) -> usize {
    settle(profile, &OutletChoice::default()).map_or(0, |(_, list)| list.len())
}

/// Settles the three voltages and lists what was filled in.
///
/// # Errors
/// [`StudyError::NoOutlet`] where neither profile nor command line gives them and the design line tells no
/// region; a low above the usual or a high below it.
pub(super) fn settle(
    profile: &Profile,
    choice: &OutletChoice,
) -> Result<(OutletVolts, Vec<Assumption>), StudyError> {
    let mut list = Vec::new();
    let stated = profile.outlet;
    let overridden = choice.usual.is_some();
    let mut note = |what: &str, volts: f64, rule: &str| {
        list.push(Assumption {
            what: what.to_owned(),
            value: show(Voltage::from_si(volts)),
            rule: rule.to_owned(),
            spread: 0.0,
            knob: None,
        });
        volts
    };
    let design = profile.set.design_line.si();
    let region = if (105.0..=130.0).contains(&design) {
        Some((122.0, "North America: 122 V is common at the outlet"))
    } else if (95.0..105.0).contains(&design) {
        Some((
            101.0,
            "Japan: 101 V ±6 V, rule of the Electricity Business Act",
        ))
    } else if (200.0..=250.0).contains(&design) {
        Some((230.0, "230 V, IEC 60038"))
    } else {
        None
    };
    let usual = choice.usual.or(stated.map(|o| o.usual)).map(Quantity::si);
    let usual_v = match (usual, region) {
        (Some(usual), _) => usual,
        (None, Some((usual, rule))) => note("usual outlet volts", usual, rule),
        (None, None) => return Err(StudyError::NoOutlet),
    };
    // the profile's low and high belong to the profile's usual volts
    let kept = |v: Option<Voltage>| if overridden { None } else { v };
    let low = choice
        .low
        .or(kept(stated.and_then(|o| o.low)))
        .map(Quantity::si);
    let high = choice
        .high
        .or(kept(stated.and_then(|o| o.high)))
        .map(Quantity::si);
    let low_v = low.unwrap_or_else(|| {
        let rule = "4 % below the usual (common practice, no source)";
        note("lowest outlet volts", LOW * usual_v, rule)
    });
    let high_v = high.unwrap_or_else(|| {
        let rule = "3 % above the usual (common practice, no source)";
        note("highest outlet volts", HIGH * usual_v, rule)
    });
    if !(low_v <= usual_v && usual_v <= high_v) {
        return Err(StudyError::OutletOrder {
            low: low_v,
            usual: usual_v,
            high: high_v,
        });
    }
    Ok((
        OutletVolts {
            low_v,
            usual_v,
            high_v,
        },
        list,
    ))
}
