//! A small transformer whose secondary stands in the lead and takes its volts off the line, or adds them.
//!
//! Two connections: its primary across the outlet gives `V·(1 − n)`, across the set `V/(1 + n)`, with n the
//! ratio of secondary to primary (ideal); aiding, `V·(1 + n)` and `V/(1 − n)`. Copper and core of the small
//! transformer are included.

use super::{
    Bought, Shelf,
    part::{
        Adaptation, AnyPart, Copied, Duty, Failed, Failure, Miswired, Part, Sought, Tolerance,
        Unknown, any,
    },
    shelf::BUCKS_UP_TO,
    transformer::{Wound, regulation, tolerance},
};
use crate::{
    catalogue::stock::{STOCK_AMPS, secondaries},
    circuit::{CircuitError, Network, Node, Probe},
    quantity::by,
    receiver::{Inserted, MainsLead},
};

/// Where the small transformer's primary is connected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Across {
    /// Across the outlet, ahead of its own secondary.
    Outlet,
    /// Across the set, behind its own secondary.
    Set,
}

impl Across {
    /// Which of what is true at the outlet and at the set is true of the primary.
    fn of<T>(self, outlet: T, set: T) -> T {
        match self {
            Across::Outlet => outlet,
            Across::Set => set,
        }
    }
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
    /// What is fitted, but for its secondary.
    part: BuckingPart,
    own: Vec<(f64, f64, f64)>,
}

impl Bucking {
    /// Stock parts with the primary that suits the outlet, or the owner's own, connected to buck.
    pub fn new(across: Across, shelf: &Shelf) -> Bucking {
        // across the set about what it is to get
        let at_high = across.of(shelf.high, shelf.high * shelf.design_line / shelf.outlet);
        let part = BuckingPart {
            across,
            boosts: false,
            primary: primary_for(shelf.outlet, at_high),
            secondary: 0.0,
            amps: STOCK_AMPS[STOCK_AMPS.len() - 1],
            stock: true,
            own: false,
            reversed: false,
            regulation_factor: 1.0,
            open: false,
            primary_open: false,
        };
        Bucking { part, own: shelf.own_transformers(false) }
    }

    /// The same connected to boost; `None` where the outlet is not below what the set was made for.
    pub fn boosting(across: Across, shelf: &Shelf) -> Option<Bucking> {
        let low = shelf.outlet < BOOSTS_BELOW * shelf.design_line;
        let mut boosting = low.then(|| Bucking::new(across, shelf))?;
        boosting.part.boosts = true;
        Some(boosting)
    }

    /// Each part that is sold, or that the owner has.
    fn parts(&self, duty: &Duty) -> Vec<BuckingPart> {
        let metric = self.part.primary > 150.0;
        let stock = secondaries().iter().filter(|s| s.metric == metric);
        match self.own[..] {
            [] => stock.map(|s| self.sized(s.volts, duty, true)).collect(),
            ref own => own
                .iter()
                .map(|&(primary, secondary, amps)| BuckingPart {
                    primary,
                    secondary,
                    amps,
                    own: true,
                    ..self.part
                })
                .collect(),
        }
    }

    /// The part of `secondary` volts with the smallest stock current for `duty`.
    fn sized(&self, secondary: f64, duty: &Duty, stock: bool) -> BuckingPart {
        let part = BuckingPart { secondary, stock, ..self.part };
        // what the fuse may let pass for an hour, the winding must carry for an hour
        let held = duty.held_amps.unwrap_or(0.0) / part.line_per_secondary();
        // on the set the primary's current goes through the secondary as well: aiding, it adds to the set's
        let through = match part.across {
            Across::Set if part.boosts => duty.amps / (1.0 - part.aids()),
            _ => duty.amps,
        };
        let wanted = (CURRENT_MARGIN * through).max(held);
        // beyond the largest stock part the current objection speaks
        let amps = STOCK_AMPS.into_iter().find(|a| *a >= wanted).unwrap_or(part.amps);
        BuckingPart { amps, ..part }
    }
}

/// Every small transformer of stock, or each of the owner's, in either connection, bucking and boosting.
pub fn every_small(shelf: &Shelf, duty: &Duty) -> Vec<BuckingPart> {
    let ways = [Across::Outlet, Across::Set].into_iter().flat_map(|a| [(a, false), (a, true)]);
    let of = |(across, boosts)| {
        let mut way = Bucking::new(across, shelf);
        way.part.boosts = boosts;
        way.parts(duty)
    };
    ways.flat_map(of).collect()
}

/// Rated primary volts of the stock part for an outlet of `usual` volts: the nearest rating, of two the higher, of those
/// that bear `at_high` volts.
fn primary_for(usual: f64, at_high: f64) -> f64 {
    let bears = PRIMARIES.into_iter().rev().filter(|rated| at_high <= PRIMARY_SWING * rated);
    let far = |rated: &f64| (rated - usual).abs();
    bears.min_by(by(far)).unwrap_or(PRIMARIES[PRIMARIES.len() - 1])
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
        self.across.of(1.0 + self.aids(), 1.0)
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
        let parts = Wound {
            names: (kind, kind),
            volts: (self.primary, self.secondary),
            amps: self.amps,
            va: self.secondary * self.amps,
            regulation: self.regulation(),
            open: (self.primary_open, self.open),
            primary: (self.across.of(outlet, set), emf, neutral),
            copper: (outlet, inner),
            emf: if self.aids() > 0.0 { (set, inner) } else { (inner, set) },
            across: Probe::Volts(outlet, set),
        };
        Ok(Inserted::new(set, parts.insert(net)?))
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
        let what = match self.boosts {
            true => "regulation of the boosting transformer",
            false => "regulation of the bucking transformer",
        };
        tolerance(what, self.regulation())
    }
    fn varied(&self, _: usize, factor: f64) -> AnyPart {
        Box::new(BuckingPart { regulation_factor: self.regulation_factor * factor, ..*self })
    }
    fn current_range(&self) -> Option<(f64, f64)> {
        // judged against the current taken from the outlet
        Some((0.0, self.amps * self.line_per_secondary()))
    }
    fn larger(&self, _: usize) -> Option<AnyPart> {
        let amps = STOCK_AMPS.into_iter().find(|a| *a > self.amps)?;
        (self.stock && !self.own).then(|| BuckingPart { amps, ..*self }.copied())
    }
    fn own_primary_volts(&self) -> Option<f64> {
        Some(self.primary)
    }
    fn primary_across(&self, outlet_v: f64, set_v: f64) -> f64 {
        self.across.of(outlet_v, set_v)
    }
    fn miswired(&self) -> Vec<(Miswired, Option<AnyPart>)> {
        let other = self.across.of(Across::Set, Across::Outlet);
        let part = |across, reversed| Some(BuckingPart { across, reversed, ..*self }.copied());
        vec![
            (Miswired::SecondarySwapped, part(self.across, !self.reversed)),
            (Miswired::PrimaryOnOtherSide, part(other, self.reversed)),
            (Miswired::Both, part(other, !self.reversed)),
            (Miswired::WindingsSwapped, None),
        ]
    }
    fn failed(&self, how: Failure) -> Option<Failed> {
        let (bucking, boosting, part) = match how {
            Failure::Open => (
                "bucking secondary open",
                "boosting secondary open",
                BuckingPart { open: true, ..*self },
            ),
            Failure::PrimaryOpen => (
                "bucking primary open",
                "boosting primary open",
                BuckingPart { primary_open: true, ..*self },
            ),
            Failure::Reversed => (
                "bucking winding reversed",
                "boosting winding reversed",
                BuckingPart { reversed: !self.reversed, ..*self },
            ),
        };
        Some((if self.boosts { boosting } else { bucking }, part.copied()))
    }
}

impl Adaptation for Bucking {
    fn unknown(&self) -> Option<Unknown> {
        Some(Unknown {
            what: if self.part.boosts { Sought::Aiding } else { Sought::Secondary },
            unit: "V",
            low: 0.5,
            high: BUCKS_UP_TO * self.part.primary,
        })
    }
    fn exact(&self, value: f64, duty: &Duty) -> AnyPart {
        Box::new(self.sized(value, duty, false))
    }
    fn stock(&self, value: f64, duty: &Duty) -> Vec<AnyPart> {
        let mut list = self.parts(duty);
        let far = |part: &BuckingPart| (part.secondary - value).abs();
        list.sort_by(by(far));
        any(list.into_iter().take(2))
    }
}
