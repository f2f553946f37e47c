//! A second part on the output of a step transformer, or in the lead of a set on another tap, where the first alone does not
//! fit the set.

use super::{
    Bought, Dropper, Offer, Shelf,
    methods::{Method, offers},
    part::{Adaptation, AnyPart, Duty, Failed, Failure, Miswired, Part, Tolerance, Unknown},
    transformer::regulation,
};
use crate::{
    circuit::{CircuitError, Network, Node},
    receiver::{Inserted, Inside, MainsLead},
};

/// What may be fitted behind the first, the least intervention first.
const METHODS: [Method; 6] = [
    Method::Tap,
    Method::BuckingOutlet,
    Method::BuckingSet,
    Method::BoostOutlet,
    Method::BoostSet,
    Method::SeriesResistor,
];

/// A way to adapt a set to what the transformer or the tap `front` gives.
struct Remainder {
    front: AnyPart,
    /// Usual volts on its output.
    gives: f64,
    /// What the second part is.
    method: Method,
    back: Box<dyn Adaptation>,
}

/// A step transformer or a tap and the part that goes with it, both in the circuit.
#[derive(Clone)]
struct Behind {
    front: AnyPart,
    method: Method,
    back: AnyPart,
}

/// What there is for a set on the output of `front`, which is `gives` volts on the usual line.
pub fn remainders(
    front: &dyn Part,
    gives: f64,
    shelf: &Shelf,
) -> Vec<(Method, Box<dyn Adaptation>)> {
    let high = shelf.high * gives / shelf.outlet;
    let mut list = offers(&Shelf { outlet: gives, high, string: None, ..shelf.clone() });
    list.retain(|(method, _)| METHODS.contains(method));
    list.sort_by_key(|(method, _)| METHODS.iter().position(|m| m == method));
    let here = list.into_iter().filter_map(|(method, offer)| match offer {
        Offer::Here(back) => Some((method, back)),
        Offer::RuledOut(_) => None,
    });
    here.map(|(method, back)| -> (Method, Box<dyn Adaptation>) {
        (method, Box::new(Remainder { front: front.copied(), gives, method, back }))
    })
    .collect()
}

impl Remainder {
    fn behind(&self, back: AnyPart) -> AnyPart {
        Box::new(Behind { front: self.front.clone(), method: self.method, back })
    }

    /// The duty as the part behind sees it: amperes of the line grow by the ratio.
    fn duty(&self, duty: &Duty) -> Duty {
        let held_amps = duty.held_amps.map(|amps| amps / amps_per_amp(&*self.front));
        Duty { outlet: self.gives, held_amps, ..*duty }
    }
}

impl Adaptation for Remainder {
    fn unknown(&self) -> Option<Unknown> {
        self.back.unknown()
    }
    fn value_unit(&self) -> Option<&'static str> {
        self.back.value_unit()
    }
    fn guess(&self, excess_v: f64) -> Option<f64> {
        self.back.guess(excess_v)
    }
    fn goes_both_ways(&self) -> bool {
        true
    }
    fn exact(&self, value: f64, duty: &Duty) -> AnyPart {
        self.behind(self.back.exact(value, &self.duty(duty)))
    }
    fn stock(&self, value: f64, duty: &Duty) -> Vec<AnyPart> {
        let parts = self.back.stock(value, &self.duty(duty));
        parts.into_iter().map(|part| self.behind(part)).collect()
    }
}

impl Behind {
    fn with(&self, back: AnyPart) -> AnyPart {
        Box::new(Behind { back, ..self.clone() })
    }
}

impl MainsLead for Behind {
    fn insert(
        &self,
        net: &mut Network,
        outlet: Node,
        neutral: Node,
    ) -> Result<Inserted, CircuitError> {
        let first = self.front.insert(net, outlet, neutral)?;
        let mut both = self.back.insert(net, first.set, neutral)?;
        both.parts.splice(0..0, first.parts);
        Ok(both)
    }
    fn inside(&self) -> Inside {
        let back = self.back.inside();
        let primary_turns = back.primary_turns.or(self.front.inside().primary_turns);
        Inside { primary_turns, ..back }
    }
}

impl Part for Behind {
    fn bought(&self) -> Bought {
        let (mut back, facts) = (self.back.bought(), self.method.facts());
        // beside another part it must be said what the small transformer is to do
        if facts.bucks || facts.boosts {
            back.ware = format!("{}, {}", facts.noun, back.ware);
        }
        Bought { with: Some(Box::new(back)), ..self.front.bought() }
    }
    fn value(&self) -> f64 {
        self.front.value()
    }
    fn va(&self) -> Option<f64> {
        self.front.va()
    }
    fn second(&self) -> Option<&dyn Part> {
        Some(&*self.back)
    }
    fn resistors(&self) -> Vec<&Dropper> {
        self.back.resistors()
    }
    fn fault_w(&self, line_amps: f64) -> f64 {
        self.back.fault_w(line_amps / amps_per_amp(&*self.front))
    }
    fn larger(&self, which: usize) -> Option<AnyPart> {
        self.back.larger(which).map(|back| self.with(back))
    }
    fn current_range(&self) -> Option<(f64, f64)> {
        let per_amp = amps_per_amp(&*self.front);
        let back = self.back.current_range().map(|(low, high)| (low * per_amp, high * per_amp));
        let both = [self.front.current_range(), back].into_iter().flatten();
        both.reduce(|one, other| (one.0.max(other.0), one.1.min(other.1)))
    }
    fn tolerances(&self) -> Vec<Tolerance> {
        [self.front.tolerances(), self.back.tolerances()].concat()
    }
    fn varied(&self, index: usize, factor: f64) -> AnyPart {
        match index.checked_sub(self.front.tolerances().len()) {
            None => {
                let front = self.front.varied(index, factor);
                Box::new(Behind { front, ..self.clone() })
            }
            Some(index) => self.with(self.back.varied(index, factor)),
        }
    }
    fn miswired(&self) -> Vec<(Miswired, Option<AnyPart>)> {
        let back = self.back.miswired().into_iter();
        back.map(|(how, part)| (how, part.map(|part| self.with(part)))).collect()
    }
    fn cold(&self) -> Option<AnyPart> {
        self.back.cold().map(|back| self.with(back))
    }
    fn failed(&self, how: Failure) -> Option<Failed> {
        // the primary of a second transformer is not judged
        let failed = self.back.failed(how).filter(|_| how != Failure::PrimaryOpen);
        failed.map(|(words, back)| (words, self.with(back)))
    }
    fn own_primary_volts(&self) -> Option<f64> {
        self.front.own_primary_volts().or(self.back.own_primary_volts())
    }
    fn primary_across(&self, outlet_v: f64, set_v: f64) -> f64 {
        if self.front.own_primary_volts().is_none() {
            return self.back.primary_across(outlet_v, set_v);
        }
        // of both the one that is worse off, as if it were the transformer's
        let own = self.front.own_primary_volts().unwrap_or(outlet_v);
        let open = 1.0 + self.front.va().map_or(0.0, regulation);
        let gives = outlet_v * open * amps_per_amp(&*self.front);
        let rated = self.back.own_primary_volts();
        let back = rated.map_or(0.0, |rated| self.back.primary_across(gives, set_v) / rated);
        outlet_v.max(own * back)
    }
}

/// Amperes taken from the outlet for each behind the first part: of a transformer its secondary volts over its primary's.
fn amps_per_amp(front: &dyn Part) -> f64 {
    front.own_primary_volts().map_or(1.0, |primary| front.value() / primary)
}
