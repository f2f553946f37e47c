//! A verdict in words: the one place where they are made, for the head of every screen and sheet.

use super::{
    build::{joined, list, listed},
    figures::{figure, half_volts, ohms, volts, watts},
    fitted,
    page::{Line, Page, Tone, blocks, entry, line, plain},
    plan_safety::suiting,
    rated,
    words::sentence,
};
use crate::{
    adaptation::{Method, Place, Stands},
    study::{Advice, Choice, FuseReport, Measure, Plan, Ruling, Strength, ToMeasure, Verdict},
};

/// What is to be done, in a sentence.
pub fn headline(plan: &Plan) -> String {
    let advice = &plan.advice;
    match (advice.verdict, &advice.measure) {
        (Verdict::RepairFirst, _) => "Repair first:".to_owned(),
        (Verdict::CannotSay, _) => format!(
            "No advice: {}.",
            match &plan.readings.contradiction {
                Some(_) => "these readings contradict each other",
                None => "nothing that can be bought brings this set within its limits",
            }
        ),
        (Verdict::LeaveAndMeasure, Some(measure)) => {
            format!(
                "Leave it for now and measure {} (meter at {}).",
                point(plan, measure),
                measure.range
            )
        }
        (verdict @ (Verdict::LeaveFitted | Verdict::ChangeFitted | Verdict::RemoveFitted), _) => {
            let next = plan.choice(advice.choice).map(|choice| act(plan, verdict, choice));
            plan.fitted.as_ref().map_or_else(String::new, |f| fitted::headline(f, next))
        }
        (verdict, _) => sentence(&asked(plan, verdict, plan.choice(advice.choice))),
    }
}

/// The verdict in a word or two, for a column.
pub fn short(advice: &Advice) -> String {
    let optional = advice.strength == Some(Strength::Optional)
        && matches!(advice.verdict, Verdict::Fit | Verdict::Boost);
    words(advice.verdict).0.to_owned() + if optional { ", optional" } else { "" }
}

/// A verdict in a word or two, and one that is not the one given, behind a colon.
fn words(verdict: Verdict) -> (&'static str, &'static str) {
    match verdict {
        Verdict::Leave => ("leave", "leave the set as it is"),
        Verdict::LeaveAndMeasure => ("measure", "leave it for now and measure"),
        Verdict::ChangeTap => ("move tap", "move the primary to another tap"),
        Verdict::TakeOut => ("take out", "take out the mains resistor"),
        Verdict::Fit => ("add", "lower the voltage with a part"),
        Verdict::Boost => ("raise", "raise the voltage with a part"),
        Verdict::StepDown => ("step down", "do not plug in; use a step-down transformer"),
        Verdict::LeaveFitted => ("leave fitted", "leave what is fitted"),
        Verdict::ChangeFitted => ("change fitted", "change what is fitted"),
        Verdict::RemoveFitted => ("remove fitted", "take out what is fitted"),
        Verdict::RepairFirst => ("repair first", "repair the set first"),
        Verdict::CannotSay => ("no advice", "no advice"),
    }
}

/// What is to be done, with the repairs and how much it is wanted.
pub fn lines(plan: &Plan) -> Vec<Line> {
    let advice = &plan.advice;
    let chosen = plan.choice(advice.choice).filter(|_| advice.verdict == Verdict::RepairFirst);
    let wanted = advice.strength.map(|strength| match (strength, advice.verdict) {
        (Strength::Needed, _) => "Needed: do not leave the set as it is.",
        (Strength::Optional, Verdict::ChangeTap | Verdict::TakeOut) => {
            "Worth doing; you may leave it."
        }
        (Strength::Optional, _) => "Worth fitting; you may leave it.",
    });
    let tone = if advice.verdict.leaves_usable() { Tone::Strong } else { Tone::Bad };
    list((
        fitted::stop(plan),
        line(tone.of(headline(plan))),
        advice.repairs.iter().map(|repair| sentence(repair)),
        chosen.map(|choice| format!("With that put right: {}.", other(plan, choice))),
        wanted,
    ))
}

/// What heads a plan: the verdict with part, fuse and place.
pub fn head(plan: &Plan) -> Page {
    let advice = &plan.advice;
    let decides = deciding(plan).map(|measure| reading(plan, measure));
    let mut all: Vec<Line> = list((lines(plan), decides));
    if let Some(choice) = plan.choice(advice.choice) {
        let fuse = choice.fuse.as_ref().and_then(fuse);
        // on the line that says how much it is wanted, where there is one
        match all.last_mut().filter(|_| advice.strength.is_some()) {
            Some(line) => line.extend(fuse.map(|words| plain((" ", words)))),
            None => all.extend(fuse.map(line)),
        }
        all.extend(place(choice).map(line));
    }
    blocks(entry("ADVICE", all))
}

/// Why, what else would do, and where the advice changes.
pub fn why(plan: &Plan) -> Page {
    let advice = &plan.advice;
    // what the readings say heads the page already
    let why = Some(reasons(advice));
    let why = why.filter(|w| !w.is_empty() && plan.readings.contradiction.is_none());
    let runner_up = plan.choice(advice.runner_up.filter(|_| advice.repairs.is_empty()));
    blocks((
        why.map(|why| entry("WHY", why)),
        runner_up.map(|choice| entry("OR", sentence(&other(plan, choice)))),
        changes(plan),
    ))
}

/// The reasons as sentences.
pub fn reasons(advice: &Advice) -> String {
    let said = |r: &&String| !advice.repairs.contains(r);
    joined(advice.reasons.iter().filter(said).map(|r| sentence(r)), " ")
}

/// Where the verdict changes, a sentence each, the lowest voltage first, and what else would change it.
pub fn turns(advice: &Advice) -> Vec<String> {
    let mut turns = advice.changes_at.clone();
    turns.sort_by(|a, b| a.voltage.total_cmp(&b.voltage));
    let each = turns.iter().map(|t| {
        let side = if t.above { "above" } else { "below" };
        // as finely as a verdict's turn is found
        let at = half_volts((2.0 * t.voltage).round() / 2.0);
        format!("Usual outlet voltage {side} {at}: {}.", words(t.verdict).1)
    });
    // in words the same, and after that what else would change it
    let besides = advice.would_change.iter().skip(turns.len()).map(|words| sentence(words));
    each.chain(besides).collect()
}

/// Where the verdict changes, and a reading that is to be taken besides.
fn changes(plan: &Plan) -> Page {
    let advice = &plan.advice;
    let margin = if advice.verdict == Verdict::CannotSay { "FIRST" } else { "REDO IF" };
    let besides = advice.measure.as_ref().filter(|_| deciding(plan).is_none()).map(|measure| {
        let again = if measure.tips_at.is_none() { " again" } else { "" };
        let named = format!("Take {}{again} (meter at {}).", point(plan, measure), measure.range);
        entry("MEASURE", (named, reading(plan, measure)))
    });
    blocks((entry(margin, turns(advice)).if_any(), besides))
}

/// The reading on which the verdict waits.
pub fn deciding(plan: &Plan) -> Option<&ToMeasure> {
    let advice = &plan.advice;
    advice.measure.as_ref().filter(|_| advice.verdict == Verdict::LeaveAndMeasure)
}

/// Where the probes go, and what follows on either side of the figure at which the verdict tips.
pub fn reading(plan: &Plan, measure: &ToMeasure) -> Vec<String> {
    let named = point(plan, measure) == measure.place;
    let place = if named { String::new() } else { format!(", {}", measure.place) };
    let tips = measure.tips_at.zip(measure.above.zip(measure.below));
    list((
        format!("Read it with {} at the outlet{place}.", volts(measure.at_line_v)),
        tips.map(|(at, (above, below))| {
            let [above, below] = [above, below].map(|verdict| follows(plan, verdict));
            format!("Above {}: {above}. Below: {below}.", figure(at, measure.unit))
        }),
        format!(
            "Then add `readings: [{{ at_line: {}, {}: … }}]` to the profile, and plan again.",
            volts(measure.at_line_v),
            measure.point
        ),
    ))
}

/// The point in words.
pub fn point(plan: &Plan, measure: &ToMeasure) -> String {
    let designed = &plan.as_designed;
    let known = Measure::find(designed, &measure.point);
    known.map_or_else(|| measure.point.clone(), |known| known.name(designed))
}

/// What a verdict asks for, behind a colon.
fn asked(plan: &Plan, verdict: Verdict, choice: Option<&Choice>) -> String {
    choice.map_or_else(|| words(verdict).1.to_owned(), |choice| act(plan, verdict, choice))
}

/// What is done with a choice, behind a colon.
fn other(plan: &Plan, choice: &Choice) -> String {
    let stays = plan.fitted.as_ref().filter(|f| f.ruling == Ruling::Leave);
    match stays {
        Some(fitted) if fitted.choice.method == choice.method => {
            words(Verdict::LeaveFitted).1.to_owned()
        }
        _ => act(plan, Verdict::of(choice.method), choice),
    }
}

/// What a verdict asks for that has a choice.
fn act(plan: &Plan, verdict: Verdict, choice: &Choice) -> String {
    let (method, part, facts) = (choice.method, choice.part.as_ref(), choice.method.facts());
    let added = match facts.added {
        "" => format!("a {}", facts.noun),
        added => added.to_owned(),
    };
    // a step transformer's ware names itself
    let what = match part {
        Some(part) if facts.steps => format!("a {part}"),
        Some(part) => format!("{added}: {part}"),
        None => added.clone(),
    };
    let out = plan.set.mains_resistor_ohms.filter(|_| method.replaces_mains_resistor());
    let out = out.map(|now| match part.and_then(|part| part.in_place_of) {
        Some(_) => format!("; take the {} out of the line cord", ohms(now)),
        None => format!(", in place of the {} in the line cord", ohms(now)),
    });
    let what = what + &out.unwrap_or_default();
    let or = |other: &str| part.map_or(other.to_owned(), ToString::to_string);
    match verdict {
        Verdict::ChangeTap | Verdict::TakeOut => or(words(verdict).1),
        // what is moved says so itself
        Verdict::Fit if method == Method::TapAndPart => or(&added),
        Verdict::Fit => match part {
            Some(part) if part.place == Place::HeaterString && part.in_place_of.is_some() => {
                let old = match plan.set.resistance_cord {
                    true => "resistance cord by a plain cord and a dropper",
                    false => "heater-string dropper",
                };
                format!("replace the {old}: {part}")
            }
            _ => format!("add {what}"),
        },
        Verdict::Boost => format!("raise the voltage with {what}"),
        Verdict::StepDown => {
            let made_for = volts(plan.set.design_line_v);
            format!("DO NOT PLUG IN: this set was made for {made_for}; use {what}")
        }
        Verdict::ChangeFitted if facts.steps => act(plan, Verdict::of(method), choice),
        Verdict::ChangeFitted => {
            format!("in its place {}", act(plan, Verdict::of(method), choice))
        }
        Verdict::Leave
        | Verdict::LeaveAndMeasure
        | Verdict::LeaveFitted
        | Verdict::RemoveFitted
        | Verdict::RepairFirst
        | Verdict::CannotSay => words(verdict).1.to_owned(),
    }
}

/// What follows from a reading: the part by name where the plan has one for it.
fn follows(plan: &Plan, verdict: Verdict) -> String {
    let advice = &plan.advice;
    let named = [advice.choice, advice.runner_up].into_iter().flatten();
    let method =
        named.filter(|m| m.facts().stands != Stands::Nowhere).find(|m| Verdict::of(*m) == verdict);
    asked(plan, verdict, plan.choice(method).filter(|_| verdict.has_strength()))
}

/// The line fuse, against the one that is there.
fn fuse(fuse: &FuseReport) -> Option<String> {
    let (rating, standard) = rated(fuse)?;
    let new = format!("{rating} A slow-blow line fuse ({standard})");
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
        let name = if part.place == Place::PlateLead { "plate-lead resistor " } else { "" };
        format!("{name}{} ({} at most)", suiting(rating), watts(rating.worst_w))
    });
    let rated = listed(rated, "; ");
    let lost = choice.day.as_ref().map_or(0.0, |day| day.usual.lead_w);
    let boxed = (facts.stands == Stands::InLead && !facts.on_bench)
        .then(|| format!("Place: a grounded metal box in the line cord; {} of heat.", watts(lost)));
    rated.map(|rated| format!("Place and heat: {rated}.")).or(boxed)
}
