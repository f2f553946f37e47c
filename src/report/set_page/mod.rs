//! The set on a page: one file of HTML with the states of a set, their drawings, and a script that moves between them.
//!
//! The script computes no circuit: it interpolates between solved points, puts a meter's load on a source's resistance, and does the
//! sums that are spelled out for it.

mod data;
mod drawn;

use super::{
    caution,
    figures::{digits, figure},
    html, name_and_year, note_readings,
    page::{Block, Page, blocks, line},
    verdict,
};
use crate::study::{Checkpoint, Limit, Plan, States};
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// The look.
const STYLE: &str = include_str!("look.css");

/// The script, a piece for each thing; the first makes what the others share, the last begins.
const SCRIPT: [&str; 17] = [
    include_str!("mainsfit.js"),
    include_str!("points.js"),
    include_str!("figures.js"),
    include_str!("sums.js"),
    include_str!("state.js"),
    include_str!("moment.js"),
    include_str!("drawing.js"),
    include_str!("table.js"),
    include_str!("limits.js"),
    include_str!("why.js"),
    include_str!("form.js"),
    include_str!("cord.js"),
    include_str!("summary.js"),
    include_str!("controls.js"),
    include_str!("curves.js"),
    include_str!("minute.js"),
    include_str!("start.js"),
];

/// The page.
pub fn html(states: &States) -> String {
    let plan = &states.plan;
    let title = name_and_year(&plan.set);
    let document = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                // nothing is asked of any network
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'";
                title { (title) }
                style { (PreEscaped(close(STYLE))) }
            }
            body {
                (head(plan, &title))
                main {
                    noscript {
                        p {
                            "What to read on the usual line is in the table below. To move the line and see the rest, allow this page its script: it asks nothing of any network."
                        }
                    }
                    section id="move" { h2 { "Move the line" } }
                    (drawings(states))
                    (points(states))
                    (limits(states))
                    section id="why" { h2 { "Why" } }
                    section id="minute" { h2 { "The first minute" } }
                    section id="care" {
                        h2 { "Cautions" }
                        (html::inside(&caution::alarms(&plan.cautions)))
                        (html::inside(&care(plan)))
                    }
                }
                script type="application/json" id="states" { (PreEscaped(data::json(states))) }
                script { (PreEscaped(SCRIPT.map(close).concat())) }
            }
        }
    };
    document.into_string() + "\n"
}

/// A text of the page's own without indents and without lines of comment, which a reader finds in the sources.
fn close(text: &str) -> String {
    let lines = text.lines().map(str::trim).filter(|line| {
        let comment = line.starts_with("//") || line.starts_with("/*") && line.ends_with("*/");
        !(line.is_empty() || comment)
    });
    lines.map(|line| line.to_owned() + "\n").collect()
}

/// What is always in view: what may kill, and the verdict.
fn head(plan: &Plan, title: &str) -> Markup {
    let verdict = blocks(verdict::lines(plan).into_iter().map(Block::Text));
    html! {
        header id="top" {
            (html::inside(&caution::alarms(&plan.cautions)))
            h1 { (title) }
            div id="verdict" { (html::inside(&verdict)) }
            p { a href="#care" { "All cautions" } }
        }
    }
}

/// All cautions but those above everything, by their steps.
fn care(plan: &Plan) -> Page {
    let mut page = caution::of_plan(plan);
    page.retain(|block| !matches!(block, Block::Heading(_)));
    page
}

/// The drawings, that of the set as it is in view before the script runs.
fn drawings(states: &States) -> Markup {
    html! {
        section id="drawn" {
            h2 { "The set" }
            div id="mains" {
                @for (place, drawing) in states.drawings.iter().enumerate() {
                    figure data-mains=(drawing.name) hidden[place > 0] {
                        (PreEscaped(drawn::mains(drawing, &states.columns)))
                    }
                }
            }
            div id="supply" {
                @if let Some(first) = states.drawings.first() {
                    figure { (PreEscaped(drawn::supply(first, &states.columns))) }
                }
            }
        }
    }
}

/// What a meter should read on the usual line.
fn points(states: &States) -> Markup {
    html! {
        section id="points" {
            h2 { "What to read" }
            table {
                thead { tr { th scope="col" { "Point" } th scope="col" { "Now" } th scope="col" { "Normal" } } }
                tbody { @for point in &states.checkpoints { (self::point(point, &states.plan)) } }
            }
        }
    }
}

fn point(point: &Checkpoint, plan: &Plan) -> Markup {
    let (unit, shown) = digits(point.unit, point.expected);
    let [least, most] = note_readings::in_order(point).map(shown);
    let label = line(note_readings::label(point, plan));
    html! {
        tr data-figure=(point.key) {
            th scope="row" { (html::line(&label)) }
            td.now { (figure(point.expected, point.unit)) }
            td.normal { (least) " to " (most) " " (unit) }
        }
    }
}

/// Every limit, as the set is on the usual line.
fn limits(states: &States) -> Markup {
    let usual = states.plan.choices.first().and_then(|choice| Some(&choice.day.as_ref()?.usual));
    html! {
        section id="limits" {
            h2 { "Limits" }
            table {
                thead {
                    tr {
                        th scope="col" { "What" }
                        th scope="col" { "Now" }
                        th scope="col" { "Limit" }
                        th scope="col" { "Standing" }
                    }
                }
                tbody {
                    @for (place, limit) in states.limits.iter().enumerate() {
                        @let now = usual.and_then(|reading| reading.limit(limit)).unwrap_or(limit);
                        tr data-limit=(place) {
                            th scope="row" { (html::line(&line(data::name(limit)))) }
                            td.now { (figure(now.value, limit.unit)) }
                            td.limit { (figure(limit.limit, limit.unit)) }
                            td.standing { (standing(now)) }
                        }
                    }
                }
            }
        }
    }
}

fn standing(limit: &Limit) -> &'static str {
    use crate::study::Standing::{Beyond, Near, Within};
    match limit.standing {
        Within => "within",
        Near => "at the limit",
        Beyond => "exceeded",
    }
}
