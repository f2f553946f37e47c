//! From the complete set to a network.
//!
//! Primary and secondary side share the reference node: the transformer isolates them, so this changes no
//! voltage within either side. An autotransformer and a set without a transformer really join them.

mod filter;
mod law;
mod mains;
mod points;
mod rectify;
mod section;
mod tube;
mod wiring;

pub use points::{Diode, Placed, Points, TubeNodes};

use super::{
    Core, Fault, Filament, Lead, LeadPart, MainsLead, Model, PartKind, Result, SHORT_OHMS, Slow,
    Straight, Turns, part_names::MAINS_RESISTOR, warmup::NO_HEATER_OHMS, wave,
};
use crate::circuit::{Network, Node, Probe, REFERENCE};
use mains::Feeds;
use wiring::Wiring;

/// Builds the network of `model` on `line` volts RMS with `lead` in front; `alike` is the same with other slow quantities.
pub fn build(
    (model, core, turns): (&Model, &Core, &Turns),
    slow: &Slow,
    (line, lead): (f64, &dyn MainsLead),
    fault: Option<Fault>,
    alike: Option<&Network>,
) -> Result<(Network, Points)> {
    let mut net = Network::new(model.frequency, "chassis")?;
    if let Some(alike) = alike {
        net.named_as(alike);
    }
    let outlet = net.node("outlet");
    // without a part in the negative lead the negative end of the supply is chassis
    let centre = if model.filter.iter().any(|s| model.lead_of(s) == Some(Lead::Negative)) {
        net.node("center tap")
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
    let at = Points {
        line: source,
        outlet,
        neutral,
        centre,
        as_built: inserted.set,
        inserted,
        primary_turns: inside.primary_turns.unwrap_or(1.0),
        windings: vec![(neutral, neutral); model.windings.len()],
        ..Points::default()
    };
    let mut wiring = Wiring { model, slow, fault, inside, net, at };
    let (fed, mains_resistor) = wiring.mains_resistor()?;
    let feeds = match &model.string {
        None => wiring.transformer(core, turns, fed)?,
        Some(string) => wiring.string(string, fed)?,
    };
    wiring.supplies(&feeds, mains_resistor)?;
    wiring.loads()?;
    if let Some(fault) = fault
        && let Some((a, b)) = wiring.shorted(fault, &feeds, fed)
    {
        wiring.net.resistor(fault.title(), a, b, SHORT_OHMS)?;
    }
    Ok((wiring.net, wiring.at))
}

impl Wiring<'_> {
    /// The resistor in the line cord, if there is one and nothing takes its place: the node behind it, and its part.
    fn mains_resistor(&mut self) -> Result<(Node, Option<LeadPart>)> {
        let set = self.at.inserted.set;
        let keeps = self.inside.keeps_resistor;
        let Some(resistor) = self.model.mains_resistor.filter(|r| r.by_maker || keeps) else {
            return Ok((set, None));
        };
        let fed = self.dropper(MAINS_RESISTOR, PartKind::MainsResistor, set, resistor.ohms)?;
        if !resistor.by_maker {
            self.at.as_built = fed;
        }
        Ok((fed, self.at.inserted.inner.pop()))
    }

    /// The supplies, from what feeds them to their outputs; a resistor in the line cord is listed behind their own.
    fn supplies(&mut self, feeds: &Feeds, mains_resistor: Option<LeadPart>) -> Result<()> {
        let model = self.model;
        self.at.high_voltage = feeds.main.terminals();
        self.at.outer_ends = feeds.main.outer_ends();
        self.at.rectifier_cathode = self.node("rectifier cathode");
        self.main_rectifier(&feeds.main)?;
        let inside = self.inside;
        if inside.string_ohms.is_some_and(|ohms| ohms > 0.0) && inside.surge_ohms.is_some() {
            // what is fitted comes first, ahead of what stays in the string
            self.at.inserted.inner[1..].sort_by_key(|part| part.kind != PartKind::Surge);
        }
        self.at.inserted.inner.extend(mains_resistor);
        let ends = (self.at.rectifier_cathode, self.at.centre);
        (self.at.b_plus, self.at.reservoir) = self.filter(model.filters().0, ends)?;
        if let Some(second) = &model.second {
            self.second(second, feeds.second.as_ref().unwrap_or(&feeds.main))?;
        }
        if let (Some(bias), Some((terminal, _))) = (&model.bias, self.at.bias_winding) {
            self.bias_supply(bias, terminal)?;
        }
        Ok(())
    }

    /// What hangs on the supplies.
    fn loads(&mut self) -> Result<()> {
        let model = self.model;
        for divider in &model.dividers {
            self.divider(divider)?;
        }
        for index in 0..model.tubes.len() {
            let tube = self.tube(index)?;
            self.at.tubes.push(tube);
        }
        // after the tubes, so that a meter can be hung on their electrodes
        for load in &model.loads {
            let from = self.at.spot(&load.from).unwrap_or(REFERENCE);
            match load.ohms {
                Some(ohms) => self.net.resistor(&load.name, from, REFERENCE, ohms)?,
                None => self.net.current(&load.name, from, REFERENCE, load.amps)?,
            };
        }
        Ok(())
    }

    /// What a fault joins, of a set whose mains side begins at `fed`.
    fn shorted(&self, fault: Fault, feeds: &Feeds, fed: Node) -> Option<(Node, Node)> {
        let at = &self.at;
        let capacitor = |place: usize| at.capacitors.get(place).map(|c| (c.positive, c.negative));
        match fault {
            Fault::FirstCapacitorShorted => capacitor(0),
            Fault::SecondCapacitorShorted => capacitor(at.second.as_ref()?.capacitors_from),
            Fault::BPlusShorted => Some((at.b_plus, REFERENCE)),
            Fault::HalfWindingShorted | Fault::WindingShorted => {
                Some((feeds.main.end.0, feeds.main.other))
            }
            Fault::PlateToFilament => at.plates.first().map(|d| (d.plate, d.cathode)),
            Fault::DropperCapacitorShorted => {
                let mut inner = at.inserted.inner.iter();
                match inner.find(|part| part.kind == PartKind::Capacitor)?.volts {
                    Probe::Volts(a, b) => Some((a, b)),
                    _ => None,
                }
            }
            Fault::StringShorted(_) => Some((feeds.below_dropper, REFERENCE)),
            // behind a resistor in the line cord: that takes the whole line
            Fault::PrimaryShorted | Fault::LineShorted => Some((fed, at.neutral)),
            // these are changes of the model, or open paths
            Fault::FieldCoilOpen
            | Fault::ChokeOpen
            | Fault::DialLampOpen
            | Fault::OutputTubeOut
            | Fault::BranchOpen(_)
            | Fault::LoadsOut => None,
        }
    }
}

/// The set at rest and cold, as an ohmmeter finds it: ask it for [`Network::resistance`], with its [`Points::leakage`] open.
///
/// # Errors
/// A value the core refuses.
pub fn resting(model: &Model) -> Result<(Network, Points)> {
    resting_with(model, Filament::cold_ohms)
}

/// The same with heaters that have the ohms of their ratings: what volts over amperes at work come to.
///
/// # Errors
/// As [`resting`].
pub fn resting_hot(model: &Model) -> Result<(Network, Points)> {
    resting_with(model, |f| f.volts / f.amps)
}

fn resting_with(model: &Model, ohms: fn(&Filament) -> f64) -> Result<(Network, Points)> {
    // neither core nor turns matter to a direct current
    let turns = Turns::all(1.0, model.windings.len());
    let siemens = |f: &Filament| ohms(f).recip();
    let heaters = model.windings.iter();
    // what has none is open: an empty sum is minus nothing
    let heaters = heaters.map(|w| w.filaments.iter().map(siemens).fold(0.0, |a, b| a + b).recip());
    let slow = Slow {
        heater_ohms: heaters.map(|ohms| ohms.min(NO_HEATER_OHMS)).collect(),
        coil_ohms: model.coils.iter().map(|c| c.cold).collect(),
        copper: model.copper.at_rest(model.room_c),
        tube_volts: vec![[0.0; 4]; model.tubes.len()],
    };
    build((model, &Core::NONE, &turns), &slow, (0.0, &Straight), None, None)
}
