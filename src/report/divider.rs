//! A divider for the bench: arms, taps, what a meter shows, values that are made, drift.

use super::caution;
use super::figures::{amps, nameplate_ohms, nameplate_volts, ohms, point_volts, signed_percent};
use super::page::{
    Block, KEEP, Page, Span, Table, Tone, bad, careful, fine, heading, notes, plain, strong, table,
    text,
};
use super::working;
use crate::quantity::{Power, Quantity, Resistance, show, show_digits};
use crate::study::{Arm, Buy, DividerSize, DividerStudy, MeterReading, RANGES_V, Tap, Voltmeter};

/// A tap that is this far off is worth a look.
const CAREFUL: f64 = 0.1;
/// A tap that is this far off is wrong.
const WRONG: f64 = 0.2;

/// Lays out a divider, with the sums on paper where they are asked for.
pub fn page(d: &DividerStudy, with_working: bool) -> Page {
    let mut page = caution::alarms(&d.cautions);
    page.extend(head(d));
    page.extend([heading("ARMS, FROM THE SOURCE DOWN"), arms(d)]);
    page.extend(shares(d));
    if !d.taps.is_empty() {
        page.extend([heading("TAPS"), taps(d)]);
        page.push(fine("\"Looks like\": the resistance that a meter or a load sags across."));
        if d.place.is_none() && any_load(d) {
            page.push(fine(
                "A load in mA is held at that; a real screen draws less as its volts fall, and sags less.",
            ));
        }
    }
    page.extend(meters(d));
    page.extend([heading("NEAREST VALUES THAT ARE MADE"), series(d)]);
    if !d.taps.is_empty() {
        page.extend(drift(d));
    }
    if with_working {
        page.push(heading("THE SUMS ON PAPER"));
        page.push(notes(d.working.iter().map(working::line)));
    }
    match d.cautions.as_slice() {
        [] => page.extend([Block::Gap, text(careful(d.caution))]),
        list => page.extend(caution::all(list)),
    }
    page
}

fn head(d: &DividerStudy) -> Page {
    let total = value(d, d.total_ohms);
    let ends = format!("{} over {total}", signed(d.from_v));
    let mut page = match &d.place {
        None => vec![Block::Title(format!("Divider, {ends} to chassis"))],
        Some(place) => vec![
            Block::Title(place.set.clone()),
            Block::Title(format!(
                "divider {}, {} to {}: {} to {} over {}",
                place.divider,
                place.from.replace('_', " "),
                place.to,
                point_volts(d.from_v),
                point_volts(d.to_v),
                nameplate(d.total_ohms)
            )),
            fine(format!(
                "solved with the set straight on {}, warm, no signal; a meter or a changed arm is answered by the whole set",
                nameplate_volts(place.outlet_v)
            )),
        ],
    };
    let first = d.arms.first().map_or(0.0, |a| a.current_a.abs());
    let last = d.arms.last().map_or(0.0, |a| a.current_a.abs());
    let takes: f64 = d.taps.iter().map(|t| t.takes_a).sum();
    let heat: f64 = d.arms.iter().map(|a| a.heat_w).sum();
    let current = if takes.abs() > 0.0 {
        format!(
            "{} from the source, of which the taps take {} and {} bleeds off",
            amps(first),
            amps(takes),
            amps(last)
        )
    } else {
        format!("{} through every arm, nothing hangs on the taps", amps(first))
    };
    page.push(text(format!("{current}; {} as heat in all", power(heat))));
    match d.wanted {
        Some(DividerSize::Total(_)) => {
            page.push(fine("resistors found from the taps wanted and the total given"));
        }
        Some(DividerSize::Bleed(_)) => {
            page.push(fine("resistors found from the taps wanted and the bleed given"));
        }
        None => {}
    }
    page
}

fn arms(d: &DividerStudy) -> Block {
    let loaded = any_load(d);
    let mut titles = vec!["arm", "resistor", "across it", "current", "heat"];
    if loaded {
        titles.push("heat,\ntaps free");
    }
    titles.push("buy,\nat least");
    let row = |(i, arm): (usize, &Arm)| {
        let mut row = vec![
            name(i),
            value(d, arm.ohms),
            signed(arm.volts_v),
            amps(arm.current_a.abs()),
            power(arm.heat_w),
        ];
        if loaded {
            row.push(power(arm.free_heat_w));
        }
        row.push(buy(&arm.buy));
        row.into_iter().map(plain).collect()
    };
    table(titles, d.arms.iter().enumerate().map(row))
}

fn any_load(d: &DividerStudy) -> bool {
    d.taps.iter().any(|t| t.takes_a != 0.0)
}

fn buy(buy: &Buy) -> String {
    match buy.rating_w {
        Some(w) if buy.pieces > 1 => format!("{} × {}", buy.pieces, rating(w)),
        Some(w) => rating(w),
        None => format!("{} wirewound", power(buy.least_w)),
    }
}

fn rating(w: f64) -> String {
    match w {
        0.25 => "1/4 W".to_owned(),
        0.5 => "1/2 W".to_owned(),
        _ => format!("{w} W"),
    }
}

/// What stands behind the ratings.
fn shares(d: &DividerStudy) -> Page {
    let larger = if any_load(d) {
        ", of the larger: tubes that are cold or out leave the taps free"
    } else {
        ""
    };
    let mut page = vec![fine(format!(
        "Rating: at least twice the heat{larger}; from 1/4, 1/2, 1, 2, 5 and 10 W."
    ))];
    for (i, arm) in d.arms.iter().enumerate() {
        let most = f64::max(arm.volts_v.abs(), (arm.free_heat_w * arm.ohms).sqrt());
        let row = format!(
            "{}: {} is more than one small part stands, which is 500 V",
            name(i),
            point_volts(most)
        );
        let words = match arm.buy.rating_w {
            None => format!(
                "{}: beyond 10 W; a wirewound part, or several that share the heat.",
                name(i)
            ),
            Some(_) if arm.buy.pieces > 1 => format!(
                "{row}: {} in a row, of {} each.",
                arm.buy.pieces,
                ohms(arm.ohms / f64::from(arm.buy.pieces))
            ),
            Some(w) if arm.buy.for_volts => format!(
                "{}: {} ask for {}, not the heat: 1/4 W stands 250 V, 1/2 W 350 V, 1 W 500 V.",
                name(i),
                point_volts(most),
                rating(w)
            ),
            Some(_) => continue,
        };
        page.push(text(careful(words)));
    }
    page
}

fn taps(d: &DividerStudy) -> Block {
    let loaded = any_load(d);
    let mut titles = vec!["tap", "against\nchassis"];
    if loaded {
        titles.extend(["feeds", "with nothing\non any tap", "the loads\npull it"]);
    }
    titles.push("looks like");
    let row = |tap: &Tap| {
        let mut row = vec![plain(&tap.name), strong(signed(tap.volts_v))];
        if loaded {
            row.push(plain(match tap.takes_a {
                0.0 => "nothing".to_owned(),
                a if a < 0.0 => format!("is fed {}", amps(-a)),
                a => amps(a),
            }));
            row.push(plain(signed(tap.free_v)));
            row.push(plain(change(tap.volts_v, tap.free_v)));
        }
        row.push(plain(ohms(tap.looks_like_ohms)));
        row
    };
    table(titles, d.taps.iter().map(row))
}

/// "20 kΩ/V".
fn meter_name(meter: Voltmeter) -> String {
    let each = if meter.per_volt { "/V" } else { "" };
    format!("{}{each}", nameplate_ohms(meter.ohms))
}

fn meters(d: &DividerStudy) -> Page {
    let mut titles = vec!["leads on".to_owned(), "without\na meter".to_owned()];
    titles.extend(d.metered.iter().map(|m| format!("{}\nshows", meter_name(m.meter))));
    let mut rows = Vec::new();
    let mut add = |label: String, volts: f64, readings: Vec<Option<&MeterReading>>| {
        let mut row = vec![plain(label), plain(signed(volts))];
        row.extend(readings.into_iter().flatten().map(|r| reading(r, volts)));
        rows.push(row);
    };
    for (i, tap) in d.taps.iter().enumerate() {
        let readings = d.metered.iter().map(|m| m.taps.get(i)).collect();
        add(format!("{}, chassis", tap.name), tap.volts_v, readings);
    }
    for (i, arm) in d.arms.iter().enumerate() {
        let readings = d.metered.iter().map(|m| m.arms.get(i)).collect();
        add(format!("both ends of {}", name(i)), arm.volts_v, readings);
    }
    let mut page = vec![heading("WHAT A METER SHOWS"), table(titles, rows)];
    let pointer = d.metered.iter().map(|m| m.meter).find(|m| m.per_volt);
    if let Some(meter) = pointer {
        let range = meter.range_v.unwrap_or(50.0);
        let ranges: Vec<String> = RANGES_V.iter().map(f64::to_string).collect();
        let which = match meter.range_v {
            Some(_) => "In brackets the range it is kept on.".to_owned(),
            None => format!(
                "In brackets the range just above the volts, of {} V; a lower one loads more.",
                ranges.join(", ")
            ),
        };
        page.push(fine(format!(
            "{which} Load: ohms per volt times the range, so {} on {} is {}.",
            meter_name(meter),
            nameplate_volts(range),
            nameplate_ohms(meter.resistance(range))
        )));
    }
    let sags = d.metered.iter().any(|m| {
        let on_taps = m.taps.iter().zip(&d.taps);
        let mut pairs = on_taps.filter_map(|(r, tap)| Some((r.shown_v?, tap.volts_v)));
        pairs.any(|(shown, v)| v < 0.0 && share(shown, v) < -CAREFUL)
    });
    if sags && d.place.is_some() {
        page.push(text(careful(
            "A meter that pulls a bias tap down lets its tubes draw more while it is on: read, and take it off.",
        )));
    }
    page
}

fn reading(reading: &MeterReading, without: f64) -> Span {
    let range = reading.range_v.map(|r| format!(" ({} V)", r)).unwrap_or_default();
    match reading.shown_v {
        None => bad(format!("off its scale{range}")),
        Some(v) => {
            let tone = tone(v, without);
            Span::new(format!("{} {}{range}", signed(v), change(v, without)), tone)
        }
    }
}

fn series(d: &DividerStudy) -> Block {
    let mut titles = vec!["series".to_owned()];
    titles.extend((0..d.arms.len()).map(name));
    titles.extend(d.taps.iter().map(|t| t.name.clone()));
    let plain = |list: Vec<String>| list.into_iter().map(plain).collect::<Vec<_>>();
    let word = if d.wanted.is_some() { "exact" } else { "as it is" };
    let mut first = vec![word.to_owned()];
    first.extend(d.arms.iter().map(|a| value(d, a.ohms)));
    first.extend(d.taps.iter().map(|t| signed(t.volts_v)));
    let mut rows = vec![plain(first)];
    for rounded in &d.rounded {
        let mut row = plain(vec![rounded.series.to_owned()]);
        row.extend(plain(rounded.arms_ohms.iter().map(|r| nameplate(*r)).collect()));
        row.extend(changed(d, &rounded.taps_v));
        rows.push(row);
    }
    table(titles, rows)
}

/// Taps with other values, with how far they are off.
fn changed(d: &DividerStudy, taps_v: &[f64]) -> Vec<Span> {
    let pairs = d.taps.iter().zip(taps_v);
    pairs
        .map(|(tap, v)| match v * tap.volts_v <= 0.0 {
            true => bad("nothing left"),
            false => Span::new(
                format!("{} {}", signed(*v), change(*v, tap.volts_v)),
                tone(*v, tap.volts_v),
            ),
        })
        .collect()
}

fn drift(d: &DividerStudy) -> Page {
    let mut titles = vec!["drifted".to_owned()];
    titles.extend(d.taps.iter().map(|t| t.name.clone()));
    let rows = d.drifted.iter().map(|drifted| {
        let which = drifted.arm.map_or("all arms".to_owned(), name);
        let mut row = vec![plain(format!("{which} +{:.0} %", 100.0 * drifted.by))];
        row.extend(changed(d, &drifted.taps_v));
        row
    });
    let table = Table { titles, rows: rows.collect() };
    vec![
        heading("ARMS DRIFTED UP"),
        Block::Table(table),
        fine(
            "Carbon drifts up, seldom down, those above 10 kΩ most; replace beyond 20 %. Measure an arm with the set off and one end free.",
        ),
    ]
}

fn name(arm: usize) -> String {
    format!("R{}", arm + 1)
}

/// A resistance: reckoned from what was wanted, or read off a part.
fn value(d: &DividerStudy, r: f64) -> String {
    match d.wanted {
        Some(_) => show_digits(Resistance::from_si(r), 4),
        None => nameplate(r),
    }
}

/// A value of a part, its figure and unit never apart.
fn nameplate(r: f64) -> String {
    nameplate_ohms(r).replace(' ', KEEP)
}

/// Volts to three digits; what rounds up to the next power of ten is written as that.
fn signed(v: f64) -> String {
    let rounded = format!("{v:.2e}").parse().unwrap_or(v);
    point_volts(rounded).replace(' ', KEEP)
}

fn power(w: f64) -> String {
    if w < 1e-6 {
        return "0 W".to_owned();
    }
    show(Power::from_si(w))
}

fn share(now: f64, was: f64) -> f64 {
    if was.abs() < 1e-9 { 0.0 } else { now / was - 1.0 }
}

/// "−7.4 %", or "same" where no tenth of a per cent is left.
fn change(now: f64, was: f64) -> String {
    let share = share(now, was);
    if share.abs() < 0.0005 {
        return "same".to_owned();
    }
    let text = signed_percent(share).replace('-', "−");
    text.replace(' ', KEEP)
}

fn tone(now: f64, was: f64) -> Tone {
    match share(now, was).abs() {
        s if s > WRONG => Tone::Bad,
        s if s > CAREFUL => Tone::Careful,
        _ => Tone::Plain,
    }
}
