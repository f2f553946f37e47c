//! A fit as a page: readings before and after, what moved, what to look at, what to read next.

use super::caution;
use super::page::{Block, Page, Span, Tone, careful, entry, fine, heading, plain, strong, table};
use crate::receiver::shown;
use crate::study::{Fit, FittedNumber, FittedReading};

/// Numbers shown: the most moved.
const SHOWN: usize = 8;

/// A value in its unit with three digits; volts stay volts.
fn figure(value: f64, unit: &str) -> String {
    match unit {
        "V" if value.abs() < 1.0 => format!("{value:.2} V"),
        "×" => format!("{value:.2} ×"),
        _ => shown(value, unit),
    }
}

/// Lays out a fit.
pub fn page(fit: &Fit) -> Page {
    let mut page = caution::alarms(&fit.cautions);
    page.extend([Block::Title(fit.name.clone()), Block::Gap]);
    page.extend(super::readings::head(&fit.verdict));
    page.extend((page.len() > 2).then_some(Block::Gap));
    page.push(entry("FOUND", found(fit)));
    page.push(entry("THEN", answer(fit)));
    if let Some(next) = &fit.next {
        page.push(entry(
            "NEXT",
            vec![vec![
                plain("the reading that would narrow this most: "),
                strong(&next.label),
                plain(format!(
                    " ({}), to ±{:.2} V at the heaters and ±{:.1} V at B+",
                    next.key,
                    2.0 * next.heater_uncertain_v,
                    2.0 * next.b_plus_uncertain_v
                )),
            ]],
        ));
    }
    page.push(heading("READINGS"));
    page.push(table(
        ["", "line", "read", "± ", "profile", "off by", "fitted", "off by"],
        fit.readings.iter().map(reading),
    ));
    page.push(fine("± is twice the standard uncertainty of the reading: the meter's limit and its last digit. \"off by\" counts standard uncertainties. The meter's own load is in the figures of profile and fit."));
    page.push(heading("WHAT MOVED, THE MOST FIRST"));
    page.push(table(["", "profile", "", "fitted", ""], fit.numbers.iter().take(SHOWN).map(number)));
    page.push(fine("± are limits: what a number might have been off by, and what it may still be off by. A number that is marked was assumed, not stated."));
    page.extend(caution::all(&fit.cautions));
    page
}

fn found(fit: &Fit) -> Vec<Vec<Span>> {
    let mut lines = Vec::new();
    let count = fit.readings.len();
    lines.push(vec![plain(format!(
        "{count} reading{}: the profile misses them by {:.1} standard uncertainties on average, the fit by {:.1}",
        if count == 1 { "" } else { "s" },
        (fit.misfit_before / count as f64).sqrt(),
        (fit.misfit_after / count as f64).sqrt()
    ))]);
    match &fit.suspect {
        Some(s) => {
            let mut line = vec![
                plain(match s.gain {
                    g if g > 9.0 => "drifted: ",
                    g if g > 4.0 => "likely drifted: ",
                    _ => "perhaps drifted (a sound set may look so too): ",
                }),
                careful(format!(
                    "{} ({}) behaves as {}, ±{}",
                    s.what,
                    figure(s.stated, s.unit),
                    figure(s.behaves_as, s.unit),
                    figure(2.0 * s.uncertainty, s.unit)
                )),
            ];
            if !s.or.is_empty() {
                line.push(plain(format!("; nearly as well: {}", s.or.join(", "))));
            }
            lines.push(line);
        }
        None if fit.verdict.contradiction.is_some() => {}
        None => lines.push(vec![plain(
            "no part stands out: the readings lie within what a sound set may be off by",
        )]),
    }
    lines
}

fn answer(fit: &Fit) -> Vec<Vec<Span>> {
    let a = &fit.answer;
    vec![vec![plain(format!(
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
    ))]]
}

fn reading(r: &FittedReading) -> Vec<Span> {
    let off = |v: f64| {
        let units = (v - r.measured) / r.uncertainty;
        let tone = if units.abs() > 3.0 { Tone::Bad } else { Tone::Plain };
        Span::new(format!("{units:+.1}"), tone)
    };
    vec![
        plain(&r.label),
        plain(format!("{:.1} V", r.at_line_v)),
        strong(figure(r.measured, r.unit)),
        plain(figure(2.0 * r.uncertainty, r.unit)),
        plain(figure(r.before, r.unit)),
        off(r.before),
        plain(figure(r.after, r.unit)),
        off(r.after),
    ]
}

fn number(n: &FittedNumber) -> Vec<Span> {
    let spread = |share: f64| format!("±{:.1} %", 100.0 * share);
    let mark = if n.assumed { " (assumed)" } else { "" };
    vec![
        plain(format!("{}{mark}", n.what)),
        plain(figure(n.before, n.unit)),
        plain(spread(n.spread_before)),
        strong(figure(n.after, n.unit)),
        plain(spread(n.spread_after)),
    ]
}
