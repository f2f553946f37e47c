//! A part replaced as a page: what takes its place, the set before and after, the lines of the profile.

use super::caution;
use super::figures::{
    amps, coil_ohms, henries, nameplate_amps, nameplate_farads, nameplate_ohms, nameplate_volts,
    or_dash, percent, signed_percent, volts, watts,
};
use super::outlet_words;
use super::page::{
    Block, Page, Span, Tone, bad, careful, entry, fine, heading, items, notes, plain, strong,
    table, text,
};
use super::words::sentence;
use crate::receiver::shown;
use crate::study::{
    Compared, DropperSubstitute, DropperSubstitutes, FieldOption, FieldSubstitutes, PlaceReport,
    RectifierSubstitute, Replacement, SubstituteKind, SubstituteStanding, Substitutes,
};

/// B+, bias and heaters that move by less are as they were.
const AS_BEFORE: f64 = 0.01;
/// From here on a difference is marked.
const MOVED: f64 = 0.05;

/// Lays out a replacement.
pub fn page(r: &Replacement) -> Page {
    let mut page = caution::alarms(&r.cautions);
    page.extend([
        Block::Title(r.name.clone()),
        Block::Title(format!("{} replaced", r.goes.join(" and "))),
        fine(format!("outlet: {}", outlet_words(&r.outlet))),
        items(caution::first(&r.cautions, None)),
    ]);
    if !r.before.is_empty() {
        page.push(heading("BEFORE YOU FIT IT"));
        page.push(items(r.before.iter().map(|c| vec![careful(c.to_string())])));
    }
    page.push(heading("WHAT TO FIT"));
    match &r.by {
        Substitutes::FieldCoil(f) => page.extend(field(f)),
        Substitutes::Rectifier(s) => page.extend(rectifier(s)),
        Substitutes::Dropper(d) => page.extend(dropper(d)),
    }
    if r.compared.is_empty() {
        page.push(text(bad("Nothing of this is advised: the profile stays as it is.")));
    } else {
        page.push(heading("THE SET BEFORE AND AFTER"));
        page.push(table(["", "before", "after", "differs by"], r.compared.iter().map(compared)));
        page.push(fine(format!("solved straight on {}, warm, no signal", volts(r.line_v))));
        page.push(heading("THE PROFILE"));
        page.push(notes(r.changes.iter().map(|c| vec![plain(c.as_str())])));
        page.push(fine("-o FILE writes the profile so changed; every other line stays as it is."));
    }
    page.extend(caution::all(&r.cautions));
    page
}

fn compared(c: &Compared) -> Vec<Span> {
    let share = if c.before == 0.0 { 0.0 } else { c.after / c.before - 1.0 };
    let tone = match share.abs() {
        s if s < AS_BEFORE => Tone::Good,
        s if s < MOVED => Tone::Plain,
        _ => Tone::Careful,
    };
    let figure = |v: f64| shown(v, c.unit);
    vec![
        plain(&c.label),
        plain(figure(c.before)),
        plain(figure(c.after)),
        Span::new(signed_percent(share), tone),
    ]
}

fn buy(rated_w: Option<f64>) -> String {
    rated_w.map_or("several that share the heat".to_owned(), |w| format!("{w:.0} W or more"))
}

fn field(f: &FieldSubstitutes) -> Page {
    let place = match f.lead {
        "across" => "across the supply".to_owned(),
        lead => format!("in the {lead} lead"),
    };
    let mut page = vec![entry(
        "GOES",
        vec![vec![plain(format!(
            "field coil {place}: {} cold, {} warm, {}; {} at {}, {} of heat",
            coil_ohms(f.cold_ohms),
            coil_ohms(f.warm_ohms),
            henries(f.henries),
            volts(f.drop_v),
            amps(f.current_a),
            watts(f.heat_w)
        ))]],
    )];
    for (i, option) in f.options.iter().enumerate() {
        let (margin, tone) =
            if i == f.chosen { ("FIT", Tone::Strong) } else { ("OR", Tone::Plain) };
        page.push(entry(margin, vec![vec![Span::new(words(option, f.lead == "across"), tone)]]));
    }
    if let Some(volts_v) = f.left_out_b_plus_v {
        page.push(entry(
            "OR",
            vec![vec![plain(format!(
                "nothing: B+ is then {} on the design line; judge capacitors and tubes by that",
                volts(volts_v)
            ))]],
        ));
    }
    let hum = f.options.iter().filter_map(|o| Some((o, o.hum?)));
    let rows: Vec<Vec<Span>> = hum
        .map(|(o, h)| {
            let times = h.this / h.coil;
            let second = or_dash(h.second, |s| {
                format!("{} (now {})", nameplate_farads(s.stock_f), nameplate_farads(s.present_f))
            });
            vec![
                plain(if o.choke.is_some() { "choke" } else { "resistor alone" }),
                plain(format!("{:.4}", h.coil)),
                plain(format!("{:.4}", h.this)),
                Span::new(
                    format!("{times:.1} ×"),
                    if times > 1.5 { Tone::Careful } else { Tone::Good },
                ),
                plain(second),
            ]
        })
        .collect();
    if !rows.is_empty() {
        page.push(heading("HUM"));
        page.push(table(
            ["", "coil leaves", "this leaves", "hum", "second capacitor\nthat equals the coil"],
            rows,
        ));
        page.push(fine(format!(
            "share of the {:.0} Hz ripple at the first filter capacitor that the coil's section lets through; the first capacitor stays as it is",
            f.ripple_hz
        )));
    }
    page
}

fn words(o: &FieldOption, bleeder: bool) -> String {
    let resistor = o.resistor_ohms.map(|ohms| {
        let made_of: Vec<String> = o.made_of_ohms.iter().map(|r| nameplate_ohms(*r)).collect();
        let made_of = match made_of.as_slice() {
            [_, _] => format!(" ({})", made_of.join(" and ")),
            _ => String::new(),
        };
        let (heat, buy) = (watts(o.heat_w), buy(o.rated_w));
        format!("{}{made_of}, {buy} ({heat} at high line)", nameplate_ohms(ohms))
    });
    match (&o.choke, resistor) {
        (Some(c), rest) => {
            let choke = format!(
                "a choke of {} or more, about {}, for {}",
                henries(c.henries),
                nameplate_ohms(c.ohms),
                nameplate_amps(c.bears_a)
            );
            rest.map_or(choke.clone(), |rest| {
                format!("{choke}, and in series a resistor of {rest}")
            })
        }
        (None, rest) => {
            let rest = rest.unwrap_or_default();
            if bleeder { format!("a bleeder of {rest}") } else { format!("a resistor of {rest}") }
        }
    }
}

fn rectifier(s: &RectifierSubstitute) -> Page {
    let mut page = vec![entry(
        "GOES",
        vec![vec![plain(format!("{}: B+ {} on the design line", s.tube, volts(s.with_tube_v)))]],
    )];
    let bare = format!(
        "silicon alone gives {}, {}",
        volts(s.bare_v),
        percent(s.bare_v / s.with_tube_v - 1.0)
    );
    let mut fit = Vec::new();
    let diodes = match (s.diodes, s.in_a_row) {
        (1, 1) => "a silicon diode, 1 A, 1000 V".to_owned(),
        (n, 1) => format!("{n} silicon diodes, 1 A, 1000 V"),
        (n, row) => format!("{n} × {row} silicon diodes in a row, 1 A, 1000 V"),
    };
    fit.push(vec![strong(diodes), plain(format!("; {bare}"))]);
    match &s.resistor {
        Some(r) => fit.push(vec![
            strong(format!(
                "a resistor of {} in {}, {}",
                nameplate_ohms(r.stock_ohms),
                if r.leads == 1 { "the plate lead" } else { "each plate lead" },
                buy(r.rated_w)
            )),
            plain(format!(
                ": exactly {}; {} of heat in it at high line; B+ then {}",
                coil_ohms(r.exact_ohms),
                watts(r.heat_w),
                volts(r.b_plus_v)
            )),
        ]),
        None => {
            fit.push(vec![plain("no resistor: B+ is that of the tube, or none brings it back")])
        }
    }
    if let Some(h) = &s.heater {
        fit.push(vec![
            strong(format!(
                "a resistor of {} in the heater's place, {}",
                nameplate_ohms(h.stock_ohms),
                buy(h.rated_w)
            )),
            plain(format!(
                ": exactly {}, {} by its rated figures; {} of heat",
                coil_ohms(h.exact_ohms),
                coil_ohms(h.rated_ohms),
                watts(h.heat_w)
            )),
        ]);
    }
    page.push(entry("FIT", fit));
    page.push(entry(
        "BEARS",
        vec![vec![plain(format!(
            "capacitors {} at each switch-on at high line; each diode's place {} in reverse",
            volts(s.crest_v),
            volts(s.inverse_v)
        ))]],
    ));
    page
}

fn dropper(d: &DropperSubstitutes) -> Page {
    let mut page = vec![entry(
        "GOES",
        vec![vec![plain(format!(
            "{}; the heaters ask for {} at {}",
            d.present.join(" and "),
            nameplate_volts(d.heaters_v),
            nameplate_amps(d.amps)
        ))]],
    )];
    if d.in_cord {
        page.push(entry(
            "CORD",
            vec![vec![careful(
                "cut off the resistance cord whole and fit a plain one: its ends stand at line voltage",
            )]],
        ));
    }
    for s in &d.list {
        page.extend(substitute(s));
    }
    for lamp in &d.beside_lamps {
        page.push(entry(
            "LAMP",
            vec![vec![plain(format!(
                "fit {} beside the {}, {} with the lamp burnt out",
                coil_ohms(lamp.ohms),
                lamp.lamp,
                watts(lamp.heat_w)
            ))]],
        ));
    }
    page
}

fn substitute(s: &DropperSubstitute) -> Page {
    let (margin, tone) = match s.standing {
        SubstituteStanding::Advised => ("FIT", Tone::Strong),
        SubstituteStanding::Serves => ("OR", Tone::Plain),
        SubstituteStanding::Refused => ("NOT", Tone::Bad),
    };
    let kind = match s.kind {
        SubstituteKind::Resistor => "resistor",
        SubstituteKind::Capacitor => "capacitor",
        SubstituteKind::Diode => "diode",
    };
    let ware = if s.ware.is_empty() { kind } else { s.ware.as_str() };
    let mut lines = vec![vec![Span::new(ware, tone)]];
    lines.extend(s.refused.iter().map(|why| vec![bad(sentence(&why.to_string()))]));
    if let Some(day) = &s.day {
        let [low, usual, high] = day.heaters.map(percent);
        lines.push(vec![plain(format!(
            "{} across it at {}; heaters {low} at low line, {usual} at usual, {high} at high; {} of heat at high line; {} in the first cycles",
            volts(day.volts_v),
            amps(day.amps),
            watts(day.heat_w[2]),
            amps(day.inrush_a)
        ))]);
    }
    let place = |p: &PlaceReport| {
        let tone = if p.acceptable { Tone::Plain } else { Tone::Faint };
        let verdict = if p.acceptable { "" } else { "not " };
        vec![Span::new(
            format!(
                "{verdict}{}: {:.0} % of what its rating leaves there; {}",
                p.place,
                100.0 * p.load,
                p.rule
            ),
            tone,
        )]
    };
    let mut page = vec![entry(margin, lines)];
    let mut more: Vec<Vec<Span>> = s.rating.iter().flat_map(|r| &r.places).map(place).collect();
    more.extend(s.caveats.iter().map(|c| vec![plain(c.to_string())]));
    if !more.is_empty() {
        page.push(items(more));
    }
    page
}
