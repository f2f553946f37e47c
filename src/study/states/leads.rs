//! What may stand in the lead, and what may be wrong.

use crate::{
    adaptation::{Across, BuckingPart, Dropper, Duty, Part, Shelf, Tap, every_small, far_off},
    quantity::{Quantity, Voltage, show_plain},
    receiver::{Fault, MainsLead, Model, Operation, Receiver, ReceiverError, Straight},
    study::{Choice, Plan, read, settle},
};

/// How a small transformer is joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Connection {
    /// True with its primary across the set.
    pub on_set: bool,
    /// True where its secondary adds.
    pub adds: bool,
}

/// What stands in the lead.
#[derive(Debug, Clone, PartialEq)]
pub enum LeadKind {
    /// What the set was found with.
    AsIs,
    /// A resistor of any ohms up to so many.
    Resistor(f64),
    /// A small transformer of stock with so many volts.
    Small(f64, Connection),
    /// Another tap of the primary.
    Tap(f64),
    /// What the plan advises.
    Advised,
}

/// Something in the lead.
#[derive(Debug, Clone)]
pub struct Lead {
    /// What.
    pub kind: LeadKind,
    /// In words.
    pub words: String,
    /// Rated volts of its own primary, where it has one.
    pub primary_v: Option<f64>,
}

/// What is wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wrong {
    /// Nothing.
    Nothing,
    /// The tube in a socket is out, by its place in the profile.
    TubeOut(usize),
    /// The rectifier is out.
    RectifierOut,
    /// A fault of the list.
    Faulty(Fault),
}

/// A case, and its words.
#[derive(Debug, Clone)]
pub struct StateCase {
    /// What is wrong.
    pub wrong: Wrong,
    /// In words.
    pub words: String,
}

/// The part itself.
pub enum InLead<'a> {
    /// One that is what it is.
    One(Box<dyn Part>),
    /// A resistor of any ohms.
    Ohms,
    /// One of the plan's.
    Lent(&'a dyn Part),
}

impl InLead<'_> {
    /// It, of so many ohms where these are free.
    pub fn of(&self, ohms: f64) -> Box<dyn Part> {
        match self {
            InLead::One(part) => part.copied(),
            InLead::Ohms => Box::new(Dropper::bare(ohms)),
            InLead::Lent(part) => part.copied(),
        }
    }
}

impl Lead {
    fn of(kind: LeadKind, words: impl Into<String>, part: &dyn Part) -> Lead {
        Lead { kind, words: words.into(), primary_v: part.own_primary_volts() }
    }
}

/// Everything that may stand in the lead of a set.
pub fn all<'a>(
    receiver: &Receiver,
    plan: &Plan,
    shelf: &Shelf,
    advised: Option<(&Choice, &'a dyn Part)>,
) -> Vec<(Lead, InLead<'a>)> {
    let design = read(receiver, receiver.at_design());
    let mut list =
        vec![(Lead::of(LeadKind::AsIs, "as it is", &Straight), InLead::One(Box::new(Straight)))];
    let far = far_off(shelf.outlet, shelf.design_line);
    if !far {
        // what lets half of the line through, on the design line
        let most = shelf.design_line / design.primary_a.max(1e-3);
        let tens = 10f64.powf(most.log10().floor() - 1.0);
        let most = (most / tens).ceil() * tens;
        list.push((Lead::of(LeadKind::Resistor(most), "series resistor", &Straight), InLead::Ohms));
    }
    if !far && !shelf.direct_current {
        let above = plan.outlet.high_v / plan.outlet.usual_v;
        let amps = design.primary_a * above;
        let watts = design.line_w * above * above;
        let duty = Duty { outlet: shelf.outlet, amps, held_amps: None, watts };
        for part in every_small(shelf, &duty) {
            let kind = LeadKind::Small(part.secondary, connection(&part));
            list.push((
                Lead::of(kind, part.bought().to_string(), &part),
                InLead::One(Box::new(part)),
            ));
        }
    }
    let other = |volts: &&f64| (**volts / shelf.design_line - 1.0).abs() > 1e-6;
    for volts in shelf.taps.iter().filter(other).copied() {
        let words = format!("{} tap", show_plain(Voltage::from_si(volts)));
        let part = Tap { volts, now: shelf.design_line };
        list.push((Lead::of(LeadKind::Tap(volts), words, &part), InLead::One(Box::new(part))));
    }
    if let Some((choice, part)) = advised {
        let named = choice.part.as_ref().map_or(choice.title.to_owned(), ToString::to_string);
        list.push((Lead::of(LeadKind::Advised, named, part), InLead::Lent(part)));
    }
    list
}

fn connection(part: &BuckingPart) -> Connection {
    Connection { on_set: part.across == Across::Set, adds: part.boosts }
}

/// Everything that may be wrong with a set, nothing first.
pub fn cases(receiver: &Receiver) -> Vec<StateCase> {
    let model = receiver.model();
    let case = |wrong, words| StateCase { wrong, words };
    let mut list = vec![case(Wrong::Nothing, "nothing".to_owned())];
    let mut sockets: Vec<usize> = model.tubes.iter().map(|t| t.socket).collect();
    sockets.dedup();
    for socket in sockets {
        let of = model.tubes.iter().enumerate().filter(|(_, t)| t.socket == socket);
        let names: Vec<String> = of.map(|(n, t)| format!("V{} {}", n + 1, t.label)).collect();
        list.push(case(Wrong::TubeOut(socket), format!("{} out of its socket", names.join(", "))));
    }
    let words = format!("{}, the rectifier, out of its socket", model.rectifier.name);
    list.push(case(Wrong::RectifierOut, words));
    let faults = Fault::of(model).into_iter();
    list.extend(faults.map(|fault| case(Wrong::Faulty(fault), fault.title().to_owned())));
    list
}

impl Wrong {
    /// The set so, on `line` volts behind `part`.
    pub fn solve(
        self,
        receiver: &Receiver,
        part: &dyn Part,
        line: f64,
        near: &Operation,
    ) -> Result<Operation, ReceiverError> {
        let change = |change: &dyn Fn(&mut Model)| {
            let lead: &dyn MainsLead = part;
            receiver.run_changed(line, lead, near, |model| change(model))
        };
        match self {
            Wrong::Nothing => match settle::run(receiver, part, line, Some(near)) {
                Ok(settled) => Ok(settled.operation),
                Err(_) => receiver.run(line, part, Some(near)),
            },
            Wrong::TubeOut(socket) => change(&|model| model.pull_socket(socket)),
            Wrong::RectifierOut => change(&Model::pull_rectifier),
            Wrong::Faulty(fault) => receiver.run_fault(line, part, fault, near),
        }
    }
}
