//! What an outlet's log says of its day: low, usual and high, and how far so few readings can be trusted.
//!
//! Low and high are the 5th and the 95th percentile, the usual the median; each reading counts once. A percentile is read at
//! rank p(n + 1), between two ranks in proportion, the first or the last beyond them: Definition 6 of R. J. Hyndman and
//! Y. Fan, Sample Quantiles in Statistical Packages, The American Statistician 50 (1996); NIST/SEMATECH e-Handbook of
//! Statistical Methods, 7.2.6.2. Of the definitions in use it lies furthest out, and can be done by hand.
//!
//! How far that can be trusted is told without a law of the readings: of n independent ones the r-th lowest is below a
//! quantile p with the probability that at least r of n lie below it, which is binomial (H. A. David and H. N. Nagaraja,
//! Order Statistics, 3rd edition, 2003, section 7.1). Readings of one clock hour hang together and are taken for one: n is
//! the number of hours, and the lowest of each hour stands for it where a bound below is sought, the highest for one above,
//! which errs to the safe side whichever of them were independent. That hours do not hang together is assumed.

use super::{Serialize, sentences::sentences};
use crate::{
    profile::{Aside, LogReading, OutletLog},
    quantity::Quantity,
};
use jiff::civil::{Date, DateTime};
use serde::Serializer;

/// Shares of the readings below low and below high.
const LOW: f64 = 0.05;
const HIGH: f64 = 0.95;
/// With this confidence bounds hold.
const CONFIDENCE: f64 = 0.9;
/// Parts of a day, by their first hours.
const PARTS: [(i8, &str); 4] = [(0, "night"), (6, "morning"), (12, "afternoon"), (18, "evening")];
const PART_HOURS: i8 = 6;

/// From what an outlet's volts were taken.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LogSpan {
    /// Readings that were counted.
    pub readings: usize,
    /// Days with a reading.
    pub days: usize,
    /// The first of them, such as `2026-11-03`.
    #[serde(serialize_with = "spoken")]
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub(crate) first_day: Date,
    /// The last.
    #[serde(serialize_with = "spoken")]
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub(crate) last_day: Date,
    /// True where low and high are taken from it, and not the usual alone.
    pub whole: bool,
}

fn spoken<S: Serializer, T: ToString>(when: &T, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(&when.to_string())
}

/// A reading that was not counted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SetAside {
    /// When, by the clock that was read.
    #[serde(serialize_with = "spoken")]
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub(crate) at: DateTime,
    /// What the meter showed, V RMS.
    pub shown_v: f64,
    /// Line of the log's file; null where the profile has the log.
    pub line: Option<usize>,
    /// Why.
    pub why: WhyAside,
}

sentences! {
    /// Why a reading was not counted.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum WhyAside {
        /// No voltage to speak of.
        Off => "the mains were off, or the meter",
        /// Far from all others.
        Far => "far from all others: another outlet, another range, or a slip",
    }
}

sentences! {
    /// Why low and high are not taken from a log.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum TooFew {
        /// Fewer hours than a bound of the 5th percentile needs.
        Hours {
            /// Hours that were read.
            hours: usize,
            /// Hours that it takes.
            needed: usize,
        } => "{hours} clock hours were read, and a bound of the 5th or 95th percentile takes {needed}",
        /// A part of the day that nobody read.
        Unread {
            /// Which.
            part: &'static str,
        } => "nothing was read in the {part}",
    }
}

/// A clock hour with readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HourRead {
    /// Its middle, days from the midnight before the first reading.
    pub day: f64,
    /// Lowest reading, V RMS.
    pub low_v: f64,
    /// The middle one.
    pub middle_v: f64,
    /// Highest.
    pub high_v: f64,
}

/// What an outlet's log says.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LogReport {
    /// Name of its file; null where the profile has the log.
    pub file: Option<String>,
    /// How many readings and days.
    #[serde(flatten)]
    pub span: LogSpan,
    /// Clock hours with a reading.
    pub clock_hours: usize,
    /// Most readings in one of them.
    pub most_in_an_hour: usize,
    /// Hours of the day, 0 to 23, that no day has a reading of.
    pub hours_unread: Vec<i8>,
    /// Longest time between two readings, h.
    pub longest_gap_h: f64,
    /// Readings that repeat another, time and voltage, and were counted once with it.
    pub repeated: usize,
    /// Readings that were not counted.
    pub set_aside: Vec<SetAside>,
    /// 5th percentile, V RMS.
    pub low_v: f64,
    /// Median, V RMS.
    pub usual_v: f64,
    /// 95th percentile, V RMS.
    pub high_v: f64,
    /// Lowest reading, V RMS.
    pub lowest_v: f64,
    /// Highest reading, V RMS.
    pub highest_v: f64,
    /// Between these the median lies with a confidence of 90 %, V RMS.
    pub usual_between_v: [f64; 2],
    /// The 5th percentile is not below this with a confidence of 90 %, V RMS; null where the hours are too few.
    pub low_not_below_v: Option<f64>,
    /// The 95th is not above this with a confidence of 90 %, V RMS; null where the hours are too few.
    pub high_not_above_v: Option<f64>,
    /// The chance that so many hours miss the twentieth part of all that is highest, or that is lowest.
    pub missed: f64,
    /// Why low and high are not taken from it; null where they are.
    pub too_few: Option<TooFew>,
    /// Each hour, for a chart.
    #[serde(skip)]
    pub hours: Vec<HourRead>,
}

impl LogReport {
    /// What `log` says; `None` of one without readings, which [`OutletLog::of`] does not make.
    pub fn of(log: &OutletLog) -> Option<LogReport> {
        let (first, last) = log.readings.first().zip(log.readings.last())?;
        let sorted = sorted(log.readings.iter().map(|r| r.volts.si()));
        let by_hour = log.hours();
        let mut days: Vec<Date> = by_hour.keys().map(|hour| hour.date()).collect();
        days.dedup();
        let each: Vec<(DateTime, Vec<f64>)> =
            by_hour.into_iter().map(|(hour, volts)| (hour, self::sorted(volts))).collect();
        let hours: Vec<HourRead> =
            each.iter().map(|(hour, volts)| HourRead::of(*hour, volts, first)).collect();
        let lowest = self::sorted(hours.iter().map(|h| h.low_v));
        let highest = self::sorted(hours.iter().map(|h| h.high_v));
        let n = hours.len();
        let rank = |p, confidence| not_above(n, p, confidence).map(|r| r - 1);
        // half of what is left of the confidence on each side
        let usual = rank(0.5, 0.5 + 0.5 * CONFIDENCE);
        let read = |hour: i8| each.iter().any(|(at, _)| at.hour() == hour);
        let too_few = too_few(n, read);
        let gaps = log.readings.windows(2).map(|two| hours_between(&two[0], &two[1]));
        Some(LogReport {
            file: log.file.clone(),
            span: LogSpan {
                readings: sorted.len(),
                days: days.len(),
                first_day: first.at.date(),
                last_day: last.at.date(),
                whole: too_few.is_none(),
            },
            clock_hours: n,
            most_in_an_hour: each.iter().map(|(_, volts)| volts.len()).max().unwrap_or(0),
            hours_unread: (0..24).filter(|hour| !read(*hour)).collect(),
            longest_gap_h: gaps.fold(0.0, f64::max),
            repeated: log.repeated,
            set_aside: log.aside.iter().map(SetAside::of).collect(),
            low_v: quantile(&sorted, LOW),
            usual_v: quantile(&sorted, 0.5),
            high_v: quantile(&sorted, HIGH),
            lowest_v: *sorted.first()?,
            highest_v: *sorted.last()?,
            usual_between_v: match usual {
                Some(r) => [lowest[r], highest[n - 1 - r]],
                None => [*lowest.first()?, *highest.last()?],
            },
            low_not_below_v: rank(LOW, CONFIDENCE).map(|r| lowest[r]),
            high_not_above_v: rank(LOW, CONFIDENCE).map(|r| highest[n - 1 - r]),
            missed: HIGH.powi(n as i32),
            too_few,
            hours,
        })
    }
}

impl HourRead {
    fn of(hour: DateTime, volts: &[f64], first: &LogReading) -> HourRead {
        let days = (hour.date() - first.at.date()).get_days();
        HourRead {
            day: f64::from(days) + (f64::from(hour.hour()) + 0.5) / 24.0,
            low_v: volts.first().copied().unwrap_or_default(),
            middle_v: quantile(volts, 0.5),
            high_v: volts.last().copied().unwrap_or_default(),
        }
    }
}

impl SetAside {
    fn of((reading, why): &(LogReading, Aside)) -> SetAside {
        let why = match why {
            Aside::Off => WhyAside::Off,
            Aside::Far => WhyAside::Far,
        };
        SetAside { at: reading.at, shown_v: reading.volts.si(), line: reading.line, why }
    }
}

fn hours_between(a: &LogReading, b: &LogReading) -> f64 {
    a.at.duration_until(b.at).as_secs_f64() / 3600.0
}

fn sorted(values: impl IntoIterator<Item = f64>) -> Vec<f64> {
    let mut list: Vec<f64> = values.into_iter().collect();
    list.sort_by(f64::total_cmp);
    list
}

/// Why readings of so many hours tell no low and high.
fn too_few(hours: usize, read: impl Fn(i8) -> bool) -> Option<TooFew> {
    let bound = |n: usize| not_above(n, LOW, CONFIDENCE).is_some();
    if !bound(hours) {
        let needed = (hours..).find(|n| bound(*n)).unwrap_or(hours);
        return Some(TooFew::Hours { hours, needed });
    }
    let unread = |(from, _): &(i8, &str)| !(*from..from + PART_HOURS).any(&read);
    PARTS.into_iter().find(unread).map(|(_, part)| TooFew::Unread { part })
}

/// The value below which the share `p` of sorted values lies, at rank p(n + 1).
pub fn quantile(sorted: &[f64], p: f64) -> f64 {
    let (Some(first), Some(last)) = (sorted.first(), sorted.last()) else { return 0.0 };
    let rank = p * (sorted.len() + 1) as f64;
    let below = rank.floor() as usize;
    match (below.checked_sub(1).and_then(|i| sorted.get(i)), sorted.get(below)) {
        (Some(a), Some(b)) => a + (rank - rank.floor()) * (b - a),
        (None, _) => *first,
        (_, None) => *last,
    }
}

/// The highest rank, from 1, of `n` independent values whose value is not above their quantile `p`, with that confidence;
/// `None` where not even the lowest is.
pub fn not_above(n: usize, p: f64, confidence: f64) -> Option<usize> {
    let (mut term, mut fewer, mut rank) = (n as f64 * (1.0 - p).ln(), 0.0, 0);
    // the chance that fewer than `rank` values are at or below the quantile
    while rank < n {
        fewer += term.exp();
        if fewer > 1.0 - confidence {
            break;
        }
        term += ((n - rank) as f64 / (rank + 1) as f64).ln() + (p / (1.0 - p)).ln();
        rank += 1;
    }
    (rank > 0).then_some(rank)
}
