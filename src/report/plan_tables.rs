//! The tables of a plan, below its first lines.

use super::{
    build::{Pieces, joined, list, listed},
    figures::{figure, or_dash, signed_percent, volts, watts},
    page::{
        Block, Line, Page, Span, Tone, bad, blocks, faint, good, items, line, plain, row, section,
        strong, table,
    },
    words::at_part,
};
use crate::{
    adaptation::Method,
    study::{
        Choice, ChoiceStanding, Day, HEATER_GOOD, HEATER_LIMIT, LeadPartReading, Measure, PartKind,
        Plan, Reading, TransformerReading, TubeReading, Verdict, What,
    },
    text::fixed,
};

/// A foot, m.
const FOOT_M: f64 = 0.3048;

pub fn as_is(plan: &Plan) -> Option<&Day> {
    plan.choices.first()?.day.as_ref()
}

/// The day with the advised part, if there is one.
pub fn with_part(plan: &Plan) -> Option<&Day> {
    plan.advised().filter(|c| c.method != Method::AsIs)?.day.as_ref()
}

/// Colour of a heater's excess.
pub fn heater_tone(share: f64) -> Tone {
    match share.abs() {
        s if s <= HEATER_GOOD => Tone::Good,
        s if s <= HEATER_LIMIT => Tone::Careful,
        _ => Tone::Bad,
    }
}

/// A heater's excess over its rated volts.
pub fn excess(share: f64) -> Span {
    heater_tone(share).of(signed_percent(share))
}

/// The set without a part on three line voltages and on its design line.
pub fn today_table(plan: &Plan) -> Option<Page> {
    let day = as_is(plan)?;
    let columns = [&day.low, &day.usual, &day.high, &plan.as_designed];
    let titles =
        ["volts DC, but RMS on the mains side and heaters", "low", "usual", "high", "as designed"];
    let title = match plan.put_right {
        true => "THE SET PUT RIGHT, STRAIGHT ON THE OUTLET",
        false => "THE SET TODAY, STRAIGHT ON THE OUTLET",
    };
    Some(section(title, table(titles, rows(&columns))))
}

/// A row with a cell for each column, a dash in those that have none; no row where the first has none.
fn across<C, S: Pieces<Span>>(
    label: impl Pieces<Span>,
    columns: &[C],
    cell: impl Fn(&C) -> Option<S>,
) -> Option<Line> {
    cell(columns.first()?)?;
    Some(row((label, columns.iter().map(|c| cell(c).map_or_else(|| row("-"), row)))))
}

/// A measured quantity in each column.
fn measured(label: impl Pieces<Span>, columns: &[&Reading], measure: Measure) -> Option<Line> {
    across(label, columns, |r| Some(figure(measure.get(r)?, measure.unit())))
}

/// Rows that every table of readings has.
fn rows(columns: &[&Reading]) -> Vec<Line> {
    let Some(first) = columns.first() else {
        return Vec::new();
    };
    let once = |label: &str, what: What| measured(label, columns, what.of(0));
    let of = |label: String, what: What, i| measured(label, columns, what.of(i));
    let iron = |label: &str, cell: fn(&TransformerReading) -> String| {
        across(label, columns, |r| r.transformer.as_ref().map(cell))
    };
    let coils = first.coils.iter().enumerate().map(|(i, c)| {
        let drop = of(format!("{} ({}), drop", c.name, c.part), What::CoilDrop, i);
        (drop, measured("  temperature", columns, What::CoilTemperature.of(i)))
    });
    let resistors = first.filter_resistors.iter().enumerate().map(|(i, c)| {
        let bears = match c.rated_w {
            Some(rated) => format!("  heat (rated {})", watts(rated)),
            None => "  heat (fit twice that)".to_owned(),
        };
        let drop = of(format!("{} ({}), drop", c.name, c.part), What::ResistorDrop, i);
        (drop, of(bears, What::ResistorHeat, i))
    });
    // a screen on a tap or on B+ is in the table already
    let known = |v: f64| {
        let mut points = first.taps.iter().map(|t| t.volts_v).chain([first.b_plus_v]);
        points.any(|point| (point - v).abs() < 0.01)
    };
    let tubes = first.tubes.iter().enumerate().map(|(i, t)| {
        let screen = t.screen_v.is_some_and(|v| !known(v));
        (
            screen.then(|| of(format!("screen, {}", t.name), What::Screen, i)),
            (t.cathode_v > 0.1).then(|| of(format!("cathode, {}", t.name), What::Cathode, i)),
        )
    });
    list((
        across("outlet", columns, |r| Some(volts(r.outlet_v))),
        once("at the set", What::Set),
        (0..first.heaters.len()).map(|i| heater(columns, i)),
        first.droppers.iter().map(|d| dropper(columns, d)),
        once("B+", What::BPlus),
        once("first filter capacitor (C1)", What::Capacitor),
        once("ripple on B+", What::Ripple),
        [once("B2+", What::SecondBPlus), once("ripple on B2+", What::SecondRipple)],
        (coils, resistors),
        once("transformer, heat", What::TransformerLoss),
        iron("  flux against design", |t| format!("{:.0} %", 100.0 * t.flux)),
        once("  magnetizing current", What::Magnetizing),
        once("  temperature †", What::TransformerTemperature),
        // both ways from the middle
        iron("  give or take", |t| format!("±{:.0} K", t.give_or_take_k())),
        (first.taps.iter().enumerate().map(|(i, t)| of(t.name.clone(), What::Tap, i)), tubes),
        (
            once("primary current, true RMS", What::PrimaryCurrent),
            across("  crest factor", columns, |r| Some(format!("{:.2}", r.crest_factor))),
            once("rectifier, DC", What::DcCurrent),
            once("from the outlet", What::LinePower),
        ),
    ))
}

/// The volts of a heater, or of what stands in series with one.
fn heater(columns: &[&Reading], i: usize) -> [Option<Line>; 2] {
    let all = &columns[0].heaters;
    let h = &all[i];
    let name = match &h.branch {
        _ if h.is_barretter => "across the barretter".to_owned(),
        Some(branch) => format!("heaters, {} in {branch}", h.winding),
        None => format!("heaters, {}", h.said),
    };
    // one current flows through a string: the first tube speaks for all, in each branch and beside resistors
    let told = all.iter().position(|other| {
        let with = (other.side_by_side, other.shunted) == (h.side_by_side, h.shunted);
        other.in_string && other.feeds_tubes && with
    });
    let against = across("  against rated", columns, |r| {
        let h = r.heaters.get(i)?;
        Some(excess(h.volts_v / h.rated_v - 1.0))
    });
    let told = h.rated_v > 0.0 && (!h.in_string || told == Some(i));
    [measured(name, columns, What::Heater.of(i)), against.filter(|_| told)]
}

/// What a dropper burns, or what stands across a capacitor; the other columns have other ones.
fn dropper(columns: &[&Reading], d: &LeadPartReading) -> [Option<Line>; 2] {
    let of = |label: String, cell: &dyn Fn(&LeadPartReading) -> String| {
        let same = |r: &&Reading| r.droppers.iter().find(|other| other.name == d.name).map(cell);
        across(label, columns, same)
    };
    let name = at_part(&d.name, d.part.as_deref());
    let heat = || of(format!("{name}, heat"), &|d| watts(d.power_w));
    match d.kind {
        PartKind::Capacitor => [of(format!("across the {}", d.name), &|d| volts(d.volts_v)), None],
        // feet here, as cords were sold
        PartKind::Cord(Some(metres)) => {
            let foot = |d: &LeadPartReading| watts(FOOT_M / metres * d.power_w);
            [heat(), of("  in each foot of it".to_owned(), &foot)]
        }
        _ => [heat(), None],
    }
}

/// A column of the comparison: a choice with what is read with it, true for its exact value instead of the part to buy.
type Column<'a> = (&'a Choice, &'a Reading, bool);

fn columns(c: &Choice) -> [Option<Column<'_>>; 2] {
    let exact = c.exact_reading.as_ref().filter(|_| c.method == Method::SeriesResistor);
    [exact.map(|r| (c, r, true)), c.day.as_ref().map(|day| (c, &day.usual, false))]
}

pub fn side_by_side(plan: &Plan) -> Page {
    let shown: Vec<_> = plan.choices.iter().flat_map(columns).flatten().collect();
    // the set as it is leads every table, so that each can be read alone
    let (first, others) = shown.split_at(shown.len().min(1));
    let tables = others.chunks(5).map(|group| {
        let columns = [first, group].concat();
        let readings: Vec<&Reading> = columns.iter().map(|(_, reading, _)| *reading).collect();
        let title = |c: &Column<'_>| if c.2 { "exact R" } else { c.0.method.facts().column };
        let part = |(c, _, exact): &Column<'_>| {
            let value = if *exact { c.exact } else { c.part_value };
            Some(or_dash(value.zip(c.unit), |(v, unit)| figure(v, unit)))
        };
        let rows = list((
            across("part", &columns, part),
            rows(&readings),
            tube_rows(&readings),
            across("lost in the part", &readings, |r| Some(watts(r.lead_w))),
            across("finding", &columns, |(c, _, exact)| {
                Some(if *exact { faint("-") } else { finding(plan, c) })
            }),
        ));
        [table(("", columns.iter().map(title)), rows), Block::Gap]
    });
    section(
        format!(
            "THE CHOICES SIDE BY SIDE ON {} (solved for {})",
            volts(plan.outlet.usual_v),
            plan.target
        ),
        (tables, items(plan.choices.iter().map(described))),
    )
}

/// Plate current and dissipation of each tube against its limit.
fn tube_rows(columns: &[&Reading]) -> Vec<Option<Line>> {
    let tubes = columns.first().map_or(&[][..], |first| &first.tubes);
    let rows = tubes.iter().enumerate().flat_map(|(i, tube)| {
        let limit =
            tube.plate_limit_w.map_or("limit not known".to_owned(), |w| format!("of {}", watts(w)));
        [
            measured(format!("plate, {}", tube.name), columns, What::PlateCurrent.of(i)),
            across(format!("  dissipation {limit}"), columns, |r| {
                let t = r.tubes.get(i)?;
                Some(plate_tone(t).of(watts(t.plate_w)))
            }),
        ]
    });
    rows.collect()
}

fn plate_tone(t: &TubeReading) -> Tone {
    match t.plate_limit_w {
        Some(limit) if t.plate_w > limit => Tone::Bad,
        Some(limit) if t.plate_w > 0.95 * limit => Tone::Careful,
        _ => Tone::Plain,
    }
}

/// What was found of a choice, in a word.
pub fn finding(plan: &Plan, choice: &Choice) -> Span {
    match choice.standing {
        ChoiceStanding::Advised if plan.advice.verdict == Verdict::LeaveFitted => good("fitted"),
        ChoiceStanding::Advised => good("advised"),
        ChoiceStanding::Serves => plain("acceptable"),
        _ if choice.method == Method::AsIs && plan.advice.may_be_left() => plain("acceptable"),
        ChoiceStanding::Refused if choice.method.facts().on_bench => plain("bench only"),
        ChoiceStanding::Refused if choice.only_gains_little() => plain("gains little"),
        ChoiceStanding::Refused => bad("rejected"),
        ChoiceStanding::NotApplicable => faint("-"),
    }
}

/// One line a choice: exact value, part, reasons.
fn described(choice: &Choice) -> Line {
    let name = strong((choice.title, ": "));
    if let Some(reason) = &choice.not_applicable {
        return line((name, "not applicable, ", reason));
    }
    let part = joined(&choice.part, "");
    let part = match (choice.exact, choice.unit, choice.unknown) {
        (Some(exact), Some(unit), Some(name)) => {
            format!("exact {name} {}; {part}. ", figure(exact, unit))
        }
        _ if part.is_empty() => part,
        _ => format!("{part}. "),
    };
    let judged = match listed(&choice.objections, "; ") {
        None => good("Exceeds nothing it did not exceed when new. "),
        Some(all) => Tone::bad_if(!choice.method.facts().on_bench).of(("Against it: ", all, ". ")),
    };
    let caveat = choice.caveat.map(|caveat| ("Know that ", caveat, "."));
    line((name, part, judged, caveat))
}

pub fn through_the_day(plan: &Plan) -> Page {
    let cells = |r: &Reading| (excess(r.heater_excess()), volts(r.b_plus_v), watts(r.lead_w));
    let lines = [plan.outlet.low_v, plan.outlet.usual_v, plan.outlet.high_v];
    let rows = plan.choices.iter().filter_map(|c| {
        let day = c.day.as_ref()?;
        Some(row((c.method.facts().name, [&day.low, &day.usual, &day.high].map(cells))))
    });
    section(
        "THROUGH THE DAY (heaters against rated, B+, watts lost in the part)",
        table(("", lines.map(|v| (volts(v), "B+", "lost"))), rows),
    )
}

pub fn tube_tables(plan: &Plan) -> Page {
    let today = as_is(plan).map(|d| ("TUBES TODAY ON", &d.usual));
    let then = with_part(plan).map(|d| ("TUBES WITH THE ADVISED PART ON", &d.usual));
    let titles = ["", "bias V", "plate V", "screen V", "plate mA", "screen mA", "plate W", "of W"];
    let two = |v: f64| fixed(v, 2);
    let whole = |v: f64| fixed(v, 0);
    let each = [today, then].map(|shown| {
        let (title, reading) = shown?;
        let rows = reading.tubes.iter().map(|t| {
            let each = (t.count > 1.0).then(|| format!(" (each of {:.0})", t.count));
            row((
                plain((&t.name, each)),
                two(t.bias_v),
                whole(t.plate_v),
                or_dash(t.screen_v, whole),
                two(1e3 * t.plate_a),
                or_dash(t.screen_a, |i| two(1e3 * i)),
                plate_tone(t).of(two(t.plate_w)),
                t.plate_limit_w.map_or("not known".to_owned(), two),
            ))
        });
        Some(section((title, " ", volts(reading.outlet_v)), table(titles, rows)))
    });
    blocks(each)
}
