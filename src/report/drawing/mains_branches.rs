//! The heaters of a string that lie side by side, drawn and in words.

use super::frame::Point;
use super::pen::Anchor::Start;
use super::pen::{BOLD, PLAIN, Pen};
use super::symbol;
use crate::report::figures::volts;
use crate::study::{HeaterReading, PartKind, Reading};

/// Heaters in series with each other.
#[derive(Debug, Default, Clone)]
pub(super) struct Branch {
    /// Its name; empty for what is in series with all.
    name: String,
    /// Volts of its heaters in one block, RMS, and their number.
    pub heaters: (f64, usize),
    /// Volts across its own resistors.
    dropper_v: Option<f64>,
}

/// The heaters of a string below its droppers, as a meter reads them.
#[derive(Debug, Default)]
pub(super) struct Block {
    /// In series with all.
    pub series: Branch,
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
            branch.heaters = (branch.heaters.0 + heater.volts_v, branch.heaters.1 + 1);
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
        let group = |(_, list): &(u32, Vec<Branch>)| {
            list.first().map_or(0.0, |b| b.heaters.0 + b.dropper_v.unwrap_or(0.0))
        };
        self.series.heaters.0 + self.groups.iter().map(group).sum::<f64>()
    }

    /// The branches, where there is room to draw them.
    fn drawn(&self, (from, foot): (f64, f64)) -> Option<&[Branch]> {
        let [(_, list)] = self.groups.as_slice() else {
            return None;
        };
        let resistors = list.iter().any(|b| b.dropper_v.is_some());
        let taken = if self.series.heaters.1 > 0 { SMALL } else { LEAD };
        let room = foot - from - taken - LEAD;
        let needs = if resistors { 48.0 } else { 24.0 };
        (list.len() <= DRAWN && room >= needs).then_some(list)
    }

    /// Draws it from `from` down to the other lead, `back`, at `foot`; `net` is that of its upper end.
    pub fn draw(&self, pen: &mut Pen, (x, y): Point, foot: f64, (net, back): (&str, &str)) {
        let beside = x + 12.0;
        let Some(branches) = self.drawn((y, foot)) else {
            symbol::heaters(pen, (x, y), (x, foot));
            let words = [(PLAIN, "heaters".to_owned()), (BOLD, volts(self.volts_v()))];
            pen.lines((beside, 0.5 * (y + foot) - 3.0), Start, &words);
            return;
        };
        let (mut net, mut top) = (net, y + LEAD);
        if self.series.heaters.1 > 0 {
            top = y + SMALL;
            symbol::small_block(pen, "heater string", (x, y), (x, top));
            let words = [(PLAIN, "heaters".to_owned()), (BOLD, volts(self.series.heaters.0))];
            pen.lines((beside, y + 12.0), Start, &words);
            net = "above the branches";
        } else {
            pen.wire(net, &[(x, y), (x, top)]);
        }
        let bottom = foot - LEAD;
        let apart = APART[usize::from(branches.len() > 2)];
        let left = x - 0.5 * apart * (branches.len() - 1) as f64;
        for (i, branch) in branches.iter().enumerate() {
            let at = left + apart * i as f64;
            let mut from = top;
            if at != x {
                pen.wire(net, &[(x, top), (at, top)]);
                pen.wire(back, &[(at, bottom), (x, bottom)]);
            }
            if branch.dropper_v.is_some() {
                from = 0.5 * (top + bottom);
                symbol::small_resistor(pen, (at, top), (at, from));
            }
            symbol::small_block(pen, "heater branch", (at, from), (at, bottom));
        }
        pen.joint((x, top));
        pen.joint((x, bottom));
        pen.wire(back, &[(x, bottom), (x, foot)]);
        let of_it = branches.first().map_or(0.0, |b| b.heaters.0 + b.dropper_v.unwrap_or(0.0));
        let right = x + (x - left) + 11.0;
        // below the box of the supply, and short of the wire behind three
        let words = [(PLAIN, "branches".to_owned()), (BOLD, volts(of_it))];
        let words = if branches.len() > 2 { &words[1..] } else { &words[..] };
        pen.lines((right, foot - 21.0), Start, words);
    }

    /// It in words, behind "its heater string lies across the line".
    pub fn words(&self) -> String {
        let many = |count: usize| if count == 1 { "heater" } else { "heaters" };
        let (heaters_v, count) = self.series.heaters;
        let mut text = match (count, self.groups.is_empty()) {
            (0, false) => String::new(),
            (1, false) => format!(", 1 heater with {} across it", volts(heaters_v)),
            _ => format!(", {count} heaters in series with {} in all", volts(heaters_v)),
        };
        for (_, list) in &self.groups {
            text += if text.is_empty() { ", side by side" } else { " and side by side" };
            for (i, branch) in list.iter().enumerate() {
                let (heaters_v, count) = branch.heaters;
                let own = branch.dropper_v.map_or(String::new(), |v| {
                    format!(" behind its own resistor with {} across it", volts(v))
                });
                text += &format!(
                    "{} branch {} of {count} {} with {} in all{own}",
                    if i == 0 { "" } else { "," },
                    branch.name,
                    many(count),
                    volts(heaters_v)
                );
            }
        }
        text
    }
}
