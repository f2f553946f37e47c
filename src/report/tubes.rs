//! Catalogue rows as pages.

use super::{
    figures::or_dash,
    page::{Block, Page, dagger, fine, heading, plain, table, text},
};
use crate::{
    catalogue::{
        Alias, BallastKind, BallastLamp, BallastType, Citation, Found, LampType, Matched,
        RectifierDrop, RectifierType, TubeType, ballast_lamps,
    },
    quantity::{Current, Power, Quantity, Resistance, Voltage, show_plain},
    study::LawMiss,
};

fn dash<Q: Quantity>(value: Option<Q>) -> String {
    or_dash(value, show_plain)
}

/// Volts and amperes of a filament in one cell.
fn pair(volts: Voltage, amps: Current) -> String {
    format!("{} {}", show_plain(volts), show_plain(amps))
}

/// Two figures of a kind, or one dash if neither is known.
fn both<A: Quantity, B: Quantity>(a: Option<A>, b: Option<B>) -> String {
    match b {
        None => dash(a),
        Some(b) => format!("{} {}", dash(a), show_plain(b)),
    }
}

/// All tubes, a row each.
pub fn tube_list(list: &[TubeType]) -> Page {
    let titles = ["type", "class", "heater", "plate", "screen", "grid"];
    let rows = list.iter().map(|t| {
        let point = t.reference().map(|p| {
            [both(p.plate, p.plate_current), both(p.screen, p.screen_current), dash(p.grid)]
        });
        let [plate, screen, grid] = point.unwrap_or_else(|| ["-"; 3].map(str::to_owned));
        let heater = pair(t.heater_volts, t.heater_amps);
        [t.name.clone(), t.class.to_string(), heater, plate, screen, grid].map(plain).to_vec()
    });
    vec![
        Block::Title("TUBES, with the first published class A point of each".to_owned()),
        table(titles, rows),
    ]
}

/// All rectifiers.
pub fn rectifier_list(list: &[RectifierType]) -> Page {
    let titles = ["type", "filament", "heating", "kind", "drop", "at, per plate", "DC at most"];
    let rows = list.iter().map(|r| {
        let drop = r.drop.as_ref();
        [
            r.name.clone(),
            pair(r.filament_volts, r.filament_amps),
            r.heating.to_string(),
            r.kind.to_string(),
            dash(drop.map(|d| d.volts)),
            dash(drop.and_then(|d| d.at_current_per_plate)),
            dash(r.max_dc_current),
        ]
        .map(plain)
        .to_vec()
    });
    vec![heading("RECTIFIERS"), table(titles, rows)]
}

/// All lamps.
pub fn lamp_list(list: &[LampType]) -> Page {
    let rows = list.iter().map(|l| {
        let base = or_dash(l.base.as_ref(), String::clone);
        [l.name.clone(), show_plain(l.volts), show_plain(l.amps), base].map(plain).to_vec()
    });
    vec![heading("LAMPS"), table(["type", "volts", "current", "base"], rows)]
}

fn si<Q: Quantity>(value: f64) -> String {
    show_plain(Q::from_si(value))
}

/// What it does, in a cell: the volts it drops, the range in which it holds, the ohms of a cord.
fn does(kind: &BallastKind) -> String {
    match kind {
        BallastKind::Wire { volts, .. } => format!("drops {}", si::<Voltage>(*volts)),
        BallastKind::Barretter { holds: (from, to) } => {
            format!("holds from {} to {}", si::<Voltage>(*from), si::<Voltage>(*to))
        }
        BallastKind::Cord { .. } => "in the line cord".to_owned(),
    }
}

fn watts_of(t: &BallastType) -> String {
    or_dash(t.ohms(), |ohms| si::<Power>((ohms * t.amps * t.amps * 10.0).round() / 10.0))
}

fn ohms_of(t: &BallastType) -> String {
    or_dash(t.ohms(), |ohms| si::<Resistance>((ohms * 10.0).round() / 10.0))
}

/// A ballast's lamp with the section beside it.
fn lamp_of(lamp: &BallastLamp) -> String {
    let (volts, amps) = (si::<Voltage>(lamp.volts), si::<Current>(lamp.amps));
    format!("{volts} {amps}, beside {} of its wire", si::<Resistance>(lamp.section_ohms().round()))
}

/// Ballast tubes, barretters and resistance cords.
pub fn ballast_list(list: &[BallastType]) -> Page {
    let rows = list.iter().map(|t| {
        [t.name.clone(), si::<Current>(t.amps), does(&t.kind), ohms_of(t), watts_of(t)]
            .map(plain)
            .to_vec()
    });
    let letters = ballast_lamps().iter().map(|lamp| format!("{}: {}", lamp.letter, lamp_of(lamp)));
    let letters: Vec<String> = letters.collect();
    vec![
        heading("BALLASTS, BARRETTERS, RESISTANCE CORDS"),
        table(["type", "current", "does", "resistance", "heat"], rows),
        text(format!(
            "A ballast's number is the voltage that it drops at 300 mA, its lamp lit; the letter before it is the lamp ({}). It does not hold the current; a barretter does, within its range.",
            letters.join("; ")
        )),
    ]
}

/// Everything known of a ballast or barretter.
pub fn ballast_page(t: &BallastType) -> Page {
    let (title, lamp) = match &t.kind {
        BallastKind::Wire { lamp, .. } => ("ballast tube, resistance wire", lamp.as_ref()),
        BallastKind::Barretter { .. } => ("barretter", None),
        BallastKind::Cord { .. } => ("resistance cord", None),
    };
    let mut rows = vec![("current", si::<Current>(t.amps)), ("volts", does(&t.kind))];
    if t.ohms().is_some() {
        let resistance = if lamp.is_some() { "resistance, its lamp lit" } else { "resistance" };
        rows.extend([(resistance, ohms_of(t)), ("heat", watts_of(t))]);
    }
    rows.extend(lamp.map(|lamp| ("lamp", lamp_of(lamp))));
    let mut page = vec![Block::Title(format!("{}, {title}", t.name)), facts(rows)];
    page.extend(source(&t.citation, &t.note));
    page.extend(dagger(&page));
    page
}

/// What is known, a line each.
fn facts<'a>(list: impl IntoIterator<Item = (&'a str, String)>) -> Block {
    let rows = list.into_iter();
    table([""; 0], rows.map(|(what, value)| vec![plain(what), plain(value)]))
}

fn source(citation: &Citation, note: &str) -> Page {
    let mut page =
        vec![fine(format!("source: {}; confidence {}", citation.source, citation.confidence))];
    if !note.is_empty() {
        page.push(text(format!("note: {note}")));
    }
    page
}

/// A drop, with its bounds where it is not sure.
fn drop(drop: RectifierDrop) -> String {
    let volts = show_plain(drop.volts);
    let at = match drop.at_current_per_plate {
        Some(amps) => format!("{volts} at {} per plate", show_plain(amps)),
        None => format!("{volts} at any current"),
    };
    drop.bounds.map_or(at.clone(), |(low, high)| {
        format!("{at} ({} to {}: {})", show_plain(low), show_plain(high), drop.basis)
    })
}

/// What the law says at a point that it was not fitted to, against what is published there.
fn missed(miss: LawMiss) -> String {
    let by = |share: f64| {
        let side = if share < 0.0 { "less" } else { "more" };
        format!("{:.1} % {side}", 100.0 * share.abs())
    };
    let screen = miss.screen.map(|s| format!(" and {} screen current", by(s)));
    format!(
        "Here the tube law, fitted to the first point, gives {} plate current{}.",
        by(miss.plate),
        screen.unwrap_or_default()
    )
}

/// What the page of a tube is made of.
pub struct TubePage<'c> {
    /// The type, as it was asked for.
    pub found: &'c Found<&'c TubeType>,
    /// What its law misses at its further points.
    pub misses: Vec<Option<LawMiss>>,
    /// Types of the same figures.
    pub kin: Vec<&'c TubeType>,
}

/// What a type has to do with the name it was asked by, where that is not its own.
fn asked_as<T>(found: &Found<T>, own: &str, aliases: &[Alias]) -> Option<Block> {
    let name = &found.name;
    let differs = aliases.iter().find(|a| a.name == *name).and_then(Alias::differs);
    let differs = differs.map_or(String::new(), |words| format!(" ({words})"));
    match found.matched {
        Matched::Exact => None,
        Matched::Alias => Some(text(format!("{name} is another name of the {own}{differs}."))),
        Matched::SuffixAssumed => Some(text(format!(
            "{name} is taken for the {own} in another bulb, electrically equal."
        ))),
    }
}

/// Other names of a type, and those of like figures with their heaters.
fn relations(
    aliases: &[Alias],
    kin: Vec<(&str, Voltage, Current)>,
    own: (Voltage, Current),
) -> Page {
    let name = |a: &Alias| match a.differs() {
        Some(words) => format!("{} ({words})", a.name),
        None => a.name.clone(),
    };
    let (same, other): (Vec<_>, Vec<_>) = kin.into_iter().partition(|(_, v, i)| (*v, *i) == own);
    let lines = [
        ("other names", aliases.iter().map(name).collect::<Vec<_>>()),
        ("same figures, same heater", same.iter().map(|(name, ..)| (*name).to_owned()).collect()),
        (
            "same figures, another heater",
            other.iter().map(|(name, v, i)| format!("{name} ({})", pair(*v, *i))).collect(),
        ),
    ];
    let lines = lines.into_iter().filter(|(_, list)| !list.is_empty());
    lines.map(|(what, list)| text(format!("{what}: {}", list.join(", ")))).collect()
}

/// Everything known of one type, in whichever tables it stands.
pub fn one(
    tube: Option<TubePage<'_>>,
    rectifier: Option<(&Found<&RectifierType>, Vec<&RectifierType>)>,
    lamp: Option<&LampType>,
) -> Page {
    let mut page = Vec::new();
    if let Some(TubePage { found, misses, kin }) = tube {
        let t = found.item;
        page.push(Block::Title(format!("{}, {}", t.name, t.class)));
        page.extend(asked_as(found, &t.name, &t.aliases));
        page.push(facts([
            (t.cathode.to_string().as_str(), pair(t.heater_volts, t.heater_amps)),
            ("plate, at most", both(t.max_plate_volts, t.max_plate_watts)),
            ("screen, at most", both(t.max_screen_volts, t.max_screen_watts)),
            ("heater to cathode, at most", dash(t.max_heater_cathode_volts)),
        ]));
        let kin = kin.iter().map(|k| (k.name.as_str(), k.heater_volts, k.heater_amps)).collect();
        page.extend(relations(&t.aliases, kin, (t.heater_volts, t.heater_amps)));
        // the first point is that of the law
        let misses = std::iter::once(&None).chain(&misses).chain(std::iter::repeat(&None));
        for (point, miss) in t.points.iter().zip(misses) {
            page.push(heading("published class A point"));
            page.push(facts([
                ("plate", both(point.plate, point.plate_current)),
                ("screen", both(point.screen, point.screen_current)),
                ("grid", dash(point.grid)),
                ("other electrodes", dash(point.extra_current)),
                ("transconductance", dash(point.transconductance)),
                ("amplification factor", or_dash(point.mu, |m| m.to_string())),
                ("plate resistance", dash(point.plate_resistance)),
            ]));
            page.extend(miss.map(|m| text(missed(m))));
            page.extend(source(&point.citation, &point.note));
        }
    }
    if let Some((found, kin)) = rectifier {
        let r = found.item;
        page.extend((!page.is_empty()).then_some(Block::Gap));
        let title = format!("{}, rectifier, {} heating, {}", r.name, r.heating, r.kind);
        page.push(Block::Title(title));
        page.extend(asked_as(found, &r.name, &r.aliases));
        page.push(facts([
            ("filament", pair(r.filament_volts, r.filament_amps)),
            ("drop", or_dash(r.drop, drop)),
            ("peak inverse, at most", dash(r.max_peak_inverse)),
            ("peak plate current, at most", dash(r.max_peak_plate_current)),
            ("DC output, at most", dash(r.max_dc_current)),
            ("AC per plate, capacitor input", dash(r.max_ac_volts_capacitor_input)),
            ("first capacitor, at most", dash(r.max_input_capacitor)),
        ]));
        let kin =
            kin.iter().map(|k| (k.name.as_str(), k.filament_volts, k.filament_amps)).collect();
        page.extend(relations(&r.aliases, kin, (r.filament_volts, r.filament_amps)));
        page.extend(source(&r.citation, &r.note));
    }
    if let Some(l) = lamp {
        page.extend((!page.is_empty()).then_some(Block::Gap));
        page.push(Block::Title(format!("{}, lamp", l.name)));
        page.push(facts([("rated", pair(l.volts, l.amps))]));
        page.extend(source(&l.citation, &l.note));
    }
    page.extend(dagger(&page));
    page
}
