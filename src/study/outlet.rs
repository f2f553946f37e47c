//! The outlet through the day.

use super::{LogReport, LogSpan, Result, Serialize, StudyError};
use crate::{
    catalogue::OutletRange,
    profile::{Outlet, OutletLog, Profile},
    quantity::{Quantity, Voltage, show},
    receiver::{Assumption, Model},
};
use std::{ops::RangeInclusive, sync::Arc};

/// Low and high of the day where only the usual volts are known, as shares (common practice, no source).
const LOW: f64 = 0.96;
const HIGH: f64 = 1.03;
/// Frequencies that tell of no place where the design line is 105 to 130 V, Hz: such sets were made in North America,
/// and on the European mainland with a tap in use that was 110, 125 or 127 V. 25 and 60 Hz are North America's.
const UNTELLING_HZ: RangeInclusive<f64> = 40.0..=50.5;

/// Three outlet voltages and the frequency.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
    /// From what log they were taken; null where they were not. Low and high are not where its readings are too few.
    pub log: Option<LogSpan>,
    /// True where the low volts were read: by the profile or on the command line, not from a range or a rule.
    #[serde(skip)]
    pub low_read: bool,
    /// The same of the high ones.
    #[serde(skip)]
    pub high_read: bool,
}

/// Outlet volts given on the command line; each overrides the profile's.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct OutletChoice {
    /// Usual volts.
    pub usual: Option<Voltage>,
    /// Lowest.
    pub low: Option<Voltage>,
    /// Highest.
    pub high: Option<Voltage>,
    /// A range that replaces the profile's outlet.
    pub range: Option<&'static OutletRange>,
    /// A log that replaces the profile's volts.
    pub log: Option<Arc<OutletLog>>,
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

/// What the log says that the volts are taken from, if one is: that of the command line, else that of the profile.
pub fn logged(profile: &Profile, choice: &OutletChoice) -> Option<LogReport> {
    // a range or usual volts on the command line replace what the profile says
    let asked = choice.range.is_some() || choice.usual.is_some();
    let own = profile.outlet.as_ref().filter(|_| !asked).and_then(|o| o.log.as_ref());
    LogReport::of(choice.log.as_ref().or(own)?)
}

/// Settles the three voltages and the frequency, and lists what was filled in. A range that is named is stated and
/// not assumed, but how its usual volts were chosen is listed. Of a log whose readings are too few the median is taken, and
/// low and high only where they lie further out than what stands for them without one.
///
/// # Errors
/// [`StudyError::NoOutlet`] where neither profile nor command line gives them and the design line tells no
/// region (105 to 130 V at 50 Hz among them); a low above the usual or a high below it.
pub fn settle(profile: &Profile, choice: &OutletChoice) -> Result<(OutletVolts, Vec<Assumption>)> {
    let mut list = Vec::new();
    let log = logged(profile, choice);
    let stated = choice.range.map(Outlet::of).or_else(|| profile.outlet.clone());
    let stated = stated.as_ref();
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
    let written = choice.usual.map(Quantity::si).or(log.as_ref().map(|log| log.usual_v));
    let usual_v = match (written.or(stated.and_then(|o| o.usual).map(Quantity::si)), range) {
        (Some(usual), _) => usual,
        (None, Some(range)) => note("usual outlet voltage", range.usual_v, &rule(range)),
        (None, None) => {
            let (usual, rule) = region(profile).ok_or(StudyError::NoOutlet)?;
            note("usual outlet voltage", usual, rule)
        }
    };
    let kept = stated.filter(|_| !overridden);
    let ends = [
        End {
            what: "lowest outlet voltage",
            chosen: choice.low,
            kept: kept.and_then(Outlet::low_volts),
            logged: log.as_ref().map(|log| (log, log.low_v, log.lowest_v)),
            usual: (LOW * usual_v, "4 % below the usual (common practice, no source)"),
            further: f64::min,
        },
        End {
            what: "highest outlet voltage",
            chosen: choice.high,
            kept: kept.and_then(Outlet::high_volts),
            logged: log.as_ref().map(|log| (log, log.high_v, log.highest_v)),
            usual: (HIGH * usual_v, "3 % above the usual (common practice, no source)"),
            further: f64::max,
        },
    ];
    let [low_v, high_v] = ends.map(|end| {
        let (volts, rule) = end.settled();
        rule.map_or(volts, |rule| note(end.what, volts, &rule))
    });
    if !(low_v <= usual_v && usual_v <= high_v) {
        return Err(StudyError::OutletOrder { low: low_v, usual: usual_v, high: high_v });
    }
    let hertz = stated.and_then(|o| o.frequency).map(Quantity::si);
    let enough = log.as_ref().is_some_and(|log| log.span.whole);
    let outlet = OutletVolts {
        low_v,
        usual_v,
        high_v,
        frequency_hz: hertz
            .or(range.and_then(|r| r.frequency_hz))
            .or(profile.set.frequency.map(Quantity::si)),
        range: range.filter(|_| !enough).map(|r| r.name.as_str()),
        log: log.map(|log| log.span),
        low_read: enough || choice.low.or(kept.and_then(|o| o.low)).is_some(),
        high_read: enough || choice.high.or(kept.and_then(|o| o.high)).is_some(),
    };
    Ok((outlet, list))
}

/// One end of the day, and where it may be had from.
struct End<'a> {
    what: &'static str,
    /// On the command line.
    chosen: Option<Voltage>,
    /// By the profile, or by a range.
    kept: Option<Voltage>,
    /// A log with its percentile and the furthest of its readings.
    logged: Option<(&'a LogReport, f64, f64)>,
    /// By rule where nothing is said, and the rule.
    usual: (f64, &'static str),
    /// Which of two is further from the usual.
    further: fn(f64, f64) -> f64,
}

impl End<'_> {
    /// Its volts, and by what rule they are assumed, where they are.
    fn settled(&self) -> (f64, Option<String>) {
        if let Some(chosen) = self.chosen {
            return (chosen.si(), None);
        }
        let kept = self.kept.map(Quantity::si);
        let Some((log, percentile, furthest)) = self.logged else {
            let assumed = || (self.usual.0, Some(self.usual.1.to_owned()));
            return kept.map_or_else(assumed, |volts| (volts, None));
        };
        let Some(why) = log.too_few else { return (percentile, None) };
        let volts = (self.further)(furthest, kept.unwrap_or(self.usual.0));
        let taken = match kept {
            _ if volts == furthest => "the furthest reading of the log",
            Some(_) => "what the profile or the range says",
            None => self.usual.1,
        };
        (volts, Some(format!("{taken}; the log is too short for one of its own: {why}")))
    }
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
