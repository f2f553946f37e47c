//! A small transformer whose secondary stands in the lead and takes its volts off the line.
//!
//! Two connections: its primary across the outlet gives `V·(1 − n)`, across the set `V/(1 + n)`, with n the
//! ratio of secondary to primary (ideal). Copper and core of the small transformer are included.

use super::{
    Adaptation, Bought, Duty, Miswired, OPEN_OHMS, Part, Shelf, Sought, Tolerance, Unknown,
};
use crate::catalogue::stock::{STOCK_AMPS, secondaries};
use crate::circuit::{CircuitError, Network, Node, Probe, Winding};
use crate::receiver::{Inserted, LeadPart, MainsLead};

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

/// The bucking transformer as an adaptation.
#[derive(Debug, Clone)]
pub struct Bucking {
    across: Across,
    primary: f64,
    own: Vec<(f64, f64, f64)>,
}

impl Bucking {
    /// Parts with a 115 V primary on outlets below 150 V, 230 V above, or the owner's own.
    pub fn new(across: Across, shelf: &Shelf) -> Bucking {
        Bucking { across, primary: primary_for(shelf.outlet), own: shelf.own_transformers(false) }
    }

    fn part(&self, secondary: f64, amps: f64, stock: bool) -> BuckingPart {
        BuckingPart {
            across: self.across,
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

    fn rating(duty: &Duty) -> f64 {
        // what the fuse may let pass for an hour, the winding must carry for an hour
        let wanted = (CURRENT_MARGIN * duty.amps).max(duty.held_amps.unwrap_or(0.0));
        STOCK_AMPS
            .into_iter()
            .find(|a| *a >= wanted)
            // beyond the largest stock part the current objection speaks
            .unwrap_or(STOCK_AMPS[STOCK_AMPS.len() - 1])
    }
}

/// Rated primary volts of the small transformers sold where the outlet gives `outlet` volts.
pub fn primary_for(outlet: f64) -> f64 {
    if outlet < 150.0 { 115.0 } else { 230.0 }
}

/// Regulation of a small transformer of `va`, as a share of rated volts.
pub(super) fn regulation(va: f64) -> f64 {
    (0.2 * (6.0 / va).cbrt()).clamp(0.05, 0.25)
}

/// The core of a small transformer of `va` behind its primary's copper: no-load watts a tenth of the VA at a power
/// factor of 0.4 (common practice, no source).
pub(super) fn core(
    net: &mut Network,
    name: &str,
    emf: Node,
    neutral: Node,
    primary: f64,
    va: f64,
) -> Result<(), CircuitError> {
    let watts = 0.1 * va;
    let loss = primary * primary / watts;
    net.resistor(&format!("{name} core loss"), emf, neutral, loss)?;
    let reactive = watts * (1.0_f64 / (0.4 * 0.4) - 1.0).sqrt();
    let reactance = primary * primary / reactive;
    let henries = reactance / (std::f64::consts::TAU * net.frequency());
    net.inductor(&format!("{name} magnetising current"), emf, neutral, henries)?;
    Ok(())
}

/// A small transformer connected to buck.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BuckingPart {
    /// Connection.
    pub across: Across,
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
}

impl MainsLead for BuckingPart {
    fn insert(
        &self,
        net: &mut Network,
        outlet: Node,
        neutral: Node,
    ) -> Result<Inserted, CircuitError> {
        let set = net.node("after the bucking winding");
        let emf = net.node("bucking EMF");
        let inner = net.node("inside the bucking winding");
        let ratio = self.secondary * (1.0 + self.regulation()) / self.primary;
        // half of the regulation in each winding's copper, referred to the secondary
        let copper = 0.5 * self.regulation() * self.secondary / self.amps;
        let fed = match self.across {
            Across::Outlet => outlet,
            Across::Set => set,
        };
        let first = if self.primary_open { OPEN_OHMS } else { copper / (ratio * ratio) };
        let first = net.resistor("bucking primary copper", fed, emf, first)?;
        let path = if self.open { OPEN_OHMS } else { copper };
        let second = net.resistor("bucking secondary copper", outlet, inner, path)?;
        let va = self.secondary * self.amps;
        core(net, "bucking", emf, neutral, self.primary, va)?;
        let (start, end) = if self.reversed { (set, inner) } else { (inner, set) };
        net.transformer(
            "bucking transformer",
            vec![
                Winding { start: emf, end: neutral, turns: 1.0 },
                Winding { start, end, turns: ratio },
            ],
        )?;
        let parts = vec![
            LeadPart {
                name: "bucking secondary".to_owned(),
                volts: Probe::Volts(outlet, set),
                amps: Probe::Amps(second),
                copper_ohms: Some(copper),
            },
            LeadPart {
                name: "bucking primary".to_owned(),
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
            what: "regulation of the bucking transformer",
            value: format!("{:.0} %", 100.0 * self.regulation()),
            rule: "20 % at 6 VA, falling with the cube root of size (8 to 20 %† is usual)",
            spread: 0.4,
        }]
    }
    fn varied(&self, _: usize, factor: f64) -> Box<dyn Part> {
        Box::new(BuckingPart { regulation_factor: self.regulation_factor * factor, ..*self })
    }
    fn current_range(&self) -> Option<(f64, f64)> {
        Some((0.0, self.amps))
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
        Some(("bucking secondary open", Box::new(BuckingPart { open: true, ..*self })))
    }
    fn primary_opened(&self) -> Option<(&'static str, Box<dyn Part>)> {
        Some(("bucking primary open", Box::new(BuckingPart { primary_open: true, ..*self })))
    }
    fn reversed(&self) -> Option<Box<dyn Part>> {
        Some(Box::new(BuckingPart { reversed: !self.reversed, ..*self }))
    }
}

impl Adaptation for Bucking {
    fn unknown(&self) -> Option<Unknown> {
        Some(Unknown {
            what: Sought::Secondary,
            unit: "V",
            low: 0.5,
            high: super::BUCKS_UP_TO * self.primary,
        })
    }
    fn exact(&self, value: f64, duty: &Duty) -> Box<dyn Part> {
        Box::new(self.part(value, Bucking::rating(duty), false))
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
            .map(|volts| -> Box<dyn Part> {
                Box::new(self.part(volts, Bucking::rating(duty), true))
            })
            .collect()
    }
}
