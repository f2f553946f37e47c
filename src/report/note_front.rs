//! The first page of a note, complete in itself, and the card for the back of the set: what was done, how it is wired, what the
//! meter reads.

use super::{
    caution, drawing,
    figures::{slow, volts},
    fitted::{self as as_fitted, closing_line},
    made_for, name_and_year, note_readings as readings,
    origin::digest,
    outlet_words,
    page::{
        Block, Cell, Field, Group, KEEP, Line, Page, blocks, cells, field, fine, form, group,
        heading, items, line, lines, notes, plain, section, strong, text, title,
    },
    plan_safety, rated, readings as profile_readings, verdict, wiring,
    words::capital,
};
use crate::{
    adaptation::Method,
    study::{Caution, Checkpoint, Note, Origin, Step},
};

/// The first page of a note on a part.
pub fn fitted(note: &Note, origin: &Origin) -> Block {
    let (plan, choice) = (&note.plan, note.fitted());
    let cautions = &plan.cautions;
    let warnings = caution::front(cautions, choice.method);
    let behind = " Before you open the set or measure, read the cautions of the file copy, behind this page.";
    // the advice says what was fitted where it is what is advised
    let said = plan.advice.choice == Some(choice.method) && plan.advice.verdict.has_strength();
    let place = choice.part.is_some().then(|| {
        field("Fitted in this place", note.record.place.clone().or_else(|| as_fitted::place(note)))
    });
    let wired = items(wiring::in_short(plan, choice));
    group(
        Group::Front,
        (
            head(note),
            group(Group::Warning, text((strong("WARNING: "), warnings, strong(behind)))),
            form(((!said).then(|| done(note)), around(note), place)),
            Block::Figure(drawing::mains_side(plan, choice, "after")),
            wired.if_any(),
            first_readings(note),
            signatures(note),
            written_by(plan.version, origin),
        ),
    )
}

/// Program and profile in a line.
fn written_by(version: &str, origin: &Origin) -> Block {
    fine((
        ("Written by mainsfit ", version, " from ", &origin.file),
        (", SHA-256 begins ", digest(origin)),
    ))
}

/// The whole note of a set that is left as it is: one page.
pub fn nothing_fitted(note: &Note, why: Page, origin: &Origin) -> Block {
    let (plan, cautions) = (&note.plan, &note.plan.cautions);
    let holds = plan_safety::may_hold(&note.fitted().faults);
    group(
        Group::Front,
        (
            head(note),
            why,
            group(Group::Warning, caution::in_a_paragraph(cautions, |c| c.step() <= Step::Open)),
            // a fuse is named, and so to be fitted
            caution::in_a_paragraph(cautions, Caution::is_of_fuse),
            form(around(note)),
            holds.map(|words| text((strong("The fuse may hold. "), words))),
            caution::in_a_paragraph(cautions, |c| c.step() == Step::Measure),
            readings::decides(plan),
            first_readings(note),
            caution::in_a_paragraph(cautions, |c| c.step() == Step::Use),
            signatures(note),
            written_by(plan.version, origin),
        ),
    )
}

/// Alarms, title, whose it is, and what is advised.
fn head(note: &Note) -> Page {
    let (plan, choice, record) = (&note.plan, note.fitted(), &note.record);
    let kind = match (choice.method.facts().on_bench, note.choice) {
        (true, _) => "Bench note",
        (false, 0) => "Note",
        (false, _) => "Modification note",
    };
    let other = plan.advice.choice.is_some_and(|advised| advised != choice.method);
    let other = other.then(|| format!("This note is for another choice: {}.", choice.title));
    let bench = choice.method.facts().on_bench;
    // in one paragraph
    let said: Vec<Line> = verdict::lines(plan).into_iter().chain(other.map(line)).collect();
    let left = plan.as_left.as_ref().map(|left| text((strong("AS LEFT: "), closing_line(left))));
    let advice = said.join(&plain(" "));
    blocks((
        caution::alarms(&plan.cautions),
        title((kind, ": ", name_and_year(&plan.set))),
        lines([
            field("Make", record.make.clone()),
            field("Model", record.model.clone()),
            field("Serial number", record.serial.clone()),
            field("Owner", record.owner.clone()),
            field("Date", record.date.clone().or_else(|| as_fitted::date(note))),
        ]),
        profile_readings::head(&plan.readings),
        text((strong("ADVICE: "), advice)),
        left,
        record.remark.as_ref().map(text),
        bench.then(|| text(strong("For the bench only: do not leave it in the set."))),
    ))
}

/// What was fitted.
fn done(note: &Note) -> Field {
    let choice = note.fitted();
    let name = choice.method.facts().name;
    let done = match &choice.part {
        Some(_) if choice.method == Method::TakeOut => name.to_owned(),
        Some(part) => format!("{name}: {part}"),
        None => "nothing".to_owned(),
    };
    field("Fitted", done)
}

/// The fuse, what the set was made for, and the outlet.
fn around(note: &Note) -> (Option<Field>, [Field; 2]) {
    let plan = &note.plan;
    let fuse = note.fitted().fuse.as_ref().map(|fuse| {
        let none = || "no standard small fuse suits; have it sized".to_owned();
        let rating = rated(fuse).map_or_else(none, slow);
        let found = fuse.present_a.filter(|_| fuse.must_change);
        let found = found.map(|present| format!(", in place of the {present} A found"));
        field("Line fuse", rating + &found.unwrap_or_default())
    });
    let set = field("Set made for", made_for(&plan.set));
    (fuse, [set, field("Outlet here", outlet_words(&plan.outlet))])
}

/// What the meter should read first, with room to write.
fn first_readings(note: &Note) -> Page {
    let how = (note.choice != 0).then_some("; how to take them: file copy");
    let points = note.first.iter().filter_map(|place| note.checkpoints.get(*place));
    section(
        ("Readings at ", volts(note.plan.outlet.usual_v), ", warm, no signal (normal range)", how),
        cells(points.map(|point| cell(note, point))),
    )
}

fn cell(note: &Note, c: &Checkpoint) -> Cell {
    let (unit, show) = readings::shown(c);
    let [from, to] = readings::in_order(c).map(&show);
    Cell {
        label: capital(&readings::label(c, &note.plan)),
        expect: line((
            strong((show(c.expected), KEEP, unit)),
            format!(" ({from} to {to}{KEEP}{unit})"),
        )),
        read: as_fitted::read_at(note, c).map(|read| format!("{read}{KEEP}{unit}")),
    }
}

/// Who did it, who measured it, who checked it.
fn signatures(note: &Note) -> Block {
    let by = note.record.by.clone();
    lines([
        field("Done by", by),
        field("Measured by, date", None),
        field("Checked where codes ask, date", None),
    ])
}

/// The card for the back of the set.
pub fn card(note: &Note, origin: &Origin) -> Page {
    let (plan, choice) = (&note.plan, note.fitted());
    let cautions = &plan.cautions;
    let usual = choice.day.as_ref().map(|day| &day.usual);
    let reads = usual.map(|usual| {
        let heaters = usual.tube_heater().map(|h| format!("heaters {}, ", volts(h.volts_v)));
        let b_plus = format!("B+ {}", volts(usual.b_plus_v));
        field(&format!("At {}", volts(plan.outlet.usual_v)), heaters.unwrap_or_default() + &b_plus)
    });
    let (fuse, [made, outlet]) = around(note);
    let wired = (note.choice != 0).then(|| field("Hot wire", wiring::hot_wire(choice)));
    let warnings: Vec<Line> = caution::card(cautions, choice.method);
    let name = name_and_year(&plan.set);
    let origin = fine(("mainsfit ", plan.version, " · ", &origin.file, " ", digest(origin)));
    let record = &note.record;
    blocks((
        Block::Title(format!("Card for the back of the set: {name}")),
        text(
            "Print it at full size, cut along the line, and fix it inside the cabinet, clear of heat.",
        ),
        group(
            Group::Card,
            (
                caution::alarms(cautions),
                heading(name),
                form((made, outlet, (note.choice != 0).then(|| done(note)), fuse, wired, reads)),
                notes(warnings),
                lines([field("Done by", record.by.clone()), field("Date", record.date.clone())]),
                origin,
            ),
        ),
    ))
}
