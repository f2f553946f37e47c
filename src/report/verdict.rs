//! A verdict in words: the one place where they are made, for the head of every screen and sheet.

use super::figures::{ohms, volts, watts};
use super::page::{Page, Span, bad, entry, plain, strong};
use super::plan_limits::figure;
use super::words::sentence;
use crate::adaptation::{Method, Place, Stands};
use crate::study::{Advice, Choice, FuseReport, Measure, Plan, Strength, ToMeasure, Verdict};

/// What is to be done, in a sentence.
pub(super) fn headline(plan: &Plan) -> String {
    let advice = &plan.advice;
    match (advice.verdict, &advice.measure) {
        (Verdict::RepairFirst, _) => "Repair first:".to_owned(),
        (Verdict::CannotSay, _) if plan.readings.contradiction.is_some() => {
            "No advice: these readings contradict each other.".to_owned()
        }
        (Verdict::CannotSay, _) => {
            "No advice: nothing that can be bought brings this set within its limits.".to_owned()
        }
        (Verdict::LeaveAndMeasure, Some(measure)) => {
            format!("Leave it for now and measure {}: {}.", point(plan, measure), measure.range)
        }
        (Verdict::LeaveAndMeasure, None) => "Leave it for now and measure.".to_owned(),
        (verdict, _) => sentence(&act(plan, verdict, chosen(plan))),
    }
}

/// The verdict in a word or two, for a column.
pub(super) fn short(advice: &Advice) -> &'static str {
    match (advice.verdict, advice.strength) {
        (Verdict::Leave, _) => "leave",
        (Verdict::LeaveAndMeasure, _) => "measure",
        (Verdict::ChangeTap, _) => "move tap",
        (Verdict::TakeOut, _) => "take out",
        (Verdict::Fit, Some(Strength::Optional)) => "add, optional",
        (Verdict::Fit, _) => "add",
        (Verdict::Boost, Some(Strength::Optional)) => "raise, optional",
        (Verdict::Boost, _) => "raise",
        (Verdict::StepDown, _) => "step down",
        (Verdict::RepairFirst, _) => "repair first",
        (Verdict::CannotSay, _) => "no advice",
    }
}

/// What is to be done, with the repairs and how much it is wanted.
pub(super) fn lines(plan: &Plan) -> Vec<Vec<Span>> {
    let advice = &plan.advice;
    let first = headline(plan);
    let mut lines =
        vec![vec![if advice.verdict.leaves_usable() { strong(first) } else { bad(first) }]];
    let mut say = |words: String| lines.push(vec![plain(words)]);
    advice.repairs.iter().for_each(|repair| say(sentence(repair)));
    if advice.verdict == Verdict::RepairFirst
        && let Some(choice) = chosen(plan)
    {
        let then = act(plan, Verdict::of(choice.method), Some(choice));
        say(format!("With that put right: {then}."));
    }
    match advice.strength {
        Some(Strength::Optional)
            if matches!(advice.verdict, Verdict::ChangeTap | Verdict::TakeOut) =>
        {
            say("Worth doing; you may leave it.".to_owned());
        }
        Some(Strength::Optional) => say("Worth fitting; you may leave it.".to_owned()),
        Some(Strength::Needed) => say("Needed: do not leave the set as it is.".to_owned()),
        None => {}
    }
    lines
}

/// What heads a plan: the verdict with part, fuse and place, why, what else would do, and where it changes.
pub(super) fn head(plan: &Plan) -> Page {
    let mut all = lines(plan);
    let decides = deciding(plan).into_iter().flat_map(|m| reading(plan, m));
    all.extend(decides.map(|words| vec![plain(words)]));
    if let Some(choice) = chosen(plan) {
        // on the line that says how much it is wanted, where there is one
        let fuse = choice.fuse.as_ref().and_then(fuse).map(|words| plain(format!(" {words}")));
        match all.last_mut().filter(|_| plan.advice.strength.is_some()) {
            Some(line) => line.extend(fuse),
            None => all.extend(fuse.map(|words| vec![plain(words.text.trim_start())])),
        }
        all.extend(place(choice).map(|words| vec![plain(words)]));
    }
    let mut page = vec![entry("ADVICE", all)];
    page.extend(why(plan));
    let runner_up = plan.advice.runner_up.filter(|_| plan.advice.repairs.is_empty());
    if let Some(choice) = plan.choices.iter().find(|c| Some(c.method) == runner_up) {
        let other = act(plan, Verdict::of(choice.method), Some(choice));
        page.push(paragraph("OR", sentence(&other)));
    }
    page.extend(changes(plan));
    page
}

/// Why, as an entry.
fn why(plan: &Plan) -> Option<super::page::Block> {
    let reasons = reasons(&plan.advice);
    // what the readings say heads the page already
    (!reasons.is_empty() && plan.readings.contradiction.is_none())
        .then(|| paragraph("WHY", reasons))
}

/// The reasons as sentences.
pub(super) fn reasons(advice: &Advice) -> String {
    let said = |r: &&String| !advice.repairs.contains(r);
    advice.reasons.iter().filter(said).map(|r| sentence(r)).collect::<Vec<_>>().join(" ")
}

/// Where the verdict changes, a sentence each, the lowest voltage first, and what else would change it.
pub(super) fn turns(advice: &Advice) -> Vec<String> {
    let mut turns = advice.changes_at.clone();
    turns.sort_by(|a, b| a.voltage.total_cmp(&b.voltage));
    let each = turns.iter().map(|t| {
        let side = if t.above { "above" } else { "below" };
        let at = half_volts(t.voltage);
        format!("Usual outlet voltage {side} {at}: {}.", elsewhere(t.verdict))
    });
    // in words the same, and after that what else would change it
    let besides = advice.would_change.iter().skip(turns.len()).map(|words| sentence(words));
    each.chain(besides).collect()
}

/// Where the verdict changes, and a reading that is to be taken besides.
fn changes(plan: &Plan) -> Page {
    let advice = &plan.advice;
    let each: Vec<Vec<Span>> = turns(advice).into_iter().map(|words| vec![plain(words)]).collect();
    let mut page = Vec::new();
    if !each.is_empty() {
        let margin = if advice.verdict == Verdict::CannotSay { "FIRST" } else { "CHANGES" };
        page.push(entry(margin, each));
    }
    if let Some(measure) = advice.measure.as_ref().filter(|_| deciding(plan).is_none()) {
        let again = if measure.tips_at.is_none() { " again" } else { "" };
        let named = format!("Take {}{again}: {}.", point(plan, measure), measure.range);
        let lines = std::iter::once(named).chain(reading(plan, measure));
        page.push(entry("MEASURE", lines.map(|words| vec![plain(words)]).collect()));
    }
    page
}

/// The reading on which the verdict waits.
pub(super) fn deciding(plan: &Plan) -> Option<&ToMeasure> {
    let advice = &plan.advice;
    advice.measure.as_ref().filter(|_| advice.verdict == Verdict::LeaveAndMeasure)
}

/// Where the probes go, and what follows on either side of the figure at which the verdict tips.
pub(super) fn reading(plan: &Plan, measure: &ToMeasure) -> Vec<String> {
    let named = point(plan, measure) == measure.place;
    let place = if named { String::new() } else { format!(", {}", measure.place) };
    let mut list = vec![format!("Read it with {} at the outlet{place}.", volts(measure.at_line_v))];
    if let (Some(at), Some(above), Some(below)) = (measure.tips_at, measure.above, measure.below) {
        list.push(format!(
            "Above {}: {}. Below: {}.",
            figure(at, measure.unit),
            follows(plan, above),
            follows(plan, below)
        ));
    }
    list
}

/// The point in words.
pub(super) fn point(plan: &Plan, measure: &ToMeasure) -> String {
    let designed = &plan.as_designed;
    let known = Measure::find(designed, &measure.point);
    known.map_or_else(|| measure.point.clone(), |known| known.name(designed))
}

fn paragraph(margin: &str, words: String) -> super::page::Block {
    entry(margin, vec![vec![plain(words)]])
}

/// The choice the verdict names.
fn chosen(plan: &Plan) -> Option<&Choice> {
    plan.choices.iter().find(|c| Some(c.method) == plan.advice.choice)
}

/// What is done with `choice`, behind a colon.
fn act(plan: &Plan, verdict: Verdict, choice: Option<&Choice>) -> String {
    let part = choice.and_then(|c| c.part.as_ref()).map(ToString::to_string);
    let facts = choice.map(|c| c.method.facts());
    let added = facts.map_or("a part".to_owned(), |f| match f.added {
        "" => format!("a {}", f.noun),
        added => added.to_owned(),
    });
    // a step transformer's ware names itself
    let steps = facts.is_some_and(|f| f.steps);
    let what = match &part {
        Some(part) if steps => format!("a {part}"),
        Some(part) => format!("{added}: {part}"),
        None => added.clone(),
    };
    let out = plan.set.mains_resistor_ohms;
    let out = out.filter(|_| choice.is_some_and(|c| c.method.replaces_mains_resistor()));
    let what = match out {
        Some(now) if choice.and_then(|c| c.part.as_ref()?.in_place_of).is_some() => {
            format!("{what}; take the {} out of the mains lead", ohms(now))
        }
        Some(now) => format!("{what}, in place of the {} in the mains lead", ohms(now)),
        None => what,
    };
    // what is moved says so itself
    let moved = choice.is_some_and(|c| c.method == Method::TapAndPart);
    match verdict {
        Verdict::ChangeTap | Verdict::TakeOut => {
            part.unwrap_or_else(|| elsewhere(verdict).to_owned())
        }
        Verdict::Fit if moved => part.unwrap_or(added),
        Verdict::Fit => format!("add {what}"),
        Verdict::Boost => format!("raise the voltage with {what}"),
        Verdict::StepDown => {
            let made_for = volts(plan.set.design_line_v);
            format!("DO NOT PLUG IN: this set was made for {made_for}; use {what}")
        }
        other => elsewhere(other).to_owned(),
    }
}

/// A verdict that is not the one given, behind a colon.
fn elsewhere(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Leave => "leave the set as it is",
        Verdict::LeaveAndMeasure => "leave it for now and measure",
        Verdict::ChangeTap => "move the primary to another tap",
        Verdict::TakeOut => "take out the mains resistor",
        Verdict::Fit => "lower the voltage with a part",
        Verdict::Boost => "raise the voltage with a part",
        Verdict::StepDown => "do not plug in; use a step-down transformer",
        Verdict::RepairFirst => "repair the set first",
        Verdict::CannotSay => "no advice",
    }
}

/// What follows from a reading: the part by name where the plan has one for it.
fn follows(plan: &Plan, verdict: Verdict) -> String {
    let advice = &plan.advice;
    let named = [advice.choice, advice.runner_up].into_iter().flatten();
    let method =
        named.filter(|m| m.facts().stands != Stands::Nowhere).find(|m| Verdict::of(*m) == verdict);
    let choice = plan.choices.iter().find(|c| Some(c.method) == method);
    match (verdict, choice) {
        (verdict, Some(choice)) if verdict.has_strength() => act(plan, verdict, Some(choice)),
        _ => elsewhere(verdict).to_owned(),
    }
}

/// The line fuse, against the one that is there.
fn fuse(fuse: &FuseReport) -> Option<String> {
    let new = format!("{} A slow-blow line fuse ({})", fuse.rating_a?, fuse.standard);
    Some(match fuse.present_a {
        Some(present) if fuse.must_change => format!("Replace the {present} A fuse with a {new}."),
        Some(_) => format!("Keep the {new}."),
        None => format!("Use a {new}."),
    })
}

/// Heat and place of each part.
fn place(choice: &Choice) -> Option<String> {
    let facts = choice.method.facts();
    let rated = choice.ratings().map(|(part, rating)| {
        let suit = rating.places.iter().filter(|p| p.acceptable).map(|p| p.place);
        let places = suit.collect::<Vec<_>>().join(", or ");
        let name = if part.place == Place::PlateLead { "plate-lead resistor " } else { "" };
        format!("{name}{places} ({} at most)", watts(rating.worst_w))
    });
    let rated: Vec<String> = rated.collect();
    let lost = choice.day.as_ref().map_or(0.0, |day| day.usual.lead_w);
    match facts.stands {
        _ if !rated.is_empty() => Some(format!("Place and heat: {}.", rated.join("; "))),
        Stands::InLead if !facts.on_bench => {
            Some(format!("Place: a grounded metal box in the line cord; {} of heat.", watts(lost)))
        }
        _ => None,
    }
}

/// Volts to the half, as finely as a verdict's turn is found.
fn half_volts(v: f64) -> String {
    let v = (2.0 * v).round() / 2.0;
    if v.fract() == 0.0 { format!("{v:.0} V") } else { format!("{v:.1} V") }
}
