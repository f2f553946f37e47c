//! A small transformer whose secondary stands in the lead and takes its volts off the line, or adds them.
//!
//! Two connections: its primary across the outlet gives `V·(1 − n)`, across the set `V/(1 + n)`, with n the
//! ratio of secondary to primary (ideal); aiding, `V·(1 + n)` and `V/(1 − n)`. Copper and core of the small
//! transformer are included.

use super::{
    Adaptation, Bought, Duty, Miswired, OPEN_OHMS, Part, Shelf, Sought, Tolerance, Unknown,
};
use crate::catalogue::stock::{STOCK_AMPS, secondaries};
use crate::circuit::{CircuitError, Network, Node, Probe, Winding};
use crate::receiver::{Inserted, LeadPart, MainsLead, PartKind, iron};

/// Where the small transformer's primary is connected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Across {
    /// Across the outlet, ahead of its own secondary.
    Outlet,
    /// Across the set, behind its own secondary.
    Set,
}

/// Secondary amperes over the set's RMS amperes, at the least: small parts run hot at their rating.
const CURRENT_MARGIN: f64 = 1.25;

/// Volts over its rating that a small transformer's primary may see: the swing the mains may have about its rated value
/// (common practice, no source).
pub const PRIMARY_SWING: f64 = 1.1;

/// Primaries of small transformers that are in stock, V (common practice, no source).
const PRIMARIES: [f64; 4] = [115.0, 120.0, 230.0, 240.0];

/// Outlet over design line below which volts are added: nearer, a meter hardly tells them apart (assumed).
const BOOSTS_BELOW: f64 = 0.97;

/// The bucking or boosting transformer as an adaptation.
#[derive(Debug, Clone)]
pub struct Bucking {
    across: Across,
    boosts: bool,
    primary: f64,
    own: Vec<(f64, f64, f64)>,
}

impl Bucking {
    /// Stock parts with the primary that suits the outlet, or the owner's own, connected to buck.
    pub fn new(across: Across, shelf: &Shelf) -> Bucking {
        let at_high = match across {
            Across::Outlet => shelf.high,
            // about what the set is to get
            Across::Set => shelf.high * shelf.design_line / shelf.outlet,
        };
        let primary = primary_for(shelf.outlet, at_high);
        Bucking { across, boosts: false, primary, own: shelf.own_transformers(false) }
    }

    /// The same connected to boost; `None` where the outlet is not below what the set was made for.
    pub fn boosting(across: Across, shelf: &Shelf) -> Option<Bucking> {
        let low = shelf.outlet < BOOSTS_BELOW * shelf.design_line;
        low.then(|| Bucking { boosts: true, ..Bucking::new(across, shelf) })
    }

    fn part(&self, secondary: f64, amps: f64, stock: bool) -> BuckingPart {
        BuckingPart {
            across: self.across,
            boosts: self.boosts,
            primary: self.primary,
            secondary,
            amps,
            stock,
            own: false,
            reversed: false,
            regulation_factor: 1.0,
            open: false,
            primary_open: false,
        }
    }

    /// The part of `secondary` volts with the smallest stock current for `duty`.
    fn sized(&self, secondary: f64, duty: &Duty, stock: bool) -> BuckingPart {
        let mut part = self.part(secondary, STOCK_AMPS[STOCK_AMPS.len() - 1], stock);
        // what the fuse may let pass for an hour, the winding must carry for an hour
        let held = duty.held_amps.unwrap_or(0.0) / part.line_per_secondary();
        // on the set the primary's current goes through the secondary as well: aiding, it adds to the set's
        let through = match self.across {
            Across::Set if self.boosts => duty.amps / (1.0 - part.aids()),
            _ => duty.amps,
        };
        let wanted = (CURRENT_MARGIN * through).max(held);
        // beyond the largest stock part the current objection speaks
        part.amps = STOCK_AMPS.into_iter().find(|a| *a >= wanted).unwrap_or(part.amps);
        part
    }
}

/// Rated primary volts of the stock part for an outlet of `usual` volts: the nearest rating, of two the higher, of those
/// that bear `at_high` volts.
fn primary_for(usual: f64, at_high: f64) -> f64 {
    let bears = PRIMARIES.into_iter().rev().filter(|rated| at_high <= PRIMARY_SWING * rated);
    let far = |rated: &f64| (rated - usual).abs();
    bears.min_by(|a, b| far(a).total_cmp(&far(b))).unwrap_or(PRIMARIES[PRIMARIES.len() - 1])
}

/// Regulation of a small transformer of `va`, as a share of rated volts.
pub(super) fn regulation(va: f64) -> f64 {
    (0.2 * (6.0 / va).cbrt()).clamp(0.05, 0.25)
}

/// No-load watts of a transformer that is bought, over its VA: a tenth up to 20 VA, and less with the cube root of size, as
/// its regulation is (3.4 % at 500 VA; common practice, no source).
fn idle_share(va: f64) -> f64 {
    0.1 * (20.0 / va).cbrt().min(1.0)
}

/// The core of a small transformer of `va` behind its primary's copper, its no-load watts at a power factor of 0.4 (common practice, no source), its knee that of a set's iron, at its rated volts on the outlet's frequency.
pub(super) fn core(
    net: &mut Network,
    name: &str,
    emf: Node,
    neutral: Node,
    primary: f64,
    va: f64,
) -> Result<(), CircuitError> {
    let watts = idle_share(va) * va;
    let loss = primary * primary / watts;
    net.resistor(format_args!("{name} core loss"), emf, neutral, loss)?;
    let reactive = watts * (1.0_f64 / (0.4 * 0.4) - 1.0).sqrt();
    let crest = iron::flux(primary, net.frequency());
    let law = iron::law(reactive / primary, crest, iron::KNEE, iron::EXPONENT);
    net.iron(format_args!("{name} magnetizing current"), emf, neutral, law)?;
    Ok(())
}

/// A small transformer connected to buck or to boost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BuckingPart {
    /// Connection.
    pub across: Across,
    /// True if its secondary is to add its volts.
    pub boosts: bool,
    /// Rated primary volts.
    pub primary: f64,
    /// Rated secondary volts, at rated current.
    pub secondary: f64,
    /// Rated secondary amperes.
    pub amps: f64,
    /// True for a stock part.
    pub stock: bool,
    /// True for a part the owner has: no larger one is to be had.
    pub own: bool,
    /// True if the secondary is connected the wrong way round.
    pub reversed: bool,
    /// Multiplier on the assumed regulation, for "what if".
    pub regulation_factor: f64,
    /// True if the secondary is open.
    pub open: bool,
    /// True if the primary is open: the secondary is then a choke in the lead.
    pub primary_open: bool,
}

impl BuckingPart {
    /// Regulation (rise of the secondary from rated load to none, as a share of rated volts): 20 % at 6 VA
    /// falling with the cube root of size to 8 % at 100 VA. Small parts run from 8 to 20 % †; the
    /// cube root is a fit to that range, no source.
    pub fn regulation(&self) -> f64 {
        regulation(self.secondary * self.amps) * self.regulation_factor
    }

    /// "bucking" or "boosting", whichever it is meant to do.
    fn kind(&self) -> &'static str {
        if self.boosts { "boosting" } else { "bucking" }
    }

    /// Secondary over primary volts as rated, negative where they oppose.
    fn aids(&self) -> f64 {
        let n = self.secondary / self.primary;
        if self.boosts == self.reversed { -n } else { n }
    }

    /// Amperes taken from the outlet for each in the secondary, by ampere-turns.
    fn line_per_secondary(&self) -> f64 {
        match self.across {
            Across::Outlet => 1.0 + self.aids(),
            Across::Set => 1.0,
        }
    }
}

impl MainsLead for BuckingPart {
    fn insert(
        &self,
        net: &mut Network,
        outlet: Node,
        neutral: Node,
    ) -> Result<Inserted, CircuitError> {
        let kind = self.kind();
        let set = net.node(&format!("after the {kind} winding"));
        let emf = net.node(&format!("{kind} EMF"));
        let inner = net.node(&format!("inside the {kind} winding"));
        let ratio = self.secondary * (1.0 + self.regulation()) / self.primary;
        // half of the regulation in each winding's copper, referred to the secondary
        let copper = 0.5 * self.regulation() * self.secondary / self.amps;
        let fed = match self.across {
            Across::Outlet => outlet,
            Across::Set => set,
        };
        let first = if self.primary_open { OPEN_OHMS } else { copper / (ratio * ratio) };
        let first = net.resistor(format_args!("{kind} primary copper"), fed, emf, first)?;
        let path = if self.open { OPEN_OHMS } else { copper };
        let second = net.resistor(format_args!("{kind} secondary copper"), outlet, inner, path)?;
        let va = self.secondary * self.amps;
        core(net, kind, emf, neutral, self.primary, va)?;
        let (start, end) = if self.aids() > 0.0 { (set, inner) } else { (inner, set) };
        net.transformer(
            format_args!("{kind} transformer"),
            vec![
                Winding { start: emf, end: neutral, turns: 1.0 },
                Winding { start, end, turns: ratio },
            ],
        )?;
        let parts = vec![
            LeadPart {
                kind: PartKind::InLead,
                name: format!("{kind} secondary"),
                volts: Probe::Volts(outlet, set),
                amps: Probe::Amps(second),
                copper_ohms: Some(copper),
            },
            LeadPart {
                kind: PartKind::InLead,
                name: format!("{kind} primary"),
                volts: Probe::Volts(fed, neutral),
                amps: Probe::Amps(first),
                copper_ohms: Some(copper / (ratio * ratio)),
            },
        ];
        Ok(Inserted::new(set, parts))
    }
}

impl Part for BuckingPart {
    fn bought(&self) -> Bought {
        let primary = format!("{} V", self.primary);
        Bought::ware(if self.stock {
            format!("{primary} to {} V, {} A", self.secondary, self.amps)
        } else {
            format!("{primary} to {:.2} V, {} A", self.secondary, self.amps)
        })
    }
    fn value(&self) -> f64 {
        self.secondary
    }
    fn tolerances(&self) -> Vec<Tolerance> {
        vec![Tolerance {
            what: match self.boosts {
                true => "regulation of the boosting transformer",
                false => "regulation of the bucking transformer",
            },
            value: format!("{:.0} %", 100.0 * self.regulation()),
            rule: "20 % at 6 VA, falling with the cube root of size (8 to 20 %† is usual)",
            spread: 0.4,
        }]
    }
    fn varied(&self, _: usize, factor: f64) -> Box<dyn Part> {
        Box::new(BuckingPart { regulation_factor: self.regulation_factor * factor, ..*self })
    }
    fn current_range(&self) -> Option<(f64, f64)> {
        // judged against the current taken from the outlet
        Some((0.0, self.amps * self.line_per_secondary()))
    }
    fn larger(&self, _: usize) -> Option<Box<dyn Part>> {
        let amps = STOCK_AMPS.into_iter().find(|a| *a > self.amps)?;
        (self.stock && !self.own)
            .then(|| -> Box<dyn Part> { Box::new(BuckingPart { amps, ..*self }) })
    }
    fn own_primary_volts(&self) -> Option<f64> {
        Some(self.primary)
    }
    fn primary_across(&self, outlet_v: f64, set_v: f64) -> f64 {
        match self.across {
            Across::Outlet => outlet_v,
            Across::Set => set_v,
        }
    }
    fn miswired(&self) -> Vec<(Miswired, Option<Box<dyn Part>>)> {
        let other = match self.across {
            Across::Outlet => Across::Set,
            Across::Set => Across::Outlet,
        };
        let part = |across, reversed| -> Option<Box<dyn Part>> {
            Some(Box::new(BuckingPart { across, reversed, ..*self }))
        };
        vec![
            (Miswired::SecondarySwapped, part(self.across, !self.reversed)),
            (Miswired::PrimaryOnOtherSide, part(other, self.reversed)),
            (Miswired::Both, part(other, !self.reversed)),
            (Miswired::WindingsSwapped, None),
        ]
    }
    fn opened(&self) -> Option<(&'static str, Box<dyn Part>)> {
        let words = if self.boosts { "boosting secondary open" } else { "bucking secondary open" };
        Some((words, Box::new(BuckingPart { open: true, ..*self })))
    }
    fn primary_opened(&self) -> Option<(&'static str, Box<dyn Part>)> {
        let words = if self.boosts { "boosting primary open" } else { "bucking primary open" };
        Some((words, Box::new(BuckingPart { primary_open: true, ..*self })))
    }
    fn reversed(&self) -> Option<(&'static str, Box<dyn Part>)> {
        let words =
            if self.boosts { "boosting winding reversed" } else { "bucking winding reversed" };
        Some((words, Box::new(BuckingPart { reversed: !self.reversed, ..*self })))
    }
}

impl Adaptation for Bucking {
    fn unknown(&self) -> Option<Unknown> {
        Some(Unknown {
            what: if self.boosts { Sought::Aiding } else { Sought::Secondary },
            unit: "V",
            low: 0.5,
            high: super::BUCKS_UP_TO * self.primary,
        })
    }
    fn exact(&self, value: f64, duty: &Duty) -> Box<dyn Part> {
        Box::new(self.sized(value, duty, false))
    }
    fn stock(&self, value: f64, duty: &Duty) -> Vec<Box<dyn Part>> {
        if !self.own.is_empty() {
            let mut own = self.own.clone();
            own.sort_by(|a, b| (a.1 - value).abs().total_cmp(&(b.1 - value).abs()));
            return own
                .into_iter()
                .take(2)
                .map(|(primary, volts, amps)| -> Box<dyn Part> {
                    Box::new(BuckingPart { primary, own: true, ..self.part(volts, amps, true) })
                })
                .collect();
        }
        let metric = self.primary > 150.0;
        let mut list: Vec<f64> =
            secondaries().iter().filter(|s| s.metric == metric).map(|s| s.volts).collect();
        list.sort_by(|a, b| (a - value).abs().total_cmp(&(b - value).abs()));
        list.into_iter()
            .take(2)
            .map(|volts| -> Box<dyn Part> { Box::new(self.sized(volts, duty, true)) })
            .collect()
    }
}
