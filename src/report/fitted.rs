//! What is fitted already, how the set was left with it, and what later visits found.

use super::{
    build::{joined, list, listed},
    figures::{amps, digits, signed_percent, volts, watts},
    page::{
        Block, Line, Page, Tone, bad, blocks, careful, entry, fine, good, items, line, plain, row,
        section, strong, table,
    },
    words::{capital, counted, from_to, sentence},
};
use crate::{
    profile::FittedPlace,
    quantity::{Quantity, Voltage, show_digits},
    study::{
        Aged, AsLeft, Checkpoint, FittedReport, LeftPoint, Lies, Meaning, Meter, Note, Plan,
        Ruling, VisitPoint, VisitReport, Visits,
    },
};

/// How the work stands, in a sentence.
pub fn closing(left: &AsLeft) -> String {
    let on = left.date.as_ref().map(|date| format!(" on {date}")).unwrap_or_default();
    if left.done {
        let count = counted(left.points.len(), "reading");
        let mut lines: Vec<f64> = left.points.iter().map(|p| p.at_line_v).collect();
        lines.dedup();
        let lines = listed(lines.into_iter().map(line_volts), ", ").unwrap_or_default();
        return format!("Done as planned{on}: {count} on {lines}, all within the normal range.");
    }
    let remains = listed(left.remains.iter().map(ToString::to_string), "; ").unwrap_or_default();
    format!("Still to be done: {remains}.")
}

/// The same with its tone.
pub fn closing_line(left: &AsLeft) -> Line {
    let tone = if left.done { Tone::Good } else { Tone::Careful };
    line(tone.of(closing(left)))
}

/// What is fitted, in a line: the part, its day and its place.
fn what(fitted: &FittedReport) -> Line {
    let date = fitted.date.as_ref().map(|date| format!(", fitted on {date}"));
    let place = fitted.stands.map(|place| format!(", {}", place_words(place)));
    line((strong(capital(&named(fitted))), date, place, "."))
}

/// The part by name; a step transformer's ware names itself.
fn named(fitted: &FittedReport) -> String {
    let facts = fitted.choice.method.facts();
    match facts.steps {
        true => fitted.part.to_string(),
        false => format!("{}: {}", facts.name, fitted.part),
    }
}

fn place_words(place: FittedPlace) -> &'static str {
    match place {
        FittedPlace::Box => "in a grounded metal box outside the cabinet",
        FittedPlace::Chassis => "on the chassis",
        FittedPlace::Cabinet => "inside the cabinet",
    }
}

/// Where what a note is about stands, where the profile says it.
pub fn place(note: &Note) -> Option<String> {
    left(note)?;
    Some(place_words(note.plan.fitted.as_ref()?.stands?).to_owned())
}

/// What is fitted and how the set was left, for the short plan.
pub fn short(plan: &Plan) -> Page {
    blocks((closed(plan), in_short(plan)))
}

/// What is fitted and how the set was left.
fn closed(plan: &Plan) -> Page {
    let fitted = plan.fitted.as_ref().map(|fitted| entry("FITTED", what(fitted)));
    let left = plan.as_left.as_ref();
    let told = left.map(|left| list((closing_line(left), measured(left).map(line), means(left))));
    let told = told.map(|lines: Vec<Line>| entry("AS LEFT", lines));
    blocks((fitted, told, left.map(points)))
}

/// What later visits found, without their tables.
fn in_short(plan: &Plan) -> Option<Block> {
    let visits = plan.visits.as_ref()?;
    let each = visits.later.iter().map(|visit| {
        let found = match visit.together {
            Some(meaning) => meaning.to_string(),
            None if visit.points.iter().all(|p| p.means.is_none()) => {
                "nothing has changed that meters can tell".to_owned()
            }
            None => "some readings have changed".to_owned(),
        };
        line((strong((&visit.date, ": ")), found, ". All: --show fitted"))
    });
    Some(entry("VISITS", each.collect::<Vec<Line>>()))
}

/// All of it, as a part of a plan.
pub fn page(plan: &Plan) -> Page {
    let nothing = plan.fitted.is_none() && plan.as_left.is_none() && plan.visits.is_none();
    let told = "Nothing is fitted, and nothing was read after the work: `mainsfit explain fitted`, `as_left` and `visits` say how to write it into the profile.";
    let told = nothing.then(|| fine(told));
    let against = plan.fitted.iter().flat_map(|f| &f.against);
    let against = items(against.map(|a| line(careful(sentence(&a.to_string())))));
    section(
        "WHAT IS FITTED, AS LEFT, AND LATER VISITS",
        (told, closed(plan), against.if_any(), of_visits(plan, "VISIT OF")),
    )
}

/// How the set was left, and later visits, for the file copy of a note.
pub fn of_note(note: &Note) -> Page {
    let plan = &note.plan;
    let left = left(note).map(|left| {
        let told: Vec<Line> = list((closing_line(left), measured(left).map(line), means(left)));
        blocks((items(told), table(TITLES, left.points.iter().map(point))))
    });
    blocks((section("As left", left), of_visits(plan, "Visit of")))
}

/// Heaters and heat as they were measured.
fn measured(left: &AsLeft) -> Option<String> {
    let heaters = left.heaters.map(|h| {
        format!(
            "Heaters as measured: {} on the usual line ({}), {} on high line.",
            volts(h.usual_v),
            signed_percent(h.excess),
            signed_percent(h.high_excess)
        )
    });
    let heat = left.heat.map(|h| {
        format!(
            "Heat as measured, by {} and the ohms as marked: {}; at most {}, of {} that are left of its rating.",
            amps(h.current_a),
            watts(h.read_w),
            watts(h.worst_w),
            watts(h.derated_w)
        )
    });
    listed(heaters.into_iter().chain(heat), " ")
}

/// What readings outside their range mean: all together where they tell more so, else each by itself.
fn means(left: &AsLeft) -> Vec<Line> {
    let each = left.points.iter().filter_map(|p| Some((p.label.as_str(), p.means?)));
    meanings(left.together, each)
}

fn meanings<'a>(
    together: Option<Meaning>,
    each: impl Iterator<Item = (&'a str, Meaning)>,
) -> Vec<Line> {
    if let Some(meaning) = together {
        return vec![line((strong("Taken together: "), meaning.to_string(), "."))];
    }
    each.map(|(label, meaning)| line((strong((capital(label), ": ")), meaning.to_string(), ".")))
        .collect()
}

const TITLES: [&str; 6] = ["", "line", "read", "predicted", "normal", "finding"];

/// Readings with the part in.
fn points(left: &AsLeft) -> Page {
    section(
        "AS LEFT, beside what was predicted for the line it was read on",
        table(TITLES, left.points.iter().map(point)).if_any(),
    )
}

fn kind(unit: &str, meter: Meter) -> &'static str {
    match meter {
        Meter::Ac if unit == "V" => " AC",
        Meter::Dc if unit == "V" => " DC",
        Meter::Ac | Meter::Dc | Meter::None => "",
    }
}

fn point(p: &LeftPoint) -> Line {
    let (unit, show) = digits(p.unit, p.expected);
    let ends = if p.expected < 0.0 { [p.most, p.least] } else { [p.least, p.most] };
    let [from, to] = ends.map(&show);
    let finding = match p.lies {
        Lies::Within => good("within"),
        // a bias of more volts below chassis is more
        Lies::Above => careful(if p.expected < 0.0 { "below" } else { "above" }),
        Lies::Below => careful(if p.expected < 0.0 { "above" } else { "below" }),
    };
    row((
        plain((p.label.as_str(), ", ", unit, kind(p.unit, p.meter))),
        line_volts(p.at_line_v),
        strong(show(p.read)),
        show(p.expected),
        from_to(&from, &to),
        finding,
    ))
}

/// Each later visit beside the first readings.
fn of_visits(plan: &Plan, called: &str) -> Page {
    let Some(visits) = &plan.visits else { return Page::new() };
    let first = visits.first.as_deref().unwrap_or("as left");
    visits.later.iter().flat_map(|visit| of_visit(called, first, visit)).collect()
}

fn of_visit(called: &str, first: &str, visit: &VisitReport) -> Page {
    let rows = visit.points.iter().map(changed);
    let titles = ["", first, "unchanged", &visit.date, "change", "meters"];
    let each = visit.points.iter().filter_map(|p| Some((p.label.as_str(), p.means?)));
    let told = meanings(visit.together, each);
    let none = told.is_empty().then(|| {
        let count = counted(visit.points.len(), "reading");
        line(good(format!("Nothing has changed that meters can tell: {count}.")))
    });
    let new = listed(&visit.new, ", ").map(|new| line(("Not read the first time: ", new, ".")));
    section(
        format!("{called} {}, beside {first}", visit.date),
        (
            table(titles, rows).if_any(),
            items((none, told, explained(&visit.explained_by), new)).if_any(),
            fine((
                lines_of(visit),
                "Unchanged: what the first reading comes to on the line of this visit. Meters: how far both, with the line voltages, may be off together.",
            )),
        ),
    )
}

fn changed(p: &VisitPoint) -> Line {
    let (unit, show) = digits(p.unit, p.first);
    let change = signed_percent(p.change);
    let change = if p.means.is_some() { careful(change) } else { plain(change) };
    row((
        plain((p.label.as_str(), ", ", unit, kind(p.unit, p.meter))),
        show(p.first),
        show(p.unchanged),
        strong(show(p.read)),
        change,
        format!("±{:.1} %", 100.0 * p.meters),
    ))
}

/// The lines of both visits.
fn lines_of(visit: &VisitReport) -> String {
    let told = |line: fn(&VisitPoint) -> f64| {
        let mut lines: Vec<f64> = visit.points.iter().map(line).collect();
        lines.dedup();
        listed(lines.into_iter().map(line_volts), ", ").unwrap_or_default()
    };
    format!("Line: {} then, {} now. ", told(|p| p.first_line_v), told(|p| p.line_v))
}

/// What in the set would change the readings so.
fn explained(by: &[Aged]) -> Option<Line> {
    let (best, others) = by.split_first()?;
    let one = |aged: &Aged| format!("{}, about {:.2} times what it was", aged.what, aged.factor);
    let others = listed(others.iter().map(one), "; or as well by ");
    Some(line((
        strong("Best explained by: "),
        one(best),
        others.map(|others| format!("; or as well by {others}")),
        ".",
    )))
}

/// A line as it was read, to a tenth of a volt.
fn line_volts(v: f64) -> String {
    show_digits(Voltage::from_si(v), 4)
}

/// What must be put right before the set is used, by the readings after the work or by the last visit.
pub fn stop(plan: &Plan) -> Option<Line> {
    let found = plan.visits.as_ref().and_then(Visits::stop);
    let found = found.or_else(|| plan.as_left.as_ref()?.stop())?;
    Some(line(bad(("Do not use the set before this is put right: ", found.to_string(), "."))))
}

/// The verdict on what is fitted, behind a colon where something follows; `next` is what takes its place.
pub fn headline(fitted: &FittedReport, next: Option<String>) -> String {
    let part = named(fitted);
    sentence(&match fitted.ruling {
        Ruling::Leave => format!("leave what is fitted ({part})"),
        Ruling::Remove => {
            format!("take out what is fitted ({part}): the set is right without it")
        }
        Ruling::Change => {
            let next = joined(next, "");
            format!("change what is fitted ({part}): {next}")
        }
    })
}

/// How the set was left, where the note is about it as it was left.
fn left(note: &Note) -> Option<&AsLeft> {
    let plan = &note.plan;
    let same = match &plan.fitted {
        Some(fitted) => {
            fitted.ruling == Ruling::Leave && fitted.choice.method == note.fitted().method
        }
        None => note.choice == 0,
    };
    plan.as_left.as_ref().filter(|_| same)
}

/// What was read at a point, of several lines on that nearest to the usual one.
pub fn read_at(note: &Note, c: &Checkpoint) -> Option<String> {
    let usual = note.plan.outlet.usual_v;
    let far = |p: &&LeftPoint| (p.at_line_v - usual).abs();
    let own = left(note)?.points.iter().filter(|p| p.key == c.key);
    let near = own.min_by(|a, b| far(a).total_cmp(&far(b)))?;
    Some(digits(c.unit, c.expected).1(near.read))
}

/// Lines that the readings of the work were taken on.
pub fn lines_read(note: &Note) -> Option<String> {
    let mut lines: Vec<f64> = left(note)?.points.iter().map(|p| p.at_line_v).collect();
    lines.dedup();
    listed(lines.into_iter().map(line_volts), ", ")
}

/// The day of the work, where the note is about it.
pub fn date(note: &Note) -> Option<String> {
    left(note)?.date.clone()
}
