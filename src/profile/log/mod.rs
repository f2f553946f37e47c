//! An outlet's log: what a meter showed in the outlet, and when.
//!
//! `mod.rs` the readings and what is told by all of them together; `line.rs` one reading as a profile has it; `file.rs` a file
//! of comma-separated values; `time.rs` dates and times.

mod file;
mod line;
mod time;

pub use file::{MAX_LOG_BYTES, read_log};
pub use line::LogLines;

use super::problem::quoted;
use crate::quantity::{Quantity, Voltage, by, show_plain};
use jiff::civil::DateTime;
use std::collections::BTreeMap;

/// Most readings of a log: a reading every five minutes for a year.
pub const MOST_LOGGED: usize = 110_000;
/// Longest time from the first to the last, days: other years are other mains.
const MOST_DAYS: i32 = 366;
/// Least clock hours with a reading: 90 % of medians of five are covered by the five (1 − 2 · 0.5⁵), of four only 87.5 %.
pub const LEAST_HOURS: usize = 5;
/// Below this the mains are off, or the meter is, V RMS (own judgement).
const OFF_V: f64 = 20.0;
/// So many times the median, or below it by as much, is no reading of the same outlet: 120 and 230 V are 1.9 apart, 127
/// and 220 V 1.7; an outlet in bad weather stays within 1.2 (own judgement).
const FAR: f64 = 1.4;
/// More than this share of readings so far off are no slips.
const SLIPS: f64 = 0.05;

/// A reading of the outlet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogReading {
    /// When, by the clock that was read.
    pub(crate) at: DateTime,
    /// True where that clock shows Universal Time.
    pub universal: bool,
    /// What the meter showed, RMS.
    pub volts: Voltage,
    /// Line of the file, where the readings have one of their own.
    pub line: Option<usize>,
}

/// Why a reading is not counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aside {
    /// No voltage to speak of.
    Off,
    /// Far from all others.
    Far,
}

/// What a meter showed in one outlet through a few days, in order of time.
#[derive(Debug, Clone, PartialEq)]
pub struct OutletLog {
    /// Name of the file, where it has one of its own.
    pub(crate) file: Option<String>,
    /// What is counted.
    pub(crate) readings: Vec<LogReading>,
    /// What is not, and why.
    pub(crate) aside: Vec<(LogReading, Aside)>,
    /// How many repeated another, time and voltage, and were counted once with it.
    pub(crate) repeated: usize,
}

/// What is wrong with readings as a whole: the number of the one it is seen at, what was found, what to do.
pub type LogFault = (Option<usize>, String, String);

impl OutletLog {
    /// Readings of one outlet, sorted out.
    ///
    /// # Errors
    /// There are too few or too many, over too long a time, by two clocks, or of two outlets.
    pub fn of(all: Vec<LogReading>, file: Option<String>) -> Result<OutletLog, LogFault> {
        same_clock(&all)?;
        let live: Vec<f64> = all.iter().map(|r| r.volts.si()).filter(|v| *v >= OFF_V).collect();
        let median = median(live);
        let far = |r: &LogReading| {
            let v = r.volts.si();
            v >= OFF_V && !(median / FAR..=median * FAR).contains(&v)
        };
        let strays = all.iter().filter(|r| far(r)).count();
        // one may be a slip of the pen, however few there are
        if strays > 1 && strays as f64 > SLIPS * all.len() as f64 {
            return Err(two_outlets(&all, median, strays, all.iter().position(far)));
        }
        let (mut readings, mut aside) = (Vec::new(), Vec::new());
        for reading in all {
            match reading.volts.si() < OFF_V {
                true => aside.push((reading, Aside::Off)),
                false if far(&reading) => aside.push((reading, Aside::Far)),
                false => readings.push(reading),
            }
        }
        readings.sort_by(|a, b| a.at.cmp(&b.at).then(by(volts)(a, b)));
        aside.sort_by(|(a, _), (b, _)| a.at.cmp(&b.at).then(by(volts)(a, b)));
        let counted = readings.len();
        readings.dedup_by(|a, b| (a.at, a.volts) == (b.at, b.volts));
        let log = OutletLog { file, repeated: counted - readings.len(), readings, aside };
        log.long_enough()?;
        Ok(log)
    }

    /// The middle of what was read.
    pub fn median(&self) -> Voltage {
        Voltage::from_si(median(self.readings.iter().map(volts).collect()))
    }

    /// The readings of each clock hour, by its beginning.
    pub fn hours(&self) -> BTreeMap<DateTime, Vec<f64>> {
        let mut hours: BTreeMap<DateTime, Vec<f64>> = BTreeMap::new();
        for reading in &self.readings {
            let begins = reading.at.date().at(reading.at.hour(), 0, 0, 0);
            hours.entry(begins).or_default().push(volts(reading));
        }
        hours
    }

    /// Each reading as a profile has it, what is set aside among them.
    pub fn lines(&self) -> Vec<String> {
        let aside = self.aside.iter().map(|(reading, _)| reading);
        let mut all: Vec<&LogReading> = self.readings.iter().chain(aside).collect();
        all.sort_by_key(|reading| reading.at);
        all.into_iter().map(LogReading::line).collect()
    }

    fn long_enough(&self) -> Result<(), LogFault> {
        let (hours, last) = (self.hours().len(), self.readings.last());
        if hours < LEAST_HOURS {
            return Err((
                None,
                format!(
                    "the log has readings of {hours} clock hour{}, and of fewer than {LEAST_HOURS} not even the usual voltage can be told",
                    if hours == 1 { "" } else { "s" }
                ),
                "read on through a day, or write the voltage that was read as the usual one, without a log".into(),
            ));
        }
        let days =
            self.readings.first().zip(last).map(|(a, b)| (b.at.date() - a.at.date()).get_days());
        if days.is_some_and(|days| days > MOST_DAYS) {
            let advice = "keep a few days of one year: a log is to say what the outlet gives now";
            return Err((None, "the log is longer than a year".into(), advice.into()));
        }
        Ok(())
    }
}

impl LogReading {
    fn line(&self) -> String {
        let seconds = if self.at.second() == 0 { "%Y-%m-%d %H:%M" } else { "%Y-%m-%d %H:%M:%S" };
        let zone = if self.universal { "Z" } else { "" };
        format!("{}{zone}, {}", self.at.strftime(seconds), show_plain(self.volts))
    }
}

fn volts(reading: &LogReading) -> f64 {
    reading.volts.si()
}

/// The middle of values, between the two middle ones where they are even in number; zero of none.
fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let (below, above) = (values.len().saturating_sub(1) / 2, values.len() / 2);
    let at = |i: usize| values.get(i).copied().unwrap_or_default();
    0.5 * (at(below) + at(above))
}

/// Hours of the day are told by one clock.
fn same_clock(all: &[LogReading]) -> Result<(), LogFault> {
    let first = all.first().is_some_and(|r| r.universal);
    match all.iter().position(|r| r.universal != first) {
        None => Ok(()),
        other => Err((
            other,
            "some times are of Universal Time (Z) and some of a local clock".into(),
            "write all of them by one clock, best the one on the wall".into(),
        )),
    }
}

fn two_outlets(all: &[LogReading], median: f64, strays: usize, first: Option<usize>) -> LogFault {
    let median = show_plain(Voltage::from_si(median));
    let volts = first.and_then(|i| all.get(i)).map_or(String::new(), |r| show_plain(r.volts));
    (
        first,
        format!(
            "{strays} of {} readings are far from the middle of all, {median}; this is the first, {}",
            all.len(),
            quoted(&volts)
        ),
        "keep the readings of one outlet: two voltages in one log are two outlets, two meters or two legs of the service".into(),
    )
}
