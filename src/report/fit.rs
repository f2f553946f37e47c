//! A fit as a page: readings before and after, what moved, what to look at, what to read next.

use super::{
    build::{list, listed},
    caution,
    figures::minus,
    page::{
        Block, Line, Page, Tone, blocks, careful, entry, fine, heading, line, plain, row, strong,
        table, title,
    },
    readings,
    words::counted,
};
use crate::{
    receiver::shown,
    study::{Fit, FittedNumber, FittedReading},
};

/// Numbers shown: the most moved.
const SHOWN: usize = 8;

/// A value in its unit with three digits; volts stay volts.
fn figure(value: f64, unit: &str) -> String {
    match unit {
        "V" if value.abs() < 1.0 => format!("{value:.2} V"),
        "×" => format!("{value:.2} ×"),
        _ => minus(&shown(value, unit)),
    }
}

/// Lays out a fit.
pub fn page(fit: &Fit) -> Page {
    let alarms = blocks((caution::alarms(&fit.cautions), title(&fit.name), Block::Gap));
    let head = readings::head(&fit.verdict);
    let gap = (alarms.len() + head.len() > 2).then_some(Block::Gap);
    let next = fit.next.as_ref().map(|next| {
        line((
            "the reading that would narrow this most: ",
            strong(&next.label),
            format!(
                " ({}), to ±{:.2} V at the heaters and ±{:.1} V at B+",
                next.key,
                2.0 * next.heater_uncertain_v,
                2.0 * next.b_plus_uncertain_v
            ),
        ))
    });
    blocks((
        alarms,
        head,
        gap,
        entry("FOUND", found(fit)),
        entry("THEN", answer(fit)),
        entry("NEXT", next).if_any(),
        heading("READINGS"),
        table(
            ["", "line", "read", "± ", "profile", "off by", "fitted", "off by"],
            fit.readings.iter().map(reading),
        ),
        fine(
            "± is twice the standard uncertainty of the reading: the meter's limit and its last digit. \"off by\" counts standard uncertainties. The meter's own load is in the figures of profile and fit.",
        ),
        heading("WHAT MOVED, THE MOST FIRST"),
        table(["", "profile", "", "fitted", ""], fit.numbers.iter().take(SHOWN).map(number)),
        fine(
            "± are limits: what a number might have been off by, and what it may still be off by. A number that is marked was assumed, not stated.",
        ),
        caution::all(&fit.cautions),
    ))
}

fn found(fit: &Fit) -> Vec<Line> {
    let count = fit.readings.len();
    let misses = [fit.misfit_before, fit.misfit_after].map(|m| (m / count as f64).sqrt());
    let drifted = fit.suspect.as_ref().map(|s| {
        let likely = match s.gain {
            g if g > 9.0 => "drifted: ",
            g if g > 4.0 => "likely drifted: ",
            _ => "perhaps drifted (a sound set may look so too): ",
        };
        let [stated, behaves_as, by] =
            [s.stated, s.behaves_as, 2.0 * s.uncertainty].map(|v| figure(v, s.unit));
        let or = listed(&s.or, ", ").map(|or| ("; nearly as well: ", or));
        let what = format!("{} ({stated}) behaves as {behaves_as}, ±{by}", s.what);
        line((likely, careful(what), or))
    });
    // what stands at the head, with what to do, is said once
    let at_head = !fit.verdict.drifted.is_empty() && fit.verdict.contradiction.is_none();
    let sound = drifted.is_none() && fit.verdict.contradiction.is_none();
    list((
        format!(
            "{}: the profile misses them by {:.1} standard uncertainties on average, the fit by {:.1}",
            counted(count, "reading"),
            misses[0],
            misses[1]
        ),
        drifted.filter(|_| !at_head),
        sound.then_some(
            "no part stands out: the readings lie within what a sound set may be off by",
        ),
    ))
}

fn answer(fit: &Fit) -> String {
    let a = &fit.answer;
    format!(
        "straight on {:.1} V: heaters {} ±{:.2} V (before {} ±{:.2} V), B+ {} ±{:.1} V (before {} ±{:.1} V)",
        a.line_v,
        figure(a.heater_after_v, "V"),
        2.0 * a.heater_uncertain_after_v,
        figure(a.heater_before_v, "V"),
        2.0 * a.heater_uncertain_before_v,
        figure(a.b_plus_after_v, "V"),
        2.0 * a.b_plus_uncertain_after_v,
        figure(a.b_plus_before_v, "V"),
        2.0 * a.b_plus_uncertain_before_v
    )
}

fn reading(r: &FittedReading) -> Line {
    let figure = |v: f64| figure(v, r.unit);
    let with_miss = |v: f64| {
        let units = (v - r.measured) / r.uncertainty;
        // a zero has no minus
        let tenths = (10.0 * units).round() / 10.0 + 0.0;
        let off = Tone::bad_if(units.abs() > 3.0).of(minus(&format!("{tenths:+.1}")));
        (figure(v), off)
    };
    row((
        &r.label,
        format!("{:.1} V", r.at_line_v),
        strong(figure(r.measured)),
        figure(2.0 * r.uncertainty),
        [r.before, r.after].map(with_miss),
    ))
}

fn number(n: &FittedNumber) -> Line {
    let spread = |share: f64| format!("±{:.1} %", 100.0 * share);
    row((
        plain((&n.what, n.assumed.then_some(" (assumed)"))),
        figure(n.before, n.unit),
        spread(n.spread_before),
        strong(figure(n.after, n.unit)),
        spread(n.spread_after),
    ))
}
