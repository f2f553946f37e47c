//! Where to measure in the network of a set.

use crate::{
    circuit::{ElementId, Node, REFERENCE},
    receiver::{Inserted, Marked, Spot},
};

/// Where to measure: nodes and elements of the network by what they are. The names there are for people.
#[derive(Debug, Clone, Default)]
pub struct Points {
    /// The outlet as a source.
    pub line: ElementId,
    /// Live side of the outlet.
    pub outlet: Node,
    /// Its other side: chassis, unless something stands between them.
    pub neutral: Node,
    /// What stands in the lead.
    pub inserted: Inserted,
    /// Where the design line stood: behind a resistor in the line cord that came later.
    pub as_built: Node,
    /// What the set's whole current flows through: the primary's copper, or an ammeter without loss.
    pub primary: ElementId,
    /// Copper of each winding of the power transformer, with its ohms; none in a set without one.
    pub copper: Vec<(ElementId, f64)>,
    /// What stands for the loss in its iron, with its ohms.
    pub core_loss: Option<(ElementId, f64)>,
    /// Its magnetizing branch.
    pub magnetizing: Option<ElementId>,
    /// Turns of the primary in circuit over those of the tap that the profile describes.
    pub primary_turns: f64,
    /// Heater terminals of each winding, or of each link of a heater string.
    pub windings: Vec<(Node, Node)>,
    /// Resistors in the plate leads of the rectifier.
    pub surge: Vec<ElementId>,
    /// The rectifier's diodes that feed the positive rail.
    pub plates: Vec<Diode>,
    /// Its other diodes, between negative rail and plate: those of a bridge or a doubler.
    pub returns: Vec<Diode>,
    /// Terminals of the high-voltage winding (of its first half where it has a center tap), or what feeds the
    /// rectifier of a set without a transformer.
    pub high_voltage: (Node, Node),
    /// Both outer terminals of a winding with a center tap.
    pub outer_ends: Option<(Node, Node)>,
    /// Center tap of the high-voltage winding, or the negative end of the supply without one.
    pub centre: Node,
    /// Rectifier cathode or filament.
    pub rectifier_cathode: Node,
    /// Capacitors of the supplies: those of a doubler, those of the filter, those of a second supply.
    pub capacitors: Vec<Placed>,
    /// Leakage of every capacitor of the supplies: nothing an ohmmeter should find in good ones.
    pub leakage: Vec<ElementId>,
    /// Ends of each part of the filter, in the model's order.
    pub filter: Vec<(Node, Node)>,
    /// Coils: positive end, negative end, copper.
    pub coils: Vec<(Node, Node, ElementId)>,
    /// B+.
    pub b_plus: Node,
    /// Positive side of the first filter capacitor.
    pub reservoir: Node,
    /// Points of each divider, from its upper end to its lower, both with it.
    pub dividers: Vec<Vec<Node>>,
    /// Divider taps by `divider.tap`.
    pub taps: Vec<(String, Node)>,
    /// Tubes that draw B+ current.
    pub tubes: Vec<TubeNodes>,
    /// Output of the bias supply.
    pub c_minus: Option<Node>,
    /// Terminals of its winding.
    pub bias_winding: Option<(Node, Node)>,
    /// The second supply.
    pub second: Option<SecondPoints>,
}

/// Where to measure in a second supply.
#[derive(Debug, Clone)]
pub struct SecondPoints {
    /// The diodes that feed it.
    pub plates: Vec<Diode>,
    /// The others of a bridge.
    pub returns: Vec<Diode>,
    /// Terminals of its winding, or of its first half; without one what feeds its rectifier.
    pub high_voltage: (Node, Node),
    /// Both outer terminals of a winding with a center tap.
    pub outer_ends: Option<(Node, Node)>,
    /// The first resistor in its plate leads.
    pub surge: Option<ElementId>,
    /// Its rectifier's cathode.
    pub cathode: Node,
    /// Place of its first capacitor among all.
    pub capacitors_from: usize,
    /// Positive side of that.
    pub reservoir: Node,
    /// Its output, B2+.
    pub b_plus: Node,
}

impl Points {
    /// The node of a supply point, by the name that profiles give it.
    pub fn supply(&self, name: &str) -> Option<Node> {
        match name {
            "chassis" => Some(REFERENCE),
            "B+" => Some(self.b_plus),
            "reservoir" => Some(self.reservoir),
            "field_coil" | "B-" => Some(self.centre),
            "C-" => self.c_minus,
            "B2+" => self.second.as_ref().map(|second| second.b_plus),
            "reservoir2" => self.second.as_ref().map(|second| second.reservoir),
            tap => self.taps.iter().find(|(name, _)| name == tap).map(|(_, node)| *node),
        }
    }

    /// The same; names were checked when the profile was read, and an unknown one is chassis.
    pub(super) fn named(&self, name: &str) -> Node {
        self.supply(name).unwrap_or(REFERENCE)
    }

    /// Name of a capacitor on reports.
    pub fn capacitor_name(&self, place: usize) -> String {
        let own = self.second.as_ref().is_some_and(|second| place >= second.capacitors_from);
        format!("filter capacitor {}{}", place + 1, if own { " (B2+)" } else { "" })
    }

    /// The node of a spot.
    pub fn spot(&self, spot: &Spot) -> Option<Node> {
        match spot {
            Spot::Supply(name) => self.supply(name),
            Spot::Divider(divider, below) => self.dividers.get(*divider)?.get(*below).copied(),
            Spot::Plate(tube) => Some(self.tubes.get(*tube)?.plate),
            Spot::Screen(tube) => self.tubes.get(*tube)?.screen,
            Spot::Cathode(tube) => Some(self.tubes.get(*tube)?.cathode),
        }
    }
}

/// A diode in place.
#[derive(Debug, Clone, Copy)]
pub struct Diode {
    /// Plate.
    pub plate: Node,
    /// Cathode.
    pub cathode: Node,
    /// The element, from plate to cathode.
    pub id: ElementId,
}

/// A filter capacitor in place.
#[derive(Debug, Clone, Copy)]
pub struct Placed {
    /// Positive side.
    pub positive: Node,
    /// Negative side.
    pub negative: Node,
    /// Value, F.
    pub farads: f64,
    /// What is marked on it.
    pub marked: Marked,
}

/// A tube's nodes and controlled currents.
#[derive(Debug, Clone)]
pub struct TubeNodes {
    /// Plate.
    pub plate: Node,
    /// Screen.
    pub screen: Option<Node>,
    /// Cathode.
    pub cathode: Node,
    /// Node whose average is the grid's voltage; `None` for a fixed voltage.
    pub grid: Option<Node>,
    /// Ends of the resistor that feeds the plate.
    pub plate_feed: Option<(Node, Node)>,
    /// Ends of the resistor that feeds the screen.
    pub screen_feed: Option<(Node, Node)>,
    /// Fixed grid volts against chassis.
    pub fixed_grid: f64,
    /// Plate current, all `count`.
    pub plate_current: ElementId,
    /// Screen current.
    pub screen_current: ElementId,
}
