//! From the complete set to a network.
//!
//! Primary and secondary side share the reference node: the transformer isolates them, so this changes no
//! voltage within either side. Only transformerless sets really join them.

use super::build_tube::tube;
use super::error::ReceiverError;
use super::fault::{Fault, SHORT_OHMS};
use super::lead::{Inserted, MainsLead, Straight};
use super::model::{Lead, Model, Section};
use super::warmup::HOT_OVER_COLD;
use crate::circuit::{ElementId, Law, Network, Node, REFERENCE, Wave, Winding};

/// Leakage of a filter capacitor, Ω: some 30 µA at 300 V, a good one (limits in use are 0.15 to 0.5 µA per µF and
/// volt, thirty times as much; forum figures).
const LEAKAGE_OHMS: f64 = 1e7;
/// On-resistance of a constant-drop rectifier, Ω: far below any winding's copper.
const DROP_OHMS: f64 = 1.0;

/// Turns per volt of primary EMF, found by calibration.
#[derive(Debug, Clone, PartialEq)]
pub struct Turns {
    /// Each half of the high-voltage winding.
    pub high_voltage: f64,
    /// Heater windings in order.
    pub windings: Vec<f64>,
}

/// Core of the transformer at the design line: loss resistance and magnetising inductance in parallel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Core {
    /// Loss resistance, Ω.
    pub loss_ohms: f64,
    /// Magnetising inductance, H.
    pub henries: f64,
    /// EMF over line volts at no load.
    pub no_load_ratio: f64,
}

/// The slow quantities that stand still within a cycle.
#[derive(Debug, Clone, PartialEq)]
pub struct Slow {
    /// Resistance of what hangs on each heater winding, Ω.
    pub heater_ohms: Vec<f64>,
    /// Resistance of each coil, Ω.
    pub coil_ohms: Vec<f64>,
    /// Average grid, screen and plate volts of each tube against its cathode, and the cathode's.
    pub tube_volts: Vec<[f64; 4]>,
}

/// Where to measure.
#[derive(Debug, Clone)]
pub struct Handles {
    /// The outlet as a source.
    pub line: ElementId,
    /// Live side of the outlet.
    pub outlet: Node,
    /// What stands in the lead.
    pub inserted: Inserted,
    /// Copper of the set's primary: its current is the primary current.
    pub primary: ElementId,
    /// Heater terminals of each winding.
    pub windings: Vec<Node>,
    /// Rectifier plates.
    pub plates: [ElementId; 2],
    /// First plate.
    pub plate_node: Node,
    /// Centre tap of the high-voltage winding.
    pub centre: Node,
    /// Rectifier cathode or filament.
    pub rectifier_cathode: Node,
    /// Filter capacitors.
    pub capacitors: Vec<Placed>,
    /// Coils: positive end, negative end, copper.
    pub coils: Vec<(Node, Node, ElementId)>,
    /// B+.
    pub b_plus: Node,
    /// Positive side of the first filter capacitor.
    pub reservoir: Node,
    /// Tubes that draw B+ current.
    pub tubes: Vec<TubeNodes>,
    /// Divider taps by `divider.tap`.
    pub taps: Vec<(String, Node)>,
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
    /// Working volts, where stated.
    pub rated: Option<f64>,
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
    /// Fixed grid volts against chassis.
    pub fixed_grid: f64,
    /// Plate current, all `count`.
    pub plate_current: ElementId,
    /// Screen current.
    pub screen_current: ElementId,
    /// Current of an extra electrode.
    pub extra_current: ElementId,
}

/// Builds the network of `model` on `line` volts RMS with `lead` in front.
pub(super) fn build(
    model: &Model,
    core: &Core,
    turns: &Turns,
    slow: &Slow,
    line: f64,
    lead: &dyn MainsLead,
    fault: Option<Fault>,
) -> Result<(Network, Handles), ReceiverError> {
    let mut net = Network::new(model.frequency, "chassis")?;
    let outlet = net.node("outlet");
    let source = net.voltage(
        "line",
        outlet,
        REFERENCE,
        Wave::Sine {
            peak: line * std::f64::consts::SQRT_2,
            phase: 0.0,
        },
    )?;
    let inserted = lead.insert(&mut net, outlet, REFERENCE)?;
    let emf = net.node("primary EMF");
    let primary = net.resistor(
        "primary copper",
        inserted.set,
        emf,
        model.primary.resistance,
    )?;
    net.resistor("core loss", emf, REFERENCE, core.loss_ohms)?;
    net.inductor("magnetising current", emf, REFERENCE, core.henries)?;

    let (half_a, half_b) = (net.node("HV start"), net.node("HV finish"));
    // without a part in the negative lead the centre tap is chassis
    let centre = if model
        .filter
        .iter()
        .any(|s| lead_of(model, s) == Some(Lead::Negative))
    {
        net.node("centre tap")
    } else {
        REFERENCE
    };
    let mut windings = vec![
        Winding {
            start: emf,
            end: REFERENCE,
            turns: 1.0,
        },
        Winding {
            start: half_a,
            end: centre,
            turns: turns.high_voltage,
        },
        Winding {
            start: centre,
            end: half_b,
            turns: turns.high_voltage,
        },
    ];
    let mut terminals = Vec::new();
    for (index, winding) in model.windings.iter().enumerate() {
        let start = net.node(&format!("winding {}", winding.name));
        let out = net.node(&format!("heaters on {}", winding.name));
        windings.push(Winding {
            start,
            end: REFERENCE,
            turns: turns.windings[index],
        });
        net.resistor(
            &format!("copper of {}", winding.name),
            start,
            out,
            winding.resistance,
        )?;
        net.resistor(
            &format!("heaters of {}", winding.name),
            out,
            REFERENCE,
            slow.heater_ohms[index],
        )?;
        terminals.push(out);
    }
    net.transformer("mains transformer", windings)?;

    let (plate_a, plate_b) = (net.node("plate 1"), net.node("plate 2"));
    let copper = model.high_voltage.resistance_per_half;
    net.resistor("HV copper 1", half_a, plate_a, copper)?;
    net.resistor("HV copper 2", half_b, plate_b, copper)?;
    let cathode = net.node("rectifier cathode");
    let law = rectifier_law(model);
    let plates = [
        net.rectifier("rectifier plate 1", plate_a, cathode, law)?,
        net.rectifier("rectifier plate 2", plate_b, cathode, law)?,
    ];

    let chain = filter(model, slow, &mut net, cathode, centre)?;
    let mut taps = Vec::new();
    for divider in &model.dividers {
        let upper = point(&net, &chain, &taps, &divider.from);
        let lower = point(&net, &chain, &taps, &divider.to);
        let mut at = upper;
        let last = divider.resistors.len();
        for (index, ohms) in divider.resistors.iter().enumerate() {
            let next = if index + 1 == last {
                lower
            } else {
                net.node(&format!("{} {}", divider.name, index + 1))
            };
            let name = format!("{} arm {}", divider.name, index + 1);
            net.resistor(&name, at, next, *ohms)?;
            for (tap, place) in &divider.taps {
                if *place == index + 1 {
                    taps.push((format!("{}.{tap}", divider.name), next));
                }
            }
            at = next;
        }
        for (tap, farads) in &divider.bypass {
            let node = point(&net, &chain, &taps, &format!("{}.{tap}", divider.name));
            net.capacitor(&format!("bypass of {tap}"), node, REFERENCE, *farads)?;
        }
    }
    let mut tubes = Vec::new();
    for index in 0..model.tubes.len() {
        tubes.push(tube(model, slow, index, &mut net, &chain, &taps)?);
    }
    // after the tubes, so that a meter can be hung on their electrodes by name
    for load in &model.loads {
        let from = point(&net, &chain, &taps, &load.from);
        match load.ohms {
            Some(ohms) => net.resistor(&load.name, from, REFERENCE, ohms)?,
            None => net.current(&load.name, from, REFERENCE, load.amps)?,
        };
    }
    if let Some(fault) = fault {
        let place = match fault {
            Fault::FirstCapacitorShorted => {
                chain.capacitors.first().map(|c| (c.positive, c.negative))
            }
            Fault::BPlusShorted => Some((chain.b_plus, REFERENCE)),
            Fault::HalfWindingShorted => Some((half_a, centre)),
            Fault::PlateToFilament => Some((plate_a, cathode)),
            Fault::PrimaryShorted => Some((inserted.set, REFERENCE)),
            // these are changes of the model
            Fault::OutputTubeOut | Fault::LoadsOut => None,
        };
        if let Some((a, b)) = place {
            net.resistor(fault.title(), a, b, SHORT_OHMS)?;
        }
    }
    let handles = Handles {
        line: source,
        outlet,
        inserted,
        primary,
        windings: terminals,
        plates,
        plate_node: plate_a,
        centre,
        rectifier_cathode: cathode,
        capacitors: chain.capacitors,
        coils: chain.coils,
        b_plus: chain.b_plus,
        reservoir: chain.reservoir,
        tubes,
        taps,
    };
    Ok((net, handles))
}

/// The set at rest and cold, as an ohmmeter finds it: ask it for [`Network::resistance`], with [`is_leakage`] open.
///
/// # Errors
/// A value the core refuses.
pub fn resting(model: &Model) -> Result<(Network, Handles), ReceiverError> {
    // neither core nor turns matter to a direct current
    let core = Core {
        loss_ohms: 1.0,
        henries: 1.0,
        no_load_ratio: 1.0,
    };
    let turns = Turns {
        high_voltage: 1.0,
        windings: vec![1.0; model.windings.len()],
    };
    let slow = Slow {
        heater_ohms: model
            .windings
            .iter()
            .map(|w| super::operate::heater_ohms(&w.filaments, w.rated) / HOT_OVER_COLD)
            .collect(),
        coil_ohms: model.coils.iter().map(|c| c.cold).collect(),
        tube_volts: vec![[0.0; 4]; model.tubes.len()],
    };
    build(model, &core, &turns, &slow, 0.0, &Straight, None)
}

/// Whether a resistor of the network is only the leakage of a good capacitor.
pub fn is_leakage(name: &str) -> bool {
    name.starts_with("leakage of filter capacitor ")
}

/// The law of one rectifier plate.
pub(super) fn rectifier_law(model: &Model) -> Law {
    match model.rectifier.drop_amps {
        Some(amps) => {
            let perveance = amps / model.rectifier.drop_volts.powf(1.5);
            match model.rectifier.emission {
                Some(limit) => Law::Limited { perveance, limit },
                None => Law::ThreeHalves {
                    perveance,
                    offset: 0.0,
                },
            }
        }
        None => Law::Drop {
            volts: model.rectifier.drop_volts,
            resistance: DROP_OHMS,
        },
    }
}

fn lead_of(model: &Model, section: &Section) -> Option<Lead> {
    match section {
        Section::Capacitor(..) => None,
        Section::Coil(i) => Some(model.coils[*i].lead),
        Section::Resistor(lead, _) => Some(*lead),
    }
}

/// The filter as built.
pub(super) struct Chain {
    capacitors: Vec<Placed>,
    coils: Vec<(Node, Node, ElementId)>,
    b_plus: Node,
    reservoir: Node,
    far_end: Node,
}

/// The filter: a positive rail from the rectifier's cathode to B+ and a negative one from the centre tap
/// to chassis, with capacitors across wherever the profile puts them.
fn filter(
    model: &Model,
    slow: &Slow,
    net: &mut Network,
    cathode: Node,
    centre: Node,
) -> Result<Chain, ReceiverError> {
    let mut left = model
        .filter
        .iter()
        .filter(|s| lead_of(model, s) == Some(Lead::Negative))
        .count();
    let mut positive = cathode;
    let mut negative = centre;
    let mut chain = Chain {
        capacitors: Vec::new(),
        coils: Vec::new(),
        b_plus: cathode,
        reservoir: cathode,
        far_end: centre,
    };
    let mut reservoir = None;
    for (place, section) in model.filter.iter().enumerate() {
        if let Section::Capacitor(farads, rated) = section {
            net.capacitor(
                &format!("filter capacitor {}", chain.capacitors.len() + 1),
                positive,
                negative,
                *farads,
            )?;
            // with every tube out nothing else may empty it, and its volts would be whatever they once were
            net.resistor(
                &format!("leakage of filter capacitor {}", chain.capacitors.len() + 1),
                positive,
                negative,
                LEAKAGE_OHMS,
            )?;
            reservoir.get_or_insert(positive);
            chain.capacitors.push(Placed {
                positive,
                negative,
                farads: *farads,
                rated: *rated,
            });
            continue;
        }
        let (from, to) = if lead_of(model, section) == Some(Lead::Negative) {
            left -= 1;
            let next = if left == 0 {
                REFERENCE
            } else {
                net.node(&format!("negative rail {place}"))
            };
            let from = std::mem::replace(&mut negative, next);
            (next, from)
        } else {
            let next = net.node(&format!("positive rail {place}"));
            let from = std::mem::replace(&mut positive, next);
            (from, next)
        };
        match section {
            Section::Coil(index) => {
                let coil = &model.coils[*index];
                let inner = net.node(&format!("inside {} {index}", coil.name));
                net.inductor(&coil.name, from, inner, coil.inductance)?;
                let copper = net.resistor(
                    &format!("{} copper", coil.name),
                    inner,
                    to,
                    slow.coil_ohms[*index],
                )?;
                chain.coils.push((from, to, copper));
            }
            Section::Resistor(_, ohms) => {
                net.resistor(&format!("filter resistor {place}"), from, to, *ohms)?;
            }
            Section::Capacitor(..) => {}
        }
    }
    chain.b_plus = positive;
    chain.reservoir = reservoir.unwrap_or(positive);
    Ok(chain)
}

/// The node of a supply point. Names were checked when the profile was read; an unknown one is chassis.
pub(super) fn point(net: &Network, chain: &Chain, taps: &[(String, Node)], name: &str) -> Node {
    match name {
        "chassis" => REFERENCE,
        "B+" => chain.b_plus,
        "reservoir" => chain.reservoir,
        "field_coil" | "B-" => chain.far_end,
        other => taps
            .iter()
            .find(|(tap, _)| tap == other)
            .map(|(_, node)| *node)
            .or_else(|| net.find(other))
            .unwrap_or(REFERENCE),
    }
}
