//! The tables of a plan, below its first lines.

use super::figures::{amps, celsius, or_dash, resistance_or_volts, signed_percent, volts, watts};
use super::page::{
    Block, Page, Span, Tone, bad, faint, good, heading, items, plain, strong, table,
};
use crate::adaptation::Method;
use crate::study::{
    Choice, ChoiceStanding, Day, HEATER_GOOD, HEATER_LIMIT, HeaterReading, PartKind, Plan, Reading,
    SecondReading, TransformerReading, TubeReading,
};

/// A foot, m.
const FOOT_M: f64 = 0.3048;

pub(super) fn as_is(plan: &Plan) -> Option<&Day> {
    plan.choices.first().and_then(|c| c.day.as_ref())
}

/// The day with the advised part, if there is one.
pub(super) fn with_part(plan: &Plan) -> Option<&Day> {
    plan.advised().filter(|c| c.method != Method::AsIs)?.day.as_ref()
}

/// Colour of a heater's excess.
pub(super) fn heater_tone(share: f64) -> Tone {
    if share.abs() <= HEATER_GOOD {
        Tone::Good
    } else if share.abs() <= HEATER_LIMIT {
        Tone::Careful
    } else {
        Tone::Bad
    }
}

/// A heater's excess over its rated volts.
pub(super) fn excess(share: f64) -> Span {
    Span::new(signed_percent(share), heater_tone(share))
}

/// The set without a part on three line voltages and on its design line.
pub(super) fn today_table(plan: &Plan) -> Page {
    let Some(day) = as_is(plan) else {
        return Vec::new();
    };
    let columns = [&day.low, &day.usual, &day.high, &plan.as_designed];
    let titles =
        ["volts DC, but RMS on the mains side and heaters", "low", "usual", "high", "as designed"];
    let title = match plan.put_right {
        true => "THE SET PUT RIGHT, STRAIGHT ON THE OUTLET",
        false => "THE SET TODAY, STRAIGHT ON THE OUTLET",
    };
    vec![heading(title), table(titles, rows(&columns))]
}

/// Rows that every table of readings has.
fn rows(columns: &[&Reading]) -> Vec<Vec<Span>> {
    let mut rows: Vec<Vec<Span>> = Vec::new();
    let mut add = |label: &str, cell: &dyn Fn(&Reading) -> Span| {
        let mut row = vec![plain(label)];
        row.extend(columns.iter().map(|r| cell(r)));
        rows.push(row);
    };
    add("outlet", &|r| plain(volts(r.outlet_v)));
    add("at the set", &|r| plain(volts(r.set_v)));
    let Some(first) = columns.first() else {
        return rows;
    };
    for (i, h) in first.heaters.iter().enumerate() {
        let name = match h.is_barretter {
            true => format!("across the {}", h.winding),
            false => match &h.branch {
                Some(branch) => format!("heaters, {} in {branch}", h.winding),
                None => format!("heaters, {}", h.winding),
            },
        };
        add(&name, &|r| plain(volts(r.heaters[i].volts_v)));
        // one current flows through a string: the first tube speaks for all, in each branch and beside resistors
        let with = |other: &&HeaterReading| {
            (other.side_by_side, other.shunted) == (h.side_by_side, h.shunted)
        };
        let told = first.heaters.iter().position(|o| o.in_string && o.feeds_tubes && with(&o));
        if h.rated_v <= 0.0 || h.in_string && told != Some(i) {
            continue;
        }
        add("  against rated", &|r| {
            let share = r.heaters[i].volts_v / r.heaters[i].rated_v - 1.0;
            excess(share)
        });
    }
    for d in &first.droppers {
        // other columns have other ones
        let of = |r: &Reading| r.droppers.iter().find(|other| other.name == d.name).cloned();
        if d.kind == PartKind::Capacitor {
            add(&format!("across the {}", d.name), &|r| {
                plain(or_dash(of(r).as_ref(), |d| volts(d.volts_v)))
            });
            continue;
        }
        add(&format!("{}, heat", d.name), &|r| {
            plain(or_dash(of(r).as_ref(), |d| watts(d.power_w)))
        });
        if let PartKind::Cord(Some(metres)) = d.kind {
            // feet here, as cords were sold
            let share = FOOT_M / metres;
            add("  in each foot of it", &|r| {
                plain(or_dash(of(r).as_ref(), |d| watts(share * d.power_w)))
            });
        }
    }
    add("B+", &|r| plain(volts(r.b_plus_v)));
    add("first filter capacitor", &|r| plain(or_dash(r.capacitors.first(), |c| volts(c.volts_v))));
    add("ripple on B+", &|r| plain(volts(r.b_plus_ripple_v)));
    if first.second.is_some() {
        let of = |r: &Reading, v: fn(&SecondReading) -> f64| {
            plain(or_dash(r.second.as_ref(), |second| volts(v(second))))
        };
        add("B2+", &|r| of(r, |second| second.b_plus_v));
        add("ripple on B2+", &|r| of(r, |second| second.ripple_v));
    }
    for (i, c) in first.coils.iter().enumerate() {
        add(&format!("{}, drop", c.name), &|r| plain(volts(r.coils[i].drop_v)));
        add("  temperature", &|r| plain(celsius(r.coils[i].temperature_c)));
    }
    for (i, c) in first.filter_resistors.iter().enumerate() {
        add(&format!("{}, drop", c.name), &|r| plain(volts(r.filter_resistors[i].drop_v)));
        let bears = match c.rated_w {
            Some(rated) => format!("  heat (rated {})", watts(rated)),
            None => "  heat (fit twice that)".to_owned(),
        };
        add(&bears, &|r| plain(watts(r.filter_resistors[i].power_w)));
    }
    if first.transformer.is_some() {
        let of = |r: &Reading, cell: fn(&TransformerReading) -> String| {
            plain(or_dash(r.transformer.as_ref(), cell))
        };
        add("transformer, heat", &|r| of(r, |t| watts(t.loss_w)));
        add("  flux against design", &|r| of(r, |t| format!("{:.0} %", 100.0 * t.flux)));
        add("  magnetizing current", &|r| of(r, |t| amps(t.magnetizing_a)));
        add("  temperature †", &|r| of(r, |t| celsius(t.temperature_c)));
        // both ways from the middle
        add("  give or take", &|r| of(r, |t| format!("±{:.0} K", t.give_or_take_k())));
    }
    for (i, t) in first.taps.iter().enumerate() {
        add(&t.name, &|r| plain(volts(r.taps[i].volts_v)));
    }
    for (i, t) in first.tubes.iter().enumerate() {
        // a screen on a tap or on B+ is in the table already
        let known = |v: f64| {
            (v - first.b_plus_v).abs() < 0.01
                || first.taps.iter().any(|t| (t.volts_v - v).abs() < 0.01)
        };
        if t.screen_v.is_some_and(|v| !known(v)) {
            add(&format!("screen, {}", t.name), &|r| plain(or_dash(r.tubes[i].screen_v, volts)));
        }
        if t.cathode_v > 0.1 {
            add(&format!("cathode, {}", t.name), &|r| plain(volts(r.tubes[i].cathode_v)));
        }
    }
    add("primary current, true RMS", &|r| plain(amps(r.primary_a)));
    add("  crest factor", &|r| plain(format!("{:.2}", r.crest_factor)));
    add("rectifier, DC", &|r| plain(amps(r.rectifier.dc_a)));
    add("from the outlet", &|r| plain(watts(r.line_w)));
    rows
}

/// One column of the comparison.
struct Column<'a> {
    title: &'static str,
    reading: &'a Reading,
    part: String,
    standing: Span,
}

pub(super) fn side_by_side(plan: &Plan) -> Page {
    let mut shown: Vec<Column<'_>> = Vec::new();
    for choice in &plan.choices {
        let exact = choice.exact.zip(choice.exact_reading.as_ref());
        if let (Some((value, reading)), Some(unit)) = (exact, choice.unit)
            && choice.method == Method::SeriesResistor
        {
            shown.push(Column {
                title: "exact R",
                reading,
                part: resistance_or_volts(value, unit),
                standing: faint("-"),
            });
        }
        let Some(day) = &choice.day else {
            continue;
        };
        let value = choice.part_value.zip(choice.unit);
        shown.push(Column {
            title: choice.method.facts().column,
            reading: &day.usual,
            part: or_dash(value, |(v, unit)| resistance_or_volts(v, unit)),
            standing: standing(choice),
        });
    }
    let mut page = vec![heading(format!(
        "THE CHOICES SIDE BY SIDE ON {} (solved for {})",
        volts(plan.outlet.usual_v),
        plan.target
    ))];
    // the set as it is leads every table, so that each can be read alone
    let Some((first, others)) = shown.split_first() else {
        return page;
    };
    for group in others.chunks(5) {
        let columns: Vec<&Column<'_>> = std::iter::once(first).chain(group).collect();
        let readings: Vec<&Reading> = columns.iter().map(|c| c.reading).collect();
        let line = |label: &str, cell: &dyn Fn(&Column<'_>) -> Span| {
            let mut row = vec![plain(label)];
            row.extend(columns.iter().map(|c| cell(c)));
            row
        };
        let mut cells = vec![line("part", &|c| plain(&c.part))];
        cells.extend(rows(&readings));
        cells.extend(tube_rows(&readings));
        cells.push(line("lost in the part", &|c| plain(watts(c.reading.lead_w))));
        cells.push(line("standing", &|c| c.standing.clone()));
        let mut titles = vec![String::new()];
        titles.extend(columns.iter().map(|c| c.title.to_owned()));
        page.push(table(titles, cells));
        page.push(Block::Gap);
    }
    page.push(items(plan.choices.iter().map(described)));
    page
}

/// Plate current and dissipation of each tube against its limit.
fn tube_rows(columns: &[&Reading]) -> Vec<Vec<Span>> {
    let Some(first) = columns.first() else {
        return Vec::new();
    };
    let mut rows = Vec::new();
    for (i, tube) in first.tubes.iter().enumerate() {
        let mut current = vec![plain(format!("plate, {}", tube.name))];
        let limit =
            tube.plate_limit_w.map_or("limit not known".to_owned(), |w| format!("of {}", watts(w)));
        let mut heat = vec![plain(format!("  dissipation {limit}"))];
        for reading in columns {
            let t = &reading.tubes[i];
            current.push(plain(amps(t.plate_a)));
            heat.push(Span::new(watts(t.plate_w), plate_tone(t)));
        }
        rows.extend([current, heat]);
    }
    rows
}

fn plate_tone(t: &TubeReading) -> Tone {
    match t.plate_limit_w {
        Some(limit) if t.plate_w > limit => Tone::Bad,
        Some(limit) if t.plate_w > 0.95 * limit => Tone::Careful,
        _ => Tone::Plain,
    }
}

fn standing(choice: &Choice) -> Span {
    match choice.standing {
        ChoiceStanding::Advised => good("advised"),
        ChoiceStanding::Serves => plain("serves"),
        ChoiceStanding::Refused if is_bench(choice) => plain("bench"),
        ChoiceStanding::Refused => bad("refused"),
        ChoiceStanding::NotApplicable => faint("-"),
    }
}

fn is_bench(choice: &Choice) -> bool {
    choice.objections.contains(&crate::study::Objection::BenchOnly)
}

/// One line a choice: exact value, part, reasons.
fn described(choice: &Choice) -> Vec<Span> {
    let mut spans = vec![strong(format!("{}: ", choice.title))];
    if let Some(reason) = &choice.not_applicable {
        spans.push(plain(format!("not applicable, {reason}")));
        return spans;
    }
    if let (Some(exact), Some(unit), Some(name)) = (choice.exact, choice.unit, choice.unknown) {
        let part = choice.part.as_ref().map(ToString::to_string).unwrap_or_default();
        spans.push(plain(format!("exact {name} {}; {part}. ", resistance_or_volts(exact, unit))));
    } else if let Some(part) = &choice.part {
        spans.push(plain(format!("{part}. ")));
    }
    if choice.objections.is_empty() {
        spans.push(good("Passes no limit that it does not pass as designed. "));
    } else {
        let reasons: Vec<String> = choice.objections.iter().map(ToString::to_string).collect();
        let tone = if is_bench(choice) { Tone::Plain } else { Tone::Bad };
        spans.push(Span::new(format!("Against it: {}. ", reasons.join("; ")), tone));
    }
    if let Some(caveat) = choice.caveat {
        spans.push(plain(format!("Know that {caveat}.")));
    }
    spans
}

pub(super) fn through_the_day(plan: &Plan) -> Page {
    let cells = |r: &Reading| {
        let share = r.heater_excess();
        [excess(share), plain(volts(r.b_plus_v)), plain(watts(r.lead_w))]
    };
    let mut titles = vec![String::new()];
    for v in [plan.outlet.low_v, plan.outlet.usual_v, plan.outlet.high_v] {
        titles.extend([volts(v), "B+".to_owned(), "lost".to_owned()]);
    }
    let rows = plan.choices.iter().filter_map(|c| {
        let day = c.day.as_ref()?;
        let mut row = vec![plain(c.method.facts().name)];
        for r in [&day.low, &day.usual, &day.high] {
            row.extend(cells(r));
        }
        Some(row)
    });
    vec![
        heading("THROUGH THE DAY (heaters against rated, B+, watts lost in the part)"),
        table(titles, rows),
    ]
}

pub(super) fn tube_tables(plan: &Plan) -> Page {
    let mut page = Vec::new();
    let today = as_is(plan).map(|d| ("TUBES TODAY ON", &d.usual));
    let then = with_part(plan).map(|d| ("TUBES WITH THE ADVISED PART ON", &d.usual));
    for (title, reading) in [today, then].into_iter().flatten() {
        page.push(heading(format!("{title} {}", volts(reading.outlet_v))));
        let titles =
            ["", "bias V", "plate V", "screen V", "plate mA", "screen mA", "plate W", "of W"];
        let rows = reading.tubes.iter().map(|t| {
            let name = if t.count > 1.0 {
                format!("{} (each of {:.0})", t.name, t.count)
            } else {
                t.name.clone()
            };
            vec![
                plain(name),
                plain(format!("{:.2}", t.bias_v)),
                plain(format!("{:.0}", t.plate_v)),
                plain(or_dash(t.screen_v, |v| format!("{v:.0}"))),
                plain(format!("{:.2}", 1e3 * t.plate_a)),
                plain(or_dash(t.screen_a, |i| format!("{:.2}", 1e3 * i))),
                Span::new(format!("{:.2}", t.plate_w), plate_tone(t)),
                plain(
                    t.plate_limit_w.map_or_else(|| "not known".to_owned(), |w| format!("{w:.2}")),
                ),
            ]
        });
        page.push(table(titles, rows));
    }
    page
}
