//! The modification note as a page: what was done, what each point should read, what to be careful of.

use super::{
    against_design,
    build::{joined, list, listed},
    buy, caution, drawing,
    figures::{percent, volts, watts},
    fitted as as_fitted, name_and_year, note_front, note_readings, note_safety, on_the_line,
    origin::{foot, made_by},
    outlet_log,
    page::{
        Block, Line, Page, blocks, field, form, heading, line, notes, section, strong, text,
        with_dagger,
    },
    plan_limits::{NOTHING, moves, spread, with_spread},
    plan_safety::suiting,
    signal, switch_on, verdict, wiring, working,
};
use crate::{
    adaptation::Place,
    study::{AssumptionReport, Caution, Day, Note, Objection, Origin},
};

/// Lays out a note: the first page complete in itself, and behind it the file copy; one page where nothing is fitted.
pub fn page(note: &Note, origin: &Origin) -> Page {
    let foot = foot(&name_and_year(&note.plan.set), origin);
    if note.choice == 0 {
        return blocks((foot, note_front::nothing_fitted(note, why(note), origin)));
    }
    let cautions = &note.plan.cautions;
    let cold = note.starts.first().and_then(|start| switch_on::figure(start).ok());
    let page = with_dagger((
        heading(("File copy: ", name_and_year(&note.plan.set))),
        caution::care(cautions),
        section("Why", why(note)),
        found(note),
        fitted(note),
        buy::of_note(&note.to_buy),
        note_readings::checkpoints(note),
        as_fitted::of_note(note),
        signal::of_note(note),
        note_safety::sections(note),
        cold.map(Block::Figure),
        note_readings::supply(note),
        working::section(&note.plan.working),
        assumed(&note.plan.assumptions),
        logged(note),
    ));
    let last = (caution::last(cautions), made_by(&note.plan, origin));
    blocks((foot, note_front::fitted(note, origin), page, last))
}

/// Reasons that are written out: a set far over its limits has a dozen, and the sheet is to stay one of three pages.
const MOST_REASONS: usize = 8;
/// As many for a set on the line, which has more to be careful of.
const MOST_ON_THE_LINE: usize = 3;

/// Why: what the advice says of what it names, else how the set ran before and what speaks against leaving it so.
fn why(note: &Note) -> Page {
    let (plan, before) = (&note.plan, note.before());
    let Some(day) = &before.day else { return Page::new() };
    let b_plus = format!("B+ straight on the outlet: {}.", against_design(plan, &day.usual));
    let (first, last) = match plan.advice.choice == Some(note.fitted().method) {
        true => (verdict::reasons(&plan.advice), String::new()),
        false => (as_it_ran(day), against(note)),
    };
    let turns = joined(verdict::turns(&plan.advice), " ");
    let said = [first, b_plus, last, turns].into_iter().filter(|words| !words.is_empty());
    blocks(text(joined(said, " ")).if_any())
}

/// The set as it was.
fn found(note: &Note) -> Option<Block> {
    let before = note.before();
    before.day.as_ref().map(|_| Block::Figure(drawing::mains_side(&note.plan, before, "found")))
}

/// How the heaters of the set ran before.
fn as_it_ran(day: &Day) -> String {
    let heater = day.usual.tube_heater();
    let told = heater.map(|heater| {
        let string = match heater.in_string {
            true => format!(" for the {}, the rest of the string in step,", heater.winding),
            false => String::new(),
        };
        format!(
            "Straight on the outlet the set ran its heaters at {}{string} where {} is rated ({} on {}, {} at {}).",
            volts(heater.volts_v),
            volts(heater.rated_v),
            percent(day.usual.heater_excess()),
            volts(day.usual.outlet_v),
            percent(day.high.heater_excess()),
            volts(day.high.outlet_v),
        )
    });
    told.unwrap_or_default()
}

/// What speaks against leaving it so.
fn against(note: &Note) -> String {
    let (all, line) = (&note.before().objections, on_the_line(&note.plan));
    // in a string all heaters are off by one share, and that is said already
    let day = all.iter().any(|o| matches!(o, Objection::HeatersThroughTheDay { .. }));
    let limits = &note.plan.as_designed.limits;
    let heaters = |name: &String| {
        let mut most = limits.iter().filter(|l| l.what.is_of_heaters() && !l.is_least());
        most.any(|l| l.name == *name)
    };
    let said = |o: &Objection| {
        let limit = day && matches!(o, Objection::LimitPassed { what, .. } if heaters(what));
        line && (limit || matches!(o, Objection::HeatersAtUsual { .. }))
    };
    let mut reasons: Vec<String> =
        all.iter().filter(|o| !said(o)).map(ToString::to_string).collect();
    let most = if line { MOST_ON_THE_LINE } else { MOST_REASONS };
    if let more @ 1.. = reasons.len().saturating_sub(most) {
        reasons.truncate(most);
        reasons.push(format!("{more} more that `mainsfit plan` lists"));
    }
    let told = listed(reasons, "; ").map(|reasons| format!("Against leaving it so: {reasons}."));
    told.unwrap_or_default()
}

/// What was fitted, with its heat.
fn fitted(note: &Note) -> Page {
    let (choice, cautions) = (note.fitted(), &note.plan.cautions);
    let ratings = choice.ratings().map(|(part, rating)| {
        let (worst, printed) = (watts(rating.worst_w), watts(rating.rated_w));
        let heat = format!("{worst} at worst, of {printed} printed");
        let places = suiting(rating);
        match part.place {
            Place::PlateLead => {
                vec![field("Heat in the plate lead", format!("{heat}; place: {places}"))]
            }
            _ => vec![field("Its heat", heat), field("Suitable places", places)],
        }
    });
    let live = cautions.iter().any(|c| matches!(c, Caution::LiveChassis { .. }));
    section(
        "What was fitted",
        (
            caution::of_place(cautions),
            form(ratings).if_any(),
            wiring::fitting(&note.plan, choice, live),
        ),
    )
}

/// From what the outlet's day was taken, where it was read.
fn logged(note: &Note) -> Page {
    let told = note.plan.outlet_log.as_ref().map(|log| outlet_log::told(log, &note.plan.outlet));
    let told = told.map(|lines| (outlet_log::figure(&note.plan), notes(lines)));
    section("From what the day was taken: the outlet's log", told)
}

/// Where the rules stand.
const RULES: &str = "`mainsfit plan` gives the rule of each.";

/// Every assumed value: those of weight with their rules, the others in a line.
fn assumed(all: &[AssumptionReport]) -> Page {
    // less than a meter tells apart
    let weighty = |a: &&AssumptionReport| {
        a.heater_change_v.is_some_and(|v| v >= 0.02) || a.b_plus_change_v.is_some_and(|v| v >= 0.5)
    };
    let (fitted, rest): (Vec<_>, Vec<_>) = all.iter().partition(|a| a.fitted);
    let (heavy, light): (Vec<_>, Vec<_>) = rest.into_iter().partition(weighty);
    let fitted = listed(fitted.into_iter().map(with_spread), "; ");
    let light = listed(light.iter().map(|a| format!("{} {}", a.what, a.value)), "; ");
    let lines: Vec<Line> = list((
        heavy.into_iter().map(assumption),
        fitted.map(|list| line((strong("Fitted to the readings: "), list, "."))),
        light.map(|list| line((strong("Of no weight here: "), list, ". ", RULES))),
    ));
    let nothing = all.is_empty().then(|| text(NOTHING));
    blocks((heading("What had to be assumed"), nothing, notes(lines).if_any()))
}

fn assumption(a: &AssumptionReport) -> Line {
    let [heaters, b_plus] = moves(a);
    line((
        strong((&a.what, " ")),
        (&a.value, spread(a), " (", &a.rule, "): moves heaters by "),
        (heaters, ", B+ by ", b_plus, "."),
    ))
}
