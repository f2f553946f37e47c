//! A step-down (or step-up) transformer with separate windings, for a set made for quite another line.

use super::{
    Bought,
    part::{Adaptation, AnyPart, Copied, Duty, Failed, Failure, Miswired, Part, Tolerance, any},
    transformer::{Wound, regulation, tolerance},
};
use crate::{
    circuit::{CircuitError, Network, Node, Probe},
    quantity::by,
    receiver::{Inserted, MainsLead},
};

/// Outlet over design line beyond which only a tap or such a transformer is looked at: a resistor would take as much as
/// the set, and a bucking winding would be as large as the transformer (assumed).
const FAR_OFF: (f64, f64) = (0.72, 1.4);
/// Outlet over design line outside of which such a transformer is looked at: a fifth too much is beyond every published
/// tolerance of heaters, and below nine tenths nothing else here raises the volts.
const LOOKED_AT: (f64, f64) = (0.90, 1.20);
/// What is made, higher and lower volts; turned round, the same steps up (common practice, no source).
const MADE: [(f64, f64); 9] = [
    (230.0, 115.0),
    (230.0, 110.0),
    (230.0, 100.0),
    (240.0, 120.0),
    (240.0, 110.0),
    (220.0, 110.0),
    (200.0, 100.0),
    (120.0, 100.0),
    (117.0, 100.0),
];
/// Sizes made, VA (common practice, no source).
const SIZES: [f64; 11] =
    [25.0, 50.0, 75.0, 100.0, 150.0, 200.0, 300.0, 500.0, 750.0, 1000.0, 1500.0];
/// VA of the transformer over the set's watts, at the least: its current is peaky, and a half-wave supply puts DC through
/// the winding (common practice, no source).
pub const SIZE_MARGIN: f64 = 2.0;
/// Ratios this near, as a share, are one.
const ALIKE: f64 = 0.01;
/// Ratings that are compared.
const COMPARED: usize = 3;

/// Whether a set for `design` volts is too far from an outlet of `outlet` volts for anything in the lead but such a
/// transformer.
pub fn far_off(outlet: f64, design: f64) -> bool {
    !(FAR_OFF.0..=FAR_OFF.1).contains(&(outlet / design))
}

/// Whether such a transformer is looked at between them.
pub fn looked_at(outlet: f64, design: f64) -> bool {
    !(LOOKED_AT.0..LOOKED_AT.1).contains(&(outlet / design))
}

/// The transformer as an adaptation.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Usual outlet volts.
    pub outlet: f64,
    /// Design line.
    pub design_line: f64,
    /// Usual volts at the set's primary that its iron bears.
    pub most: f64,
    /// The owner's own: primary V, secondary V, VA. Empty: what is made.
    pub own: Vec<(f64, f64, f64)>,
}

/// A transformer of stock, between the outlet and the set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepPart {
    /// Rated primary volts.
    pub primary: f64,
    /// Rated secondary volts at rated load.
    pub secondary: f64,
    /// Size, VA.
    pub va: f64,
    /// True for a part the owner has: no larger one is to be had.
    pub own: bool,
    /// Multiplier on the assumed regulation, for "what if".
    pub regulation_factor: f64,
    /// True if a winding is open.
    pub open: bool,
}

impl StepPart {
    fn new((primary, secondary): (f64, f64), va: f64, own: bool) -> StepPart {
        StepPart { primary, secondary, va, own, regulation_factor: 1.0, open: false }
    }

    /// Rise of the secondary from rated load to none, as a share: as that of a bucking transformer's, by size.
    pub fn regulation(&self) -> f64 {
        regulation(self.va) * self.regulation_factor
    }
}

impl MainsLead for StepPart {
    fn insert(
        &self,
        net: &mut Network,
        outlet: Node,
        neutral: Node,
    ) -> Result<Inserted, CircuitError> {
        let (emf, inner) = (net.node("step EMF"), net.node("inside the step winding"));
        let set = net.node("behind the step transformer");
        let parts = Wound {
            names: ("step", "transformer"),
            volts: (self.primary, self.secondary),
            amps: self.va / self.secondary,
            va: self.va,
            regulation: self.regulation(),
            open: (false, self.open),
            primary: (outlet, emf, neutral),
            // the windings are separate; one end of each is the reference, which moves no volts within either side
            copper: (inner, set),
            emf: (inner, neutral),
            across: Probe::Volts(set, neutral),
        };
        Ok(Inserted::new(set, parts.insert(net)?))
    }
}

impl Part for StepPart {
    fn bought(&self) -> Bought {
        let down = self.secondary < self.primary;
        let kind = if down { "step-down transformer" } else { "step-up transformer" };
        Bought::ware(format!(
            "{kind}, separate windings, {} V to {} V, {} VA",
            self.primary, self.secondary, self.va
        ))
    }
    fn value(&self) -> f64 {
        self.secondary
    }
    fn va(&self) -> Option<f64> {
        Some(self.va)
    }
    fn tolerances(&self) -> Vec<Tolerance> {
        tolerance("regulation of the transformer", self.regulation())
    }
    fn varied(&self, _: usize, factor: f64) -> AnyPart {
        Box::new(StepPart { regulation_factor: self.regulation_factor * factor, ..*self })
    }
    fn current_range(&self) -> Option<(f64, f64)> {
        // judged against the current taken from the outlet
        Some((0.0, self.va / self.primary))
    }
    fn larger(&self, _: usize) -> Option<AnyPart> {
        let va = SIZES.into_iter().find(|va| *va > self.va && !self.own)?;
        Some(Box::new(StepPart { va, ..*self }))
    }
    fn own_primary_volts(&self) -> Option<f64> {
        Some(self.primary)
    }
    fn primary_across(&self, outlet_v: f64, _: f64) -> f64 {
        outlet_v
    }
    fn miswired(&self) -> Vec<(Miswired, Option<AnyPart>)> {
        vec![(Miswired::WindingsSwapped, None)]
    }
    fn failed(&self, how: Failure) -> Option<Failed> {
        let open = || StepPart { open: true, ..*self }.copied();
        (how == Failure::Open).then(|| ("transformer winding open", open()))
    }
}

impl Step {
    /// The smallest size that is at least [`SIZE_MARGIN`] times the set's watts behind a ratio: these go with the square
    /// of the volts at most. `duty` has them on the design line at a line as high as it gets.
    fn size(&self, duty: &Duty, (primary, secondary): (f64, f64)) -> f64 {
        let volts = duty.outlet * secondary / primary / self.design_line;
        let wanted = SIZE_MARGIN * duty.watts * volts * volts;
        // beyond the largest the size objection speaks
        SIZES.into_iter().find(|va| *va >= wanted).unwrap_or(SIZES[SIZES.len() - 1])
    }
}

impl Adaptation for Step {
    fn value_unit(&self) -> Option<&'static str> {
        Some("V")
    }
    fn caveat(&self) -> Option<&'static str> {
        Some(
            "separate windings only: an autotransformer or a converter for travellers leaves the set joined to the outlet",
        )
    }
    fn exact(&self, _: f64, duty: &Duty) -> AnyPart {
        let ratio = (self.outlet, self.design_line);
        Box::new(StepPart::new(ratio, self.size(duty, ratio), false))
    }
    fn stock(&self, _: f64, duty: &Duty) -> Vec<AnyPart> {
        let down = self.design_line < self.outlet;
        let made = MADE.into_iter().map(|(high, low)| if down { (high, low) } else { (low, high) });
        let mut list: Vec<StepPart> =
            self.own.iter().map(|(p, s, va)| StepPart::new((*p, *s), *va, true)).collect();
        if list.is_empty() {
            list = made.map(|ratio| StepPart::new(ratio, self.size(duty, ratio), false)).collect();
        }
        list.retain(|p| (0.9..=1.1).contains(&(self.outlet / p.primary)));
        let ratio = |p: &StepPart| p.secondary / p.primary;
        let miss = |p: &StepPart| (self.outlet * ratio(p) / self.design_line).ln().abs();
        // of equal ratios the one made for this outlet
        let foreign = |p: &StepPart| (self.outlet / p.primary).ln().abs();
        list.sort_by(by(foreign));
        let mut told: Vec<f64> = Vec::new();
        list.retain(|p| {
            let new = told.iter().all(|other| (ratio(p) / other - 1.0).abs() > ALIKE);
            told.push(ratio(p));
            new
        });
        list.sort_by(by(miss));
        // iron comes before heaters: where none fits it, the lowest volts do the least
        let gives =
            |p: &StepPart| self.outlet * p.secondary / p.primary * (1.0 + 0.5 * p.regulation());
        let bears: Vec<StepPart> = list.iter().copied().filter(|p| gives(p) <= self.most).collect();
        if bears.is_empty() {
            list.sort_by(by(gives));
            list.truncate(1);
        } else {
            list = bears;
        }
        any(list.into_iter().take(COMPARED))
    }
}
