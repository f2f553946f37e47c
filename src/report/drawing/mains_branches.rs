//! The heaters of a string that lie side by side, drawn and in words.

use super::{
    frame::Point,
    pen::{Pen, bold, plain},
    symbol::{BRANCH, HEATERS, SMALL_HEATERS, SMALL_RESISTOR},
};
use crate::{
    report::figures::volts,
    study::{HeaterReading, PartKind, Reading},
};

/// Heaters in series with each other.
#[derive(Debug, Default, Clone)]
struct Branch {
    /// Its name; empty for what is in series with all.
    name: String,
    /// Volts of its heaters in one block, RMS, and their number.
    heaters_v: f64,
    count: usize,
    /// Volts across its own resistors.
    dropper_v: Option<f64>,
}

impl Branch {
    fn volts_v(&self) -> f64 {
        self.heaters_v + self.dropper_v.unwrap_or(0.0)
    }
}

/// The heaters of a string below its droppers, as a meter reads them.
#[derive(Debug, Default)]
pub struct Block {
    /// In series with all.
    series: Branch,
    /// Side by side, group by group.
    groups: Vec<(u32, Vec<Branch>)>,
}

/// Most branches drawn beside each other.
const DRAWN: usize = 3;
/// From branch to branch.
const APART: [f64; 2] = [22.0, 15.0];
/// Heights: of a block where there is little room, of the leads above and below branches.
const SMALL: f64 = 30.0;
const LEAD: f64 = 6.0;

impl Block {
    /// Of `heaters`, with what `reading` says of the resistors in their branches.
    pub fn of<'r>(reading: &Reading, heaters: impl Iterator<Item = &'r HeaterReading>) -> Block {
        let mut block = Block::default();
        let mut places: Vec<(usize, u32, Branch)> = Vec::new();
        for heater in heaters {
            let branch = match heater.side_by_side {
                None => &mut block.series,
                Some((place, group)) => {
                    let known = places.iter().position(|(at, ..)| *at == place);
                    let at = known.unwrap_or_else(|| {
                        let name = heater.branch.clone().unwrap_or_default();
                        places.push((place, group, Branch { name, ..Branch::default() }));
                        places.len() - 1
                    });
                    &mut places[at].2
                }
            };
            // of one current and all but resistive, so their volts add
            branch.heaters_v += heater.volts_v;
            branch.count += 1;
        }
        for (place, group, mut branch) in places {
            let own = reading.droppers.iter().filter(|d| d.kind == PartKind::InBranch(place));
            branch.dropper_v = own.map(|d| d.volts_v).reduce(|a, b| a + b);
            match block.groups.iter_mut().find(|(other, _)| *other == group) {
                Some((_, list)) => list.push(branch),
                None => block.groups.push((group, vec![branch])),
            }
        }
        block
    }

    /// Volts from the droppers to the other end.
    fn volts_v(&self) -> f64 {
        let firsts = self.groups.iter().filter_map(|(_, list)| list.first());
        self.series.heaters_v + firsts.map(Branch::volts_v).sum::<f64>()
    }

    /// The branches, where there is room to draw them.
    fn drawn(&self, room: f64) -> Option<&[Branch]> {
        let [(_, list)] = self.groups.as_slice() else {
            return None;
        };
        let taken = if self.series.count > 0 { SMALL } else { LEAD };
        let needs = if list.iter().any(|b| b.dropper_v.is_some()) { 48.0 } else { 24.0 };
        (list.len() <= DRAWN && room - taken - LEAD >= needs).then_some(list)
    }

    /// Draws it from `from` down to the other lead, `back`, at `foot`; `net` is that of its upper end.
    pub fn draw(&self, pen: &mut Pen, (x, y): Point, foot: f64, (mut net, back): (&str, &str)) {
        let words = |name, v| [plain(name), bold(volts(v))];
        let beside = x + 12.0;
        let Some(branches) = self.drawn(foot - y) else {
            HEATERS.draw(pen, (x, y), (x, foot));
            let at = (beside, 0.5 * (y + foot) - 3.0);
            return pen.right(at, words("heaters", self.volts_v()));
        };
        let mut top = y + LEAD;
        if self.series.count > 0 {
            top = y + SMALL;
            SMALL_HEATERS.draw(pen, (x, y), (x, top));
            pen.right((beside, y + 12.0), words("heaters", self.series.heaters_v));
            net = "above the branches";
        } else {
            pen.upright(net, (x, y), [top]);
        }
        let (bottom, crowded) = (foot - LEAD, branches.len() > 2);
        let apart = APART[usize::from(crowded)];
        let left = 0.5 * apart * (branches.len() - 1) as f64;
        for (i, branch) in branches.iter().enumerate() {
            let at = x - left + apart * i as f64;
            let mut from = top;
            if at != x {
                pen.level(net, (x, top), [at]);
                pen.level(back, (at, bottom), [x]);
            }
            if branch.dropper_v.is_some() {
                from = 0.5 * (top + bottom);
                SMALL_RESISTOR.draw(pen, (at, top), (at, from));
            }
            BRANCH.draw(pen, (at, from), (at, bottom));
        }
        pen.joint((x, top));
        pen.joint((x, bottom));
        pen.upright(back, (x, bottom), [foot]);
        // below the box of the supply, and short of the wire behind three
        let words = words("branches", branches.first().map_or(0.0, Branch::volts_v));
        let words = words.into_iter().skip(usize::from(crowded));
        pen.right((x + left + 11.0, foot - 21.0), words);
    }

    /// It in words, behind "its heater string lies across the line".
    pub fn words(&self) -> String {
        let Branch { heaters_v, count, .. } = self.series;
        let mut text = match (count, self.groups.is_empty()) {
            (0, false) => String::new(),
            (1, false) => format!(", 1 heater with {} across it", volts(heaters_v)),
            _ => format!(", {count} heaters in series with {} in all", volts(heaters_v)),
        };
        for (_, list) in &self.groups {
            text += if text.is_empty() { ", side by side" } else { " and side by side" };
            for (i, Branch { name, heaters_v, count, dropper_v }) in list.iter().enumerate() {
                let (comma, s) =
                    (if i == 0 { "" } else { "," }, if *count == 1 { "" } else { "s" });
                let all = volts(*heaters_v);
                text += &format!("{comma} branch {name} of {count} heater{s} with {all} in all");
                if let Some(v) = dropper_v {
                    let across = volts(*v);
                    text += &format!(" behind its own resistor with {across} across it");
                }
            }
        }
        text
    }
}
