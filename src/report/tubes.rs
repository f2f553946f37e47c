//! Catalogue rows as pages.

use super::page::{Block, Page, Span, Table, Tone, dagger};
use crate::catalogue::{Citation, LampType, RectifierType, TubeType};
use crate::quantity::{Current, Quantity, Voltage, show_plain};

fn dash<Q: Quantity>(value: Option<Q>) -> String {
    value.map_or_else(|| "-".to_owned(), show_plain)
}

/// Volts and amperes of a filament in one cell.
fn pair(volts: Voltage, amps: Current) -> String {
    format!("{} {}", show_plain(volts), show_plain(amps))
}

/// Two figures of a kind, or one dash if neither is known.
fn both<A: Quantity, B: Quantity>(a: Option<A>, b: Option<B>) -> String {
    if a.is_none() && b.is_none() {
        return "-".to_owned();
    }
    format!("{} {}", dash(a), dash(b)).trim_end_matches(" -").to_owned()
}

/// All tubes, a row each.
pub fn tube_list(list: &[TubeType]) -> Page {
    let titles = ["type", "class", "heater", "plate", "screen", "grid"];
    let rows = list
        .iter()
        .map(|t| {
            let p = t.reference();
            [
                t.name.clone(),
                t.class.to_string(),
                pair(t.heater_volts, t.heater_amps),
                both(p.and_then(|p| p.plate), p.and_then(|p| p.plate_current)),
                both(p.and_then(|p| p.screen), p.and_then(|p| p.screen_current)),
                dash(p.and_then(|p| p.grid)),
            ]
            .map(Span::plain)
            .to_vec()
        })
        .collect();
    vec![
        Block::Title("TUBES, with the first published class A point of each".to_owned()),
        Block::Table(Table { titles: titles.map(str::to_owned).to_vec(), rows }),
    ]
}

/// All rectifiers.
pub fn rectifier_list(list: &[RectifierType]) -> Page {
    let titles = ["type", "filament", "heating", "kind", "drop", "at, per plate", "DC at most"];
    let rows = list
        .iter()
        .map(|r| {
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
            .map(Span::plain)
            .to_vec()
        })
        .collect();
    vec![
        Block::Heading("RECTIFIERS".to_owned()),
        Block::Table(Table { titles: titles.map(str::to_owned).to_vec(), rows }),
    ]
}

/// All lamps.
pub fn lamp_list(list: &[LampType]) -> Page {
    let rows = list
        .iter()
        .map(|l| {
            [
                l.name.clone(),
                show_plain(l.volts),
                show_plain(l.amps),
                l.base.clone().unwrap_or_else(|| "-".to_owned()),
            ]
            .map(Span::plain)
            .to_vec()
        })
        .collect();
    vec![
        Block::Heading("LAMPS".to_owned()),
        Block::Table(Table {
            titles: ["type", "volts", "current", "base"].map(str::to_owned).to_vec(),
            rows,
        }),
    ]
}

fn fact(rows: &mut Vec<Vec<Span>>, what: &str, value: String) {
    rows.push(vec![Span::plain(what), Span::plain(value)]);
}

fn source(citation: &Citation, note: &str) -> Page {
    let mut page = vec![Block::Text(vec![Span::new(
        format!("source: {}; confidence {}", citation.source, citation.confidence),
        Tone::Faint,
    )])];
    if !note.is_empty() {
        page.push(Block::Text(vec![Span::plain(format!("note: {note}"))]));
    }
    page
}

/// Everything known of one type, in whichever tables it stands.
pub fn one(
    tube: Option<&TubeType>,
    rectifier: Option<&RectifierType>,
    lamp: Option<&LampType>,
) -> Page {
    let mut page = Vec::new();
    if let Some(t) = tube {
        page.push(Block::Title(format!("{}, {}", t.name, t.class)));
        let mut rows = Vec::new();
        fact(&mut rows, t.cathode.to_string().as_str(), pair(t.heater_volts, t.heater_amps));
        fact(&mut rows, "plate, at most", both(t.max_plate_volts, t.max_plate_watts));
        fact(&mut rows, "screen, at most", both(t.max_screen_volts, t.max_screen_watts));
        fact(&mut rows, "heater to cathode, at most", dash(t.max_heater_cathode_volts));
        page.push(Block::Table(Table { titles: Vec::new(), rows }));
        for point in &t.points {
            page.push(Block::Heading("published class A point".to_owned()));
            let mut rows = Vec::new();
            fact(&mut rows, "plate", both(point.plate, point.plate_current));
            fact(&mut rows, "screen", both(point.screen, point.screen_current));
            fact(&mut rows, "grid", dash(point.grid));
            fact(&mut rows, "other electrodes", dash(point.extra_current));
            fact(&mut rows, "transconductance", dash(point.transconductance));
            fact(
                &mut rows,
                "amplification factor",
                point.mu.map_or_else(|| "-".to_owned(), |m| format!("{m}")),
            );
            fact(&mut rows, "plate resistance", dash(point.plate_resistance));
            page.push(Block::Table(Table { titles: Vec::new(), rows }));
            page.extend(source(&point.citation, &point.note));
        }
    }
    if let Some(r) = rectifier {
        if !page.is_empty() {
            page.push(Block::Gap);
        }
        page.push(Block::Title(format!(
            "{}, rectifier, {} heating, {}",
            r.name, r.heating, r.kind
        )));
        let mut rows = Vec::new();
        fact(&mut rows, "filament", pair(r.filament_volts, r.filament_amps));
        let drop = r.drop.as_ref();
        fact(
            &mut rows,
            "drop",
            match drop.map(|d| (d.volts, d.at_current_per_plate)) {
                Some((volts, Some(amps))) => {
                    format!("{} at {} per plate", show_plain(volts), show_plain(amps))
                }
                Some((volts, None)) => format!("{} at any current", show_plain(volts)),
                None => "not known".to_owned(),
            },
        );
        fact(&mut rows, "peak inverse, at most", dash(r.max_peak_inverse));
        fact(&mut rows, "peak plate current, at most", dash(r.max_peak_plate_current));
        fact(&mut rows, "DC output, at most", dash(r.max_dc_current));
        fact(&mut rows, "AC per plate, capacitor input", dash(r.max_ac_volts_capacitor_input));
        fact(&mut rows, "first capacitor, at most", dash(r.max_input_capacitor));
        page.push(Block::Table(Table { titles: Vec::new(), rows }));
        page.extend(source(&r.citation, &r.note));
    }
    if let Some(l) = lamp {
        if !page.is_empty() {
            page.push(Block::Gap);
        }
        page.push(Block::Title(format!("{}, lamp", l.name)));
        let mut rows = Vec::new();
        fact(&mut rows, "rated", pair(l.volts, l.amps));
        page.push(Block::Table(Table { titles: Vec::new(), rows }));
        page.extend(source(&l.citation, &l.note));
    }
    page.extend(dagger(&page));
    page
}
