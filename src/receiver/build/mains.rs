//! The mains side: a transformer with its windings, or a heater string straight on the line.

use super::wiring::{Wiring, floating};
use crate::{
    circuit::{ElementId, Network, Node, REFERENCE, Wave, Winding},
    receiver::{
        Core, HeaterLine, Model, OtherEnd, PartKind, RectifierCircuit, Result, Rung, Turns,
        resistor_part,
    },
};

/// What feeds a rectifier: a winding, or the line.
pub struct Source {
    /// An end with its copper: inner and outer end of that.
    pub end: (Node, Node),
    /// Outer end of the other half about a center tap.
    pub second: Option<Node>,
    /// The center tap, or the other end.
    pub other: Node,
}

impl Source {
    /// A point of the line.
    fn line(live: Node, neutral: Node) -> Source {
        Source { end: (live, live), second: None, other: neutral }
    }

    /// Terminals, of its first half where it has a center tap.
    pub fn terminals(&self) -> (Node, Node) {
        (self.end.1, self.other)
    }

    /// Both outer terminals about a center tap.
    pub fn outer_ends(&self) -> Option<(Node, Node)> {
        self.second.map(|second| (self.end.1, second))
    }
}

/// What the mains side feeds.
pub struct Feeds {
    pub main: Source,
    /// What feeds a second supply that has a winding of its own, or stands straight on the line.
    pub second: Option<Source>,
    /// Upper end of the heaters that a dropper stands before.
    pub below_dropper: Node,
}

/// The other side of the line. A set on the line hangs its supply there; which point of it depends on the circuit.
pub fn neutral(model: &Model, net: &mut Network, centre: Node) -> Result<Node> {
    match model.string {
        None => Ok(REFERENCE),
        Some(_) => other_end(net, model.rectifier.circuit, "neutral", centre),
    }
}

/// Where the other end of what feeds a rectifier goes, by its circuit; a floating one is called so.
fn other_end(
    net: &mut Network,
    circuit: RectifierCircuit,
    floats: &str,
    centre: Node,
) -> Result<Node> {
    Ok(match circuit.facts().other_end {
        OtherEnd::Capacitors => net.node("middle of the doubler"),
        OtherEnd::Diodes => floating(net, floats)?,
        OtherEnd::CentreTap | OtherEnd::Rail => centre,
    })
}

impl Wiring<'_> {
    /// The transformer between `set` and chassis, with that share of the described primary's turns in circuit. Iron, seen
    /// from them, goes with the square of the turns.
    pub fn transformer(&mut self, core: &Core, turns: &Turns, set: Node) -> Result<Feeds> {
        let model = self.model;
        let primary_turns = self.at.primary_turns;
        let emf = self.node("primary EMF");
        let ohms = copper_of(primary_turns) * model.primary.resistance;
        self.at.primary = self.wound("primary copper", set, emf, ohms)?;
        let core = core.seen_from(primary_turns);
        let loss = self.net.resistor("core loss", emf, REFERENCE, core.loss_ohms)?;
        self.at.core_loss = Some((loss, core.loss_ohms));
        self.at.magnetizing =
            Some(self.net.iron("magnetizing current", emf, REFERENCE, core.iron)?);
        let mut windings = vec![Winding { start: emf, end: REFERENCE, turns: primary_turns }];
        let (circuit, ohms) = (model.rectifier.circuit, model.high_voltage.resistance_per_half);
        let (centre, high) = (self.at.centre, turns.high_voltage);
        let main = self.high_voltage("", circuit, high, ohms, centre, &mut windings)?;
        let mut second = None;
        if let Some((supply, own)) = model.second.as_ref().and_then(|s| Some((s, s.winding?))) {
            let (circuit, ohms) = (supply.rectifier.circuit, own.resistance_per_half);
            let (word, turns) = ("second ", turns.second);
            let made = self.high_voltage(word, circuit, turns, ohms, REFERENCE, &mut windings)?;
            second = Some(made);
        }
        for (index, winding) in model.windings.iter().enumerate() {
            let name = &winding.name;
            let start = self.node(format_args!("winding {name}"));
            let out = self.node(format_args!("heaters on {name}"));
            windings.push(Winding { start, end: REFERENCE, turns: turns.windings[index] });
            self.wound(&format!("copper of {name}"), start, out, winding.resistance)?;
            self.heaters(index, out, REFERENCE)?;
        }
        if let Some(bias) = &model.bias {
            let start = self.node("bias winding");
            let out = self.node("bias terminal");
            windings.push(Winding { start, end: REFERENCE, turns: turns.bias });
            self.wound("copper of the bias winding", start, out, bias.resistance)?;
            self.at.bias_winding = Some((out, REFERENCE));
        }
        self.net.transformer("mains transformer", windings)?;
        Ok(Feeds { main, second, below_dropper: REFERENCE })
    }

    /// Copper of a winding as warm as it is.
    fn wound(&mut self, name: &str, from: Node, to: Node, stated: f64) -> Result<ElementId> {
        let ohms = self.slow.copper * stated;
        let id = self.net.resistor(name, from, to, ohms)?;
        self.at.copper.push((id, ohms));
        Ok(id)
    }

    /// A winding that a rectifier stands on, of so many turns and ohms; names of the second supply's begin with a word of
    /// their own.
    fn high_voltage(
        &mut self,
        word: &str,
        circuit: RectifierCircuit,
        turns: f64,
        ohms: f64,
        centre: Node,
        windings: &mut Vec<Winding>,
    ) -> Result<Source> {
        let name = |name: &str| format!("{word}{name}");
        let half_a = self.node(name("HV start"));
        if !circuit.is_tapped() {
            let other = other_end(&mut self.net, circuit, &name("HV finish"), centre)?;
            windings.push(Winding { start: half_a, end: other, turns });
            let out = self.node(name("HV terminal"));
            self.wound(&name("HV copper 1"), half_a, out, ohms)?;
            return Ok(Source { end: (half_a, out), second: None, other });
        }
        let half_b = self.node(name("HV finish"));
        windings.push(Winding { start: half_a, end: centre, turns });
        windings.push(Winding { start: centre, end: half_b, turns });
        let [plate_a, plate_b] = ["plate 1", "plate 2"].map(|plate| self.node(name(plate)));
        self.wound(&name("HV copper 1"), half_a, plate_a, ohms)?;
        self.wound(&name("HV copper 2"), half_b, plate_b, ohms)?;
        Ok(Source { end: (half_a, plate_a), second: Some(plate_b), other: centre })
    }

    /// The heaters on a winding, or of a link of the string, between their terminals.
    fn heaters(&mut self, index: usize, from: Node, to: Node) -> Result<ElementId> {
        let winding = &self.model.windings[index];
        let ohms = self.slow.heater_ohms[index];
        let id = self.net.resistor(format_args!("heaters of {}", winding.name), from, to, ohms)?;
        if let Some(ohms) = winding.shunt_ohms {
            self.net.resistor(format_args!("shunt of {}", winding.name), from, to, ohms)?;
        }
        self.at.windings[index] = (from, to);
        Ok(id)
    }

    /// The heater string between `set` and the other side of the line. From the live end: the tapped part of the rectifier's
    /// heater, where there is one, since its tap feeds the plate; the dropper; the other links.
    pub fn string(&mut self, string: &HeaterLine, set: Node) -> Result<Feeds> {
        let (model, neutral) = (self.model, self.at.neutral);
        // an ammeter: a source of no volts
        let fed = self.node("behind the ammeter");
        self.at.primary = self.net.voltage("set current", set, fed, Wave::Constant(0.0))?;
        let mut at = fed;
        if let Some(tap) = string.tap {
            at = self.node("heater tap");
            self.heaters(tap, fed, at)?;
        }
        let plate = at;
        let fitted = self.inside.string_ohms;
        if let Some(ohms) = fitted.filter(|ohms| *ohms > 0.0) {
            at = self.dropper("heater dropper", PartKind::Resistor, at, ohms)?;
        }
        // what is fitted takes the place of every plain one
        for part in string.sections.iter().filter(|part| fitted.is_none() || !part.is_plain()) {
            at = self.section(part, at)?;
        }
        let mut below_dropper = at;
        let rungs = string.rungs(model.windings.len());
        for (place, rung) in rungs.iter().enumerate() {
            let last = (place + 1 == rungs.len()).then_some(neutral);
            at = match rung {
                Rung::Link(index) => {
                    let next = last.unwrap_or_else(|| self.below(*index));
                    let id = self.heaters(*index, at, next)?;
                    if Some(*index) == string.barretter {
                        let name = model.windings[*index].name.replacen('-', " ", 1);
                        let part = resistor_part(&name, PartKind::Barretter, at, next, id);
                        self.at.inserted.inner.push(part);
                        below_dropper = next;
                    }
                    next
                }
                Rung::Group(side_by_side) => {
                    let end = last
                        .unwrap_or_else(|| self.node(format_args!("below the branches {place}")));
                    for branch in side_by_side {
                        let below = self.branch(string, *branch, (at, end))?;
                        // whole strings side by side: the first of them with a dropper
                        if below_dropper == fed {
                            below_dropper = below.unwrap_or(fed);
                        }
                    }
                    end
                }
            };
        }
        let second = model.second.as_ref().filter(|s| !s.shared);
        let second = second.map(|_| Source::line(fed, neutral));
        Ok(Feeds { main: Source::line(plate, neutral), second, below_dropper })
    }

    /// The node below a link that others follow.
    fn below(&mut self, link: usize) -> Node {
        self.node(format_args!("below {}", self.model.windings[link].name))
    }

    /// A branch of the string between its ends; the node below the first of its own resistors, if it has any.
    fn branch(
        &mut self,
        string: &HeaterLine,
        place: usize,
        (mut at, end): (Node, Node),
    ) -> Result<Option<Node>> {
        let branch = &string.branches[place];
        let mut below_dropper = None;
        for part in &branch.sections {
            at = self.dropper(&part.name, PartKind::InBranch(place), at, part.ohms)?;
            below_dropper.get_or_insert(at);
        }
        for (i, index) in branch.links.iter().enumerate() {
            let is_last = i + 1 == branch.links.len();
            let next = if is_last { end } else { self.below(*index) };
            self.heaters(*index, at, next)?;
            at = next;
        }
        Ok(below_dropper)
    }
}

/// Copper of `turns` times the described turns over theirs: the added ones are of wire for the smaller current at their
/// volts (equal current density: common practice, no source), so that each costs as much more; those left out were so.
fn copper_of(turns: f64) -> f64 {
    let added = |turns: f64| 1.0 + (turns - 1.0) * turns;
    if turns >= 1.0 { added(turns) } else { 1.0 / added(1.0 / turns) }
}
