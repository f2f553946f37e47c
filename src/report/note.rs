//! The modification note as a page: what was done, what each point should read, what to be careful of.

use super::{
    against_design,
    build::{joined, list, listed},
    caution, drawing,
    figures::{percent, slow, volts, watts},
    made_for, name_and_year, note_readings, note_safety, on_the_line, outlet_words,
    page::{
        Block, Line, Page, blocks, entry, field, fine, form, heading, line, notes, section, strong,
        text, title, with_dagger,
    },
    plan_limits::{NOTHING, moves, spread, with_spread},
    plan_safety::suiting,
    rated, readings, signal, switch_on, verdict, wiring, working,
};
use crate::{
    adaptation::{Method, Place, Stands},
    study::{AssumptionReport, Caution, Day, Note, Objection, Step},
};

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
    // where nothing is fitted two pages must do, and the readings are in the table
    let more = (note.choice != 0).then(|| {
        let cold = note.starts.first().and_then(|start| switch_on::figure(start).ok());
        let curve = cold.map(Block::Figure);
        (curve, note_readings::supply(note), working::section(&note.plan.working))
    });
    let page = with_dagger((
        head(note),
        readings::head(&note.plan.readings),
        why(note),
        fitted(note),
        note_readings::checkpoints(note),
        signal::of_note(note),
        note_safety::sections(note),
        more,
        assumed(&note.plan.assumptions, note.choice == 0),
    ));
    blocks((page, caution::last(&note.plan.cautions), sign_off(note, origin)))
}

/// More characters than a field of a form holds in two lines.
const LONG: usize = 90;

fn head(note: &Note) -> Page {
    let (plan, choice, record) = (&note.plan, note.fitted(), &note.record);
    let (facts, nothing) = (choice.method.facts(), note.choice == 0);
    let kind = match (facts.on_bench, nothing) {
        (true, _) => "Bench note",
        (false, true) => "Note",
        (false, false) => "Modification note",
    };
    let done = match &choice.part {
        Some(_) if choice.method == Method::TakeOut => facts.name.to_owned(),
        Some(part) => format!("{}: {part}", facts.name),
        None => "nothing".to_owned(),
    };
    let other = plan.advice.choice.is_some_and(|advised| advised != choice.method);
    let other = other.then(|| format!("This note is for another choice: {}.", choice.title));
    let long = done.chars().count() > LONG;
    // what the profile says of its making stands here, what it does not is a line at the end
    let known = [("Date", &record.date), ("Done by", &record.by)];
    let known = known.map(|(label, value)| Some(field(label, Some(value.clone()?))));
    blocks((
        caution::alarms(&plan.cautions),
        title((kind, ": ", name_and_year(&plan.set))),
        entry("ADVICE", (verdict::lines(plan), other)),
        long.then(|| text(("Fitted: ", strong(&done)))),
        form((
            (!long && !nothing).then(|| field("Fitted", done)),
            field("Set made for", made_for(&plan.set)),
            field("Outlet here", outlet_words(&plan.outlet)),
            known,
        )),
        record.remark.as_ref().map(text),
        facts
            .on_bench
            .then(|| text(strong("For the bench only: this is not something to leave in a set."))),
        caution::care(&plan.cautions),
    ))
}

/// Reasons that are written out: a set far over its limits has a dozen, and the sheet is to stay one of three pages.
const MOST_REASONS: usize = 8;
/// As many for a set on the line, which has more to be careful of.
const MOST_ON_THE_LINE: usize = 3;

/// Why: what the advice says of what it names, else how the set ran before and what speaks against leaving it so.
fn why(note: &Note) -> Option<Page> {
    let (plan, before) = (&note.plan, note.before());
    let day = before.day.as_ref()?;
    let b_plus = format!("B+ straight on the outlet: {}.", against_design(plan, &day.usual));
    let (first, last) = match plan.advice.choice == Some(note.fitted().method) {
        true => (verdict::reasons(&plan.advice), String::new()),
        false => (as_it_ran(day), against(note)),
    };
    let turns = joined(verdict::turns(&plan.advice), " ");
    let page = [first, b_plus, last, turns].into_iter().filter_map(|words| text(words).if_any());
    let found = drawing::mains_side(plan, before, "found");
    Some(section("Why", Block::Beside(page.collect(), found)))
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
        line && day && matches!(o, Objection::LimitPassed { what, .. } if heaters(what))
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

fn fitted(note: &Note) -> Page {
    let (choice, cautions) = (note.fitted(), &note.plan.cautions);
    let nothing = note.choice == 0;
    let title = match nothing {
        true => "Nothing is fitted for this outlet voltage",
        false => "What was fitted",
    };
    // the part itself stands at the head
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
    // where nothing is fitted, no fuse is: the set's own is named where the profile does
    let fuse = choice.fuse.as_ref().filter(|f| !nothing || f.present_a.is_some()).map(|fuse| {
        let none = || "no standard small fuse suits; have it sized".to_owned();
        let rating = rated(fuse).map_or_else(none, slow);
        let found = fuse.present_a.filter(|_| fuse.must_change);
        let found = found.map(|present| format!(", in place of the {present} A found"));
        field("Line fuse", rating + &found.unwrap_or_default())
    });
    let place = choice.part.is_some();
    let place = place.then(|| field("Fitted in this place", note.record.place.clone()));
    let form = form((ratings, fuse, place)).if_any();
    let wired = (!nothing).then(|| {
        let live = cautions.iter().any(|c| matches!(c, Caution::LiveChassis { .. }));
        let after = drawing::mains_side(&note.plan, choice, "after");
        // a narrow drawing leaves room beside it
        let drawn = match form.clone() {
            Some(form) if choice.method.facts().stands == Stands::Inside => {
                vec![Block::Beside(vec![form], after)]
            }
            form => blocks((form, Block::Figure(after))),
        };
        blocks((drawn, wiring::fitting(&note.plan, choice, live)))
    });
    let body = wired.unwrap_or_else(|| blocks(form));
    blocks((heading(title), caution::ahead_of(cautions, Step::Fit), body))
}

/// Where the rules stand.
const RULES: &str = "`mainsfit plan` gives the rule of each.";

/// Every assumed value: those of weight with their rules, the others in a line; `short` puts all in a paragraph.
fn assumed(all: &[AssumptionReport], short: bool) -> Page {
    if short {
        let each = listed(all.iter().map(with_spread), "; ");
        let words = each.map(|each| format!("Assumed: {each}."));
        return blocks(fine(words.unwrap_or_else(|| "Assumed: nothing.".to_owned())));
    }
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

/// Digits of the digest that are printed: 64 bits tell one profile from another.
const DIGEST: usize = 16;

fn sign_off(note: &Note, origin: &Origin) -> Page {
    let lines = (
        note.record.by.is_none().then(|| field("Done by, date", None)),
        ["Measured by, date", "Checked where codes ask, date"].map(|label| field(label, None)),
    );
    section("Signed off", (form(lines), made_by(note.plan.version, origin)))
}

/// The last line of a sheet: how it came to be.
pub fn made_by(version: &str, origin: &Origin) -> Block {
    let digest: String = origin.digest.chars().take(DIGEST).collect();
    fine(format!(
        "Written by mainsfit {version} from the profile {} (SHA-256 begins {digest}); again with: {}",
        origin.file, origin.command
    ))
}
