//! The supply of a set with its solved voltages, as a drawing needs it.

use super::Serialize;
use crate::{
    circuit::{ElementId, Node, Probe, REFERENCE},
    receiver::{
        Diode, Divider, Lead, Number, OF_SECOND, Operation, Parameter, Placed, Receiver, Rectifier,
        RectifierCircuit, Section, capacitor_part, coil_part, filter_resistor, surge_resistor,
    },
};

/// The supply from the high-voltage winding to B+, in order, with what each point carries against chassis.
#[derive(Debug, Clone, Serialize)]
pub struct SupplySketch {
    /// Outlet volts the figures hold for, V RMS.
    pub outlet_v: f64,
    /// Each half of the high-voltage winding at work, or the whole of one without a center tap, V RMS.
    pub half_v: f64,
    /// How the rectifier's diodes are joined.
    pub circuit: RectifierCircuit,
    /// True for a set without a transformer: the line itself feeds the rectifier.
    pub on_the_line: bool,
    /// True if the chassis is joined to the mains.
    #[serde(skip)]
    pub live_chassis: bool,
    /// Resistor in each plate lead, Ω; 0 for none.
    pub surge_ohms: f64,
    /// Names of these in drawings and tables, from the first plate on; none for one that came as an adaptation.
    #[serde(skip)]
    pub surge_parts: Vec<String>,
    /// The two capacitors of a doubler, in the order of the profile.
    pub doubler: Vec<SupplyElement>,
    /// Second supply; its dividers are among those of the main one.
    pub second: Option<Box<SecondSketch>>,
    /// Output of a bias supply against chassis, V DC.
    pub bias_v: Option<f64>,
    /// Rectifier type.
    pub rectifier: String,
    /// True if its filament is the cathode.
    pub heated_directly: bool,
    /// DC through the rectifier, A.
    pub dc_a: f64,
    /// Rectifier's cathode against chassis, V DC.
    pub cathode_v: f64,
    /// Center tap of the winding against chassis, V DC: 0, or negative with something in the negative lead.
    pub centre_v: f64,
    /// From the rectifier on.
    pub elements: Vec<SupplyElement>,
    /// B+ against chassis, V DC.
    pub b_plus_v: f64,
    /// Dividers.
    pub dividers: Vec<DividerSketch>,
}

/// A second supply beside B+.
#[derive(Debug, Clone, Serialize)]
pub struct SecondSketch {
    /// True where one diode of the main rectifier feeds it.
    pub shared: bool,
    /// What it is made of; its output is `b_plus_v`.
    #[serde(flatten)]
    pub supply: SupplySketch,
}

/// A part of the filter.
#[derive(Debug, Clone, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum SupplyElement {
    /// Across the supply at this place.
    Capacitor {
        /// Its name in drawings and tables: C1, C2 ….
        #[serde(skip)]
        part: String,
        /// Farads.
        farads: f64,
        /// Working volts, where known.
        rated_v: Option<f64>,
        /// Positive side against chassis, V DC.
        positive_v: f64,
        /// Negative side against chassis, V DC.
        negative_v: f64,
    },
    /// A field coil or choke in a lead.
    Coil {
        /// "field coil" or "choke".
        name: String,
        /// Its name in drawings and tables: L1, L2 ….
        #[serde(skip)]
        part: String,
        /// True for one that the profile does not name: what is usual there.
        #[serde(skip)]
        assumed: bool,
        /// True for the speaker's field.
        is_field: bool,
        /// True in the negative lead.
        in_negative_lead: bool,
        /// True if it lies from one lead to the other, as a bleeder.
        across: bool,
        /// Ohms at work.
        ohms: f64,
        /// Henries.
        henries: f64,
        /// True where the profile does not state them.
        #[serde(skip)]
        henries_assumed: bool,
        /// Drop, V DC.
        drop_v: f64,
        /// Current, A DC.
        current_a: f64,
    },
    /// A resistor in a lead.
    Resistor {
        /// Its name in drawings and tables: R1, R2 ….
        #[serde(skip)]
        part: String,
        /// True for one that the profile does not name: what is usual there.
        #[serde(skip)]
        assumed: bool,
        /// True in the negative lead.
        in_negative_lead: bool,
        /// Ohms.
        ohms: f64,
        /// Drop, V DC.
        drop_v: f64,
    },
}

/// A chain of resistors with its points.
#[derive(Debug, Clone, Serialize)]
pub struct DividerSketch {
    /// Name.
    pub name: String,
    /// Point of the upper end: `B+`, `reservoir`, `field_coil`, or another divider's tap.
    pub from: String,
    /// Upper end against chassis, V DC.
    pub from_v: f64,
    /// Point of the lower end, usually `chassis`.
    pub to: String,
    /// Lower end against chassis, V DC.
    pub to_v: f64,
    /// Ohms in order from the upper end.
    pub resistors: Vec<f64>,
    /// The points between them, one fewer than resistors.
    pub points: Vec<DividerPoint>,
}

/// A point between two resistors of a chain.
#[derive(Debug, Clone, Serialize)]
pub struct DividerPoint {
    /// Name of the tap there, that of its chain ahead of it, if something hangs on it.
    pub tap: Option<String>,
    /// The same without its chain's.
    #[serde(skip)]
    pub own: Option<String>,
    /// Against chassis, V DC.
    pub volts_v: f64,
}

/// Sketches the supply of `receiver` at an operating point; `assumed` is true of a number that a rule filled in.
pub fn sketch(
    receiver: &Receiver,
    operation: &Operation,
    assumed: impl Fn(Parameter) -> bool,
) -> SupplySketch {
    let (model, at) = (receiver.model(), &operation.at);
    let volts = |node: Node| operation.dc(node, REFERENCE);
    let [doubler, elements, of_second] = parts(receiver, operation, assumed);
    let supply =
        |(rectifier, of): (&Rectifier, &str), (a, b), surge: &[ElementId], plates: &[Diode]| {
            let called = (1..=surge.len()).map(|plate| surge_resistor(plate, of));
            let dc = plates.iter().map(|d| operation.state.mean(Probe::Amps(d.id)));
            SupplySketch {
                outlet_v: operation.line,
                half_v: operation.state.rms(Probe::Volts(a, b)),
                circuit: rectifier.circuit,
                on_the_line: model.string.is_some(),
                live_chassis: model.is_live(),
                surge_ohms: surge.first().and_then(|id| operation.net.ohms(*id)).unwrap_or(0.0),
                surge_parts: called.filter_map(|name| model.resistor_part(&name)).collect(),
                doubler: Vec::new(),
                second: None,
                bias_v: at.c_minus.map(volts),
                rectifier: rectifier.name.clone(),
                heated_directly: rectifier.heated_directly,
                dc_a: dc.sum(),
                cathode_v: volts(at.rectifier_cathode),
                centre_v: volts(at.centre),
                elements: Vec::new(),
                b_plus_v: volts(at.b_plus),
                dividers: Vec::new(),
            }
        };
    let second = model.second.as_ref().zip(at.second.as_ref()).map(|(own, at)| SecondSketch {
        shared: own.shared,
        supply: SupplySketch {
            bias_v: None,
            cathode_v: volts(at.cathode),
            centre_v: 0.0,
            elements: of_second,
            b_plus_v: volts(at.b_plus),
            ..supply((&own.rectifier, OF_SECOND), at.high_voltage, at.surge.as_slice(), &at.plates)
        },
    });
    SupplySketch {
        doubler,
        second: second.map(Box::new),
        elements,
        dividers: dividers(receiver, operation),
        ..supply((&model.rectifier, ""), at.high_voltage, &at.surge, &at.plates)
    }
}

/// The capacitors of a doubler, the parts of the filter, and those of a second supply's.
fn parts(
    receiver: &Receiver,
    operation: &Operation,
    assumed: impl Fn(Parameter) -> bool,
) -> [Vec<SupplyElement>; 3] {
    let (model, at) = (receiver.model(), &operation.at);
    let volts = |node: Node| operation.dc(node, REFERENCE);
    let capacitor = |part, placed: &Placed| SupplyElement::Capacitor {
        part,
        farads: placed.farads,
        rated_v: placed.marked.rated,
        positive_v: volts(placed.positive),
        negative_v: volts(placed.negative),
    };
    let capacitors = (0..).map(capacitor_part).zip(&at.capacitors);
    let mut capacitors = capacitors.map(|(part, placed)| capacitor(part, placed));
    let doubler = capacitors.by_ref().take(model.rectifier.doubler.len()).collect();
    let mut coils = at.coils.iter().map(|c| operation.state.mean(Probe::Amps(c.2)));
    let mut elements = Vec::new();
    for (place, (section, ends)) in model.filter.iter().zip(&at.filter).enumerate() {
        let drop_v = (volts(ends.0) - volts(ends.1)).abs();
        let by_rule = model.is_by_rule(place);
        elements.extend(match section {
            // each stands among those of the network as well
            Section::Capacitor(..) => capacitors.next(),
            Section::Coil(index) => {
                let coil = &model.coils[*index];
                Some(SupplyElement::Coil {
                    name: coil.name.clone(),
                    part: coil_part(*index),
                    assumed: by_rule,
                    henries_assumed: assumed(Number::CoilInductance.of(*index)),
                    is_field: coil.is_field,
                    in_negative_lead: coil.lead == Lead::Negative,
                    across: coil.lead == Lead::Across,
                    ohms: operation.slow.coil_ohms[*index],
                    henries: coil.inductance,
                    drop_v,
                    current_a: coils.next().unwrap_or(0.0),
                })
            }
            Section::Resistor(lead, ohms, _) => {
                let (in_negative_lead, ohms) = (*lead == Lead::Negative, *ohms);
                let part = model.resistor_part(&filter_resistor(place)).unwrap_or_default();
                let assumed = by_rule;
                Some(SupplyElement::Resistor { part, assumed, in_negative_lead, ohms, drop_v })
            }
        });
    }
    let of_second = elements.split_off(model.filters().0.len());
    [doubler, elements, of_second]
}

/// The dividers alone, in the order of the model.
pub fn dividers(receiver: &Receiver, operation: &Operation) -> Vec<DividerSketch> {
    let at = &operation.at;
    let volts = |node: Node| operation.dc(node, REFERENCE);
    let end = |name: &str| at.supply(name).map_or(0.0, volts);
    let sketch = |(d, nodes): (&Divider, &Vec<Node>)| {
        let points = (1..d.resistors.len()).map(|place| {
            let own = d.taps.iter().find(|(_, p)| *p == place).map(|(name, _)| name.clone());
            let tap = own.as_ref().map(|own| format!("{}.{own}", d.name));
            DividerPoint { tap, own, volts_v: volts(nodes[place]) }
        });
        DividerSketch {
            name: d.name.clone(),
            from: d.from.clone(),
            from_v: end(&d.from),
            to: d.to.clone(),
            to_v: end(&d.to),
            resistors: d.resistors.clone(),
            points: points.collect(),
        }
    };
    receiver.model().dividers.iter().zip(&at.dividers).map(sketch).collect()
}
