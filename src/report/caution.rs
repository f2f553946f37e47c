//! Cautions on a page: the alarms above all else, the first ones in the head, all of them by the step they protect.

use super::{
    build::{joined, once},
    page::{Block, Line, Page, blocks, heading, items, line, notes, section, strong, text},
};
use crate::{
    adaptation::Method,
    study::{Caution, Plan, Step},
};

/// Title of the list of them all.
const ALL: &str = "CAUTIONS";

/// What may kill, above everything.
pub fn alarms(list: &[Caution]) -> Page {
    let alarms = list.iter().filter(|c| c.is_alarm());
    alarms.map(|c| Block::Alarm(c.to_string())).collect()
}

/// Those that are no alarm and are meant.
fn those(list: &[Caution], meant: impl Fn(&Caution) -> bool) -> impl Iterator<Item = &Caution> {
    list.iter().filter(move |c| !c.is_alarm() && meant(c))
}

/// A line each.
fn lines(list: &[Caution], meant: impl Fn(&Caution) -> bool) -> Vec<Line> {
    those(list, meant).map(|c| line(c.to_string())).collect()
}

/// The first cautions below the alarms, where `fitted` is.
pub fn first(list: &[Caution], fitted: Option<Method>) -> Vec<Line> {
    let is = |of: fn(Method) -> bool| fitted.is_some_and(of);
    lines(list, |c| match c {
        Caution::HotResistor { .. } => is(|m| m.facts().makes_heat),
        Caution::BuckingReversed { .. } => is(|m| m.facts().bucks),
        Caution::BoostLeftIn { .. } => is(|m| m.facts().boosts || m == Method::StepUp),
        _ => c.comes_first(),
    })
}

/// Those of a first page on which a part is fitted: the first of all, what comes first, all before it is wired. The others
/// stand behind it.
pub fn front(list: &[Caution], fitted: Method) -> String {
    let before = |c: &Caution| *c == Caution::PullThePlug;
    let of = |all: Vec<Line>| all.into_iter().flatten().map(|span| span.text);
    let own = of(lines(list, |c| c.step() == Step::Fit && !c.is_of_place()));
    let all = once(of(lines(list, before)).chain(of(first(list, Some(fitted)))).chain(own));
    joined(all.into_iter().map(|words| POINT.to_owned() + &words), " ")
}

/// What is done next, for the words above its cautions.
pub fn title(step: Step) -> &'static str {
    match step {
        Step::PlugIn => "Before you plug it in",
        Step::Open => "Before you open it",
        Step::FirstPower => "Before the first power",
        Step::Measure => "Before you measure with power on",
        Step::Fit => "Before you fit anything",
        Step::Use => "Before you use it",
    }
}

/// Those that must be read before a step, set as a list below it; none where there are none.
fn before(list: &[Caution], step: Step, set: fn(Vec<Line>) -> Block) -> Option<[Block; 2]> {
    let list = set(lines(list, |c| c.step() == step)).if_any()?;
    Some([text(strong((title(step), ":"))), list])
}

/// All of them by their steps, whole.
pub fn all(list: &[Caution]) -> Page {
    let steps = Step::ALL.into_iter().filter_map(|step| before(list, step, items));
    blocks((heading(ALL), steps))
}

/// All of a plan by their steps; those that only a part which is not advised asks for stand apart.
pub fn of_plan(plan: &Plan) -> Page {
    let (others, own): (Vec<Caution>, Vec<Caution>) =
        plan.cautions.iter().cloned().partition(|c| plan.of_other_parts.contains(c));
    let others = items(lines(&others, |_| true)).if_any();
    let title = "If you fit one of the other parts all the same, before you do:";
    blocks((all(&own), others.map(|list| [text(strong(title)), list])))
}

/// Those before `step`, in small print ahead of it on a sheet.
pub fn ahead_of(list: &[Caution], step: Step) -> Option<[Block; 2]> {
    before(list, step, notes)
}

/// What each begins with where several stand in a paragraph; it keeps to what follows.
const POINT: &str = "•\u{a0}";

/// Those that are meant, in a paragraph for each step; for a page that has no room for lists.
pub fn in_a_paragraph(list: &[Caution], meant: impl Fn(&Caution) -> bool) -> Page {
    let paragraph = |step| {
        let all = those(list, |c| c.step() == step && meant(c)).map(|c| format!("{POINT}{c}"));
        let all = joined(all, " ");
        (!all.is_empty()).then(|| text((strong((title(step), ": ")), all)))
    };
    blocks(Step::ALL.into_iter().filter_map(paragraph))
}

/// Those of a card on the set: what holds while it is used, and what comes first when it is opened. The card names the fuse.
pub fn card(list: &[Caution], fitted: Method) -> Vec<Line> {
    let list: Vec<Caution> =
        list.iter().filter(|c| !matches!(c, Caution::Fuse { .. })).cloned().collect();
    let used = |c: &Caution| c.step() == Step::Use && *c != Caution::NotExamined;
    let used = lines(&list, |c| c.step() == Step::PlugIn || used(c) && !c.comes_first());
    used.into_iter().chain(first(&list, Some(fitted))).collect()
}

/// Those before the box is made and the part has its place.
pub fn of_place(list: &[Caution]) -> Option<Block> {
    notes(lines(list, Caution::is_of_place)).if_any()
}

/// Those to read before anything is done with the set.
pub fn care(list: &[Caution]) -> Page {
    section("Before you open the back", notes(lines(list, |c| c.step() <= Step::Open)))
}

/// Those that remain at the end of a sheet: what holds while the set is used.
pub fn last(list: &[Caution]) -> Page {
    section(title(Step::Use), notes(lines(list, |c| c.step() == Step::Use)))
}

/// Whether the cautions at the end of a page begin here.
pub fn begins(block: &Block) -> bool {
    let titles = [ALL, title(Step::Use)];
    matches!(block, Block::Heading(heading) if titles.contains(&heading.as_str()))
}
