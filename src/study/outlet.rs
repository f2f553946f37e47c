//! The outlet through the day.

use super::{JsonSchema, Result, Serialize, StudyError};
use crate::{
    catalogue::OutletRange,
    profile::{Outlet, Profile},
    quantity::{Quantity, Voltage, show},
    receiver::{Assumption, Model},
};
use std::ops::RangeInclusive;

/// Low and high of the day where only the usual volts are known, as shares (common practice, no source).
const LOW: f64 = 0.96;
const HIGH: f64 = 1.03;
/// Frequencies that tell of no place where the design line is 105 to 130 V, Hz: such sets were made in North America,
/// and on the European mainland with a tap in use that was 110, 125 or 127 V. 25 and 60 Hz are North America's.
const UNTELLING_HZ: RangeInclusive<f64> = 40.0..=50.5;

/// Three outlet voltages and the frequency.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, JsonSchema)]
pub struct OutletVolts {
    /// Lowest, V RMS.
    pub low_v: f64,
    /// Usual, V RMS.
    pub usual_v: f64,
    /// Highest, V RMS.
    pub high_v: f64,
    /// Mains frequency at the outlet, Hz: as written for it, else the range's, else the set's if that is stated.
    pub frequency_hz: Option<f64>,
    /// Name of the range that was taken, such as `north-america`.
    pub range: Option<&'static str>,
    /// True where the low volts were read: by the profile or on the command line, not from a range or a rule.
    #[serde(skip)]
    pub low_read: bool,
    /// The same of the high ones.
    #[serde(skip)]
    pub high_read: bool,
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
    /// A range that replaces the profile's outlet.
    pub range: Option<&'static OutletRange>,
}

/// How many of the outlet's volts a plan fills in where only the profile is given.
pub fn assumed(profile: &Profile) -> usize {
    settle(profile, &OutletChoice::default()).map_or(0, |(_, list)| list.len())
}

impl OutletVolts {
    /// The same day, so many times as high.
    pub(super) fn scaled(&self, share: f64) -> OutletVolts {
        let [low_v, usual_v, high_v] = [self.low_v, self.usual_v, self.high_v].map(|v| v * share);
        OutletVolts { low_v, usual_v, high_v, ..*self }
    }

    /// Puts a set on mains of this outlet's frequency.
    pub(super) fn feed(&self, model: &mut Model) {
        if let Some(hertz) = self.frequency_hz {
            model.frequency = hertz;
        }
    }
}

/// Settles the three voltages and the frequency, and lists what was filled in. A range that is named is stated and
/// not assumed, but how its usual volts were chosen is listed.
///
/// # Errors
/// [`StudyError::NoOutlet`] where neither profile nor command line gives them and the design line tells no
/// region (105 to 130 V at 50 Hz among them); a low above the usual or a high below it.
pub fn settle(profile: &Profile, choice: &OutletChoice) -> Result<(OutletVolts, Vec<Assumption>)> {
    let mut list = Vec::new();
    let stated = choice.range.map(Outlet::of).or(profile.outlet);
    // the profile's low and high belong to the profile's usual volts; those of a range do not
    let overridden = choice.usual.is_some() && choice.range.is_none();
    let mut note = |what: &str, volts: f64, rule: &str| {
        list.push(Assumption {
            what: what.to_owned(),
            value: show(Voltage::from_si(volts)),
            rule: rule.to_owned(),
            ..Assumption::default()
        });
        volts
    };
    let range = stated.and_then(|o| o.range);
    let usual_v = match (choice.usual.or(stated.and_then(|o| o.usual)), range) {
        (Some(usual), _) => usual.si(),
        (None, Some(range)) => note("usual outlet voltage", range.usual_v, &rule(range)),
        (None, None) => {
            let (usual, rule) = region(profile).ok_or(StudyError::NoOutlet)?;
            note("usual outlet voltage", usual, rule)
        }
    };
    let kept = stated.filter(|_| !overridden);
    let low = choice.low.or(kept.and_then(|o| o.low_volts())).map(Quantity::si);
    let low_v = low.unwrap_or_else(|| {
        let rule = "4 % below the usual (common practice, no source)";
        note("lowest outlet voltage", LOW * usual_v, rule)
    });
    let high = choice.high.or(kept.and_then(|o| o.high_volts())).map(Quantity::si);
    let high_v = high.unwrap_or_else(|| {
        let rule = "3 % above the usual (common practice, no source)";
        note("highest outlet voltage", HIGH * usual_v, rule)
    });
    if !(low_v <= usual_v && usual_v <= high_v) {
        return Err(StudyError::OutletOrder { low: low_v, usual: usual_v, high: high_v });
    }
    let hertz = stated.and_then(|o| o.frequency).map(Quantity::si);
    let outlet = OutletVolts {
        low_v,
        usual_v,
        high_v,
        frequency_hz: hertz
            .or(range.and_then(|r| r.frequency_hz))
            .or(profile.set.frequency.map(Quantity::si)),
        range: range.map(|r| r.name.as_str()),
        low_read: choice.low.or(kept.and_then(|o| o.low)).is_some(),
        high_read: choice.high.or(kept.and_then(|o| o.high)).is_some(),
    };
    Ok((outlet, list))
}

/// Why a range gives its usual volts, with its standard.
fn rule(range: &OutletRange) -> String {
    format!("range {}: {}; {}", range.name, range.usual_from, range.standard)
}

/// Usual volts where nothing is said of the outlet, with the rule, as the design line tells them.
fn region(profile: &Profile) -> Option<(f64, &'static str)> {
    let design = profile.set.design_line.si();
    let untelling = profile.set.frequency.is_some_and(|f| UNTELLING_HZ.contains(&f.si()));
    match design {
        105.0..=130.0 if untelling => None,
        105.0..=130.0 => Some((122.0, "North America: 122 V is common at the outlet")),
        95.0..105.0 => Some((101.0, "Japan: 101 V ±6 V, rule of the Electricity Business Act")),
        200.0..=250.0 => Some((230.0, "230 V, IEC 60038")),
        _ => None,
    }
}
