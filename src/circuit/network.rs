//! The network: named nodes and the elements between them.
//!
//! All values are plain `f64` in SI units; the floors above speak in `uom` types.

use super::{
    error::CircuitError,
    law::{Harmonic, Iron, Law, Wave},
};
use std::{fmt::Display, sync::Arc};

/// A node of the network. Node 0 is the reference ("chassis" in a receiver).
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub struct Node(pub(super) usize);

/// The reference node, at 0 V.
pub const REFERENCE: Node = Node(0);

/// Handle of an element whose current can be asked for.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub struct ElementId(pub(super) usize);

/// A winding of an ideal transformer: from `start` to `end`, `turns` per volt of common EMF.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Winding {
    /// Dotted end.
    pub start: Node,
    /// Other end.
    pub end: Node,
    /// Turns, in any unit shared by the windings of one transformer.
    pub turns: f64,
}

/// A weighted sum of node voltages (control) or a share of a current by node (injection).
pub type Weights = Vec<(Node, f64)>;

/// What an element is: its nodes, then its value in SI units.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// Ohms.
    Resistor(Node, Node, f64),
    /// Farads.
    Capacitor(Node, Node, f64),
    /// Henries.
    Inductor(Node, Node, f64),
    /// A winding on iron.
    Iron(Node, Node, Iron),
    /// A source of volts.
    Voltage(Node, Node, Wave),
    /// A source of amperes.
    Current(Node, Node, f64),
    /// Its windings.
    Transformer(Vec<Winding>),
    /// A linear controlled current.
    Controlled {
        /// Amperes without control.
        constant: f64,
        /// Siemens by node.
        control: Weights,
        /// Shares by node.
        leaves: Weights,
    },
    /// A nonlinear branch.
    Nonlinear {
        /// How its current follows its control.
        law: Law,
        /// Shares of its control voltage by node.
        control: Weights,
        /// Shares of its current by node.
        leaves: Weights,
    },
}

#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    pub name: Arc<str>,
    pub kind: Kind,
}

/// The element that was added, or the error of a value that it cannot have.
type Added = Result<ElementId, CircuitError>;

/// Room that spares most sets from moving their elements while they are listed.
const USUAL_ELEMENTS: usize = 64;

/// A network of elements between named nodes, run from sine sources of one frequency.
#[derive(Debug, Clone)]
pub struct Network {
    frequency: f64,
    names: Arc<Vec<String>>,
    pub(super) harmonics: Vec<Harmonic>,
    pub(super) elements: Arc<Vec<Element>>,
    /// Elements of a network put together in the same way, whose names serve here too.
    alike: Option<Arc<Vec<Element>>>,
}

impl Network {
    /// An empty network for sources of `frequency` hertz; its reference node is called `reference`.
    ///
    /// # Errors
    /// A frequency that is not a positive finite number.
    pub fn new(frequency: f64, reference: &str) -> Result<Self, CircuitError> {
        positive(&"line", frequency, "Hz")?;
        Ok(Network {
            frequency,
            names: Arc::new(vec![reference.to_owned()]),
            harmonics: Vec::new(),
            elements: Arc::new(Vec::with_capacity(USUAL_ELEMENTS)),
            alike: None,
        })
    }

    /// Takes the names of its elements from `before`, which must have been put together in the same order: thousands of
    /// networks differ in values only, and a name is read when something is wrong.
    pub fn named_as(&mut self, before: &Network) {
        self.alike = Some(Arc::clone(&before.elements));
    }

    /// Source frequency in hertz.
    pub fn frequency(&self) -> f64 {
        self.frequency
    }

    /// The node of that name, made on first use.
    pub fn node(&mut self, name: &str) -> Node {
        self.find(name).unwrap_or_else(|| {
            let names = Arc::make_mut(&mut self.names);
            names.push(name.to_owned());
            Node(names.len() - 1)
        })
    }

    /// The node of that name, if it exists.
    pub fn find(&self, name: &str) -> Option<Node> {
        // a set has some thirty: sooner read through than hashed
        self.names.iter().position(|n| n == name).map(Node)
    }

    /// The name of a node.
    pub fn name(&self, node: Node) -> &str {
        self.names.get(node.0).map_or("?", String::as_str)
    }

    /// A group for each node, that of the node alone, for [`join`].
    pub(super) fn groups(&self) -> Vec<usize> {
        (0..self.node_count()).collect()
    }

    /// Number of nodes, the reference included.
    pub fn node_count(&self) -> usize {
        self.names.len()
    }

    /// Its elements, in the order in which they were added.
    pub fn elements(&self) -> impl Iterator<Item = (ElementId, &Kind)> {
        self.elements.iter().enumerate().map(|(place, element)| (ElementId(place), &element.kind))
    }

    fn push(&mut self, name: impl Display, kind: Kind) -> ElementId {
        let elements = Arc::make_mut(&mut self.elements);
        let alike = self.alike.as_ref().and_then(|alike| alike.get(elements.len()));
        let name = alike.map_or_else(|| name.to_string().into(), |e| Arc::clone(&e.name));
        elements.push(Element { name, kind });
        ElementId(elements.len() - 1)
    }

    /// A resistor of `ohms` (positive, finite).
    ///
    /// # Errors
    /// A value that is not positive and finite; leave a zero resistor out and join its nodes.
    pub fn resistor(&mut self, name: impl Display, a: Node, b: Node, ohms: f64) -> Added {
        positive(&name, ohms, "Ω")?;
        Ok(self.push(name, Kind::Resistor(a, b, ohms)))
    }

    /// A capacitor of `farads` (positive, finite).
    ///
    /// # Errors
    /// A value that is not positive and finite.
    pub fn capacitor(&mut self, name: impl Display, a: Node, b: Node, farads: f64) -> Added {
        positive(&name, farads, "F")?;
        Ok(self.push(name, Kind::Capacitor(a, b, farads)))
    }

    /// An inductor of `henries` (positive, finite); its current runs from `a` to `b`.
    ///
    /// # Errors
    /// A value that is not positive and finite.
    pub fn inductor(&mut self, name: impl Display, a: Node, b: Node, henries: f64) -> Added {
        positive(&name, henries, "H")?;
        Ok(self.push(name, Kind::Inductor(a, b, henries)))
    }

    /// The winding of an iron core from `a` to `b`: its flux linkage follows the volts across it, its current the flux.
    ///
    /// # Errors
    /// A linear part or inductance without iron that is not positive and finite, a steep part that is negative, an
    /// exponent below 2, or a law that is steeper at rest than the straight line it is to end in.
    pub fn iron(&mut self, name: impl Display, a: Node, b: Node, iron: Iron) -> Added {
        positive(&name, iron.linear, "A/(V·s)")?;
        if iron.power != 0.0 {
            positive(&name, iron.power, "A/(V·s)^n")?;
            positive(&name, f64::from(iron.exponent) - 1.0, "above an exponent of 1")?;
            positive(&name, iron.air_henries, "H")?;
            positive(&name, 1.0 / iron.air_henries - iron.linear, "A/(V·s) over the linear part")?;
        }
        Ok(self.push(name, Kind::Iron(a, b, iron)))
    }

    /// The one shape that every [`Wave::Distorted`] source follows; without it they are sines.
    ///
    /// # Errors
    /// Shares or phases that are not finite.
    pub fn distort(&mut self, harmonics: &[Harmonic]) -> Result<(), CircuitError> {
        for h in harmonics {
            finite(&"line", h.share + h.phase, "of the fundamental")?;
        }
        self.harmonics = harmonics.to_vec();
        Ok(())
    }

    /// An ideal voltage source holding `a` above `b`. Its current is counted from `a` through the
    /// source to `b`, so a source that delivers power has a negative current.
    ///
    /// # Errors
    /// Volts that are not finite.
    pub fn voltage(&mut self, name: impl Display, a: Node, b: Node, wave: Wave) -> Added {
        let volts = match wave {
            Wave::Sine { peak, phase } | Wave::Distorted { peak, phase } => peak + phase,
            Wave::Constant(volts) => volts,
        };
        finite(&name, volts, "V")?;
        Ok(self.push(name, Kind::Voltage(a, b, wave)))
    }

    /// A constant current of `amperes` drawn from `a` and delivered to `b`.
    ///
    /// # Errors
    /// A current that is not finite.
    pub fn current(&mut self, name: impl Display, a: Node, b: Node, amperes: f64) -> Added {
        finite(&name, amperes, "A")?;
        Ok(self.push(name, Kind::Current(a, b, amperes)))
    }

    /// An ideal transformer: all windings share one EMF per turn and their ampere-turns sum to zero.
    /// Winding currents are counted into `start`.
    ///
    /// # Errors
    /// A winding whose turns are not positive and finite.
    pub fn transformer(&mut self, name: impl Display, windings: Vec<Winding>) -> Added {
        for winding in &windings {
            positive(&name, winding.turns.abs(), "turns")?;
        }
        Ok(self.push(name, Kind::Transformer(windings)))
    }

    /// A linear controlled current `constant + Σ g·v` taken out of the nodes by the shares in
    /// `leaves` (shares of a branch between two nodes are +1 and −1).
    ///
    /// # Errors
    /// A constant or weight that is not finite.
    pub fn controlled(
        &mut self,
        name: impl Display,
        constant: f64,
        control: Weights,
        leaves: Weights,
    ) -> Added {
        finite(&name, constant, "A")?;
        for (_, weight) in control.iter().chain(&leaves) {
            finite(&name, *weight, "S")?;
        }
        Ok(self.push(name, Kind::Controlled { constant, control, leaves }))
    }

    /// A nonlinear branch: its current follows `law` of the control voltage `Σ weight·v` and is taken
    /// out of the nodes by the shares in `leaves`.
    ///
    /// # Errors
    /// Law parameters or weights that are not finite, or a law that could not conduct.
    pub fn nonlinear(
        &mut self,
        name: impl Display,
        law: Law,
        control: Weights,
        leaves: Weights,
    ) -> Added {
        match law {
            Law::ThreeHalves { perveance, offset } => {
                positive(&name, perveance, "A/V^1.5")?;
                finite(&name, offset, "V")?;
            }
            Law::Limited { perveance, limit } => {
                positive(&name, perveance, "A/V^1.5")?;
                positive(&name, limit, "A")?;
            }
            Law::Power { factor, exponent, bend } => {
                positive(&name, factor, "A/V^n")?;
                positive(&name, f64::from(exponent), "(exponent)")?;
                positive(&name, bend.min(f64::MAX), "V")?;
            }
            Law::Drop { volts, resistance } => {
                finite(&name, volts, "V")?;
                positive(&name, resistance, "Ω")?;
            }
            Law::Junction { threshold, spread, resistance } => {
                finite(&name, threshold, "V")?;
                positive(&name, spread, "V")?;
                positive(&name, resistance, "Ω")?;
            }
        }
        for (_, weight) in control.iter().chain(&leaves) {
            finite(&name, *weight, "(weight)")?;
        }
        Ok(self.push(name, Kind::Nonlinear { law, control, leaves }))
    }

    /// A rectifier plate: a nonlinear two-terminal branch from `plate` to `cathode`.
    ///
    /// # Errors
    /// As [`Network::nonlinear`].
    pub fn rectifier(&mut self, name: impl Display, plate: Node, cathode: Node, law: Law) -> Added {
        let between = vec![(plate, 1.0), (cathode, -1.0)];
        self.nonlinear(name, law, between.clone(), between)
    }
}

/// Makes one of the groups of two nodes, by the lower number of both.
pub fn join(groups: &mut [usize], a: Node, b: Node) {
    let (a, b) = (groups[a.0], groups[b.0]);
    if a != b {
        let (low, high) = (a.min(b), a.max(b));
        groups.iter_mut().filter(|group| **group == high).for_each(|group| *group = low);
    }
}

fn positive(name: &dyn Display, value: f64, unit: &'static str) -> Result<(), CircuitError> {
    match value > 0.0 {
        true => finite(name, value, unit),
        false => Err(CircuitError::BadValue { element: name.to_string(), value, unit }),
    }
}

fn finite(name: &dyn Display, value: f64, unit: &'static str) -> Result<(), CircuitError> {
    match value.is_finite() {
        true => Ok(()),
        false => Err(CircuitError::BadValue { element: name.to_string(), value, unit }),
    }
}
