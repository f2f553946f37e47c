//! Divider chains, each a small drawing of its own beneath the supply, in columns.

use super::frame::Point;
use super::pen::Anchor::{End, Start};
use super::pen::{BOLD, PLAIN, Pen};
use super::{WIDTH, symbol};
use crate::report::figures::{nameplate_ohms, point_volts};
use crate::study::DividerSketch;

const MARGIN: f64 = 20.0;
const COLUMNS: usize = 3;
/// Of a resistor and the node beneath it.
const PITCH: f64 = 38.0;
/// From the top of a chain's place to its upper end.
const HEAD: f64 = 40.0;
const FOOT: f64 = 30.0;

/// Name of a supply point as words.
pub(super) fn point_name(name: &str) -> String {
    name.replace('_', " ")
}

fn height(divider: &DividerSketch) -> f64 {
    HEAD + PITCH * divider.resistors.len() as f64 + FOOT
}

/// Draws the chains from `top` on; returns the lower edge.
pub(super) fn draw(pen: &mut Pen, top: f64, dividers: &[DividerSketch]) -> f64 {
    let wide = (WIDTH - 2.0 * MARGIN) / COLUMNS as f64;
    let mut feet = [top; COLUMNS];
    for divider in dividers {
        // each goes where there is most room
        let least = feet.into_iter().fold(f64::INFINITY, f64::min);
        let Some(column) = feet.iter().position(|foot| *foot <= least) else {
            continue;
        };
        let place = (MARGIN + wide * column as f64, least);
        chain(pen, place, wide - 14.0, divider);
        if let Some(foot) = feet.get_mut(column) {
            *foot += height(divider);
        }
    }
    feet.into_iter().fold(top, f64::max)
}

fn chain(pen: &mut Pen, (left, top): Point, wide: f64, divider: &DividerSketch) {
    pen.user((left, top + 12.0), Start, BOLD, wide, &divider.name);
    let x = left + 78.0;
    let room = wide - 78.0 - 14.0;
    let mut node = (x, top + HEAD);
    let upper = node;
    let last = divider.resistors.len().saturating_sub(1);
    for (i, ohms) in divider.resistors.iter().enumerate() {
        let next = (x, node.1 + PITCH);
        symbol::resistor(pen, node, next);
        let beside = (x - 14.0, node.1 + PITCH / 2.0 + 4.0);
        pen.text(beside, End, PLAIN, &nameplate_ohms(*ohms));
        node = next;
        if i == last {
            break;
        }
        pen.joint(node);
        let Some(point) = divider.points.get(i) else {
            continue;
        };
        match &point.tap {
            Some(tap) => {
                let stub = (x + 22.0, node.1);
                pen.wire("tap", &[node, stub]);
                pen.terminal(stub);
                named(
                    pen,
                    (stub.0 + 10.0, node.1),
                    room - 24.0,
                    (own_name(tap, &divider.name), point.volts_v),
                );
            }
            None => {
                let at = (x + 12.0, node.1 + 4.0);
                pen.text(at, Start, BOLD, &point_volts(point.volts_v));
            }
        }
    }
    // after the resistors, so that no lead runs into the ring
    end(pen, upper, room, (&divider.from, divider.from_v));
    if divider.to == "chassis" {
        symbol::chassis(pen, node);
        let at = (x + 22.0, node.1 + 18.0);
        pen.text(at, Start, PLAIN, "chassis");
    } else {
        end(pen, node, room, (&divider.to, divider.to_v));
    }
}

/// An end of a chain with its name and volts.
fn end(pen: &mut Pen, at: Point, room: f64, point: (&str, f64)) {
    pen.terminal(at);
    named(pen, (at.0 + 12.0, at.1), room, point);
}

fn named(pen: &mut Pen, (x, y): Point, room: f64, (name, v): (&str, f64)) {
    pen.text((x, y - 2.0), Start, BOLD, &point_volts(v));
    pen.user((x, y + 12.0), Start, PLAIN, room, &point_name(name));
}

/// A tap's name without that of its chain, which stands above.
fn own_name<'a>(tap: &'a str, chain: &str) -> &'a str {
    let rest = tap.strip_prefix(chain).and_then(|t| t.strip_prefix('.'));
    rest.unwrap_or(tap)
}

/// A chain in words.
pub(super) fn describe(divider: &DividerSketch) -> String {
    let ohms: Vec<String> = divider.resistors.iter().map(|r| nameplate_ohms(*r)).collect();
    let points: Vec<String> = divider
        .points
        .iter()
        .map(|p| match &p.tap {
            Some(tap) => format!("{tap} at {}", point_volts(p.volts_v)),
            None => point_volts(p.volts_v),
        })
        .collect();
    let between = if points.is_empty() {
        String::new()
    } else {
        format!("; between them {}", points.join(", "))
    };
    format!(
        "Divider {} from {} at {} to {} at {}: {}{between}.",
        divider.name,
        point_name(&divider.from),
        point_volts(divider.from_v),
        point_name(&divider.to),
        point_volts(divider.to_v),
        ohms.join(", "),
    )
}
