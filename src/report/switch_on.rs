//! The first minute: what happens when, in a table, in words and as curves.

use super::{
    caution,
    drawing::{Axis, Chart, ChartError, Drawing, Line, Mark, MarkOf, Panel, Stroke, paint_chart},
    figures::{amps, or_dash, volts},
    page::{
        Block, Page, Span, bad, careful, dagger, fine, heading, items, plain, strong, table, text,
    },
    plan::odd,
    sweep,
    words::at_part,
};
use crate::study::{CapacitorThrough, Start, StartCase, SwitchOn};
use std::slice::from_ref;

/// What holds for every start.
const MODEL: &str = "The whole circuit is followed in time, its heaters by their own warm-up. A start is at the moment of the line's cycle that gives the highest current. Cold: coils and heaters at room temperature. Hot restart: off for a moment, all still warm, the filter capacitors empty.";
/// Where the data run out.
const LIMITS: &str = "Warm-up times are those of kinds of tubes, the middle of their range; most have no published source. Heaters cold are taken at 1/2.7 of their resistance; the plan's line current has them at 1/7, and nothing else that starts. The first peak behind a transformer is mostly its iron's, whose law so far beyond its knee is a guess; magnetization left in it is not counted.";
/// The same of a part that warms up.
const PART: &str = "How fast the part warms is not in the catalogue: the true start lies between the part cold and the part warm.";

/// What remains is passed by this at the least, to count as passed.
const OVER: f64 = 1.002;

/// Lays it out.
pub fn page(study: &SwitchOn) -> Page {
    let mut page = caution::alarms(&study.cautions);
    page.extend([Block::Title(super::name_and_year(&study.set)), fine(conditions(study))]);
    page.extend(super::readings::head(&study.readings));
    page.push(heading(format!("SWITCH-ON AT {}", volts(study.line_v))));
    let titles = std::iter::once(String::new()).chain(study.starts.iter().map(title));
    page.push(table(titles, rows(study)));
    page.push(fine(MODEL));
    page.extend(exceeded(study).map(text));
    if study.starts.iter().any(|s| s.case == StartCase::ColdPart) {
        page.push(text(PART));
    }
    page.extend(
        study.against.iter().map(|why| {
            Block::Text(vec![strong("Against this choice: "), plain(format!("{why}."))])
        }),
    );
    page.extend(study.missing.iter().map(|why| text(format!("Not followed: {why}."))));
    page.push(heading("CATHODES (seconds to 90 % of their temperature at rated voltage)"));
    page.push(items(study.kinds.iter().map(|k| {
        let (least, most) = k.full_s;
        let of = k.of.join(", ");
        vec![plain(format!("{} ({of}): {least:.0} to {most:.0} s; {}", k.kind, k.source))]
    })));
    page.push(fine(LIMITS));
    page.extend(odd(&study.warnings));
    page.extend(dagger(&page));
    page.extend(caution::all(&study.cautions));
    page.push(text(study.caution));
    page
}

/// What holds for all of it.
fn conditions(study: &SwitchOn) -> String {
    let fitted = super::fitted_to(study.readings_used);
    let fitted = fitted.map(|words| format!("; {words}")).unwrap_or_default();
    let high = volts(study.line_v);
    format!("the first {:.0} s, outlet {high} (its high){fitted}", study.followed_s)
}

/// Title of a column.
fn title(start: &Start) -> String {
    format!("{}\n{}", of_what(start), case(start.case))
}

/// What is switched on.
fn of_what(start: &Start) -> String {
    match &start.tube {
        Some(tube) => format!("with the {tube}"),
        None => start.id.facts().column.to_owned(),
    }
}

fn case(case: StartCase) -> &'static str {
    match case {
        StartCase::Cold => "cold",
        StartCase::ColdPart => "part cold",
        StartCase::HotRestart => "hot restart",
    }
}

/// A line of a capacitor's figures: its name, and how it is told.
type Shown<'a> = (&'a str, &'a dyn Fn(&CapacitorThrough) -> String);

/// A time.
pub(super) fn seconds(s: f64) -> String {
    let digits = usize::from((0.05..10.0).contains(&s));
    format!("{s:.digits$}\u{a0}s")
}

fn rows(study: &SwitchOn) -> Vec<Vec<Span>> {
    let row = |name: &str, cell: &dyn Fn(&Start) -> String| {
        let cells = study.starts.iter().map(|s| plain(cell(s)));
        std::iter::once(plain(name)).chain(cells).collect::<Vec<_>>()
    };
    let mut rows = vec![
        row("line current, highest peak", &|s| amps(s.inrush_peak_a)),
        row("  first cycle, RMS", &|s| amps(s.inrush_a)),
        row("  heaters cold, the rest at work, RMS", &|s| or_dash(s.plan_inrush_a, amps)),
        row("  running, RMS", &|s| amps(s.running_a)),
        row("B+ appears after", &|s| or_dash(s.b_plus_at_s, seconds)),
        row("tubes draw after", &|s| or_dash(s.tubes_draw_s, seconds)),
        row("heaters at 90 % after", &|s| or_dash(s.heaters_warm_s, seconds)),
        row("B+, highest", &|s| volts(s.b_plus_peak_v)),
        row("  after", &|s| when((s.b_plus_peak_v, s.b_plus_end_v), s.b_plus_peak_at_s)),
        row(&format!("  at {:.0} s", study.followed_s), &|s| volts(s.b_plus_end_v)),
        row("  warmed through", &|s| volts(s.b_plus_running_v)),
    ];
    // all starts are of one set
    let capacitors = study.starts.first().map_or(&[][..], |start| &start.capacitors);
    for (i, CapacitorThrough { name, part, .. }) in capacitors.iter().enumerate() {
        let highest = format!("{name} ({part}), highest");
        let lines: [Shown<'_>; 5] = [
            (&highest, &|c| volts(c.peak_v)),
            ("  after", &|c| when((c.peak_v, c.end_v), c.peak_at_s)),
            ("  bound of the plan", &|c| or_dash(c.bound_v, volts)),
            ("  rated", &|c| or_dash(c.rated_v, volts)),
            ("  above that for", &|c| above(c, study.followed_s)),
        ];
        rows.extend(lines.map(|(name, show)| row(name, &|s| or_dash(s.capacitors.get(i), show))));
    }
    rows
}

/// When the highest value comes, where it is more than what remains.
fn when((peak, end): (f64, f64), at: f64) -> String {
    or_dash(Some(at).filter(|_| peak > OVER * end), seconds)
}

/// How long a capacitor is above its rated voltage.
fn above(c: &CapacitorThrough, followed_s: f64) -> String {
    match c.above_rated_s {
        Some(_) if c.stays_above => "all the time".to_owned(),
        Some(s) if s > 0.99 * followed_s => format!("over {}", seconds(followed_s)),
        time => or_dash(time, seconds),
    }
}

/// Each capacitor that gets more than it is rated for.
fn exceeded(study: &SwitchOn) -> impl Iterator<Item = Span> {
    study.starts.iter().flat_map(|start| {
        let rated = |c: &&CapacitorThrough| c.rated_v.is_some_and(|v| c.peak_v > v);
        start.capacitors.iter().filter(rated).map(move |c| {
            let of = format!("{}, {}", of_what(start), case(start.case));
            let (peak, bears) = (volts(c.peak_v), or_dash(c.surge_v, volts));
            let name = at_part(&c.name, Some(&c.part));
            let words = format!("{of}: {name} gets {peak}; it bears {bears} at switch-on.");
            if c.surge_v.is_some_and(|v| c.peak_v > v) { bad(words) } else { careful(words) }
        })
    })
}

/// A start in words, for sheets.
pub(super) fn words(start: &Start) -> String {
    if start.case == StartCase::HotRestart {
        return format!("Switched on again while hot: up to {}.", amps(start.inrush_peak_a));
    }
    let capacitor = start.capacitors.first().map(|c| {
        let above = c.above_rated_s.filter(|s| *s > 0.0 && !c.stays_above);
        let above = above.map(|s| format!(", {} above its rating", seconds(s)));
        let (peak, at) = (volts(c.peak_v), seconds(c.peak_at_s));
        let above = above.unwrap_or_default();
        format!(" The first filter capacitor, {}, sees {peak} at most, after {at}{above}.", c.part)
    });
    let peak = amps(start.inrush_peak_a);
    let order = in_short(start) + &capacitor.unwrap_or_default();
    format!("{order} Up to {peak} for a moment. Warm-up times are those of kinds of tubes†.")
}

/// The order of things in a sentence.
pub(super) fn in_short(start: &Start) -> String {
    let times = [
        (start.b_plus_at_s, "B+ appears"),
        (start.heaters_warm_s, "heaters at 90 %"),
        (start.tubes_draw_s, "tubes draw"),
    ];
    let said =
        times.into_iter().filter_map(|(at, what)| Some(format!("{what} after {}", seconds(at?))));
    format!("From cold: {}.", said.collect::<Vec<_>>().join(", "))
}

/// Curves of every start.
pub fn chart(study: &SwitchOn) -> Chart {
    Chart {
        title: study.set.name.clone(),
        shows: "after switch-on".to_owned(),
        subtitle: conditions(study),
        foot: sweep::foot(&study.cautions, &study.readings, &[LIMITS, study.caution]),
        ..curves(&study.starts, false)
    }
}

/// Columns of panels there.
const SHEET_COLUMNS: usize = 2;

/// The curves of a sheet from cold: B+ with the first filter capacitor, and the current beside them.
///
/// # Errors
/// Data that cannot be drawn.
pub(super) fn figure(start: &Start) -> Result<Drawing, ChartError> {
    let title = "The first minute, from cold".to_owned();
    let chart = Chart { shows: title.clone(), untitled: true, ..curves(from_ref(start), true) };
    let description =
        "B+, the first filter capacitor, and the line current against time.".to_owned();
    Ok(Drawing { title, description, ..paint_chart(&chart, SHEET_COLUMNS, "switch-on")? })
}

fn curves(starts: &[Start], sheet: bool) -> Chart {
    let several = starts.iter().any(|s| s.id != starts[0].id);
    let lines = |values: &dyn Fn(&Start) -> &[f64], scale: f64| -> Vec<Line> {
        let line = |s: &Start| {
            let stroke = match s.case {
                StartCase::HotRestart | StartCase::ColdPart => Stroke::Dotted,
                StartCase::Cold if several && (s.id == starts[0].id) => Stroke::Dashed,
                StartCase::Cold => Stroke::Solid,
            };
            let points = s.curve.time_s.iter().copied().zip(values(s).iter().map(|v| scale * v));
            let name = match (several, s.case) {
                _ if starts.len() == 1 => String::new(),
                (true, StartCase::Cold) => of_what(s),
                (_, of) => case(of).to_owned(),
            };
            Line { name, stroke, points: points.collect() }
        };
        // hot restarts of several choices would hide one another
        let shown = starts
            .iter()
            .filter(|s| !several || s.case != StartCase::HotRestart || s.id != starts[0].id);
        shown.map(line).collect()
    };
    let panel =
        |name: &str, unit, lines| Panel { name: name.to_owned(), unit, lines, ..Panel::default() };
    let first = starts.first().and_then(|s| s.capacitors.first());
    // a sheet has room for one name
    let bears = first.and_then(|c| c.surge_v).filter(|_| !sheet);
    let marks =
        [("rated", first.and_then(|c| c.rated_v), MarkOf::Rating), ("bears", bears, MarkOf::Limit)];
    let mark =
        |(name, at, of): (&str, Option<f64>, _)| Some(Mark { name: name.to_owned(), at: at?, of });
    let horizontals = marks.into_iter().filter_map(mark).collect();
    let b_plus = lines(&|s| &s.curve.b_plus_v, 1.0);
    let capacitor = lines(&|s| &s.curve.capacitor_v, 1.0);
    let current = panel("line current", "A RMS", lines(&|s| &s.curve.line_a, 1.0));
    let panels = match sheet {
        true => {
            let named = |name: &'static str, stroke| {
                move |line: Line| Line { name: name.to_owned(), stroke, ..line }
            };
            let both = b_plus.into_iter().map(named("B+", Stroke::Solid));
            let both = both.chain(capacitor.into_iter().map(named("C1", Stroke::Dashed)));
            let name = "B+ (DC), and C1 (peaks)";
            let both = panel(name, "V", both.collect());
            vec![Panel { horizontals, ..both }, current]
        }
        false => {
            let share = lines(&|s| &s.curve.cathode_share, 100.0);
            vec![
                panel("B+", "V DC", b_plus),
                Panel { horizontals, ..panel("first filter capacitor (C1)", "V peak", capacitor) },
                current,
                panel("heaters", "V RMS", lines(&|s| &s.curve.heater_v, 1.0)),
                panel("slowest cathode, of its temperature", "%", share),
            ]
        }
    };
    Chart {
        low: sheet,
        description: starts.iter().map(words).collect::<Vec<_>>().join(" "),
        x: Axis { name: "time from switch-on".to_owned(), unit: "s" },
        panels,
        ..Chart::default()
    }
}
