//! The modification note as a page: what was done, what each point should read, what to be careful of.

use super::figures::{or_dash, percent, volts, watts};
use super::page::{
    Block, Page, Span, dagger, entry, fine, form, heading, notes, plain, strong, text,
};
use super::plan_limits::off;
use super::{
    against_design, caution, drawing, made_for, name_and_year, note_readings, note_safety,
    outlet_words, switch_on, verdict, wiring, working,
};
use crate::adaptation::{Method, Place, Stands};
use crate::study::{AssumptionReport, Caution, Choice, Day, Note, Objection, Plan, Step};

/// How a note came to be, so that it can be made again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Origin {
    /// The profile's file name, without folders.
    pub file: String,
    /// SHA-256 of the profile's bytes, hexadecimal.
    pub digest: String,
    /// The command that writes the note again.
    pub command: String,
}

/// Lays out a note.
pub fn page(note: &Note, origin: &Origin) -> Page {
    let mut page = head(note);
    page.extend(super::readings::head(&note.plan.readings));
    page.extend(why(note));
    page.extend(fitted(note));
    page.extend(note_readings::checkpoints(note));
    page.extend(super::signal::of_note(note));
    page.extend(note_safety::sections(note));
    // where nothing is fitted two pages must do, and the readings are in the table
    if note.choice != 0 {
        let cold = note.starts.first().and_then(|start| switch_on::figure(start).ok());
        page.extend(cold.map(Block::Figure));
        page.push(note_readings::supply(note));
        page.extend(working::section(&note.plan.working));
    }
    page.extend(match note.choice {
        0 => assumed_in_short(&note.plan.assumptions),
        _ => assumed(&note.plan.assumptions),
    });
    page.extend(dagger(&page));
    page.extend(caution::last(&note.plan.cautions));
    page.extend(sign_off(note, origin));
    page
}

/// True for a set without a transformer.
pub(super) fn on_the_line(plan: &Plan) -> bool {
    plan.as_designed.heaters.iter().any(|h| h.in_string)
}

fn is_bench(choice: &Choice) -> bool {
    choice.method.facts().on_bench
}

/// More characters than a field of a form holds in two lines.
const LONG: usize = 90;

fn head(note: &Note) -> Page {
    let (plan, choice) = (&note.plan, note.fitted());
    let kind = match (is_bench(choice), note.choice) {
        (true, _) => "Bench note",
        (false, 0) => "Note",
        (false, _) => "Modification note",
    };
    let done = match &choice.part {
        Some(_) if choice.method == Method::TakeOut => choice.method.facts().name.to_owned(),
        Some(part) => format!("{}: {part}", choice.method.facts().name),
        None => "nothing".to_owned(),
    };
    let record = &note.record;
    let mut page = caution::alarms(&plan.cautions);
    page.push(Block::Title(format!("{kind}: {}", name_and_year(&plan.set))));
    let mut advice = verdict::lines(plan);
    if plan.advice.choice.is_some_and(|advised| advised != choice.method) {
        advice.push(vec![plain(format!("This note is for another choice: {}.", choice.title))]);
    }
    page.push(entry("ADVICE", advice));
    let mut fields = Vec::new();
    if done.chars().count() > LONG {
        page.push(Block::Text(vec![plain("Fitted: "), strong(done)]));
    } else if note.choice != 0 {
        fields.push(("Fitted", Some(done)));
    }
    fields.push(("Set made for", Some(made_for(&plan.set))));
    fields.push(("Outlet here", Some(outlet_words(&plan.outlet))));
    // what the profile says of its making stands here, what it does not is a line at the end
    let known = [("Date", &record.date), ("Done by", &record.by)];
    let known = known.iter().filter(|(_, value)| value.is_some());
    fields.extend(known.map(|(label, value)| (*label, (*value).clone())));
    page.push(form(fields));
    if let Some(remark) = &record.remark {
        page.push(text(remark));
    }
    if is_bench(choice) {
        page.push(text(strong("For the bench only: this is not something to leave in a set.")));
    }
    page.push(heading("Before you open the back"));
    page.push(notes(care(&plan.cautions)));
    page
}

/// What must be read before anything is done with the set.
pub(super) fn care(list: &[Caution]) -> Vec<Vec<Span>> {
    let first = list.iter().filter(|c| c.step() <= Step::Open && !c.is_alarm());
    first.map(|c| vec![plain(c.to_string())]).collect()
}

/// Reasons that are written out: a set far over its limits has a dozen, and the sheet is to stay one of three pages.
const MOST_REASONS: usize = 8;
/// As many for a set on the line, which has more to be careful of.
const MOST_ON_THE_LINE: usize = 3;

/// Why: what the advice says of what it names, else how the set ran before and what speaks against leaving it so.
fn why(note: &Note) -> Page {
    let plan = &note.plan;
    let Some(day) = &note.before().day else {
        return Vec::new();
    };
    let b_plus = format!("B+ straight on the outlet: {}.", against_design(plan, &day.usual));
    let mut page = match plan.advice.choice == Some(note.fitted().method) {
        true => vec![text(verdict::reasons(&plan.advice)), text(b_plus)],
        false => vec![text(as_it_ran(day)), text(b_plus), text(against(note))],
    };
    page.push(text(verdict::turns(&plan.advice).join(" ")));
    page.retain(|block| *block != text(""));
    let found = drawing::mains_side(plan, note.before(), "found");
    vec![heading("Why"), Block::Beside(page, found)]
}

/// How the heaters of the set ran before.
fn as_it_ran(day: &Day) -> String {
    day.usual.tube_heater().map_or(String::new(), |heater| {
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
    })
}

/// What speaks against leaving it so.
fn against(note: &Note) -> String {
    // in a string all heaters are off by one share, and that is said already
    let said = |o: &&Objection| {
        let day = |o: &Objection| matches!(o, Objection::HeatersThroughTheDay { .. });
        let of_one = matches!(o, Objection::LimitPassed { what, .. } if what.ends_with("heaters"));
        on_the_line(&note.plan) && of_one && note.before().objections.iter().any(day)
    };
    let reasons = note.before().objections.iter().filter(|o| !said(o));
    let mut reasons: Vec<String> = reasons.map(ToString::to_string).collect();
    let most = if on_the_line(&note.plan) { MOST_ON_THE_LINE } else { MOST_REASONS };
    if reasons.len() > most {
        let more = reasons.len() - most;
        reasons.truncate(most);
        reasons.push(format!("{more} more that `mainsfit plan` lists"));
    }
    match reasons.as_slice() {
        [] => String::new(),
        reasons => format!("Against leaving it so: {}.", reasons.join("; ")),
    }
}

fn fitted(note: &Note) -> Page {
    let choice = note.fitted();
    let nothing = note.choice == 0;
    let mut page = vec![heading(if nothing {
        "Nothing is fitted for this outlet voltage"
    } else {
        "What was fitted"
    })];
    page.extend(caution::ahead_of(&note.plan.cautions, Step::Fit));
    let mut rows = Vec::new();
    let mut add = |label, value| rows.push((label, Some(value)));
    // the part itself stands at the head
    for (part, rating) in choice.ratings() {
        let (worst, printed) = (watts(rating.worst_w), watts(rating.rated_w));
        let heat = format!("{worst} at worst, of {printed} printed");
        let will_do = rating.places.iter().filter(|p| p.acceptable).map(|p| p.place);
        let places = will_do.collect::<Vec<_>>().join(", or ");
        if part.place == Place::PlateLead {
            add("Heat in the plate lead", format!("{heat}; place: {places}"));
        } else {
            add("Its heat", heat);
            add("Places that will do", places);
        }
    }
    // where nothing is fitted, no fuse is: the set's own is named where the profile does
    if let Some(fuse) = choice.fuse.as_ref().filter(|f| !nothing || f.present_a.is_some()) {
        let rating = match fuse.rating_a {
            Some(rating) => format!("{rating} A slow ({})", fuse.standard),
            None => "no standard small fuse suits; have it sized".to_owned(),
        };
        let found = match fuse.present_a.filter(|_| fuse.must_change) {
            Some(present) => format!(", in place of the {present} A found"),
            None => String::new(),
        };
        add("Line fuse", rating + &found);
    }
    if choice.part.is_some() {
        rows.push(("Fitted in this place", note.record.place.clone()));
    }
    if !rows.is_empty() {
        page.push(form(rows));
    }
    if !nothing {
        let after = drawing::mains_side(&note.plan, choice, "after");
        match page.pop() {
            // a narrow drawing leaves room beside it
            Some(form @ Block::Form(_)) if choice.method.facts().stands == Stands::Inside => {
                page.push(Block::Beside(vec![form], after));
            }
            last => {
                page.extend(last);
                page.push(Block::Figure(after));
            }
        }
        let live = note.plan.cautions.iter().any(|c| matches!(c, Caution::LiveChassis { .. }));
        page.push(wiring::fitting(&note.plan, choice, live));
    }
    page
}

/// Every assumed value: those of weight with their rules, the others in a line.
fn assumed(all: &[AssumptionReport]) -> Page {
    // less than a meter tells apart
    let weighty = |a: &&AssumptionReport| {
        a.heater_change_v.is_some_and(|v| v >= 0.02) || a.b_plus_change_v.is_some_and(|v| v >= 0.5)
    };
    let (fitted, rest): (Vec<_>, Vec<_>) = all.iter().partition(|a| a.rule.starts_with(FITTED));
    let (heavy, light): (Vec<_>, Vec<_>) = rest.into_iter().partition(weighty);
    let mut page = vec![heading("What had to be assumed")];
    if all.is_empty() {
        page.push(text("Nothing: the profile states every value the model needs."));
    }
    let mut lines: Vec<Vec<Span>> = heavy.into_iter().map(assumption).collect();
    if !fitted.is_empty() {
        let list: Vec<String> = fitted.iter().map(|a| with_spread(a)).collect();
        lines
            .push(vec![strong("Fitted to the readings: "), plain(format!("{}.", list.join("; ")))]);
    }
    if !light.is_empty() {
        let list: Vec<String> = light.iter().map(|a| format!("{} {}", a.what, a.value)).collect();
        lines.push(vec![
            strong("Of no weight here: "),
            plain(format!("{}. `mainsfit plan` gives the rule of each.", list.join("; "))),
        ]);
    }
    if !lines.is_empty() {
        page.push(notes(lines));
    }
    page
}

/// The same in a paragraph.
fn assumed_in_short(all: &[AssumptionReport]) -> Page {
    let each: Vec<String> = all.iter().map(with_spread).collect();
    let words = match each.as_slice() {
        [] => "Assumed: nothing.".to_owned(),
        each => format!("Assumed: {}. `mainsfit plan` gives the rule of each.", each.join("; ")),
    };
    vec![fine(words)]
}

/// How the rule of a fitted value begins.
const FITTED: &str = "fitted to the readings";

/// Name, value and how far it may be off.
pub(super) fn with_spread(a: &AssumptionReport) -> String {
    format!("{} {}{}", a.what, a.value, spread(a))
}

/// How far a value may be off, behind it.
fn spread(a: &AssumptionReport) -> String {
    off(a).map_or(String::new(), |off| format!(" {off}"))
}

fn assumption(a: &AssumptionReport) -> Vec<Span> {
    let moves = |v, digits: usize| or_dash(v, |v| format!("{v:.digits$} V"));
    vec![
        strong(format!("{} ", a.what)),
        plain(format!(
            "{}{} ({}): moves heaters by {}, B+ by {}.",
            a.value,
            spread(a),
            a.rule,
            moves(a.heater_change_v, 2),
            moves(a.b_plus_change_v, 1)
        )),
    ]
}

/// Digits of the digest that are printed: 64 bits tell one profile from another.
const DIGEST: usize = 16;

fn sign_off(note: &Note, origin: &Origin) -> Page {
    let mut lines = Vec::new();
    if note.record.by.is_none() {
        lines.push(("Done by, date", None));
    }
    lines.extend([("Measured by, date", None), ("Checked where codes ask, date", None)]);
    vec![heading("Signed off"), form(lines), made_by(note.plan.version, origin)]
}

/// The last line of a sheet: how it came to be.
pub(super) fn made_by(version: &str, origin: &Origin) -> Block {
    let digest: String = origin.digest.chars().take(DIGEST).collect();
    fine(format!(
        "Written by mainsfit {version} from the profile {} (SHA-256 begins {digest}); again with: {}",
        origin.file, origin.command
    ))
}
