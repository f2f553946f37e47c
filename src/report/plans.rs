//! Many plans as one page: a table, what would be fitted, cautions.

use super::caution;
use super::figures::{or_dash, volts};
use super::page::{Block, Page, Span, bad, faint, heading, items, plain, strong, table, text};
use super::plan_limits::figure;
use super::plan_tables::excess;
use crate::study::{PlanList, PlannedRow, RowBody};

/// Longest name of a set in the table; the list below has it whole.
const LONGEST_NAME: usize = 16;

/// Lays out a list of plans.
pub fn page(list: &PlanList) -> Page {
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
        heading("WHAT WOULD BE FITTED, AND WHAT SPEAKS AGAINST THE SET AS IT IS"),
        items(list.rows.iter().map(|r| words(&r.file, &r.body))),
    ]);
    page.extend(caution::all(&list.cautions));
    page.push(text("Each set's own plan has more: its fuse, what its part does when it is hot or wrong, its capacitors at switch-on, what was assumed. Read it, with `mainsfit plan FILE`, before anything is bought or opened."));
    page
}

/// What heads the plans, each with its file.
fn alarms(list: &PlanList) -> Page {
    let planned = list.rows.iter().filter_map(|row| match &row.body {
        RowBody::Planned(plan) => Some((&row.short, &plan.alarms)),
        RowBody::Failed { .. } => None,
    });
    let each = planned.flat_map(|(file, alarms)| {
        alarms.iter().map(move |alarm| Block::Alarm(format!("{file}: {alarm}")))
    });
    each.collect()
}

fn row(file: &str, body: &RowBody) -> Vec<Span> {
    let plan = match body {
        RowBody::Planned(plan) => plan,
        RowBody::Failed { .. } => {
            return vec![plain(file), bad("no plan")];
        }
    };
    vec![
        plain(file),
        plain(short(&plan.set)),
        plain(volts(plan.design_line_v)),
        plain(volts(plan.usual_v)),
        plain(or_dash(plan.heater_v, volts)),
        excess(plan.heater_excess),
        plain(volts(plan.b_plus_v)),
        match &plan.advice {
            Some(method) => plain(method.facts().id),
            None => bad("none"),
        },
    ]
}

fn short(name: &str) -> String {
    if name.chars().count() <= LONGEST_NAME {
        return name.to_owned();
    }
    let kept: String = name.chars().take(LONGEST_NAME - 1).collect();
    format!("{}…", kept.trim_end())
}

fn words(file: &str, body: &RowBody) -> Vec<Span> {
    match body {
        RowBody::Planned(plan) => {
            let mut line = vec![strong(format!("{file}: ")), plain(format!("{}. ", plan.set))];
            line.extend(fit(plan));
            line.push(faint(against(plan)));
            line
        }
        RowBody::Failed { errors, first } => vec![
            strong(format!("{file}: ")),
            bad(match errors {
                0 | 1 => first.clone(),
                n => format!("{first}; {} more", n - 1),
            }),
        ],
    }
}

fn fit(plan: &PlannedRow) -> Vec<Span> {
    match (&plan.advice, &plan.part) {
        (Some(method), Some(part)) => {
            vec![plain(format!("{}: {part}.", method.facts().title))]
        }
        (Some(_), None) => vec![plain("Nothing: leave it as it is.")],
        (None, _) => vec![
            bad("Nothing that the plan can stand behind: "),
            plain(format!("{}.", plan.reasons.join("; "))),
        ],
    }
}

/// What speaks against the set as it is.
fn against(plan: &PlannedRow) -> String {
    let objection = plan.objection.as_ref().map(|o| format!(" Today: {o}."));
    let limit = plan.worst_limit.as_ref().map(|l| {
        format!(
            " Worst limit: {} {} of {}.",
            l.name.replace(", ", " "),
            figure(l.value, l.unit),
            figure(l.limit, l.unit)
        )
    });
    let nothing = (objection.is_none() && limit.is_none()).then(|| " Today: nothing.".to_owned());
    [objection, limit, nothing].into_iter().flatten().collect()
}
