//! What stands between the outlet and the set.

use crate::circuit::{CircuitError, ElementId, Network, Node, Probe};

/// A part in the line cord whose heat is of interest.
#[derive(Debug, Clone)]
pub struct LeadPart {
    /// Name on reports.
    pub name: String,
    /// What it is.
    pub kind: PartKind,
    /// Volts across it.
    pub volts: Probe,
    /// Amperes through it.
    pub amps: Probe,
    /// Copper ohms, where the heat is that of a winding and not of `volts · amps`.
    pub copper_ohms: Option<f64>,
}

/// What drops volts in the lead or inside a set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PartKind {
    /// A part in the line cord.
    InLead,
    /// A resistor in the heater string.
    Resistor,
    /// Resistance wire in the line cord, with its length in m where known.
    Cord(Option<f64>),
    /// A ballast tube of resistance wire.
    Ballast,
    /// A barretter.
    Barretter,
    /// A capacitor in the heater string.
    Capacitor,
    /// The resistor ahead of it.
    Ahead,
    /// A diode in the heater string with its resistor.
    Diode,
    /// A resistor of a branch of the heater string, with the place of the branch.
    InBranch(usize),
    /// A resistor in a plate lead of the rectifier.
    Surge,
    /// The same of a second supply's rectifier.
    SecondSurge,
    /// The resistor that the set has in its line cord.
    MainsResistor,
}

/// What was put in: the node the set's primary now hangs on, and the parts.
#[derive(Debug, Clone, Default)]
pub struct Inserted {
    /// Live side of the set's primary.
    pub set: Node,
    /// Parts.
    pub parts: Vec<LeadPart>,
    /// Droppers inside the set: in its heater string, in its plate leads.
    pub inner: Vec<LeadPart>,
    /// How many of these, from the first, are being fitted.
    pub fitted_inside: usize,
}

impl Inserted {
    /// `parts` between the outlet and `set`, and nothing inside the set.
    pub fn new(set: Node, parts: Vec<LeadPart>) -> Inserted {
        Inserted { set, parts, ..Inserted::default() }
    }
}

/// Values inside a set that an adaptation changes; `None` leaves what the set has.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Inside {
    /// Resistor in series with the heater string, ohms, in place of the set's own.
    pub string_ohms: Option<f64>,
    /// Resistor in the rectifier's plate lead, ohms, in place of the set's own.
    pub surge_ohms: Option<f64>,
    /// Turns of the primary in circuit over those of the tap that the profile describes.
    pub primary_turns: Option<f64>,
    /// Whether a resistor that a repairer put into the line cord stays there: what is fitted takes its place.
    pub keeps_resistor: bool,
}

impl Inside {
    /// The set as it was found.
    pub const AS_FOUND: Inside =
        Inside { string_ohms: None, surge_ohms: None, primary_turns: None, keeps_resistor: true };
}

/// Something that can stand in the line cord: it adds its elements between the outlet and the set.
pub trait MainsLead {
    /// Adds the elements between `outlet` and `neutral` and returns the node that feeds the set; none unless it says
    /// otherwise.
    ///
    /// # Errors
    /// A value the circuit core refuses.
    fn insert(&self, _: &mut Network, outlet: Node, _: Node) -> Result<Inserted, CircuitError> {
        Ok(Inserted::new(outlet, vec![]))
    }

    /// What it changes inside the set.
    fn inside(&self) -> Inside {
        Inside::default()
    }
}

/// Nothing: the set as it is straight on the outlet.
#[derive(Debug, Clone, Copy, Default)]
pub struct Straight;

impl MainsLead for Straight {
    fn inside(&self) -> Inside {
        Inside::AS_FOUND
    }
}

/// What is put ahead of the set as it was found.
#[derive(Debug)]
pub struct AheadOf<L>(pub L);

impl<L: MainsLead> MainsLead for AheadOf<L> {
    fn insert(
        &self,
        net: &mut Network,
        outlet: Node,
        neutral: Node,
    ) -> Result<Inserted, CircuitError> {
        self.0.insert(net, outlet, neutral)
    }
    fn inside(&self) -> Inside {
        Inside { keeps_resistor: true, ..self.0.inside() }
    }
}

/// The set as its maker built it straight on the outlet, without a resistor that came later.
#[derive(Debug, Clone, Copy, Default)]
pub struct AsBuilt;

impl MainsLead for AsBuilt {}

/// Shorthand for a resistor's part entry.
pub fn resistor_part(name: &str, kind: PartKind, a: Node, b: Node, id: ElementId) -> LeadPart {
    LeadPart {
        name: name.to_owned(),
        kind,
        volts: Probe::Volts(a, b),
        amps: Probe::Amps(id),
        copper_ohms: None,
    }
}
