//! Many plans as one page: a table, what would be fitted, cautions.

use super::{
    build::listed,
    caution,
    figures::{or_dash, volts},
    page::{
        Block, Line, Page, Tone, bad, blocks, faint, heading, items, line, row, strong, table,
        text, title,
    },
    plan_limits::against_limit,
    plan_tables::{as_is, excess},
    verdict,
    words::{counted, shortened},
};
use crate::study::{PlanList, PlanRow, Reading, RowBody};

/// Longest name of a set in the table; the list below has it whole.
const LONGEST_NAME: f64 = 16.0;

/// Lays out a list of plans.
pub fn page(list: &PlanList<'_>) -> Page {
    let rows = &list.rows;
    let failed = rows.iter().filter(|r| matches!(r.body, RowBody::Failed { .. })).count();
    let failed = (failed > 0).then(|| bad((counted(failed, "file"), " without a plan; ")));
    blocks((
        rows.iter().map(alarms),
        title("Plans"),
        text((
            faint((counted(rows.len(), "file"), "; ")),
            failed,
            faint("heaters and B+ as the sets are today, on the usual outlet voltage"),
        )),
        Block::Gap,
        table(
            ["", "set", "made for", "outlet", "heaters", "", "B+", "advice"],
            rows.iter().map(cells),
        ),
        heading("THE VERDICTS, AND WHAT SPEAKS AGAINST EACH SET AS IT IS"),
        items(rows.iter().map(words)),
        caution::all(&list.cautions),
        text(
            "Each set's own plan has more: its fuse, what its part does when it is hot or wrong, its capacitors at switch-on, what was assumed. Read it, with `mainsfit plan FILE`, before anything is bought or opened.",
        ),
    ))
}

/// What heads the plans, each with its file.
fn alarms(row: &PlanRow<'_>) -> Page {
    let alarms = match row.body {
        RowBody::Planned { plan, .. } => caution::alarms(&plan.cautions),
        RowBody::Failed { .. } => Page::new(),
    };
    let named = alarms.into_iter().map(|block| match block {
        Block::Alarm(words) => Block::Alarm(format!("{}: {words}", row.short)),
        other => other,
    });
    named.collect()
}

fn cells(of: &PlanRow<'_>) -> Line {
    let RowBody::Planned { plan, .. } = &of.body else {
        return row((&of.short, bad("no plan")));
    };
    let usual = as_is(plan).map(|day| &day.usual);
    let advice = Tone::bad_if(!plan.advice.verdict.leaves_usable());
    row((
        &of.short,
        shortened(&plan.set.name, LONGEST_NAME),
        [plan.set.design_line_v, plan.outlet.usual_v].map(volts),
        or_dash(usual.and_then(Reading::tube_heater), |h| volts(h.volts_v)),
        excess(usual.map_or(0.0, Reading::heater_excess)),
        or_dash(usual, |u| volts(u.b_plus_v)),
        advice.of(verdict::short(&plan.advice)),
    ))
}

fn words(of: &PlanRow<'_>) -> Line {
    let file = strong((&of.file, ": "));
    let (plan, worst_limit) = match &of.body {
        RowBody::Planned { plan, worst_limit } => (plan, worst_limit),
        RowBody::Failed { errors, first } => {
            let more = (*errors > 1).then(|| format!("; {} more", errors - 1));
            return line((file, bad((first, more))));
        }
    };
    let usable = plan.advice.verdict.leaves_usable();
    let objection = plan.choices.first().and_then(|c| c.objections.first());
    let against = objection.map(|o| format!("Today: {o}."));
    let limit = worst_limit.map(|l| format!("Worst limit: {}.", against_limit(l)));
    let today = listed(against.into_iter().chain(limit), " ");
    line((
        file,
        (&plan.set.name, ". "),
        verdict::lines(plan).into_iter().map(|paragraph| (paragraph, " ")),
        (!usable).then(|| verdict::reasons(&plan.advice)),
        faint(today.unwrap_or_else(|| "Today: nothing.".to_owned())),
    ))
}
