//! The part of a note that says what a meter should read.

use super::{
    build::{joined, listed},
    caution, drawing,
    figures::{celsius, digits, signed_percent, volts, watts},
    fitted, fitted_to, note_curve, on_the_line,
    page::{
        BLANK, Block, Line, Page, blocks, field, fine, lines, plain, row, section, strong, table,
        text,
    },
    verdict,
    words::{at_part, capital},
};
use crate::{
    adaptation::RATING_MARGIN,
    study::{Checkpoint, Choice, Meter, Note, Plan, Reading, Step, What},
};

pub fn checkpoints(note: &Note) -> Page {
    let (plan, outlet) = (&note.plan, note.plan.outlet);
    let line = on_the_line(plan);
    let on = [("low ", outlet.low_v), ("usual ", outlet.usual_v), ("high ", outlet.high_v)];
    let head = (
        ["point", "before"],
        on.map(|(name, v)| name.to_owned() + &volts(v)),
        ["normal range, usual", "as found", "as left"],
    );
    let rows = note.checkpoints.iter().map(|c| {
        let left = fitted::read_at(note, c);
        checkpoint(c, label(c, plan), left)
    });
    let measured = fitted::lines_read(note).unwrap_or_else(|| "________ V".to_owned());
    let (across, winding) = match line {
        true => {
            ("heaters each across its own pins; clip the meter on with the set unplugged; ", "")
        }
        false => {
            ("primary and heater windings across their own two wires; ", ", winding voltage 2 %")
        }
    };
    let resistors = note.fitted().day.as_ref().and_then(|day| filter_resistors(&day.high));
    section(
        "What the meter should read",
        (
            caution::ahead_of(&plan.cautions, Step::Measure),
            decides(plan),
            text(format!(
                "Against chassis unless it says otherwise; {across}volume up, no signal, a quarter of an hour warm; meter of 10 MΩ or more, its own load not reckoned. Outlet measured: {measured}; between the columns readings change evenly."
            )),
            table(head, rows),
            fine(format!(
                "Normal range: 95 of 100 sound sets, the meter's 1 % counted: tubes within 15 % of their type (some more), output tubes and rectifier drop 25 %, resistors 10 %, coils, copper, and heater currents 5 %{winding}, and what is assumed below. One or two points of fifteen outside are normal. Nine sound sets of ten lie wholly in ranges {:.1} times as wide.",
                note.together
            )),
            transformer(note),
            resistors.map(fine),
            day(note),
        ),
    )
}

/// What the power transformer loses, and how warm it is likely to be: it decides nothing.
fn transformer(note: &Note) -> Option<Block> {
    let usual = |c: &Choice| c.day.as_ref()?.usual.transformer.clone();
    let designed = note.plan.as_designed.transformer.as_ref()?;
    let (before, after) = (usual(note.before())?, usual(note.fitted())?);
    Some(fine((
        format!(
            "The power transformer loses {} today, {} as designed, {} with the part",
            watts(before.loss_w),
            watts(designed.loss_w),
            watts(after.loss_w)
        ),
        format!(
            ". Its windings then average an estimated {}† ({:.0} to {}).",
            celsius(after.temperature_c),
            after.temperature_low_c,
            celsius(after.temperature_high_c)
        ),
        after.is_near_class_a().then_some(
            " Class A insulation bears 105 °C at its hottest spot, some 10 K above the average†; each 10 K more halves its life†.",
        ),
    )))
}

/// What the resistors of the filter burn on the high line, and what they bear or are to bear.
pub fn filter_resistors(high: &Reading) -> Option<String> {
    let each = high.filter_resistors.iter().enumerate().map(|(i, r)| {
        let name = at_part(&What::ResistorHeat.of(i).name(high), Some(&r.part));
        let bears = match r.rated_w {
            Some(rated) => format!("rated {}", watts(rated)),
            None => format!("fit one of {} or more", watts(RATING_MARGIN * r.power_w)),
        };
        format!("{}: {} at {}, {bears}.", capital(&name), watts(r.power_w), volts(high.outlet_v))
    });
    listed(each, " ")
}

/// The reading that decides: a line to write it on, and what follows.
pub fn decides(plan: &Plan) -> Option<[Block; 2]> {
    let measure = verdict::deciding(plan)?;
    let label = format!("{}, {}", capital(&verdict::point(plan, measure)), measure.range);
    let follows = joined(verdict::reading(plan, measure), " ");
    Some([
        text((strong("One reading decides: "), follows)),
        lines([label.as_str(), "Outlet then"].map(|label| field(label, None))),
    ])
}

/// The supply with its volts: behind text that fills what a page has left.
pub fn supply(note: &Note) -> Block {
    Block::Figure(drawing::supply(&note.supply, "supply"))
}

/// What a point is called.
pub fn label(c: &Checkpoint, plan: &Plan) -> String {
    let label = if on_the_line(plan) { label_on_the_line(c, plan) } else { c.label.clone() };
    at_part(&label, c.part.as_deref())
}

/// Whether that heater is what is left of a tapped one.
pub fn rest_of_tapped(plan: &Plan, link: &str) -> bool {
    let designed = &plan.as_designed;
    designed.heaters.iter().any(|h| h.is_tap) && designed.rectifier.name == link
}

/// What a point is called in a set without a transformer.
fn label_on_the_line(c: &Checkpoint, plan: &Plan) -> String {
    let heater = plan.as_designed.heaters.get(c.measure.of);
    let link = heater.map_or("", |h| &h.winding);
    match c.measure.what {
        What::Heater if heater.is_some_and(|h| h.is_barretter) => "across the barretter".to_owned(),
        What::Heater if heater.is_some_and(|h| h.is_tap) => c.label.clone(),
        What::Heater if rest_of_tapped(plan, link) => format!("heater {link}, tap to the far end"),
        What::Heater if heater.is_some_and(|h| h.is_lamp) => {
            format!("dial lamp {link}")
        }
        What::Heater => format!("heater {link}"),
        What::Set => "at the set".to_owned(),
        What::PrimaryCurrent => "current of the set, true RMS".to_owned(),
        _ => c.label.clone(),
    }
}

/// The ends of a point's normal range, the smaller size first, also below zero.
pub fn in_order(c: &Checkpoint) -> [f64; 2] {
    if c.expected < 0.0 { [c.most, c.least] } else { [c.least, c.most] }
}

/// The unit of a point, and its figures with as many places as three digits of the expected one have.
pub fn shown(c: &Checkpoint) -> (&'static str, impl Fn(f64) -> String + use<>) {
    digits(c.unit, c.expected)
}

/// Three digits of the expected value, as a meter would show it; every cell has as many places.
fn checkpoint(c: &Checkpoint, label: String, left: Option<String>) -> Line {
    let (unit, figure) = shown(c);
    let kind = match c.meter {
        Meter::Ac if unit != "W" => "\u{a0}AC",
        Meter::Dc if unit != "W" => "\u{a0}DC",
        _ => "",
    };
    let range = in_order(c);
    row((
        plain((label, ", ", unit, kind)),
        figure(c.before),
        figure(c.at_low),
        strong(figure(c.expected)),
        figure(c.at_high),
        range.map(figure).join(" to "),
        [BLANK, left.map_or(BLANK, strong)],
    ))
}

/// How the heaters stand through the day, and the curve.
fn day(note: &Note) -> Option<Page> {
    let day = note.fitted().day.as_ref()?;
    let share = |r: &Reading| signed_percent(r.heater_excess());
    let heaters = format!(
        "Heaters against rated: {} at low line, {} on the usual line, {} at high line. ",
        share(&day.low),
        share(&day.usual),
        share(&day.high)
    );
    let band = note.fitted().band.as_ref().map(|band| {
        format!(
            "With all that is assumed or toleranced in the reckoning the heaters lie between {} and {} through the day, B+ between {} and {}. ",
            volts(band.heater_low_v),
            volts(band.heater_high_v),
            volts(band.b_plus_low_v),
            volts(band.b_plus_high_v)
        )
    });
    let fitted = fitted_to(note.plan.readings_used);
    let fitted = fitted.map(|fitted| format!("All figures are {fitted}. "));
    let words = joined([heaters].into_iter().chain(band).chain(fitted), "");
    let curve = match note_curve::figure(note) {
        Ok(drawing) => Block::Figure(drawing),
        Err(error) => fine(error.to_string()),
    };
    Some(blocks((text(words.trim_end()), curve)))
}
