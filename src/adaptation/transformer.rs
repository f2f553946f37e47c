//! A small transformer that is bought: its regulation, its copper, its core.

use super::{OPEN_OHMS, part::Tolerance};
use crate::{
    circuit::{CircuitError, Network, Node, Probe, Winding},
    receiver::{LeadPart, PartKind, iron},
};

/// Regulation of a small transformer of `va`, as a share of rated volts.
pub fn regulation(va: f64) -> f64 {
    (0.2 * (6.0 / va).cbrt()).clamp(0.05, 0.25)
}

/// No-load watts of a transformer that is bought, over its VA: a tenth up to 20 VA, and less with the cube root of size, as
/// its regulation is (3.4 % at 500 VA; common practice, no source).
fn idle_share(va: f64) -> f64 {
    0.1 * (20.0 / va).cbrt().min(1.0)
}

/// What is uncertain about one.
pub fn tolerance(what: &'static str, regulation: f64) -> Vec<Tolerance> {
    vec![Tolerance {
        what,
        value: format!("{:.0} %", 100.0 * regulation),
        rule: "20 % at 6 VA, falling with the cube root of size (8 to 20 %† is usual)",
        spread: 0.4,
    }]
}

/// A transformer as it is wound and joined.
pub struct Wound<'n> {
    /// What its elements are called, and its windings on reports.
    pub names: (&'n str, &'n str),
    /// Rated volts of primary and secondary.
    pub volts: (f64, f64),
    /// Rated amperes of the secondary.
    pub amps: f64,
    /// Size, VA.
    pub va: f64,
    /// Rise of the secondary from rated load to none, as a share.
    pub regulation: f64,
    /// Whether primary and secondary are open.
    pub open: (bool, bool),
    /// What feeds the primary, its EMF behind its copper, and its other end.
    pub primary: (Node, Node, Node),
    /// The ends of the secondary's copper.
    pub copper: (Node, Node),
    /// The ends of its EMF, in phase with the primary's.
    pub emf: (Node, Node),
    /// Volts across the secondary with its copper.
    pub across: Probe,
}

impl Wound<'_> {
    /// Adds it, and returns its windings, the secondary first.
    ///
    /// # Errors
    /// A value the circuit core refuses.
    pub fn insert(self, net: &mut Network) -> Result<Vec<LeadPart>, CircuitError> {
        let ((name, shown), (fed, emf, neutral)) = (self.names, self.primary);
        let ratio = self.volts.1 * (1.0 + self.regulation) / self.volts.0;
        // half of the regulation in each winding's copper, referred to the secondary
        let copper = 0.5 * self.regulation * self.volts.1 / self.amps;
        let first_ohms = copper / (ratio * ratio);
        let path = |open, ohms| if open { OPEN_OHMS } else { ohms };
        let first = path(self.open.0, first_ohms);
        let first = net.resistor(format_args!("{name} primary copper"), fed, emf, first)?;
        let (from, to) = self.copper;
        let second = path(self.open.1, copper);
        let second = net.resistor(format_args!("{name} secondary copper"), from, to, second)?;
        self.core(net)?;
        net.transformer(
            format_args!("{name} transformer"),
            vec![
                Winding { start: emf, end: neutral, turns: 1.0 },
                Winding { start: self.emf.0, end: self.emf.1, turns: ratio },
            ],
        )?;
        let part = |winding: &str, volts, id, ohms| LeadPart {
            kind: PartKind::InLead,
            name: format!("{shown} {winding}"),
            volts,
            amps: Probe::Amps(id),
            copper_ohms: Some(ohms),
        };
        Ok(vec![
            part("secondary", self.across, second, copper),
            part("primary", Probe::Volts(fed, neutral), first, first_ohms),
        ])
    }

    /// Its core behind the primary's copper, its no-load watts at a power factor of 0.4 (common practice, no source), its
    /// knee that of a set's iron, at its rated volts on the outlet's frequency.
    fn core(&self, net: &mut Network) -> Result<(), CircuitError> {
        let (name, (_, emf, neutral), primary) = (self.names.0, self.primary, self.volts.0);
        let watts = idle_share(self.va) * self.va;
        let loss = primary * primary / watts;
        net.resistor(format_args!("{name} core loss"), emf, neutral, loss)?;
        let reactive = watts * (1.0_f64 / (0.4 * 0.4) - 1.0).sqrt();
        let crest = iron::flux(primary, net.frequency());
        let law = iron::law(reactive / primary, crest, iron::KNEE, iron::EXPONENT);
        net.iron(format_args!("{name} magnetizing current"), emf, neutral, law)?;
        Ok(())
    }
}
