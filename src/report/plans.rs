//! Many plans as one page: a table, what would be fitted, cautions.

use super::figures::{or_dash, volts};
use super::page::{Block, Page, Span, bad, faint, heading, items, plain, strong, table, text};
use super::plan_limits::figure;
use super::plan_tables::{as_is, excess};
use super::{caution, verdict};
use crate::study::{PlanList, Reading, RowBody};

/// Longest name of a set in the table; the list below has it whole.
const LONGEST_NAME: usize = 16;

/// Lays out a list of plans.
pub fn page(list: &PlanList<'_>) -> Page {
    let count = |n: usize| match n {
        1 => "1 file".to_owned(),
        n => format!("{n} files"),
    };
    let failed = list.rows.iter().filter(|r| matches!(r.body, RowBody::Failed { .. })).count();
    let mut conditions = vec![faint(format!("{}; ", count(list.rows.len())))];
    if failed > 0 {
        conditions.push(bad(format!("{} without a plan; ", count(failed))));
    }
    conditions.push(faint("heaters and B+ as the sets are today, on the usual outlet volts"));
    let titles = ["", "set", "made for", "outlet", "heaters", "", "B+", "advice"];
    let mut page = alarms(list);
    page.extend([
        Block::Title("Plans".to_owned()),
        Block::Text(conditions),
        Block::Gap,
        table(titles, list.rows.iter().map(|r| row(&r.short, &r.body))),
        heading("THE VERDICTS, AND WHAT SPEAKS AGAINST EACH SET AS IT IS"),
        items(list.rows.iter().map(|r| words(&r.file, &r.body))),
    ]);
    page.extend(caution::all(&list.cautions));
    page.push(text("Each set's own plan has more: its fuse, what its part does when it is hot or wrong, its capacitors at switch-on, what was assumed. Read it, with `mainsfit plan FILE`, before anything is bought or opened."));
    page
}

/// What heads the plans, each with its file.
fn alarms(list: &PlanList<'_>) -> Page {
    let each = list.rows.iter().flat_map(|row| {
        let alarms = match row.body {
            RowBody::Planned { plan, .. } => caution::alarms(&plan.cautions),
            RowBody::Failed { .. } => Page::new(),
        };
        alarms.into_iter().map(move |block| match block {
            Block::Alarm(words) => Block::Alarm(format!("{}: {words}", row.short)),
            other => other,
        })
    });
    each.collect()
}

fn row(file: &str, body: &RowBody<'_>) -> Vec<Span> {
    let RowBody::Planned { plan, .. } = body else {
        return vec![plain(file), bad("no plan")];
    };
    let usual = as_is(plan).map(|day| &day.usual);
    let heater = usual.and_then(Reading::tube_heater);
    let short = verdict::short(&plan.advice);
    vec![
        plain(file),
        plain(shortened(&plan.set.name)),
        plain(volts(plan.set.design_line_v)),
        plain(volts(plan.outlet.usual_v)),
        plain(or_dash(heater, |h| volts(h.volts_v))),
        excess(usual.map_or(0.0, Reading::heater_excess)),
        plain(or_dash(usual, |u| volts(u.b_plus_v))),
        if plan.advice.verdict.leaves_usable() { plain(short) } else { bad(short) },
    ]
}

fn shortened(name: &str) -> String {
    if name.chars().count() <= LONGEST_NAME {
        return name.to_owned();
    }
    let kept: String = name.chars().take(LONGEST_NAME - 1).collect();
    format!("{}…", kept.trim_end())
}

fn words(file: &str, body: &RowBody<'_>) -> Vec<Span> {
    let (plan, worst_limit) = match body {
        RowBody::Planned { plan, worst_limit } => (plan, worst_limit),
        RowBody::Failed { errors, first } => {
            let words = match errors {
                0 | 1 => first.clone(),
                n => format!("{first}; {} more", n - 1),
            };
            return vec![strong(format!("{file}: ")), bad(words)];
        }
    };
    let mut line = vec![strong(format!("{file}: ")), plain(format!("{}. ", plan.set.name))];
    for paragraph in verdict::lines(plan) {
        line.extend(paragraph.into_iter().chain([plain(" ")]));
    }
    if !plan.advice.verdict.leaves_usable() {
        line.push(plain(verdict::reasons(&plan.advice)));
    }
    let objection = plan.choices.first().and_then(|c| c.objections.first());
    let against = objection.map(|o| format!("Today: {o}."));
    let limit = worst_limit.map(|l| {
        let (value, limit) = (figure(l.value, l.unit), figure(l.limit, l.unit));
        format!("Worst limit: {} {value} of {limit}.", l.name.replace(", ", " "))
    });
    let today: Vec<String> = against.into_iter().chain(limit).collect();
    let today = if today.is_empty() { "Today: nothing.".to_owned() } else { today.join(" ") };
    line.push(faint(today));
    line
}
