//! The modification note as a page: what was done, what each point should read, what to be careful of.

use super::figures::{amps, percent, signed_percent, volts, watts};
use super::note_safety;
use super::page::{Block, Page, Span, Table, Tone};
use super::plan_tables::named;
use super::working;
use super::{drawing, note_curve};
use crate::study::{AssumptionReport, Checkpoint, Choice, Meter, Note, Reading};

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
    page.extend(why(note));
    page.extend(fitted(note));
    page.extend(checkpoints(note));
    page.extend(day(note));
    page.extend(note_safety::sections(note));
    page.extend(working::section(&note.working));
    page.extend(assumed(note));
    page.push(heading("Cautions"));
    let cautions = note.plan.cautions.iter();
    page.push(Block::Notes(
        cautions.map(|c| vec![Span::plain(c.to_string())]).collect(),
    ));
    page.extend(sign_off(note, origin));
    page
}

pub(super) fn heading(text: &str) -> Block {
    Block::Heading(text.to_owned())
}

pub(super) fn text(text: impl Into<String>) -> Block {
    Block::Text(vec![Span::plain(text)])
}

fn titles<const N: usize>(list: [&str; N]) -> Vec<String> {
    list.map(str::to_owned).to_vec()
}

/// What the part is called in a sentence.
pub(super) fn part_name(choice: &Choice) -> &'static str {
    match choice.id.as_str() {
        "series-resistor" => "resistor",
        id if id.starts_with("bucking") => "bucking transformer",
        "variac" => "variac",
        "tap" => "tap",
        _ => "part",
    }
}

fn is_bench(choice: &Choice) -> bool {
    !choice.objections.is_empty()
}

fn head(note: &Note) -> Page {
    let (plan, choice) = (&note.plan, note.fitted());
    let year = plan.set.year.map_or(String::new(), |y| format!(", {y}"));
    let kind = if is_bench(choice) {
        "Bench note"
    } else {
        "Modification note"
    };
    let done = match &choice.part {
        Some(part) => format!("{}: {part}", named(choice)),
        None => "nothing: the set is left as it is".to_owned(),
    };
    let record = &note.record;
    let mut page = vec![
        Block::Title(format!("{kind}: {}{year}", plan.set.name)),
        Block::Form(vec![
            ("Fitted".to_owned(), Some(done)),
            (
                "Set made for".to_owned(),
                Some(format!(
                    "{}, {:.0} Hz",
                    volts(plan.set.design_line_v),
                    plan.set.frequency_hz
                )),
            ),
            (
                "Outlet here".to_owned(),
                Some(format!(
                    "{} usual, {} low, {} high",
                    volts(plan.outlet.usual_v),
                    volts(plan.outlet.low_v),
                    volts(plan.outlet.high_v)
                )),
            ),
            ("Date".to_owned(), record.date.clone()),
            ("Done by".to_owned(), record.by.clone()),
        ]),
    ];
    if let Some(remark) = &record.remark {
        page.push(text(remark));
    }
    if is_bench(choice) {
        page.push(Block::Text(vec![Span::new(
            "For the bench only: this is not something to leave in a set.",
            Tone::Strong,
        )]));
    }
    page.push(heading("Before you open the back"));
    page.push(Block::Items(
        super::plan::care(plan, &choice.id)
            .into_iter()
            .map(|line| {
                line.into_iter()
                    .map(|s| Span::new(s.text, Tone::Strong))
                    .collect()
            })
            .collect(),
    ));
    page
}

/// How the set ran before.
fn why(note: &Note) -> Page {
    let plan = &note.plan;
    let Some(day) = &note.before().day else {
        return Vec::new();
    };
    let mut sentence = String::from("Straight on the outlet the set ran");
    if let Some(heater) = day.usual.tube_heater() {
        sentence += &format!(
            " its heaters at {} where {} is rated ({} on {}, {} at {}) and",
            volts(heater.volts_v),
            volts(heater.rated_v),
            percent(day.usual.heater_excess()),
            volts(day.usual.outlet_v),
            percent(day.high.heater_excess()),
            volts(day.high.outlet_v),
        );
    }
    let design = plan.as_designed.b_plus_v;
    sentence += &format!(
        " B+ at {}: {} against its {} on {}.",
        volts(day.usual.b_plus_v),
        percent(day.usual.b_plus_v / design - 1.0),
        volts(design),
        volts(plan.set.design_line_v)
    );
    let mut page = vec![heading("Why"), text(sentence)];
    let reasons: Vec<String> = note
        .before()
        .objections
        .iter()
        .map(ToString::to_string)
        .collect();
    if note.choice != 0 && !reasons.is_empty() {
        page.push(text(format!(
            "Against leaving it so: {}.",
            reasons.join("; ")
        )));
    }
    if note.choice == 0 {
        page.push(text(
            "Nothing was fitted: so run, it passes no limit that it does not pass as designed.",
        ));
    }
    page
}

fn fitted(note: &Note) -> Page {
    let choice = note.fitted();
    let mut page = vec![heading("What was fitted")];
    let mut rows = Vec::new();
    let mut add = |label: &str, value: String| {
        rows.push((label.to_owned(), Some(value)));
    };
    // the part itself stands at the head
    if let Some(rating) = &choice.rating {
        add(
            "Its heat",
            format!(
                "{} at high line and worst tolerance, of {} printed",
                watts(rating.worst_w),
                watts(rating.rated_w)
            ),
        );
        let places: Vec<&str> = rating
            .places
            .iter()
            .filter(|p| p.acceptable)
            .map(|p| p.place)
            .collect();
        add("Places that will do", places.join(", or "));
    }
    if let Some(fuse) = &choice.fuse {
        let rating = match fuse.rating_a {
            Some(rating) => format!(
                "{rating} A slow ({}), ahead of switch and part",
                fuse.standard
            ),
            None => "no standard small fuse suits; have it sized".to_owned(),
        };
        add("Fuse in the line lead", rating);
        if let (Some(present), true) = (fuse.present_a, fuse.must_change) {
            add("Fuse found in the set", format!("{present} A: must change"));
        }
    }
    if choice.part.is_some() {
        rows.push(("Fitted in this place".to_owned(), note.record.place.clone()));
    }
    page.push(Block::Form(rows));
    if let Some((right, wrong)) = note.unloaded_v {
        page.push(Block::Text(vec![
            Span::new("Before the set sees it: ", Tone::Strong),
            Span::plain(format!(
                "with the set unplugged its lead must give about {} on an outlet of {}. The wrong way round it gives {}: swap the two secondary wires.",
                volts(right),
                volts(note.plan.outlet.usual_v),
                volts(wrong)
            )),
        ]));
    }
    let before = drawing::mains_side(&note.plan, note.before(), "before");
    page.push(Block::Figure(before));
    if note.choice != 0 {
        let after = drawing::mains_side(&note.plan, choice, "after");
        page.push(Block::Figure(after));
    }
    page
}

fn figure(value: f64, unit: &str) -> String {
    match unit {
        // a column of volts stays one of volts
        "V" if value.abs() < 1.0 => format!("{value:.2} V"),
        "V" => volts(value),
        "A" => amps(value),
        "W" => watts(value),
        _ => format!("{value:.3} {unit}"),
    }
}

fn checkpoints(note: &Note) -> Page {
    let rows = note
        .checkpoints
        .iter()
        .map(|c| checkpoint(c, note.choice != 0));
    let mut head = titles(["point", "meter"]);
    if note.choice != 0 {
        head.push("before".to_owned());
    }
    head.extend(titles([
        "expect",
        "a sound set reads",
        "per volt",
        "as found",
        "as left",
    ]));
    let usual = volts(note.plan.outlet.usual_v);
    vec![
        heading(&format!("What the meter should read on {usual}")),
        text(format!(
            "Against chassis unless the line says otherwise; volume up, no signal, a quarter of an hour after switch-on; a meter of 10 MΩ or more, whose own load is not reckoned. Measure the outlet first: ________ V. For each volt above {usual} add what stands under \"per volt\", for each below take it off."
        )),
        Block::Table(Table {
            titles: head,
            rows: rows.collect(),
        }),
        text(
            "\"A sound set reads\": tubes within 15 % of their type, resistors within 10 %, coils and copper within 5 %, winding volts within 2 %, the meter within 1 % (customary figures), and all that is assumed below. A reading outside it is worth a look.",
        ),
        Block::Figure(drawing::supply(&note.supply, "supply")),
    ]
}

fn checkpoint(c: &Checkpoint, with_before: bool) -> Vec<Span> {
    let meter = match (c.meter, c.unit) {
        (_, "W") => "W",
        (Meter::Ac, "A") => "A AC",
        (Meter::Ac, _) => "V AC",
        (Meter::Dc, "A") => "A DC",
        (Meter::Dc | Meter::None, _) => "V DC",
    };
    let mut row = vec![Span::plain(&c.label), Span::plain(meter)];
    if with_before {
        row.push(Span::plain(figure(c.before, c.unit)));
    }
    // the smaller size first, also below zero
    let (near, far) = if c.expected < 0.0 {
        (c.most, c.least)
    } else {
        (c.least, c.most)
    };
    row.extend([
        Span::new(figure(c.expected, c.unit), Tone::Strong),
        Span::plain(format!(
            "{} to {}",
            figure(near, c.unit),
            figure(far, c.unit)
        )),
        Span::plain(per_volt(c)),
        Span::blank(),
        Span::blank(),
    ]);
    row
}

/// Change for a volt, with as many decimals as the reading shows.
fn per_volt(c: &Checkpoint) -> String {
    let (value, unit) = match c.unit {
        "A" => (1e3 * c.per_volt, "mA"),
        unit => (c.per_volt, unit),
    };
    let digits = if value.abs() >= 1.0 { 1 } else { 2 };
    format!("{value:+.digits$} {unit}")
}

/// Low, usual and high line, and the curve.
fn day(note: &Note) -> Page {
    let (Some(after), Some(before)) = (&note.fitted().day, &note.before().day) else {
        return Vec::new();
    };
    let mut columns: Vec<(&str, &Reading)> = Vec::new();
    if note.choice != 0 {
        columns.push(("before, on", &before.usual));
    }
    columns.extend([
        ("low,", &after.low),
        ("usual,", &after.usual),
        ("high,", &after.high),
    ]);
    let mut head = titles(["outlet"]);
    let names = columns.iter();
    head.extend(names.map(|(name, r)| format!("{name} {}", volts(r.outlet_v))));
    let mut rows: Vec<Vec<Span>> = Vec::new();
    let mut add = |label: &str, cell: &dyn Fn(&Reading) -> String| {
        let mut row = vec![Span::plain(label)];
        row.extend(columns.iter().map(|(_, r)| Span::plain(cell(r))));
        rows.push(row);
    };
    add("at the set", &|r| volts(r.set_v));
    for (i, h) in after.usual.heaters.iter().enumerate() {
        add(&format!("heaters, {}", h.winding), &|r| {
            r.heaters.get(i).map_or(String::new(), |h| {
                format!(
                    "{} ({})",
                    volts(h.volts_v),
                    signed_percent(h.volts_v / h.rated_v - 1.0)
                )
            })
        });
    }
    add("B+", &|r| volts(r.b_plus_v));
    for (i, c) in after.usual.coils.iter().enumerate() {
        add(&format!("across the {}", c.name), &|r| {
            r.coils.get(i).map_or(String::new(), |c| volts(c.drop_v))
        });
    }
    add("primary current, true RMS", &|r| amps(r.primary_a));
    add("from the outlet", &|r| watts(r.line_w));
    if note.fitted().part.is_some() {
        add(&format!("lost in the {}", part_name(note.fitted())), &|r| {
            watts(r.lead_w)
        });
    }
    let mut page = vec![
        heading("Through the day"),
        Block::Table(Table { titles: head, rows }),
    ];
    if let Some(band) = &note.fitted().band {
        page.push(text(format!(
            "With all that is assumed or toleranced in the reckoning: heaters from {} to {}, B+ from {} to {}, lowest at low line, highest at high line.",
            volts(band.heater_low_v),
            volts(band.heater_high_v),
            volts(band.b_plus_low_v),
            volts(band.b_plus_high_v)
        )));
    }
    page.push(match note_curve::figure(note) {
        Ok(drawing) => Block::Figure(drawing),
        Err(error) => text(error.to_string()),
    });
    page
}

/// Every assumed value: those of weight with their rules, the others in a line.
fn assumed(note: &Note) -> Page {
    // less than a meter tells apart
    let weighty = |a: &&AssumptionReport| {
        a.heater_change_v.is_some_and(|v| v >= 0.01) || a.b_plus_change_v.is_some_and(|v| v >= 0.1)
    };
    let (heavy, light): (Vec<_>, Vec<_>) = note.plan.assumptions.iter().partition(weighty);
    let mut page = vec![heading("What had to be assumed")];
    if heavy.is_empty() && light.is_empty() {
        page.push(text(
            "Nothing: the profile states every value the model needs.",
        ));
    }
    if !heavy.is_empty() {
        page.push(Block::Notes(heavy.into_iter().map(assumption).collect()));
    }
    if !light.is_empty() {
        let list: Vec<String> = light
            .iter()
            .map(|a| format!("{} {}", a.what, a.value))
            .collect();
        page.push(Block::Notes(vec![vec![
            Span::new("Of no weight here: ", Tone::Strong),
            Span::plain(format!(
                "{}. `mainsfit plan` gives the rule of each.",
                list.join("; ")
            )),
        ]]));
    }
    page
}

fn assumption(a: &AssumptionReport) -> Vec<Span> {
    let spread = if a.spread > 0.0 {
        format!(" ±{:.0} %", 100.0 * a.spread)
    } else {
        String::new()
    };
    let moves =
        |v: Option<f64>, digits: usize| v.map_or("-".to_owned(), |v| format!("{v:.digits$} V"));
    vec![
        Span::new(format!("{} ", a.what), Tone::Strong),
        Span::plain(format!(
            "{}{spread} ({}): moves heaters by {}, B+ by {}.",
            a.value,
            a.rule,
            moves(a.heater_change_v, 2),
            moves(a.b_plus_change_v, 1)
        )),
    ]
}

fn sign_off(note: &Note, origin: &Origin) -> Page {
    let label = str::to_owned;
    vec![
        heading("Signed off"),
        Block::Form(vec![
            (label("Measured and found as above"), None),
            (label("Date"), None),
            (label("Checked by (where local rules ask for it)"), None),
            (label("Date"), None),
        ]),
        Block::Text(vec![Span::new(
            format!(
                "Written by mainsfit {} from the profile {} (SHA-256 {}); again with: {}",
                note.plan.version, origin.file, origin.digest, origin.command
            ),
            Tone::Faint,
        )]),
    ]
}
