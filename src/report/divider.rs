//! A divider for the bench: arms, taps, what a meter shows, values that are made, drift.

use super::{
    build::joined,
    caution,
    figures::{amps, minus, nameplate_ohms, nameplate_volts, ohms, point_volts, signed_percent},
    page::{
        Block, Line, Page, Span, Tone, bad, blocks, careful, fine, notes, plain, row, section,
        strong, table, text, title,
    },
    words::{kept, spoken},
    working,
};
use crate::{
    quantity::{Power, Quantity, Resistance, show, show_digits},
    study::{Arm, Buy, DividerSize, DividerStudy, MeterReading, Metered, RANGES_V, Voltmeter},
};

/// A tap that is this far off is worth a look.
const CAREFUL: f64 = 0.1;
/// A tap that is this far off is wrong.
const WRONG: f64 = 0.2;

/// Lays out a divider, with the sums on paper where they are asked for.
pub fn page(d: &DividerStudy, with_working: bool) -> Page {
    let tapped = !d.taps.is_empty();
    let held = (d.place.is_none() && any_load(d)).then(|| {
        fine("A load in mA is held at that; a real screen draws less as its voltage falls, and sags less.")
    });
    let looks = fine("Source resistance: what a meter or a load sags across.");
    let sums = with_working.then(|| notes(d.working.iter().map(working::sum)));
    let cautions = match d.cautions.as_slice() {
        [] => vec![Block::Gap, text(careful(d.caution))],
        list => caution::all(list),
    };
    blocks((
        caution::alarms(&d.cautions),
        head(d),
        section("ARMS, FROM THE SOURCE DOWN", (arms(d), shares(d))),
        tapped.then(|| section("TAPS", (taps(d), looks, held))),
        meters(d),
        section("NEAREST STANDARD VALUES", series(d)),
        tapped.then(|| drift(d)),
        section("THE SUMS ON PAPER", sums),
        cautions,
    ))
}

fn head(d: &DividerStudy) -> Page {
    let titles = match &d.place {
        None => vec![title(format!(
            "Divider, {} over {} to chassis",
            signed(d.from_v),
            value(d, d.total_ohms)
        ))],
        Some(place) => vec![
            title(&place.set),
            title(format!(
                "divider {}, {} to {}: {} to {} over {}",
                place.divider,
                spoken(&place.from),
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
    let ends = [d.arms.first(), d.arms.last()];
    let [first, last] = ends.map(|arm| amps(arm.map_or(0.0, |a| a.current_a.abs())));
    let takes: f64 = d.taps.iter().map(|t| t.takes_a).sum();
    let heat: f64 = d.arms.iter().map(|a| a.heat_w).sum();
    let current = match takes.abs() > 0.0 {
        true => format!(
            "{first} from the source, of which the taps take {} and {last} bleeds off",
            amps(takes)
        ),
        false => format!("{first} through every arm, nothing loads the taps"),
    };
    let given = d.wanted.map(|size| match size {
        DividerSize::Total(_) => "total",
        DividerSize::Bleed(_) => "bleed",
    });
    blocks((
        titles,
        text(format!("{current}; {} as heat in all", power(heat))),
        given.map(|given| fine(("resistors found from the taps wanted and the ", given, " given"))),
    ))
}

fn arms(d: &DividerStudy) -> Block {
    let loaded = any_load(d);
    let rows = d.arms.iter().enumerate().map(|(i, arm)| {
        row((
            name(i),
            value(d, arm.ohms),
            signed(arm.volts_v),
            amps(arm.current_a.abs()),
            power(arm.heat_w),
            loaded.then(|| power(arm.free_heat_w)),
            buy(&arm.buy),
        ))
    });
    let free = loaded.then_some("heat,\ntaps free");
    let titles = ["arm", "resistor", "across it", "current", "heat"];
    table((titles, free, "buy,\nat least"), rows)
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
    let larger =
        any_load(d).then_some(", of the larger: tubes that are cold or out leave the taps free");
    let warned = d.arms.iter().enumerate().filter_map(|(i, arm)| {
        let Arm { buy, .. } = arm;
        let most = f64::max(arm.volts_v.abs(), (arm.free_heat_w * arm.ohms).sqrt());
        let most = point_volts(most);
        let words = match buy.rating_w {
            None => "beyond 10 W; a wirewound part, or several that share the heat.".to_owned(),
            Some(_) if buy.pieces > 1 => format!(
                "{most} is more than one small part stands, which is 500 V: {} in a row, of {} each.",
                buy.pieces,
                ohms(arm.ohms / f64::from(buy.pieces))
            ),
            Some(w) if buy.for_volts => format!(
                "{most} ask for {}, not the heat: 1/4 W stands 250 V, 1/2 W 350 V, 1 W 500 V.",
                rating(w)
            ),
            Some(_) => return None,
        };
        Some(text(careful((name(i), ": ", words))))
    });
    blocks((
        fine(("Rating: at least twice the heat", larger, "; from 1/4, 1/2, 1, 2, 5 and 10 W.")),
        warned,
    ))
}

fn taps(d: &DividerStudy) -> Block {
    let loaded = any_load(d);
    let rows = d.taps.iter().map(|tap| {
        let feeds = || match tap.takes_a {
            0.0 => "nothing".to_owned(),
            a if a < 0.0 => format!("is fed {}", amps(-a)),
            a => amps(a),
        };
        let load = loaded.then(|| [feeds(), signed(tap.free_v), change(tap.volts_v, tap.free_v)]);
        row((&tap.name, strong(signed(tap.volts_v)), load, ohms(tap.looks_like_ohms)))
    });
    let load = loaded.then_some(["feeds", "with nothing\non any tap", "the loads\npull it"]);
    table(
        (
            ["tap", "against\nchassis"],
            load,
            "source
resistance",
        ),
        rows,
    )
}

/// "20 kΩ/V".
fn meter_name(meter: Voltmeter) -> String {
    nameplate_ohms(meter.ohms) + if meter.per_volt { "/V" } else { "" }
}

fn meters(d: &DividerStudy) -> Page {
    let shown = d.metered.iter().map(|m| meter_name(m.meter) + "\nshows");
    let shows = |label: Span, v: f64, of: &dyn Fn(&Metered) -> Option<MeterReading>| {
        row((label, signed(v), d.metered.iter().filter_map(of).map(|r| reading(&r, v))))
    };
    let taps = d.taps.iter().enumerate().map(|(i, tap)| {
        shows(plain((&tap.name, ", chassis")), tap.volts_v, &|m| m.taps.get(i).copied())
    });
    let arms = d.arms.iter().enumerate().map(|(i, arm)| {
        shows(plain(("both ends of ", name(i))), arm.volts_v, &|m| m.arms.get(i).copied())
    });
    let pointer = d.metered.iter().map(|m| m.meter).find(|m| m.per_volt);
    let load = pointer.map(|meter| {
        let range = meter.range_v.unwrap_or(50.0);
        let which = match meter.range_v {
            Some(_) => "In brackets the range it is kept on.".to_owned(),
            None => format!(
                "In brackets the range just above the reading, of {} V; a lower one loads more.",
                joined(RANGES_V, ", ")
            ),
        };
        fine(format!(
            "{which} Load: ohms per volt times the range, so {} on {} is {}.",
            meter_name(meter),
            nameplate_volts(range),
            nameplate_ohms(meter.resistance(range))
        ))
    });
    let sags = d.metered.iter().flat_map(|m| m.taps.iter().zip(&d.taps)).any(|(r, tap)| {
        let falls = r.shown_v.is_some_and(|shown| share(shown, tap.volts_v) < -CAREFUL);
        tap.volts_v < 0.0 && falls
    });
    let sags = (sags && d.place.is_some()).then(|| {
        text(careful(
            "A meter that pulls a bias tap down lets its tubes draw more while it is on: read, and take it off.",
        ))
    });
    let titles = ("leads on", "without\na meter", shown);
    section("WHAT A METER SHOWS", (table(titles, taps.chain(arms)), load, sags))
}

fn reading(reading: &MeterReading, without: f64) -> Span {
    let range = reading.range_v.map(|r| format!(" ({r} V)"));
    match reading.shown_v {
        None => bad(("off its scale", range)),
        Some(v) => tone(v, without).of((changed(v, without), range)),
    }
}

fn series(d: &DividerStudy) -> Block {
    let word = if d.wanted.is_some() { "exact" } else { "as it is" };
    let exact = row((
        word,
        d.arms.iter().map(|a| value(d, a.ohms)),
        d.taps.iter().map(|t| signed(t.volts_v)),
    ));
    let rounded = d.rounded.iter().map(|rounded| {
        row((
            rounded.series,
            rounded.arms_ohms.iter().map(|r| nameplate(*r)),
            with_others(d, &rounded.taps_v),
        ))
    });
    let titles = ("series", (0..d.arms.len()).map(name), d.taps.iter().map(|t| &t.name));
    table(titles, std::iter::once(exact).chain(rounded))
}

/// Taps with other values, with how far they are off.
fn with_others(d: &DividerStudy, taps_v: &[f64]) -> Line {
    let pairs = d.taps.iter().zip(taps_v);
    let cells = pairs.map(|(tap, v)| match v * tap.volts_v <= 0.0 {
        true => bad("nothing left"),
        false => tone(*v, tap.volts_v).of(changed(*v, tap.volts_v)),
    });
    cells.collect()
}

fn drift(d: &DividerStudy) -> Page {
    let rows = d.drifted.iter().map(|drifted| {
        let which = drifted.arm.map_or("all arms".to_owned(), name);
        let label = format!("{which} +{:.0} %", 100.0 * drifted.by);
        row((label, with_others(d, &drifted.taps_v)))
    });
    let titles = ("drifted", d.taps.iter().map(|t| &t.name));
    section(
        "ARMS DRIFTED UP",
        (
            table(titles, rows),
            fine(
                "Carbon drifts up, seldom down, those above 10 kΩ most; replace beyond 20 %. Measure an arm with the set off and one end free.",
            ),
        ),
    )
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
    kept(&nameplate_ohms(r))
}

/// Volts to three digits; what rounds up to the next power of ten is written as that.
fn signed(v: f64) -> String {
    let rounded = format!("{v:.2e}").parse().unwrap_or(v);
    kept(&point_volts(rounded))
}

fn power(w: f64) -> String {
    if w < 1e-6 { "0 W".to_owned() } else { show(Power::from_si(w)) }
}

fn share(now: f64, was: f64) -> f64 {
    if was.abs() < 1e-9 { 0.0 } else { now / was - 1.0 }
}

/// Volts, and how far they are off: "37.0 V −7.4 %".
fn changed(now: f64, was: f64) -> String {
    format!("{} {}", signed(now), change(now, was))
}

/// "−7.4 %", or "same" where no tenth of a per cent is left.
fn change(now: f64, was: f64) -> String {
    match share(now, was) {
        share if share.abs() < 0.0005 => "same".to_owned(),
        share => kept(&minus(&signed_percent(share))),
    }
}

fn tone(now: f64, was: f64) -> Tone {
    match share(now, was).abs() {
        s if s > WRONG => Tone::Bad,
        s if s > CAREFUL => Tone::Careful,
        _ => Tone::Plain,
    }
}
