//! Limits and assumed values of a plan.

use super::figures::{amps, celsius, ohms, or_dash, volts, watts};
use super::page::{Block, Page, Span, Tone, faint, fine, heading, items, plain, table, text};
use super::plan_tables::{as_is, with_part};
use crate::study::{AssumptionReport, Limit, Plan, Rating, Standing};

pub(super) fn limits(plan: &Plan) -> Page {
    let Some(day) = as_is(plan) else {
        return Vec::new();
    };
    let high = volts(plan.outlet.high_v);
    let mut titles = vec!["", "limit", "today", &high];
    let mut readings = vec![&day.usual, &day.high];
    if let Some(then) = with_part(plan) {
        readings.extend([&then.usual, &then.high]);
        titles.extend(["then", &high]);
    }
    titles.push("margin");
    let rows = day.high.limits.iter().map(|l| {
        let mut row = vec![plain(&l.name), plain(figure(l.limit, l.unit))];
        let mut last = l;
        for (i, reading) in readings.iter().enumerate() {
            let Some(found) = reading.limits.iter().find(|t| t.is(l)) else {
                row.push(plain("-"));
                continue;
            };
            last = found;
            row.push(Span::new(figure(found.value, found.unit), limit_tone(found, i % 2 == 1)));
        }
        row.push(plain(format!("{:+.0} %", 100.0 * last.margin())));
        row
    });
    vec![
        heading(format!("LIMITS, ON {} AND ON {high}", volts(plan.outlet.usual_v))),
        table(titles, rows),
        fine(
            "Tube ratings are design-centre figures: they hold on the usual line and leave the line its 10 % swing. The others hold at any line.",
        ),
    ]
}

fn limit_tone(limit: &Limit, at_high: bool) -> Tone {
    match (limit.standing, limit.rating) {
        (Standing::Within, _) => Tone::Plain,
        (Standing::Beyond, Rating::DesignCentre) if at_high => Tone::Careful,
        (Standing::Beyond, _) => Tone::Bad,
        (Standing::Near, _) => Tone::Careful,
    }
}

pub(super) fn assumptions(list: &[AssumptionReport]) -> Page {
    if list.is_empty() {
        return vec![
            heading("ASSUMED"),
            text("Nothing: the profile states every value the model needs."),
        ];
    }
    let mut sorted: Vec<&AssumptionReport> = list.iter().collect();
    // what moves the answer most comes first
    sorted.sort_by(|a, b| {
        let weight = |r: &AssumptionReport| {
            r.b_plus_change_v.unwrap_or(0.0) + 20.0 * r.heater_change_v.unwrap_or(0.0)
        };
        weight(b).total_cmp(&weight(a))
    });
    let rows = sorted.iter().map(|a| {
        vec![
            plain(&a.what),
            plain(&a.value),
            plain(off(a).unwrap_or_else(|| "-".to_owned())),
            plain(or_dash(a.heater_change_v, |v| format!("{v:.2} V"))),
            plain(or_dash(a.b_plus_change_v, |v| format!("{v:.1} V"))),
        ]
    });
    vec![
        heading("ASSUMED: FILLED IN BECAUSE THE PROFILE DOES NOT SAY"),
        table(["", "taken", "may be off", "heaters move", "B+ moves"], rows),
        Block::Gap,
        items(sorted.iter().map(|a| {
            let there = a.b_plus_at_bounds_v.map_or(String::new(), at_bounds);
            vec![plain(format!("{}: ", a.what)), faint(format!("{}{there}", a.rule))]
        })),
    ]
}

/// How far a value may be off; none where that is not said.
pub(super) fn off(a: &AssumptionReport) -> Option<String> {
    let percent = |share: f64| format!("{:+.0}", 100.0 * (share - 1.0));
    match a.bounds {
        Some([low, high]) if (low + high - 2.0).abs() > 0.01 => {
            Some(format!("{} to {} %", percent(low), percent(high)))
        }
        _ => (a.spread > 0.0).then(|| format!("±{:.0} %", 100.0 * a.spread)),
    }
}

/// B+ with a value at its bounds.
fn at_bounds([low, high]: [f64; 2]) -> String {
    format!("; B+ {} to {} there", volts(low), volts(high))
}

pub(super) fn figure(value: f64, unit: &str) -> String {
    match unit {
        "V" => volts(value),
        "A" => amps(value),
        "W" => watts(value),
        "°C" => celsius(value),
        "Ω" => ohms(value),
        _ => format!("{value:.3} {unit}"),
    }
}
