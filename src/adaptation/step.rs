//! A step-down (or step-up) transformer for a set made for quite another line.

use super::{Adaptation, Bought, Duty, OPEN_OHMS, Part, Tolerance, Unknown};
use crate::circuit::{CircuitError, Network, Node, Probe, Winding};
use crate::receiver::{Inserted, LeadPart, MainsLead};

/// Outlet over design line beyond which only a tap or such a transformer is looked at: a resistor would take as much as
/// the set, and a bucking winding would be as large as the transformer (assumed).
const FAR_OFF: (f64, f64) = (0.72, 1.4);
/// What is sold: primary and secondary volts (common practice, no source).
const STOCK: [(f64, f64); 8] = [
    (230.0, 110.0),
    (230.0, 115.0),
    (240.0, 120.0),
    (220.0, 110.0),
    (120.0, 220.0),
    (120.0, 230.0),
    (115.0, 230.0),
    (100.0, 200.0),
];
/// Sizes sold, VA (common practice, no source).
const SIZES: [f64; 8] = [25.0, 45.0, 75.0, 100.0, 150.0, 200.0, 300.0, 500.0];
/// VA of the transformer over those of the set, at the least: the set's current is peaky (common practice, no source).
const SIZE_MARGIN: f64 = 1.25;

/// Whether a set for `design` volts is too far from an outlet of `outlet` volts for anything in the lead but such a
/// transformer.
pub fn far_off(outlet: f64, design: f64) -> bool {
    !(FAR_OFF.0..=FAR_OFF.1).contains(&(outlet / design))
}

/// The transformer as an adaptation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Usual outlet volts.
    pub outlet: f64,
    /// Design line.
    pub design_line: f64,
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
    /// Multiplier on the assumed regulation, for "what if".
    pub regulation_factor: f64,
    /// True if a winding is open.
    pub open: bool,
}

impl StepPart {
    /// Rise of the secondary from rated load to none, as a share: as that of a bucking transformer's, by size.
    pub fn regulation(&self) -> f64 {
        super::bucking::regulation(self.va) * self.regulation_factor
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
        let ratio = self.secondary * (1.0 + self.regulation()) / self.primary;
        let amps = self.va / self.secondary;
        // half of the regulation in each winding's copper, referred to the secondary
        let copper = 0.5 * self.regulation() * self.secondary / amps;
        let first_ohms = copper / (ratio * ratio);
        let path = if self.open { OPEN_OHMS } else { copper };
        let first = net.resistor("step primary copper", outlet, emf, first_ohms)?;
        let second = net.resistor("step secondary copper", inner, set, path)?;
        super::bucking::core(net, "step", emf, neutral, self.primary, self.va)?;
        net.transformer(
            "step transformer",
            vec![
                Winding { start: emf, end: neutral, turns: 1.0 },
                Winding { start: inner, end: neutral, turns: ratio },
            ],
        )?;
        let part = |name: &str, volts, amps, ohms| LeadPart {
            name: name.to_owned(),
            volts,
            amps,
            copper_ohms: Some(ohms),
        };
        let (out, fed) = (Probe::Volts(set, neutral), Probe::Volts(outlet, neutral));
        let parts = vec![
            part("transformer secondary", out, Probe::Amps(second), copper),
            part("transformer primary", fed, Probe::Amps(first), first_ohms),
        ];
        Ok(Inserted::new(set, parts))
    }
}

impl Part for StepPart {
    fn bought(&self) -> Bought {
        Bought::ware(format!("{} V to {} V, {} VA", self.primary, self.secondary, self.va))
    }
    fn value(&self) -> f64 {
        self.secondary
    }
    fn tolerances(&self) -> Vec<Tolerance> {
        vec![Tolerance {
            what: "regulation of the transformer",
            value: format!("{:.0} %", 100.0 * self.regulation()),
            rule: "20 % at 6 VA, falling with the cube root of size (8 to 20 %† is usual)",
            spread: 0.4,
        }]
    }
    fn varied(&self, _: usize, factor: f64) -> Box<dyn Part> {
        Box::new(StepPart { regulation_factor: self.regulation_factor * factor, ..*self })
    }
    fn current_range(&self) -> Option<(f64, f64)> {
        // judged against the current taken from the outlet
        Some((0.0, self.va / self.primary))
    }
    fn larger(&self, _: usize) -> Option<Box<dyn Part>> {
        let va = SIZES.into_iter().find(|va| *va > self.va)?;
        Some(Box::new(StepPart { va, ..*self }))
    }
    fn own_primary_volts(&self) -> Option<f64> {
        Some(self.primary)
    }
    fn primary_across(&self, outlet_v: f64, _: f64) -> f64 {
        outlet_v
    }
    fn unloaded_v(&self, outlet_v: f64) -> Option<f64> {
        Some(outlet_v * self.secondary * (1.0 + self.regulation()) / self.primary)
    }
    fn opened(&self) -> Option<(&'static str, Box<dyn Part>)> {
        Some(("transformer winding open", Box::new(StepPart { open: true, ..*self })))
    }
}

impl Adaptation for Step {
    fn unknown(&self) -> Option<Unknown> {
        None
    }
    fn value_unit(&self) -> Option<&'static str> {
        Some("V")
    }
    fn caveat(&self) -> Option<&'static str> {
        Some(
            "most that are sold are autotransformers, which isolate nothing: what is said of a live chassis stands",
        )
    }
    fn exact(&self, _: f64, duty: &Duty) -> Box<dyn Part> {
        let set_va = duty.amps * self.design_line * self.design_line / self.outlet;
        Box::new(StepPart {
            primary: self.outlet,
            secondary: self.design_line,
            va: size_for(set_va),
            regulation_factor: 1.0,
            open: false,
        })
    }
    fn stock(&self, _: f64, duty: &Duty) -> Vec<Box<dyn Part>> {
        // straight on the outlet the set takes as much more or less current as the volts are off
        let va = size_for(duty.amps * self.design_line * self.design_line / self.outlet);
        let miss = |(p, s): (f64, f64)| (self.outlet * s / p / self.design_line).ln().abs();
        let mut list: Vec<(f64, f64)> = STOCK
            .into_iter()
            .filter(|(p, s)| (s > p) == (self.design_line > self.outlet))
            .filter(|(p, _)| (0.9..=1.1).contains(&(self.outlet / p)))
            .collect();
        list.sort_by(|a, b| miss(*a).total_cmp(&miss(*b)));
        list.into_iter()
            .take(3)
            .map(|(primary, secondary)| -> Box<dyn Part> {
                Box::new(StepPart { primary, secondary, va, regulation_factor: 1.0, open: false })
            })
            .collect()
    }
}

fn size_for(set_va: f64) -> f64 {
    SIZES
        .into_iter()
        .find(|va| *va >= SIZE_MARGIN * set_va)
        // beyond the largest the current objection speaks
        .unwrap_or(SIZES[SIZES.len() - 1])
}
