//! From the complete set to a network.
//!
//! Primary and secondary side share the reference node: the transformer isolates them, so this changes no
//! voltage within either side. An autotransformer and a set without a transformer really join them.

mod filter;
mod law;
mod mains;
mod rectify;
mod section;
mod tube;

use super::error::ReceiverError;
use super::fault::{Fault, SHORT_OHMS};
use super::lead::{Inserted, MainsLead, PartKind, Straight, resistor_part};
use super::model::{Lead, Marked, Model, Spot};
use super::wave;
use crate::circuit::{ElementId, Iron, Network, Node, Probe, REFERENCE};

/// The resistor that a set has in its mains lead, by its name on reports.
const MAINS_RESISTOR: &str = "mains resistor";

/// Turns per volt of primary EMF, found by calibration.
#[derive(Debug, Clone, PartialEq)]
pub struct Turns {
    /// Each half of the high-voltage winding, or the whole of one without a centre tap.
    pub high_voltage: f64,
    /// Heater windings in order.
    pub windings: Vec<f64>,
    /// Winding of a bias supply.
    pub bias: f64,
    /// Winding of a second supply, or each half of it.
    pub second: f64,
}

/// Core of the transformer: loss resistance and magnetizing law in parallel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Core {
    /// Loss resistance, Ω.
    pub loss_ohms: f64,
    /// Magnetizing current by the flux linkage of the primary.
    pub iron: Iron,
    /// EMF over line volts at no load, at the design line.
    pub no_load_ratio: f64,
}

impl Core {
    /// What stands where there is no iron; it matters to nothing.
    pub(super) const NONE: Core = Core {
        loss_ohms: 1.0,
        iron: Iron { linear: 1.0, power: 0.0, exponent: 1, air_henries: 1.0 },
        no_load_ratio: 1.0,
    };

    /// As seen from `turns` times the turns: ohms and henries go with their square.
    pub(super) fn seen_from(&self, turns: f64) -> Core {
        let squared = turns * turns;
        let iron = Iron {
            linear: self.iron.linear / squared,
            power: self.iron.power / turns.powi(self.iron.exponent + 1),
            air_henries: squared * self.iron.air_henries,
            ..self.iron
        };
        Core { loss_ohms: squared * self.loss_ohms, iron, ..*self }
    }
}

/// The slow quantities that stand still within a cycle.
#[derive(Debug, Clone, PartialEq)]
pub struct Slow {
    /// Resistance of what hangs on each heater winding, Ω.
    pub heater_ohms: Vec<f64>,
    /// Resistance of each coil, Ω.
    pub coil_ohms: Vec<f64>,
    /// The power transformer's copper over its stated resistance.
    pub copper: f64,
    /// Average grid, screen and plate volts of each tube against its cathode, and the cathode's.
    pub tube_volts: Vec<[f64; 4]>,
}

impl Slow {
    /// Moves these by a share of the way from `from` to `to`, resistances by their logarithms.
    pub(super) fn lean(&mut self, from: &Slow, to: &Slow, share: f64) {
        let ohms = |a: &mut Vec<f64>, from: &[f64], to: &[f64]| {
            let ends = from.iter().zip(to);
            a.iter_mut().zip(ends).for_each(|(a, (from, to))| *a *= (to / from).powf(share));
        };
        ohms(&mut self.heater_ohms, &from.heater_ohms, &to.heater_ohms);
        ohms(&mut self.coil_ohms, &from.coil_ohms, &to.coil_ohms);
        self.copper *= (to.copper / from.copper).powf(share);
        let ends = from.tube_volts.iter().flatten().zip(to.tube_volts.iter().flatten());
        let volts = self.tube_volts.iter_mut().flatten();
        volts.zip(ends).for_each(|(v, (from, to))| *v += share * (to - from));
    }
}

/// Where to measure: nodes and elements of the network by what they are. The names there are for people.
#[derive(Debug, Clone)]
pub struct Points {
    /// The outlet as a source.
    pub line: ElementId,
    /// Live side of the outlet.
    pub outlet: Node,
    /// Its other side: chassis, unless something stands between them.
    pub neutral: Node,
    /// What stands in the lead.
    pub inserted: Inserted,
    /// Where the design line stood: behind a resistor in the mains lead that came later.
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
    /// Terminals of the high-voltage winding (of its first half where it has a centre tap), or what feeds the
    /// rectifier of a set without a transformer.
    pub high_voltage: (Node, Node),
    /// Both outer terminals of a winding with a centre tap.
    pub outer_ends: Option<(Node, Node)>,
    /// Centre tap of the high-voltage winding, or the negative end of the supply without one.
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
    /// Both outer terminals of a winding with a centre tap.
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

    /// Name of a capacitor on reports.
    pub fn capacitor_name(&self, place: usize) -> String {
        let own = self.second.as_ref().is_some_and(|second| place >= second.capacitors_from);
        format!("filter capacitor {}{}", place + 1, if own { " (B2+)" } else { "" })
    }

    /// The same; names were checked when the profile was read, and an unknown one is chassis.
    fn named(&self, name: &str) -> Node {
        self.supply(name).unwrap_or(REFERENCE)
    }

    /// The node of a spot.
    pub(super) fn spot(&self, spot: &Spot) -> Option<Node> {
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

/// Builds the network of `model` on `line` volts RMS with `lead` in front; `alike` is the same with other slow quantities.
pub(super) fn build(
    (model, core, turns): (&Model, &Core, &Turns),
    slow: &Slow,
    (line, lead): (f64, &dyn MainsLead),
    fault: Option<Fault>,
    alike: Option<&Network>,
) -> Result<(Network, Points), ReceiverError> {
    let mut net = Network::new(model.frequency, "chassis")?;
    if let Some(alike) = alike {
        net.named_as(alike);
    }
    let outlet = net.node("outlet");
    // without a part in the negative lead the negative end of the supply is chassis
    let centre = if model.filter.iter().any(|s| filter::lead_of(model, s) == Some(Lead::Negative)) {
        net.node("centre tap")
    } else {
        REFERENCE
    };
    let neutral = mains::neutral(model, &mut net, centre)?;
    let wave = wave::line(&mut net, line, model.flat_top)?;
    let source = net.voltage("line", outlet, neutral, wave)?;
    let mut inserted = lead.insert(&mut net, outlet, neutral)?;
    let inside = lead.inside();
    // the dropper stands before the surge resistor
    let fitted = [inside.string_ohms, inside.surge_ohms].into_iter().flatten();
    inserted.fitted_inside = fitted.filter(|ohms| *ohms > 0.0).count();
    let mut fed = inserted.set;
    let resistor = model.mains_resistor.filter(|r| r.by_maker || inside.keeps_resistor);
    let mut mains_resistor = None;
    if let Some(resistor) = resistor {
        fed = net.node("behind the mains resistor");
        let id = net.resistor(MAINS_RESISTOR, inserted.set, fed, resistor.ohms)?;
        let kind = PartKind::MainsResistor;
        mains_resistor = Some(resistor_part(MAINS_RESISTOR, kind, inserted.set, fed, id));
    }
    let mains = match &model.string {
        None => {
            let primary_turns = inside.primary_turns.unwrap_or(1.0);
            let fed = (fed, primary_turns);
            mains::transformer(model, core, turns, slow, &mut net, fed, centre)?
        }
        Some(string) => {
            let ends = (fed, neutral);
            mains::string(model, string, slow, inside, &mut net, ends, &mut inserted)?
        }
    };
    let cathode = net.node("rectifier cathode");
    let mut points = Points {
        line: source,
        outlet,
        neutral,
        as_built: if resistor.is_some_and(|r| r.by_maker) { inserted.set } else { fed },
        inserted,
        primary: mains.primary,
        copper: mains.copper,
        core_loss: mains.core_loss,
        magnetizing: mains.magnetizing,
        primary_turns: inside.primary_turns.unwrap_or(1.0),
        windings: mains.windings,
        surge: Vec::new(),
        plates: Vec::new(),
        returns: Vec::new(),
        high_voltage: (mains.source.end.1, mains.source.other),
        outer_ends: mains.source.second.map(|second| (mains.source.end.1, second.1)),
        centre,
        rectifier_cathode: cathode,
        capacitors: Vec::new(),
        leakage: Vec::new(),
        filter: Vec::new(),
        coils: Vec::new(),
        b_plus: cathode,
        reservoir: cathode,
        dividers: Vec::new(),
        taps: Vec::new(),
        tubes: Vec::new(),
        c_minus: None,
        bias_winding: mains.bias.map(|out| (out, REFERENCE)),
        second: None,
    };
    rectify::rectifier(model, inside, &mut net, &mains.source, &mut points)?;
    if inside.string_ohms.is_some_and(|ohms| ohms > 0.0) && inside.surge_ohms.is_some() {
        // what is fitted comes first, ahead of what stays in the string
        points.inserted.inner[1..].sort_by_key(|part| part.kind != PartKind::Surge);
    }
    points.inserted.inner.extend(mains_resistor);
    let rails = filter::Rails { model, slow, fault };
    let ends = (points.rectifier_cathode, points.centre);
    let main = model.filters().0;
    (points.b_plus, points.reservoir) = rails.filter(main, ends, &mut net, &mut points)?;
    if let Some(second) = &model.second {
        let source = mains.second.as_ref().unwrap_or(&mains.source);
        rectify::second(second, &mut net, source, &mut points, &rails)?;
    }
    if let (Some(bias), Some(terminal)) = (&model.bias, mains.bias) {
        rectify::bias_supply(bias, &mut net, terminal, &mut points)?;
    }
    for divider in &model.dividers {
        filter::divider(divider, &mut net, &mut points)?;
    }
    for index in 0..model.tubes.len() {
        let tube = tube::tube(model, slow, index, &mut net, &points)?;
        points.tubes.push(tube);
    }
    // after the tubes, so that a meter can be hung on their electrodes
    for load in &model.loads {
        let from = points.spot(&load.from).unwrap_or(REFERENCE);
        match load.ohms {
            Some(ohms) => net.resistor(&load.name, from, REFERENCE, ohms)?,
            None => net.current(&load.name, from, REFERENCE, load.amps)?,
        };
    }
    if let Some(fault) = fault {
        let place = match fault {
            Fault::FirstCapacitorShorted => {
                points.capacitors.first().map(|c| (c.positive, c.negative))
            }
            Fault::SecondCapacitorShorted => points
                .second
                .as_ref()
                .and_then(|second| points.capacitors.get(second.capacitors_from))
                .map(|c| (c.positive, c.negative)),
            Fault::BPlusShorted => Some((points.b_plus, REFERENCE)),
            Fault::HalfWindingShorted | Fault::WindingShorted => {
                Some((mains.source.end.0, mains.source.other))
            }
            Fault::PlateToFilament => points.plates.first().map(|d| (d.plate, d.cathode)),
            Fault::DropperCapacitorShorted => {
                points.inserted.inner.iter().find(|part| part.kind == PartKind::Capacitor).and_then(
                    |part| match part.volts {
                        Probe::Volts(a, b) => Some((a, b)),
                        _ => None,
                    },
                )
            }
            Fault::StringShorted => Some((mains.below_dropper, REFERENCE)),
            Fault::PrimaryShorted => Some((fed, neutral)),
            Fault::LineShorted => Some((points.inserted.set, neutral)),
            // these are changes of the model, or open paths
            Fault::FieldCoilOpen
            | Fault::ChokeOpen
            | Fault::DialLampOpen
            | Fault::OutputTubeOut
            | Fault::BranchOpen(_)
            | Fault::LoadsOut => None,
        };
        if let Some((a, b)) = place {
            net.resistor(fault.title(), a, b, SHORT_OHMS)?;
        }
    }
    Ok((net, points))
}

/// The set at rest and cold, as an ohmmeter finds it: ask it for [`Network::resistance`], with its [`Points::leakage`] open.
///
/// # Errors
/// A value the core refuses.
pub fn resting(model: &Model) -> Result<(Network, Points), ReceiverError> {
    // neither core nor turns matter to a direct current
    let turns = Turns {
        high_voltage: 1.0,
        windings: vec![1.0; model.windings.len()],
        bias: 1.0,
        second: 1.0,
    };
    let slow = Slow {
        heater_ohms: model
            .windings
            .iter()
            .map(|w| w.filaments.iter().map(|f| f.cold_ohms().recip()).sum::<f64>().recip())
            .map(|ohms| ohms.min(1e6))
            .collect(),
        coil_ohms: model.coils.iter().map(|c| c.cold).collect(),
        copper: model.copper.at_rest(model.room_c),
        tube_volts: vec![[0.0; 4]; model.tubes.len()],
    };
    build((model, &Core::NONE, &turns), &slow, (0.0, &Straight), None, None)
}
