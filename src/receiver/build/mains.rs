//! The mains side: a transformer with its windings, or a heater string straight on the line.

use super::super::error::ReceiverError;
use super::super::lead::{Inserted, Inside, PartKind, resistor_part};
use super::super::model::{HeaterLine, Model, OtherEnd, RectifierCircuit, Rung, SecondSupply};
use super::{Core, Slow, Turns, section};
use crate::circuit::{CircuitError, ElementId, Network, Node, REFERENCE, Wave, Winding};

/// Insulation to chassis of what nothing else joins to it, Ω: it fixes the volts of the floating side and draws some
/// tens of microamperes.
const INSULATION_OHMS: f64 = 1e7;

/// What feeds the rectifier: a winding, or the line.
pub(super) struct Source {
    /// An end with its copper: inner and outer end of that.
    pub end: (Node, Node),
    /// The same of the other half about a centre tap.
    pub second: Option<(Node, Node)>,
    /// The centre tap, or the other end.
    pub other: Node,
}

/// The mains side as built.
pub(super) struct Mains {
    pub primary: ElementId,
    /// As in [`super::Points`].
    pub copper: Vec<(ElementId, f64)>,
    /// Likewise.
    pub core_loss: Option<(ElementId, f64)>,
    /// Likewise.
    pub magnetizing: Option<ElementId>,
    pub windings: Vec<(Node, Node)>,
    pub source: Source,
    /// What feeds a second supply that has a winding of its own, or stands straight on the line.
    pub second: Option<Source>,
    /// Live end of a bias winding.
    pub bias: Option<Node>,
    /// Upper end of the heaters that a dropper stands before.
    pub below_dropper: Node,
}

/// The other side of the line. A set on the line hangs its supply there; which point of it depends on the circuit.
pub(super) fn neutral(
    model: &Model,
    net: &mut Network,
    centre: Node,
) -> Result<Node, ReceiverError> {
    if model.string.is_none() {
        return Ok(REFERENCE);
    }
    other_end(net, model.rectifier.circuit, "neutral", centre)
}

/// What the other end of a circuit's AC is joined to: `floats` is its name where only diodes are.
fn other_end(
    net: &mut Network,
    circuit: RectifierCircuit,
    floats: &str,
    centre: Node,
) -> Result<Node, ReceiverError> {
    match circuit.facts().other_end {
        OtherEnd::Capacitors => Ok(net.node("middle of the doubler")),
        OtherEnd::Diodes => floating(net, floats),
        OtherEnd::CentreTap | OtherEnd::Rail => Ok(centre),
    }
}

/// A node that only diodes join to the rest.
fn floating(net: &mut Network, name: &str) -> Result<Node, ReceiverError> {
    let node = net.node(name);
    net.resistor(format_args!("insulation of {name}"), node, REFERENCE, INSULATION_OHMS)?;
    Ok(node)
}

/// The transformer between `set` and chassis, with that share of the described primary's turns in circuit. Iron, seen
/// from them, goes with the square of the turns.
pub(super) fn transformer(
    model: &Model,
    core: &Core,
    turns: &Turns,
    slow: &Slow,
    net: &mut Network,
    (set, primary_turns): (Node, f64),
    centre: Node,
) -> Result<Mains, ReceiverError> {
    let emf = net.node("primary EMF");
    let mut copper = Vec::new();
    let mut wound = |net: &mut Network, name: &str, from: Node, to: Node, stated: f64| {
        let ohms = slow.copper * stated;
        copper.push((net.resistor(name, from, to, ohms)?, ohms));
        Ok::<_, CircuitError>(copper[copper.len() - 1].0)
    };
    let ohms = copper_of(primary_turns) * model.primary.resistance;
    let primary = wound(net, "primary copper", set, emf, ohms)?;
    let core = core.seen_from(primary_turns);
    let core_loss = (net.resistor("core loss", emf, REFERENCE, core.loss_ohms)?, core.loss_ohms);
    let magnetizing = net.iron("magnetizing current", emf, REFERENCE, core.iron)?;
    let mut windings = vec![Winding { start: emf, end: REFERENCE, turns: primary_turns }];
    // a winding that a rectifier stands on; names of the second supply's begin with a word of their own
    let mut high = |net: &mut Network, word: &str, circuit, turns: f64, ohms: f64, centre: Node| {
        let name = |name: &str| format!("{word}{name}");
        let half_a = net.node(&name("HV start"));
        Ok::<_, ReceiverError>(match circuit {
            RectifierCircuit::FullWave => {
                let half_b = net.node(&name("HV finish"));
                windings.push(Winding { start: half_a, end: centre, turns });
                windings.push(Winding { start: centre, end: half_b, turns });
                let [plate_a, plate_b] = ["plate 1", "plate 2"].map(|plate| net.node(&name(plate)));
                wound(net, &name("HV copper 1"), half_a, plate_a, ohms)?;
                wound(net, &name("HV copper 2"), half_b, plate_b, ohms)?;
                let second = Some((half_b, plate_b));
                Source { end: (half_a, plate_a), second, other: centre }
            }
            circuit => {
                let other = other_end(net, circuit, &name("HV finish"), centre)?;
                windings.push(Winding { start: half_a, end: other, turns });
                let out = net.node(&name("HV terminal"));
                wound(net, &name("HV copper 1"), half_a, out, ohms)?;
                Source { end: (half_a, out), second: None, other }
            }
        })
    };
    let own = &model.high_voltage;
    let (circuit, ohms) = (model.rectifier.circuit, own.resistance_per_half);
    let source = high(net, "", circuit, turns.high_voltage, ohms, centre)?;
    let second = match &model.second {
        Some(SecondSupply { winding: Some(own), rectifier, .. }) => {
            let ohms = own.resistance_per_half;
            Some(high(net, "second ", rectifier.circuit, turns.second, ohms, REFERENCE)?)
        }
        _ => None,
    };
    let mut terminals = Vec::new();
    for (index, winding) in model.windings.iter().enumerate() {
        let start = net.node(&format!("winding {}", winding.name));
        let out = net.node(&format!("heaters on {}", winding.name));
        windings.push(Winding { start, end: REFERENCE, turns: turns.windings[index] });
        wound(net, &format!("copper of {}", winding.name), start, out, winding.resistance)?;
        net.resistor(
            format_args!("heaters of {}", winding.name),
            out,
            REFERENCE,
            slow.heater_ohms[index],
        )?;
        terminals.push((out, REFERENCE));
    }
    let bias = match &model.bias {
        Some(bias) => {
            let start = net.node("bias winding");
            let out = net.node("bias terminal");
            windings.push(Winding { start, end: REFERENCE, turns: turns.bias });
            wound(net, "copper of the bias winding", start, out, bias.resistance)?;
            Some(out)
        }
        None => None,
    };
    net.transformer("mains transformer", windings)?;
    Ok(Mains {
        primary,
        copper,
        core_loss: Some(core_loss),
        magnetizing: Some(magnetizing),
        windings: terminals,
        source,
        second,
        bias,
        below_dropper: REFERENCE,
    })
}

/// Copper of `turns` times the described turns over theirs: the added ones are of wire for the smaller current at their
/// volts (equal current density: common practice, no source), so that each costs as much more; those left out were so.
fn copper_of(turns: f64) -> f64 {
    let added = |turns: f64| 1.0 + (turns - 1.0) * turns;
    if turns >= 1.0 { added(turns) } else { 1.0 / added(1.0 / turns) }
}

/// The heater string between `set` and `neutral`. From the live end: the tapped part of the rectifier's heater, where
/// there is one, since its tap feeds the plate; the dropper; the other links.
pub(super) fn string(
    model: &Model,
    string: &HeaterLine,
    slow: &Slow,
    inside: Inside,
    net: &mut Network,
    (set, neutral): (Node, Node),
    inserted: &mut Inserted,
) -> Result<Mains, ReceiverError> {
    // an ammeter: a source of no volts
    let fed = net.node("behind the ammeter");
    let primary = net.voltage("set current", set, fed, Wave::Constant(0.0))?;
    let count = model.windings.len();
    let mut terminals = vec![(neutral, neutral); count];
    let link =
        |net: &mut Network, index: usize, from: Node, to: Node| -> Result<_, ReceiverError> {
            let winding = &model.windings[index];
            let name = format!("heaters of {}", winding.name);
            let id = net.resistor(&name, from, to, slow.heater_ohms[index])?;
            if let Some(ohms) = winding.shunt_ohms {
                net.resistor(format_args!("shunt of {}", winding.name), from, to, ohms)?;
            }
            Ok(id)
        };
    let mut at = fed;
    let mut plate = fed;
    if let Some(tap) = string.tap {
        let next = net.node("heater tap");
        link(net, tap, at, next)?;
        terminals[tap] = (at, next);
        at = next;
        if model.rectifier.plate_on_tap {
            plate = next;
        }
    }
    let fitted = inside.string_ohms;
    if let Some(ohms) = fitted.filter(|ohms| *ohms > 0.0) {
        at = section::resistor(net, "heater dropper", PartKind::Resistor, (at, ohms), inserted)?;
    }
    for part in &string.sections {
        // what is fitted takes the place of every plain one
        if fitted.is_none() || !part.is_plain() {
            at = section::insert(net, part, at, inserted)?;
        }
    }
    let mut below_dropper = at;
    let below = |net: &mut Network, index: usize| {
        net.node(&format!("below {}", model.windings[index].name))
    };
    let rungs = string.rungs(count);
    for (place, rung) in rungs.iter().enumerate() {
        let last = (place + 1 == rungs.len()).then_some(neutral);
        at = match rung {
            Rung::Link(index) => {
                let next = last.unwrap_or_else(|| below(net, *index));
                let id = link(net, *index, at, next)?;
                terminals[*index] = (at, next);
                if Some(*index) == string.barretter {
                    let name = model.windings[*index].name.replacen('-', " ", 1);
                    inserted.inner.push(resistor_part(&name, PartKind::Barretter, at, next, id));
                    below_dropper = next;
                }
                next
            }
            Rung::Group(side_by_side) => {
                let end = last.unwrap_or_else(|| net.node(&format!("below the branches {place}")));
                for &place in side_by_side {
                    let branch = &string.branches[place];
                    let mut here = at;
                    for part in &branch.sections {
                        let (kind, wire) = (PartKind::InBranch(place), (here, part.ohms));
                        here = section::resistor(net, &part.name, kind, wire, inserted)?;
                        // whole strings side by side: the first of them with a dropper
                        if below_dropper == fed {
                            below_dropper = here;
                        }
                    }
                    for (i, index) in branch.links.iter().enumerate() {
                        let is_last = i + 1 == branch.links.len();
                        let next = if is_last { end } else { below(net, *index) };
                        link(net, *index, here, next)?;
                        terminals[*index] = (here, next);
                        here = next;
                    }
                }
                end
            }
        };
    }
    Ok(Mains {
        primary,
        copper: Vec::new(),
        core_loss: None,
        magnetizing: None,
        windings: terminals,
        source: Source { end: (plate, plate), second: None, other: neutral },
        second: model.second.as_ref().filter(|s| !s.shared).map(|_| Source {
            end: (fed, fed),
            second: None,
            other: neutral,
        }),
        bias: None,
        below_dropper,
    })
}
