//! Cautions on a page: the alarms above all else, the first ones in the head, all of them by the step they protect.

use super::page::{Block, Page, Span, heading, items, notes, plain, strong, text};
use crate::adaptation::Method;
use crate::study::{Caution, Step};

/// Title of the list of them all.
const ALL: &str = "CAUTIONS";

/// What may kill, above everything.
pub fn alarms(list: &[Caution]) -> Page {
    let alarms = list.iter().filter(|c| c.is_alarm());
    alarms.map(|c| Block::Alarm(c.to_string())).collect()
}

/// The first cautions below the alarms, where `fitted` is.
pub(super) fn first(list: &[Caution], fitted: Option<Method>) -> Vec<Vec<Span>> {
    let fits = |c: &Caution| match c {
        Caution::HotResistor { .. } => fitted.is_some_and(|m| m.facts().makes_heat),
        Caution::BuckingReversed { .. } => fitted.is_some_and(|m| m.facts().bucks),
        Caution::BoostLeftIn { .. } => {
            fitted.is_some_and(|m| m.facts().boosts || m == Method::StepUp)
        }
        _ => c.comes_first(),
    };
    let first = list.iter().filter(|c| fits(c) && !c.is_alarm());
    first.map(|c| vec![plain(c.to_string())]).collect()
}

/// What is done next, for the words above its cautions.
pub(super) fn title(step: Step) -> &'static str {
    match step {
        Step::PlugIn => "Before you plug it in",
        Step::Open => "Before you open it",
        Step::FirstPower => "Before the first power",
        Step::Measure => "Before you measure with power on",
        Step::Fit => "Before you fit anything",
        Step::Use => "Before you use it",
    }
}

/// Those that must be read before a step.
fn before(list: &[Caution], step: Step) -> Vec<Vec<Span>> {
    let of = list.iter().filter(|c| c.step() == step && !c.is_alarm());
    of.map(|c| vec![plain(c.to_string())]).collect()
}

/// All of them by their steps, whole.
pub(super) fn all(list: &[Caution]) -> Page {
    let mut page = vec![heading(ALL)];
    for step in Step::ALL {
        let lines = before(list, step);
        if !lines.is_empty() {
            page.extend([text(strong(format!("{}:", title(step)))), items(lines)]);
        }
    }
    page
}

/// Those before `step`, in small print ahead of it on a sheet.
pub(super) fn ahead_of(list: &[Caution], step: Step) -> Page {
    let lines = before(list, step);
    if lines.is_empty() {
        return Page::new();
    }
    vec![text(strong(format!("{}:", title(step)))), notes(lines)]
}

/// Those that remain at the end of a sheet: what holds while the set is used.
pub(super) fn last(list: &[Caution]) -> Page {
    vec![heading(title(Step::Use)), notes(before(list, Step::Use))]
}

/// Whether the cautions at the end of a page begin here.
pub fn begins(block: &Block) -> bool {
    let titles = [ALL, title(Step::Use)];
    matches!(block, Block::Heading(heading) if titles.contains(&heading.as_str()))
}
