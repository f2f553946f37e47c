//! The part of a note that says what a meter should read.

use super::figures::{celsius, signed_percent, volts, watts};
use super::note::on_the_line;
use super::page::{Block, Page, Span, fine, form, heading, plain, strong, table, text};
use super::words::capital;
use super::{caution, drawing, note_curve, verdict};
use crate::adaptation::RATING_MARGIN;
use crate::study::{Checkpoint, Choice, Meter, Note, Plan, Reading, Step, What};

pub(super) fn checkpoints(note: &Note) -> Page {
    let outlet = note.plan.outlet;
    let changed = note.choice != 0;
    let line = on_the_line(&note.plan);
    let rows = note.checkpoints.iter().map(|c| {
        let mut row = checkpoint(c, changed);
        if let Some(label) = row.first_mut().filter(|_| line) {
            *label = plain(label_on_the_line(c, &note.plan));
        }
        row
    });
    let on = [("low", outlet.low_v), ("usual", outlet.usual_v), ("high", outlet.high_v)];
    let [low, usual, high] = on.map(|(name, v)| format!("{name} {}", volts(v)));
    let mut head = vec!["point", "in"];
    head.extend(changed.then_some("before"));
    head.extend([low.as_str(), &usual, &high, "normal range, usual", "as found", "as left"]);
    let mut page = vec![heading("What the meter should read")];
    page.extend(caution::ahead_of(&note.plan.cautions, Step::Measure));
    page.extend(decides(&note.plan));
    page.extend([
        text(format!(
            "Against chassis unless it says otherwise; {}volume up, no signal, a quarter of an hour warm; meter of 10 MΩ or more, its own load not reckoned. Outlet measured: ________ V; between the columns readings change evenly.",
            if line {
                "heaters each across its own pins; clip the meter on with the set unplugged; "
            } else {
                "primary and heater windings across their own two wires; "
            }
        )),
        table(head, rows),
        fine(format!(
            "Normal range: 95 of 100 sound sets, the meter's 1 % counted: tubes within 15 % of their type (some more), output tubes and rectifier drop 25 %, resistors 10 %, coils, copper, and heater currents 5 %{}, and what is assumed below. One or two points of fifteen outside are normal. Nine sound sets of ten lie wholly in ranges {:.1} times as wide.",
            if line { "" } else { ", winding volts 2 %" },
            note.together
        )),
    ]);
    page.extend(transformer(note));
    page.extend(note.fitted().day.as_ref().and_then(|day| filter_resistors(&day.high)).map(fine));
    page.extend(day(note));
    page
}

/// What the power transformer loses, and how warm it is likely to be: it decides nothing.
fn transformer(note: &Note) -> Option<Block> {
    let usual = |c: &Choice| c.day.as_ref()?.usual.transformer.clone();
    let designed = note.plan.as_designed.transformer.as_ref()?;
    let (before, after) = (usual(note.before())?, usual(note.fitted())?);
    let with = match note.choice {
        0 => String::new(),
        _ => format!(", {} with the part", watts(after.loss_w)),
    };
    let hot = match after.is_near_class_a() {
        true => {
            " Class A insulation bears 105 °C at its hottest spot, some 10 K above the average†; each 10 K more halves its life†."
        }
        false => "",
    };
    Some(fine(format!(
        "The power transformer loses {} today, {} as designed{with}. Its windings then average an estimated {}† ({:.0} to {}).{hot}",
        watts(before.loss_w),
        watts(designed.loss_w),
        celsius(after.temperature_c),
        after.temperature_low_c,
        celsius(after.temperature_high_c)
    )))
}

/// What the resistors of the filter burn on the high line, and what they bear or are to bear.
pub(super) fn filter_resistors(high: &Reading) -> Option<String> {
    let each = high.filter_resistors.iter().enumerate().map(|(i, r)| {
        let name = What::ResistorHeat.of(i).name(high);
        let bears = match r.rated_w {
            Some(rated) => format!("rated {}", watts(rated)),
            None => format!("fit one of {} or more", watts(RATING_MARGIN * r.power_w)),
        };
        format!("{}: {} at {}, {bears}.", capital(&name), watts(r.power_w), volts(high.outlet_v))
    });
    let each: Vec<String> = each.collect();
    (!each.is_empty()).then(|| each.join(" "))
}

/// The reading that decides: a line to write it on, and what follows.
fn decides(plan: &Plan) -> Page {
    let Some(measure) = verdict::deciding(plan) else {
        return Page::new();
    };
    let label = format!("{}, {}", capital(&verdict::point(plan, measure)), measure.range);
    let follows = verdict::reading(plan, measure).join(" ");
    vec![
        Block::Text(vec![strong("One reading decides: "), plain(follows)]),
        form([(label.as_str(), None), ("Outlet then", None)]),
    ]
}

/// The supply with its volts: behind text that fills what a page has left.
pub(super) fn supply(note: &Note) -> Block {
    Block::Figure(drawing::supply(&note.supply, "supply"))
}

/// What a point is called in a set without a transformer.
fn label_on_the_line(c: &Checkpoint, plan: &Plan) -> String {
    let heater = plan.as_designed.heaters.get(c.measure.of);
    let link = match c.measure.what {
        What::Heater if heater.is_some_and(|h| h.is_barretter) => {
            return format!("across the {}", heater.map_or("", |h| &h.winding));
        }
        What::Heater => heater.map_or("", |h| &h.winding),
        What::Set => return "at the set".to_owned(),
        What::PrimaryCurrent => return "current of the set, true RMS".to_owned(),
        _ => return c.label.clone(),
    };
    if let Some(tube) = link.strip_suffix("-tap") {
        return format!("heater {tube}, tapped part");
    }
    // one heater tells of all, for one current flows through them
    if c.measure.of == plan.as_designed.tube_heater_place() {
        return format!("heater {link} (all alike)");
    }
    format!("heater {link}")
}

/// The unit a row is written in, and what a value in SI is multiplied by.
fn unit(c: &Checkpoint) -> (String, f64) {
    let (unit, factor) = match c.unit {
        "A" if c.expected.abs() < 1.0 => ("mA", 1e3),
        unit => (unit, 1.0),
    };
    let kind = match c.meter {
        _ if unit == "W" => "",
        Meter::Ac => " AC",
        Meter::Dc => " DC",
        Meter::None => "",
    };
    (format!("{unit}{kind}"), factor)
}

/// Three digits, as a meter would show the expected value; every cell of a row has as many decimals.
fn decimals(expected: f64) -> usize {
    match expected.abs() {
        v if v >= 99.95 => 0,
        v if v >= 9.995 => 1,
        _ => 2,
    }
}

fn checkpoint(c: &Checkpoint, with_before: bool) -> Vec<Span> {
    let (unit, factor) = unit(c);
    let digits = decimals(c.expected * factor);
    let figure = |value: f64| format!("{:.digits$}", value * factor);
    let mut row = vec![plain(&c.label), plain(unit)];
    if with_before {
        row.push(plain(figure(c.before)));
    }
    // the smaller size first, also below zero
    let (near, far) = if c.expected < 0.0 { (c.most, c.least) } else { (c.least, c.most) };
    row.extend([
        plain(figure(c.at_low)),
        strong(figure(c.expected)),
        plain(figure(c.at_high)),
        plain(format!("{} to {}", figure(near), figure(far))),
        Span::blank(),
        Span::blank(),
    ]);
    row
}

/// How the heaters stand through the day, and the curve.
fn day(note: &Note) -> Page {
    let Some(day) = &note.fitted().day else {
        return Vec::new();
    };
    let share = |r: &Reading| signed_percent(r.heater_excess());
    let mut words = format!(
        "Heaters against rated: {} at low line, {} on the usual line, {} at high line.",
        share(&day.low),
        share(&day.usual),
        share(&day.high)
    );
    // what the advice says of the set as it is says it already
    if note.choice == 0 {
        words.clear();
    }
    if let Some(band) = &note.fitted().band {
        words += &format!(
            " With all that is assumed or toleranced in the reckoning the heaters lie between {} and {} through the day, B+ between {} and {}.",
            volts(band.heater_low_v),
            volts(band.heater_high_v),
            volts(band.b_plus_low_v),
            volts(band.b_plus_high_v)
        );
    }
    if let Some(fitted) = super::fitted_to(note.plan.readings_used) {
        words += &format!(" All figures are {fitted}.");
    }
    let curve = match note_curve::figure(note) {
        Ok(drawing) => Block::Figure(drawing),
        Err(error) => fine(error.to_string()),
    };
    // where nothing is fitted two pages must do
    match note.choice {
        0 => vec![text(words.trim_start())],
        _ => vec![text(words), curve],
    }
}
