//! From what an outlet's day was taken: its log, how far that can be trusted, and the readings as a chart.

use super::{
    build::listed,
    drawing::{
        Axis, Chart, ChartError, Drawing, Line as Curve, Mark, Panel, Shade, Stroke, paint_chart,
    },
    marks,
    page::{Block, Line, line, strong},
    words::{counted, from_to, kept},
};
use crate::{
    quantity::{Quantity, Voltage, show_digits},
    study::{HourRead, LogReport, LogSpan, OutletVolts, Plan, SetAside},
};
use jiff::civil::Date;

/// Readings have a decimal more than what is worked out from them.
const DIGITS: usize = 4;
/// Hours further apart than this are not joined, days.
const JOINED: f64 = 1.5 / 24.0;
/// Readings set aside that are written out.
const MOST_ASIDE: usize = 8;
/// So many times the average in one clock hour are worth a word.
const CROWDED: usize = 4;

fn volts(v: f64) -> String {
    show_digits(Voltage::from_si(v), DIGITS)
}

/// From what log volts were taken, behind them.
pub fn taken(span: &LogSpan) -> String {
    let read = format!("{}, {}", amount(span), days(span));
    match span.whole {
        true => format!("log: {read}"),
        false => format!("usual from a short log: {read}"),
    }
}

/// "96 readings over 4 days".
fn amount(span: &LogSpan) -> String {
    format!("{} over {}", counted(span.readings, "reading"), counted(span.days, "day"))
}

/// "3 to 6 Nov 2026".
fn days(span: &LogSpan) -> String {
    let (first, last) = (span.first_day, span.last_day);
    let from = |pattern: &str| format!("{} to {}", first.strftime(pattern), day(last));
    match (first.year() == last.year(), first.month() == last.month()) {
        _ if first == last => day(first),
        (true, true) => from("%-d"),
        (true, false) => from("%-d %b"),
        (false, _) => from("%-d %b %Y"),
    }
}

fn day(date: Date) -> String {
    date.strftime("%-d %b %Y").to_string()
}

/// What the log says, in sentences.
pub fn told(log: &LogReport, outlet: &OutletVolts) -> Vec<Line> {
    let [low, usual, high] = [log.low_v, log.usual_v, log.high_v].map(volts);
    let (figures, are) = match log.span.whole {
        true => (
            format!("{low} low, {usual} usual, {high} high"),
            ": 5th percentile, median and 95th percentile of ",
        ),
        false => (format!("{usual} usual"), ": median of "),
    };
    let file = log.file.as_ref().map(|file| format!(" in {file}"));
    let figures = line((
        (strong(figures), are, amount(&log.span), " (", days(&log.span), ")", file),
        (", each counted once, read at rank ", kept("p(n + 1)"), ". They go from "),
        (from_to(&volts(log.lowest_v), &volts(log.highest_v)), "."),
    ));
    let others = [unread(log), gap(log), crowded(log), still(log), repeated(log)];
    let aside = log.set_aside.iter().take(MOST_ASIDE).map(aside).map(line);
    let more = log.set_aside.len().saturating_sub(MOST_ASIDE);
    let more =
        (more > 0).then(|| line(format!("Set aside as well: {}.", counted(more, "reading"))));
    [figures, trust(log, outlet)]
        .into_iter()
        .chain(listed(others.into_iter().flatten(), " ").map(line))
        .chain(aside)
        .chain(more)
        .collect()
}

/// How far so many readings can be trusted.
fn trust(log: &LogReport, outlet: &OutletVolts) -> Line {
    let [from, to] = log.usual_between_v.map(volts);
    let usual = format!("the usual voltage lies from {}", from_to(&from, &to));
    let bounds = log.low_not_below_v.zip(log.high_not_above_v);
    let bounds = bounds.map(|(low, high)| {
        format!(", the 5th percentile not below {}, the 95th not above {}", volts(low), volts(high))
    });
    let each = bounds.as_ref().map(|_| " each");
    let few = log.too_few.map(|why| {
        let [low, high] = [outlet.low_v, outlet.high_v].map(volts);
        format!(
            " Low and high are not taken from it, for {why}: the plan takes {}.",
            from_to(&low, &high)
        )
    });
    let missed = log.too_few.map(|_| {
        format!(
            " The chance that so many hours miss the highest twentieth of all is {:.0} %.",
            100.0 * log.missed
        )
    });
    line((
        (strong("How far to trust it: "), "with a confidence of 90 %", each, ", ", usual, bounds),
        (". That is by the number of clock hours read, ", log.clock_hours.to_string()),
        (", taken as independent, and of such days only: no other season, no fault of the line, "),
        ("and not the error of the meter.", few, missed),
    ))
}

/// Hours of the day without a reading.
fn unread(log: &LogReport) -> Option<String> {
    let mut runs: Vec<(i8, i8)> = Vec::new();
    for hour in &log.hours_unread {
        match runs.last_mut().filter(|(_, end)| end == hour) {
            Some((_, end)) => *end = hour + 1,
            None => runs.push((*hour, hour + 1)),
        }
    }
    let runs = runs.iter().map(|(from, to)| format!("{from} to {to} h"));
    listed(runs, ", ").map(|hours| format!("No day has a reading from {hours}."))
}

/// Longer than a day without a reading.
fn gap(log: &LogReport) -> Option<String> {
    let hours = log.longest_gap_h;
    (hours > 24.0).then(|| format!("Longest time without a reading: {hours:.0} h."))
}

/// Readings that crowd into an hour.
fn crowded(log: &LogReport) -> Option<String> {
    let (most, all) = (log.most_in_an_hour, log.span.readings);
    (most * log.clock_hours > CROWDED * all).then(|| {
        format!(
            "{most} of the readings are of one clock hour, and count {most} times as much as one."
        )
    })
}

fn still(log: &LogReport) -> Option<String> {
    (log.lowest_v == log.highest_v).then(|| {
        "All readings are the same: see whether the meter stands still, and how finely it reads."
            .to_owned()
    })
}

fn repeated(log: &LogReport) -> Option<String> {
    let found = counted(log.repeated, "reading");
    (log.repeated > 0)
        .then(|| format!("{found} repeated another, time and voltage, and counted once with it."))
}

fn aside(aside: &SetAside) -> String {
    let place = aside.line.map(|line| format!("line {line}, ")).unwrap_or_default();
    let at = aside.at.strftime("%-d %b %Y %H:%M");
    format!("Set aside: {place}{at}, {}: {}.", volts(aside.shown_v), aside.why)
}

/// The log as a chart, where the plan has one.
pub fn figure(plan: &Plan) -> Option<Block> {
    let log = plan.outlet_log.as_ref()?;
    drawn(log, &plan.outlet).ok().map(Block::Figure)
}

/// Readings over the days, an hour each, with what the plan takes from them.
///
/// # Errors
/// Data that cannot be drawn.
fn drawn(log: &LogReport, outlet: &OutletVolts) -> Result<Drawing, ChartError> {
    let several = log.hours.iter().any(|hour| hour.low_v < hour.high_v);
    let band = Shade {
        name: String::new(),
        points: broken(&log.hours, |hour| (hour.day, hour.low_v, hour.high_v)),
    };
    let curve = Curve {
        name: String::new(),
        stroke: Stroke::Solid,
        points: broken(&log.hours, |hour| (hour.day, hour.middle_v)),
    };
    let taken = marks::day(outlet).into_iter();
    let taken =
        taken.map(|mark| Mark { name: format!("{} {}", mark.name, volts(mark.at)), ..mark });
    let panel = Panel {
        name: "outlet voltage".to_owned(),
        unit: "V RMS",
        lines: vec![curve],
        bands: several.then_some(band).into_iter().collect(),
        horizontals: taken.collect(),
        ..Panel::default()
    };
    let (span, shaded) = (&log.span, if several { " (shaded: within an hour)" } else { "" });
    let chart = Chart {
        title: "Outlet".to_owned(),
        shows: "what the meter showed".to_owned(),
        untitled: true,
        description: format!(
            "The outlet over the days {}: from {}, with low, usual and high as they are taken.",
            days(span),
            from_to(&volts(log.lowest_v), &volts(log.highest_v))
        ),
        x: Axis { name: format!("days from 0:00 of {}", day(span.first_day)), unit: "" },
        panels: vec![panel],
        low: true,
        ..Chart::default()
    };
    let title = format!("The outlet's log: {}, {}{shaded}", amount(span), days(span));
    Ok(Drawing { title, ..paint_chart(&chart, 1, "outlet-log")? })
}

/// What stands between points that are not joined.
trait Gap {
    const GAP: Self;
}

impl Gap for (f64, f64) {
    const GAP: Self = (f64::NAN, f64::NAN);
}

impl Gap for (f64, f64, f64) {
    const GAP: Self = (f64::NAN, f64::NAN, f64::NAN);
}

/// A point for each hour; hours that do not follow each other are not joined.
fn broken<P: Gap>(hours: &[HourRead], point: impl Fn(&HourRead) -> P) -> Vec<P> {
    let mut list = Vec::new();
    for (i, hour) in hours.iter().enumerate() {
        let before = i.checked_sub(1).and_then(|i| hours.get(i));
        if before.is_some_and(|before| hour.day - before.day > JOINED) {
            list.push(P::GAP);
        }
        list.push(point(hour));
    }
    list
}
