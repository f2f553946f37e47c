//! Divider chains, each a small drawing of its own beneath the supply, in columns.

use super::{
    WIDTH,
    frame::Point,
    pen::{Anchor, Pen, bold},
    symbol::{RESISTOR, chassis},
};
use crate::{
    report::figures::{nameplate_ohms, point_volts},
    study::DividerSketch,
};

const MARGIN: f64 = 20.0;
const COLUMNS: usize = 3;
/// Of a resistor and the node beneath it.
const PITCH: f64 = 38.0;
/// From the top of a chain's place to its upper end.
const HEAD: f64 = 40.0;
const FOOT: f64 = 30.0;
/// From the left edge of a chain's place to its resistors, and what their ends keep free on the right.
const AXIS: f64 = 66.0;
const KEPT: f64 = 14.0;

/// Name of a supply point as words.
fn point_name(name: &str) -> String {
    name.replace('_', " ")
}

/// Draws the chains from `top` on; returns the lower edge.
pub fn draw(pen: &mut Pen, top: f64, dividers: &[DividerSketch]) -> f64 {
    let wide = (WIDTH - 2.0 * MARGIN) / COLUMNS as f64;
    let mut feet = [top; COLUMNS];
    for divider in dividers {
        // each goes where there is most room
        let columns = feet.iter_mut().enumerate();
        if let Some((column, foot)) = columns.min_by(|a, b| a.1.total_cmp(b.1)) {
            chain(pen, (MARGIN + wide * column as f64, *foot), wide - 14.0, divider);
            *foot += HEAD + PITCH * divider.resistors.len() as f64 + FOOT;
        }
    }
    feet.into_iter().fold(top, f64::max)
}

fn chain(pen: &mut Pen, (left, top): Point, wide: f64, divider: &DividerSketch) {
    pen.user((left, top + 12.0), Anchor::Start, bold(&divider.name), wide);
    let (x, upper) = (left + AXIS, top + HEAD);
    let room = wide - AXIS - KEPT;
    let mut y = upper;
    for (i, ohms) in divider.resistors.iter().enumerate() {
        RESISTOR.draw(pen, (x, y), (x, y + PITCH));
        pen.left((x - 14.0, y + PITCH / 2.0 + 4.0), [nameplate_ohms(*ohms)]);
        y += PITCH;
        if i + 1 == divider.resistors.len() {
            break;
        }
        pen.joint((x, y));
        let Some(point) = divider.points.get(i) else { continue };
        if let Some(own) = &point.own {
            let stub = x + 22.0;
            pen.level("tap", (x, y), [stub]);
            pen.terminal((stub, y));
            named(pen, (stub + 10.0, y), room - 24.0, (own, point.volts_v));
        } else {
            pen.right((x + 12.0, y + 4.0), [bold(point_volts(point.volts_v))]);
        }
    }
    // after the resistors, so that no lead runs into the ring
    end(pen, (x, upper), room, (&divider.from, divider.from_v));
    if divider.to == "chassis" {
        chassis(pen, (x, y));
        pen.right((x + 22.0, y + 18.0), ["chassis"]);
    } else {
        end(pen, (x, y), room, (&divider.to, divider.to_v));
    }
}

/// An end of a chain with its name and volts.
fn end(pen: &mut Pen, (x, y): Point, room: f64, point: (&str, f64)) {
    pen.terminal((x, y));
    named(pen, (x + 12.0, y), room, point);
}

fn named(pen: &mut Pen, (x, y): Point, room: f64, (name, v): (&str, f64)) {
    pen.right((x, y - 2.0), [bold(point_volts(v))]);
    pen.user((x, y + 12.0), Anchor::Start, point_name(name), room);
}

/// A chain in words.
pub fn describe(divider: &DividerSketch) -> String {
    let ohms: Vec<String> = divider.resistors.iter().map(|r| nameplate_ohms(*r)).collect();
    let points = divider.points.iter().map(|p| {
        let tap = p.tap.as_ref().map(|tap| format!("{tap} at ")).unwrap_or_default();
        tap + &point_volts(p.volts_v)
    });
    let points: Vec<String> = points.collect();
    format!(
        "Divider {} from {} at {} to {} at {}: {}{}{}.",
        divider.name,
        point_name(&divider.from),
        point_volts(divider.from_v),
        point_name(&divider.to),
        point_volts(divider.to_v),
        ohms.join(", "),
        if points.is_empty() { "" } else { "; between them " },
        points.join(", "),
    )
}
