//! Limits and assumed values of a plan.

use super::{
    figures::{figure, or_dash, volts},
    page::{Block, Page, Tone, faint, fine, items, line, plain, row, section, table, text},
    plan_tables::{as_is, with_part},
    words::{at_part, without_comma},
};
use crate::study::{AssumptionReport, Limit, Plan, Rating, Standing};

pub fn limits(plan: &Plan) -> Option<Page> {
    let day = as_is(plan)?;
    let high = volts(plan.outlet.high_v);
    let then = with_part(plan);
    let readings = [Some(day), then].into_iter().flatten().flat_map(|day| [&day.usual, &day.high]);
    let rows = day.high.limits.iter().map(|l| {
        let found = readings.clone().map(|r| r.limit(l));
        let cells = found.clone().zip([false, true].into_iter().cycle());
        let cells = cells.map(|(found, at_high)| {
            let cell = |l: &Limit| limit_tone(l, at_high).of(figure(l.value, l.unit));
            found.map_or_else(|| plain("-"), cell)
        });
        let margin = found.flatten().last().unwrap_or(l).margin();
        row((
            at_part(&l.name, l.part.as_deref()),
            figure(l.limit, l.unit),
            cells,
            format!("{:+.0} %", whole_percent(margin)),
        ))
    });
    let then = then.map(|_| ["then", &high]);
    Some(section(
        format!("LIMITS, ON {} AND ON {high}", volts(plan.outlet.usual_v)),
        (
            table(("", "limit", "today", &high, then, "margin"), rows),
            fine(
                "Tube ratings are design-center figures: they hold on the usual line and leave the line its 10 % swing. The others hold at any line.",
            ),
        ),
    ))
}

fn limit_tone(limit: &Limit, at_high: bool) -> Tone {
    match (limit.standing, limit.rating) {
        (Standing::Within, _) => Tone::Plain,
        (Standing::Beyond, Rating::DesignCentre) if at_high => Tone::Careful,
        (Standing::Beyond, _) => Tone::Bad,
        (Standing::Near, _) => Tone::Careful,
    }
}

/// A limit and what it gets: "B+ 320 V of 300 V".
pub fn against_limit(l: &Limit) -> String {
    let [value, limit] = [l.value, l.limit].map(|v| figure(v, l.unit));
    format!("{} {value} of {limit}", without_comma(&l.name))
}

pub fn assumptions(list: &[AssumptionReport]) -> Page {
    if list.is_empty() {
        return section("ASSUMED", text(NOTHING));
    }
    let mut sorted: Vec<&AssumptionReport> = list.iter().collect();
    // what moves the answer most comes first
    let weight = |r: &AssumptionReport| {
        r.b_plus_change_v.unwrap_or(0.0) + 20.0 * r.heater_change_v.unwrap_or(0.0)
    };
    sorted.sort_by(|a, b| weight(b).total_cmp(&weight(a)));
    let rows = sorted.iter().map(|a| {
        let [heaters, b_plus] = moves(a);
        row((&a.what, &a.value, or_dash(off(a), |off| off), heaters, b_plus))
    });
    section(
        "ASSUMED: FILLED IN BECAUSE THE PROFILE DOES NOT SAY",
        (
            table(["", "taken", "may be off", "heaters move", "B+ moves"], rows),
            Block::Gap,
            items(sorted.iter().map(|a| {
                let there = a.b_plus_at_bounds_v.map(|ends| {
                    let [low, high] = ends.map(volts);
                    format!("; B+ {low} to {high} there")
                });
                line((&a.what, ": ", faint((&a.rule, there))))
            })),
        ),
    )
}

/// Said where nothing is assumed.
pub const NOTHING: &str = "Nothing: the profile states every value the model needs.";

/// By what a value may move heaters and B+.
pub fn moves(a: &AssumptionReport) -> [String; 2] {
    [
        or_dash(a.heater_change_v, |v| format!("{v:.2} V")),
        or_dash(a.b_plus_change_v, |v| format!("{v:.1} V")),
    ]
}

/// Whole percent, a zero never with a minus.
fn whole_percent(share: f64) -> f64 {
    (100.0 * share).round() + 0.0
}

/// How far a value may be off; none where that is not said.
pub fn off(a: &AssumptionReport) -> Option<String> {
    let percent = |share: f64| format!("{:+.0}", whole_percent(share - 1.0));
    match a.bounds {
        Some([low, high]) if (low + high - 2.0).abs() > 0.01 => {
            Some(format!("{} to {} %", percent(low), percent(high)))
        }
        _ => (a.spread > 0.0).then(|| format!("±{:.0} %", 100.0 * a.spread)),
    }
}

/// How far a value may be off, behind it.
pub fn spread(a: &AssumptionReport) -> String {
    off(a).map_or(String::new(), |off| format!(" {off}"))
}

/// Name, value and how far it may be off.
pub fn with_spread(a: &AssumptionReport) -> String {
    format!("{} {}{}", a.what, a.value, spread(a))
}
