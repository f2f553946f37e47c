//! A part replaced as a page: what takes its place, the set before and after, the lines of the profile.

use super::{
    build::{joined, words},
    caution,
    figures::{
        amps, coil_ohms, henries, nameplate_amps, nameplate_farads, nameplate_ohms,
        nameplate_volts, or_dash, percent, signed_percent, volts, watts,
    },
    outlet_words,
    page::{
        Block, Line, Page, Tone, bad, blocks, careful, entry, fine, heading, items, line, notes,
        row, section, strong, table, text, title,
    },
    words::sentence,
};
use crate::{
    receiver::shown,
    study::{
        Compared, DropperSubstitute, DropperSubstitutes, FieldOption, FieldSubstitutes, Hum,
        RectifierSubstitute, Replacement, SubstituteKind, SubstituteStanding, Substitutes,
    },
    text::high_or_low,
};

/// B+, bias and heaters that move by less are as they were.
const AS_BEFORE: f64 = 0.01;
/// From here on a difference is marked.
const MOVED: f64 = 0.05;

/// Lays out a replacement.
pub fn page(r: &Replacement) -> Page {
    let fit = match &r.by {
        Substitutes::FieldCoil(f) => field(f),
        Substitutes::Rectifier(s) => rectifier(s),
        Substitutes::Dropper(d) => dropper(d),
    };
    let after = match r.compared.is_empty() {
        true => blocks(text(bad("Nothing of this is advised: the profile stays as it is."))),
        false => blocks((
            heading("THE SET BEFORE AND AFTER"),
            table(["", "before", "after", "differs by"], r.compared.iter().map(compared)),
            fine(("solved straight on ", volts(r.line_v), ", warm, no signal")),
            heading("THE PROFILE"),
            notes(r.changes.iter().map(line)),
            fine("-o FILE writes the profile so changed; every other line stays as it is."),
        )),
    };
    let before = r.before.iter().map(|caveat| line(careful(caveat.to_string())));
    blocks((
        caution::alarms(&r.cautions),
        title(&r.name),
        title((joined(&r.goes, " and "), " replaced")),
        fine(("outlet: ", outlet_words(&r.outlet))),
        items(caution::first(&r.cautions, None)),
        section("BEFORE YOU FIT IT", items(before).if_any()),
        section("WHAT TO FIT", fit),
        after,
        caution::all(&r.cautions),
    ))
}

fn compared(c: &Compared) -> Line {
    let share = if c.before == 0.0 { 0.0 } else { c.after / c.before - 1.0 };
    let tone = match share.abs() {
        s if s < AS_BEFORE => Tone::Good,
        s if s < MOVED => Tone::Plain,
        _ => Tone::Careful,
    };
    let figures = [c.before, c.after].map(|v| shown(v, c.unit));
    row((&c.label, figures, tone.of(signed_percent(share))))
}

fn buy(rated_w: Option<f64>) -> String {
    rated_w.map_or("several that share the heat".to_owned(), |w| format!("{w:.0} W or more"))
}

fn field(f: &FieldSubstitutes) -> Page {
    let across = f.lead == "across";
    let place = match f.lead {
        "across" => "across the supply".to_owned(),
        lead => format!("in the {lead} lead"),
    };
    let goes = format!(
        "field coil {place}: {} cold, {} warm, {}; {} at {}, {} of heat",
        coil_ohms(f.cold_ohms),
        coil_ohms(f.warm_ohms),
        henries(f.henries),
        volts(f.drop_v),
        amps(f.current_a),
        watts(f.heat_w)
    );
    let options = f.options.iter().enumerate().map(|(i, option)| {
        let chosen = i == f.chosen;
        let (margin, tone) = if chosen { ("FIT", Tone::Strong) } else { ("OR", Tone::Plain) };
        entry(margin, line(tone.of(fitted(option, across))))
    });
    let nothing = f.left_out_b_plus_v.map(|volts_v| {
        entry(
            "OR",
            format!(
                "nothing: B+ is then {} on the design line; judge capacitors and tubes by that",
                volts(volts_v)
            ),
        )
    });
    let hum = table(
        ["", "coil leaves", "this leaves", "hum", "second capacitor\nthat equals the coil"],
        f.options.iter().filter_map(|o| Some(hum(o, o.hum.as_ref()?))),
    );
    let share = fine(format!(
        "share of the {:.0} Hz ripple at the first filter capacitor that the coil's section lets through; the first capacitor stays as it is",
        f.ripple_hz
    ));
    blocks((
        entry("GOES", goes),
        options,
        nothing,
        section("HUM", hum.if_any().map(|hum| (hum, share))),
    ))
}

/// What is left of the ripple with the coil and with what takes its place.
fn hum(o: &FieldOption, h: &Hum) -> Line {
    let times = h.this / h.coil;
    let tone = if times > 1.5 { Tone::Careful } else { Tone::Good };
    row((
        if o.choke.is_some() { "choke" } else { "resistor alone" },
        [h.coil, h.this].map(|share| format!("{share:.4}")),
        tone.of(format!("{times:.1} ×")),
        or_dash(h.second.as_ref(), |s| {
            format!("{} (now {})", nameplate_farads(s.stock_f), nameplate_farads(s.present_f))
        }),
    ))
}

fn fitted(o: &FieldOption, bleeder: bool) -> String {
    let resistor = o.resistor_ohms.map(|ohms| {
        let pair = o.made_of_ohms.len() == 2;
        let pair = pair.then(|| {
            (" (", joined(o.made_of_ohms.iter().map(|r| nameplate_ohms(*r)), " and "), ")")
        });
        let heat = format!(", {} ({} at high line)", buy(o.rated_w), watts(o.heat_w));
        words((nameplate_ohms(ohms), pair, heat))
    });
    match &o.choke {
        Some(c) => words((
            format!(
                "a choke of {} or more, about {}, for {}",
                henries(c.henries),
                nameplate_ohms(c.ohms),
                nameplate_amps(c.bears_a)
            ),
            resistor.map(|rest| (", and in series a resistor of ", rest)),
        )),
        None => words((if bleeder { "a bleeder of " } else { "a resistor of " }, resistor)),
    }
}

fn rectifier(s: &RectifierSubstitute) -> Page {
    let diodes = match (s.diodes, s.in_a_row) {
        (1, 1) => "a silicon diode".to_owned(),
        (n, 1) => format!("{n} silicon diodes"),
        (n, row) => format!("{n} × {row} silicon diodes in a row"),
    };
    let bare = format!(
        "; silicon alone gives {}, {}",
        volts(s.bare_v),
        percent(s.bare_v / s.with_tube_v - 1.0)
    );
    let resistor = match &s.resistor {
        Some(r) => line((
            strong(format!(
                "a resistor of {} in {} plate lead, {}",
                nameplate_ohms(r.stock_ohms),
                if r.leads == 1 { "the" } else { "each" },
                buy(r.rated_w)
            )),
            format!(
                ": exactly {}; {} of heat in it at high line; B+ then {}",
                coil_ohms(r.exact_ohms),
                watts(r.heat_w),
                volts(r.b_plus_v)
            ),
        )),
        None => line("no resistor: B+ is that of the tube, or none brings it back"),
    };
    let stays = s.stays.as_ref().map(|old| {
        let ohms = [old.ohms, old.together_ohms].map(nameplate_ohms);
        let series = s.resistor.as_ref().map(|new| {
            let new = nameplate_ohms(new.stock_ohms);
            format!(", and the new {new} goes in series with it: {} in all", ohms[1])
        });
        let old = format!("; the old one gets {} at high line", watts(old.heat_w));
        line((strong(format!("the {} that the plate lead has stays", ohms[0])), series, old))
    });
    let heater = s.heater.as_ref().map(|h| {
        line((
            strong(format!(
                "a resistor of {} in the heater's place, {}",
                nameplate_ohms(h.stock_ohms),
                buy(h.rated_w)
            )),
            format!(
                ": exactly {}, {} by its rated figures; {} of heat",
                coil_ohms(h.exact_ohms),
                coil_ohms(h.rated_ohms),
                watts(h.heat_w)
            ),
        ))
    });
    let bears = format!(
        "capacitors {} at each switch-on at high line; each diode's place {} in reverse",
        volts(s.crest_v),
        volts(s.inverse_v)
    );
    vec![
        entry("GOES", format!("{}: B+ {} on the design line", s.tube, volts(s.with_tube_v))),
        entry("FIT", (line((strong((diodes, ", 1 A, 1000 V")), bare)), resistor, stays, heater)),
        entry("BEARS", bears),
    ]
}

fn dropper(d: &DropperSubstitutes) -> Page {
    let goes = format!(
        "{}; the heaters ask for {} at {}",
        joined(&d.present, " and "),
        nameplate_volts(d.heaters_v),
        nameplate_amps(d.amps)
    );
    let cord = d.in_cord.then(|| {
        let words =
            "cut off the resistance cord whole and fit a plain one: its ends stand at line voltage";
        entry("CORD", line(careful(words)))
    });
    let lamps = d.beside_lamps.iter().map(|lamp| {
        let words = format!(
            "fit {} beside the {}, {} with the lamp burnt out",
            coil_ohms(lamp.ohms),
            lamp.lamp,
            watts(lamp.heat_w)
        );
        entry("LAMP", words)
    });
    blocks((entry("GOES", goes), cord, d.list.iter().map(substitute), lamps))
}

fn substitute(s: &DropperSubstitute) -> (Block, Option<Block>) {
    let (margin, tone) = match s.standing {
        SubstituteStanding::Advised => ("FIT", Tone::Strong),
        SubstituteStanding::Serves => ("OR", Tone::Plain),
        SubstituteStanding::Refused => ("NOT", Tone::Bad),
    };
    let ware = match s.kind {
        _ if !s.ware.is_empty() => s.ware.as_str(),
        SubstituteKind::Resistor => "resistor",
        SubstituteKind::Capacitor => "capacitor",
        SubstituteKind::Diode => "diode",
    };
    let day = s.day.as_ref().map(|day| {
        let [low, usual, high] = day.heaters.map(high_or_low);
        format!(
            "{} across it at {}; heaters {low} at low line, {usual} at usual, {high} at high; {} of heat at high line; {} in the first cycles",
            volts(day.volts_v),
            amps(day.amps),
            watts(day.heat_w[2]),
            amps(day.inrush_a)
        )
    });
    let places = s.rating.iter().flat_map(|r| &r.places).map(|p| {
        let (verdict, tone) = if p.acceptable { ("", Tone::Plain) } else { ("not ", Tone::Faint) };
        line(tone.of(format!(
            "{verdict}{}: {:.0} % of what its rating leaves there; {}",
            p.place,
            100.0 * p.load,
            p.rule
        )))
    });
    let refused = s.refused.iter().map(|why| line(bad(sentence(&why.to_string()))));
    let caveats = s.caveats.iter().map(|caveat| caveat.to_string());
    (entry(margin, (line(tone.of(ware)), refused, day)), items((places, caveats)).if_any())
}
